//! `crossgrain outline`: a recorded drive round an edge becomes a feature of a course file.

use crate::Verdict;
use crate::export::write;
use crate::failure::Failure;
use crate::options::{self, length_within_m, text, value};
use crate::terminal::{complain, say};
use clap::{Arg, ArgMatches, Command};
use crossgrain_core::inside::model::quantity::{FOOT_M, UnitSystem, parse_length_m};
use crossgrain_formats::course;
use crossgrain_formats::input;
use crossgrain_formats::survey::{self, ErrorFrom, Outline, Settings};
use serde_json::{Map, Value, json};
use std::path::{Path, PathBuf};

const SCHEMA: &str = "crossgrain-outline/1";
/// Farthest that an antenna is from the edge it follows, metres.
const MAX_OFFSET_M: f64 = 20.0;
/// Tightest and widest tolerance, metres.
const TOLERANCE_M: (f64, f64) = (0.005, 5.0);

/// The command's arguments.
pub(crate) fn command() -> Command {
    Command::new("outline")
        .about("An outline from a drive round an edge, recorded by a phone or a receiver")
        .arg(
            Arg::new("track")
                .value_name("TRACK")
                .required(true)
                .value_parser(clap::value_parser!(PathBuf))
                .help("The recorded drive: GPX, NMEA (GGA, RMC), or CSV with a header"),
        )
        .arg(value("name", "NAME", "What it is called, such as 7").required(true))
        .arg(value(
            "as-role",
            "ROLE",
            "What it is: fairway, bunker, green, water and so on [default: fairway]",
        ))
        .arg(value(
            "offset",
            "LENGTH",
            "How far the edge lies outside the antenna's line, such as 4ft; -4ft: inside it",
        ))
        .arg(value(
            "tolerance",
            "LENGTH",
            "How far the outline may stray from the line [default: 5cm]",
        ))
        .arg(value(
            "to",
            "FILE",
            "Course file (GeoJSON) to add it to, or to make [default: beside TRACK]",
        ))
        .arg(options::units_arg())
        .arg(options::json_arg())
}

/// Reads, makes, adds, tells.
pub(crate) fn run(m: &ArgMatches) -> Result<Verdict, Failure> {
    let units = options::units(m)?;
    let name = text(m, "name").unwrap_or_default().trim().to_string();
    if name.is_empty() {
        return Err(Failure::Argument {
            option: "--name",
            reason: "is empty; write the hole's number".to_string(),
        });
    }
    let role = text(m, "as-role").unwrap_or("fairway").to_string();
    if !course::is_area_role(&role) {
        return Err(Failure::Argument {
            option: "--as-role",
            reason: format!(
                "'{role}' is no role of an area; write one of {}",
                course::area_roles().join(", ")
            ),
        });
    }
    let mut settings = Settings {
        offset_m: offset_m(m)?,
        ..Settings::default()
    };
    if let Some(t) = length_within_m(m, "tolerance", "--tolerance", TOLERANCE_M.0, TOLERANCE_M.1)? {
        settings.tolerance_m = t;
    }
    let track = m.get_one::<PathBuf>("track").cloned().unwrap_or_default();
    let to = text(m, "to").map_or_else(|| track.with_extension("geojson"), PathBuf::from);
    if to == track {
        return Err(Failure::Argument {
            option: "--to",
            reason: "is the recorded drive itself; name another file".to_string(),
        });
    }

    let drive = survey::read(&track).map_err(other)?;
    let made = survey::outline(&drive, &settings).map_err(other)?;
    let (course, added) = with_feature(&to, &name, &role, &made)?;
    let written = write(&to, course.as_bytes())?;

    let (notes, look) = remarks(&made, &drive.notes, units);
    if options::is_set(m, "json") {
        let mut out = properties(&name, &role, &made);
        out.insert("schema".into(), SCHEMA.into());
        out.insert("file".into(), input::shown(&written).into());
        out.insert("length_m".into(), made.length_m.into());
        out.insert("overlap_m".into(), made.overlap_m.into());
        out.insert("spread_m".into(), json!(made.spread_m));
        out.insert("bridged_m".into(), json!(made.bridged_m));
        out.insert("jumps".into(), made.jumps.into());
        out.insert("still".into(), made.still.into());
        out.insert("unusable".into(), made.unusable.into());
        out.insert("vertices".into(), (made.ring.len() - 1).into());
        out.insert("notes".into(), json!(notes));
        say(&Value::Object(out).to_string());
    } else {
        say(&format!(
            "{role} '{name}': {}, between {} and {} (19 times in 20); {} corners",
            area(made.area_m2, units),
            area(made.area_low_m2, units),
            area(made.area_high_m2, units),
            made.ring.len() - 1
        ));
        let verb = if added { "added to" } else { "written to" };
        say(&format!("{verb} {}", input::shown(&written)));
        for n in &notes {
            complain(n);
        }
    }
    Ok(if look { Verdict::Look } else { Verdict::Done })
}

