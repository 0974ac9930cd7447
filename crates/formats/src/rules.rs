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
//!                "loop_diameter": "20ft-22ft", "lane_shifts": [0, 0.333, 0.667]},
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

use crate::input::{self, InputError};
use crossgrain_core::inside::model::pattern::{Heading, PatternKind};
use crossgrain_core::inside::model::quantity::parse_length_m;
use crossgrain_season::grass::Grass;
use crossgrain_season::rules::{
    Closed, ExtraHours, FairwayRule, Groom, MachineRule, Rules, Sky, SkyRule, VerticalMowing, clock,
};
use jiff::civil::{Date, Time, Weekday};
use serde_json::{Map, Value};
use std::fmt;

/// One entry of the file that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleEntryFault {
    /// Where it stands, such as `season.to`.
    pub rule: String,
    /// What is there.
    pub found: String,
    /// What should be there.
    pub expected: String,
}

impl fmt::Display for RuleEntryFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}; give {}", self.rule, self.found, self.expected)
    }
}

/// Why a rules file could not be read: all faults found.
#[derive(Debug)]
pub enum RulesError {
    /// It is no JSON file at all.
    Input(InputError),
    /// Entries cannot be read.
    Entries {
        /// The file.
        file: String,
        /// All of them.
        faults: Vec<RuleEntryFault>,
    },
}

impl fmt::Display for RulesError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            RulesError::Input(e) => e.fmt(f),
            RulesError::Entries { file, faults } => {
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

impl std::error::Error for RulesError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            RulesError::Input(e) => Some(e),
            RulesError::Entries { .. } => None,
        }
    }
}

/// Most kinds of machine.
const MAX_MACHINES: usize = 20;
/// Most entries in a list: far beyond a season's days.
const MAX_LIST: usize = 2000;

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

struct Reader {
    faults: Vec<RuleEntryFault>,
    rules: Rules,
}

/// One object of the file with its place.
struct Object<'a> {
    path: String,
    map: &'a Map<String, Value>,
}

impl Object<'_> {
    fn at(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_string()
        } else {
            format!("{}.{key}", self.path)
        }
    }
}

impl Reader {
    fn fault(&mut self, rule: impl Into<String>, found: String, expected: impl Into<String>) {
        self.faults.push(RuleEntryFault {
            rule: rule.into(),
            found,
            expected: expected.into(),
        });
    }

    fn wrong(&mut self, rule: impl Into<String>, value: &Value, expected: impl Into<String>) {
        self.fault(rule, shown(value), expected);
    }

