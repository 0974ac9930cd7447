//! `crossgrain day` at the terminal: what it tells when a machine is down, and what the crew is told.

mod support;

use serde_json::Value;
use std::fs;
use std::path::Path;
use support::{code, run, stderr, stdout};

/// Two machines; the second turns too wide for the loops of the first.
const RULES: &str = r#"{"season": {"from": "2027-06-01", "to": "2027-06-30"},
 "crew": {"machines": [{"name": "A", "deck": "100in"}, {"name": "B", "mower": "wide.json"}],
          "hours_per_day": 5}}"#;

fn sample(name: &str) -> Value {
    let file = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../samples")
        .join(name);
    serde_json::from_str(&fs::read_to_string(file).expect("the sample")).expect("JSON")
}

/// A folder with course, rules, mower and programme; the course says this of the first tee time.
fn folder(first_tee: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let at = folder.path();
    let mut mower = sample("light-five.json");
    mower["turning_radius_m"] = 4.5.into();
    mower["name"] = "Wide turner".into();
    let mut course = sample("quillback.geojson");
    course["first_tee_time"] = first_tee.into();
    fs::write(at.join("wide.json"), mower.to_string()).expect("the mower");
    fs::write(at.join("c.geojson"), course.to_string()).expect("the course");
    fs::write(at.join("rules.json"), RULES).expect("the rules");
    let o = run(
        at,
        &[
            "season",
            "c.geojson",
            "--only",
            "3,5,8",
            "--rules",
            "rules.json",
            "--no-pages",
            "--out",
            "s",
        ],
    );
    assert!(code(&o) < 2, "{}", stderr(&o));
    folder
}

fn day(at: &Path, args: &[&str]) -> std::process::Output {
    let mut all = vec![
        "day",
        "c.geojson",
        "s/programme.json",
        "--no-sheets",
        "--out",
        "d",
    ];
    all.extend(args);
    run(at, &all)
}

#[test]
fn a_mower_that_cannot_take_over_is_named_with_what_to_do() {
    let folder = folder("7:00");
    let at = folder.path();
    let text = fs::read_to_string(at.join("s/programme.json")).expect("the programme");
    let programme: Value = serde_json::from_str(&text).expect("JSON");
    let loops = (programme["visits"].as_array().expect("visits").iter())
        .find(|v| v["pattern"] == "loops" && v["mower"] == 1)
        .expect("loops of the first machine");
    let (date, fairway) = (
        loops["date"].as_str().unwrap(),
        loops["fairway"].as_str().unwrap(),
    );
    let o = day(at, &["--date", date, "--machine-down", "1"]);
    assert_eq!(code(&o), 2, "{}", stderr(&o));
    let told = stderr(&o);
    for words in [
        format!(
            "--machine-down: fairway '{fairway}' goes to machine 2 on {date}, which cannot mow it"
        ),
        "cannot be driven".to_string(),
        format!("leave it out as well, with --without {fairway}"),
    ] {
        assert!(told.contains(&words), "{words}: {told}");
    }
    // Which can be done.
    let o = day(
        at,
        &["--date", date, "--machine-down", "1", "--without", fairway],
    );
    assert!(code(&o) < 2, "{}", stderr(&o));
    // An option of `plan` is never named.
    let o = day(at, &["--date", date]);
    assert!(code(&o) < 2, "{}", stderr(&o));
    assert!(!stderr(&o).contains("--loop-diameter"), "{}", stderr(&o));
}

#[test]
fn the_table_tells_the_first_pass_and_players_before_the_mower() {
    let folder = folder("5:45");
    let at = folder.path();
    let o = day(at, &["--date", "2027-06-09"]);
    assert!(code(&o) < 2, "{}", stderr(&o));
    let text = fs::read_to_string(at.join("d/day-2027-06-09.json")).expect("the day");
    let told: Value = serde_json::from_str(&text).expect("JSON");
    let table = stdout(&o);
    let mut rows = 0;
    for machine in told["machines"].as_array().expect("machines") {
        for v in machine["visits"].as_array().expect("visits") {
            let first = v["first_pass_clock"]
                .as_str()
                .expect("a hole line is there");
            let start = v["start"].as_str().expect("a start");
            let row = (table.lines())
                .find(|l| l.contains(start) && l.starts_with(machine["name"].as_str().unwrap()))
                .expect("its row");
            assert!(row.split_whitespace().any(|w| w == first), "{first}: {row}");
            rows += 1;
        }
    }
    assert!(rows >= 2, "{table}");
    assert!(
        stderr(&o).contains("players come to fairways"),
        "{}",
        stderr(&o)
    );
    // Without a tee time nobody is told of players.
    let o = day(at, &["--date", "2027-06-09", "--first-tee", "12:00"]);
    assert!(!stderr(&o).contains("players come"), "{}", stderr(&o));
    for (wrong, why) in [
        (
            ["--first-tee", "7 am"],
            "--first-tee: '7 am' is no time of day; write it as 7:00",
        ),
        (
            [
                "--emergency",
                "nobody can read a text that is longer than the line it has to stand on",
            ],
            "--emergency: it has no room on a sheet",
        ),
    ] {
        let o = day(at, &["--date", "2027-06-09", wrong[0], wrong[1]]);
        assert_eq!(code(&o), 2);
        assert!(stderr(&o).contains(why), "{}", stderr(&o));
    }
}

#[test]
fn a_tee_time_that_is_none_is_left_out_with_a_note() {
    let folder = folder("early");
    let o = day(folder.path(), &["--date", "2027-06-09"]);
    assert!(code(&o) < 2);
    assert!(
        stderr(&o).contains("note: first_tee_time in the course file, 'early', is no time of day"),
        "{}",
        stderr(&o)
    );
}

/// The season plans real cutting units as the morning does. Driven back to front a mow lifts and
/// turns a little otherwise.
#[test]
fn the_minutes_of_the_season_are_those_of_the_morning() {
    let folder = folder("7:00");
    let at = folder.path();
    let read = |file: &str| -> Value {
        serde_json::from_str(&fs::read_to_string(at.join(file)).expect(file)).expect("JSON")
    };
    let programme = read("s/programme.json");
    let (mut units, mut loops) = (0, 0);
    for date in ["2027-06-02", "2027-06-04", "2027-06-07", "2027-06-09"] {
        let o = day(at, &["--date", date]);
        assert!(code(&o) < 2, "{}", stderr(&o));
        let told = read(&format!("d/day-{date}.json"));
        for machine in told["machines"].as_array().expect("machines") {
            for v in machine["visits"].as_array().expect("visits") {
                let planned = (programme["visits"].as_array().expect("visits").iter())
                    .find(|p| p["date"] == date && p["fairway"] == v["fairway"])
                    .expect("the visit of the programme");
                let (a, b) = (planned["minutes"].as_f64(), v["minutes"].as_f64());
                let (a, b) = (a.expect("minutes"), b.expect("minutes"));
                assert!((a - b).abs() < 0.03 * a, "{a} {b} {v}");
                units += u32::from(machine["name"] == "B");
                loops += u32::from(v["pattern"] == "loops");
            }
        }
    }
    assert!(units >= 2 && loops >= 1, "{units} {loops}");
}
