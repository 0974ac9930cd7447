#![doc = include_str!("../README.md")]
//!
//! Limits on size are stated beside each reader; writers go through [`whole`].

pub mod calendar;
pub mod cells;
pub mod continued;
pub mod course;
pub mod done_log;
pub mod export;
pub mod files;
pub mod guide;
pub mod input;
pub mod mower;
pub mod observations;
pub mod plan;
pub mod programme;
pub mod rules;
pub mod size;
pub mod starters;
pub mod survey;
pub mod systems;
pub mod usual;
pub mod whole;

pub use course::{CourseError, CourseFile};
pub use files::FileError;
pub use input::InputError;
pub use mower::MowerError;
