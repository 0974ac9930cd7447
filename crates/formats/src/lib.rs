//! Readers and writers: course and mower files, the plan file, and the plane between degrees
//! and metres.
//!
//! Readers take whatever a file can hold and answer with data or with an error that says where
//! and what to do; limits on size are stated beside each reader. Writers put a file in place
//! whole or not at all ([`whole`]).

pub mod course;
pub mod input;
pub mod mower;
pub mod plan;
pub mod plane;
pub mod whole;

pub use course::{CourseError, CourseFile};
pub use input::InputError;
pub use mower::MowerError;
pub use plane::Plane;
