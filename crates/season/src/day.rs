//! One morning of a programme that stands: which mower takes which fairway, in which order, when.
//!
//! The programme is taken as its file tells it. Nothing is chosen anew: each visit keeps its
//! pattern, heading, sense, height and clean-up passes. Only when a fairway is left out or a mower
//! is down are the visits dealt anew to the mowers that are there.

use crate::bundles::axis_angle_deg;
use crate::crew::Shift;
use crate::rules::Closed;
use crate::visit::Visit;
use crossgrain_core::Mower;
use jiff::Span;
use jiff::civil::{Date, DateTime, Time};
use std::collections::BTreeMap;
use std::fmt;

/// A programme as its file tells it: what a day needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// The course's name.
    pub course: String,
    /// Its issue.
    pub issue: u32,
    /// First and last day.
    pub season: (Date, Date),
    /// All visits, by day.
    pub visits: Vec<Visit>,
    /// Visits that do not take place: day, fairway, why.
    pub cancelled: Vec<(Date, String, String)>,
    /// Days on which nothing is mown.
    pub closed: Vec<Closed>,
    /// When the first mower goes out.
    pub start: Time,
    /// Minutes from one fairway to the next.
    pub between_min: f64,
    /// One mower of each kind.
    pub mowers: Vec<Mower>,
    /// The machines that go out.
    pub machines: Vec<Machine>,
    /// Kinds of mower that may not mow a fairway, by its name.
    pub barred: BTreeMap<String, Vec<usize>>,
}

/// A machine that goes out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Machine {
    /// Its name.
    pub name: String,
    /// Its kind: index into the mowers.
    pub kind: usize,
}

/// What is different this morning.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Morning {
    /// Fairways that are left out.
    pub without: Vec<String>,
    /// Machines that are down, 0 the first.
    pub down: Vec<usize>,
}

/// Why a fairway is not mown this morning.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotMown {
    /// It was left out on the command line.
    LeftOut,
    /// No machine that may mow it is there.
    NoMachine,
}

impl NotMown {
    /// Its word in files.
    pub fn word(self) -> &'static str {
        match self {
            NotMown::LeftOut => "left-out",
            NotMown::NoMachine => "no-machine",
        }
    }
}

/// One fairway of a machine's morning.
#[derive(Debug, Clone, PartialEq)]
pub struct Turn {
    /// The visit as the programme has it.
    pub visit: Visit,
    /// The machine that makes it, 0 the first.
    pub machine: usize,
    /// The kind of that machine.
    pub kind: usize,
    /// The visit to the same fairway before it.
    pub last: Option<Visit>,
    /// When it begins; the programme's own hour until [`Day::clock_in`].
    pub start: DateTime,
    /// Minutes it takes; the programme's own until [`Day::clock_in`].
    pub minutes: f64,
}

/// What is not as it was the last time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// Another pattern.
    Pattern,
    /// Along another axis.
    Heading,
    /// The same axis the other way.
    Way,
    /// Loops or rings the other way round.
    Sense,
    /// The lanes of loops lie elsewhere.
    LaneShift,
    /// Loops of another size.
    LoopDiameter,
    /// Another height of cut.
    Height,
    /// More or fewer clean-up passes.
    Rings,
    /// Clean-up passes the other way round.
    CleanUpSense,
}

impl Change {
    /// Its word in files.
    pub fn word(self) -> &'static str {
        match self {
            Change::Pattern => "pattern",
            Change::Heading => "heading",
            Change::Way => "way",
            Change::Sense => "sense",
            Change::LaneShift => "lane-shift",
            Change::LoopDiameter => "loop-diameter",
            Change::Height => "height",
            Change::Rings => "rings",
            Change::CleanUpSense => "cleanup-sense",
        }
    }
}

/// Heights this near are one, metres: a tenth of the finest step of a bench gauge.
const SAME_HEIGHT_M: f64 = 1e-5;
/// Axes this near are one, degrees: as near as anybody holds a line.
const SAME_AXIS_DEG: f64 = 0.5;

