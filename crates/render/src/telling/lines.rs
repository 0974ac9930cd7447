//! Blocks and lanes: how many lines, in which order, from which side.

use super::{PageWay, Work};
use crossgrain_core::{Mow, PatternKind, PlacedLeg, Reels, Role, Side, Step, StepKind, StepRule};
use geo_types::{Coord, coord};

/// What kind of line a block has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineKind {
    /// A stripe.
    Stripe,
    /// A stripe of a second set.
    Crossing,
    /// A pass along the bend.
    Bend,
    /// A lane of loops.
    Lane,
}

/// The line that a sweep begins with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SweepStart {
    /// Its place in the step, 1 on the side where the step begins.
    pub place: usize,
    /// Whether the sweep works back to the side where the step begins.
    pub back: bool,
}

/// The order in which lines are taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LineOrder {
    /// Each next one.
    Next,
    /// Every k-th one, in sweeps.
    Every {
        /// k.
        k: u32,
        /// Where each sweep begins.
        starts: Vec<SweepStart>,
    },
    /// The lines of one half one way, those of the other half the other way, from the outside in.
    Halves {
        /// Which half comes first: the half that lies to this side.
        half: PageWay,
        /// Which way its lines go.
        way: PageWay,
    },
}

/// One leg of a line: where it lies and which way it goes.
struct Driven {
    line: u32,
    middle: Coord<f64>,
    way: Coord<f64>,
}

pub(super) fn work(mow: &Mow, step: &Step, up_rad: f64) -> Work {
    let legs = mow.legs().get(step.legs.clone()).unwrap_or_default();
    let driven: Vec<Driven> = legs.iter().filter_map(|l| of_leg(mow, l)).collect();
    let mut lines: Vec<u32> = driven.iter().map(|d| d.line).collect();
    lines.sort_unstable();
    lines.dedup();
    let kind = match (step.kind, mow.pattern()) {
        (StepKind::Lanes, _) => LineKind::Lane,
        (_, PatternKind::Contour) => LineKind::Bend,
        (_, PatternKind::HalfAndHalf) if mow.heading_deg().is_none() => LineKind::Bend,
        (_, PatternKind::Cross) if step.set > 0 => LineKind::Crossing,
        _ => LineKind::Stripe,
    };
    let same_way = (driven.windows(2)).all(|w| dot(w[0].way, w[1].way) > 0.0);
    Work::Lines {
        kind,
        count: lines.len(),
        across: across(step, &driven).and_then(|v| PageWay::across(v, up_rad)),
        order: order(step, &driven, &lines, same_way, up_rad),
        one_way: (same_way && lines.len() > 1)
            .then(|| driven.first().and_then(|d| PageWay::along(d.way, up_rad)))
            .flatten(),
    }
}

/// From the line the step begins at to the line it ends at; by the numbers of the lines, which
/// count from the left of the heading.
fn across(step: &Step, driven: &[Driven]) -> Option<Coord<f64>> {
    let low = driven.iter().min_by_key(|d| d.line)?;
    let high = driven.iter().max_by_key(|d| d.line)?;
    if low.line == high.line {
        return None;
    }
    let v = coord! { x: high.middle.x - low.middle.x, y: high.middle.y - low.middle.y };
    // The longest tells best which way the lines lie: a lane of one loop ends where it begins.
    let longest = (driven.iter()).max_by(|a, b| dot(a.way, a.way).total_cmp(&dot(b.way, b.way)))?;
    let v = square_to(v, longest.way);
    let to_higher = match step.side {
        Some(Side::LeftToRight) => true,
        Some(Side::RightToLeft) => false,
        None => driven.first()?.line <= driven.last()?.line,
    };
    Some(if to_higher {
        v
    } else {
        coord! { x: -v.x, y: -v.y }
    })
}

fn order(step: &Step, driven: &[Driven], lines: &[u32], same_way: bool, up_rad: f64) -> LineOrder {
    match step.rule {
        StepRule::Every(k) if k > 1 => LineOrder::Every {
            k,
            starts: starts(step, driven, lines),
        },
        StepRule::Halves if !same_way => halves(driven, up_rad).unwrap_or(LineOrder::Next),
        _ => LineOrder::Next,
    }
}

