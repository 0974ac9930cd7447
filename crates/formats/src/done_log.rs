//! The log of what was mown, as CSV: `crossgrain season --done`.
//!
//! ```csv
//! date,fairway,pattern,heading_deg,first_pass,sense,lane_shift,rings,cleanup_sense
//! 2027-05-16,7,stripes,41.5,left,,,1,cw
//! 2027-05-18,7,loops,41.5,,ccw,0.333,2,ccw
//! ```
//!
//! The columns are those of `programme.csv`, of which a log is made by keeping the lines that
//! were mown; other columns are left alone. `sense` and `lane_shift` are for loops, `first_pass`
//! (`left` or `right`, looking along the heading) for straight passes.

use crate::cells::unguarded;
use crate::input::{self, InputError};
use crossgrain_core::{PatternKind, Sense};
use crossgrain_season::past::Done;
use crossgrain_season::rules::MAX_CLEAN_UP_RINGS;
use jiff::civil::Date;
use std::fmt;

/// Why a log could not be read: all faults found.
#[derive(Debug)]
pub enum DoneLogError {
    /// It is no text at all.
    Input(InputError),
    /// It is no CSV with the columns wanted.
    Form {
        /// The file.
        file: String,
        /// What is wrong and what to do.
        problem: String,
    },
    /// Lines cannot be read.
    Lines {
        /// The file.
        file: String,
        /// Number of the line, the head being 1, and what is wrong with it.
        faults: Vec<(u64, String)>,
    },
}

impl fmt::Display for DoneLogError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            DoneLogError::Input(e) => e.fmt(f),
            DoneLogError::Form { file, problem } => write!(f, "{file}: {problem}"),
            DoneLogError::Lines { file, faults } => {
                for (i, (line, problem)) in faults.iter().enumerate() {
                    if i > 0 {
                        writeln!(f)?;
                    }
                    write!(f, "{file}: line {line}: {problem}")?;
                }
                Ok(())
            }
        }
    }
}

impl std::error::Error for DoneLogError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            DoneLogError::Input(e) => Some(e),
            _ => None,
        }
    }
}

/// Most lines: one for each of a hundred fairways on every day of three years.
const MAX_LINES: usize = 110_000;

const NEEDED: [&str; 5] = ["date", "fairway", "pattern", "heading_deg", "rings"];

/// Reads a log; `file` is the name that errors show.
///
/// # Errors
/// [`DoneLogError`] with all faults found.
///
/// ```
/// let log = crossgrain_formats::done_log::read(
///     "date,fairway,pattern,heading_deg,rings\n2027-05-16,7,stripes,41.5,1\n", "log.csv").unwrap();
/// assert_eq!(log[0].heading_deg, 41.5);
/// ```
pub fn read(text: &str, file: &str) -> Result<Vec<Done>, DoneLogError> {
    let text = text.trim_start_matches('\u{feff}');
    if text.trim().is_empty() {
        return Err(DoneLogError::Input(InputError::Empty {
            file: file.to_string(),
        }));
    }
    let form = |problem: String| DoneLogError::Form {
        file: file.to_string(),
        problem,
    };
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let head: Vec<String> = reader
        .headers()
        .map_err(|e| form(format!("{e}; save it as CSV in UTF-8")))?
        .iter()
        .map(str::to_lowercase)
        .collect();
    let column = |name: &str| head.iter().position(|h| h == name);
    if let Some(missing) = NEEDED.iter().find(|n| column(n).is_none()) {
        return Err(form(format!(
            "there is no column {missing}; the first line names the columns: \
             date,fairway,pattern,heading_deg,first_pass,sense,lane_shift,rings,cleanup_sense"
        )));
    }
    let mut out = Vec::new();
    let mut faults = Vec::new();
    for (i, record) in reader.records().enumerate() {
        if i >= MAX_LINES {
            return Err(form(format!("more than {MAX_LINES} lines; shorten it")));
        }
        let record = record.map_err(|e| form(format!("{e}; correct that line")))?;
        let line = record.position().map_or(i as u64 + 2, csv::Position::line);
        let get = |name: &str| {
            column(name)
                .and_then(|c| record.get(c))
                .map(input::plain)
                .unwrap_or_default()
        };
        match row(&get) {
            Ok(d) => out.push(d),
            Err(problem) => faults.push((line, problem)),
        }
    }
    if faults.is_empty() {
        Ok(out)
    } else {
        Err(DoneLogError::Lines {
            file: file.to_string(),
            faults,
        })
    }
}

