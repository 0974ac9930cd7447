//! The size chart: candidate decks side by side, to pin up in a workshop.
//!
//! The reading task of a mechanic or superintendent, in order: which deck takes how long on the
//! whole course (bars, longest first to the eye); then, fairway by fairway, how many passes and
//! what overlap to set so that they share the width evenly, and what is left for a smaller
//! mower; for loops the advance and the cost against stripes. The least minutes of each row are
//! bold. Three decks fit side by side at a type that reads from a step away; more go on further
//! pages, as do more fairways.

use crate::drawing::{Anchor, Drawing, Pen, Shape, Stroke};
use crate::ink::{
    BLACK, GRASS_DARK, GREY, HAIR_MM, HEAD_MM, MEDIUM_MM, PALE, SMALL_MM, TEXT_MM, THIN_MM,
    TITLE_MM,
};
use crate::lettering::{Rect, Weight, baseline_mm, clean, leading_mm, shorten, width_mm, wrap};
use crate::page::{Lie, MARGIN_MM, Paper};
use crate::words::{Words, as_width};
use crossgrain_core::model::pattern::PatternKind;
use crossgrain_core::model::units::{FOOT_M, INCH_M, UnitSystem};
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
const MOST_REASONS: usize = 3;

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
            let block = Block {
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
struct Block<'a> {
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

    /// Minutes of each deck and pattern on the whole course.
    fn bars(&mut self, table: &SizeTable, head: &ChartHead) {
        let longest = table.whole.iter().map(|w| w.minutes).fold(0.0, f64::max);
        if longest <= 0.0 {
            return;
        }
        self.heading(self.words.say("size.whole_time").to_string());
        let label_mm = head
            .decks
            .iter()
            .map(|d| width_mm(&deck_label(d), SMALL_MM, Weight::Regular))
            .fold(0.0, f64::max)
            .min(40.0);
        let pattern_mm = head
            .patterns
            .iter()
            .map(|p| width_mm(&self.pattern_name(*p), SMALL_MM, Weight::Bold))
            .fold(0.0, f64::max);
        let left = self.frame.x + pattern_mm + label_mm + 6.0;
        // Room for the longest figure at the end of the longest bar.
        let figure_mm = table
            .whole
            .iter()
            .map(|w| width_mm(&self.bar_figure(w), SMALL_MM, Weight::Regular))
            .fold(0.0, f64::max);
        let most = (self.frame.right() - left - figure_mm - 2.0).max(0.0);
        for (pattern, kind) in head.patterns.iter().enumerate() {
            let rows: Vec<&WholeRow> = table
                .whole
                .iter()
                .filter(|w| w.pattern_index == pattern)
                .collect();
            self.room(rows.len() as f64 * BAR_MM);
            for (i, w) in rows.iter().enumerate() {
                let base = self.y + BAR_MM / 2.0 + 0.35 * SMALL_MM;
                if i == 0 {
                    let name = self.pattern_name(*kind);
                    self.pen.text(
                        name,
                        (self.frame.x, base),
                        SMALL_MM,
                        Weight::Bold,
                        Anchor::Start,
                    );
                }
                let label = shorten(&deck_label(&w.deck), SMALL_MM, Weight::Regular, label_mm);
                self.pen.text(
                    label,
                    (left - 2.0, base),
                    SMALL_MM,
                    Weight::Regular,
                    Anchor::End,
                );
                let bar = Rect::new(left, self.y + 0.8, most * w.minutes / longest, BAR_MM - 1.6);
                self.pen
                    .fill_stroke(Shape::rect(bar), GRASS_DARK, Stroke::solid(BLACK, THIN_MM));
                let figure = self.bar_figure(w);
                self.pen.text(
                    figure,
                    (bar.right() + 2.0, base),
                    SMALL_MM,
                    Weight::Regular,
                    Anchor::Start,
                );
                self.y += BAR_MM;
            }
            self.y += 1.2;
        }
        self.y += BLOCK_GAP_MM - 1.2;
    }

    /// What stands at the end of a bar.
    fn bar_figure(&self, w: &WholeRow) -> String {
        let time = self.words.minutes(w.minutes);
        match w.minutes_over_stripes {
            // The bar is short because ground is missing from it: say so in its place.
            _ if w.refused > 0 => {
                let count = w.refused.to_string();
                let without = self.words.fill("size.without", &[("count", &count)]);
                format!("{time} ({without})")
            }
            Some(r) => format!(
                "{time} = {} × {}",
                self.words.number(r, 2),
                self.words.say("size.stripes")
            ),
            None => time,
        }
    }

    fn block(&mut self, block: &Block<'_>) {
        let rows: Vec<&str> = fairways(block);
        if rows.is_empty() {
            return;
        }
        // A block begins on this page only if a few of its rows come with it.
        let head_mm = leading_mm(HEAD_MM) + 2.0 * leading_mm(SMALL_MM) + 1.0;
        let reasons: usize = told(block)
            .iter()
            .take(MOST_REASONS)
            .map(|t| wrap(t, SMALL_MM, Weight::Regular, self.frame.w).len())
            .sum();
        let all_mm =
            head_mm + (rows.len() + 1) as f64 * ROW_MM + reasons as f64 * leading_mm(SMALL_MM);
        let page_mm = self.bottom() - self.frame.y;
        self.room(if all_mm <= page_mm {
            all_mm
        } else {
            head_mm + 4.0 * ROW_MM
        });
        self.block_head(block);
        for (i, name) in rows.iter().enumerate() {
            if self.y + ROW_MM > self.bottom() {
                self.turn_page();
                self.block_head(block);
            }
            self.fairway_row(block, name, i);
        }
        if self.y + ROW_MM > self.bottom() {
            self.turn_page();
            self.block_head(block);
        }
        self.whole_row(block);
        self.reasons(block);
        self.y += BLOCK_GAP_MM;
    }

    fn block_head(&mut self, block: &Block<'_>) {
        let base = self.y + baseline_mm(HEAD_MM);
        self.pen.text(
            self.pattern_name(block.kind),
            (self.frame.x, base),
            HEAD_MM,
            Weight::Bold,
            Anchor::Start,
        );
        let group = self.group_mm(block);
        let name_end =
            self.frame.x + width_mm(&self.pattern_name(block.kind), HEAD_MM, Weight::Bold) + 3.0;
        for (g, &deck) in block.decks.iter().enumerate() {
            let left = self.frame.x + NAME_MM + g as f64 * group;
            // A long pattern name may reach into the first deck's room.
            let from = left.max(name_end);
            let middle = 0.5 * (left + left + group);
            let label = shorten(
                &deck_label(&block.head.decks[deck]),
                HEAD_MM,
                Weight::Bold,
                2.0 * (middle - from).min(left + group - middle - 1.0),
            );
            self.pen
                .text(label, (middle, base), HEAD_MM, Weight::Bold, Anchor::Middle);
        }
        self.y += leading_mm(HEAD_MM);
        let base = self.y + baseline_mm(SMALL_MM);
        self.pen.text(
            self.words.say("fairway").to_string(),
            (self.frame.x, base),
            SMALL_MM,
            Weight::Regular,
            Anchor::Start,
        );
        for g in 0..block.decks.len() {
            for (right, room, column) in self.places(block, g) {
                let text = shorten(&column.heading, SMALL_MM, Weight::Regular, room - 1.0);
                self.pen
                    .text(text, (right, base), SMALL_MM, Weight::Regular, Anchor::End);
                self.pen.text(
                    column.under,
                    (right, base + leading_mm(SMALL_MM)),
                    SMALL_MM,
                    Weight::Regular,
                    Anchor::End,
                );
            }
        }
        self.y += 2.0 * leading_mm(SMALL_MM) + 1.0;
        self.rule(BLACK, MEDIUM_MM);
    }

    fn fairway_row(&mut self, block: &Block<'_>, name: &str, i: usize) {
        if i % 2 == 1 {
            let band = Rect::new(self.frame.x, self.y, self.frame.w, ROW_MM);
            self.pen.fill(Shape::rect(band), PALE);
        }
        let base = self.y + ROW_MM / 2.0 + 0.35 * SMALL_MM;
        let label = shorten(&clean(name), SMALL_MM, Weight::Bold, NAME_MM - 2.0);
        self.pen.text(
            label,
            (self.frame.x + 1.0, base),
            SMALL_MM,
            Weight::Bold,
            Anchor::Start,
        );
        let cells: Vec<Option<&SizeRow>> = block
            .decks
            .iter()
            .map(|&d| {
                block.table.rows.iter().find(|r| {
                    r.job.pattern == block.pattern && r.job.deck == d && r.fairway == name
                })
            })
            .collect();
        let least = cells
            .iter()
            .flatten()
            .map(|r| r.measures.minutes)
            .fold(f64::INFINITY, f64::min);
        for (g, cell) in cells.iter().enumerate() {
            let texts = match cell {
                Some(r) => self.figures(block.kind, r),
                None => std::array::from_fn(|_| "–".to_string()),
            };
            let best = cell.is_some_and(|r| cells.len() > 1 && r.measures.minutes <= least);
            self.cells(block, g, &texts, base, best);
        }
        self.y += ROW_MM;
    }

    fn whole_row(&mut self, block: &Block<'_>) {
        self.rule(BLACK, THIN_MM);
        let base = self.y + ROW_MM / 2.0 + 0.35 * SMALL_MM;
        let label = shorten(
            self.words.say("size.all"),
            SMALL_MM,
            Weight::Bold,
            NAME_MM - 1.0,
        );
        self.pen.text(
            label,
            (self.frame.x + 1.0, base),
            SMALL_MM,
            Weight::Bold,
            Anchor::Start,
        );
        for (g, &deck) in block.decks.iter().enumerate() {
            let whole = block
                .table
                .whole
                .iter()
                .find(|w| w.pattern_index == block.pattern && w.deck_index == deck);
            if let Some(w) = whole {
                let texts = self.whole_figures(block.kind, w);
                self.cells(block, g, &texts, base, false);
            }
        }
        self.y += ROW_MM;
    }

    fn cells(&mut self, block: &Block<'_>, g: usize, texts: &[String; 4], base: f64, best: bool) {
        for ((right, room, column), text) in self.places(block, g).into_iter().zip(texts) {
            let weight = if best && column.is_minutes {
                Weight::Bold
            } else {
                Weight::Regular
            };
            let text = shorten(text, SMALL_MM, weight, room - 0.5);
            self.pen
                .text(text, (right, base), SMALL_MM, weight, Anchor::End);
        }
        // A thin line parts the decks.
        let x = self.frame.x + NAME_MM + g as f64 * self.group_mm(block);
        self.pen.stroke(
            Shape::line((x, self.y), (x, self.y + ROW_MM)),
            Stroke::solid(GREY, HAIR_MM),
        );
    }

    /// Right edge, room and column for each of a deck's four figures.
    fn places(&self, block: &Block<'_>, g: usize) -> Vec<(f64, f64, Column)> {
        let group = self.group_mm(block);
        let mut x = self.frame.x + NAME_MM + g as f64 * group;
        self.columns(block.kind)
            .into_iter()
            .map(|c| {
                let room = c.share * group;
                x += room;
                (x - 1.5, room, c)
            })
            .collect()
    }

    fn group_mm(&self, block: &Block<'_>) -> f64 {
        (self.frame.w - NAME_MM) / block.decks.len().max(1) as f64
    }

    fn columns(&self, kind: PatternKind) -> [Column; 4] {
        let column = |key: &str, under: &'static str, share| Column {
            heading: self.words.say(key).to_string(),
            under,
            share,
            is_minutes: key == "size.minutes",
        };
        let (small, long, patch) = match self.words.units {
            UnitSystem::Us => ("in", "ft", "ft²"),
            UnitSystem::Metric => ("cm", "m", "m²"),
        };
        if kind == PatternKind::Loops {
            [
                column("size.lanes", "", 0.26),
                column("size.advance", long, 0.28),
                column("size.minutes", "", 0.17),
                column("size.over_stripes", "", 0.29),
            ]
        } else {
            [
                column("size.passes", "", 0.27),
                column("size.overlap", small, 0.28),
                column("size.minutes", "", 0.16),
                column("size.trim", patch, 0.29),
            ]
        }
    }

    fn figures(&self, kind: PatternKind, row: &SizeRow) -> [String; 4] {
        let m = &row.measures;
        let minutes = self.words.number(m.minutes, 0);
        if kind == PatternKind::Loops {
            let (lanes, advance) = match &row.loops {
                Some(l) => (l.lanes.to_string(), self.length(l.advance_m)),
                None => ("–".to_string(), "–".to_string()),
            };
            let cost = row
                .minutes_over_stripes
                .map_or("–".to_string(), |r| self.words.number(r, 2));
            [lanes, advance, minutes, cost]
        } else {
            [
                format!("{} / {}", m.passes, m.pass_floor),
                self.small(row.overlap_m),
                minutes,
                self.patch(m.trim_m2),
            ]
        }
    }

    fn whole_figures(&self, kind: PatternKind, w: &WholeRow) -> [String; 4] {
        let minutes = self.words.number(w.minutes, 0);
        if kind == PatternKind::Loops {
            let cost = w
                .minutes_over_stripes
                .map_or("–".to_string(), |r| self.words.number(r, 2));
            [String::new(), String::new(), minutes, cost]
        } else {
            [
                w.passes.to_string(),
                String::new(),
                minutes,
                self.patch(w.trim_m2),
            ]
        }
    }

    fn small(&self, m: f64) -> String {
        match self.words.units {
            UnitSystem::Us => self.words.number(m / INCH_M, 1),
            UnitSystem::Metric => self.words.number(m * 100.0, 1),
        }
    }

    fn length(&self, m: f64) -> String {
        match self.words.units {
            UnitSystem::Us => self.words.number(m / FOOT_M, 1),
            UnitSystem::Metric => self.words.number(m, 2),
        }
    }

    fn patch(&self, m2: f64) -> String {
        match self.words.units {
            UnitSystem::Us => self.words.number(m2 / (FOOT_M * FOOT_M), 0),
            UnitSystem::Metric => self.words.number(m2, 0),
        }
    }

    /// Why some cells are empty, each reason once.
    fn reasons(&mut self, block: &Block<'_>) {
        for text in told(block).into_iter().take(MOST_REASONS) {
            for line in wrap(&text, SMALL_MM, Weight::Regular, self.frame.w) {
                if self.y + leading_mm(SMALL_MM) > self.bottom() {
                    self.turn_page();
                }
                self.pen.text(
                    line,
                    (self.frame.x, self.y + baseline_mm(SMALL_MM) + 0.6),
                    SMALL_MM,
                    Weight::Regular,
                    Anchor::Start,
                );
                self.y += leading_mm(SMALL_MM);
            }
        }
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

/// A deck as it is printed.
fn deck_label(deck: &str) -> String {
    as_width(deck).unwrap_or_else(|| clean(deck))
}

/// The reasons of a block, each once, with the fairways and decks it is for.
fn told(block: &Block<'_>) -> Vec<String> {
    let mut reasons: Vec<(&str, Vec<String>)> = Vec::new();
    for r in block.table.refused.iter().filter(|r| of_block(block, r)) {
        let place = clean(&format!("{} ({})", r.fairway, deck_label(&r.deck)));
        match reasons.iter_mut().find(|t| t.0 == r.reason) {
            Some(t) => t.1.push(place),
            None => reasons.push((&r.reason, vec![place])),
        }
    }
    reasons
        .into_iter()
        .map(|(reason, places)| format!("{}: {}", places.join(", "), clean(reason)))
        .collect()
}

fn of_block(block: &Block<'_>, r: &Refusal) -> bool {
    r.job.pattern == block.pattern && block.decks.contains(&r.job.deck)
}

/// Names of the fairways of a block, in the order of the course.
fn fairways<'a>(block: &Block<'a>) -> Vec<&'a str> {
    let planned = block
        .table
        .rows
        .iter()
        .filter(|r| r.job.pattern == block.pattern && block.decks.contains(&r.job.deck))
        .map(|r| (r.job.fairway, r.fairway.as_str()));
    let refused = block
        .table
        .refused
        .iter()
        .filter(|r| of_block(block, r))
        .map(|r| (r.job.fairway, r.fairway.as_str()));
    let mut all: Vec<(usize, &str)> = planned.chain(refused).collect();
    all.sort_by_key(|f| f.0);
    all.dedup_by_key(|f| f.0);
    all.into_iter().map(|f| f.1).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;
    use crossgrain_core::model::pattern::LoopForm;
    use crossgrain_metrics::Measures;
    use crossgrain_season::sizing::{Job, LoopFigures, table};

    const KINDS: [PatternKind; 3] = [
        PatternKind::Stripes,
        PatternKind::Loops,
        PatternKind::Contour,
    ];

    /// Invented figures that vary from row to row.
    fn row(job: Job, fairway: &str, deck: &str) -> SizeRow {
        let kind = KINDS[job.pattern];
        let n = (job.fairway * 7 + job.deck * 3) as f64;
        SizeRow {
            job,
            fairway: fairway.to_string(),
            deck: deck.to_string(),
            pattern: kind,
            asked_overlap_m: 0.1,
            overlap_m: 0.1 + n / 700.0,
            spacing_m: Some(2.4),
            loops: (kind == PatternKind::Loops).then_some(LoopFigures {
                diameter_m: 6.7,
                advance_m: 2.9,
                lane_spacing_m: 8.4,
                lanes: 4,
                loops_per_lane: 90,
                form: LoopForm::Drift,
                lattice_mean_cuts: 2.2,
            }),
            measures: Measures {
                fairway_m2: 6000.0,
                minutes: 25.0 + n,
                mowing_m: 5000.0,
                passes: 14,
                pass_floor: 12,
                trim_m2: 10.0 * n,
                ..Measures::default()
            },
            minutes_over_stripes: None,
            distance_over_stripes: None,
        }
    }

    fn chart(fairways: usize, decks: usize, paper: Paper, words: &Words) -> Vec<Drawing> {
        let names: Vec<String> = (0..fairways)
            .map(|f| match f {
                3 => "the long one by the <old> mill & pond".to_string(),
                _ => (f + 1).to_string(),
            })
            .collect();
        let labels: Vec<String> = (0..decks).map(|d| format!("{} in", 84 + 16 * d)).collect();
        let results = (0..fairways * decks * KINDS.len())
            .map(|i| Job {
                fairway: i / (decks * KINDS.len()),
                deck: i / KINDS.len() % decks,
                pattern: i % KINDS.len(),
            })
            .map(|j| {
                if j.fairway == 2 && j.pattern == 1 {
                    Err(Box::new(Refusal {
                        job: j,
                        fairway: names[j.fairway].clone(),
                        deck: labels[j.deck].clone(),
                        pattern: KINDS[j.pattern],
                        reason: "loops of 3.00 m cannot be driven".to_string(),
                    }))
                } else {
                    Ok(row(j, &names[j.fairway], &labels[j.deck]))
                }
            })
            .collect();
        let head = ChartHead {
            course: "Quillback Landing".to_string(),
            decks: labels,
            patterns: KINDS.to_vec(),
            overlap_m: 0.1,
            clean_up: 2,
        };
        size_chart(&table(results, Some(0), KINDS.len()), &head, paper, words)
    }

    #[test]
    fn no_two_texts_meet_on_any_paper_in_any_language() {
        for language in Language::ALL {
            for units in [UnitSystem::Us, UnitSystem::Metric] {
                let words = Words::of(language, units);
                for paper in Paper::ALL {
                    for (fairways, decks) in [(1, 1), (9, 3), (18, 2), (27, 7)] {
                        for page in chart(fairways, decks, paper, &words) {
                            let faults = page.text_faults();
                            assert!(
                                faults.is_empty(),
                                "{language:?} {units:?} {paper:?} {fairways}x{decks}: {faults:?}"
                            );
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn every_fairway_and_deck_is_on_the_chart() {
        let words = Words::of(Language::English, UnitSystem::Us);
        let pages = chart(27, 5, Paper::Letter, &words);
        let texts: Vec<String> = pages
            .iter()
            .flat_map(|p| p.texts().into_iter().map(|t| t.content.clone()))
            .collect();
        for name in ["1", "27", "84 in", "148 in", "Loops", "Page 1 of"] {
            assert!(texts.iter().any(|t| t.starts_with(name)), "{name}");
        }
        assert!(pages.len() > 1);
    }

    #[test]
    fn nothing_to_show_is_still_a_page() {
        let words = Words::of(Language::English, UnitSystem::Us);
        let head = ChartHead {
            course: String::new(),
            decks: Vec::new(),
            patterns: Vec::new(),
            overlap_m: 0.1,
            clean_up: 0,
        };
        assert_eq!(
            size_chart(&SizeTable::default(), &head, Paper::A4, &words).len(),
            1
        );
    }
}
