//! The rules file of a season: JSON, every rule optional.
//!
//! ```json
//! { "season": {"from": "2027-04-05", "to": "2027-10-29"},
//!   "mowing_days": ["mon", "wed", "fri"],
//!   "make_up_days": ["tue", "thu", "sat"],
//!   "visits_per_week": 3,
//!   "grass": "creeping bentgrass",
//!   "regular": "stripes",
//!   "grooming": {"every_weeks": 1, "turns": ["cross", "loops"], "cross_sets": "one",
//!                "loop_diameter": "20ft-22ft", "lanes": ["along", "1:30-7:30", "10:30-4:30"],
//!                "lane_shifts": [0, 0.333, 0.667]},
//!   "clean_up": {"rings": [1, 2], "every_visits": 2},
//!   "height": {"regular": "0.5in", "raise_percent": 10, "raised_mows": 2,
//!              "gauge_step": "0.005in", "growth_mm_per_day": 2},
//!   "headings": {"allowed": ["12-6", "3-9", "1:30-7:30", "10:30-4:30", "along", 45],
//!                "extra_hours_percent": "knee", "half_life_days": 30},
//!   "closed": [{"from": "2027-06-11", "to": "2027-06-12", "why": "member-guest"}],
//!   "weather": {"frost_days": ["2027-04-12"], "wet_days": [], "frost": "later",
//!               "later_min": 120, "wet": "next-day", "within_days": 2},
//!   "crew": {"machines": [{"name": "wide", "deck": "100in"},
//!                         {"name": "narrow", "mower": "narrow.json", "count": 2}],
//!            "hours_per_day": 8, "start": "05:30", "between_min": 4},
//!   "rates": {"currency": "USD", "labour_per_hour": 24, "fuel_l_per_hour": 6, "fuel_per_l": 1.1},
//!   "vertical_mowing": {"times_a_year": 2, "width": "1.5m", "speed_kmh": 4, "efficiency_percent": 75,
//!                       "per_hour": 40, "clearing_h_per_ha": 3, "days_closed": 1},
//!   "fairways": {"7": {"no_loops": true, "height": "0.55in", "barred": ["wide"]}},
//!   "issue": 1 }
//! ```
//!
//! `clean_up.rings` is one number or several to choose from; `extra_hours_percent` a number, or
//! `knee`. Machines all alike need no names: `"crew": {"mowers": 2}`. A machine's mower file is
//! looked for beside the rules.
//!
//! Lengths are text with a unit; a key that ends in a unit takes a bare number. What is read
//! here is only the form; whether the rules make sense for a course is checked by
//! [`crossgrain_season::rule_faults`].

mod crew;
mod days;
mod fault;
mod reader;
mod words;

pub use fault::{RuleEntryFault, RulesError};

use crate::input;
use crossgrain_core::inside::model::pattern::PatternKind;
use crossgrain_core::inside::model::quantity::parse_length_m;
use crossgrain_season::rules::{ExtraHours, FairwayRule, Groom, Rules, VerticalMowing};
use reader::{Object, Reader};
use serde_json::Value;
use words::*;

/// Reads rules from text, what is missing taken from `defaults`; `file` is the name that errors
/// show.
///
/// # Errors
/// [`RulesError`] with all faults found.
///
/// ```
/// use crossgrain_season::Rules;
/// use jiff::civil::date;
/// let defaults = Rules::between(date(2027, 4, 1), date(2027, 10, 31));
/// let text = r#"{"season": {"to": "2027-09-30"}, "mowing_days": ["tue", "fri"]}"#;
/// let rules = crossgrain_formats::rules::read(text, "rules.json", defaults).unwrap();
/// assert_eq!(rules.to, date(2027, 9, 30));
/// assert_eq!(rules.visits(), 2);
/// ```
pub fn read(text: &str, file: &str, defaults: Rules) -> Result<Rules, RulesError> {
    let value = input::json(text, file).map_err(RulesError::Input)?;
    let mut r = Reader {
        faults: Vec::new(),
        rules: defaults,
    };
    r.rules(&value);
    if r.faults.is_empty() {
        Ok(r.rules)
    } else {
        Err(RulesError::Entries {
            file: file.to_string(),
            faults: r.faults,
        })
    }
}

