//! What a run would gain: grass that nothing else cuts, and rough.
//!
//! Every pass is laid track by track, each with its own closed boundary. A closed boundary changes
//! how often a point is cut only inside itself, so a question about one run is answered from the
//! few edges round it.

use crate::model::mower::Unit;
use crate::model::track::Track;
use crate::swath::boundary::add_swept;
use crate::swath::edge::{Edge, Edges, Layer};
use crate::swath::rows::{Window, around};
use crate::swath::sweep::look;
use crate::swath::tile::{Listener, Trapezoid};
use geo_types::{Coord, MultiPolygon};

/// Passes over ground.
pub struct Swath<'a> {
    units: &'a [Unit],
    ground: Edges,
    passes: Vec<Vec<Swept>>,
}

/// What the units cut along one track.
struct Swept {
    bounds: Window,
    edges: Vec<Edge>,
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
    pub fn new(units: &'a [Unit], grass: &MultiPolygon<f64>, solid: &MultiPolygon<f64>) -> Self {
        let corners = || solid.iter().chain(grass).flat_map(|p| &p.exterior().0);
        let origin = corners()
            .next()
            .copied()
            .unwrap_or(Coord { x: 0.0, y: 0.0 });
        let mut ground = Edges::new(origin);
        ground.area(grass, Layer::Reach, Some(Layer::Reach));
        ground.area(solid, Layer::Outer, None);
        Self {
            units,
            ground,
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
            Swept {
                bounds: around(&edges),
                edges,
            }
        };
        self.passes[id] = tracks.iter().map(swept).collect();
    }

    fn boundary(&self, tracks: &[Track], layer: Layer) -> Edges {
        let mut edges = Edges::new(self.ground.origin);
        add_swept(&mut edges, self.units, tracks, layer);
        edges
    }

    /// What `run` cuts beyond all passes but the pass `without`, and beyond `with`.
    pub fn gain(&self, run: &[Track], without: Option<usize>, with: &[Track]) -> Gain {
        let mut edges = self.boundary(run, Layer::Keep);
        let window = around(&edges.list);
        let near =
            |b: &Window| b.0 <= window.1 && window.0 <= b.1 && b.2 <= window.3 && window.2 <= b.3;
        let others = self.passes.iter().enumerate();
        for swept in others
            .filter(|(i, _)| Some(*i) != without)
            .flat_map(|(_, p)| p)
        {
            if near(&swept.bounds) {
                edges.list.extend_from_slice(&swept.edges);
            }
        }
        add_swept(&mut edges, self.units, with, Layer::Cut);
        // Ground to the right of the window or above or below it changes nothing in it.
        let ground = self.ground.list.iter();
        edges.list.extend(
            ground.filter(|e| e.y0 <= window.3 && window.2 <= e.y1 && e.x0.min(e.x1) <= window.1),
        );
        let mut heard = Heard(Gain::default());
        look(&edges, window, &mut heard);
        heard.0
    }
}

struct Heard(Gain);

impl Listener for Heard {
    fn hear(&mut self, _: f64, _: f64, piece: Trapezoid<'_>) {
        let s = &piece.state;
        if s.keep <= 0 || s.cut > 0 {
            return;
        }
        if s.reach > 0 {
            self.0.grass_m2 += piece.area_m2;
        }
        if s.filled <= 0 {
            self.0.rough_m2 += piece.area_m2;
        }
    }
}
