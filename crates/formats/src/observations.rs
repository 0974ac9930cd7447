//! The scalping log: dated notes per fairway, as JSON or CSV.
//!
//! ```json
//! [{"date": "2027-05-16", "fairway": "7", "scalping": "slight", "note": "left of the bunker"}]
//! ```
//!
//! ```csv
//! date,fairway,scalping,note
//! 2027-05-16,7,slight,left of the bunker
//! ```
//!
//! Scalping is `none`, `slight`, `moderate` or `severe`; the note may be left out.

use crate::input::{self, InputError};
use crossgrain_season::scalping::{Observation, Scalping};
use jiff::civil::Date;
use serde_json::Value;
use std::fmt;

/// What is wrong with one note of the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoteFault {
    /// Which note, 1 the first.
    pub note: usize,
    /// What is wrong with it and what to do.
    pub problem: String,
}

/// Why a log could not be read: all faults found.
#[derive(Debug)]
pub enum ObservationsError {
    /// It is no text or no JSON at all.
    Input(InputError),
    /// It has no notes where they should be.
    Form {
        /// The file.
        file: String,
        /// What is wrong and what to do.
        problem: String,
    },
    /// Notes cannot be read.
    Notes {
        /// The file.
        file: String,
        /// All of them.
        faults: Vec<NoteFault>,
    },
}

impl fmt::Display for ObservationsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ObservationsError::Input(e) => e.fmt(f),
            ObservationsError::Form { file, problem } => write!(f, "{file}: {problem}"),
            ObservationsError::Notes { file, faults } => {
                for (i, fault) in faults.iter().enumerate() {
                    if i > 0 {
                        writeln!(f)?;
                    }
                    write!(f, "{file}: note {}: {}", fault.note, fault.problem)?;
                }
                Ok(())
            }
        }
    }
}

impl std::error::Error for ObservationsError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            ObservationsError::Input(e) => Some(e),
            _ => None,
        }
    }
}

/// Most notes in a log: one for each of a hundred fairways on every day of three years.
const MAX_NOTES: usize = 110_000;

/// Reads a log from text, JSON if it starts like JSON and CSV otherwise; `file` is the name
/// that errors show.
///
/// # Errors
/// [`ObservationsError`] with all faults found.
///
/// ```
/// use crossgrain_formats::observations::read;
/// let log = read("date,fairway,scalping\n2027-05-16,7,slight\n", "log.csv").unwrap();
/// assert_eq!(log[0].fairway, "7");
/// ```
pub fn read(text: &str, file: &str) -> Result<Vec<Observation>, ObservationsError> {
    let start = text.trim_start_matches('\u{feff}').trim_start();
    let raw = if start.starts_with(['[', '{']) {
        from_json(text, file)?
    } else {
        from_csv(text, file)?
    };
    if raw.len() > MAX_NOTES {
        return Err(form(
            file,
            format!("{} notes; the limit is {MAX_NOTES}", raw.len()),
        ));
    }
    let mut log = Vec::with_capacity(raw.len());
    let mut faults = Vec::new();
    for (i, r) in raw.iter().enumerate() {
        match r.check() {
            Ok(o) => log.push(o),
            Err(problem) => faults.push(NoteFault {
                note: i + 1,
                problem,
            }),
        }
    }
    if faults.is_empty() {
        Ok(log)
    } else {
        Err(ObservationsError::Notes {
            file: file.to_string(),
            faults,
        })
    }
}

fn form(file: &str, problem: impl Into<String>) -> ObservationsError {
    ObservationsError::Form {
        file: file.to_string(),
        problem: problem.into(),
    }
}

#[derive(Default)]
struct Raw {
    date: Option<String>,
    fairway: Option<String>,
    scalping: Option<String>,
    note: Option<String>,
}

