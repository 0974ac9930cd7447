//! Turn lengths against a general library: 1,000 pairs of poses.
//!
//! The stored results come from `tests/scripts/turn_lengths.py`.

use crossgrain_core::Pose;
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

/// PyPI `dubins` 1.0.1.
#[test]
fn forward_turns_are_as_short_as_another_library_says() {
    let rows = rows(include_str!("../stored/turns-forward.csv"));
    assert_eq!(rows.len(), 1000);
    for [r, x0, y0, h0, x1, y1, h1, expected] in rows {
        let from = Pose::new(coord! { x: x0, y: y0 }, h0);
        let to = Pose::new(coord! { x: x1, y: y1 }, h1);
        let laid_m = forward_turns(from, to, r)[0].length_m;
        for got in [shortest_forward_m(from, to, r), laid_m] {
            assert!(
                (got - expected).abs() <= RELATIVE * expected,
                "radius {r} from {from:?} to {to:?}: {got} m, expected {expected} m"
            );
        }
    }
}
