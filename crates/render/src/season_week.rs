//! A page a week: what each fairway gets on each day.

use crate::drawing::{Anchor, Pen, Shape, Stroke};
use crate::ink::{BLACK, HAIR_MM, HEAD_MM, MEDIUM_MM, PALE, SMALL_MM, THIN_MM, WHITE};
use crate::lettering::{
    Rect, Weight, baseline_mm, cap_mm, clean, fit_mm, leading_mm, shorten, width_mm, wrap,
};
use crate::page::{Lie, Paper};
use crate::reasons::{later_of, reasons_of};
use crate::season_frame::{PageFrame, SeasonPage, date_text, day_name, runs, time_text};
use crate::signs::{Hand, clock, crossing, pattern, sense_sign};
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
const MAX_NOTES: usize = 6;
/// Side of the tag that says which mower and which place in its morning, mm.
const TAG_MM: f64 = 4.6;
/// Type that stays readable at arm's length when a line would be cut off otherwise, mm.
const MIN_MM: f64 = 3.5;

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
    let notes = foot(p, part, words);
    let mut f = PageFrame::new(&title, &p.course, &notes, paper, Lie::Landscape, words);
    let room = f.room;
    let w = (room.w - NAME_MM) / DAYS_A_PAGE as f64;
    let head = day_heads(&mut f.pen, p, part.days, room, w, words);
    let most = ((room.h - head) / ROW_MM).floor() as usize;
    let rows = match most.clamp(1, part.names.len()) {
        // A fairway alone on the next page takes the one before it along.
        n if n > 2 && n + 1 == part.names.len() => n - 1,
        n => n,
    };
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
                let order = place_of(p, v);
                draw_visit(&mut f.pen, v, order, cell, words);
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

/// The notes at the foot of a page.
fn foot(p: &Programme, part: &WeekPart<'_>, words: &Words) -> Vec<String> {
    let mut notes = notes_of(p, part, words);
    if notes.len() > MAX_NOTES {
        let more = notes.len() - (MAX_NOTES - 1);
        notes.truncate(MAX_NOTES - 1);
        notes.push(words.fill("season.more_notes", &[("count", &more.to_string())]));
    }
    if p.machines.iter().any(|m| m.name.parse::<u32>().is_err()) {
        let names: Vec<String> = (p.machines.iter())
            .map(|m| format!("{} {}", m.mower + 1, clean(&m.name)))
            .collect();
        notes.push(words.fill("season.mowers", &[("names", &names.join(", "))]));
    }
    notes.push(words.say("season.week_note").to_string());
    notes.push(words.say("season.caution").to_string());
    notes
}

