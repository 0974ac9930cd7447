//! The plan file, `crossgrain-plan/1`: what was planned and measured, for other programs.
//!
//! Lengths are metres, areas square metres, headings compass degrees; arc angles are
//! mathematical degrees, counter-clockwise from east. Numbers carry full precision, so a plan
//! read back drives the same tracks.

use crate::input::{self, InputError};
use crossgrain_core::inside::model::step::letter;
use crossgrain_core::{
    CircularArc, Course, CuttingUnit, Fairway, Gear, LoopForm, Mow, Mower, Note, Reels, Role,
    Segment, Sense, Side, Step, Track,
};
use crossgrain_metrics::Measures;
use geo_types::{Coord, LineString, MultiPolygon, Polygon};
use serde_json::{Map, Value, json};
use std::fmt;

/// The schema's name, carried by every plan file.
pub const SCHEMA: &str = "crossgrain-plan/1";

/// One fairway with its mow and what was measured of it.
#[derive(Debug, Clone, Copy)]
pub struct Entry<'a> {
    /// The fairway.
    pub fairway: &'a Fairway,
    /// Its mow.
    pub mow: &'a Mow,
    /// Its measures.
    pub measures: &'a Measures,
}

/// A fairway that could not be planned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// Its name.
    pub fairway: String,
    /// Why not, and what to do.
    pub reason: String,
}

/// What a plan file says beside the mows.
#[derive(Debug, Clone, Copy, Default)]
pub struct About<'a> {
    /// Fairways left out.
    pub refused: &'a [Refused],
    /// The day it was planned, such as `2027-06-04`.
    pub date: Option<&'a str>,
    /// The [`plan_number`] of the plan without date and number.
    pub number: Option<&'a str>,
}

