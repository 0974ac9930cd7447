//! Random ground for property tests.
//!
//! Not in the library beside [`Spec`]: the first build of the command would then compile proptest.

use crossgrain_tests::grounds::{Hazard, Spec};
use proptest::prelude::*;
use std::f64::consts::TAU;

fn hazard() -> impl Strategy<Value = Hazard> {
    (
        0.05..0.95f64,
        -1.3..1.3f64,
        (1.5..9.0f64, 1.5..5.0f64),
        0.0..TAU,
    )
        .prop_map(|(along, across, size_m, turn_rad)| Hazard {
            along,
            across,
            size_m,
            turn_rad,
        })
}

/// Fairways as courses have them, with the odd tiny and huge one.
pub fn specs() -> impl Strategy<Value = Spec> {
    let size = prop_oneof![
        8 => (120.0..380.0f64, 24.0..46.0f64),
        2 => (30.0..120.0f64, 10.0..30.0f64),
        1 => (6.0..30.0f64, 2.0..8.0f64),
        1 => (450.0..700.0f64, 40.0..80.0f64),
    ];
    (
        size,
        0.0..0.25f64,
        [-0.6..0.6f64, -0.6..0.6f64, -0.6..0.6f64],
        proptest::option::weighted(0.3, (0.25..0.75f64, 0.6..7.0f64)),
        proptest::option::weighted(0.2, (0.3..0.7f64, 4.0..40.0f64)),
        proptest::collection::vec(hazard(), 0..4),
        3.0..8.0f64,
        (0.0..TAU, any::<bool>()),
        (-3000.0..3000.0f64, -3000.0..3000.0f64),
    )
        .prop_map(
            |(
                (length_m, width_m),
                swing,
                bends_rad,
                neck,
                gap,
                hazards,
                step_m,
                (turn_rad, mirrored),
                shift_m,
            )| {
                Spec {
                    length_m,
                    width_m,
                    swing,
                    bends_rad,
                    neck,
                    gap,
                    hazards,
                    step_m,
                    turn_rad,
                    mirrored,
                    shift_m,
                }
            },
        )
}

/// Fairways of everyday size, for properties that need several plans of each.
#[allow(dead_code, reason = "not every test file draws small ones")]
pub fn small_specs() -> impl Strategy<Value = Spec> {
    specs().prop_map(|mut s| {
        s.length_m = 40.0 + s.length_m % 80.0;
        s.width_m = 14.0 + s.width_m % 16.0;
        s
    })
}
