//! Which visits there are and on which days: before it is chosen how each is made.

use crate::ask::Ask;
use crate::catalogue::{What, first_loop_train};
use crate::crew::level;
use crate::fairway_season::{Due, Habit, Mown, Stock, habit, minutes};
use crate::heights::{LoopHeights, loop_steps};
use crate::past::Done;
use crate::rules::{EDGE_RINGS, Rules, Sky, clock};
use crate::scalping::{Observation, Verdict, verdicts};
use crate::season_error::{SeasonError, Warning};
use crate::slots::{Kind, Roster, Slot, SlotId, roster};
use crate::visit::{Cancelled, Lost, Visit, clock_hours};
use crate::weather::{Moved, moved};
use crossgrain_core::Sense;
use crossgrain_core::inside::ground::heading::resolve;
use crossgrain_core::inside::model::pattern::{CrossSets, PatternKind};
use crossgrain_core::inside::model::quantity::compass_deg;
use jiff::civil::Date;

/// What else is known of a visit that is due.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Circumstances {
    /// The day it was moved from, and why.
    pub from: Option<(Date, Sky)>,
    /// Minutes that frost delays the start.
    pub later_min: u32,
    /// What the log of scalping makes of it.
    pub verdict: Verdict,
    /// The row of the log, when it is past.
    pub logged: Option<Done>,
}

/// One fairway's visits.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct FairwayDues {
    pub name: String,
    pub stock: Stock,
    /// In order of time.
    pub dues: Vec<Due>,
    pub about: Vec<Circumstances>,
    /// Whether keep-outs lie on it or at its edge.
    pub has_keep_outs: bool,
    /// Share of a shift that its machine drives.
    pub shift_efficiency: f64,
}

/// All fairways' visits.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Timetable {
    pub fairways: Vec<FairwayDues>,
    pub cancelled: Vec<Cancelled>,
}

impl FairwayDues {
    /// Minutes of what is past.
    pub fn past_min(&self) -> f64 {
        self.dues
            .iter()
            .filter_map(|d| d.done)
            .map(|m| self.stock.minutes(&m))
            .sum()
    }

    /// What the fixed weekly alternation is laid over, with so many clean-up passes where all are
    /// driven.
    fn plain_with(&self, rules: &Rules, full: u32) -> Vec<Mown> {
        self.dues
            .iter()
            .map(|d| {
                if let Some(done) = d.done {
                    return done;
                }
                let (what, rings) = match d.kind {
                    Kind::Loops => (first_loop_train(rules), rules.loop_rings()),
                    _ => (
                        What::Stripes(crate::rules::CLOCK_ROTATION[0]),
                        if d.full { full } else { EDGE_RINGS },
                    ),
                };
                Mown {
                    job: self.stock.find(what, rings).unwrap_or(0),
                    back: false,
                    ccw: false,
                }
            })
            .collect()
    }

    fn alternation_with(&self, rules: &Rules, plain: &[Mown]) -> f64 {
        let of = habit(
            Habit::FixedAlternation,
            true,
            rules,
            &self.stock,
            &self.dues,
            plain,
        );
        minutes(&self.stock, &of)
    }

    /// The same with the number of clean-up passes that takes least time.
    pub fn plain(&self, rules: &Rules) -> Vec<Mown> {
        rules
            .clean_up
            .rings
            .iter()
            .map(|&n| self.plain_with(rules, n))
            .min_by(|a, b| {
                self.alternation_with(rules, a)
                    .total_cmp(&self.alternation_with(rules, b))
            })
            .unwrap_or_default()
    }

    /// Minutes of the fixed weekly alternation: what extra hours are counted from.
    pub fn alternation_min(&self, rules: &Rules) -> f64 {
        self.alternation_with(rules, &self.plain(rules))
    }
}

