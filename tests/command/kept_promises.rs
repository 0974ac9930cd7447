//! What the command promises: nothing lost, nothing misnamed, exit codes that say what happened.

mod support;

use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use support::{code, collection, fairway, feature, ring, run, stderr, stdout};

/// A folder with a course file.
fn course(features: &[String]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    fs::write(folder.path().join("c.geojson"), collection(features)).expect("the course");
    folder
}

/// The fairway of the other tests, moved north by so many thousandths of a degree.
fn moved(name: &str, north: u32) -> String {
    let lat = |d: f64| 45.0 + f64::from(north) * 1e-3 + d;
    feature(
        &format!(r#"{{"role":"fairway","name":{name}}}"#),
        "Polygon",
        &format!(
            "[[[5,{a}],[5.0015,{a}],[5.0015,{b}],[5,{b}],[5,{a}]]]",
            a = lat(0.0),
            b = lat(0.0004)
        ),
    )
}

fn plan_of(folder: &Path) -> Value {
    let text = fs::read_to_string(folder.join("out/plan.json")).expect("the plan");
    serde_json::from_str(&text).expect("JSON")
}

fn names(folder: &Path) -> Vec<String> {
    let mut out: Vec<String> = fs::read_dir(folder)
        .expect("the folder")
        .map(|e| e.expect("an entry").file_name().to_string_lossy().into())
        .collect();
    out.sort();
    out
}

#[test]
fn an_unknown_shape_on_a_fairway_is_a_warning_with_its_number() {
    let bench = feature(r#"{"amenity":"bench"}"#, "Point", "[5.0007,45.0002]");
    let park = feature(r#"{"leisure":"park"}"#, "Point", "[5.0007,45.0002]");
    let folder = course(&[fairway("\"7\""), bench, park]);
    for command in ["plan", "check"] {
        let o = run(folder.path(), &[command, "c.geojson"]);
        assert_eq!(code(&o), 1, "{}", stderr(&o));
        assert!(
            stderr(&o).contains("warning: features[1] (amenity=bench, point): left aside although it touches fairway '7'"),
            "{}",
            stderr(&o)
        );
    }
    let o = run(folder.path(), &["plan", "c.geojson"]);
    assert!(
        stderr(&o).contains("note: left aside: 1 amenity=bench, 1 leisure=park"),
        "{}",
        stderr(&o)
    );
    let o = run(folder.path(), &["check", "c.geojson"]);
    assert!(
        stdout(&o).contains("features[2] (leisure=park, point): left aside: an area as a whole"),
        "{}",
        stdout(&o)
    );
}

#[test]
fn bare_polygons_are_asked_about() {
    let bare = |x: f64| {
        feature(
            "{}",
            "Polygon",
            &format!(
                "[[[{x},45],[{y},45],[{y},45.0004],[{x},45]]]",
                y = x + 0.001
            ),
        )
    };
    let folder = course(&[bare(5.0), bare(5.01)]);
    let o = run(folder.path(), &["plan", "c.geojson"]);
    assert_eq!(code(&o), 2);
    assert!(
        stderr(&o).contains("add --bare-polygons fairways"),
        "{}",
        stderr(&o)
    );
    let o = run(
        folder.path(),
        &["plan", "c.geojson", "--bare-polygons", "fairways"],
    );
    assert!(code(&o) < 2, "{}", stderr(&o));
    assert_eq!(
        plan_of(folder.path())["mows"].as_array().map(Vec::len),
        Some(2)
    );
}

#[test]
fn the_place_is_printed_with_its_hemisphere() {
    let folder = course(&[fairway("\"7\"")]);
    let o = run(folder.path(), &["plan", "c.geojson"]);
    assert_eq!(code(&o), 0, "{}", stderr(&o));
    assert!(
        stderr(&o).contains("note: the course lies at 45.0002 N 5.0008 E"),
        "{}",
        stderr(&o)
    );
    let o = run(
        folder.path(),
        &["plan", "c.geojson", "--positions", "lat-lon"],
    );
    assert!(
        stderr(&o).contains("lies at 5.0008 N 45.0002 E"),
        "{}",
        stderr(&o)
    );
}

#[test]
fn an_unconfirmed_name_is_a_note_in_plan_and_a_matter_for_check() {
    let folder = course(&[fairway("\"\"")]);
    let o = run(folder.path(), &["plan", "c.geojson"]);
    assert_eq!(code(&o), 0, "{}", stderr(&o));
    assert!(
        folder
            .path()
            .join("out/fairway-unnamed-A-stripes.svg")
            .exists()
    );
    let svg = fs::read_to_string(folder.path().join("out/fairway-unnamed-A-stripes.svg"))
        .expect("the sheet");
    // The label takes two lines.
    for line in ["Fairway, name\n", "not confirmed\n"] {
        assert!(svg.contains(line), "{line}");
    }
    let o = run(folder.path(), &["check", "c.geojson"]);
    assert_eq!(code(&o), 1, "{}", stderr(&o));
    assert!(
        stdout(&o).contains("write \"name\": \"...\" into its properties"),
        "{}",
        stdout(&o)
    );
}

#[test]
fn names_that_a_file_system_keeps_are_written() {
    let words = ["CON", "nul", "Aux", "com1", "A, upper", "a: upper"];
    let features: Vec<String> = words
        .iter()
        .zip(0..)
        .map(|(w, i)| moved(&format!("\"{w}\""), i))
        .collect();
    let folder = course(&features);
    let o = run(folder.path(), &["plan", "c.geojson"]);
    assert_eq!(code(&o), 0, "{}", stderr(&o));
    let sheets = names(&folder.path().join("out"))
        .iter()
        .filter(|n| n.ends_with(".svg"))
        .count();
    assert_eq!(sheets, words.len());
    let o = run(
        folder.path(),
        &["plan", "c.geojson", "--only", "'A, upper',CON", "--json"],
    );
    let v: Value = serde_json::from_str(&stdout(&o)).expect("JSON");
    assert_eq!(v["mows"].as_array().map(Vec::len), Some(2));
}

#[test]
fn only_except_and_reverse() {
    let green = feature(
        r#"{"role":"hole","name":"1"}"#,
        "LineString",
        "[[4.999,45.0002],[5.002,45.0002]]",
    );
    let folder = course(&[
        moved("\"1\"", 0),
        moved("\"2\"", 1),
        moved("\"3\"", 2),
        green,
    ]);
    let mown = |args: &[&str]| {
        let mut all = vec!["plan", "c.geojson", "--json"];
        all.extend(args);
        let o = run(folder.path(), &all);
        assert_eq!(code(&o), 0, "{}", stderr(&o));
        let v: Value = serde_json::from_str(&stdout(&o)).expect("JSON");
        let list = v["mows"].as_array().expect("mows").clone();
        list.iter()
            .map(|m| m["fairway"].as_str().expect("a name").to_string())
            .collect::<Vec<_>>()
            .join(" ")
    };
    assert_eq!(mown(&["--only", "1-2"]), "1 2");
    assert_eq!(mown(&["--only", "3", "--only", "1"]), "1 3");
    assert_eq!(mown(&["--except", "2"]), "1 3");
    assert_eq!(mown(&["--only", "1-3", "--except", "1,3"]), "2");
    assert_eq!(mown(&["--paper", "A4", "--only", "1"]), "1");
    let first = |args: &[&str]| {
        mown(args);
        plan_of(folder.path())["mows"][0]["hole_line"][0].clone()
    };
    let there = first(&["--only", "1"]);
    let back = first(&["--only", "1", "--reverse", "1"]);
    assert_ne!(there, back);
    let o = run(folder.path(), &["plan", "c.geojson", "--reverse", "2"]);
    assert_eq!(code(&o), 2);
    assert!(
        stderr(&o).contains("fairway '2' has no way to the green"),
        "{}",
        stderr(&o)
    );
}

#[test]
fn a_fairway_at_fault_does_not_stop_the_others() {
    let crossing = ring("[[5,45.001],[5.001,45.002],[5.001,45.001],[5,45.002],[5,45.001]]");
    let folder = course(&[fairway("\"6\""), crossing]);
    let o = run(folder.path(), &["plan", "c.geojson"]);
    assert_eq!(code(&o), 1, "{}", stderr(&o));
    let plan = plan_of(folder.path());
    assert_eq!(plan["mows"].as_array().map(Vec::len), Some(1));
    assert_eq!(plan["refused"][0]["fairway"], "7");
    assert!(
        stderr(&o)
            .contains("warning: fairway '7' is left out: features[1] '7', ring 0, position 0 at"),
        "{}",
        stderr(&o)
    );
}

#[test]
fn sheets_of_an_earlier_run_are_named_and_tidied_away() {
    let folder = course(&[moved("\"1\"", 0), moved("\"2\"", 1)]);
    let sheet = folder.path().join("out/fairway-2-stripes.svg");
    assert_eq!(code(&run(folder.path(), &["plan", "c.geojson"])), 0);
    assert!(sheet.exists());
    fs::write(folder.path().join("out/own.txt"), "the user's own").expect("a file");
    let o = run(folder.path(), &["plan", "c.geojson", "--only", "1"]);
    assert_eq!(code(&o), 0);
    assert!(
        stderr(&o).contains(
            "note: of an earlier run and not written again: fairway-2-stripes.svg; --tidy removes"
        ),
        "{}",
        stderr(&o)
    );
    assert!(sheet.exists());
    let o = run(
        folder.path(),
        &["plan", "c.geojson", "--only", "1", "--tidy"],
    );
    assert_eq!(code(&o), 0);
    assert!(!sheet.exists() && folder.path().join("out/own.txt").exists());
}

#[test]
fn sheets_carry_the_number_and_the_day_of_their_plan() {
    let folder = course(&[fairway("\"7\"")]);
    let planned = |args: &[&str], day: &str| {
        let o = Command::new(env!("CARGO_BIN_EXE_crossgrain"))
            .current_dir(folder.path())
            .env("SOURCE_DATE_EPOCH", day)
            .args(["plan", "c.geojson"])
            .args(args)
            .output()
            .expect("the command");
        assert_eq!(code(&o), 0, "{}", stderr(&o));
        let plan = plan_of(folder.path());
        let svg =
            fs::read_to_string(folder.path().join("out/fairway-7-stripes.svg")).expect("the sheet");
        let (number, date) = (plan["number"].as_str(), plan["date"].as_str());
        let (number, date) = (number.expect("a number"), date.expect("a date"));
        assert!(
            svg.contains(&format!("plan {number} of {date}")),
            "{number}"
        );
        (number.to_string(), date.to_string())
    };
    let first = planned(&[], "1800000000");
    assert_eq!(first.1, "2027-01-15");
    // The same plan on another day has its number, another plan has not.
    assert_eq!(planned(&[], "1800100000").0, first.0);
    assert_ne!(planned(&["--cleanup", "1"], "1800000000").0, first.0);
}

#[cfg(target_os = "linux")]
#[test]
fn output_that_is_lost_is_a_failure() {
    let folder = course(&[fairway("\"7\"")]);
    for args in [
        &["plan", "c.geojson"][..],
        &["plan", "c.geojson", "--json"],
        &["check", "c.geojson"],
    ] {
        let full = fs::OpenOptions::new()
            .write(true)
            .open("/dev/full")
            .expect("the full device");
        let o = Command::new(env!("CARGO_BIN_EXE_crossgrain"))
            .current_dir(folder.path())
            .args(args)
            .stdout(full)
            .output()
            .expect("the command");
        assert_eq!(code(&o), 2, "{args:?}: {}", stderr(&o));
        assert!(
            stderr(&o).contains("standard output cannot be written"),
            "{}",
            stderr(&o)
        );
    }
}

#[test]
fn options_without_effect_are_named() {
    let folder = course(&[fairway("\"7\"")]);
    for (args, told) in [
        (
            &["--loop-diameter", "22ft"][..],
            "warning: --loop-diameter has no effect on stripes; it is for loops",
        ),
        (
            &["--pattern", "rings,contour", "--heading", "45"],
            "warning: --heading has no effect on rings, contour",
        ),
        (
            &["--overrun", "1ft"],
            "warning: --overrun has no effect on stripes; it is for loops",
        ),
        (
            &["--pattern", "rings", "--free-directions"],
            "warning: --free-directions has no effect on rings",
        ),
        (
            &["--cleanup", "0", "--cleanup-last"],
            "warning: --cleanup-last has no effect with --cleanup 0",
        ),
    ] {
        let mut all = vec!["plan", "c.geojson"];
        all.extend(args);
        let o = run(folder.path(), &all);
        assert_eq!(code(&o), 1, "{args:?}");
        assert!(stderr(&o).contains(told), "{}", stderr(&o));
    }
    let o = run(
        folder.path(),
        &[
            "plan",
            "c.geojson",
            "--pattern",
            "stripes,loops",
            "--loop-form",
            "drift",
        ],
    );
    assert!(!stderr(&o).contains("no effect"), "{}", stderr(&o));
}

#[test]
fn odd_values_are_told_with_the_usual_range_and_the_files_are_written() {
    let folder = course(&[fairway("\"7\"")]);
    let o = run(folder.path(), &["plan", "c.geojson", "--deck", "28ft"]);
    assert_eq!(code(&o), 1);
    assert!(
        stderr(&o).contains("warning: cutting width is 28 ft; 48 in to 20 ft is usual"),
        "{}",
        stderr(&o)
    );
    assert!(folder.path().join("out/plan.json").exists());
    let mower = r#"{"name":"m","units":[{"across_m":0,"ahead_m":0,"width_m":"100in"}],
        "turning_radius_m":"6in","speeds_kmh":{"mowing":8},"bench_height_mm":"5in"}"#;
    fs::write(folder.path().join("m.json"), mower).expect("the mower");
    let o = run(folder.path(), &["plan", "c.geojson", "--mower", "m.json"]);
    assert_eq!(code(&o), 1);
    for told in [
        "warning: turning_radius_m is 6 in; 19.7 in to 26.2 ft is usual",
        "warning: bench_height_mm is 5.000 in; 0.250 in to 1.250 in is usual",
    ] {
        assert!(stderr(&o).contains(told), "{}", stderr(&o));
    }
    fs::write(
        folder.path().join("r.json"),
        r#"{"season":{"from":"2027-05-03","to":"2027-05-16"},"crew":{"mowers":99}}"#,
    )
    .expect("the rules");
    fs::write(
        folder.path().join("log.csv"),
        "date,fairway,scalping\n2026-05-04,7,slight\n",
    )
    .expect("the log");
    let o = run(
        folder.path(),
        &[
            "season",
            "c.geojson",
            "--rules",
            "r.json",
            "--observations",
            "log.csv",
            "--no-pages",
        ],
    );
    assert_eq!(code(&o), 1, "{}", stderr(&o));
    for told in [
        "warning: crew.mowers is 99; 1 to 8 is usual",
        "warning: the scalping log has 2026-05-04, outside the season from 2027-05-03",
    ] {
        assert!(stderr(&o).contains(told), "{}", stderr(&o));
    }
    assert!(folder.path().join("out/programme.json").exists());
}

#[test]
fn what_nobody_would_drive_is_said_at_once() {
    // Twelve inches over a big fairway, in loops.
    let big = feature(
        r#"{"role":"fairway","name":"1"}"#,
        "Polygon",
        "[[[5,45],[5.02,45],[5.02,45.005],[5,45.005],[5,45]]]",
    );
    let folder = course(&[big]);
    let o = run(folder.path(), &["size", "c.geojson", "--decks", "12in"]);
    assert_eq!(code(&o), 2, "{}", stderr(&o));
    assert!(
        stderr(&o).contains("12in: loops would take about") && stderr(&o).contains("left out"),
        "{}",
        stderr(&o)
    );
}

#[test]
fn the_total_counts_ground_once_a_pattern() {
    let folder = course(&[moved("\"1\"", 0), moved("\"2\"", 1)]);
    let o = run(
        folder.path(),
        &["plan", "c.geojson", "--pattern", "stripes,rings"],
    );
    let table = stdout(&o);
    let totals: Vec<&str> = table.lines().filter(|l| l.starts_with("all ")).collect();
    assert_eq!(totals.len(), 2, "{table}");
    assert!(
        totals[0].contains("stripes") && totals[1].contains("rings"),
        "{table}"
    );
    // Twice 118 m by 44.5 m.
    assert!(totals.iter().all(|t| t.contains("2.60 ac")), "{table}");
}

/// Minutes worked out from the plan file by hand, as the guide shows.
#[test]
fn minutes_can_be_worked_out_from_the_plan_file() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let samples: PathBuf = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples");
    let course = samples.join("quillback.geojson");
    let mower = samples.join("light-five.json");
    let o = run(
        folder.path(),
        &[
            "plan",
            &course.to_string_lossy(),
            "--mower",
            &mower.to_string_lossy(),
            "--only",
            "3",
            "--pattern",
            "stripes,loops",
        ],
    );
    assert!(code(&o) < 2, "{}", stderr(&o));
    let plan = plan_of(folder.path());
    let number = |v: &Value| v.as_f64().expect("a number");
    let speeds = &plan["mower"]["speeds_m_s"];
    for mow in plan["mows"].as_array().expect("mows") {
        let tracks = mow["tracks"].as_array().expect("tracks");
        let mut on_lane = vec![false; tracks.len()];
        for leg in mow["legs"].as_array().expect("legs") {
            if leg["role"] == "lane" {
                let (a, b) = (&leg["tracks"][0], &leg["tracks"][1]);
                for t in a.as_u64().expect("a place")..b.as_u64().expect("a place") {
                    on_lane[t as usize] = true;
                }
            }
        }
        let mut seconds = 0.0;
        for (t, lane) in tracks.iter().zip(on_lane) {
            let length = match t.get("arc") {
                Some(a) => number(&a["radius"]) * number(&a["sweep_deg"]).to_radians().abs(),
                None => {
                    let l = &t["line"];
                    let d = |k: usize| number(&l[1][k]) - number(&l[0][k]);
                    d(0).hypot(d(1))
                }
            };
            let speed = match (t["reels"] == "down", t.get("arc").is_some()) {
                (true, _) if lane => "loops",
                (true, _) => "mowing",
                (false, false) if t.get("gear").is_none() => "transport",
                _ => "turning",
            };
            seconds += length / number(&speeds[speed]);
        }
        seconds +=
            2.0 * number(&mow["measures"]["passes"]) * number(&plan["mower"]["lift_lower_s"]);
        let minutes = number(&mow["measures"]["minutes"]);
        assert!(
            (seconds / 60.0 - minutes).abs() < 1e-6 * minutes,
            "{} against {minutes}",
            seconds / 60.0
        );
        let kinds = mow["keep_out_kinds"].as_array().expect("kinds").len();
        assert_eq!(Some(kinds), mow["keep_outs"].as_array().map(Vec::len));
    }
    assert_eq!(plan["projection"]["name"], "azimuthal equidistant");
}

#[test]
fn starters_and_completions_are_written() {
    let folder = course(&[fairway("\"7\"")]);
    let here = folder.path();
    let o = run(here, &["mower", "--write-mower", "m.json"]);
    assert_eq!(code(&o), 0, "{}", stderr(&o));
    let o = run(here, &["season", "--write-rules", "r.json"]);
    assert_eq!(code(&o), 0, "{}", stderr(&o));
    // They are used as they stand, without a warning of their own.
    let o = run(here, &["mower", "m.json"]);
    assert_eq!((code(&o), stderr(&o).as_str()), (0, ""));
    let o = run(here, &["plan", "c.geojson", "--mower", "m.json"]);
    assert!(
        code(&o) < 2 && !stderr(&o).contains("usual"),
        "{}",
        stderr(&o)
    );
    // A file that is there is somebody's work.
    fs::write(here.join("m.json"), "precious").expect("a file");
    let o = run(here, &["mower", "--write-mower", "m.json"]);
    assert_eq!(code(&o), 2);
    assert!(
        stderr(&o).contains("'m.json' is there already and is left alone"),
        "{}",
        stderr(&o)
    );
    assert_eq!(
        fs::read_to_string(here.join("m.json")).expect("the file"),
        "precious"
    );
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let o = run(here, &["completions", shell]);
        assert_eq!(code(&o), 0, "{}", stderr(&o));
        assert!(stdout(&o).contains("bare-polygons"), "{shell}");
    }
}

