//! Turn wear: where the mower turns with the reels up, and how often.
//!
//! Turning tears turf, most of all when it is wet, so turns that fall on the same spot visit
//! after visit show. Each arc driven with the reels up is cut exactly at the lines of a square
//! grid; a cell counts the arcs that cross it and the metres turned in it. The grid hangs on
//! the plane's origin, so the wear of several visits adds cell by cell. The track is that of the
//! fixed axle's midpoint, as everywhere.

use crossgrain_core::{Arc, Mow, Path, Reels};
use std::collections::BTreeMap;
use std::f64::consts::{PI, TAU};

/// Default width of a cell, metres: about the track of a mower's wheels.
pub const DEFAULT_CELL_M: f64 = 1.0;
/// Cells are never finer than this, metres: no wheel is narrower.
pub const FINEST_CELL_M: f64 = 0.1;
// Arcs of more turns than this, or so large that they are straight, are no turning.
const MOST_TURNS: f64 = 100.0;
const LARGEST_RADIUS_M: f64 = 1e4;

/// Turning counted on a grid.
#[derive(Debug, Clone, PartialEq)]
pub struct TurnWear {
    cell_m: f64,
    cells: BTreeMap<(i64, i64), Cell>,
}

#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Cell {
    arcs: u32,
    metres: f64,
}

/// One cell that is turned on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WornCell {
    /// West edge, metres.
    pub x_m: f64,
    /// South edge, metres.
    pub y_m: f64,
    /// Reels-up arcs that cross it.
    pub arcs: u32,
    /// Metres turned in it, for each square metre.
    pub turned_m_per_m2: f64,
}

/// Turn wear in a few figures.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WearFigures {
    /// Metres turned with the reels up.
    pub turned_m: f64,
    /// Area of the cells turned on, square metres.
    pub turned_on_m2: f64,
    /// Most arcs over one cell.
    pub most_arcs: u32,
    /// Most metres turned in one cell, for each square metre.
    pub most_m_per_m2: f64,
}

impl TurnWear {
    /// A grid without wear. `cell_m` is the width of a cell, metres, at least
    /// [`FINEST_CELL_M`].
    pub fn empty(cell_m: f64) -> Self {
        // max also turns NaN into the finest cell.
        let cell_m = cell_m.max(FINEST_CELL_M);
        let cell_m = if cell_m.is_finite() {
            cell_m
        } else {
            DEFAULT_CELL_M
        };
        Self {
            cell_m,
            cells: BTreeMap::new(),
        }
    }

    /// The turn wear of one mow.
    ///
    /// ```
    /// use crossgrain_core::{Arc, Mow, Path, PatternKind, Pose, Sense, Track};
    /// use crossgrain_metrics::wear::TurnWear;
    /// use geo_types::coord;
    /// let start = Pose::new(coord! { x: 0.5, y: 0.5 }, 0.0);
    /// let turn = Path::Arc(Arc::leaving(start, 2.0, std::f64::consts::PI));
    /// let mow = Mow {
    ///     fairway: "7".into(), pattern: PatternKind::Stripes, heading_deg: None,
    ///     sense: Sense::Clockwise, settings: Default::default(), tracks: vec![Track::up(turn)],
    ///     legs: vec![], steps: vec![], notes: vec![],
    /// };
    /// let wear = TurnWear::of(&mow, 1.0);
    /// assert!((wear.figures().turned_m - 2.0 * std::f64::consts::PI).abs() < 1e-9);
    /// assert_eq!(wear.figures().most_arcs, 1);
    /// ```
    pub fn of(mow: &Mow, cell_m: f64) -> Self {
        let mut out = Self::empty(cell_m);
        out.add_mow(mow);
        out
    }

    /// Adds the turns of one more visit.
    pub fn add_mow(&mut self, mow: &Mow) {
        for t in &mow.tracks {
            if let (Reels::Up, Path::Arc(arc)) = (t.reels, &t.path) {
                self.add_arc(arc);
            }
        }
    }

    fn add_arc(&mut self, arc: &Arc) {
        let sound = arc.radius_m > 0.0
            && arc.radius_m < LARGEST_RADIUS_M
            && arc.sweep_rad.abs() < MOST_TURNS * TAU
            && arc.from_rad.is_finite()
            && arc.centre.x.is_finite()
            && arc.centre.y.is_finite();
        if !sound {
            return;
        }
        let mut touched: BTreeMap<(i64, i64), f64> = BTreeMap::new();
        for pair in self.cuts(arc).windows(2) {
            let middle =
                arc.point(arc.from_rad + (pair[0] + pair[1]) / 2.0 * arc.sweep_rad.signum());
            let cell = (
                (middle.x / self.cell_m).floor() as i64,
                (middle.y / self.cell_m).floor() as i64,
            );
            *touched.entry(cell).or_default() += (pair[1] - pair[0]) * arc.radius_m;
        }
        for (at, metres) in touched {
            let cell = self.cells.entry(at).or_default();
            cell.arcs += 1;
            cell.metres += metres;
        }
    }

