//! What RFC 7946 says of polygons: its own examples, and the rules beside them.

use super::{
    Fact,
    Mark::{Library, Memory},
    Row,
};
use crate::stored::{json, number, text};
use crossgrain_core::Fairway;
use crossgrain_formats::course::read;
use geo::Area;
use serde_json::{Value, json as value};

// The plane's own error is 4e-8 along, so twice that in an area.
const AREA_SHARE: f64 = 1e-7;

const ORDER: &str =
    "RFC 7946, The GeoJSON Format, 2016; section 3.1.1 (longitude first, altitude may follow)";
const RINGS: &str = "RFC 7946, The GeoJSON Format, 2016; section 3.1.6 (rings)";
const UNLOCATED: &str =
    "RFC 7946, The GeoJSON Format, 2016; section 3.2 (a feature without a place)";
const FOREIGN: &str =
    "RFC 7946, The GeoJSON Format, 2016; section 6.1 (members of no meaning to the format)";
const ANTIMERIDIAN: &str =
    "RFC 7946, The GeoJSON Format, 2016; section 3.1.9 (cut at the antimeridian)";

fn fairways(file: &Value) -> Vec<Fairway> {
    read(&file.to_string(), "drawn.geojson", "drawn").map_or(Vec::new(), |f| f.course.fairways)
}

fn ground_m2(file: &Value) -> f64 {
    fairways(file)
        .iter()
        .map(|f| f.ground().unsigned_area())
        .sum()
}

/// A strip of 0.002 by 0.0004 degrees.
fn strip(more: &[f64]) -> Vec<Vec<f64>> {
    [
        (5.0, 45.0),
        (5.002, 45.0),
        (5.002, 45.0004),
        (5.0, 45.0004),
        (5.0, 45.0),
    ]
    .iter()
    .map(|&(lon, lat)| [&[lon, lat], more].concat())
    .collect()
}

fn polygon(rings: &[Vec<Vec<f64>>]) -> Value {
    value!({"type": "Polygon", "coordinates": rings})
}

pub fn rows() -> Vec<Row> {
    let mut out = examples();
    out.extend(rings());
    out.extend(files());
    out
}

/// The standard's own examples, drawn small.
fn examples() -> Vec<Row> {
    let stored = json("geojson.json");
    let by = text(&stored, "areas_by");
    let areas = Fact::new("area of a polygon on the ellipsoid", &by, Library);
    let mut out = Vec::new();
    for c in stored["cases"].as_array().into_iter().flatten() {
        let name = text(c, "name");
        let source = format!("RFC 7946, The GeoJSON Format, 2016; {name}");
        out.push(areas.library(
            format!("{name}, drawn small: area, m2"),
            number(c, "area_m2"),
            ground_m2(&c["small"]),
            AREA_SHARE,
        ));
        let all = fairways(&c["small"]);
        let holes: usize = all
            .iter()
            .flat_map(|f| f.ground().iter().map(|p| p.interiors().len()))
            .sum();
        out.push(Fact::new("holes of the example", &source, Memory).count(
            format!("{name}, drawn small: holes"),
            number(c, "holes") as usize,
            if all.is_empty() {
                f64::NAN
            } else {
                holes as f64
            },
        ));
    }
    out
}

/// A file that holds the same ground as the plain strip.
fn same(id: &'static str, source: &str, what: &str, file: &Value) -> Row {
    let plain = ground_m2(&polygon(&[strip(&[])]));
    Fact::new(id, source, Memory).formula(what.to_string(), plain, ground_m2(file), 1e-12)
}

/// Positions and rings.
fn rings() -> Vec<Row> {
    let mut out = Vec::new();
    let wide = |file: &Value| {
        fairways(file)
            .first()
            .and_then(|f| geo::BoundingRect::bounding_rect(f.ground()))
            .map_or(f64::NAN, |r| r.width())
    };
    out.push(
        Fact::new("longitude stands before latitude", ORDER, Memory).printed(
            "0.002 degrees of longitude at 45 degrees north, m wide",
            // 78.85 km a degree there.
            "157.7",
            wide(&polygon(&[strip(&[])])),
        ),
    );
    out.push(same(
        "a third number is a height, and no matter here",
        ORDER,
        "the same strip with heights: area, m2",
        &polygon(&[strip(&[412.5])]),
    ));
    let mut clockwise = strip(&[]);
    clockwise.reverse();
    out.push(same(
        "readers take rings wound either way",
        RINGS,
        "the same strip wound clockwise: area, m2",
        &polygon(&[clockwise]),
    ));
    // Three positions make no ring: nothing to mow, and the fault names the ring.
    let three = polygon(&[strip(&[])[..3].to_vec()]);
    let faults = read(&three.to_string(), "drawn.geojson", "drawn")
        .err()
        .map_or(String::new(), |e| e.to_string());
    out.push(
        Fact::new("a ring has four or more positions", RINGS, Memory).count(
            "a ring of three positions: refusals that name the ring",
            1,
            faults.matches("ring").count().min(1) as f64,
        ),
    );
    out
}

/// What stands round the geometry, and the cut at the antimeridian.
fn files() -> Vec<Row> {
    let mut out = Vec::new();
    let feature = |geometry: Value| value!({"type": "Feature", "properties": {"role": "fairway", "name": "1"}, "geometry": geometry});
    let collection = |extra: Value| {
        let mut file =
            value!({"type": "FeatureCollection", "features": [feature(polygon(&[strip(&[])]))]});
        if let (Some(map), Some(more)) = (file.as_object_mut(), extra.as_object()) {
            map.extend(more.clone());
        }
        file
    };
    let mut unlocated = collection(value!({}));
    if let Some(list) = unlocated["features"].as_array_mut() {
        list.push(value!({"type": "Feature", "properties": null, "geometry": null}));
    }
    out.push(same(
        "a feature may have no geometry",
        UNLOCATED,
        "the strip beside a feature without geometry: area, m2",
        &unlocated,
    ));
    out.push(same(
        "foreign members are passed over",
        FOREIGN,
        "the strip in a file with members of its own: area, m2",
        &collection(value!({"title": "drawn", "centerline": {"type": "LineString"}})),
    ));
    // The same strip laid over the antimeridian, cut there as the standard asks.
    let half = |from: f64, to: f64| {
        vec![
            [from, 45.0],
            [to, 45.0],
            [to, 45.0004],
            [from, 45.0004],
            [from, 45.0],
        ]
    };
    let cut = value!({"type": "MultiPolygon", "coordinates": [[half(179.999, 180.0)], [half(-180.0, -179.999)]]});
    out.push(
        Fact::new(
            "polygons across the antimeridian are cut there",
            ANTIMERIDIAN,
            Memory,
        )
        .formula(
            "the same strip over the antimeridian: area, m2",
            ground_m2(&polygon(&[strip(&[])])),
            ground_m2(&cut),
            1e-6,
        ),
    );
    out
}
