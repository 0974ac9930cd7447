//! Helpers shared by the whole-job tests.

pub mod called;
pub mod clean_cut;
pub mod drives;
pub mod grounds;
pub mod hand_programme;
pub mod lattice_gaps;
pub mod lattices;
pub mod outside;
pub mod random_mows;
pub mod scenes;
pub mod sheet_reader;
pub mod stored;
pub mod strangers;
pub mod tongues;
pub mod two_threads;
