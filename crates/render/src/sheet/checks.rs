//! What a machine's operator ticks and writes before and after, and whom to call.

use super::blocks::SheetBlock;
use crate::crew::ForCrew;
use crate::drawing::{Anchor, Pen, Shape, Stroke};
use crate::ink::{BLACK, HAIR_MM, SMALL_MM, THIN_MM};
use crate::lettering::{Rect, Weight, baseline_mm, leading_mm, shorten, width_mm, wrap};
use crate::words::Words;

/// Height of the row, mm: a line of handwriting with the row above it.
const ROW_MM: f64 = 7.0;
/// Room to write the hours with a pen, mm.
const LEAST_MM: f64 = 13.0;
/// Side of a box to tick, mm.
const BOX_MM: f64 = 3.6;
/// Between a box and its word, mm.
const BOX_GAP_MM: f64 = 1.4;
/// Between two things in the row, mm.
const APART_MM: f64 = 3.4;

/// The pre-start check, a look at the cut after the first pass, the hour meter: with `with_boxes`.
/// Beside them, or above them where there is no room, whom to call and the channel; nothing at all
/// where there is nothing to tell.
pub(super) fn checks(
    with_boxes: bool,
    crew: &ForCrew<'_>,
    words: &Words,
    width: f64,
) -> Option<SheetBlock> {
    let call = crew.call(words).join(" ");
    if !with_boxes && call.is_empty() {
        return None;
    }
    let mut pen = Pen::new();
    let call_mm = width_mm(&call, SMALL_MM, Weight::Bold);
    let taken = if with_boxes {
        boxes_mm(words) + 2.0 * LEAST_MM + APART_MM
    } else {
        0.0
    };
    let (mut y, mut room) = (0.0, width);
    if !call.is_empty() && taken + call_mm <= width {
        let x = width - call_mm;
        bold(&mut pen, &call, (x, ROW_MM - 2.0));
        room = x - APART_MM;
    } else if !call.is_empty() {
        for line in wrap(&call, SMALL_MM, Weight::Bold, width) {
            bold(&mut pen, &line, (0.0, y + 0.6 + baseline_mm(SMALL_MM)));
            y += leading_mm(SMALL_MM);
        }
        y += 0.6;
    }
    if with_boxes {
        boxes(&mut pen, y + ROW_MM - 2.0, words, room);
    }
    if with_boxes || y <= 0.0 {
        y += ROW_MM;
    }
    Some(SheetBlock::new(pen.marks, y))
}

fn bold(pen: &mut Pen, text: &str, at: (f64, f64)) {
    pen.text(text, at, SMALL_MM, Weight::Bold, Anchor::Start);
}

/// The width of boxes and labels without the lines to write on, mm.
fn boxes_mm(words: &Words) -> f64 {
    let wide = |key: &str| width_mm(words.say(key), SMALL_MM, Weight::Regular);
    let ticks: f64 = (["check.before", "check.cut"].iter())
        .map(|k| BOX_MM + BOX_GAP_MM + wide(k) + APART_MM)
        .sum();
    ticks + wide("hours.start") + wide("hours.end") + 3.0 + APART_MM
}

/// The boxes to tick and the lines for the hour meter.
fn boxes(pen: &mut Pen, base: f64, words: &Words, width: f64) {
    let wide = |key: &str| width_mm(words.say(key), SMALL_MM, Weight::Regular);
    let text = |pen: &mut Pen, key: &str, x: f64| {
        let said = shorten(words.say(key), SMALL_MM, Weight::Regular, width - x);
        pen.text(said, (x, base), SMALL_MM, Weight::Regular, Anchor::Start);
    };
    let mut x = 0.0;
    for key in ["check.before", "check.cut"] {
        let edge = Rect::new(x, base - BOX_MM + 0.5, BOX_MM, BOX_MM);
        pen.stroke(Shape::rect(edge), Stroke::solid(BLACK, THIN_MM));
        text(pen, key, x + BOX_MM + BOX_GAP_MM);
        x += BOX_MM + BOX_GAP_MM + wide(key) + APART_MM;
    }
    // Both lines to write on have the same length.
    let line = ((width - boxes_mm(words)) / 2.0).max(0.0);
    for key in ["hours.start", "hours.end"] {
        text(pen, key, x);
        x += wide(key) + 1.5;
        pen.stroke(
            Shape::line((x, base + 1.2), (x + line, base + 1.2)),
            Stroke::solid(BLACK, HAIR_MM),
        );
        x += line + APART_MM;
    }
}
