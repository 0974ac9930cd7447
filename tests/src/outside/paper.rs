//! Paper sizes.

use super::{Mark::Memory, Row};
use crossgrain_render::page::Paper;

pub fn rows() -> Vec<Row> {
    let mut out = Vec::new();
    for (paper, source, width, height) in [
        (Paper::A4, "ISO 216, A4", "210", "297"),
        (Paper::A3, "ISO 216, A3", "297", "420"),
        (Paper::Letter, "ANSI/ASME Y14.1, size A", "215.9", "279.4"),
        (Paper::Tabloid, "ANSI/ASME Y14.1, size B", "279.4", "431.8"),
    ] {
        let (w, h) = paper.size_mm();
        out.push(Row::printed(
            format!("{} width, mm", paper.word()),
            source,
            Memory,
            width,
            w,
        ));
        out.push(Row::printed(
            format!("{} height, mm", paper.word()),
            source,
            Memory,
            height,
            h,
        ));
    }
    out
}