impl Reader {
    fn rules(&mut self, value: &Value) {
        let Some(top) = self.part(
            "",
            value,
            &[
                "schema",
                "season",
                "mowing_days",
                "make_up_days",
                "visits_per_week",
                "grass",
                "regular",
                "grooming",
                "clean_up",
                "height",
                "headings",
                "closed",
                "weather",
                "crew",
                "rates",
                "vertical_mowing",
                "fairways",
                "issue",
            ],
        ) else {
            return;
        };
        if let Some(v) = top.map.get("season")
            && let Some(p) = self.part("season", v, &["from", "to"])
        {
            if let Some(d) = self.entry(&p, "from", DATE, date) {
                self.rules.from = d;
            }
            if let Some(d) = self.entry(&p, "to", DATE, date) {
                self.rules.to = d;
            }
        }
        if let Some(mut days) = self.list(&top, "mowing_days", DAY, weekday) {
            order(&mut days);
            // Days that may stand in stay what they were, less those that are now mowing days.
            self.rules.make_up_days.retain(|d| !days.contains(d));
            self.rules.mowing_days = days;
        }
        if let Some(mut days) = self.list(&top, "make_up_days", DAY, weekday) {
            order(&mut days);
            self.rules.make_up_days = days;
        }
        if let Some(n) = self.whole(&top, "visits_per_week") {
            self.rules.visits_per_week = Some(n);
        }
        let grasses = grasses();
        if let Some(g) = self.entry(&top, "grass", &grasses, grass) {
            self.rules.grass = g;
        }
        let patterns = "stripes, contour, half-and-half or rings";
        if let Some(k) = self.entry(&top, "regular", patterns, |v| {
            PatternKind::of_word(v.as_str()?)
        }) {
            self.rules.regular = k;
        }
        self.grooming(&top);
        self.clean_up_and_height(&top);
        self.headings(&top);
        self.closed(&top);
        self.weather(&top);
        self.crew(&top);
        self.vertical_mowing(&top);
        self.fairways(&top);
        if let Some(n) = self.whole(&top, "issue") {
            self.rules.issue = n;
        }
    }

    fn grooming(&mut self, top: &Object<'_>) {
        let Some(v) = top.map.get("grooming") else {
            return;
        };
        let keys = [
            "every_weeks",
            "turns",
            "cross_sets",
            "loop_diameter",
            "lanes",
            "lane_shifts",
        ];
        let Some(p) = self.part("grooming", v, &keys) else {
            return;
        };
        if let Some(n) = self.whole(&p, "every_weeks") {
            self.rules.grooming.every_weeks = n;
        }
        if let Some(turns) = self.list(&p, "turns", "cross or loops", |v| match v.as_str()? {
            "cross" => Some(Groom::Cross),
            "loops" => Some(Groom::Loops),
            _ => None,
        }) {
            self.rules.grooming.turns = turns;
        }
        if let Some(both) = self.entry(&p, "cross_sets", "one or both", |v| match v.as_str()? {
            "one" => Some(false),
            "both" => Some(true),
            _ => None,
        }) {
            self.rules.grooming.both_sets = both;
        }
        if let Some((a, b)) = self.entry(
            &p,
            "loop_diameter",
            "a diameter such as \"22ft\", or two such as \"20ft-22ft\"",
            |v| {
                let text = v.as_str()?;
                let (a, b) = text.split_once('-').unwrap_or((text, text));
                Some((parse_length_m(a).ok()?, parse_length_m(b).ok()?))
            },
        ) {
            self.rules.grooming.loop_diameter_min_m = a;
            self.rules.grooming.loop_diameter_max_m = b;
        }
        if let Some(list) = self.list(&p, "lanes", HEADING, heading) {
            self.rules.grooming.lanes = once(list);
        }
        if let Some(shifts) = self.list(&p, "lane_shifts", "fractions such as 0.5", Value::as_f64) {
            self.rules.grooming.lane_shifts = shifts;
        }
    }

