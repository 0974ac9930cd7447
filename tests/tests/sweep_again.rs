//! Our areas against the same drives swept with GEOS (tests/scripts/sweep_again.py).

use crossgrain_metrics::measure;
use crossgrain_tests::drives;
use crossgrain_tests::stored::{json, number, numbers, text};

/// A figure may differ by this share of the ground.
const AGREE: f64 = 1e-4;

#[test]
fn every_drive_measures_as_geos_sweeps_it() {
    let stored = json("sweep.json");
    let cases = stored["cases"].as_array().expect("cases");
    assert!(cases.len() >= 10);
    let mut bad = Vec::new();
    for case in cases {
        let name = text(case, "fairway");
        let plan = json(&format!("drives/{name}.json"));
        let drive = drives::read(&plan).remove(0);
        let m = measure(&drive.fairway, &drive.mower, &drive.mow);
        let ground = number(case, "fairway_m2");
        let mut check = |what: String, theirs: f64, ours: f64, scale: f64| {
            let share = (theirs - ours).abs() / scale;
            // Not a number must fail too.
            if share.is_nan() || share > AGREE {
                bad.push(format!("{name}: {what}: GEOS {theirs}, ours {ours}"));
            }
        };
        for (what, ours) in [
            ("fairway_m2", m.fairway_m2),
            ("uncut_m2", m.uncut_m2),
            ("missed_m2", m.missed_m2),
            ("trim_m2", m.trim_m2),
            ("overlap_m2", m.overlap_m2),
            ("overrun_m2", m.overrun_m2),
            ("keepout_cut_m2", m.keepout_cut_m2),
        ] {
            check(what.to_string(), number(case, what), ours, ground);
        }
        let theirs = numbers(&case["times_cut_m2"]);
        for k in 0..theirs.len().max(m.times_cut_m2.len()) {
            let at = |v: &[f64]| v.get(k).copied().unwrap_or(0.0);
            check(
                format!("cut {k} times"),
                at(&theirs),
                at(&m.times_cut_m2),
                ground,
            );
        }
        for (what, ours) in [("mowing_m", m.mowing_m), ("transport_m", m.transport_m)] {
            let theirs = number(case, what);
            check(what.to_string(), theirs, ours, theirs.max(1.0));
        }
        check(
            "passes".to_string(),
            number(case, "passes"),
            m.passes as f64,
            1.0,
        );
    }
    assert!(bad.is_empty(), "{} figures:\n{}", bad.len(), bad.join("\n"));
}
