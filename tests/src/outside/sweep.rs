//! Areas of whole drives against the same drives swept with GEOS.

use super::Row;
use crate::drives;
use crate::stored::{json, number, text};
use crossgrain_metrics::measure;

// The project's promise is 1e-4 of the ground; these drives do better.
const SHARE_OF_GROUND: f64 = 2e-6;

pub fn rows() -> Vec<Row> {
    let stored = json("sweep.json");
    let source = text(&stored, "source");
    let mut out = Vec::new();
    for case in stored["cases"].as_array().into_iter().flatten() {
        let name = text(case, "fairway");
        let plan = json(&format!("drives/{name}.json"));
        let Some(drive) = drives::read(&plan).pop() else {
            continue;
        };
        let m = measure(&drive.fairway, &drive.mower, &drive.mow);
        let ground = number(case, "fairway_m2");
        for (what, key, ours) in [
            ("uncut", "uncut_m2", m.uncut_m2),
            ("cut more than once, extra", "overlap_m2", m.overlap_m2),
            ("outside the outline", "overrun_m2", m.overrun_m2),
            ("inside keep-outs", "keepout_cut_m2", m.keepout_cut_m2),
        ] {
            let theirs = number(case, key);
            // A figure that is nought for both says nothing here; the whole-job test has it.
            if theirs > 1.0 {
                out.push(Row {
                    tolerance: SHARE_OF_GROUND * ground,
                    ..Row::library(
                        format!("drive {name}: {what}, m2"),
                        &source,
                        theirs,
                        ours,
                        1.0,
                    )
                });
            }
        }
    }
    out
}