/// The plan as JSON.
pub fn value(course: &Course, mower: &Mower, entries: &[Entry<'_>]) -> Value {
    whole(course, mower, entries, &About::default(), true)
}

/// The plan without outlines and tracks, for the terminal.
pub fn summary(course: &Course, mower: &Mower, entries: &[Entry<'_>], about: &About<'_>) -> Value {
    whole(course, mower, entries, about, false)
}

/// The plan as the text of a file: one line a ring and a track, so that differences read well.
pub fn text(course: &Course, mower: &Mower, entries: &[Entry<'_>], about: &About<'_>) -> String {
    let mut out = String::new();
    let value = whole(course, mower, entries, about, true);
    write_value(&mut out, &value, 0);
    out.push('\n');
    out
}

/// The number that a plan and its sheets carry: the same for the same plan, another for any
/// other. Five letters and figures that are not taken for one another.
///
/// ```
/// let number = crossgrain_formats::plan::plan_number("{}");
/// assert_eq!(number.len(), 5);
/// assert_ne!(number, crossgrain_formats::plan::plan_number("{ }"));
/// ```
pub fn plan_number(plan: &str) -> String {
    const SIGNS: &[u8; 32] = b"23456789ABCDEFGHJKLMNPQRSTUVWXYZ";
    // FNV-1a, 64 bits (Fowler, Noll, Vo): not against forgery, only against mixing up.
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    for byte in plan.bytes() {
        hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    }
    // The low bits of a byte sequence's end are weak; fold the high ones in.
    let hash = hash ^ (hash >> 32);
    (0..5)
        .map(|i| char::from(SIGNS[(hash >> (5 * i)) as usize % SIGNS.len()]))
        .collect()
}

fn whole(
    course: &Course,
    mower: &Mower,
    entries: &[Entry<'_>],
    about: &About<'_>,
    tracks: bool,
) -> Value {
    let mut plan = head(course, mower);
    if let Some(date) = about.date {
        plan.insert("date".to_string(), json!(date));
    }
    if let Some(number) = about.number {
        plan.insert("number".to_string(), json!(number));
    }
    plan.insert(
        "mows".to_string(),
        entries.iter().map(|e| mow(e, tracks)).collect(),
    );
    plan.insert(
        "refused".to_string(),
        about
            .refused
            .iter()
            .map(|r| json!({"fairway": r.fairway, "reason": r.reason}))
            .collect(),
    );
    Value::Object(plan)
}

/// Objects spread over lines down to the tracks; whatever is deeper stays on its line.
fn write_value(out: &mut String, value: &Value, depth: usize) {
    let indent = |out: &mut String, depth: usize| {
        out.push('\n');
        out.extend(std::iter::repeat_n(' ', depth));
    };
    match value {
        Value::Object(map) if depth < 3 => {
            out.push('{');
            // The schema first, whatever the alphabet says.
            let rest = map.iter().filter(|(k, _)| *k != "schema");
            let entries = map.get_key_value("schema").into_iter().chain(rest);
            for (i, (key, v)) in entries.enumerate() {
                if i > 0 {
                    out.push(',');
                }
                indent(out, depth + 1);
                out.push_str(&Value::String(key.clone()).to_string());
                out.push_str(": ");
                write_value(out, v, depth + 1);
            }
            indent(out, depth);
            out.push('}');
        }
        Value::Array(list) if depth < 4 && list.iter().any(|v| !v.is_number()) => {
            out.push('[');
            for (i, v) in list.iter().enumerate() {
                if i > 0 {
                    out.push(',');
                }
                indent(out, depth + 1);
                write_value(out, v, depth + 1);
            }
            indent(out, depth);
            out.push(']');
        }
        other => out.push_str(&other.to_string()),
    }
}

/// The mower as the plan file has it.
pub fn mower_value(mower: &Mower) -> Value {
    json!({
        "name": mower.name,
        "cutting_width_m": mower.cutting_width_m(),
        "units": mower.units.iter().map(|u| json!({
            "across_m": u.across_m, "ahead_m": u.ahead_m, "width_m": u.width_m,
        })).collect::<Vec<_>>(),
        "turning_radius_m": mower.turning_radius_m,
        "speeds_m_s": {
            "mowing": mower.speeds.mowing_m_s,
            "loops": mower.speeds.loops_m_s,
            "transport": mower.speeds.transport_m_s,
            "turning": mower.speeds.turning_m_s,
        },
        "lift_lower_s": mower.lift_lower_s,
        "shift_efficiency": mower.shift_efficiency,
    })
}

fn head(course: &Course, mower: &Mower) -> Map<String, Value> {
    let mut plan = Map::new();
    plan.insert("schema".to_string(), json!(SCHEMA));
    plan.insert("course".to_string(), json!(course.name));
    plan.insert(
        "origin".to_string(),
        json!({"lon": course.origin_lon_deg, "lat": course.origin_lat_deg}),
    );
    plan.insert(
        "projection".to_string(),
        json!({
            "name": "azimuthal equidistant",
            "datum": "WGS 84",
            "proj": format!(
                "+proj=aeqd +lat_0={} +lon_0={} +datum=WGS84 +units=m",
                course.origin_lat_deg, course.origin_lon_deg
            ),
        }),
    );
    plan.insert("mower".to_string(), mower_value(mower));
    plan
}

/// The word for a sense in every file.
pub fn sense_word(sense: Sense) -> &'static str {
    match sense {
        Sense::Clockwise => "cw",
        Sense::CounterClockwise => "ccw",
    }
}

fn form_word(form: LoopForm) -> &'static str {
    match form {
        LoopForm::Drift => "drift",
        LoopForm::Roll => "roll",
    }
}

fn mow(entry: &Entry<'_>, whole: bool) -> Value {
    let Entry {
        fairway,
        mow,
        measures,
    } = entry;
    let s = &mow.settings();
    let mut out = json!({
        "fairway": mow.fairway(),
        "pattern": mow.pattern().word(),
        "heading_deg": mow.heading_deg(),
        "sense": sense_word(mow.sense()),
        "settings": {
            "overlap_m": s.overlap_m,
            "spacing_m": s.spacing_m,
            "loop_diameter_m": s.loop_diameter_m,
            "advance_m": s.advance_m,
            "lane_spacing_m": s.lane_spacing_m,
            "form": s.form.map(form_word),
            "lattice_mean_cuts": s.lattice_mean_cuts,
            "lanes": s.lanes,
            "loops_per_lane": s.loops_per_lane,
            "turn_floor_m": s.turn_floor_m,
        },
        "measures": measures_value(measures),
        "notes": mow.notes().iter().map(note).collect::<Vec<_>>(),
    });
    if whole && let Some(map) = out.as_object_mut() {
        map.insert("outline".to_string(), rings(fairway.ground().iter()));
        map.insert(
            "keep_outs".to_string(),
            rings(fairway.keep_outs().iter().map(|k| &k.area)),
        );
        map.insert(
            "keep_out_kinds".to_string(),
            fairway.keep_outs().iter().map(|k| k.kind.word()).collect(),
        );
        map.insert(
            "hole_line".to_string(),
            fairway.hole_line().map_or(Value::Null, |l| {
                l.0.iter().map(|c| json!([c.x, c.y])).collect()
            }),
        );
        map.insert("tracks".to_string(), mow.tracks().map(track).collect());
        map.insert(
            "legs".to_string(),
            mow.legs()
                .iter()
                .map(|l| {
                    let (role, index) = role(l.role);
                    json!({"role": role, "index": index, "tracks": [l.tracks.start, l.tracks.end],
                        "step": l.step, "line": l.line})
                })
                .collect(),
        );
        map.insert(
            "steps".to_string(),
            mow.steps().iter().enumerate().map(step).collect(),
        );
    }
    out
}

/// Measures by the names of the contract.
pub fn measures_value(m: &Measures) -> Value {
    json!({
        "fairway_m2": m.fairway_m2,
        "times_cut_m2": m.times_cut_m2,
        "uncut_m2": m.uncut_m2,
        "missed_m2": m.missed_m2,
        "trim_m2": m.trim_m2,
        "overlap_m2": m.overlap_m2,
        "mean_cuts": m.mean_cuts,
        "overrun_m2": m.overrun_m2,
        "keepout_cut_m2": m.keepout_cut_m2,
        "keepout_crossed_m": m.keepout_crossed_m,
        "area_error_bound_m2": m.area_error_bound_m2,
        "passes": m.passes,
        "pass_floor": m.pass_floor,
        "steps": m.steps,
        "turns": m.turns,
        "mowing_m": m.mowing_m,
        "transport_m": m.transport_m,
        "distance_floor_m": m.distance_floor_m,
        "distance_ratio": m.distance_ratio,
        "minutes": m.minutes,
        "shift_minutes": m.shift_minutes,
        "field_efficiency": m.field_efficiency,
        "lay_r1": m.lay_r1,
        "lay_r2": m.lay_r2,
    })
}

fn role(role: Role) -> (&'static str, u32) {
    match role {
        Role::CleanUp { ring } => ("clean-up", ring),
        Role::Stripe { index, .. } => ("stripe", index),
        Role::Lane { lane } => ("lane", lane),
        Role::Contour { index } => ("contour", index),
        Role::Ring { ring } => ("ring", ring),
        Role::TouchUp => ("touch-up", 0),
    }
}

fn step((i, s): (usize, &Step)) -> Value {
    json!({
        "letter": letter(i),
        "kind": s.kind.word(),
        "rule": s.rule.word(),
        "every": s.rule.every(),
        "part": s.part,
        "set": s.set,
        "first_leg": s.legs.start,
        "legs": s.legs.len(),
        "lines": s.lines.map(|(low, high)| [low, high]),
        "side": s.side.map(Side::word),
        "sweeps": s.sweeps,
        "keep_out": s.keep_out,
        "bridges": s.bridges,
        "stop_here": s.stop_here,
    })
}

fn note(note: &Note) -> Value {
    let mut out = match note {
        Note::Trim { area_m2 } => json!({"area_m2": area_m2}),
        Note::TooNarrow { cutting_width_m } => json!({"cutting_width_m": cutting_width_m}),
        Note::NoWay { at } | Note::BeyondMargin { at } | Note::BacksUp { at } => {
            json!({"at": [at.x, at.y]})
        }
        Note::Unreachable { at, legs } => json!({"at": [at.x, at.y], "legs": legs}),
        Note::CheaperLoops {
            diameter_m,
            mean_cuts,
            asked_mean_cuts,
        } => json!({"diameter_m": diameter_m, "mean_cuts": mean_cuts,
            "asked_mean_cuts": asked_mean_cuts}),
        Note::FewLoopsFit { share } => json!({"share": share}),
        // The word says all, also of notes that are new.
        _ => json!({}),
    };
    out["note"] = json!(note.word());
    out
}

fn rings<'a>(polygons: impl Iterator<Item = &'a Polygon<f64>>) -> Value {
    let ring = |r: &LineString<f64>| -> Value { r.0.iter().map(|c| json!([c.x, c.y])).collect() };
    polygons
        .map(|p| {
            std::iter::once(ring(p.exterior()))
                .chain(p.interiors().iter().map(ring))
                .collect::<Value>()
        })
        .collect()
}

fn track(t: &Track) -> Value {
    let reels = match t.reels {
        Reels::Down => "down",
        Reels::Up => "up",
    };
    let mut out = match &t.path {
        Segment::Line { from, to } => {
            json!({"reels": reels, "line": [[from.x, from.y], [to.x, to.y]]})
        }
        Segment::Arc(a) => json!({"reels": reels, "arc": {
            "centre": [a.centre.x, a.centre.y],
            "radius": a.radius_m,
            "from_deg": a.from_rad.to_degrees(),
            "sweep_deg": a.sweep_rad.to_degrees(),
        }}),
    };
    if t.gear == Gear::Reverse
        && let Some(map) = out.as_object_mut()
    {
        map.insert("gear".to_string(), json!("reverse"));
    }
    out
}

/// What is read back from a plan file.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadPlan {
    /// Longitude and latitude of the plane's origin, degrees.
    pub origin_deg: [f64; 2],
    /// The cutting units.
    pub units: Vec<CuttingUnit>,
    /// Tightest radius driven with the reels down, metres.
    pub turning_radius_m: f64,
    /// The mows.
    pub mows: Vec<ReadMow>,
}

