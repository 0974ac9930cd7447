//! How few passes and metres can do, whatever the plan.

use super::{Mark::Derived, Row};
use crossgrain_core::ground::heading::{minimum_width, pass_floor};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

fn width(corners: &[(f64, f64)]) -> f64 {
    let mut ring: Vec<Coord<f64>> = corners.iter().map(|&p| p.into()).collect();
    ring.push(ring[0]);
    minimum_width(&MultiPolygon(vec![Polygon::new(
        LineString(ring),
        Vec::new(),
    )]))
    .map_or(f64::NAN, |w| w.width_m)
}

pub fn rows() -> Vec<Row> {
    let source = "Houle & Toussaint 1988; plane geometry";
    let half_root_3 = 3f64.sqrt() / 2.0;
    let hexagon: Vec<(f64, f64)> = (0..6)
        .map(|i| f64::from(i) * std::f64::consts::FRAC_PI_3)
        // Turned, so that no side lies along an axis.
        .map(|a| ((a + 0.3).cos(), (a + 0.3).sin()))
        .collect();
    vec![
        Row::printed(
            "minimum width of a 90 by 32 m rectangle, m",
            source,
            Derived,
            "32.0000",
            width(&[(0.0, 0.0), (90.0, 0.0), (90.0, 32.0), (0.0, 32.0)]),
        ),
        Row::printed(
            "minimum width of a 3-4-5 triangle",
            source,
            Derived,
            "2.4000",
            width(&[(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)]),
        ),
        Row::printed(
            "minimum width of an equilateral triangle of side 1",
            source,
            Derived,
            "0.8660",
            width(&[(0.0, 0.0), (1.0, 0.0), (0.5, half_root_3)]),
        ),
        Row::printed(
            "minimum width of a regular hexagon of side 1",
            source,
            Derived,
            "1.7321",
            width(&hexagon),
        ),
        Row::count(
            "passes across 29.26 m, deck 2.54 m, overlap 0.10 m",
            "ceil((H - W) / (W - o)) + 1",
            Derived,
            12,
            f64::from(pass_floor(29.26, 2.54, 0.10)),
        ),
        Row::count(
            "passes across 2.54 m, deck 2.54 m",
            "ceil((H - W) / (W - o)) + 1",
            Derived,
            1,
            f64::from(pass_floor(2.54, 2.54, 0.10)),
        ),
        Row::count(
            "passes across 50 m, deck 2 m, no overlap",
            "ceil((H - W) / (W - o)) + 1",
            Derived,
            25,
            f64::from(pass_floor(50.0, 2.0, 0.0)),
        ),
    ]
}