/// Lays out the season.
pub(crate) fn timetable(
    ask: &Ask<'_>,
    stocks: Vec<Stock>,
    warnings: &mut Vec<Warning>,
) -> Timetable {
    let rules = ask.rules;
    let areas: Vec<f64> = stocks.iter().map(|s| s.cells.ground_m2()).collect();
    let loops: Vec<bool> = stocks.iter().map(Stock::has_loops).collect();
    let roster = roster(rules, &areas, &loops);
    let dates = dated(rules, &roster, &stocks);
    let cut = ask.done.iter().map(|d| d.date).max();
    let mut out = Timetable {
        fairways: Vec::new(),
        cancelled: Vec::new(),
    };
    for (f, stock) in stocks.into_iter().enumerate() {
        let name = ask.course.fairways[stock.fairway].name().to_string();
        let (slots, dates) = (&roster.slots[f], &dates[f]);
        let one = one_fairway(
            ask,
            name,
            stock,
            slots,
            dates,
            cut,
            &mut out.cancelled,
            warnings,
        );
        out.fairways.push(one);
    }
    for (slot, date) in &roster.lost {
        for f in &out.fairways {
            if cut.is_some_and(|c| *date <= c) {
                continue;
            }
            out.cancelled.push(Cancelled {
                slot: *slot,
                fairway: f.name.clone(),
                date: *date,
                why: Lost::Closed(
                    rules
                        .closed_on(*date)
                        .map_or_else(String::new, |c| c.why.clone()),
                ),
            });
        }
    }
    out
}

/// The day of every slot: each kind of machine by itself, by the minutes that such a visit takes
/// on the average of what may be chosen.
fn dated(rules: &Rules, roster: &Roster, stocks: &[Stock]) -> Vec<Vec<Date>> {
    let mut out: Vec<Vec<Date>> = vec![Vec::new(); stocks.len()];
    let most = stocks.iter().map(|s| s.machine).max().unwrap_or(0);
    for machine in 0..=most {
        let mine: Vec<usize> = (0..stocks.len())
            .filter(|&f| stocks[f].machine == machine)
            .collect();
        let part = Roster {
            weeks: roster.weeks.clone(),
            slots: mine.iter().map(|&f| roster.slots[f].clone()).collect(),
            lost: Vec::new(),
        };
        let times: Vec<Vec<f64>> = mine
            .iter()
            .map(|&f| {
                let usual = |loops: bool, full: bool| usual_min(rules, &stocks[f], loops, full);
                let table = [
                    [usual(false, false), usual(false, true)],
                    [usual(true, false), usual(true, true)],
                ];
                roster.slots[f]
                    .iter()
                    .map(|s| table[usize::from(s.kind == Kind::Loops)][usize::from(s.full)])
                    .collect()
            })
            .collect();
        for (&f, dates) in mine.iter().zip(level(rules, &part, &times)) {
            out[f] = dates;
        }
    }
    out
}

fn usual_min(rules: &Rules, stock: &Stock, loops: bool, full: bool) -> f64 {
    let rings = |n: u32| {
        if loops {
            n == rules.loop_rings()
        } else if full {
            rules.clean_up.rings.contains(&n)
        } else {
            n == EDGE_RINGS
        }
    };
    let times: Vec<f64> = stock
        .planned
        .iter()
        .filter(|p| matches!(p.job.what, What::Loops(..)) == loops && rings(p.job.rings))
        .map(|p| p.minutes)
        .collect();
    times.iter().sum::<f64>() / times.len().max(1) as f64
}

