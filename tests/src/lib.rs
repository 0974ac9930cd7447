//! Helpers shared by the whole-job tests.

pub mod drives;
pub mod outside;
pub mod stored;
