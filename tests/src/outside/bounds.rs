//! The least width of a shape over all directions: what the fewest passes are reckoned from.

use super::{
    Fact,
    Mark::{Derived, Memory},
    Row,
};
use crossgrain_core::inside::ground::heading::{minimum_width, width_across};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};
use std::f64::consts::{FRAC_PI_3, TAU};

const HOULE: &str = "Houle & Toussaint, Computing the width of a set, IEEE Transactions on Pattern Analysis and Machine Intelligence 10(5), 1988";
const EUCLID: &str = "Euclid, Elements, Heath's translation, 1908; book VI, proposition 8 (altitude of a right triangle)";
const TRIANGLE: &str = "Weisstein, MathWorld (year not noted); Equilateral Triangle, altitude";
const PENTAGON: &str = "Weisstein, MathWorld (year not noted); Regular Pentagon, height";
const HEXAGON: &str = "Weisstein, MathWorld (year not noted); Regular Hexagon, inradius";
const OCTAGON: &str = "Weisstein, MathWorld (year not noted); Regular Octagon, inradius";
const REULEAUX: &str = "Weisstein, MathWorld (year not noted); Reuleaux Triangle, constant width";

fn area(corners: Vec<Coord<f64>>) -> MultiPolygon<f64> {
    let mut ring = corners;
    ring.push(ring[0]);
    MultiPolygon(vec![Polygon::new(LineString(ring), Vec::new())])
}

fn width(corners: &[(f64, f64)]) -> f64 {
    let corners = corners.iter().map(|&p| p.into()).collect();
    minimum_width(&area(corners)).map_or(f64::NAN, |w| w.width_m)
}

/// Corners on a circle, turned so that no side lies along an axis.
fn regular(n: u32, side: f64) -> Vec<(f64, f64)> {
    let r = side / (2.0 * (std::f64::consts::PI / f64::from(n)).sin());
    (0..n)
        .map(|i| TAU * f64::from(i) / f64::from(n) + 0.3)
        .map(|a| (r * a.cos(), r * a.sin()))
        .collect()
}

/// Three arcs of radius 1 about the corners of an equilateral triangle, in chords.
fn reuleaux() -> Vec<(f64, f64)> {
    const CHORDS: u32 = 400;
    let corners = regular(3, 1.0);
    (0..3)
        .flat_map(|i| {
            let (from, about) = (corners[i], corners[(i + 2) % 3]);
            let start = (from.1 - about.1).atan2(from.0 - about.0);
            (0..CHORDS).map(move |k| {
                let a = start + FRAC_PI_3 * f64::from(k) / f64::from(CHORDS);
                (about.0 + a.cos(), about.1 + a.sin())
            })
        })
        .collect()
}

pub fn rows() -> Vec<Row> {
    let round = reuleaux();
    let across = |deg: f64| {
        let ring = round.iter().map(|&p| p.into()).collect();
        width_across(&area(ring), deg.to_radians())
    };
    vec![
        Fact::new(
            "the width of a convex set lies across one of its sides",
            HOULE,
            Derived,
        )
        .printed(
            "a 90 by 32 m rectangle, m",
            "32.0000",
            width(&[(0.0, 0.0), (90.0, 0.0), (90.0, 32.0), (0.0, 32.0)]),
        ),
        Fact::new("altitude of the 3-4-5 triangle", EUCLID, Memory).printed(
            "3-4-5 triangle",
            "2.4",
            width(&[(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)]),
        ),
        Fact::new("altitude of the equilateral triangle", TRIANGLE, Memory).printed(
            "equilateral triangle of side 1",
            "0.8660",
            width(&regular(3, 1.0)),
        ),
        Fact::new("height of the regular pentagon", PENTAGON, Memory).printed(
            "regular pentagon of side 1",
            "1.5388",
            width(&regular(5, 1.0)),
        ),
        Fact::new("inradius of the regular hexagon", HEXAGON, Memory).printed(
            "regular hexagon of side 1",
            "1.7321",
            width(&regular(6, 1.0)),
        ),
        Fact::new("inradius of the regular octagon", OCTAGON, Memory).printed(
            "regular octagon of side 1",
            "2.4142",
            width(&regular(8, 1.0)),
        ),
        Fact::new("a curve of constant width", REULEAUX, Memory).printed(
            "Reuleaux triangle of side 1, least width",
            "1.0000",
            width(&round),
        ),
        Fact::new("a curve of constant width", REULEAUX, Memory).printed(
            "Reuleaux triangle of side 1, across 77 degrees",
            "1.0000",
            across(77.0),
        ),
    ]
}
