//! One fairway's season: the schedule that is chosen, and the plain habits beside it.

use crate::catalogue::{Planned, What};
use crate::grain::{Cells, Columns, Sum};
use crate::headings::{Free, Pick, Problem, Way, axis_angle_deg, choose};
use crate::rules::{CLOCK_ROTATION, Rules};
use crate::slots::{Kind, Slot};
use crossgrain_core::PatternKind;
use std::fmt;

/// All that can be mown on one fairway.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Index of the fairway in the course.
    pub fairway: usize,
    /// Its cells.
    pub cells: Cells,
    /// The planned mows.
    pub planned: Vec<Planned>,
    /// Lay of the clean-up passes, clockwise; empty without any.
    pub ring_sums: Vec<Sum>,
}

/// One visit, as a choice from the stock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mown {
    /// Index into [`Stock::planned`].
    pub job: usize,
    /// Driven back to front.
    pub back: bool,
    /// Clean-up passes: none, or whether they are driven counter-clockwise.
    pub rings: Option<bool>,
}

/// Schedules that clubs keep without choosing, for comparison.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Habit {
    /// Stripes toward the green, every visit alike.
    OneHeading,
    /// The same lines, driven the other way every second visit.
    BackAndForth,
    /// The published clock rotation of four axes, one a visit.
    ClockRotation,
    /// Stripes toward the green, cross cut and loops in turn, neither shifted nor turned.
    FixedAlternation,
}

impl Habit {
    /// All of them.
    pub const ALL: [Habit; 4] = [
        Habit::OneHeading,
        Habit::BackAndForth,
        Habit::ClockRotation,
        Habit::FixedAlternation,
    ];

    /// The word in a programme file.
    pub fn word(self) -> &'static str {
        match self {
            Habit::OneHeading => "one-heading",
            Habit::BackAndForth => "back-and-forth",
            Habit::ClockRotation => "clock-rotation",
            Habit::FixedAlternation => "fixed-alternation",
        }
    }
}

impl fmt::Display for Habit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Habit::OneHeading => "one heading all season",
            Habit::BackAndForth => "back and forth",
            Habit::ClockRotation => "clock rotation, four axes",
            Habit::FixedAlternation => "fixed weekly alternation",
        })
    }
}

/// Cells that the choice looks at: enough that the 95th percentile rests on a dozen of them.
const SAMPLE: usize = 256;

impl Stock {
    /// The planned mow of that kind, with clean-up passes or without; the other one when only
    /// that is planned.
    pub fn find(&self, what: What, rings: bool) -> Option<usize> {
        let at = |r: bool| {
            self.planned
                .iter()
                .position(|p| p.job.what == what && p.job.rings == r)
        };
        at(rings).or_else(|| at(!rings))
    }

    /// Whether loops can be mown here.
    pub fn has_loops(&self) -> bool {
        self.planned
            .iter()
            .any(|p| matches!(p.job.what, What::Loops(_)))
    }

    /// Lay sums of weighted visits.
    pub fn lay(&self, visits: impl IntoIterator<Item = (Mown, f64)>) -> Vec<Sum> {
        // Visits of one kind add up before the cells are touched.
        let mut weight = vec![(0.0_f64, 0.0_f64); self.planned.len()];
        let mut ring = (0.0_f64, 0.0_f64);
        let add = |to: &mut (f64, f64), w: f64, back: bool| {
            to.0 += w;
            to.1 += if back { -w } else { w };
        };
        for (m, w) in visits {
            add(&mut weight[m.job], w, m.back);
            if let Some(back) = m.rings {
                add(&mut ring, w, back);
            }
        }
        let mut out = vec![Sum::default(); self.cells.cells.len()];
        let parts = self
            .planned
            .iter()
            .zip(&weight)
            .map(|(p, w)| (&p.sums, *w))
            .chain([(&self.ring_sums, ring)]);
        for (sums, (w, polar)) in parts {
            if w > 0.0 {
                for (o, s) in out.iter_mut().zip(sums) {
                    o.add_many(s, w as f32, polar as f32);
                }
            }
        }
        out
    }

    fn minutes(&self, m: &Mown) -> f64 {
        self.planned[m.job].minutes
    }
}

fn ring(slot: &Slot) -> Option<bool> {
    slot.rings.then_some(slot.rings_before % 2 == 1)
}

/// The loop visit of a slot: the sense alternates from one to the next, the lanes go through
/// the shifts of the rules. With an even number of shifts the sense would always meet the same
/// shift; then it is repeated once a lap.
fn loops(shifts: &[f64], stock: &Stock, slot: &Slot) -> Option<Mown> {
    let n = slot.loops_before as usize;
    let lap = if shifts.len().is_multiple_of(2) {
        n / shifts.len()
    } else {
        0
    };
    let job = stock.find(What::Loops(shifts[n % shifts.len()]), slot.rings)?;
    Some(Mown {
        job,
        back: (n + lap) % 2 == 1,
        rings: ring(slot),
    })
}

