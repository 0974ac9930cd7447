//! The course's plane against PROJ, and its distances against geodesics.

use super::Row;
use crate::stored::{json, number, text};
use crossgrain_formats::Plane;
use geo_types::{Coord, coord};

// Both work to about a nanometre at these distances.
const PLACE_M: f64 = 1e-6;
// A millimetre in a hundred metres: what is promised within 3 km of the origin.
const DISTANCE_SHARE: f64 = 1e-5;

pub fn rows() -> Vec<Row> {
    let stored = json("geodesy.json");
    let source = text(&stored, "source");
    let mut out = Vec::new();
    for place in stored["places"].as_array().into_iter().flatten() {
        let name = text(place, "name");
        let plane = Plane::new(number(place, "lon"), number(place, "lat"));
        let to_metres = |lon: f64, lat: f64| match &plane {
            Some(p) => p.to_metres(lon, lat),
            None => coord! { x: f64::NAN, y: f64::NAN },
        };
        let mut points: Vec<Coord<f64>> = Vec::new();
        for (i, p) in place["points"].as_array().into_iter().flatten().enumerate() {
            let (lon, lat) = (number(p, "lon"), number(p, "lat"));
            let at = to_metres(lon, lat);
            points.push(at);
            // Three points of each place are enough to read; all take part in the distances.
            if i < 2 || i == 5 {
                for (axis, key, ours) in [("x", "x_m", at.x), ("y", "y_m", at.y)] {
                    out.push(Row {
                        tolerance: PLACE_M,
                        ..Row::library(
                            format!("{name}: {axis} of ({lon}, {lat}), m"),
                            &source,
                            number(p, key),
                            ours,
                            1.0,
                        )
                    });
                }
            }
            if i == 4 {
                let back = plane.as_ref().map_or([f64::NAN; 2], |q| {
                    q.to_degrees(coord! { x: number(p, "x_m"), y: number(p, "y_m") })
                });
                out.push(Row {
                    // 1e-9 of a degree is a tenth of a millimetre; the stored position is rounded to it.
                    tolerance: 1e-9,
                    decimals: 9,
                    ..Row::library(
                        format!(
                            "{name}: latitude of ({:.1}, {:.1}) m, degrees",
                            number(p, "x_m"),
                            number(p, "y_m")
                        ),
                        &source,
                        lat,
                        back[1],
                        1.0,
                    )
                });
            }
        }
        for pair in place["pairs"].as_array().into_iter().flatten() {
            let (i, j) = (number(pair, "from") as usize, number(pair, "to") as usize);
            let geodesic = number(pair, "geodesic_m");
            let ours = match (points.get(i), points.get(j)) {
                (Some(a), Some(b)) => (a.x - b.x).hypot(a.y - b.y),
                _ => f64::NAN,
            };
            out.push(Row {
                tolerance: DISTANCE_SHARE * geodesic,
                ..Row::library(
                    format!("{name}: straight line in the plane from point {i} to {j}, m"),
                    &source,
                    geodesic,
                    ours,
                    1.0,
                )
            });
        }
    }
    out
}
