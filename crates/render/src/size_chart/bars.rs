//! The bars of the whole course: the time each deck takes with each pattern.

use super::blocks::deck_label;
use super::*;

impl Sheets<'_> {
    /// Minutes of each deck and pattern on the whole course.
    pub(super) fn bars(&mut self, table: &SizeTable, head: &ChartHead) {
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
    pub(super) fn bar_figure(&self, w: &WholeRow) -> String {
        let shift = self.words.minutes(w.shift_minutes);
        let time = format!(
            "{} ({})",
            self.words.minutes(w.minutes),
            self.words.fill("size.shift", &[("time", &shift)])
        );
        match w.minutes_over_stripes {
            // The bar is short because ground is missing from it: say so in its place.
            _ if w.refused > 0 => {
                let count = w.refused.to_string();
                let without = self.words.fill("size.without", &[("count", &count)]);
                format!("{time}, {without}")
            }
            Some(r) => format!(
                "{time} = {} × {}",
                self.words.number(r, 2),
                self.words.say("size.stripes")
            ),
            None => time,
        }
    }
}
