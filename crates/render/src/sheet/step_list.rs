//! The steps on the sheet: the letter that stands on the map, and its sentences beside it.

use super::blocks::{SheetBlock, heading};
use crate::drawing::{Anchor, Pen};
use crate::ink::SMALL_MM;
use crate::lettering::{Weight, baseline_mm, leading_mm, width_mm, wrap};
use crate::sentences::Row;

/// Width of the column of letters, mm: two capitals and a gap.
const LETTER_MM: f64 = 7.5;
/// Space between two steps, mm.
const BETWEEN_MM: f64 = 1.4;

/// A block for each step, the first with the heading, so that a column may break between any two.
pub(super) fn step_blocks(title: &str, rows: &[Row], width: f64) -> Vec<SheetBlock> {
    let mut out = Vec::new();
    // Wide enough for the longest letter of the page, "AB–AK" where patches share a row.
    let letters = rows
        .iter()
        .map(|r| width_mm(&r.said.letter, SMALL_MM, Weight::Bold) + 2.0)
        .fold(LETTER_MM, f64::max);
    for (i, step) in rows.iter().map(|r| &r.said).enumerate() {
        let mut pen = Pen::new();
        let mut y = if i == 0 {
            heading(&mut pen, title, width)
        } else {
            0.0
        };
        pen.text(
            step.letter.as_str(),
            (0.0, y + baseline_mm(SMALL_MM)),
            SMALL_MM,
            Weight::Bold,
            Anchor::Start,
        );
        for sentence in &step.sentences {
            for l in wrap(sentence, SMALL_MM, Weight::Regular, width - letters) {
                pen.text(
                    l,
                    (letters, y + baseline_mm(SMALL_MM)),
                    SMALL_MM,
                    Weight::Regular,
                    Anchor::Start,
                );
                y += leading_mm(SMALL_MM);
            }
        }
        let mut block = SheetBlock::new(pen.marks, y);
        block.after = BETWEEN_MM;
        out.push(block);
    }
    out
}
