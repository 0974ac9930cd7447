//! A programme that goes on: the one before is read, and what changed is told.

use crate::input::{self, InputError};
use crate::programme::SCHEMA;
use crossgrain_season::Programme;
use crossgrain_season::programme::Visit;
use jiff::civil::Date;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fmt;

/// What is needed of the programme before.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Before {
    /// Its issue.
    pub issue: u32,
    /// What stood for each fairway and slot.
    visits: BTreeMap<(String, String), Told>,
    /// Days with work, by mower (0 the first).
    pub days: Vec<(Date, u32)>,
}

/// A visit as far as a change would be told.
#[derive(Debug, Clone, PartialEq)]
struct Told {
    date: String,
    mower: u64,
    what: String,
}

/// Why a programme file could not be read.
#[derive(Debug)]
pub enum ContinuedError {
    /// It is no JSON file at all.
    Input(InputError),
    /// It is another kind of file.
    Other {
        /// The file.
        file: String,
        /// What is wrong.
        problem: String,
    },
}

impl fmt::Display for ContinuedError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ContinuedError::Input(e) => e.fmt(f),
            ContinuedError::Other { file, problem } => {
                write!(
                    f,
                    "{file}: {problem}; give the programme.json of the season so far"
                )
            }
        }
    }
}

impl std::error::Error for ContinuedError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            ContinuedError::Input(e) => Some(e),
            ContinuedError::Other { .. } => None,
        }
    }
}

/// Reads the programme before.
///
/// # Errors
/// [`ContinuedError`] when it is no programme file.
pub fn read(text: &str, file: &str) -> Result<Before, ContinuedError> {
    let v = input::json(text, file).map_err(ContinuedError::Input)?;
    let other = |problem: &str| ContinuedError::Other {
        file: file.to_string(),
        problem: problem.to_string(),
    };
    if v["schema"].as_str() != Some(SCHEMA) {
        return Err(other("it is no programme file"));
    }
    let visits = v["visits"]
        .as_array()
        .ok_or_else(|| other("it has no visits"))?;
    let mut out = Before {
        issue: v["issue"]
            .as_u64()
            .and_then(|n| u32::try_from(n).ok())
            .unwrap_or(1),
        ..Before::default()
    };
    for row in visits {
        let text = |key: &str| row[key].as_str().map(str::to_string);
        let (Some(fairway), Some(slot), Some(date)) = (text("fairway"), text("slot"), text("date"))
        else {
            return Err(other("a visit has no fairway, slot or date"));
        };
        let mower = row["mower"].as_u64().unwrap_or(1);
        let part = |key: &str| match &row[key] {
            Value::String(s) => s.clone(),
            Value::Number(n) => n.as_f64().map_or_else(String::new, |x| format!("{x:.3}")),
            _ => String::new(),
        };
        if let Ok(day) = date.parse::<Date>() {
            let key = (day, u32::try_from(mower).unwrap_or(1).saturating_sub(1));
            if !out.days.contains(&key) {
                out.days.push(key);
            }
        }
        let what = KEYS.map(part).join(" ");
        out.visits
            .insert((fairway, slot), Told { date, mower, what });
    }
    Ok(out)
}

/// What makes a visit another one.
const KEYS: [&str; 7] = [
    "pattern",
    "heading_deg",
    "first_pass",
    "sense",
    "lane_shift",
    "rings",
    "height_mm",
];

fn told(v: &Visit) -> Told {
    let row = crate::programme::visit(v);
    let part = |key: &str| match &row[key] {
        Value::String(s) => s.clone(),
        Value::Number(n) => n.as_f64().map_or_else(String::new, |x| format!("{x:.3}")),
        _ => String::new(),
    };
    Told {
        date: v.date().to_string(),
        mower: u64::from(v.mower) + 1,
        what: KEYS.map(part).join(" "),
    }
}

/// What changed since the programme before, a line for each visit, in order of the days.
pub fn changes(before: &Before, now: &Programme) -> Vec<String> {
    let mut lines: Vec<(String, String)> = Vec::new();
    let mut seen: Vec<(String, String)> = Vec::new();
    for v in &now.visits {
        let key = (v.fairway.clone(), v.slot.to_string());
        let t = told(v);
        let short = format!("{} {:.0} degrees", v.pattern.word(), v.heading_deg);
        match before.visits.get(&key) {
            None => lines.push((
                t.date.clone(),
                format!("{}: fairway {}: new, {short}", t.date, v.fairway),
            )),
            Some(old) => {
                let mut parts = Vec::new();
                if old.date != t.date {
                    parts.push(format!("moved from {}", old.date));
                }
                if old.what != t.what {
                    parts.push(format!("now {short}"));
                }
                if old.mower != t.mower {
                    parts.push(format!("mower {} instead of {}", t.mower, old.mower));
                }
                if !parts.is_empty() {
                    lines.push((
                        t.date.clone(),
                        format!("{}: fairway {}: {}", t.date, v.fairway, parts.join(", ")),
                    ));
                }
            }
        }
        seen.push(key);
    }
    seen.sort();
    for (key, old) in &before.visits {
        if seen.binary_search(key).is_err() {
            lines.push((
                old.date.clone(),
                format!("{}: fairway {}: not mown any more", old.date, key.0),
            ));
        }
    }
    lines.sort();
    lines.into_iter().map(|l| l.1).collect()
}

/// Days of a mower that had work before and have none now: their events are withdrawn.
pub fn withdrawn(before: &Before, now: &Programme) -> Vec<(Date, u32)> {
    let mut out: Vec<(Date, u32)> = before
        .days
        .iter()
        .filter(|(d, m)| !now.visits.iter().any(|v| v.date() == *d && v.mower == *m))
        .copied()
        .collect();
    out.sort_unstable();
    out
}
