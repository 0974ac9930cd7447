//! `crossgrain plan`: one mow of each fairway, as a plan file, a sheet each, and a table.

use crate::Verdict;
use crate::failure::Failure;
use crate::hand_out::{corners, heaviest_first};
use crate::notices::{self, ChosenBy};
use crate::odd;
use crate::options::{self, Crew};
use crate::progress::with_progress;
use crate::reading;
use crate::report::{self, Planned};
use crate::steps;
use crate::terminal::{complain, say};
use crate::today::today;
use clap::{ArgMatches, Command};
use crossgrain_core::PatternKind;
use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_core::inside::planner::plan_each_and;
use crossgrain_core::{Course, Fairway, Mower, PlanError, Settings};
use crossgrain_formats::plan::{self as plan_file, About, Entry};
use crossgrain_formats::usual;
use crossgrain_formats::whole::{OutFolder, WriteError, safe_names};
use crossgrain_metrics::measures::measure_and_missed;
use crossgrain_render::book::{self, BookEntry, BookInput};
use crossgrain_render::drawing::Drawing;
use crossgrain_render::page::Paper;
use crossgrain_render::sheet::{Left, SheetInput, sheet};
use crossgrain_render::words::{Language, Words};
use crossgrain_render::{press, svg_page};
use rayon::prelude::*;

/// The command's arguments.
pub(crate) fn command() -> Command {
    Command::new("plan")
        .about("Plan one mow of each fairway: plan.json, a sheet each, a table")
        .args(options::course_args())
        .args(options::mower_args())
        .args(options::pattern_args())
        .args(options::only_args())
        .args(options::page_args())
        .arg(options::flag(
            "book",
            "Write book.html as well: map, sheets and the drive played back, without network",
        ))
        .args(options::out_args())
        .arg(options::threads_arg())
}

/// Plans, measures, writes, tells.
pub(crate) fn run(m: &ArgMatches) -> Result<Verdict, Failure> {
    // Everything that can be wrong with the arguments comes before the work.
    let mower = options::mower(m)?;
    let patterns = options::patterns(m)?;
    let settings: Vec<Settings> = patterns
        .iter()
        .map(|kind| options::settings_for(m, *kind, &mower))
        .collect::<Result<_, _>>()?;
    let units = options::units(m)?;
    let (paper, words) = (options::paper(m)?, options::words(m)?);
    let file = options::read_course(m)?;
    let fairways = options::chosen(m, &file.course.fairways)?;
    let out = options::out_folder(m)?;
    let as_json = options::is_set(m, "json");
    let (mut look, told) = reading::lines(&file);
    let odd = oddities(m, &mower, &settings, &patterns)?;
    look |= !odd.is_empty();
    for line in odd.iter().chain(&told) {
        complain(line);
    }

    let plans = options::on_threads(m, || all(&fairways, &mower, &settings, units))??;
    let refused = reading::refused(&file);
    let entries: Vec<Entry<'_>> = plans
        .iter()
        .map(|p| Entry {
            fairway: p.fairway,
            mow: &p.mow,
            measures: &p.measures,
        })
        .collect();
    let course: &Course = &file.course;
    let mut about = About {
        refused: &refused,
        ..About::default()
    };
    let mows: Vec<String> =
        options::on_threads(m, || entries.par_iter().map(plan_file::mow_text).collect())?;
    let number = plan_file::plan_number(&plan_file::text(course, &mower, &mows, &about));
    let date = today().to_string();
    about.number = Some(&number);
    about.date = Some(&date);
    let mut written = 1;
    out.write(
        "plan.json",
        plan_file::text(course, &mower, &mows, &about).as_bytes(),
    )?;
    let crew = options::crew(m, &file)?;
    let made = Made {
        number: &number,
        date: &date,
        unconfirmed: &file.unconfirmed,
        crew: &crew,
    };
    let sheets = options::on_threads(m, || sheets(course, &mower, &plans, paper, &words, &made))?;
    written += write_sheets(m, &out, &fairways, &plans, &sheets)?;
    written += bind(m, &out, course, &mower, &plans, &sheets, &crew)?;
    options::finish(m, &out, "plan")?;

    let (look_at_plans, notices) = notices::lines(&plans, &mower, units, ChosenBy::Options);
    if as_json {
        say(&plan_file::summary(course, &mower, &entries, &about).to_string());
    } else {
        say(&options::on_threads(m, || steps::listing(&plans, &words))?);
        say(&report::listing(&plans, units));
        say(&format!("\n{}", report::shift(&plans, &mower, units)));
        say(&format!(
            "\n{written} file(s) in {}, plan {number} of {date}",
            out.path().display()
        ));
    }
    for n in notices {
        complain(&n);
    }
    for r in &refused {
        complain(&format!(
            "warning: fairway '{}' is left out: {}",
            r.fairway, r.reason
        ));
    }
    look |= look_at_plans || !refused.is_empty();
    Ok(if look { Verdict::Look } else { Verdict::Done })
}

/// What is unusual about mower and settings, or without effect.
fn oddities(
    m: &ArgMatches,
    mower: &Mower,
    settings: &[Settings],
    patterns: &[PatternKind],
) -> Result<Vec<String>, Failure> {
    let units = options::units(m)?;
    let mut odd = odd::lines(&usual::mower(mower), units);
    odd.extend(odd::lines(&options::odd_settings(settings), units));
    odd.extend(odd::without_effect(m, patterns));
    Ok(odd)
}

