//! A page as SVG, in millimetres.
//!
//! The file carries the bundled font, so that every browser draws the same; `textLength` holds
//! each line to its measured width in programs that use another font.

use crate::drawing::{Anchor, Drawing, Mark, PathCommand, Shape, Text, on_circle};
use crate::lettering::{BOLD_WOFF2, FAMILIES, FAMILY, REGULAR_WOFF2, Weight, covers};
use std::f64::consts::PI;
use std::fmt::Write as _;
use svg::Document;
use svg::node::element::{ClipPath, Definitions, Group, Path, Style, Title};

/// Decimals of a coordinate: a hundredth of a millimetre is finer than any printer's dot
/// (0.042 mm at 600 dpi).
const DECIMALS: usize = 2;
/// The grid that this makes, mm.
pub(crate) const GRID_MM: f64 = 0.01;

/// The page as an SVG document with the font inside.
pub fn document(drawing: &Drawing) -> Document {
    make(drawing, true)
}

/// The page as SVG for a host page that has the font already.
pub fn inner_document(drawing: &Drawing) -> Document {
    make(drawing, false)
}

/// The page as SVG text.
pub fn text(drawing: &Drawing) -> String {
    format!("{}\n", document(drawing))
}

/// The `@font-face` rules with the bundled font as data.
pub fn font_faces() -> String {
    let face = |weight: &str, bytes: &[u8]| {
        format!(
            "@font-face{{font-family:'{FAMILY}';font-weight:{weight};\
             src:url(data:font/woff2;base64,{})format('woff2')}}",
            base64(bytes)
        )
    };
    format!("{}{}", face("400", REGULAR_WOFF2), face("700", BOLD_WOFF2))
}

fn make(drawing: &Drawing, with_font: bool) -> Document {
    let mut clips = Clips {
        prefix: prefix(drawing),
        shapes: Vec::new(),
    };
    let mut body = Group::new()
        .set("font-family", FAMILIES)
        .set("fill-rule", "evenodd");
    for m in &drawing.marks {
        body = add(body, m, &mut clips);
    }
    let (w, h) = (number(drawing.width), number(drawing.height));
    let mut doc = Document::new()
        .set("width", format!("{w}mm"))
        .set("height", format!("{h}mm"))
        .set("viewBox", format!("0 0 {w} {h}"))
        .set("role", "img")
        .set("xml:lang", drawing.language.as_str())
        .add(Title::new(drawing.title.as_str()));
    let mut defs = Definitions::new();
    if with_font {
        defs = defs.add(Style::new(font_faces()));
    }
    for (i, c) in clips.shapes.iter().enumerate() {
        defs = defs.add(
            ClipPath::new()
                .set("id", format!("{}{i}", clips.prefix))
                .add(
                    Path::new()
                        .set("clip-rule", "evenodd")
                        .set("d", path_data(c)),
                ),
        );
    }
    doc = doc.add(defs);
    doc.add(
        Path::new()
            .set("fill", "#fff")
            .set("d", format!("M0 0H{w}V{h}H0Z")),
    )
    .add(body)
}

struct Clips {
    // Several pages may stand in one host page: the name of a clip must tell them apart.
    prefix: String,
    shapes: Vec<Shape>,
}

fn prefix(drawing: &Drawing) -> String {
    // FNV-1a, 32 bit: short, the same on every machine.
    let mut h: u32 = 0x811c_9dc5;
    let mut eat = |text: &str| {
        for b in text.bytes() {
            h = (h ^ u32::from(b)).wrapping_mul(0x0100_0193);
        }
    };
    eat(&drawing.title);
    eat(&drawing.language);
    eat(&format!("{} {}", drawing.width, drawing.height));
    for t in drawing.texts() {
        eat(&t.content);
        eat(&number(t.at.0));
        eat(&number(t.at.1));
    }
    format!("c{h:08x}-")
}

