//! `crossgrain size`: candidate decks side by side, and the chart for the workshop.

mod listing;

use crate::Verdict;
use crate::failure::Failure;
use crate::hand_out::hand_out;
use crate::odd;
use crate::options;
use crate::progress::with_progress;
use crate::reading;
use crate::terminal::{complain, say};
use clap::{Arg, ArgAction, ArgMatches, Command};
use crossgrain_core::inside::ground::heading::{minimum_width, resolve, width_across};
use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_core::{Fairway, Heading, Mower, Pattern, PatternKind, Settings};
use crossgrain_formats::size::{self as size_file, FitRow};
use crossgrain_formats::usual;
use crossgrain_formats::whole::OutFolder;
use crossgrain_render::drawing::Drawing;
use crossgrain_render::size_chart::{ChartHead, size_chart};
use crossgrain_render::{press, svg_page};
use crossgrain_season::sizing::{Candidate, SizeTable, fit, pairs, run as run_pair, table};
use serde_json::Value;
use std::path::Path;

/// Decks when none are named: three usual fairway widths.
const DEFAULT_DECKS: &str = "84in,100in,11ft";
/// Patterns when none are named: the everyday one and the one that costs most.
const DEFAULT_PATTERNS: &str = "stripes,loops";
/// More decks than this on a chart help nobody to choose.
const MAX_DECKS: usize = 12;
/// Most passes that can be asked for.
const MAX_PASSES: u32 = 500;

/// The command's arguments.
pub(crate) fn command() -> Command {
    let patterns = options::pattern_args().into_iter().map(|a| {
        if a.get_id() == "pattern" {
            a.action(ArgAction::Append)
                .visible_alias("patterns")
                .help("Patterns to compare, with commas or repeated [default: stripes,loops]")
        } else {
            a
        }
    });
    Command::new("size")
        .about("Candidate decks side by side on every fairway: a table and a chart to pin up")
        .args(options::course_args())
        .arg(
            Arg::new("decks")
                .long("decks")
                .visible_alias("deck")
                .visible_alias("mower")
                .value_name("LIST")
                .action(ArgAction::Append)
                .allow_hyphen_values(true)
                .help("Deck widths and mower files, such as 84in,100in,gang.json [default: 84in,100in,11ft]"),
        )
        .args(patterns)
        .arg(options::value(
            "passes",
            "N",
            "The other way round: the deck or the overlap that covers a fairway in N passes",
        ))
        .args(options::only_args())
        .args(options::page_args())
        .args(options::out_args())
        .arg(options::threads_arg())
}

/// Plans, measures, compares, writes, tells.
pub(crate) fn run(m: &ArgMatches) -> Result<Verdict, Failure> {
    let shown = options::pattern_list(&list(m, "pattern", DEFAULT_PATTERNS))?;
    // Loops are compared with stripes of the same deck, so those are planned in any case.
    let mut kinds = shown.clone();
    if shown.contains(&PatternKind::Loops) && !shown.contains(&PatternKind::Stripes) {
        kinds.push(PatternKind::Stripes);
    }
    let decks = candidates(m, &kinds)?;
    let passes = options::count(m, "passes", "--passes", MAX_PASSES)?;
    if passes == Some(0) {
        return Err(Failure::Argument {
            option: "--passes",
            reason: "0 passes cover nothing; write 1 or more".to_string(),
        });
    }
    let (paper, words) = (options::paper(m)?, options::words(m)?);
    let file = options::read_course(m)?;
    let fairways = options::chosen(m, &file.course.fairways)?;
    let out = options::out_folder(m)?;
    let as_json = options::is_set(m, "json");
    let look_at_file = reading::tell(&file);

    let odd = odd_decks(&decks, options::units(m)?);
    for line in &odd {
        complain(line);
    }
    let (decks, too_slow) = drivable(decks, &kinds, &fairways);
    for line in &too_slow {
        complain(line);
    }
    if decks.is_empty() {
        return Err(Failure::Argument {
            option: "--decks",
            reason: "no deck is left that anybody would mow these fairways with; name wider ones"
                .to_string(),
        });
    }
    let sizes = options::on_threads(m, || all(&fairways, &decks, &kinds, shown.len()))?;
    let fits = passes.map_or(Vec::new(), |n| fits(&fairways, &decks, n));
    let json = size_file::value(&file.course.name, &sizes, &fits);
    let chart = size_chart(
        &sizes,
        &head(&file.course.name, &decks, &shown),
        paper,
        &words,
    );
    let written = write(&out, &sizes, &json, &chart)?;
    let pdf = options::on_threads(m, || press::pdf(&chart, &file.course.name))?;
    out.write("size-chart.pdf", &pdf)?;
    options::finish(m, &out, "size")?;

    if as_json {
        say(&json.to_string());
    } else {
        say(&listing::sizes(&sizes, &words));
        if !fits.is_empty() {
            say(&format!("\n{}", listing::fits(&fits, &words)));
        }
        say(&format!(
            "\n{} file(s) in {}",
            written + 1,
            out.path().display()
        ));
    }
    for r in &sizes.refused {
        complain(&format!(
            "warning: fairway '{}', {}, {}: {}",
            r.fairway,
            r.deck,
            r.pattern.word(),
            r.reason
        ));
    }
    Ok(
        if sizes.refused.is_empty() && too_slow.is_empty() && odd.is_empty() && !look_at_file {
            Verdict::Done
        } else {
            Verdict::Look
        },
    )
}

