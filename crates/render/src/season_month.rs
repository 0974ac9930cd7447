//! The wall calendar: a month a page.

use crate::drawing::{Anchor, Pen, Shape, Stroke};
use crate::hatch::hatch;
use crate::ink::{BLACK, GRASS_LIGHT, GREY, HAIR_MM, HEAD_MM, MEDIUM_MM, SMALL_MM, THIN_MM};
use crate::lettering::{Rect, Weight, baseline_mm, clean, leading_mm, shorten, width_mm, wrap};
use crate::page::{Lie, Paper};
use crate::season_frame::{PageFrame, SeasonPage, day_name, month_name, runs};
use crate::signs::pattern;
use crate::words::Words;
use crossgrain_core::{PatternKind, Sense};
use crossgrain_season::Programme;
use crossgrain_season::slots::Kind;
use jiff::civil::{Date, Weekday};
use jiff::{Span, ToSpan};
use std::collections::BTreeSet;

/// Side of the pattern's sign in a day's box, mm: five stripes stay apart.
const SIGN_MM: f64 = 5.0;
/// White inside a box, mm.
const PAD_MM: f64 = 1.2;

/// A page for each month of the season.
pub fn month_pages(p: &Programme, paper: Paper, words: &Words) -> Vec<SeasonPage> {
    let order: Vec<String> = p.books.iter().map(|b| b.fairway.clone()).collect();
    let mut out = Vec::new();
    let mut first = p.rules.from.first_of_month();
    while first <= p.rules.to {
        out.push(month_page(p, &order, first, paper, words));
        match first.checked_add(Span::new().months(1)) {
            Ok(next) => first = next,
            Err(_) => break,
        }
    }
    out
}

fn month_page(
    p: &Programme,
    order: &[String],
    first: Date,
    paper: Paper,
    words: &Words,
) -> SeasonPage {
    let title = format!("{} {}", month_name(first.month(), words), first.year());
    let mut f = PageFrame::new(
        &title,
        &p.course,
        &[words.say("season.calendar_note").to_string()],
        paper,
        Lie::Landscape,
        words,
    );
    let mut room = f.room;
    legend(&mut f.pen, p, &mut room, words);
    let lead = i64::from(first.weekday().to_monday_zero_offset());
    let start = first.checked_sub(lead.days()).unwrap_or(first);
    let days = i64::from(first.days_in_month());
    let weeks = (lead + days + 6) / 7;
    let head = leading_mm(HEAD_MM);
    let (w, h) = (room.w / 7.0, (room.h - head) / weeks as f64);
    for (i, day) in [
        Weekday::Monday,
        Weekday::Tuesday,
        Weekday::Wednesday,
        Weekday::Thursday,
        Weekday::Friday,
        Weekday::Saturday,
        Weekday::Sunday,
    ]
    .into_iter()
    .enumerate()
    {
        f.pen.text(
            day_name(day, words),
            (room.x + (i as f64 + 0.5) * w, room.y + baseline_mm(HEAD_MM)),
            HEAD_MM,
            Weight::Bold,
            Anchor::Middle,
        );
    }
    for i in 0..weeks * 7 {
        let Ok(day) = start.checked_add(i.days()) else {
            break;
        };
        if day.month() != first.month() {
            continue;
        }
        let r = Rect::new(
            room.x + (i % 7) as f64 * w,
            room.y + head + (i / 7) as f64 * h,
            w,
            h,
        );
        day_box(&mut f.pen, p, order, day, r, words);
    }
    f.page(format!("month-{:04}-{:02}", first.year(), first.month()))
}

/// The signs of the season's patterns with their names, in a row below the month.
fn legend(pen: &mut Pen, p: &Programme, room: &mut Rect, words: &Words) {
    let kinds: BTreeSet<PatternKind> = p.visits.iter().map(|v| v.pattern).collect();
    room.h -= SIGN_MM + 2.0 * PAD_MM;
    let y = room.bottom() + PAD_MM;
    let mut x = room.x;
    for kind in kinds {
        let key = format!("pattern.{}", kind.word());
        let name = words.say(&key);
        pattern(
            pen,
            Rect::new(x, y, SIGN_MM, SIGN_MM),
            kind,
            Sense::Clockwise,
        );
        x += SIGN_MM + PAD_MM;
        let middle = y + (SIGN_MM - leading_mm(SMALL_MM)) / 2.0 + baseline_mm(SMALL_MM);
        pen.text(name, (x, middle), SMALL_MM, Weight::Regular, Anchor::Start);
        x += width_mm(name, SMALL_MM, Weight::Regular) + 4.0 * PAD_MM;
    }
}

