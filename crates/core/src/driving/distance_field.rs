//! Signed distances to a set of polygons: those at the middle of coarse cells are kept and answer
//! most questions.

use crate::polygon::overlay::Overlay;
use geo::Contains;
use geo_types::{Coord, Point, Polygon};
use rstar::{AABB, PointDistance, RTree, RTreeObject};
use std::cell::{Cell, OnceCell};

/// Width of a cell of the distance table, metres.
pub(crate) const CELL_M: f64 = 2.0;
/// Half the diagonal of a cell, metres.
const CELL_REACH_M: f64 = CELL_M * std::f64::consts::FRAC_1_SQRT_2;
/// More cells than this are not tabled: the fairway is out of proportion.
const MAX_CELLS: f64 = 4e6;

/// An edge of one of the polygons. The library's own line has no such quick distance.
#[derive(Debug, Clone, Copy)]
pub(crate) struct FieldEdge(Coord<f64>, Coord<f64>);

impl RTreeObject for FieldEdge {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners(self.0.into(), self.1.into())
    }
}

impl PointDistance for FieldEdge {
    fn distance_2(&self, &[x, y]: &[f64; 2]) -> f64 {
        let (d, p) = (self.1 - self.0, Coord { x, y } - self.0);
        let square = d.x * d.x + d.y * d.y;
        let along = if square > 0.0 {
            ((p.x * d.x + p.y * d.y) / square).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let off = p - d * along;
        off.x * off.x + off.y * off.y
    }
}

/// A cell of the table: its place in it, its middle and the signed distance there, metres.
type FieldCell = (usize, Coord<f64>, f64);

/// Signed distances to a set of polygons: below zero inside.
pub(crate) struct DistanceField {
    pub(crate) polygons: Vec<Polygon<f64>>,
    edges: RTree<FieldEdge>,
    origin: Coord<f64>,
    columns: usize,
    rows: usize,
    // Of each cell, when first needed: the signed distance at its middle, metres, till then not a
    // number; and every edge that may be nearest to some point of it.
    middles_m: Vec<Cell<f64>>,
    near: Vec<OnceCell<Box<[FieldEdge]>>>,
}

impl DistanceField {
    pub(crate) fn new(polygons: Vec<Polygon<f64>>, low: Coord<f64>, high: Coord<f64>) -> Self {
        let rings = polygons[..].rings().flat_map(|r| r.0.windows(2));
        let edges = rings.map(|w| FieldEdge(w[0], w[1]));
        let edges = RTree::bulk_load(edges.collect());
        let size = (high - low) / CELL_M;
        let (columns, rows) = (size.x.ceil().max(0.0), size.y.ceil().max(0.0));
        // Written so that outlines without any extent are not tabled either.
        let (columns, rows) = if columns * rows <= MAX_CELLS {
            (columns as usize, rows as usize)
        } else {
            (0, 0)
        };
        Self {
            polygons,
            edges,
            origin: low,
            columns,
            rows,
            middles_m: vec![Cell::new(f64::NAN); columns * rows],
            near: vec![OnceCell::new(); columns * rows],
        }
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.edges.size() == 0
    }

    fn inside(&self, c: Coord<f64>) -> bool {
        self.polygons.iter().any(|p| p.contains(&Point(c)))
    }

    /// Distance to the nearest edge, searched for, metres.
    fn searched_m(&self, c: Coord<f64>) -> f64 {
        let mut nearest = (self.edges).nearest_neighbor_iter_with_distance_2(&[c.x, c.y]);
        nearest.next().map_or(f64::INFINITY, |n| n.1.sqrt())
    }

    /// The cell that holds `c`.
    #[inline]
    fn cell(&self, c: Coord<f64>) -> Option<FieldCell> {
        let at = (c - self.origin) / CELL_M;
        if !(at.x >= 0.0 && at.y >= 0.0) {
            return None;
        }
        let (i, j) = (at.x as usize, at.y as usize);
        if i >= self.columns || j >= self.rows {
            return None;
        }
        let (x, y) = (i as f64 + 0.5, j as f64 + 0.5);
        let middle = self.origin + Coord { x, y } * CELL_M;
        let index = j * self.columns + i;
        let mut middle_m = self.middles_m[index].get();
        if middle_m.is_nan() {
            middle_m = signed(self.searched_m(middle), self.inside(middle));
            self.middles_m[index].set(middle_m);
        }
        Some((index, middle, middle_m))
    }

    /// Distance to the nearest edge, metres.
    pub(crate) fn edge_m(&self, c: Coord<f64>) -> f64 {
        let Some((index, middle, middle_m)) = self.cell(c) else {
            return self.searched_m(c);
        };
        let near = self.near[index].get_or_init(|| {
            // Of two edges the one farther by a diagonal is nearest nowhere in the cell.
            let reach = middle_m.abs() + 2.0 * CELL_REACH_M;
            let near = (self.edges).locate_within_distance(middle.into(), reach * reach);
            near.copied().collect()
        });
        let squares = near.iter().map(|e| e.distance_2(&c.into()));
        squares.fold(f64::INFINITY, f64::min).sqrt()
    }

    pub(crate) fn signed_m(&self, c: Coord<f64>) -> f64 {
        let inside = match self.cell(c) {
            // No edge lies between the middle of the cell and here.
            Some((_, middle, middle_m)) if middle_m.abs() > apart(c, middle) => middle_m < 0.0,
            _ => self.inside(c),
        };
        signed(self.edge_m(c), inside)
    }

    /// Bounds on the signed distance from the table alone, metres.
    #[inline]
    pub(crate) fn bounds_m(&self, c: Coord<f64>) -> Option<(f64, f64)> {
        let (_, middle, middle_m) = self.cell(c)?;
        let off = apart(c, middle);
        Some((middle_m - off, middle_m + off))
    }
}

fn signed(distance_m: f64, inside: bool) -> f64 {
    if inside { -distance_m } else { distance_m }
}

fn apart(a: Coord<f64>, b: Coord<f64>) -> f64 {
    let d = a - b;
    (d.x * d.x + d.y * d.y).sqrt()
}