/// What a visit changes against the one before it.
pub fn changes(now: &Visit, last: &Visit) -> Vec<Change> {
    let mut out = Vec::new();
    let mut add = |changed: bool, c: Change| {
        if changed {
            out.push(c);
        }
    };
    let same = (now.pattern, now.cross_sets) == (last.pattern, last.cross_sets);
    add(!same, Change::Pattern);
    let other_axis = axis_angle_deg(now.heading_deg, last.heading_deg) > SAME_AXIS_DEG;
    add(other_axis, Change::Heading);
    let turned = (now.heading_deg - last.heading_deg).to_radians().cos() < 0.0;
    add(!other_axis && turned, Change::Way);
    if same {
        add(now.sense != last.sense, Change::Sense);
        add(now.lane_shift != last.lane_shift, Change::LaneShift);
        add(
            now.loop_diameter_m.is_some() && now.loop_diameter_m != last.loop_diameter_m,
            Change::LoopDiameter,
        );
    }
    add(
        (now.height_m - last.height_m).abs() > SAME_HEIGHT_M,
        Change::Height,
    );
    add(now.rings != last.rings, Change::Rings);
    add(now.clean_up != last.clean_up, Change::CleanUpSense);
    out
}

/// A morning.
#[derive(Debug, Clone, PartialEq)]
pub struct Day {
    /// The day.
    pub date: Date,
    /// By machine, each in driving order.
    pub turns: Vec<Turn>,
    /// What is not mown: the fairway and why.
    pub not_mown: Vec<(String, NotMown)>,
    between_min: f64,
    start: DateTime,
}

/// Why there is no such day.
#[derive(Debug, Clone, PartialEq)]
pub enum DayError {
    /// The day is outside the season.
    Outside {
        /// The day.
        date: Date,
        /// First and last day.
        season: (Date, Date),
    },
    /// Nothing is mown on it.
    NotAMowingDay {
        /// The day.
        date: Date,
        /// What is on, when the rules closed it.
        closed: Option<String>,
        /// The mowing days before and after it.
        near: (Option<Date>, Option<Date>),
    },
    /// There is no machine of that number.
    NoMachine {
        /// The number, 1 the first.
        number: usize,
        /// How many there are.
        machines: usize,
    },
    /// Every machine is down.
    AllDown,
    /// Nothing is left to mow.
    NothingLeft {
        /// The day.
        date: Date,
    },
}

impl fmt::Display for DayError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            DayError::Outside { date, season } => write!(
                f,
                "{date} is outside the season from {} to {}",
                season.0, season.1
            ),
            DayError::NotAMowingDay { date, closed, near } => {
                match closed {
                    Some(why) => write!(f, "nothing is mown on {date}: closed, {why}")?,
                    None => write!(f, "nothing is mown on {date}")?,
                }
                match near {
                    (Some(a), Some(b)) => write!(f, "; the mowing days near it are {a} and {b}"),
                    (Some(a), None) => write!(f, "; the mowing day before it is {a}"),
                    (None, Some(b)) => write!(f, "; the mowing day after it is {b}"),
                    (None, None) => write!(f, "; the programme has no visits"),
                }
            }
            DayError::NoMachine { number, machines } => write!(
                f,
                "there is no machine {number}; the programme has {machines}, numbered from 1"
            ),
            DayError::AllDown => write!(f, "every machine is down; nothing can be mown"),
            DayError::NothingLeft { date } => {
                write!(f, "nothing is left to mow on {date}")
            }
        }
    }
}

impl std::error::Error for DayError {}

impl Standing {
    /// The days with visits, in order.
    pub fn dates(&self) -> Vec<Date> {
        let mut out: Vec<Date> = self.visits.iter().map(Visit::date).collect();
        out.sort_unstable();
        out.dedup();
        out
    }

    /// Whether a kind of mower may mow a fairway.
    fn may(&self, kind: usize, fairway: &str) -> bool {
        !self.barred.get(fairway).is_some_and(|b| b.contains(&kind))
    }

