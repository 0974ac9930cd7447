//! What the cutting units cut along tracks, as polygons.
//!
//! Good to a stated tolerance on arcs. Planning asks this to see what is left; the exact
//! measure of a finished mow is the metrics crate's.

use crate::model::mower::Unit;
use crate::model::track::{Path, Reels, Track, arc_steps};
use crate::polygon::overlay::{Overlay, merged};
use crate::swath::bands::Bands;
use crate::swath::open_cells::{OpenCells, Strip, link};
use geo::orient::{Direction, Orient};
use geo::{Area, BoundingRect, Intersects};
use geo_types::{Coord, LineString, MultiPolygon, Polygon, Rect};

/// The outlines of what each unit cuts along each lowered track, not merged.
pub fn swept_pieces(tracks: &[Track], units: &[Unit], tolerance_m: f64) -> Vec<Polygon<f64>> {
    flattened(tracks, units, tolerance_m)
        .map(|f| f.outline())
        .collect()
}

fn flattened(tracks: &[Track], units: &[Unit], tolerance_m: f64) -> impl Iterator<Item = Flat> {
    tracks
        .iter()
        .filter(|t| t.reels == Reels::Down)
        .flat_map(move |t| {
            units
                .iter()
                .flat_map(move |u| halves(&t.path, u))
                .map(move |u| Flat::new(t.path, u, tolerance_m))
        })
}

/// The unit as it is; in two where the mower turns about a point between its ends, because the
/// two sides of that point sweep opposite ways.
fn halves(path: &Path, unit: &Unit) -> impl Iterator<Item = Unit> + use<> {
    let centre_m = match path {
        Path::Line { .. } => f64::INFINITY,
        Path::Arc(a) => a.radius_m * a.sweep_rad.signum(),
    };
    let (right, left) = (unit.right_m(), unit.left_m());
    let part = |from: f64, to: f64| Unit {
        across_m: (from + to) / 2.0,
        width_m: to - from,
        ..*unit
    };
    let split = right < centre_m && centre_m < left;
    let first = if split { part(right, centre_m) } else { *unit };
    std::iter::once(first).chain(split.then(|| part(centre_m, left)))
}

/// The same, merged into one area.
pub fn swept_area(tracks: &[Track], units: &[Unit], tolerance_m: f64) -> MultiPolygon<f64> {
    merged(&swept_pieces(tracks, units, tolerance_m))
}

/// What of `area` the units do not cut along the tracks.
///
/// `area` must be wound as areas are here: exteriors counter-clockwise, holes clockwise.
pub fn without_swept(
    area: &MultiPolygon<f64>,
    tracks: &[Track],
    units: &[Unit],
    tolerance_m: f64,
) -> MultiPolygon<f64> {
    let flat: Vec<Flat> = flattened(tracks, units, tolerance_m).collect();
    let all: Vec<&Flat> = flat.iter().collect();
    let turned_m2: f64 = flat.iter().map(Flat::turned_m2).sum();
    if turned_m2 >= OFTEN * area.unsigned_area()
        && let Some(left) = where_open(area, units, &all, tolerance_m)
    {
        return left;
    }
    let mut left = area.clone();
    for layer in layers(&flat, area.unsigned_area()) {
        let crossing_m2: f64 = layer.iter().map(|f| f.cut_m2()).sum();
        if layer.len() >= CROWD
            && !layer.iter().all(|f| f.parallel(layer[0]))
            && crossing_m2 >= OFTEN * left.unsigned_area()
            && let Some(less) = where_open(&left, units, &layer, tolerance_m)
        {
            left = less;
            continue;
        }
        // What earlier layers have cut needs no cutting again.
        let near: Vec<Rect<f64>> = left.iter().filter_map(|p| p.bounding_rect()).collect();
        let outlined = layer.iter().map(|f| (f, f.outline()));
        let met = outlined.filter(|(_, p)| near.iter().any(|n| touches(p, n)));
        let (met, mut pieces): (Vec<&&Flat>, Vec<Polygon<f64>>) = met.unzip();
        // Passes side by side have one outline: the long sides between them need no clipping.
        if met.iter().all(|f| f.parallel(met[0]))
            && let Some(bands) = Bands::new(met.iter().map(|f| (&f.path, &f.unit)))
        {
            pieces = bands.outlines();
        }
        if pieces.is_empty() {
            continue;
        }
        // One overlay does for both merging and taking away.
        left = left.without_pieces(pieces.as_slice());
    }
    left
}

