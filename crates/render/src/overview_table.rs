//! The table of the course overview: a row a fairway, a column a pattern, the whole course last.

use crate::drawing::{Anchor, Pen, Shape, Stroke};
use crate::ink::{BLACK, HAIR_MM, MEDIUM_MM, SMALL_MM};
use crate::lettering::{Rect, Weight, baseline_mm, clean, leading_mm, shorten, width_mm, wrap};
use crate::words::Words;
use crossgrain_core::{Fairway, Mow, PatternKind};
use crossgrain_metrics::Measures;

/// One planned mow on the overview.
#[derive(Debug, Clone, Copy)]
pub struct Planned<'a> {
    /// The fairway.
    pub fairway: &'a Fairway,
    /// Its mow.
    pub mow: &'a Mow,
    /// Its measures.
    pub measures: &'a Measures,
}

/// Between two columns of figures, mm.
const GAP_MM: f64 = 3.5;
/// Between two blocks of rows side by side, mm.
const BLOCK_GAP_MM: f64 = 6.0;
/// A fairway's name takes this much at most, mm.
const NAME_MM: f64 = 30.0;
/// Height of a row, mm.
const ROW_MM: f64 = leading_mm(SMALL_MM) + 0.6;

/// A table ready to be drawn.
pub(crate) struct Table {
    columns: Vec<Column>,
    rows: Vec<Vec<String>>,
    total: Option<Vec<String>>,
}

struct Column {
    /// Lines of the heading.
    head: Vec<String>,
    width: f64,
    figures: bool,
}

