//! Directed boundary edges: straight or circular, cut where they change direction in x or y.
//!
//! An edge carries the jump of the winding number met when it is crossed from left to right.
//! The ends of neighbouring edges are the same numbers to the bit: the sweep counts on it.

use geo::Area;
use geo_types::{Coord, LineString, MultiPolygon, Polygon};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Which area an edge bounds. One edge may bound two.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layer {
    /// What the cutting units sweep.
    Cut,
    /// An outer ring of the ground: bounds the ground and the filled outline.
    Outer,
    /// A hole of the ground.
    Hole,
    /// A keep-out.
    Keep,
    /// The reach.
    Reach,
}

/// A piece of boundary that is monotone in x and in y, from its lower to its higher end.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Edge {
    pub(crate) lo: Coord<f64>,
    pub(crate) hi: Coord<f64>,
    /// Centre of the circle; for a straight edge x is dx/dy and y is unused.
    pub(crate) c: Coord<f64>,
    /// Radius: above zero for the right half of the circle, below zero for the left half,
    /// zero for a straight edge.
    pub(crate) r: f64,
    /// Change of the winding number from left to right.
    pub(crate) delta: i32,
    pub(crate) layer: Layer,
}

impl Edge {
    /// Where it is at height `y`, held within its own ends: rounding never takes it out of its box.
    #[inline]
    pub(crate) fn x_at(&self, y: f64) -> f64 {
        let x = if self.r == 0.0 {
            self.lo.x + (y - self.lo.y) * self.c.x
        } else {
            let (r, dy) = (self.r.abs(), y - self.c.y);
            self.c.x + ((r - dy) * (r + dy)).max(0.0).sqrt().copysign(self.r)
        };
        x.max(self.lo.x.min(self.hi.x))
            .min(self.lo.x.max(self.hi.x))
    }

    /// The height at which it passes `x`.
    #[inline]
    pub(crate) fn y_at(&self, x: f64) -> f64 {
        let y = if self.r != 0.0 {
            let (r, dx) = (self.r.abs(), x - self.c.x);
            let dy = ((r - dx) * (r + dx)).max(0.0).sqrt();
            self.c.y + dy.copysign(self.lo.y + self.hi.y - 2.0 * self.c.y)
        } else if self.hi.x == self.lo.x {
            self.lo.y
        } else {
            self.lo.y + (x - self.lo.x) / (self.hi.x - self.lo.x) * (self.hi.y - self.lo.y)
        };
        y.max(self.lo.y).min(self.hi.y)
    }
}

/// Collects edges in a frame shifted by `origin`, and what is lost on the way.
#[derive(Debug, Default)]
pub struct Edges {
    pub(crate) origin: Coord<f64>,
    pub(crate) list: Vec<Edge>,
    /// Bound on the area misjudged by joining ends that differ in their last digits, m2.
    pub weld_m2: f64,
    /// Whether anything had to be left out because it is not a finite number.
    pub broken: bool,
}

impl Edges {
    /// None yet. Places are taken from `origin`: the nearer it is, the less is rounded.
    pub fn new(origin: Coord<f64>) -> Self {
        Self {
            origin,
            ..Self::default()
        }
    }

    /// The edges of what is to be cut, `grass`, and of what is no rough, `solid`.
    pub(crate) fn of_ground(grass: &MultiPolygon<f64>, solid: &MultiPolygon<f64>) -> Self {
        let mut corners = grass.iter().chain(solid).flat_map(|p| &p.exterior().0);
        let mut out = Self::new(corners.next().copied().unwrap_or_default());
        out.area(grass, Layer::Reach, Some(Layer::Reach));
        out.area(solid, Layer::Outer, None);
        out
    }

    /// How many there are, for judging cost.
    pub fn count(&self) -> usize {
        self.list.len()
    }

    /// A point in the shifted frame.
    pub(crate) fn local(&self, p: Coord<f64>) -> Coord<f64> {
        p - self.origin
    }

