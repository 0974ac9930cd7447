//! One fairway's season: what can be mown, what is mown, and the plain habits beside it.

use crate::catalogue::{Planned, What, first_loop_train};
use crate::grain::{Cells, Sum};
use crate::rules::{CLOCK_ROTATION, EDGE_RINGS, Rules};
use crate::slots::{Kind, SlotId};
use jiff::civil::Date;
use std::collections::BTreeMap;
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
    /// Lay of the clean-up passes, clockwise, by how many there are.
    pub ring_sums: BTreeMap<u32, Vec<Sum>>,
    /// The machine that mows here: index into the rules' machines, 0 without any.
    pub machine: usize,
}

/// One visit, as a choice from the stock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mown {
    /// Index into [`Stock::planned`].
    pub job: usize,
    /// Driven back to front.
    pub back: bool,
    /// Whether the clean-up passes are driven counter-clockwise.
    pub ccw: bool,
}

/// One visit that is due, before it is chosen how it is made.
#[derive(Debug, Clone, PartialEq)]
pub struct Due {
    /// Its identity.
    pub id: SlotId,
    /// When.
    pub date: Date,
    /// What it is for.
    pub kind: Kind,
    /// Whether it has all its clean-up passes, or only the one between.
    pub full: bool,
    /// What was mown, when it lies in the past.
    pub done: Option<Mown>,
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

impl Stock {
    /// The planned mow of that kind with so many clean-up passes.
    pub fn find(&self, what: What, rings: u32) -> Option<usize> {
        self.planned
            .iter()
            .position(|p| p.job.what == what && p.job.rings == rings)
    }

    /// Whether loops can be mown here.
    pub fn has_loops(&self) -> bool {
        self.planned
            .iter()
            .any(|p| matches!(p.job.what, What::Loops(..)))
    }

    /// Lay sums of weighted visits.
    pub fn lay(&self, visits: impl IntoIterator<Item = (Mown, f64)>) -> Vec<Sum> {
        // Visits of one kind add up before the cells are touched.
        let mut weight = vec![(0.0_f64, 0.0_f64); self.planned.len()];
        let mut ring: BTreeMap<u32, (f64, f64)> = BTreeMap::new();
        let add = |to: &mut (f64, f64), w: f64, back: bool| {
            to.0 += w;
            to.1 += if back { -w } else { w };
        };
        for (m, w) in visits {
            add(&mut weight[m.job], w, m.back);
            let rings = self.planned[m.job].job.rings;
            add(ring.entry(rings).or_default(), w, m.ccw);
        }
        let mut out = vec![Sum::default(); self.cells.cells.len()];
        let parts = self
            .planned
            .iter()
            .zip(&weight)
            .map(|(p, w)| (&p.sums, *w))
            .chain(
                ring.iter()
                    .filter_map(|(n, w)| Some((self.ring_sums.get(n)?, *w))),
            );
        for (sums, (w, polar)) in parts {
            if w > 0.0 {
                for (o, s) in out.iter_mut().zip(sums) {
                    o.add_many(s, w as f32, polar as f32);
                }
            }
        }
        out
    }

    /// Minutes of one visit.
    pub fn minutes(&self, m: &Mown) -> f64 {
        self.planned[m.job].minutes
    }

