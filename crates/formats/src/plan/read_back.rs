//! A plan file read back: what it says of ground, drive and measures.

use crate::input::{self, InputError};
use crossgrain_core::{CircularArc, CuttingUnit, Gear, Reels, Segment, Track};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};
use serde_json::{Map, Value};
use std::fmt;

/// The schema's name, carried by every plan file.
pub const SCHEMA: &str = "crossgrain-plan/1";

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
