//! Rows of square tiles: edges are cut into them, and each tile is told the winding that comes
//! in from the left.

use crate::swath::edge::{Edge, Layer};
use crate::swath::tally::{State, Tally};
use crate::swath::tile::{self, EdgePart, Jump, Listener, Scratch, TileBounds};

/// Tile sizes tried, metres: below the first the cutting of edges costs more than it saves,
/// above the last a tile of a dense pattern holds too many edges.
const TILE_RANGE_M: (f64, f64) = (0.5, 8.0);
/// Metres of edge in a tile of the chosen size, in tile widths.
const TILE_EDGES: f64 = 6.0;
/// Most rows or columns: 32 km of the largest tiles. Wider scenes get larger tiles, so that a
/// stray part far away does not cost time and memory for the empty ground between.
const MAX_TILES_ACROSS: f64 = 4_096.0;

/// The grid of tiles.
///
/// Column 0 is all that lies to the left of the tiles, and the column after the last all that
/// lies to the right: neither is swept, but the winding that comes from the left is carried.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Grid {
    pub(crate) x0: f64,
    pub(crate) y0: f64,
    pub(crate) size: f64,
    pub(crate) columns: usize,
    pub(crate) rows: usize,
}

/// The box of edges, or of what of them is asked for: lowest and highest x, lowest and highest y.
pub(crate) type Window = (f64, f64, f64, f64);

/// The box round edges.
pub(crate) fn around(edges: &[Edge]) -> Window {
    let (mut x0, mut x1, mut y0, mut y1) = (f64::MAX, f64::MIN, f64::MAX, f64::MIN);
    for e in edges {
        x0 = x0.min(e.x0).min(e.x1);
        x1 = x1.max(e.x0).max(e.x1);
        y0 = y0.min(e.y0);
        y1 = y1.max(e.y1);
    }
    (x0, x1, y0, y1)
}

impl Grid {
    /// Chooses a grid for a window on these edges; `area_m2` is roughly the area they lie in.
    pub(crate) fn new(edges: &[Edge], (x0, x1, y0, y1): Window, area_m2: f64) -> Option<Self> {
        let mut length = 0.0;
        for e in edges {
            let within =
                |a: f64, b: f64, low: f64, high: f64| b.min(high).max(low) - a.max(low).min(high);
            length += within(e.x0, e.x1, x0, x1).hypot(within(e.y0, e.y1, y0, y1));
        }
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
        Some(Self {
            x0,
            y0,
            size,
            columns: ((dx / size).ceil() as usize).max(1),
            rows: ((dy / size).ceil() as usize).max(1),
        })
    }

    fn column(&self, x: f64) -> usize {
        if x < self.x0 {
            return 0;
        }
        (((x - self.x0) / self.size) as usize).min(self.columns) + 1
    }

    /// The row that holds `y`, by the same floors that rows are swept with: the division may
    /// be off by one at a floor.
    fn row(&self, y: f64) -> usize {
        let mut r = (((y - self.y0) / self.size) as usize).min(self.rows - 1);
        while r > 0 && y < self.floor(r) {
            r -= 1;
        }
        while r + 1 < self.rows && y >= self.floor(r + 1) {
            r += 1;
        }
        r
    }

    /// The left border of a column from 1 on.
    fn border(&self, column: usize) -> f64 {
        self.x0 + (column - 1) as f64 * self.size
    }

    /// The rows that an edge passes.
    fn rows_of(&self, e: &Edge) -> std::ops::Range<usize> {
        if e.y1 < self.y0 || e.y0 > self.floor(self.rows) {
            return 0..0;
        }
        self.row(e.y0)..self.row(e.y1) + 1
    }

    fn floor(&self, row: usize) -> f64 {
        self.y0 + row as f64 * self.size
    }
}

/// Which edges touch which row, in order of the edges.
#[derive(Debug)]
pub(crate) struct RowIndex {
    starts: Vec<usize>,
    edges: Vec<u32>,
}

impl RowIndex {
    pub(crate) fn new(grid: &Grid, edges: &[Edge]) -> Self {
        let mut starts = vec![0_usize; grid.rows + 1];
        for e in edges {
            for r in grid.rows_of(e) {
                starts[r + 1] += 1;
            }
        }
        for r in 0..grid.rows {
            starts[r + 1] += starts[r];
        }
        let mut fill = starts.clone();
        let mut list = vec![0_u32; starts[grid.rows]];
        for (i, e) in edges.iter().enumerate() {
            for slot in &mut fill[grid.rows_of(e)] {
                list[*slot] = i as u32;
                *slot += 1;
            }
        }
        Self {
            starts,
            edges: list,
        }
    }

    pub(crate) fn row(&self, row: usize) -> &[u32] {
        &self.edges[self.starts[row]..self.starts[row + 1]]
    }
}

/// Storage that is used again from row to row.
#[derive(Debug, Default)]
pub(crate) struct RowScratch {
    cut: Vec<(u32, EdgePart)>,
    pieces: Vec<EdgePart>,
    piece_starts: Vec<u32>,
    marks: Vec<(u32, Jump)>,
    bottoms: Vec<(u32, Layer, i32)>,
    jumps: Vec<Jump>,
    tile: Scratch,
}