    /// Cuts and doubled-angle sums of a planned mow, clean-up passes and all.
    pub fn column(&self, job: usize) -> crate::choice::mix::Column {
        let p = &self.planned[job];
        let none = Vec::new();
        let rings = self.ring_sums.get(&p.job.rings).unwrap_or(&none);
        let of = |get: fn(&Sum) -> f32| -> Vec<f64> {
            p.sums
                .iter()
                .enumerate()
                .map(|(c, s)| f64::from(get(s)) + rings.get(c).map_or(0.0, |r| f64::from(get(r))))
                .collect()
        };
        crate::choice::mix::Column {
            w: of(|s| s.w),
            x: of(|s| s.v2[0]),
            y: of(|s| s.v2[1]),
        }
    }
}

/// Minutes of a schedule.
pub fn minutes(stock: &Stock, mown: &[Mown]) -> f64 {
    mown.iter().map(|m| stock.minutes(m)).sum()
}

/// Senses of the clean-up passes, which alternate: those of visits with as many passes among
/// themselves, so that the inner ones alternate too.
pub fn ring_senses(stock: &Stock, mown: &mut [Mown]) {
    let mut driven: BTreeMap<u32, u32> = BTreeMap::new();
    for m in mown {
        let n = driven.entry(stock.planned[m.job].job.rings).or_default();
        m.ccw = *n % 2 == 1;
        *n += 1;
    }
}

/// What a habit does on each visit that is due. With `grooming` it has the grooming of the
/// programme: on the same visits the same loops, and a cross cut square to the last stripes.
///
/// `programme` is what the programme mows on those visits, for the loops and the number of
/// clean-up passes.
pub fn habit(
    habit: Habit,
    grooming: bool,
    rules: &Rules,
    stock: &Stock,
    dues: &[Due],
    programme: &[Mown],
) -> Vec<Mown> {
    let noon = What::Stripes(CLOCK_ROTATION[0]);
    let square = |axis: usize| -> usize {
        // The rotation lists its axes in square pairs: 12-6 and 3-9, 1:30-7:30 and 10:30-4:30.
        axis ^ 1
    };
    let mut axis = 0;
    let mut striped = 0;
    let mut out: Vec<Mown> = dues
        .iter()
        .zip(programme)
        .enumerate()
        .map(|(i, (due, own))| {
            if let Some(done) = due.done {
                return done;
            }
            let grooms = grooming && due.kind != Kind::Regular;
            // Stripes of visits that the programme loops have its full number of rings.
            let rings = stripe_rings(stock, programme, dues, due.full);
            let (what, back, rings) = match (habit, due.kind) {
                (Habit::FixedAlternation, Kind::Loops) if grooms => {
                    let p = &stock.planned[own.job].job;
                    (first_loop_train(rules), false, p.rings)
                }
                (_, Kind::Loops) if grooms => {
                    let p = &stock.planned[own.job].job;
                    (p.what, own.back, p.rings)
                }
                (_, Kind::Cross) if grooms && rules.grooming.both_sets => {
                    (What::Both(CLOCK_ROTATION[axis]), false, rings)
                }
                (_, Kind::Cross) if grooms => {
                    (What::Stripes(CLOCK_ROTATION[square(axis)]), false, rings)
                }
                (Habit::OneHeading | Habit::FixedAlternation, _) => (noon, false, rings),
                (Habit::BackAndForth, _) => (noon, i % 2 == 1, rings),
                (Habit::ClockRotation, _) => {
                    axis = striped % 4;
                    let back = (striped / 4) % 2 == 1;
                    striped += 1;
                    (What::Stripes(CLOCK_ROTATION[axis]), back, rings)
                }
            };
            Mown {
                // Stripes are always planned; loops only where the programme has them.
                job: stock
                    .find(what, rings)
                    .or_else(|| stock.find(noon, rings))
                    .unwrap_or(own.job),
                back,
                ccw: false,
            }
        })
        .collect();
    if !matches!(habit, Habit::OneHeading | Habit::FixedAlternation) {
        ring_senses(stock, &mut out);
    }
    out
}

/// Clean-up passes of the programme's striped visits of that kind.
fn stripe_rings(stock: &Stock, programme: &[Mown], dues: &[Due], full: bool) -> u32 {
    let of = |with_loops: bool| {
        dues.iter()
            .zip(programme)
            .filter(|(d, _)| d.full == full && d.done.is_none())
            .map(|(_, m)| &stock.planned[m.job].job)
            .find(|j| with_loops || !matches!(j.what, What::Loops(..)))
            .map(|j| j.rings)
    };
    of(false).or_else(|| of(true)).unwrap_or(EDGE_RINGS)
}
