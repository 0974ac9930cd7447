//! The season planned: dated visits, the lay they leave, what they cost.

use crate::catalogue::{Job, Planned, StandIn, What, jobs, run};
use crate::cost::Cost;
use crate::crew::{DayLoad, level, limit_min, loads};
use crate::effort::effort;
use crate::fairway_season::{
    Habit, Mown, Stock, budget_min, habit, minutes, schedule, within, within_hours,
};
use crate::grain::{Cells, Sum, Tally, weight};
use crate::heights::{HeightError, LoopHeights, loop_steps};
use crate::rule_faults::{RuleFault, faults};
use crate::rules::{Rules, Sky, clock};
use crate::scalping::{Observation, Reason, verdicts};
use crate::slots::{Kind, Slot, SlotId, Timetable, timetable};
use crate::weather::{Moved, moved};
use crossgrain_core::inside::ground::heading::resolve;
use crossgrain_core::inside::model::quantity::compass_deg;
use crossgrain_core::{Course, Mower, PatternKind, PlanError, Sense};
use crossgrain_metrics::lay::LayFigures;
use jiff::Span;
use jiff::civil::{Date, DateTime};
use std::fmt;

/// Does the same work on many things; several at a time, if the caller likes.
///
/// The answers come back in order, so the programme is the same whoever does the work.
pub trait Workers {
    /// Applies `work` to each of `items`. `stage` names what is being done, for progress.
    fn each<T: Sync, R: Send>(
        &self,
        stage: Stage,
        items: &[T],
        work: impl Fn(&T) -> R + Sync,
    ) -> Vec<R>;
}

/// What is being done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// The mows of each fairway are planned.
    Mows,
    /// Headings are chosen.
    Headings,
}

/// One thing after the other.
#[derive(Debug, Clone, Copy, Default)]
pub struct OneByOne;

impl Workers for OneByOne {
    fn each<T: Sync, R: Send>(
        &self,
        _: Stage,
        items: &[T],
        work: impl Fn(&T) -> R + Sync,
    ) -> Vec<R> {
        items.iter().map(work).collect()
    }
}

/// Why no season could be planned.
#[derive(Debug, Clone, PartialEq)]
pub enum SeasonError {
    /// Faults in the rules; warnings among them are kept too.
    Rules(Vec<RuleFault>),
    /// A mow could not be planned.
    Plan {
        /// The fairway.
        fairway: String,
        /// Why.
        error: PlanError,
    },
    /// A height that cannot be set.
    Height {
        /// The fairway.
        fairway: String,
        /// Why.
        error: HeightError,
    },
    /// No fairway is left to mow.
    NoFairway,
    /// A note in the log about a fairway that the course does not have.
    UnknownObserved {
        /// The name in the log.
        name: String,
        /// The names in the course.
        known: Vec<String>,
    },
}

impl fmt::Display for SeasonError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SeasonError::Rules(all) => {
                let errors: Vec<String> = all
                    .iter()
                    .filter(|r| r.is_error())
                    .map(RuleFault::to_string)
                    .collect();
                write!(f, "{}", errors.join("\n"))
            }
            SeasonError::Plan { fairway, error } => write!(f, "fairway {fairway}: {error}"),
            SeasonError::Height { fairway, error } => {
                write!(f, "height on fairway {fairway}: {error}")
            }
            SeasonError::NoFairway => write!(
                f,
                "no fairway is left to mow; the rules leave all of them out, or none is wide enough"
            ),
            SeasonError::UnknownObserved { name, known } => write!(
                f,
                "the log has a note on fairway '{name}', which the course does not have; \
                 use one of: {}",
                known.join(", ")
            ),
        }
    }
}

impl std::error::Error for SeasonError {}