impl RowScratch {
    /// The column where something is again, after an empty one; `next` are the first piece, mark and
    /// bottom beyond it.
    fn end_of_empty(&self, grid: &Grid, column: usize, next: (usize, usize, usize)) -> usize {
        let (piece, mark, bottom) = next;
        let mut end = column + 1;
        while end <= grid.columns
            && self.piece_starts[end] as usize == piece
            && self.marks.get(mark).is_none_or(|k| k.0 as usize > end)
            && self.bottoms.get(bottom).is_none_or(|k| k.0 as usize >= end)
        {
            end += 1;
        }
        end
    }

    /// Sorts the pieces by their column, in the order of the edges; then each entry of
    /// `piece_starts` is where the pieces of the next column begin.
    fn put_in_columns(&mut self, columns: usize) {
        self.piece_starts.clear();
        self.piece_starts.resize(columns + 2, 0);
        for (c, _) in &self.cut {
            self.piece_starts[*c as usize + 1] += 1;
        }
        for c in 0..=columns {
            self.piece_starts[c + 1] += self.piece_starts[c];
        }
        self.pieces.clear();
        if let Some((_, p)) = self.cut.first() {
            self.pieces.resize(self.cut.len(), *p);
        }
        for (c, p) in &self.cut {
            let slot = &mut self.piece_starts[*c as usize];
            self.pieces[*slot as usize] = *p;
            *slot += 1;
        }
    }
}

/// Sweeps one row of tiles.
pub(crate) fn sweep_row(
    grid: &Grid,
    row: usize,
    edges: &[Edge],
    ids: &[u32],
    s: &mut RowScratch,
    listener: &mut impl Listener,
) -> Tally {
    let mut tally = Tally::default();
    let (y0, y1) = (grid.floor(row), grid.floor(row + 1));
    s.cut.clear();
    s.marks.clear();
    s.bottoms.clear();
    for &id in ids {
        cut_to_tiles(grid, (y0, y1), &edges[id as usize], s);
    }

    s.put_in_columns(grid.columns);
    s.marks.sort_by_key(|m| m.0);
    s.bottoms.sort_by_key(|b| b.0);

    let mut state = State::default();
    let (mut b, mut m, mut column) = (0, 0, 1);
    let mut first = 0;
    while column <= grid.columns {
        // A bottom crossing counts for the tiles to the right of its own.
        while b < s.bottoms.len() && (s.bottoms[b].0 as usize) < column {
            state.step(s.bottoms[b].1, s.bottoms[b].2);
            b += 1;
        }
        let last = s.piece_starts[column] as usize;
        s.jumps.clear();
        while m < s.marks.len() && s.marks[m].0 as usize == column {
            s.jumps.push(s.marks[m].1);
            m += 1;
        }
        if first == last && s.jumps.is_empty() {
            // Empty tiles up to the next thing in the row are all in one state.
            let end = s.end_of_empty(grid, column, (last, m, b));
            if state != State::default() {
                let area_m2 = grid.size * (y1 - y0);
                let whole = tile::Trapezoid {
                    state,
                    y0,
                    y1,
                    area_m2,
                    left: None,
                    right: None,
                };
                for c in column..end {
                    tally.add(&state, area_m2);
                    listener.hear(grid.border(c), grid.size, whole);
                }
            }
            column = end;
            continue;
        }
        tile::sweep(
            TileBounds {
                left: grid.border(column),
                width: grid.size,
                y0,
                y1,
            },
            state,
            &mut s.pieces[first..last],
            &mut s.jumps,
            &mut s.tile,
            &mut tally,
            listener,
        );
        first = last;
        column += 1;
    }
    for k in &s.bottoms[b..] {
        state.step(k.1, k.2);
    }
    tally.open = state != State::default();
    tally
}

/// Cuts one edge to the tiles of a row.
///
/// Where it passes from one column to the next, the winding along the border between them
/// jumps at that height; both neighbours are given the same number.
fn cut_to_tiles(grid: &Grid, (y0, y1): (f64, f64), e: &Edge, s: &mut RowScratch) {
    if e.y1 <= y0 || e.y0 >= y1 {
        return;
    }
    let (mut y, mut x) = if e.y0 >= y0 {
        (e.y0, e.x0)
    } else {
        (y0, e.x_at(y0))
    };
    let (top, x_top) = if e.y1 <= y1 {
        (e.y1, e.x1)
    } else {
        (y1, e.x_at(y1))
    };
    let (mut column, last) = (grid.column(x), grid.column(x_top));
    if e.y0 <= y0 {
        s.bottoms.push((column as u32, e.layer, e.delta));
    }
    loop {
        let (next_y, next_x) = if column == last {
            (top, x_top)
        } else {
            let border = grid.border(if column < last { column + 1 } else { column });
            (e.y_at(border).max(y).min(top), border)
        };
        if next_y > y && (1..=grid.columns).contains(&column) {
            let left = grid.border(column);
            let mut edge = *e;
            edge.x0 -= left;
            edge.x1 -= left;
            if edge.r != 0.0 {
                edge.cx -= left;
            }
            s.cut.push((
                column as u32,
                EdgePart {
                    edge,
                    y0: y,
                    y1: next_y,
                    x0: x - left,
                    x1: next_x - left,
                },
            ));
        }
        if column == last {
            return;
        }
        let (at, delta) = if column < last {
            (column + 1, -e.delta)
        } else {
            (column, e.delta)
        };
        s.marks.push((
            at as u32,
            Jump {
                y: next_y,
                layer: e.layer,
                delta,
            },
        ));
        if column < last {
            column += 1;
        } else {
            column -= 1;
        }
        (y, x) = (next_y, next_x);
    }
}
