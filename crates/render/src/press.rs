//! Pages as PDF at true size, one file for any number of pages.
//!
//! Written with `pdf-writer`, which is small and builds in seconds; the bundled font is embedded
//! whole, with a table back to Unicode so that the text can be searched and read aloud.
//! Characters outside the bundled font come out as its box for a missing character: PDF has no
//! font to fall back on. The SVG of the same page shows them with the viewer's font.

use crate::drawing::{Drawing, Mark, PathCommand, Shape, Stroke, Text, on_circle};
use crate::glyphs::GLYPHS;
use crate::ink::Ink;
use crate::lettering::{BOLD_TTF, REGULAR_TTF, Weight, glyph_id};
use crate::svg_page::GRID_MM;
use pdf_writer::types::{
    CidFontType, FontFlags, LineCapStyle, LineJoinStyle, SystemInfo, UnicodeCmap,
};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::f64::consts::FRAC_PI_2;

/// Points in a millimetre: 72 points are one inch (ISO 32000-1, 8.3.2.3).
const POINTS_PER_MM: f64 = 72.0 / 25.4;

const CATALOG: Ref = Ref::new(1);
const PAGES: Ref = Ref::new(2);
const INFO: Ref = Ref::new(3);
/// Each font takes five objects from here on.
const FONTS: i32 = 10;
const FONT_OBJECTS: i32 = 5;
/// Each page takes two objects from here on.
const FIRST_PAGE: i32 = 30;

const ADOBE_IDENTITY: SystemInfo<'static> = SystemInfo {
    registry: Str(b"Adobe"),
    ordering: Str(b"Identity"),
    supplement: 0,
};

/// All pages in one PDF file. The same pages give the same bytes.
pub fn pdf(pages: &[Drawing], title: &str) -> Vec<u8> {
    let mut out = Pdf::new();
    let language = pages.first().map_or("en", |p| p.language.as_str());
    out.catalog(CATALOG).pages(PAGES).lang(TextStr(language));
    out.document_info(INFO)
        .title(TextStr(title))
        .creator(TextStr("Crossgrain"));
    let ids: Vec<Ref> = (0..pages.len())
        .map(|i| Ref::new(FIRST_PAGE + 2 * i as i32))
        .collect();
    out.pages(PAGES)
        .kids(ids.iter().copied())
        .count(pages.len() as i32);
    let weights = [Weight::Regular, Weight::Bold];
    let (fonts, pressed): (Vec<Vec<u8>>, Vec<Pressed>) = rayon::join(
        || weights.map(|w| packed(font_bytes(w))).to_vec(),
        || pages.par_iter().map(press_page).collect(),
    );
    for ((page, done), id) in pages.iter().zip(&pressed).zip(&ids) {
        add_page(&mut out, page, done, *id);
    }
    for (weight, font) in weights.into_iter().zip(&fonts) {
        add_font(&mut out, weight, font);
    }
    out.finish()
}

fn font_name(weight: Weight) -> Name<'static> {
    match weight {
        Weight::Regular => Name(b"R"),
        Weight::Bold => Name(b"B"),
    }
}

fn font_ref(weight: Weight, part: i32) -> Ref {
    let n = match weight {
        Weight::Regular => 0,
        Weight::Bold => 1,
    };
    Ref::new(FONTS + n * FONT_OBJECTS + part)
}

fn packed(bytes: &[u8]) -> Vec<u8> {
    // Level 2: on sheets a thirteenth larger than the usual 6, in well under half the time.
    miniz_oxide::deflate::compress_to_vec_zlib(bytes, 2)
}

fn font_bytes(weight: Weight) -> &'static [u8] {
    match weight {
        Weight::Regular => REGULAR_TTF,
        Weight::Bold => BOLD_TTF,
    }
}

