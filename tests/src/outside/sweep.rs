//! Whole drives against the same drives swept with GEOS and laid on a raster.

use super::{Fact, Mark::Library, Row};
use crate::drives;
use crate::stored::{json, number, text};
use crossgrain_metrics::{Measures, measure};
use serde_json::Value;

// The project's promise is 1e-4 of the ground; these drives do better.
const SHARE_OF_GROUND: f64 = 2e-6;

// The raster's points are a thirty-second of a metre wide.
const RASTER: f64 = 3e-3;

pub fn rows() -> Vec<Row> {
    let stored = json("sweep.json");
    let by = ["source", "raster", "times"].map(|k| text(&stored, k));
    let cases = stored["cases"].as_array().into_iter().flatten();
    cases.flat_map(|case| of_drive(case, &by)).collect()
}

/// One drive: areas by GEOS, cuts and lay by the raster, times and counts from the tracks.
fn of_drive(case: &Value, [geos, raster, times]: &[String; 3]) -> Vec<Row> {
    let mut out = Vec::new();
    let name = text(case, "fairway");
    let plan = json(&format!("drives/{name}.json"));
    let Some(drive) = drives::read(&plan).pop() else {
        return out;
    };
    let m = measure(&drive.fairway, &drive.mower, &drive.mow);
    out.extend(areas(&name, case, &m, geos));
    let by = |id, source| Fact::new(id, source, Library);
    out.push(by("mean number of cuts", geos).library(
        format!("drive {name}: mean cuts"),
        number(case, "mean_cuts"),
        m.mean_cuts,
        SHARE_OF_GROUND,
    ));
    out.push(
        by("mean number of cuts", raster)
            .library(
                format!("drive {name}: mean cuts, point by point"),
                number(case, "mean_cuts_by_raster"),
                m.mean_cuts,
                1.0,
            )
            .within(RASTER),
    );
    for (id, key, ours) in [
        ("polar lay of a drive", "lay_r1", m.lay_r1),
        ("axial grain of a drive", "lay_r2", m.lay_r2),
    ] {
        out.push(
            by(id, raster)
                .library(
                    format!(
                        "drive {name}: {}",
                        if key == "lay_r1" { "R1" } else { "R2" }
                    ),
                    number(case, key),
                    ours,
                    1.0,
                )
                .within(RASTER),
        );
    }
    // Times and counts, straight from the tracks.
    let tracks = by("minutes of a drive", times);
    out.push(tracks.library(
        format!("drive {name}: minutes"),
        number(case, "minutes"),
        m.minutes,
        1e-9,
    ));
    out.push(by("how often the reels are lowered", times).count(
        format!("drive {name}: passes"),
        number(case, "passes") as usize,
        m.passes as f64,
    ));
    out
}

fn areas(name: &str, case: &Value, m: &Measures, geos: &str) -> Vec<Row> {
    let mut out = Vec::new();
    let ground = number(case, "fairway_m2");
    for (id, what, key, ours) in [
        ("ground not cut", "uncut", "uncut_m2", m.uncut_m2),
        (
            "ground cut more than once",
            "cut more than once, extra",
            "overlap_m2",
            m.overlap_m2,
        ),
        (
            "cut outside the outline",
            "outside the outline",
            "overrun_m2",
            m.overrun_m2,
        ),
        (
            "cut inside keep-outs",
            "inside keep-outs",
            "keepout_cut_m2",
            m.keepout_cut_m2,
        ),
    ] {
        let theirs = number(case, key);
        // A figure that is nought for both says nothing here; the whole-job test has it.
        if theirs > 1.0 {
            out.push(
                Fact::new(id, geos, Library)
                    .library(format!("drive {name}: {what}, m2"), theirs, ours, 1.0)
                    .within(SHARE_OF_GROUND * ground),
            );
        }
    }
    out
}
