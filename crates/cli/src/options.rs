//! Options that several commands share: what they are called, and what they become.
//!
//! Each family has a function that lists its arguments and one that reads them. Lengths and
//! speeds carry units; a bare number is refused with a hint.

mod pattern;
mod selection;

#[allow(unused_imports)] // for commands that read a heading of their own
pub(crate) use pattern::parse_heading;
pub(crate) use pattern::{odd_settings, pattern_args, pattern_list, patterns, settings_for};

use crate::failure::Failure;
use crate::report::shown_length;
use crate::terminal::{complain, say};
use clap::{Arg, ArgAction, ArgMatches};
use crossgrain_core::inside::limits::{MAX_DECK_M, MIN_DECK_M};
use crossgrain_core::inside::model::quantity::{UnitSystem, parse_length_m};
use crossgrain_core::{Fairway, Mower, Sense};
use crossgrain_formats::course::{self, BarePolygons, CourseFile, Positions, ReadOptions};
use crossgrain_formats::files::SaidRoles;
use crossgrain_formats::whole::OutFolder;
use crossgrain_render::page::Paper;
use crossgrain_render::words::{Language, Words};
use std::path::{Path, PathBuf};

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

/// The course file, and what is to be known of it beforehand.
pub(crate) fn course_args() -> [Arg; 6] {
    [
        Arg::new("course")
            .value_name("COURSE")
            .required(true)
            .value_parser(clap::value_parser!(PathBuf))
            .help(
                "Course file: GeoJSON, KML, KMZ, GPX, shapefile, GeoPackage, or a folder or zip of layers",
            ),
        value(
            "bare-polygons",
            "fairways",
            "Take every area without a role as a fairway",
        ),
        value(
            "reverse",
            "NAMES",
            "Turn the way to the green of these fairways round",
        )
        .action(ArgAction::Append),
        value(
            "positions",
            "lon-lat|lat-lon",
            "Which number of a position comes first, where the file leaves it in doubt [default: lon-lat]",
        ),
        value(
            "role",
            "NAME=ROLE",
            "What the shapes, folder or layer of this name are, such as 'Old pit=bunker'",
        )
        .action(ArgAction::Append),
        value(
            "role-field",
            "FIELD",
            "The attribute that says what each shape is",
        ),
    ]
}

/// `--only` and `--except`.
pub(crate) fn only_args() -> [Arg; 2] {
    [
        value(
            "only",
            "NAMES",
            "Only these fairways, such as 7,12 or 1-9; quotes round a name with commas",
        )
        .action(ArgAction::Append),
        value("except", "NAMES", "All but these fairways").action(ArgAction::Append),
    ]
}

/// Reads the course file.
pub(crate) fn read_course(m: &ArgMatches) -> Result<CourseFile, Failure> {
    let path = m
        .get_one::<PathBuf>("course")
        .map_or(Path::new(""), PathBuf::as_path);
    let bare_polygons = match text(m, "bare-polygons") {
        None => BarePolygons::OnlyOne,
        Some("fairways") => BarePolygons::Fairways,
        Some(other) => {
            return Err(Failure::Argument {
                option: "--bare-polygons",
                reason: format!("'{other}' is not known; write fairways"),
            });
        }
    };
    let positions = match text(m, "positions") {
        None => Positions::AsUsual,
        Some("lon-lat") => Positions::LonLat,
        Some("lat-lon") => Positions::LatLon,
        Some(other) => {
            return Err(Failure::Argument {
                option: "--positions",
                reason: format!("'{other}' is not known; write lon-lat or lat-lon"),
            });
        }
    };
    let mut by_name = Vec::new();
    for said in m
        .try_get_many::<String>("role")
        .ok()
        .flatten()
        .into_iter()
        .flatten()
    {
        match said.rsplit_once('=') {
            Some((name, role)) if !name.trim().is_empty() && !role.trim().is_empty() => {
                by_name.push((name.trim().to_string(), role.trim().to_string()));
            }
            _ => {
                return Err(Failure::Argument {
                    option: "--role",
                    reason: format!("'{said}' is not NAME=ROLE; write it like 'Old pit=bunker'"),
                });
            }
        }
    }
    let roles = SaidRoles {
        by_name,
        field: text(m, "role-field").map(str::to_string),
    };
    let options = ReadOptions {
        bare_polygons,
        positions,
        roles,
    };
    let mut file = course::open_with(path, &options)?;
    if let Ok(Some(lists)) = m.try_get_many::<String>("reverse") {
        let turned = selection::selected(lists, &names(&file.course.fairways), "--reverse")?;
        for (f, _) in file.course.fairways.iter_mut().zip(turned).filter(|t| t.1) {
            if !f.turn_round() {
                return Err(Failure::Argument {
                    option: "--reverse",
                    reason: format!(
                        "fairway '{}' has no way to the green to turn round; draw one from tee to green with \"role\": \"hole\"",
                        f.name()
                    ),
                });
            }
        }
    }
    Ok(file)
}