    /// Angles from the arc's start, ascending, at which it crosses a grid line; its ends too.
    fn cuts(&self, arc: &Arc) -> Vec<f64> {
        let (r, total) = (arc.radius_m, arc.sweep_rad.abs());
        let side = arc.sweep_rad.signum();
        let mut out = vec![0.0, total];
        let mut crossing = |angle: f64| {
            // From the start in the direction of travel, then once a turn.
            let mut s = (side * (angle - arc.from_rad)).rem_euclid(TAU);
            while s < total {
                out.push(s);
                s += TAU;
            }
        };
        let lines = |low: f64, high: f64| {
            let first = (low / self.cell_m).ceil() as i64;
            let last = (high / self.cell_m).floor() as i64;
            (first..=last).map(|k| k as f64 * self.cell_m)
        };
        for x in lines(arc.centre.x - r, arc.centre.x + r) {
            let a = ((x - arc.centre.x) / r).clamp(-1.0, 1.0).acos();
            crossing(a);
            crossing(-a);
        }
        for y in lines(arc.centre.y - r, arc.centre.y + r) {
            let a = ((y - arc.centre.y) / r).clamp(-1.0, 1.0).asin();
            crossing(a);
            crossing(PI - a);
        }
        out.sort_by(f64::total_cmp);
        out
    }

    /// Width of a cell, metres.
    pub fn cell_m(&self) -> f64 {
        self.cell_m
    }

    /// The cells that are turned on, from west to east, each column from south to north.
    pub fn cells(&self) -> impl Iterator<Item = WornCell> + '_ {
        let area = self.cell_m * self.cell_m;
        self.cells.iter().map(move |(&(i, j), c)| WornCell {
            x_m: i as f64 * self.cell_m,
            y_m: j as f64 * self.cell_m,
            arcs: c.arcs,
            turned_m_per_m2: c.metres / area,
        })
    }

    /// The wear in a few figures.
    pub fn figures(&self) -> WearFigures {
        let area = self.cell_m * self.cell_m;
        let mut out = WearFigures::default();
        for c in self.cells.values() {
            out.turned_m += c.metres;
            out.turned_on_m2 += area;
            out.most_arcs = out.most_arcs.max(c.arcs);
            out.most_m_per_m2 = out.most_m_per_m2.max(c.metres / area);
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use geo_types::coord;
    use proptest::prelude::*;

    fn arc(x: f64, y: f64, radius_m: f64, from_rad: f64, sweep_rad: f64) -> Arc {
        Arc {
            centre: coord! { x: x, y: y },
            radius_m,
            from_rad,
            sweep_rad,
        }
    }

    #[test]
    fn a_circle_round_a_grid_crossing_wears_four_cells_alike() {
        let mut wear = TurnWear::empty(5.0);
        wear.add_arc(&arc(0.0, 0.0, 2.0, 0.3, TAU));
        let cells: Vec<WornCell> = wear.cells().collect();
        assert_eq!(cells.len(), 4);
        for c in cells {
            assert_eq!(c.arcs, 1);
            assert_relative_eq!(c.turned_m_per_m2, PI / 25.0, epsilon = 1e-12);
        }
    }

    #[test]
    fn turning_twice_on_one_spot_counts_twice() {
        let mut wear = TurnWear::empty(1.0);
        for _ in 0..2 {
            wear.add_arc(&arc(0.5, 0.5, 0.2, 0.0, PI));
        }
        assert_eq!(wear.figures().most_arcs, 2);
        assert_relative_eq!(wear.figures().turned_m, 0.4 * PI, epsilon = 1e-12);
    }

    proptest! {
        #[test]
        fn no_metre_is_lost_between_cells(
            x in -50.0..50.0f64, y in -50.0..50.0f64, r in 0.1..9.0f64,
            from in -7.0..7.0f64, sweep in -14.0..14.0f64, cell in 0.2..6.0f64,
        ) {
            let mut wear = TurnWear::empty(cell);
            let a = arc(x, y, r, from, sweep);
            wear.add_arc(&a);
            prop_assert!((wear.figures().turned_m - r * sweep.abs()).abs() < 1e-9);
            // Every point of the arc, corners of the grid aside, lies in a counted cell.
            for k in 0..50 {
                let p = a.point(from + sweep * (f64::from(k) + 0.5) / 50.0);
                let at = ((p.x / cell).floor() as i64, (p.y / cell).floor() as i64);
                let near = |v: f64| (v / cell - (v / cell).round()).abs() < 1e-9;
                prop_assert!(near(p.x) || near(p.y) || wear.cells.contains_key(&at));
            }
        }
    }

    #[test]
    fn turns_with_senseless_numbers_wear_nothing() {
        let sound = arc(1.0, 2.0, 3.0, 0.1, 1.0);
        let hostile = [
            Arc {
                radius_m: -3.0,
                ..sound
            },
            Arc {
                radius_m: f64::NAN,
                ..sound
            },
            Arc {
                radius_m: 1e300,
                ..sound
            },
            Arc {
                sweep_rad: 1e300,
                ..sound
            },
            Arc {
                sweep_rad: f64::NAN,
                ..sound
            },
            Arc {
                from_rad: f64::INFINITY,
                ..sound
            },
            arc(f64::NAN, 2.0, 3.0, 0.1, 1.0),
            arc(1.0, f64::NEG_INFINITY, 3.0, 0.1, 1.0),
        ];
        let mut wear = TurnWear::empty(1.0);
        for a in &hostile {
            wear.add_arc(a);
        }
        assert_eq!(wear.figures().turned_m, 0.0);
        wear.add_arc(&sound);
        assert_relative_eq!(wear.figures().turned_m, 3.0, epsilon = 1e-9);
    }

    #[test]
    fn a_cell_of_no_width_becomes_the_finest_or_the_usual_one() {
        assert_eq!(TurnWear::empty(f64::NAN).cell_m, FINEST_CELL_M);
        assert_eq!(TurnWear::empty(0.0).cell_m, FINEST_CELL_M);
        assert_eq!(TurnWear::empty(f64::INFINITY).cell_m, DEFAULT_CELL_M);
    }
}
