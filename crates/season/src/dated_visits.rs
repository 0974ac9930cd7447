//! The visits of one fairway as they are told: when, what, at which height, by which mower.

use crate::ask::Ask;
use crate::catalogue::{Planned, What};
use crate::fairway_dues::{Circumstances, FairwayDues};
use crate::fairway_season::{Due, Mown};
use crate::heights::{LoopHeights, bench_settings};
use crate::rules::clock;
use crate::season_error::SeasonError;
use crate::slots::Kind;
use crate::visit::{Visit, clock_hours};
use crossgrain_core::Sense;
use crossgrain_core::inside::ground::heading::resolve;
use crossgrain_core::inside::model::pattern::{CrossSets, PatternKind};
use crossgrain_core::inside::model::quantity::compass_deg;
use jiff::civil::Time;

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
    let settings = bench_settings(&LoopHeights {
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
    let raised_m = settings.first().map_or(regular_m, |s| s.set_m);
    let noon_deg = compass_deg(resolve(clock(12.0), fairway).0);
    Ok(f.dues
        .iter()
        .zip(&f.about)
        .zip(mown)
        .map(|((due, about), m)| Visit {
            fairway: f.name.clone(),
            // The hour follows when all fairways of the day are known.
            start: due.date.to_datetime(rules.crew.start),
            height_m: if about.verdict.raised {
                raised_m
            } else {
                regular_m
            },
            ..visit(due, about, m, &f.stock.planned[m.job], noon_deg)
        })
        .collect())
}

/// One visit; its fairway, hour and height are told by the caller. What the log says of the past
/// stays as it is.
fn visit(due: &Due, about: &Circumstances, m: &Mown, p: &Planned, noon_deg: f64) -> Visit {
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
        start: due.date.to_datetime(Time::midnight()),
        fairway: String::new(),
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
        sense: logged.map_or(has_sense.then(|| turning(m.back)), |d| d.sense),
        lane_shift: logged.map_or(shift, |d| d.lane_shift),
        loop_diameter_m: p.used.loop_diameter_m,
        height_m: 0.0,
        why: about.verdict.why,
        clean_up: logged.map_or((p.job.rings > 0).then(|| turning(m.ccw)), |d| d.clean_up),
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
}

fn turning(back: bool) -> Sense {
    if back {
        Sense::CounterClockwise
    } else {
        Sense::Clockwise
    }
}
