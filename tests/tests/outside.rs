//! The outside checks hold, there are enough of them, the table on file is what they say, and all of
//! them look at code that a command runs.

use crossgrain_tests::called::Code;
use crossgrain_tests::outside::{Row, Topic, facts, sources, table, topics};
use crossgrain_tests::stored::path;
use std::collections::BTreeSet;
use std::sync::OnceLock;

fn all() -> &'static [Topic] {
    static ALL: OnceLock<Vec<Topic>> = OnceLock::new();
    ALL.get_or_init(topics)
}

#[test]
fn every_row_holds() {
    let bad: Vec<String> = all()
        .iter()
        .flat_map(|t| {
            t.rows
                .iter()
                .filter(|r| !r.holds())
                .map(|r| say(t.title, r))
        })
        .collect();
    assert!(bad.is_empty(), "{} rows:\n{}", bad.len(), bad.join("\n"));
}

fn say(topic: &str, r: &Row) -> String {
    format!(
        "{topic}: {} ({}): theirs {}, ours {}, difference {:e}, allowed {:e}",
        r.what,
        r.source,
        r.theirs,
        r.ours,
        r.difference(),
        r.tolerance
    )
}

/// Rows that each topic has at the least: writing the table anew cannot lose any.
const MIN_FACTS: [(&str, usize); 17] = [
    ("Units", 13),
    ("Field capacity and time", 20),
    ("Turns", 40),
    ("Widths of shapes", 8),
    ("Cutting units on a loop", 11),
    ("Areas of ground", 55),
    ("Areas under the reels", 10),
    ("Drives swept again", 80),
    ("Directions", 65),
    ("Dated schedules", 44),
    ("Circles that advance", 45),
    ("Plane and geodesics", 120),
    ("GeoJSON", 15),
    ("Calendar", 16),
    ("Turf", 13),
    ("On foot and from edges", 5),
    ("Paper", 17),
];

#[test]
fn no_topic_has_lost_rows() {
    let titles: Vec<&str> = all().iter().map(|t| t.title).collect();
    assert_eq!(titles, MIN_FACTS.map(|l| l.0));
    for (topic, (title, least)) in all().iter().zip(MIN_FACTS) {
        assert!(
            topic.rows.len() >= least,
            "{title}: {} rows, not {least}",
            topic.rows.len()
        );
    }
}

#[test]
fn at_least_80_facts_of_45_sources_each_told_apart() {
    let rows: Vec<&Row> = all().iter().flat_map(|t| &t.rows).collect();
    let facts = facts(all());
    let sources = sources(all());
    assert!(facts.len() >= 80, "{} facts", facts.len());
    assert!(sources.len() >= 45, "{} sources", sources.len());
    let mut seen = BTreeSet::new();
    for r in rows {
        assert!(r.fact.len() > 1, "{}: no fact", r.what);
        // A page can be found again by its year; a program by its version.
        let dated = r.source.contains("year not noted")
            || r.source
                .split(|c: char| !c.is_ascii_digit())
                .any(|n| n.len() == 4)
            || r.source
                .split(' ')
                .any(|w| w.split('.').count() >= 2 && w.starts_with(|c: char| c.is_ascii_digit()));
        assert!(r.source.len() > 12 && dated, "{}: {}", r.what, r.source);
        assert!(r.tolerance > 0.0 && r.tolerance.is_finite(), "{}", r.what);
        // A tolerance as large as the figure itself would check nothing.
        assert!(
            r.theirs == 0.0 || r.tolerance < 0.4 * r.theirs.abs().max(1e-3),
            "{}: {} within {}",
            r.what,
            r.theirs,
            r.tolerance
        );
        assert!(
            seen.insert((r.what.clone(), r.source.clone())),
            "twice: {}",
            r.what
        );
    }
}

#[test]
fn the_table_on_file_is_up_to_date() {
    let file = path("outside/TABLE.md");
    let now = table(all());
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&file, &now).expect("the table can be written");
    }
    let filed = std::fs::read_to_string(&file).unwrap_or_default();
    assert!(
        filed == now,
        "tests/outside/TABLE.md is stale: BLESS=1 cargo test -p crossgrain-tests --test outside"
    );
}

#[test]
fn a_wrong_figure_does_not_hold() {
    let mut row = all()[0].rows[0].clone();
    assert!(row.holds());
    row.ours = row.theirs + 2.0 * row.tolerance;
    assert!(!row.holds());
    row.ours = f64::NAN;
    assert!(!row.holds());
}

/// What the rows call of ours, by name: every item of a `crossgrain_` crate that a file of
/// `tests/src/outside` imports or writes out in full is reached from the command's `main`.
#[test]
fn no_row_stands_on_code_that_no_command_calls() {
    let code = Code::of(&path("../crates"));
    // Were this wrong, nothing below would mean anything.
    assert!(
        code.runs("measure") && code.runs("shortest_forward_m"),
        "the command runs these"
    );
    assert!(!code.runs("no_such_function"));
    let used = code.functions_named_in(&path("src/outside"));
    assert!(used.len() > 25, "{used:?}");
    let idle: Vec<&String> = used.iter().filter(|f| !code.runs(f)).collect();
    assert!(idle.is_empty(), "no command calls {idle:?}");
}
