//! How a sheet is divided: which steps stand on which page, where words and map go.

use super::blocks::{self, pack};
use super::header::HEADER_MM;
use super::key::{self, KeyOf};
use super::left::Left;
use super::{STEPS_A_PAGE, SheetInput, settings};
use crate::cautions;
use crate::drawing::{Drawing, Mark, Pen, moved};
use crate::grass::light_direction;
use crate::lettering::{Rect, clean};
use crate::page::{Lie, MARGIN_MM};
use crate::sentences::{StepSaid, said};
use crate::view::{Extent, up_rad};
use crossgrain_core::PatternKind;
use geo_types::MultiPolygon;
use std::ops::Range;

/// Space between parts of the page, mm.
pub(super) const GAP_MM: f64 = 4.0;
/// A map on one page may be this much smaller than the maps on several: beyond it the eye loses
/// more than turning a page costs.
const WORTH_A_PAGE: f64 = 1.4;

/// One page of a sheet.
#[derive(Debug, Clone)]
pub(super) struct PageOf {
    /// Its number, 0 first.
    pub number: usize,
    /// How many there are.
    pub count: usize,
    /// The steps it tells.
    pub steps: Range<usize>,
}

/// What a crowded page leaves out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lean {
    /// Nothing.
    Full,
    /// The key.
    NoKey,
    /// The key and all words but where to start and the steps.
    Steps,
}

/// How a page is divided.
#[derive(Debug, Clone, Copy)]
struct Plan {
    lie: Lie,
    /// Columns of words.
    columns: usize,
    /// Words below the map instead of beside it.
    below: bool,
    lean: Lean,
}

pub(super) struct Job<'a> {
    pub input: &'a SheetInput<'a>,
    pub trim: &'a MultiPolygon<f64>,
    pub missed: &'a MultiPolygon<f64>,
    pub steps: Vec<StepSaid>,
    pub up_rad: f64,
    pub light_rad: f64,
    pub toward_green: bool,
    pub extent: Extent,
}

impl<'a> Job<'a> {
    pub(super) fn of(input: &'a SheetInput<'a>, left: &'a Left) -> Self {
        let up = up_rad(input.fairway);
        let (light_rad, toward_green) = light_direction(input.mow, up);
        let line_m = match input.mow.pattern {
            PatternKind::Loops => input.mow.settings.lane_spacing_m,
            _ => input.mow.settings.spacing_m,
        };
        Self {
            input,
            trim: &left.trim,
            missed: &left.missed,
            steps: said(input.fairway, input.mow, input.words),
            up_rad: up,
            light_rad,
            toward_green: toward_green && input.fairway.hole_line.is_some(),
            extent: Extent::of(
                input.fairway,
                input.mow,
                line_m.unwrap_or(input.mower.cutting_width_m()),
            ),
        }
    }

    /// All pages: one where that tells every step with a map that can be read, else as few as do.
    pub(super) fn pages(&self) -> Vec<Drawing> {
        let n = self.steps.len();
        let one = self.best_of(&split(n, 1));
        if n <= STEPS_A_PAGE && one.is_some() {
            return self.draw_all(one);
        }
        for count in n.div_ceil(STEPS_A_PAGE).max(2)..=n {
            let Some(several) = self.best_of(&split(n, count)) else {
                continue;
            };
            let ratio = |p: &[(PageOf, Plan, f64)]| p.iter().map(|p| p.2).fold(0.0, f64::max);
            return match one {
                Some(one) if ratio(&one) <= WORTH_A_PAGE * ratio(&several) => {
                    self.draw_all(Some(one))
                }
                _ => self.draw_all(Some(several)),
            };
        }
        self.draw_all(one)
    }

    /// The best way to divide each page; none when one of them cannot be laid out.
    fn best_of(&self, pages: &[PageOf]) -> Option<Vec<(PageOf, Plan, f64)>> {
        (pages.iter())
            .map(|p| self.best(p).map(|(plan, ratio)| (p.clone(), plan, ratio)))
            .collect()
    }