impl Table {
    /// The fullest form that is no wider than `most` mm: patterns side by side with the area,
    /// without it, else a row a mow.
    pub(crate) fn of(planned: &[Planned<'_>], words: &Words, most: f64) -> Self {
        let side_by_side = [true, false]
            .into_iter()
            .map(|area| Self::by_fairway(planned, words, area))
            .find(|t| t.width() <= most);
        side_by_side.unwrap_or_else(|| Self::by_mow(planned, words, most))
    }

    fn by_fairway(planned: &[Planned<'_>], words: &Words, with_area: bool) -> Self {
        let mut kinds: Vec<PatternKind> = Vec::new();
        let mut fairways: Vec<&Planned<'_>> = Vec::new();
        for p in planned {
            if !kinds.contains(&p.mow.pattern()) {
                kinds.push(p.mow.pattern());
            }
            if !fairways.iter().any(|f| std::ptr::eq(f.fairway, p.fairway)) {
                fairways.push(p);
            }
        }
        let area = |m2: f64| with_area.then(|| words.field(m2));
        let rows: Vec<Vec<String>> = fairways
            .iter()
            .map(|f| {
                let times = kinds.iter().map(|k| {
                    planned
                        .iter()
                        .find(|p| p.mow.pattern() == *k && std::ptr::eq(p.fairway, f.fairway))
                        .map_or_else(String::new, |p| words.minutes(p.measures.minutes))
                });
                std::iter::once(clean(f.fairway.name()))
                    .chain(area(f.measures.fairway_m2))
                    .chain(times)
                    .collect()
            })
            .collect();
        let total = (rows.len() > 1).then(|| {
            let times = kinds.iter().map(|k| {
                let of_kind = planned.iter().filter(|p| p.mow.pattern() == *k);
                words.minutes(of_kind.map(|p| p.measures.minutes).sum())
            });
            std::iter::once(words.say("size.all").to_string())
                .chain(area(fairways.iter().map(|f| f.measures.fairway_m2).sum()))
                .chain(times)
                .collect()
        });
        let heads = std::iter::once(words.say("fairway").to_string())
            .chain(with_area.then(|| words.say("book.figure.area").to_string()))
            .chain(
                kinds
                    .iter()
                    .map(|k| words.say(&format!("pattern.{}", k.word())).to_string()),
            );
        Self::made(heads.collect(), 1, rows, total)
    }

    fn by_mow(planned: &[Planned<'_>], words: &Words, most: f64) -> Self {
        let rows = planned
            .iter()
            .map(|p| {
                vec![
                    clean(p.fairway.name()),
                    words
                        .say(&format!("pattern.{}", p.mow.pattern().word()))
                        .to_string(),
                    words.field(p.measures.fairway_m2),
                    words.minutes(p.measures.minutes),
                ]
            })
            .collect();
        let heads = ["fairway", "book.pattern", "book.figure.area", "book.time"]
            .map(|k| words.say(k).to_string());
        let mut table = Self::made(heads.to_vec(), 2, rows, None);
        // Cells are shortened to their column.
        let over = table.width() - most;
        if over > 0.0 {
            table.columns[1].width = (table.columns[1].width - over).max(10.0);
        }
        table
    }

    /// `words` columns of words come first, then figures.
    fn made(
        heads: Vec<String>,
        words: usize,
        rows: Vec<Vec<String>>,
        total: Option<Vec<String>>,
    ) -> Self {
        let columns = heads
            .iter()
            .enumerate()
            .map(|(j, head)| {
                let bold = |t: &str| width_mm(t, SMALL_MM, Weight::Bold);
                let cells = rows
                    .iter()
                    .chain(&total)
                    .map(|r| bold(&r[j]))
                    .fold(0.0, f64::max);
                let head_w = head.split(' ').map(bold).fold(0.0, f64::max);
                let width = if j == 0 { cells.min(NAME_MM) } else { cells };
                // A hair more than measured, so that rounding breaks no line.
                let width = width.max(head_w) + 0.1;
                Column {
                    head: wrap(head, SMALL_MM, Weight::Bold, width),
                    width,
                    figures: j >= words,
                }
            })
            .collect();
        Self {
            columns,
            rows,
            total,
        }
    }

    /// Width of one block of rows, mm.
    pub(crate) fn width(&self) -> f64 {
        let gaps = GAP_MM * self.columns.len().saturating_sub(1) as f64;
        self.columns.iter().map(|c| c.width).sum::<f64>() + gaps
    }

    /// Height of `blocks` blocks of rows side by side, mm.
    pub(crate) fn height(&self, blocks: usize) -> f64 {
        let lines = self.rows.len() + usize::from(self.total.is_some());
        self.head_mm() + ROW_MM * lines.div_ceil(blocks) as f64
    }

    fn head_mm(&self) -> f64 {
        let lines = self.columns.iter().map(|c| c.head.len()).max().unwrap_or(0);
        leading_mm(SMALL_MM) * lines as f64 + 0.8
    }

    /// Draws it into a room, in `blocks` blocks side by side. Rows that do not fit are counted.
    pub(crate) fn draw(&self, pen: &mut Pen, room: Rect, blocks: usize) {
        let head = self.head_mm();
        let per = (((room.h - head) / ROW_MM + 1e-6) as usize).max(1);
        let total = usize::from(self.total.is_some());
        let places = per * blocks;
        let mut lines: Vec<(Vec<String>, bool)> = Vec::new();
        if self.rows.len() + total <= places {
            lines.extend(self.rows.iter().map(|r| (r.clone(), false)));
        } else {
            let shown = places.saturating_sub(1 + total);
            lines.extend(self.rows.iter().take(shown).map(|r| (r.clone(), false)));
            let mut more = vec![String::new(); self.columns.len()];
            more[0] = format!("+ {}", self.rows.len() - shown);
            lines.push((more, false));
        }
        lines.extend(self.total.iter().map(|t| (t.clone(), true)));
        let per = lines.len().div_ceil(blocks).min(per).max(1);
        let block_w = (room.w - BLOCK_GAP_MM * (blocks - 1) as f64) / blocks as f64;
        for (b, block) in lines.chunks(per).take(blocks).enumerate() {
            let x = room.x + (block_w + BLOCK_GAP_MM) * b as f64;
            self.block(pen, Rect::new(x, room.y, block_w, room.h), block);
        }
    }

    fn block(&self, pen: &mut Pen, room: Rect, lines: &[(Vec<String>, bool)]) {
        // Room to spare goes between the columns.
        let gaps = self.columns.len().saturating_sub(1).max(1) as f64;
        let gap = GAP_MM + ((room.w - self.width()) / gaps).max(0.0);
        let mut x = room.x;
        let mut places = Vec::new();
        for c in &self.columns {
            places.push(if c.figures {
                (x + c.width, Anchor::End)
            } else {
                (x, Anchor::Start)
            });
            x += c.width + gap;
        }
        let rule = |pen: &mut Pen, y: f64, width: f64| {
            pen.stroke(
                Shape::line((room.x, y), (room.right(), y)),
                Stroke::solid(BLACK, width),
            );
        };
        let head = self.head_mm();
        for (c, (x, anchor)) in self.columns.iter().zip(&places) {
            // Headings stand on the line, however many lines they have.
            let first = head - 0.8 - leading_mm(SMALL_MM) * c.head.len() as f64;
            for (i, line) in c.head.iter().enumerate() {
                let y = room.y + first + leading_mm(SMALL_MM) * i as f64 + baseline_mm(SMALL_MM);
                pen.text(line.as_str(), (*x, y), SMALL_MM, Weight::Bold, *anchor);
            }
        }
        rule(pen, room.y + head - 0.4, MEDIUM_MM);
        for (i, (cells, total)) in lines.iter().enumerate() {
            let top = room.y + head + ROW_MM * i as f64;
            if *total {
                rule(pen, top, MEDIUM_MM);
            }
            for (j, ((cell, c), (x, anchor))) in
                cells.iter().zip(&self.columns).zip(&places).enumerate()
            {
                let weight = if j == 0 || *total {
                    Weight::Bold
                } else {
                    Weight::Regular
                };
                let text = shorten(cell, SMALL_MM, weight, c.width + 0.1);
                pen.text(
                    text,
                    (*x, top + baseline_mm(SMALL_MM)),
                    SMALL_MM,
                    weight,
                    *anchor,
                );
            }
            rule(pen, top + ROW_MM, HAIR_MM);
        }
    }
}
