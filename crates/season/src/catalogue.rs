//! The mows a season is made of: each planned once, its time and its lay kept.
//!
//! A mow driven back to front has the same lines, the same minutes and the same axes, with all
//! directions turned round; a loop train driven back to front turns the other way. So one plan
//! serves both ways, and the clean-up passes, which are the same in each mow, are kept apart.
//!
//! Mows are planned and measured for the cutting units as they are, so the minutes are those of the
//! operator's sheet of the day.

use crate::grain::{Cells, Sum, sums};
use crate::ground_figures::GroundFigures;
use crate::mow_request::{MowRequest, ends_with};
use crate::rules::{CLOCK_ROTATION, EDGE_RINGS, Groom, Rules};
use crossgrain_core::inside::ground::heading::resolve;
use crossgrain_core::inside::model::mow::UsedSettings;
use crossgrain_core::inside::model::pattern::{CrossSets, Ends, Heading, PatternKind};
use crossgrain_core::inside::model::quantity::compass_deg;
use crossgrain_core::inside::planner::plan_each_and;
use crossgrain_core::{Fairway, Mow, Mower, PlanError, Role, Sense, Settings, Track};
use crossgrain_metrics::lay::LayGrid;
use crossgrain_metrics::measures::{drive_minutes, strays_and_missed};
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
    mower: &Mower,
    rules: &Rules,
    cells: &Cells,
) -> Vec<Result<Planned, PlanError>> {
    let mut order: Vec<usize> = (0..jobs.len()).collect();
    order.sort_by_key(|&i| jobs[i].rings);
    let settings: Vec<Settings> = order.iter().map(|&i| jobs[i].settings(rules)).collect();
    let planned = plan_each_and(fairway, mower, &settings, |mow, groundwork| {
        let (strays, missed) = strays_and_missed(fairway, mower, &mow, groundwork.reach());
        let ground = GroundFigures {
            fairway_m2: strays.fairway_m2,
            reach_m2: strays.reach_m2(),
            missed_m2: strays.missed_m2,
            overrun_m2: strays.overrun_m2,
            broken: broken(mower, &mow, &strays, &missed),
        };
        (mow, ground)
    });
    let mut out: Vec<(usize, Result<Planned, PlanError>)> = order
        .iter()
        .zip(planned)
        .map(|(&i, planned)| {
            let taken = |(mow, ground)| taken(&jobs[i], &mow, ground, fairway, mower, cells);
            (i, planned.map(taken))
        })
        .collect();
    out.sort_by_key(|(i, _)| *i);
    out.into_iter().map(|(_, planned)| planned).collect()
}

/// The time and the lay of a planned mow.
fn taken(
    job: &Job,
    mow: &Mow,
    ground: GroundFigures,
    fairway: &Fairway,
    mower: &Mower,
    cells: &Cells,
) -> Planned {
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
        sums(&LayGrid::of_tracks(fairway, mower, &tracks, cells.cell_m))
    };
    Planned {
        job: *job,
        heading_deg: mow
            .heading_deg()
            .unwrap_or_else(|| compass_deg(resolve(Heading::Along, fairway).0)),
        minutes: drive_minutes(mower, mow),
        mowing_m: mow.mowing_m(),
        transport_m: mow.transport_m(),
        ground,
        used: *mow.settings(),
        sums: part(false),
        ring_sums: part(true),
    }
}
