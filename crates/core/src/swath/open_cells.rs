//! Where ground may be left: the cells that no single strip cuts whole.
//!
//! Loops cut most of the ground several times over. What they leave is found by clipping
//! polygons, and that takes the longer the more of them cross. So the ground is first looked at
//! by cells, each quartered until one strip cuts all of it, none touches it, or it is small.
//! Only in what remains, mostly nothing, need polygons be clipped.

use crate::model::mower::Unit;
use crate::model::pose::{Pose, fold_rad};
use crate::model::track::Path;
use crate::swath::contact::Prepared;
use geo::{BoundingRect, Intersects};
use geo_types::{Coord, MultiPolygon, Polygon, Rect};
use std::f64::consts::{FRAC_1_SQRT_2, FRAC_PI_2, PI, TAU};

/// Side of the largest cells, as a share of the narrowest unit.
const CELL_SHARE: f64 = 1.0;
/// How often a cell is quartered at most: the smallest are half as wide as strips overlap.
const DEEPEST: u32 = 6;
/// A cell that may still be quartered this often is taken whole when it holds more than
/// [`MOST_BOXES`] open ones: clipping to many small boxes costs more than it saves.
const WHOLE_AT: u32 = 3;
const MOST_BOXES: usize = 4;
/// More of the largest cells than this and they are made larger.
const MOST_CELLS: f64 = 50_000.0;
/// Tracks that are farther apart than this, or that kink by more, do not go on from each other:
/// metres and radians. What slips between is less than [`SURE_M`] allows for.
const JOINED_M: f64 = 1e-6;
const JOINED_RAD: f64 = 1e-6;
/// Beyond rounding and the snapping of coordinates while clipping, metres.
const SURE_M: f64 = 1e-4;

/// What one unit cuts along one path, asked for by discs.
pub struct Strip {
    unit: Unit,
    frame: Frame,
    // What is cut all over, and what may be cut at all.
    sure: Extent,
    most: Extent,
    bounds: (Coord<f64>, Coord<f64>),
    start: Pose,
    end: Pose,
    // The middle of the unit's line at the end, and ahead there.
    seam: (Coord<f64>, Coord<f64>),
    // The strip that goes on from its end, by number.
    next: Option<usize>,
}

/// How a place is seen from a path.
enum Frame {
    /// Ahead of the start of a line and to its left.
    Line { from: Coord<f64>, along: Coord<f64> },
    /// From the centre of an arc, at a distance.
    Arc { centre: Coord<f64> },
}

/// A place as seen from a path: `across` tells the sides of a strip, `along` its ends.
struct Seen {
    along: Coord<f64>,
    across: f64,
}

impl Frame {
    fn seen(&self, at: Coord<f64>) -> Seen {
        match self {
            Frame::Line { from, along } => {
                let (f, n) = in_frame(at, *from, *along);
                Seen {
                    along: Coord { x: f, y: n },
                    across: n,
                }
            }
            Frame::Arc { centre } => {
                let along = at - *centre;
                Seen {
                    along,
                    across: (along.x * along.x + along.y * along.y).sqrt(),
                }
            }
        }
    }
}

/// Between the sides of a strip and between its ends, metres.
struct Extent {
    across: (f64, f64),
    along: Along,
}

enum Along {
    Ahead(f64, f64),
    Between(Sector),
    Nowhere,
}

impl Extent {
    /// Whether a place lies `depth` metres inside both sides; below zero, so far outside at most.
    fn between_sides(&self, seen: &Seen, depth: f64) -> bool {
        seen.across >= self.across.0 + depth && seen.across <= self.across.1 - depth
    }

    /// The same for all four edges.
    fn holds(&self, seen: &Seen, depth: f64) -> bool {
        self.between_sides(seen, depth)
            && match &self.along {
                Along::Ahead(first, last) => {
                    seen.along.x >= first + depth && seen.along.x <= last - depth
                }
                Along::Between(sector) => sector.holds(seen.along, depth),
                Along::Nowhere => false,
            }
    }

    /// How far the path carries the part of the cutting line that passes a place, metres, at
    /// least; a unit's lead over the axle and the disc about the place are taken off an arc.
    fn carried_m(&self, seen: &Seen, off_m: f64) -> f64 {
        match &self.along {
            Along::Ahead(first, last) => last - first,
            Along::Between(sector) => sector.sweep * (seen.across - off_m),
            Along::Nowhere => 0.0,
        }
    }
}

