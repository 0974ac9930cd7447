//! The board of a morning: each mower with its fairways in driving order.
//!
//! Reading task, at the shed door at 5 a.m.: which mower am I on; which fairway first, and when;
//! which pattern, which way, what height to set; what is not as it was last time, and why.

use crate::drawing::{Anchor, Drawing, Pen, Shape, Stroke};
use crate::ink::{BLACK, HAIR_MM, HEAD_MM, MEDIUM_MM, PALE, SMALL_MM, THIN_MM, TITLE_MM, VALUE_MM};
use crate::lettering::{
    Rect, Weight, baseline_mm, cap_mm, clean, fit_mm, leading_mm, shorten, width_mm, wrap,
};
use crate::page::{Lie, Paper};
use crate::reasons::{later_of, reasons_of};
use crate::season_frame::{PageFrame, date_text, day_name, time_text};
use crate::season_week::{axis_hours, hour, pattern_name};
use crate::sheet::{pattern_sign, way_of};
use crate::signs::clock;
use crate::words::{Words, as_width};
use crossgrain_core::{Fairway, Mow, PatternKind, Sense};
use crossgrain_season::day::{Change, Day, NotMown, Turn, changes};
use crossgrain_season::visit::Visit;
use jiff::civil::Date;

/// One turn with what is known of it.
#[derive(Debug, Clone, Copy)]
pub struct BoardEntry<'a> {
    /// The turn.
    pub turn: &'a Turn,
    /// Its fairway.
    pub fairway: &'a Fairway,
    /// Its mow.
    pub mow: &'a Mow,
}

/// Everything a board shows.
#[derive(Debug, Clone)]
pub struct BoardInput<'a> {
    /// The course's name.
    pub course: &'a str,
    /// The morning.
    pub day: &'a Day,
    /// Its turns, by machine and in driving order.
    pub entries: &'a [BoardEntry<'a>],
    /// The name of each machine of the programme.
    pub machines: &'a [String],
    /// Visits of that day that do not take place: the fairway and why.
    pub cancelled: &'a [(String, String)],
    /// The programme's issue.
    pub issue: u32,
    /// The plan's number and the day it was planned.
    pub plan: (&'a str, &'a str),
    /// Paper.
    pub paper: Paper,
    /// Language and units.
    pub words: &'a Words,
}

/// Room for the hours, mm.
const TIME_MM: f64 = 25.0;
/// Room for the fairway's name, mm.
const NAME_MM: f64 = 17.0;
/// Side of a sign, mm.
const SIGN_MM: f64 = 14.0;
/// Radius of a clock face, mm.
const CLOCK_MM: f64 = 6.0;
/// Room for the height, mm.
const HEIGHT_MM: f64 = 30.0;
/// A row is no lower than its signs, mm.
const ROW_MM: f64 = 18.0;
/// White above and below the words of a row, mm.
const PAD_MM: f64 = 1.6;
/// A mower's heading, mm.
const HEADING_MM: f64 = 9.5;

/// A row ready to be drawn.
struct Row<'a> {
    entry: &'a BoardEntry<'a>,
    lines: Vec<(String, Weight)>,
    height: f64,
}

/// One thing below another.
enum Item<'a> {
    Heading { machine: usize, again: bool },
    Row(Row<'a>),
}

/// The board: a page, or more for a large crew.
pub fn board(input: &BoardInput<'_>) -> Vec<Drawing> {
    let words = input.words;
    let foot = foot(input);
    let day = input.day.date;
    let title = day_text(day, words);
    let frame = || {
        PageFrame::new(
            &title,
            input.course,
            &foot,
            input.paper,
            Lie::Portrait,
            words,
        )
    };
    let room = frame().room;
    let rows: Vec<Row<'_>> = (input.entries.iter())
        .map(|e| row(e, words, room.w))
        .collect();
    let pages = share_out(rows, room.h);
    let count = pages.len();
    (pages.into_iter().enumerate())
        .map(|(n, items)| {
            let mut f = frame();
            let mut y = room.y;
            let mut shade = false;
            for item in &items {
                match item {
                    Item::Heading { machine, again } => {
                        heading(
                            &mut f.pen,
                            input,
                            *machine,
                            *again,
                            Rect {
                                y,
                                h: HEADING_MM,
                                ..room
                            },
                        );
                        y += HEADING_MM;
                        shade = true;
                    }
                    Item::Row(r) => {
                        let at = Rect {
                            y,
                            h: r.height,
                            ..room
                        };
                        if shade {
                            f.pen.fill(Shape::rect(at), PALE);
                        }
                        draw_row(&mut f.pen, r, at, words);
                        y += r.height;
                        shade = !shade;
                    }
                }
            }
            f.page(format!("board-{}-{}", n + 1, count)).drawing
        })
        .collect()
}

