//! The programme file, `crossgrain-season/1`, the same as CSV, and the grain as data.
//!
//! Numbers carry full precision; a visit stands on a line of its own, so that two issues of a
//! programme can be compared line by line.

use crate::cells::{exact, guarded};
use crate::fingerprint;
use crate::mower_value::mower_value;
use crossgrain_core::Sense;
use crossgrain_core::inside::model::pattern::{CrossSets, Ends};
use crossgrain_season::cost::{Cost, vertical};
use crossgrain_season::grain::LayFigures;
use crossgrain_season::programme::{Cancelled, Lost, Programme, Row, Visit};
use crossgrain_season::rules::Sky;
use crossgrain_season::slots::Kind;
use jiff::civil::Date;
use serde_json::{Value, json};
use std::fmt::Write;

/// The schema's name, carried by every programme file.
pub const SCHEMA: &str = "crossgrain-season/1";
/// The schema's name of the grain file.
pub const GRAIN_SCHEMA: &str = "crossgrain-grain/1";

/// The programme as JSON.
pub fn value(p: &Programme) -> Value {
    let mut v = head(p);
    v["visits"] = p.visits.iter().map(visit).collect();
    v
}

/// The programme as the text of a file.
pub fn text(p: &Programme) -> String {
    let mut out = String::from("{\n");
    let value = value(p);
    let Some(map) = value.as_object() else {
        return out;
    };
    // The schema first, whatever the alphabet says.
    let rest = map.iter().filter(|(k, _)| *k != "schema");
    for (i, (key, v)) in map
        .get_key_value("schema")
        .into_iter()
        .chain(rest)
        .enumerate()
    {
        if i > 0 {
            out.push_str(",\n");
        }
        let _ = write!(out, " {}: ", Value::from(key.as_str()));
        match v.as_array() {
            Some(items) if !items.is_empty() => {
                out.push('[');
                for (i, item) in items.iter().enumerate() {
                    let _ = write!(out, "{}\n  {item}", if i > 0 { "," } else { "" });
                }
                out.push(']');
            }
            _ => {
                let _ = write!(out, "{v}");
            }
        }
    }
    out.push_str("\n}\n");
    out
}

fn head(p: &Programme) -> Value {
    json!({
        "schema": SCHEMA,
        "course": p.course,
        "season": {"from": p.rules.from.to_string(), "to": p.rules.to.to_string()},
        "issue": p.rules.issue,
        "lay_cell_m": p.books.first().map(|b| b.cells().cell_m),
        "lay": p.lay.iter().map(|l| {
            let mut v = lay(&l.lay);
            v["fairway"] = json!(l.fairway);
            v["objective"] = json!(l.objective);
            v["objective_bound"] = json!(l.objective_bound);
            v["r2_mean_bound"] = json!(l.r2_mean_bound);
            v["r2_28_days"] = json!(l.r2_28_days);
            v["clock_rotation_r2_28_days"] = json!(l.clock_rotation_28_days);
            v["directions_28_days"] = json!({
                "mean": l.directions_28_days.0, "p5": l.directions_28_days.1,
            });
            if let Some(r) = l.reason {
                v["reason"] = json!(r.word());
            }
            v["area_m2"] = json!(l.area_m2);
            v["hours"] = json!(l.cost.hours);
            v["distance_m"] = json!(l.cost.distance_m);
            v
        }).collect::<Vec<_>>(),
        "totals": row(&p.total, &p.rules.rates.currency),
        "comparison": p.habits.iter().map(|r| row(r, &p.rules.rates.currency)).collect::<Vec<_>>(),
        "curve": p.curve.iter().map(|c| json!({
            "hours": c.hours, "r2_mean": c.r2_mean, "r2_mean_bound": c.r2_mean_bound,
        })).collect::<Vec<_>>(),
        "machines": p.machines.iter().map(|m| json!({
            "mower": m.mower + 1, "name": m.name, "kind": m.kind + 1, "visits": m.visits,
            "hours": m.hours,
        })).collect::<Vec<_>>(),
        "mowers": mowers(p),
        "crew": {
            "start": p.rules.crew.start.strftime("%H:%M").to_string(),
            "between_min": p.rules.crew.between_min,
        },
        "ground": p.ground.iter().map(|(name, print)| (name.clone(), json!(print)))
            .collect::<serde_json::Map<_, _>>(),
        "heights": heights(p),
        "vertical_mowing": p.rules.vertical_mowing.as_ref().map(|v| {
            let area: f64 = p.lay.iter().map(|l| l.area_m2).sum();
            let c = vertical(v, area, p.lay.len());
            json!({
                "hours": c.hours, "clearing_hours": c.clearing_hours, "cost": c.money,
                "currency": p.rules.rates.currency,
                "fairway_days_closed": c.fairway_days_closed,
            })
        }),
        "days": p.days.iter().map(|d| json!({
            "date": d.date.to_string(), "visits": d.visits, "minutes": d.minutes,
        })).collect::<Vec<_>>(),
        "cancelled": p.cancelled.iter().map(cancelled).collect::<Vec<_>>(),
        "closed": p.rules.closed.iter().map(|c| json!({
            "from": c.from.to_string(), "to": c.to.to_string(), "why": c.why,
        })).collect::<Vec<_>>(),
        "changes": p.changes,
        "warnings": p.warnings.iter().map(ToString::to_string).collect::<Vec<_>>(),
    })
}

