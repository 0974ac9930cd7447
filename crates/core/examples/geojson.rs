//! From longitude and latitude to a plan and back: the passes as GeoJSON on standard output.
//!
//! `cargo run -p crossgrain-core --example geojson --features lonlat > passes.geojson`

use crossgrain_core::prelude::*;
use crossgrain_core::{Plane, Reels};

/// An invented fairway, longitude and latitude.
const OUTLINE: [[f64; 2]; 5] = [
    [-103.1002, 45.0001],
    [-103.0984, 45.0000],
    [-103.0979, 45.0003],
    [-103.0985, 45.0005],
    [-103.1001, 45.0005],
];
/// Chords stay this near to the arcs they stand for, metres.
const TOLERANCE_M: f64 = 0.01;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    println!("{}", passes()?);
    Ok(())
}

/// The drive on the fairway as a collection of lines.
pub fn passes() -> Result<String, Box<dyn std::error::Error>> {
    let plane = Plane::about(OUTLINE).ok_or("no position")?;
    let fairway = Fairway::builder("3").outline(plane.area(OUTLINE)).build()?;
    let settings = Settings::new(Pattern::Stripes {
        heading: Heading::Fewest,
    });
    let mow = plan(&fairway, &Mower::bar(2.54), &settings)?;

    let mut features = Vec::new();
    for (reels, line) in mow.line_strings(TOLERANCE_M) {
        let reels = match reels {
            Reels::Down => "down",
            Reels::Up => "up",
        };
        let positions: Vec<String> = line
            .coords()
            .map(|c| plane.lon_lat(*c).position())
            .map(|[lon, lat]| format!("[{lon:.8},{lat:.8}]"))
            .collect();
        features.push(format!(
            r#"{{"type":"Feature","properties":{{"reels":"{reels}"}},"geometry":{{"type":"LineString","coordinates":[{}]}}}}"#,
            positions.join(",")
        ));
    }
    Ok(format!(
        r#"{{"type":"FeatureCollection","features":[{}]}}"#,
        features.join(",\n")
    ))
}
