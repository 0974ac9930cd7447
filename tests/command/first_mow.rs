//! The main job through the built command: a course file in, a measured plan and sheets out.

mod support;

use crossgrain_core::inside::promises::{MISSED_PART_BAR, MISSED_PLACE_M2};
use std::fs;
use std::path::Path;
use support::{code, collection, fairway, run, stderr, stdout};

fn sample() -> String {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../samples/quillback.geojson")
        .to_string_lossy()
        .into_owned()
}

/// All files of a folder, by name.
fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut out: Vec<(String, Vec<u8>)> = fs::read_dir(folder)
        .expect("the folder")
        .map(|e| {
            let path = e.expect("an entry").path();
            (
                path.file_name()
                    .expect("a name")
                    .to_string_lossy()
                    .into_owned(),
                fs::read(&path).expect("a file"),
            )
        })
        .collect();
    out.sort();
    out
}

#[test]
fn the_same_bytes_with_one_thread_and_with_two() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let course = sample();
    for (threads, out) in [("1", "a"), ("2", "b")] {
        let o = run(
            folder.path(),
            &[
                "plan",
                &course,
                "--only",
                "2,3,7",
                "--threads",
                threads,
                "--out",
                out,
            ],
        );
        assert!(code(&o) < 2, "{}", stderr(&o));
    }
    let (a, b) = (
        files(&folder.path().join("a")),
        files(&folder.path().join("b")),
    );
    assert_eq!(a.len(), b.len());
    for (a, b) in a.iter().zip(&b) {
        assert_eq!(a.0, b.0);
        assert!(a.1 == b.1, "{} differs", a.0);
    }
}

#[test]
fn the_sample_is_mown_within_the_limits_at_every_heading() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let course = sample();
    for heading in ["fewest", "along", "45"] {
        let o = run(
            folder.path(),
            &["plan", &course, "--heading", heading, "--json"],
        );
        assert!(code(&o) < 2, "{}", stderr(&o));
        let v: serde_json::Value = serde_json::from_str(&stdout(&o)).expect("JSON");
        let mows = v["mows"].as_array().expect("mows");
        assert_eq!(mows.len(), 9);
        for m in mows {
            let figure = |key: &str| m["measures"][key].as_f64().expect("a number");
            let reach = figure("fairway_m2") - figure("trim_m2");
            let name = &m["fairway"];
            assert!(
                figure("missed_m2") <= MISSED_PLACE_M2.max(MISSED_PART_BAR * reach),
                "{heading}, fairway {name}: {} m2 missed of {reach}",
                figure("missed_m2")
            );
            assert!(
                figure("overrun_m2") <= 3e-3 * figure("fairway_m2"),
                "{heading}, fairway {name}: {} m2 overrun",
                figure("overrun_m2")
            );
            // Zero up to the stated bound of the measure.
            assert!(
                figure("keepout_cut_m2") <= figure("area_error_bound_m2"),
                "{heading}, fairway {name}: {} m2 of keep-outs cut",
                figure("keepout_cut_m2")
            );
            let cut: f64 = m["measures"]["times_cut_m2"]
                .as_array()
                .expect("areas")
                .iter()
                .map(|a| a.as_f64().expect("a number"))
                .sum();
            assert!(
                (cut - figure("fairway_m2")).abs() < 1e-6 * cut,
                "{heading}, fairway {name}"
            );
        }
    }
}

#[test]
fn the_table_the_files_and_the_summary_agree() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    fs::write(
        folder.path().join("c.geojson"),
        collection(&[fairway("\"7\"")]),
    )
    .expect("the course");
    let table = run(folder.path(), &["plan", "c.geojson"]);
    assert_eq!(code(&table), 0, "{}", stderr(&table));
    let summary = run(folder.path(), &["plan", "c.geojson", "--json"]);
    let summary: serde_json::Value = serde_json::from_str(&stdout(&summary)).expect("JSON");
    let text = fs::read_to_string(folder.path().join("out/plan.json")).expect("the plan");
    let plan: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(plan["schema"], "crossgrain-plan/1");
    assert_eq!(summary["schema"], "crossgrain-plan/1");
    assert_eq!(plan["mows"][0]["measures"], summary["mows"][0]["measures"]);
    let row = stdout(&table);
    let row = row.lines().find(|l| l.starts_with("7 "));
    let row = row.expect("a row").to_string();
    let passes = plan["mows"][0]["measures"]["passes"].to_string();
    assert!(row.split_whitespace().any(|c| c == passes), "{row}");
    let names: Vec<String> = files(&folder.path().join("out"))
        .into_iter()
        .map(|f| f.0)
        .collect();
    assert_eq!(
        names,
        [
            ".crossgrain-files.json",
            "fairway-7-stripes.svg",
            "plan.json",
            "sheets.pdf"
        ]
    );
    // The plan read back chains from track to track.
    let back = crossgrain_formats::plan::read(&text, "plan.json").expect("a plan");
    for pair in back.mows[0].tracks.windows(2) {
        let (a, b) = (pair[0].path.end().at, pair[1].path.start().at);
        assert!((a.x - b.x).hypot(a.y - b.y) < 1e-6, "{a:?} {b:?}");
    }
}
