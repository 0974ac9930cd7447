//! `crossgrain day`: the board and the sheets of one morning, from the programme that stands.

mod ask;
mod listing;

use crate::Verdict;
use crate::failure::Failure;
use crate::hand_out::{corners, hand_out, heaviest_first};
use crate::notices::{self, ChosenBy};
use crate::options::{self, flag, value};
use crate::plan::planned;
use crate::progress::with_progress;
use crate::reading;
use crate::report::{self, Planned};
use crate::terminal::{complain, say};
use crate::today::today;
use ask::Asked;
use clap::{ArgAction, ArgMatches, Command};
use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_core::{Course, Fairway, PlanError, Settings};
use crossgrain_formats::day::{self as day_file, DayFile, TurnEntry};
use crossgrain_formats::plan::{self as plan_file, About, Entry};
use crossgrain_formats::whole::safe_names;
use crossgrain_render::day_board::{BoardEntry, BoardInput, board, day_text};
use crossgrain_render::drawing::Drawing;
use crossgrain_render::page::Paper;
use crossgrain_render::sheet::{SheetInput, first_pass_hours, sheet};
use crossgrain_render::words::{Words, as_width};
use crossgrain_render::{press, svg_page};
use crossgrain_season::day::{Day, Standing, Turn};
use crossgrain_season::mow_request::MowRequest;
use rayon::prelude::*;
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
    let out = options::out_folder(m)?;
    let as_json = options::is_set(m, "json");
    let (mut look, told) = reading::lines(&file);
    for line in asked.notes.iter().chain(&told) {
        complain(line);
    }
    let course: &Course = &file.course;
    let standing = &asked.standing;
    let mornings = options::on_threads(m, || {
        all_planned(course, standing, asked.days.clone(), units)
    })??;
    let with_sheets = !options::is_set(m, "no-sheets");

    let mut pdf: Vec<Drawing> = Vec::new();
    let mut values: Vec<Value> = Vec::new();
    let mut told = Vec::new();
    let mut written = 0;
    for morning in &mornings {
        let made = Made {
            course,
            asked: &asked,
            paper,
            words: &words,
            unconfirmed: &file.unconfirmed,
            with_sheets,
        };
        let done = options::on_threads(m, || drawn(&made, morning, pdf.len()))?;
        for (name, bytes) in &done.files {
            out.write(name, bytes)?;
            written += 1;
        }
        for (kind, mower) in standing.mowers.iter().enumerate() {
            let plans = of_kind(morning, kind);
            let (look_here, lines) = notices::lines(&plans, mower, units, ChosenBy::Programme);
            look |= look_here;
            told.extend(lines);
        }
        values.push(done.value);
        pdf.extend(done.pages);
    }
    let bytes = options::on_threads(m, || press::pdf(&pdf, &course.name))?;
    out.write(&asked.pdf, &bytes)?;
    written += 1;
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
    told.dedup();
    for line in told {
        complain(&line);
    }
    for morning in &mornings {
        for (fairway, why) in &morning.day.not_mown {
            if *why == crossgrain_season::day::NotMown::NoMachine {
                look = true;
                complain(&format!(
                    "warning: fairway '{fairway}' is not mown on {}: no machine that may mow it is there",
                    morning.day.date
                ));
            }
        }
    }
    for morning in &mornings {
        let day = &morning.day;
        let midnight = day.date.at(23, 59, 0, 0);
        if day.turns.iter().any(|t| Day::end(t) >= midnight) {
            look = true;
            complain(&format!(
                "warning: {} is overfull: a machine would not be back before midnight; send out \
                 another, or leave fairways out with --without",
                day.date
            ));
        }
    }
    Ok(if look { Verdict::Look } else { Verdict::Done })
}

/// Visits to one fairway with one kind of mower: day and turn of each.
struct Share {
    fairway: usize,
    kind: usize,
    places: Vec<(usize, usize)>,
}

