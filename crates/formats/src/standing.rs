//! A programme file read again, for a day's work.

use crate::fingerprint;
use crate::input::{self, InputError};
use crate::mower;
use crate::programme::SCHEMA;
use crossgrain_core::Sense;
use crossgrain_core::inside::model::pattern::{CrossSets, Ends, PatternKind};
use crossgrain_season::day::{Machine, Standing};
use crossgrain_season::ground_figures::GroundFigures;
use crossgrain_season::rules::{Closed, Sky};
use crossgrain_season::scalping::Reason;
use crossgrain_season::slots::{Kind, SlotId};
use crossgrain_season::visit::Visit;
use jiff::civil::{Date, Time};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fmt;

/// What a programme file says.
#[derive(Debug, Clone, PartialEq)]
pub struct StandingFile {
    /// The programme.
    pub standing: Standing,
    /// Each fairway's name with the fingerprint of its ground.
    pub ground: Vec<(String, String)>,
    /// Of each kind of mower: the file it came from, and its fingerprint.
    pub mowers: Vec<(Option<String>, String)>,
}

/// Why a programme file could not be read.
#[derive(Debug)]
pub enum StandingError {
    /// It is no JSON file at all.
    Input(InputError),
    /// It is another kind of file.
    Other {
        /// The file.
        file: String,
    },
    /// It was written before programmes remembered what a day needs.
    Older {
        /// The file.
        file: String,
        /// What it lacks.
        lacks: &'static str,
    },
    /// An entry cannot be used.
    Entry {
        /// The file.
        file: String,
        /// Which one, such as `visits[3].pattern`.
        entry: String,
        /// What is wrong.
        problem: String,
    },
    /// Its own copy of a mower was changed by hand.
    Mower {
        /// The file.
        file: String,
        /// Which one, 0 first.
        kind: usize,
    },
}

impl fmt::Display for StandingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            StandingError::Input(e) => e.fmt(f),
            StandingError::Other { file } => write!(
                f,
                "{file} is no programme; give the programme.json that `crossgrain season` wrote"
            ),
            StandingError::Older { file, lacks } => write!(
                f,
                "{file} was written by an earlier version and does not hold {lacks}; run \
                 `crossgrain season` again, with --continue {file} to keep its issue"
            ),
            StandingError::Entry {
                file,
                entry,
                problem,
            } => write!(
                f,
                "{file}: {entry}: {problem}; give the programme.json as `crossgrain season` wrote it"
            ),
            StandingError::Mower { file, kind } => write!(
                f,
                "{file}: mowers[{kind}] is not the mower that its fingerprint was taken of; give \
                 the programme.json as `crossgrain season` wrote it"
            ),
        }
    }
}

impl std::error::Error for StandingError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            StandingError::Input(e) => Some(e),
            _ => None,
        }
    }
}

/// Most machines of a programme: more than any course has.
const MAX_MACHINES: usize = 200;
/// Most minutes a visit can take: a day.
const MAX_MINUTES: f64 = 1440.0;

/// Reads a programme file; `file` is the name that errors show.
///
/// # Errors
/// [`StandingError`] when it is no programme file, one of an earlier version, or damaged.
pub fn read(text: &str, file: &str) -> Result<StandingFile, StandingError> {
    let v = input::json(text, file).map_err(StandingError::Input)?;
    if v["schema"].as_str() != Some(SCHEMA) {
        return Err(StandingError::Other {
            file: file.to_string(),
        });
    }
    let older = |lacks| {
        Err(StandingError::Older {
            file: file.to_string(),
            lacks,
        })
    };
    let Some(ground) = v["ground"].as_object().filter(|g| !g.is_empty()) else {
        return older("the fingerprint of its ground");
    };
    let Some(mowers) = v["mowers"].as_array().filter(|m| !m.is_empty()) else {
        return older("its mowers");
    };
    let r = Reader { file };
    let mut kinds = Vec::new();
    let mut from = Vec::new();
    let mut barred: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (i, m) in mowers.iter().enumerate() {
        let at = format!("mowers[{i}]");
        let mower =
            mower::read(&m["mower"].to_string(), &at).map_err(|e| r.wrong(&at, &e.to_string()))?;
        let print = r.text(m, &at, "fingerprint")?;
        if fingerprint::mower(&mower) != print {
            return Err(StandingError::Mower {
                file: file.to_string(),
                kind: i,
            });
        }
        for name in m["barred"].as_array().into_iter().flatten() {
            if let Some(name) = name.as_str() {
                barred.entry(name.to_string()).or_default().push(i);
            }
        }
        from.push((m["file"].as_str().map(str::to_string), print));
        kinds.push(mower);
    }
    let machines = r.machines(&v, kinds.len())?;
    let rows = (v["visits"].as_array()).ok_or_else(|| r.wrong("visits", "missing"))?;
    let mut visits = Vec::with_capacity(rows.len());
    for (i, row) in rows.iter().enumerate() {
        visits.push(r.visit(row, &format!("visits[{i}]"), machines.len())?);
    }
    visits.sort_by_key(|v: &Visit| v.start);
    let season = &v["season"];
    let standing = Standing {
        course: r.text(&v, "", "course")?,
        issue: (v["issue"].as_u64())
            .and_then(|n| u32::try_from(n).ok())
            .unwrap_or(1),
        season: (
            r.date(season, "season.", "from")?,
            r.date(season, "season.", "to")?,
        ),
        visits,
        cancelled: r.cancelled(&v)?,
        closed: r.closed(&v)?,
        start: r.time(&v["crew"], "crew.", "start")?,
        between_min: r.number(&v["crew"], "crew.", "between_min", 0.0, MAX_MINUTES)?,
        mowers: kinds,
        machines,
        barred,
    };
    let ground = (ground.iter())
        .map(|(name, print)| (name.clone(), print.as_str().unwrap_or("").to_string()))
        .collect();
    Ok(StandingFile {
        standing,
        ground,
        mowers: from,
    })
}