#[allow(clippy::too_many_arguments)] // one call, from one place
fn one_fairway(
    ask: &Ask<'_>,
    name: String,
    stock: Stock,
    slots: &[Slot],
    dates: &[Date],
    cut: Option<Date>,
    cancelled: &mut Vec<Cancelled>,
    warnings: &mut Vec<Warning>,
) -> FairwayDues {
    let rules = ask.rules;
    let ahead: Vec<(usize, Date)> = slots
        .iter()
        .enumerate()
        .zip(dates)
        .map(|((i, _), d)| (i, *d))
        .filter(|(_, d)| cut.is_none_or(|c| *d > c))
        .collect();
    let mut rows: Vec<(Due, Circumstances)> = past(ask, &name, &stock, slots, dates, warnings);
    let mut busy: Vec<Date> = ahead.iter().map(|a| a.1).collect();
    for (slot, day) in ahead {
        let (to, sky) = moved(rules, day, &busy);
        let (date, later_min) = match to {
            Moved::Stays { minutes } => (day, minutes),
            Moved::To(d) => {
                busy.push(d);
                (d, 0)
            }
            Moved::Dropped => {
                if let Some(sky) = sky {
                    cancelled.push(Cancelled {
                        slot: slots[slot].id,
                        fairway: name.clone(),
                        date: day,
                        why: Lost::Weather(sky),
                    });
                }
                continue;
            }
        };
        let s = &slots[slot];
        rows.push((
            Due {
                id: s.id,
                date,
                kind: s.kind,
                full: s.full,
                done: None,
            },
            Circumstances {
                from: sky.filter(|_| date != day).map(|s| (day, s)),
                later_min,
                verdict: Verdict {
                    kind: s.kind,
                    raised: false,
                    why: None,
                },
                logged: None,
            },
        ));
    }
    rows.sort_by_key(|(d, _)| (d.date, d.done.is_none(), d.id));
    let kinds: Vec<(Date, Kind)> = rows.iter().map(|(d, _)| (d.date, d.kind)).collect();
    let mine: Vec<Observation> = ask
        .observations
        .iter()
        .filter(|o| o.fairway == name)
        .cloned()
        .collect();
    for ((due, about), v) in rows
        .iter_mut()
        .zip(verdicts(&kinds, &mine, rules.height.raised_mows))
    {
        if due.done.is_none() {
            due.kind = v.kind;
        }
        about.verdict = v;
    }
    let (dues, about) = rows.into_iter().unzip();
    FairwayDues {
        shift_efficiency: ask.mowers[stock.machine].shift_efficiency,
        has_keep_outs: !ask.course.fairways[stock.fairway].keep_outs().is_empty(),
        name,
        stock,
        dues,
        about,
    }
}

/// The visits in the log. Each keeps the identity of the visit that was due that day, or that
/// week; one more than were due gets a number of its own.
fn past(
    ask: &Ask<'_>,
    name: &str,
    stock: &Stock,
    slots: &[Slot],
    dates: &[Date],
    warnings: &mut Vec<Warning>,
) -> Vec<(Due, Circumstances)> {
    let fairway = &ask.course.fairways[stock.fairway];
    let jobs: Vec<_> = stock.planned.iter().map(|p| p.job).collect();
    let cut = ask.done.iter().map(|d| d.date).max();
    let mut log: Vec<&Done> = ask.done.iter().filter(|d| d.fairway == name).collect();
    log.sort_by_key(|d| d.date);
    let mut taken = vec![false; slots.len()];
    let mut ids: Vec<Option<SlotId>> = vec![None; log.len()];
    for (d, id) in log.iter().zip(&mut ids) {
        if let Some(i) = (0..slots.len()).find(|&i| !taken[i] && dates[i] == d.date) {
            taken[i] = true;
            *id = Some(slots[i].id);
        }
    }
    let mut out = Vec::new();
    for (d, id) in log.iter().zip(ids) {
        let iso = d.date.iso_week_date();
        let week = |s: &SlotId| (s.year, s.week) == (iso.year(), iso.week());
        let id = id.unwrap_or_else(|| {
            // Visits that are still ahead keep their names.
            let due = |i: usize| !taken[i] && week(&slots[i].id) && Some(dates[i]) <= cut;
            match (0..slots.len()).find(|&i| due(i)) {
                Some(i) => {
                    taken[i] = true;
                    slots[i].id
                }
                None => SlotId {
                    year: iso.year(),
                    week: iso.week(),
                    ordinal: 7 + out.len() as u32,
                },
            }
        });
        let job = d.job(&jobs, fairway, stock.fairway, ask.rules);
        let Some(job) = stock.planned.iter().position(|p| p.job == job) else {
            warnings.push(Warning::Log(format!(
                "log: fairway {name} on {}: {} cannot be mown here with this mower; the day is \
                 left out of the grain",
                d.date,
                d.pattern.word()
            )));
            continue;
        };
        let done = Mown {
            job,
            back: d.back(stock.planned[job].heading_deg),
            ccw: d.clean_up == Some(Sense::CounterClockwise),
        };
        out.push((
            Due {
                id,
                date: d.date,
                kind: d.kind(),
                full: d.rings != EDGE_RINGS,
                done: Some(done),
            },
            Circumstances {
                from: None,
                later_min: 0,
                verdict: Verdict {
                    kind: d.kind(),
                    raised: false,
                    why: None,
                },
                logged: Some((*d).clone()),
            },
        ));
    }
    out
}