    fn part<'a>(&mut self, path: &str, value: &'a Value, keys: &[&str]) -> Option<Object<'a>> {
        let Some(map) = value.as_object() else {
            self.wrong(
                if path.is_empty() { "rules" } else { path },
                value,
                format!("an object with {}", keys.join(", ")),
            );
            return None;
        };
        let part = Object {
            path: path.to_string(),
            map,
        };
        for key in map.keys() {
            if !keys.contains(&key.as_str()) && key != "note" {
                let at = part.at(&input::plain(&key.chars().take(60).collect::<String>()));
                self.fault(
                    at,
                    "no such rule".to_string(),
                    format!("one of {}", keys.join(", ")),
                );
            }
        }
        Some(part)
    }

    /// The entry `key`, read by `read`; a fault when it is there and cannot be read.
    fn entry<T>(
        &mut self,
        part: &Object<'_>,
        key: &str,
        expected: &str,
        read: impl Fn(&Value) -> Option<T>,
    ) -> Option<T> {
        let value = part.map.get(key)?;
        let out = read(value);
        if out.is_none() {
            self.wrong(part.at(key), value, expected);
        }
        out
    }

    fn list<T>(
        &mut self,
        part: &Object<'_>,
        key: &str,
        expected: &str,
        read: impl Fn(&Value) -> Option<T>,
    ) -> Option<Vec<T>> {
        let value = part.map.get(key)?;
        let Some(items) = value.as_array().filter(|a| a.len() <= MAX_LIST) else {
            self.wrong(part.at(key), value, format!("a list of {expected}"));
            return None;
        };
        let mut out = Vec::new();
        for (i, item) in items.iter().enumerate() {
            match read(item) {
                Some(t) => out.push(t),
                None => self.wrong(format!("{}[{i}]", part.at(key)), item, expected),
            }
        }
        Some(out)
    }

    fn number(&mut self, part: &Object<'_>, key: &str) -> Option<f64> {
        self.entry(part, key, "a number", |v| {
            v.as_f64().filter(|x| x.is_finite())
        })
    }

    fn whole(&mut self, part: &Object<'_>, key: &str) -> Option<u32> {
        self.entry(part, key, "a whole number, 0 or more", |v| {
            v.as_u64().and_then(|n| u32::try_from(n).ok())
        })
    }

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
            PatternKind::ALL
                .into_iter()
                .find(|k| Some(k.word()) == v.as_str())
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
        let expected = "a clock position such as \"10-4\", a bearing such as 45, along or fewest";
        if let Some(list) = self.list(&p, "allowed", expected, heading) {
            self.rules.headings.allowed.clear();
            for h in list {
                if !self.rules.headings.allowed.contains(&h) {
                    self.rules.headings.allowed.push(h);
                }
            }
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

    fn closed(&mut self, top: &Object<'_>) {
        let Some(v) = top.map.get("closed") else {
            return;
        };
        let Some(items) = v.as_array().filter(|a| a.len() <= MAX_LIST) else {
            self.wrong("closed", v, "a list of {\"date\": ..., \"why\": ...}");
            return;
        };
        self.rules.closed.clear();
        for (i, item) in items.iter().enumerate() {
            let path = format!("closed[{i}]");
            let Some(p) = self.part(&path, item, &["date", "from", "to", "why"]) else {
                continue;
            };
            let one = self.entry(&p, "date", DATE, date);
            let from = self.entry(&p, "from", DATE, date).or(one);
            let to = self.entry(&p, "to", DATE, date).or(one).or(from);
            let why = self.entry(&p, "why", "a few words", words);
            if let (Some(from), Some(to)) = (from, to) {
                self.rules.closed.push(Closed {
                    from,
                    to,
                    why: why.unwrap_or_else(|| "closed".to_string()),
                });
            } else if !["date", "from"].iter().any(|k| p.map.contains_key(*k)) {
                self.fault(path, "no day".to_string(), "date, or from and to");
            }
        }
    }

    fn weather(&mut self, top: &Object<'_>) {
        let Some(v) = top.map.get("weather") else {
            return;
        };
        let keys = [
            "frost_days",
            "wet_days",
            "frost",
            "wet",
            "later_min",
            "within_days",
        ];
        let Some(p) = self.part("weather", v, &keys) else {
            return;
        };
        for (key, sky) in [("frost_days", Sky::Frost), ("wet_days", Sky::Wet)] {
            if let Some(days) = self.list(&p, key, DATE, date) {
                self.rules
                    .weather
                    .days
                    .extend(days.into_iter().map(|d| (d, sky)));
            }
        }
        let later = self.whole(&p, "later_min").filter(|m| *m <= 720);
        if p.map.contains_key("later_min") && later.is_none() && self.faults.is_empty() {
            self.fault(
                "weather.later_min",
                "too long".to_string(),
                "minutes from 0 to 720",
            );
        }
        let minutes = later.unwrap_or(120);
        let rule = |v: &Value| match v.as_str()? {
            "later" => Some(SkyRule::Later { minutes }),
            "next-day" => Some(SkyRule::NextDay),
            "drop" => Some(SkyRule::Drop),
            _ => None,
        };
        let expected = "later, next-day or drop";
        if let SkyRule::Later { .. } = self.rules.weather.frost {
            self.rules.weather.frost = SkyRule::Later { minutes };
        }
        if let Some(r) = self.entry(&p, "frost", expected, rule) {
            self.rules.weather.frost = r;
        }
        if let Some(r) = self.entry(&p, "wet", expected, rule) {
            self.rules.weather.wet = r;
        }
        if let Some(n) = self.whole(&p, "within_days") {
            // A fortnight later the visit is another one.
            self.rules.weather.within_days = n.min(14);
        }
    }

    fn crew(&mut self, top: &Object<'_>) {
        if let Some(v) = top.map.get("crew") {
            let keys = [
                "mowers",
                "machines",
                "hours_per_day",
                "start",
                "between_min",
            ];
            if let Some(p) = self.part("crew", v, &keys) {
                if let Some(n) = self.whole(&p, "mowers") {
                    self.rules.crew.mowers = n;
                }
                self.machines(&p);
                if let Some(x) = self.number(&p, "hours_per_day") {
                    self.rules.crew.hours_per_day = x;
                }
                if let Some(t) = self.entry(&p, "start", "a time such as \"05:30\"", |v| {
                    v.as_str()?.parse::<Time>().ok()
                }) {
                    self.rules.crew.start = t;
                }
                if let Some(x) = self.number(&p, "between_min") {
                    self.rules.crew.between_min = x;
                }
            }
        }
        let Some(v) = top.map.get("rates") else {
            return;
        };
        let keys = [
            "currency",
            "labour_per_hour",
            "fuel_l_per_hour",
            "fuel_per_l",
        ];
        if let Some(p) = self.part("rates", v, &keys) {
            if let Some(c) = self.entry(&p, "currency", "a name such as USD", words) {
                self.rules.rates.currency = c;
            }
            self.rules.rates.labour_per_hour = self.number(&p, "labour_per_hour");
            self.rules.rates.fuel_l_per_hour = self.number(&p, "fuel_l_per_hour");
            self.rules.rates.fuel_per_l = self.number(&p, "fuel_per_l");
        }
    }

    fn machines(&mut self, crew: &Object<'_>) {
        let Some(v) = crew.map.get("machines") else {
            return;
        };
        let Some(items) = v.as_array().filter(|a| a.len() <= MAX_MACHINES) else {
            self.wrong(
                "crew.machines",
                v,
                "a list of {\"name\": ..., \"deck\" or \"mower\": ...}",
            );
            return;
        };
        self.rules.crew.machines.clear();
        for (i, item) in items.iter().enumerate() {
            let path = format!("crew.machines[{i}]");
            let Some(p) = self.part(&path, item, &["name", "deck", "mower", "count"]) else {
                continue;
            };
            let name = self.entry(&p, "name", "a name", words);
            let deck_m = self.entry(&p, "deck", LENGTH, length);
            let file = self.entry(&p, "mower", "the name of a mower file", |v| {
                v.as_str().map(str::to_string)
            });
            let count = self.whole(&p, "count").unwrap_or(1);
            let has = |k: &str| p.map.contains_key(k);
            if has("deck") == has("mower") {
                self.fault(
                    path,
                    "a deck or a mower file is wanted".to_string(),
                    "either deck or mower",
                );
            } else if let Some(name) = name {
                self.rules.crew.machines.push(MachineRule {
                    name,
                    deck_m,
                    file,
                    count,
                });
            } else if !has("name") {
                self.fault(path, "no name".to_string(), "a name");
            }
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

const DATE: &str = "a day such as \"2027-04-05\"";
const DAY: &str = "a day of the week such as \"mon\"";
const LENGTH: &str = "a length with its unit, such as \"0.5in\" or \"12mm\"";

/// What is in the file, short enough for a message.
fn shown(value: &Value) -> String {
    let text = input::plain(&value.to_string());
    if text.chars().count() > 60 {
        let start: String = text.chars().take(57).collect();
        format!("{start}... cannot be read")
    } else {
        format!("{text} cannot be read")
    }
}

fn date(v: &Value) -> Option<Date> {
    v.as_str()?.trim().parse().ok()
}

fn length(v: &Value) -> Option<f64> {
    parse_length_m(v.as_str()?).ok()
}

fn words(v: &Value) -> Option<String> {
    let text = v.as_str()?.trim();
    Some(input::plain(text).chars().take(200).collect())
}

fn grass(v: &Value) -> Option<Grass> {
    Grass::named(v.as_str()?)
}

fn grasses() -> String {
    let all: Vec<&str> = Grass::ALL.iter().map(|g| g.word()).collect();
    format!("one of {}", all.join(", "))
}

fn order(days: &mut Vec<Weekday>) {
    days.sort_by_key(|d| d.to_monday_zero_offset());
    days.dedup();
}

fn weekday(v: &Value) -> Option<Weekday> {
    let text = v.as_str()?.trim().to_lowercase();
    // The first three letters, or more of the same word.
    const NAMES: [(&str, Weekday); 7] = [
        ("monday", Weekday::Monday),
        ("tuesday", Weekday::Tuesday),
        ("wednesday", Weekday::Wednesday),
        ("thursday", Weekday::Thursday),
        ("friday", Weekday::Friday),
        ("saturday", Weekday::Saturday),
        ("sunday", Weekday::Sunday),
    ];
    NAMES
        .into_iter()
        .find(|(n, _)| text.len() >= 3 && n.starts_with(&text))
        .map(|(_, d)| d)
}

/// An axis: a clock position, a bearing, `along` or `fewest`. Of the two ends of a clock
/// position the one toward the green is kept, so that 4-10 and 10-4 are one axis.
fn heading(v: &Value) -> Option<Heading> {
    if let Some(deg) = v.as_f64() {
        return (deg.is_finite() && deg.abs() <= 360.0).then(|| Heading::Bearing {
            deg: deg.rem_euclid(360.0),
        });
    }
    let text = v.as_str()?.trim().to_lowercase();
    match text.as_str() {
        "along" => return Some(Heading::Along),
        "fewest" => return Some(Heading::Fewest),
        _ => {}
    }
    let (a, b) = text.split_once('-')?;
    let (a, b) = (hour(a)?, hour(b)?);
    if ((a - b).rem_euclid(12.0) - 6.0).abs() > 1e-9 {
        return None;
    }
    let toward = |h: f64| h.rem_euclid(12.0) <= 3.0 || h.rem_euclid(12.0) > 9.0;
    let to = if toward(b) { b } else { a };
    Some(clock(if to.rem_euclid(12.0) == 0.0 { 12.0 } else { to }))
}

/// Hours with halves: `10`, `10:30`, `10.5`.
fn hour(text: &str) -> Option<f64> {
    let text = text.trim();
    let h = match text.split_once(':') {
        Some((h, m)) => {
            let minutes: f64 = m.parse::<u32>().ok()?.into();
            f64::from(h.parse::<u32>().ok()?) + minutes / 60.0
        }
        None => text.parse().ok()?,
    };
    let half = (2.0 * h).round() == 2.0 * h;
    ((0.0..=12.5).contains(&h) && half).then_some(h)
}

#[cfg(test)]
mod tests {
    use super::*;
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
