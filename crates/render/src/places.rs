//! What is taken on a page, and the layers that marks are drawn in.

use crate::drawing::{Pen, Spot};
use crate::lettering::Rect;
use crate::view::MapPart;

/// Keeps what is taken on a page.
#[derive(Debug, Clone)]
pub struct Places {
    taken: Vec<Rect>,
}

impl Places {
    /// Nothing taken.
    pub fn new() -> Self {
        Self { taken: Vec::new() }
    }

    /// Marks a place as taken.
    pub fn take(&mut self, r: Rect) {
        self.taken.push(r);
    }

    /// Whether all of these are free and inside.
    pub fn free(&self, rects: &[Rect], within: &Rect) -> bool {
        rects
            .iter()
            .all(|r| within.holds(r) && !self.taken.iter().any(|t| t.meets(r)))
    }
}

impl Default for Places {
    fn default() -> Self {
        Self::new()
    }
}

/// Marks in two layers.
#[derive(Default)]
pub(crate) struct Layers {
    /// Arrows, leaders, points.
    pub under: Pen,
    /// Words and letters.
    pub over: Pen,
}

/// A square round a point.
pub(crate) fn around(c: Spot, half: f64) -> Rect {
    Rect::new(c.0 - half, c.1 - half, 2.0 * half, 2.0 * half)
}

/// Whether a page point lies in a part, between its match lines.
pub(crate) fn inside(part: &MapPart, at: Spot) -> bool {
    part.frame.holds(&Rect::new(at.0, at.1, 0.0, 0.0))
        && part.match_below.is_none_or(|y| at.1 <= y)
        && part.match_above.is_none_or(|y| at.1 > y)
}
