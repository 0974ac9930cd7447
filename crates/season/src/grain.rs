//! Lay sums per cell: what the season adds up.
//!
//! Each mow adds, in each cell, its weight and its sums of unit vectors at the direction of
//! travel and at twice the direction. R1 and R2 are the lengths of those sums over the weight
//! (Mardia & Jupp, *Directional Statistics*; Fisher 1993, doubled angles for axes).

use crossgrain_core::Fairway;
use crossgrain_metrics::lay::LayGrid;
use geo_types::Coord;
use jiff::civil::Date;

/// What a mow of `day` still weighs in the lay on another day: half after each half-life, or always
/// the same without one.
///
/// ```
/// use crossgrain_season::grain::weight;
/// use jiff::civil::date;
/// let (may, later) = (date(2027, 5, 3), date(2027, 5, 31));
/// assert_eq!(weight(Some(14.0), may, later), 0.25);
/// assert_eq!(weight(None, may, later), 1.0);
/// ```
pub fn weight(half_life_days: Option<f64>, day: Date, on: Date) -> f64 {
    half_life_days.map_or(1.0, |h| 0.5_f64.powf(f64::from((on - day).get_days()) / h))
}

/// Sums of one cell: weight, direction, doubled direction.
///
/// Single precision: seven digits are far beyond what a mower repeats, and a season of a
/// 27-hole course is held in memory at once.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Sum {
    /// Weight (area cut, counted as often as it is cut), square metres.
    pub w: f32,
    /// Sum of weighted unit vectors, x east and y north.
    pub v1: [f32; 2],
    /// The same at the doubled mathematical angle.
    pub v2: [f32; 2],
}

impl Sum {
    /// Adds another sum; `back` turns its directions round, which leaves the axes.
    #[inline]
    pub fn add(&mut self, other: &Sum, weight: f32, back: bool) {
        self.add_many(other, weight, if back { -weight } else { weight });
    }

    /// Adds many mows of the same kind at once: `weight` is the sum of their weights, `polar`
    /// the same with those driven back to front counted negative.
    #[inline]
    pub fn add_many(&mut self, other: &Sum, weight: f32, polar: f32) {
        self.w += weight * other.w;
        self.v1[0] += polar * other.v1[0];
        self.v1[1] += polar * other.v1[1];
        self.v2[0] += weight * other.v2[0];
        self.v2[1] += weight * other.v2[1];
    }

    /// R1 and R2, when the cell was cut at all.
    #[inline]
    pub fn lay(&self) -> Option<(f32, f32)> {
        (self.w > MIN_AREA_M2).then(|| {
            let [[x1, y1], [x2, y2]] = [self.v1, self.v2];
            (length(x1, y1, self.w), length(x2, y2, self.w))
        })
    }

    /// Compass heading of the grain's axis, degrees in 0 to 180, when there is one.
    pub fn axis_deg(&self) -> Option<f64> {
        let (_, r2) = self.lay()?;
        // Below this the axis is rounding noise.
        (r2 > 1e-4).then(|| {
            let t = 0.5 * f64::from(self.v2[1]).atan2(f64::from(self.v2[0]));
            crossgrain_core::inside::model::quantity::compass_deg(t).rem_euclid(180.0)
        })
    }
}

/// Sums of many cells, a column for each number, so that several cells are reckoned at a time.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Columns {
    w: Vec<f32>,
    v1: [Vec<f32>; 2],
    v2: [Vec<f32>; 2],
}

impl Columns {
    /// The sums in columns.
    pub fn of(sums: &[Sum]) -> Self {
        let column = |of: fn(&Sum) -> f32| sums.iter().map(of).collect::<Vec<f32>>();
        Self {
            w: column(|s| s.w),
            v1: [column(|s| s.v1[0]), column(|s| s.v1[1])],
            v2: [column(|s| s.v2[0]), column(|s| s.v2[1])],
        }
    }

    /// How many cells.
    pub fn len(&self) -> usize {
        self.w.len()
    }

    /// Whether there is no cell.
    pub fn is_empty(&self) -> bool {
        self.w.is_empty()
    }

    /// [`Sum::add`] for every cell.
    pub fn add(&mut self, other: &Columns, weight: f32, back: bool) {
        let polar = if back { -weight } else { weight };
        let add = |to: &mut [f32], from: &[f32], by: f32| {
            for (t, f) in to.iter_mut().zip(from) {
                *t += by * f;
            }
        };
        add(&mut self.w, &other.w, weight);
        for k in 0..2 {
            add(&mut self.v1[k], &other.v1[k], polar);
            add(&mut self.v2[k], &other.v2[k], weight);
        }
    }

    /// R1 and R2 of every cell after another sum is added; [`NEVER_CUT`] where nothing was cut.
    /// `r1` and `r2` are as long as there are cells.
    pub fn lay_with(
        &self,
        other: &Columns,
        weight: f32,
        back: bool,
        r1: &mut [f32],
        r2: &mut [f32],
    ) {
        let polar = if back { -weight } else { weight };
        let lengths = |by: f32, v: &[Vec<f32>; 2], add: &[Vec<f32>; 2], r: &mut [f32]| {
            let sums = v[0].iter().zip(&v[1]).zip(add[0].iter().zip(&add[1]));
            let weights = self.w.iter().zip(&other.w);
            for ((r, (w, more)), ((x, y), (dx, dy))) in r.iter_mut().zip(weights).zip(sums) {
                let (w, x, y) = (w + weight * more, x + by * dx, y + by * dy);
                // Reckoned for all, so that several cells are at a time.
                let length = length(x, y, w);
                *r = if w > MIN_AREA_M2 { length } else { NEVER_CUT };
            }
        };
        lengths(polar, &self.v1, &other.v1, r1);
        lengths(weight, &self.v2, &other.v2, r2);
    }
}

