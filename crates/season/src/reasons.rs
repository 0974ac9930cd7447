//! Why a fairway stays grained.

use crate::catalogue::What;
use crate::fairway_choice::FairwayChoice;
use crate::fairway_season::{Mown, Stock};

/// Mean R2 above this is told with a reason: beyond a third the grass leans one way to the eye.
/// The figure is this program's own.
pub const HIGH_R2: f64 = 0.35;

/// The chief reason.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// More hours would even it out.
    Hours,
    /// So narrow that clean-up passes are most of what fits.
    Width,
    /// Clean-up passes round keep-outs are much of it.
    KeepOuts,
    /// Clean-up passes along the edge are much of it.
    Edges,
    /// None of these stands out.
    Shape,
}

impl Reason {
    /// The word in a programme file.
    pub fn word(self) -> &'static str {
        match self {
            Reason::Hours => "hours",
            Reason::Width => "width",
            Reason::KeepOuts => "keep-outs",
            Reason::Edges => "edges",
            Reason::Shape => "shape",
        }
    }
}

/// A fairway whose mean width is less than so many cutting widths is narrow.
const NARROW_DECKS: f64 = 5.0;
/// Ground on which most cuts are clean-up passes: above this share edges are the reason.
const EDGE_SHARE: f64 = 0.25;

/// The reason, when mean R2 is above [`HIGH_R2`].
pub(crate) fn reason(
    stock: &Stock,
    choice: &FairwayChoice,
    mown: &[Mown],
    r2_mean: f64,
    has_keep_outs: bool,
) -> Option<Reason> {
    if r2_mean <= HIGH_R2 {
        return None;
    }
    let free: f64 = choice
        .quick(0.0, None)
        .iter()
        .zip(&choice.candidates)
        .map(|(r, c)| c.mix.r2_mean(&r.counts))
        .fold(f64::INFINITY, f64::min);
    if free <= HIGH_R2 {
        return Some(Reason::Hours);
    }
    // Ground where clean-up passes are most of the cuts.
    let mut ring = vec![0.0_f32; stock.cells.cells.len()];
    let mut all = ring.clone();
    for m in mown {
        let p = &stock.planned[m.job];
        let rings = stock.ring_sums.get(&p.job.rings);
        for (c, (r, a)) in ring.iter_mut().zip(&mut all).enumerate() {
            let w = rings.map_or(0.0, |s| s[c].w);
            *r += w;
            *a += w + p.sums[c].w;
        }
    }
    let edge: f64 = stock
        .cells
        .cells
        .iter()
        .zip(ring.iter().zip(&all))
        .filter(|(_, (r, a))| **r > 0.5 * **a)
        .map(|(c, _)| c.ground_m2)
        .sum();
    let share = edge / stock.cells.ground_m2().max(f64::MIN_POSITIVE);
    let stripes = stock
        .planned
        .iter()
        .filter(|p| matches!(p.job.what, What::Stripes(_)))
        .map(|p| p.used.pass_floor)
        .max();
    Some(if stripes.is_some_and(|n| f64::from(n) < NARROW_DECKS) {
        Reason::Width
    } else if share > EDGE_SHARE && has_keep_outs {
        Reason::KeepOuts
    } else if share > EDGE_SHARE {
        Reason::Edges
    } else {
        Reason::Shape
    })
}
