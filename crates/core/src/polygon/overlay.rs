//! What areas share, what one leaves of another, and what they are together.
//!
//! geo has these operations too, on an older version of the library used here. Over areas of more
//! than 4,000 edges that one sometimes winds holes like exteriors, and sometimes goes on for ever,
//! which no work limit can stop. The test below shows both with it.

use geo::orient::{Direction, Orient};
use geo_types::{Coord, LineString, MultiLineString, MultiPolygon, Polygon};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::core::solver::Solver;
use i_overlay::float::clip::FloatClip;
use i_overlay::float::overlay::{FloatOverlay, OverlayOptions};
use i_overlay::string::clip::ClipRule;

/// Nothing on Earth is as far from anything else, metres. The library panics on much larger numbers.
pub const MAX_COORDINATE_M: f64 = 1e9;

/// A corner as the library takes it, metres.
pub(crate) type Corner = [f64; 2];

/// An area as closed rings. Results have exteriors counter-clockwise and holes clockwise.
///
/// Corners of results are rounded to about a billionth of the extent of all that goes in. Rings and
/// lines with a coordinate that is not finite, or farther out than [`MAX_COORDINATE_M`], are left out:
/// [`crate::ground::fairway()`] makes none.
///
/// ```
/// use crossgrain_core::inside::polygon::overlay::Overlay;
/// use geo::Area;
/// use geo_types::{Rect, coord};
///
/// let green = Rect::new(coord! {x: 0.0, y: 0.0}, coord! {x: 4.0, y: 4.0}).to_polygon();
/// let bunker = Rect::new(coord! {x: 3.0, y: 0.0}, coord! {x: 9.0, y: 2.0}).to_polygon();
/// assert_eq!(green.intersection(&bunker).unsigned_area(), 2.0);
/// assert_eq!(green.difference(&bunker).unsigned_area(), 14.0);
/// assert_eq!(green.union(&bunker).unsigned_area(), 26.0);
/// ```
pub trait Overlay {
    /// Every exterior and hole.
    fn rings(&self) -> impl Iterator<Item = &LineString<f64>>;

    /// What lies in both, by the even-odd rule.
    fn intersection(&self, other: &(impl Overlay + ?Sized)) -> MultiPolygon<f64> {
        clipped(self, other, OverlayRule::Intersect, FillRule::EvenOdd)
    }

    /// What lies here and not in `other`, by the even-odd rule.
    fn difference(&self, other: &impl Overlay) -> MultiPolygon<f64> {
        clipped(self, other, OverlayRule::Difference, FillRule::EvenOdd)
    }

    /// What lies in either, by the even-odd rule.
    fn union(&self, other: &impl Overlay) -> MultiPolygon<f64> {
        clipped(self, other, OverlayRule::Union, FillRule::EvenOdd)
    }

    /// The parts of a line that lie in here or on the edge.
    fn along(&self, line: &LineString<f64>) -> MultiLineString<f64> {
        let rule = ClipRule {
            invert: false,
            boundary_included: true,
        };
        let inside = open_path(line).clip_by(&paths(self), FillRule::EvenOdd, rule);
        MultiLineString(inside.into_iter().map(line_string).collect())
    }

    /// What the rings go round at all, whichever way.
    fn by_winding(&self) -> MultiPolygon<f64> {
        alone(self, FillRule::NonZero)
    }
}

impl Overlay for Polygon<f64> {
    fn rings(&self) -> impl Iterator<Item = &LineString<f64>> {
        std::iter::once(self.exterior()).chain(self.interiors())
    }
}

impl Overlay for MultiPolygon<f64> {
    fn rings(&self) -> impl Iterator<Item = &LineString<f64>> {
        self.iter().flat_map(Overlay::rings)
    }
}

impl Overlay for [Polygon<f64>] {
    fn rings(&self) -> impl Iterator<Item = &LineString<f64>> {
        self.iter().flat_map(Overlay::rings)
    }
}

/// All pieces as one area. They may cover each other and be wound either way.
pub fn merged(pieces: &[Polygon<f64>]) -> MultiPolygon<f64> {
    alone(&wound(pieces), FillRule::Positive)
}

/// The pieces wound as areas are here: a ring that was a hole of something runs the other way
/// round, and united with others it would count as taken away. Pieces that are nowhere are left
/// out, because geo panics on them.
pub(crate) fn wound(pieces: &[Polygon<f64>]) -> MultiPolygon<f64> {
    let somewhere = pieces.iter().filter(|p| p.rings().all(is_somewhere));
    somewhere.map(|p| p.orient(Direction::Default)).collect()
}