/// The sheets bound into one, and the book; returns how many files.
fn bind(
    m: &ArgMatches,
    out: &OutFolder,
    course: &Course,
    mower: &Mower,
    plans: &[Planned<'_>],
    sheets: &[Vec<Drawing>],
    crew: &Crew,
) -> Result<usize, Failure> {
    if sheets.is_empty() {
        return Ok(0);
    }
    let parts: Vec<BookEntry<'_>> = plans
        .iter()
        .zip(sheets)
        .map(|(p, pages)| BookEntry {
            fairway: p.fairway,
            mow: &p.mow,
            measures: &p.measures,
            left: Some(&p.left),
            pages: Some(pages),
        })
        .collect();
    let input = BookInput {
        course,
        mower,
        entries: &parts,
        paper: options::paper(m)?,
        units: options::units(m)?,
        language: Language::from_code(options::words(m)?.code()).unwrap_or(Language::English),
        height_of_cut_m: mower.bench_height_m,
        date: None,
        crew: crew.on_pages(),
    };
    write_bound(m, out, &input, sheets)
}

/// Writes each page as a file of its own; returns how many.
fn write_sheets(
    m: &ArgMatches,
    out: &OutFolder,
    fairways: &[&Fairway],
    plans: &[Planned<'_>],
    sheets: &[Vec<Drawing>],
) -> Result<usize, Failure> {
    // One name a fairway; its mows differ by their pattern.
    let names = safe_names(fairways.iter().map(|f| f.name()));
    let write = |(p, pages): (&Planned<'_>, &Vec<Drawing>)| -> Result<usize, WriteError> {
        let name = fairways
            .iter()
            .zip(&names)
            .find(|(f, _)| f.name() == p.fairway.name())
            .map_or("", |n| n.1);
        for (i, page) in pages.iter().enumerate() {
            // The first page keeps the plain name; a second stands beside it in a listing.
            let place = if i == 0 {
                String::new()
            } else {
                format!("-page-{}", i + 1)
            };
            let file = format!("fairway-{name}-{}{place}.svg", p.mow.pattern().word());
            out.write(&file, svg_page::text(page).as_bytes())?;
        }
        Ok(pages.len())
    };
    let each: Vec<Result<usize, WriteError>> =
        options::on_threads(m, || (plans.par_iter().zip(sheets)).map(write).collect())?;
    // The first that failed is told, whichever thread was first.
    Ok(each.into_iter().sum::<Result<usize, WriteError>>()?)
}

/// Writes all pages in one file, and the book where it is asked for; returns how many files.
fn write_bound(
    m: &ArgMatches,
    out: &OutFolder,
    input: &BookInput<'_>,
    sheets: &[Vec<Drawing>],
) -> Result<usize, Failure> {
    let mut bound = vec![book::first_page(input)];
    bound.extend(sheets.iter().flatten().cloned());
    let pdf = options::on_threads(m, || press::pdf(&bound, &input.course.name))?;
    out.write("sheets.pdf", &pdf)?;
    if !options::is_set(m, "book") {
        return Ok(1);
    }
    let html = options::on_threads(m, || book::html(input))?;
    out.write("book.html", html.as_bytes())?;
    Ok(2)
}

/// What every sheet of a plan says of the plan.
struct Made<'a> {
    number: &'a str,
    date: &'a str,
    unconfirmed: &'a [String],
    crew: &'a Crew,
}

/// A sheet for each mow, in the same order.
fn sheets(
    course: &Course,
    mower: &Mower,
    plans: &[Planned<'_>],
    paper: Paper,
    words: &Words,
    made: &Made<'_>,
) -> Vec<Vec<Drawing>> {
    with_progress("drew", plans.len(), |tick| {
        let weight = |p: &Planned<'_>| corners(p.fairway);
        heaviest_first(plans, weight, |p| {
            let pages = sheet(&SheetInput {
                left: Some(&p.left),
                plan: Some((made.number, made.date)),
                crew: made.crew.on_pages(),
                name_confirmed: !made.unconfirmed.iter().any(|n| n == p.fairway.name()),
                ..SheetInput::new(course, p.fairway, mower, &p.mow, &p.measures, paper, words)
            });
            tick();
            pages
        })
    })
}

/// The mows of one fairway with these settings, measured; `tick` is called after each.
pub(crate) fn planned<'a>(
    fairway: &'a Fairway,
    mower: &Mower,
    settings: &[Settings],
    tick: &dyn Fn(),
) -> Vec<Result<Planned<'a>, PlanError>> {
    plan_each_and(fairway, mower, settings, |mow, ground| {
        let reach = ground.reach();
        let (measures, missed) = measure_and_missed(fairway, mower, &mow, reach);
        let left = Left::of(fairway, reach, &measures, &missed);
        tick();
        Planned {
            fairway,
            mow,
            measures,
            left,
        }
    })
}

/// Every fairway with every pattern, fairway by fairway, on as many threads as there are.
fn all<'a>(
    fairways: &[&'a Fairway],
    mower: &Mower,
    settings: &[Settings],
    units: UnitSystem,
) -> Result<Vec<Planned<'a>>, Failure> {
    with_progress("planned", fairways.len() * settings.len(), |tick| {
        let weight = |fairway: &&Fairway| corners(fairway);
        let each = heaviest_first(fairways, weight, |fairway| {
            planned(fairway, mower, settings, &tick)
        });
        // In order, so that the bytes do not depend on the threads; nor does the error that is
        // told.
        let mut plans = Vec::new();
        for mows in each {
            for mow in mows {
                match mow {
                    Ok(p) => plans.push(p),
                    // A setting that makes no sense is no better on another fairway.
                    Err(source) => {
                        return Err(Failure::Plan {
                            reason: report::plan_error(&source, units),
                            source,
                        });
                    }
                }
            }
        }
        Ok(plans)
    })
}
