//! Headings as the crew says them: hours on a clock with the green at 12.

use crate::words::Words;
use std::f64::consts::TAU;

/// Hours on the clock with the green at 12: where a pass comes from and where it goes to, to the
/// half hour.
pub fn clock_hours(heading_deg: f64, up_rad: f64) -> (String, String) {
    let up_deg = crossgrain_core::inside::model::quantity::compass_deg(up_rad);
    let turn = (heading_deg - up_deg).to_radians().rem_euclid(TAU);
    let halves = (turn / TAU * 24.0).round() as u32 % 24;
    let say = |halves: u32| {
        let h = match halves / 2 {
            0 => 12,
            h => h,
        };
        format!("{h}{}", if halves % 2 == 1 { ":30" } else { "" })
    };
    (say((halves + 12) % 24), say(halves))
}

/// An hour in a sentence: languages that say "the one" and "the two" have their own words.
pub(super) fn hour_words(hour: &str, words: &Words) -> String {
    let key = if hour == "1" || hour.starts_with("1:") {
        "clock.one"
    } else {
        "clock.many"
    };
    words.fill(key, &[("hour", hour)])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;
    use crossgrain_core::inside::model::quantity::UnitSystem;

    #[test]
    fn hours_follow_the_hole() {
        // A hole that runs east: 12 is east, 3 is south.
        let (from, to) = clock_hours(180.0, 0.0);
        assert_eq!((from.as_str(), to.as_str()), ("9", "3"));
        let (from, to) = clock_hours(90.0, 0.0);
        assert_eq!((from.as_str(), to.as_str()), ("6", "12"));
        let (_, to) = clock_hours(135.0, 0.0);
        assert_eq!(to, "1:30");
    }

    #[test]
    fn one_o_clock_is_feminine_singular_in_spanish() {
        let es = Words::of(Language::Spanish, UnitSystem::Metric);
        assert_eq!(hour_words("1", &es), "la 1");
        assert_eq!(hour_words("1:30", &es), "la 1:30");
        assert_eq!(hour_words("12:30", &es), "las 12:30");
    }
}
