//! Why a course cannot be read.

use super::problem::{Problem, ProblemKind, ProblemList, show};
use crate::files::fault::{FileError, FileFault};
use crate::input::InputError;
use std::fmt;

/// Why a course file could not be used.
#[derive(Debug)]
pub enum CourseError {
    /// It is no JSON file at all.
    Input(InputError),
    /// It is a file of another format, and cannot be read.
    File(Box<FileError>),
    /// It is, but what it holds cannot be used. All problems found, at most 50.
    Problems {
        /// The file.
        file: String,
        /// At least one.
        problems: Vec<Problem>,
    },
}

impl From<FileError> for CourseError {
    fn from(e: FileError) -> Self {
        match e.fault {
            FileFault::Input(input) => CourseError::Input(input),
            FileFault::Json(ProblemList { file, problems }) => {
                CourseError::Problems { file, problems }
            }
            fault => CourseError::File(Box::new(FileError {
                file: e.file,
                fault,
            })),
        }
    }
}

impl CourseError {
    pub(crate) fn one(file: &str, kind: ProblemKind) -> Self {
        CourseError::Problems {
            file: file.to_string(),
            problems: vec![Problem::of_file(kind)],
        }
    }
}

impl fmt::Display for CourseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CourseError::Input(e) => e.fmt(f),
            CourseError::File(e) => e.fmt(f),
            CourseError::Problems { file, problems } => show(f, file, problems),
        }
    }
}

impl std::error::Error for CourseError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            CourseError::Input(e) => Some(e),
            CourseError::File(e) => Some(e.as_ref()),
            CourseError::Problems { .. } => None,
        }
    }
}
