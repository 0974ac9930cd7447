//! Why a command could not do its work: exit code 2.

use crossgrain_core::PlanError;
use crossgrain_core::inside::model::quantity::QuantityError;
use crossgrain_formats::whole::WriteError;
use crossgrain_formats::{CourseError, MowerError};
use std::fmt;

/// Unusable input or arguments.
#[derive(Debug)]
pub(crate) enum Failure {
    /// An argument that cannot be used.
    Argument {
        /// The option, such as `--overlap`.
        option: &'static str,
        /// What is wrong and what to write.
        reason: String,
    },
    /// A measure in an option that cannot be read.
    Measure {
        /// The option.
        option: &'static str,
        /// Why not.
        source: QuantityError,
    },
    /// The course file.
    Course(CourseError),
    /// The mower file.
    Mower(MowerError),
    /// A file or folder that cannot be written.
    Write(WriteError),
    /// Settings that nothing can be planned with.
    Plan {
        /// Why not, in the user's units.
        reason: String,
        /// The same as the planner has it.
        source: PlanError,
    },
    /// Anything else, told by the part that failed.
    #[allow(dead_code)] // for commands that bring errors of their own
    Other(Box<dyn std::error::Error + Send + Sync>),
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Failure::Argument { option, reason } => write!(f, "{option}: {reason}"),
            Failure::Measure { option, source } => write!(f, "{option}: {source}"),
            Failure::Course(e) => e.fmt(f),
            Failure::Mower(e) => e.fmt(f),
            Failure::Write(e) => e.fmt(f),
            Failure::Plan { reason, .. } => f.write_str(reason),
            Failure::Other(e) => e.fmt(f),
        }
    }
}

impl std::error::Error for Failure {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Failure::Argument { .. } => None,
            Failure::Measure { source, .. } => Some(source),
            Failure::Course(e) => Some(e),
            Failure::Mower(e) => Some(e),
            Failure::Write(e) => Some(e),
            Failure::Plan { source, .. } => Some(source),
            Failure::Other(e) => Some(e.as_ref()),
        }
    }
}

impl From<CourseError> for Failure {
    fn from(e: CourseError) -> Self {
        Failure::Course(e)
    }
}

impl From<MowerError> for Failure {
    fn from(e: MowerError) -> Self {
        Failure::Mower(e)
    }
}

impl From<WriteError> for Failure {
    fn from(e: WriteError) -> Self {
        Failure::Write(e)
    }
}
