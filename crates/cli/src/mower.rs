//! `crossgrain mower`: the cutting units, the smallest clean loop, strips, clip and heights.

mod facts;
mod json;
mod text;

use crate::Verdict;
use crate::failure::Failure;
use crate::odd;
use crate::options::{self, length_within_m, value};
use crate::terminal::{complain, say};
use clap::{Arg, ArgMatches, Command};
use crossgrain_core::Mower;
use crossgrain_core::inside::model::pattern::DEFAULT_OVERLAP_M;
use crossgrain_core::inside::model::quantity::FOOT_M;
use crossgrain_formats::{starters, usual};
use crossgrain_season::heights::{
    DEFAULT_GAUGE_STEP_M, DEFAULT_RAISE, DEFAULT_RAISED_MOWINGS, DEFAULT_THIRD_RULE, LoopHeights,
    ThirdRule,
};
use facts::{Ask, facts};
use std::path::{Path, PathBuf};

/// Loops of a light mower when no diameter is named (common practice: 20 to 22 ft).
const LIGHT_LOOP_M: f64 = 22.0 * FOOT_M;
/// Loops of a large gang (common practice: about 50 ft).
const GANG_LOOP_M: f64 = 50.0 * FOOT_M;
/// Decks wider than this are taken for a large gang, metres: light mowers end near 100 in.
const GANG_FROM_M: f64 = 3.0;
/// Loops that can be asked about, metres.
const LOOPS_M: (f64, f64) = (1.0, 100.0);
/// Fastest growth that makes sense, metres a day: a long way above any turf.
const MAX_GROWTH_M: f64 = 0.05;

/// The command's arguments.
pub(crate) fn command() -> Command {
    Command::new("mower")
        .about("The cutting units of a mower: smallest clean loop, strips, clip, heights of cut")
        .arg(
            Arg::new("file")
                .value_name("MOWER")
                .required_unless_present("write-mower")
                .value_parser(clap::value_parser!(PathBuf))
                .help("Mower file (JSON): its cutting units, turning radius and speeds"),
        )
        .arg(value(
            "loop-diameter",
            "LENGTH",
            "Loops to look at, such as 22ft [default: 22ft, 50ft for decks over 3 m]",
        ))
        .arg(options::sense_arg())
        .arg(value(
            "overlap",
            "LENGTH",
            "Overlap between passes; half of it is the steering error of the lattice [default: 10cm]",
        ))
        .arg(value(
            "bench-height",
            "LENGTH",
            "Bench height of cut, such as 0.5in [default: the mower file's]",
        ))
        .arg(value(
            "raise",
            "PERCENT",
            "How much higher the first loop mowings are cut [default: 10%]",
        ))
        .arg(value(
            "raised-mowings",
            "N",
            "How many loop mowings are cut higher [default: 2]",
        ))
        .arg(value(
            "gauge-step",
            "LENGTH",
            "Step of the bench gauge [default: 0.005in]",
        ))
        .arg(value(
            "interval",
            "DAYS",
            "Days between mowings, for the one-third rule",
        ))
        .arg(value(
            "growth",
            "LENGTH",
            "Growth a day, such as 2mm, for the one-third rule",
        ))
        .arg(value(
            "third-rule",
            "plant|height",
            "Mow at 1.5 times the height (a third of the plant), or at 4/3 of it (a third of the height) [default: plant]",
        ))
        .arg(options::starter_arg(
            "write-mower",
            "Write a starter mower file with notes, and nothing else",
        ))
        .arg(options::units_arg())
        .arg(options::json_arg())
}

/// Reads, works out, tells.
pub(crate) fn run(m: &ArgMatches) -> Result<Verdict, Failure> {
    let path = m
        .get_one::<PathBuf>("file")
        .map_or(Path::new(""), PathBuf::as_path);
    if options::write_starter(m, "write-mower", "--write-mower", starters::MOWER)? {
        return Ok(Verdict::Done);
    }
    let units = options::units(m)?;
    let mower = crossgrain_formats::mower::open(path)?;
    let odd = odd::lines(&usual::mower(&mower), units);
    for line in &odd {
        complain(line);
    }
    let ask = ask(m, mower)?;
    let found = facts(&ask).map_err(|e| Failure::Other(Box::new(e)))?;
    if options::is_set(m, "json") {
        say(&json::report(&ask, &found).to_string());
    } else {
        say(&text::report(&ask, &found, units));
    }
    // A gap on the straight that the file allows still has to be looked at.
    Ok(if found.deck.gaps.is_empty() && odd.is_empty() {
        Verdict::Done
    } else {
        Verdict::Look
    })
}

