//! The lay of the grass: which way the deck passed over each cell, and how one-sided that is.
//!
//! Every time a cutting unit passes over a point in direction t it adds a unit vector there.
//! A cell keeps five sums over the ground it holds, each weighted by the area cut: the plain area,
//! and both parts of the vectors e^(it) and of the doubled vectors e^(2it). From them
//!
//! - R1 = |sum e^(it)| / sum 1: the polar lay, 1 when all passes go the same way;
//! - R2 = |sum e^(2it)| / sum 1: the axial grain, 1 when all passes follow the same axis,
//!   whichever way (doubled angles: Mardia & Jupp, *Directional Statistics*; Fisher 1993).
//!
//! A straight track is a rectangle, and its share of every cell is exact. An arc is cut into
//! steps of at most [`ARC_STEP_RAD`] and at most half a cell at its outer edge; each step is
//! a quadrilateral that carries the exact mean of the directions over its angle and is scaled
//! to the exact area of its piece of the ring, so only the place of the area is approximate,
//! by less than the sagitta of a step (5 mm at a radius of 4 m). Memory is six numbers a cell.

mod spread;

use crossgrain_core::inside::polygon::overlay::Overlay;
use crossgrain_core::inside::swath::mown;
use crossgrain_core::{Fairway, Mower, Track};
use geo::BoundingRect;
use geo_types::Coord;

pub use spread::ARC_STEP_RAD;
use spread::{Raster, Sums};

/// A cell with less cut area than this share of itself counts as not cut: rounding of large sums.
const MIN_SHARE: f64 = 1e-9;

/// A senseless cell size gets larger cells instead of all the memory there is.
const MAX_CELLS: f64 = 16e6;

/// The lay of the grass on a grid of square cells over one fairway.
#[derive(Debug, Clone, PartialEq)]
pub struct LayGrid {
    raster: Raster,
    /// Square metres of ground in each cell, row by row from the south west.
    ground_m2: Vec<f64>,
    sums: Sums,
}

/// One cell of a [`LayGrid`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LayCell {
    /// Middle of the cell, metres.
    pub centre: Coord<f64>,
    /// Ground in the cell, square metres.
    pub ground_m2: f64,
    /// Weighted area cut in the cell over all mows, square metres.
    pub cut_m2: f64,
    /// Polar lay, 0 to 1; `None` where nothing was cut.
    pub r1: Option<f64>,
    /// Axial grain, 0 to 1; `None` where nothing was cut.
    pub r2: Option<f64>,
    /// Mean direction of the passes, radians counter-clockwise from east, where there is one.
    pub direction_rad: Option<f64>,
    /// Axis of the grain, radians counter-clockwise from east in [0, pi), where there is one.
    pub axis_rad: Option<f64>,
}

impl LayGrid {
    /// An empty grid over the ground of a fairway, with square cells of `cell_m` metres whose
    /// corners lie on multiples of `cell_m`. A cell size that is not above zero becomes 1 m,
    /// and one that would need more than 16 million cells is enlarged.
    pub fn empty(fairway: &Fairway, cell_m: f64) -> Self {
        let sound = cell_m.is_finite() && cell_m > 0.0;
        let mut cell_m = if sound { cell_m } else { 1.0 };
        let bounds = fairway.ground().bounding_rect();
        let (lo, hi) = bounds.map_or_else(Default::default, |b| (b.min(), b.max()));
        let cells = |c: f64| ((hi.x - lo.x) / c + 2.0) * ((hi.y - lo.y) / c + 2.0);
        while cells(cell_m) > MAX_CELLS {
            cell_m *= 2.0;
        }
        let corner = Coord::from([lo.x, lo.y].map(|v| (v / cell_m).floor() * cell_m));
        let across = |way: f64| ((way / cell_m).ceil() as usize).max(1);
        let raster = Raster {
            cell_m,
            corner,
            columns: across(hi.x - corner.x),
            rows: across(hi.y - corner.y),
        };
        let mut ground = raster.empty();
        // Exteriors run counter-clockwise and holes clockwise, so holes subtract by themselves.
        for ring in fairway.ground().rings() {
            for edge in ring.lines() {
                let (a, b) = (raster.local(edge.start), raster.local(edge.end));
                raster.edge(&mut ground, a, b, &[1.0, 0.0, 0.0, 0.0, 0.0]);
            }
        }
        raster.fill(&mut ground);
        let whole = cell_m * cell_m;
        Self {
            ground_m2: ground.iter().map(|s| s[0].clamp(0.0, whole)).collect(),
            sums: raster.empty(),
            raster,
        }
    }

