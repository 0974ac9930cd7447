//! The plan file, `crossgrain-plan/1`: what was planned and measured, for other programs.
//!
//! Lengths are metres, areas square metres, headings compass degrees; arc angles are
//! mathematical degrees, counter-clockwise from east. Numbers carry full precision, so a plan
//! read back drives the same tracks.

mod read_back;

use crossgrain_core::inside::model::step::letter;
use crossgrain_core::{
    Course, Fairway, Gear, LoopForm, Mow, Mower, Note, Reels, Role, Segment, Sense, Side, Step,
    Track,
};
use crossgrain_metrics::Measures;
use geo_types::{LineString, Polygon};
use serde_json::{Map, Value, json};

pub use read_back::{PlanReadError, ReadMow, ReadPlan, SCHEMA, read};

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

/// The list of mows in a plan file.
const MOWS: &str = "mows";
/// How deep a mow stands in a plan file: in the list, in the plan.
const MOW_DEPTH: usize = 2;

/// The plan as JSON.
pub fn value(course: &Course, mower: &Mower, entries: &[Entry<'_>]) -> Value {
    Value::Object(whole(course, mower, entries, &About::default(), true))
}

/// The plan without outlines and tracks, for the terminal.
pub fn summary(course: &Course, mower: &Mower, entries: &[Entry<'_>], about: &About<'_>) -> Value {
    Value::Object(whole(course, mower, entries, about, false))
}

/// One mow as it stands in the [`text`] of a plan: one line a ring and a track, so that
/// differences read well.
pub fn mow_text(entry: &Entry<'_>) -> String {
    let mut out = String::new();
    write_value(&mut out, &mow(entry, true), MOW_DEPTH);
    out
}

/// The plan as the text of a file, from the [`mow_text`] of each mow.
pub fn text(course: &Course, mower: &Mower, mows: &[String], about: &About<'_>) -> String {
    let plan = whole(course, mower, &[], about, true);
    let mut out = String::new();
    write_object(&mut out, &plan, 0, |out, key, value| match key {
        MOWS => write_list(out, mows, 1, |out, mow| out.push_str(mow)),
        _ => write_value(out, value, 1),
    });
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
) -> Map<String, Value> {
    let mut plan = head(course, mower);
    if let Some(date) = about.date {
        plan.insert("date".to_string(), json!(date));
    }
    if let Some(number) = about.number {
        plan.insert("number".to_string(), json!(number));
    }
    plan.insert(
        MOWS.to_string(),
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
    plan
}

/// Objects spread over lines down to the tracks; whatever is deeper stays on its line.
fn write_value(out: &mut String, value: &Value, depth: usize) {
    match value {
        Value::Object(map) if depth < 3 => {
            write_object(out, map, depth, |out, _, v| write_value(out, v, depth + 1));
        }
        Value::Array(list) if depth < 4 && list.iter().any(|v| !v.is_number()) => {
            write_list(out, list, depth, |out, v| write_value(out, v, depth + 1));
        }
        other => out.push_str(&other.to_string()),
    }
}

fn write_object(
    out: &mut String,
    map: &Map<String, Value>,
    depth: usize,
    write: impl Fn(&mut String, &str, &Value),
) {
    out.push('{');
    // The schema first, whatever the alphabet says.
    let rest = map.iter().filter(|(k, _)| *k != "schema");
    let entries = map.get_key_value("schema").into_iter().chain(rest);
    for (i, (key, v)) in entries.enumerate() {
        if i > 0 {
            out.push(',');
        }
        new_line(out, depth + 1);
        out.push_str(&Value::String(key.clone()).to_string());
        out.push_str(": ");
        write(out, key, v);
    }
    new_line(out, depth);
    out.push('}');
}

fn write_list<T>(out: &mut String, items: &[T], depth: usize, write: impl Fn(&mut String, &T)) {
    out.push('[');
    for (i, item) in items.iter().enumerate() {
        if i > 0 {
            out.push(',');
        }
        new_line(out, depth + 1);
        write(out, item);
    }
    if !items.is_empty() {
        new_line(out, depth);
    }
    out.push(']');
}

fn new_line(out: &mut String, depth: usize) {
    out.push('\n');
    out.extend(std::iter::repeat_n(' ', depth));
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

#[cfg(test)]
mod tests {
    use super::*;
    use crossgrain_core::CircularArc;
    use crossgrain_core::MowParts;
    use crossgrain_core::inside::ground::FairwayBuilder;
    use crossgrain_core::{KeepOut, KeepOutKind, PatternKind, UsedSettings};
    use geo_types::{coord, polygon};

    fn example() -> (Course, Mower, Mow, Measures) {
        let (f, _) = FairwayBuilder {
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
        }
        .build_and_tell()
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
        let text = text(&course, &mower, &[mow_text(&entry)], &About::default());
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
        let text = text(&course, &mower, &[mow_text(&entry)], &About::default());
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
