//! `crossgrain day`: the board and the sheets of one morning, from the programme that stands.

mod ask;
mod drawing;
mod listing;
mod looks;
mod plan_files;
mod planning;

use crate::Verdict;
use crate::failure::Failure;
use crate::options::{self, Crew, flag, value};
use crate::reading;
use crate::report::Planned;
use crate::terminal::{complain, say};
use ask::Asked;
use clap::{ArgAction, ArgMatches, Command};
use crossgrain_core::Course;
use crossgrain_render::drawing::Drawing as Page;
use crossgrain_render::page::Paper;
use crossgrain_render::press;
use crossgrain_render::words::Words;
use crossgrain_season::day::Day;
use drawing::drawn;
use planning::all_planned;
use serde_json::Value;
use std::path::PathBuf;

/// The command's arguments.
pub(crate) fn command() -> Command {
    Command::new("day")
        .about("Print one morning of a programme: the board, and each visit's sheet")
        .args(options::course_args())
        .arg(
            clap::Arg::new("programme")
                .value_name("PROGRAMME")
                .required(true)
                .value_parser(clap::value_parser!(PathBuf))
                .help("The programme.json that `crossgrain season` wrote"),
        )
        .arg(value("date", "DATE", "The morning, such as 2027-06-04").conflicts_with("week"))
        .arg(value(
            "week",
            "WEEK",
            "All mowing days of an ISO week, such as 2027-W22",
        ))
        .arg(
            value("machine", "N", "Only the board and sheets of this machine")
                .action(ArgAction::Append),
        )
        .arg(
            value(
                "without",
                "NAMES",
                "Leave out these fairways this morning, such as 7,12",
            )
            .action(ArgAction::Append),
        )
        .arg(
            value(
                "machine-down",
                "N",
                "This machine stays in: its fairways go to the others",
            )
            .action(ArgAction::Append),
        )
        .arg(flag("no-sheets", "The board alone, without sheets"))
        .args(options::crew_args())
        .args(options::mower_args())
        .args(options::page_args())
        .args(options::out_args())
        .arg(options::threads_arg())
}

/// One morning with its plans.
struct Morning<'a> {
    day: Day,
    plans: Vec<Planned<'a>>,
}

/// Plans, writes, tells.
pub(crate) fn run(m: &ArgMatches) -> Result<Verdict, Failure> {
    let (paper, words) = (options::paper(m)?, options::words(m)?);
    let units = options::units(m)?;
    let file = options::read_course(m)?;
    let asked = ask::read(m, &file.course)?;
    let crew = options::crew(m, &file)?;
    let out = options::out_folder(m)?;
    let as_json = options::is_set(m, "json");
    let (mut look, told) = reading::lines(&file);
    for line in asked.notes.iter().chain(&crew.notes).chain(&told) {
        complain(line);
    }
    let standing = &asked.standing;
    let mornings = options::on_threads(m, || {
        all_planned(&file.course, standing, asked.days.clone(), units)
    })??;
    let made = Made {
        course: &file.course,
        asked: &asked,
        paper,
        words: &words,
        unconfirmed: &file.unconfirmed,
        crew: &crew,
        with_sheets: !options::is_set(m, "no-sheets"),
    };
    let mut pdf: Vec<Page> = Vec::new();
    let mut values: Vec<Value> = Vec::new();
    let mut written = 1;
    for morning in &mornings {
        let done = options::on_threads(m, || drawn(&made, morning, pdf.len()))?;
        for (name, bytes) in &done.files {
            out.write(name, bytes)?;
            written += 1;
        }
        values.push(done.value);
        pdf.extend(done.pages);
    }
    let bytes = options::on_threads(m, || press::pdf(&pdf, &file.course.name))?;
    out.write(&asked.pdf, &bytes)?;
    options::finish(m, &out, "day")?;

    for (morning, v) in mornings.iter().zip(&values) {
        if as_json {
            say(&v.to_string());
        } else {
            say(&listing::listing(
                &morning.day,
                &morning.plans,
                standing,
                &words,
            ));
        }
    }
    if !as_json {
        say(&format!(
            "\n{written} file(s) in {}; print {}",
            out.path().display(),
            out.path().join(&asked.pdf).display()
        ));
    }
    let (look_here, lines) = looks::lines(&mornings, standing, &crew, units);
    look |= look_here;
    for line in lines {
        complain(&line);
    }
    Ok(if look { Verdict::Look } else { Verdict::Done })
}

/// What every day of a run has in common.
struct Made<'a> {
    course: &'a Course,
    asked: &'a Asked,
    paper: Paper,
    words: &'a Words,
    unconfirmed: &'a [String],
    crew: &'a Crew,
    with_sheets: bool,
}
