//! Hole lines: which fairway each belongs to, and one guessed from tee and green.

use super::notice::Notice;
use crossgrain_core::inside::polygon::overlay::Overlay;
use crossgrain_core::{KeepOut, KeepOutKind};
use geo::{
    BoundingRect, Centroid, ConvexHull, CoordsIter, Distance, Euclidean, Intersects, Length,
};
use geo_types::{Coord, LineString, MultiPolygon, Point, Polygon, Rect};

/// A hole line must run this far over a fairway to belong to it, metres; less is a corner cut
/// by the line of a neighbouring hole.
pub(crate) const MIN_THROUGH_M: f64 = 10.0;
/// A named hole line this far from a fairway of its name still belongs to it, metres.
pub(crate) const HOLE_RANGE_M: f64 = 150.0;
/// A green stands within this of the far end of its fairway, metres.
pub(crate) const GREEN_RANGE_M: f64 = 90.0;
/// A tee stands within this of the near end of its fairway, metres: the carry from back tees.
pub(crate) const TEE_RANGE_M: f64 = 260.0;
/// The better end must beat the other by this factor, else nothing is guessed.
const CLEAR_RATIO: f64 = 0.8;
/// A line's end this near to a green or a tee stands on it, metres.
const ON_IT_M: f64 = 15.0;

/// A hole line in the plane.
#[derive(Debug, Clone)]
pub(crate) struct HoleLine {
    pub name: Option<String>,
    pub line: LineString<f64>,
}

/// Work that a course's fairways and hole lines may cost, edges times edges; real ones cost a
/// hundred thousand.
pub(crate) const MAX_WORK: usize = 20_000_000;

/// Gap between two bounds, metres; 0 where they meet.
pub(crate) fn gap_m(a: &Rect<f64>, b: &Rect<f64>) -> f64 {
    let along = |a0: f64, a1: f64, b0: f64, b1: f64| (b0 - a1).max(a0 - b1).max(0.0);
    along(a.min().x, a.max().x, b.min().x, b.max().x).hypot(along(
        a.min().y,
        a.max().y,
        b.min().y,
        b.max().y,
    ))
}

/// The hole line that runs farthest over a fairway.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Through {
    pub hole: usize,
    /// How far it runs over the fairway, metres.
    pub length_m: f64,
    /// How far the next one does, metres.
    pub next_m: f64,
}

/// The hole line that runs farthest over an area. `work` counts what it cost.
pub(crate) fn through(
    area: &MultiPolygon<f64>,
    lines: &[HoleLine],
    work: &mut usize,
) -> Option<Through> {
    let bounds = area.bounding_rect()?;
    let edges = area.coords_count();
    let mut best: Option<Through> = None;
    for (i, hole) in lines.iter().enumerate() {
        if hole.line.0.len() < 2
            || !hole
                .line
                .bounding_rect()
                .is_some_and(|r| r.intersects(&bounds))
        {
            continue;
        }
        *work += edges * hole.line.0.len();
        if *work > MAX_WORK {
            return None;
        }
        let inside = area.along(&hole.line);
        let length_m = Euclidean.length(&inside);
        match &mut best {
            Some(b) if length_m <= b.length_m => b.next_m = b.next_m.max(length_m),
            _ if length_m >= MIN_THROUGH_M => {
                best = Some(Through {
                    hole: i,
                    length_m,
                    next_m: best.map_or(0.0, |b| b.length_m),
                });
            }
            _ => {}
        }
    }
    best
}

/// The hole line of this name that is nearest to the fairway, if one is near.
pub(crate) fn named(
    name: &str,
    members: &[usize],
    areas: &[MultiPolygon<f64>],
    lines: &[HoleLine],
) -> Option<usize> {
    let mut best: Option<(f64, usize)> = None;
    for (i, hole) in lines.iter().enumerate() {
        if hole.name.as_deref() != Some(name) || hole.line.0.len() < 2 {
            continue;
        }
        for &m in members {
            let d = areas[m]
                .iter()
                .map(|p| Euclidean.distance(&hole.line, p))
                .fold(f64::INFINITY, f64::min);
            if d <= HOLE_RANGE_M && best.is_none_or(|b| d < b.0) {
                best = Some((d, i));
            }
        }
    }
    best.map(|b| b.1)
}