/// One mow of a plan file.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadMow {
    /// The fairway's name.
    pub fairway: String,
    /// The pattern's word.
    pub pattern: String,
    /// Heading, compass degrees.
    pub heading_deg: Option<f64>,
    /// The ground, keep-outs taken out, metres.
    pub outline: MultiPolygon<f64>,
    /// The keep-outs, whole, metres.
    pub keep_outs: MultiPolygon<f64>,
    /// The whole drive.
    pub tracks: Vec<Track>,
    /// The measures, as JSON, by name.
    pub measures: Map<String, Value>,
}

/// Why a plan file could not be read back.
#[derive(Debug)]
pub enum PlanReadError {
    /// It is no JSON file at all.
    Input(InputError),
    /// Another schema, or none.
    Schema {
        /// The file.
        file: String,
        /// What it says.
        found: String,
    },
    /// An entry is missing or of the wrong kind.
    Entry {
        /// The file.
        file: String,
        /// Where.
        entry: String,
    },
}

impl fmt::Display for PlanReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PlanReadError::Input(e) => e.fmt(f),
            PlanReadError::Schema { file, found } => write!(
                f,
                "{file}: the schema is {found}, not {SCHEMA}; plan the course again"
            ),
            PlanReadError::Entry { file, entry } => write!(
                f,
                "{file}: {entry} is missing or of the wrong kind; plan the course again"
            ),
        }
    }
}