fn clipped(
    subject: &(impl Overlay + ?Sized),
    clip: &(impl Overlay + ?Sized),
    rule: OverlayRule,
    fill: FillRule,
) -> MultiPolygon<f64> {
    let (subject, clip) = (paths(subject), paths(clip));
    let options = OverlayOptions::ogc();
    let shapes =
        FloatOverlay::with_subj_and_clip_custom(&subject, &clip, options, Solver::default())
            .overlay(rule, fill);
    area(shapes)
}

fn alone(subject: &(impl Overlay + ?Sized), fill: FillRule) -> MultiPolygon<f64> {
    let subject = paths(subject);
    let shapes = FloatOverlay::with_subj_custom(&subject, OverlayOptions::ogc(), Solver::default())
        .overlay(OverlayRule::Subject, fill);
    area(shapes)
}

/// The library closes paths itself.
pub(crate) fn paths(area: &(impl Overlay + ?Sized)) -> Vec<Vec<Corner>> {
    let mut paths: Vec<Vec<Corner>> = area.rings().map(open_path).collect();
    for path in &mut paths {
        path.pop();
    }
    paths
}

/// All corners of a line, or none if one of them is no place.
fn open_path(line: &LineString<f64>) -> Vec<Corner> {
    if !is_somewhere(line) {
        return Vec::new();
    }
    line.0.iter().map(|c| [c.x, c.y]).collect()
}

/// Whether all corners of a line are places the library can reckon with.
pub(crate) fn is_somewhere(line: &LineString<f64>) -> bool {
    let near = |m: f64| m.abs() <= MAX_COORDINATE_M;
    line.0.iter().all(|c| near(c.x) && near(c.y))
}

fn line_string(path: Vec<Corner>) -> LineString<f64> {
    path.into_iter().map(|[x, y]| Coord { x, y }).collect()
}

