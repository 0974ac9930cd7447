//! Ways between steps: how to get from the end of one to the beginning of the next.
//!
//! Ways inside a step are left out: the operator turns and goes on, and the lines would only hide
//! the ground.

use crate::drawing::{Mark, Pen, Stroke};
use crate::grass::Trail;
use crate::ink::{BLACK, THIN_MM};
use crate::view::View;
use crossgrain_core::{Mow, Reels};
use std::ops::Range;

/// Tracks from the last lowered one of a step to the first lowered one of the next, dashed, for
/// the steps that a page tells and the way on from the last of them.
pub fn ways(view: &View, mow: &Mow, steps: Range<usize>) -> Vec<Mark> {
    let mut trail = Trail::default();
    for i in steps {
        let Some((from, to)) = between(mow, i) else {
            continue;
        };
        for t in mow.tracks().as_slice().get(from..to).unwrap_or_default() {
            if t.reels == Reels::Up {
                trail.add(view, &t.path);
            }
        }
        trail.lift();
    }
    let mut pen = Pen::new();
    pen.stroke(trail.shape, Stroke::dashed(BLACK, THIN_MM, 1.4, 1.0));
    pen.marks
}

/// The tracks of a step: from the first to the last of its legs.
pub(crate) fn tracks_of(mow: &Mow, step: usize) -> Option<Range<usize>> {
    let legs = mow.legs().get(mow.steps().get(step)?.legs.clone())?;
    Some(legs.first()?.tracks.start..legs.last()?.tracks.end)
}

/// The tracks between the last lowered one of a step and the first lowered one of the next.
fn between(mow: &Mow, step: usize) -> Option<(usize, usize)> {
    let (own, next) = (tracks_of(mow, step)?, tracks_of(mow, step + 1)?);
    let down = |i: &usize| {
        mow.tracks()
            .as_slice()
            .get(*i)
            .is_some_and(|t| t.reels == Reels::Down)
    };
    let last = own.rev().find(down)?;
    let first = next.clone().find(down)?;
    (last < first).then_some((last + 1, first))
}
