//! Measures one hectare of loops, unites the same swept quadrilaterals with geo, and writes
//! them to a file so that a script can do the same with GEOS.
//!
//! `side_by_side FILE [stripes|rings|loops] [--no-geo]` prints one JSON object. The file holds
//! eight little-endian doubles for each quadrilateral, then `tests/scripts/geos_ratio.py`
//! takes over.

// What is compared with is geo as it comes.
#![allow(clippy::disallowed_methods)]

use crossgrain_benches::export::quads;
use crossgrain_benches::{clock, plans};
use crossgrain_core::inside::ground::reach::reach;
use crossgrain_metrics::coverage::{Scene, cover};
use geo::{Area, BooleanOps, unary_union};
use geo_types::MultiPolygon;
use std::io::Write;

/// Degrees along an arc for each quadrilateral.
const STEP_DEG: f64 = 3.0;
/// Calls to average over.
const RUNS: usize = 100;

fn main() -> std::io::Result<()> {
    let mut args = std::env::args().skip(1);
    let file = args.next().unwrap_or_else(|| "quads.bin".to_string());
    let rest: Vec<String> = args.collect();
    let plan = match rest.first().map(String::as_str) {
        Some("stripes") => plans::stripes(1e4),
        Some("rings") => plans::rings(1e4),
        _ => plans::loops(1e4),
    };
    let none = MultiPolygon(vec![]);
    let reach = reach(plan.fairway.ground(), plan.mower.cutting_width_m());
    let scene = Scene {
        ground: plan.fairway.ground(),
        reach: &reach,
        keep_outs: &none,
        mower: &plan.mower,
        tracks: &plan.tracks,
    };
    let c = cover(&scene);
    let (wall_s, cpu_s) = clock::time(RUNS, || cover(&scene));

    let quads = quads(&plan, STEP_DEG);
    let mut out = std::io::BufWriter::new(std::fs::File::create(&file)?);
    for q in &quads {
        for p in &q.exterior().0[..4] {
            out.write_all(&p.x.to_le_bytes())?;
            out.write_all(&p.y.to_le_bytes())?;
        }
    }
    out.flush()?;

    let geo_part = if rest.iter().any(|a| a == "--no-geo") {
        String::new()
    } else {
        let mut figures = (0.0, 0.0);
        let (geo_wall_s, geo_cpu_s) = clock::time(1, || {
            let union = unary_union(&quads);
            figures = (
                plan.fairway.ground().difference(&union).unsigned_area(),
                union.difference(plan.fairway.ground()).unsigned_area(),
            );
        });
        format!(
            r#""geo_wall_s": {geo_wall_s}, "geo_cpu_s": {geo_cpu_s}, "geo_uncut_m2": {}, "geo_overrun_m2": {}, "#,
            figures.0, figures.1
        )
    };
    let ring = &plan.fairway.ground().0[0].exterior().0;
    let ground: Vec<String> = ring.iter().map(|c| format!("[{}, {}]", c.x, c.y)).collect();
    println!(
        r#"{{"plan": "{}", "quads": {}, "driven_m": {}, "ours_wall_s": {wall_s}, "ours_cpu_s": {cpu_s}, {geo_part}"uncut_m2": {}, "overrun_m2": {}, "times_cut_m2": {:?}, "error_bound_m2": {}, "ground": [{}]}}"#,
        plan.name,
        quads.len(),
        plan.tracks.iter().map(|t| t.path.length_m()).sum::<f64>(),
        c.uncut_m2(),
        c.overrun_m2,
        c.times_cut_m2,
        c.error_bound_m2,
        ground.join(", ")
    );
    Ok(())
}
