//! `crossgrain check`: is the course file usable; if not, what is wrong, where, what to do.

use crate::Verdict;
use crate::failure::Failure;
use crate::options;
use crate::reading;
use crate::report::{shown_area, shown_length, shown_patch};
use crate::terminal::{complain, say, table};
use clap::{ArgMatches, Command};
use crossgrain_core::Fairway;
use crossgrain_core::inside::ground::heading::minimum_width;
use crossgrain_core::inside::ground::reach::trim_m2;
use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_formats::CourseError;
use crossgrain_formats::course::{Account, CourseFile, Fate, Problem, Weight};
use serde_json::{Value, json};

/// The command's arguments.
pub(crate) fn command() -> Command {
    Command::new("check")
        .about("Is the course file usable; if not, what is wrong, where, and what to do")
        .args(options::course_args())
        .args(options::mower_args())
        .arg(options::units_arg())
        .arg(options::json_arg())
}

/// One fairway's line.
struct Row<'a> {
    fairway: &'a Fairway,
    ground_m2: f64,
    width_m: Option<f64>,
    /// Ground that the deck cannot reach.
    trim_m2: f64,
}

/// Reads and judges the file.
pub(crate) fn run(m: &ArgMatches) -> Result<Verdict, Failure> {
    let mower = options::mower(m)?;
    let units = options::units(m)?;
    let as_json = options::is_set(m, "json");
    let file = match options::read_course(m) {
        Ok(f) => f,
        Err(Failure::Course(e)) => {
            if as_json {
                say(&unusable(&e).to_string());
            }
            return Err(Failure::Course(e));
        }
        Err(e) => return Err(e),
    };
    let deck_m = mower.cutting_width_m();
    let rows: Vec<Row<'_>> = file
        .course
        .fairways
        .iter()
        .map(|f| {
            let ground_m2 = f.ground_m2();
            Row {
                fairway: f,
                ground_m2,
                width_m: minimum_width(f.ground()).map(|w| w.width_m),
                trim_m2: trim_m2(f.ground(), deck_m),
            }
        })
        .collect();
    let narrow: Vec<&Row<'_>> = rows
        .iter()
        .filter(|r| r.ground_m2 - r.trim_m2 <= 0.0)
        .collect();
    let mut warnings = reading::warnings(&file);
    warnings.extend(
        reading::refused(&file)
            .iter()
            .map(|r| format!("warning: fairway '{}' is left out: {}", r.fairway, r.reason)),
    );
    if as_json {
        say(&summary(&file, &rows).to_string());
    } else {
        say(&listing(&file, &rows, units));
        for w in &warnings {
            complain(w);
        }
        for r in &narrow {
            complain(&format!(
                "warning: fairway '{}' is narrower than the deck ({}) everywhere; use a narrower deck with --deck or --mower",
                r.fairway.name(),
                shown_length(deck_m, units)
            ));
        }
    }
    let confirm = file.notices.iter().any(|n| n.weight() == Weight::ToConfirm);
    Ok(if narrow.is_empty() && warnings.is_empty() && !confirm {
        Verdict::Done
    } else {
        Verdict::Look
    })
}

fn listing(file: &CourseFile, rows: &[Row<'_>], units: UnitSystem) -> String {
    let cells: Vec<Vec<String>> = rows
        .iter()
        .map(|r| {
            let f = r.fairway;
            vec![
                f.name().to_string(),
                f.ground().0.len().to_string(),
                shown_area(r.ground_m2, units),
                r.width_m
                    .map_or_else(String::new, |w| crate::report::shown_distance(w, units)),
                f.keep_outs().len().to_string(),
                if f.hole_line().is_some() { "yes" } else { "no" }.to_string(),
                shown_patch(r.trim_m2, units),
            ]
        })
        .collect();
    let mut out = format!(
        "{}: {} fairway(s) at {}, usable\n\n",
        file.course.name,
        rows.len(),
        reading::place(file)
    );
    out.push_str(&table(
        &[
            "fairway",
            "parts",
            "area",
            "width",
            "keep-outs near",
            "way to green",
            "out of reach",
        ],
        &cells,
        &[false, true, true, true, true, false, true],
    ));
    if let Some(kinds) = reading::left_aside(&file.accounts) {
        out.push_str(&format!("\n\nLeft aside: {kinds}"));
        for a in &file.accounts {
            if matches!(a.fate, Fate::LeftAside { .. }) {
                out.push_str(&format!("\n  {a}"));
            }
        }
    }
    let of = |weight: Weight| {
        file.notices
            .iter()
            .filter(move |n| n.weight() == weight)
            .map(|n| format!("\n  {n}"))
            .collect::<String>()
    };
    let confirm = of(Weight::ToConfirm);
    if !confirm.is_empty() {
        out.push_str(&format!("\n\nTo put right in the file:{confirm}"));
    }
    let notes = of(Weight::Note);
    if !notes.is_empty() {
        out.push_str(&format!("\n\nRead with these repairs and guesses:{notes}"));
    }
    out
}

const SCHEMA: &str = "crossgrain-check/1";

fn summary(file: &CourseFile, rows: &[Row<'_>]) -> Value {
    json!({
        "schema": SCHEMA,
        "course": file.course.name,
        "usable": true,
        "origin": {"lon": file.plane.origin().lon_deg, "lat": file.plane.origin().lat_deg},
        "fairways": rows.iter().zip(&file.sources).map(|(r, s)| json!({
            "fairway": r.fairway.name(),
            "name_confirmed": !file.unconfirmed.iter().any(|n| n == r.fairway.name()),
            "features": s,
            "parts": r.fairway.ground().0.len(),
            "fairway_m2": r.ground_m2,
            "minimum_width_m": r.width_m,
            "keep_outs": r.fairway.keep_outs().len(),
            "hole_line": r.fairway.hole_line().is_some(),
            "trim_m2": r.trim_m2,
        })).collect::<Vec<_>>(),
        "notices": file.notices.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "features": file.accounts.iter().map(account).collect::<Vec<_>>(),
        "problems": file.refused.iter().flat_map(|r| &r.problems).map(problem).collect::<Vec<_>>(),
    })
}

fn account(a: &Account) -> Value {
    let (used_as, why, touches) = match &a.fate {
        Fate::UsedAs(role) => (Some(*role), None, None),
        Fate::LeftAside { why, touches } => (None, Some(*why), touches.clone()),
    };
    json!({
        "feature": a.feature.index,
        "at": a.feature.path,
        "says": a.says,
        "draws": a.draws,
        "used_as": used_as,
        "left_aside": why,
        "touches": touches,
    })
}

fn unusable(e: &CourseError) -> Value {
    let problems = match e {
        CourseError::Input(e) => vec![json!({"text": e.to_string()})],
        CourseError::File(e) => vec![json!({"text": e.to_string()})],
        CourseError::Problems { problems, .. } => problems.iter().map(problem).collect(),
    };
    json!({"schema": SCHEMA, "usable": false, "fairways": [], "notices": [], "problems": problems})
}

fn problem(p: &Problem) -> Value {
    json!({
        "feature": p.feature.as_ref().map(|f| f.index),
        "lon_lat": p.lonlat_deg,
        "what": p.kind.what(),
        "remedy": p.kind.remedy(),
        "text": p.to_string(),
    })
}
