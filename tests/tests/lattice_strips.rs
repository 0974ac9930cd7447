//! Lattices planned for the real cutting units leave nothing; lattices planned for a bar and
//! driven with the real units may leave strips. Both against shapely's own sweep
//! (`tests/scripts/lattice_strips.py`, stored results).

use crossgrain_core::{LoopForm, Sense};
use crossgrain_metrics::lattice_gaps::{Lanes, uncut_part};
use crossgrain_tests::lattice_gaps::{gap_cases, sample_mower};
use serde_json::Value;

/// Part of the ground by which the two sweeps may differ: shapely's arcs are chords of half a
/// degree.
const AGREE: f64 = 5e-6;
/// Rounding of the exact measure.
const NOTHING: f64 = 1e-9;

fn stored() -> Vec<Value> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/stored/lattice_strips.json");
    let text = std::fs::read_to_string(path).expect("stored results");
    let all: Value = serde_json::from_str(&text).expect("JSON");
    all["cases"].as_array().expect("cases").clone()
}

fn number(v: &Value) -> f64 {
    v.as_f64().expect("number")
}

/// Worst uncut part and most strips over the phases that shapely swept.
fn swept(case: &Value) -> (f64, u64) {
    case["swept"]
        .as_array()
        .expect("phases")
        .iter()
        .map(|s| {
            (
                number(&s["uncut_m2"]) / number(&s["ground_m2"]),
                s["strips"].as_u64().expect("count"),
            )
        })
        .fold((0.0, 0), |a, b| (f64::max(a.0, b.0), a.1.max(b.1)))
}

#[test]
fn shapely_finds_nothing_left_when_planned_for_the_units_and_strips_when_planned_for_a_bar() {
    let cases = stored();
    let (mut for_units, mut striped) = (0, 0);
    for c in &cases {
        let (part, strips) = swept(c);
        if c["planned_for"] == "units" {
            for_units += 1;
            assert!(part < NOTHING && strips == 0, "{c}");
        } else if strips > 0 {
            striped += 1;
            assert!(part > 1e-6, "{c}");
        }
    }
    assert_eq!(for_units, 6);
    // The light mower at 20 ft and the gang at 22 ft, both ways round.
    assert_eq!(striped, 4);
}

#[test]
fn the_exact_measure_agrees_with_shapely() {
    for c in stored() {
        // The mirror image is the same question; one sense is enough here.
        if c["sense"] == "ccw" {
            continue;
        }
        let mower = sample_mower(c["mower"].as_str().expect("name"));
        let lanes = Lanes {
            form: if c["form"] == "drift" {
                LoopForm::Drift
            } else {
                LoopForm::Roll
            },
            diameter_m: number(&c["diameter_m"]),
            advance_m: number(&c["advance_m"]),
            lane_spacing_m: number(&c["lane_spacing_m"]),
            sense: Sense::Clockwise,
        };
        for s in &c["swept"].as_array().expect("phases")[..2] {
            let theirs = number(&s["uncut_m2"]) / number(&s["ground_m2"]);
            let ours = uncut_part(&mower, &lanes, number(&s["phase"]));
            assert!(
                (ours - theirs).abs() <= AGREE,
                "{c}: {ours} against {theirs}"
            );
        }
    }
}

#[test]
fn what_the_solver_plans_for_the_units_now_leaves_nothing() {
    for c in gap_cases() {
        if c.for_units && c.lanes.sense == Sense::Clockwise {
            for phase in [0.0, 0.4] {
                let left = uncut_part(&c.mower, &c.lanes, phase);
                assert!(left < NOTHING, "{} {:?}: {left}", c.file, c.lanes);
            }
        }
    }
}