/// The plans of all mornings: each fairway's visits one after the other, because they share their
/// groundwork.
fn all_planned<'a>(
    course: &'a Course,
    standing: &Standing,
    mut days: Vec<Day>,
    units: UnitSystem,
) -> Result<Vec<Morning<'a>>, Failure> {
    let fairway = |t: &Turn| {
        course
            .fairways
            .iter()
            .position(|f| f.name() == t.visit.fairway)
    };
    let mut groups: Vec<Share> = Vec::new();
    for (d, day) in days.iter().enumerate() {
        for (t, turn) in day.turns.iter().enumerate() {
            let Some(f) = fairway(turn) else { continue };
            let mine = |g: &&mut Share| (g.fairway, g.kind) == (f, turn.kind);
            match groups.iter_mut().find(mine) {
                Some(g) => g.places.push((d, t)),
                None => groups.push(Share {
                    fairway: f,
                    kind: turn.kind,
                    places: vec![(d, t)],
                }),
            }
        }
    }
    let count: usize = groups.iter().map(|g| g.places.len()).sum();
    let results = with_progress("planned", count, |tick| {
        let weight = |share: &Share| corners(&course.fairways[share.fairway]) * share.places.len();
        heaviest_first(&groups, weight, |share| {
            let fairway: &Fairway = &course.fairways[share.fairway];
            let mower = &standing.mowers[share.kind];
            let settings: Vec<Settings> = (share.places.iter())
                .map(|&(d, t)| MowRequest::of(&days[d].turns[t].visit).settings())
                .collect();
            let mows = planned(fairway, mower, &settings, &tick);
            share.places.iter().copied().zip(mows).collect::<Vec<_>>()
        })
    });
    let mut all: Vec<_> = results.into_iter().flatten().collect();
    all.sort_by_key(|r| r.0);
    let mut plans: Vec<Vec<Planned<'a>>> = days.iter().map(|_| Vec::new()).collect();
    for ((d, t), planned) in all {
        match planned {
            Ok(p) => plans[d].push(p),
            Err(source) => return Err(no_plan(standing, &days[d], t, source, units)),
        }
    }
    for (day, plans) in days.iter_mut().zip(&plans) {
        let minutes: Vec<f64> = plans.iter().map(|p| p.measures.minutes).collect();
        day.clock_in(&minutes);
    }
    Ok((days.into_iter().zip(plans))
        .map(|(day, plans)| Morning { day, plans })
        .collect())
}

/// Why a visit cannot be planned: a mower of another kind than the programme's takes it, or else
/// the planner's own word.
fn no_plan(
    standing: &Standing,
    day: &Day,
    turn: usize,
    source: PlanError,
    units: UnitSystem,
) -> Failure {
    let why = report::plan_error(&source, units);
    let Some(t) = day.turns.get(turn) else {
        return Failure::Plan {
            reason: why,
            source,
        };
    };
    let (visit, machine) = (&t.visit, t.machine + 1);
    let planned = standing.machines.get(visit.mower as usize);
    if planned.is_none_or(|m| m.kind == t.kind) {
        return Failure::Plan {
            reason: format!("{}: {why}", day.date),
            source,
        };
    }
    Failure::Argument {
        option: "--machine-down",
        reason: format!(
            "fairway '{name}' goes to machine {machine} on {}, which cannot mow it as the programme \
             has it ({}): {why}; leave it out as well, with --without {name}",
            day.date,
            visit.pattern.word(),
            name = visit.fairway,
        ),
    }
}

/// What every day of a run has in common.
struct Made<'a> {
    course: &'a Course,
    asked: &'a Asked,
    paper: Paper,
    words: &'a Words,
    unconfirmed: &'a [String],
    with_sheets: bool,
}

/// What a day came to.
struct Written {
    pages: Vec<Drawing>,
    value: Value,
    files: Vec<(String, Vec<u8>)>,
}

/// The plans that a kind of mower drives.
fn of_kind<'a>(morning: &Morning<'a>, kind: usize) -> Vec<Planned<'a>> {
    (morning.day.turns.iter())
        .zip(&morning.plans)
        .filter(|(t, _)| t.kind == kind)
        .map(|(_, p)| Planned {
            fairway: p.fairway,
            mow: p.mow.clone(),
            measures: p.measures.clone(),
            left: p.left.clone(),
        })
        .collect()
}

/// The plan files of a day: one for each kind of mower that goes out, with the places of its
/// turns; and the number that all of them carry.
struct PlanFiles {
    files: Vec<(String, String)>,
    places: Vec<(usize, usize)>,
    number: String,
    date: String,
}

fn plan_files(made: &Made<'_>, morning: &Morning<'_>) -> PlanFiles {
    let (asked, turns) = (made.asked, &morning.day.turns);
    let mut kinds: Vec<usize> = turns.iter().map(|t| t.kind).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let mut places = vec![(0, 0); turns.len()];
    let entries: Vec<Vec<Entry<'_>>> = (kinds.iter().enumerate())
        .map(|(file, kind)| {
            let mut out = Vec::new();
            for (i, p) in morning.plans.iter().enumerate() {
                if turns[i].kind == *kind {
                    places[i] = (file, out.len());
                    out.push(Entry {
                        fairway: p.fairway,
                        mow: &p.mow,
                        measures: &p.measures,
                    });
                }
            }
            out
        })
        .collect();
    let texts = |about: &About<'_>| -> Vec<String> {
        (kinds.iter().zip(&entries))
            .map(|(k, e)| plan_file::text(made.course, &asked.standing.mowers[*k], e, about))
            .collect()
    };
    let number = plan_file::plan_number(&texts(&About::default()).concat());
    let date = today().to_string();
    let about = About {
        number: Some(&number),
        date: Some(&date),
        ..About::default()
    };
    let stem = if asked.many {
        format!("plan-{}", morning.day.date)
    } else {
        "plan".to_string()
    };
    let name = |kind: usize| {
        if kinds.len() == 1 {
            format!("{stem}.json")
        } else {
            format!("{stem}-mower-{}.json", kind + 1)
        }
    };
    let names: Vec<String> = kinds.iter().map(|k| name(*k)).collect();
    PlanFiles {
        files: names.into_iter().zip(texts(&about)).collect(),
        places,
        number,
        date,
    }
}