impl std::error::Error for PlanReadError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            PlanReadError::Input(e) => Some(e),
            _ => None,
        }
    }
}

/// Reads a plan file's text; `file` is the name that errors show.
///
/// # Errors
/// [`PlanReadError`] with the entry that is wrong.
pub fn read(text: &str, file: &str) -> Result<ReadPlan, PlanReadError> {
    let v = input::json(text, file).map_err(PlanReadError::Input)?;
    if v["schema"] != SCHEMA {
        return Err(PlanReadError::Schema {
            file: file.to_string(),
            found: input::plain(&v["schema"].to_string())
                .chars()
                .take(60)
                .collect(),
        });
    }
    read_plan(&v).map_err(|entry| PlanReadError::Entry {
        file: file.to_string(),
        entry,
    })
}

fn read_plan(v: &Value) -> Result<ReadPlan, String> {
    let units = list(&v["mower"]["units"], "mower.units")?
        .iter()
        .enumerate()
        .map(|(i, u)| {
            let at = |key: &str| number(&u[key], &format!("mower.units[{i}].{key}"));
            Ok(CuttingUnit {
                across_m: at("across_m")?,
                ahead_m: at("ahead_m")?,
                width_m: at("width_m")?,
            })
        })
        .collect::<Result<_, String>>()?;
    let mows = list(&v["mows"], "mows")?
        .iter()
        .enumerate()
        .map(|(i, m)| read_mow(m, &format!("mows[{i}]")))
        .collect::<Result<_, String>>()?;
    Ok(ReadPlan {
        origin_deg: [
            number(&v["origin"]["lon"], "origin.lon")?,
            number(&v["origin"]["lat"], "origin.lat")?,
        ],
        units,
        turning_radius_m: number(&v["mower"]["turning_radius_m"], "mower.turning_radius_m")?,
        mows,
    })
}

