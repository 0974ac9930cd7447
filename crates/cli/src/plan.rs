//! `crossgrain plan`: one mow of each fairway, as a plan file, a sheet each, and a table.

use crate::Verdict;
use crate::failure::Failure;
use crate::options;
use crate::progress::with_progress;
use crate::report::{self, Planned};
use crate::terminal::{complain, say};
use clap::{ArgMatches, Command};
use crossgrain_core::{Course, Fairway, Mower, Settings};
use crossgrain_formats::plan::{self as plan_file, Entry};
use rayon::prelude::*;

/// The command's arguments.
pub(crate) fn command() -> Command {
    Command::new("plan")
        .about("Plan one mow of each fairway: plan.json, a sheet each, a table")
        .arg(options::course_arg())
        .args(options::mower_args())
        .args(options::pattern_args())
        .arg(options::only_arg())
        .args(options::page_args())
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
    let _ = (options::paper(m)?, options::words(m)?);
    let file = options::read_course(m)?;
    let fairways = options::chosen(m, &file.course.fairways)?;
    let out = options::out_folder(m)?;
    let as_json = options::is_set(m, "json");
    if !as_json {
        for n in &file.notices {
            complain(&format!("note: {n}"));
        }
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
    let written = [out.write(
        "plan.json",
        plan_file::text(course, &mower, &entries).as_bytes(),
    )?];

    let mut verdict = Verdict::Done;
    let mut warnings = Vec::new();
    for p in &plans {
        for (look, text) in report::warnings(p, units) {
            if look {
                verdict = Verdict::Look;
            }
            warnings.push(format!("{}: {text}", if look { "warning" } else { "note" }));
        }
    }
    if as_json {
        say(&plan_file::summary(course, &mower, &entries).to_string());
    } else {
        say(&report::listing(&plans, units));
        say(&format!(
            "\n{} file(s) in {}",
            written.len(),
            out.path().display()
        ));
    }
    for w in warnings {
        complain(&w);
    }
    Ok(verdict)
}

/// Every fairway with every pattern, fairway by fairway, on as many threads as there are.
fn all<'a>(
    fairways: &[&'a Fairway],
    mower: &Mower,
    settings: &[Settings],
) -> Result<Vec<Planned<'a>>, Failure> {
    let jobs: Vec<(&'a Fairway, &Settings)> = fairways
        .iter()
        .flat_map(|f| settings.iter().map(move |s| (*f, s)))
        .collect();
    with_progress("planned", jobs.len(), |tick| {
        jobs.par_iter()
            .map(|(fairway, settings)| {
                let mow = crossgrain_core::plan(fairway, mower, settings).map_err(|source| {
                    Failure::Plan {
                        fairway: fairway.name.clone(),
                        source,
                    }
                })?;
                let measures = crossgrain_metrics::measure(fairway, mower, &mow);
                tick();
                Ok(Planned {
                    fairway,
                    mow,
                    measures,
                })
            })
            // Collected in order, so that the bytes do not depend on the threads; so does the
            // error that is told.
            .collect::<Vec<Result<_, Failure>>>()
            .into_iter()
            .collect()
    })
}
