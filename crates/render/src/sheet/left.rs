//! What a mow leaves on the ground, for the map.

use crossgrain_core::inside::ground::reach::reach;
use crossgrain_core::inside::limits::MIN_PLACE_M2;
use crossgrain_core::inside::polygon::overlay::Overlay;
use crossgrain_core::inside::swath::places::places;
use crossgrain_core::{Fairway, Mow, Mower};
use crossgrain_metrics::Measures;
use crossgrain_metrics::coverage::{OUTLINE_TOLERANCE_M, Scene, cover_and_missed};
use geo::Area;
use geo_types::MultiPolygon;

/// What a mow leaves on the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Left {
    /// Outside the reach of a deck this wide.
    pub trim: MultiPolygon<f64>,
    /// Inside the reach, but missed: places large enough to be seen.
    pub missed: MultiPolygon<f64>,
}

/// Missed ground below this is a rounding of edges and nothing to send a mower for, square metres.
pub const MIN_MISSED_M2: f64 = 0.1;
/// A twentieth of a square metre: the seam between two roundings, not grass.
const SLIVER_M2: f64 = 0.05;

impl Left {
    /// From what the caller knows already: the reach of the deck, and the figures and outlines of
    /// the final sweep.
    pub fn of(
        fairway: &Fairway,
        reach: &MultiPolygon<f64>,
        measures: &Measures,
        missed: &MultiPolygon<f64>,
    ) -> Self {
        let seen = if measures.missed_m2 >= MIN_PLACE_M2 {
            places(missed)
        } else {
            // All of it together is no place.
            Vec::new()
        };
        Self {
            trim: larger_than(SLIVER_M2, fairway.ground().difference(reach)),
            missed: MultiPolygon(seen.into_iter().flat_map(|p| p.0).collect()),
        }
    }
}

/// Works out what a mow leaves, where the caller has no final sweep at hand.
pub fn left_of(fairway: &Fairway, mower: &Mower, mow: &Mow, measures: &Measures) -> Left {
    let reach = reach(fairway.ground(), mower.cutting_width_m());
    let missed = if measures.missed_m2 >= MIN_PLACE_M2 {
        let scene = Scene {
            ground: fairway.ground(),
            reach: &reach,
            keep_outs: &fairway.keep_out_area(),
            mower,
            tracks: mow.tracks().as_slice(),
        };
        cover_and_missed(&scene, OUTLINE_TOLERANCE_M).1
    } else {
        MultiPolygon(Vec::new())
    };
    Left::of(fairway, &reach, measures, &missed)
}

fn larger_than(m2: f64, area: MultiPolygon<f64>) -> MultiPolygon<f64> {
    MultiPolygon(
        (area.0.into_iter())
            .filter(|p| p.unsigned_area() >= m2)
            .collect(),
    )
}
