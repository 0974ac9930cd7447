//! Why positions in a coordinate system cannot be read.

use super::wkt::WktFault;
use std::fmt;

/// Why positions in a coordinate system cannot be used.
#[derive(Debug, Clone, PartialEq)]
pub enum SystemError {
    /// The definition is no well-known text.
    NotWkt {
        /// What is wrong.
        reason: &'static str,
    },
    /// A datum that is not taken for WGS 84.
    Datum {
        /// The system.
        system: String,
        /// Its datum.
        datum: String,
    },
    /// A projection that is not understood.
    Projection {
        /// The system.
        system: String,
        /// Its method.
        method: String,
    },
    /// Something else about it: its ellipsoid, meridian, axes or unit.
    Unusual {
        /// The system.
        system: String,
        /// What.
        what: &'static str,
    },
    /// Known, but not in this build.
    NotBuilt {
        /// The system.
        system: String,
    },
    /// A position that the system has no place for.
    Position {
        /// The system.
        system: String,
        /// The position as the file has it.
        at: [f64; 2],
    },
}

impl fmt::Display for SystemError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const AGAIN: &str = "export the file again in WGS 84 longitude and latitude (EPSG:4326)";
        match self {
            SystemError::NotWkt { reason } => write!(
                f,
                "the coordinate system's definition cannot be read ({reason}); {AGAIN}"
            ),
            SystemError::Datum { system, datum } => write!(
                f,
                "the coordinates are in '{system}' on the datum '{datum}', which can lie far from WGS 84; {AGAIN}, and let the program that exports it shift the datum"
            ),
            SystemError::Projection { system, method } => write!(
                f,
                "the coordinates are in '{system}', whose projection '{method}' is not understood; {AGAIN}"
            ),
            SystemError::Unusual { system, what } => {
                write!(f, "the coordinates are in '{system}', {what}; {AGAIN}")
            }
            SystemError::NotBuilt { system } => write!(
                f,
                "the coordinates are in '{system}', and this build reads degrees only; build it with --features all-formats, or {AGAIN}"
            ),
            SystemError::Position { system, at: [x, y] } => write!(
                f,
                "the position {x}, {y} lies outside '{system}'; correct it, or check that the definition belongs to the file"
            ),
        }
    }
}

impl std::error::Error for SystemError {}

impl From<WktFault> for SystemError {
    fn from(fault: WktFault) -> Self {
        SystemError::NotWkt { reason: fault.0 }
    }
}
