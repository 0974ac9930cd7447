//! The line down the middle of a fairway, from the tee end to the green end.
//!
//! With a hole line that runs through the fairway that line is it. Without one the outline is parted
//! at the two points that are farthest apart, and a person goes along each side: the next step is
//! taken by the one whom it brings nearer to the other (the shortest diagonal of Christiansen and
//! Sederberg, "Conversion of complex contour line definitions into polygonal element mosaics",
//! 1978). The middle between the two is the line, smoothed over about half the fairway's width.
//!
//! Limit: the line is good to a metre or two; nothing that must be exact is measured from it, it
//! only gives passes their shape.

use crate::ground::extent::Extent;
use crate::ground::heading::{long_axis_rad, resolve};
use crate::model::ground::Fairway;
use crate::model::pattern::Heading;
use crate::polygon::overlay::Overlay;
use geo::{Area, Distance, Euclidean, Length};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};
use std::iter::successors;

/// So many points stand round the outline, one a metre or so.
const POINTS: f64 = 800.0;
/// A hole line counts when at least this part of the fairway's length lies along it.
const ENOUGH_OF_HOLE: f64 = 0.5;

/// The centre line, toward the green, or along the heading `Along` when no hole line is known.
/// `None` only for empty ground.
pub fn centre_line(fairway: &Fairway) -> Option<LineString<f64>> {
    let largest = largest(&fairway.outline)?;
    let outline = &fairway.outline;
    let (from, to) = Extent::of(outline, long_axis_rad(outline)).along;
    if let Some(hole) = &fairway.hole_line
        && Euclidean.length(&outline.along(hole)) >= ENOUGH_OF_HOLE * (to - from)
    {
        return Some(hole.clone());
    }
    let mut line = halfway(largest).unwrap_or_else(|| axis(largest));
    let (heading, _) = resolve(Heading::Along, fairway);
    let (a, b) = (*line.0.first()?, *line.0.last()?);
    if (b.x - a.x) * heading.cos() + (b.y - a.y) * heading.sin() < 0.0 {
        line.0.reverse();
    }
    Some(line)
}

/// The largest of some polygons.
pub(crate) fn largest(area: &MultiPolygon<f64>) -> Option<&Polygon<f64>> {
    let area_m2 = |p: &&Polygon<f64>| p.unsigned_area();
    area.iter().max_by(|a, b| area_m2(a).total_cmp(&area_m2(b)))
}

/// What lies in the middle of some numbers in their order.
pub(crate) fn usual(all: impl Iterator<Item = f64>) -> Option<f64> {
    let mut all: Vec<f64> = all.collect();
    all.sort_by(f64::total_cmp);
    all.get(all.len() / 2).copied()
}

/// The long axis through the middle, for ground too round or too small for two sides.
fn axis(polygon: &Polygon<f64>) -> LineString<f64> {
    let area = MultiPolygon(vec![polygon.clone()]);
    let whole = Extent::of(&area, long_axis_rad(&area));
    let (from, to) = whole.along;
    let middle = (whole.across.0 + whole.across.1) / 2.0;
    let ends = [from - 1.0, to + 1.0].map(|x| whole.world(x, middle));
    ends.to_vec().into()
}

/// The line halfway between the sides that lead from one end to the other; `None` where it is shorter
/// than the sides are apart.
fn halfway(polygon: &Polygon<f64>) -> Option<LineString<f64>> {
    let outline = polygon.exterior();
    let step_m = Euclidean.length(outline) / POINTS;
    if step_m <= 0.0 {
        return None;
    }
    let mut ring = resampled(&outline.0, step_m);
    ring.pop();
    let far = |&(i, k): &(usize, usize)| Euclidean.distance(ring[i], ring[k]);
    let pairs = (0..ring.len()).flat_map(|k| (0..k).map(move |i| (i, k)));
    let (first, last) = pairs.max_by(|a, b| far(a).total_cmp(&far(b)))?;
    ring.rotate_left(first);
    ring.push(ring[0]);
    let (right, left) = (&ring[..=last - first], &ring[last - first..]);
    let way = middles(right, &left.iter().rev().copied().collect::<Vec<_>>());
    let half = usual(way.iter().map(|m| m.1))?;
    // The ends run into corners of the outline; three quarters of a width in, the middle begins.
    let ends = [right[0], left[0]];
    let inside = |c: &Coord<f64>| ends.iter().all(|e| Euclidean.distance(*c, *e) > 1.5 * half);
    let points: Vec<Coord<f64>> = way.into_iter().map(|m| m.0).filter(inside).collect();
    // What is shorter than the fairway is wide has no direction of its own.
    let line = LineString(smoothed(&points, step_m, half / 2.0));
    (Euclidean.length(&line) > 2.0 * half).then_some(line)
}

