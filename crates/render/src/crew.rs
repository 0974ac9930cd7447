//! What the crew wants on every page of a morning: whom to call, on which channel, when play
//! begins, and what stands in the turf. Whatever is not known leaves no hole.

use crate::drawing::{Pen, Shape, Spot, Stroke};
use crate::ink::{BLACK, THIN_MM, WHITE};
use crate::lettering::clean;
use crate::season_frame::time_text;
use crate::words::Words;
use geo_types::Coord;
use jiff::civil::{DateTime, Time};

/// What the crew is told beside the drive.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ForCrew<'a> {
    /// The number to call in an emergency, and where the gate is.
    pub emergency: Option<&'a str>,
    /// The radio channel.
    pub radio: Option<&'a str>,
    /// When the first group tees off.
    pub first_tee: Option<Time>,
    /// Sprinkler heads, metres in the course's plane.
    pub sprinkler_heads: &'a [Coord<f64>],
    /// Yardage plates, metres in the course's plane.
    pub yardage_plates: &'a [Coord<f64>],
}

/// Minutes that a first group takes for a hole: four players with nobody before them go round 18
/// holes in three and a half hours or more (common practice).
pub const FIRST_GROUP_MIN_A_HOLE: f64 = 12.0;
/// More holes than a course has in one round.
const MAX_HOLES: u32 = 18;

impl ForCrew<'_> {
    /// Whom to call and the channel, in words.
    pub(crate) fn call(&self, words: &Words) -> Vec<String> {
        let said = [
            ("crew.emergency", self.emergency.map(clean)),
            ("crew.radio", self.radio.map(clean)),
        ];
        (said.into_iter())
            .filter_map(|(key, text)| Some((key, text.filter(|t| !t.is_empty())?)))
            .map(|(key, text)| words.fill(key, &[("text", &text)]))
            .collect()
    }

    /// The same and the first tee time, for the foot of a board.
    pub(crate) fn lines(&self, words: &Words) -> Vec<String> {
        let mut out = self.call(words);
        out.extend(self.first_tee.map(|t| {
            let on = DateTime::default().date().to_datetime(t);
            words.fill("crew.first_tee", &[("text", &time_text(on, words))])
        }));
        out
    }

    /// When players come to a fairway, in words.
    pub(crate) fn players(&self, fairway: &str, words: &Words) -> Option<String> {
        let at = self.players_at(fairway, DateTime::default())?;
        Some(words.fill("players_at", &[("time", &time_text(at, words))]))
    }

    /// When the first group comes to the hole of a fairway; none without a tee time, and where the
    /// fairway's name does not begin with the number of a hole.
    pub fn players_at(&self, fairway: &str, on: DateTime) -> Option<DateTime> {
        let digits: String = (fairway.trim().chars())
            .take_while(char::is_ascii_digit)
            .collect();
        let hole: u32 = digits.parse().ok()?;
        if !(1..=MAX_HOLES).contains(&hole) {
            return None;
        }
        let first = on.date().to_datetime(self.first_tee?);
        let after_s = f64::from(hole - 1) * FIRST_GROUP_MIN_A_HOLE * 60.0;
        first
            .checked_add(jiff::Span::new().seconds(after_s as i64))
            .ok()
    }
}

/// A sprinkler head on the map: a ring with a dot.
pub(crate) fn head_sign(pen: &mut Pen, at: Spot) {
    pen.fill_stroke(Shape::circle(at, 1.1), WHITE, Stroke::solid(BLACK, THIN_MM));
    pen.fill(Shape::circle(at, 0.4), BLACK);
}

/// A yardage plate on the map: a black square on its corner.
pub(crate) fn plate_sign(pen: &mut Pen, at: Spot) {
    let r = 1.3;
    let corners = [(0.0, -r), (r, 0.0), (0.0, r), (-r, 0.0)];
    pen.fill_stroke(
        Shape::points(corners.map(|(x, y)| (at.0 + x, at.1 + y)), true),
        BLACK,
        Stroke::solid(WHITE, THIN_MM),
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;
    use crossgrain_core::inside::model::quantity::UnitSystem;
    use jiff::civil::{date, time};

    #[test]
    fn what_is_not_known_is_not_said() {
        let words = Words::of(Language::English, UnitSystem::Us);
        assert!(ForCrew::default().lines(&words).is_empty());
        let some = ForCrew {
            emergency: Some(" "),
            radio: Some("4"),
            ..ForCrew::default()
        };
        assert_eq!(some.lines(&words).len(), 1);
    }

    #[test]
    fn the_first_group_comes_to_the_holes_in_order() {
        let crew = ForCrew {
            first_tee: Some(time(7, 0, 0, 0)),
            ..ForCrew::default()
        };
        let on = date(2027, 6, 4).at(5, 0, 0, 0);
        let at = |h, m| Some(date(2027, 6, 4).at(h, m, 0, 0));
        assert_eq!(crew.players_at("1", on), at(7, 0));
        assert_eq!(crew.players_at("6 north", on), at(8, 0));
        assert_eq!(crew.players_at("27", on), None);
        assert_eq!(crew.players_at("Old meadow", on), None);
        assert_eq!(ForCrew::default().players_at("1", on), None);
    }
}
