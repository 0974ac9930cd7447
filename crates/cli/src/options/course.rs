//! The course file, and which of its fairways are meant.

use super::{selection, text, value};
use crate::failure::Failure;
use clap::{Arg, ArgAction, ArgMatches};
use crossgrain_core::Fairway;
use crossgrain_formats::course::{self, BarePolygons, CourseFile, Positions, ReadOptions};
use crossgrain_formats::files::SaidRoles;
use std::path::{Path, PathBuf};

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