fn row(get: &dyn Fn(&str) -> String) -> Result<Done, String> {
    let wrong = |name: &str, expected: &str| {
        let found = get(name);
        if found.is_empty() {
            format!("{name} is missing; give {expected}")
        } else {
            format!("{name} '{found}' cannot be read; give {expected}")
        }
    };
    let date: Date = get("date")
        .parse()
        .map_err(|_| wrong("date", "a day such as 2027-05-16"))?;
    let fairway = get("fairway");
    // An apostrophe that keeps a spreadsheet from reading a formula is no part of the name.
    let fairway = unguarded(&fairway).to_string();
    if fairway.is_empty() {
        return Err(wrong("fairway", "its name"));
    }
    let pattern = PatternKind::of_word(&get("pattern")).ok_or_else(|| {
        let all: Vec<&str> = PatternKind::ALL.iter().map(|k| k.word()).collect();
        wrong("pattern", &format!("one of {}", all.join(", ")))
    })?;
    let heading_deg = get("heading_deg")
        .parse::<f64>()
        .ok()
        .filter(|d| (0.0..=360.0).contains(d))
        .ok_or_else(|| wrong("heading_deg", "compass degrees from 0 to 360"))?;
    let rings = get("rings")
        .parse::<u32>()
        .ok()
        .filter(|n| *n <= MAX_CLEAN_UP_RINGS)
        .ok_or_else(|| {
            let expected = format!("the number of clean-up passes, 0 to {MAX_CLEAN_UP_RINGS}");
            wrong("rings", &expected)
        })?;
    let side = get("first_pass");
    let first_pass_right = match side.as_str() {
        "" | "left" => false,
        "right" => true,
        _ => return Err(wrong("first_pass", "left or right")),
    };
    let lane_shift = match get("lane_shift").as_str() {
        "" => None,
        text => Some(
            text.parse::<f64>()
                .ok()
                .filter(|s| (0.0..1.0).contains(s))
                .ok_or_else(|| wrong("lane_shift", "a fraction from 0 to below 1"))?,
        ),
    };
    Ok(Done {
        date,
        fairway,
        pattern,
        heading_deg,
        first_pass_right,
        sense: sense(get, "sense")?,
        lane_shift,
        rings,
        clean_up: sense(get, "cleanup_sense")?,
    })
}

fn sense(get: &dyn Fn(&str) -> String, name: &str) -> Result<Option<Sense>, String> {
    match get(name).as_str() {
        "" => Ok(None),
        "cw" => Ok(Some(Sense::Clockwise)),
        "ccw" => Ok(Some(Sense::CounterClockwise)),
        other => Err(format!("{name} '{other}' cannot be read; give cw or ccw")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str =
        "date,fairway,pattern,heading_deg,first_pass,sense,lane_shift,rings,cleanup_sense\n";

    #[test]
    fn a_line_is_read_to_the_letter() {
        let text = format!("{HEAD}2027-05-18,'-7,loops,41.5,right,ccw,0.333,2,cw\n");
        let d = &read(&text, "log.csv").unwrap()[0];
        assert_eq!(d.fairway, "-7");
        assert_eq!(d.sense, Some(Sense::CounterClockwise));
        assert_eq!(d.lane_shift, Some(0.333));
        assert_eq!((d.rings, d.first_pass_right), (2, true));
        assert_eq!(d.clean_up, Some(Sense::Clockwise));
    }

    #[test]
    fn every_bad_line_is_named() {
        let text = format!(
            "{HEAD}2027-02-30,7,loops,0,,,,1,\n2027-02-03,7,zigzag,0,,,,1,\n2027-02-03,7,loops,400,,,,1,\n"
        );
        let told = read(&text, "log.csv").unwrap_err().to_string();
        for expected in [
            "log.csv: line 2: date '2027-02-30' cannot be read",
            "line 3: pattern 'zigzag' cannot be read; give one of stripes",
            "line 4: heading_deg '400' cannot be read",
        ] {
            assert!(told.contains(expected), "{told}");
        }
        let told = read("date,fairway\n", "x").unwrap_err().to_string();
        assert!(told.contains("no column pattern"), "{told}");
    }
}
