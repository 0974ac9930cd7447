//! The shapes of what a sweep tells of: uncut ground, overrun, what is cut at all.
//!
//! The sweep tells of every piece of ground between two neighbouring edges; those of the kind wanted
//! are united and simplified. Figures never come from these shapes.

use crate::model::mower::CuttingUnit;
use crate::model::track::{Track, arc_steps};
use crate::polygon::overlay::Overlay;
use crate::swath::boundary::add_cut;
use crate::swath::coverage::{Coverage, State};
use crate::swath::edge::{Edge, Edges, Layer};
use crate::swath::rows::{around, listen};
use crate::swath::tile::{EdgePart, Piece};
use geo::{Area, Simplify};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

/// The outline of a piece, counter-clockwise, with chords that stay within `chord_m` of its arcs.
fn outline(piece: &Piece<'_>, origin: Coord<f64>, chord_m: f64) -> Polygon<f64> {
    let (y0, y1, tile) = (piece.y0, piece.y1, piece.tile);
    let mut ring: Vec<Coord<f64>> = Vec::new();
    let mut side = |p: Option<&EdgePart>, border: f64, up: bool| {
        let steps = p.map_or(1, |p| steps(&p.edge, y0, y1, chord_m));
        for i in 0..=steps {
            let i = if up { i } else { steps - i };
            let y = y0 + (y1 - y0) * i as f64 / steps as f64;
            let y = if i == steps { y1 } else { y };
            let within = |p: &EdgePart| tile.left + p.edge.x_at(y).clamp(0.0, tile.width);
            let x = p.map_or(border, within);
            ring.push(origin + Coord { x, y });
        }
    };
    side(piece.right, tile.left + tile.width, true);
    side(piece.left, tile.left, false);
    Polygon::new(LineString(ring), Vec::new())
}

/// Steps in y that keep chords within `chord_m` of an arc; steps in y are uneven along the arc,
/// so near its top, where it runs flat, more are needed than the angle alone would ask for.
fn steps(edge: &Edge, y0: f64, y1: f64, chord_m: f64) -> usize {
    if edge.r == 0.0 {
        return 1;
    }
    let r = edge.r.abs();
    let angle = |y: f64| ((y - edge.c.y) / r).clamp(-1.0, 1.0).asin();
    let even = arc_steps(r, angle(y1) - angle(y0), chord_m);
    if even == 1 { 1 } else { (even * even).min(64) }
}

fn drawn(pieces: &[Polygon<f64>], tolerance_m: f64) -> MultiPolygon<f64> {
    let least_m2 = tolerance_m * tolerance_m;
    let fine = |r: &LineString<f64>| {
        let simple = Polygon::new(r.simplify(tolerance_m / 2.0), Vec::new());
        (simple.unsigned_area() >= least_m2).then(|| simple.exterior().clone())
    };
    pieces
        .by_winding()
        .iter()
        .filter_map(|p| {
            let holes = p.interiors().iter().filter_map(fine).collect();
            Some(Polygon::new(fine(p.exterior())?, holes))
        })
        .filter(|p| p.unsigned_area() >= least_m2)
        .collect()
}

/// Sweeps edges once for the areas and for the shapes of ground in the state that is `wanted`.
/// `area_m2` is roughly the area that the edges lie in.
///
/// Each shape lies within `tolerance_m` of the true one; those of less than the tolerance squared
/// are left out. Neighbours may touch or overlap by as much as they are simplified.
pub fn survey(
    edges: &Edges,
    area_m2: f64,
    tolerance_m: f64,
    wanted: impl Fn(&State) -> bool,
) -> (Coverage, MultiPolygon<f64>) {
    let mut pieces: Vec<Polygon<f64>> = Vec::new();
    let swept = listen(edges, around(&edges.list), area_m2, &mut |piece| {
        if wanted(&piece.state) {
            pieces.push(outline(piece, edges.origin, tolerance_m / 2.0));
        }
    });
    (swept, drawn(&pieces, tolerance_m))
}

/// What of `area` the units do not cut along the tracks, within `tolerance_m` of the true shape.
pub fn uncut(
    area: &MultiPolygon<f64>,
    tracks: &[Track],
    units: &[CuttingUnit],
    tolerance_m: f64,
) -> MultiPolygon<f64> {
    let nowhere = MultiPolygon(Vec::new());
    uncut_and_overrun_m2(area, &nowhere, tracks, units, tolerance_m).0
}

/// The same, and how much is cut outside `solid`, square metres.
pub fn uncut_and_overrun_m2(
    area: &MultiPolygon<f64>,
    solid: &MultiPolygon<f64>,
    tracks: &[Track],
    units: &[CuttingUnit],
    tolerance_m: f64,
) -> (MultiPolygon<f64>, f64) {
    let mut edges = Edges::of_ground(area, solid);
    add_cut(&mut edges, units, tracks, Layer::Cut);
    let is_left = |s: &State| s.cut <= 0 && s.reach > 0;
    let (table, left) = survey(&edges, 0.0, tolerance_m, is_left);
    (left, table.overrun_m2)
}
