//! Small fairways and mows laid by hand, to measure.

use crossgrain_core::MowParts;
use crossgrain_core::inside::ground::{FairwayBuilder, as_given};
use crossgrain_core::{Fairway, Mow, PatternKind, Sense, Track, UsedSettings};
use geo_types::{MultiPolygon, Polygon, Rect, coord};

/// A fairway of plain ground, nothing kept out.
pub fn plain(ground: MultiPolygon<f64>) -> Fairway {
    let parts = FairwayBuilder {
        name: "1".to_string(),
        outline: ground
            .iter()
            .map(|p| Polygon::new(p.exterior().clone(), Vec::new()))
            .collect(),
        ..FairwayBuilder::default()
    };
    as_given(parts, ground)
}

/// A rectangle from the origin eastward and northward.
pub fn rectangle(length_m: f64, width_m: f64) -> Fairway {
    between(0.0, 0.0, length_m, width_m)
}

/// A rectangle between two corners.
pub fn between(x0: f64, y0: f64, x1: f64, y1: f64) -> Fairway {
    plain(MultiPolygon(vec![
        Rect::new(coord! { x: x0, y: y0 }, coord! { x: x1, y: y1 }).to_polygon(),
    ]))
}

/// A mow of these tracks, whatever laid them.
pub fn mow_of(tracks: Vec<Track>) -> Mow {
    MowParts {
        fairway: "1".to_string(),
        pattern: PatternKind::Stripes,
        heading_deg: None,
        sense: Sense::Clockwise,
        settings: UsedSettings::default(),
        tracks,
        legs: Vec::new(),
        steps: Vec::new(),
        notes: Vec::new(),
    }
    .mow()
}