/// The directions between two rays.
struct Sector {
    from: Coord<f64>,
    to: Coord<f64>,
    turn: f64,
    sweep: f64,
}

impl Sector {
    fn new(start: f64, turn: f64, sweep: f64) -> Self {
        let ray = |angle: f64| {
            let (s, c) = angle.sin_cos();
            Coord { x: c, y: s }
        };
        Self {
            from: ray(start),
            to: ray(start + turn * sweep),
            turn,
            sweep,
        }
    }

    /// Whether a place seen from the centre lies `depth` metres inside; below zero, outside.
    fn holds(&self, d: Coord<f64>, depth: f64) -> bool {
        if self.sweep >= TAU {
            return true;
        }
        let past = self.turn * (self.from.x * d.y - self.from.y * d.x);
        let before = -self.turn * (self.to.x * d.y - self.to.y * d.x);
        if self.sweep > PI {
            past >= depth || before >= depth
        } else {
            past >= depth && before >= depth
        }
    }
}

impl Strip {
    /// The strip of a unit that lies on one side of the path's centre, whose outline is flattened
    /// to `tolerance_m`.
    pub fn new(path: &Path, unit: &Unit, tolerance_m: f64) -> Self {
        let (start, end) = (path.start(), path.end());
        let (frame, sure, most, bounds) = match path {
            Path::Line { from, .. } => {
                let (s, c) = start.heading_rad.sin_cos();
                let extent = || Extent {
                    across: (unit.right_m(), unit.left_m()),
                    along: Along::Ahead(unit.ahead_m, unit.ahead_m + path.length_m()),
                };
                let corner = |at: Coord<f64>, across: f64| {
                    Pose::new(at, start.heading_rad).offset(unit.ahead_m, across)
                };
                let corners = [start.at, end.at]
                    .map(|at| [unit.right_m(), unit.left_m()].map(|a| corner(at, a)));
                let all = corners.as_flattened().iter().copied();
                let bounds = (
                    all.clone().reduce(low).unwrap_or(*from),
                    all.reduce(high).unwrap_or(*from),
                );
                let frame = Frame::Line {
                    from: *from,
                    along: Coord { x: c, y: s },
                };
                (frame, extent(), extent(), bounds)
            }
            Path::Arc(arc) => {
                let turn = if arc.sweep_rad >= 0.0 { 1.0 } else { -1.0 };
                let from_centre = |across: f64| across - turn * arc.radius_m;
                let (a, b) = (from_centre(unit.right_m()), from_centre(unit.left_m()));
                let reach = |across: f64| (unit.ahead_m * unit.ahead_m + across * across).sqrt();
                let (inner, outer) = (reach(a.abs().min(b.abs())), reach(a.abs().max(b.abs())));
                // Directions from the centre to the ends of the cutting line.
                let heading = arc.from_rad + turn * FRAC_PI_2;
                let (p, q) = (a.atan2(unit.ahead_m), b.atan2(unit.ahead_m));
                let (first, last) = if turn > 0.0 {
                    (p.min(q), p.max(q))
                } else {
                    (p.max(q), p.min(q))
                };
                let lean = (last - first).abs();
                let sweep = arc.sweep_rad.abs();
                let sure = Extent {
                    across: (inner, outer - tolerance_m),
                    along: if sweep > lean {
                        Along::Between(Sector::new(heading + last, turn, sweep - lean))
                    } else {
                        Along::Nowhere
                    },
                };
                let most = Extent {
                    across: (inner - tolerance_m, outer),
                    along: Along::Between(Sector::new(heading + first, turn, sweep + lean)),
                };
                let around = Coord { x: outer, y: outer };
                let bounds = (arc.centre - around, arc.centre + around);
                let frame = Frame::Arc { centre: arc.centre };
                (frame, sure, most, bounds)
            }
        };
        let (s, c) = end.heading_rad.sin_cos();
        let seam = (
            end.offset(unit.ahead_m, unit.across_m),
            Coord { x: c, y: s },
        );
        Self {
            unit: *unit,
            frame,
            sure,
            most,
            bounds,
            start,
            end,
            seam,
            next: None,
        }
    }

    /// Whether it cuts all of a disc.
    fn covers(&self, at: Coord<f64>, radius: f64) -> bool {
        self.sure.holds(&self.frame.seen(at), radius + SURE_M)
    }

