//! The shapes of what a sweep tells of: uncut ground, overrun, what is cut at all.
//!
//! The sweep tells of every piece of ground between two neighbouring edges; the border of those of
//! the kind wanted is followed and simplified. Figures never come from these shapes.

use crate::model::mower::CuttingUnit;
use crate::model::track::{Track, arc_steps};
use crate::swath::border::Border;
use crate::swath::boundary::add_cut;
use crate::swath::edge::{Edge, Edges, Layer};
use crate::swath::sweep::listen;
use crate::swath::tally::{State, Tally};
use crate::swath::tile::{EdgePart, Layers, Listener, Trapezoid};
use geo::{Area, Simplify};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

/// Corners are put on a grid this fine, metres, so that pieces that touch share their corners.
const GRID_M: f64 = 1e-8;

/// Gathers the shapes of N kinds of ground.
struct Shapes<const N: usize, F, S> {
    chord_m: f64,
    shift: Coord<f64>,
    borders: [Border; N],
    kind: F,
    skips: S,
}

impl<const N: usize, F, S> Listener for Shapes<N, F, S>
where
    F: Fn(&State) -> Option<usize>,
    S: Fn(&State, Layers) -> bool,
{
    fn skips(&self, corner: &State, changing: Layers) -> bool {
        (self.skips)(corner, changing)
    }

    fn hear(&mut self, left: f64, width: f64, piece: Trapezoid<'_>) {
        let Some(kind) = (self.kind)(&piece.state) else {
            return;
        };
        let (y0, y1) = (piece.y0, piece.y1);
        let mut ring: Vec<Coord<f64>> = Vec::new();
        let (shift, chord_m) = (self.shift, self.chord_m);
        let mut side = |p: Option<&EdgePart>, border: f64, up: bool| {
            let steps = p.map_or(1, |p| steps(&p.edge, y0, y1, chord_m));
            for i in 0..=steps {
                let i = if up { i } else { steps - i };
                let y = if i == steps {
                    y1
                } else {
                    y0 + (y1 - y0) * i as f64 / steps as f64
                };
                let x = p.map_or(border, |p| left + p.edge.x_at(y).clamp(0.0, width));
                ring.push(Coord {
                    x: x + shift.x,
                    y: y + shift.y,
                });
            }
        };
        side(piece.right, left + width, true);
        side(piece.left, left, false);
        self.borders[kind].add(&ring);
    }
}

/// Steps in y that keep chords within `chord_m` of an arc; steps in y are uneven along the arc,
/// so near its top, where it runs flat, more are needed than the angle alone would ask for.
fn steps(edge: &Edge, y0: f64, y1: f64, chord_m: f64) -> usize {
    if edge.r == 0.0 {
        return 1;
    }
    let r = edge.r.abs();
    let angle = |y: f64| ((y - edge.cy) / r).clamp(-1.0, 1.0).asin();
    let sweep = angle(y1) - angle(y0);
    let even = arc_steps(r, sweep, chord_m);
    if even == 1 { 1 } else { (even * even).min(64) }
}

fn drawn(border: Border, tolerance_m: f64) -> MultiPolygon<f64> {
    let least_m2 = tolerance_m * tolerance_m;
    let fine = |r: &LineString<f64>| {
        let simple = r.simplify(tolerance_m / 2.0);
        let area = Polygon::new(simple.clone(), Vec::new()).unsigned_area();
        (simple.0.len() >= 4 && area >= least_m2).then_some(simple)
    };
    border
        .areas()
        .iter()
        .filter_map(|p| {
            let holes = p.interiors().iter().filter_map(fine).collect();
            Some(Polygon::new(fine(p.exterior())?, holes))
        })
        .filter(|p| p.unsigned_area() >= least_m2)
        .collect()
}

/// Sweeps edges once for areas and shapes. `area_m2` is roughly the area that the edges lie in.
/// Returns the table, the bound on its rounding in m2, and the shapes of up to N kinds of ground:
/// `kind` says which kind ground in a state is, below N, if any that is wanted.
///
/// Each shape lies within `tolerance_m` of the true one; those of less than the tolerance squared
/// are left out. Neighbours may touch or overlap by as much as they are simplified.
pub fn survey<const N: usize>(
    edges: &Edges,
    area_m2: f64,
    tolerance_m: f64,
    kind: impl Fn(&State) -> Option<usize>,
) -> ((Tally, f64), [MultiPolygon<f64>; N]) {
    survey_but(edges, area_m2, tolerance_m, kind, |_, _| false)
}

/// The same without the tiles that are skipped, in the table too.
fn survey_but<const N: usize>(
    edges: &Edges,
    area_m2: f64,
    tolerance_m: f64,
    kind: impl Fn(&State) -> Option<usize>,
    skips: impl Fn(&State, Layers) -> bool,
) -> ((Tally, f64), [MultiPolygon<f64>; N]) {
    let mut shapes = Shapes {
        chord_m: tolerance_m / 2.0,
        shift: edges.origin,
        borders: std::array::from_fn(|_| Border::new(GRID_M)),
        kind,
        skips,
    };
    let swept = listen(edges, area_m2, &mut shapes);
    (swept, shapes.borders.map(|b| drawn(b, tolerance_m)))
}

/// What of `area` the units do not cut along the tracks, within `tolerance_m` of the true shape.
pub fn uncut(
    area: &MultiPolygon<f64>,
    tracks: &[Track],
    units: &[CuttingUnit],
    tolerance_m: f64,
) -> MultiPolygon<f64> {
    let nowhere = MultiPolygon(Vec::new());
    let edges = cut_over(area, &nowhere, tracks, units);
    let skips = |s: &State, changing: Layers| s.reach <= 0 && !changing.hold(Layer::Reach);
    let (_, [left]) = survey_but(&edges, 0.0, tolerance_m, is_left, skips);
    left
}

/// The same, and how much is cut outside `solid`, square metres.
pub fn uncut_and_overrun_m2(
    area: &MultiPolygon<f64>,
    solid: &MultiPolygon<f64>,
    tracks: &[Track],
    units: &[CuttingUnit],
    tolerance_m: f64,
) -> (MultiPolygon<f64>, f64) {
    let edges = cut_over(area, solid, tracks, units);
    let skips = |s: &State, changing: Layers| {
        let all_on = |count: i32, layer: Layer| count > 0 && !changing.hold(layer);
        let all_off = |count: i32, layer: Layer| count <= 0 && !changing.hold(layer);
        all_off(s.reach, Layer::Reach) && all_on(s.filled, Layer::Outer)
    };
    let ((tally, _), [left]) = survey_but(&edges, 0.0, tolerance_m, is_left, skips);
    (left, tally.overrun_m2)
}

fn is_left(s: &State) -> Option<usize> {
    (s.cut <= 0 && s.reach > 0).then_some(0)
}

fn cut_over(
    area: &MultiPolygon<f64>,
    solid: &MultiPolygon<f64>,
    tracks: &[Track],
    units: &[CuttingUnit],
) -> Edges {
    let corners = || area.iter().chain(solid).flat_map(|p| &p.exterior().0);
    let origin = corners().next().copied();
    let mut edges = Edges::new(origin.unwrap_or(Coord { x: 0.0, y: 0.0 }));
    edges.area(area, Layer::Reach, Some(Layer::Reach));
    edges.area(solid, Layer::Outer, None);
    add_cut(&mut edges, units, tracks, Layer::Cut);
    edges
}
