//! Board, sheets and day file of a morning.

use super::plan_files::{PlanFiles, plan_files};
use super::{Made, Morning};
use crate::hand_out::hand_out;
use crate::report::Planned;
use crossgrain_formats::day::{self as day_file, DayFile, TurnEntry};
use crossgrain_formats::whole::safe_names;
use crossgrain_render::day_board::{BoardEntry, BoardInput, board, day_text};
use crossgrain_render::drawing::Drawing;
use crossgrain_render::sheet::{SheetInput, first_pass_hours, sheet};
use crossgrain_render::svg_page;
use crossgrain_render::words::as_width;
use crossgrain_season::day::{Standing, Turn};
use rayon::prelude::*;
use serde_json::Value;

/// What a day came to.
pub(super) struct Written {
    /// The pages to print.
    pub pages: Vec<Drawing>,
    /// The day file.
    pub value: Value,
    /// Every file of the day, by name.
    pub files: Vec<(String, Vec<u8>)>,
}

/// A turn with its plan.
type Pair<'a, 'p> = (&'a Turn, &'a Planned<'p>);

/// Plan, sheets, board and day file; `before` pages stand in the PDF already.
pub(super) fn drawn(made: &Made<'_>, morning: &Morning<'_>, before: usize) -> Written {
    let (asked, day) = (made.asked, &morning.day);
    let plan = plan_files(made, morning);
    let pairs: Vec<Pair<'_, '_>> = day.turns.iter().zip(&morning.plans).collect();
    let sheets = sheets(made, morning, &plan, &pairs);
    let boards = boards(made, morning, &plan, &pairs);

    let stem = format!("day-{}", day.date);
    let page_name = |base: &str, i: usize| match i {
        0 => format!("{stem}-{base}.svg"),
        i => format!("{stem}-{base}-page-{}.svg", i + 1),
    };
    let fairways = &made.course.fairways;
    let safe = safe_names(fairways.iter().map(|f| f.name()));
    let mut pages: Vec<Drawing> = boards.clone();
    let mut svgs: Vec<(String, &Drawing)> = (boards.iter().enumerate())
        .map(|(i, d)| (page_name("board", i), d))
        .collect();
    let mut turns = Vec::new();
    for (i, ((turn, p), sheet)) in pairs.iter().zip(&sheets).enumerate() {
        let name = (fairways.iter().zip(&safe))
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
    let file = DayFile {
        course: &made.course.name,
        issue: asked.standing.issue,
        day,
        turns: &turns,
        machines: &names(&asked.standing),
        pdf: &asked.pdf,
        plan: (&plan.number, &plan.date),
    };
    let mut files: Vec<(String, Vec<u8>)> = (plan.files.iter())
        .map(|(name, text)| (name.clone(), text.clone().into_bytes()))
        .collect();
    let texts: Vec<(String, Vec<u8>)> = (svgs.par_iter())
        .map(|(name, d)| (name.clone(), svg_page::text(d).into_bytes()))
        .collect();
    files.extend(texts);
    files.push((format!("{stem}.json"), day_file::text(&file).into_bytes()));
    let value = day_file::value(&file);
    Written {
        pages,
        value,
        files,
    }
}

/// The names of the machines.
fn names(standing: &Standing) -> Vec<String> {
    standing.machines.iter().map(|m| m.name.clone()).collect()
}

/// The sheet of each turn, in their order; empty ones where none are wanted.
fn sheets(
    made: &Made<'_>,
    morning: &Morning<'_>,
    plan: &PlanFiles,
    pairs: &[Pair<'_, '_>],
) -> Vec<Vec<Drawing>> {
    if !made.with_sheets {
        return pairs.iter().map(|_| Vec::new()).collect();
    }
    let standing = &made.asked.standing;
    let names = names(standing);
    let on = day_text(morning.day.date, made.words);
    hand_out(pairs, |(turn, p)| {
        sheet(&SheetInput {
            left: Some(&p.left),
            plan: Some((&plan.number, &plan.date)),
            height_of_cut_m: Some(turn.visit.height_m),
            date: Some(&on),
            machine: names.get(turn.machine).map(String::as_str),
            crew: made.crew.on_pages(),
            name_confirmed: !made.unconfirmed.iter().any(|n| n == p.fairway.name()),
            ..SheetInput::new(
                made.course,
                p.fairway,
                &standing.mowers[turn.kind],
                &p.mow,
                &p.measures,
                made.paper,
                made.words,
            )
        })
    })
}

/// The board's pages.
fn boards(
    made: &Made<'_>,
    morning: &Morning<'_>,
    plan: &PlanFiles,
    pairs: &[Pair<'_, '_>],
) -> Vec<Drawing> {
    let (standing, day) = (&made.asked.standing, &morning.day);
    let entries: Vec<BoardEntry<'_>> = (pairs.iter())
        .map(|(turn, p)| BoardEntry {
            turn,
            fairway: p.fairway,
            mow: &p.mow,
        })
        .collect();
    // A machine that is no more than a number is told with its mower.
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
    board(&BoardInput {
        course: &made.course.name,
        day,
        entries: &entries,
        machines: &labels,
        cancelled: &cancelled,
        issue: standing.issue,
        plan: (&plan.number, &plan.date),
        crew: made.crew.on_pages(),
        paper: made.paper,
        words: made.words,
    })
}
