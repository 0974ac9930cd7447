//! The board of a morning: each mower with its fairways in driving order.
//!
//! Reading task, at the shed door at 5 a.m.: which mower am I on; which fairway first, and when;
//! which pattern, which way, what height to set; what is not as it was last time, and why.

mod foot;
mod pages;
mod row;
mod row_drawing;

use crate::crew::ForCrew;
use crate::drawing::{Drawing, Shape};
use crate::ink::PALE;
use crate::lettering::Rect;
use crate::page::{Lie, Paper};
use crate::season_frame::{PageFrame, date_text, day_name};
use crate::words::Words;
use crossgrain_core::{Fairway, Mow};
use crossgrain_season::day::{Day, Turn};
use foot::{all_later, foot};
use jiff::civil::Date;
use pages::{Item, share_out};
use row::{Row, row};
use row_drawing::{draw_row, heading};

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
    /// Whom to call, when play begins.
    pub crew: ForCrew<'a>,
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
    let all_later = all_later(input).is_some();
    let rows: Vec<Row<'_>> = (input.entries.iter())
        .map(|e| row(e, all_later, words, room.w))
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
                        draw_row(&mut f.pen, r, at, input);
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
