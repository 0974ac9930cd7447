//! What a run would gain: grass that nothing else cuts, and rough.
//!
//! Every pass is laid track by track, each with its own closed boundary, which changes how often a
//! point is cut only inside itself: the few edges round a run say what it gains.

use crate::model::mower::CuttingUnit;
use crate::model::track::Track;
use crate::swath::boundary::add_cut;
use crate::swath::edge::{Edge, Edges, Layer};
use crate::swath::rows::{Window, around, listen};
use geo_types::MultiPolygon;

/// Passes over ground.
pub struct Swath<'a> {
    units: &'a [CuttingUnit],
    ground: Edges,
    /// What the units cut along each track of each pass, and the box round it.
    passes: Vec<Vec<(Window, Vec<Edge>)>>,
}

/// What a run cuts that nothing else does, square metres.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Gain {
    /// Of the grass that is to be cut.
    pub grass_m2: f64,
    /// Outside the filled outline.
    pub rough_m2: f64,
}

impl<'a> Swath<'a> {
    /// No pass yet: `grass` is to be cut, and what lies outside `solid` is rough.
    pub fn new(
        units: &'a [CuttingUnit],
        grass: &MultiPolygon<f64>,
        solid: &MultiPolygon<f64>,
    ) -> Self {
        Self {
            units,
            ground: Edges::of_ground(grass, solid),
            passes: Vec::new(),
        }
    }

    /// Lays one more pass and returns its number.
    pub fn add(&mut self, tracks: &[Track]) -> usize {
        self.passes.push(Vec::new());
        let id = self.passes.len() - 1;
        self.replace(id, tracks);
        id
    }

    /// Lays a pass in the place of another.
    pub fn replace(&mut self, id: usize, tracks: &[Track]) {
        let swept = |t: &Track| {
            let edges = self.boundary(std::slice::from_ref(t), Layer::Cut).list;
            (around(&edges), edges)
        };
        self.passes[id] = tracks.iter().map(swept).collect();
    }

    fn boundary(&self, tracks: &[Track], layer: Layer) -> Edges {
        let mut edges = Edges::new(self.ground.origin);
        add_cut(&mut edges, self.units, tracks, layer);
        edges
    }

    /// What `run` cuts beyond all passes but the pass `without`, and beyond `with`.
    pub fn gain(&self, run: &[Track], without: Option<usize>, with: &[Track]) -> Gain {
        let mut edges = self.boundary(run, Layer::Keep);
        let window = around(&edges.list);
        let near =
            |b: &Window| b.0 <= window.1 && window.0 <= b.1 && b.2 <= window.3 && window.2 <= b.3;
        for (i, pass) in self.passes.iter().enumerate() {
            for (_, swept) in pass.iter().filter(|s| Some(i) != without && near(&s.0)) {
                edges.list.extend_from_slice(swept);
            }
        }
        add_cut(&mut edges, self.units, with, Layer::Cut);
        // Ground to the right of the window or above or below it changes nothing in it.
        let ground = self.ground.list.iter();
        edges.list.extend(ground.filter(|e| {
            e.lo.y <= window.3 && window.2 <= e.hi.y && e.lo.x.min(e.hi.x) <= window.1
        }));
        let area_m2 = (window.1 - window.0) * (window.3 - window.2);
        let mut gain = Gain::default();
        listen(&edges, window, area_m2, &mut |piece| {
            let s = &piece.state;
            let gains = s.keep > 0 && s.cut <= 0;
            if gains && s.reach > 0 {
                gain.grass_m2 += piece.area_m2;
            }
            if gains && s.filled <= 0 {
                gain.rough_m2 += piece.area_m2;
            }
        });
        gain
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{self, pose, rect, unit};
    use crate::model::track::{CircularArc, Segment};
    use approx::assert_relative_eq;

    fn square(from: f64, to: f64) -> MultiPolygon<f64> {
        rect(from, from, to - from, to - from).into()
    }

    fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Track {
        Track::down(drawn::line(x0, y0, x1, y1))
    }

    #[test]
    fn a_run_gains_what_no_other_pass_cuts() {
        let bar = [unit(0.0, 0.0, 2.0)];
        let mut laid = Swath::new(&bar, &square(0.0, 40.0), &square(-1.0, 41.0));
        let first = laid.add(&[line(0.0, 10.0, 40.0, 10.0)]);
        laid.add(&[line(20.0, -3.0, 20.0, 43.0)]);
        let gain = |laid: &Swath<'_>, y: f64, without, with: &[Track]| {
            laid.gain(&[line(-4.0, y, 40.0, y)], without, with)
        };
        // Half its width beside the first, less where the second crosses; 3 m before the outline.
        let beside = gain(&laid, 11.0, None, &[]);
        assert_relative_eq!(beside.grass_m2, 40.0 - 2.0, epsilon = 1e-9);
        assert_relative_eq!(beside.rough_m2, 2.0 * 3.0, epsilon = 1e-9);
        let instead = gain(&laid, 11.0, Some(first), &[]);
        assert_relative_eq!(instead.grass_m2, 80.0 - 4.0, epsilon = 1e-9);
        let with = gain(&laid, 11.0, Some(first), &[line(30.0, 5.0, 30.0, 15.0)]);
        assert_relative_eq!(with.grass_m2, 80.0 - 8.0, epsilon = 1e-9);
        laid.replace(first, &[line(0.0, 10.0, 20.0, 10.0)]);
        let half = gain(&laid, 11.0, None, &[]);
        assert_relative_eq!(half.grass_m2, 19.0 + 2.0 * 19.0, epsilon = 1e-9);
    }

    #[test]
    fn a_small_run_in_a_large_field_is_answered_by_the_few_edges_round_it() {
        // Holes of the grass to the left, to the right, above and below must not be felt.
        let mut grass = square(0.0, 100.0);
        let holes = [(10., 50.), (80., 50.), (48., 10.), (48., 80.), (50., 50.)];
        for (x, y) in holes {
            grass.0[0].interiors_push(rect(x, y, 4.0, 4.0).exterior().clone());
        }
        let bar = [unit(0.0, 0.0, 2.0)];
        let laid = Swath::new(&bar, &grass, &square(0.0, 100.0));
        let gain = laid.gain(&[line(45.0, 51.0, 60.0, 51.0)], None, &[]);
        assert_relative_eq!(gain.grass_m2, 2.0 * (15.0 - 4.0), epsilon = 1e-9);
        assert_eq!(gain.rough_m2, 0.0);
    }

    #[test]
    fn a_deck_that_turns_about_a_point_inside_it_cuts_both_sides() {
        // The right end sweeps a sector of radius 1.4 m, the left end one of 0.6 m opposite;
        // over 4 rad the two share twice 4 - pi.
        let arc = CircularArc::leaving(pose(0.0, 0.0, 0.4), 0.7, 4.0);
        let tracks = [Track::down(Segment::Arc(arc))];
        let shared = 2.0 * (4.0 - std::f64::consts::PI) * 0.6 * 0.6 / 2.0;
        let known = 4.0 / 2.0 * (1.4 * 1.4 + 0.6 * 0.6) - shared;
        let field = square(-9.0, 9.0);
        let units = [unit(0.3, 0.0, 2.0)];
        let gain = Swath::new(&units, &field, &field).gain(&tracks, None, &[]);
        assert_relative_eq!(gain.grass_m2, known, max_relative = 1e-9);
        let left = crate::swath::shapes::uncut(&field, &tracks, &units, 1e-4);
        let left_m2 = geo::Area::unsigned_area(&left);
        assert_relative_eq!(left_m2, 324.0 - known, max_relative = 1e-4);
    }
}