/// The offset; a minus in front puts the edge inside the line.
fn offset_m(m: &ArgMatches) -> Result<f64, Failure> {
    let Some(t) = text(m, "offset").map(str::trim) else {
        return Ok(0.0);
    };
    let (sign, bare) = match t.strip_prefix('-') {
        Some(rest) => (-1.0, rest),
        None => (1.0, t),
    };
    let length = parse_length_m(bare).map_err(|source| Failure::Measure {
        option: "--offset",
        source,
    })?;
    if length <= MAX_OFFSET_M {
        return Ok(sign * length);
    }
    Err(Failure::Argument {
        option: "--offset",
        reason: format!(
            "'{t}' is more than {MAX_OFFSET_M} m; measure from the antenna to the edge"
        ),
    })
}

fn properties(name: &str, role: &str, made: &Outline) -> Map<String, Value> {
    let round = |v: f64, per: f64| (v * per).round() / per;
    let mut p = Map::new();
    p.insert("role".into(), role.into());
    p.insert("name".into(), name.into());
    p.insert("area_m2".into(), round(made.area_m2, 10.0).into());
    p.insert("area_low_m2".into(), round(made.area_low_m2, 10.0).into());
    p.insert("area_high_m2".into(), round(made.area_high_m2, 10.0).into());
    p.insert(
        "position_error_m".into(),
        round(made.error_m, 1000.0).into(),
    );
    p
}

/// The course file with the feature in it, and whether there was one before.
fn with_feature(
    to: &Path,
    name: &str,
    role: &str,
    made: &Outline,
) -> Result<(String, bool), Failure> {
    let ring: Vec<[f64; 2]> = made
        .ring
        .iter()
        .map(|p| p.map(|v| (v * 1e9).round() / 1e9))
        .collect();
    let feature = json!({
        "type": "Feature",
        "properties": properties(name, role, made),
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    });
    let (mut head, mut features) = (Map::new(), Vec::new());
    let there = to.exists();
    if there {
        let shown = input::shown(to);
        let no = |reason: &str| Failure::Argument {
            option: "--to",
            reason: format!("{shown} {reason}"),
        };
        let old = input::read_text(to).map_err(other)?;
        let Value::Object(mut old) = input::json(&old, &shown).map_err(other)? else {
            return Err(no("is no GeoJSON; name another file"));
        };
        let collection = old.get("type").and_then(Value::as_str) == Some("FeatureCollection");
        match old.remove("features") {
            Some(Value::Array(list)) if collection => features = list,
            _ => return Err(no("is no collection of features; name another file")),
        }
        let same = |f: &Value| {
            let p = &f["properties"];
            p["role"] == role && (p["name"] == name || p["ref"] == name)
        };
        if features.iter().any(same) {
            return Err(no(&format!(
                "has a {role} '{name}' already; delete it there, or write another --name"
            )));
        }
        head = old;
    }
    features.push(feature);
    head.remove("type");
    let mut out = "{\"type\": \"FeatureCollection\",\n".to_string();
    for (key, value) in &head {
        out.push_str(&format!("{}: {value},\n", Value::String(key.clone())));
    }
    let lines: Vec<String> = features.iter().map(Value::to_string).collect();
    out.push_str(&format!("\"features\": [\n{}\n]}}\n", lines.join(",\n")));
    Ok((out, there))
}

/// An area to the unit, because the interval may be small.
fn area(m2: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Us => format!("{:.0} sq ft", m2 / (FOOT_M * FOOT_M)),
        UnitSystem::Metric => format!("{m2:.0} m2"),
    }
}

/// What to say of the drive, and whether it asks for a look.
fn remarks(made: &Outline, of_file: &[String], units: UnitSystem) -> (Vec<String>, bool) {
    let length = |m: f64| match units {
        UnitSystem::Us => format!("{:.2} ft", m / FOOT_M),
        UnitSystem::Metric => format!("{m:.2} m"),
    };
    let mut out: Vec<String> = of_file.iter().map(|n| format!("note: {n}")).collect();
    match (made.error_from, made.spread_m) {
        (ErrorFrom::Overlap, Some(spread)) => out.push(format!(
            "note: over {} driven twice the two lines lie {} apart (root mean square): a position is good to {}",
            length(made.overlap_m),
            length(spread),
            length(made.error_m)
        )),
        (ErrorFrom::Receiver, _) => out.push(format!(
            "note: the receiver says that a position is good to {}; drive on past the start for a minute or more to measure it",
            length(made.error_m)
        )),
        _ => out.push(format!(
            "note: nothing tells how good the positions are; {} taken, as of a phone. Drive on past the start for a minute or more to measure it",
            length(made.error_m)
        )),
    }
    for (count, what) in [
        (made.jumps, "jumped and are left out"),
        (made.still, "standing still are drawn together"),
        (made.unusable, "without a fix or damaged are left out"),
    ] {
        if count > 0 {
            out.push(format!("note: {count} positions {what}"));
        }
    }
    for gap in &made.bridged_m {
        out.push(format!(
            "warning: {} of the edge were not recorded and are drawn straight; look at that place",
            length(*gap)
        ));
    }
    (out, !made.bridged_m.is_empty())
}

fn other(e: impl std::error::Error + Send + Sync + 'static) -> Failure {
    Failure::Other(Box::new(e))
}
