//! The size chart: candidate decks side by side, to pin up in a workshop.
//!
//! The reading task of a mechanic or superintendent, in order: which deck takes how long on the
//! whole course (bars, longest first to the eye); then, fairway by fairway, how many passes and
//! what overlap to set so that they share the width evenly, and what is left for a smaller
//! mower; for loops the advance and the cost against stripes. The least minutes of each row are
//! bold. Three decks fit side by side at a type that reads from a step away; more go on further
//! pages, as do more fairways.

mod bars;
mod blocks;
mod figures;

use crate::drawing::{Anchor, Drawing, Pen, Shape, Stroke};
use crate::ink::{
    BLACK, GRASS_DARK, GREY, HAIR_MM, HEAD_MM, MEDIUM_MM, PALE, SMALL_MM, TEXT_MM, THIN_MM,
    TITLE_MM,
};
use crate::lettering::{Rect, Weight, baseline_mm, clean, leading_mm, shorten, width_mm, wrap};
use crate::page::{Lie, MARGIN_MM, Paper};
use crate::words::{Words, as_width};
use crossgrain_core::PatternKind;
use crossgrain_core::inside::model::quantity::{FOOT_M, INCH_M, UnitSystem};
use crossgrain_season::sizing::{Refusal, SizeRow, SizeTable, WholeRow};

/// Decks side by side on one page: four columns of figures each, 4.2 mm type.
const DECKS_A_PAGE: usize = 3;
/// Room for the fairway's name, mm.
const NAME_MM: f64 = 30.0;
/// A row: the smallest type with air for a finger to follow, mm.
const ROW_MM: f64 = 6.2;
/// Thickness of a bar with the gap to the next, mm.
const BAR_MM: f64 = 6.4;
/// White between two blocks, mm.
const BLOCK_GAP_MM: f64 = 6.0;
/// Reasons for refusals told under a block; the terminal has the rest.
const MAX_REASONS: usize = 3;

/// What stands above the chart.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartHead {
    /// The course's name.
    pub course: String,
    /// Decks by their labels, in order.
    pub decks: Vec<String>,
    /// Patterns in order.
    pub patterns: Vec<PatternKind>,
    /// Overlap asked for, metres.
    pub overlap_m: f64,
    /// Clean-up passes.
    pub clean_up: u32,
}

/// Draws the chart on as many pages as it needs.
pub fn size_chart(
    table: &SizeTable,
    head: &ChartHead,
    paper: Paper,
    words: &Words,
) -> Vec<Drawing> {
    let (width, height) = paper.lying_mm(Lie::Landscape);
    let mut sheets = Sheets {
        words,
        frame: Rect::new(
            MARGIN_MM,
            MARGIN_MM,
            width - 2.0 * MARGIN_MM,
            height - 2.0 * MARGIN_MM,
        ),
        pages: Vec::new(),
        pen: Pen::new(),
        y: MARGIN_MM,
        foot: Vec::new(),
    };
    sheets.foot = wrap(
        words.say("notice.manual"),
        SMALL_MM,
        Weight::Regular,
        sheets.frame.w,
    );
    sheets.title(head);
    sheets.bars(table, head);
    let decks: Vec<usize> = (0..head.decks.len()).collect();
    for group in decks.chunks(DECKS_A_PAGE) {
        for (pattern, kind) in head.patterns.iter().enumerate() {
            let block = ChartBlock {
                pattern,
                kind: *kind,
                decks: group,
                head,
                table,
            };
            sheets.block(&block);
        }
    }
    sheets
        .finish(&clean(&format!(
            "{}: {}",
            words.say("size.title"),
            head.course
        )))
        .into_iter()
        .map(|(title, marks)| Drawing {
            width,
            height,
            title,
            language: words.code().to_string(),
            marks,
        })
        .collect()
}

/// One pattern with a few decks.
struct ChartBlock<'a> {
    pattern: usize,
    kind: PatternKind,
    decks: &'a [usize],
    head: &'a ChartHead,
    table: &'a SizeTable,
}

/// A column of a deck: its heading, what stands under that, its share of the deck's width.
struct Column {
    heading: String,
    under: &'static str,
    share: f64,
    is_minutes: bool,
}

struct Sheets<'a> {
    words: &'a Words,
    frame: Rect,
    pages: Vec<Pen>,
    pen: Pen,
    y: f64,
    foot: Vec<String>,
}