/// The visits of one fairway, how each is made being known.
///
/// # Errors
/// [`SeasonError::Height`] when a height cannot be set.
pub(crate) fn visits(
    ask: &Ask<'_>,
    f: &FairwayDues,
    mown: &[Mown],
) -> Result<Vec<Visit>, SeasonError> {
    let rules = ask.rules;
    let fairway = &ask.course.fairways[f.stock.fairway];
    let steps = loop_steps(&LoopHeights {
        bench_m: rules.height_of_m(&f.name),
        raise: rules.height.raise,
        raised_mowings: rules.height.raised_mows.max(1),
        gauge_step_m: rules.height.step_m,
    })
    .map_err(|error| SeasonError::Height {
        fairway: f.name.clone(),
        error,
    })?;
    let regular_m = rules.height_of_m(&f.name);
    let raised_m = steps.first().map_or(regular_m, |s| s.set_m);
    let noon_deg = compass_deg(resolve(clock(12.0), fairway).0);
    let turning = |back: bool| {
        if back {
            Sense::CounterClockwise
        } else {
            Sense::Clockwise
        }
    };
    Ok(f.dues
        .iter()
        .zip(&f.about)
        .zip(mown)
        .map(|((due, about), m)| {
            let p = &f.stock.planned[m.job];
            // Lanes of loops are the same both ways, and shifted to the same side.
            let turned = m.back && !matches!(p.job.what, What::Loops(..));
            let turn = if turned { 180.0 } else { 0.0 };
            let planned_deg = (p.heading_deg + turn).rem_euclid(360.0);
            let (pattern, shift, has_sense) = match p.job.what {
                What::Loops(_, shift) => (PatternKind::Loops, Some(shift), true),
                What::Both(_) => (PatternKind::Cross, None, false),
                What::Stripes(_) if due.kind == Kind::Cross => (PatternKind::Cross, None, false),
                What::Stripes(_) => (PatternKind::Stripes, None, false),
                What::Other(kind) => (kind, None, kind == PatternKind::Rings),
            };
            let logged = about.logged.as_ref();
            let heading_deg = logged.map_or(planned_deg, |d| d.heading_deg);
            Visit {
                slot: due.id,
                // The hour follows when all fairways of the day are known.
                start: due.date.to_datetime(rules.crew.start),
                fairway: f.name.clone(),
                kind: due.kind,
                pattern: logged.map_or(pattern, |d| d.pattern),
                cross_sets: match (p.job.what, due.kind) {
                    (What::Both(_), _) => Some(CrossSets::Both),
                    (What::Stripes(_), Kind::Cross) => Some(CrossSets::Crossing),
                    _ => None,
                },
                heading_deg,
                clock: clock_hours(heading_deg, noon_deg),
                first_pass_right: logged.map_or(turned, |d| d.first_pass_right),
                sense: match logged {
                    Some(d) => d.sense,
                    None => has_sense.then(|| turning(m.back)),
                },
                lane_shift: match logged {
                    Some(d) => d.lane_shift,
                    None => shift,
                },
                loop_diameter_m: p.used.loop_diameter_m,
                height_m: if about.verdict.raised {
                    raised_m
                } else {
                    regular_m
                },
                why: about.verdict.why,
                clean_up: match logged {
                    Some(d) => d.clean_up,
                    None => (p.job.rings > 0).then(|| turning(m.ccw)),
                },
                rings: p.job.rings,
                ends: p.job.ends(),
                ground: p.ground.clone(),
                minutes: p.minutes,
                distance_m: p.mowing_m + p.transport_m,
                mower: 0,
                moved_from: about.from,
                later_min: about.later_min,
                done: due.done.is_some(),
            }
        })
        .collect())
}
