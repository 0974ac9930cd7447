//! How a sheet is divided: which steps stand on which page, where words and map go.

use super::blocks::pack;
use super::left::Left;
use super::{STEPS_A_PAGE, SheetInput};
use crate::drawing::{Drawing, Mark, Pen, moved};
use crate::grass::light_direction;
use crate::lettering::{Rect, clean};
use crate::page::{Lie, MARGIN_MM};
use crate::sentences::{Row, rows};
use crate::view::{Extent, up_rad};
use crate::ways::tracks_of;
use crossgrain_core::PatternKind;
use geo_types::MultiPolygon;
use std::ops::Range;

/// Height of the header, mm: the fairway's number and a word over it.
pub(super) const HEADER_MM: f64 = 32.0;
/// Space between parts of the page, mm.
pub(super) const GAP_MM: f64 = 4.0;
/// A map on one page may be this much smaller than the maps on several: beyond it the eye loses
/// more than turning a page costs.
const WORTH_A_PAGE: f64 = 1.4;
/// More letters than this hide the ground that they are to show: the steps go on further pages.
const LETTERS_A_MAP: usize = 12;

/// One page of a sheet.
#[derive(Debug, Clone)]
pub(super) struct PageOf {
    /// Its number, 0 first.
    pub number: usize,
    /// How many there are.
    pub count: usize,
    /// The rows of the list of steps that it shows.
    pub rows: Range<usize>,
    /// The steps that these rows tell.
    pub steps: Range<usize>,
    /// The part of the fairway that its map is limited to, if any.
    pub part: Option<usize>,
}

/// What a crowded page leaves out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lean {
    /// Nothing.
    Full,
    /// What is reminded of beside the cautions: dew, debris, what stands in the turf.
    NoReminders,
    /// The key as well.
    NoKey,
    /// The loop drawn large as well.
    NoDetail,
    /// All words but where to start and the steps.
    Steps,
}

/// What may be left out before another way is tried: first reminders and the key, on one page or
/// several; then more.
const LEANS: [&[Lean]; 3] = [
    &[Lean::Full, Lean::NoReminders, Lean::NoKey],
    &[Lean::NoDetail],
    &[Lean::Steps],
];

/// How a page is divided.
#[derive(Debug, Clone, Copy)]
struct Plan {
    lie: Lie,
    /// Columns of words.
    columns: usize,
    /// Width of a column beside the map, mm; none for words below the map.
    beside: Option<f64>,
    lean: Lean,
}

/// A page with the way to divide it and the ratio of its map.
type Laid = (PageOf, Plan, f64);

/// The ways to divide a page: columns beside the map wide enough for five or six words a line, up
/// to one that holds most sentences in one line, or columns below the map.
const WAYS: [(Lie, usize, Option<f64>); 9] = [
    (Lie::Portrait, 1, Some(62.0)),
    (Lie::Portrait, 1, Some(72.0)),
    (Lie::Portrait, 1, Some(84.0)),
    (Lie::Portrait, 2, Some(52.0)),
    (Lie::Portrait, 2, None),
    (Lie::Portrait, 3, None),
    (Lie::Landscape, 1, Some(84.0)),
    (Lie::Landscape, 2, Some(62.0)),
    (Lie::Landscape, 4, None),
];

pub(super) struct Job<'a> {
    pub input: &'a SheetInput<'a>,
    pub trim: &'a MultiPolygon<f64>,
    pub missed: &'a MultiPolygon<f64>,
    pub rows: Vec<Row>,
    pub up_rad: f64,
    pub light_rad: f64,
    pub toward_green: bool,
    pub extent: Extent,
    /// The spacing of lines that the map must tell apart, metres.
    line_m: f64,
}

