//! The course's plane against PROJ, Vincenty's formulae and printed lengths on the ellipsoid.

use super::{
    Fact,
    Mark::{Derived, Library, Memory, Read},
    Row,
};
use crate::stored::{json, number, text};
use crossgrain_core::Plane;
use crossgrain_core::inside::model::quantity::compass_deg;
use geo_types::{Coord, coord};

// All work to about a nanometre at these distances; Vincenty's series to a tenth of a millimetre
// anywhere, and far closer on so short lines.
const PLACE_M: f64 = 1e-6;
// Across, at 3 km from the middle, a plane is long by s^2 / (6 R^2) = 4e-8.
const DISTANCE_SHARE: f64 = 1e-7;

const VINCENTY: &str = "Vincenty, Direct and inverse solutions of geodesics on the ellipsoid with application of nested equations, Survey Review 23(176), 1975";
const GDA94: &str =
    "Geocentric Datum of Australia Technical Manual, version 2.3, 2006; Flinders Peak to Buninyong";
const WIKI: &str = "Wikipedia, Geographic coordinate system (year not noted); length of a degree";
const NAUTICAL: &str =
    "International Hydrographic Conference, Monaco, 1929; the nautical mile, a minute of latitude";

fn metres(plane: &Option<Plane>, lon: f64, lat: f64) -> Coord<f64> {
    match plane {
        Some(p) => p.to_metres([lon, lat]),
        None => coord! { x: f64::NAN, y: f64::NAN },
    }
}

/// Metres from one point to another, in the plane about the first.
fn between(lat: f64, lon: f64, to_lat: f64, to_lon: f64) -> Coord<f64> {
    metres(&Plane::new([lon, lat]), to_lon, to_lat)
}

fn length(at: Coord<f64>) -> f64 {
    at.x.hypot(at.y)
}

pub fn rows() -> Vec<Row> {
    let mut out = printed();
    let stored = json("geodesy.json");
    let [proj, geographiclib] = ["proj", "geographiclib"].map(|k| text(&stored, k));
    let place_by_proj = Fact::new("place in the equidistant plane", &proj, Library);
    let back_by_proj = Fact::new("position of a place in the plane", &proj, Library);
    let geodesics = Fact::new("length of a geodesic", &geographiclib, Library);
    let vincenty = Fact::new("length of a geodesic, by nested series", VINCENTY, Derived);
    let azimuths = Fact::new("azimuth of a geodesic, by nested series", VINCENTY, Derived);
    for place in stored["places"].as_array().into_iter().flatten() {
        let name = text(place, "name");
        let plane = Plane::new([number(place, "lon"), number(place, "lat")]);
        let mut points: Vec<Coord<f64>> = Vec::new();
        for (i, p) in place["points"].as_array().into_iter().flatten().enumerate() {
            let (lon, lat) = (number(p, "lon"), number(p, "lat"));
            let at = metres(&plane, lon, lat);
            points.push(at);
            // Three points of each place are enough to read; all take part in the distances.
            if i < 2 || i == 5 {
                for (axis, key, ours) in [("x", "x_m", at.x), ("y", "y_m", at.y)] {
                    let what = format!("{name}: {axis} of ({lon}, {lat}), m");
                    out.push(
                        place_by_proj
                            .library(what, number(p, key), ours, 1.0)
                            .within(PLACE_M),
                    );
                }
            }
            out.push(vincenty.library(
                format!("{name}: from the middle to ({lon}, {lat}), m"),
                number(p, "vincenty_m"),
                length(at),
                DISTANCE_SHARE,
            ));
            if i % 2 == 0 {
                let turn = compass_deg(at.y.atan2(at.x)) - number(p, "vincenty_deg");
                // On a line of 500 m a millionth of a degree is 9 micrometres.
                out.push(
                    azimuths
                        .library(
                            format!("{name}: bearing of ({lon}, {lat}), degrees off"),
                            0.0,
                            (turn + 180.0).rem_euclid(360.0) - 180.0,
                            1.0,
                        )
                        .within(1e-6),
                );
            }
            if i == 4 {
                let back = plane.as_ref().map_or([f64::NAN; 2], |q| {
                    q.lon_lat(coord! { x: number(p, "x_m"), y: number(p, "y_m") })
                        .position()
                });
                let what = format!(
                    "{name}: latitude of ({:.1}, {:.1}) m, degrees",
                    number(p, "x_m"),
                    number(p, "y_m")
                );
                out.push(Row {
                    decimals: 9,
                    // 1e-9 of a degree is a tenth of a millimetre; the stored position is rounded to it.
                    ..back_by_proj.library(what, lat, back[1], 1.0).within(1e-9)
                });
            }
        }
        for pair in place["pairs"].as_array().into_iter().flatten() {
            let (i, j) = (number(pair, "from") as usize, number(pair, "to") as usize);
            let ours = match (points.get(i), points.get(j)) {
                (Some(a), Some(b)) => (a.x - b.x).hypot(a.y - b.y),
                _ => f64::NAN,
            };
            let what = format!("{name}: straight line in the plane from point {i} to {j}, m");
            for (fact, key) in [(geodesics, "geodesic_m"), (vincenty, "vincenty_m")] {
                let theirs = number(pair, key);
                let row = fact.library(what.as_str(), theirs, ours, 1.0);
                out.push(row.within(DISTANCE_SHARE * theirs));
            }
        }
    }
    out
}

