//! What a course file tells the crew beside the ground: whom to call, when play begins, and what
//! stands in the turf.

use crate::input::plain;
use geo_types::Coord;
use serde_json::Value;

/// Something small that stands in the turf, level with it: reels pass over it, and nobody wants to
/// meet one that does not sit level.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FixtureKind {
    /// A sprinkler head.
    SprinklerHead,
    /// A plate with the yards to the green.
    YardagePlate,
}

impl FixtureKind {
    /// Its role in a course file.
    pub fn word(self) -> &'static str {
        match self {
            FixtureKind::SprinklerHead => "sprinkler-head",
            FixtureKind::YardagePlate => "yardage-plate",
        }
    }
}

/// Where one stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fixture {
    /// What it is.
    pub kind: FixtureKind,
    /// Where, metres in the course's plane.
    pub at: Coord<f64>,
}

/// Words of a course file for every sheet; none where the file has none.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct CrewWords {
    /// The number to call in an emergency, and where the gate is.
    pub emergency: Option<String>,
    /// The radio channel.
    pub radio: Option<String>,
    /// When the first group tees off, as the file has it: `7:00`.
    pub first_tee: Option<String>,
}

/// Longest text that is taken, characters: more has no room on a line of a sheet.
pub const MAX_CREW_WORDS: usize = 60;

impl CrewWords {
    /// From the members of the file that stand beside its features.
    pub(super) fn of(file: &Value) -> Self {
        let said = |key: &str| {
            let text = match file.get(key)? {
                Value::String(s) => plain(s),
                Value::Number(n) => n.to_string(),
                _ => return None,
            };
            let text: String = text.trim().chars().take(MAX_CREW_WORDS).collect();
            (!text.is_empty()).then_some(text)
        };
        Self {
            emergency: said("emergency"),
            radio: said("radio_channel"),
            first_tee: said("first_tee_time"),
        }
    }
}