fn read_mow(m: &Value, at: &str) -> Result<ReadMow, String> {
    let text = |key: &str| {
        m[key]
            .as_str()
            .map(str::to_string)
            .ok_or_else(|| format!("{at}.{key}"))
    };
    Ok(ReadMow {
        fairway: text("fairway")?,
        pattern: text("pattern")?,
        heading_deg: m["heading_deg"].as_f64(),
        outline: read_polygons(&m["outline"], &format!("{at}.outline"))?,
        keep_outs: read_polygons(&m["keep_outs"], &format!("{at}.keep_outs"))?,
        tracks: list(&m["tracks"], &format!("{at}.tracks"))?
            .iter()
            .enumerate()
            .map(|(i, t)| read_track(t, &format!("{at}.tracks[{i}]")))
            .collect::<Result<_, String>>()?,
        measures: m["measures"]
            .as_object()
            .cloned()
            .ok_or_else(|| format!("{at}.measures"))?,
    })
}

fn list<'a>(v: &'a Value, at: &str) -> Result<&'a Vec<Value>, String> {
    v.as_array().ok_or_else(|| at.to_string())
}

fn number(v: &Value, at: &str) -> Result<f64, String> {
    v.as_f64()
        .filter(|n| n.is_finite())
        .ok_or_else(|| at.to_string())
}

/// No track turns farther about one centre, degrees: a loop is a whole turn, so two are plenty.
/// A lying file could ask for more points than any memory holds.
const MAX_SWEEP_DEG: f64 = 720.0;

fn sweep_rad(v: &Value, at: &str) -> Result<f64, String> {
    number(v, at)
        .ok()
        .filter(|deg| deg.abs() <= MAX_SWEEP_DEG)
        .map(f64::to_radians)
        .ok_or_else(|| at.to_string())
}

fn point(v: &Value, at: &str) -> Result<Coord<f64>, String> {
    match v.as_array().map(Vec::as_slice) {
        Some([x, y]) => Ok(Coord {
            x: number(x, at)?,
            y: number(y, at)?,
        }),
        _ => Err(at.to_string()),
    }
}

fn read_polygons(v: &Value, at: &str) -> Result<MultiPolygon<f64>, String> {
    let ring = |r: &Value| -> Result<LineString<f64>, String> {
        list(r, at)?.iter().map(|p| point(p, at)).collect()
    };
    list(v, at)?
        .iter()
        .map(|p| {
            let mut rings = list(p, at)?
                .iter()
                .map(ring)
                .collect::<Result<Vec<_>, String>>()?
                .into_iter();
            let outer = rings.next().ok_or_else(|| at.to_string())?;
            Ok(Polygon::new(outer, rings.collect()))
        })
        .collect::<Result<Vec<_>, String>>()
        .map(MultiPolygon)
}

