//! Gaps along lines: what a line passes with the reels up before it goes on.

use crossgrain_core::{Fairway, KeepOutKind, Mow, Reels, Segment, Step, Track};
use geo::{Distance, Euclidean};
use geo_types::{Coord, Line, coord};
use std::ops::Range;

/// What lines pass with the reels up before they go on along the same line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Gap {
    /// What is passed; none where the ground itself stops.
    pub past: Option<KeepOutKind>,
    /// Whether the way leads round it, not straight on.
    pub round: bool,
}

/// A keep-out farther than this from the straight way over a gap did not make the gap, metres.
const NEAR_M: f64 = 3.0;

/// The gaps of a block, each kind once, in the order they are met. A gap that some lines pass
/// straight and others round is told as one to go round.
pub(super) fn of(fairway: &Fairway, mow: &Mow, step: &Step) -> Vec<Gap> {
    let mut out: Vec<Gap> = Vec::new();
    for (tracks, from, to) in lifts(mow, step) {
        let past = passed(fairway, from, to);
        let round = tracks.iter().any(|t| match t.path {
            Segment::Arc(_) => true,
            Segment::Line { from: a, to: b } => off_m(a, from, to).max(off_m(b, from, to)) > 0.3,
        });
        match out.iter_mut().find(|g| g.past == past) {
            Some(g) => g.round |= round,
            None => out.push(Gap { past, round }),
        }
    }
    out
}

/// The ways with the reels up within a step: their tracks, where each begins and where it ends.
fn lifts<'a>(
    mow: &'a Mow,
    step: &Step,
) -> impl Iterator<Item = (&'a [Track], Coord<f64>, Coord<f64>)> {
    ways(mow, step).into_iter().filter_map(|range| {
        let tracks = mow.tracks().as_slice().get(range)?;
        Some((tracks, tracks.first()?.start().at, tracks.last()?.end().at))
    })
}

/// A lift on a ring that reaches no farther is a corner, metres: a mower turns in less.
const CORNER_M: f64 = 8.0;

/// What the rings of a step lift the reels for, each kind once: past a keep-out, or where a ring
/// breaks off. Lifts at corners are shown on the map alone.
pub(super) fn of_rings(fairway: &Fairway, mow: &Mow, step: &Step) -> Vec<Gap> {
    let mut out: Vec<Gap> = Vec::new();
    for (_, from, to) in lifts(mow, step) {
        let past = passed(fairway, from, to);
        let far = (to.x - from.x).hypot(to.y - from.y) > CORNER_M;
        if (past.is_some() || far) && !out.iter().any(|g| g.past == past) {
            out.push(Gap { past, round: false });
        }
    }
    out
}

/// The tracks of every way over a gap: with the reels up within a leg, or between two legs that
/// follow each other along one line.
fn ways(mow: &Mow, step: &Step) -> Vec<Range<usize>> {
    let mut out = Vec::new();
    let legs = mow.legs().get(step.legs.clone()).unwrap_or_default();
    for (i, leg) in legs.iter().enumerate() {
        let mut up: Option<usize> = None;
        let mut cut = false;
        for t in leg.tracks.clone() {
            match mow.tracks().as_slice().get(t).map(|t| t.reels) {
                Some(Reels::Up) if cut => up = up.or(Some(t)),
                Some(Reels::Down) => {
                    cut = true;
                    out.extend(up.take().map(|from| from..t));
                }
                _ => {}
            }
        }
        if let Some(next) = legs.get(i + 1)
            && leg.line.is_some()
            && leg.line == next.line
        {
            out.push(leg.tracks.end..next.tracks.start);
        }
    }
    out
}

/// The nearest keep-out to the straight way over a gap.
fn passed(fairway: &Fairway, from: Coord<f64>, to: Coord<f64>) -> Option<KeepOutKind> {
    let way = Line::new(from, to);
    (fairway.keep_outs().iter())
        .map(|k| (Euclidean.distance(&way, &k.area), k.kind))
        .filter(|k| k.0 <= NEAR_M)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|k| k.1)
}

/// How far a point lies off the straight line through two others, metres.
fn off_m(p: Coord<f64>, from: Coord<f64>, to: Coord<f64>) -> f64 {
    let d = coord! { x: to.x - from.x, y: to.y - from.y };
    let len = d.x.hypot(d.y);
    if len <= 1e-6 {
        return (p.x - from.x).hypot(p.y - from.y);
    }
    ((p.x - from.x) * d.y - (p.y - from.y) * d.x).abs() / len
}