/// Whether a polygon comes into a box.
pub(crate) fn touches(p: &Polygon<f64>, bounds: &Rect<f64>) -> bool {
    p.bounding_rect().is_some_and(|b| b.intersects(bounds))
}

/// A set of parallel tracks is a layer of its own if it cuts more than this share of the area.
const LAYER_SHARE: f64 = 0.5;
/// Tracks whose directions differ by less are parallel, radians.
const PARALLEL_RAD: f64 = 1e-9;

/// The strips in layers that hardly cross themselves: clipping takes the longer the more crossings
/// there are, and the two sets of a cross cut have thousands. Sets of parallel passes come first,
/// then all else.
fn layers(flat: &[Flat], area_m2: f64) -> Vec<Vec<&Flat>> {
    let mut sets: Vec<(f64, Vec<&Flat>)> = Vec::new();
    let mut rest: Vec<&Flat> = Vec::new();
    for f in flat {
        if f.turned_m2() > 0.0 {
            rest.push(f);
            continue;
        }
        match sets.iter_mut().find(|s| s.1[0].parallel(f)) {
            Some(set) => {
                set.0 += f.cut_m2();
                set.1.push(f);
            }
            None => sets.push((f.cut_m2(), vec![f])),
        }
    }
    let mut out = Vec::new();
    for (cut_m2, set) in sets {
        if cut_m2 > LAYER_SHARE * area_m2 {
            out.push(set);
        } else {
            rest.extend(set);
        }
    }
    out.push(rest);
    out
}

/// Ground cut less often than this on average is clipped sooner than it is looked at by cells.
const OFTEN: f64 = 1.3;
/// And so are fewer tracks than this.
const CROWD: usize = 12;
/// No piece of a loop turns more than this, radians: what lies beside it is cut by others.
const PIECE_RAD: f64 = 0.5;

/// The same where tracks cut the ground several times over: what is left is only looked for in
/// cells that no single track cuts whole.
fn where_open(
    area: &MultiPolygon<f64>,
    units: &[Unit],
    flat: &[&Flat],
    tolerance_m: f64,
) -> Option<MultiPolygon<f64>> {
    let mut strips: Vec<Strip> = flat
        .iter()
        .map(|f| Strip::new(&f.path, &f.unit, tolerance_m))
        .collect();
    link(&mut strips);
    let narrowest_m = units
        .iter()
        .map(|u| u.width_m)
        .fold(f64::INFINITY, f64::min);
    let open = OpenCells::new(area, narrowest_m, &strips)?;
    let pieces: Vec<Polygon<f64>> = flat
        .iter()
        .flat_map(|f| f.pieces())
        .filter(|p| open.may_meet(p))
        .collect();
    let mut left = area.intersection(&open.boxes());
    // Hundreds of pieces over a small area mostly cross each other, and what the first of them
    // leave is soon little.
    let corners: usize = left.iter().map(|p| p.exterior().0.len()).sum();
    let at_once = if pieces.len() > TAKEN_AT_ONCE.max(corners) {
        TAKEN_AT_ONCE
    } else {
        pieces.len().max(1)
    };
    let mut taken = pieces.chunks(at_once);
    while !left.0.is_empty()
        && let Some(some) = taken.next()
    {
        left = left.without_pieces(some);
    }
    Some(left)
}

/// Pieces taken away at a time where there are more of them than the area has corners.
const TAKEN_AT_ONCE: usize = 32;

/// What one unit cuts along one path, flattened.
struct Flat {
    path: Path,
    unit: Unit,
    steps: usize,
    // Direction of a line, of length 1: thousands of tracks are compared with each other.
    along: Option<Coord<f64>>,
}

impl Flat {
    fn new(path: Path, unit: Unit, tolerance_m: f64) -> Self {
        let steps = match path {
            Path::Line { .. } => 1,
            // The farthest point of the unit has the largest sagitta.
            Path::Arc(a) => {
                let far = a.radius_m + unit.left_m().abs().max(unit.right_m().abs());
                arc_steps(far.hypot(unit.ahead_m), a.sweep_rad, tolerance_m)
            }
        };
        let along = match path {
            Path::Line { from, to } => Some((to - from) / (to - from).x.hypot((to - from).y)),
            Path::Arc(_) => None,
        };
        Self {
            path,
            unit,
            steps,
            along,
        }
    }