/// The middles between two sides and how far they are from either, metres: the side goes on whose
/// next point is nearer to where the other stands.
fn middles(right: &[Coord<f64>], left: &[Coord<f64>]) -> Vec<(Coord<f64>, f64)> {
    let between = |&(i, k): &(usize, usize)| {
        let across = *left.get(k)? - *right.get(i)?;
        Some((right[i] + across / 2.0, across.x.hypot(across.y) / 2.0))
    };
    let next = |&(i, k): &(usize, usize)| {
        let steps = [(i + 1, k), (i, k + 1)].into_iter();
        let possible = steps.filter_map(|s| Some((s, between(&s)?.1)));
        possible.min_by(|a, b| a.1.total_cmp(&b.1)).map(|s| s.0)
    };
    let steps = successors(Some((0, 0)), next);
    steps.filter_map(|s| between(&s)).collect()
}

/// Averages a way of points over `window_m` to both sides, three times over, ends kept.
pub(crate) fn smoothed(points: &[Coord<f64>], step_m: f64, window_m: f64) -> Vec<Coord<f64>> {
    let mut line = resampled(points, step_m);
    let reach = (window_m / step_m).round().max(1.0) as usize;
    for _ in 0..3 {
        line = (0..line.len())
            .map(|i| {
                // Narrower toward the ends, so that they neither move nor turn.
                let w = reach.min(i).min(line.len() - 1 - i);
                let some = &line[i - w..=i + w];
                some.iter().fold(Coord::zero(), |a, &b| a + b) / some.len() as f64
            })
            .collect();
    }
    line
}

/// Points every `step_m` along a way, both ends included.
pub(crate) fn resampled(points: &[Coord<f64>], step_m: f64) -> Vec<Coord<f64>> {
    let mut out: Vec<Coord<f64>> = points.first().copied().into_iter().collect();
    let mut left = step_m;
    for w in points.windows(2) {
        let len = (w[1].x - w[0].x).hypot(w[1].y - w[0].y);
        let mut at = left;
        while at < len {
            out.push(w[0] + (w[1] - w[0]) * (at / len));
            at += step_m;
        }
        left = at - len;
    }
    out.extend(points.last().filter(|_| points.len() > 1));
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::plain;
    use crate::swath::contact::Prepared;
    use std::f64::consts::{FRAC_PI_4, PI};

    fn at(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    /// The end of a dogleg: 120 m east, then 120 m at 45 degrees.
    fn end() -> Coord<f64> {
        let (s, c) = FRAC_PI_4.sin_cos();
        at(120.0 + 120.0 * c, 120.0 * s)
    }

    /// The dogleg, 30 m wide.
    fn bent() -> Fairway {
        let (s, c) = FRAC_PI_4.sin_cos();
        let left = 15.0 * (PI / 8.0).tan();
        let aside = at(15.0 * s, -15.0 * c);
        let near = [at(0.0, -15.0), at(120.0 + left, -15.0), end() + aside];
        let far = [end() - aside, at(120.0 - left, 15.0), at(0.0, 15.0)];
        let outline = Polygon::new([near, far].concat().into(), Vec::new());
        plain(outline.into())
    }

    #[test]
    fn the_middle_of_a_dogleg_is_found() {
        let f = bent();
        let line = centre_line(&f).unwrap();
        let (tee, bend) = (at(0.0, 0.0), at(120.0, 0.0));
        let ready = Prepared::new(&f.outline);
        let mut inside = resampled(&line.0, 2.0);
        inside.retain(|p| ready.contains(*p));
        for p in &inside {
            let bent = LineString(vec![tee, bend, end()]);
            let off = Euclidean.distance(&geo_types::Point(*p), &bent);
            // Smoothing cuts the corner of the bend.
            assert!(off < 5.0, "{off} at {p:?}");
        }
        assert!(inside.len() > 90, "{}", inside.len());
        assert!(line.0[0].x < line.0[line.0.len() - 1].x);
    }

    #[test]
    fn a_hole_line_through_the_fairway_is_taken_as_it_is() {
        let with = |hole: &[Coord<f64>]| Fairway {
            hole_line: Some(hole.to_vec().into()),
            ..bent()
        };
        let hole = [at(-30.0, 2.0), at(125.0, 2.0), at(220.0, 95.0)];
        assert_eq!(centre_line(&with(&hole)).unwrap().0, hole);
        // One that hardly touches it is not.
        let beside = with(&[at(-30.0, 100.0), at(20.0, 200.0)]);
        assert!(centre_line(&beside).unwrap().0.len() > 3);
    }
}
