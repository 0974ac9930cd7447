//! What can be wrong with a mower file, and what to do.

use super::limits::*;
use crate::input::InputError;
use std::fmt;

/// What is wrong with one entry of a mower file.
#[derive(Debug, Clone, PartialEq)]
pub enum MowerFault {
    /// The file holds something other than one object.
    NotAnObject,
    /// An entry is missing.
    Missing {
        /// Where it should stand.
        entry: String,
        /// An example of it.
        example: &'static str,
    },
    /// An entry nobody knows, perhaps a slip of the pen.
    Unknown {
        /// The entry.
        entry: String,
        /// What is known there.
        known: &'static str,
    },
    /// An entry of the wrong kind.
    WrongKind {
        /// The entry.
        entry: String,
        /// What it should be.
        expected: &'static str,
    },
    /// A length or speed that cannot be read.
    BadMeasure {
        /// The entry.
        entry: String,
        /// Why not, with what to write.
        reason: String,
    },
    /// A number outside what a mower can have.
    OutOfRange {
        /// The entry.
        entry: String,
        /// Its value.
        value: f64,
        /// Smallest allowed.
        least: f64,
        /// Largest allowed.
        most: f64,
        /// Unit of all three.
        unit: &'static str,
    },
    /// Too many or no units.
    UnitCount {
        /// How many.
        count: usize,
    },
    /// Ground between two neighbouring units that none cuts on the straight.
    Gap {
        /// The unit to the right of the gap.
        right: usize,
        /// The unit to the left of it.
        left: usize,
        /// Its width, metres.
        width_m: f64,
    },
    /// Two units stand in each other.
    Collide {
        /// One of them.
        first: usize,
        /// The other.
        second: usize,
        /// How much they overlap across, metres.
        across_m: f64,
        /// How far apart they are fore and aft, metres.
        ahead_m: f64,
    },
    /// A unit follows in the cut of another and cuts nothing of its own on the straight.
    Shadowed {
        /// The unit that is in vain.
        unit: usize,
        /// The unit that cuts the same ground.
        by: usize,
    },
}

impl fmt::Display for MowerFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            MowerFault::NotAnObject => write!(
                f,
                "a mower file is one object in braces, with name, units, turning_radius_m and speeds_kmh"
            ),
            MowerFault::Missing { entry, example } => {
                write!(f, "{entry} is missing; add it, for example {example}")
            }
            MowerFault::Unknown { entry, known } => write!(
                f,
                "{entry} is not known; correct its name or delete it (known here: {known})"
            ),
            MowerFault::WrongKind { entry, expected } => {
                write!(f, "{entry} must be {expected}")
            }
            MowerFault::BadMeasure { entry, reason } => write!(f, "{entry}: {reason}"),
            MowerFault::OutOfRange {
                entry,
                value,
                least,
                most,
                unit,
            } => write!(
                f,
                "{entry} is {value} {unit}; it must lie between {least} and {most} {unit}"
            ),
            MowerFault::UnitCount { count: 0 } => {
                write!(f, "units is empty; give at least one cutting unit")
            }
            MowerFault::UnitCount { count } => {
                write!(f, "{count} cutting units; the limit is {MAX_UNITS}")
            }
            MowerFault::Gap {
                right,
                left,
                width_m,
            } => write!(
                f,
                "units[{right}] and units[{left}] leave a strip of {width_m:.3} m between them on the straight; move or widen one of them, or set \"gaps_allowed\": true"
            ),
            MowerFault::Collide {
                first,
                second,
                across_m,
                ahead_m,
            } => write!(
                f,
                "units[{first}] and units[{second}] overlap by {across_m:.3} m across but are only {ahead_m:.3} m apart fore and aft, so they stand in each other; correct across_m, ahead_m or width_m"
            ),
            MowerFault::Shadowed { unit, by } => write!(
                f,
                "units[{unit}] cuts only what units[{by}] cuts as well; correct its across_m or width_m, or delete it"
            ),
        }
    }
}

/// Why a mower file could not be used: all faults found.
#[derive(Debug)]
pub enum MowerError {
    /// It is no JSON file at all.
    Input(InputError),
    /// Entries are wrong.
    Faults {
        /// The file.
        file: String,
        /// All of them.
        faults: Vec<MowerFault>,
    },
}

impl fmt::Display for MowerError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            MowerError::Input(e) => e.fmt(f),
            MowerError::Faults { file, faults } => {
                for (i, fault) in faults.iter().enumerate() {
                    if i > 0 {
                        writeln!(f)?;
                    }
                    write!(f, "{file}: {fault}")?;
                }
                Ok(())
            }
        }
    }
}

impl std::error::Error for MowerError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            MowerError::Input(e) => Some(e),
            MowerError::Faults { .. } => None,
        }
    }
}