    /// The lay of the tracks that have the reels down, of one mow or of many.
    ///
    /// ```
    /// use crossgrain_core::{Fairway, Mower, Segment, Track};
    /// use crossgrain_metrics::lay::LayGrid;
    /// use geo_types::{coord, polygon};
    /// let outline = polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 2.), (x: 0., y: 2.)];
    /// let fairway = Fairway::builder("1").outline(outline).build().unwrap();
    /// let east = Track::down(Segment::Line { from: coord! {x: 0., y: 1.}, to: coord! {x: 40., y: 1.} });
    /// let (r1, r2) = LayGrid::of_tracks(&fairway, &Mower::bar(2.0), &[east], 1.0).means();
    /// assert!((r1 - 1.0).abs() < 1e-12 && (r2 - 1.0).abs() < 1e-12);
    /// ```
    pub fn of_tracks(fairway: &Fairway, mower: &Mower, tracks: &[Track], cell_m: f64) -> Self {
        let mut grid = Self::empty(fairway, cell_m);
        for path in mown(tracks) {
            for unit in &mower.units {
                spread::path(&grid.raster, &mut grid.sums, &path, unit);
            }
        }
        grid.raster.fill(&mut grid.sums);
        grid
    }

    /// Cell size, metres.
    pub fn cell_m(&self) -> f64 {
        self.raster.cell_m
    }

