//! One tile, swept exactly: every crossing, then slabs between neighbouring heights.

use crate::swath::edge::{Edge, Layer};
use crate::swath::tally::{State, Tally};

/// Edges out of order by less than this at the end of a slab are rounding, metres. More than
/// this means a crossing was missed, and the slab is halved until it is found.
const ORDER_M: f64 = 1e-9;
/// No slab is halved when what could be gained is below this, m2.
const REFINE_M2: f64 = 1e-13;
/// A slab is halved at most this often: 2^-40 of a tile is below any rounding.
const MAX_HALVINGS: usize = 40;
/// Most halvings in one tile. Sound input needs a few in a million tiles; what is still out of
/// order after this many goes into the bound.
const HALVING_BUDGET: usize = 4_096;

/// A piece of an edge inside one tile; x is measured from the tile's left border.
#[derive(Debug, Clone, Copy)]
pub(crate) struct EdgePart {
    pub(crate) edge: Edge,
    /// Where it starts and ends in this tile.
    pub(crate) y0: f64,
    pub(crate) y1: f64,
    pub(crate) x0: f64,
    pub(crate) x1: f64,
}

impl EdgePart {
    #[inline]
    fn x_at(&self, y: f64) -> f64 {
        self.edge
            .x_at(y)
            .max(self.x0.min(self.x1))
            .min(self.x0.max(self.x1))
    }
}

/// A change of the winding number along the tile's left border.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Jump {
    pub(crate) y: f64,
    pub(crate) layer: Layer,
    pub(crate) delta: i32,
}

/// What a slab piece is told to a listener: both sides, from `y0` to `y1`.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Trapezoid<'a> {
    pub(crate) state: State,
    pub(crate) y0: f64,
    pub(crate) y1: f64,
    /// Its area, square metres.
    pub(crate) area_m2: f64,
    /// Left and right edge; `None` is the tile's border.
    pub(crate) left: Option<&'a EdgePart>,
    pub(crate) right: Option<&'a EdgePart>,
}

/// Hears of every piece of every slab; the plain area sweep listens with nothing.
pub(crate) trait Listener {
    /// Called with each piece between two neighbouring edges.
    fn hear(&mut self, tile_left: f64, tile_width: f64, piece: Trapezoid<'_>);

    /// Whether nothing in a tile is of interest, neither to hear of nor in the table: told by the
    /// winding at its lower left corner and the layers that change it anywhere in the tile.
    #[inline]
    fn skips(&self, _corner: &State, _changing: Layers) -> bool {
        false
    }
}

/// A set of layers.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Layers(u8);

impl Layers {
    /// The layers of a tile's pieces and jumps.
    fn of(pieces: &[EdgePart], jumps: &[Jump]) -> Self {
        let layers = pieces.iter().map(|p| p.edge.layer);
        Self(
            layers
                .chain(jumps.iter().map(|j| j.layer))
                .fold(0, |all, l| all | Self::bit(l)),
        )
    }

    fn bit(layer: Layer) -> u8 {
        1 << layer as u8
    }

