//! Signed distances to a set of polygons, kept by cells.
//!
//! Distances at the middle of coarse cells are kept, which answers most questions without a search.

use crate::polygon::overlay::Overlay;
use geo::Contains;
use geo_types::{Coord, Point, Polygon};
use rstar::{PointDistance, RTree};
use std::cell::{Cell, OnceCell};

/// Width of a cell of the distance table, metres.
pub(crate) const CELL_M: f64 = 2.0;
/// More cells than this are not tabled: the fairway is out of proportion.
const MAX_CELLS: f64 = 4e6;

type FieldEdge = rstar::primitives::Line<[f64; 2]>;

/// A cell of the table: its place in it, its middle and the signed distance there, metres.
#[derive(Debug, Clone, Copy)]
struct FieldCell {
    index: usize,
    middle: Coord<f64>,
    middle_m: f64,
}

/// Half the diagonal of a cell, metres.
const CELL_REACH_M: f64 = CELL_M * std::f64::consts::FRAC_1_SQRT_2;

/// Signed distances to a set of polygons: below zero inside.
pub(crate) struct DistanceField {
    pub(crate) polygons: Vec<Polygon<f64>>,
    edges: RTree<FieldEdge>,
    origin: Coord<f64>,
    columns: usize,
    rows: usize,
    // Signed distance at the middle of each cell, metres; not a number until first asked for.
    middles_m: Vec<Cell<f64>>,
    // Every edge that may be nearest to some point of a cell; sought when first needed.
    near: Vec<OnceCell<Box<[FieldEdge]>>>,
}

impl DistanceField {
    pub(crate) fn new(polygons: Vec<Polygon<f64>>, low: Coord<f64>, high: Coord<f64>) -> Self {
        let rings = polygons[..].rings().flat_map(|r| r.0.windows(2));
        let edges = rings.map(|w| FieldEdge::new(w[0].into(), w[1].into()));
        let edges = RTree::bulk_load(edges.collect());
        let columns = ((high.x - low.x) / CELL_M).ceil().max(0.0);
        let rows = ((high.y - low.y) / CELL_M).ceil().max(0.0);
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
        self.edges
            .nearest_neighbor_iter_with_distance_2(&[c.x, c.y])
            .next()
            .map_or(f64::INFINITY, |n| n.1.sqrt())
    }

    /// The cell that holds `c`.
    #[inline]
    fn spot(&self, c: Coord<f64>) -> Option<FieldCell> {
        let (fx, fy) = (
            (c.x - self.origin.x) / CELL_M,
            (c.y - self.origin.y) / CELL_M,
        );
        if !(fx >= 0.0 && fy >= 0.0) {
            return None;
        }
        let (i, j) = (fx as usize, fy as usize);
        if i >= self.columns || j >= self.rows {
            return None;
        }
        let middle = Coord {
            x: self.origin.x + (i as f64 + 0.5) * CELL_M,
            y: self.origin.y + (j as f64 + 0.5) * CELL_M,
        };
        let index = j * self.columns + i;
        let known = self.middles_m[index].get();
        Some(FieldCell {
            index,
            middle,
            middle_m: if known.is_nan() {
                self.fill(index, middle)
            } else {
                known
            },
        })
    }

    #[cold]
    fn fill(&self, index: usize, middle: Coord<f64>) -> f64 {
        let d = self.searched_m(middle);
        let signed = if self.inside(middle) { -d } else { d };
        self.middles_m[index].set(signed);
        signed
    }

    fn edges_near(&self, spot: FieldCell) -> &[FieldEdge] {
        self.near[spot.index].get_or_init(|| {
            // Of two edges the one farther from the middle by a diagonal is nearest nowhere in
            // the cell.
            let reach = spot.middle_m.abs() + 2.0 * CELL_REACH_M;
            self.edges
                .locate_within_distance([spot.middle.x, spot.middle.y], reach * reach)
                .copied()
                .collect()
        })
    }

    /// Distance to the nearest edge, metres.
    pub(crate) fn edge_m(&self, c: Coord<f64>) -> f64 {
        match self.spot(c) {
            Some(spot) => self.edge_at_m(spot, c),
            None => self.searched_m(c),
        }
    }

    fn edge_at_m(&self, spot: FieldCell, c: Coord<f64>) -> f64 {
        self.edges_near(spot)
            .iter()
            .map(|e| e.distance_2(&[c.x, c.y]))
            .fold(f64::INFINITY, f64::min)
            .sqrt()
    }

    pub(crate) fn signed_m(&self, c: Coord<f64>) -> f64 {
        match self.spot(c) {
            // No edge lies between the middle of the cell and here.
            Some(spot) if spot.middle_m.abs() > apart(c, spot.middle) => {
                self.edge_at_m(spot, c).copysign(spot.middle_m)
            }
            _ => {
                let d = self.edge_m(c);
                if self.inside(c) { -d } else { d }
            }
        }
    }

    /// Bounds on the signed distance from the table alone, metres.
    #[inline]
    pub(crate) fn bounds_m(&self, c: Coord<f64>) -> Option<(f64, f64)> {
        let spot = self.spot(c)?;
        let off = apart(c, spot.middle);
        Some((spot.middle_m - off, spot.middle_m + off))
    }
}

fn apart(a: Coord<f64>, b: Coord<f64>) -> f64 {
    let (dx, dy) = (a.x - b.x, a.y - b.y);
    (dx * dx + dy * dy).sqrt()
}