/// The days above their columns, each with the hours of its mowers; how deep they are.
fn day_heads(
    pen: &mut Pen,
    p: &Programme,
    days: &[Date],
    room: Rect,
    w: f64,
    words: &Words,
) -> f64 {
    let loads: Vec<Vec<String>> = (days.iter())
        .map(|d| {
            wrap(
                &mower_hours(p, *d, words),
                SMALL_MM,
                Weight::Regular,
                w - 3.0,
            )
        })
        .collect();
    let deep = loads.iter().map(Vec::len).max().unwrap_or(1).max(1);
    let head = leading_mm(HEAD_MM) + deep as f64 * leading_mm(SMALL_MM);
    for (i, day) in days.iter().enumerate() {
        let x = room.x + NAME_MM + i as f64 * w + 1.5;
        pen.text(
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
        for (n, line) in loads[i].iter().enumerate() {
            let top = room.y + leading_mm(HEAD_MM) + n as f64 * leading_mm(SMALL_MM);
            pen.text(
                line,
                (x, top + baseline_mm(SMALL_MM)),
                SMALL_MM,
                Weight::Regular,
                Anchor::Start,
            );
        }
    }
    head
}

/// The place of a visit in its mower's morning, 1 first.
fn place_of(p: &Programme, v: &Visit) -> usize {
    let before = p.visits.iter().take_while(|w| !std::ptr::eq(*w, v));
    1 + before
        .filter(|w| w.date() == v.date() && w.mower == v.mower)
        .count()
}

/// Hours of each mower on a day: they are out at the same time, so they do not add up.
fn mower_hours(p: &Programme, day: Date, words: &Words) -> String {
    let mine = |m: u32| {
        (p.visits.iter())
            .filter(move |v| v.date() == day && v.mower == m)
            .map(|v| v.minutes + p.rules.crew.between_min)
            .sum::<f64>()
    };
    let hours: Vec<String> = (p.machines.iter())
        .filter(|m| mine(m.mower) > 0.0)
        .map(|m| {
            words.fill(
                "season.mower_hours",
                &[
                    ("name", &(m.mower + 1).to_string()),
                    ("time", &words.minutes(mine(m.mower))),
                ],
            )
        })
        .collect();
    words.fill("season.mower_first", &[("hours", &hours.join(", "))])
}

/// Hours of an axis on the clock, to the one in the half toward the green: the stripes run both
/// ways, and the day's sheet says where to begin.
pub(crate) fn axis_hours(v: &Visit) -> (f64, f64) {
    let (from, to) = v.clock;
    let ahead = |h: f64| h > 9.0 || h <= 3.0;
    if ahead(to) { (from, to) } else { (to, from) }
}

fn draw_visit(pen: &mut Pen, v: &Visit, order: usize, cell: Rect, words: &Words) {
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
    let (from, to) = axis_hours(v);
    let angle = to / 12.0 * std::f64::consts::TAU - FRAC_PI_2;
    clock(pen, centre, radius, Hand::Both(angle), true);
    let x = centre.0 + radius + 2.5;
    let room = cell.right() - x - 1.8;
    let hours = format!("{}–{}", hour(from), hour(to));
    let mut first = pattern_name(v, words);
    if let Some(s) = v.sense {
        first = format!("{first} {}", words.say(sense_key(s)));
    }
    let second = format!("{hours}, {}", words.height_of_cut(v.height_m));
    // The clean-up passes stand at the end of the second line.
    let ring_mm = if v.clean_up.is_some() { 9.0 } else { 0.0 };
    let line = |i: usize| cell.y + 0.2 + i as f64 * LINE_MM + baseline_mm(SMALL_MM);
    for (i, (text, weight)) in [(first, Weight::Bold), (second, Weight::Regular)]
        .into_iter()
        .enumerate()
    {
        let room = if i == 1 { room - ring_mm } else { room };
        let size = fit_mm(&text, weight, room, SMALL_MM, MIN_MM);
        let text = shorten(&text, size, weight, room);
        if let (1, Some(s)) = (i, v.clean_up) {
            let at = (x + width_mm(&text, size, weight) + 3.6, line(i));
            sense_sign(pen, (at.0, at.1 - cap_mm(SMALL_MM) / 2.0), 1.8, s);
            pen.text(
                v.rings.to_string(),
                (at.0 + 3.4, at.1),
                SMALL_MM,
                Weight::Regular,
                Anchor::Start,
            );
        }
        pen.text(text, (x, line(i)), size, weight, Anchor::Start);
    }
    // Which mower and which place in its morning, when, and for how long.
    let tag = format!("{}-{order}", v.mower + 1);
    let wide = width_mm(&tag, SMALL_MM, Weight::Bold) + 2.0;
    let base = line(2);
    let top = base - f64::midpoint(TAG_MM, cap_mm(SMALL_MM));
    pen.fill(Shape::rect(Rect::new(x, top, wide, TAG_MM)), BLACK);
    pen.coloured_text(
        tag,
        (x + 1.0, base),
        SMALL_MM,
        Weight::Bold,
        Anchor::Start,
        WHITE,
    );
    // Minutes without hours: the line is short, and what counts is when the next one starts.
    let time = format!("{}, {:.0} min", time_text(v.start, words), v.minutes);
    let at = x + wide + 1.8;
    let size = fit_mm(
        &time,
        Weight::Regular,
        cell.right() - at - 1.8,
        SMALL_MM,
        MIN_MM,
    );
    pen.text(time, (at, base), size, Weight::Regular, Anchor::Start);
    if v.why.is_some() {
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

/// What has to be told about the visits of a page: fairways and days with the same reason
/// together; the bar in a box says which of them.
fn notes_of(p: &Programme, part: &WeekPart<'_>, words: &Words) -> Vec<String> {
    let all: Vec<String> = p.books.iter().map(|b| clean(&b.fairway)).collect();
    // Reason, whether it is the fairway's own, fairways, days.
    let mut told: Vec<(String, bool, Vec<String>, Vec<Date>)> = Vec::new();
    for v in part.visits {
        let reasons = reasons_of(v, words).into_iter().map(|r| (r, true));
        for (reason, own) in reasons.chain(later_of(v, words).map(|r| (r, false))) {
            let name = clean(&v.fairway);
            match told.iter_mut().find(|t| t.0 == reason) {
                Some(t) => {
                    if !t.2.contains(&name) {
                        t.2.push(name);
                    }
                    if !t.3.contains(&v.date()) {
                        t.3.push(v.date());
                    }
                }
                None => told.push((reason, own, vec![name], vec![v.date()])),
            }
        }
    }
    (told.iter())
        .map(|(reason, own, names, dates)| {
            let days: Vec<String> = (dates.iter())
                .map(|d| day_name(d.weekday(), words))
                .collect();
            let names: Vec<&str> = names.iter().map(String::as_str).collect();
            let key = if *own {
                "season.note"
            } else {
                "season.note_day"
            };
            words.fill(
                key,
                &[
                    ("fairway", &runs(&names, &all)),
                    ("day", &days.join(", ")),
                    ("reason", reason),
                ],
            )
        })
        .collect()
}
