//! Rows of square tiles, swept one after the other or several at a time: edges are cut into them,
//! and each tile is told the winding that comes in from the left.

use crate::swath::coverage::{Coverage, State};
use crate::swath::edge::{Edge, Edges, Layer};
use crate::swath::tile::{self, EdgePart, Jump, Piece, Scratch, Tile};
use geo_types::Coord;

/// Tile sizes tried, metres: below the first the cutting of edges costs more than it saves,
/// above the last a tile of a dense pattern holds too many edges.
const TILE_RANGE_M: (f64, f64) = (0.5, 8.0);
/// Metres of edge in a tile of the chosen size, in tile widths.
const TILE_EDGES: f64 = 6.0;
/// Most rows or columns: a stray part far away, beyond 32 km of the largest tiles, does not cost time
/// and memory for the empty ground between.
const MAX_TILES_ACROSS: f64 = 4_096.0;
/// What the division by the tile size may be off, in tiles.
const SLACK_TILES: f64 = 1e-6;

/// The box of edges, or of what of them is asked for: lowest and highest x, lowest and highest y.
pub(crate) type Window = (f64, f64, f64, f64);

/// The box round edges.
pub(crate) fn around(edges: &[Edge]) -> Window {
    let (mut x0, mut x1, mut y0, mut y1) = (f64::MAX, f64::MIN, f64::MAX, f64::MIN);
    for e in edges {
        x0 = x0.min(e.lo.x).min(e.hi.x);
        x1 = x1.max(e.lo.x).max(e.hi.x);
        y0 = y0.min(e.lo.y);
        y1 = y1.max(e.hi.y);
    }
    (x0, x1, y0, y1)
}

/// Sweeps a window, telling `hear` of every piece of ground between neighbouring edges. `area_m2` is
/// roughly the area that the edges in it lie in. What is heard from beyond the window is not sound.
pub(crate) fn listen(
    edges: &Edges,
    window: Window,
    area_m2: f64,
    hear: &mut impl FnMut(&Piece<'_>),
) -> Coverage {
    let mut scratch = RowScratch::default();
    let rows: Vec<Coverage> = match Grid::new(&edges.list, window, area_m2) {
        Some(grid) => (0..grid.rows.len())
            .map(|row| grid.sweep(row, &mut scratch, hear))
            .collect(),
        None => Vec::new(),
    };
    Coverage::of_rows(&rows, edges)
}

/// Sweeps everything without telling of pieces, several rows at a time if built so: the same bytes
/// either way. `area_m2` is roughly the area that the edges lie in.
pub fn tally(edges: &Edges, area_m2: f64) -> Coverage {
    #[cfg(feature = "rayon")]
    if let Some(grid) = Grid::new(&edges.list, around(&edges.list), area_m2) {
        use rayon::prelude::*;
        let rows = (0..grid.rows.len())
            .into_par_iter()
            .map_init(RowScratch::default, |s, row| {
                grid.sweep(row, s, &mut |_| {})
            });
        return Coverage::of_rows(&rows.collect::<Vec<_>>(), edges);
    }
    listen(edges, around(&edges.list), area_m2, &mut |_| {})
}

/// Edges over a grid of tiles.
///
/// Column 0 is all that lies to the left of the tiles, and the column after the last all that
/// lies to the right: neither is swept, but the winding that comes from the left is carried.
struct Grid<'a> {
    edges: &'a [Edge],
    x0: f64,
    y0: f64,
    size: f64,
    columns: usize,
    /// Which edges touch which row.
    rows: Vec<Vec<u32>>,
}

/// Storage that is used again from row to row.
#[derive(Default)]
struct RowScratch {
    parts: Vec<EdgePart>,
    jumps: Vec<Jump>,
    /// Column, layer and change of the winding where an edge comes in from below.
    bottoms: Vec<(usize, Layer, i32)>,
    tile: Scratch,
}

impl<'a> Grid<'a> {
    /// Chooses a grid for a window on these edges; `area_m2` is roughly the area they lie in.
    fn new(edges: &'a [Edge], (x0, x1, y0, y1): Window, area_m2: f64) -> Option<Self> {
        let within = |a: f64, b: f64, lo: f64, hi: f64| b.min(hi).max(lo) - a.max(lo).min(hi);
        let length =
            |e: &Edge| within(e.lo.x, e.hi.x, x0, x1).hypot(within(e.lo.y, e.hi.y, y0, y1));
        let length: f64 = edges.iter().map(length).sum();
        let (dx, dy) = (x1 - x0, y1 - y0);
        if !(dx.is_finite() && dy.is_finite() && dx > 0.0 && dy > 0.0) {
            return None;
        }
        let area = if area_m2 > 0.0 { area_m2 } else { dx * dy };
        let size = (TILE_EDGES * area / length)
            .clamp(TILE_RANGE_M.0, TILE_RANGE_M.1)
            .max(dx.max(dy) / MAX_TILES_ACROSS)
            // Long edges in a huge empty scene: no more pieces than some for each edge.
            .max(length / (64.0 * edges.len() as f64 + 1e5));
        let tiles = |way: f64| ((way / size).ceil() as usize).max(1);
        let mut rows = vec![Vec::new(); tiles(dy)];
        for (i, e) in edges.iter().enumerate() {
            let [low, high] = [e.lo.y - y0, e.hi.y - y0].map(|y| y / size);
            let end = (high + SLACK_TILES + 1.0) as usize;
            for row in rows.iter_mut().take(end).skip((low - SLACK_TILES) as usize) {
                row.push(i as u32);
            }
        }
        Some(Self {
            edges,
            x0,
            y0,
            size,
            columns: tiles(dx),
            rows,
        })
    }