    /// Whether it holds a layer.
    pub(crate) fn hold(self, layer: Layer) -> bool {
        self.0 & Self::bit(layer) != 0
    }
}

/// Listens to nothing, at no cost.
pub(crate) struct Silent;

impl Listener for Silent {
    #[inline]
    fn hear(&mut self, _: f64, _: f64, _: Trapezoid<'_>) {}
}

/// Where a piece is in the present slab.
#[derive(Debug, Clone, Copy)]
struct Active {
    piece: u32,
    xa: f64,
    xb: f64,
    /// Integral of x over the slab.
    area: f64,
}

/// Storage that is used again from tile to tile.
#[derive(Debug, Default)]
pub(crate) struct Scratch {
    events: Vec<f64>,
    active: Vec<Active>,
    pending: Vec<f64>,
}

/// The tile's bounds.
#[derive(Debug, Clone, Copy)]
pub(crate) struct TileBounds {
    pub(crate) left: f64,
    pub(crate) width: f64,
    pub(crate) y0: f64,
    pub(crate) y1: f64,
}

/// Adds the areas of one tile. `state` is the winding at its lower left corner.
pub(crate) fn sweep(
    bounds: TileBounds,
    mut state: State,
    pieces: &mut [EdgePart],
    jumps: &mut [Jump],
    scratch: &mut Scratch,
    tally: &mut Tally,
    listener: &mut impl Listener,
) {
    if listener.skips(&state, Layers::of(pieces, jumps)) {
        return;
    }
    pieces.sort_unstable_by(|a, b| a.y0.total_cmp(&b.y0));
    jumps.sort_unstable_by(|a, b| a.y.total_cmp(&b.y));
    let Scratch {
        events,
        active,
        pending,
    } = scratch;
    active.clear();
    heights(&bounds, pieces, jumps, events);

    let (mut next_piece, mut next_jump, mut halvings) = (0, 0, 0);
    for w in events.windows(2) {
        let (mut lo, top) = (w[0], w[1]);
        while next_jump < jumps.len() && jumps[next_jump].y <= lo {
            state.step(jumps[next_jump].layer, jumps[next_jump].delta);
            next_jump += 1;
        }
        next_piece = come_and_go(active, pieces, next_piece, lo);
        pending.clear();
        pending.push(top);
        while let Some(&hi) = pending.last() {
            let h = hi - lo;
            for a in active.iter_mut() {
                let p = &pieces[a.piece as usize];
                a.xb = p.x_at(hi);
                a.area = under(&p.edge, a.xa, a.xb, h);
            }
            order(active);
            let (worst, disorder) = wrong_way(active);
            let worth_it = worst > ORDER_M && worst * h > REFINE_M2;
            if worth_it && pending.len() < MAX_HALVINGS && halvings < HALVING_BUDGET {
                let mid = lo + h / 2.0;
                if mid > lo && mid < hi {
                    halvings += 1;
                    pending.push(mid);
                    continue;
                }
            }
            // One wrong pair of neighbours may stand inside this many wrong pairs.
            let pairs = (active.len() * active.len()) as f64 / 4.0;
            tally.disorder_m2 += disorder * h * pairs.max(1.0);

            let slab = Slab {
                bounds: &bounds,
                pieces,
                active,
                y0: lo,
                y1: hi,
            };
            slab.tell(state, tally, listener);
            lo = hi;
            pending.pop();
            if !pending.is_empty() {
                for a in active.iter_mut() {
                    a.xa = a.xb;
                }
            }
        }
    }
}

/// All heights at which something changes, in order: borders, jumps, ends and crossings.
fn heights(bounds: &TileBounds, pieces: &[EdgePart], jumps: &[Jump], events: &mut Vec<f64>) {
    events.clear();
    events.extend([bounds.y0, bounds.y1]);
    events.extend(jumps.iter().map(|j| j.y));
    for (i, a) in pieces.iter().enumerate() {
        events.extend([a.y0, a.y1]);
        for b in &pieces[i + 1..] {
            if b.y0 >= a.y1 {
                break;
            }
            crossings(a, b, events);
        }
    }
    events.sort_unstable_by(f64::total_cmp);
    events.dedup();
}

/// Takes edges that end at a height out of those that pass, and those that begin there in. Returns
/// the next piece that has not begun.
#[inline]
fn come_and_go(active: &mut Vec<Active>, pieces: &[EdgePart], next: usize, y: f64) -> usize {
    active.retain_mut(|a| {
        a.xa = a.xb;
        pieces[a.piece as usize].y1 > y
    });
    let mut next = next;
    while next < pieces.len() && pieces[next].y0 <= y {
        let p = &pieces[next];
        if p.y1 > y {
            active.push(Active {
                piece: next as u32,
                xa: p.x_at(y),
                xb: 0.0,
                area: 0.0,
            });
        }
        next += 1;
    }
    next
}

/// By how much neighbours are the wrong way round, metres: the worst, and all together.
#[inline]
fn wrong_way(active: &[Active]) -> (f64, f64) {
    let (mut worst, mut all) = (0.0_f64, 0.0);
    for n in active.windows(2) {
        let d = (n[0].xa - n[1].xa).max(n[0].xb - n[1].xb);
        if d > 0.0 {
            worst = worst.max(d);
            all += d;
        }
    }
    (worst, all)
}

/// The ground between two neighbouring heights, with the edges that pass there from left to right.
struct Slab<'a> {
    bounds: &'a TileBounds,
    pieces: &'a [EdgePart],
    active: &'a [Active],
    y0: f64,
    y1: f64,
}

impl Slab<'_> {
    /// Books what lies between each edge and the next, and tells of it.
    #[inline]
    fn tell(&self, corner: State, tally: &mut Tally, listener: &mut impl Listener) {
        let mut state = corner;
        let mut area = 0.0;
        let mut left = None;
        let whole = self.bounds.width * (self.y1 - self.y0);
        let edges = self
            .active
            .iter()
            .map(|a| (Some(&self.pieces[a.piece as usize]), a.area));
        for (right, to) in edges.chain([(None, whole)]) {
            let area_m2 = to - area;
            tally.add(&state, area_m2);
            listener.hear(
                self.bounds.left,
                self.bounds.width,
                Trapezoid {
                    state,
                    y0: self.y0,
                    y1: self.y1,
                    area_m2,
                    left,
                    right,
                },
            );
            if let Some(p) = right {
                state.step(p.edge.layer, p.edge.delta);
            }
            (area, left) = (to, right);
        }
    }
}