fn ask(m: &ArgMatches, mower: Mower) -> Result<Ask, Failure> {
    let usual = if mower.cutting_width_m() > GANG_FROM_M {
        GANG_LOOP_M
    } else {
        LIGHT_LOOP_M
    };
    let most_overlap = mower.cutting_width_m() / 2.0;
    Ok(Ask {
        diameter_m: length_within_m(m, "loop-diameter", "--loop-diameter", LOOPS_M.0, LOOPS_M.1)?
            .unwrap_or(usual),
        sense: options::sense(m)?,
        overlap_m: length_within_m(m, "overlap", "--overlap", 0.0, most_overlap)?
            .unwrap_or(DEFAULT_OVERLAP_M.min(most_overlap)),
        heights: heights(m, &mower)?,
        growth: growth(m)?,
        rule: match options::text(m, "third-rule") {
            None => DEFAULT_THIRD_RULE,
            Some("height") => ThirdRule::ThirdOfHeight,
            Some("plant") => ThirdRule::ThirdOfPlant,
            Some(other) => {
                return Err(Failure::Argument {
                    option: "--third-rule",
                    reason: format!("'{other}' is not known; write plant or height"),
                });
            }
        },
        mower,
    })
}

fn heights(m: &ArgMatches, mower: &Mower) -> Result<Option<LoopHeights>, Failure> {
    // Their ranges are checked where the settings are made, with the same words for every caller.
    let Some(bench_m) =
        options::length_m(m, "bench-height", "--bench-height")?.or(mower.bench_height_m)
    else {
        return Ok(None);
    };
    let raise = match options::text(m, "raise") {
        None => DEFAULT_RAISE,
        Some(t) => number(t.trim().trim_end_matches('%'), 0.0, 100.0)
            .map(|p| p / 100.0)
            .ok_or_else(|| Failure::Argument {
                option: "--raise",
                reason: format!("'{t}' is no percentage from 0 to 100, such as 10%"),
            })?,
    };
    Ok(Some(LoopHeights {
        bench_m,
        raise,
        raised_mowings: options::count(m, "raised-mowings", "--raised-mowings", 52)?
            .unwrap_or(DEFAULT_RAISED_MOWINGS),
        gauge_step_m: options::length_m(m, "gauge-step", "--gauge-step")?
            .unwrap_or(DEFAULT_GAUGE_STEP_M),
    }))
}

/// Interval in days and growth in metres a day; both or neither.
fn growth(m: &ArgMatches) -> Result<Option<(f64, f64)>, Failure> {
    let days = options::text(m, "interval")
        .map(|t| {
            let plain = t.trim().trim_end_matches(" days").trim_end_matches('d');
            number(plain, 0.0, 366.0).ok_or_else(|| Failure::Argument {
                option: "--interval",
                reason: format!("'{t}' is no number of days from 0 to 366"),
            })
        })
        .transpose()?;
    let growth_m = length_within_m(m, "growth", "--growth", 0.0, MAX_GROWTH_M)?;
    match (days, growth_m) {
        (None, None) => Ok(None),
        (Some(d), Some(g)) => Ok(Some((d, g))),
        (Some(_), None) => Err(Failure::Argument {
            option: "--growth",
            reason: "is needed with --interval; write the growth a day, such as 2mm".to_string(),
        }),
        (None, Some(_)) => Err(Failure::Argument {
            option: "--interval",
            reason: "is needed with --growth; write the days between mowings, such as 2"
                .to_string(),
        }),
    }
}

