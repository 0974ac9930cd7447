//! One tile, swept exactly: every crossing, then slabs between neighbouring heights.

use crate::swath::coverage::{Coverage, State};
use crate::swath::edge::{Edge, Layer};
use geo_types::Coord;

/// The part of an edge inside one tile; x is measured from the tile's left border.
#[derive(Debug, Clone, Copy)]
pub(crate) struct EdgePart {
    pub(crate) column: usize,
    pub(crate) edge: Edge,
    /// Where it starts and ends in this tile.
    pub(crate) lo: Coord<f64>,
    pub(crate) hi: Coord<f64>,
}

impl EdgePart {
    #[inline]
    fn x_at(&self, y: f64) -> f64 {
        self.edge
            .x_at(y)
            .max(self.lo.x.min(self.hi.x))
            .min(self.lo.x.max(self.hi.x))
    }
}

/// A change of the winding number along a column's left border.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Jump {
    pub(crate) column: usize,
    pub(crate) y: f64,
    pub(crate) layer: Layer,
    pub(crate) delta: i32,
}

/// A tile's bounds.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Tile {
    pub(crate) left: f64,
    pub(crate) width: f64,
    pub(crate) y0: f64,
    pub(crate) y1: f64,
}

/// The ground between two neighbouring edges in a tile, from `y0` to `y1`.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Piece<'a> {
    pub(crate) tile: &'a Tile,
    pub(crate) state: State,
    pub(crate) y0: f64,
    pub(crate) y1: f64,
    /// Its area, square metres.
    pub(crate) area_m2: f64,
    /// Left and right edge; `None` is the tile's border.
    pub(crate) left: Option<&'a EdgePart>,
    pub(crate) right: Option<&'a EdgePart>,
}

/// Where a part is in the present slab, and the integral of x over it.
#[derive(Debug, Clone, Copy)]
struct Active {
    part: usize,
    xa: f64,
    xb: f64,
    area: f64,
}

/// Storage that is used again from tile to tile.
#[derive(Debug, Default)]
pub(crate) struct Scratch {
    heights: Vec<f64>,
    active: Vec<Active>,
}

