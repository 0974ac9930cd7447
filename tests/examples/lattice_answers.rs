//! Prints the solver's answers for the decks and diameters of the lattice check, as JSON.
//!
//! `cargo run -p crossgrain-tests --example lattice_answers > answers.json`, then
//! `python3 tests/scripts/loop_lattice.py answers.json > tests/stored/loop_lattice.json`.

use crossgrain_tests::lattices::lattice_cases;
use serde_json::json;

fn main() {
    let rows: Vec<_> = lattice_cases()
        .into_iter()
        .map(|(width_m, diameter_m, l)| {
            json!({
                "width_m": width_m,
                "diameter_m": diameter_m,
                "form": match l.shape.form {
                    crossgrain_core::LoopForm::Drift => "drift",
                    crossgrain_core::LoopForm::Roll => "roll",
                },
                "advance_m": l.shape.advance_m,
                "lane_spacing_m": l.lane_spacing_m,
                "left_m": l.left_m,
                "right_m": l.right_m,
                "mean_cuts": l.mean_cuts,
            })
        })
        .collect();
    println!(
        "{}",
        serde_json::to_string_pretty(&rows).unwrap_or_default()
    );
}
