//! NMEA 0183 sentences GGA and RMC, from memory of the standard; checksums are checked.

use super::drive::{Drive, Fix, RANGE_ERROR_M};

/// Error along an axis for the qualities of a GGA sentence, metres (common practice): 4 is a
/// fixed solution with corrections, 5 a floating one; 2 is differential, times the dilution.
const FIXED_M: f64 = 0.02;
const FLOAT_M: f64 = 0.30;
const DIFFERENTIAL_M: f64 = 0.8;
/// Seconds in a day: sentences carry the time of day alone.
const DAY_S: f64 = 86_400.0;

/// Whether a line looks like a sentence.
pub(super) fn is_sentence(line: &str) -> bool {
    let line = line.trim();
    line.starts_with('$')
        && line.len() > 6
        && matches!(
            line.get(3..6),
            Some("GGA" | "RMC" | "GSA" | "GSV" | "GLL" | "VTG" | "ZDA" | "GST" | "GNS")
        )
}

/// Reads all positions: from GGA where there are such, because they tell the quality; else from
/// RMC.
pub(super) fn read(text: &str) -> Drive {
    let sentences: Vec<Option<Vec<&str>>> = text
        .lines()
        .map(str::trim)
        .filter(|l| l.contains('$'))
        .map(fields)
        .collect();
    let has = |kind: &str| sentences.iter().flatten().any(|f| f[0].ends_with(kind));
    let kind = if has("GGA") { "GGA" } else { "RMC" };
    let mut drive = Drive::default();
    // A day is added each time the clock goes back over midnight.
    let (mut days, mut last) = (0.0, f64::NEG_INFINITY);
    for s in &sentences {
        let Some(f) = s else {
            drive.unusable += 1;
            continue;
        };
        if !f[0].ends_with(kind) {
            continue;
        }
        let Some(mut fix) = (if kind == "GGA" { gga(f) } else { rmc(f) }) else {
            drive.unusable += 1;
            continue;
        };
        if let Some(t) = fix.time_s {
            if t < last - DAY_S / 2.0 {
                days += 1.0;
            }
            last = t;
            fix.time_s = Some(t + days * DAY_S);
        }
        drive.fixes.push(fix);
    }
    drive
}

/// The fields of a sentence, unless its checksum is wrong or missing.
fn fields(line: &str) -> Option<Vec<&str>> {
    let body = &line[line.find('$')? + 1..];
    let (body, sum) = body.split_once('*')?;
    let want = u8::from_str_radix(sum.trim().get(..2)?, 16).ok()?;
    let got = body.bytes().fold(0, |a, b| a ^ b);
    (want == got).then(|| body.split(',').collect())
}

/// Degrees and minutes run together, as `4807.038`, and the hemisphere.
fn degrees(value: &str, side: &str, most: f64) -> Option<f64> {
    let v: f64 = value.parse().ok()?;
    let whole = (v / 100.0).trunc();
    let minutes = v - 100.0 * whole;
    let deg = whole + minutes / 60.0;
    if !(0.0..=most).contains(&deg) || !(0.0..60.0).contains(&minutes) {
        return None;
    }
    match side {
        "N" | "E" => Some(deg),
        "S" | "W" => Some(-deg),
        _ => None,
    }
}

/// Hours, minutes and seconds run together, as `123519.00`.
fn time_of_day(text: &str) -> Option<f64> {
    let v: f64 = text.parse().ok()?;
    let (h, m, s) = ((v / 1e4).trunc(), (v / 100.0).trunc() % 100.0, v % 100.0);
    (h < 24.0 && m < 60.0 && s < 61.0 && v >= 0.0).then_some(h * 3600.0 + m * 60.0 + s)
}

fn gga(f: &[&str]) -> Option<Fix> {
    let at = |i: usize| f.get(i).copied().unwrap_or_default();
    let dilution = at(8)
        .parse::<f64>()
        .ok()
        .filter(|d| (0.1..100.0).contains(d));
    let error_m = match at(6) {
        "" | "0" => return None,
        "4" => Some(FIXED_M),
        "5" => Some(FLOAT_M),
        "2" => dilution.map(|d| d * DIFFERENTIAL_M),
        _ => dilution.map(|d| d * RANGE_ERROR_M),
    };
    Some(Fix {
        lat_deg: degrees(at(2), at(3), 90.0)?,
        lon_deg: degrees(at(4), at(5), 180.0)?,
        time_s: time_of_day(at(1)),
        error_m,
    })
}

fn rmc(f: &[&str]) -> Option<Fix> {
    let at = |i: usize| f.get(i).copied().unwrap_or_default();
    if at(2) != "A" {
        return None;
    }
    Some(Fix {
        lat_deg: degrees(at(3), at(4), 90.0)?,
        lon_deg: degrees(at(5), at(6), 180.0)?,
        time_s: time_of_day(at(1)),
        error_m: None,
    })
}