    fn draw_all(&self, pages: Option<Vec<(PageOf, Plan, f64)>>) -> Vec<Drawing> {
        let pages: Option<Vec<Drawing>> = (pages.unwrap_or_default().iter())
            .map(|(of, plan, _)| self.draw(*plan, of, true).map(|d| d.1))
            .collect();
        match pages {
            Some(pages) if !pages.is_empty() => pages,
            _ => self.words_only(),
        }
    }

    fn title(&self, of: &PageOf) -> String {
        let w = self.input.words;
        let mut title = format!(
            "{} {}: {}",
            w.say("fairway"),
            clean(&self.input.fairway.name),
            w.say(&format!("pattern.{}", self.input.mow.pattern.word())),
        );
        title = title.chars().take(200).collect();
        if of.count > 1 {
            title.push_str(", ");
            title.push_str(&self.page_words(of));
        }
        title
    }

    fn drawing(&self, lie: Lie, of: &PageOf, marks: Vec<Mark>) -> Drawing {
        let (width, height) = self.input.paper.lying_mm(lie);
        Drawing {
            width,
            height,
            title: self.title(of),
            language: self.input.words.code().to_string(),
            marks,
        }
    }

    /// Sheets for a ground that cannot be drawn: the words are still there.
    fn words_only(&self) -> Vec<Drawing> {
        const COLUMNS: usize = 2;
        let (w, h) = self.input.paper.lying_mm(Lie::Portrait);
        let body = Rect::new(0.0, 0.0, w, h).inset(MARGIN_MM);
        let column = (body.w - GAP_MM) / COLUMNS as f64;
        let top = HEADER_MM + 2.0 * GAP_MM;
        let n = self.steps.len().max(1);
        let page = |of: &PageOf, even_if_too_long: bool| {
            let mut pen = Pen::new();
            self.header(&mut pen, Rect::new(body.x, body.y, body.w, HEADER_MM));
            let stack = self.words_blocks(of, Lean::Steps, column);
            let spots = pack(&stack, COLUMNS, column, GAP_MM, body.h - top);
            if spots.is_none() && !even_if_too_long {
                return None;
            }
            for (b, (x, y)) in stack.into_iter().zip(spots.unwrap_or_default()) {
                pen.group("words", moved(b.marks, body.x + x, body.y + top + y));
            }
            Some(self.drawing(Lie::Portrait, of, pen.marks))
        };
        for count in 1..=n {
            let pages = split(self.steps.len(), count);
            if let Some(all) = pages.iter().map(|of| page(of, false)).collect() {
                return all;
            }
        }
        (split(self.steps.len(), n).iter())
            .filter_map(|of| page(of, true))
            .collect()
    }

    /// The way to divide a page that gives its map the largest scale. A crowded page sheds words
    /// before it sheds its map: first the key, then what the crew can read off the map. Cautions,
    /// settings and steps always stay.
    fn best(&self, of: &PageOf) -> Option<(Plan, f64)> {
        for lean in [Lean::Full, Lean::NoKey, Lean::Steps] {
            // Only the chosen page is drawn; the others are laid out to learn their scale.
            let mut best: Option<(Plan, f64)> = None;
            for (lie, columns, below) in [
                (Lie::Portrait, 1, false),
                (Lie::Portrait, 2, false),
                (Lie::Portrait, 3, true),
                (Lie::Landscape, 2, false),
                (Lie::Landscape, 4, true),
            ] {
                let plan = Plan {
                    lie,
                    columns,
                    below,
                    lean,
                };
                if let Some((ratio, _)) = self.draw(plan, of, false)
                    && best.is_none_or(|b| ratio < b.1)
                {
                    best = Some((plan, ratio));
                }
            }
            if best.is_some() {
                return best;
            }
        }
        None
    }

