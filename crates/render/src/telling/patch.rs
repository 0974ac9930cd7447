//! Patches: how many passes, how long, beside what.

use super::Work;
use crossgrain_core::{Fairway, KeepOutKind, Mow, PlacedLeg, Reels, Segment};
use geo::{Distance, Euclidean};
use geo_types::{LineString, Point};

/// A pass no longer than this is called short, metres: three or four lengths of a fairway mower.
pub const SHORT_PASS_M: f64 = 15.0;
/// A patch whose passes all keep farther than this from every edge lies inside, metres: two or
/// three widths of cut.
pub const BESIDE_M: f64 = 6.0;

/// Where a patch is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// Along the outline.
    Edge,
    /// Beside something that is kept out of.
    Beside(KeepOutKind),
    /// Away from both.
    Inside,
}

pub(super) fn work(fairway: &Fairway, mow: &Mow, legs: &[PlacedLeg]) -> Work {
    let cut: Vec<Vec<&Segment>> = legs
        .iter()
        .map(|l| {
            let tracks = mow.tracks_of(l);
            (tracks.iter())
                .filter(|t| t.reels == Reels::Down)
                .map(|t| &t.path)
                .collect()
        })
        .collect();
    Work::Patch {
        passes: legs.len(),
        short: cut
            .iter()
            .all(|paths| paths.iter().map(|p| p.length_m()).sum::<f64>() <= SHORT_PASS_M),
        place: place(fairway, cut.into_iter().flatten()),
    }
}

/// What the middles of the passes lie nearest to.
fn place<'a>(fairway: &Fairway, cut: impl Iterator<Item = &'a Segment>) -> Place {
    let middles: Vec<Point<f64>> = cut
        .map(|p| Point(p.pose_at(p.length_m() / 2.0).at))
        .collect();
    let mean = |off: &dyn Fn(&Point<f64>) -> f64| {
        middles.iter().map(off).sum::<f64>() / middles.len().max(1) as f64
    };
    let rings = |m: &Point<f64>| -> f64 {
        (fairway.outline().0.iter())
            .map(|p| edge_m(m, p.exterior()))
            .fold(f64::INFINITY, f64::min)
    };
    let edge = mean(&rings);
    let kept = (fairway.keep_outs().iter())
        .map(|k| (mean(&|m| Euclidean.distance(m, &k.area)), k.kind))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    match kept {
        Some((off, kind)) if off <= BESIDE_M && off < edge => Place::Beside(kind),
        _ if edge <= BESIDE_M => Place::Edge,
        _ => Place::Inside,
    }
}

fn edge_m(p: &Point<f64>, ring: &LineString<f64>) -> f64 {
    Euclidean.distance(p, ring)
}