struct Reader<'a> {
    file: &'a str,
}

impl Reader<'_> {
    fn wrong(&self, entry: &str, problem: &str) -> StandingError {
        StandingError::Entry {
            file: self.file.to_string(),
            entry: entry.to_string(),
            problem: problem.to_string(),
        }
    }

    fn bad<T>(&self, at: &str, key: &str, v: &Value) -> Result<T, StandingError> {
        let shown: String = input::plain(&v.to_string()).chars().take(40).collect();
        let dot = if at.is_empty() || at.ends_with('.') {
            ""
        } else {
            "."
        };
        Err(self.wrong(
            &format!("{at}{dot}{key}"),
            &if v.is_null() {
                "missing".to_string()
            } else {
                format!("{shown} cannot be used")
            },
        ))
    }

    fn text(&self, v: &Value, at: &str, key: &str) -> Result<String, StandingError> {
        match v[key].as_str() {
            Some(s) => Ok(s.to_string()),
            None => self.bad(at, key, &v[key]),
        }
    }

    /// Text that stands for something; `null` where nothing is a choice.
    fn named<T>(
        &self,
        v: &Value,
        at: &str,
        key: &str,
        known: impl Fn(&str) -> Option<T>,
    ) -> Result<T, StandingError> {
        match v[key].as_str().and_then(known) {
            Some(t) => Ok(t),
            None => self.bad(at, key, &v[key]),
        }
    }

    fn maybe<T>(
        &self,
        v: &Value,
        at: &str,
        key: &str,
        known: impl Fn(&str) -> Option<T>,
    ) -> Result<Option<T>, StandingError> {
        if v[key].is_null() {
            return Ok(None);
        }
        self.named(v, at, key, known).map(Some)
    }

    fn number(
        &self,
        v: &Value,
        at: &str,
        key: &str,
        least: f64,
        most: f64,
    ) -> Result<f64, StandingError> {
        match v[key].as_f64() {
            Some(x) if (least..=most).contains(&x) => Ok(x),
            _ => self.bad(at, key, &v[key]),
        }
    }

    fn maybe_number(
        &self,
        v: &Value,
        at: &str,
        key: &str,
        least: f64,
        most: f64,
    ) -> Result<Option<f64>, StandingError> {
        if v[key].is_null() {
            return Ok(None);
        }
        self.number(v, at, key, least, most).map(Some)
    }

    fn date(&self, v: &Value, at: &str, key: &str) -> Result<Date, StandingError> {
        self.named(v, at, key, |t| t.parse().ok())
    }

    fn time(&self, v: &Value, at: &str, key: &str) -> Result<Time, StandingError> {
        self.named(v, at, key, |t| Time::strptime("%H:%M", t).ok())
    }

    fn machines(&self, v: &Value, kinds: usize) -> Result<Vec<Machine>, StandingError> {
        let Some(rows) = v["machines"].as_array() else {
            return self.bad("", "machines", &v["machines"]);
        };
        if rows.is_empty() || rows.len() > MAX_MACHINES {
            return Err(self.wrong("machines", "there must be 1 to 200"));
        }
        (rows.iter().enumerate())
            .map(|(i, m)| {
                let at = format!("machines[{i}]");
                let kind = self.number(m, &at, "kind", 1.0, kinds as f64)?;
                Ok(Machine {
                    name: input::plain(&self.text(m, &at, "name")?),
                    kind: kind as usize - 1,
                })
            })
            .collect()
    }

    fn cancelled(&self, v: &Value) -> Result<Vec<(Date, String, String)>, StandingError> {
        (v["cancelled"].as_array().into_iter().flatten())
            .map(|c| {
                Ok((
                    self.date(c, "cancelled", "date")?,
                    self.text(c, "cancelled", "fairway")?,
                    self.text(c, "cancelled", "why")?,
                ))
            })
            .collect()
    }

    fn closed(&self, v: &Value) -> Result<Vec<Closed>, StandingError> {
        (v["closed"].as_array().into_iter().flatten())
            .map(|c| {
                Ok(Closed {
                    from: self.date(c, "closed", "from")?,
                    to: self.date(c, "closed", "to")?,
                    why: self.text(c, "closed", "why")?,
                })
            })
            .collect()
    }

    fn visit(&self, v: &Value, at: &str, machines: usize) -> Result<Visit, StandingError> {
        let date = self.date(v, at, "date")?;
        let start = self.time(v, at, "start")?;
        let reason = match &v["reason"] {
            Value::Null => None,
            r => {
                let seen = self.maybe(r, at, "seen", |t| t.parse().ok())?;
                Some(self.named(r, at, "word", |w| Reason::named(w, seen))?)
            }
        };
        let moved_from = match &v["moved_from"] {
            Value::Null => None,
            m => Some((self.date(m, at, "date")?, self.named(m, at, "why", sky)?)),
        };
        Ok(Visit {
            slot: self.named(v, at, "slot", slot)?,
            start: date.to_datetime(start),
            fairway: self.text(v, at, "fairway")?,
            kind: self.named(v, at, "kind", kind)?,
            pattern: self.named(v, at, "pattern", pattern)?,
            cross_sets: self.maybe(v, at, "cross_sets", sets)?,
            heading_deg: self.number(v, at, "heading_deg", 0.0, 360.0)?,
            clock: self.named(v, at, "clock", clock)?,
            first_pass_right: self.named(v, at, "first_pass", side)?,
            sense: self.maybe(v, at, "sense", sense)?,
            lane_shift: self.maybe_number(v, at, "lane_shift", 0.0, 1.0)?,
            loop_diameter_m: self.maybe_number(v, at, "loop_diameter_m", 0.1, 1000.0)?,
            height_m: self.number(v, at, "height_mm", 0.1, 1000.0)? / 1000.0,
            why: reason,
            clean_up: self.maybe(v, at, "cleanup_sense", sense)?,
            rings: self.number(v, at, "rings", 0.0, 50.0)? as u32,
            ends: self.named(v, at, "ends", ends)?,
            ground: GroundFigures {
                missed_m2: self.number(v, at, "missed_m2", 0.0, f64::MAX)?,
                overrun_m2: self.number(v, at, "overrun_m2", 0.0, f64::MAX)?,
                ..GroundFigures::default()
            },
            minutes: self.number(v, at, "minutes", 0.0, MAX_MINUTES)?,
            distance_m: self.number(v, at, "distance_m", 0.0, f64::MAX)?,
            mower: self.number(v, at, "mower", 1.0, machines as f64)? as u32 - 1,
            moved_from,
            later_min: self.number(v, at, "later_min", 0.0, MAX_MINUTES)? as u32,
            done: v["done"].as_bool() == Some(true),
        })
    }
}