/// What a habit does on each slot.
pub fn habit(habit: Habit, rules: &Rules, stock: &Stock, slots: &[Slot]) -> Vec<Mown> {
    let noon = What::Stripes(CLOCK_ROTATION[0]);
    slots
        .iter()
        .enumerate()
        .map(|(i, slot)| {
            let turned = ring(slot);
            let same = slot.rings.then_some(false);
            let (what, back, rings) = match (habit, slot.kind) {
                (Habit::OneHeading, _) => (noon, false, same),
                (Habit::BackAndForth, _) => (noon, i % 2 == 1, turned),
                (Habit::ClockRotation, _) => (
                    What::Stripes(CLOCK_ROTATION[i % 4]),
                    (i / 4) % 2 == 1,
                    turned,
                ),
                (Habit::FixedAlternation, Kind::Loops) => {
                    (What::Loops(rules.grooming.lane_shifts[0]), false, same)
                }
                (Habit::FixedAlternation, Kind::Cross) if rules.grooming.both_sets => {
                    (What::Both(CLOCK_ROTATION[0]), false, same)
                }
                (Habit::FixedAlternation, Kind::Cross) => {
                    (What::Stripes(CLOCK_ROTATION[1]), false, same)
                }
                (Habit::FixedAlternation, Kind::Regular) => (noon, false, same),
            };
            Mown {
                // Stripes are always planned; loops only where the slot is one.
                job: stock.find(what, slot.rings).unwrap_or(0),
                back,
                rings,
            }
        })
        .collect()
}

/// Minutes that the visits of these slots may take: those of the fixed weekly alternation and
/// the share on top that the rules allow.
pub fn budget_min(rules: &Rules, stock: &Stock, slots: &[Slot]) -> f64 {
    let alternation = habit(Habit::FixedAlternation, rules, stock, slots);
    minutes(stock, &alternation) * (1.0 + rules.headings.extra_hours)
}

/// The computed schedule of a whole season, within `budget_min` minutes.
///
/// Where the hours do not even do for loops at all shifts with the cheapest headings, the shift
/// that costs most is given up, and so on down to one, which costs no more than the
/// alternation's. Only where the allowed headings themselves cost too much is the budget passed.
pub fn within_hours(
    rules: &Rules,
    stock: &Stock,
    slots: &[Slot],
    weights: &[f64],
    budget_min: f64,
) -> Vec<Mown> {
    let mut shifts = rules.grooming.lane_shifts.clone();
    loop {
        let fixed: Vec<Option<Mown>> = slots
            .iter()
            .map(|s| match s.kind {
                Kind::Loops => loops(&shifts, stock, s),
                _ => None,
            })
            .collect();
        let out = schedule(rules, stock, slots, weights, &fixed, budget_min);
        if shifts.len() <= 1 || within(minutes(stock, &out), budget_min) {
            return out;
        }
        let cost = |shift: f64| {
            stock
                .find(What::Loops(shift), true)
                .map_or(0.0, |j| stock.planned[j].minutes)
        };
        // The last of equals: the first shift is the alternation's.
        if let Some((i, _)) = shifts
            .iter()
            .enumerate()
            .max_by(|a, b| cost(*a.1).total_cmp(&cost(*b.1)))
        {
            shifts.remove(i);
        }
    }
}

/// Whether a time keeps to a budget, both in minutes: sums in another order differ by rounding.
pub fn within(time_min: f64, budget_min: f64) -> bool {
    time_min <= budget_min * (1.0 + 1e-9) + 1e-9
}