fn day_box(pen: &mut Pen, p: &Programme, order: &[String], day: Date, r: Rect, words: &Words) {
    let closed = p.rules.closed_on(day);
    let mut groups = groups(p, day);
    let frame = Shape::rect(r);
    if closed.is_some() {
        pen.stroke(hatch(&frame, 0.8, 3.0), Stroke::solid(GREY, HAIR_MM));
    } else if !groups.is_empty() {
        pen.fill(Shape::rect(r), GRASS_LIGHT);
    }
    pen.stroke(frame, Stroke::solid(BLACK, THIN_MM));
    let top = r.y + PAD_MM;
    if closed.is_some() {
        // The words stand on paper, not on the hatch.
        let label = Rect::new(
            r.x + 0.4,
            r.y + 0.4,
            r.w - 0.8,
            2.0 * leading_mm(SMALL_MM) + 2.0,
        );
        pen.fill(Shape::rect(label), crate::ink::WHITE);
    }
    pen.text(
        day.day().to_string(),
        (r.x + PAD_MM, top + baseline_mm(HEAD_MM)),
        HEAD_MM,
        Weight::Bold,
        Anchor::Start,
    );
    if let Some(c) = closed {
        let text = shorten(
            &clean(&c.why),
            SMALL_MM,
            Weight::Regular,
            r.w - 2.0 * PAD_MM,
        );
        pen.text(
            text,
            (
                r.x + PAD_MM,
                top + leading_mm(HEAD_MM) + baseline_mm(SMALL_MM),
            ),
            SMALL_MM,
            Weight::Regular,
            Anchor::Start,
        );
        return;
    }
    // What is out of the ordinary comes first, beside the day's number.
    groups.sort_by_key(|g| (g.0 == Kind::Regular, g.1));
    draw_groups(pen, &groups, order, r, words);
}

/// The patterns of a day, each with the fairways that have it.
fn draw_groups(
    pen: &mut Pen,
    groups: &[(Kind, PatternKind, Vec<String>)],
    order: &[String],
    r: Rect,
    words: &Words,
) {
    let x = r.x + PAD_MM + 8.0;
    let mut y = r.y + PAD_MM;
    for (_, kind, names) in groups {
        if y + SIGN_MM > r.bottom() {
            break;
        }
        let text_x = x + SIGN_MM + 1.2;
        let room = r.right() - text_x - PAD_MM;
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let all = if names.len() == order.len() {
            words.say("season.all").to_string()
        } else {
            clean(&runs(&names, order))
        };
        let lines = wrap(&all, SMALL_MM, Weight::Regular, room);
        let fits = (((r.bottom() - y) / leading_mm(SMALL_MM)).floor() as usize).max(1);
        let shown: Vec<String> = if lines.len() <= fits {
            lines
        } else {
            // Too many to name: how many is enough from across the shed.
            vec![words.fill("season.count", &[("count", &names.len().to_string())])]
        };
        pattern(
            pen,
            Rect::new(x, y, SIGN_MM, SIGN_MM),
            *kind,
            Sense::Clockwise,
        );
        for (i, line) in shown.iter().enumerate() {
            pen.text(
                line,
                (
                    text_x,
                    y + i as f64 * leading_mm(SMALL_MM) + baseline_mm(SMALL_MM),
                ),
                SMALL_MM,
                Weight::Regular,
                Anchor::Start,
            );
        }
        y += (shown.len() as f64 * leading_mm(SMALL_MM)).max(SIGN_MM) + MEDIUM_MM;
    }
}

/// The patterns of a day, each with its fairways.
fn groups(p: &Programme, day: Date) -> Vec<(Kind, PatternKind, Vec<String>)> {
    let mut out: Vec<(Kind, PatternKind, Vec<String>)> = Vec::new();
    for v in p.visits.iter().filter(|v| v.date() == day) {
        match out.iter_mut().find(|g| g.1 == v.pattern) {
            Some(g) => g.2.push(v.fairway.clone()),
            None => out.push((v.kind, v.pattern, vec![v.fairway.clone()])),
        }
    }
    out
}
