//! The course book: one HTML file that needs no network, and one PDF of all its pages.
//!
//! The file holds the course map, every sheet in every language, and the drive of each mow to play
//! back. All that comes from the course file travels as escaped JSON and is put on the page as
//! text only. A content security policy lets nothing run but the book's own script.

use crate::cautions::{self, Signal};
use crate::crew::ForCrew;
use crate::drawing::Drawing;
use crate::grass::light_direction;
use crate::json;
use crate::lettering::clean;
use crate::overview::{Planned, overview};
use crate::page::{Lie, Paper};
use crate::pieces::Pieces;
use crate::sentences::said;
use crate::sheet::{Left, SheetInput, left_of, sheet};
use crate::svg_page;
use crate::view::up_rad;
use crate::ways::tracks_of;
use crate::words::{Language, Words};
use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_core::{Course, Fairway, KeepOutKind, Mow, Mower, PatternKind, Reels, Segment};
use crossgrain_metrics::Measures;
use geo::{BoundingRect, InteriorPoint};
use geo_types::{MultiPolygon, Polygon};
use rayon::prelude::*;
use std::f64::consts::FRAC_PI_2;

const PAGE: &str = include_str!("../book/book.html");
const CSS: &str = include_str!("../book/book.css");
const SCRIPT: &str = include_str!("../book/book.js");
/// SHA-256 of the script, base64, for the content security policy; a test recomputes it.
const SCRIPT_HASH: &str = "sha256-gappcJb8HG5TdXemHW0wHX8v0TUJgebQ8X9DqYKbBQE=";

/// One mow of the book.
#[derive(Debug, Clone, Copy)]
pub struct BookEntry<'a> {
    /// The fairway.
    pub fairway: &'a Fairway,
    /// The mow.
    pub mow: &'a Mow,
    /// Its measures.
    pub measures: &'a Measures,
    /// What it leaves on the ground, where that is known already.
    pub left: Option<&'a Left>,
    /// The pages of its sheet in the book's first language, where they are drawn already.
    pub pages: Option<&'a [Drawing]>,
}

/// Everything a book shows.
#[derive(Debug, Clone)]
pub struct BookInput<'a> {
    /// The course.
    pub course: &'a Course,
    /// The mower.
    pub mower: &'a Mower,
    /// The mows, in the order of the pages.
    pub entries: &'a [BookEntry<'a>],
    /// Paper.
    pub paper: Paper,
    /// The crew's units.
    pub units: UnitSystem,
    /// The language it opens in; the others can be chosen.
    pub language: Language,
    /// Height of cut, metres; a line to write on without.
    pub height_of_cut_m: Option<f64>,
    /// Date as it is to stand on the sheets.
    pub date: Option<&'a str>,
    /// Whom to call, when play begins, what stands in the turf.
    pub crew: ForCrew<'a>,
}

impl BookInput<'_> {
    fn sheet(&self, entry: &BookEntry<'_>, left: &Left, words: &Words) -> Vec<Drawing> {
        sheet(&SheetInput {
            left: Some(left),
            height_of_cut_m: self.height_of_cut_m,
            date: self.date,
            crew: self.crew,
            ..SheetInput::new(
                self.course,
                entry.fairway,
                self.mower,
                entry.mow,
                entry.measures,
                self.paper,
                words,
            )
        })
    }
}

/// The overview page that stands before the sheets in the printed book.
pub fn first_page(input: &BookInput<'_>) -> Drawing {
    let words = Words::of(input.language, input.units);
    let planned: Vec<Planned<'_>> = input
        .entries
        .iter()
        .map(|e| Planned {
            fairway: e.fairway,
            mow: e.mow,
            measures: e.measures,
        })
        .collect();
    overview(input.course, &planned, input.paper, &words)
}

/// The book as one HTML file.
pub fn html(input: &BookInput<'_>) -> String {
    let words = Words::of(input.language, input.units);
    let course = clean(&input.course.name);
    let (w, h) = input.paper.lying_mm(Lie::Portrait);
    let title = format!("{}: {course}", words.say("book.title"));
    // One pass over the template, so that nothing that is filled in is read as a place again.
    let mut out = String::new();
    let mut rest = PAGE;
    while let Some((before, after)) = rest.split_once("{{") {
        out.push_str(before);
        let Some((key, tail)) = after.split_once("}}") else {
            break;
        };
        match key {
            "language" => out.push_str(words.code()),
            "script_hash" => out.push_str(SCRIPT_HASH),
            "title" => out.push_str(&escape(&title)),
            "course" => out.push_str(&escape(&course)),
            "fonts" => out.push_str(&svg_page::font_faces()),
            "css" => out.push_str(CSS),
            "page_rules" => out.push_str(&page_rules(w, h)),
            "data" => data(&mut out, input),
            "script" => out.push_str(SCRIPT),
            _ => {}
        }
        rest = tail;
    }
    out.push_str(rest);
    out
}

