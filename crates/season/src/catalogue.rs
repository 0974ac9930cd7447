//! The mows a season is made of: each planned once, its time and its lay kept.
//!
//! A mow driven back to front has the same lines, the same minutes and the same axes, with all
//! directions turned round; a loop train driven back to front turns the other way. So one plan
//! serves both ways, and the clean-up passes, which are the same in each mow, are kept apart.
//!
//! Mows are planned for a plain deck of the mower's cutting width ([`StandIn`]): where the lay
//! is asked for in cells of metres, it does not matter that one unit runs ahead of another, and
//! a season takes seconds instead of minutes. Only loops need more driving for real units than
//! for a plain deck; by how much is solved once, and their minutes, distance and lay are scaled
//! by it. The operator's sheet of the day is planned for the real units.

use crate::grain::{Cells, Sum, sums};
use crate::ground_figures::GroundFigures;
use crate::mow_request::{MowRequest, ends_with};
use crate::rules::{CLOCK_ROTATION, EDGE_RINGS, Groom, Rules};
use crossgrain_core::inside::ground::heading::resolve;
use crossgrain_core::inside::model::mow::UsedSettings;
use crossgrain_core::inside::model::pattern::{CrossSets, Ends, Heading, LoopTrain, PatternKind};
use crossgrain_core::inside::model::quantity::compass_deg;
use crossgrain_core::inside::patterns::lattice::solve;
use crossgrain_core::inside::planner::plan_each_and;
use crossgrain_core::{CuttingUnit, Fairway, Mow, Mower, PlanError, Role, Sense, Settings, Track};
use crossgrain_metrics::lay::LayGrid;
use crossgrain_metrics::measures::{drive_minutes, measure_and_missed_without_lay};
use crossgrain_metrics::promises::broken;

/// What is mown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum What {
    /// Stripes along an axis: a regular mow, or the crossing set of a cross cut.
    Stripes(Heading),
    /// The regular pattern when it is not stripes.
    Other(PatternKind),
    /// Both sets of a cross cut, the first along an axis.
    Both(Heading),
    /// Loop trains: the heading of the lanes, and their shift, a fraction of their spacing.
    Loops(Heading, f64),
}

/// One mow to plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Job {
    /// Index of the fairway in the course.
    pub fairway: usize,
    /// What is mown.
    pub what: What,
    /// Clean-up passes.
    pub rings: u32,
}

/// A planned mow, as far as the season needs it.
#[derive(Debug, Clone, PartialEq)]
pub struct Planned {
    /// What was asked.
    pub job: Job,
    /// Heading of the first pass, compass degrees.
    pub heading_deg: f64,
    /// Minutes, the time to lift and lower included.
    pub minutes: f64,
    /// Metres with the reels down.
    pub mowing_m: f64,
    /// Metres with the reels up.
    pub transport_m: f64,
    /// What it leaves and where it strays.
    pub ground: GroundFigures,
    /// The numbers used.
    pub used: UsedSettings,
    /// Lay per cell, the clean-up passes left out.
    pub sums: Vec<Sum>,
    /// Lay per cell of the clean-up passes.
    pub ring_sums: Vec<Sum>,
}

impl Job {
    /// Where its straight passes end.
    pub fn ends(&self) -> Ends {
        ends_with(self.rings)
    }

    /// What is asked of the planner: forwards, clockwise.
    pub fn request(&self, rules: &Rules) -> MowRequest {
        let (pattern, heading, lane_shift) = match self.what {
            What::Stripes(heading) => (PatternKind::Stripes, heading, 0.0),
            What::Both(heading) => (PatternKind::Cross, heading, 0.0),
            What::Loops(lanes, shift) => (PatternKind::Loops, lanes, shift),
            What::Other(kind) => (kind, CLOCK_ROTATION[0], 0.0),
        };
        MowRequest {
            pattern,
            heading,
            cross_sets: CrossSets::Both,
            first_pass_right: false,
            sense: Sense::Clockwise,
            lane_shift,
            loop_diameters_m: (
                rules.grooming.loop_diameter_min_m,
                rules.grooming.loop_diameter_max_m,
            ),
            rings: self.rings,
            clean_up: Sense::Clockwise,
            clean_up_before: true,
            ends: self.ends(),
        }
    }

    /// The settings it is planned with.
    pub fn settings(&self, rules: &Rules) -> Settings {
        self.request(rules).settings()
    }
}

/// A plain deck that stands in for the mower.
#[derive(Debug, Clone, PartialEq)]
pub struct StandIn {
    /// The plain deck, as wide, as fast and as nimble as the mower.
    pub deck: Mower,
    /// Driving of the mower's loops over that of the plain deck's, or why it cannot loop.
    pub loops: Result<f64, PlanError>,
}

impl StandIn {
    /// The stand-in of a mower; the mower itself when it has one unit.
    pub fn of(mower: &Mower, rules: &Rules) -> Self {
        if mower.units.len() <= 1 {
            return Self {
                deck: mower.clone(),
                loops: Ok(1.0),
            };
        }
        let deck = {
            let mut made = mower.clone();
            made.units = vec![CuttingUnit {
                across_m: f64::midpoint(mower.left_m(), mower.right_m()),
                ahead_m: 0.0,
                width_m: mower.cutting_width_m(),
            }];
            made
        };
        let mut train = LoopTrain::new(rules.grooming.loop_diameter_min_m, Sense::Clockwise);
        train.diameter_max_m = rules.grooming.loop_diameter_max_m;
        let loops = match (solve(mower, &train), solve(&deck, &train)) {
            (Ok(real), Ok(plain)) if plain.mean_cuts > 0.0 => Ok(real.mean_cuts / plain.mean_cuts),
            (Err(e), _) | (_, Err(e)) => Err(e),
            _ => Ok(1.0),
        };
        Self { deck, loops }
    }
}