/// Plan, sheets, board and day file; `before` pages stand in the PDF already.
fn drawn(made: &Made<'_>, morning: &Morning<'_>, before: usize) -> Written {
    let Made {
        course,
        asked,
        words,
        ..
    } = made;
    let standing = &asked.standing;
    let day = &morning.day;
    let plan = plan_files(made, morning);
    let mut files: Vec<(String, Vec<u8>)> = (plan.files.iter())
        .map(|(name, text)| (name.clone(), text.clone().into_bytes()))
        .collect();
    let names: Vec<String> = standing.machines.iter().map(|m| m.name.clone()).collect();
    let on = day_text(day.date, words);
    let pairs: Vec<(&Turn, &Planned<'_>)> = day.turns.iter().zip(&morning.plans).collect();
    let sheets: Vec<Vec<Drawing>> = hand_out(&pairs, |(turn, p)| {
        let mower = &standing.mowers[turn.kind];
        if made.with_sheets {
            sheet(&SheetInput {
                left: Some(&p.left),
                plan: Some((&plan.number, &plan.date)),
                height_of_cut_m: Some(turn.visit.height_m),
                date: Some(&on),
                machine: names.get(turn.machine).map(String::as_str),
                name_confirmed: !made.unconfirmed.iter().any(|n| n == p.fairway.name()),
                ..SheetInput::new(
                    course,
                    p.fairway,
                    mower,
                    &p.mow,
                    &p.measures,
                    made.paper,
                    words,
                )
            })
        } else {
            Vec::new()
        }
    });

    let entries: Vec<BoardEntry<'_>> = (pairs.iter())
        .map(|(turn, p)| BoardEntry {
            turn,
            fairway: p.fairway,
            mow: &p.mow,
        })
        .collect();
    let labels: Vec<String> = (standing.machines.iter())
        .map(|machine| {
            let mower = &standing.mowers[machine.kind].name;
            let numbered = machine.name.chars().all(|c| c.is_ascii_digit());
            if numbered && as_width(mower).is_none() {
                format!("{}: {mower}", machine.name)
            } else {
                machine.name.clone()
            }
        })
        .collect();
    let cancelled: Vec<(String, String)> = (standing.cancelled.iter())
        .filter(|c| c.0 == day.date)
        .map(|c| (c.1.clone(), c.2.clone()))
        .collect();
    let boards = board(&BoardInput {
        course: &course.name,
        day,
        entries: &entries,
        machines: &labels,
        cancelled: &cancelled,
        issue: standing.issue,
        plan: (&plan.number, &plan.date),
        paper: made.paper,
        words,
    });

    let stem = format!("day-{}", day.date);
    let page_name = |base: &str, i: usize| match i {
        0 => format!("{stem}-{base}.svg"),
        i => format!("{stem}-{base}-page-{}.svg", i + 1),
    };
    let safe = safe_names(course.fairways.iter().map(|f| f.name()));
    let mut pages: Vec<Drawing> = boards.clone();
    let mut svgs: Vec<(String, &Drawing)> = (boards.iter().enumerate())
        .map(|(i, d)| (page_name("board", i), d))
        .collect();
    let mut turns = Vec::new();
    for (i, ((turn, p), sheet)) in pairs.iter().zip(&sheets).enumerate() {
        let name = (course.fairways.iter().zip(&safe))
            .find(|(f, _)| f.name() == p.fairway.name())
            .map_or("", |n| n.1.as_str());
        let from = before + pages.len();
        let mine: Vec<String> = (0..sheet.len())
            .map(|i| page_name(&format!("fairway-{name}"), i))
            .collect();
        svgs.extend(mine.iter().cloned().zip(sheet));
        pages.extend(sheet.iter().cloned());
        let (plan_at, mow_at) = plan.places[i];
        turns.push(TurnEntry {
            turn,
            mow: &p.mow,
            measures: &p.measures,
            first_pass_clock: first_pass_hours(p.fairway, &p.mow),
            plan: (&plan.files[plan_at].0, mow_at),
            sheets: mine,
            pages: (!sheet.is_empty()).then_some((from + 1, before + pages.len())),
        });
    }
    let texts: Vec<(String, Vec<u8>)> = (svgs.par_iter())
        .map(|(name, d)| (name.clone(), svg_page::text(d).into_bytes()))
        .collect();
    files.extend(texts);
    let file = DayFile {
        course: &course.name,
        issue: standing.issue,
        day,
        turns: &turns,
        machines: &names,
        pdf: &asked.pdf,
        plan: (&plan.number, &plan.date),
    };
    files.push((format!("{stem}.json"), day_file::text(&file).into_bytes()));
    let value = day_file::value(&file);
    Written {
        pages,
        value,
        files,
    }
}