    /// Whether it may cut some of a disc.
    fn touches(&self, at: Coord<f64>, radius: f64) -> bool {
        self.most.holds(&self.frame.seen(at), -(radius + SURE_M))
    }

    /// Whether it cuts all of a disc that lies across its end or its start, as far as its sides
    /// and its length go.
    fn holds_end(&self, at: Coord<f64>, radius: f64) -> bool {
        let r = radius + SURE_M;
        let seen = self.frame.seen(at);
        self.most.carried_m(&seen, r + self.unit.ahead_m.abs()) >= 4.0 * r
            && self.sure.between_sides(&seen, r)
    }

    /// Whether it and the strip that goes on from its end cut all of a disc between them.
    fn covers_with(&self, next: &Strip, at: Coord<f64>, radius: f64) -> bool {
        let (f, n) = in_frame(at, self.seam.0, self.seam.1);
        f.abs() <= radius + 2.0 * SURE_M
            && n.abs() <= self.unit.width_m / 2.0
            && self.holds_end(at, radius)
            && next.holds_end(at, radius)
    }
}

fn in_frame(at: Coord<f64>, from: Coord<f64>, along: Coord<f64>) -> (f64, f64) {
    let d = at - from;
    (d.x * along.x + d.y * along.y, d.y * along.x - d.x * along.y)
}

fn low(a: Coord<f64>, b: Coord<f64>) -> Coord<f64> {
    Coord {
        x: a.x.min(b.x),
        y: a.y.min(b.y),
    }
}

fn high(a: Coord<f64>, b: Coord<f64>) -> Coord<f64> {
    Coord {
        x: a.x.max(b.x),
        y: a.y.max(b.y),
    }
}

/// Notes which strip goes on where another ends: the seam between them is no gap.
pub fn link(strips: &mut [Strip]) {
    // As many strips as a track may have, in two where it turns about a point between their ends.
    let most = 2 * strips
        .iter()
        .take_while(|s| s.start == strips[0].start)
        .count();
    for i in 0..strips.len() {
        let (end, unit) = (strips[i].end, strips[i].unit);
        let follows = |s: &Strip| {
            let off = s.start.at - end.at;
            s.unit == unit
                && off.x.abs().max(off.y.abs()) < JOINED_M
                && fold_rad(s.start.heading_rad - end.heading_rad).abs() < JOINED_RAD
        };
        let last = (i + 1 + 2 * most).min(strips.len());
        strips[i].next = (i + 1..last).find(|&k| follows(&strips[k]));
    }
}

/// Cells of some ground that no single strip cuts whole.
pub struct OpenCells {
    low: Coord<f64>,
    side_m: f64,
    columns: usize,
    rows: usize,
    boxes: Vec<Rect<f64>>,
    // Where the boxes of each of the largest cells begin, row by row, and where the last end.
    first: Vec<usize>,
}

