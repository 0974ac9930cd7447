//! The size table as files: JSON, `crossgrain-size/1`, and CSV (RFC 4180) with the same columns.
//!
//! Lengths are metres, areas square metres; `null` or an empty field where a pattern has no such
//! figure.

use crate::cells::{exact, guarded};
use crossgrain_core::LoopForm;
use crossgrain_season::sizing::{Fit, LoopFigures, SizeRow, SizeTable, WholeRow};
use serde_json::{Map, Value, json};

/// The schema's name.
pub const SCHEMA: &str = "crossgrain-size/1";

/// One answer to "which deck or overlap does it in so many passes".
#[derive(Debug, Clone, PartialEq)]
pub struct FitRow {
    /// The fairway's name.
    pub fairway: String,
    /// The deck's label.
    pub deck: String,
    /// The answer.
    pub fit: Fit,
}

/// The table as JSON.
pub fn value(course: &str, table: &SizeTable, fits: &[FitRow]) -> Value {
    json!({
        "schema": SCHEMA,
        "course": course,
        "rows": table.rows.iter().map(|r| Value::Object(row(r))).collect::<Vec<_>>(),
        "whole_course": table.whole.iter().map(whole).collect::<Vec<_>>(),
        "refused": table.refused.iter().map(|r| json!({
            "fairway": r.fairway,
            "deck": r.deck,
            "pattern": r.pattern.word(),
            "reason": r.reason,
        })).collect::<Vec<_>>(),
        "fits": fits.iter().map(|f| json!({
            "fairway": f.fairway,
            "deck": f.deck,
            "passes": f.fit.passes,
            "across_m": f.fit.across_m,
            "overlap_m": f.fit.overlap_m,
            "deck_needed_m": f.fit.deck_needed_m,
            "fewest_passes": f.fit.fewest_passes,
            "enough": f.fit.enough,
        })).collect::<Vec<_>>(),
    })
}

fn row(r: &SizeRow) -> Map<String, Value> {
    let m = &r.measures;
    let l = r.loops.as_ref();
    let of = |f: fn(&LoopFigures) -> f64| l.map(f);
    let figures = [
        ("fairway", json!(r.fairway)),
        ("deck", json!(r.deck)),
        ("pattern", json!(r.pattern.word())),
        ("fairway_m2", json!(m.fairway_m2)),
        ("passes", json!(m.passes)),
        ("pass_floor", json!(m.pass_floor)),
        ("spacing_m", json!(r.spacing_m)),
        ("asked_overlap_m", json!(r.asked_overlap_m)),
        ("overlap_m", json!(r.overlap_m)),
        ("mean_cuts", json!(m.mean_cuts)),
        ("mowing_m", json!(m.mowing_m)),
        ("transport_m", json!(m.transport_m)),
        ("turns", json!(m.turns)),
        ("minutes", json!(m.minutes)),
        ("shift_minutes", json!(m.shift_minutes)),
        ("field_efficiency", json!(m.field_efficiency)),
        ("trim_m2", json!(m.trim_m2)),
        ("missed_m2", json!(m.missed_m2)),
        ("advance_m", json!(of(|l| l.advance_m))),
        ("lane_spacing_m", json!(of(|l| l.lane_spacing_m))),
        ("lanes", json!(l.map(|l| l.lanes))),
        ("loops_per_lane", json!(l.map(|l| l.loops_per_lane))),
        ("loop_diameter_m", json!(of(|l| l.diameter_m))),
        (
            "loop_form",
            json!(l.map(|l| match l.form {
                LoopForm::Drift => "drift",
                LoopForm::Roll => "roll",
            })),
        ),
        ("lattice_mean_cuts", json!(of(|l| l.lattice_mean_cuts))),
        ("minutes_over_stripes", json!(r.minutes_over_stripes)),
        ("distance_over_stripes", json!(r.distance_over_stripes)),
    ];
    figures
        .into_iter()
        .map(|(k, v)| (k.to_string(), v))
        .collect()
}

