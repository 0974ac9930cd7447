//! Turns between passes and shortest joins of two poses.

use super::{
    Fact,
    Mark::{Derived, Library, Memory},
    Row,
};
use crate::stored::{json, number, text};
use crossgrain_core::Pose;
use crossgrain_core::inside::driving::turns::{
    backing_turns, shortest_forward_m, turn_with_one_reverse,
};
use geo_types::coord;
use std::f64::consts::PI;

const BOCHTIS: &str = "Bochtis & Vougioukas, Minimising the non-working distance travelled by machines operating in a headland field pattern, Biosystems Engineering 101(1), 2008";
const DUBINS: &str = "Dubins, On curves of minimal length with a constraint on average curvature, American Journal of Mathematics 79, 1957";
const REEDS_SHEPP: &str = "Reeds & Shepp, Optimal paths for a car that goes both forwards and backwards, Pacific Journal of Mathematics 145(2), 1990";

fn pose(x: f64, y: f64, heading_rad: f64) -> Pose {
    Pose::new(coord! { x: x, y: y }, heading_rad)
}

/// From one pass back along the next one `w` to the left.
fn next_pass(w: f64) -> (Pose, Pose) {
    (pose(0.0, 0.0, 0.0), pose(0.0, w, PI))
}

pub fn rows() -> Vec<Row> {
    let mut out = Vec::new();
    let bulbs = Fact::new("length of a bulb turn", BOCHTIS, Memory);
    let reverses = Fact::new("length of a turn with one reverse", BOCHTIS, Memory);
    // radius, spacing, bulb, turn with one reverse
    for (r, w, bulb, backing) in [
        (1.0, 0.0, "7.3304", "5.1416"),
        (1.0, 1.0, "6.0325", "4.1416"),
        (1.0, 2.0, "3.1416", "3.1416"),
        (3.0, 2.54, "18.7719", "12.8848"),
        (6.0, 3.0, "40.3455", "27.8496"),
    ] {
        let (from, to) = next_pass(w);
        let case = format!("r {r} m, passes {w} m apart, m");
        out.push(bulbs.printed(
            format!("bulb, {case}"),
            bulb,
            shortest_forward_m(from, to, r),
        ));
        out.push(reverses.printed(
            format!("turn with a reverse, {case}"),
            backing,
            turn_with_one_reverse(from, to, r).map_or(f64::NAN, |t| t.length_m),
        ));
    }
    let u_turns = Fact::new("length of a U-turn", BOCHTIS, Memory);
    for (r, w, printed) in [(3.0, 8.0, "11.4248"), (6.0, 18.0, "24.8496")] {
        let (from, to) = next_pass(w);
        out.push(u_turns.printed(
            format!("U, r {r} m, passes {w} m apart, m"),
            printed,
            shortest_forward_m(from, to, r),
        ));
    }
    let with_line = Fact::new("shortest forward: arc, line, arc", DUBINS, Derived);
    let of_arcs = Fact::new("shortest forward: three arcs", DUBINS, Derived);
    for (x, y, h, r, printed, fact) in [
        (5.0, 0.0, 3.0, 1.0, "8.2725", with_line),
        (0.0, 0.0, PI, 1.0, "7.3304", of_arcs),
        (0.0, 4.0, PI, 1.0, "5.1416", with_line),
        (4.0, 4.0, 0.0, 1.0, "5.8546", with_line),
        (-4.0, 0.0, 0.0, 1.0, "10.2832", with_line),
        (4.0, 0.0, 0.0, 1.0, "4.0000", with_line),
        (5.0, 5.0, PI / 2.0, 4.99, "7.8524", with_line),
    ] {
        out.push(fact.printed(
            format!("shortest forward to ({x}, {y}, {h:.4} rad), r {r} m"),
            printed,
            shortest_forward_m(pose(0.0, 0.0, 0.0), pose(x, y, h), r),
        ));
    }
    out.push(
        Fact::new("turning about on the spot takes pi r", REEDS_SHEPP, Memory).printed(
            "turn about on the spot with reversing, r 1 m",
            "3.1416",
            backing_turns(pose(0.0, 0.0, 0.0), pose(0.0, 0.0, PI), 1.0)[0].length_m,
        ),
    );
    let stored = json("turns.json");
    let forward_by = text(&stored, "forward_by");
    let forward = Fact::new("shortest forward joins", &forward_by, Library);
    for c in stored["cases"].as_array().into_iter().flatten() {
        let [x, y, h, r] = ["x_m", "y_m", "heading_rad", "radius_m"].map(|k| number(c, k));
        let (from, to) = (pose(0.0, 0.0, 0.0), pose(x, y, h));
        out.push(forward.library(
            format!("forward to ({x}, {y}, {h:.4} rad), r {r} m"),
            number(c, "forward_m"),
            shortest_forward_m(from, to, r),
            1e-9,
        ));
    }
    out
}