/// The computed schedule: the slots in `fixed` stay as they are, for the others a heading and a
/// way along it are chosen, so that the whole takes no more than `budget_min` minutes where the
/// allowed headings make that possible.
pub fn schedule(
    rules: &Rules,
    stock: &Stock,
    slots: &[Slot],
    weights: &[f64],
    fixed: &[Option<Mown>],
    budget_min: f64,
) -> Vec<Mown> {
    let sample = stock.cells.sample(SAMPLE);
    let (ways, way_jobs) = ways(rules, stock, &sample);
    let mut base = vec![Sum::default(); sample.len()];
    let mut put = |sums: &[Sum], w: f64, back: bool| {
        for (b, &i) in base.iter_mut().zip(&sample) {
            if let Some(s) = sums.get(i) {
                b.add(s, w as f32, back);
            }
        }
    };
    let mut free = Vec::new();
    let mut free_slots = Vec::new();
    let mut fixed_min = 0.0;
    for (i, slot) in slots.iter().enumerate() {
        let rings = match &fixed[i] {
            Some(m) => {
                put(&stock.planned[m.job].sums, weights[i], m.back);
                fixed_min += stock.minutes(m);
                m.rings
            }
            None => {
                free.push(Free {
                    kind: slot.kind,
                    rings: slot.rings,
                    weight: weights[i],
                });
                free_slots.push(i);
                ring(slot)
            }
        };
        if let Some(back) = rings {
            put(&stock.ring_sums, weights[i], back);
        }
    }
    let budget_min = budget_min - fixed_min;
    let (start, start_min) = start(rules, &ways, &free, budget_min);
    let problem = Problem {
        ways,
        free,
        base: Columns::of(&base),
        // What costs more than it may even so is made no worse.
        budget_min: budget_min.max(start_min),
        start,
    };
    let picks = if problem.free.is_empty() {
        Vec::new()
    } else {
        choose(&problem)
    };
    let mut out: Vec<Option<Mown>> = fixed.to_vec();
    for (&i, pick) in free_slots.iter().zip(picks) {
        out[i] = Some(Mown {
            job: way_jobs[pick.way][usize::from(slots[i].rings)],
            back: pick.back,
            rings: ring(&slots[i]),
        });
    }
    out.into_iter().flatten().collect()
}

/// Minutes of a schedule.
pub fn minutes(stock: &Stock, mown: &[Mown]) -> f64 {
    mown.iter().map(|m| stock.minutes(m)).sum()
}

/// The ways for free visits, and the planned mows behind each, without and with clean-up passes.
fn ways(rules: &Rules, stock: &Stock, sample: &[usize]) -> (Vec<Way>, Vec<[usize; 2]>) {
    let mut ways = Vec::new();
    let mut jobs = Vec::new();
    let mut push = |kind: Kind, what: What| {
        let (Some(bare), Some(ringed)) = (stock.find(what, false), stock.find(what, true)) else {
            return;
        };
        let both = [bare, ringed];
        ways.push(Way {
            kind,
            axis_deg: stock.planned[bare].heading_deg,
            crosses_itself: matches!(what, What::Both(_)),
            minutes: both.map(|j| stock.planned[j].minutes),
            sums: both.map(|j| {
                let sums: Vec<Sum> = sample.iter().map(|&i| stock.planned[j].sums[i]).collect();
                Columns::of(&sums)
            }),
        });
        jobs.push(both);
    };
    if rules.regular == PatternKind::Stripes {
        for h in &rules.headings.allowed {
            push(Kind::Regular, What::Stripes(*h));
        }
    } else {
        push(Kind::Regular, What::Other(rules.regular));
    }
    for h in &rules.headings.allowed {
        let what = if rules.grooming.both_sets {
            What::Both(*h)
        } else {
            What::Stripes(*h)
        };
        push(Kind::Cross, what);
    }
    (ways, jobs)
}

/// The plainest schedule the allowed headings give, and its minutes: one axis on every regular
/// visit, and for a cross cut the one that crosses it most squarely. The axis is the first of the
/// clock rotation; where it is not allowed, or passes the budget, the cheapest.
fn start(rules: &Rules, ways: &[Way], free: &[Free], budget_min: f64) -> (Vec<Pick>, f64) {
    let least = |kind: Kind, cost: &dyn Fn(&Way) -> f64| {
        ways.iter()
            .enumerate()
            .filter(|(_, w)| w.kind == kind)
            .min_by(|a, b| cost(a.1).total_cmp(&cost(b.1)).then(a.0.cmp(&b.0)))
            .map_or(0, |(i, _)| i)
    };
    let with = |regular: usize| -> (Vec<Pick>, f64) {
        let axis = ways.get(regular).map_or(0.0, |w| w.axis_deg);
        let cross = least(Kind::Cross, &|w| {
            if w.crosses_itself {
                w.minutes[0]
            } else {
                90.0 - axis_angle_deg(w.axis_deg, axis)
            }
        });
        let way = |f: &Free| {
            if f.kind == Kind::Cross {
                cross
            } else {
                regular
            }
        };
        let picks: Vec<Pick> = free
            .iter()
            .map(|f| Pick {
                way: way(f),
                back: false,
            })
            .collect();
        let minutes = free
            .iter()
            .filter_map(|f| Some(ways.get(way(f))?.minutes[usize::from(f.rings)]))
            .sum();
        (picks, minutes)
    };
    let noon = rules
        .headings
        .allowed
        .iter()
        .position(|h| *h == CLOCK_ROTATION[0])
        .filter(|_| rules.regular == PatternKind::Stripes)
        .map(with)
        .filter(|s| within(s.1, budget_min));
    noon.unwrap_or_else(|| {
        (0..ways.len())
            .filter(|&i| ways[i].kind == Kind::Regular)
            .map(with)
            .reduce(|a, b| if b.1 < a.1 { b } else { a })
            .unwrap_or_else(|| with(0))
    })
}