    fn push(&mut self, a: Coord<f64>, b: Coord<f64>, circle: Option<(Coord<f64>, f64)>, w: Weight) {
        if a == b {
            return;
        }
        // Left of an upward edge the winding number is higher by the weight.
        let up = b.y >= a.y;
        let (lo, hi) = if up { (a, b) } else { (b, a) };
        let delta = if up { -w.times } else { w.times };
        let (dx, dy) = (hi.x - lo.x, hi.y - lo.y);
        let x = if dy > 0.0 { dx / dy } else { 0.0 };
        let (c, r) = circle.unwrap_or((Coord { x, y: 0.0 }, 0.0));
        self.list.push(Edge {
            lo,
            hi,
            c,
            r,
            delta,
            layer: w.layer,
        });
    }

    /// A straight edge from `a` to `b`, both in the shifted frame.
    pub(crate) fn line(&mut self, a: Coord<f64>, b: Coord<f64>, w: Weight) {
        self.push(a, b, None, w);
    }

    /// A circular edge from `a` to `b` round `centre`, all in the shifted frame, cut at the extreme
    /// points of the circle.
    pub(crate) fn arc(
        &mut self,
        a: Coord<f64>,
        b: Coord<f64>,
        centre: Coord<f64>,
        radius: f64,
        sweep_rad: f64,
        w: Weight,
    ) {
        if radius <= 0.0 {
            self.line(a, b, w);
            return;
        }
        let start = (a.y - centre.y).atan2(a.x - centre.x);
        let way = 1.0_f64.copysign(sweep_rad);
        // Whole turns are one circle of that weight, however many there are, and the rest is exact.
        let turns = (sweep_rad.abs() / TAU).floor() as i32;
        let parts = [(a, way * TAU, w.by(turns)), (b, sweep_rad % TAU, w)];
        for (end, sweep, w) in parts.into_iter().skip(usize::from(turns < 1)) {
            let to = start + sweep;
            let mut quarter = way * ((way * start / FRAC_PI_2).floor() + 1.0);
            let (mut here, mut at) = (a, start);
            let mut done = false;
            while !done {
                let mark = quarter * FRAC_PI_2;
                done = way * mark >= way * to;
                let ahead = (extreme(centre, radius, quarter), mark);
                let (next, next_at) = if done { (end, to) } else { ahead };
                let r = radius.copysign(((at + next_at) / 2.0).cos());
                self.push(here, next, Some((centre, r)), w);
                (here, at) = (next, mark);
                quarter += way;
            }
        }
    }

    /// All rings of an area: outer rings filled, holes taken out.
    pub fn area(&mut self, area: &MultiPolygon<f64>, outer: Layer, hole: Option<Layer>) {
        for polygon in area {
            self.ring(polygon.exterior(), outer, 1);
            for (ring, hole) in polygon.interiors().iter().zip(hole.into_iter().cycle()) {
                self.ring(ring, hole, -1);
            }
        }
    }

    fn ring(&mut self, ring: &LineString<f64>, layer: Layer, times: i32) {
        if ring.0.len() < 4 {
            return;
        }
        if ring.0.iter().any(|c| !c.x.is_finite() || !c.y.is_finite()) {
            self.broken = true;
            return;
        }
        let points = ring.0.iter().map(|&c| self.local(c)).collect();
        let outline = Polygon::new(points, Vec::new());
        // Rings count by what they enclose, whichever way round they were drawn.
        let turned = if outline.signed_area() < 0.0 { -1 } else { 1 };
        let w = Weight { times, layer }.by(turned);
        for l in outline.exterior().lines() {
            self.line(l.start, l.end, w);
        }
    }
}

/// How often a boundary counts, and for which area.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Weight {
    pub(crate) times: i32,
    pub(crate) layer: Layer,
}

impl Weight {
    /// So many times as often; below zero, taken away.
    pub(crate) fn by(self, factor: i32) -> Self {
        let times = self.times * factor;
        Self { times, ..self }
    }
}

/// The extreme points of a circle, to the bit.
fn extreme(c: Coord<f64>, r: f64, quarter: f64) -> Coord<f64> {
    let ways = [(r, 0.0), (0.0, r), (-r, 0.0), (0.0, -r)];
    c + ways[quarter.rem_euclid(4.0) as usize % 4].into()
}
