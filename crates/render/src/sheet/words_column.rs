//! The words beside the map: on arrival, at the wheel, at the end.

use super::blocks::{self, SheetBlock};
use super::clock_hours::{clock_hours, hour_words};
use super::job::{Job, Lean, PageOf};
use super::settings::cleanup_sense;
use super::step_list::step_blocks;
use crate::drawing::{Pen, moved};
use crate::loop_detail;
use crate::sentences::sides;
use crate::telling::first_pattern_way_rad;
use crossgrain_core::inside::model::pose::fold_rad;
use crossgrain_core::inside::model::quantity::compass_deg;
use crossgrain_core::{PatternKind, Reels};

impl Job<'_> {
    /// Everything that is said beside the map of one page, in reading order.
    pub(super) fn words_blocks(&self, of: &PageOf, lean: Lean, width: f64) -> Vec<SheetBlock> {
        let words = self.input.words;
        let mut out = Vec::new();
        let (first, last) = (of.number == 0, of.number + 1 == of.count);
        if first {
            out.push(blocks::lines(
                words.say("arrival"),
                &self.arrival(lean),
                width,
            ));
        }
        out.extend(self.wheel(of, width));
        if lean == Lean::Steps {
            return out;
        }
        if first
            && lean != Lean::NoDetail
            && self.input.mow.pattern() == PatternKind::Loops
            && let Some((marks, height)) =
                loop_detail::detail(self.input.mow, self.input.mower, words, width)
        {
            let mut pen = Pen::new();
            let y = blocks::heading(&mut pen, words.say("one_loop"), width);
            pen.marks.extend(moved(marks, 0.0, y + 1.0));
            out.push(SheetBlock::new(pen.marks, y + 1.0 + height));
        }
        if last {
            let drawn = !self.missed.0.is_empty();
            out.push(blocks::at_the_end(self.input.measures, drawn, words, width));
        }
        out
    }

    /// "Page 2 of 3".
    pub(super) fn page_words(&self, of: &PageOf) -> String {
        self.input.words.fill(
            "page",
            &[
                ("number", &(of.number + 1).to_string()),
                ("count", &of.count.to_string()),
            ],
        )
    }

    fn arrival(&self, lean: Lean) -> Vec<String> {
        let words = self.input.words;
        let mow = self.input.mow;
        let mut out = Vec::new();
        if self.input.fairway.way_in().is_some() {
            out.push(words.say("come_in").to_string());
        }
        let way = self.first_way();
        if !way.is_empty() {
            out.push(words.fill("first_start", &[("side", &way)]));
        }
        if lean != Lean::Steps {
            if cleanup_sense(mow).is_some() || mow.pattern() == PatternKind::Rings {
                out.push(words.say("keep_edge").to_string());
            } else if mow.pattern() != PatternKind::Loops {
                out.push(words.say("keep_line").to_string());
            }
        }
        out.extend((self.input.crew).players(self.input.fairway.name(), words));
        out
    }

    /// The steps of a page, and what holds for all of them.
    fn wheel(&self, of: &PageOf, width: f64) -> Vec<SheetBlock> {
        let words = self.input.words;
        let mow = self.input.mow;
        let rows = self.rows.get(of.rows.clone()).unwrap_or_default();
        let letter = |step: usize| crossgrain_core::inside::model::step::letter(step);
        let title = if of.count > 1 && !of.steps.is_empty() {
            words.fill(
                "wheel_part",
                &[
                    ("first", &letter(of.steps.start)),
                    ("last", &letter(of.steps.end - 1)),
                ],
            )
        } else {
            words.say("wheel").to_string()
        };
        let mut out = step_blocks(&title, rows, width);
        let mut after = Vec::new();
        if of.count > 1 {
            after.push(if of.number + 1 < of.count {
                words.fill(
                    "go_on",
                    &[
                        ("letter", &letter(of.steps.end)),
                        ("page", &(of.number + 2).to_string()),
                    ],
                )
            } else {
                self.page_words(of)
            });
        }
        after.extend(sides(rows, self.input.fairway, words));
        if mow.pattern() == PatternKind::Loops {
            if let (Some(way), true) = (
                first_pattern_way_rad(mow),
                self.input.fairway.hole_line().is_some(),
            ) {
                let (_, to) = clock_hours(compass_deg(way), self.up_rad);
                after.push(words.fill("keep_centre", &[("mark", &hour_words(&to, words))]));
            }
            if let Some(n) = mow.settings().loops_per_lane {
                after.push(words.fill("loops_to_lane", &[("count", &n.to_string())]));
            }
        }
        if out.is_empty() {
            out.push(blocks::lines(&title, &after, width));
        } else if !after.is_empty() {
            if let Some(b) = out.last_mut() {
                b.after = 2.6;
            }
            out.push(blocks::plain_lines(&after, width));
        } else if let Some(b) = out.last_mut() {
            b.after = blocks::AFTER_MM;
        }
        out
    }

    /// Which way the first pass goes, in words.
    fn first_way(&self) -> String {
        let words = self.input.words;
        let mut cut = self.input.mow.tracks().filter(|t| t.reels == Reels::Down);
        let Some(t) = cut.next() else {
            return String::new();
        };
        let heading_rad = t.start().heading_rad;
        if self.input.fairway.hole_line().is_some() {
            let off = fold_rad(heading_rad - self.up_rad);
            // Within a half hour of straight up or down the green is the better mark.
            if off.cos() > 0.966 {
                return words.say("way.up").to_string();
            }
            if off.cos() < -0.966 {
                return words.say("way.down").to_string();
            }
            let (_, to) = clock_hours(compass_deg(heading_rad), self.up_rad);
            return words.fill("way.clock", &[("hour", &hour_words(&to, words))]);
        }
        format!("{:.0}°", compass_deg(heading_rad))
    }
}
