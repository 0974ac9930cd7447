//! All rows of tiles, swept one after the other or several at a time.

use crate::swath::coverage::Coverage;
use crate::swath::edge::Edges;
use crate::swath::rows::{Grid, RowScratch, Window, around, sweep_row};
use crate::swath::tile::Piece;

/// Edges cut into rows.
struct Sweep<'a> {
    edges: &'a Edges,
    grid: Grid,
    /// Which edges touch which row.
    touching: Vec<Vec<u32>>,
}

impl<'a> Sweep<'a> {
    fn new(edges: &'a Edges, window: Window, area_m2: f64) -> Option<Self> {
        let grid = Grid::new(&edges.list, window, area_m2)?;
        let mut touching = vec![Vec::new(); grid.rows];
        for (i, e) in edges.list.iter().enumerate() {
            for row in grid.rows_of(e) {
                touching[row].push(i as u32);
            }
        }
        Some(Self {
            edges,
            grid,
            touching,
        })
    }

    fn row(&self, s: &mut RowScratch, row: usize, hear: &mut impl FnMut(&Piece<'_>)) -> Coverage {
        let edges = self.touching[row].iter();
        let edges = edges.map(|&i| &self.edges.list[i as usize]);
        sweep_row(&self.grid, row, edges, s, hear)
    }
}

/// Sweeps a window, telling `hear` of every piece of ground between neighbouring edges. `area_m2` is
/// roughly the area that the edges in it lie in. What is heard from beyond the window is not sound.
pub(crate) fn listen(
    edges: &Edges,
    window: Window,
    area_m2: f64,
    hear: &mut impl FnMut(&Piece<'_>),
) -> Coverage {
    let Some(sweep) = Sweep::new(edges, window, area_m2) else {
        return Coverage::of_rows(&[], edges);
    };
    let mut scratch = RowScratch::default();
    let rows = (0..sweep.grid.rows).map(|row| sweep.row(&mut scratch, row, hear));
    Coverage::of_rows(&rows.collect::<Vec<_>>(), edges)
}

/// Sweeps everything without telling of pieces, several rows at a time if built so: the same bytes
/// either way. `area_m2` is roughly the area that the edges lie in.
pub fn tally(edges: &Edges, area_m2: f64) -> Coverage {
    #[cfg(feature = "rayon")]
    if let Some(sweep) = Sweep::new(edges, around(&edges.list), area_m2) {
        use rayon::prelude::*;
        let rows = (0..sweep.grid.rows)
            .into_par_iter()
            .map_init(RowScratch::default, |s, row| sweep.row(s, row, &mut |_| {}));
        return Coverage::of_rows(&rows.collect::<Vec<_>>(), edges);
    }
    listen(edges, around(&edges.list), area_m2, &mut |_| {})
}
