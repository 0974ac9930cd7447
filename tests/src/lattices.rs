//! The decks and diameters whose loop lattices are checked.

use crossgrain_core::inside::model::quantity::{FOOT_M, INCH_M};
use crossgrain_core::inside::patterns::lattice;
use crossgrain_core::inside::patterns::lattice::Lattice;
use crossgrain_core::{LoopTrain, Mower, Sense};

/// Deck width, diameter and the solver's answer for the decks and diameters that are checked
/// against brute force, at the default tolerances.
pub fn lattice_cases() -> Vec<(f64, f64, Lattice)> {
    let mut out = Vec::new();
    for width_m in [84.0 * INCH_M, 100.0 * INCH_M, 11.0 * FOOT_M] {
        for feet in [16.0, 20.0, 21.0, 22.0, 26.0, 50.0] {
            let diameter_m = feet * FOOT_M;
            let train = LoopTrain::new(diameter_m, Sense::CounterClockwise);
            if let Ok(l) = lattice::solve(&Mower::bar(width_m), &train) {
                out.push((width_m, diameter_m, l));
            }
        }
    }
    out
}