impl OpenCells {
    /// Looks at `area`. None for ground without extent.
    pub fn new(area: &MultiPolygon<f64>, narrowest_m: f64, strips: &[Strip]) -> Option<Self> {
        let bounds = area.bounding_rect()?;
        let side_m = (narrowest_m * CELL_SHARE)
            .max((bounds.width() * bounds.height() / MOST_CELLS).sqrt())
            .max(bounds.width().max(bounds.height()) / MOST_CELLS);
        if !(side_m > SURE_M && side_m.is_finite()) {
            return None;
        }
        let count = |length: f64| (length / side_m).ceil().max(1.0) as usize;
        let mut out = Self {
            low: bounds.min(),
            side_m,
            columns: count(bounds.width()),
            rows: count(bounds.height()),
            boxes: Vec::new(),
            first: Vec::new(),
        };
        let edges: Vec<(Coord<f64>, Coord<f64>)> = area
            .iter()
            .flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()))
            .flat_map(|r| r.0.windows(2).map(|w| (w[0], w[1])))
            .collect();
        let boxes_of_edges = edges.iter().map(|e| (low(e.0, e.1), high(e.0, e.1)));
        let edges_at = out.binned(boxes_of_edges);
        let strips_at = out.binned(strips.iter().map(|s| s.bounds));
        let mut boxes = Vec::new();
        let prepared = Prepared::new(area);
        let mut look = Look {
            area: &prepared,
            edges: &edges,
            strips,
            out: &mut boxes,
        };
        for j in 0..out.rows {
            for i in 0..out.columns {
                let at = j * out.columns + i;
                let middle = Coord {
                    x: out.low.x + (i as f64 + 0.5) * side_m,
                    y: out.low.y + (j as f64 + 0.5) * side_m,
                };
                out.first.push(look.out.len());
                if edges_at[at].is_empty() && !prepared.contains(middle) {
                    continue;
                }
                look.cell(middle, side_m, &edges_at[at], &strips_at[at], DEEPEST);
            }
        }
        out.first.push(boxes.len());
        out.boxes = boxes;
        Some(out)
    }

    /// The numbers of the things whose boxes meet each of the largest cells.
    fn binned(&self, boxes: impl Iterator<Item = (Coord<f64>, Coord<f64>)>) -> Vec<Vec<u32>> {
        let mut out = vec![Vec::new(); self.columns * self.rows];
        for (k, (min, max)) in boxes.enumerate() {
            let Some(((i0, i1), (j0, j1))) = self.span(min, max) else {
                continue;
            };
            for j in j0..=j1 {
                for cell in &mut out[j * self.columns + i0..=j * self.columns + i1] {
                    cell.push(k as u32);
                }
            }
        }
        out
    }

    /// First and last column and row of the largest cells that a box meets.
    fn span(&self, min: Coord<f64>, max: Coord<f64>) -> Option<((usize, usize), (usize, usize))> {
        let line = |low: f64, high: f64, count: usize| {
            let at = |v: f64| (v / self.side_m).floor();
            let (a, b) = (at(low - SURE_M), at(high + SURE_M));
            (b >= 0.0 && a < count as f64)
                .then(|| (a.max(0.0) as usize, (b as usize).min(count - 1)))
        };
        Some((
            line(min.x - self.low.x, max.x - self.low.x, self.columns)?,
            line(min.y - self.low.y, max.y - self.low.y, self.rows)?,
        ))
    }

    /// The cells, as boxes that do not overlap.
    pub fn boxes(&self) -> MultiPolygon<f64> {
        MultiPolygon(self.boxes.iter().map(|b| b.to_polygon()).collect())
    }

    /// Whether a polygon's box may meet one of them.
    pub fn may_meet(&self, piece: &Polygon<f64>) -> bool {
        let Some(r) = piece.bounding_rect() else {
            return false;
        };
        let Some(((i0, i1), (j0, j1))) = self.span(r.min(), r.max()) else {
            return false;
        };
        (j0..=j1).any(|j| {
            let (from, to) = (j * self.columns + i0, j * self.columns + i1 + 1);
            self.boxes[self.first[from]..self.first[to]]
                .iter()
                .any(|b| b.intersects(&r))
        })
    }
}

struct Look<'a> {
    area: &'a Prepared,
    edges: &'a [(Coord<f64>, Coord<f64>)],
    strips: &'a [Strip],
    out: &'a mut Vec<Rect<f64>>,
}

impl Look<'_> {
    /// Looks at one cell, knowing the edges of the area and the strips that may meet it.
    fn cell(&mut self, middle: Coord<f64>, side: f64, edges: &[u32], strips: &[u32], depth: u32) {
        let radius = side * FRAC_1_SQRT_2;
        let mut near = Vec::new();
        for &k in strips {
            let s = &self.strips[k as usize];
            if s.covers(middle, radius) {
                return;
            }
            if s.touches(middle, radius) {
                let next = s.next.map(|n| &self.strips[n]);
                if next.is_some_and(|n| s.covers_with(n, middle, radius)) {
                    return;
                }
                near.push(k);
            }
        }
        let half = side / 2.0 + SURE_M;
        let crossing: Vec<u32> = edges
            .iter()
            .copied()
            .filter(|&k| crosses(self.edges[k as usize], middle, half))
            .collect();
        // Where no edge comes near, all of a cell lies on the same side as the one it is part of.
        if crossing.is_empty() && !edges.is_empty() && !self.area.contains(middle) {
            return;
        }
        let corner = Coord {
            x: side / 2.0,
            y: side / 2.0,
        };
        let whole = Rect::new(middle - corner, middle + corner);
        if depth == 0 || near.is_empty() {
            self.out.push(whole);
            return;
        }
        let before = self.out.len();
        let quarter = side / 4.0;
        for (x, y) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
            let at = Coord {
                x: middle.x + x * quarter,
                y: middle.y + y * quarter,
            };
            self.cell(at, side / 2.0, &crossing, &near, depth - 1);
        }
        if depth == WHOLE_AT && self.out.len() > before + MOST_BOXES {
            self.out.truncate(before);
            self.out.push(whole);
        }
    }
}

