//! The plans of the mornings that are asked for.

use super::Morning;
use crate::failure::Failure;
use crate::hand_out::{corners, heaviest_first};
use crate::plan::planned;
use crate::progress::with_progress;
use crate::report::{self, Planned};
use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_core::{Course, Fairway, PlanError, Settings};
use crossgrain_season::day::{Day, Standing, Turn};
use crossgrain_season::mow_request::MowRequest;

/// Visits to one fairway with one kind of mower: day and turn of each.
struct Share {
    fairway: usize,
    kind: usize,
    places: Vec<(usize, usize)>,
}

/// The shares that the visits of all mornings make.
fn shares(course: &Course, days: &[Day]) -> Vec<Share> {
    let fairway = |t: &Turn| {
        course
            .fairways
            .iter()
            .position(|f| f.name() == t.visit.fairway)
    };
    let mut groups: Vec<Share> = Vec::new();
    for (d, day) in days.iter().enumerate() {
        for (t, turn) in day.turns.iter().enumerate() {
            let Some(f) = fairway(turn) else { continue };
            let mine = |g: &&mut Share| (g.fairway, g.kind) == (f, turn.kind);
            match groups.iter_mut().find(mine) {
                Some(g) => g.places.push((d, t)),
                None => groups.push(Share {
                    fairway: f,
                    kind: turn.kind,
                    places: vec![(d, t)],
                }),
            }
        }
    }
    groups
}

/// The plans of all mornings: each fairway's visits one after the other, because they share their
/// groundwork.
pub(super) fn all_planned<'a>(
    course: &'a Course,
    standing: &Standing,
    mut days: Vec<Day>,
    units: UnitSystem,
) -> Result<Vec<Morning<'a>>, Failure> {
    let groups = shares(course, &days);
    let count: usize = groups.iter().map(|g| g.places.len()).sum();
    let results = with_progress("planned", count, |tick| {
        let weight = |share: &Share| corners(&course.fairways[share.fairway]) * share.places.len();
        heaviest_first(&groups, weight, |share| {
            let fairway: &Fairway = &course.fairways[share.fairway];
            let mower = &standing.mowers[share.kind];
            let settings: Vec<Settings> = (share.places.iter())
                .map(|&(d, t)| MowRequest::of(&days[d].turns[t].visit).settings())
                .collect();
            let mows = planned(fairway, mower, &settings, &tick);
            share.places.iter().copied().zip(mows).collect::<Vec<_>>()
        })
    });
    let mut all: Vec<_> = results.into_iter().flatten().collect();
    all.sort_by_key(|r| r.0);
    let mut plans: Vec<Vec<Planned<'a>>> = days.iter().map(|_| Vec::new()).collect();
    for ((d, t), planned) in all {
        match planned {
            Ok(p) => plans[d].push(p),
            Err(source) => return Err(no_plan(standing, &days[d], t, source, units)),
        }
    }
    for (day, plans) in days.iter_mut().zip(&plans) {
        let minutes: Vec<f64> = plans.iter().map(|p| p.measures.minutes).collect();
        day.clock_in(&minutes);
    }
    Ok((days.into_iter().zip(plans))
        .map(|(day, plans)| Morning { day, plans })
        .collect())
}

/// Why a visit cannot be planned: a mower of another kind than the programme's takes it, or else
/// the planner's own word.
fn no_plan(
    standing: &Standing,
    day: &Day,
    turn: usize,
    source: PlanError,
    units: UnitSystem,
) -> Failure {
    let why = report::plan_error(&source, units);
    let Some(t) = day.turns.get(turn) else {
        return Failure::Plan {
            reason: why,
            source,
        };
    };
    let (visit, machine) = (&t.visit, t.machine + 1);
    let planned = standing.machines.get(visit.mower as usize);
    if planned.is_none_or(|m| m.kind == t.kind) {
        return Failure::Plan {
            reason: format!("{}: {why}", day.date),
            source,
        };
    }
    Failure::Argument {
        option: "--machine-down",
        reason: format!(
            "fairway '{name}' goes to machine {machine} on {}, which cannot mow it as the programme \
             has it ({}): {why}; leave it out as well, with --without {name}",
            day.date,
            visit.pattern.word(),
            name = visit.fairway,
        ),
    }
}
