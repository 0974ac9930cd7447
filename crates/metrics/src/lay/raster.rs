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
    /// A point in cells from the corner.
    pub fn local(&self, p: Coord<f64>) -> Coord<f64> {
        Coord {
            x: (p.x - self.corner.x) / self.cell_m,
            y: (p.y - self.corner.y) / self.cell_m,
        }
    }

    /// One directed edge, in cells: adds to each cell it passes the area to its right within
    /// the cell, and to the next cell what all cells further right gain.
    pub fn edge(
        &self,
        sums: &mut [[f64; SUMS]],
        a: Coord<f64>,
        b: Coord<f64>,
        values: &[f64; SUMS],
    ) {
        let (sign, lo, hi) = if a.y <= b.y {
            (-1.0, a, b)
        } else {
            (1.0, b, a)
        };
        let (top, width) = (self.rows as f64, self.columns as f64);
        let (y0, y1) = (lo.y.max(0.0), hi.y.min(top));
        if y0 >= y1 {
            return;
        }
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
        let mut y = y0;
        while y < y1 {
            let row = (y as usize).min(self.rows - 1);
            let next = ((row + 1) as f64).min(y1);
            if next <= y {
                break;
            }
            // Within this row of cells, from the left end of the edge to the right end.
            let (xa, xb) = (x_at(y), x_at(next));
            let (left, right) = (xa.min(xb), xa.max(xb));
            let height = next - y;
            let mut x = left;
            loop {
                if x >= width {
                    break;
                }
                let (column, end) = if x < 0.0 {
                    (None, right.min(0.0))
                } else {
                    let c = x as usize;
                    (Some(c), right.min((c + 1) as f64))
                };
                let dy = if right > left {
                    height * (end - x) / (right - left)
                } else {
                    height
                };
                match column {
                    // Left of the grid: everything in the row is to its right.
                    None => put(row, 0, sign * dy),
                    Some(c) => {
                        let mean = (x + end) / 2.0 - c as f64;
                        put(row, c, sign * dy * (1.0 - mean));
                        put(row, c + 1, sign * dy * mean);
                    }
                }
                if end >= right {
                    break;
                }
                x = end;
            }
            y = next;
        }
    }

    /// Turns what edges left behind into what each cell holds.
    pub fn run_sums(&self, sums: &mut [[f64; SUMS]]) {
        for row in sums.chunks_mut(self.columns) {
            let mut run = [0.0; SUMS];
            for cell in row {
                for (r, c) in run.iter_mut().zip(cell.iter_mut()) {
                    *r += *c;
                    *c = *r;
                }
            }
        }
    }
}
