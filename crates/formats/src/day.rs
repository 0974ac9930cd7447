//! The day file, `crossgrain-day/1`: each machine's fairways in driving order, with the hours and
//! settings that the sheets of that morning have.

use crate::programme::{clock, start, visit};
use crossgrain_core::Mow;
use crossgrain_metrics::Measures;
use crossgrain_season::day::{Day, Turn, changes};
use jiff::civil::DateTime;
use serde_json::{Value, json};

/// The schema's name, carried by every day file.
pub const SCHEMA: &str = "crossgrain-day/1";

/// One turn with its plan and its sheet.
#[derive(Debug, Clone)]
pub struct TurnEntry<'a> {
    /// The turn.
    pub turn: &'a Turn,
    /// Its mow.
    pub mow: &'a Mow,
    /// What the mow does.
    pub measures: &'a Measures,
    /// Where its first pass comes from and goes to, in hours on the clock with the green at 12, as
    /// sheet and board show it; none where they show none.
    pub first_pass_clock: Option<(String, String)>,
    /// The plan file that holds it, and its place there, 0 first.
    pub plan: (&'a str, usize),
    /// The files of its sheet.
    pub sheets: Vec<String>,
    /// The pages of its sheet in the PDF, from and to, 1 first; none without a sheet.
    pub pages: Option<(usize, usize)>,
}

/// What a day file tells.
#[derive(Debug, Clone)]
pub struct DayFile<'a> {
    /// The course's name.
    pub course: &'a str,
    /// The programme's issue.
    pub issue: u32,
    /// The morning.
    pub day: &'a Day,
    /// The turns with their plans, in the day's order.
    pub turns: &'a [TurnEntry<'a>],
    /// The name of each machine of the programme.
    pub machines: &'a [String],
    /// The file to print.
    pub pdf: &'a str,
    /// The number that plan and sheets carry, and the day they were planned.
    pub plan: (&'a str, &'a str),
}

fn hour(at: DateTime) -> String {
    at.strftime("%H:%M").to_string()
}

/// The day as JSON.
pub fn value(d: &DayFile<'_>) -> Value {
    let mut machines: Vec<Value> = Vec::new();
    for (m, name) in d.machines.iter().enumerate() {
        let mine: Vec<&TurnEntry<'_>> = d.turns.iter().filter(|t| t.turn.machine == m).collect();
        let (Some(first), Some(last)) = (mine.first(), mine.last()) else {
            continue;
        };
        machines.push(json!({
            "mower": m + 1,
            "name": name,
            "start": hour(first.turn.start),
            "end": hour(Day::end(last.turn)),
            "minutes": mine.iter().map(|t| t.turn.minutes).sum::<f64>(),
            "visits": mine.iter().enumerate().map(|(i, t)| row(t, i + 1)).collect::<Vec<_>>(),
        }));
    }
    json!({
        "schema": SCHEMA,
        "course": d.course,
        "date": d.day.date.to_string(),
        "issue": d.issue,
        "plan": d.plan.0,
        "planned": d.plan.1,
        "pdf": d.pdf,
        "minutes": d.day.minutes(),
        "machines": machines,
        "not_mown": d.day.not_mown.iter().map(|(fairway, why)| json!({
            "fairway": fairway, "why": why.word(),
        })).collect::<Vec<_>>(),
    })
}

fn row(t: &TurnEntry<'_>, order: usize) -> Value {
    let turn = t.turn;
    let mut v = visit(&turn.visit);
    v["order"] = json!(order);
    v["mower"] = json!(turn.machine + 1);
    v["start"] = json!(hour(turn.start));
    v["end"] = json!(hour(Day::end(turn)));
    v["programme"] = json!({
        "mower": turn.visit.mower + 1, "start": start(&turn.visit), "minutes": turn.visit.minutes,
        "distance_m": turn.visit.distance_m,
    });
    let hours = t.first_pass_clock.as_ref();
    v["first_pass_clock"] = json!(hours.map(|(from, to)| format!("{from}-{to}")));
    v["minutes"] = json!(turn.minutes);
    v["distance_m"] = json!(t.mow.mowing_m() + t.mow.transport_m());
    v["missed_m2"] = json!(t.measures.missed_m2);
    v["overrun_m2"] = json!(t.measures.overrun_m2);
    v["last"] = match &turn.last {
        None => Value::Null,
        Some(l) => json!({
            "date": l.date().to_string(), "pattern": l.pattern.word(), "clock": clock(l),
            "height_mm": l.height_m * 1000.0,
            "changed": changes(&turn.visit, l).iter().map(|c| c.word()).collect::<Vec<_>>(),
        }),
    };
    v["plan"] = json!({"file": t.plan.0, "mow": t.plan.1});
    v["sheets"] = json!(t.sheets);
    v["pages"] = json!(t.pages.map(|(from, to)| [from, to]));
    v
}

/// The day as the text of a file.
pub fn text(d: &DayFile<'_>) -> String {
    let mut out = format!("{:#}", value(d));
    out.push('\n');
    out
}
