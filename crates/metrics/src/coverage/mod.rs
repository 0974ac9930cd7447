//! The coverage measure: how much ground is cut exactly k times, for every k.

#[cfg(test)]
mod closed_forms;
mod edge;
mod outlines;
mod rows;
mod swept;
mod tally;
mod tile;

use crossgrain_core::{Fairway, Mow, Mower, Track, ground::reach::reach};
use edge::{Edges, Layer};
use geo_types::{Coord, MultiPolygon};
use rows::{Grid, RowIndex, RowScratch, sweep_row};
use tally::Tally;
use tile::{Listener, Silent};

pub use outlines::{OUTLINE_TOLERANCE_M, Outlines, outlines};

/// What is measured: ground, reach, keep-outs, and the tracks of one mow.
#[derive(Debug, Clone, Copy)]
pub struct Scene<'a> {
    /// The ground to mow.
    pub ground: &'a MultiPolygon<f64>,
    /// Where a deck of this width can mow: see [`crossgrain_core::ground::reach`].
    pub reach: &'a MultiPolygon<f64>,
    /// Where no reel may be down.
    pub keep_outs: &'a MultiPolygon<f64>,
    /// The mower.
    pub mower: &'a Mower,
    /// The drive.
    pub tracks: &'a [Track],
}

/// Areas cut, in square metres.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Coverage {
    /// Area of the ground cut exactly k times, k = 0, 1, 2 ...; they add up to its area.
    pub times_cut_m2: Vec<f64>,
    /// Area of the ground inside the reach, never cut.
    pub missed_m2: f64,
    /// Area of the ground outside the reach, cut or not.
    pub trim_m2: f64,
    /// Area cut outside the filled outline and all keep-outs.
    pub overrun_m2: f64,
    /// Area cut inside keep-outs and holes of the ground.
    pub keepout_cut_m2: f64,
    /// Area cut at least once, wherever it lies.
    pub cut_m2: f64,
    /// Area swept, wherever it lies, each pass over a point counted.
    pub swept_m2: f64,
    /// Bound on the error of each of these areas. Infinite when a track or ring held a number
    /// that is not finite and was left out.
    pub error_bound_m2: f64,
}

impl Coverage {
    /// Area of the ground.
    pub fn ground_m2(&self) -> f64 {
        self.times_cut_m2.iter().sum()
    }

    /// Area of the ground never cut.
    pub fn uncut_m2(&self) -> f64 {
        self.times_cut_m2.first().copied().unwrap_or(0.0)
    }

    /// Area swept within the ground, each pass over a point counted.
    pub fn swept_on_ground_m2(&self) -> f64 {
        self.times_cut_m2
            .iter()
            .enumerate()
            .map(|(k, a)| k as f64 * a)
            .sum()
    }

    /// Sum over k >= 2 of (k - 1) times the area cut k times.
    pub fn overlap_m2(&self) -> f64 {
        self.times_cut_m2
            .iter()
            .enumerate()
            .skip(2)
            .map(|(k, a)| (k - 1) as f64 * a)
            .sum()
    }
}

/// Measures one mow of one fairway.
pub fn of(fairway: &Fairway, mower: &Mower, mow: &Mow) -> Coverage {
    let reach = reach(&fairway.ground, mower.cutting_width_m());
    cover(&Scene {
        ground: &fairway.ground,
        reach: &reach,
        keep_outs: &fairway.keep_out_area(),
        mower,
        tracks: &mow.tracks,
    })
}

/// Measures a scene.
pub fn cover(scene: &Scene<'_>) -> Coverage {
    let edges = boundary(scene);
    let (tally, rounding_m2) = sweep(&edges, ground_m2(scene));
    let broken = edges.broken || tally.open;
    Coverage {
        error_bound_m2: if broken {
            f64::INFINITY
        } else {
            tally.disorder_m2 + edges.weld_m2 + rounding_m2
        },
        times_cut_m2: if tally.times_cut_m2.is_empty() {
            vec![0.0]
        } else {
            tally.times_cut_m2
        },
        missed_m2: tally.missed_m2,
        trim_m2: tally.trim_m2,
        overrun_m2: tally.overrun_m2,
        keepout_cut_m2: tally.keepout_cut_m2,
        cut_m2: tally.cut_once_m2,
        swept_m2: tally.swept_m2,
    }
}

/// All directed boundaries of a scene.
fn boundary(scene: &Scene<'_>) -> Edges {
    let mut edges = Edges::new(origin(scene));
    swept::add_swept(&mut edges, scene.mower, scene.tracks);
    edges.area(scene.ground, Layer::Outer, Some(Layer::Hole));
    edges.area(scene.keep_outs, Layer::Keep, Some(Layer::Keep));
    edges.area(scene.reach, Layer::Reach, Some(Layer::Reach));
    edges
}

/// A place near the ground, in whole metres so that shifting to it loses little.
fn origin(scene: &Scene<'_>) -> Coord<f64> {
    scene
        .ground
        .iter()
        .flat_map(|p| p.exterior().0.iter())
        .copied()
        .chain(scene.tracks.iter().map(|t| t.path.start().at))
        .find(|c| c.x.is_finite() && c.y.is_finite())
        .map_or(Coord { x: 0.0, y: 0.0 }, |c| Coord {
            x: c.x.round(),
            y: c.y.round(),
        })
}

fn ground_m2(scene: &Scene<'_>) -> f64 {
    use geo::Area;
    scene.ground.unsigned_area()
}

/// Sweeps all rows. Returns the table and the bound on its rounding, m2.
fn sweep(edges: &Edges, area_m2: f64) -> (Tally, f64) {
    listen(edges, area_m2, &mut Silent)
}

/// Sweeps all rows one after the other, telling `listener` of every piece.
fn listen(edges: &Edges, area_m2: f64, listener: &mut impl Listener) -> (Tally, f64) {
    let mut total = Tally::default();
    let Some(grid) = Grid::new(&edges.list, area_m2) else {
        return (total, 0.0);
    };
    let index = RowIndex::new(&grid, &edges.list);
    let mut scratch = RowScratch::default();
    for row in 0..grid.rows {
        let ids = index.row(row);
        total.merge(&sweep_row(
            &grid,
            row,
            &edges.list,
            ids,
            &mut scratch,
            listener,
        ));
    }
    let rounding = rounding_m2(edges, &grid, &total);
    (total, rounding)
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