    /// The visits of a day that can be mown on such a morning.
    fn rows_of(&self, date: Date, morning: &Morning) -> Result<Vec<&Visit>, DayError> {
        let machines = self.machines.len();
        if let Some(&m) = morning.down.iter().find(|m| **m >= machines) {
            return Err(DayError::NoMachine {
                number: m + 1,
                machines,
            });
        }
        if date < self.season.0 || date > self.season.1 {
            return Err(DayError::Outside {
                date,
                season: self.season,
            });
        }
        let rows: Vec<&Visit> = self.visits.iter().filter(|v| v.date() == date).collect();
        if rows.is_empty() {
            let dates = self.dates();
            return Err(DayError::NotAMowingDay {
                date,
                closed: (self.closed.iter())
                    .find(|c| c.from <= date && date <= c.to)
                    .map(|c| c.why.clone()),
                near: (
                    dates.iter().rfind(|d| **d < date).copied(),
                    dates.iter().find(|d| **d > date).copied(),
                ),
            });
        }
        if (0..machines).all(|m| morning.down.contains(&m)) {
            return Err(DayError::AllDown);
        }
        Ok(rows)
    }

    /// The morning of a day.
    ///
    /// # Errors
    /// [`DayError`] when nothing is mown that day, or nothing can be.
    pub fn day(&self, date: Date, morning: &Morning) -> Result<Day, DayError> {
        let machines = self.machines.len();
        let mut rows = self.rows_of(date, morning)?;
        rows.sort_by(|a, b| a.start.cmp(&b.start).then(a.mower.cmp(&b.mower)));
        let as_planned = *morning == Morning::default();
        let mut shift = Shift::new(machines, self.between_min);
        let mut out = Day {
            date,
            turns: Vec::new(),
            not_mown: Vec::new(),
            between_min: self.between_min,
            start: date.to_datetime(self.start),
        };
        for v in rows {
            let planned = (v.mower as usize).min(machines.saturating_sub(1));
            if morning.without.contains(&v.fairway) {
                out.not_mown.push((v.fairway.clone(), NotMown::LeftOut));
                continue;
            }
            let kind = self.machines[planned].kind;
            let up = |m: usize| !morning.down.contains(&m);
            // A mower of the same kind if there is one, else any that may.
            let machine = if as_planned {
                Some(planned)
            } else {
                shift
                    .next(|m| up(m) && self.machines[m].kind == kind)
                    .or_else(|| {
                        shift.next(|m| up(m) && self.may(self.machines[m].kind, &v.fairway))
                    })
            };
            let Some(machine) = machine else {
                out.not_mown.push((v.fairway.clone(), NotMown::NoMachine));
                continue;
            };
            shift.send(machine, f64::from(v.later_min), v.minutes);
            out.turns.push(Turn {
                visit: v.clone(),
                machine,
                kind: self.machines[machine].kind,
                last: (self.visits.iter())
                    .filter(|w| w.fairway == v.fairway && w.date() < date)
                    .max_by_key(|w| w.start)
                    .cloned(),
                start: v.start,
                minutes: v.minutes,
            });
        }
        if out.turns.is_empty() {
            return Err(DayError::NothingLeft { date });
        }
        // Stable: each machine keeps its driving order.
        out.turns.sort_by_key(|t| t.machine);
        Ok(out)
    }
}

impl Day {
    /// Sets the minutes of each turn, as its plan has them, and the hours that follow from them.
    pub fn clock_in(&mut self, minutes: &[f64]) {
        let machines = self.turns.iter().map(|t| t.machine + 1).max().unwrap_or(0);
        let mut shift = Shift::new(machines, self.between_min);
        for (t, minutes) in self.turns.iter_mut().zip(minutes) {
            t.minutes = *minutes;
            let from = shift.send(t.machine, f64::from(t.visit.later_min), *minutes);
            let at = self
                .start
                .checked_add(Span::new().minutes(from.round() as i64));
            // A morning that is too long does not run into the next day.
            let last = self.date.at(23, 59, 0, 0);
            t.start = at.map_or(last, |at| at.min(last));
        }
    }

    /// Minutes of all turns.
    pub fn minutes(&self) -> f64 {
        self.turns.iter().map(|t| t.minutes).sum()
    }

    /// When a turn ends.
    pub fn end(turn: &Turn) -> DateTime {
        let last = turn.start.date().at(23, 59, 0, 0);
        turn.start
            .checked_add(Span::new().minutes(turn.minutes.round() as i64))
            .map_or(last, |at| at.min(last))
    }
}

#[cfg(test)]
#[path = "day_tests.rs"]
mod tests;
