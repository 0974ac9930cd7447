//! Paper sizes, and how large a page comes out of the PDF.

use super::{Fact, Mark::Memory, Row};
use crossgrain_render::drawing::Drawing;
use crossgrain_render::page::Paper;
use crossgrain_render::press::pdf;

const ISO_216: &str =
    "ISO 216, Writing paper and certain classes of printed matter, 2007; A series";
const Y14_1: &str = "ASME Y14.1, Decimal inch drawing sheet size and format, 2012; sizes A and B";
const PDF: &str = "ISO 32000-1, Portable document format, 2008; 8.3.2.3 (72 units an inch)";
const PPD: &str = "Adobe, PostScript Printer Description File Format Specification 4.3, 1996; media sizes in points";

/// Width and height that the first page of a PDF gives itself, points.
fn media_box(paper: Paper) -> (f64, f64) {
    let (width, height) = paper.size_mm();
    let page = Drawing {
        width,
        height,
        title: String::new(),
        language: "en".to_string(),
        marks: Vec::new(),
    };
    let bytes = pdf(&[page], "a page");
    let text = String::from_utf8_lossy(&bytes);
    let list = text
        .split("/MediaBox")
        .nth(1)
        .and_then(|t| t.split(']').next());
    let numbers: Vec<f64> = list
        .unwrap_or_default()
        .trim_start_matches([' ', '['])
        .split_whitespace()
        .filter_map(|n| n.parse().ok())
        .collect();
    match numbers[..] {
        [x0, y0, x1, y1] => (x1 - x0, y1 - y0),
        _ => (f64::NAN, f64::NAN),
    }
}

pub fn rows() -> Vec<Row> {
    let mut out = Vec::new();
    for (paper, id, source, width, height) in [
        (Paper::A4, "A4", ISO_216, "210", "297"),
        (Paper::A3, "A3", ISO_216, "297", "420"),
        (Paper::Letter, "size A", Y14_1, "215.9", "279.4"),
        (Paper::Tabloid, "size B", Y14_1, "279.4", "431.8"),
    ] {
        let (w, h) = paper.size_mm();
        let fact = Fact::new(id, source, Memory);
        out.push(fact.printed(format!("{} width, mm", paper.word()), width, w));
        out.push(fact.printed(format!("{} height, mm", paper.word()), height, h));
    }
    for (paper, id, width, height) in [
        (Paper::Letter, "Letter in points", "612", "792"),
        (Paper::Tabloid, "Tabloid in points", "792", "1224"),
        (Paper::A4, "A4 in points", "595", "842"),
        (Paper::A3, "A3 in points", "842", "1191"),
    ] {
        let (w, h) = media_box(paper);
        let fact = Fact::new(id, PPD, Memory);
        out.push(fact.printed(
            format!("{} in the PDF, points wide", paper.word()),
            width,
            w,
        ));
        out.push(fact.printed(
            format!("{} in the PDF, points high", paper.word()),
            height,
            h,
        ));
    }
    let inch = Fact::new("72 units are an inch", PDF, Memory);
    out.push(inch.printed(
        "8.5 in of paper in the PDF, units",
        "612.00",
        media_box(Paper::Letter).0,
    ));
    out
}