fn nearest(
    at: Coord<f64>,
    keep_outs: &[(usize, KeepOut)],
    kind: KeepOutKind,
) -> Option<(f64, usize)> {
    keep_outs
        .iter()
        .enumerate()
        .filter(|(_, k)| k.1.kind == kind)
        .map(|(i, k)| (Euclidean.distance(&Point(at), &k.1.area), i))
        .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))
}

/// Turns lines drawn from green to tee.
pub(crate) fn turn_round(
    lines: &mut [HoleLine],
    keep_outs: &[(usize, KeepOut)],
    notices: &mut Vec<Notice>,
) {
    for hole in lines {
        let (Some(&first), Some(&last)) = (hole.line.0.first(), hole.line.0.last()) else {
            continue;
        };
        let on = |at, kind| nearest(at, keep_outs, kind).is_some_and(|n| n.0 <= ON_IT_M);
        if on(first, KeepOutKind::Green)
            && on(last, KeepOutKind::Tee)
            && !on(first, KeepOutKind::Tee)
            && !on(last, KeepOutKind::Green)
        {
            hole.line.0.reverse();
            notices.push(Notice::HoleLineTurned {
                name: hole.name.clone(),
            });
        }
    }
}

/// A line from tee to green, where one end of the fairway clearly has the green.
pub(crate) fn guess(
    outline: &[Polygon<f64>],
    keep_outs: &[(usize, KeepOut)],
) -> Option<LineString<f64>> {
    let (green, tee, tee_at) = ends(outline, keep_outs)?;
    let middle = |i: usize| keep_outs[i].1.area.centroid().map(|p| p.0);
    let from = tee.and_then(middle).unwrap_or(tee_at);
    Some(LineString(vec![from, middle(green)?]))
}

/// The number that both the tee at one end of a fairway and the green at the other have.
pub(crate) fn number_of_ends(
    outline: &[Polygon<f64>],
    keep_outs: &[(usize, KeepOut)],
) -> Option<String> {
    let (green, tee, _) = ends(outline, keep_outs)?;
    let name = |i: usize| keep_outs[i].1.name.clone();
    let green = name(green)?;
    (name(tee?)? == green).then_some(green)
}

/// The green at one end, the tee at the other if there is one, and the end where the tee is.
fn ends(
    outline: &[Polygon<f64>],
    keep_outs: &[(usize, KeepOut)],
) -> Option<(usize, Option<usize>, Coord<f64>)> {
    let (a, b) = farthest_points(outline)?;
    let green_end = |green_at: Coord<f64>, tee_at: Coord<f64>| {
        let green =
            nearest(green_at, keep_outs, KeepOutKind::Green).filter(|g| g.0 <= GREEN_RANGE_M)?;
        let tee = nearest(tee_at, keep_outs, KeepOutKind::Tee).filter(|t| t.0 <= TEE_RANGE_M);
        // The green's nearness says most; the tee breaks ties.
        let score = green.0 + 0.3 * tee.map_or(TEE_RANGE_M, |t| t.0);
        Some((score, green.1, tee.map(|t| t.1), tee_at))
    };
    let (ab, ba) = (green_end(b, a), green_end(a, b));
    let (_, green, tee, tee_at) = match (ab, ba) {
        (Some(x), None) | (None, Some(x)) => x,
        (Some(x), Some(y)) if x.0 <= CLEAR_RATIO * y.0 => x,
        (Some(x), Some(y)) if y.0 <= CLEAR_RATIO * x.0 => y,
        _ => return None,
    };
    Some((green, tee, tee_at))
}

/// The two points of the outline that are farthest apart: its ends.
fn farthest_points(outline: &[Polygon<f64>]) -> Option<(Coord<f64>, Coord<f64>)> {
    let finite: Vec<Polygon<f64>> = outline
        .iter()
        .filter(|p| p.exterior().0.len() >= 4)
        .cloned()
        .collect();
    if finite.is_empty() {
        return None;
    }
    let hull = MultiPolygon(finite).convex_hull();
    let points = &hull.exterior().0;
    // A hull of a few hundred points; a hostile one is thinned, the ends stay within a hair.
    let step = points.len().div_ceil(1000).max(1);
    let thin: Vec<Coord<f64>> = points.iter().step_by(step).copied().collect();
    let mut best = (0.0, None);
    for (i, p) in thin.iter().enumerate() {
        for q in &thin[i + 1..] {
            let d = (p.x - q.x).hypot(p.y - q.y);
            if d > best.0 {
                best = (d, Some((*p, *q)));
            }
        }
    }
    best.1
}
