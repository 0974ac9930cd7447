//! Cutting units on a loop: radii, strips and clip.

use super::{Mark::Derived, Row};
use crossgrain_core::deck::{clean_from_radius_m, strips};
use crossgrain_core::model::mower::Reel;
use crossgrain_core::model::units::{INCH_M, KMH_M_S, MPH_M_S};
use crossgrain_core::{Mower, Sense, Unit};
use crossgrain_metrics::clip_rate::{clip_m, outer_over_inner};

fn pair(ahead_m: f64, overlap_m: f64) -> [Unit; 2] {
    // Two units of 0.8 m, the front one on the right: the inside of a clockwise turn lies there.
    let half = (0.8 - overlap_m) / 2.0;
    [
        Unit {
            across_m: half,
            ahead_m: 0.0,
            width_m: 0.8,
        },
        Unit {
            across_m: -half,
            ahead_m,
            width_m: 0.8,
        },
    ]
}

pub fn rows() -> Vec<Row> {
    let mut out = vec![
        Row::printed(
            "clip at 6 km/h, 2,200 rpm, 15 cuts a turn, mm",
            "16,666.7 x km/h / (rpm x blades)",
            Derived,
            "3.030",
            1000.0
                * clip_m(
                    6.0 * KMH_M_S,
                    &Reel {
                        blades: 15,
                        rpm: 2200.0,
                    },
                ),
        ),
        Row::printed(
            "clip at 5 mph, 2,000 rpm, 11 blades, in",
            "1,056 x mph / (rpm x blades)",
            Derived,
            // 5280 / 22000
            "0.2400",
            clip_m(
                5.0 * MPH_M_S,
                &Reel {
                    blades: 11,
                    rpm: 2000.0,
                },
            ) / INCH_M,
        ),
        Row::printed(
            "clip, outer over inner edge, R 6 m, W 2.54 m",
            "(R + W/2) / (R - W/2)",
            Derived,
            "1.537",
            outer_over_inner(&Mower::bar(2.54), 6.0, Sense::Clockwise),
        ),
    ];
    // Two units whose inner ends are level with a and b: a = -b = -o/2, so R = x^2 / (2 o).
    for (ahead, overlap, printed) in [
        (1.0, 0.05, "10.000"),
        (0.9, 0.06, "6.750"),
        (1.2, 0.09, "8.000"),
    ] {
        let units = pair(ahead, overlap);
        out.push(Row::printed(
            format!("radius from which two units {ahead} m apart along, overlap {overlap} m, leave no strip, m"),
            "R = x^2 / (2 o) - (a + b) / 2",
            Derived,
            printed,
            clean_from_radius_m(&units, Sense::CounterClockwise).unwrap_or(f64::NAN),
        ));
    }
    // At R 5 m the front unit's inner end runs on hypot(R - 0.025, 1), the other's outer end on
    // R + 0.025: 5.0745... - 5.025.
    let width: f64 = strips(&pair(1.0, 0.05), 5.0, Sense::CounterClockwise)
        .iter()
        .map(|s| s.width_m())
        .sum();
    out.push(Row::printed(
        "strip left at R 5 m by two units 1 m apart along, overlap 0.05 m, m",
        "hypot(4.975, 1) - 5.025",
        Derived,
        "0.0495",
        width,
    ));
    out
}