fn add_font(out: &mut Pdf, weight: Weight, data: &[u8]) {
    let base = match weight {
        Weight::Regular => Name(b"CrossgrainSheet-Regular"),
        Weight::Bold => Name(b"CrossgrainSheet-Bold"),
    };
    let (type0, cid, descriptor, cmap, file) = (
        font_ref(weight, 0),
        font_ref(weight, 1),
        font_ref(weight, 2),
        font_ref(weight, 3),
        font_ref(weight, 4),
    );
    out.type0_font(type0)
        .base_font(base)
        .encoding_predefined(Name(b"Identity-H"))
        .descendant_font(cid)
        .to_unicode(cmap);
    let mut widths: BTreeMap<u16, f32> = BTreeMap::new();
    let mut letters: BTreeMap<u16, char> = BTreeMap::new();
    for (code, glyph, regular, bold) in GLYPHS {
        widths.insert(
            *glyph,
            f32::from(match weight {
                Weight::Regular => *regular,
                Weight::Bold => *bold,
            }),
        );
        if let Some(c) = char::from_u32(*code) {
            letters.entry(*glyph).or_insert(c);
        }
    }
    let mut font = out.cid_font(cid);
    font.subtype(CidFontType::Type2)
        .base_font(base)
        .system_info(ADOBE_IDENTITY)
        .font_descriptor(descriptor)
        .default_width(0.0)
        .cid_to_gid_map_predefined(Name(b"Identity"));
    let mut w = font.widths();
    for (glyph, width) in &widths {
        w.consecutive(*glyph, [*width]);
    }
    w.finish();
    font.finish();
    // Box, ascent, descent, capitals and stem of the font's own tables (head, hhea, OS/2).
    out.font_descriptor(descriptor)
        .name(base)
        .flags(FontFlags::SYMBOLIC)
        .bbox(Rect::new(-200.0, -290.0, 1420.0, 950.0))
        .italic_angle(0.0)
        .ascent(950.0)
        .descent(-290.0)
        .cap_height(668.0)
        .stem_v(if weight == Weight::Bold { 140.0 } else { 80.0 })
        .font_file2(file);
    let mut map = UnicodeCmap::<u16>::new(Name(b"CrossgrainSheet-UTF16"), ADOBE_IDENTITY);
    for (glyph, letter) in &letters {
        map.pair(*glyph, *letter);
    }
    let text = map.finish();
    out.cmap(cmap, &packed(text.as_slice()))
        .name(Name(b"CrossgrainSheet-UTF16"))
        .system_info(ADOBE_IDENTITY)
        .filter(Filter::FlateDecode);
    let mut stream = out.stream(file, data);
    stream.filter(Filter::FlateDecode);
    stream.pair(Name(b"Length1"), font_bytes(weight).len() as i32);
}

/// The marks of a page, packed, and the strengths they use.
struct Pressed {
    packed: Vec<u8>,
    strengths: Vec<f32>,
}

fn press_page(page: &Drawing) -> Pressed {
    let mut press = Press {
        content: Content::new(),
        strengths: Vec::new(),
    };
    let k = POINTS_PER_MM;
    // Millimetres from the top left corner from here on.
    press
        .content
        .transform([k as f32, 0.0, 0.0, -k as f32, 0.0, (page.height * k) as f32]);
    press.marks(&page.marks);
    let bytes = press.content.finish();
    Pressed {
        packed: packed(bytes.as_slice()),
        strengths: press.strengths,
    }
}

fn add_page(out: &mut Pdf, page: &Drawing, pressed: &Pressed, id: Ref) {
    let content_id = Ref::new(id.get() + 1);
    let k = POINTS_PER_MM;
    out.stream(content_id, &pressed.packed)
        .filter(Filter::FlateDecode);
    let mut p = out.page(id);
    p.media_box(Rect::new(
        0.0,
        0.0,
        (page.width * k) as f32,
        (page.height * k) as f32,
    ));
    p.parent(PAGES).contents(content_id);
    let mut resources = p.resources();
    let mut fonts = resources.fonts();
    for weight in [Weight::Regular, Weight::Bold] {
        fonts.pair(font_name(weight), font_ref(weight, 0));
    }
    fonts.finish();
    let mut states = resources.ext_g_states();
    for (i, strength) in pressed.strengths.iter().enumerate() {
        let name = format!("S{i}");
        states
            .insert(Name(name.as_bytes()))
            .start::<pdf_writer::writers::ExtGraphicsState<'_>>()
            .non_stroking_alpha(*strength)
            .stroking_alpha(*strength);
    }
}

struct Press {
    content: Content,
    /// Strengths of groups used on the page, in order of use.
    strengths: Vec<f32>,
}

/// On the grid of the SVG: more digits only make the file longer.
fn short(v: f64) -> f32 {
    ((v / GRID_MM).round() * GRID_MM) as f32
}

fn colour(ink: Ink) -> (f32, f32, f32) {
    let part = |c: u8| ((f64::from(c) / 255.0 * 1000.0).round() / 1000.0) as f32;
    (part(ink.0), part(ink.1), part(ink.2))
}

