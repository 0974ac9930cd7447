//! One pattern's block of rows: a row a fairway, columns for each deck.

use super::*;

impl Sheets<'_> {
    pub(super) fn block(&mut self, block: &ChartBlock<'_>) {
        let rows: Vec<&str> = fairways(block);
        if rows.is_empty() {
            return;
        }
        // A block begins on this page only if a few of its rows come with it.
        let head_mm = leading_mm(HEAD_MM) + 2.0 * leading_mm(SMALL_MM) + 1.0;
        let reasons: usize = told(block)
            .iter()
            .take(MAX_REASONS)
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

    pub(super) fn block_head(&mut self, block: &ChartBlock<'_>) {
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

    pub(super) fn fairway_row(&mut self, block: &ChartBlock<'_>, name: &str, i: usize) {
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

    pub(super) fn whole_row(&mut self, block: &ChartBlock<'_>) {
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

    pub(super) fn cells(
        &mut self,
        block: &ChartBlock<'_>,
        g: usize,
        texts: &[String; 4],
        base: f64,
        best: bool,
    ) {
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
    pub(super) fn places(&self, block: &ChartBlock<'_>, g: usize) -> Vec<(f64, f64, Column)> {
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

    pub(super) fn group_mm(&self, block: &ChartBlock<'_>) -> f64 {
        (self.frame.w - NAME_MM) / block.decks.len().max(1) as f64
    }
    /// Why some cells are empty, each reason once.
    pub(super) fn reasons(&mut self, block: &ChartBlock<'_>) {
        for text in told(block).into_iter().take(MAX_REASONS) {
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
}

/// A deck as it is printed.
pub(super) fn deck_label(deck: &str) -> String {
    as_width(deck).unwrap_or_else(|| clean(deck))
}

/// The reasons of a block, each once, with the fairways and decks it is for.
pub(super) fn told(block: &ChartBlock<'_>) -> Vec<String> {
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

pub(super) fn of_block(block: &ChartBlock<'_>, r: &Refusal) -> bool {
    r.job.pattern == block.pattern && block.decks.contains(&r.job.deck)
}

/// Names of the fairways of a block, in the order of the course.
pub(super) fn fairways<'a>(block: &ChartBlock<'a>) -> Vec<&'a str> {
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