fn number(text: &str, least: f64, most: f64) -> Option<f64> {
    text.trim()
        .parse::<f64>()
        .ok()
        .filter(|v| (least..=most).contains(v))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crossgrain_core::inside::model::quantity::UnitSystem;

    const LIGHT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../samples/light-five.json");

    fn asked(more: &[&str]) -> Result<Ask, Failure> {
        let args = ["mower", LIGHT].iter().chain(more);
        let m = command().try_get_matches_from(args).expect("arguments");
        let mower = crossgrain_formats::mower::open(Path::new(LIGHT))?;
        ask(&m, mower)
    }

    #[test]
    fn the_json_keeps_its_contract() {
        let ask = asked(&[
            "--loop-diameter",
            "4.5m",
            "--interval",
            "2",
            "--growth",
            "1mm",
        ])
        .expect("sound arguments");
        let v = json::report(&ask, &facts(&ask).expect("sound heights"));
        assert_eq!(v["schema"], "crossgrain-mower/1");
        let width = v["cutting_width_m"].as_f64().expect("number");
        assert!((width - 2.54).abs() < 1e-9);
        // The inner pair opens below 2 R, R = (0.72^2 - 0.50^2) / (2 x 0.0635) - (a + b) / 2.
        let (a, b) = (0.2159, 0.2794);
        let by_hand = 2.0 * ((0.72f64.powi(2) - 0.25) / 0.127 + (a + b) / 2.0);
        for sense in ["cw", "ccw"] {
            let clean = v["smallest_clean_diameter_m"][sense]
                .as_f64()
                .expect("number");
            assert!((clean - by_hand).abs() < 1e-6, "{clean} {by_hand}");
        }
        let strips = v["strips"].as_array().expect("list");
        assert!(!strips.is_empty());
        for s in strips {
            assert!(s["width_m"].as_f64() > Some(0.0));
            assert_eq!(s["between_units"].as_array().map(Vec::len), Some(2));
        }
        let units = v["units"].as_array().expect("list");
        assert_eq!(units.len(), 5);
        for u in units {
            // 8 km/h, 2,000 rpm, 11 blades: 16,666.7 x 8 / 22,000 mm.
            let clip = u["clip_mm_straight"].as_f64().expect("number");
            assert!((clip - 16_666.7 * 8.0 / 22_000.0).abs() < 1e-4);
            assert!(u["clip_mm_loop"].is_number() && u["speed_ratio_loop"].is_number());
        }
        // 13 mm and 10%: 14.3 mm, to the nearest 0.005 in.
        let set = v["heights"]["steps"][0]["set_mm"].as_f64().expect("number");
        assert!((set / 0.127 - (14.3f64 / 0.127).round()).abs() < 1e-9);
    }

    #[test]
    fn the_text_tells_both_senses_and_the_cautions() {
        let ask = asked(&[]).expect("sound arguments");
        let t = text::report(&ask, &facts(&ask).expect("sound"), UnitSystem::Us);
        for said in [
            "clockwise 15.5 ft, counter-clockwise 15.5 ft",
            "Stop the engine",
            "manual",
        ] {
            assert!(t.contains(said), "{said}\n{t}");
        }
    }

    #[test]
    fn unusable_options_are_named() {
        for (args, option) in [
            (&["--loop-diameter", "22"][..], "--loop-diameter"),
            (&["--loop-diameter", "900ft"], "--loop-diameter"),
            (&["--raise", "ten"], "--raise"),
            (&["--raise", "-10%"], "--raise"),
            (&["--interval", "2"], "--growth"),
            (&["--growth", "2mm"], "--interval"),
            (&["--growth", "3ft", "--interval", "2"], "--growth"),
            (&["--third-rule", "half"], "--third-rule"),
            (&["--raised-mowings", "-1"], "--raised-mowings"),
            (&["--overlap", "3m"], "--overlap"),
        ] {
            let told = asked(args).expect_err("refused").to_string();
            assert!(told.starts_with(option), "{args:?}: {told}");
        }
        let ask = asked(&["--bench-height", "3m"]).expect("read");
        let told = facts(&ask).expect_err("refused").to_string();
        assert!(told.contains("bench height"), "{told}");
    }
}
