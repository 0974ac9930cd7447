//! The blocks of words on a sheet: what to set, on arrival, at the wheel, at the end, the key.
//!
//! Each is drawn at the origin in a given width and says how tall it came out; the sheet then
//! finds a place for it.

use crate::drawing::{Anchor, Mark, Pen, Shape, Stroke};
use crate::hatch::hatch;
use crate::ink::{
    BLACK, GRASS_DARK, GRASS_LIGHT, GRASS_RING, GREY, HAIR_MM, HEAD_MM, MEDIUM_MM, SMALL_MM,
    THIN_MM, VALUE_MM, WHITE,
};
use crate::lettering::{
    Rect, Weight, baseline_mm, clean, fit_mm, leading_mm, shorten, width_mm, wrap,
};
use crate::map::{self, Layer};
use crate::marks::{PassMark, place};
use crate::signs::sense_sign;
use crate::words::Words;
use crossgrain_core::{Fairway, KeepOutKind, Mow, Mower, PatternKind, Sense};
use crossgrain_metrics::Measures;
use std::f64::consts::FRAC_PI_2;

/// A drawn block at the origin.
#[derive(Debug, Clone, Default)]
pub struct Block {
    /// Its marks.
    pub marks: Vec<Mark>,
    /// Its height, mm.
    pub height: f64,
}

/// Lines of text under a heading.
pub fn lines(title: &str, lines: &[String], width: f64) -> Block {
    let mut pen = Pen::new();
    let mut y = heading(&mut pen, title, width);
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
    Block {
        marks: pen.marks,
        height: y,
    }
}

/// A block's heading with a rule over it; returns the height used.
pub fn heading(pen: &mut Pen, title: &str, width: f64) -> f64 {
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

/// One thing to set on the mower.
#[derive(Debug, Clone)]
pub struct Setting {
    /// What.
    pub label: String,
    /// To what; empty for a line to write on.
    pub value: String,
    /// A sense sign in front of the value.
    pub sense: Option<Sense>,
}

/// What to set for a mow.
pub fn settings(
    mow: &Mow,
    mower: &Mower,
    height_of_cut_m: Option<f64>,
    words: &Words,
) -> Vec<Setting> {
    let plain = |key: &str, value: String| Setting {
        label: words.say(key).to_string(),
        value,
        sense: None,
    };
    let mut out = vec![
        plain(
            "height_of_cut",
            height_of_cut_m.map_or(String::new(), |h| words.height_of_cut(h)),
        ),
        plain("deck", words.width(mower.cutting_width_m())),
    ];
    match mow.pattern {
        PatternKind::Loops => {
            if let Some(d) = mow.settings.loop_diameter_m {
                out.push(plain("loop_diameter", words.reach(d)));
            }
            out.push(Setting {
                sense: Some(mow.sense),
                ..plain(
                    "loops_sense",
                    words.say(sense_turn_key(mow.sense)).to_string(),
                )
            });
        }
        PatternKind::Rings => {
            out.push(plain("overlap", words.overlap(mow.settings.overlap_m)));
            out.push(Setting {
                sense: Some(mow.sense),
                ..plain(
                    "rings_sense",
                    words.say(sense_turn_key(mow.sense)).to_string(),
                )
            });
        }
        _ => out.push(plain("overlap", words.overlap(mow.settings.overlap_m))),
    }
    let rings = mow
        .legs
        .iter()
        .filter_map(|l| match l.role {
            crossgrain_core::Role::CleanUp { ring } => Some(ring + 1),
            _ => None,
        })
        .max();
    if let Some(n) = rings {
        let value = if n == 1 {
            words.say("cleanup_one").to_string()
        } else {
            words.fill("cleanup_count", &[("count", &n.to_string())])
        };
        out.push(Setting {
            sense: cleanup_sense(mow),
            ..plain("cleanup_sense", value)
        });
    }
    let speed = if mow.pattern == PatternKind::Loops {
        mower.speeds.loops_m_s
    } else {
        mower.speeds.mowing_m_s
    };
    out.push(plain("speed", words.speed(speed)));
    out
}

fn sense_turn_key(sense: Sense) -> &'static str {
    match sense {
        Sense::Clockwise => "sense.cw.turn",
        Sense::CounterClockwise => "sense.ccw.turn",
    }
}

