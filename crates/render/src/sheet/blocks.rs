//! Blocks of words on a sheet: headings with lines under them, what is left at the end, the row to
//! fill in.
//!
//! Each is drawn at the origin in a given width and says how tall it came out; the sheet then
//! finds a place for it.

use crate::drawing::{Anchor, Mark, Pen, Shape, Stroke};
use crate::ink::{BLACK, HAIR_MM, HEAD_MM, MEDIUM_MM, SMALL_MM};
use crate::lettering::{Weight, baseline_mm, clean, leading_mm, shorten, width_mm, wrap};
use crate::words::Words;
use crossgrain_metrics::Measures;

/// Space after a block, mm.
pub(super) const AFTER_MM: f64 = 3.2;

/// A drawn block at the origin.
#[derive(Debug, Clone)]
pub(super) struct SheetBlock {
    /// Its marks.
    pub marks: Vec<Mark>,
    /// Its height, mm.
    pub height: f64,
    /// Space to the block below, mm.
    pub after: f64,
}

impl SheetBlock {
    pub(super) fn new(marks: Vec<Mark>, height: f64) -> Self {
        Self {
            marks,
            height,
            after: AFTER_MM,
        }
    }
}

/// Puts blocks into columns in reading order; `None` when they do not fit.
pub(super) fn pack(
    blocks: &[SheetBlock],
    columns: usize,
    width: f64,
    between: f64,
    height: f64,
) -> Option<Vec<(f64, f64)>> {
    let (mut column, mut y) = (0, 0.0);
    let mut out = Vec::new();
    for b in blocks {
        if y > 0.0 && y + b.height > height {
            column += 1;
            y = 0.0;
        }
        if column >= columns || b.height > height {
            return None;
        }
        out.push(((width + between) * column as f64, y));
        y += b.height + b.after;
    }
    Some(out)
}

/// Lines of text under a heading.
pub(super) fn lines(title: &str, lines: &[String], width: f64) -> SheetBlock {
    let mut pen = Pen::new();
    let y = heading(&mut pen, title, width);
    let height = text(&mut pen, lines, y, width);
    SheetBlock::new(pen.marks, height)
}

/// Lines of text without a heading.
pub(super) fn plain_lines(lines: &[String], width: f64) -> SheetBlock {
    let mut pen = Pen::new();
    let height = text(&mut pen, lines, 0.0, width);
    SheetBlock::new(pen.marks, height)
}

/// Lines of text from a height on; returns the height below them.
fn text(pen: &mut Pen, lines: &[String], mut y: f64, width: f64) -> f64 {
    for line in lines {
        for l in wrap(line, SMALL_MM, Weight::Regular, width) {
            pen.text(
                l,
                (0.0, y + baseline_mm(SMALL_MM)),
                SMALL_MM,
                Weight::Regular,
                Anchor::Start,
            );
            y += leading_mm(SMALL_MM);
        }
        y += 0.6;
    }
    y
}

/// A block's heading with a rule over it; returns the height used.
pub(super) fn heading(pen: &mut Pen, title: &str, width: f64) -> f64 {
    pen.stroke(
        Shape::line((0.0, 0.0), (width, 0.0)),
        Stroke::solid(BLACK, MEDIUM_MM),
    );
    pen.text(
        shorten(title, HEAD_MM, Weight::Bold, width),
        (0.0, 1.0 + baseline_mm(HEAD_MM)),
        HEAD_MM,
        Weight::Bold,
        Anchor::Start,
    );
    1.0 + leading_mm(HEAD_MM) + 0.4
}

/// What the end of the mow should look like.
///
/// `drawn` tells whether missed ground is drawn on the map.
pub(super) fn at_the_end(
    measures: &Measures,
    drawn: bool,
    words: &Words,
    width: f64,
) -> SheetBlock {
    let mut out = vec![words.fill(
        "time_needed",
        &[
            ("time", &words.minutes(measures.minutes)),
            ("shift", &words.minutes(measures.shift_minutes)),
        ],
    )];
    const MIN_AREA_M2: f64 = super::MIN_MISSED_M2;
    if measures.trim_m2 >= MIN_AREA_M2 {
        out.push(words.fill("trim_left", &[("area", &words.patch(measures.trim_m2))]));
    } else if measures.missed_m2 < MIN_AREA_M2 {
        out.push(words.say("trim_none").to_string());
    }
    if measures.missed_m2 >= MIN_AREA_M2 {
        let key = if drawn {
            "missed_marked"
        } else {
            "missed_left"
        };
        out.push(words.fill(key, &[("area", &words.patch(measures.missed_m2))]));
    }
    lines(words.say("end"), &out, width)
}

/// One row to fill in by hand: date, operator, notes; with a machine also which one, and when the
/// mow was done.
pub(super) fn fields(
    date: Option<&str>,
    machine: Option<&str>,
    words: &Words,
    width: f64,
) -> SheetBlock {
    // A line of handwriting needs 8 mm (the ruling of school paper, common practice).
    const ROW_MM: f64 = 8.0;
    const GAP_MM: f64 = 4.0;
    let mut pen = Pen::new();
    let base = ROW_MM - 2.0;
    // Each with its share of the row; with a machine of the room that labels and printed values
    // leave to write in.
    let fields: Vec<(&str, f64, Option<String>)> = match machine {
        None => vec![
            ("date", 0.22, date.map(clean)),
            ("operator", 0.30, None),
            ("notes", 0.48, None),
        ],
        Some(m) => vec![
            ("date", 0.0, date.map(clean)),
            ("mower", 0.0, Some(clean(m))),
            ("operator", 0.40, None),
            ("done_at", 0.22, None),
            ("notes", 0.38, None),
        ],
    };
    // Printed values take what they need, but no more than this.
    let most = width * 0.2;
    let taken = |(key, _, value): &(&str, f64, Option<String>)| {
        let text = |t: &str| width_mm(t, SMALL_MM, Weight::Regular);
        text(words.say(key)) + 1.5 + value.as_deref().map_or(0.0, |v| text(v).min(most) + 1.0)
    };
    let labels: f64 = fields.iter().map(taken).sum();
    let row = width - GAP_MM * (fields.len() - 1) as f64;
    let spare = (row - labels).max(0.0);
    let mut x = 0.0;
    for field in &fields {
        let (key, share, value) = field;
        let label = words.say(key);
        pen.text(label, (x, base), SMALL_MM, Weight::Regular, Anchor::Start);
        let line = x + width_mm(label, SMALL_MM, Weight::Regular) + 1.5;
        let end = x + match machine {
            None => row * share,
            Some(_) => taken(field) + spare * share,
        };
        pen.stroke(
            Shape::line((line, base + 1.2), (end, base + 1.2)),
            Stroke::solid(BLACK, HAIR_MM),
        );
        if let Some(v) = value {
            pen.text(
                shorten(v, SMALL_MM, Weight::Regular, end - line),
                (line, base),
                SMALL_MM,
                Weight::Regular,
                Anchor::Start,
            );
        }
        x = end + GAP_MM;
    }
    SheetBlock::new(pen.marks, ROW_MM)
}