    fn column(&self, x: f64) -> usize {
        if x < self.x0 {
            return 0;
        }
        (((x - self.x0) / self.size) as usize).min(self.columns) + 1
    }

    /// The left border of a column from 1 on.
    fn border(&self, column: usize) -> f64 {
        self.x0 + (column - 1) as f64 * self.size
    }

    /// Sweeps one row of tiles.
    fn sweep(&self, row: usize, s: &mut RowScratch, hear: &mut impl FnMut(&Piece<'_>)) -> Coverage {
        let mut out = Coverage::default();
        let [y0, y1] = [row, row + 1].map(|row| self.y0 + row as f64 * self.size);
        s.parts.clear();
        s.jumps.clear();
        s.bottoms.clear();
        for &i in &self.rows[row] {
            self.cut_to_tiles((y0, y1), &self.edges[i as usize], s);
        }
        s.parts
            .sort_unstable_by(|a, b| a.column.cmp(&b.column).then(a.lo.y.total_cmp(&b.lo.y)));
        s.jumps
            .sort_unstable_by(|a, b| a.column.cmp(&b.column).then(a.y.total_cmp(&b.y)));
        s.bottoms.sort_unstable_by_key(|b| b.0);

        let mut state = State::default();
        let (mut bottom, mut part, mut jump) = (0, 0, 0);
        for column in 1..=self.columns {
            // A bottom crossing counts for the tiles to the right of its own.
            while let Some(b) = s.bottoms.get(bottom).filter(|b| b.0 < column) {
                state.step(b.1, b.2);
                bottom += 1;
            }
            let (parts, jumps) = (&s.parts[part..], &s.jumps[jump..]);
            let parts = &parts[..parts.iter().take_while(|p| p.column == column).count()];
            let jumps = &jumps[..jumps.iter().take_while(|j| j.column == column).count()];
            (part, jump) = (part + parts.len(), jump + jumps.len());
            if state == State::default() && parts.is_empty() && jumps.is_empty() {
                continue;
            }
            let tile = Tile {
                left: self.border(column),
                width: self.size,
                y0,
                y1,
            };
            tile::sweep(&tile, state, parts, jumps, &mut s.tile, &mut out, hear);
        }
        for b in &s.bottoms[bottom..] {
            state.step(b.1, b.2);
        }
        out.open = state != State::default();
        out
    }

    /// Cuts one edge to the tiles of a row.
    ///
    /// Where it passes from one column to the next, the winding along the border between them
    /// jumps at that height; both neighbours are given the same number.
    fn cut_to_tiles(&self, (y0, y1): (f64, f64), e: &Edge, s: &mut RowScratch) {
        if e.hi.y <= y0 || e.lo.y >= y1 {
            return;
        }
        let at = |y: f64| Coord { x: e.x_at(y), y };
        let mut here = if e.lo.y < y0 { at(y0) } else { e.lo };
        let top = if e.hi.y > y1 { at(y1) } else { e.hi };
        let (mut column, last) = (self.column(here.x), self.column(top.x));
        if e.lo.y <= y0 {
            s.bottoms.push((column, e.layer, e.delta));
        }
        loop {
            // The column whose left border is passed next, and the one beyond.
            let (border, beyond, delta) = if column < last {
                (column + 1, column + 1, -e.delta)
            } else {
                (column, column.saturating_sub(1), e.delta)
            };
            let mut next = top;
            if column != last {
                next.x = self.border(border);
                next.y = e.y_at(next.x).max(here.y).min(top.y);
            }
            if next.y > here.y && (1..=self.columns).contains(&column) {
                let left = Coord::from((self.border(column), 0.0));
                let (lo, hi) = (e.lo - left, e.hi - left);
                let c = if e.r == 0.0 { e.c } else { e.c - left };
                s.parts.push(EdgePart {
                    column,
                    edge: Edge { lo, hi, c, ..*e },
                    lo: here - left,
                    hi: next - left,
                });
            }
            if column == last {
                return;
            }
            s.jumps.push(Jump {
                column: border,
                y: next.y,
                layer: e.layer,
                delta,
            });
            (column, here) = (beyond, next);
        }
    }
}
