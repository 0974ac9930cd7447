//! Writes random mows as JSON for the reference scripts: `random_mow_scenes COUNT > FILE`.

use crossgrain_core::inside::ground::reach::reach;
use crossgrain_core::{Reels, Segment};
use crossgrain_tests::random_mows::random_mow;
use geo_types::{Coord, LineString, MultiPolygon};
use serde_json::{Value, json};

fn main() {
    let count = std::env::args()
        .nth(1)
        .and_then(|n| n.parse().ok())
        .unwrap_or(200_u64);
    let scenes: Vec<Value> = (0..count).map(scene).collect();
    println!("{}", Value::from(scenes));
}

fn scene(seed: u64) -> Value {
    let m = random_mow(seed);
    let tracks: Vec<Value> = m
        .tracks
        .iter()
        .filter(|t| t.reels == Reels::Down)
        .map(|t| match t.path {
            Segment::Line { from, to } => json!({ "line": [point(&from), point(&to)] }),
            Segment::Arc(a) => json!({ "arc": {
                "centre": point(&a.centre), "radius": a.radius_m, "from_rad": a.from_rad, "sweep_rad": a.sweep_rad,
            } }),
        })
        .collect();
    let units: Vec<Value> = m
        .mower
        .units
        .iter()
        .map(|u| json!([u.across_m, u.ahead_m, u.width_m]))
        .collect();
    json!({
        "seed": seed,
        "kind": m.kind,
        "ground": area(m.fairway.ground()),
        "reach": area(&reach(m.fairway.ground(), m.mower.cutting_width_m())),
        "keep_outs": area(&m.fairway.keep_out_area()),
        "units": units,
        "tracks": tracks,
    })
}

fn area(m: &MultiPolygon<f64>) -> Value {
    let ring = |r: &LineString<f64>| r.0.iter().map(point).collect::<Vec<_>>();
    m.iter()
        .map(|p| {
            std::iter::once(p.exterior())
                .chain(p.interiors())
                .map(ring)
                .collect::<Vec<_>>()
        })
        .collect::<Vec<_>>()
        .into()
}

fn point(c: &Coord<f64>) -> Value {
    json!([c.x, c.y])
}