fn add(parent: Group, mark: &Mark, clips: &mut Clips) -> Group {
    match mark {
        Mark::Shape {
            shape,
            fill,
            stroke,
        } => {
            let mut p = Path::new().set("d", path_data(shape));
            p = match fill {
                Some(ink) => p.set("fill", ink.hex()),
                None => p.set("fill", "none"),
            };
            if let Some(s) = stroke {
                p = p
                    .set("stroke", s.ink.hex())
                    .set("stroke-width", number(s.width));
                if let Some((dash, gap)) = s.dash {
                    p = p.set(
                        "stroke-dasharray",
                        format!("{} {}", number(dash), number(gap)),
                    );
                }
                if s.round {
                    p = p
                        .set("stroke-linecap", "round")
                        .set("stroke-linejoin", "round");
                }
            }
            parent.add(p)
        }
        Mark::Text(t) => parent.add(text_node(t)),
        Mark::Group {
            class,
            clip,
            opacity,
            marks,
        } => {
            let mut g = Group::new().set("class", *class);
            if let Some(c) = clip {
                g = g.set(
                    "clip-path",
                    format!("url(#{}{})", clips.prefix, clips.shapes.len()),
                );
                clips.shapes.push(c.clone());
            }
            if *opacity < 1.0 {
                g = g.set("opacity", number(*opacity));
            }
            for m in marks {
                g = add(g, m, clips);
            }
            parent.add(g)
        }
    }
}

fn text_node(t: &Text) -> svg::node::element::Text {
    let mut n = svg::node::element::Text::new(t.content.as_str())
        .set("y", number(t.at.1))
        .set("font-size", number(t.size))
        .set("fill", t.ink.hex());
    if t.weight == Weight::Bold {
        n = n.set("font-weight", "700");
    }
    if covers(&t.content) {
        n = n
            .set("x", number(t.at.0))
            .set("textLength", number(t.width()))
            .set("lengthAdjust", "spacingAndGlyphs");
    } else {
        // The viewer's own font sets the width, and a right-to-left text counts its anchor from
        // the other end: centred in its box it stays inside whichever way it runs.
        n = n.set("x", number(t.left() + t.width() / 2.0));
        return n.set("text-anchor", "middle");
    }
    match t.anchor {
        Anchor::Start => n,
        Anchor::Middle => n.set("text-anchor", "middle"),
        Anchor::End => n.set("text-anchor", "end"),
    }
}

/// The shape as SVG path data: real arcs, relative steps, no needless character.
pub fn path_data(shape: &Shape) -> String {
    let mut out = String::new();
    let mut pen = (0i64, 0i64);
    let mut start = pen;
    let mut last = ' ';
    for step in &shape.steps {
        match *step {
            PathCommand::Move(p) => {
                let to = grid(p);
                // Only the first is absolute: the same shape elsewhere differs in nothing else.
                if last == ' ' {
                    out.push('M');
                    pair(&mut out, to, false);
                } else {
                    out.push('m');
                    pair(&mut out, (to.0 - pen.0, to.1 - pen.1), false);
                }
                pen = to;
                start = to;
                last = 'm';
            }
            PathCommand::Line(p) => {
                let to = grid(p);
                let by = (to.0 - pen.0, to.1 - pen.1);
                if last != 'l' {
                    out.push('l');
                }
                pair(&mut out, by, last == 'l');
                pen = to;
                last = 'l';
            }
            PathCommand::Arc {
                centre,
                radius,
                from,
                sweep,
            } => {
                // An arc command cannot say a full circle: at most 170 degrees apiece, so that the
                // rounded ends always leave one choice of centre.
                let n = (sweep.abs() / (PI * 0.95)).ceil().max(1.0);
                let r = number(radius);
                for i in 1..=(n as usize) {
                    let to = grid(on_circle(centre, radius, from + sweep * i as f64 / n));
                    let by = (to.0 - pen.0, to.1 - pen.1);
                    if last == 'a' {
                        out.push(' ');
                    } else {
                        out.push('a');
                    }
                    let turn = u8::from(sweep > 0.0);
                    let _ = write!(out, "{r} {r} 0 0{turn}");
                    pair(&mut out, by, true);
                    pen = to;
                    last = 'a';
                }
            }
            PathCommand::Close => {
                out.push('z');
                pen = start;
                last = 'z';
            }
        }
    }
    out
}

