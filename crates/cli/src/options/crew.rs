//! What the crew is told on every sheet, from the options or else from the course file.

use super::{text, value};
use crate::failure::Failure;
use clap::{Arg, ArgMatches};
use crossgrain_formats::course::{CourseFile, FixtureKind, MAX_CREW_WORDS};
use crossgrain_render::crew::ForCrew;
use geo_types::Coord;
use jiff::civil::Time;

/// `--emergency`, `--radio` and `--first-tee`.
pub(crate) fn crew_args() -> [Arg; 3] {
    [
        value(
            "emergency",
            "TEXT",
            "The number to call and the gate, for every sheet [default: emergency in the course file]",
        ),
        value(
            "radio",
            "CHANNEL",
            "The crew's radio channel [default: radio_channel in the course file]",
        ),
        value(
            "first-tee",
            "TIME",
            "When the first group tees off, such as 7:00 [default: first_tee_time in the course file]",
        ),
    ]
}

/// What the crew is told.
pub(crate) struct Crew {
    emergency: Option<String>,
    radio: Option<String>,
    first_tee: Option<Time>,
    heads: Vec<Coord<f64>>,
    plates: Vec<Coord<f64>>,
    /// What the user should know of it.
    pub notes: Vec<String>,
}

impl Crew {
    /// The same as pages take it.
    pub(crate) fn on_pages(&self) -> ForCrew<'_> {
        ForCrew {
            emergency: self.emergency.as_deref(),
            radio: self.radio.as_deref(),
            first_tee: self.first_tee,
            sprinkler_heads: &self.heads,
            yardage_plates: &self.plates,
        }
    }
}

/// An hour such as `7:00` or `06:45`.
fn hour(t: &str) -> Option<Time> {
    let (h, m) = t.trim().split_once(':')?;
    if m.len() != 2 {
        return None;
    }
    Time::new(h.parse().ok()?, m.parse().ok()?, 0, 0).ok()
}

/// Options first, then the file.
pub(crate) fn crew(m: &ArgMatches, file: &CourseFile) -> Result<Crew, Failure> {
    let short = |name: &str, option: &'static str| match text(m, name) {
        Some(t) if t.chars().count() > MAX_CREW_WORDS => Err(Failure::Argument {
            option,
            reason: format!("it has no room on a sheet; use up to {MAX_CREW_WORDS} characters"),
        }),
        said => Ok(said.map(str::to_string)),
    };
    let mut notes = Vec::new();
    let first_tee = match (text(m, "first-tee"), &file.crew.first_tee) {
        (Some(t), _) => Some(hour(t).ok_or_else(|| Failure::Argument {
            option: "--first-tee",
            reason: format!("'{t}' is no time of day; write it as 7:00"),
        })?),
        (None, Some(t)) => {
            let read = hour(t);
            if read.is_none() {
                notes.push(format!(
                    "note: first_tee_time in the course file, '{t}', is no time of day such as 7:00; left out"
                ));
            }
            read
        }
        (None, None) => None,
    };
    let of = |kind: FixtureKind| {
        (file.fixtures.iter())
            .filter(|f| f.kind == kind)
            .map(|f| f.at)
            .collect()
    };
    Ok(Crew {
        emergency: short("emergency", "--emergency")?.or(file.crew.emergency.clone()),
        radio: short("radio", "--radio")?.or(file.crew.radio.clone()),
        first_tee,
        heads: of(FixtureKind::SprinklerHead),
        plates: of(FixtureKind::YardagePlate),
        notes,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_have_two_figures_of_minutes() {
        assert_eq!(hour("7:00"), Time::new(7, 0, 0, 0).ok());
        assert_eq!(hour(" 06:45 "), Time::new(6, 45, 0, 0).ok());
        for wrong in ["7", "7:5", "25:00", "7:60", "7 am", "7:00 am", ""] {
            assert_eq!(hour(wrong), None, "{wrong}");
        }
    }
}
