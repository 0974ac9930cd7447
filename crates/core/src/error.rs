//! What can go wrong when a mow is planned.

use std::fmt;

/// Why a mow could not be planned.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum PlanError {
    /// A number that makes no sense.
    BadValue {
        /// Which setting.
        what: &'static str,
        /// Its value, in the unit named by `unit`.
        value: f64,
        /// Unit of the value.
        unit: &'static str,
        /// What would be accepted, in words.
        expected: String,
    },
    /// The deck has no cutting unit.
    NoUnits,
    /// Loops of the diameter asked for cannot be driven or leave strips.
    LoopDiameter {
        /// Diameter asked for, metres.
        asked_m: f64,
        /// Why not.
        reason: String,
        /// Nearest diameters that can be done, metres.
        nearest_m: Vec<f64>,
    },
    /// It was called off.
    Stopped,
}

impl fmt::Display for PlanError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PlanError::BadValue {
                what,
                value,
                unit,
                expected,
            } => write!(f, "{what} is {value} {unit}; it must be {expected}"),
            PlanError::NoUnits => write!(f, "the mower has no cutting unit; give at least one"),
            PlanError::LoopDiameter {
                asked_m,
                reason,
                nearest_m,
            } => {
                write!(f, "loops of {asked_m:.2} m cannot be driven: {reason}")?;
                if !nearest_m.is_empty() {
                    let list: Vec<String> = nearest_m.iter().map(|d| format!("{d:.2} m")).collect();
                    write!(f, "; the nearest that can: {}", list.join(", "))?;
                }
                Ok(())
            }
            PlanError::Stopped => write!(f, "planning was called off"),
        }
    }
}

impl std::error::Error for PlanError {}