/// Something the user should know about a season.
#[derive(Debug, Clone, PartialEq)]
pub enum Warning {
    /// A rule that is kept, but doubtful.
    Rule(RuleFault),
    /// Days with more hours than the crew has.
    Overloaded {
        /// How many such days.
        days: usize,
        /// The worst of them.
        worst: Date,
        /// Its minutes, all mowers together.
        minutes: f64,
        /// The limit, minutes.
        limit_min: f64,
    },
    /// Loops cannot be mown here; the cross cut takes their turns.
    LoopsRefused {
        /// The fairway.
        fairway: String,
        /// Why.
        error: PlanError,
    },
    /// A fairway that the deck cannot reach; it is left out.
    TooNarrow {
        /// The fairway.
        fairway: String,
    },
    /// The allowed headings cost more than the extra hours allowed, whatever is chosen.
    ExtraHours {
        /// The fairway.
        fairway: String,
        /// Its hours over the season.
        hours: f64,
        /// The limit, hours.
        limit_hours: f64,
    },
    /// The allowed headings hold no cross cut within the angle; the squarest one is used.
    NoCrossing {
        /// The fairway.
        fairway: String,
        /// The angle it has, degrees.
        angle_deg: f64,
    },
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Warning::Rule(r) => write!(f, "{r}"),
            Warning::Overloaded {
                days,
                worst,
                minutes,
                limit_min,
            } => write!(
                f,
                "crew.hours_per_day: {days} days need more than the crew's {:.1} h; the worst is \
                 {worst} with {:.1} h; add a mower or a mowing day, or ask for fewer visits_per_week",
                limit_min / 60.0,
                minutes / 60.0
            ),
            Warning::LoopsRefused { fairway, error } => write!(
                f,
                "fairway {fairway} is not mown in loops: {error}; it is cross cut instead"
            ),
            Warning::TooNarrow { fairway } => write!(
                f,
                "fairway {fairway} is narrower than the deck and is left out; mow it with a \
                 smaller machine"
            ),
            Warning::ExtraHours {
                fairway,
                hours,
                limit_hours,
            } => write!(
                f,
                "headings.extra_hours_percent: fairway {fairway} takes {hours:.1} h over the season \
                 with the cheapest of the allowed headings, more than the {limit_hours:.1} h allowed; \
                 allow more headings or more hours"
            ),
            Warning::NoCrossing { fairway, angle_deg } => write!(
                f,
                "headings.allowed: on fairway {fairway} the cross cut crosses at {angle_deg:.0} \
                 degrees only; allow a heading square to the others"
            ),
        }
    }
}

/// One dated visit to one fairway.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    /// Its identity, which a change of day does not change.
    pub slot: SlotId,
    /// When, local time of the course, to the minute.
    pub start: DateTime,
    /// Where.
    pub fairway: String,
    /// What it is for.
    pub kind: Kind,
    /// What is mown.
    pub pattern: PatternKind,
    /// Heading of the first pass or of the lanes, compass degrees.
    pub heading_deg: f64,
    /// The same as hours on a clock face with 12 toward the green, from and to, to half an hour.
    pub clock: (f64, f64),
    /// Whether the first pass is at the right-hand edge, looking along the heading; it is at
    /// the left otherwise. So a mow and the one driven the other way use the same lines.
    pub first_pass_right: bool,
    /// Sense of the loops or rings.
    pub sense: Option<Sense>,
    /// Sideways shift of the lanes of loops, fraction of their spacing.
    pub lane_shift: Option<f64>,
    /// Mean loop diameter, metres.
    pub loop_diameter_m: Option<f64>,
    /// Height of cut, metres.
    pub height_m: f64,
    /// Why the height or the pattern is not the regular one.
    pub why: Option<Reason>,
    /// Sense of the clean-up passes; none when they are skipped.
    pub clean_up: Option<Sense>,
    /// Minutes on the fairway.
    pub minutes: f64,
    /// Metres driven.
    pub distance_m: f64,
    /// Which mower of the crew's, 0 first.
    pub mower: u32,
    /// The day it was moved from, and why.
    pub moved_from: Option<(Date, Sky)>,
    /// Minutes that frost delays the start.
    pub later_min: u32,
}

impl Visit {
    /// The day.
    pub fn date(&self) -> Date {
        self.start.date()
    }
}

/// A visit that does not take place.
#[derive(Debug, Clone, PartialEq)]
pub struct Cancelled {
    /// Its identity.
    pub slot: SlotId,
    /// Where.
    pub fairway: String,
    /// The day it would have had.
    pub date: Date,
    /// Why.
    pub why: Lost,
}

/// Why a visit does not take place.
#[derive(Debug, Clone, PartialEq)]
pub enum Lost {
    /// The day is closed, and no other is open that week.
    Closed(String),
    /// Frost or rain, and no other day will do.
    Weather(Sky),
}

/// Lay and cost of one fairway's season.
#[derive(Debug, Clone, PartialEq)]
pub struct FairwayLay {
    /// Where.
    pub fairway: String,
    /// Its area, square metres.
    pub area_m2: f64,
    /// R1 and R2 per cell on the last day.
    pub lay: LayFigures,
    /// Cost.
    pub cost: Cost,
}

