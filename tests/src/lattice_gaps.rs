//! Lattices planned for real cutting units and for a bar of the same width.

use crossgrain_core::inside::model::quantity::FOOT_M;
use crossgrain_core::inside::patterns::lattice::solve;
use crossgrain_core::{CuttingUnit, LoopForm, LoopTrain, Mower, Sense};
use crossgrain_metrics::lattice_gaps::Lanes;
use serde_json::{Value, json};
use std::path::Path;

/// One lattice and the mower that drives it.
#[derive(Debug, Clone)]
pub struct GapCase {
    /// File name without its ending.
    pub file: &'static str,
    /// The mower.
    pub mower: Mower,
    /// Whether the lattice was planned for the units or for a bar.
    pub for_units: bool,
    /// The lattice.
    pub lanes: Lanes,
}

/// A sample mower.
///
/// # Panics
/// When the file cannot be read: the test that asks for it must fail.
pub fn sample_mower(file: &str) -> Mower {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../samples/{file}.json"));
    crossgrain_formats::mower::open(&path).unwrap_or_else(|e| panic!("{e}"))
}

/// The same mower with one bar on the axle in place of its units.
pub fn as_bar(mower: &Mower) -> Mower {
    {
        let mut made = mower.clone();
        made.units = vec![CuttingUnit {
            across_m: 0.5 * (mower.left_m() + mower.right_m()),
            ahead_m: 0.0,
            width_m: mower.cutting_width_m(),
        }];
        made
    }
}

/// The solver's answers for the sample mowers, planned for their units and for bars, at the
/// default tolerances.
///
/// # Panics
/// When the solver refuses one of them.
pub fn gap_cases() -> Vec<GapCase> {
    let mut out = Vec::new();
    for (file, feet) in [
        ("light-five", 20.0),
        ("light-five", 22.0),
        ("large-gang", 22.0),
    ] {
        let mower = sample_mower(file);
        for sense in [Sense::Clockwise, Sense::CounterClockwise] {
            for for_units in [true, false] {
                let planned = if for_units {
                    mower.clone()
                } else {
                    as_bar(&mower)
                };
                let l = solve(&planned, &LoopTrain::new(feet * FOOT_M, sense))
                    .unwrap_or_else(|e| panic!("{file} {feet} ft: {e}"));
                out.push(GapCase {
                    file,
                    mower: mower.clone(),
                    for_units,
                    lanes: Lanes {
                        form: l.shape.form,
                        diameter_m: l.shape.diameter_m,
                        advance_m: l.shape.advance_m,
                        lane_spacing_m: l.lane_spacing_m,
                        sense,
                    },
                });
            }
        }
    }
    out
}

/// The case as the script reads it.
pub fn to_json(c: &GapCase) -> Value {
    json!({
        "mower": c.file,
        "planned_for": if c.for_units { "units" } else { "bar" },
        "form": match c.lanes.form { LoopForm::Drift => "drift", LoopForm::Roll => "roll" },
        "sense": match c.lanes.sense { Sense::Clockwise => "cw", Sense::CounterClockwise => "ccw" },
        "diameter_m": c.lanes.diameter_m,
        "advance_m": c.lanes.advance_m,
        "lane_spacing_m": c.lanes.lane_spacing_m,
        "units": c.mower.units.iter().map(|u| json!({
            "across_m": u.across_m, "ahead_m": u.ahead_m, "width_m": u.width_m,
        })).collect::<Vec<_>>(),
    })
}