/// Print rules for a paper. A leaf is half a millimetre short of its page: an element exactly as
/// tall as the page may be rounded up and drag a blank page behind it.
fn page_rules(w: f64, h: f64) -> String {
    format!(
        "@page{{size:{w}mm {h}mm;margin:0}}@page wide{{size:{h}mm {w}mm;margin:0}}\
         @media print{{.leaf{{height:{}mm}}.leaf.wide{{page:wide;height:{}mm}}}}",
        h - 0.5,
        w - 0.5
    )
}

/// Text as HTML text.
fn escape(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

fn data(out: &mut String, input: &BookInput<'_>) {
    let languages: Vec<Words> = Language::ALL
        .into_iter()
        .map(|l| Words::of(l, input.units))
        .collect();
    let at = Language::ALL
        .iter()
        .position(|l| *l == input.language)
        .unwrap_or(0);
    let mut j = json::Writer::new(out);
    j.object(|j| {
        j.key("course").text(&clean(&input.course.name));
        j.key("language").number(at as f64, 0);
        j.key("languages").list(&languages, |j, w| j.text(w.code()));
        j.key("words").list(&languages, |j, w| {
            j.object(|j| {
                for key in w.keys().filter(|k| {
                    k.starts_with("book.")
                        || k.starts_with("pattern.")
                        || matches!(*k, "fairway" | "warning" | "language_name")
                }) {
                    j.key(key).text(w.say(key));
                }
            });
        });
        j.key("warnings").list(&languages, |j, w| {
            let lines: Vec<String> = cautions::general(w)
                .into_iter()
                .filter(|g| g.0 != Signal::Notice)
                .flat_map(|g| g.1)
                .chain([w.say("notice.manual").to_string()])
                .collect();
            j.list(&lines, |j, l| j.text(l));
        });
        let mut kinds: Vec<PatternKind> = Vec::new();
        for e in input.entries {
            if !kinds.contains(&e.mow.pattern()) {
                kinds.push(e.mow.pattern());
            }
        }
        j.key("patterns").list(&kinds, |j, k| j.text(k.word()));
        j.key("turning").number(input.mower.speeds.turning_m_s, 3);
        j.key("transport")
            .number(input.mower.speeds.transport_m_s, 3);
        bounds(j, input.course);
        j.key("fairways").list(&input.course.fairways, |j, f| {
            j.object(|j| {
                j.key("name").text(&short_name(f.name()));
                // A number on each part of a fairway in parts.
                let at: Vec<_> = (f.ground().0.iter())
                    .filter_map(|p| p.interior_point())
                    .collect();
                j.key("at").list(&at, |j, p| {
                    j.list(&[p.x(), p.y()], |j, v| j.number(*v, 1));
                });
                j.key("outline");
                polygons(j, f.outline());
            });
        });
        // The sheets are most of the work; each mow is written by itself, in the order given.
        let mows: Vec<String> = input
            .entries
            .par_iter()
            .map(|e| {
                let mut out = String::new();
                entry(&mut json::Writer::new(&mut out), input, e, &languages);
                out
            })
            .collect();
        j.key("mows").list(&mows, |j, m| j.written(m));
    });
}

/// Long names are for the title of the sheet, which shortens them to fit.
fn short_name(name: &str) -> String {
    clean(name).chars().take(60).collect()
}

fn bounds(j: &mut json::Writer<'_>, course: &Course) {
    let mut b = [
        f64::INFINITY,
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::NEG_INFINITY,
    ];
    for r in course
        .fairways
        .iter()
        .filter_map(|f| f.outline().bounding_rect())
    {
        b = [
            b[0].min(r.min().x),
            b[1].min(r.min().y),
            b[2].max(r.max().x),
            b[3].max(r.max().y),
        ];
    }
    if !b.iter().all(|v| v.is_finite()) {
        b = [0.0, 0.0, 1.0, 1.0];
    }
    j.key("bounds").list(&b, |j, v| j.number(*v, 1));
}

fn polygons(j: &mut json::Writer<'_>, area: &MultiPolygon<f64>) {
    j.list(&area.0, rings);
}

fn rings(j: &mut json::Writer<'_>, p: &Polygon<f64>) {
    let all: Vec<_> = std::iter::once(p.exterior()).chain(p.interiors()).collect();
    j.list(&all, |j, ring| {
        j.list(&ring.0, |j, c| {
            j.list(&[c.x, c.y], |j, v| j.number(*v, 1));
        });
    });
}

fn entry(j: &mut json::Writer<'_>, input: &BookInput<'_>, e: &BookEntry<'_>, languages: &[Words]) {
    let own;
    let left = match e.left {
        Some(left) => left,
        None => {
            own = left_of(e.fairway, input.mower, e.mow, e.measures);
            &own
        }
    };
    let up = up_rad(e.fairway);
    let (light, _) = light_direction(e.mow, up);
    let index = input
        .course
        .fairways
        .iter()
        .position(|f| std::ptr::eq(f, e.fairway))
        .or_else(|| input.course.fairways.iter().position(|f| f == e.fairway))
        .unwrap_or(0);
    j.object(|j| {
        j.key("fairway").number(index as f64, 0);
        j.key("pattern").text(e.mow.pattern().word());
        j.key("minutes").number(e.measures.minutes, 3);
        j.key("width").number(input.mower.cutting_width_m(), 3);
        let speed = match e.mow.pattern() {
            PatternKind::Loops => input.mower.speeds.loops_m_s,
            _ => input.mower.speeds.mowing_m_s,
        };
        j.key("speed").number(speed, 3);
        j.key("turn").number(FRAC_PI_2 - up, 4);
        j.key("light").number(light, 4);
        j.key("outline");
        polygons(j, e.fairway.outline());
        kept_out(j, e.fairway);
        tracks(j, e.mow);
        figures(j, e.measures, languages);
        steps(j, e, languages);
        sheets(j, input, e, left, languages);
    });
}

/// What is kept out of: its kind and its rings.
fn kept_out(j: &mut json::Writer<'_>, fairway: &Fairway) {
    j.key("keepOuts").list(fairway.keep_outs(), |j, k| {
        j.array(|j| {
            // The page tells these apart and draws the rest alike.
            j.item().text(match k.kind {
                KeepOutKind::Water | KeepOutKind::Stream | KeepOutKind::Wetland => "water",
                KeepOutKind::Bunker => "bunker",
                KeepOutKind::Trees | KeepOutKind::Scrub => "trees",
                KeepOutKind::Green => "green",
                KeepOutKind::Tee => "tee",
                _ => "other",
            });
            rings(j.item(), &k.area);
        });
    });
}

/// The drive: reels, line or arc, numbers.
fn tracks(j: &mut json::Writer<'_>, mow: &Mow) {
    j.key("tracks").list(mow.tracks().as_slice(), |j, t| {
        let down = f64::from(u8::from(t.reels == Reels::Down));
        match t.path {
            Segment::Line { from, to } => {
                j.list(&[down, 0.0, from.x, from.y, to.x, to.y], |j, v| {
                    j.number(*v, 2);
                });
            }
            Segment::Arc(a) => {
                j.array(|j| {
                    for (v, places) in [
                        (down, 0),
                        (1.0, 0),
                        (a.centre.x, 2),
                        (a.centre.y, 2),
                        (a.radius_m, 2),
                        (a.from_rad, 3),
                        (a.sweep_rad, 3),
                    ] {
                        j.item().number(v, places);
                    }
                });
            }
        }
    });
}

/// The figures in every language.
fn figures(j: &mut json::Writer<'_>, m: &Measures, languages: &[Words]) {
    j.key("figures").list(languages, |j, w| {
        let rows = [
            ("book.figure.area", w.field(m.fairway_m2)),
            ("book.figure.minutes", w.minutes(m.minutes)),
            ("book.figure.passes", m.passes.to_string()),
            ("book.figure.turns", m.turns.to_string()),
            ("book.figure.mean_cuts", w.number(m.mean_cuts, 2)),
            ("book.figure.mowing", w.drive(m.mowing_m)),
            ("book.figure.transport", w.drive(m.transport_m)),
            ("book.figure.missed", w.patch(m.missed_m2)),
            ("book.figure.trim", w.patch(m.trim_m2)),
        ];
        j.list(&rows, |j, (key, value)| {
            j.list(&[w.say(key), value.as_str()], |j, v| j.text(v));
        });
    });
}

/// The pages of every language, one after another, and how many each language has.
fn sheets(
    j: &mut json::Writer<'_>,
    input: &BookInput<'_>,
    e: &BookEntry<'_>,
    left: &Left,
    languages: &[Words],
) {
    let mut counts = Vec::new();
    let mut sheets: Vec<String> = Vec::new();
    for w in languages {
        let own;
        let pages = match e.pages.filter(|_| w.code() == input.language.code()) {
            Some(pages) => pages,
            None => {
                own = input.sheet(e, left, w);
                &own
            }
        };
        counts.push(pages.len());
        sheets.extend(
            pages
                .iter()
                .map(|p| svg_page::inner_document(p).to_string()),
        );
    }
    j.key("pages").list(&counts, |j, n| j.number(*n as f64, 0));
    let pieces = Pieces::of(&sheets);
    pieces.write_shared(j.key("shared"));
    pieces.write_texts(j.key("sheets"));
}

/// Each step: its first track, its letter, and its sentences in every language.
fn steps(j: &mut json::Writer<'_>, e: &BookEntry<'_>, languages: &[Words]) {
    let all: Vec<_> = languages
        .iter()
        .map(|w| said(e.fairway, e.mow, w))
        .collect();
    let numbers: Vec<usize> = (0..e.mow.steps().len()).collect();
    j.key("steps").list(&numbers, |j, i| {
        j.array(|j| {
            let first = tracks_of(e.mow, *i).map_or(0, |t| t.start);
            j.item().number(first as f64, 0);
            let letter = all.first().and_then(|s| s.get(*i)).map(|s| &s.letter);
            j.item().text(letter.map_or("", String::as_str));
            j.item().list(&all, |j, said| {
                let text = said.get(*i).map(|s| s.sentences.join(" "));
                j.text(&text.unwrap_or_default());
            });
        });
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    /// SHA-256 (FIPS 180-4), only to check the constant above.
    fn sha256(message: &[u8]) -> [u8; 32] {
        let primes: Vec<u32> = (2..312u32)
            .filter(|n| (2..*n).take_while(|d| d * d <= *n).all(|d| n % d != 0))
            .collect();
        let root = |n: u32, power: f64| {
            let r = f64::from(n).powf(power);
            ((r - r.floor()) * 4_294_967_296.0) as u32
        };
        let mut h: Vec<u32> = primes[..8].iter().map(|p| root(*p, 0.5)).collect();
        let k: Vec<u32> = primes[..64].iter().map(|p| root(*p, 1.0 / 3.0)).collect();
        let mut data = message.to_vec();
        data.push(0x80);
        while data.len() % 64 != 56 {
            data.push(0);
        }
        data.extend((message.len() as u64 * 8).to_be_bytes());
        for block in data.chunks(64) {
            let mut w: Vec<u32> = block
                .chunks(4)
                .map(|b| u32::from_be_bytes([b[0], b[1], b[2], b[3]]))
                .collect();
            for i in 16..64 {
                let s0 = w[i - 15].rotate_right(7) ^ w[i - 15].rotate_right(18) ^ (w[i - 15] >> 3);
                let s1 = w[i - 2].rotate_right(17) ^ w[i - 2].rotate_right(19) ^ (w[i - 2] >> 10);
                w.push(
                    w[i - 16]
                        .wrapping_add(s0)
                        .wrapping_add(w[i - 7])
                        .wrapping_add(s1),
                );
            }
            let mut v = h.clone();
            for i in 0..64 {
                let s1 = v[4].rotate_right(6) ^ v[4].rotate_right(11) ^ v[4].rotate_right(25);
                let ch = (v[4] & v[5]) ^ (!v[4] & v[6]);
                let t1 = v[7]
                    .wrapping_add(s1)
                    .wrapping_add(ch)
                    .wrapping_add(k[i])
                    .wrapping_add(w[i]);
                let s0 = v[0].rotate_right(2) ^ v[0].rotate_right(13) ^ v[0].rotate_right(22);
                let maj = (v[0] & v[1]) ^ (v[0] & v[2]) ^ (v[1] & v[2]);
                let t2 = s0.wrapping_add(maj);
                v.rotate_right(1);
                v[4] = v[4].wrapping_add(t1);
                v[0] = t1.wrapping_add(t2);
            }
            for (a, b) in h.iter_mut().zip(v) {
                *a = a.wrapping_add(b);
            }
        }
        let mut out = [0; 32];
        for (o, b) in out.iter_mut().zip(h.iter().flat_map(|x| x.to_be_bytes())) {
            *o = b;
        }
        out
    }

    #[test]
    fn the_policy_names_the_script() {
        // FIPS 180-4 example, the message "abc".
        assert_eq!(
            sha256(b"abc")[..4],
            [0xba, 0x78, 0x16, 0xbf],
            "the check itself"
        );
        assert_eq!(
            SCRIPT_HASH,
            format!("sha256-{}", svg_page::base64(&sha256(SCRIPT.as_bytes())))
        );
    }
}
