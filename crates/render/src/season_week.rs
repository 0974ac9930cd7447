//! A page a week: what each fairway gets on each day.

use crate::drawing::{Anchor, Pen, Shape, Stroke};
use crate::ink::{BLACK, HAIR_MM, HEAD_MM, MEDIUM_MM, PALE, SMALL_MM, THIN_MM};
use crate::lettering::{Rect, Weight, baseline_mm, clean, leading_mm, shorten};
use crate::page::{Lie, Paper};
use crate::reasons::{later_of, reasons_of};
use crate::season_frame::{PageFrame, SeasonPage, date_text, day_name};
use crate::signs::{Hand, clock, crossing, pattern};
use crate::words::Words;
use crossgrain_core::Sense;
use crossgrain_core::inside::model::pattern::CrossSets;
use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_season::Programme;
use crossgrain_season::programme::Visit;
use crossgrain_season::slots::SlotId;
use jiff::civil::Date;
use std::f64::consts::FRAC_PI_2;

/// Days side by side: a sign, a clock and two lines of text each.
const DAYS_A_PAGE: usize = 3;
/// A row: a sign and three lines of text, mm.
const ROW_MM: f64 = 15.6;
/// Line to line in a row, mm: accents and tails do not touch.
const LINE_MM: f64 = 5.05;
/// Room for the fairway's name, mm.
const NAME_MM: f64 = 20.0;
/// Side of a sign, mm.
const SIGN_MM: f64 = 11.0;
/// Most notes told at the foot of a page; the programme file has them all.
const MAX_NOTES: usize = 5;

/// The week pages of a programme.
pub fn week_pages(p: &Programme, paper: Paper, words: &Words) -> Vec<SeasonPage> {
    let mut weeks: Vec<Date> = p.visits.iter().map(|v| monday(v.date())).collect();
    weeks.dedup();
    let order: Vec<&str> = p.books.iter().map(|b| b.fairway.as_str()).collect();
    let mut out = Vec::new();
    for week in weeks {
        let visits: Vec<&Visit> = p
            .visits
            .iter()
            .filter(|v| monday(v.date()) == week)
            .collect();
        let mut days: Vec<Date> = visits.iter().map(|v| v.date()).collect();
        days.dedup();
        let mut part = 0;
        for days in days.chunks(DAYS_A_PAGE) {
            let mine: Vec<&Visit> = visits
                .iter()
                .filter(|v| days.contains(&v.date()))
                .copied()
                .collect();
            let names: Vec<&str> = order
                .iter()
                .filter(|n| mine.iter().any(|v| v.fairway == **n))
                .copied()
                .collect();
            let mut rest = &names[..];
            while !rest.is_empty() {
                part += 1;
                let (page, taken) = week_page(
                    p,
                    &WeekPart {
                        week,
                        days,
                        visits: &mine,
                        names: rest,
                        number: part,
                    },
                    paper,
                    words,
                );
                out.push(page);
                rest = &rest[taken..];
            }
        }
    }
    out
}

struct WeekPart<'a> {
    week: Date,
    days: &'a [Date],
    visits: &'a [&'a Visit],
    names: &'a [&'a str],
    number: usize,
}

fn monday(d: Date) -> Date {
    let back = i64::from(d.weekday().to_monday_zero_offset());
    d.checked_sub(jiff::Span::new().days(back)).unwrap_or(d)
}

fn week_page(
    p: &Programme,
    part: &WeekPart<'_>,
    paper: Paper,
    words: &Words,
) -> (SeasonPage, usize) {
    let iso = part.week.iso_week_date();
    let key = match words.units {
        UnitSystem::Us => "season.week.us",
        UnitSystem::Metric => "season.week",
    };
    let title = words.fill(
        key,
        &[
            ("week", &iso.week().to_string()),
            ("date", &date_text(part.week, words)),
        ],
    );
    let mut notes: Vec<String> = Vec::new();
    for v in part.visits {
        for n in notes_of(v, words) {
            if !notes.contains(&n) {
                notes.push(n);
            }
        }
    }
    notes.truncate(MAX_NOTES);
    notes.push(words.say("season.week_note").to_string());
    notes.push(words.say("season.caution").to_string());
    let mut f = PageFrame::new(&title, &p.course, &notes, paper, Lie::Landscape, words);
    let room = f.room;
    let head = leading_mm(HEAD_MM) + leading_mm(SMALL_MM);
    let w = (room.w - NAME_MM) / DAYS_A_PAGE as f64;
    for (i, day) in part.days.iter().enumerate() {
        let x = room.x + NAME_MM + i as f64 * w + 1.5;
        f.pen.text(
            format!(
                "{} {}",
                day_name(day.weekday(), words),
                date_text(*day, words)
            ),
            (x, room.y + baseline_mm(HEAD_MM)),
            HEAD_MM,
            Weight::Bold,
            Anchor::Start,
        );
        let load = p.days.iter().find(|d| d.date == *day);
        if let Some(load) = load {
            f.pen.text(
                words.fill(
                    "season.day_load",
                    &[
                        ("count", &load.visits.to_string()),
                        ("time", &words.minutes(load.minutes)),
                    ],
                ),
                (x, room.y + leading_mm(HEAD_MM) + baseline_mm(SMALL_MM)),
                SMALL_MM,
                Weight::Regular,
                Anchor::Start,
            );
        }
    }
    let rows = (((room.h - head) / ROW_MM).floor() as usize).clamp(1, part.names.len());
    for (n, name) in part.names[..rows].iter().enumerate() {
        let r = Rect::new(room.x, room.y + head + n as f64 * ROW_MM, room.w, ROW_MM);
        if n % 2 == 0 {
            f.pen.fill(Shape::rect(r), PALE);
        }
        f.pen.text(
            shorten(&clean(name), 7.0, Weight::Bold, NAME_MM - 3.0),
            (r.x + 1.5, r.y + ROW_MM / 2.0 + 2.4),
            7.0,
            Weight::Bold,
            Anchor::Start,
        );
        for (i, day) in part.days.iter().enumerate() {
            let cell = Rect::new(r.x + NAME_MM + i as f64 * w, r.y, w, ROW_MM);
            let visit = part
                .visits
                .iter()
                .find(|v| v.fairway == **name && v.date() == *day);
            if let Some(v) = visit {
                draw_visit(&mut f.pen, v, cell, words);
            }
        }
    }
    let table = Rect::new(room.x, room.y + head, room.w, rows as f64 * ROW_MM);
    for i in 0..=part.days.len() {
        let x = table.x + NAME_MM + i as f64 * w;
        if x < table.right() - 0.1 {
            f.pen.stroke(
                Shape::line((x, table.y), (x, table.bottom())),
                Stroke::solid(BLACK, HAIR_MM),
            );
        }
    }
    f.pen
        .stroke(Shape::rect(table), Stroke::solid(BLACK, THIN_MM));
    let id = SlotId {
        year: iso.year(),
        week: iso.week(),
        ordinal: 0,
    };
    let name = format!("week-{:04}-W{:02}-{}", id.year, id.week, part.number);
    (f.page(name), rows)
}