impl<'a> Job<'a> {
    pub(super) fn of(input: &'a SheetInput<'a>, left: &'a Left) -> Self {
        let up = up_rad(input.fairway);
        let (light_rad, toward_green) = light_direction(input.mow, up);
        let line_m = match input.mow.pattern() {
            PatternKind::Loops => input.mow.settings().lane_spacing_m,
            _ => input.mow.settings().spacing_m,
        }
        .unwrap_or(input.mower.cutting_width_m());
        Self {
            input,
            trim: &left.trim,
            missed: &left.missed,
            rows: rows(input.fairway, input.mow, input.words),
            up_rad: up,
            light_rad,
            toward_green: toward_green && input.fairway.hole_line().is_some(),
            extent: Extent::of(input.fairway, input.mow, line_m),
            line_m,
        }
    }

    /// All pages: one where that tells every step with a map that can be read, else several, a
    /// page a part where the fairway has parts, or the steps shared out evenly. Rather a further
    /// page than a page that sheds what the crew needs.
    pub(super) fn pages(&self) -> Vec<Drawing> {
        for leans in LEANS {
            if let Some(pages) = self.lay(leans) {
                return self.draw_all(&pages);
            }
        }
        self.words_only()
    }

    fn lay(&self, leans: &[Lean]) -> Option<Vec<Laid>> {
        let n = self.rows.len();
        let one = || self.best_of(&self.split(1), leans);
        if n <= STEPS_A_PAGE
            && let Some(one) = one()
        {
            return Some(one);
        }
        let by_part = self.best_of(&self.by_part(), leans);
        let evenly = (n.div_ceil(STEPS_A_PAGE).max(2)..=n)
            .find_map(|count| self.best_of(&self.split(count), leans));
        let ratio = |p: &Vec<Laid>| p.iter().map(|p| p.2).fold(0.0, f64::max);
        let several = match (by_part, evenly) {
            (Some(a), Some(b)) => Some(if ratio(&a) <= ratio(&b) { a } else { b }),
            (a, b) => a.or(b),
        };
        if n <= STEPS_A_PAGE || (n > LETTERS_A_MAP && several.is_some()) {
            return several;
        }
        match (one(), several) {
            (Some(one), Some(s)) if ratio(&one) <= WORTH_A_PAGE * ratio(&s) => Some(one),
            (one, several) => several.or(one),
        }
    }

    /// The rows shared out over so many pages as evenly as they go.
    fn split(&self, count: usize) -> Vec<PageOf> {
        let n = self.rows.len();
        let cuts: Vec<usize> = (0..=count).map(|i| n * i / count).collect();
        self.cut_at(&cuts, false)
    }

    /// A page for each part, none with more rows than a page tells; nothing for a fairway in one
    /// part.
    fn by_part(&self) -> Vec<PageOf> {
        let n = self.rows.len();
        let mut cuts = vec![0];
        for i in 1..n {
            if self.rows[i].part != self.rows[i - 1].part {
                cuts.push(i);
            }
        }
        cuts.push(n);
        if cuts.len() < 3 {
            return Vec::new();
        }
        // A part with too many rows takes several pages.
        let mut fine = vec![0];
        for w in cuts.windows(2) {
            let pages = (w[1] - w[0]).div_ceil(STEPS_A_PAGE).max(1);
            fine.extend((1..=pages).map(|i| w[0] + (w[1] - w[0]) * i / pages));
        }
        self.cut_at(&fine, true)
    }

    fn cut_at(&self, cuts: &[usize], in_parts: bool) -> Vec<PageOf> {
        let count = cuts.len() - 1;
        let step = |row: usize| match self.rows.get(row) {
            Some(r) => r.steps.start,
            None => self.input.mow.steps().len(),
        };
        (cuts.windows(2).enumerate())
            .map(|(number, w)| PageOf {
                number,
                count,
                rows: w[0]..w[1],
                steps: step(w[0])..step(w[1]),
                part: self.rows.get(w[0]).filter(|_| in_parts).map(|r| r.part),
            })
            .collect()
    }

    /// The ground that a page's map must show.
    fn extent_of(&self, of: &PageOf) -> Extent {
        let Some(part) = of.part else {
            return self.extent.clone();
        };
        let mow = self.input.mow;
        // The way in and the way on lead off the map where they are long.
        let tracks = of.steps.clone().filter_map(|i| tracks_of(mow, i));
        let (from, to) = tracks.fold((usize::MAX, 0), |s, r| (s.0.min(r.start), s.1.max(r.end)));
        Extent::of_part(
            self.input.fairway,
            part,
            mow.tracks().as_slice().get(from..to).unwrap_or_default(),
            self.line_m,
        )
    }

