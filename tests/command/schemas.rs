//! Real outputs of the command against the schemas of the repository. The same is done with a
//! general validator by `tests/scripts/validate_outputs.py`.

#[path = "support/schema.rs"]
mod schema;
mod support;

use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use support::{code, collection, fairway, feature, run, stderr, stdout};

fn repository() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn read(path: &Path) -> Value {
    let text = fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

fn schema_of(name: &str) -> Value {
    read(&repository().join(format!("crates/formats/schemas/{name}.schema.json")))
}

fn holds(name: &str, value: &Value) {
    let faults = schema::faults(&schema_of(name), value);
    assert!(
        faults.is_empty(),
        "{name}: {:#?}",
        &faults[..faults.len().min(10)]
    );
}

#[test]
fn the_check_itself_finds_faults() {
    let plan = schema_of("crossgrain-plan-1");
    let faults = schema::faults(
        &plan,
        &json!({"schema": "crossgrain-plan/2", "origin": {"lon": "0", "lat": 100}, "mower": {}, "mows": [
            {"tracks": [{"reels": "down"}, {"reels": "off", "line": [[0, 0], [1, 1, 1]]}]}]}),
    );
    for part in [
        "$.schema: const",
        "$.origin.lon: type",
        "$.origin.lat: maximum",
        "$.mower: units is missing",
        "$.mows[0]: fairway is missing",
        "tracks needs outline",
        "$.mows[0].tracks[0]: oneOf",
        "$.mows[0].tracks[1].reels: enum",
        "$.mows[0].tracks[1].line[1][2]: not allowed",
    ] {
        assert!(
            faults.iter().any(|f| f.contains(part)),
            "{part}: {faults:#?}"
        );
    }
}

#[test]
fn plan_and_summary_hold() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let bunker = feature(
        r#"{"golf":"bunker"}"#,
        "Polygon",
        "[[[5.0005,45.0001],[5.0006,45.0001],[5.0006,45.0002],[5.0005,45.0001]]]",
    );
    fs::write(
        folder.path().join("c.geojson"),
        collection(&[fairway("\"7\""), bunker]),
    )
    .expect("the course");
    for pattern in ["stripes", "loops"] {
        let out = run(
            folder.path(),
            &["plan", "c.geojson", "--pattern", pattern, "--json"],
        );
        assert!(code(&out) < 2, "{}", stderr(&out));
        let summary: Value = serde_json::from_str(&stdout(&out)).expect("JSON");
        holds("crossgrain-plan-1", &summary);
        let plan = read(&folder.path().join("out/plan.json"));
        holds("crossgrain-plan-1", &plan);
        assert!(
            !plan["mows"][0]["tracks"]
                .as_array()
                .expect("tracks")
                .is_empty()
        );
        assert_eq!(
            plan["mows"][0]["keep_outs"].as_array().map(Vec::len),
            Some(1)
        );
    }
}

#[test]
fn check_holds_for_sound_and_unsound_files() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    fs::write(
        folder.path().join("c.geojson"),
        collection(&[fairway("\"7\"")]),
    )
    .expect("course");
    fs::write(folder.path().join("bad.geojson"), "{").expect("course");
    fs::write(
        folder.path().join("open.geojson"),
        collection(&[support::ring(
            "[[5,45],[5.001,45],[5.001,45.001],[5,45.001]]",
        )]),
    )
    .expect("course");
    for (file, usable) in [
        ("c.geojson", true),
        ("bad.geojson", false),
        ("open.geojson", false),
    ] {
        let out = run(folder.path(), &["check", file, "--json"]);
        assert_eq!(code(&out), if usable { 0 } else { 2 }, "{}", stderr(&out));
        let v: Value = serde_json::from_str(&stdout(&out)).expect("JSON");
        holds("crossgrain-check-1", &v);
        assert_eq!(v["usable"], usable);
    }
}

#[test]
fn mower_and_size_hold() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let mower = repository().join("samples/light-five.json");
    let out = run(
        folder.path(),
        &["mower", &mower.to_string_lossy(), "--json"],
    );
    assert!(code(&out) < 2, "{}", stderr(&out));
    holds(
        "crossgrain-mower-1",
        &serde_json::from_str(&stdout(&out)).expect("JSON"),
    );
    fs::write(
        folder.path().join("c.geojson"),
        collection(&[fairway("\"7\"")]),
    )
    .expect("course");
    let out = run(
        folder.path(),
        &["size", "c.geojson", "--decks", "84in,100in", "--json"],
    );
    assert!(code(&out) < 2, "{}", stderr(&out));
    let size: Value = serde_json::from_str(&stdout(&out)).expect("JSON");
    holds("crossgrain-size-1", &size);
    assert!(size["rows"].as_array().is_some_and(|r| r.len() >= 2));
}

#[test]
fn the_sample_mowers_hold() {
    for name in ["light-five", "large-gang"] {
        holds(
            "mower-file",
            &read(&repository().join(format!("samples/{name}.json"))),
        );
    }
}

