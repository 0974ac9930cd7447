//! Paper, units and language.

use super::{text, value};
use crate::failure::Failure;
use clap::{Arg, ArgMatches};
use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_render::page::Paper;
use crossgrain_render::words::{Language, Words};

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