/// A day as it stands on boards and sheets.
pub fn day_text(day: Date, words: &Words) -> String {
    format!(
        "{} {}",
        day_name(day.weekday(), words),
        date_text(day, words)
    )
}

/// Rows under their headings, page by page. A mower whose fairways run on to the next page has
/// its heading again there; no row stands alone on a last page.
fn share_out(rows: Vec<Row<'_>>, height: f64) -> Vec<Vec<Item<'_>>> {
    let lengths: Vec<(usize, f64)> = (rows.iter())
        .map(|r| (r.entry.turn.machine, r.height))
        .collect();
    let starts = page_starts(&lengths, height);
    let mut out: Vec<Vec<Item<'_>>> = Vec::new();
    let mut before = None;
    for (i, r) in rows.into_iter().enumerate() {
        let new_page = starts.contains(&i);
        if new_page {
            out.push(Vec::new());
        }
        let machine = r.entry.turn.machine;
        if let Some(page) = out.last_mut() {
            if new_page || before != Some(machine) {
                page.push(Item::Heading {
                    machine,
                    again: before == Some(machine),
                });
            }
            page.push(Item::Row(r));
        }
        before = Some(machine);
    }
    out
}

/// The first row of each page.
fn page_starts(rows: &[(usize, f64)], height: f64) -> Vec<usize> {
    let mut starts = Vec::new();
    let mut used = 0.0;
    for (i, (machine, h)) in rows.iter().enumerate() {
        let headed = i == 0 || rows[i - 1].0 != *machine;
        let need = h + if headed { HEADING_MM } else { 0.0 };
        // A heading is never the last thing on a page.
        if i == 0 || used + need > height {
            starts.push(i);
            used = HEADING_MM + h;
        } else {
            used += need;
        }
    }
    // A single row on a last page takes the one before it along.
    if let [.., before, last] = starts[..]
        && last + 1 == rows.len()
        && last - before > 2
        && let Some(s) = starts.last_mut()
    {
        *s = last - 1;
    }
    starts
}

fn count_text(n: usize, words: &Words) -> String {
    if n == 1 {
        words.say("board.one").to_string()
    } else {
        words.fill("board.many", &[("count", &n.to_string())])
    }
}

fn foot(input: &BoardInput<'_>) -> Vec<String> {
    let words = input.words;
    let not_mown = (input.day.not_mown.iter()).map(|(fairway, why)| {
        let key = match why {
            NotMown::LeftOut => "board.left_out",
            NotMown::NoMachine => "board.no_machine",
        };
        words.fill(key, &[("fairway", &clean(fairway))])
    });
    let cancelled = (input.cancelled.iter()).map(|(fairway, why)| {
        // The sky has words of its own; what closes a day is told as the rules have it.
        let why = match why.as_str() {
            "frost" => words.say("board.frost").to_string(),
            "wet" => words.say("board.wet").to_string(),
            other => clean(other),
        };
        words.fill(
            "board.cancelled",
            &[("fairway", &clean(fairway)), ("why", &why)],
        )
    });
    let off: Vec<String> = not_mown.chain(cancelled).collect();
    let mut out = Vec::new();
    if !off.is_empty() {
        out.push(format!(
            "{} {}",
            words.say("board.not_mown"),
            off.join(", ")
        ));
    }
    out.push(words.say("board.key").to_string());
    out.push(words.say("notice.manual").to_string());
    let total = words.fill(
        "board.total",
        &[
            ("count", &count_text(input.entries.len(), words)),
            ("time", &words.minutes(input.day.minutes())),
        ],
    );
    let programme = words.fill(
        "board.programme",
        &[
            ("issue", &input.issue.to_string()),
            ("number", input.plan.0),
            ("date", input.plan.1),
        ],
    );
    out.push(format!("{total}. {programme}"));
    out
}

/// A row's words: the pattern and its way, the clean-up passes, last time, why.
fn row<'a>(entry: &'a BoardEntry<'a>, words: &Words, width: f64) -> Row<'a> {
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
        (clean_up(v, words), Weight::Regular),
        (last_time(entry.turn, words), Weight::Regular),
    ];
    let mut why = reasons_of(v, words);
    why.extend(later_of(v, words));
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
fn capital(text: &str) -> String {
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

fn clean_up(v: &Visit, words: &Words) -> String {
    match (v.rings, v.clean_up) {
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

fn heading(pen: &mut Pen, input: &BoardInput<'_>, machine: usize, again: bool, r: Rect) {
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

fn draw_row(pen: &mut Pen, row: &Row<'_>, r: Rect, words: &Words) {
    let entry = row.entry;
    let turn = entry.turn;
    let middle = r.y + r.h / 2.0;
    // When.
    pen.text(
        time_text(turn.start, words),
        (r.x + 1.0, middle - 1.4),
        HEAD_MM,
        Weight::Bold,
        Anchor::Start,
    );
    pen.text(
        words.fill("board.until", &[("end", &time_text(Day::end(turn), words))]),
        (r.x + 1.0, middle + baseline_mm(SMALL_MM)),
        SMALL_MM,
        Weight::Regular,
        Anchor::Start,
    );
    // Where.
    let mut x = r.x + TIME_MM;
    let name = clean(&turn.visit.fairway);
    let size = fit_mm(&name, Weight::Bold, NAME_MM - 3.0, 13.0, SMALL_MM);
    pen.text(
        shorten(&name, size, Weight::Bold, NAME_MM - 3.0),
        (x + NAME_MM / 2.0 - 1.5, middle + cap_mm(size) / 2.0),
        size,
        Weight::Bold,
        Anchor::Middle,
    );
    x += NAME_MM;
    // What, and which way.
    pattern_sign(
        pen,
        Rect::new(x, middle - SIGN_MM / 2.0, SIGN_MM, SIGN_MM),
        entry.mow,
    );
    x += SIGN_MM + 2.5;
    let (hand, _) = way_of(entry.fairway, entry.mow, words);
    // The flag at 12 stands above the face: leave it room.
    clock(
        pen,
        (x + CLOCK_MM, middle + 1.2),
        CLOCK_MM,
        hand,
        entry.fairway.hole_line().is_some(),
    );
    x += 2.0 * CLOCK_MM + 3.5;
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
    // The height to set, and how long.
    let right = r.right() - 1.5;
    let height = words.height_of_cut(turn.visit.height_m);
    let size = fit_mm(&height, Weight::Bold, HEIGHT_MM - 5.0, VALUE_MM, SMALL_MM);
    let width = width_mm(&height, size, Weight::Bold);
    let base = middle - 0.6;
    pen.text(height, (right - 1.5, base), size, Weight::Bold, Anchor::End);
    let anew =
        (turn.last.as_ref()).is_none_or(|l| changes(&turn.visit, l).contains(&Change::Height));
    if anew {
        let up = cap_mm(size);
        pen.stroke(
            Shape::rect(Rect::new(
                right - 1.5 - width - 1.6,
                base - up - 1.6,
                width + 3.1,
                up + 3.2,
            )),
            Stroke::solid(BLACK, MEDIUM_MM),
        );
    }
    pen.text(
        words.minutes(turn.minutes),
        (right - 1.5, middle + 2.2 + baseline_mm(HEAD_MM)),
        HEAD_MM,
        Weight::Regular,
        Anchor::End,
    );
    pen.stroke(
        Shape::line((r.x, r.bottom()), (r.right(), r.bottom())),
        Stroke::solid(BLACK, HAIR_MM.min(THIN_MM)),
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;
    use crossgrain_core::inside::model::quantity::UnitSystem;
    use jiff::civil::date;

    #[test]
    fn rows_stay_with_their_mower_and_none_is_alone() {
        let rows = |n: usize| -> Vec<(usize, f64)> { (0..n).map(|_| (0, 20.0)).collect() };
        // A heading and five rows a page.
        let h = HEADING_MM + 100.0;
        assert_eq!(page_starts(&rows(5), h), [0]);
        assert_eq!(page_starts(&rows(7), h), [0, 5]);
        assert_eq!(page_starts(&rows(6), h), [0, 4]);
        // The second mower's heading has no room without a row.
        let two = [
            (0, 20.0),
            (0, 20.0),
            (0, 20.0),
            (0, 20.0),
            (1, 20.0),
            (1, 20.0),
        ];
        assert_eq!(page_starts(&two, h), [0, 4]);
    }

    #[test]
    fn hours_are_those_of_the_crew() {
        let us = Words::of(Language::Spanish, UnitSystem::Us);
        let metric = Words::of(Language::Spanish, UnitSystem::Metric);
        let at = |h, m| date(2027, 6, 4).at(h, m, 0, 0);
        assert_eq!(time_text(at(5, 30), &us), "5:30 am");
        assert_eq!(time_text(at(12, 5), &us), "12:05 pm");
        assert_eq!(time_text(at(13, 5), &metric), "13:05");
    }
}