fn names(fairways: &[Fairway]) -> Vec<&str> {
    fairways.iter().map(|f| f.name()).collect()
}

/// Of the fairways with these names, those that `--only` names, or all, without those that
/// `--except` names.
pub(crate) fn kept(m: &ArgMatches, fairways: &[&str]) -> Result<Vec<bool>, Failure> {
    let named = |name, option| {
        m.try_get_many::<String>(name)
            .ok()
            .flatten()
            .map(|lists| selection::selected(lists, fairways, option))
            .transpose()
    };
    let only = named("only", "--only")?;
    let except = named("except", "--except")?;
    let out: Vec<bool> = (0..fairways.len())
        .map(|i| only.as_ref().is_none_or(|o| o[i]) && except.as_ref().is_none_or(|e| !e[i]))
        .collect();
    if out.iter().any(|k| *k) || fairways.is_empty() {
        return Ok(out);
    }
    Err(Failure::Argument {
        option: "--except",
        reason: "leaves no fairway; name fewer".to_string(),
    })
}

/// Names of fairways that one option lists.
pub(crate) fn named(
    m: &ArgMatches,
    name: &str,
    option: &'static str,
    course: &crossgrain_core::Course,
) -> Result<Vec<String>, Failure> {
    let Ok(Some(lists)) = m.try_get_many::<String>(name) else {
        return Ok(Vec::new());
    };
    let meant = selection::selected(lists, &names(&course.fairways), option)?;
    Ok((course.fairways.iter().zip(meant))
        .filter(|(_, meant)| *meant)
        .map(|(f, _)| f.name().to_string())
        .collect())
}

/// The fairways that `--only` names, or all, without those that `--except` names.
pub(crate) fn chosen<'a>(
    m: &ArgMatches,
    fairways: &'a [Fairway],
) -> Result<Vec<&'a Fairway>, Failure> {
    let kept = kept(m, &names(fairways))?;
    Ok(fairways
        .iter()
        .zip(kept)
        .filter(|(_, k)| *k)
        .map(|(f, _)| f)
        .collect())
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

/// `--paper`, `--units`, `--language`.
pub(crate) fn page_args() -> [Arg; 3] {
    [
        value(
            "paper",
            "SIZE",
            "letter, a4, tabloid or a3 [default: letter]",
        ),
        units_arg(),
        value("language", "en|es", "Language of the sheets [default: en]"),
    ]
}

/// `--units` alone, for commands that print no page.
pub(crate) fn units_arg() -> Arg {
    value(
        "units",
        "us|metric",
        "Units that the crew uses [default: us]",
    )
}

/// The paper.
pub(crate) fn paper(m: &ArgMatches) -> Result<Paper, Failure> {
    let word = text(m, "paper").unwrap_or("letter");
    Paper::from_word(&word.to_lowercase()).ok_or_else(|| {
        let list: Vec<&str> = Paper::ALL.iter().map(|p| p.word()).collect();
        Failure::Argument {
            option: "--paper",
            reason: format!("'{word}' is not known; write one of {}", list.join(", ")),
        }
    })
}

/// The crew's units.
pub(crate) fn units(m: &ArgMatches) -> Result<UnitSystem, Failure> {
    // Commands without the option speak US units.
    match text(m, "units").map(str::to_lowercase).as_deref() {
        None | Some("us") => Ok(UnitSystem::Us),
        Some("metric") => Ok(UnitSystem::Metric),
        Some(other) => Err(Failure::Argument {
            option: "--units",
            reason: format!("'{other}' is not known; write us or metric"),
        }),
    }
}

/// The words of the sheets.
pub(crate) fn words(m: &ArgMatches) -> Result<Words, Failure> {
    let code = text(m, "language").unwrap_or("en");
    let language = Language::from_code(&code.to_lowercase()).ok_or_else(|| {
        let list: Vec<&str> = Language::ALL.iter().map(|l| l.code()).collect();
        Failure::Argument {
            option: "--language",
            reason: format!("'{code}' is not known; write one of {}", list.join(", ")),
        }
    })?;
    Ok(Words::of(language, units(m)?))
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
