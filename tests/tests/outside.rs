//! The outside checks hold, there are enough of them, and the table on file is what they say.

use crossgrain_tests::outside::{Row, table, topics};
use crossgrain_tests::stored::path;
use std::collections::BTreeSet;

#[test]
fn every_row_holds() {
    let bad: Vec<String> = topics()
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

#[test]
fn there_are_at_least_120_rows_each_with_a_source_of_its_own() {
    let topics = topics();
    let rows: Vec<&Row> = topics.iter().flat_map(|t| &t.rows).collect();
    assert!(rows.len() >= 120, "{} rows", rows.len());
    let mut seen = BTreeSet::new();
    for r in rows {
        assert!(r.source.len() > 5, "{}: no source", r.what);
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
    let now = table(&topics());
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
    let mut row = topics().remove(0).rows.remove(0);
    assert!(row.holds());
    row.ours = row.theirs + 2.0 * row.tolerance;
    assert!(!row.holds());
    row.ours = f64::NAN;
    assert!(!row.holds());
}