/// Lay and cost of the whole course under one schedule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// The habit; none for the programme itself.
    pub habit: Option<Habit>,
    /// R1 and R2 per cell over all fairways.
    pub lay: LayFigures,
    /// Cost.
    pub cost: Cost,
}

/// What is needed to draw one fairway's grain on any day.
#[derive(Debug, Clone, PartialEq)]
pub struct Book {
    /// Where.
    pub fairway: String,
    /// Index of the fairway in the course.
    pub index: usize,
    stock: Stock,
    mown: Vec<(Date, Mown)>,
    half_life_days: Option<f64>,
}

impl Book {
    /// The cells, in the order of [`Book::lay_on`].
    pub fn cells(&self) -> &Cells {
        &self.stock.cells
    }

    /// Lay sums after the mows up to and including `day`.
    pub fn lay_on(&self, day: Date) -> Vec<Sum> {
        self.stock.lay(
            self.mown
                .iter()
                .filter(|(d, _)| *d <= day)
                .map(|(d, m)| (*m, weight(self.half_life_days, *d, day))),
        )
    }

    /// R1 and R2 on `day`.
    pub fn figures_on(&self, day: Date) -> LayFigures {
        let mut tally = Tally::default();
        tally.take(&self.stock.cells, &self.lay_on(day));
        tally.figures()
    }
}

/// A season.
#[derive(Debug, Clone, PartialEq)]
pub struct Programme {
    /// The course's name.
    pub course: String,
    /// The rules it was planned by.
    pub rules: Rules,
    /// Visits by day, start and fairway.
    pub visits: Vec<Visit>,
    /// Visits that do not take place.
    pub cancelled: Vec<Cancelled>,
    /// Hours of each day.
    pub days: Vec<DayLoad>,
    /// Lay and cost of each fairway.
    pub lay: Vec<FairwayLay>,
    /// The programme's lay and cost.
    pub total: Row,
    /// The plain habits beside it, on the same days.
    pub habits: Vec<Row>,
    /// Grain of each fairway, for maps.
    pub books: Vec<Book>,
    /// What the user should know.
    pub warnings: Vec<Warning>,
}

/// Cell size of the lay, metres: finer than a deck, coarse enough for a season of 27 holes.
pub const CELL_M: f64 = 2.0;

/// Plans a season.
///
/// # Errors
/// [`SeasonError`] with all faults of the rules, or why a mow cannot be planned.
pub fn programme(
    course: &Course,
    mower: &Mower,
    rules: &Rules,
    log: &[Observation],
    workers: &impl Workers,
) -> Result<Programme, SeasonError> {
    let found = faults(rules, course);
    if found.iter().any(RuleFault::is_error) {
        return Err(SeasonError::Rules(found));
    }
    let known = || course.fairways.iter().map(|f| f.name.clone());
    if let Some(o) = log.iter().find(|o| !known().any(|n| n == o.fairway)) {
        return Err(SeasonError::UnknownObserved {
            name: o.fairway.clone(),
            known: known().collect(),
        });
    }
    let mut warnings: Vec<Warning> = found.into_iter().map(Warning::Rule).collect();
    let stocks = stocks(course, mower, rules, workers, &mut warnings)?;
    if stocks.is_empty() {
        return Err(SeasonError::NoFairway);
    }
    let areas: Vec<f64> = stocks.iter().map(|s| s.cells.ground_m2()).collect();
    let loops: Vec<bool> = stocks.iter().map(Stock::has_loops).collect();
    let timetable = timetable(rules, &areas, &loops);

    let seasons: Vec<(&Stock, &Vec<Slot>)> = stocks.iter().zip(&timetable.slots).collect();
    let chosen: Vec<Vec<Mown>> = workers.each(Stage::Headings, &seasons, |(stock, slots)| {
        let weights: Vec<f64> = slots
            .iter()
            .map(|s| {
                weight(
                    rules.headings.half_life_days,
                    nominal(&timetable, s),
                    rules.to,
                )
            })
            .collect();
        within_hours(
            rules,
            stock,
            slots,
            &weights,
            budget_min(rules, stock, slots),
        )
    });
    let times: Vec<Vec<f64>> = stocks
        .iter()
        .zip(&chosen)
        .map(|(s, m)| m.iter().map(|m| s.planned[m.job].minutes).collect())
        .collect();
    let dates = level(rules, &timetable, &times);

    let mut out = Assembly {
        course,
        rules,
        shift_efficiency: mower.shift_efficiency,
        visits: Vec::new(),
        cancelled: Vec::new(),
        books: Vec::new(),
        lay: Vec::new(),
        program: (Tally::default(), Cost::default()),
        habits: Habit::ALL
            .map(|h| (h, Tally::default(), Cost::default()))
            .to_vec(),
        warnings,
    };
    for (f, stock) in stocks.into_iter().enumerate() {
        out.fairway(stock, &timetable.slots[f], &chosen[f], &dates[f], log)?;
    }
    for (slot, date) in &timetable.lost {
        for b in &out.books {
            out.cancelled.push(Cancelled {
                slot: *slot,
                fairway: b.fairway.clone(),
                date: *date,
                why: Lost::Closed(
                    rules
                        .closed_on(*date)
                        .map_or_else(String::new, |c| c.why.clone()),
                ),
            });
        }
    }
    Ok(out.finish())
}