/// The mowers it was planned for, whole, so that a day can be planned from the programme alone.
fn mowers(p: &Programme) -> Vec<Value> {
    let named = |kind: usize| p.rules.crew.machines.get(kind).map(|m| m.name.as_str());
    let barred = |kind: usize| -> Vec<&str> {
        let Some(name) = named(kind) else {
            return Vec::new();
        };
        (p.rules.fairways.iter())
            .filter(|(_, f)| f.barred.iter().any(|b| b == name))
            .map(|(fairway, _)| fairway.as_str())
            .collect()
    };
    (p.mowers.iter().enumerate())
        .map(|(kind, m)| {
            json!({
                "kind": kind + 1,
                "file": p.mower_files.get(kind),
                "fingerprint": fingerprint::mower(m),
                "barred": barred(kind),
                "mower": mower_value(m),
            })
        })
        .collect()
}

/// The heights to set, for whoever sets them: each machine's, from the day it changes.
fn heights(p: &Programme) -> Vec<Value> {
    let mut now: std::collections::BTreeMap<(u32, &str), f64> = std::collections::BTreeMap::new();
    let mut out = Vec::new();
    for v in &p.visits {
        let key = (v.mower, v.fairway.as_str());
        if now.insert(key, v.height_m) != Some(v.height_m) {
            out.push(json!({
                "date": v.date().to_string(), "mower": v.mower + 1, "fairway": v.fairway,
                "height_mm": v.height_m * 1000.0,
            }));
        }
    }
    out
}

fn lay(l: &LayFigures) -> Value {
    json!({"r1_mean": l.r1_mean, "r1_p95": l.r1_p95, "r2_mean": l.r2_mean, "r2_p95": l.r2_p95})
}

fn row(r: &Row, currency: &str) -> Value {
    let Cost {
        visits,
        hours,
        shift_hours,
        between_hours,
        distance_m,
        labour,
        fuel_l,
        fuel,
    } = r.cost;
    let mut v = lay(&r.lay);
    v["grooming"] = json!(r.grooming);
    v["r2_28_days"] = json!(r.r2_28_days);
    v["schedule"] = json!(r.habit.map_or("programme", |h| h.word()));
    v["visits"] = json!(visits);
    v["hours"] = json!(hours);
    v["shift_hours"] = json!(shift_hours);
    v["between_hours"] = json!(between_hours);
    v["distance_m"] = json!(distance_m);
    v["labour"] = json!(labour);
    v["fuel_l"] = json!(fuel_l);
    v["fuel"] = json!(fuel);
    if labour.is_some() || fuel.is_some() {
        v["currency"] = json!(currency);
    }
    v
}

pub(crate) fn sense(s: Sense) -> &'static str {
    match s {
        Sense::Clockwise => "cw",
        Sense::CounterClockwise => "ccw",
    }
}

pub(crate) fn ends(e: Ends) -> &'static str {
    match e {
        Ends::Ring => "ring",
        Ends::Edge => "edge",
    }
}

pub(crate) fn sets(s: CrossSets) -> &'static str {
    match s {
        CrossSets::Both => "both",
        CrossSets::Crossing => "crossing",
    }
}

fn hour(h: f64) -> String {
    if h.fract() == 0.0 {
        format!("{h:.0}")
    } else {
        format!("{:.0}:30", h.floor())
    }
}

pub(crate) fn clock(v: &Visit) -> String {
    format!("{}-{}", hour(v.clock.0), hour(v.clock.1))
}

pub(crate) fn start(v: &Visit) -> String {
    format!("{:02}:{:02}", v.start.hour(), v.start.minute())
}

pub(crate) fn kind(k: Kind) -> &'static str {
    match k {
        Kind::Regular => "regular",
        Kind::Cross => "cross",
        Kind::Loops => "loops",
    }
}

pub(crate) fn sky(s: Sky) -> &'static str {
    match s {
        Sky::Frost => "frost",
        Sky::Wet => "wet",
    }
}

