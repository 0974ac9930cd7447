//! All rows of tiles, swept one after the other or several at a time.

use crate::swath::edge::Edges;
use crate::swath::rows::{Grid, RowIndex, RowScratch, Window, around, sweep_row};
use crate::swath::tally::Tally;
use crate::swath::tile::Listener;

/// Sweeps all rows one after the other, telling `listener` of every piece. `area_m2` is roughly
/// the area that the edges lie in. Returns the table and the bound on its rounding, m2.
pub(crate) fn listen(edges: &Edges, area_m2: f64, listener: &mut impl Listener) -> (Tally, f64) {
    let mut total = Tally::default();
    let Some(grid) = Grid::new(&edges.list, around(&edges.list), area_m2) else {
        total.open = edges.too_large();
        return (total, 0.0);
    };
    each_row(&grid, edges, listener, |row| total.merge(&row));
    let rounding = rounding_m2(edges, &grid, &total);
    (total, rounding)
}

/// Sweeps the tiles of a window only. What a listener hears from beyond its edge is not sound.
pub(crate) fn look(edges: &Edges, window: Window, listener: &mut impl Listener) {
    let area_m2 = (window.1 - window.0) * (window.3 - window.2);
    if let Some(grid) = Grid::new(&edges.list, window, area_m2) {
        each_row(&grid, edges, listener, |_| {});
    }
}

fn each_row(grid: &Grid, edges: &Edges, listener: &mut impl Listener, mut then: impl FnMut(Tally)) {
    let index = RowIndex::new(grid, &edges.list);
    let mut scratch = RowScratch::default();
    for row in 0..grid.rows {
        let ids = index.row(row);
        then(sweep_row(
            grid,
            row,
            &edges.list,
            ids,
            &mut scratch,
            listener,
        ));
    }
}

/// Sweeps all rows, several at a time, without telling of pieces. Each row has a table of its
/// own, and the tables are added in the order of the rows: the same sums in the same order as
/// with one thread.
#[cfg(feature = "rayon")]
pub fn tally(edges: &Edges, area_m2: f64) -> (Tally, f64) {
    use crate::swath::tile::Silent;
    use rayon::prelude::*;
    let mut total = Tally::default();
    let Some(grid) = Grid::new(&edges.list, around(&edges.list), area_m2) else {
        total.open = edges.too_large();
        return (total, 0.0);
    };
    let index = RowIndex::new(&grid, &edges.list);
    let rows: Vec<Tally> = (0..grid.rows)
        .into_par_iter()
        .map_init(RowScratch::default, |scratch, row| {
            let ids = index.row(row);
            sweep_row(&grid, row, &edges.list, ids, scratch, &mut Silent)
        })
        .collect();
    for row in &rows {
        total.merge(row);
    }
    let rounding = rounding_m2(edges, &grid, &total);
    (total, rounding)
}

/// Sweeps all rows without telling of pieces.
#[cfg(not(feature = "rayon"))]
pub fn tally(edges: &Edges, area_m2: f64) -> (Tally, f64) {
    listen(edges, area_m2, &mut crate::swath::tile::Silent)
}

/// Every x in the sweep is off by a few units in the last place of the largest coordinate or
/// radius, which moves an edge's area by that times its length; and every sum of n terms is
/// off by n units of its own size at most.
fn rounding_m2(edges: &Edges, grid: &Grid, tally: &Tally) -> f64 {
    let (mut size, mut length) = (0.0_f64, 0.0);
    for e in &edges.list {
        size = size
            .max(e.x0.abs())
            .max(e.y0.abs())
            .max(e.x1.abs())
            .max(e.y1.abs())
            .max(e.r.abs());
        length += (e.x1 - e.x0).abs() + (e.y1 - e.y0);
    }
    let total: f64 = tally.swept_m2 + tally.times_cut_m2.iter().sum::<f64>();
    let per_row = tally.terms as f64 / grid.rows as f64 + grid.rows as f64;
    f64::EPSILON * (8.0 * size * length + per_row * total)
}