#[test]
fn exports_and_outlines_say_what_they_wrote() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let at = folder.path();
    // Once round an ellipse of 120 m by 50 m and on, a position a second.
    let mut drive = "time,latitude,longitude\n".to_string();
    for i in 0..200 {
        let t = f64::from(i) / 160.0 * std::f64::consts::TAU;
        let (lat, lon) = (45.0 + 0.000225 * t.sin(), 5.0 + 0.00076 * t.cos());
        drive.push_str(&format!("{i},{lat:.8},{lon:.8}\n"));
    }
    fs::write(at.join("edge.csv"), drive).expect("the drive");
    let args = [
        "outline",
        "edge.csv",
        "--name",
        "7",
        "--to",
        "c.geojson",
        "--json",
    ];
    let out = run(at, &args);
    assert_eq!(code(&out), 0, "{}", stderr(&out));
    let said: Value = serde_json::from_str(&stdout(&out)).expect("JSON");
    holds("crossgrain-outline-1", &said);
    // Half axes of 59.93 m and 25.01 m (WGS 84 at 45 N), less what chords cut off.
    let area_m2 = said["area_m2"].as_f64().expect("a number");
    assert!((4690.0..4720.0).contains(&area_m2), "{area_m2}");
    // The same name again is refused; another is added.
    let again = run(at, &args);
    assert_eq!(code(&again), 2);
    assert!(stderr(&again).contains("already"), "{}", stderr(&again));
    let out = run(
        at,
        &[
            "outline",
            "edge.csv",
            "--name",
            "green",
            "--as-role",
            "green",
            "--offset",
            "-20ft",
            "--to",
            "c.geojson",
        ],
    );
    assert_eq!(code(&out), 0, "{}", stderr(&out));
    let course = read(&at.join("c.geojson"));
    assert_eq!(course["features"].as_array().map(Vec::len), Some(2));

    let out = run(at, &["plan", "c.geojson"]);
    assert!(code(&out) < 2, "{}", stderr(&out));
    for format in ["gpx", "kml", "geojson", "isoxml", "dxf", "geopackage"] {
        let out = run(at, &["export", "out", "--as", format, "--json"]);
        assert_eq!(code(&out), 0, "{format}: {}", stderr(&out));
        let said: Value = serde_json::from_str(&stdout(&out)).expect("JSON");
        holds("crossgrain-export-1", &said);
        let file = at.join(said["file"].as_str().expect("a name"));
        assert!(fs::metadata(&file).expect("the file").len() > 500);
    }
}

#[test]
fn a_morning_holds() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let c = collection(&[fairway("\"7\"")]);
    fs::write(folder.path().join("c.geojson"), c).expect("the course");
    let rules = r#"{"season": {"from": "2027-06-01", "to": "2027-06-14"}, "crew": {"mowers": 2}}"#;
    fs::write(folder.path().join("r.json"), rules).expect("the rules");
    let season = run(
        folder.path(),
        &["season", "c.geojson", "--rules", "r.json", "--no-pages"],
    );
    assert!(code(&season) < 2, "{}", stderr(&season));
    holds(
        "crossgrain-season-1",
        &read(&folder.path().join("out/programme.json")),
    );
    let day = |args: &[&str]| {
        let mut all = vec!["day", "c.geojson", "out/programme.json", "--json"];
        all.extend(args);
        let out = run(folder.path(), &all);
        assert!(code(&out) < 2, "{}", stderr(&out));
        stdout(&out)
    };
    let told: Value = serde_json::from_str(&day(&["--date", "2027-06-04"])).expect("JSON");
    holds("crossgrain-day-1", &told);
    assert_eq!(read(&folder.path().join("out/day-2027-06-04.json")), told);
    holds(
        "crossgrain-plan-1",
        &read(&folder.path().join("out/plan.json")),
    );
    let visit = &told["machines"][0]["visits"][0];
    assert_eq!(visit["pages"], json!([2, 2]));
    for file in [
        "day-2027-06-04.pdf",
        "day-2027-06-04-board.svg",
        "day-2027-06-04-fairway-7.svg",
    ] {
        assert!(folder.path().join("out").join(file).exists(), "{file}");
    }
    // The other machine takes over, and the settings stay.
    let down: Value = serde_json::from_str(&day(&[
        "--date",
        "2027-06-04",
        "--machine-down",
        "1",
        "--no-sheets",
    ]))
    .expect("JSON");
    holds("crossgrain-day-1", &down);
    let other = &down["machines"][0]["visits"][0];
    assert_eq!(
        (&down["machines"][0]["mower"], &other["pages"]),
        (&json!(2), &json!(null))
    );
    for key in ["heading_deg", "pattern", "first_pass", "height_mm", "rings"] {
        assert_eq!(visit[key], other[key], "{key}");
    }
    let week = day(&["--week", "2027-W22", "--no-sheets"]);
    let days: Vec<Value> = (week.lines())
        .map(|l| serde_json::from_str(l).expect("JSON"))
        .collect();
    assert_eq!(days.len(), 2);
    for d in &days {
        holds("crossgrain-day-1", d);
    }
    assert!(folder.path().join("out/week-2027-W22.pdf").exists());
    assert!(folder.path().join("out/plan-2027-06-04.json").exists());
}
