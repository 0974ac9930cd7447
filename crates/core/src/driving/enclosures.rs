//! Legs that barred ground closes off from the others.

use crate::driving::DriveInput;
use crate::model::mow::{Leg, Note, ends};
use crate::model::task::Task;
use crate::polygon::offset::offset;
use geo::{Area, Contains, Intersects};
use geo_types::{Coord, MultiPolygon, Point, Polygon};
use std::collections::BTreeMap;

/// Keep-outs closer together than this fraction of the cutting width, each side, close a gap.
const GAP_SHARE: f64 = 0.35;

/// The free pieces that keep-outs, grown and merged, cut the plane into.
pub struct Enclosures {
    // Closed off from the rest.
    holes: Vec<Polygon<f64>>,
    solid: MultiPolygon<f64>,
}

impl Enclosures {
    /// The enclosures that a yard's keep-outs make for its mower.
    pub fn new(yard: &DriveInput<'_>) -> Self {
        let area: MultiPolygon<f64> = yard.fairway.barriers().map(|k| k.area.clone()).collect();
        // One plain polygon encloses nothing, and growing costs time.
        let plain = area.0.len() < 2 && area.0.iter().all(|p| p.interiors().is_empty());
        let solid = if plain {
            MultiPolygon(Vec::new())
        } else {
            offset(&area, GAP_SHARE * yard.mower.cutting_width_m())
        };
        let rings = solid.iter().flat_map(|p| p.interiors());
        let holes = rings.map(|r| Polygon::new(r.clone(), Vec::new())).collect();
        Self { holes, solid }
    }

    /// The piece that holds a point, 0 outside; none when it lies on grown keep-outs.
    fn piece(&self, c: Coord<f64>) -> Option<usize> {
        let p = Point(c);
        if self.solid.intersects(&p) {
            return None;
        }
        // Of nested holes the smallest that holds the point is its own.
        let around = (1..).zip(&self.holes).filter(|h| h.1.contains(&p));
        let own = around.min_by(|a, b| a.1.unsigned_area().total_cmp(&b.1.unsigned_area()));
        Some(own.map_or(0, |hole| hole.0))
    }

    /// Leaves out the legs that are closed off: the piece in which most is mown stays, or the one
    /// that holds the way in where one is given.
    pub fn leave_out(&self, tasks: &mut [Task], way_in: Option<Coord<f64>>, notes: &mut Vec<Note>) {
        if self.holes.is_empty() {
            return;
        }
        let piece_of = |leg: &Leg| {
            let (a, b) = ends(leg);
            let middle = leg.tracks.get(leg.tracks.len() / 2).map(|t| t.path);
            let middle = middle.map(|path| path.pose_at(path.length_m() / 2.0).at);
            let places = [Some(a.at), Some(b.at), middle].into_iter().flatten();
            places.filter_map(|c| self.piece(c)).next()
        };
        let mut mown: BTreeMap<usize, f64> = BTreeMap::new();
        for leg in tasks.iter().flat_map(Task::legs) {
            if let Some(piece) = piece_of(leg) {
                *mown.entry(piece).or_default() += leg.length_m();
            }
        }
        let most = || mown.iter().max_by(|a, b| a.1.total_cmp(b.1)).map(|m| *m.0);
        let told = way_in.and_then(|c| self.piece(c));
        let home = told.filter(|p| mown.contains_key(p)).or_else(most);
        let mut left_out: BTreeMap<usize, (Coord<f64>, usize)> = BTreeMap::new();
        for task in tasks.iter_mut() {
            task.retain(|leg| {
                let Some(piece) = piece_of(leg).filter(|&p| Some(p) != home) else {
                    return true;
                };
                let first = (ends(leg).0.at, 0);
                left_out.entry(piece).or_insert(first).1 += 1;
                false
            });
        }
        let left_out = left_out.into_values();
        notes.extend(left_out.map(|(at, legs)| Note::Unreachable { at, legs }));
    }
}
