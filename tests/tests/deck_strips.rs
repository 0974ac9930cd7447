//! The closed form of the smallest clean diameter against a brute-force search.
//!
//! `tests/scripts/clean_diameters.py` walks every cutting line in points and drives circles of
//! every size (numpy only, no formula for strips). Its results are stored.

use crossgrain_core::inside::deck::clean_from_radius_m;
use crossgrain_core::{CuttingUnit, Sense};
use serde_json::Value;

/// The brute-force search stops at a hundredth of a millimetre; the promise is a millimetre.
const AGREE_M: f64 = 1e-3;
/// The search looks no farther in than this diameter, a hand's width.
const MIN_WIDTH_M: f64 = 0.04;

fn stored() -> Vec<Value> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/stored/clean_diameters.json");
    let text = std::fs::read_to_string(path).expect("stored results");
    let all: Value = serde_json::from_str(&text).expect("JSON");
    all["layouts"].as_array().expect("layouts").clone()
}

fn units(layout: &Value) -> Vec<CuttingUnit> {
    layout["units"]
        .as_array()
        .expect("units")
        .iter()
        .map(|u| {
            let n = |i: usize| u[i].as_f64().expect("number");
            CuttingUnit {
                across_m: n(0),
                ahead_m: n(1),
                width_m: n(2),
            }
        })
        .collect()
}

#[test]
fn a_thousand_random_decks_agree_within_a_millimetre() {
    let layouts = stored();
    assert_eq!(layouts.len(), 1000);
    let mut worst = 0.0f64;
    for (i, layout) in layouts.iter().enumerate() {
        let units = units(layout);
        for (sense, key) in [(Sense::Clockwise, "cw"), (Sense::CounterClockwise, "ccw")] {
            let brute = layout[key].as_f64();
            let ours = clean_from_radius_m(&units, sense).map(|r| 2.0 * r);
            match (ours, brute) {
                // No strip found down to the narrowest circle looked at.
                (Some(a), Some(0.0)) => assert!(a <= MIN_WIDTH_M, "layout {i} {key}: {a}"),
                (Some(a), Some(b)) => {
                    assert!(
                        (a - b).abs() <= AGREE_M,
                        "layout {i} {key}: {a} against {b}"
                    );
                    worst = worst.max((a - b).abs());
                }
                (a, b) => assert_eq!(a, b, "layout {i} {key}"),
            }
        }
    }
    // Not all alike: the search must have found strips at many sizes.
    assert!(worst > 0.0);
    assert!(
        layouts
            .iter()
            .filter(|l| l["cw"].as_f64() > Some(5.0))
            .count()
            > 300
    );
}