fn draw_visit(pen: &mut Pen, v: &Visit, cell: Rect, words: &Words) {
    let y = cell.y + (ROW_MM - SIGN_MM) / 2.0;
    let sign = Rect::new(cell.x + 1.5, y, SIGN_MM, SIGN_MM);
    if v.cross_sets == Some(CrossSets::Crossing) {
        crossing(pen, sign);
    } else {
        pattern(pen, sign, v.pattern, v.sense.unwrap_or(Sense::Clockwise));
    }
    // The flag at 12 stands above the face: leave it room.
    let radius = 4.6;
    let centre = (
        cell.x + 1.5 + SIGN_MM + 2.0 + radius,
        cell.y + ROW_MM - radius - 1.2,
    );
    // Twelve is up the page; hours go clockwise, as page angles do.
    let angle = v.clock.1 / 12.0 * std::f64::consts::TAU - FRAC_PI_2;
    clock(pen, centre, radius, Hand::Along(angle), true);
    let x = centre.0 + radius + 2.5;
    let room = cell.right() - x - 1.0;
    let hours = format!("{}–{}", hour(v.clock.0), hour(v.clock.1));
    let mut first = pattern_name(v, words);
    if let Some(s) = v.sense {
        first = format!("{first} {}", words.say(sense_key(s)));
    }
    // Minutes without hours: the line is short, and what counts is when the next one starts.
    let second = format!(
        "{hours}, {}, {:.0} min",
        words.height_of_cut(v.height_m),
        v.minutes
    );
    let third = match v.clean_up {
        Some(s) => words.fill("season.cleanup", &[("sense", words.say(sense_key(s)))]),
        None => words.say("season.no_cleanup").to_string(),
    };
    let raised = v.why.is_some();
    for (i, (line, weight)) in [
        (first, Weight::Bold),
        (second, Weight::Regular),
        (third, Weight::Regular),
    ]
    .into_iter()
    .enumerate()
    {
        pen.text(
            shorten(&line, SMALL_MM, weight, room),
            (x, cell.y + 0.2 + i as f64 * LINE_MM + baseline_mm(SMALL_MM)),
            SMALL_MM,
            weight,
            Anchor::Start,
        );
    }
    if raised {
        // A bar at the side says: look at the notes below.
        pen.stroke(
            Shape::line(
                (cell.right() - 1.2, cell.y + 1.5),
                (cell.right() - 1.2, cell.bottom() - 1.5),
            ),
            Stroke::solid(BLACK, MEDIUM_MM * 2.0),
        );
    }
}

/// The name of a visit's pattern: both sets of a cross cut are not one set alone.
pub(crate) fn pattern_name(v: &Visit, words: &Words) -> String {
    if v.cross_sets == Some(CrossSets::Crossing) {
        return words.say("pattern.crossing").to_string();
    }
    words
        .say(&format!("pattern.{}", v.pattern.word()))
        .to_string()
}

fn sense_key(s: Sense) -> &'static str {
    match s {
        Sense::Clockwise => "season.cw",
        Sense::CounterClockwise => "season.ccw",
    }
}

pub(crate) fn hour(h: f64) -> String {
    if h.fract() == 0.0 {
        format!("{h:.0}")
    } else {
        format!("{:.0}:30", h.floor())
    }
}

/// What has to be told about a visit.
fn notes_of(v: &Visit, words: &Words) -> Vec<String> {
    let name = clean(&v.fairway);
    let day = day_name(v.date().weekday(), words);
    let say = |key: &str, reason: &str| {
        words.fill(
            key,
            &[("fairway", &name), ("day", &day), ("reason", reason)],
        )
    };
    let mut out: Vec<String> = (reasons_of(v, words).iter())
        .map(|r| say("season.note", r))
        .collect();
    out.extend(later_of(v, words).map(|r| say("season.note_day", &r)));
    out
}