/// The key of a sense's word.
pub fn sense_key(sense: Sense) -> &'static str {
    match sense {
        Sense::Clockwise => "sense.cw",
        Sense::CounterClockwise => "sense.ccw",
    }
}

/// Which way the clean-up passes go round, where there are any.
pub fn cleanup_sense(mow: &Mow) -> Option<Sense> {
    mow.settings.clean_up_sense
}

/// The row of settings, `width` mm wide; more rows where they do not fit.
pub fn settings_row(settings: &[Setting], width: f64) -> Block {
    const PAD: f64 = 2.0;
    const ROW_H: f64 = 14.2;
    let need = |s: &Setting| {
        let value = width_mm(&s.value, VALUE_MM, Weight::Bold)
            + if s.sense.is_some() {
                VALUE_MM + 2.0
            } else {
                0.0
            };
        let label = width_mm(&s.label, SMALL_MM, Weight::Regular);
        // Room to write a height by hand.
        f64::max(label, value).max(22.0) + 2.0 * PAD
    };
    let mut rows: Vec<Vec<&Setting>> = vec![Vec::new()];
    let mut used = 0.0;
    for s in settings {
        let w = need(s);
        if used + w > width && used > 0.0 {
            rows.push(Vec::new());
            used = 0.0;
        }
        used += w;
        if let Some(r) = rows.last_mut() {
            r.push(s);
        }
    }
    let mut pen = Pen::new();
    let mut y = 0.0;
    for row in &rows {
        let total: f64 = row.iter().map(|s| need(s)).sum();
        let spare = (width - total).max(0.0) / row.len() as f64;
        let mut x = 0.0;
        for s in row {
            let w = (need(s) + spare).min(width);
            pen.fill_stroke(
                Shape::rect(Rect::new(x, y, w, ROW_H)),
                WHITE,
                Stroke::solid(BLACK, THIN_MM),
            );
            pen.text(
                shorten(&s.label, SMALL_MM, Weight::Regular, w - 2.0 * PAD),
                (x + PAD, y + 0.4 + baseline_mm(SMALL_MM)),
                SMALL_MM,
                Weight::Regular,
                Anchor::Start,
            );
            let base = y + ROW_H - 2.4;
            let mut vx = x + PAD;
            if let Some(sense) = s.sense {
                sense_sign(&mut pen, (vx + 2.6, base - 2.2), 2.3, sense);
                vx += VALUE_MM + 1.0;
            }
            let room = x + w - PAD - vx;
            if s.value.is_empty() {
                pen.stroke(
                    Shape::line((vx, base), (x + w - PAD, base)),
                    Stroke::dashed(BLACK, THIN_MM, 0.6, 0.9),
                );
            } else {
                let size = fit_mm(&s.value, Weight::Bold, room, VALUE_MM, SMALL_MM);
                pen.text(
                    shorten(&s.value, size, Weight::Bold, room),
                    (vx, base),
                    size,
                    Weight::Bold,
                    Anchor::Start,
                );
            }
            x += w;
        }
        y += ROW_H;
    }
    Block {
        marks: pen.marks,
        height: y,
    }
}

/// The drive in words: which passes, in which order.
///
/// `up_rad` is the direction that points up the page: left and right are the page's.
pub fn order(passes: &[PassMark], mow: &Mow, up_rad: f64, words: &Words) -> Vec<String> {
    let mut out = Vec::new();
    let mut i = 0;
    while i < passes.len() {
        let layer = passes[i].layer;
        let mut j = i;
        while j + 1 < passes.len() && passes[j + 1].layer == layer {
            j += 1;
        }
        let block = &passes[i..=j];
        let (first, last) = (block[0].number.to_string(), passes[j].number.to_string());
        let direction = words.say(direction(block, mow, up_rad));
        let sense = cleanup_sense(mow).unwrap_or(mow.sense);
        let places = [
            ("first", first.as_str()),
            ("last", last.as_str()),
            ("direction", direction),
            (
                "sense",
                words.say(if layer == Layer::Rings {
                    sense_key(mow.sense)
                } else {
                    sense_key(sense)
                }),
            ),
        ];
        let key = match (layer, block.len()) {
            (Layer::CleanUp, 1) => "do_cleanup_one",
            (Layer::CleanUp, _) => "do_cleanup",
            (Layer::Lanes, 1) => "do_lane_one",
            (_, 1) => "do_one",
            (Layer::Stripes(0), _) => "do_stripes",
            (Layer::Stripes(_), _) => "do_second_set",
            (Layer::Lanes, _) => "do_lanes",
            (Layer::Contour, _) => "do_contour",
            (Layer::Rings, _) => "do_rings",
            (Layer::TouchUp, _) => "do_touch_up",
        };
        out.push(words.fill(key, &places));
        i = j + 1;
    }
    // A drive that changes blocks all the time is told by its numbers, not by a list.
    const MOST_LINES: usize = 6;
    if out.len() > MOST_LINES {
        out.truncate(MOST_LINES - 1);
        out.push("…".to_string());
    }
    out
}

