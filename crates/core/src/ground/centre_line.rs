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
use geo::{Area, BoundingRect, Distance, Euclidean, Length};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};
use std::iter::successors;

/// So many points stand round the outline, one a metre or so.
const POINTS: f64 = 800.0;
/// A hole line counts when at least this part of the fairway's length lies along it.
const ENOUGH_OF_HOLE: f64 = 0.5;
/// A way leads out of a corner while it is shorter than this times its distance from the edge.
const CORNER: f64 = 1.5;

/// The centre line, toward the green, or along the heading `Along` when no hole line is known.
/// `None` only for empty ground.
pub fn centre_line(fairway: &Fairway) -> Option<LineString<f64>> {
    let largest = fairway
        .outline
        .iter()
        .max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))?;
    if let Some(hole) = &fairway.hole_line
        && Euclidean.length(&fairway.outline.along(hole))
            >= ENOUGH_OF_HOLE * long_m(&fairway.outline)
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

/// Length along the long axis, metres.
fn long_m(area: &MultiPolygon<f64>) -> f64 {
    let (from, to) = Extent::of(area, long_axis_rad(area)).along;
    (to - from).max(0.0)
}

/// The long axis through the middle, for ground too round or too small for two sides.
fn axis(polygon: &Polygon<f64>) -> LineString<f64> {
    let area = MultiPolygon(vec![polygon.clone()]);
    let (sin, cos) = long_axis_rad(&area).sin_cos();
    let half = long_m(&area) / 2.0 + 1.0;
    let middle = polygon
        .bounding_rect()
        .map_or(Coord::zero(), |r| r.center());
    let along = Coord { x: cos, y: sin } * half;
    LineString(vec![middle - along, middle + along])
}

/// The line halfway between the two sides that lead from one end to the other; `None` where they
/// are hardly farther apart than the ends.
fn halfway(polygon: &Polygon<f64>) -> Option<LineString<f64>> {
    let outline = polygon.exterior();
    let step_m = Euclidean.length(outline) / POINTS;
    if !(step_m > 0.0 && step_m.is_finite()) {
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
    let mut usual: Vec<f64> = way.iter().map(|m| m.1).collect();
    usual.sort_by(f64::total_cmp);
    let half = usual[usual.len() / 2];
    // The ends run into corners of the outline; the middle proper begins about half a width in.
    let from = corner_length(way.iter());
    let to = way.len().checked_sub(corner_length(way.iter().rev()))?;
    let middle = way.get(from..to).filter(|m| m.len() > 2)?;
    let points: Vec<Coord<f64>> = middle.iter().map(|m| m.0).collect();
    let smooth = smoothed(&points, step_m, half);
    Some(LineString(run_on(&smooth, 2.0 * half)))
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

/// How many points at the beginning of a way lead out of a corner: until the way is longer than
/// one and a half times its distance from the edge. From a square corner to the middle it is
/// the square root of two times that.
fn corner_length<'a>(way: impl Iterator<Item = &'a (Coord<f64>, f64)> + Clone) -> usize {
    let (mut length, mut clear) = (0.0, 0.0f64);
    let steps = way.clone().zip(way.skip(1));
    let leads_out = |&(here, next): &(&(Coord<f64>, f64), &(Coord<f64>, f64))| {
        clear = clear.max(here.1);
        let out = length <= CORNER * clear;
        length += Euclidean.distance(here.0, next.0);
        out
    };
    steps.take_while(leads_out).count()
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

/// Adds a straight piece at both ends, in the direction of the last `length_m`.
fn run_on(points: &[Coord<f64>], length_m: f64) -> Vec<Coord<f64>> {
    let (a, b) = (points[0], points[points.len() - 1]);
    let off = |end| move |p: &&Coord<f64>| Euclidean.distance(**p, end) >= length_m / 2.0;
    let beyond = |end: Coord<f64>, far: Option<&Coord<f64>>, other: Coord<f64>| {
        let back = end - *far.unwrap_or(&other);
        let d = back.x.hypot(back.y);
        end + if d > 0.0 { back * (length_m / d) } else { back }
    };
    let mut out = vec![beyond(a, points.iter().find(off(a)), b)];
    out.extend_from_slice(points);
    out.push(beyond(b, points.iter().rev().find(off(b)), a));
    out
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
