//! Mornings that cannot be had: dates, programmes and courses that do not fit.

use crate::support::{code, collection, fairway, feature, run, stderr};
use serde_json::Value;
use std::fs;

const RULES: &str = r#"{"season": {"from": "2027-06-01", "to": "2027-06-14"},
 "grooming": {"every_weeks": 0}, "closed": [{"date": "2027-06-04", "why": "member-guest"}]}"#;

/// A fairway of about 160 m by 44 m, beside the other.
fn second(name: &str, east: &str) -> String {
    feature(
        &format!(r#"{{"role":"fairway","name":{name}}}"#),
        "Polygon",
        &format!("[[[5,45.001],[{east},45.001],[{east},45.0014],[5,45.0014],[5,45.001]]]"),
    )
}

fn course() -> String {
    collection(&[fairway("\"7\""), second("\"8\"", "5.002")])
}

/// The programme of that course, as `crossgrain season` writes it.
pub fn programme() -> String {
    let folder = tempfile::tempdir().expect("a temporary folder");
    fs::write(folder.path().join("c.geojson"), course()).expect("the course");
    fs::write(folder.path().join("rules.json"), RULES).expect("the rules");
    let out = run(
        folder.path(),
        &[
            "season",
            "c.geojson",
            "--rules",
            "rules.json",
            "--no-pages",
            "--out",
            ".",
        ],
    );
    assert!(code(&out) < 2, "{}", stderr(&out));
    fs::read_to_string(folder.path().join("programme.json")).expect("the programme")
}

/// Name, files to write, arguments.
pub type BadDay = (&'static str, Vec<(&'static str, String)>, Vec<&'static str>);

/// What is asked of a sound programme, and refused.
const ASKED: &[(&str, &[&str])] = &[
    ("a day without a date", &[]),
    ("a date that is none", &["--date", "June 4"]),
    ("a date that no year has", &["--date", "2027-02-30"]),
    ("a day outside the season", &["--date", "2028-06-02"]),
    ("a day on which nothing is mown", &["--date", "2027-06-08"]),
    ("a closed day", &["--date", "2027-06-04"]),
    ("a week that is none", &["--week", "22"]),
    ("a week outside the season", &["--week", "2027-W40"]),
    (
        "a machine that the programme does not have",
        &["--date", "2027-06-02", "--machine", "2"],
    ),
    (
        "the only machine down",
        &["--date", "2027-06-02", "--machine-down", "1"],
    ),
    (
        "a day without any of its fairways",
        &["--date", "2027-06-02", "--without", "7,8"],
    ),
    (
        "a fairway left out that is not there",
        &["--date", "2027-06-02", "--without", "17"],
    ),
    (
        "a day with another mower",
        &["--date", "2027-06-02", "--deck", "80in"],
    ),
];

/// What is refused.
pub fn bad_days() -> Vec<BadDay> {
    let text = programme();
    let with = |name, course: String, programme: &str, args: &[&'static str]| -> BadDay {
        let mut all = vec!["day", "c.geojson", "p.json"];
        all.extend(args);
        (
            name,
            vec![("c.geojson", course), ("p.json", programme.to_string())],
            all,
        )
    };
    let asked = ASKED
        .iter()
        .map(|(name, args)| with(name, course(), &text, args));
    let mut all: Vec<BadDay> = asked.collect();
    let day = ["--date", "2027-06-02"];
    let ground = |name, c: Vec<String>| with(name, collection(&c), &text, &day);
    let edited = |name, edit: &dyn Fn(&mut Value)| {
        let mut v: Value = serde_json::from_str(&text).expect("JSON");
        edit(&mut v);
        with(name, course(), &v.to_string(), &day)
    };
    let drop = |v: &mut Value, key: &str| {
        v.as_object_mut().expect("an object").remove(key);
    };
    all.extend([
        ground(
            "a day on another course",
            vec![
                fairway("\"1\""),
                second("\"2\"", "5.003"),
                second("\"3\"", "5.004"),
            ],
        ),
        ground(
            "a day on a changed outline",
            vec![fairway("\"7\""), second("\"8\"", "5.0021")],
        ),
        ground(
            "a day on a course that lost a fairway",
            vec![fairway("\"7\""), second("\"9\"", "5.002")],
        ),
        with(
            "a day of a file that is no programme",
            course(),
            r#"{"schema": "crossgrain-plan/1"}"#,
            &day,
        ),
        with("a day of a file that is no JSON", course(), "{", &day),
        edited("a programme of an earlier version", &|v| drop(v, "ground")),
        edited("a programme without mowers", &|v| drop(v, "mowers")),
        edited("a programme whose mower was changed by hand", &|v| {
            v["mowers"][0]["mower"]["turning_radius_m"] = 3.0.into();
        }),
        edited("a programme with a pattern that nobody knows", &|v| {
            v["visits"][0]["pattern"] = "spirals".into();
        }),
        edited("a programme with a visit without a height", &|v| {
            drop(&mut v["visits"][1], "height_mm");
        }),
        edited("a programme with a date that is none", &|v| {
            v["visits"][1]["date"] = "2027-06-31".into();
        }),
    ]);
    all
}
