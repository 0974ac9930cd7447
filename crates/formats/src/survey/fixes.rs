//! Recorded positions: GPX, NMEA 0183, and CSV with a header.

use super::drive::{Drive, Fix, RANGE_ERROR_M};
use super::{MAX_FIXES, SurveyError, nmea};
use crate::files::{FileError, FileFault, xml};
use crate::input;
use jiff::Timestamp;
use std::path::Path;

/// Phones tell the radius that holds 68% of positions; in two dimensions that is 1.51 standard
/// deviations of an axis: sqrt(-2 ln 0.32).
const RADIUS_68: f64 = 1.51;

/// Reads a recorded drive.
///
/// # Errors
/// [`SurveyError`] with file, line and what to do.
pub fn read(path: &Path) -> Result<Drive, SurveyError> {
    let bytes = crate::files::read(path).map_err(SurveyError::File)?;
    parse(bytes, &input::shown(path))
}

/// The same from bytes; `file` is the name that errors show.
///
/// # Errors
/// [`SurveyError`] with line and what to do.
pub fn parse(bytes: Vec<u8>, file: &str) -> Result<Drive, SurveyError> {
    let fault = |fault| {
        SurveyError::File(FileError {
            file: file.to_string(),
            fault,
        })
    };
    let text = xml::text(bytes).map_err(fault)?;
    let text = text.trim_start_matches('\u{feff}');
    let drive = if text.trim_start().starts_with('<') {
        gpx(text).map_err(fault)?
    } else if text.lines().take(50).any(nmea::is_sentence) {
        nmea::read(text)
    } else {
        table(text, file)?
    };
    if drive.fixes.len() > MAX_FIXES {
        return Err(SurveyError::TooMany);
    }
    Ok(drive)
}

fn gpx(text: &str) -> Result<Drive, FileFault> {
    let doc = xml::parse(text)?;
    let root = doc.root_element();
    if root.tag_name().name() != "gpx" {
        return Err(FileFault::Other("XML of another kind than GPX"));
    }
    let tracks: Vec<Vec<_>> = xml::children(root, "trk")
        .map(|t| {
            xml::children(t, "trkseg")
                .flat_map(|s| xml::children(s, "trkpt"))
                .collect()
        })
        .collect();
    // Receivers keep old tracks in the file; the edge is the one with most in it.
    let Some(longest) = tracks.iter().max_by_key(|t| t.len()) else {
        return Ok(Drive::default());
    };
    let mut drive = Drive::default();
    if tracks.len() > 1 {
        drive.notes.push(format!(
            "{} tracks in the file; the longest of them is used, with {} positions",
            tracks.len(),
            longest.len()
        ));
    }
    for p in longest {
        if xml::child_text(*p, "fix").is_some_and(|f| f == "none") {
            drive.unusable += 1;
            continue;
        }
        let [lon_deg, lat_deg] = crate::files::gpx::position(*p)?;
        drive.fixes.push(Fix {
            lon_deg,
            lat_deg,
            time_s: xml::child_text(*p, "time").and_then(|t| seconds(&t)),
            error_m: xml::child_text(*p, "hdop")
                .and_then(|t| t.parse::<f64>().ok())
                .filter(|d| (0.1..100.0).contains(d))
                .map(|d| d * RANGE_ERROR_M),
        });
    }
    Ok(drive)
}

/// A time as text, seconds; a number is taken as seconds or, where it is that large, milliseconds.
fn seconds(text: &str) -> Option<f64> {
    if let Ok(n) = text.parse::<f64>() {
        let s = if n.abs() > 1e11 { n / 1000.0 } else { n };
        return s.is_finite().then_some(s);
    }
    let t: Timestamp = text.parse().ok()?;
    Some(t.as_millisecond() as f64 / 1000.0)
}

/// Names of columns, without capitals and marks.
const LATITUDES: [&str; 3] = ["latitude", "lat", "latdeg"];
const LONGITUDES: [&str; 5] = ["longitude", "lon", "lng", "long", "londeg"];
const TIMES: [&str; 4] = ["time", "timestamp", "datetime", "utc"];
const ERRORS: [&str; 5] = [
    "accuracy",
    "horizontalaccuracy",
    "hacc",
    "accuracym",
    "horizontalaccuracym",
];

fn table(text: &str, file: &str) -> Result<Drive, SurveyError> {
    let unknown = || SurveyError::Unknown {
        file: file.to_string(),
    };
    let head = text.lines().next().ok_or_else(unknown)?;
    let delimiter = [b';', b'\t', b',']
        .into_iter()
        .max_by_key(|d| head.bytes().filter(|b| b == d).count())
        .unwrap_or(b',');
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .flexible(true)
        .from_reader(text.as_bytes());
    let bare = |t: &str| -> String {
        t.to_lowercase()
            .chars()
            .filter(|c| c.is_alphanumeric())
            .collect()
    };
    let names: Vec<String> = reader
        .headers()
        .map_err(|_| unknown())?
        .iter()
        .map(bare)
        .collect();
    let column = |list: &[&str]| names.iter().position(|n| list.contains(&n.as_str()));
    let (Some(lat), Some(lon)) = (column(&LATITUDES), column(&LONGITUDES)) else {
        return Err(unknown());
    };
    let (time, error) = (column(&TIMES), column(&ERRORS));
    let mut drive = Drive::default();
    for (i, row) in reader.records().enumerate() {
        let bad = |what| SurveyError::Line {
            file: file.to_string(),
            line: i + 2,
            what,
        };
        let row = row.map_err(|_| bad("it cannot be divided into columns"))?;
        let number = |column: usize| -> Option<f64> {
            let t = row.get(column)?.trim();
            // Where columns are divided by semicolons, commas stand in numbers.
            let t = if delimiter == b',' {
                t.to_string()
            } else {
                t.replace(',', ".")
            };
            t.parse().ok().filter(|v: &f64| v.is_finite())
        };
        if row.iter().all(|c| c.trim().is_empty()) {
            continue;
        }
        if row.get(lat).is_none_or(|c| c.trim().is_empty()) {
            drive.unusable += 1;
            continue;
        }
        let (Some(lat_deg), Some(lon_deg)) = (number(lat), number(lon)) else {
            return Err(bad("latitude or longitude is no number"));
        };
        if lat_deg.abs() > 90.0 || lon_deg.abs() > 180.0 {
            return Err(bad("latitude or longitude is out of range"));
        }
        drive.fixes.push(Fix {
            lon_deg,
            lat_deg,
            time_s: time.and_then(|c| seconds(row.get(c)?.trim())),
            error_m: error
                .and_then(number)
                .filter(|e| *e > 0.0 && *e < 1000.0)
                .map(|e| e / RADIUS_68),
        });
        if drive.fixes.len() > MAX_FIXES {
            return Err(SurveyError::TooMany);
        }
    }
    Ok(drive)
}