/// Length of a sum of unit vectors over its weight: R1 or R2.
#[inline]
fn length(x: f32, y: f32, w: f32) -> f32 {
    ((x * x + y * y).sqrt() / w).min(1.0)
}

/// Stands for R1 and R2 of a cell that was never cut.
pub const NEVER_CUT: f32 = -1.0;
/// Single-precision sums of a season end within 1e-4 m2 of zero after exchanges.
const MIN_AREA_M2: f32 = 1e-3;

/// The cells of one fairway that every sum belongs to.
#[derive(Debug, Clone, PartialEq)]
pub struct Cells {
    /// Cell size, metres.
    pub cell_m: f64,
    /// The cells that hold ground, row by row from the south west.
    pub cells: Vec<Cell>,
}

/// A cell that holds ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// Middle of the cell, metres.
    pub centre: Coord<f64>,
    /// Ground in it, square metres.
    pub ground_m2: f64,
}

impl Cells {
    /// The cells of a fairway.
    pub fn of(fairway: &Fairway, cell_m: f64) -> Self {
        let grid = LayGrid::empty(fairway, cell_m);
        Self {
            cell_m: grid.cell_m(),
            cells: grid
                .cells()
                .map(|c| Cell {
                    centre: c.centre,
                    ground_m2: c.ground_m2,
                })
                .collect(),
        }
    }

    /// Ground in all cells, square metres.
    pub fn ground_m2(&self) -> f64 {
        self.cells.iter().map(|c| c.ground_m2).sum()
    }

    /// At most `most` cells that lie mostly on the fairway, spread over it.
    ///
    /// Multiples of the golden ratio hit no row or column pattern (Weyl's sequence), so the
    /// sample is spread as evenly as the cells are, always the same way.
    pub fn sample(&self, most: usize) -> Vec<usize> {
        const GOLDEN: f64 = 0.618_033_988_749_894_9;
        let whole = self.cell_m * self.cell_m;
        let full: Vec<usize> = (0..self.cells.len())
            .filter(|&i| self.cells[i].ground_m2 >= 0.5 * whole)
            .collect();
        let share = most as f64 / full.len().max(1) as f64;
        full.iter()
            .enumerate()
            .filter(|(n, _)| (*n as f64 * GOLDEN).fract() < share)
            .map(|(_, &i)| i)
            .take(most)
            .collect()
    }
}

/// The sums of a grid, cell by cell in the order of [`Cells`].
pub fn sums(grid: &LayGrid) -> Vec<Sum> {
    grid.cells()
        .map(|c| {
            let vector = |r: Option<f64>, angle: Option<f64>| match (r, angle) {
                (Some(r), Some(a)) => [
                    (c.cut_m2 * r * a.cos()) as f32,
                    (c.cut_m2 * r * a.sin()) as f32,
                ],
                _ => [0.0; 2],
            };
            Sum {
                w: c.cut_m2 as f32,
                v1: vector(c.r1, c.direction_rad),
                v2: vector(c.r2, c.axis_rad.map(|a| 2.0 * a)),
            }
        })
        .collect()
}

/// The lay of a whole fairway or course: area-weighted over the cells' ground.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LayFigures {
    /// Mean polar lay.
    pub r1_mean: f64,
    /// Polar lay that 95% of the cut ground stays at or below.
    pub r1_p95: f64,
    /// Mean axial grain.
    pub r2_mean: f64,
    /// Axial grain that 95% of the cut ground stays at or below.
    pub r2_p95: f64,
}

/// Adds up figures over many cells, of one fairway or of a whole course.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tally {
    /// R1, R2 and the ground they stand for, square metres.
    cells: Vec<(f32, f32, f32)>,
}

impl Tally {
    /// Takes in one fairway's cells.
    pub fn take(&mut self, cells: &Cells, sums: &[Sum]) {
        self.cells.extend(
            cells
                .cells
                .iter()
                .zip(sums)
                .filter_map(|(c, s)| s.lay().map(|(r1, r2)| (r1, r2, c.ground_m2 as f32))),
        );
    }

    /// Takes in another tally.
    pub fn join(&mut self, other: &Tally) {
        self.cells.extend_from_slice(&other.cells);
    }

    /// Mean and 95th percentile of R1 and R2, weighted by the ground of the cells that were cut.
    pub fn figures(&self) -> LayFigures {
        let of = |value: fn(&(f32, f32, f32)) -> f32| -> (f64, f64) {
            let mut v: Vec<(f32, f32)> = self.cells.iter().map(|c| (value(c), c.2)).collect();
            let total: f64 = v.iter().map(|c| f64::from(c.1)).sum();
            if total <= 0.0 {
                return (0.0, 0.0);
            }
            let mean = v
                .iter()
                .map(|c| f64::from(c.0) * f64::from(c.1))
                .sum::<f64>()
                / total;
            v.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
            let mut run = 0.0;
            for c in &v {
                run += f64::from(c.1);
                if run >= 0.95 * total {
                    return (mean, f64::from(c.0));
                }
            }
            (mean, v.last().map_or(0.0, |c| f64::from(c.0)))
        };
        let (r1_mean, r1_p95) = of(|c| c.0);
        let (r2_mean, r2_p95) = of(|c| c.1);
        LayFigures {
            r1_mean,
            r1_p95,
            r2_mean,
            r2_p95,
        }
    }
}