/// The mows that a season on one fairway can need, each once.
pub fn jobs(rules: &Rules, fairway: usize, loops: bool) -> Vec<Job> {
    let mut axes: Vec<Heading> = CLOCK_ROTATION.to_vec();
    for h in &rules.headings.allowed {
        if !axes.contains(h) {
            axes.push(*h);
        }
    }
    let mut whats: Vec<What> = axes.iter().map(|h| What::Stripes(*h)).collect();
    if rules.regular != PatternKind::Stripes {
        whats.push(What::Other(rules.regular));
    }
    let grooms = |g| rules.grooming.every_weeks > 0 && rules.grooming.turns.contains(&g);
    if rules.grooming.both_sets && (grooms(Groom::Cross) || grooms(Groom::Loops)) {
        whats.extend(axes.iter().map(|h| What::Both(*h)));
    }
    let mut numbers = rules.clean_up.rings.clone();
    if rules.clean_up.every_visits > 1 {
        numbers.push(EDGE_RINGS);
    }
    numbers.sort_unstable();
    numbers.dedup();
    let mut out: Vec<Job> = Vec::new();
    for what in whats {
        for &rings in &numbers {
            out.push(Job {
                fairway,
                what,
                rings,
            });
        }
    }
    if loops && grooms(Groom::Loops) {
        let rings = rules.loop_rings();
        out.extend(loop_trains(rules).map(|what| Job {
            fairway,
            what,
            rings,
        }));
    }
    out
}

/// The loop trains to choose from: lanes along each heading, with each shift.
pub fn loop_trains(rules: &Rules) -> impl Iterator<Item = What> + '_ {
    let shifts = &rules.grooming.lane_shifts;
    let lanes = rules.grooming.lanes.iter();
    lanes.flat_map(|h| shifts.iter().map(|s| What::Loops(*h, *s)))
}

/// The first of them: what a season mows that does not choose.
pub fn first_loop_train(rules: &Rules) -> What {
    let first = loop_trains(rules).next();
    first.unwrap_or(What::Loops(Heading::Along, 0.0))
}

/// Plans mows of one fairway, and takes the time of each and its lay on the cells. The answers
/// come in the order of the jobs.
///
/// Mows with the same clean-up passes are planned one after the other, because they share them.
pub fn run(
    jobs: &[Job],
    fairway: &Fairway,
    stand_in: &StandIn,
    rules: &Rules,
    cells: &Cells,
) -> Vec<Result<Planned, PlanError>> {
    let mut order: Vec<usize> = (0..jobs.len()).collect();
    order.sort_by_key(|&i| jobs[i].rings);
    let settings: Vec<Settings> = order.iter().map(|&i| jobs[i].settings(rules)).collect();
    let deck = &stand_in.deck;
    let planned = plan_each_and(fairway, deck, &settings, |mow, groundwork| {
        let (m, missed) = measure_and_missed_without_lay(fairway, deck, &mow, groundwork.reach());
        let ground = GroundFigures {
            fairway_m2: m.fairway_m2,
            reach_m2: (m.fairway_m2 - m.trim_m2).max(0.0),
            missed_m2: m.missed_m2,
            overrun_m2: m.overrun_m2,
            broken: broken(deck, &mow, &m, &missed),
        };
        (mow, ground)
    });
    let mut out: Vec<(usize, Result<Planned, PlanError>)> = order
        .iter()
        .zip(planned)
        .map(|(&i, planned)| {
            let planned = planned
                .and_then(|(mow, ground)| taken(&jobs[i], mow, ground, fairway, stand_in, cells));
            (i, planned)
        })
        .collect();
    out.sort_by_key(|(i, _)| *i);
    out.into_iter().map(|(_, planned)| planned).collect()
}

/// The time and the lay of a planned mow.
fn taken(
    job: &Job,
    mow: Mow,
    ground: GroundFigures,
    fairway: &Fairway,
    stand_in: &StandIn,
    cells: &Cells,
) -> Result<Planned, PlanError> {
    let is_loops = matches!(job.what, What::Loops(..));
    let factor = if is_loops {
        stand_in.loops.clone()?
    } else {
        1.0
    };
    let mower = &stand_in.deck;
    let mut in_ring = vec![false; mow.tracks().as_slice().len()];
    for leg in mow.legs() {
        if matches!(leg.role, Role::CleanUp { .. }) {
            for t in leg.tracks.clone() {
                in_ring[t] = true;
            }
        }
    }
    let part = |ring: bool| -> Vec<Sum> {
        let tracks: Vec<Track> = mow
            .tracks()
            .zip(&in_ring)
            .filter(|(_, r)| **r == ring)
            .map(|(t, _)| *t)
            .collect();
        let mut sums = sums(&LayGrid::of_tracks(fairway, mower, &tracks, cells.cell_m));
        if !ring && factor != 1.0 {
            for s in &mut sums {
                let mut scaled = Sum::default();
                scaled.add(s, factor as f32, false);
                *s = scaled;
            }
        }
        sums
    };
    Ok(Planned {
        job: *job,
        heading_deg: mow
            .heading_deg()
            .unwrap_or_else(|| compass_deg(resolve(Heading::Along, fairway).0)),
        minutes: factor * drive_minutes(mower, &mow),
        mowing_m: factor * mow.mowing_m(),
        transport_m: factor * mow.transport_m(),
        ground,
        used: *mow.settings(),
        sums: part(false),
        ring_sums: part(true),
    })
}
