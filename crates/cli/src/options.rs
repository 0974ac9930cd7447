//! Options that several commands share: what they are called, and what they become.
//!
//! Each family has a function that lists its arguments and one that reads them. Lengths and
//! speeds carry units; a bare number is refused with a hint.

mod course;
mod crew;
mod page;
mod pattern;
mod selection;

pub(crate) use course::{chosen, course_args, kept, named, only_args, read_course};
pub(crate) use crew::{Crew, crew, crew_args};
pub(crate) use page::{page_args, paper, units, units_arg, words};
#[allow(unused_imports)] // for commands that read a heading of their own
pub(crate) use pattern::parse_heading;
pub(crate) use pattern::{odd_settings, pattern_args, pattern_list, patterns, settings_for};

use crate::failure::Failure;
use crate::report::shown_length;
use crate::terminal::{complain, say};
use clap::{Arg, ArgAction, ArgMatches};
use crossgrain_core::inside::limits::{MAX_DECK_M, MIN_DECK_M};
use crossgrain_core::inside::model::quantity::{UnitSystem, parse_length_m};
use crossgrain_core::{Mower, Sense};
use crossgrain_formats::whole::OutFolder;
use std::path::Path;

/// The deck when none is named: 100 in, a usual fairway width (trade articles name 62, 80 and
/// 100 in).
pub(crate) const DEFAULT_DECK: &str = "100in";

/// An option that takes a value; values may start with a minus, so that `-4in` is read and
/// refused as a length, not as an unknown flag.
pub(crate) fn value(name: &'static str, shown: &'static str, help: &'static str) -> Arg {
    Arg::new(name)
        .long(name)
        .value_name(shown)
        .allow_hyphen_values(true)
        .help(help)
}

/// An option that is there or not.
pub(crate) fn flag(name: &'static str, help: &'static str) -> Arg {
    Arg::new(name)
        .long(name)
        .action(ArgAction::SetTrue)
        .help(help)
}

/// The text of an option.
pub(crate) fn text<'a>(m: &'a ArgMatches, name: &str) -> Option<&'a str> {
    m.try_get_one::<String>(name)
        .ok()
        .flatten()
        .map(String::as_str)
}

/// Whether a flag is set.
pub(crate) fn is_set(m: &ArgMatches, name: &str) -> bool {
    m.try_get_one::<bool>(name).ok().flatten() == Some(&true)
}

/// A length option, metres.
pub(crate) fn length_m(
    m: &ArgMatches,
    name: &str,
    option: &'static str,
) -> Result<Option<f64>, Failure> {
    text(m, name)
        .map(|t| parse_length_m(t).map_err(|source| Failure::Measure { option, source }))
        .transpose()
}

/// A length option within bounds, metres.
pub(crate) fn length_within_m(
    m: &ArgMatches,
    name: &str,
    option: &'static str,
    least_m: f64,
    most_m: f64,
) -> Result<Option<f64>, Failure> {
    let Some(v) = length_m(m, name, option)? else {
        return Ok(None);
    };
    if (least_m..=most_m).contains(&v) {
        Ok(Some(v))
    } else {
        let units = units(m)?;
        Err(Failure::Argument {
            option,
            reason: format!(
                "'{}' is out of range; it must lie between {} and {}",
                text(m, name).unwrap_or_default(),
                shown_length(least_m, units),
                shown_length(most_m, units)
            ),
        })
    }
}

/// A whole number option within bounds.
pub(crate) fn count(
    m: &ArgMatches,
    name: &str,
    option: &'static str,
    most: u32,
) -> Result<Option<u32>, Failure> {
    let Some(t) = text(m, name) else {
        return Ok(None);
    };
    match t.trim().parse::<u32>() {
        Ok(n) if n <= most => Ok(Some(n)),
        _ => Err(Failure::Argument {
            option,
            reason: format!("'{t}' is no whole number from 0 to {most}"),
        }),
    }
}

/// `--deck` and `--mower`.
pub(crate) fn mower_args() -> [Arg; 2] {
    [
        value(
            "deck",
            "WIDTH",
            "A plain deck this wide, such as 100in [default: 100in]",
        )
        .conflicts_with("mower"),
        value(
            "mower",
            "FILE",
            "Mower file (JSON) with cutting units, radius, speeds",
        ),
    ]
}

/// A deck's width, metres, checked.
pub(crate) fn deck_m(width: &str, option: &'static str, units: UnitSystem) -> Result<f64, Failure> {
    let m = parse_length_m(width).map_err(|source| Failure::Measure { option, source })?;
    if (MIN_DECK_M..=MAX_DECK_M).contains(&m) {
        Ok(m)
    } else {
        Err(Failure::Argument {
            option,
            reason: format!(
                "'{width}' is no deck; one is between {} and {} wide, such as 100in",
                shown_length(MIN_DECK_M, units),
                shown_length(MAX_DECK_M, units)
            ),
        })
    }
}

