//! An outline from a drive: someone drives or walks along an edge with a phone or a receiver.
//!
//! The recorded positions (`fixes`: GPX, NMEA 0183, CSV) are cleaned of jumps and of standing
//! still (`clean`), closed where the drive comes back to its start, moved by the distance
//! between antenna and edge, and simplified within a tolerance (`edge`). Where the drive goes
//! on over its own beginning, the spread between the two tells how far positions can be trusted,
//! and the area is given with an interval (`accuracy`).

mod accuracy;
mod clean;
mod drive;
mod edge;
mod fixes;
mod nmea;

pub use accuracy::{DEFAULT_ERROR_M, ErrorFrom};
pub use drive::{Drive, Fix};
pub use edge::{DEFAULT_TOLERANCE_M, MAX_CLOSING_GAP_M};
pub use fixes::{parse, read};

use crate::files::FileError;
use crossgrain_core::Plane;
use std::fmt;

/// Fewest positions that can be an outline.
pub const MIN_FIXES: usize = 10;
/// Most positions of a drive: a day at ten a second is more than anybody drives along an edge.
pub const MAX_FIXES: usize = 500_000;
/// Farthest that a position lies from the first, metres: beyond, it is another place.
pub const RANGE_M: f64 = 10_000.0;

/// What an outline is made with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// How far outside the driven line the edge lies, metres; below zero: inside.
    pub offset_m: f64,
    /// The outline stays this near to the driven line, metres.
    pub tolerance_m: f64,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            offset_m: 0.0,
            tolerance_m: DEFAULT_TOLERANCE_M,
        }
    }
}

/// An outline, and how far it can be trusted.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// The ring, longitude and latitude in degrees, closed, counter-clockwise.
    pub ring: Vec<[f64; 2]>,
    /// Its area, square metres.
    pub area_m2: f64,
    /// The true area lies above this, 19 times in 20.
    pub area_low_m2: f64,
    /// And below this.
    pub area_high_m2: f64,
    /// Its length, metres.
    pub length_m: f64,
    /// Error of a position along each axis (one standard deviation), metres.
    pub error_m: f64,
    /// Where that is known from.
    pub error_from: ErrorFrom,
    /// How far the drive goes on over its own beginning, metres.
    pub overlap_m: f64,
    /// Spread between the two there (root mean square across the line), metres.
    pub spread_m: Option<f64>,
    /// What was joined by a straight line: where the drive did not quite come back to its start,
    /// and where reception was lost. Metres, the longest first.
    pub bridged_m: Vec<f64>,
    /// Positions left out because nothing drives that fast.
    pub jumps: usize,
    /// Positions drawn together because the receiver stood still.
    pub still: usize,
    /// Positions without a fix, or damaged lines.
    pub unusable: usize,
}

/// Why a drive makes no outline.
#[derive(Debug)]
pub enum SurveyError {
    /// The file cannot be read.
    File(FileError),
    /// It is no recorded drive of a kind that is read.
    Unknown {
        /// The file.
        file: String,
    },
    /// A line of it is damaged.
    Line {
        /// The file.
        file: String,
        /// Line, 1 first.
        line: usize,
        /// What is wrong.
        what: &'static str,
    },
    /// Too few positions are left to make an outline.
    TooFew {
        /// How many.
        count: usize,
    },
    /// More positions than [`MAX_FIXES`].
    TooMany,
    /// The drive does not come back to its start.
    NotClosed {
        /// How far its end is from its start, metres.
        gap_m: f64,
    },
    /// A piece in the middle is missing.
    Hole {
        /// How long it is, metres.
        gap_m: f64,
        /// Where, longitude and latitude, degrees.
        at: [f64; 2],
    },
    /// The line crosses itself, so that it goes round two areas.
    Crosses,
    /// Nothing is left inside the line, once it is moved by the offset.
    NoArea,
}

impl fmt::Display for SurveyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SurveyError::File(e) => e.fmt(f),
            SurveyError::Unknown { file } => write!(
                f,
                "{file}: no recorded drive; use GPX, NMEA with GGA or RMC lines, or CSV whose first line names the columns latitude and longitude"
            ),
            SurveyError::Line { file, line, what } => write!(
                f,
                "{file}: line {line}: {what}; correct that line or delete it"
            ),
            SurveyError::TooFew { count } => write!(
                f,
                "only {count} usable positions; an outline needs {MIN_FIXES}: drive the edge again and record a position every second"
            ),
            SurveyError::TooMany => write!(
                f,
                "more than {MAX_FIXES} positions; record the edge alone, one position a second"
            ),
            SurveyError::NotClosed { gap_m } => write!(
                f,
                "the drive ends {gap_m:.0} m from where it began; start and stop recording on the edge, and drive on past the start"
            ),
            SurveyError::Hole {
                gap_m,
                at: [lon, lat],
            } => write!(
                f,
                "{gap_m:.0} m of the drive are missing at [{lon:.6}, {lat:.6}]; drive the edge again, slower where reception is poor"
            ),
            SurveyError::Crosses => write!(
                f,
                "the line crosses itself and goes round two areas; drive each edge by itself"
            ),
            SurveyError::NoArea => write!(
                f,
                "there is no area inside the line; drive all the way round the edge, and check --offset"
            ),
        }
    }
}

impl std::error::Error for SurveyError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            SurveyError::File(e) => Some(e),
            _ => None,
        }
    }
}

/// The outline that a drive makes.
///
/// # Errors
/// [`SurveyError`] with the reason and what to do.
pub fn outline(drive: &Drive, settings: &Settings) -> Result<Outline, SurveyError> {
    let few = || SurveyError::TooFew {
        count: drive.fixes.len(),
    };
    if drive.fixes.len() < MIN_FIXES {
        return Err(few());
    }
    let plane = Plane::about(drive.fixes.iter().map(|f| [f.lon_deg, f.lat_deg])).ok_or_else(few)?;
    let cleaned = clean::clean(drive, &plane)?;
    let closed = edge::close(&cleaned)?;
    let error = accuracy::error(&closed, drive);
    let shape = edge::shape(&closed, cleaned.jitter_m, settings)?;
    let half_m2 = accuracy::half_interval_m2(&closed, &error) + shape.changed_m2;

    let mut bridged_m = cleaned.bridged_m;
    bridged_m.extend(closed.closing_gap_m.filter(|g| *g > edge::TOLD_GAP_M));
    bridged_m.sort_by(|a, b| b.total_cmp(a));
    Ok(Outline {
        ring: shape
            .ring
            .0
            .iter()
            .map(|c| plane.lon_lat(*c).position())
            .collect(),
        area_m2: shape.area_m2,
        area_low_m2: (shape.area_m2 - half_m2).max(0.0),
        area_high_m2: shape.area_m2 + half_m2,
        length_m: shape.length_m,
        error_m: error.sigma_m,
        error_from: error.from,
        overlap_m: closed.overlap_m,
        spread_m: closed.spread_m,
        bridged_m,
        jumps: cleaned.jumps,
        still: cleaned.still,
        unusable: drive.unusable,
    })
}

#[cfg(test)]
mod tests;
