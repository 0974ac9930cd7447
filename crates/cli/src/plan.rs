//! `crossgrain plan`: one mow of each fairway, as a plan file, a sheet each, and a table.

use crate::Verdict;
use crate::failure::Failure;
use crate::hand_out::hand_out;
use crate::notices;
use crate::options;
use crate::progress::with_progress;
use crate::reading;
use crate::report::{self, Planned};
use crate::steps;
use crate::terminal::{complain, say};
use clap::{ArgMatches, Command};
use crossgrain_core::planner::plan_each;
use crossgrain_core::{Course, Fairway, Mower, Settings};
use crossgrain_formats::plan::{self as plan_file, Entry};
use crossgrain_formats::whole::safe_names;
use crossgrain_render::book::{self, BookEntry, BookInput};
use crossgrain_render::drawing::Drawing;
use crossgrain_render::page::Paper;
use crossgrain_render::sheet::{Left, SheetInput, left_of, sheet};
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
        .arg(options::only_arg())
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
    let settings: Vec<Settings> = options::patterns(m)?
        .into_iter()
        .map(|kind| options::settings_for(m, kind, &mower))
        .collect::<Result<_, _>>()?;
    let units = options::units(m)?;
    let (paper, words) = (options::paper(m)?, options::words(m)?);
    let file = options::read_course(m)?;
    let fairways = options::chosen(m, &file.course.fairways)?;
    let out = options::out_folder(m)?;
    let as_json = options::is_set(m, "json");
    let (look_at_file, told) = reading::lines(&file);
    for line in told {
        complain(&line);
    }

    let plans = options::on_threads(m, || all(&fairways, &mower, &settings))??;
    let entries: Vec<Entry<'_>> = plans
        .iter()
        .map(|p| Entry {
            fairway: p.fairway,
            mow: &p.mow,
            measures: &p.measures,
        })
        .collect();
    let course: &Course = &file.course;
    let mut written = 1;
    out.write(
        "plan.json",
        plan_file::text(course, &mower, &entries).as_bytes(),
    )?;
    let drawn = options::on_threads(m, || sheets(course, &mower, &plans, paper, &words))?;
    let (sheets, lefts): (Vec<Vec<Drawing>>, Vec<Left>) = drawn.into_iter().unzip();
    // One name a fairway; its mows differ by their pattern.
    let names = safe_names(fairways.iter().map(|f| f.name.as_str()));
    let names = names.iter().flat_map(|n| settings.iter().map(move |_| n));
    let texts: Vec<Vec<String>> = options::on_threads(m, || {
        (sheets.par_iter())
            .map(|pages| pages.iter().map(svg_page::text).collect())
            .collect()
    })?;
    for ((p, pages), name) in plans.iter().zip(&texts).zip(names) {
        for (i, text) in pages.iter().enumerate() {
            // The first page keeps the plain name; a second stands beside it in a listing.
            let page = if i == 0 {
                String::new()
            } else {
                format!("-page-{}", i + 1)
            };
            let file = format!("fairway-{name}-{}{page}.svg", p.mow.pattern.word());
            out.write(&file, text.as_bytes())?;
            written += 1;
        }
    }
    if !sheets.is_empty() {
        let parts: Vec<BookEntry<'_>> = plans
            .iter()
            .zip(&sheets)
            .zip(&lefts)
            .map(|((p, pages), left)| BookEntry {
                fairway: p.fairway,
                mow: &p.mow,
                measures: &p.measures,
                left: Some(left),
                pages: Some(pages),
            })
            .collect();
        let input = BookInput {
            course,
            mower: &mower,
            entries: &parts,
            paper,
            units,
            language: Language::from_code(words.code()).unwrap_or(Language::English),
            height_of_cut_m: mower.bench_height_m,
            date: None,
        };
        let mut bound = vec![book::first_page(&input)];
        bound.extend(sheets.iter().flatten().cloned());
        let pdf = options::on_threads(m, || press::pdf(&bound, &course.name))?;
        out.write("sheets.pdf", &pdf)?;
        written += 1;
        if options::is_set(m, "book") {
            let html = options::on_threads(m, || book::html(&input))?;
            out.write("book.html", html.as_bytes())?;
            written += 1;
        }
    }

    let (look, notices) = notices::lines(&plans, units);
    if as_json {
        say(&plan_file::summary(course, &mower, &entries).to_string());
    } else {
        say(&steps::listing(&plans, &words));
        say(&report::listing(&plans, units));
        say(&format!("\n{written} file(s) in {}", out.path().display()));
    }
    for n in notices {
        complain(&n);
    }
    Ok(if look || look_at_file {
        Verdict::Look
    } else {
        Verdict::Done
    })
}

/// A sheet for each mow, in the same order, and what the mow leaves.
fn sheets(
    course: &Course,
    mower: &Mower,
    plans: &[Planned<'_>],
    paper: Paper,
    words: &Words,
) -> Vec<(Vec<Drawing>, Left)> {
    with_progress("drew", plans.len(), |tick| {
        hand_out(plans, |p| {
            let left = left_of(p.fairway, mower, &p.mow, &p.measures);
            let pages = sheet(&SheetInput {
                left: Some(&left),
                ..SheetInput::new(course, p.fairway, mower, &p.mow, &p.measures, paper, words)
            });
            tick();
            (pages, left)
        })
    })
}

/// Every fairway with every pattern, fairway by fairway, on as many threads as there are.
fn all<'a>(
    fairways: &[&'a Fairway],
    mower: &Mower,
    settings: &[Settings],
) -> Result<Vec<Planned<'a>>, Failure> {
    with_progress("planned", fairways.len() * settings.len(), |tick| {
        let each = hand_out(fairways, |fairway| {
            let mows = plan_each(fairway, mower, settings);
            mows.into_iter()
                .map(|mow| {
                    let mow = mow.map_err(|source| Failure::Plan {
                        fairway: fairway.name.clone(),
                        source,
                    })?;
                    let measures = crossgrain_metrics::measure(fairway, mower, &mow);
                    tick();
                    Ok(Planned {
                        fairway,
                        mow,
                        measures,
                    })
                })
                .collect::<Vec<Result<_, Failure>>>()
        });
        // In order, so that the bytes do not depend on the threads; nor does the error that is
        // told.
        each.into_iter().flatten().collect()
    })
}
