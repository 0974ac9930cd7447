//! Directions put through the lay of the grass: one mow a direction, straight over one spot.

use crate::scenes::rectangle;
use crossgrain_core::inside::model::quantity::math_rad;
use crossgrain_core::{Mower, Segment, Track};
use crossgrain_metrics::lay::{LayCell, LayGrid};
use geo_types::coord;

/// A spot of 2 m by 2 m, the season's cell.
const SPOT_M: f64 = 2.0;

/// The lay that one pass along a compass heading leaves on the spot.
pub fn pass(heading_deg: f64) -> LayGrid {
    grid(&[over(heading_deg)])
}

/// The spot after passes along headings, each so many times.
pub fn spot(headings: impl IntoIterator<Item = (f64, f64)>) -> Option<LayCell> {
    let times = |(deg, times): (f64, f64)| vec![over(deg); times as usize];
    let passes: Vec<Track> = headings.into_iter().flat_map(times).collect();
    grid(&passes).cells().next()
}

fn over(heading_deg: f64) -> Track {
    let (s, c) = math_rad(heading_deg).sin_cos();
    let half = SPOT_M / 2.0;
    Track::down(Segment::Line {
        from: coord! { x: half - 9.0 * c, y: half - 9.0 * s },
        to: coord! { x: half + 9.0 * c, y: half + 9.0 * s },
    })
}

fn grid(passes: &[Track]) -> LayGrid {
    // Wide enough to cover the spot whole whichever way it goes.
    LayGrid::of_tracks(&rectangle(SPOT_M, SPOT_M), &Mower::bar(4.0), passes, SPOT_M)
}