/// Left to right or right to left over the page, when the block keeps to one.
fn direction(block: &[PassMark], mow: &Mow, up_rad: f64) -> &'static str {
    const MARKED: &str = "in_marked_order";
    // Places count from the left looking along the heading, of the second set along its own.
    let heading_rad = match block[0].layer {
        Layer::Stripes(0) | Layer::Lanes => mow
            .heading_deg
            .map_or(up_rad, crossgrain_core::model::units::math_rad),
        Layer::Contour => up_rad,
        _ => return MARKED,
    };
    let along = (heading_rad - up_rad).cos();
    // Passes nearly square to the page's height run from top to bottom, not left to right.
    if along.abs() < 0.5 {
        return MARKED;
    }
    let places: Vec<i64> = block.iter().filter_map(|p| place(p.role)).collect();
    let (mut more, mut less) = (0, 0);
    for w in places.windows(2) {
        match w[1] - w[0] {
            0 => {}
            1 => more += 1,
            -1 => less += 1,
            _ => return MARKED,
        }
    }
    match (more > 0, less > 0, along > 0.0) {
        (true, false, true) | (false, true, false) => "left_to_right",
        (false, true, true) | (true, false, false) => "right_to_left",
        _ => MARKED,
    }
}

/// What the end of the mow should look like.
///
/// `drawn` tells whether missed ground is drawn on the map.
pub fn at_the_end(measures: &Measures, drawn: bool, words: &Words, width: f64) -> Block {
    let mut out = vec![words.fill("time_needed", &[("time", &words.minutes(measures.minutes))])];
    const LEAST_M2: f64 = crate::sheet::LEAST_MISSED_M2;
    out.push(if measures.trim_m2 >= LEAST_M2 {
        words.fill("trim_left", &[("area", &words.patch(measures.trim_m2))])
    } else {
        words.say("trim_none").to_string()
    });
    if measures.missed_m2 >= LEAST_M2 {
        let key = if drawn {
            "missed_marked"
        } else {
            "missed_left"
        };
        out.push(words.fill(key, &[("area", &words.patch(measures.missed_m2))]));
    }
    lines(words.say("end"), &out, width)
}

/// Which signs the key explains.
pub struct KeyOf<'a> {
    /// The fairway.
    pub fairway: &'a Fairway,
    /// The mow.
    pub mow: &'a Mow,
    /// Whether there is trim to draw.
    pub trim: bool,
    /// Whether anything is missed.
    pub missed: bool,
    /// Whether light stripes run toward the green (or else the way the clock shows).
    pub toward_green: bool,
}