/// What is odd about each deck, a line for each thing.
fn odd_decks(decks: &[Candidate], units: UnitSystem) -> Vec<String> {
    let of_deck = |d: &Candidate| {
        let told = format!("warning: {}: ", d.label);
        odd::lines(&usual::mower(&d.mower), units)
            .into_iter()
            .map(move |line| line.replacen("warning: ", &told, 1))
            .collect::<Vec<_>>()
    };
    decks.iter().flat_map(of_deck).collect()
}

/// What stands over the chart.
fn head(course: &str, decks: &[Candidate], shown: &[PatternKind]) -> ChartHead {
    let settings = &decks[0].settings[0];
    ChartHead {
        course: course.to_string(),
        decks: decks.iter().map(|d| d.label.clone()).collect(),
        patterns: shown.to_vec(),
        overlap_m: settings.overlap_m,
        clean_up: settings.clean_up.rings,
    }
}

/// The table and the chart's pages; how many files.
fn write(
    out: &OutFolder,
    sizes: &SizeTable,
    json: &Value,
    chart: &[Drawing],
) -> Result<usize, Failure> {
    out.write("size.json", format!("{json:#}\n").as_bytes())?;
    out.write("size.csv", size_file::csv(sizes).as_bytes())?;
    for (i, page) in chart.iter().enumerate() {
        let name = if chart.len() == 1 {
            "size-chart.svg".to_string()
        } else {
            format!("size-chart-{}.svg", i + 1)
        };
        out.write(&name, svg_page::text(page).as_bytes())?;
    }
    Ok(2 + chart.len())
}

/// Longer than this with one mower on the fairways chosen, and nobody would drive it, minutes:
/// a working week.
const MAX_MINUTES: f64 = 40.0 * 60.0;

/// The decks whose time is believable, and a line for each that is left out, before minutes are
/// spent on planning what nobody would drive. The least driving is the area over the width, and
/// loops cut everything about twice.
fn drivable(
    decks: Vec<Candidate>,
    kinds: &[PatternKind],
    fairways: &[&Fairway],
) -> (Vec<Candidate>, Vec<String>) {
    const LOOPS_CUTS: f64 = 2.0;
    let area_m2: f64 = fairways.iter().map(|f| f.ground_m2()).sum();
    let mut told = Vec::new();
    let kept = decks
        .into_iter()
        .filter(|d| {
            let floor_m = area_m2 / d.mower.cutting_width_m();
            let loops = kinds.contains(&PatternKind::Loops);
            let (what, seconds) = if loops {
                let speed = d.mower.speeds.loops_m_s;
                ("loops", LOOPS_CUTS * floor_m / speed)
            } else {
                ("mowing", floor_m / d.mower.speeds.mowing_m_s)
            };
            let minutes = seconds / 60.0;
            if minutes > MAX_MINUTES {
                told.push(format!(
                    "warning: {}: {what} would take about {:.0} hours at the least, which nobody would drive; left out",
                    d.label,
                    minutes / 60.0
                ));
            }
            minutes <= MAX_MINUTES
        })
        .collect();
    (kept, told)
}

/// A list option, repeated or with commas.
fn list(m: &ArgMatches, name: &str, otherwise: &str) -> String {
    m.get_many::<String>(name).map_or_else(
        || otherwise.to_string(),
        |all| all.map(String::as_str).collect::<Vec<_>>().join(","),
    )
}