    /// The cells that hold ground, row by row from the south west.
    pub fn cells(&self) -> impl Iterator<Item = LayCell> + '_ {
        let least = MIN_SHARE * self.raster.cell_m * self.raster.cell_m;
        let held = (0..self.sums.len()).filter(move |&i| self.ground_m2[i] > least);
        held.map(move |i| {
            let (column, row) = (i % self.raster.columns, i / self.raster.columns);
            let [cut_m2, c1, s1, c2, s2] = self.sums[i];
            let laid = cut_m2 > least;
            let ratio = |c: f64, s: f64| laid.then(|| (c.hypot(s) / cut_m2).min(1.0));
            let turned = |c: f64, s: f64| (laid && c.hypot(s) > least).then(|| s.atan2(c));
            LayCell {
                centre: Coord {
                    x: self.raster.corner.x + (column as f64 + 0.5) * self.raster.cell_m,
                    y: self.raster.corner.y + (row as f64 + 0.5) * self.raster.cell_m,
                },
                ground_m2: self.ground_m2[i],
                cut_m2: if laid { cut_m2 } else { 0.0 },
                r1: ratio(c1, s1),
                r2: ratio(c2, s2),
                direction_rad: turned(c1, s1),
                axis_rad: turned(c2, s2).map(|t| (t / 2.0).rem_euclid(std::f64::consts::PI)),
            }
        })
    }

    /// Means of the polar lay and of the axial grain over the cells that were cut, weighted by the
    /// ground they hold; 0 where nothing was cut.
    pub fn means(&self) -> (f64, f64) {
        let cut = self.cells().filter(|c| c.cut_m2 > 0.0);
        let (ground_m2, r1, r2) = cut.fold((0.0, 0.0, 0.0), |(sum, r1, r2), c| {
            let of = |r: Option<f64>| r.unwrap_or(0.0) * c.ground_m2;
            (sum + c.ground_m2, r1 + of(c.r1), r2 + of(c.r2))
        });
        let ground_m2 = ground_m2.max(f64::MIN_POSITIVE);
        (r1 / ground_m2, r2 / ground_m2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{arc, line, rect, unit};
    use approx::assert_relative_eq;
    use crossgrain_core::CuttingUnit;
    use geo::Area;
    use geo_types::{Polygon, Rect, coord, polygon};
    use std::f64::consts::{FRAC_PI_2, PI, TAU};

    fn field(half: f64) -> Fairway {
        on(rect(-half, -half, half, half))
    }

    fn on(outline: Polygon<f64>) -> Fairway {
        Fairway::builder("1").outline(outline).build().unwrap()
    }

    /// Passes at a heading that cover the whole field, all one way or back and forth.
    fn passes(heading_rad: f64, both_ways: bool) -> Vec<Track> {
        let (s, c) = heading_rad.sin_cos();
        (-20..=20)
            .map(|i| {
                let off = 2.0 * f64::from(i);
                let (x, y) = (-off * s, off * c);
                let way = if both_ways && i % 2 != 0 { -60.0 } else { 60.0 };
                line(x - way * c, y - way * s, x + way * c, y + way * s)
            })
            .collect()
    }

    #[test]
    fn cells_hold_the_ground_and_what_is_cut() {
        let f = on(polygon![
            exterior: [(x: -9.3, y: -8.1), (x: 7.7, y: -9.9), (x: 9.9, y: 8.2), (x: -3.0, y: 9.6)],
            interiors: [[(x: 0.0, y: 0.0), (x: 0.0, y: 2.5), (x: 3.3, y: 2.0)]],
        ]);
        let tracks = [line(-5.0, -3.0, 4.0, 5.5), arc(0.5, 0.0, 4.0, 0.5, -4.0)];
        let mower = Mower::bar(2.5);
        let g = LayGrid::of_tracks(&f, &mower, &tracks, 0.7);
        let ground_m2: f64 = g.cells().map(|c| c.ground_m2).sum();
        assert_relative_eq!(ground_m2, f.ground().unsigned_area(), max_relative = 1e-12);
        let swept_m2: f64 = g.sums.iter().map(|s| s[0]).sum();
        let known_m2 = 2.5 * (9.0_f64.hypot(8.5) + 16.0);
        assert_relative_eq!(swept_m2, known_m2, max_relative = 1e-9);
        // Straight: every cell is the exact share of the rectangle, as geo clips it.
        let g = LayGrid::of_tracks(&f, &mower, &tracks[..1], 0.7);
        let p = tracks[0].path;
        let [a, b] = p.start().offsets(0.0, [1.25, -1.25]);
        let [c, d] = p.end().offsets(0.0, [-1.25, 1.25]);
        let swept = Polygon::new(vec![a, b, c, d].into(), vec![]);
        let half = coord! { x: 0.35, y: 0.35 };
        for c in g.cells() {
            let cell = Rect::new(c.centre - half, c.centre + half).to_polygon();
            let share = swept.intersection(&cell).unsigned_area();
            assert_relative_eq!(c.cut_m2, share, epsilon = 1e-6);
        }
    }

    #[test]
    fn on_an_arc_every_unit_moves_square_to_its_radius() {
        let f = field(14.0);
        // The innermost unit of the tight turn lies on the turning centre.
        let units = [(-1.6, 1.2), (-0.8, -0.3), (0.0, 1.2), (0.8, -0.3)];
        let units = units.map(|(across, ahead)| unit(across, ahead, 0.9));
        let mower = Mower::of_units("four", units.to_vec());
        for (radius, sweep) in [(4.0, 3.0), (4.0, -3.0), (0.9, 4.0), (0.9, -5.0)] {
            let round = arc(0.0, 0.0, radius, 0.3, sweep);
            let g = LayGrid::of_tracks(&f, &mower, &[round], 0.5);
            // Each point of a cutting line moves at |1 - c a| times the axle's speed.
            let c = sweep.signum() / radius;
            let half = |a: f64| -(1.0 - c * a) * (1.0 - c * a).abs() / (2.0 * c);
            let of = |u: &CuttingUnit| half(u.left_m()) - half(u.right_m());
            let area = radius * sweep.abs() * mower.units.iter().map(of).sum::<f64>();
            let cut: f64 = g.cells().map(|c| c.cut_m2).sum();
            assert_relative_eq!(cut, area, max_relative = 1e-9);
            let out = |c: &LayCell| c.cut_m2 > 0.2 && c.centre.x.hypot(c.centre.y) > 1.5;
            let mut seen = 0;
            for cell in g.cells().filter(out) {
                let square = cell.centre.y.atan2(cell.centre.x) + FRAC_PI_2.copysign(sweep);
                let off = (cell.direction_rad.unwrap() - square).rem_euclid(TAU);
                assert!(off.min(TAU - off) < 0.25, "{cell:?} {off}");
                assert!(cell.r1.unwrap() > 0.97, "{cell:?}");
                seen += 1;
            }
            assert!(seen > 10);
        }
    }

    #[test]
    fn one_way_back_and_forth_and_cross() {
        let f = field(10.0);
        let mower = Mower::bar(2.0);
        let season = |mows: &[(f64, bool)]| {
            let mows = mows.iter().flat_map(|&(at, both)| passes(at, both));
            LayGrid::of_tracks(&f, &mower, &mows.collect::<Vec<_>>(), 1.0).means()
        };
        let (r1, r2) = season(&[(0.4, false)]);
        assert_relative_eq!(r1, 1.0, epsilon = 1e-9);
        assert_relative_eq!(r2, 1.0, epsilon = 1e-9);
        // The next visit goes the other way: no polar lay is left, the grain stays.
        let (r1, r2) = season(&[(0.4, false), (0.4 + PI, false)]);
        assert!(r1 < 1e-9, "{r1}");
        assert_relative_eq!(r2, 1.0, epsilon = 1e-9);
        // A cross cut: no grain is left either.
        let across = (0.4 + FRAC_PI_2, true);
        assert!(season(&[(0.4, true), across]).1 < 1e-9);
        // Three of every four mows on one axis, one across: 0.5 (as 0, 0, 0, 90 degrees).
        let (_, r2) = season(&[(0.4, true), (0.4, true), (0.4, true), across]);
        assert_relative_eq!(r2, 0.5, epsilon = 1e-9);
    }

    #[test]
    fn a_thin_lane_of_loops_is_locally_axial() {
        // Circles of radius R laid densely along x: at height y the swath crosses at the two
        // directions whose doubled angles give R2 = |1 - 2 y^2 / R^2|.
        let f = field(8.0);
        let mower = Mower::bar(0.02);
        let r = 6.0;
        let circles: Vec<Track> = (-1000..=1000)
            .map(|i| arc(0.02 * f64::from(i), 0.0, r, 0.0, TAU))
            .collect();
        let g = LayGrid::of_tracks(&f, &mower, &circles, 0.25);
        let inner = |c: &LayCell| c.centre.y.abs() < 4.5 && c.centre.x.abs() < 1.0;
        let mut seen = 0;
        for c in g.cells().filter(inner) {
            // Mean over the cell's height of cut per area, which goes as 1 / sqrt(R^2 - y^2).
            let formula = (1.0 - 2.0 * c.centre.y * c.centre.y / (r * r)).abs();
            assert_relative_eq!(c.r2.unwrap(), formula, epsilon = 5e-3);
            assert!(c.r1.unwrap() < 1.0);
            seen += 1;
        }
        assert!(seen > 200);
    }

    #[test]
    fn senseless_cell_sizes_are_set_right_and_senseless_tracks_leave_no_lay() {
        let fairway = field(20.0);
        assert_eq!(LayGrid::empty(&fairway, f64::NAN).cell_m(), 1.0);
        assert_eq!(LayGrid::empty(&fairway, -3.0).cell_m(), 1.0);
        assert!(LayGrid::empty(&fairway, 1e-9).sums.len() <= 16_000_000);
        let mower = Mower::bar(2.0);
        let tracks = [
            arc(1.0, 2.0, 0.0, 0.0, 1.0),
            arc(1.0, 2.0, -1.0, 0.0, 1.0),
            arc(1.0, 2.0, 5.0, 0.0, 0.0),
            arc(1.0, 2.0, 5.0, 0.0, 1e9),
            arc(1.0, 2.0, 5.0, f64::NAN, 1.0),
            line(3.0, 0.0, 3.0, 0.0),
        ];
        let grid = LayGrid::of_tracks(&fairway, &mower, &tracks, 1.0);
        assert!(grid.cells().all(|c| c.cut_m2 == 0.0));
        let sound = [arc(1.0, 2.0, 5.0, 0.0, 1.0)];
        let sound = LayGrid::of_tracks(&fairway, &mower, &sound, 1.0);
        let cut: f64 = sound.cells().map(|c| c.cut_m2).sum();
        assert_relative_eq!(cut, 5.0 * 2.0, epsilon = 1e-6);
    }
}