/// The day a slot would have if nothing moved it: the choice of headings comes before the days.
fn nominal(timetable: &Timetable, slot: &Slot) -> Date {
    let week = &timetable.weeks[slot.week];
    week.days
        .get(slot.id.ordinal as usize)
        .copied()
        .unwrap_or(week.monday)
}

fn stocks(
    course: &Course,
    mower: &Mower,
    rules: &Rules,
    workers: &impl Workers,
    warnings: &mut Vec<Warning>,
) -> Result<Vec<Stock>, SeasonError> {
    let cells: Vec<Cells> = course
        .fairways
        .iter()
        .map(|f| Cells::of(f, CELL_M))
        .collect();
    let each: Vec<Vec<Job>> = course
        .fairways
        .iter()
        .enumerate()
        .filter(|(_, f)| !rules.leaves_out(&f.name))
        .map(|(i, f)| jobs(rules, i, rules.loops_on(&f.name)))
        .filter(|jobs| !jobs.is_empty())
        .collect();
    let stand_in = StandIn::of(mower, rules);
    // The longest work first; all mows of a fairway together, because they share their groundwork.
    let mut shares: Vec<(usize, &Vec<Job>)> = each.iter().enumerate().collect();
    let width_m = stand_in.deck.cutting_width_m();
    let work = |jobs: &[Job]| {
        let fairway = &course.fairways[jobs[0].fairway];
        jobs.len() as f64 * effort(fairway, width_m)
    };
    shares.sort_by(|a, b| work(b.1).total_cmp(&work(a.1)));
    let mut done: Vec<(usize, Vec<Result<Planned, PlanError>>)> =
        workers.each(Stage::Mows, &shares, |(place, jobs)| {
            let i = jobs[0].fairway;
            let planned = run(jobs, &course.fairways[i], &stand_in, rules, &cells[i]);
            (*place, planned)
        });
    done.sort_by_key(|d| d.0);
    let done = done.into_iter().flat_map(|d| d.1);
    let mut out: Vec<Stock> = Vec::new();
    let mut refused: Option<usize> = None;
    for (job, planned) in each.iter().flatten().zip(done) {
        let name = &course.fairways[job.fairway].name;
        if out.last().is_none_or(|s| s.fairway != job.fairway) {
            out.push(Stock {
                fairway: job.fairway,
                cells: cells[job.fairway].clone(),
                planned: Vec::new(),
                ring_sums: Vec::new(),
            });
        }
        let Some(stock) = out.last_mut() else {
            continue;
        };
        match planned {
            Ok(mut p) => {
                // The clean-up passes are the same in every mow: one copy is enough.
                let rings = std::mem::take(&mut p.ring_sums);
                if stock.ring_sums.is_empty() {
                    stock.ring_sums = rings;
                }
                stock.planned.push(p);
            }
            Err(error) if matches!(job.what, What::Loops(_)) => {
                if refused != Some(job.fairway) {
                    refused = Some(job.fairway);
                    warnings.push(Warning::LoopsRefused {
                        fairway: name.clone(),
                        error,
                    });
                }
                stock
                    .planned
                    .retain(|p| !matches!(p.job.what, What::Loops(_)));
            }
            Err(error) => {
                return Err(SeasonError::Plan {
                    fairway: name.clone(),
                    error,
                });
            }
        }
    }
    // Loops must be possible at every shift, or they are not mown.
    for s in &mut out {
        let loops = |p: &&Planned| matches!(p.job.what, What::Loops(_));
        if s.planned.iter().filter(loops).count() != rules.grooming.lane_shifts.len() {
            s.planned.retain(|p| !loops(&p));
        }
    }
    out.retain(|s| {
        let reached = s.planned.iter().any(|p| p.mowing_m > 0.0);
        if !reached {
            warnings.push(Warning::TooNarrow {
                fairway: course.fairways[s.fairway].name.clone(),
            });
        }
        reached
    });
    Ok(out)
}