/// The decks asked for: lengths are plain bars, everything else is a mower file.
fn candidates(m: &ArgMatches, kinds: &[PatternKind]) -> Result<Vec<Candidate>, Failure> {
    let list = list(m, "decks", DEFAULT_DECKS);
    let mut out: Vec<Candidate> = Vec::new();
    for entry in list.split(',').map(str::trim).filter(|e| !e.is_empty()) {
        let mower = deck(entry, options::units(m)?)?;
        let mut label = mower.name.clone();
        if let Some(same) = out.iter().position(|c| c.label == label) {
            if out[same].mower == mower {
                continue;
            }
            // Two files with one name: their place in the list tells them apart.
            label = format!("{label} ({})", out.len() + 1);
        }
        let settings: Vec<Settings> = kinds
            .iter()
            .map(|k| options::settings_for(m, *k, &mower))
            .collect::<Result<_, _>>()?;
        out.push(Candidate {
            label,
            mower,
            settings,
        });
    }
    if out.is_empty() || out.len() > MAX_DECKS {
        return Err(Failure::Argument {
            option: "--decks",
            reason: format!(
                "{} decks; name 1 to {MAX_DECKS}, such as {DEFAULT_DECKS}",
                out.len()
            ),
        });
    }
    Ok(out)
}

fn deck(entry: &str, units: UnitSystem) -> Result<Mower, Failure> {
    let looks_like_a_length = entry.starts_with(|c: char| c.is_ascii_digit() || "+-.".contains(c))
        && !entry.to_ascii_lowercase().ends_with(".json");
    if looks_like_a_length {
        options::bar(entry, "--decks", units)
    } else {
        Ok(crossgrain_formats::mower::open(Path::new(entry))?)
    }
}

/// All rows, on as many threads as there are.
fn all(
    fairways: &[&Fairway],
    decks: &[Candidate],
    kinds: &[PatternKind],
    shown: usize,
) -> SizeTable {
    let pairs = pairs(fairways, decks);
    let results = with_progress("planned", pairs.len(), |tick| {
        hand_out(&pairs, |pair| {
            let rows = run_pair(*pair, fairways, decks);
            tick();
            rows
        })
    });
    let results = results.into_iter().flatten().collect();
    let stripes = kinds.iter().position(|k| *k == PatternKind::Stripes);
    table(results, stripes, shown)
}

/// Every fairway and deck against a number of passes, across the heading asked for.
fn fits(fairways: &[&Fairway], decks: &[Candidate], passes: u32) -> Vec<FitRow> {
    let mut out = Vec::new();
    for fairway in fairways {
        for deck in decks {
            let settings = &deck.settings[0];
            let across_m = across_m(fairway, heading(&settings.pattern));
            let width_m = deck.mower.cutting_width_m();
            if let Some(fit) = fit(across_m, width_m, settings.overlap_m, passes) {
                out.push(FitRow {
                    fairway: fairway.name().to_string(),
                    deck: deck.label.clone(),
                    fit,
                });
            }
        }
    }
    out
}

/// The heading of a pattern of parallel passes; the narrowest for the others.
fn heading(pattern: &Pattern) -> Heading {
    match pattern {
        // Their lanes may lie along it, but how many there are is not said by passes.
        Pattern::Loops(_) => Heading::Fewest,
        other => other.heading().unwrap_or(Heading::Fewest),
    }
}

fn across_m(fairway: &Fairway, heading: Heading) -> f64 {
    match heading {
        Heading::Fewest => minimum_width(fairway.ground()).map_or(0.0, |w| w.width_m),
        other => width_across(fairway.ground(), resolve(other, fairway).0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(args: &[&str]) -> Result<Vec<Candidate>, Failure> {
        let all = ["size", "course.geojson"].iter().chain(args);
        let m = command().try_get_matches_from(all).expect("arguments");
        candidates(&m, &[PatternKind::Stripes])
    }

    #[test]
    fn decks_are_widths_or_mower_files() {
        let light = concat!(env!("CARGO_MANIFEST_DIR"), "/../../samples/light-five.json");
        let list = format!("84in, 100in,{light}");
        let d = asked(&["--decks", &list, "--decks", "11ft", "--decks", "84in"]).expect("sound");
        let labels: Vec<&str> = d.iter().map(|c| c.label.as_str()).collect();
        assert_eq!(labels, ["84in", "100in", "Light five-unit", "11ft"]);
        assert_eq!(d[2].mower.units.len(), 5);
    }

    #[test]
    fn unusable_decks_are_named() {
        for (list, told) in [
            ("84", "--decks"),
            ("-4in", "--decks"),
            ("900ft", "--decks"),
            ("no-such-file.json", "no-such-file.json"),
            (",,", "--decks"),
        ] {
            let text = asked(&["--decks", list]).expect_err("refused").to_string();
            assert!(text.contains(told), "{list}: {text}");
        }
    }
}
