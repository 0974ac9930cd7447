//! Prints the lattices that `tests/scripts/lattice_strips.py` sweeps.

use crossgrain_tests::lattice_gaps::{gap_cases, to_json};

fn main() {
    let cases: Vec<_> = gap_cases().iter().map(to_json).collect();
    println!("{}", serde_json::json!({ "cases": cases }));
}
