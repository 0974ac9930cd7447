//! Turn lengths against two general libraries: 1,000 pairs of poses each.
//!
//! The stored results come from `tests/scripts/turn_lengths.py`.

use crossgrain_core::Pose;
use crossgrain_core::inside::driving::reversing::{backing_turns, shortest_backing_m};
use crossgrain_core::inside::driving::turns::{forward_turns, shortest_forward_m};
use geo_types::coord;

/// Relative difference allowed between two ways to compute the same length.
const RELATIVE: f64 = 1e-6;

fn rows(text: &str) -> Vec<[f64; 8]> {
    text.lines()
        .filter(|l| l.starts_with(|c: char| c.is_ascii_digit()))
        .map(|l| {
            let v: Vec<f64> = l.split(',').map(|f| f.parse().expect("a number")).collect();
            v.try_into().expect("eight columns")
        })
        .collect()
}

fn check(text: &str, lengths: impl Fn(Pose, Pose, f64) -> [f64; 2]) {
    let rows = rows(text);
    assert_eq!(rows.len(), 1000);
    for [r, x0, y0, h0, x1, y1, h1, expected] in rows {
        let from = Pose::new(coord! { x: x0, y: y0 }, h0);
        let to = Pose::new(coord! { x: x1, y: y1 }, h1);
        for got in lengths(from, to, r) {
            assert!(
                (got - expected).abs() <= RELATIVE * expected,
                "radius {r} from {from:?} to {to:?}: {got} m, expected {expected} m"
            );
        }
    }
}

/// PyPI `dubins` 1.0.1.
#[test]
fn forward_turns_are_as_short_as_another_library_says() {
    check(include_str!("../stored/turns-forward.csv"), |a, b, r| {
        [
            shortest_forward_m(a, b, r),
            forward_turns(a, b, r)[0].length_m,
        ]
    });
}

/// PyPI `rsplan` 1.0.10.
#[test]
fn backing_turns_are_as_short_as_another_library_says() {
    check(include_str!("../stored/turns-backing.csv"), |a, b, r| {
        [
            shortest_backing_m(a, b, r),
            backing_turns(a, b, r)[0].length_m,
        ]
    });
}
