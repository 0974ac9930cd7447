#![doc = include_str!("../README.md")]
//!
//! Limits on size are stated beside each reader; writers go through [`whole`].

pub mod calendar;
pub mod cells;
pub mod continued;
pub mod course;
pub mod day;
pub mod done_log;
pub mod export;
pub mod files;
pub mod fingerprint;
pub mod guide;
pub mod input;
pub mod mower;
mod mower_value;
pub mod observations;
pub mod plan;
pub mod programme;
pub mod rules;
pub mod size;
pub mod stale;
pub mod standing;
pub mod starters;
pub mod survey;
pub mod systems;
pub mod usual;
pub mod whole;

pub use course::{CourseError, CourseFile};
pub use files::FileError;
pub use input::InputError;
pub use mower::MowerError;
pub use mower_value::mower_value;
