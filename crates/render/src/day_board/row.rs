//! What a row of a board says.

use super::{BoardEntry, CLOCK_MM, HEIGHT_MM, NAME_MM, PAD_MM, ROW_MM, SIGN_MM, TIME_MM};
use crate::ink::SMALL_MM;
use crate::lettering::{Weight, leading_mm, wrap};
use crate::reasons::{later_of, reasons_of};
use crate::season_frame::date_text;
use crate::season_week::{axis_hours, hour, pattern_name};
use crate::sheet::{clean_up_rings, way_of};
use crate::words::Words;
use crossgrain_core::{Mow, PatternKind, Sense};
use crossgrain_season::day::Turn;

/// A row ready to be drawn.
pub(super) struct Row<'a> {
    pub entry: &'a BoardEntry<'a>,
    pub lines: Vec<(String, Weight)>,
    pub height: f64,
}

/// A row's words: the pattern and its way, the clean-up passes, last time, why; not why it is later
/// where the foot says it for all.
pub(super) fn row<'a>(
    entry: &'a BoardEntry<'a>,
    all_later: bool,
    words: &Words,
    width: f64,
) -> Row<'a> {
    let mow = entry.mow;
    let v = &entry.turn.visit;
    let (_, hours) = way_of(entry.fairway, mow, words);
    let name = pattern_name(v, words);
    let mut what = if mow.pattern() == PatternKind::Rings {
        name
    } else {
        format!("{name} {hours}").trim_end().to_string()
    };
    if matches!(mow.pattern(), PatternKind::Loops | PatternKind::Rings) {
        what = format!("{what}, {}", words.say(turn_key(mow.sense())));
    }
    if let Some(d) = mow.settings().loop_diameter_m {
        what = format!("{what}, {}", words.reach(d));
    }
    let mut texts = vec![
        (what, Weight::Bold),
        (clean_up(mow, words), Weight::Regular),
        (last_time(entry.turn, words), Weight::Regular),
    ];
    let mut why = reasons_of(v, words);
    if !all_later {
        why.extend(later_of(v, words));
    }
    texts.extend(why.into_iter().map(|w| (capital(&w), Weight::Bold)));
    let room = width - TIME_MM - NAME_MM - SIGN_MM - 2.0 * CLOCK_MM - HEIGHT_MM - 10.0;
    let lines: Vec<(String, Weight)> = (texts.iter())
        .flat_map(|(t, weight)| {
            (wrap(t, SMALL_MM, *weight, room).into_iter()).map(move |l| (l, *weight))
        })
        .collect();
    let height = (lines.len() as f64 * leading_mm(SMALL_MM) + 2.0 * PAD_MM).max(ROW_MM);
    Row {
        entry,
        lines,
        height,
    }
}

/// A sentence with a capital at its beginning.
pub(super) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(c) => c.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}

fn turn_key(sense: Sense) -> &'static str {
    match sense {
        Sense::Clockwise => "board.turn.cw",
        Sense::CounterClockwise => "board.turn.ccw",
    }
}

fn round_key(sense: Sense) -> &'static str {
    match sense {
        Sense::Clockwise => "board.cw",
        Sense::CounterClockwise => "board.ccw",
    }
}

/// The clean-up passes as the sheet has them: loops may need more rounds than the programme asks for.
fn clean_up(mow: &Mow, words: &Words) -> String {
    match (clean_up_rings(mow), mow.settings().clean_up_sense) {
        (0, _) | (_, None) => words.say("board.cleanup_none").to_string(),
        (1, Some(s)) => words.fill("board.cleanup_one", &[("sense", words.say(round_key(s)))]),
        (n, Some(s)) => words.fill(
            "board.cleanup_many",
            &[
                ("count", &n.to_string()),
                ("sense", words.say(round_key(s))),
            ],
        ),
    }
}

fn last_time(turn: &Turn, words: &Words) -> String {
    let Some(last) = &turn.last else {
        return words.say("board.first").to_string();
    };
    let mut what = pattern_name(last, words);
    if last.pattern != PatternKind::Rings {
        let (from, to) = axis_hours(last);
        what = format!("{what} {}–{}", hour(from), hour(to));
    }
    if let Some(s) = last.sense {
        what = format!("{what}, {}", words.say(turn_key(s)));
    }
    words.fill(
        "board.last",
        &[
            ("date", &date_text(last.date(), words)),
            ("what", &what),
            ("height", &words.height_of_cut(last.height_m)),
        ],
    )
}