    /// One way to divide a page, with its ratio; the map is left white unless `with_map`.
    fn draw(&self, plan: Plan, of: &PageOf, with_map: bool) -> Option<(f64, Drawing)> {
        let (page_w, page_h) = self.input.paper.lying_mm(plan.lie);
        let body = Rect::new(0.0, 0.0, page_w, page_h).inset(MARGIN_MM);
        let mut pen = Pen::new();
        self.header(&mut pen, Rect::new(body.x, body.y, body.w, HEADER_MM));
        let free = self.frame(&mut pen, plan.lean, body);
        let column = if plan.below {
            (free.w - GAP_MM * (plan.columns - 1) as f64) / plan.columns as f64
        } else {
            // Wide enough for five or six words a line; narrower when there are two.
            let (least, most) = if plan.columns > 1 {
                (50.0, 70.0)
            } else {
                (62.0, 84.0)
            };
            (free.w * 0.35 / plan.columns as f64).clamp(least, most)
        };
        if free.h < 40.0 || column < 40.0 {
            return None;
        }
        let stack = self.words_blocks(of, plan.lean, column);
        let (map_room, spots) = if plan.below {
            // The lowest height at which the blocks fit into the columns, in steps of 2 mm.
            let mut h = 20.0;
            let spots = loop {
                if h > free.h - 50.0 {
                    return None;
                }
                if let Some(s) = pack(&stack, plan.columns, column, GAP_MM, h) {
                    break s;
                }
                h += 2.0;
            };
            (
                Rect::new(free.x, free.y, free.w, free.h - h - GAP_MM),
                spots
                    .into_iter()
                    .map(|(x, y)| (free.x + x, free.bottom() - h + y))
                    .collect::<Vec<_>>(),
            )
        } else {
            let spots = pack(&stack, plan.columns, column, GAP_MM, free.h)?;
            let words_w = column * plan.columns as f64 + GAP_MM * (plan.columns - 1) as f64;
            let map_w = free.w - words_w - GAP_MM;
            (
                Rect::new(free.x, free.y, map_w, free.h),
                spots
                    .into_iter()
                    .map(|(x, y)| (free.x + map_w + GAP_MM + x, free.y + y))
                    .collect(),
            )
        };
        for (block, (x, y)) in stack.into_iter().zip(spots) {
            pen.group("words", moved(block.marks, x, y));
        }
        let ratio = self.map(&mut pen, map_room, of, with_map)?;
        Some((ratio, self.drawing(plan.lie, of, pen.marks)))
    }

    /// Settings above, cautions, the row to fill in and the key below; returns what is left free.
    fn frame(&self, pen: &mut Pen, lean: Lean, body: Rect) -> Rect {
        let (input, words) = (self.input, self.input.words);
        let mut top = body.y + HEADER_MM + GAP_MM * 0.6;
        let set = settings::settings_row(
            &settings::settings(input.mow, input.mower, input.height_of_cut_m, words),
            body.w,
        );
        pen.group("set", moved(set.marks, body.x, top));
        top += set.height + GAP_MM;
        let (warn, warn_h) = cautions::band(
            &cautions::of_mow(input.fairway, input.mow, input.measures, words),
            words,
            body.w,
        );
        let mut bottom = body.bottom() - warn_h;
        pen.group("cautions", moved(warn, body.x, bottom));
        let fields = blocks::fields(input.date, words, body.w);
        bottom -= fields.height + GAP_MM * 0.5;
        pen.group("fields", moved(fields.marks, body.x, bottom));
        if lean == Lean::Full {
            let key = key::key(
                &KeyOf {
                    fairway: input.fairway,
                    mow: input.mow,
                    trim: !self.trim.0.is_empty(),
                    missed: !self.missed.0.is_empty(),
                    toward_green: self.toward_green,
                },
                words,
                body.w,
            );
            bottom -= key.height;
            pen.group("key", moved(key.marks, body.x, bottom));
        }
        Rect::new(body.x, top, body.w, bottom - GAP_MM * 0.5 - top)
    }
}

/// Steps shared out over so many pages as evenly as they go.
fn split(steps: usize, count: usize) -> Vec<PageOf> {
    (0..count)
        .map(|number| PageOf {
            number,
            count,
            steps: steps * number / count..steps * (number + 1) / count,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_share_the_steps_out() {
        let pages = split(22, 3);
        assert_eq!(pages[0].steps, 0..7);
        assert_eq!(pages[1].steps, 7..14);
        assert_eq!(pages[2].steps, 14..22);
        assert_eq!(split(0, 1)[0].steps, 0..0);
    }
}
