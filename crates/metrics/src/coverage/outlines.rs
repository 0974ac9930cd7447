//! The shapes of what was missed and what was overrun, for drawing.

use super::{Coverage, Scene, boundary, boundary_once};
use crossgrain_core::inside::swath::{Edges, State, shapes};
use geo::Area;
use geo_types::MultiPolygon;

/// How far an outline may lie from the true shape, metres: a hair's breadth at any scale a
/// sheet is drawn at.
pub const OUTLINE_TOLERANCE_M: f64 = 0.01;

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
    survey(scene, tolerance_m).1
}

/// Areas of a scene and the outlines of what was missed, by one sweep: see [`outlines`].
pub fn cover_and_missed(scene: &Scene<'_>, tolerance_m: f64) -> (Coverage, MultiPolygon<f64>) {
    with_missed(&boundary(scene), scene, tolerance_m)
}

/// The same where it matters only whether ground is cut, not how often: what two units cut in one
/// pass may count once in `times_cut_m2` and `swept_m2`. Quicker with several units.
pub fn cut_and_missed(scene: &Scene<'_>, tolerance_m: f64) -> (Coverage, MultiPolygon<f64>) {
    with_missed(&boundary_once(scene), scene, tolerance_m)
}

fn with_missed(
    edges: &Edges,
    scene: &Scene<'_>,
    tolerance_m: f64,
) -> (Coverage, MultiPolygon<f64>) {
    let kind = |s: &State| s.is_missed().then_some(0);
    let (cover, [missed]) = shapes::survey(edges, scene.ground.unsigned_area(), tolerance_m, kind);
    (cover, missed)
}

/// Areas and outlines of a scene, by one sweep.
pub fn survey(scene: &Scene<'_>, tolerance_m: f64) -> (Coverage, Outlines) {
    let tolerance_m = if tolerance_m > 0.0 {
        tolerance_m
    } else {
        OUTLINE_TOLERANCE_M
    };
    let edges = boundary(scene);
    let kind = |s: &State| {
        [s.is_missed(), s.is_overrun(), s.is_keepout_cut()]
            .iter()
            .position(|k| *k)
    };
    let (cover, [missed, overrun, keepout_cut]) =
        shapes::survey(&edges, scene.ground.unsigned_area(), tolerance_m, kind);
    let outlines = Outlines {
        missed,
        overrun,
        keepout_cut,
    };
    (cover, outlines)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{arc, line};
    use approx::assert_relative_eq;
    use crossgrain_core::Mower;
    use geo_types::polygon;
    use std::f64::consts::{PI, TAU};

    #[test]
    fn shapes_have_the_areas_of_the_table() {
        let ground = MultiPolygon(vec![
            polygon![(x: 3.0, y: 2.0), (x: 40.0, y: 5.0), (x: 37.0, y: 33.0), (x: 1.0, y: 30.0)],
        ]);
        let tracks = [arc(6.0, 17.0, 7.0, 0.3, TAU)];
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
        // At half of 20 cm it needs 20.
        let rougher = outlines(&scene, 0.2);
        let fewer: usize = rougher.missed.iter().map(|p| p.exterior().0.len()).sum();
        assert!(2 * fewer < corners, "{fewer} corners of {corners}");
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
            tracks: &[line(0.0, 1.0, 40.0, 1.0)],
        };
        let o = outlines(&scene, OUTLINE_TOLERANCE_M);
        assert!(o.missed.0.is_empty() && o.overrun.0.is_empty() && o.keepout_cut.0.is_empty());
    }
}