    /// The best way to divide each page; none when one of them cannot be laid out.
    fn best_of(&self, pages: &[PageOf], leans: &[Lean]) -> Option<Vec<Laid>> {
        if pages.is_empty() {
            return None;
        }
        (pages.iter())
            .map(|p| {
                self.best(p, leans)
                    .map(|(plan, ratio)| (p.clone(), plan, ratio))
            })
            .collect()
    }

    fn draw_all(&self, pages: &[Laid]) -> Vec<Drawing> {
        let drawn: Option<Vec<Drawing>> = (pages.iter())
            .map(|(of, plan, _)| {
                let extent = self.extent_of(of);
                self.draw(*plan, of, &extent, true).map(|d| d.1)
            })
            .collect();
        drawn.unwrap_or_else(|| self.words_only())
    }

    fn title(&self, of: &PageOf) -> String {
        let w = self.input.words;
        let mut title = format!(
            "{} {}: {}",
            w.say("fairway"),
            clean(self.input.fairway.name()),
            w.say(&format!("pattern.{}", self.input.mow.pattern().word())),
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
        let n = self.rows.len().max(1);
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
            let pages = self.split(count);
            if let Some(all) = pages.iter().map(|of| page(of, false)).collect() {
                return all;
            }
        }
        (self.split(n).iter())
            .filter_map(|of| page(of, true))
            .collect()
    }

    /// The way to divide a page that gives its map the largest scale. Cautions, settings and steps
    /// always stay.
    fn best(&self, of: &PageOf, leans: &[Lean]) -> Option<(Plan, f64)> {
        let extent = self.extent_of(of);
        let mut best: Option<(Plan, f64)> = None;
        for &lean in leans {
            let laid = self.largest(of, &extent, lean);
            best = match (best, laid) {
                // Reminders, which the board has too, stand only where they cost no scale.
                (Some(full), Some(less)) if less.1 < full.1 => Some(less),
                (full, less) => full.or(less),
            };
            if best.is_some() && lean != Lean::Full {
                break;
            }
        }
        best
    }

    /// The way to divide a page that gives its map the largest scale with so much left out. Only the
    /// chosen page is drawn; the others are laid out to learn their scale.
    fn largest(&self, of: &PageOf, extent: &Extent, lean: Lean) -> Option<(Plan, f64)> {
        let mut best: Option<(Plan, f64)> = None;
        for (lie, columns, beside) in WAYS {
            let plan = Plan {
                lie,
                columns,
                beside,
                lean,
            };
            if let Some((ratio, _)) = self.draw(plan, of, extent, false)
                && best.is_none_or(|b| ratio < b.1)
            {
                best = Some((plan, ratio));
            }
        }
        best
    }

    /// One way to divide a page, with its ratio; header and map are left white unless `with_map`.
    fn draw(
        &self,
        plan: Plan,
        of: &PageOf,
        extent: &Extent,
        with_map: bool,
    ) -> Option<(f64, Drawing)> {
        let (page_w, page_h) = self.input.paper.lying_mm(plan.lie);
        let body = Rect::new(0.0, 0.0, page_w, page_h).inset(MARGIN_MM);
        let mut pen = Pen::new();
        // Whatever the header says, it takes as much room.
        if with_map {
            self.header(&mut pen, Rect::new(body.x, body.y, body.w, HEADER_MM));
        }
        let free = self.frame(&mut pen, plan.lean, body);
        let column = plan
            .beside
            .unwrap_or((free.w - GAP_MM * (plan.columns - 1) as f64) / plan.columns as f64);
        if free.h < 40.0 || column < 40.0 {
            return None;
        }
        let stack = self.words_blocks(of, plan.lean, column);
        let (map_room, spots) = if plan.beside.is_none() {
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
        let ratio = self.map(&mut pen, map_room, of, extent, with_map)?;
        Some((ratio, self.drawing(plan.lie, of, pen.marks)))
    }
}
