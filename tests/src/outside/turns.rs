//! Turns between passes and shortest joins of two poses.

use super::{
    Mark::{Derived, Memory},
    Row,
};
use crate::stored::{json, number, text};
use crossgrain_core::Pose;
use crossgrain_core::driving::reversing::{shortest_backing_m, turn_with_one_reverse};
use crossgrain_core::driving::turns::{shortest_forward, shortest_forward_m};
use geo_types::coord;
use std::f64::consts::PI;

const BOCHTIS: &str = "Bochtis & Vougioukas, Biosystems Engineering 2008, re-derived";
const DUBINS: &str = "Dubins 1957, worked out apart";

fn pose(x: f64, y: f64, heading_rad: f64) -> Pose {
    Pose::new(coord! { x: x, y: y }, heading_rad)
}

/// From one pass back along the next one `w` to the left.
fn next_pass(w: f64) -> (Pose, Pose) {
    (pose(0.0, 0.0, 0.0), pose(0.0, w, PI))
}

fn bulb_depth(r: f64, w: f64) -> f64 {
    let (from, to) = next_pass(w);
    shortest_forward(from, to, r)
        .paths
        .iter()
        .flat_map(|p| p.points(1e-7))
        .map(|c| c.x)
        .fold(0.0, f64::max)
}

pub fn rows() -> Vec<Row> {
    let mut out = Vec::new();
    // radius, spacing, bulb, turn with one reverse
    for (r, w, bulb, backing) in [
        (1.0, 0.0, "7.3304", "5.1416"),
        (1.0, 1.0, "6.0325", "4.1416"),
        (1.0, 2.0, "3.1416", "3.1416"),
        (3.0, 2.54, "18.7719", "12.8848"),
        (6.0, 3.0, "40.3455", "27.8496"),
    ] {
        let (from, to) = next_pass(w);
        out.push(Row::printed(
            format!("bulb, r {r} m, passes {w} m apart, m"),
            BOCHTIS,
            Memory,
            bulb,
            shortest_forward_m(from, to, r),
        ));
        out.push(Row::printed(
            format!("turn with a reverse, r {r} m, passes {w} m apart, m"),
            BOCHTIS,
            Memory,
            backing,
            turn_with_one_reverse(from, to, r).map_or(f64::NAN, |t| t.length_m),
        ));
    }
    out.push(Row::printed(
        "depth of the bulb, r 3 m, passes 2.54 m apart, m",
        "r + 2 r sin a, cos a = (w + 2 r) / (4 r)",
        Derived,
        "7.2151",
        bulb_depth(3.0, 2.54),
    ));
    for (r, w, printed) in [(3.0, 8.0, "11.4248"), (6.0, 18.0, "24.8496")] {
        let (from, to) = next_pass(w);
        out.push(Row::printed(
            format!("U, r {r} m, passes {w} m apart, m"),
            BOCHTIS,
            Memory,
            printed,
            shortest_forward_m(from, to, r),
        ));
    }
    for (x, y, h, r, printed) in [
        (5.0, 0.0, 3.0, 1.0, "8.2725"),
        (0.0, 0.0, PI, 1.0, "7.3304"),
        (0.0, 4.0, PI, 1.0, "5.1416"),
        (4.0, 4.0, 0.0, 1.0, "5.8546"),
        (-4.0, 0.0, 0.0, 1.0, "10.2832"),
        (4.0, 0.0, 0.0, 1.0, "4.0000"),
        (5.0, 5.0, PI / 2.0, 4.99, "7.8524"),
    ] {
        out.push(Row::printed(
            format!("shortest forward to ({x}, {y}, {h:.4} rad), r {r} m"),
            DUBINS,
            Derived,
            printed,
            shortest_forward_m(pose(0.0, 0.0, 0.0), pose(x, y, h), r),
        ));
    }
    out.push(Row::printed(
        "turn about on the spot with reversing, r 1 m",
        "Reeds & Shepp 1990",
        Memory,
        "3.1416",
        shortest_backing_m(pose(0.0, 0.0, 0.0), pose(0.0, 0.0, PI), 1.0),
    ));
    let stored = json("turns.json");
    let source = text(&stored, "source");
    for c in stored["cases"].as_array().into_iter().flatten() {
        let [x, y, h, r] = ["x_m", "y_m", "heading_rad", "radius_m"].map(|k| number(c, k));
        let (from, to) = (pose(0.0, 0.0, 0.0), pose(x, y, h));
        out.push(Row::library(
            format!("forward to ({x}, {y}, {h:.4} rad), r {r} m"),
            &source,
            number(c, "forward_m"),
            shortest_forward_m(from, to, r),
            1e-9,
        ));
        out.push(Row::library(
            format!("with reversing to ({x}, {y}, {h:.4} rad), r {r} m"),
            &source,
            number(c, "with_reverse_m"),
            shortest_backing_m(from, to, r),
            1e-9,
        ));
    }
    out
}