/// One visit, as in a programme file.
pub(crate) fn visit(v: &Visit) -> Value {
    json!({
        "date": v.date().to_string(),
        "fairway": v.fairway,
        "pattern": v.pattern.word(),
        "cross_sets": v.cross_sets.map(sets),
        "heading_deg": v.heading_deg,
        "sense": v.sense.map(sense),
        "lane_shift": v.lane_shift,
        "height_mm": v.height_m * 1000.0,
        "cleanup_sense": v.clean_up.map(sense),
        "rings": v.rings,
        "ends": ends(v.ends),
        "missed_m2": v.ground.missed_m2,
        "overrun_m2": v.ground.overrun_m2,
        "done": v.done,
        "minutes": v.minutes,
        "slot": v.slot.to_string(),
        "kind": kind(v.kind),
        "start": start(v),
        "mower": v.mower + 1,
        "clock": clock(v),
        "first_pass": if v.first_pass_right { "right" } else { "left" },
        "loop_diameter_m": v.loop_diameter_m,
        "distance_m": v.distance_m,
        "why": v.why.map(|w| w.to_string()),
        "reason": v.why.map(|w| {
            let (word, seen) = w.word();
            json!({"word": word, "seen": seen.map(|d| d.to_string())})
        }),
        "moved_from": v.moved_from.map(|(d, s)| json!({"date": d.to_string(), "why": sky(s)})),
        "later_min": v.later_min,
    })
}

fn cancelled(c: &Cancelled) -> Value {
    let why = match &c.why {
        Lost::Closed(why) => why.clone(),
        Lost::Weather(s) => sky(*s).to_string(),
    };
    json!({"date": c.date.to_string(), "fairway": c.fairway, "slot": c.slot.to_string(), "why": why})
}

const COLUMNS: [&str; 22] = [
    "date",
    "start",
    "mower",
    "fairway",
    "pattern",
    "clock",
    "heading_deg",
    "first_pass",
    "sense",
    "lane_shift",
    "height_mm",
    "cleanup_sense",
    "minutes",
    "distance_m",
    "slot",
    "moved_from",
    "why",
    "fairway_exact",
    "rings",
    "ends",
    "missed_m2",
    "overrun_m2",
];

/// The visits as CSV (RFC 4180), one line each, for a spreadsheet.
///
/// # Errors
/// The writer's, which writes to memory.
pub fn csv(p: &Programme) -> Result<String, csv::Error> {
    let mut w = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    w.write_record(COLUMNS)?;
    for v in &p.visits {
        w.write_record([
            v.date().to_string(),
            start(v),
            (v.mower + 1).to_string(),
            guarded(&v.fairway),
            v.pattern.word().to_string(),
            clock(v),
            format!("{:.1}", v.heading_deg),
            if v.first_pass_right { "right" } else { "left" }.to_string(),
            v.sense.map_or("", sense).to_string(),
            v.lane_shift.map_or_else(String::new, |s| format!("{s:.3}")),
            format!("{:.2}", v.height_m * 1000.0),
            v.clean_up.map_or("", sense).to_string(),
            format!("{:.1}", v.minutes),
            format!("{:.0}", v.distance_m),
            v.slot.to_string(),
            v.moved_from
                .map_or_else(String::new, |(d, _)| d.to_string()),
            v.why.map_or_else(String::new, |w| w.to_string()),
            exact(&v.fairway),
            v.rings.to_string(),
            ends(v.ends).to_string(),
            format!("{:.2}", v.ground.missed_m2),
            format!("{:.2}", v.ground.overrun_m2),
        ])?;
    }
    let bytes = w.into_inner().map_err(|e| e.into_error())?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// The grain of all fairways on one day: for each cell its middle (x, y, metres), R1, R2, the
/// compass heading of the grain's axis (0 to 180 degrees, null without one) and the ground in
/// it (m2).
pub fn grain(p: &Programme, day: Date) -> String {
    let round = |x: f64, digits: f64| (x * digits).round() / digits;
    let mut out = format!(
        "{{\n \"schema\": \"{GRAIN_SCHEMA}\",\n \"date\": \"{day}\",\n \"columns\": \
         [\"x_m\", \"y_m\", \"r1\", \"r2\", \"axis_deg\", \"ground_m2\"],\n \"fairways\": ["
    );
    for (i, b) in p.books.iter().enumerate() {
        let _ = write!(
            out,
            "{}\n  {{\"fairway\": {}, \"cell_m\": {}, \"cells\": [",
            if i > 0 { "," } else { "" },
            Value::from(b.fairway.as_str()),
            b.cells().cell_m
        );
        let mut first = true;
        for (c, s) in b.cells().cells.iter().zip(b.lay_on(day)) {
            let Some((r1, r2)) = s.lay() else { continue };
            let row = json!([
                round(c.centre.x, 1e3),
                round(c.centre.y, 1e3),
                round(f64::from(r1), 1e4),
                round(f64::from(r2), 1e4),
                s.axis_deg().map(|a| round(a, 10.0)),
                round(c.ground_m2, 1e3),
            ]);
            let _ = write!(out, "{}\n   {row}", if first { "" } else { "," });
            first = false;
        }
        out.push_str("]}");
    }
    out.push_str("]\n}\n");
    out
}