fn slot(t: &str) -> Option<SlotId> {
    let (year, rest) = t.split_once("-W")?;
    let (week, number) = rest.split_once('-')?;
    Some(SlotId {
        year: year.parse().ok()?,
        week: week.parse().ok()?,
        ordinal: number.parse::<u32>().ok()?.checked_sub(1)?,
    })
}

fn kind(t: &str) -> Option<Kind> {
    [Kind::Regular, Kind::Cross, Kind::Loops]
        .into_iter()
        .find(|k| crate::programme::kind(*k) == t)
}

fn pattern(t: &str) -> Option<PatternKind> {
    PatternKind::of_word(t)
}

fn sets(t: &str) -> Option<CrossSets> {
    [CrossSets::Both, CrossSets::Crossing]
        .into_iter()
        .find(|s| crate::programme::sets(*s) == t)
}

fn sense(t: &str) -> Option<Sense> {
    [Sense::Clockwise, Sense::CounterClockwise]
        .into_iter()
        .find(|s| crate::programme::sense(*s) == t)
}

fn ends(t: &str) -> Option<Ends> {
    [Ends::Ring, Ends::Edge]
        .into_iter()
        .find(|e| crate::programme::ends(*e) == t)
}

fn sky(t: &str) -> Option<Sky> {
    [Sky::Frost, Sky::Wet]
        .into_iter()
        .find(|s| crate::programme::sky(*s) == t)
}

fn side(t: &str) -> Option<bool> {
    match t {
        "left" => Some(false),
        "right" => Some(true),
        _ => None,
    }
}

/// Hours such as `10-4` or `4:30-10:30`.
fn clock(t: &str) -> Option<(f64, f64)> {
    let hour = |t: &str| -> Option<f64> {
        let (hours, half) = match t.split_once(':') {
            Some((h, "30")) => (h, 0.5),
            Some(_) => return None,
            None => (t, 0.0),
        };
        let h: u8 = hours.parse().ok()?;
        (1..=12).contains(&h).then(|| f64::from(h) + half)
    };
    let (from, to) = t.split_once('-')?;
    Some((hour(from)?, hour(to)?))
}