/// Lengths that books and pages print. (The page's seconds of longitude at 30 and 60 degrees are those
/// of a sphere, 0.2% and 0.5% short of the ellipsoid that it names, and are left out.)
fn printed() -> Vec<Row> {
    let dms = |d: f64, m: f64, s: f64| (d.abs() + m / 60.0 + s / 3600.0).copysign(d);
    let flinders = (dms(-37.0, 57.0, 3.7203), dms(144.0, 25.0, 29.5244));
    let buninyong = (dms(-37.0, 39.0, 10.1561), dms(143.0, 55.0, 35.3839));
    let line = between(flinders.0, flinders.1, buninyong.0, buninyong.1);
    let second = 1.0 / 3600.0;
    let along = |lat: f64| length(between(lat, 0.0, lat, second));
    let wiki = |id| Fact::new(id, WIKI, Read);
    vec![
        // The manual's ellipsoid, GRS 80, has a minor axis 0.1 mm longer than that of WGS 84.
        Fact::new("length of the manual's sample line", GDA94, Memory).printed(
            "Flinders Peak to Buninyong, m",
            "54972.271",
            length(line),
        ),
        Fact::new("azimuth of the manual's sample line", GDA94, Memory)
            .printed(
                "Flinders Peak to Buninyong, azimuth 306 52 05.37, degrees",
                "306.868158",
                compass_deg(line.y.atan2(line.x)),
            )
            // A hundredth of a second of arc.
            .within(0.5 * 0.01 / 3600.0),
        wiki("a second of latitude at the equator").printed(
            "a second of latitude at the equator, m",
            "30.715",
            length(between(0.0, 0.0, second, 0.0)),
        ),
        wiki("a second of longitude at the equator").printed(
            "a second of longitude at the equator, m",
            "30.92",
            along(0.0),
        ),
        wiki("series for a degree of latitude").formula(
            "a degree of latitude about 45 degrees, m",
            degree_of_latitude(45.0),
            length(between(44.5, 0.0, 45.5, 0.0)),
            // The page: within a centimetre; it is three of them off here.
            5e-7,
        ),
        wiki("series for a degree of longitude").formula(
            "a degree of longitude at 45 degrees, from a second of it, m",
            degree_of_longitude(45.0),
            3600.0 * along(45.0),
            5e-7,
        ),
        Fact::new(
            "a minute of latitude is about a nautical mile",
            NAUTICAL,
            Memory,
        )
        .printed(
            "a minute of latitude at 45 degrees, m",
            "1852",
            length(between(45.0, 0.0, 45.0 + 1.0 / 60.0, 0.0)),
        ),
    ]
}

fn degree_of_longitude(deg: f64) -> f64 {
    let p = deg.to_radians();
    111_412.84 * p.cos() - 93.5 * (3.0 * p).cos() + 0.118 * (5.0 * p).cos()
}

fn degree_of_latitude(deg: f64) -> f64 {
    let p = 2.0 * deg.to_radians();
    111_132.92 - 559.82 * p.cos() + 1.175 * (2.0 * p).cos() - 0.0023 * (3.0 * p).cos()
}
