//! Cells that shapes are spread over: each edge of a shape adds signed areas to the cells it passes,
//! and one running sum along each row of cells fills in the rest, as vector rasterisers compute
//! coverage.

use geo_types::Coord;

/// Sums per cell: area, e^(it), e^(2it).
pub(super) const SUMS: usize = 5;
/// What is summed up in every cell, row by row.
pub(super) type Sums = Vec<[f64; SUMS]>;

/// A grid of square cells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Raster {
    pub cell_m: f64,
    /// The south west corner.
    pub corner: Coord<f64>,
    pub columns: usize,
    pub rows: usize,
}

impl Raster {
    pub fn empty(&self) -> Sums {
        vec![[0.0; SUMS]; self.columns * self.rows]
    }

    /// A point in cells from the corner.
    pub fn local(&self, p: Coord<f64>) -> Coord<f64> {
        (p - self.corner) / self.cell_m
    }

    /// One directed edge, in cells: adds to each cell it passes the area to its right within
    /// the cell, and to the next cell what all cells further right gain.
    pub fn edge(&self, sums: &mut Sums, a: Coord<f64>, b: Coord<f64>, values: &[f64; SUMS]) {
        let up = a.y <= b.y;
        let (lo, hi) = if up { (a, b) } else { (b, a) };
        let sign = if up { -1.0 } else { 1.0 };
        let (mut y, end_y) = (lo.y.max(0.0), hi.y.min(self.rows as f64));
        let slope = (hi.x - lo.x) / (hi.y - lo.y);
        let x_at = |y: f64| (lo.x + (y - lo.y) * slope).clamp(lo.x.min(hi.x), lo.x.max(hi.x));
        let mut put = |row: usize, column: usize, share: f64| {
            if column < self.columns {
                let cell = &mut sums[row * self.columns + column];
                for (s, v) in cell.iter_mut().zip(values) {
                    *s += share * v;
                }
            }
        };
        while y < end_y {
            let row = (y as usize).min(self.rows - 1);
            let next = ((row + 1) as f64).min(end_y);
            if next <= y {
                break;
            }
            // Within this row of cells, from the left end of the edge to the right end.
            let (xa, xb) = (x_at(y), x_at(next));
            let (mut x, right) = (xa.min(xb), xa.max(xb));
            let (width, height) = (right - x, next - y);
            while x < self.columns as f64 {
                // Left of the grid: everything in the row is to its right.
                let column = x.max(0.0) as usize;
                let end = right.min(if x < 0.0 { 0.0 } else { (column + 1) as f64 });
                let part = if width > 0.0 { (end - x) / width } else { 1.0 };
                let mean = ((x + end) / 2.0 - column as f64).max(0.0);
                put(row, column, sign * height * part * (1.0 - mean));
                put(row, column + 1, sign * height * part * mean);
                if end >= right {
                    break;
                }
                x = end;
            }
            y = next;
        }
    }

    /// Turns what edges left behind into what each cell holds, square metres.
    pub fn fill(&self, sums: &mut Sums) {
        let whole = self.cell_m * self.cell_m;
        for row in sums.chunks_mut(self.columns) {
            let mut run = [0.0; SUMS];
            for cell in row {
                for (r, c) in run.iter_mut().zip(cell) {
                    *r += *c;
                    *c = *r * whole;
                }
            }
        }
    }
}