impl Press {
    fn marks(&mut self, marks: &[Mark]) {
        for m in marks {
            match m {
                Mark::Shape {
                    shape,
                    fill,
                    stroke,
                } => self.shape(shape, *fill, *stroke),
                Mark::Text(t) => self.text(t),
                Mark::Group {
                    class,
                    clip,
                    opacity,
                    marks,
                } => {
                    self.content
                        .begin_marked_content(Name(class.as_bytes()))
                        .save_state();
                    if let Some(c) = clip {
                        self.path(c);
                        self.content.clip_even_odd().end_path();
                    }
                    if *opacity < 1.0 {
                        let strength = short(*opacity);
                        let at = match self.strengths.iter().position(|s| *s == strength) {
                            Some(i) => i,
                            None => {
                                self.strengths.push(strength);
                                self.strengths.len() - 1
                            }
                        };
                        let name = format!("S{at}");
                        self.content.set_parameters(Name(name.as_bytes()));
                    }
                    self.marks(marks);
                    self.content.restore_state().end_marked_content();
                }
            }
        }
    }

    fn shape(&mut self, shape: &Shape, fill: Option<Ink>, stroke: Option<Stroke>) {
        if shape.is_empty() {
            return;
        }
        if let Some(ink) = fill {
            let (r, g, b) = colour(ink);
            self.content.set_fill_rgb(r, g, b);
        }
        if let Some(s) = stroke {
            let (r, g, b) = colour(s.ink);
            let (cap, join) = if s.round {
                (LineCapStyle::RoundCap, LineJoinStyle::RoundJoin)
            } else {
                (LineCapStyle::ButtCap, LineJoinStyle::MiterJoin)
            };
            self.content
                .set_stroke_rgb(r, g, b)
                .set_line_width(short(s.width))
                .set_line_cap(cap)
                .set_line_join(join)
                // SVG's own limit, so that both presses cut the same corners.
                .set_miter_limit(4.0)
                .set_dash_pattern(s.dash.iter().flat_map(|d| [short(d.0), short(d.1)]), 0.0);
        }
        self.path(shape);
        match (fill.is_some(), stroke.is_some()) {
            (true, true) => self.content.fill_even_odd_and_stroke(),
            (true, false) => self.content.fill_even_odd(),
            (false, true) => self.content.stroke(),
            (false, false) => self.content.end_path(),
        };
    }

    fn path(&mut self, shape: &Shape) {
        for step in &shape.steps {
            match *step {
                PathCommand::Move(p) => {
                    self.content.move_to(short(p.0), short(p.1));
                }
                PathCommand::Line(p) => {
                    self.content.line_to(short(p.0), short(p.1));
                }
                PathCommand::Close => {
                    self.content.close_path();
                }
                PathCommand::Arc {
                    centre,
                    radius,
                    from,
                    sweep,
                } => {
                    // A quarter circle as one cubic is right to 0.03% of its radius: under a
                    // hundredth of a millimetre for any arc on a page.
                    let n = (sweep.abs() / FRAC_PI_2).ceil().max(1.0);
                    let step = sweep / n;
                    let k = 4.0 / 3.0 * (step / 4.0).tan() * radius;
                    for i in 0..(n as usize) {
                        let a = from + step * i as f64;
                        let b = a + step;
                        let (p, q) = (on_circle(centre, radius, a), on_circle(centre, radius, b));
                        self.content.cubic_to(
                            short(p.0 - k * a.sin()),
                            short(p.1 + k * a.cos()),
                            short(q.0 + k * b.sin()),
                            short(q.1 - k * b.cos()),
                            short(q.0),
                            short(q.1),
                        );
                    }
                }
            }
        }
    }

    fn text(&mut self, t: &Text) {
        let glyphs: Vec<u8> = t
            .content
            .chars()
            .flat_map(|c| glyph_id(c).unwrap_or(0).to_be_bytes())
            .collect();
        let (r, g, b) = colour(t.ink);
        self.content
            .set_fill_rgb(r, g, b)
            .begin_text()
            .set_font(font_name(t.weight), short(t.size))
            // The page is upside down here; the letters must not be.
            .set_text_matrix([1.0, 0.0, 0.0, -1.0, short(t.left()), short(t.at.1)])
            .show(Str(&glyphs))
            .end_text();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Anchor, Pen};
    use crate::ink::BLACK;

    #[test]
    fn a_pdf_has_its_pages_at_true_size() {
        let mut pen = Pen::new();
        pen.fill(Shape::circle((50.0, 50.0), 10.0), BLACK);
        pen.text("Señal <7>", (10.0, 20.0), 5.0, Weight::Bold, Anchor::Start);
        let page = Drawing {
            width: 215.9,
            height: 279.4,
            title: "x".into(),
            language: "en".into(),
            marks: pen.marks,
        };
        let bytes = pdf(&[page.clone(), page], "two pages");
        let text = String::from_utf8_lossy(&bytes);
        assert!(text.starts_with("%PDF-"));
        // Letter is 612 x 792 points.
        assert!(text.contains("/MediaBox [0 0 612 792]"), "size");
        assert!(text.contains("/Count 2"));
    }
}