struct Assembly<'a> {
    course: &'a Course,
    rules: &'a Rules,
    shift_efficiency: f64,
    visits: Vec<Visit>,
    cancelled: Vec<Cancelled>,
    books: Vec<Book>,
    lay: Vec<FairwayLay>,
    program: (Tally, Cost),
    habits: Vec<(Habit, Tally, Cost)>,
    warnings: Vec<Warning>,
}

/// A visit that takes place.
struct Kept {
    slot: usize,
    date: Date,
    from: Option<(Date, Sky)>,
    later_min: u32,
}

impl Assembly<'_> {
    fn fairway(
        &mut self,
        stock: Stock,
        slots: &[Slot],
        chosen: &[Mown],
        dates: &[Date],
        log: &[Observation],
    ) -> Result<(), SeasonError> {
        let rules = self.rules;
        let fairway = &self.course.fairways[stock.fairway];
        let name = fairway.name.clone();
        let kept = self.weathered(&name, slots, dates);

        let mine: Vec<Observation> = log.iter().filter(|o| o.fairway == name).cloned().collect();
        let kinds: Vec<(Date, Kind)> = kept.iter().map(|k| (k.date, slots[k.slot].kind)).collect();
        let verdicts = verdicts(&kinds, &mine, rules.height.raised_mows);

        let half_life = rules.headings.half_life_days;
        let weights: Vec<f64> = kept
            .iter()
            .map(|k| weight(half_life, k.date, rules.to))
            .collect();
        let mut held: Vec<Slot> = kept.iter().map(|k| slots[k.slot].clone()).collect();
        let mut fixed: Vec<Option<Mown>> = kept.iter().map(|k| Some(chosen[k.slot])).collect();
        for (i, v) in verdicts.iter().enumerate() {
            if v.kind != held[i].kind {
                held[i].kind = v.kind;
                fixed[i] = None;
            }
        }
        // What is held back gets a heading of its own; all other visits stay as they are, unless
        // that would pass the hours.
        let budget = budget_min(rules, &stock, &held);
        let mut mown = schedule(rules, &stock, &held, &weights, &fixed, budget);
        if !within(minutes(&stock, &mown), budget) {
            mown = within_hours(rules, &stock, &held, &weights, budget);
        }
        let time_min = minutes(&stock, &mown);
        if !within(time_min, budget) {
            self.warnings.push(Warning::ExtraHours {
                fairway: name.clone(),
                hours: time_min / 60.0,
                limit_hours: budget / 60.0,
            });
        }

        let steps = loop_steps(&LoopHeights {
            bench_m: rules.height_of_m(&name),
            raise: rules.height.raise,
            raised_mowings: rules.height.raised_mows.max(1),
            gauge_step_m: rules.height.step_m,
        })
        .map_err(|error| SeasonError::Height {
            fairway: name.clone(),
            error,
        })?;
        let regular_m = rules.height_of_m(&name);
        let raised_m = steps.first().map_or(regular_m, |s| s.set_m);
        let noon_deg = compass_deg(resolve(clock(12.0), fairway).0);

        for ((k, m), v) in kept.iter().zip(&mown).zip(&verdicts) {
            let p = &stock.planned[m.job];
            let turn = if m.back { 180.0 } else { 0.0 };
            let heading_deg = (p.heading_deg + turn).rem_euclid(360.0);
            let turning = |back: bool| {
                if back {
                    Sense::CounterClockwise
                } else {
                    Sense::Clockwise
                }
            };
            let (pattern, shift, has_sense) = match p.job.what {
                What::Loops(shift) => (PatternKind::Loops, Some(shift), true),
                What::Both(_) => (PatternKind::Cross, None, false),
                What::Stripes(_) if v.kind == Kind::Cross => (PatternKind::Cross, None, false),
                What::Stripes(_) => (PatternKind::Stripes, None, false),
                What::Other(kind) => (kind, None, kind == PatternKind::Rings),
            };
            self.visits.push(Visit {
                slot: slots[k.slot].id,
                // The hour follows when all fairways of the day are known.
                start: k.date.to_datetime(rules.crew.start),
                fairway: name.clone(),
                kind: v.kind,
                pattern,
                heading_deg,
                clock: clock_hours(heading_deg, noon_deg),
                first_pass_right: m.back,
                sense: has_sense.then(|| turning(m.back)),
                lane_shift: shift,
                loop_diameter_m: p.used.loop_diameter_m,
                height_m: if v.raised { raised_m } else { regular_m },
                why: v.why,
                clean_up: m.rings.map(turning),
                minutes: p.minutes,
                distance_m: p.mowing_m + p.transport_m,
                mower: 0,
                moved_from: k.from,
                later_min: k.later_min,
            });
        }
        self.account(&stock, &name, &held, &mown, &weights);
        self.books.push(Book {
            fairway: name,
            index: stock.fairway,
            mown: kept.iter().map(|k| k.date).zip(mown).collect(),
            stock,
            half_life_days: half_life,
        });
        Ok(())
    }

    /// Moves one fairway's visits off frost and wet days.
    fn weathered(&mut self, name: &str, slots: &[Slot], dates: &[Date]) -> Vec<Kept> {
        let mut kept: Vec<Kept> = Vec::new();
        let mut busy: Vec<Date> = dates.to_vec();
        for (slot, &day) in dates.iter().enumerate() {
            let (to, sky) = moved(self.rules, day, &busy);
            let (date, later_min) = match to {
                Moved::Stays { minutes } => (day, minutes),
                Moved::To(d) => {
                    busy.push(d);
                    (d, 0)
                }
                Moved::Dropped => {
                    if let Some(sky) = sky {
                        self.cancelled.push(Cancelled {
                            slot: slots[slot].id,
                            fairway: name.to_string(),
                            date: day,
                            why: Lost::Weather(sky),
                        });
                    }
                    continue;
                }
            };
            kept.push(Kept {
                slot,
                date,
                from: sky.filter(|_| date != day).map(|s| (day, s)),
                later_min,
            });
        }
        kept.sort_by_key(|k| (k.date, k.slot));
        kept
    }

    fn account(
        &mut self,
        stock: &Stock,
        name: &str,
        slots: &[Slot],
        mown: &[Mown],
        weights: &[f64],
    ) {
        let rules = self.rules;
        let cost = |mown: &[Mown]| {
            Cost::of(
                &rules.rates,
                rules.crew.between_min,
                self.shift_efficiency,
                mown.iter().map(|m| {
                    let p = &stock.planned[m.job];
                    (p.minutes, p.mowing_m + p.transport_m)
                }),
            )
        };
        let tally = |mown: &[Mown]| {
            let sums = stock.lay(mown.iter().copied().zip(weights.iter().copied()));
            let mut t = Tally::default();
            t.take(&stock.cells, &sums);
            t
        };
        let first = self.lay.is_empty();
        let plus = |a: &Cost, b: &Cost| if first { *b } else { a.plus(b) };
        let (own, own_cost) = (tally(mown), cost(mown));
        for (h, t, c) in &mut self.habits {
            let visits = habit(*h, rules, stock, slots);
            t.join(&tally(&visits));
            *c = plus(c, &cost(&visits));
        }
        self.program.1 = plus(&self.program.1, &own_cost);
        self.program.0.join(&own);
        self.lay.push(FairwayLay {
            fairway: name.to_string(),
            area_m2: stock.cells.ground_m2(),
            lay: own.figures(),
            cost: own_cost,
        });
    }

    fn finish(mut self) -> Programme {
        let rules = self.rules;
        let order: Vec<&str> = self
            .course
            .fairways
            .iter()
            .map(|f| f.name.as_str())
            .collect();
        let place = |n: &str| order.iter().position(|o| *o == n);
        self.visits
            .sort_by_key(|v| (v.date(), v.later_min, place(&v.fairway), v.slot));
        clock_in(rules, &mut self.visits);
        self.visits
            .sort_by_key(|v| (v.start, v.mower, place(&v.fairway), v.slot));
        self.cancelled
            .sort_by_key(|c| (c.date, place(&c.fairway), c.slot));
        let days = loads(rules, self.visits.iter().map(|v| (v.date(), v.minutes)));
        let limit = limit_min(rules);
        let over: Vec<&DayLoad> = days.iter().filter(|d| d.minutes > limit + 1e-9).collect();
        if let Some(worst) = over
            .iter()
            .copied()
            .reduce(|a, b| if b.minutes > a.minutes { b } else { a })
        {
            self.warnings.push(Warning::Overloaded {
                days: over.len(),
                worst: worst.date,
                minutes: worst.minutes,
                limit_min: limit,
            });
        }
        Programme {
            course: self.course.name.clone(),
            rules: rules.clone(),
            visits: self.visits,
            cancelled: self.cancelled,
            days,
            lay: self.lay,
            total: Row {
                habit: None,
                lay: self.program.0.figures(),
                cost: self.program.1,
            },
            habits: self
                .habits
                .iter()
                .map(|(h, t, c)| Row {
                    habit: Some(*h),
                    lay: t.figures(),
                    cost: *c,
                })
                .collect(),
            books: self.books,
            warnings: self.warnings,
        }
    }
}