    fn clean_up_and_height(&mut self, top: &Object<'_>) {
        if let Some(v) = top.map.get("clean_up")
            && let Some(p) = self.part("clean_up", v, &["rings", "every_visits"])
        {
            let numbers = "a whole number, or several to choose from such as [1, 2]";
            if let Some(n) = self.entry(&p, "rings", numbers, |v| {
                let whole = |v: &Value| u32::try_from(v.as_u64()?).ok();
                match v.as_array() {
                    Some(list) if list.len() <= 10 => list.iter().map(whole).collect(),
                    Some(_) => None,
                    None => Some(vec![whole(v)?]),
                }
            }) {
                let mut n: Vec<u32> = n;
                n.sort_unstable();
                n.dedup();
                self.rules.clean_up.rings = n;
            }
            if let Some(n) = self.whole(&p, "every_visits") {
                self.rules.clean_up.every_visits = n;
            }
        }
        let Some(v) = top.map.get("height") else {
            return;
        };
        let keys = [
            "regular",
            "raise_percent",
            "raised_mows",
            "gauge_step",
            "growth_mm_per_day",
        ];
        let Some(p) = self.part("height", v, &keys) else {
            return;
        };
        if let Some(m) = self.entry(&p, "regular", LENGTH, length) {
            self.rules.height.regular_m = m;
        }
        if let Some(x) = self.number(&p, "raise_percent") {
            self.rules.height.raise = x / 100.0;
        }
        if let Some(n) = self.whole(&p, "raised_mows") {
            self.rules.height.raised_mows = n;
        }
        if let Some(m) = self.entry(&p, "gauge_step", LENGTH, length) {
            self.rules.height.step_m = m;
        }
        if let Some(x) = self.number(&p, "growth_mm_per_day") {
            self.rules.height.growth_m_per_day = x / 1000.0;
        }
    }

    fn headings(&mut self, top: &Object<'_>) {
        let Some(v) = top.map.get("headings") else {
            return;
        };
        let keys = ["allowed", "extra_hours_percent", "half_life_days"];
        let Some(p) = self.part("headings", v, &keys) else {
            return;
        };
        if let Some(list) = self.list(&p, "allowed", HEADING, heading) {
            self.rules.headings.allowed = once(list);
        }
        if let Some(x) = self.entry(&p, "extra_hours_percent", "a number, or \"knee\"", |v| {
            if v.as_str() == Some("knee") {
                return Some(ExtraHours::Knee);
            }
            let x = v.as_f64().filter(|x| x.is_finite())?;
            Some(ExtraHours::Share(x / 100.0))
        }) {
            self.rules.headings.extra_hours = x;
        }
        if let Some(x) = self.number(&p, "half_life_days") {
            self.rules.headings.half_life_days = Some(x);
        }
    }

    fn vertical_mowing(&mut self, top: &Object<'_>) {
        let Some(v) = top.map.get("vertical_mowing") else {
            return;
        };
        let keys = [
            "times_a_year",
            "width",
            "speed_kmh",
            "efficiency_percent",
            "per_hour",
            "clearing_h_per_ha",
            "days_closed",
        ];
        let Some(p) = self.part("vertical_mowing", v, &keys) else {
            return;
        };
        for key in ["times_a_year", "width", "speed_kmh", "per_hour"] {
            if !p.map.contains_key(key) {
                self.fault(
                    p.at(key),
                    "missing".to_string(),
                    "your own figure; none is assumed",
                );
            }
        }
        let width = self.entry(&p, "width", LENGTH, length);
        let mut number = |key: &str| self.number(&p, key);
        let (times, speed, money) = (
            number("times_a_year"),
            number("speed_kmh"),
            number("per_hour"),
        );
        let efficiency = number("efficiency_percent").unwrap_or(100.0) / 100.0;
        let clearing = number("clearing_h_per_ha").unwrap_or(0.0);
        let days_closed = number("days_closed").unwrap_or(0.0);
        if let (Some(width_m), Some(times), Some(speed), Some(money)) = (width, times, speed, money)
        {
            self.rules.vertical_mowing = Some(VerticalMowing {
                times_a_year: times,
                width_m,
                speed_m_s: speed / 3.6,
                efficiency,
                money_per_hour: money,
                clearing_h_per_ha: clearing,
                days_closed,
            });
        }
    }