fn whole(w: &WholeRow) -> Value {
    json!({
        "deck": w.deck,
        "pattern": w.pattern.word(),
        "fairways": w.fairways,
        "refused": w.refused,
        "fairway_m2": w.fairway_m2,
        "passes": w.passes,
        "pass_floor": w.pass_floor,
        "mean_cuts": w.mean_cuts,
        "mowing_m": w.mowing_m,
        "transport_m": w.transport_m,
        "minutes": w.minutes,
        "shift_minutes": w.shift_minutes,
        "trim_m2": w.trim_m2,
        "minutes_over_stripes": w.minutes_over_stripes,
    })
}

/// Columns of the CSV, the keys of a JSON row.
const COLUMNS: [&str; 27] = [
    "fairway",
    "deck",
    "pattern",
    "fairway_m2",
    "passes",
    "pass_floor",
    "spacing_m",
    "asked_overlap_m",
    "overlap_m",
    "mean_cuts",
    "mowing_m",
    "transport_m",
    "turns",
    "minutes",
    "shift_minutes",
    "field_efficiency",
    "trim_m2",
    "missed_m2",
    "advance_m",
    "lane_spacing_m",
    "lanes",
    "loops_per_lane",
    "loop_diameter_m",
    "loop_form",
    "lattice_mean_cuts",
    "minutes_over_stripes",
    "distance_over_stripes",
];

/// The rows as CSV: a line of names, a line a row, ends of line CR LF.
pub fn csv(table: &SizeTable) -> String {
    let mut out = COLUMNS.join(",");
    out.push_str(",fairway_exact");
    out.push_str("\r\n");
    for r in &table.rows {
        let row = row(r);
        let cells: Vec<String> = COLUMNS
            .iter()
            .map(|c| row.get(*c).map_or(String::new(), cell))
            .collect();
        out.push_str(&cells.join(","));
        out.push(',');
        out.push_str(&quoted(&exact(&r.fairway)));
        out.push_str("\r\n");
    }
    out
}

fn cell(v: &Value) -> String {
    match v {
        Value::Null => String::new(),
        Value::String(s) => quoted(s),
        other => other.to_string(),
    }
}

/// Text guarded against formulas, in quotes where it needs them.
fn quoted(s: &str) -> String {
    let safe = guarded(s);
    if safe.contains(['"', ',', '\n', '\r', ' ']) {
        format!("\"{}\"", safe.replace('"', "\"\""))
    } else {
        safe
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crossgrain_core::PatternKind;
    use crossgrain_metrics::Measures;
    use crossgrain_season::sizing::{Job, table};

    fn one(fairway: &str) -> SizeTable {
        let job = Job {
            fairway: 0,
            deck: 0,
            pattern: 0,
        };
        let row = SizeRow {
            job,
            fairway: fairway.to_string(),
            deck: "100in".to_string(),
            pattern: PatternKind::Stripes,
            asked_overlap_m: 0.1,
            overlap_m: 0.125,
            spacing_m: Some(2.415),
            loops: None,
            measures: Measures {
                fairway_m2: 5000.0,
                passes: 14,
                pass_floor: 12,
                minutes: 31.5,
                ..Measures::default()
            },
            minutes_over_stripes: None,
            distance_over_stripes: None,
        };
        table(vec![Ok(row)], Some(0), 1)
    }

    #[test]
    fn the_contract_of_a_row() {
        let v = value("Quillback", &one("7"), &[]);
        assert_eq!(v["schema"], SCHEMA);
        let r = &v["rows"][0];
        assert_eq!(r["fairway"], "7");
        assert_eq!(r["pattern"], "stripes");
        assert_eq!(r["passes"], 14);
        assert_eq!(r["overlap_m"], 0.125);
        assert!(r["advance_m"].is_null());
        for key in COLUMNS {
            assert!(r.get(key).is_some(), "{key}");
        }
        assert_eq!(r.as_object().map(Map::len), Some(COLUMNS.len()));
    }

    #[test]
    fn csv_survives_odd_names() {
        let text = csv(&one("the \"long\" one, by the mill"));
        let line = text.lines().nth(1).unwrap_or_default();
        assert!(
            line.starts_with("\"the \"\"long\"\" one, by the mill\",100in,stripes,5000.0,14,12")
        );
        assert_eq!(text.matches("\r\n").count(), 2);
        let text = csv(&one("=1+1"));
        assert!(text.contains("\r\n'=1+1,"), "{text}");
        assert!(text.ends_with(",\"\"\"=1+1\"\"\"\r\n"), "{text}");
    }
}