fn read_track(t: &Value, at: &str) -> Result<Track, String> {
    let path = if let Some(line) = t["line"].as_array() {
        match line.as_slice() {
            [a, b] => Segment::Line {
                from: point(a, at)?,
                to: point(b, at)?,
            },
            _ => return Err(format!("{at}.line")),
        }
    } else {
        let a = &t["arc"];
        let radius_m = number(&a["radius"], &format!("{at}.arc.radius"))?;
        if radius_m <= 0.0 {
            return Err(format!("{at}.arc.radius"));
        }
        Segment::Arc(CircularArc {
            centre: point(&a["centre"], &format!("{at}.arc.centre"))?,
            radius_m,
            from_rad: number(&a["from_deg"], &format!("{at}.arc.from_deg"))?.to_radians(),
            sweep_rad: sweep_rad(&a["sweep_deg"], &format!("{at}.arc.sweep_deg"))?,
        })
    };
    let reels = match t["reels"].as_str() {
        Some("down") => Reels::Down,
        Some("up") => Reels::Up,
        _ => return Err(format!("{at}.reels")),
    };
    let gear = match &t["gear"] {
        Value::Null => Gear::Forward,
        Value::String(s) if s == "forward" => Gear::Forward,
        Value::String(s) if s == "reverse" => Gear::Reverse,
        _ => return Err(format!("{at}.gear")),
    };
    Ok(Track { path, reels, gear })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crossgrain_core::MowParts;
    use crossgrain_core::inside::ground::FairwayParts;
    use crossgrain_core::inside::ground::fairway;
    use crossgrain_core::{KeepOut, KeepOutKind, PatternKind, UsedSettings};
    use geo_types::{coord, polygon};

    fn example() -> (Course, Mower, Mow, Measures) {
        let (f, _) = fairway(FairwayParts {
            name: "7 <b>\u{5d0}".into(),
            outline: vec![
                polygon![(x: 0., y: 0.), (x: 90.1, y: 0.), (x: 90.1, y: 30.3), (x: 0., y: 30.)],
            ],
            keep_outs: vec![KeepOut {
                kind: KeepOutKind::Bunker,
                name: None,
                area: polygon![(x: 40., y: 28.), (x: 45., y: 28.), (x: 45., y: 35.)],
            }],
            ..Default::default()
        })
        .unwrap();
        let tracks = vec![
            Track::down(Segment::Line {
                from: coord! {x: 0.1, y: 1.0 / 3.0},
                to: coord! {x: 80.0, y: 1.0 / 3.0},
            }),
            Track::up(Segment::Arc(CircularArc {
                centre: coord! {x: 80.0, y: 2.0},
                radius_m: 5.0 / 3.0,
                from_rad: -std::f64::consts::FRAC_PI_2,
                sweep_rad: 1.1,
            })),
            Track {
                gear: Gear::Reverse,
                ..Track::up(Segment::Line {
                    from: coord! {x: 1.0, y: 2.0},
                    to: coord! {x: 3.0, y: 4.0},
                })
            },
        ];
        let mow = MowParts {
            fairway: f.name().to_string(),
            pattern: PatternKind::Stripes,
            heading_deg: Some(90.0),
            sense: Sense::Clockwise,
            settings: UsedSettings::default(),
            tracks,
            legs: vec![],
            steps: Vec::new(),
            notes: vec![Note::NoHoleLine, Note::Trim { area_m2: 2.5 }],
        }
        .mow();
        let course = Course {
            name: "course".into(),
            origin_lon_deg: 1.5,
            origin_lat_deg: 47.25,
            fairways: vec![f],
            features: vec![],
        };
        (course, Mower::bar(2.54), mow, Measures::default())
    }

    #[test]
    fn a_plan_read_back_drives_the_same_tracks() {
        let (course, mower, mow, measures) = example();
        let entry = Entry {
            fairway: &course.fairways[0],
            mow: &mow,
            measures: &measures,
        };
        let text = text(&course, &mower, &[entry], &About::default());
        let back = read(&text, "plan.json").unwrap();
        assert_eq!(back.origin_deg, [1.5, 47.25]);
        assert_eq!(back.units, mower.units);
        let m = &back.mows[0];
        assert_eq!(m.fairway, mow.fairway());
        assert_eq!(m.outline, *course.fairways[0].ground());
        assert_eq!(m.keep_outs.0.len(), 1);
        for (a, b) in m.tracks.iter().zip(mow.tracks()) {
            match (a.path, b.path) {
                (Segment::Arc(a), Segment::Arc(b)) => {
                    assert_eq!((a.centre, a.radius_m), (b.centre, b.radius_m));
                    assert!((a.from_rad - b.from_rad).abs() < 1e-15);
                    assert!((a.sweep_rad - b.sweep_rad).abs() < 1e-15);
                }
                _ => assert_eq!(a, b),
            }
            assert_eq!((a.reels, a.gear), (b.reels, b.gear));
        }
        // What JSON says is what the value says.
        let parsed: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(parsed, value(&course, &mower, &[entry]));
        let about = About::default();
        assert!(summary(&course, &mower, &[entry], &about)["mows"][0]["tracks"].is_null());
    }

    #[test]
    fn a_damaged_plan_is_refused_with_the_entry() {
        let (course, mower, mow, measures) = example();
        let entry = Entry {
            fairway: &course.fairways[0],
            mow: &mow,
            measures: &measures,
        };
        let text = text(&course, &mower, &[entry], &About::default());
        let damaged = text.replacen("\"radius\":1.6666666666666667", "\"radius\":0", 1);
        assert_ne!(damaged, text);
        let e = read(&damaged, "plan.json").unwrap_err().to_string();
        assert!(e.contains("mows[0].tracks[1].arc.radius"), "{e}");
        let e = read(&text.replacen(SCHEMA, "other/1", 1), "plan.json")
            .unwrap_err()
            .to_string();
        assert!(e.contains("other/1"), "{e}");
    }
}