    /// Area cut along an arc, square metres; nothing along a line.
    fn turned_m2(&self) -> f64 {
        match self.path {
            Path::Line { .. } => 0.0,
            Path::Arc(a) => {
                let centre_m = a.radius_m * a.sweep_rad.signum();
                let off = (self.unit.across_m - centre_m).abs();
                off * self.unit.width_m * a.sweep_rad.abs()
            }
        }
    }

    /// Area cut, square metres, overlaps with itself counted.
    fn cut_m2(&self) -> f64 {
        match self.path {
            Path::Line { .. } => self.path.length_m() * self.unit.width_m,
            Path::Arc(_) => self.turned_m2(),
        }
    }

    /// Whether both run along lines of one direction.
    fn parallel(&self, other: &Flat) -> bool {
        match (self.along, other.along) {
            // The sine of the angle between them, which is so small that it is the angle.
            (Some(a), Some(b)) => (a.x * b.y - a.y * b.x).abs() < PARALLEL_RAD,
            _ => false,
        }
    }

    /// Its whole outline.
    fn outline(&self) -> Polygon<f64> {
        self.between(0, self.steps)
    }

    /// Outlines of pieces of it that turn only a little.
    fn pieces(&self) -> impl Iterator<Item = Polygon<f64>> {
        let turn = match self.path {
            Path::Arc(a) => a.sweep_rad.abs(),
            Path::Line { .. } => 0.0,
        };
        let each = (self.steps as f64 * PIECE_RAD / turn.max(PIECE_RAD)).ceil() as usize;
        (0..self.steps)
            .step_by(each.max(1))
            .map(move |from| self.between(from, (from + each).min(self.steps)))
    }

    /// The outline between two of its steps.
    fn between(&self, from: usize, to: usize) -> Polygon<f64> {
        let len = self.path.length_m();
        let sides = [self.unit.right_m(), self.unit.left_m()];
        let ends: Vec<[Coord<f64>; 2]> = (from..=to)
            .map(|i| self.path.pose_at(len * i as f64 / self.steps as f64))
            .map(|p| p.offsets(self.unit.ahead_m, sides))
            .collect();
        let mut ring: Vec<Coord<f64>> = Vec::with_capacity(2 * ends.len() + 1);
        ring.extend(ends.iter().map(|e| e[0]));
        ring.extend(ends.iter().rev().map(|e| e[1]));
        // A part on the far side of the turning centre comes out clockwise; merged with the
        // others it would take away from them.
        Polygon::new(LineString(ring), Vec::new()).orient(Direction::Default)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::pose::Pose;
    use crate::model::track::Arc;
    use approx::assert_relative_eq;
    use geo_types::coord;
    use std::f64::consts::PI;

    #[test]
    fn a_deck_that_turns_about_a_point_inside_it_cuts_both_sides() {
        // The right end sweeps a sector of radius 1.4 m, the left end one of 0.6 m opposite;
        // over 4 rad the two share twice 4 - pi.
        let arc = Path::Arc(Arc::leaving(
            Pose::new(coord! {x: 0.0, y: 0.0}, 0.4),
            0.7,
            4.0,
        ));
        let unit = Unit {
            across_m: 0.3,
            ahead_m: 0.0,
            width_m: 2.0,
        };
        let tracks = [Track::down(arc)];
        let shared = 2.0 * (4.0 - PI) * 0.6 * 0.6 / 2.0;
        let known = 4.0 / 2.0 * (1.4 * 1.4 + 0.6 * 0.6) - shared;
        let cut = swept_area(&tracks, &[unit], 1e-6).unsigned_area();
        assert_relative_eq!(cut, known, max_relative = 1e-5);
        let square = MultiPolygon(vec![
            geo_types::Rect::new(coord! {x: -9.0, y: -9.0}, coord! {x: 9.0, y: 9.0}).to_polygon(),
        ]);
        let left = without_swept(&square, &tracks, &[unit], 1e-6).unsigned_area();
        assert_relative_eq!(left, 324.0 - known, max_relative = 1e-6);
    }

    #[test]
    fn a_half_circle_cuts_half_an_annulus() {
        let arc = Path::Arc(Arc::leaving(
            Pose::new(coord! {x: 0.0, y: 0.0}, 0.0),
            6.0,
            PI,
        ));
        let unit = Unit {
            across_m: 0.0,
            ahead_m: 0.0,
            width_m: 2.0,
        };
        let a = swept_area(&[Track::down(arc)], &[unit], 1e-4).unsigned_area();
        assert_relative_eq!(a, PI / 2.0 * (49.0 - 25.0), max_relative = 1e-4);
    }
}