/// Sorts by the mean x over the slab: edges that do not cross inside a slab keep their order.
/// Insertion sort, because neighbouring slabs differ by a swap or two.
#[inline]
fn order(active: &mut [Active]) {
    for i in 1..active.len() {
        let a = active[i];
        let mut j = i;
        while j > 0 && active[j - 1].area > a.area {
            active[j] = active[j - 1];
            j -= 1;
        }
        active[j] = a;
    }
}

/// Integral of x over a slab of height `h`: the chord's trapezoid, and the circular segment
/// between chord and arc.
#[inline]
fn under(edge: &Edge, xa: f64, xb: f64, h: f64) -> f64 {
    let chord = h * (xa + xb) / 2.0;
    if edge.r == 0.0 {
        return chord;
    }
    let dx = xb - xa;
    chord + segment_m2(edge.r.abs(), dx * dx + h * h).copysign(edge.r)
}

/// Area between a chord and its arc of at most a half circle. `chord2` is the chord squared.
#[inline]
pub(crate) fn segment_m2(r: f64, chord2: f64) -> f64 {
    // With u the sine of half the angle, the area is r^2 (asin u - u sqrt(1 - u^2)).
    let u2 = chord2 / (4.0 * r * r);
    if u2 < 0.01 {
        // Its power series; the first term left out is below 2e-13 of the area.
        let u = u2.sqrt();
        let s = 2.0 / 3.0
            + u2 * (1.0 / 5.0
                + u2 * (3.0 / 28.0
                    + u2 * (5.0 / 72.0 + u2 * (35.0 / 704.0 + u2 * (63.0 / 1664.0)))));
        r * r * u * u2 * s
    } else {
        let u2 = u2.min(1.0);
        let u = u2.sqrt();
        r * r * (u.asin() - u * (1.0 - u2).sqrt())
    }
}

/// Adds the heights at which two pieces cross. A height too many only costs a slab.
fn crossings(a: &EdgePart, b: &EdgePart, events: &mut Vec<f64>) {
    let (ya, yb) = (a.y0.max(b.y0), a.y1.min(b.y1));
    if ya >= yb || a.x0.max(a.x1) < b.x0.min(b.x1) || b.x0.max(b.x1) < a.x0.min(a.x1) {
        return;
    }
    match (a.edge.r == 0.0, b.edge.r == 0.0) {
        (true, true) => {
            let (d0, d1) = (a.x_at(ya) - b.x_at(ya), a.x_at(yb) - b.x_at(yb));
            if d0 * d1 < 0.0 {
                let y = ya + (yb - ya) * (d0 / (d0 - d1));
                if y > ya && y < yb {
                    events.push(y);
                }
            }
        }
        (true, false) => line_circle(a, b, (ya, yb), events),
        (false, true) => line_circle(b, a, (ya, yb), events),
        (false, false) => circle_circle(a, b, (ya, yb), events),
    }
}

/// Whether `x` lies on the half of the circle that the piece is on, give or take rounding.
#[inline]
fn on_half(p: &EdgePart, x: f64) -> bool {
    (x - p.edge.cx) * p.edge.r.signum() >= -1e-6 * p.edge.r.abs()
}

fn line_circle(line: &EdgePart, arc: &EdgePart, (ya, yb): (f64, f64), events: &mut Vec<f64>) {
    let (px, py) = (line.x0 - arc.edge.cx, line.y0 - arc.edge.cy);
    let (dx, dy) = (line.x1 - line.x0, line.y1 - line.y0);
    let len = (dx * dx + dy * dy).sqrt();
    let (ux, uy) = (dx / len, dy / len);
    let (along, off) = (px * ux + py * uy, px * uy - py * ux);
    let r = arc.edge.r.abs();
    let half2 = (r - off.abs()) * (r + off.abs());
    if half2 < 0.0 {
        return;
    }
    let half = half2.sqrt();
    for s in [-along - half, -along + half] {
        let y = line.y0 + s * uy;
        if y > ya && y < yb && on_half(arc, line.x0 + s * ux) {
            events.push(y);
        }
    }
}

fn circle_circle(a: &EdgePart, b: &EdgePart, (ya, yb): (f64, f64), events: &mut Vec<f64>) {
    let (dx, dy) = (b.edge.cx - a.edge.cx, b.edge.cy - a.edge.cy);
    let d2 = dx * dx + dy * dy;
    if d2 == 0.0 {
        return;
    }
    let (ra, rb) = (a.edge.r.abs(), b.edge.r.abs());
    // Along the line of centres, in units of their distance.
    let t = 0.5 + (ra - rb) * (ra + rb) / (2.0 * d2);
    let half2 = ra * ra / d2 - t * t;
    if half2 < 0.0 || !half2.is_finite() {
        return;
    }
    let half = half2.sqrt();
    for s in [-half, half] {
        let y = a.edge.cy + t * dy + s * dx;
        if y > ya && y < yb {
            let x = a.edge.cx + t * dx - s * dy;
            if on_half(a, x) && on_half(b, x) {
                events.push(y);
            }
        }
    }
}