#[test]
fn a_path_is_crossed_and_divides_nothing() {
    let block = feature(
        r#"{"role":"fairway","name":"7"}"#,
        "Polygon",
        "[[[-100,45],[-99.9985,45],[-99.9985,45.0003],[-100,45.0003],[-100,45]]]",
    );
    let path = |lon: f64| {
        feature(
            r#"{"role":"path"}"#,
            "LineString",
            &format!("[[{lon},44.999],[{lon},45.0015]]"),
        )
    };
    let hole = feature(
        r#"{"role":"hole","name":"7"}"#,
        "LineString",
        "[[-100.0005,45.00015],[-99.998,45.00015]]",
    );
    let steps = |features: &[String]| -> Vec<Value> {
        let folder = course(features);
        let o = run(folder.path(), &["plan", "c.geojson"]);
        assert_eq!(code(&o), 0, "{}", stderr(&o));
        let mow = plan_of(folder.path())["mows"][0].clone();
        assert_eq!(mow["measures"]["keepout_cut_m2"], 0.0);
        let steps = mow["steps"].as_array().expect("steps");
        steps.iter().map(|s| s["kind"].clone()).collect()
    };
    // An edge to go round on each side, and lines that go on across the path.
    assert_eq!(steps(&[block.clone(), hole.clone()]), ["circuit", "block"]);
    assert_eq!(
        steps(&[block, hole, path(-99.99925)]),
        ["circuit", "circuit", "block"]
    );
}