/// Adds the areas of one tile and tells of its pieces. `state` is the winding at its lower left
/// corner; the parts and the jumps come from the lowest up.
pub(crate) fn sweep(
    tile: &Tile,
    mut state: State,
    parts: &[EdgePart],
    jumps: &[Jump],
    scratch: &mut Scratch,
    out: &mut Coverage,
    hear: &mut impl FnMut(&Piece<'_>),
) {
    let Scratch { heights, active } = scratch;
    active.clear();
    find_heights(tile, parts, jumps, heights);
    let (mut next_part, mut next_jump) = (0, 0);
    for w in heights.windows(2) {
        let (y0, y1) = (w[0], w[1]);
        while let Some(j) = jumps.get(next_jump).filter(|j| j.y <= y0) {
            state.step(j.layer, j.delta);
            next_jump += 1;
        }
        active.retain_mut(|a| {
            a.xa = a.xb;
            parts[a.part].hi.y > y0
        });
        while let Some(p) = parts.get(next_part).filter(|p| p.lo.y <= y0) {
            let (part, xa) = (next_part, p.x_at(y0));
            let [xb, area] = [0.0; 2];
            active.extend((p.hi.y > y0).then_some(Active { part, xa, xb, area }));
            next_part += 1;
        }
        for a in active.iter_mut() {
            let p = &parts[a.part];
            a.xb = p.x_at(y1);
            a.area = under(&p.edge, a.xa, a.xb, y1 - y0);
        }
        // By the mean x over the slab: edges that do not cross inside a slab keep their order.
        active.sort_by(|a, b| a.area.total_cmp(&b.area));
        // One wrong pair of neighbours may stand inside this many wrong pairs.
        let pairs = (active.len() * active.len()) as f64 / 4.0;
        let wrong = |n: &[Active]| (n[0].xa - n[1].xa).max(n[0].xb - n[1].xb).max(0.0);
        let wrong_m: f64 = active.windows(2).map(wrong).sum();
        out.error_bound_m2 += wrong_m * (y1 - y0) * pairs.max(1.0);

        let mut piece = Piece {
            tile,
            state,
            y0,
            y1,
            area_m2: 0.0,
            left: None,
            right: None,
        };
        let mut from = 0.0;
        let edges = active.iter().map(|a| (Some(&parts[a.part]), a.area));
        for (right, to) in edges.chain([(None, tile.width * (y1 - y0))]) {
            (piece.area_m2, piece.right) = (to - from, right);
            out.add(&piece.state, piece.area_m2);
            hear(&piece);
            if let Some(p) = right {
                piece.state.step(p.edge.layer, p.edge.delta);
            }
            (from, piece.left) = (to, right);
        }
    }
}

/// All heights at which something changes, in order: borders, jumps, ends and crossings.
fn find_heights(tile: &Tile, parts: &[EdgePart], jumps: &[Jump], out: &mut Vec<f64>) {
    out.clear();
    out.extend([tile.y0, tile.y1]);
    out.extend(jumps.iter().map(|j| j.y));
    for (i, a) in parts.iter().enumerate() {
        out.extend([a.lo.y, a.hi.y]);
        for b in parts[i + 1..].iter().take_while(|b| b.lo.y < a.hi.y) {
            crossings(a, b, out);
        }
    }
    out.sort_unstable_by(f64::total_cmp);
    out.dedup();
}

/// Integral of x over a slab of height `h`: the chord's trapezoid, and the circular segment
/// between chord and arc, at most a half circle.
#[inline]
fn under(edge: &Edge, xa: f64, xb: f64, h: f64) -> f64 {
    let chord = h * (xa + xb) / 2.0;
    if edge.r == 0.0 {
        return chord;
    }
    // With u the sine of half the angle, the area is r^2 (asin u - u sqrt(1 - u^2)).
    let r = edge.r.abs();
    let (dx, r2) = (xb - xa, r * r);
    let u2 = ((dx * dx + h * h) / (4.0 * r2)).min(1.0);
    let u = u2.sqrt();
    let segment = r2 * (u.asin() - u * (1.0 - u2).sqrt());
    chord + segment.copysign(edge.r)
}

/// Adds the heights at which two parts cross. A height too many only costs a slab.
fn crossings(a: &EdgePart, b: &EdgePart, out: &mut Vec<f64>) {
    let (ya, yb) = (a.lo.y.max(b.lo.y), a.hi.y.min(b.hi.y));
    let apart = |a: &EdgePart, b: &EdgePart| a.lo.x.max(a.hi.x) < b.lo.x.min(b.hi.x);
    if ya >= yb || apart(a, b) || apart(b, a) {
        return;
    }
    let mut add = |y: f64| {
        if y > ya && y < yb {
            out.push(y);
        }
    };
    match (a.edge.r == 0.0, b.edge.r == 0.0) {
        (true, true) => {
            let (d0, d1) = (a.x_at(ya) - b.x_at(ya), a.x_at(yb) - b.x_at(yb));
            if d0 * d1 < 0.0 {
                add(ya + (yb - ya) * (d0 / (d0 - d1)));
            }
        }
        (true, false) => line_circle(a, b, add),
        (false, true) => line_circle(b, a, add),
        (false, false) => circle_circle(a, b, add),
    }
}

/// Whether `x` lies on the half of the circle that the part is on, give or take rounding.
#[inline]
fn on_half(p: &EdgePart, x: f64) -> bool {
    (x - p.edge.c.x) * p.edge.r.signum() >= -1e-6 * p.edge.r.abs()
}

fn line_circle(line: &EdgePart, arc: &EdgePart, mut add: impl FnMut(f64)) {
    let (p, d) = (line.lo - arc.edge.c, line.hi - line.lo);
    let u = d / (d.x * d.x + d.y * d.y).sqrt();
    let (along, off) = (p.x * u.x + p.y * u.y, p.x * u.y - p.y * u.x);
    let r = arc.edge.r.abs();
    // No root where they do not meet: nothing is on a half of it.
    let half = ((r - off.abs()) * (r + off.abs())).sqrt();
    for s in [-along - half, -along + half] {
        if on_half(arc, line.lo.x + s * u.x) {
            add(line.lo.y + s * u.y);
        }
    }
}

fn circle_circle(a: &EdgePart, b: &EdgePart, mut add: impl FnMut(f64)) {
    let d = b.edge.c - a.edge.c;
    let d2 = d.x * d.x + d.y * d.y;
    let (ra, rb) = (a.edge.r.abs(), b.edge.r.abs());
    // Along the line of centres, in units of their distance; no root where they do not meet, nor
    // about one centre.
    let t = 0.5 + (ra - rb) * (ra + rb) / (2.0 * d2);
    let half = (ra * ra / d2 - t * t).sqrt();
    for s in [-half, half] {
        let x = a.edge.c.x + t * d.x - s * d.y;
        if on_half(a, x) && on_half(b, x) {
            add(a.edge.c.y + t * d.y + s * d.x);
        }
    }
}