    fn fairways(&mut self, top: &Object<'_>) {
        let Some(v) = top.map.get("fairways") else {
            return;
        };
        let Some(map) = v.as_object() else {
            self.wrong("fairways", v, "an object with the fairways' names");
            return;
        };
        let grasses = grasses();
        for (name, own) in map {
            let path = format!("fairways.{}", input::plain(name));
            let keys = ["grass", "height", "no_loops", "left_out", "barred"];
            let Some(p) = self.part(&path, own, &keys) else {
                continue;
            };
            let rule = FairwayRule {
                grass: self.entry(&p, "grass", &grasses, grass),
                height_m: self.entry(&p, "height", LENGTH, length),
                no_loops: self
                    .entry(&p, "no_loops", "true or false", Value::as_bool)
                    .unwrap_or(false),
                left_out: self
                    .entry(&p, "left_out", "true or false", Value::as_bool)
                    .unwrap_or(false),
                barred: self
                    .list(&p, "barred", "the name of a machine", words)
                    .unwrap_or_default(),
            };
            self.rules.fairways.insert(name.clone(), rule);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crossgrain_season::rules::{Sky, clock};
    use jiff::civil::date;

    fn defaults() -> Rules {
        Rules::between(date(2027, 4, 1), date(2027, 10, 31))
    }

    fn faults(text: &str) -> String {
        read(text, "rules.json", defaults())
            .unwrap_err()
            .to_string()
    }

    #[test]
    fn an_empty_object_is_the_defaults() {
        assert_eq!(read("{}", "rules.json", defaults()).unwrap(), defaults());
    }

    #[test]
    fn the_example_of_the_documentation_is_read() {
        let doc = include_str!("rules.rs");
        let example: String = doc
            .lines()
            .skip_while(|l| *l != "//! ```json")
            .skip(1)
            .take_while(|l| *l != "//! ```")
            .map(|l| l.trim_start_matches("//!"))
            .collect();
        let r = read(&example, "rules.json", defaults()).unwrap();
        assert_eq!(r.from, date(2027, 4, 5));
        assert_eq!(r.headings.allowed.len(), 6);
        assert_eq!(r.headings.allowed[2], clock(1.5));
        assert!(r.fairways["7"].no_loops);
        assert!((r.height.regular_m - 0.0127).abs() < 1e-12);
        assert_eq!(r.rates.fuel_l_per_hour, Some(6.0));
        assert_eq!(r.closed[0].why, "member-guest");
        assert_eq!(r.weather.days, [(date(2027, 4, 12), Sky::Frost)]);
    }

    #[test]
    fn both_ends_of_a_clock_position_are_one_axis() {
        for (a, b) in [
            ("10-4", "4-10"),
            ("12-6", "6-12"),
            ("3-9", "9-3"),
            ("10:30-4:30", "4.5-10.5"),
        ] {
            let at = |t: &str| heading(&Value::from(t)).unwrap();
            assert_eq!(at(a), at(b), "{a}");
        }
        assert_eq!(heading(&Value::from("10-5")), None);
        assert_eq!(heading(&Value::from("10:15-4:15")), None);
        assert_eq!(heading(&Value::from("12-6")), Some(clock(12.0)));
    }

    #[test]
    fn every_fault_names_its_rule_and_the_fix() {
        let text = faults(
            r#"{"season": {"from": "5 April"}, "mowing_days": ["mon", "someday"], "grass": "moss",
               "height": {"regular": 12}, "crew": {"startt": "05:30"}, "closed": [{"why": "x"}]}"#,
        );
        for expected in [
            "rules.json: season.from: \"5 April\" cannot be read; give a day such as \"2027-04-05\"",
            "mowing_days[1]: \"someday\" cannot be read; give a day of the week",
            "grass: \"moss\" cannot be read; give one of creeping bentgrass",
            "height.regular: 12 cannot be read; give a length with its unit",
            "crew.startt: no such rule; give one of mowers, machines, hours_per_day, start, between_min",
            "closed[0]: no day; give date, or from and to",
        ] {
            assert!(text.contains(expected), "{expected}\nnot in\n{text}");
        }
        assert!(faults("[]").contains("rules: [] cannot be read; give an object"));
    }
}
