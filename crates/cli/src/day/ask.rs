//! What is asked of a day: which mornings, which mowers, what is different.

use crate::failure::Failure;
use crate::options::{self, text};
use clap::ArgMatches;
use crossgrain_core::Course;
use crossgrain_formats::input::{read_text, shown};
use crossgrain_formats::standing::{self, StandingFile};
use crossgrain_formats::{mower, stale};
use crossgrain_season::day::{Day, Morning, Standing};
use jiff::civil::{Date, ISOWeekDate, Weekday};
use std::path::{Path, PathBuf};

/// What is asked.
pub(super) struct Asked {
    /// The programme.
    pub standing: Standing,
    /// The mornings.
    pub days: Vec<Day>,
    /// A week was asked for.
    pub many: bool,
    /// The file to print.
    pub pdf: String,
    /// What the user should know.
    pub notes: Vec<String>,
}

fn other<E: std::error::Error + Send + Sync + 'static>(e: E) -> Failure {
    Failure::Other(Box::new(e))
}

fn wrong(option: &'static str, reason: String) -> Failure {
    Failure::Argument { option, reason }
}

/// Reads the programme and whatever the options say; refuses what does not fit together.
pub(super) fn read(m: &ArgMatches, course: &Course) -> Result<Asked, Failure> {
    let path = m
        .get_one::<PathBuf>("programme")
        .map_or(Path::new(""), PathBuf::as_path);
    let content = read_text(path).map_err(other)?;
    let file = standing::read(&content, &shown(path)).map_err(other)?;
    stale::ground(&file, course).map_err(other)?;
    let notes = mowers(m, &file)?;

    let standing = file.standing;
    let machines = standing.machines.len();
    let only = numbers(m, "machine", "--machine", machines)?;
    let morning = Morning {
        without: options::named(m, "without", "--without", course)?,
        down: numbers(m, "machine-down", "--machine-down", machines)?,
    };
    if let Some(n) = only.iter().find(|n| morning.down.contains(n)) {
        return Err(wrong(
            "--machine",
            format!(
                "machine {} is down by --machine-down; leave one of them out",
                n + 1
            ),
        ));
    }
    let (dates, pdf, many) = dates(m, &standing)?;
    let mut days = Vec::new();
    for date in dates {
        let mut day = standing.day(date, &morning).map_err(other)?;
        if !only.is_empty() {
            day.turns.retain(|t| only.contains(&t.machine));
            if day.turns.is_empty() && !many {
                return Err(wrong(
                    "--machine",
                    format!("it has nothing to mow on {date}"),
                ));
            }
        }
        if !day.turns.is_empty() {
            days.push(day);
        }
    }
    if days.is_empty() {
        return Err(wrong(
            "--week",
            "nothing is left to mow that week".to_string(),
        ));
    }
    Ok(Asked {
        standing,
        days,
        many,
        pdf,
        notes,
    })
}

/// Machines by number, 0 the first.
fn numbers(
    m: &ArgMatches,
    name: &str,
    option: &'static str,
    machines: usize,
) -> Result<Vec<usize>, Failure> {
    let mut out = Vec::new();
    for list in m.get_many::<String>(name).into_iter().flatten() {
        for word in list.split(',').map(str::trim) {
            match word.parse::<usize>() {
                Ok(n) if (1..=machines).contains(&n) => out.push(n - 1),
                _ => {
                    return Err(wrong(
                        option,
                        format!("'{word}' is no machine of the programme; it has 1 to {machines}"),
                    ));
                }
            }
        }
    }
    out.sort_unstable();
    out.dedup();
    Ok(out)
}

/// The mornings, the file to print, and whether a week was asked for.
fn dates(m: &ArgMatches, standing: &Standing) -> Result<(Vec<Date>, String, bool), Failure> {
    if let Some(t) = text(m, "date") {
        let date: Date = t
            .trim()
            .parse()
            .map_err(|_| wrong("--date", format!("'{t}' is no day; write it as 2027-06-04")))?;
        return Ok((vec![date], format!("day-{date}.pdf"), false));
    }
    let Some(t) = text(m, "week") else {
        return Err(wrong(
            "--date",
            "say which morning, such as --date 2027-06-04, or --week 2027-W22".to_string(),
        ));
    };
    let week = week(t.trim())
        .ok_or_else(|| wrong("--week", format!("'{t}' is no week; write it as 2027-W22")))?;
    let dates: Vec<Date> = (standing.dates().into_iter())
        .filter(|d| {
            let w = d.iso_week_date();
            (w.year(), w.week()) == (week.year(), week.week())
        })
        .collect();
    if dates.is_empty() {
        return Err(wrong(
            "--week",
            format!(
                "nothing is mown in {t}; the season is {} to {}",
                standing.season.0, standing.season.1
            ),
        ));
    }
    let pdf = format!("week-{:04}-W{:02}.pdf", week.year(), week.week());
    Ok((dates, pdf, true))
}

fn week(t: &str) -> Option<ISOWeekDate> {
    let (year, week) = t.split_once("-W")?;
    ISOWeekDate::new(year.parse().ok()?, week.parse().ok()?, Weekday::Monday).ok()
}

/// Whether the mowers are those of the programme: the one named in the options, and the files
/// that the programme was planned from, where they are still there.
fn mowers(m: &ArgMatches, file: &StandingFile) -> Result<Vec<String>, Failure> {
    let named = text(m, "mower").or(text(m, "deck"));
    if let Some(from) = named {
        if file.mowers.len() > 1 {
            return Err(wrong(
                if text(m, "mower").is_some() {
                    "--mower"
                } else {
                    "--deck"
                },
                "the programme has several kinds of mower of its own; leave this out".to_string(),
            ));
        }
        stale::mower(file, 0, &options::mower(m)?, from).map_err(other)?;
        return Ok(Vec::new());
    }
    let mut notes = Vec::new();
    for (kind, (from, _)) in file.mowers.iter().enumerate() {
        let Some(from) = from else { continue };
        let path = Path::new(from);
        if path.is_file() {
            stale::mower(file, kind, &mower::open(path)?, from).map_err(other)?;
        } else {
            notes.push(format!(
                "note: the mower file {from} is not there; the programme's own copy is used"
            ));
        }
    }
    Ok(notes)
}
