//! The mower file: JSON with the cutting units, the turning radius and the speeds.
//!
//! ```json
//! { "name": "light five-unit",
//!   "units": [ {"across_m": 0.0, "ahead_m": 1.2, "width_m": "22in"} ],
//!   "turning_radius_m": "6ft",
//!   "speeds_kmh": {"mowing": 8, "loops": 6, "transport": 10, "turning": "3mph"},
//!   "lift_lower_s": 1.5,
//!   "shift_efficiency": 0.8,
//!   "reel": {"blades": 11, "rpm": 2200},
//!   "bench_height_mm": 12.7,
//!   "may_reverse": false,
//!   "gaps_allowed": false }
//! ```
//!
//! A number is in the unit its key names; text carries its own unit. `lift_lower_s`,
//! `shift_efficiency` (the share of a shift that is driving), `reel`, `bench_height_mm`,
//! `may_reverse` and `gaps_allowed` may be left out, and so may `loops`, `transport` and `turning`
//! (they become the mowing speed).

mod fault;
mod limits;
mod reader;

pub use fault::{MowerError, MowerFault};
pub use limits::{
    DEFAULT_LIFT_LOWER_S, EDGE_TOLERANCE_M, MAX_UNIT_OFFSET_M, MAX_UNITS, UNIT_DEPTH_M,
};

use crate::input;
use crossgrain_core::Mower;
use reader::Reader;
use std::path::Path;

/// Reads a mower file.
///
/// # Errors
/// [`MowerError`] with all faults found.
pub fn open(path: &Path) -> Result<Mower, MowerError> {
    let text = input::read_text(path).map_err(MowerError::Input)?;
    read(&text, &input::shown(path))
}

/// Reads a mower from text; `file` is the name that errors show.
///
/// # Errors
/// [`MowerError`] with all faults found.
///
/// ```
/// let text = r#"{"name": "bar", "units": [{"across_m": 0, "ahead_m": 0, "width_m": "100in"}],
///   "turning_radius_m": 2, "speeds_kmh": {"mowing": 8}}"#;
/// let mower = crossgrain_formats::mower::read(text, "bar.json").unwrap();
/// assert!((mower.cutting_width_m() - 2.54).abs() < 1e-12);
/// ```
pub fn read(text: &str, file: &str) -> Result<Mower, MowerError> {
    let value = input::json(text, file).map_err(MowerError::Input)?;
    let mut r = Reader { faults: Vec::new() };
    let mower = r.mower(&value);
    match mower {
        Some(m) if r.faults.is_empty() => Ok(m),
        _ => Err(MowerError::Faults {
            file: file.to_string(),
            faults: r.faults,
        }),
    }
}

#[cfg(test)]
#[path = "mower_tests.rs"]
mod tests;
