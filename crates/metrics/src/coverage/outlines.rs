//! The shapes of what was missed and what was overrun, for drawing.
//!
//! The sweep tells of every piece of ground between two neighbouring edges; the border of those of
//! the kind wanted is followed and simplified. Figures never come from these shapes.

use super::border::Border;
use super::edge::Edge;
use super::tile::{Listener, Piece, Trapezoid};
use super::{Scene, boundary, listen};
use crossgrain_core::model::track::arc_steps;
use geo::{Area, Simplify};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

/// How far an outline may lie from the true shape, metres: a hair's breadth at any scale a
/// sheet is drawn at.
pub const OUTLINE_TOLERANCE_M: f64 = 0.01;

/// Corners are put on a grid this fine, metres, so that pieces that touch share their corners.
const GRID_M: f64 = 1e-8;

/// What a mow left and what it cut too much.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlines {
    /// Ground inside the reach that was never cut.
    pub missed: MultiPolygon<f64>,
    /// Where a lowered reel went outside the outline, keep-outs aside.
    pub overrun: MultiPolygon<f64>,
    /// Where a lowered reel went into a keep-out.
    pub keepout_cut: MultiPolygon<f64>,
}

/// The outlines of a scene. Each lies within `tolerance_m` of the true shape; shapes of less
/// than `tolerance_m` squared are left out. Neighbours may touch or overlap by as much as they are
/// simplified.
pub fn outlines(scene: &Scene<'_>, tolerance_m: f64) -> Outlines {
    let tolerance_m = if tolerance_m > 0.0 {
        tolerance_m
    } else {
        OUTLINE_TOLERANCE_M
    };
    let edges = boundary(scene);
    let mut gather = Gather {
        chord_m: tolerance_m / 2.0,
        shift: edges.origin,
        missed: Border::new(GRID_M),
        overrun: Border::new(GRID_M),
        keepout_cut: Border::new(GRID_M),
    };
    listen(&edges, super::ground_m2(scene), &mut gather);
    Outlines {
        missed: drawn(gather.missed, tolerance_m),
        overrun: drawn(gather.overrun, tolerance_m),
        keepout_cut: drawn(gather.keepout_cut, tolerance_m),
    }
}

struct Gather {
    chord_m: f64,
    shift: Coord<f64>,
    missed: Border,
    overrun: Border,
    keepout_cut: Border,
}

impl Listener for Gather {
    fn hear(&mut self, left: f64, width: f64, piece: Trapezoid<'_>) {
        let state = piece.state;
        let list = if state.is_missed() {
            &mut self.missed
        } else if state.is_keepout_cut() {
            &mut self.keepout_cut
        } else if state.is_overrun() {
            &mut self.overrun
        } else {
            return;
        };
        let (y0, y1) = (piece.y0, piece.y1);
        let mut ring: Vec<Coord<f64>> = Vec::new();
        let mut side = |p: Option<&Piece>, border: f64, up: bool| {
            let steps = p.map_or(1, |p| steps(&p.edge, y0, y1, self.chord_m));
            for i in 0..=steps {
                let i = if up { i } else { steps - i };
                let y = if i == steps {
                    y1
                } else {
                    y0 + (y1 - y0) * i as f64 / steps as f64
                };
                let x = p.map_or(border, |p| left + p.edge.x_at(y).clamp(0.0, width));
                ring.push(Coord {
                    x: x + self.shift.x,
                    y: y + self.shift.y,
                });
            }
        };
        side(piece.right, left + width, true);
        side(piece.left, left, false);
        list.add(&ring);
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

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use crossgrain_core::{Arc, Mower, Path, Track};
    use geo_types::{coord, polygon};
    use std::f64::consts::{PI, TAU};

    #[test]
    fn shapes_have_the_areas_of_the_table() {
        let ground = MultiPolygon(vec![
            polygon![(x: 3.0, y: 2.0), (x: 40.0, y: 5.0), (x: 37.0, y: 33.0), (x: 1.0, y: 30.0)],
        ]);
        let tracks = [Track::down(Path::Arc(Arc {
            centre: coord! { x: 6.0, y: 17.0 },
            radius_m: 7.0,
            from_rad: 0.3,
            sweep_rad: TAU,
        }))];
        let keep_outs = MultiPolygon(vec![
            polygon![(x: 10.0, y: 20.0), (x: 14.0, y: 20.0), (x: 14.0, y: 26.0), (x: 10.0, y: 26.0)],
        ]);
        let scene = Scene {
            ground: &ground,
            reach: &ground,
            keep_outs: &keep_outs,
            mower: &Mower::bar(2.54),
            tracks: &tracks,
        };
        let c = super::super::cover(&scene);
        let o = outlines(&scene, 0.001);
        for (shape, area) in [
            (&o.missed, c.missed_m2),
            (&o.overrun, c.overrun_m2),
            (&o.keepout_cut, c.keepout_cut_m2),
        ] {
            assert!(area > 1.0);
            assert_relative_eq!(
                shape.unsigned_area(),
                area,
                epsilon = 0.001 * 2.0 * PI * 9.0
            );
        }
        // One piece of ground outside the ring, one inside it.
        assert_eq!(o.missed.0.len(), 2);
        assert_eq!(o.keepout_cut.0.len(), 1);
        // A full circle of 8.27 m needs 90 chords at half of 1 cm.
        let rough = outlines(&scene, 0.01);
        let corners: usize = rough.missed.iter().map(|p| p.exterior().0.len()).sum();
        assert!(corners < 200, "{corners} corners: not simplified");
    }

    #[test]
    fn a_clean_mow_has_no_shapes() {
        let ground = MultiPolygon(vec![
            polygon![(x: 0.0, y: 0.0), (x: 40.0, y: 0.0), (x: 40.0, y: 2.0), (x: 0.0, y: 2.0)],
        ]);
        let scene = Scene {
            ground: &ground,
            reach: &ground,
            keep_outs: &MultiPolygon(vec![]),
            mower: &Mower::bar(2.0),
            tracks: &[Track::down(Path::Line {
                from: coord! { x: 0.0, y: 1.0 },
                to: coord! { x: 40.0, y: 1.0 },
            })],
        };
        let o = outlines(&scene, OUTLINE_TOLERANCE_M);
        assert!(o.missed.0.is_empty() && o.overrun.0.is_empty() && o.keepout_cut.0.is_empty());
    }
}