impl Sheets<'_> {
    fn title(&mut self, head: &ChartHead) {
        let title = self.words.say("size.title").to_string();
        let at = self.y + baseline_mm(TITLE_MM);
        let room = self.frame.w - width_mm(&title, TITLE_MM, Weight::Bold) - 8.0;
        self.pen.text(
            title,
            (self.frame.x, at),
            TITLE_MM,
            Weight::Bold,
            Anchor::Start,
        );
        let course = shorten(&clean(&head.course), TITLE_MM * 0.7, Weight::Regular, room);
        self.pen.text(
            course,
            (self.frame.right(), at),
            TITLE_MM * 0.7,
            Weight::Regular,
            Anchor::End,
        );
        self.y += leading_mm(TITLE_MM);
        let count = head.clean_up.to_string();
        let basis = self.words.fill(
            "size.basis",
            &[
                ("overlap", &self.words.overlap(head.overlap_m)),
                ("count", &count),
            ],
        );
        for line in wrap(&basis, SMALL_MM, Weight::Regular, self.frame.w) {
            self.pen.text(
                line,
                (self.frame.x, self.y + baseline_mm(SMALL_MM)),
                SMALL_MM,
                Weight::Regular,
                Anchor::Start,
            );
            self.y += leading_mm(SMALL_MM);
        }
        self.y += BLOCK_GAP_MM / 2.0;
    }

    fn heading(&mut self, text: String) {
        self.pen.text(
            text,
            (self.frame.x, self.y + baseline_mm(TEXT_MM)),
            TEXT_MM,
            Weight::Bold,
            Anchor::Start,
        );
        self.y += leading_mm(TEXT_MM) + 0.8;
    }

    fn pattern_name(&self, kind: PatternKind) -> String {
        self.words
            .say(&format!("pattern.{}", kind.word()))
            .to_string()
    }

    fn rule(&mut self, ink: crate::ink::Ink, width: f64) {
        self.pen.stroke(
            Shape::line((self.frame.x, self.y), (self.frame.right(), self.y)),
            Stroke::solid(ink, width),
        );
    }

    /// Where the figures end and the foot begins.
    fn bottom(&self) -> f64 {
        self.frame.bottom() - (self.foot.len() + 1) as f64 * leading_mm(SMALL_MM) - 3.0
    }

    fn room(&mut self, mm: f64) {
        if self.y + mm > self.bottom() && self.y > self.frame.y {
            self.turn_page();
        }
    }

    fn turn_page(&mut self) {
        self.pages.push(std::mem::take(&mut self.pen));
        self.y = self.frame.y;
    }

    fn finish(mut self, title: &str) -> Vec<(String, Vec<crate::drawing::Mark>)> {
        self.turn_page();
        let count = self.pages.len();
        let (words, frame, foot) = (self.words, self.frame, self.foot);
        self.pages
            .into_iter()
            .enumerate()
            .map(|(i, mut pen)| {
                let line = leading_mm(SMALL_MM);
                let mut y = frame.bottom() - (foot.len() + 1) as f64 * line;
                pen.stroke(
                    Shape::line((frame.x, y - 1.5), (frame.right(), y - 1.5)),
                    Stroke::solid(GREY, HAIR_MM),
                );
                for text in &foot {
                    pen.text(
                        text.clone(),
                        (frame.x, y + baseline_mm(SMALL_MM)),
                        SMALL_MM,
                        Weight::Regular,
                        Anchor::Start,
                    );
                    y += line;
                }
                let page = words.fill(
                    "size.page",
                    &[
                        ("number", &(i + 1).to_string()),
                        ("count", &count.to_string()),
                    ],
                );
                let key = shorten(
                    words.say("size.key"),
                    SMALL_MM,
                    Weight::Regular,
                    frame.w - width_mm(&page, SMALL_MM, Weight::Regular) - 6.0,
                );
                let base = y + baseline_mm(SMALL_MM);
                pen.text(
                    key,
                    (frame.x, base),
                    SMALL_MM,
                    Weight::Regular,
                    Anchor::Start,
                );
                pen.text(
                    page,
                    (frame.right(), base),
                    SMALL_MM,
                    Weight::Regular,
                    Anchor::End,
                );
                (title.to_string(), pen.marks)
            })
            .collect()
    }
}

#[cfg(test)]
mod tests;