/// A plain deck of a width such as `100in`, named after it.
pub(crate) fn bar(width: &str, option: &'static str, units: UnitSystem) -> Result<Mower, Failure> {
    let mut mower = Mower::bar(deck_m(width, option, units)?);
    mower.name = width.trim().to_string();
    Ok(mower)
}

/// The mower that `--mower` or `--deck` names.
pub(crate) fn mower(m: &ArgMatches) -> Result<Mower, Failure> {
    match text(m, "mower") {
        Some(file) => Ok(crossgrain_formats::mower::open(Path::new(file))?),
        None => bar(text(m, "deck").unwrap_or(DEFAULT_DECK), "--deck", units(m)?),
    }
}

/// `--sense`.
pub(crate) fn sense_arg() -> Arg {
    value(
        "sense",
        "cw|ccw",
        "Which way round loops, rings and clean-up passes go [default: cw]",
    )
}

/// The sense, clockwise unless said.
pub(crate) fn sense(m: &ArgMatches) -> Result<Sense, Failure> {
    match text(m, "sense") {
        None | Some("cw") => Ok(Sense::Clockwise),
        Some("ccw") => Ok(Sense::CounterClockwise),
        Some(other) => Err(Failure::Argument {
            option: "--sense",
            reason: format!("'{other}' is not known; write cw (clockwise) or ccw"),
        }),
    }
}

/// `--out`, `--tidy` and `--json`.
pub(crate) fn out_args() -> [Arg; 3] {
    [
        value("out", "DIR", "Folder for the files [default: out]"),
        flag(
            "tidy",
            "Remove files of earlier runs that this run does not write again and nobody changed",
        ),
        json_arg(),
    ]
}

/// `--json` alone, for commands that write no file.
pub(crate) fn json_arg() -> Arg {
    flag(
        "json",
        "A summary as JSON on standard output instead of the table",
    )
}

/// The folder for the files, made and tried.
pub(crate) fn out_folder(m: &ArgMatches) -> Result<OutFolder, Failure> {
    Ok(OutFolder::open(Path::new(text(m, "out").unwrap_or("out")))?)
}

/// Ends the writing: files of earlier runs are removed with `--tidy`, else named.
pub(crate) fn finish(m: &ArgMatches, out: &OutFolder, command: &str) -> Result<(), Failure> {
    /// Files named before the rest are only counted.
    const NAMED: usize = 4;
    let list = |names: &[String]| {
        let mut text = names[..names.len().min(NAMED)].join(", ");
        if names.len() > NAMED {
            text.push_str(&format!(" and {} more", names.len() - NAMED));
        }
        text
    };
    let earlier = out.finish(command)?;
    if is_set(m, "tidy") {
        out.tidy(&earlier)?;
        if !earlier.changed.is_empty() {
            complain(&format!(
                "note: left in {} because they were changed since: {}",
                out.path().display(),
                list(&earlier.changed)
            ));
        }
    } else {
        let all: Vec<String> = earlier.ours.into_iter().chain(earlier.changed).collect();
        if !all.is_empty() {
            complain(&format!(
                "note: of an earlier run and not written again: {}; --tidy removes what nobody changed",
                list(&all)
            ));
        }
    }
    Ok(())
}

/// An option that writes a starter file and does nothing else.
pub(crate) fn starter_arg(name: &'static str, help: &'static str) -> Arg {
    value(name, "FILE", help)
}

/// Writes a starter where the option asks for one, and never over a file that is there.
pub(crate) fn write_starter(
    m: &ArgMatches,
    name: &str,
    option: &'static str,
    content: &str,
) -> Result<bool, Failure> {
    let Some(file) = text(m, name) else {
        return Ok(false);
    };
    let fail = |e: std::io::Error| Failure::Argument {
        option,
        reason: match e.kind() {
            std::io::ErrorKind::AlreadyExists => {
                format!("'{file}' is there already and is left alone; name another file")
            }
            _ => format!("'{file}' cannot be written ({e}); name another file"),
        },
    };
    let mut out = std::fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(file)
        .map_err(fail)?;
    std::io::Write::write_all(&mut out, content.as_bytes())
        .and_then(|()| out.sync_all())
        .map_err(|e| {
            // Nothing half-written is left behind.
            let _ = std::fs::remove_file(file);
            fail(e)
        })?;
    say(&format!("{file}: written; put your own figures in"));
    Ok(true)
}

/// `--threads`.
pub(crate) fn threads_arg() -> Arg {
    value(
        "threads",
        "N",
        "Threads to plan with; the files are the same for any number [default: all]",
    )
}

/// Runs `work` on as many threads as `--threads` says.
pub(crate) fn on_threads<T: Send>(
    m: &ArgMatches,
    work: impl FnOnce() -> T + Send,
) -> Result<T, Failure> {
    let n = count(m, "threads", "--threads", 256)?.unwrap_or(0);
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(n as usize)
        .build()
        .map_err(|e| Failure::Argument {
            option: "--threads",
            reason: format!("{e}; ask for fewer"),
        })?;
    Ok(pool.install(work))
}
