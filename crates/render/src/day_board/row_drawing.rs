//! The rows of a board and a mower's heading, drawn.

use super::foot::{behind_play, count_text};
use super::row::Row;
use super::{BoardEntry, BoardInput, CLOCK_MM, HEIGHT_MM, NAME_MM, SIGN_MM, TIME_MM};
use crate::drawing::{Anchor, Pen, Shape, Spot, Stroke};
use crate::ink::{BLACK, HAIR_MM, HEAD_MM, MEDIUM_MM, SMALL_MM, TITLE_MM, VALUE_MM};
use crate::lettering::{
    Rect, Weight, baseline_mm, cap_mm, clean, fit_mm, leading_mm, shorten, width_mm,
};
use crate::season_frame::time_text;
use crate::sheet::{pattern_sign, way_of};
use crate::signs::clock;
use crate::words::{Words, as_width};
use crossgrain_season::day::{Change, Day, changes};

/// The heading of a mower: its name, how many fairways, from when to when.
pub(super) fn heading(pen: &mut Pen, input: &BoardInput<'_>, machine: usize, again: bool, r: Rect) {
    let words = input.words;
    let key = if again {
        "board.machine_on"
    } else {
        "board.machine"
    };
    let name = input.machines.get(machine).map_or("", String::as_str);
    let name = as_width(name).unwrap_or_else(|| clean(name));
    let base = r.bottom() - 2.4;
    let mine: Vec<&BoardEntry<'_>> = (input.entries.iter())
        .filter(|e| e.turn.machine == machine)
        .collect();
    let mut times = String::new();
    if let (Some(first), Some(last)) = (mine.first(), mine.last()) {
        let minutes: f64 = mine.iter().map(|e| e.turn.minutes).sum();
        times = words.fill(
            "board.times",
            &[
                ("count", &count_text(mine.len(), words)),
                ("start", &time_text(first.turn.start, words)),
                ("end", &time_text(Day::end(last.turn), words)),
                ("time", &words.minutes(minutes)),
            ],
        );
    }
    let right = width_mm(&times, HEAD_MM, Weight::Regular);
    let title = words.fill(key, &[("name", &name)]);
    let size = fit_mm(
        &title,
        Weight::Bold,
        r.w - right - 4.0,
        TITLE_MM * 0.75,
        SMALL_MM,
    );
    pen.text(
        shorten(&title, size, Weight::Bold, r.w - right - 4.0),
        (r.x, base),
        size,
        Weight::Bold,
        Anchor::Start,
    );
    pen.text(
        times,
        (r.right(), base),
        HEAD_MM,
        Weight::Regular,
        Anchor::End,
    );
    pen.stroke(
        Shape::line((r.x, r.bottom()), (r.right(), r.bottom())),
        Stroke::solid(BLACK, MEDIUM_MM),
    );
}

/// A row.
pub(super) fn draw_row(pen: &mut Pen, row: &Row<'_>, r: Rect, input: &BoardInput<'_>) {
    let words = input.words;
    let middle = r.y + r.h / 2.0;
    let behind = behind_play(&input.crew, row.entry.turn);
    when(pen, row, (r.x + 1.0, middle), behind, words);
    where_and_which_way(pen, row, (r.x + TIME_MM, middle), words);
    let x = r.x + TIME_MM + NAME_MM + SIGN_MM + 2.5 + 2.0 * CLOCK_MM + 3.5;
    let block = row.lines.len() as f64 * leading_mm(SMALL_MM);
    for (i, (line, weight)) in row.lines.iter().enumerate() {
        let top = middle - block / 2.0 + i as f64 * leading_mm(SMALL_MM);
        pen.text(
            line,
            (x, top + baseline_mm(SMALL_MM)),
            SMALL_MM,
            *weight,
            Anchor::Start,
        );
    }
    what_to_set(pen, row, (r.right() - 3.0, middle), words);
    pen.stroke(
        Shape::line((r.x, r.bottom()), (r.right(), r.bottom())),
        Stroke::solid(BLACK, HAIR_MM),
    );
}

/// When it begins and ends, boxed where players get there before it ends.
fn when(pen: &mut Pen, row: &Row<'_>, (x, middle): Spot, behind: bool, words: &Words) {
    let turn = row.entry.turn;
    pen.text(
        time_text(turn.start, words),
        (x, middle - 1.4),
        HEAD_MM,
        Weight::Bold,
        Anchor::Start,
    );
    let end = words.fill("board.until", &[("end", &time_text(Day::end(turn), words))]);
    let base = middle + baseline_mm(SMALL_MM);
    if behind {
        let up = cap_mm(SMALL_MM);
        let width = width_mm(&end, SMALL_MM, Weight::Regular);
        let edge = Rect::new(x - 0.8, base - up - 1.3, width + 1.6, up + 2.7);
        pen.stroke(Shape::rect(edge), Stroke::solid(BLACK, MEDIUM_MM));
    }
    pen.text(end, (x, base), SMALL_MM, Weight::Regular, Anchor::Start);
}

/// The fairway, its pattern's sign and the clock.
fn where_and_which_way(pen: &mut Pen, row: &Row<'_>, (x, middle): Spot, words: &Words) {
    let entry = row.entry;
    let name = clean(&entry.turn.visit.fairway);
    let size = fit_mm(&name, Weight::Bold, NAME_MM - 3.0, 13.0, SMALL_MM);
    pen.text(
        shorten(&name, size, Weight::Bold, NAME_MM - 3.0),
        (x + NAME_MM / 2.0 - 1.5, middle + cap_mm(size) / 2.0),
        size,
        Weight::Bold,
        Anchor::Middle,
    );
    let x = x + NAME_MM;
    pattern_sign(
        pen,
        Rect::new(x, middle - SIGN_MM / 2.0, SIGN_MM, SIGN_MM),
        entry.mow,
    );
    let (hand, _) = way_of(entry.fairway, entry.mow, words);
    // The flag at 12 stands above the face: leave it room.
    clock(
        pen,
        (x + SIGN_MM + 2.5 + CLOCK_MM, middle + 1.2),
        CLOCK_MM,
        hand,
        entry.fairway.hole_line().is_some(),
    );
}

/// The height to set, boxed where it is not what it was, and how long it takes.
fn what_to_set(pen: &mut Pen, row: &Row<'_>, (right, middle): Spot, words: &Words) {
    let turn = row.entry.turn;
    let height = words.height_of_cut(turn.visit.height_m);
    let size = fit_mm(&height, Weight::Bold, HEIGHT_MM - 5.0, VALUE_MM, SMALL_MM);
    let width = width_mm(&height, size, Weight::Bold);
    let base = middle - 0.6;
    pen.text(height, (right, base), size, Weight::Bold, Anchor::End);
    let anew =
        (turn.last.as_ref()).is_none_or(|l| changes(&turn.visit, l).contains(&Change::Height));
    if anew {
        let up = cap_mm(size);
        let edge = Rect::new(right - width - 1.6, base - up - 1.6, width + 3.1, up + 3.2);
        pen.stroke(Shape::rect(edge), Stroke::solid(BLACK, MEDIUM_MM));
    }
    pen.text(
        words.minutes(turn.minutes),
        (right, middle + 2.2 + baseline_mm(HEAD_MM)),
        HEAD_MM,
        Weight::Regular,
        Anchor::End,
    );
}