// Coordinates on the grid of DECIMALS, so that relative steps do not drift.
fn grid(p: (f64, f64)) -> (i64, i64) {
    let k = 10f64.powi(DECIMALS as i32);
    ((p.0 * k).round() as i64, (p.1 * k).round() as i64)
}

fn pair(out: &mut String, p: (i64, i64), after_number: bool) {
    if after_number && p.0 >= 0 {
        out.push(' ');
    }
    hundredths(out, p.0);
    if p.1 >= 0 {
        out.push(' ');
    }
    hundredths(out, p.1);
}

/// A whole number of hundredths, written as [`number`] writes it; a page has a hundred thousand.
fn hundredths(out: &mut String, v: i64) {
    if v < 0 {
        out.push('-');
    }
    let (whole, part) = (v.unsigned_abs() / 100, v.unsigned_abs() % 100);
    if whole > 0 || part == 0 {
        let _ = write!(out, "{whole}");
    }
    if part > 0 {
        out.push('.');
        out.push(char::from(b'0' + (part / 10) as u8));
        if part % 10 > 0 {
            out.push(char::from(b'0' + (part % 10) as u8));
        }
    }
}

/// A number with at most two decimals and no needless character.
pub(crate) fn number(v: f64) -> String {
    let s = plain_number(v, DECIMALS);
    if let Some(rest) = s.strip_prefix("0.") {
        format!(".{rest}")
    } else if let Some(rest) = s.strip_prefix("-0.") {
        format!("-.{rest}")
    } else {
        s
    }
}

/// A number with at most so many decimals, no trailing zeros, never minus zero.
pub(crate) fn plain_number(v: f64, decimals: usize) -> String {
    let mut s = format!("{v:.decimals$}");
    if s.contains('.') {
        s.truncate(s.trim_end_matches('0').trim_end_matches('.').len());
    }
    if s == "-0" { "0".to_string() } else { s }
}

/// Bytes as base64 (RFC 4648).
pub(crate) fn base64(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let n = three
            .iter()
            .enumerate()
            .fold(0u32, |n, (i, b)| n | u32::from(*b) << (16 - 8 * i));
        for i in 0..4 {
            out.push(if i <= three.len() {
                DIGITS[(n >> (18 - 6 * i)) as usize & 63] as char
            } else {
                '='
            });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn path_data_is_compact_and_does_not_drift() {
        let s = Shape::points([(0.333, 0.0), (0.666, -0.5), (0.999, 0.0)], true);
        // 0.33 + 0.34 + 0.33 = 1: the rounding of each step is made good by the next.
        assert_eq!(path_data(&s), "M.33 0l.34-.5 .33 .5z");
        // A second ring counts from where the first one began, for there its end leaves the pen.
        let mut two = s.clone();
        two.extend(s);
        assert_eq!(path_data(&two), "M.33 0l.34-.5 .33 .5zm0 0l.34-.5 .33 .5z");
    }

    #[test]
    fn a_full_circle_takes_more_than_one_arc() {
        let d = path_data(&Shape::circle((10.0, 10.0), 5.0));
        assert_eq!(d.matches("5 5 0").count(), 3);
        assert!(d.ends_with('z'));
    }

    // RFC 4648, section 10.
    #[test]
    fn base64_matches_the_standard() {
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }

    #[test]
    fn numbers_are_short() {
        assert_eq!(number(1.0), "1");
        assert_eq!(number(-0.001), "0");
        assert_eq!(number(-0.25), "-.25");
        assert_eq!(number(12.344), "12.34");
        assert_eq!(number(2.50), "2.5");
        for v in [0, 1, -1, 9, 10, -25, 99, 100, -101, 110, 1234, -123_456] {
            let mut s = String::new();
            hundredths(&mut s, v);
            assert_eq!(s, number(v as f64 / 100.0));
        }
    }
}