fn starts(step: &Step, driven: &[Driven], lines: &[u32]) -> Vec<SweepStart> {
    let from_right = step.side == Some(Side::RightToLeft);
    let place = |line: u32| {
        let below = lines.partition_point(|l| *l < line);
        if from_right {
            lines.len() - below
        } else {
            below + 1
        }
    };
    (step.sweeps.iter().enumerate())
        .map(|(i, first)| {
            // The next line of the sweep tells which way it works.
            let at = driven.iter().position(|d| d.line == *first);
            let next = at.and_then(|at| driven[at..].iter().map(|d| d.line).find(|l| l != first));
            let stops = step.sweeps.get(i + 1);
            let back = match next {
                Some(next) if Some(&next) != stops => place(next) < place(*first),
                // A sweep of one line goes the way of the step, unless nothing lies beyond it.
                _ => false,
            };
            SweepStart {
                place: place(*first),
                back,
            }
        })
        .collect()
}

/// The half that comes first and which way its lines go. The left half runs with the heading and
/// the right half against it, so either lies on the left of its own way; on bent ground that tells
/// more than where the middles of its lines lie.
fn halves(driven: &[Driven], up_rad: f64) -> Option<LineOrder> {
    let first = driven.first()?;
    let line = driven.iter().take_while(|d| d.line == first.line);
    let way = line.fold(coord! { x: 0.0, y: 0.0 }, |sum, d| sum + d.way);
    let left = coord! { x: -way.y, y: way.x };
    Some(LineOrder::Halves {
        half: PageWay::across(left, up_rad)?,
        way: PageWay::along(way, up_rad)?,
    })
}

/// Where a leg lies and which way it goes, from its first to its last lowered track.
fn of_leg(mow: &Mow, leg: &PlacedLeg) -> Option<Driven> {
    let (from, to) = ends(mow, leg)?;
    let number = match leg.role {
        Role::Lane { lane } => lane + 1,
        Role::Stripe { index, .. } | Role::Contour { index } => index + 1,
        Role::Ring { ring } => ring + 1,
        _ => 0,
    };
    Some(Driven {
        line: leg.line.unwrap_or(number),
        middle: coord! { x: (from.x + to.x) / 2.0, y: (from.y + to.y) / 2.0 },
        way: coord! { x: to.x - from.x, y: to.y - from.y },
    })
}

/// Where a leg lowers the reels first and lifts them last.
fn ends(mow: &Mow, leg: &PlacedLeg) -> Option<(Coord<f64>, Coord<f64>)> {
    let tracks = mow.tracks().as_slice().get(leg.tracks.clone())?;
    let mut cut = tracks.iter().filter(|t| t.reels == Reels::Down);
    let first = cut.next()?;
    let last = cut.next_back().unwrap_or(first);
    Some((first.start().at, last.end().at))
}

/// The way the first pass of the pattern itself goes, clean-up and touch-up aside, radians; none
/// for rings, which go every way.
pub fn first_pattern_way_rad(mow: &Mow) -> Option<f64> {
    let leg = mow.legs().iter().find(|l| {
        matches!(
            l.role,
            Role::Stripe { .. } | Role::Lane { .. } | Role::Contour { .. }
        )
    })?;
    let (from, to) = ends(mow, leg)?;
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    (dx.hypot(dy) > 0.0).then(|| dy.atan2(dx))
}

/// The part of a way that is square to lines: lines of unlike length lie apart along their
/// direction too, and only across counts.
fn square_to(v: Coord<f64>, line: Coord<f64>) -> Coord<f64> {
    let len = line.x.hypot(line.y);
    if len <= 0.0 {
        return v;
    }
    let right = coord! { x: line.y / len, y: -line.x / len };
    let by = dot(v, right);
    coord! { x: right.x * by, y: right.y * by }
}

fn dot(a: Coord<f64>, b: Coord<f64>) -> f64 {
    a.x * b.x + a.y * b.y
}