/// The key: only what this sheet shows.
pub fn key(of: &KeyOf<'_>, words: &Words, width: f64) -> Block {
    type Draw = fn(&mut Pen, &Shape);
    let mut items: Vec<(Draw, &str)> = Vec::new();
    let (light, dark) = if of.toward_green {
        ("key.toward", "key.away")
    } else {
        ("key.first_way", "key.other_way")
    };
    if of.mow.pattern != PatternKind::Loops {
        items.push((|p, s| p.fill(s.clone(), GRASS_LIGHT), light));
        items.push((
            |p, s| {
                p.fill(s.clone(), GRASS_DARK);
                p.stroke(hatch(s, FRAC_PI_2, 2.2), Stroke::solid(GREY, HAIR_MM));
            },
            dark,
        ));
    }
    if cleanup_sense(of.mow).is_some() {
        items.push((|p, s| p.fill(s.clone(), GRASS_RING), "key.cleanup"));
    }
    items.push((
        |p, s| {
            p.stroke(hatch(s, 0.0, 4.4), Stroke::dashed(BLACK, THIN_MM, 1.4, 1.0));
        },
        "key.turn",
    ));
    if of.trim {
        items.push((map::trim, "key.trim"));
    }
    if of.missed {
        items.push((map::missed, "key.missed"));
    }
    use KeepOutKind as Kind;
    for (kinds, draw, word) in [
        (
            &[Kind::Bunker][..],
            (|p, s| map::keep_out(p, s, Kind::Bunker)) as Draw,
            "key.sand",
        ),
        (
            &[Kind::Water, Kind::Stream, Kind::Wetland],
            |p, s| map::keep_out(p, s, Kind::Water),
            "key.water",
        ),
        (
            &[Kind::Trees, Kind::Scrub],
            |p, s| map::keep_out(p, s, Kind::Trees),
            "key.trees",
        ),
        (
            &[Kind::OutOfBounds, Kind::KeepOff, Kind::Other],
            |p, s| map::keep_out(p, s, Kind::Other),
            "key.keep_out",
        ),
        (
            &[Kind::Path],
            |p, s| map::keep_out(p, s, Kind::Path),
            "key.path",
        ),
    ] {
        if of.fairway.keep_outs.iter().any(|k| kinds.contains(&k.kind)) {
            items.push((draw, word));
        }
    }
    if !of.fairway.no_turn.0.is_empty() {
        items.push((map::no_turn, "key.no_turn"));
    }
    let mut pen = Pen::new();
    let (mut x, mut y) = (0.0, 1.0);
    const SWATCH: f64 = 6.5;
    let row = leading_mm(SMALL_MM) + 1.0;
    for (draw, word) in items {
        let word = shorten(
            words.say(word),
            SMALL_MM,
            Weight::Regular,
            width - SWATCH - 1.6,
        );
        let w = SWATCH + 1.6 + width_mm(&word, SMALL_MM, Weight::Regular) + 3.5;
        if x > 0.0 && x + w - 3.5 > width {
            x = 0.0;
            y += row;
        }
        let swatch = Shape::rect(Rect::new(x, y + 0.3, SWATCH, 4.2));
        let mut sample = Pen::new();
        draw(&mut sample, &swatch);
        pen.clipped("swatch", Some(swatch.clone()), 1.0, sample.marks);
        pen.stroke(swatch, Stroke::solid(BLACK, HAIR_MM));
        pen.text(
            word,
            (x + SWATCH + 1.6, y + baseline_mm(SMALL_MM)),
            SMALL_MM,
            Weight::Regular,
            Anchor::Start,
        );
        x += w;
    }
    Block {
        marks: pen.marks,
        height: y + row,
    }
}

/// One row to fill in by hand: date, operator, notes.
pub fn fields(date: Option<&str>, words: &Words, width: f64) -> Block {
    // A line of handwriting needs 8 mm (the ruling of school paper, common practice).
    const ROW_MM: f64 = 8.0;
    const GAP_MM: f64 = 4.0;
    let mut pen = Pen::new();
    let base = ROW_MM - 2.0;
    let mut x = 0.0;
    for (key, share, value) in [
        ("date", 0.22, date.map(clean)),
        ("operator", 0.30, None),
        ("notes", 0.48, None),
    ] {
        let room = (width - 2.0 * GAP_MM) * share;
        let label = words.say(key);
        pen.text(label, (x, base), SMALL_MM, Weight::Regular, Anchor::Start);
        let line = x + width_mm(label, SMALL_MM, Weight::Regular) + 1.5;
        pen.stroke(
            Shape::line((line, base + 1.2), (x + room, base + 1.2)),
            Stroke::solid(BLACK, HAIR_MM),
        );
        if let Some(v) = value {
            pen.text(
                shorten(&v, SMALL_MM, Weight::Regular, x + room - line),
                (line, base),
                SMALL_MM,
                Weight::Regular,
                Anchor::Start,
            );
        }
        x += room + GAP_MM;
    }
    Block {
        marks: pen.marks,
        height: ROW_MM,
    }
}
