//! The polygons that RFC 7946 itself shows.

use super::{Mark::Memory, Row};
use crate::stored::{json, number, text};
use crossgrain_formats::course::read;
use geo::Area;

// The plane's own error is a millimetre in a hundred metres, so twice that in an area.
const AREA_SHARE: f64 = 2e-5;

pub fn rows() -> Vec<Row> {
    let stored = json("geojson.json");
    let source = text(&stored, "source");
    let mut out = Vec::new();
    for c in stored["cases"].as_array().into_iter().flatten() {
        let name = text(c, "name");
        let file = read(&c["small"].to_string(), "rfc7946.geojson", "rfc7946").ok();
        let fairways = file.as_ref().map_or(&[][..], |f| &f.course.fairways);
        let ground: f64 = fairways.iter().map(|f| f.ground.unsigned_area()).sum();
        let holes: usize = fairways
            .iter()
            .flat_map(|f| f.ground.iter().map(|p| p.interiors().len()))
            .sum();
        out.push(Row::library(
            format!("{name}, drawn small: area, m2"),
            &source,
            number(c, "area_m2"),
            ground,
            AREA_SHARE,
        ));
        out.push(Row::count(
            format!("{name}, drawn small: holes"),
            "RFC 7946",
            Memory,
            number(c, "holes") as usize,
            if file.is_some() {
                holes as f64
            } else {
                f64::NAN
            },
        ));
        // As printed they are a hundred kilometres across: no course, and refused as such.
        let refused = read(&c["printed"].to_string(), "rfc7946.geojson", "rfc7946").is_err();
        out.push(Row::count(
            format!("{name}, as printed: files refused as too large"),
            "RFC 7946",
            Memory,
            1,
            f64::from(u8::from(refused)),
        ));
    }
    out
}
