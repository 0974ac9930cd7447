//! Readers and writers: course, mower and rules files, the plan, the programme, the calendar, and
//! the plane between degrees and metres.
//!
//! Readers take whatever a file can hold and answer with data or with an error that says where
//! and what to do; limits on size are stated beside each reader. Writers put a file in place
//! whole or not at all ([`whole`]).

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