/// The first ring of a shape is its exterior.
pub(crate) fn area(shapes: Vec<Vec<Vec<Corner>>>) -> MultiPolygon<f64> {
    let polygon = |shape: Vec<Vec<Corner>>| {
        let mut rings = shape.into_iter().map(line_string);
        let exterior = rings.next().unwrap_or_else(|| LineString(Vec::new()));
        // This closes all of them.
        Polygon::new(exterior, rings.collect())
    };
    MultiPolygon(shapes.into_iter().map(polygon).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::polygon::offset::offset;
    use approx::assert_relative_eq;
    use geo::{Area, Length};
    use geo_types::{Rect, coord, line_string, polygon};

    /// Numbers from 0 to 1 in an order of their own (Knuth, *The Art of Computer Programming*,
    /// volume 2, section 3.3.4, his line for MMIX).
    fn numbers(mut state: u64) -> impl FnMut() -> f64 {
        move || {
            let (by, more) = (6_364_136_223_846_793_005_u64, 1_442_695_040_888_963_407);
            state = state.wrapping_mul(by).wrapping_add(more);
            (state >> 11) as f64 / (1_u64 << 53) as f64
        }
    }

    const SIDE_M: f64 = 0.5588;

    /// Thin slivers any which way, some across each other.
    fn slivers(next: &mut impl FnMut() -> f64, count: usize) -> Vec<Polygon<f64>> {
        let sliver = |_| {
            let at = coord! {x: 40.0 * next() - 380.0, y: 200.0 * next() - 62.0};
            let (sin, cos) = (std::f64::consts::TAU * next()).sin_cos();
            let (length, width) = (0.3 + 6.0 * next(), 0.01 + 0.2 * next());
            let corner = |along: f64, over: f64| {
                at + coord! {x: along * length * cos - over * width * sin, y: along * length * sin + over * width * cos}
            };
            polygon![
                corner(0.0, 0.0),
                corner(1.0, 0.0),
                corner(0.9, 1.0),
                corner(0.2, 0.7)
            ]
        };
        (0..count).map(sliver).collect()
    }

    /// Squares beside each other, smaller ones near the edges of the slivers.
    fn cells(next: &mut impl FnMut() -> f64, slivers: &[Polygon<f64>]) -> Vec<Polygon<f64>> {
        fn look(
            middle: Coord<f64>,
            side: f64,
            depth: u32,
            near: &[&Polygon<f64>],
            out: &mut Vec<Polygon<f64>>,
        ) {
            use geo::{Distance, Euclidean};
            let reach = side * std::f64::consts::FRAC_1_SQRT_2;
            let near: Vec<&Polygon<f64>> = near
                .iter()
                .filter(|p| Euclidean.distance(&geo_types::Point(middle), p.exterior()) <= reach)
                .copied()
                .collect();
            if near.is_empty() {
                return;
            }
            if depth == 0 || (near.len() > 1 && depth < 3) {
                let half = coord! {x: side / 2.0, y: side / 2.0};
                out.push(Rect::new(middle - half, middle + half).to_polygon());
                return;
            }
            for (i, j) in [(-0.25, -0.25), (0.25, -0.25), (-0.25, 0.25), (0.25, 0.25)] {
                let middle = middle + coord! {x: i * side, y: j * side};
                look(middle, side / 2.0, depth - 1, &near, out);
            }
        }
        let all: Vec<&Polygon<f64>> = slivers.iter().collect();
        let mut out = Vec::new();
        for i in 0..75 {
            for j in 0..400 {
                let middle =
                    coord! {x: f64::from(i) * SIDE_M - 382.0, y: f64::from(j) * SIDE_M - 62.145};
                let depth = if next() < 0.5 { 3 } else { 6 };
                look(middle, SIDE_M, depth, &all, &mut out);
            }
        }
        out
    }

    /// Area by the winding of each ring: a hole wound like an exterior would add to it.
    fn by_rings_m2(area: &MultiPolygon<f64>) -> f64 {
        area.rings()
            .map(|r| Polygon::new(r.clone(), Vec::new()).signed_area())
            .sum()
    }

    #[test]
    fn what_lies_in_thousands_of_cells_is_the_sum_of_what_lies_in_some_of_them() {
        // geo winds holes the wrong way in the first four, and does not end in the last.
        for (first, count) in [(3, 20), (6, 20), (7, 20), (10, 20), (6, 120)] {
            let mut next = numbers(first);
            for _ in 0..5 {
                next();
            }
            let slivers = MultiPolygon(slivers(&mut next, count));
            let cells = cells(&mut next, &slivers.0);
            assert!(cells.len() > 5000, "{}", cells.len());
            // Each of these has fewer than 2,100 edges.
            let shared = |cells: &[Polygon<f64>]| by_rings_m2(&slivers.intersection(cells));
            let sum: f64 = cells.chunks(500).map(shared).sum();
            let at_once = shared(&cells);
            assert_relative_eq!(at_once, sum, max_relative = 1e-5);
        }
    }

    #[test]
    fn what_is_no_place_is_left_out() {
        let square = |side: f64| Rect::new(coord! {x: 0.0, y: 0.0}, coord! {x: side, y: 5.0});
        let field = square(5.0).to_polygon();
        for bad in [f64::NAN, f64::INFINITY, 1e200] {
            let nowhere = polygon![(x: 1.0, y: 1.0), (x: bad, y: 1.0), (x: 2.0, y: 3.0)];
            assert_eq!(field.difference(&nowhere).unsigned_area(), 25.0);
            assert_eq!(nowhere.intersection(&field).0.len(), 0);
            let both = merged(&[field.clone(), nowhere.clone()]);
            assert_eq!(both.unsigned_area(), 25.0);
            assert_eq!(field.along(nowhere.exterior()).0.len(), 0);
            for (area, by_m) in [(nowhere, 1.0), (field.clone(), bad), (field.clone(), -bad)] {
                assert_eq!(offset(&area.into(), by_m).0.len(), 0);
            }
        }
        let none = MultiPolygon(Vec::new());
        assert_eq!(none.union(&none).0.len(), 0);
        assert_eq!(offset(&none, 1.0).0.len(), 0);
    }

    #[test]
    fn a_line_is_cut_where_it_leaves() {
        let field = polygon![(x: 0.0, y: 0.0), (x: 9.0, y: 0.0), (x: 9.0, y: 5.0), (x: 6.0, y: 5.0), (x: 6.0, y: 2.0), (x: 3.0, y: 2.0), (x: 3.0, y: 5.0), (x: 0.0, y: 5.0)];
        let line = line_string![(x: -1.0, y: 4.0), (x: 5.0, y: 4.0), (x: 12.0, y: 4.0)];
        let inside = field.along(&line);
        assert_eq!(inside.0.len(), 2);
        assert_relative_eq!(geo::Euclidean.length(&inside), 6.0, max_relative = 1e-6);
    }
}