impl Raw {
    fn check(&self) -> Result<Observation, String> {
        let need = |field: &Option<String>, name: &str, example: &str| {
            field
                .as_deref()
                .map(str::trim)
                .filter(|t| !t.is_empty())
                .map(str::to_string)
                .ok_or_else(|| format!("{name} is missing; give it, for example {example}"))
        };
        let day = need(&self.date, "date", "2027-05-16")?;
        let date: Date = day.parse().map_err(|_| {
            format!(
                "date '{}' is no day; give it as 2027-05-16",
                input::plain(&day)
            )
        })?;
        let fairway = need(&self.fairway, "fairway", "7")?;
        let degree = need(&self.scalping, "scalping", "slight")?;
        let scalping = Scalping::named(&degree).ok_or_else(|| {
            format!(
                "scalping '{}' is not known; give none, slight, moderate or severe",
                input::plain(&degree)
            )
        })?;
        let note = self.note.as_deref().unwrap_or_default();
        Ok(Observation {
            date,
            fairway,
            scalping,
            note: input::plain(note).chars().take(500).collect(),
        })
    }
}

fn from_json(text: &str, file: &str) -> Result<Vec<Raw>, ObservationsError> {
    let value = input::json(text, file).map_err(ObservationsError::Input)?;
    let list = value.get("observations").unwrap_or(&value);
    let Some(items) = list.as_array() else {
        return Err(form(
            file,
            "no notes; give a list of {\"date\", \"fairway\", \"scalping\"}",
        ));
    };
    Ok(items
        .iter()
        .map(|item| {
            let text = |key: &str| match item.get(key) {
                Some(Value::String(s)) => Some(s.clone()),
                // A fairway's number may stand without quotes.
                Some(Value::Number(n)) => Some(n.to_string()),
                _ => None,
            };
            Raw {
                date: text("date"),
                fairway: text("fairway"),
                scalping: text("scalping"),
                note: text("note"),
            }
        })
        .collect())
}

fn from_csv(text: &str, file: &str) -> Result<Vec<Raw>, ObservationsError> {
    let text = text.trim_start_matches('\u{feff}');
    if text.trim().is_empty() {
        return Err(ObservationsError::Input(InputError::Empty {
            file: file.to_string(),
        }));
    }
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let head: Vec<String> = reader
        .headers()
        .map_err(|e| form(file, format!("{e}; save it as CSV in UTF-8")))?
        .iter()
        .map(str::to_lowercase)
        .collect();
    let column = |name: &str| head.iter().position(|h| h == name);
    let (Some(date), Some(fairway), Some(scalping)) =
        (column("date"), column("fairway"), column("scalping"))
    else {
        return Err(form(
            file,
            "the first line must name the columns: date,fairway,scalping,note",
        ));
    };
    let note = column("note");
    let mut out = Vec::new();
    for record in reader.records() {
        let record =
            record.map_err(|e| form(file, format!("{e}; correct that line, or save it as CSV")))?;
        let text = |i: usize| record.get(i).map(str::to_string);
        out.push(Raw {
            date: text(date),
            fairway: text(fairway),
            scalping: text(scalping),
            note: note.and_then(text),
        });
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn json_and_csv_say_the_same() {
        let json = r#"[{"date": "2027-05-16", "fairway": 7, "scalping": "Slight", "note": "a, \"b\""},
                       {"date": "2027-05-20", "fairway": "12", "scalping": "none"}]"#;
        let csv = "Date,Fairway,Scalping,Note\r\n2027-05-16,7,Slight,\"a, \"\"b\"\"\"\r\n2027-05-20, 12 ,none\r\n";
        let a = read(json, "log.json").unwrap();
        assert_eq!(a, read(csv, "log.csv").unwrap());
        assert_eq!(a[0].date, date(2027, 5, 16));
        assert_eq!(a[0].note, "a, \"b\"");
    }

    #[test]
    fn every_bad_note_is_named() {
        let csv =
            "date,fairway,scalping\n2027-02-30,7,slight\n2027-05-01,,none\n2027-05-01,7,awful\n";
        let text = read(csv, "log.csv").unwrap_err().to_string();
        for expected in [
            "log.csv: note 1: date '2027-02-30' is no day",
            "note 2: fairway is missing",
            "note 3: scalping 'awful' is not known; give none, slight, moderate or severe",
        ] {
            assert!(text.contains(expected), "{text}");
        }
        assert!(
            read("a,b\n1,2\n", "x")
                .unwrap_err()
                .to_string()
                .contains("first line")
        );
        assert!(
            read("{}", "x")
                .unwrap_err()
                .to_string()
                .contains("no notes")
        );
    }
}