/// Gives each visit of a day, already in order, its mower and its start: whichever mower is
/// free first takes the next fairway.
fn clock_in(rules: &Rules, visits: &mut [Visit]) {
    let mowers = rules.crew.mowers.max(1) as usize;
    let mut free_min = vec![0.0_f64; mowers];
    let mut day = None;
    for v in visits {
        if day != Some(v.date()) {
            day = Some(v.date());
            free_min.fill(0.0);
        }
        let mut m = 0;
        for k in 1..mowers {
            if free_min[k] < free_min[m] {
                m = k;
            }
        }
        let from = free_min[m].max(f64::from(v.later_min));
        free_min[m] = from + v.minutes + rules.crew.between_min;
        v.mower = m as u32;
        let at = v
            .start
            .checked_add(Span::new().minutes(from.round() as i64));
        // An overloaded day does not run into the next one; the warning says that it is too long.
        if let Ok(at) = at {
            let last = v.date().at(23, 59, 0, 0);
            v.start = at.min(last);
        }
    }
}

/// A heading as hours on the clock face of a fairway, from and to, to the nearest half hour.
fn clock_hours(heading_deg: f64, noon_deg: f64) -> (f64, f64) {
    let half_hours = ((heading_deg - noon_deg).rem_euclid(360.0) / 15.0).round() as i64;
    // Half past twelve is 12:30 on a clock, not 0:30.
    let hour = |h: i64| match h.rem_euclid(24) {
        h @ (0 | 1) => 12.0 + h as f64 / 2.0,
        h => h as f64 / 2.0,
    };
    (hour(half_hours + 12), hour(half_hours))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crossgrain_core::Fairway;
    use geo_types::{Coord, LineString, MultiPolygon, Polygon};
    use jiff::civil::date;

    #[test]
    fn clock_hours_are_read_on_the_hole() {
        assert_eq!(clock_hours(41.0, 41.0), (6.0, 12.0));
        assert_eq!(clock_hours(131.0, 41.0), (9.0, 3.0));
        assert_eq!(clock_hours(41.0 + 195.0, 41.0), (12.5, 6.5));
        assert_eq!(clock_hours(41.0 - 45.0 + 360.0, 41.0), (4.5, 10.5));
        assert_eq!(clock_hours(41.0 + 180.0, 41.0), (12.0, 6.0));
    }

    fn rectangle(name: &str, x: f64, length_m: f64, width_m: f64) -> Fairway {
        let at = |x: f64, y: f64| Coord { x, y };
        let ground = MultiPolygon(vec![Polygon::new(
            LineString(vec![
                at(x, 0.0),
                at(x + width_m, 0.0),
                at(x + width_m, length_m),
                at(x, length_m),
                at(x, 0.0),
            ]),
            vec![],
        )]);
        Fairway {
            name: name.into(),
            outline: ground.clone(),
            ground,
            keep_outs: vec![],
            no_turn: MultiPolygon(vec![]),
            hole_line: Some(LineString(vec![
                at(x + width_m / 2.0, -10.0),
                at(x + width_m / 2.0, length_m + 10.0),
            ])),
            way_in: None,
        }
    }

    fn course() -> Course {
        Course {
            name: "two holes".into(),
            origin_lon_deg: 0.0,
            origin_lat_deg: 0.0,
            fairways: vec![
                rectangle("1", 0.0, 120.0, 30.0),
                rectangle("2", 100.0, 90.0, 34.0),
            ],
            features: vec![],
        }
    }

    fn rules() -> Rules {
        Rules::between(date(2027, 4, 5), date(2027, 5, 30))
    }

    fn planned(rules: &Rules, log: &[Observation]) -> Programme {
        programme(&course(), &Mower::bar(2.54), rules, log, &OneByOne).unwrap()
    }

    #[test]
    fn the_programme_is_less_grained_than_every_habit_that_costs_as_much() {
        let p = planned(&rules(), &[]);
        let row = |h: Habit| *p.habits.iter().find(|r| r.habit == Some(h)).unwrap();
        let one = row(Habit::OneHeading);
        let fixed = row(Habit::FixedAlternation);
        assert!(one.lay.r2_mean > 0.9, "{one:?}");
        assert!(
            p.total.lay.r2_mean < fixed.lay.r2_mean,
            "{:?} {fixed:?}",
            p.total
        );
        assert_eq!(p.visits.len(), 48);
        assert_eq!(p.total.cost.visits, 48);
    }

    #[test]
    fn the_programme_keeps_to_the_extra_hours_allowed() {
        let p = planned(&rules(), &[]);
        let fixed = p
            .habits
            .iter()
            .find(|r| r.habit == Some(Habit::FixedAlternation))
            .unwrap();
        assert!(p.total.cost.hours <= fixed.cost.hours * 1.05 + 1e-9);
    }

    #[test]
    fn without_extra_hours_it_takes_no_more_than_the_alternation() {
        let mut r = rules();
        r.headings.extra_hours = 0.0;
        r.weather.days.push((date(2027, 4, 14), Sky::Wet));
        let p = planned(&r, &[]);
        let fixed = p
            .habits
            .iter()
            .find(|r| r.habit == Some(Habit::FixedAlternation))
            .unwrap();
        assert!(
            p.total.cost.hours <= fixed.cost.hours + 1e-6,
            "{:?} {fixed:?}",
            p.total
        );
        assert!(p.total.lay.r1_mean < fixed.lay.r1_mean);
        let over = |w: &Warning| matches!(w, Warning::ExtraHours { .. });
        assert!(!p.warnings.iter().any(over));
    }

    #[test]
    fn headings_that_cost_too_much_are_said_to() {
        let mut r = rules();
        r.headings.extra_hours = 0.0;
        // Across the fairway only: more passes and more turns than along it.
        r.headings.allowed = vec![clock(3.0)];
        let p = planned(&r, &[]);
        let over: Vec<String> = p
            .warnings
            .iter()
            .filter(|w| matches!(w, Warning::ExtraHours { .. }))
            .map(Warning::to_string)
            .collect();
        assert_eq!(over.len(), 2, "{:?}", p.warnings);
        assert!(over[0].starts_with("headings.extra_hours_percent: fairway 1 takes"));
    }

    #[test]
    fn the_same_rules_give_the_same_programme() {
        assert_eq!(planned(&rules(), &[]), planned(&rules(), &[]));
    }

    #[test]
    fn wet_days_and_closed_days_keep_a_visits_name() {
        let mut r = rules();
        r.weather.days.push((date(2027, 4, 14), Sky::Wet));
        let before = planned(&rules(), &[]);
        let after = planned(&r, &[]);
        let day = |p: &Programme| {
            p.visits
                .iter()
                .find(|v| v.fairway == "1" && v.slot.to_string() == "2027-W15-2")
                .map(|v| (v.date(), v.moved_from))
        };
        assert_eq!(day(&before), Some((date(2027, 4, 14), None)));
        assert_eq!(
            day(&after),
            Some((date(2027, 4, 15), Some((date(2027, 4, 14), Sky::Wet))))
        );
        assert_eq!(before.visits.len(), after.visits.len());
    }

    #[test]
    fn the_grain_of_a_day_counts_only_what_was_mown() {
        let p = planned(&rules(), &[]);
        let b = &p.books[0];
        assert!(b.lay_on(date(2027, 4, 4)).iter().all(|s| s.w == 0.0));
        let end = b.figures_on(date(2027, 5, 30));
        assert!((end.r2_mean - p.lay[0].lay.r2_mean).abs() < 1e-9);
        // After one visit every cell is grained along it.
        assert!(b.figures_on(date(2027, 4, 6)).r2_mean > end.r2_mean);
    }

    #[test]
    fn bad_rules_are_refused_by_name() {
        let mut r = rules();
        r.to = date(2027, 4, 1);
        let e = programme(&course(), &Mower::bar(2.54), &r, &[], &OneByOne).unwrap_err();
        assert_eq!(
            e.to_string(),
            "season.to: the season ends on 2027-04-01, before it starts on 2027-04-05; \
             set season.to to 2027-04-05 or later"
        );
    }
}
