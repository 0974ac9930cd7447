//! `crossgrain export`: a plan's drive for receivers, maps, drawings and guidance.

use crate::Verdict;
use crate::failure::Failure;
use crate::options::{self, length_within_m, text, value};
use crate::terminal::{complain, say, table};
use clap::{Arg, ArgMatches, Command};
use crossgrain_formats::export::{
    self, DEFAULT_START, DEFAULT_TOLERANCE_M, Drives, Format, Layer, Options, TOLERANCE_M,
};
use crossgrain_formats::input;
use crossgrain_formats::whole::OutFolder;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

const SCHEMA: &str = "crossgrain-export/1";

/// The command's arguments.
pub(crate) fn command() -> Command {
    Command::new("export")
        .about("A plan's drive as GPX, KML, GeoJSON, ISO 11783-10, DXF or GeoPackage")
        .arg(
            Arg::new("plan")
                .value_name("PLAN")
                .required(true)
                .value_parser(clap::value_parser!(PathBuf))
                .help("A plan.json, or the folder that holds it"),
        )
        .arg(
            value(
                "as",
                "FORMAT",
                "gpx, kml, geojson, isoxml, dxf or geopackage",
            )
            .required(true),
        )
        .args(options::only_args())
        .arg(value(
            "to",
            "FILE",
            "The file to write [default: beside the plan]",
        ))
        .arg(value(
            "tolerance",
            "LENGTH",
            "How far chords may stray from arcs [default: 1cm]",
        ))
        .arg(value(
            "start",
            "TIME",
            "When the first mow starts, such as 2027-05-03T05:30-04:00 [default: the year 2000]",
        ))
        .arg(options::json_arg())
}

/// Reads, writes, tells.
pub(crate) fn run(m: &ArgMatches) -> Result<Verdict, Failure> {
    let word = text(m, "as").unwrap_or_default();
    let format = Format::from_word(word).ok_or_else(|| {
        let list: Vec<&str> = Format::ALL.iter().map(|f| f.word()).collect();
        Failure::Argument {
            option: "--as",
            reason: format!("'{word}' is not known; write one of {}", list.join(", ")),
        }
    })?;
    let options = file_options(m)?;
    let mut path = m.get_one::<PathBuf>("plan").cloned().unwrap_or_default();
    if path.is_dir() {
        path.push("plan.json");
    }
    let to = match text(m, "to") {
        Some(to) => PathBuf::from(to),
        None => {
            let stem = path.file_stem().unwrap_or_default().to_string_lossy();
            path.with_file_name(format.file_name(&stem))
        }
    };
    let drives = chosen_drives(m, &path)?;
    let done = export::export(&drives, format, &options).map_err(other)?;
    let written = write(&to, &done.bytes)?;

    let timed = matches!(format, Format::Gpx | Format::Kml) && text(m, "start").is_none();
    let mut notes: Vec<String> = done.notes.iter().map(ToString::to_string).collect();
    if timed {
        notes.push("times count from 2000-01-01; --start says when the first mow begins".into());
    }
    if options::is_set(m, "json") {
        say(&summary(format, &done.layers, &written, &notes).to_string());
    } else {
        say(&listing(&done.layers));
        say(&format!("\nwritten: {}", input::shown(&written)));
        for n in &notes {
            complain(&format!("note: {n}"));
        }
    }
    Ok(Verdict::Done)
}

/// Chords and times of the file.
fn file_options(m: &ArgMatches) -> Result<Options, Failure> {
    let start = text(m, "start").unwrap_or(DEFAULT_START);
    Ok(Options {
        tolerance_m: length_within_m(m, "tolerance", "--tolerance", TOLERANCE_M.0, TOLERANCE_M.1)?
            .unwrap_or(DEFAULT_TOLERANCE_M),
        start: start.parse().map_err(|e| Failure::Argument {
            option: "--start",
            reason: format!(
                "'{start}' is no time with its offset ({e}); write it like 2027-05-03T05:30-04:00"
            ),
        })?,
    })
}

/// The plan's drives on the fairways asked for.
fn chosen_drives(m: &ArgMatches, path: &Path) -> Result<Drives, Failure> {
    let plan = input::read_text(path).map_err(other)?;
    let mut drives = Drives::read(&plan, &input::shown(path)).map_err(other)?;
    let names: Vec<&str> = drives.mows.iter().map(|m| m.fairway.as_str()).collect();
    let kept = options::kept(m, &names)?;
    let mut kept = kept.iter();
    drives.mows.retain(|_| kept.next().is_none_or(|k| *k));
    if drives.mows.is_empty() {
        return Err(Failure::Argument {
            option: "PLAN",
            reason: "holds no mow to export; plan a fairway first".to_string(),
        });
    }
    Ok(drives)
}

fn summary(format: Format, layers: &[Layer], written: &Path, notes: &[String]) -> Value {
    let layers: Vec<_> = layers
        .iter()
        .map(|l| json!({"name": l.name, "count": l.count, "length_m": l.length_m}))
        .collect();
    json!({
        "schema": SCHEMA,
        "format": format.word(),
        "file": input::shown(written),
        "layers": layers,
        "notes": notes,
    })
}

fn listing(layers: &[Layer]) -> String {
    let rows: Vec<Vec<String>> = layers
        .iter()
        .map(|l| {
            let length = if l.length_m > 0.0 {
                format!("{:.1}", l.length_m)
            } else {
                String::new()
            };
            vec![l.name.to_string(), l.count.to_string(), length]
        })
        .collect();
    table(
        &["layer", "count", "length (m)"],
        &rows,
        &[false, true, true],
    )
}

/// Puts a file in place whole.
pub(crate) fn write(to: &Path, bytes: &[u8]) -> Result<PathBuf, Failure> {
    let folder = match to.parent() {
        Some(p) if !p.as_os_str().is_empty() => p,
        _ => Path::new("."),
    };
    let name = to.file_name().unwrap_or_default().to_string_lossy();
    Ok(OutFolder::open(folder)?.write(&name, bytes)?)
}

fn other(e: impl std::error::Error + Send + Sync + 'static) -> Failure {
    Failure::Other(Box::new(e))
}
