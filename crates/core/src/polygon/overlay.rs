//! What areas share, what one leaves of another, and what they are together.
//!
//! geo has these operations too, on an older version of the library used here. Over areas of more
//! than 4,000 edges that one sometimes winds holes like exteriors, and sometimes goes on for ever,
//! which no work limit can stop. The test below shows the first with it.

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
/// [`crate::FairwayBuilder::build`] makes none.
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

/// The pieces wound as areas are here: a ring that was a hole would count as taken away. Pieces that
/// are nowhere are left out, because geo panics on them.
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
    let (options, solver) = (OverlayOptions::ogc(), Solver::default());
    let mut both = FloatOverlay::with_subj_and_clip_custom(&subject, &clip, options, solver);
    area(both.overlay(rule, fill))
}

fn alone(subject: &(impl Overlay + ?Sized), fill: FillRule) -> MultiPolygon<f64> {
    let (options, solver) = (OverlayOptions::ogc(), Solver::default());
    let mut alone = FloatOverlay::with_subj_custom(&paths(subject), options, solver);
    area(alone.overlay(OverlayRule::Subject, fill))
}

/// The library closes paths itself.
pub(crate) fn paths(area: &(impl Overlay + ?Sized)) -> Vec<Vec<Corner>> {
    let open = |ring: &LineString<f64>| {
        let mut path = open_path(ring);
        path.pop();
        path
    };
    area.rings().map(open).collect()
}

/// All corners of a line, or none if one of them is no place.
fn open_path(line: &LineString<f64>) -> Vec<Corner> {
    let somewhere = is_somewhere(line).then_some(&line.0);
    somewhere.into_iter().flatten().map(|&c| c.into()).collect()
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
    use crate::drawn::{pose, rect, spread};
    use crate::polygon::offset::offset;
    use approx::assert_relative_eq;
    use geo::{Area, BoundingRect, Intersects, Length};
    use geo_types::{line_string, polygon};
    use std::collections::BTreeSet;

    /// Area by the winding of each ring: a hole wound like an exterior would add to it.
    fn by_rings_m2(area: &MultiPolygon<f64>) -> f64 {
        let alone = area.rings().map(|r| Polygon::new(r.clone(), Vec::new()));
        alone.map(|ring| ring.signed_area()).sum()
    }

    #[test]
    fn what_lies_in_thousands_of_cells_is_the_sum_of_what_lies_in_some_of_them() {
        const SIDE_M: f64 = 0.0175;
        // geo winds some of the holes the wrong way in each.
        for seed in 1..=5 {
            let mut next = spread(seed);
            // Thin slivers any which way, and every other one of the squares along their edges.
            let sliver = |_| {
                let at = pose(next(40.0), next(200.0), next(std::f64::consts::TAU));
                let (length, width) = (0.3 + next(6.0), 0.01 + next(0.2));
                let corners = [(0.0, 0.0), (1.0, 0.0), (0.9, 1.0), (0.2, 0.7)];
                let line = corners.map(|(along, over)| at.offset(along * length, over * width));
                Polygon::new(line.into_iter().collect(), Vec::new())
            };
            let slivers: MultiPolygon<f64> = (0..20).map(sliver).collect();
            let mut squares = BTreeSet::new();
            for around in slivers.iter().filter_map(|s| s.bounding_rect()) {
                let [low, high] = [around.min(), around.max()].map(|c| c / SIDE_M);
                let span = |a: f64, b: f64| a.floor() as i32..=b.floor() as i32;
                let columns = span(low.x, high.x);
                squares.extend(columns.flat_map(|i| span(low.y, high.y).map(move |j| (i, j))));
            }
            let on_edge = |c: &Polygon<f64>| slivers.iter().any(|s| c.intersects(s.exterior()));
            let all = squares
                .into_iter()
                .map(|(i, j)| [i, j].map(|k| f64::from(k) * SIDE_M));
            let cells: Vec<_> = (all.map(|[x, y]| rect(x, y, SIDE_M, SIDE_M)))
                .filter(|c| next(1.0) < 0.5 && on_edge(c))
                .collect();
            assert!(cells.len() > 3000, "{}", cells.len());
            // Each of these has fewer than 2,100 edges.
            let shared = |cells: &[Polygon<f64>]| by_rings_m2(&slivers.intersection(cells));
            let sum: f64 = cells.chunks(500).map(shared).sum();
            assert_relative_eq!(shared(&cells), sum, max_relative = 1e-5);
        }
    }

    #[test]
    fn what_is_no_place_is_left_out() {
        let field = rect(0.0, 0.0, 5.0, 5.0);
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