/// Whether an edge may meet a box of half the side `half` about `middle`: the axes of the box and
/// the edge's own normal do not part them.
fn crosses(edge: (Coord<f64>, Coord<f64>), middle: Coord<f64>, half: f64) -> bool {
    let (a, b) = (edge.0 - middle, edge.1 - middle);
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    a.x.min(b.x) <= half
        && a.x.max(b.x) >= -half
        && a.y.min(b.y) <= half
        && a.y.max(b.y) >= -half
        && (a.x * dy - a.y * dx).abs() <= half * (dx.abs() + dy.abs())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::track::{Arc, Track};
    use crate::polygon::overlay::Overlay;
    use crate::swath::swept::swept_area;
    use geo::Area;
    use geo_types::coord;
    use proptest::prelude::*;

    fn square(half_m: f64) -> MultiPolygon<f64> {
        let corner = |v: f64| coord! {x: v, y: v};
        MultiPolygon(vec![
            Rect::new(corner(-half_m), corner(half_m)).to_polygon(),
        ])
    }

    #[test]
    fn only_what_the_ring_leaves_stays_open() {
        let unit = Unit {
            across_m: 0.0,
            ahead_m: 0.0,
            width_m: 2.0,
        };
        let pose = Pose::new(coord! {x: 0.0, y: -5.0}, 0.0);
        let path = Path::Arc(Arc::leaving(pose, 5.0, 6.3));
        let strips = [Strip::new(&path, &unit, 0.001)];
        let cells = OpenCells::new(&square(9.0), 0.5, &strips).unwrap();
        let open = cells.boxes().unsigned_area();
        let left = 18.0 * 18.0 - std::f64::consts::PI * (36.0 - 16.0);
        // Along 63 m of edges cells 6 cm wide may be taken whole.
        assert!(open > left && open < left + 63.0 * 0.0625, "{open} {left}");
        let at = |x: f64| Rect::new(coord! {x: x, y: 0.0}, coord! {x: x, y: 0.01}).to_polygon();
        assert!(cells.may_meet(&at(0.0)) && cells.may_meet(&at(6.5)));
        assert!(!cells.may_meet(&at(5.0)) && !cells.may_meet(&at(90.0)));
    }

    proptest! {
        #[test]
        fn whatever_is_not_open_is_cut(
            x in -3.0..3.0f64, y in -3.0..3.0f64, h in -3.2..3.2f64,
            r in 0.3..5.0f64, sweep in -7.0..7.0f64, straight in any::<bool>(),
            ahead in -1.5..1.5f64, across in -2.5..2.5f64, width in 0.4..3.0f64,
        ) {
            let pose = Pose::new(coord! {x: x, y: y}, h);
            let path = if straight {
                Path::Line { from: pose.at, to: pose.offset(6.0, 0.0) }
            } else {
                Path::Arc(Arc::leaving(pose, r, sweep))
            };
            let unit = Unit { across_m: across, ahead_m: ahead, width_m: width };
            let centre = r * sweep.signum();
            prop_assume!(straight || !(unit.right_m() < centre && centre < unit.left_m()));
            let ground = square(5.0);
            let strips = [Strip::new(&path, &unit, 0.01)];
            let cells = OpenCells::new(&ground, width, &strips).unwrap();
            let cut = swept_area(&[Track::down(path)], &[unit], 0.01);
            let left = ground.difference(&cut);
            let missed = left.difference(&cells.boxes()).unsigned_area();
            prop_assert!(missed < 1e-6, "{missed} m2 of {} m2", left.unsigned_area());
            // And what is open is either left or near an edge of the strip.
            let open = cells.boxes().intersection(&ground).unsigned_area();
            let length = 2.0 * (path.length_m() * (1.0 + 6.0 / r) + 2.0 * width);
            prop_assert!(open <= left.unsigned_area() + length * (0.08 * width + 0.03), "{open}");
        }
    }
}
