//! The key: only what a sheet shows.

use super::blocks::SheetBlock;
use super::settings::cleanup_sense;
use crate::crew::{head_sign, plate_sign};
use crate::drawing::{Anchor, PathCommand, Pen, Shape, Spot, Stroke};
use crate::hatch::hatch;
use crate::ink::{BLACK, GRASS_DARK, GRASS_LIGHT, GRASS_RING, GREY, HAIR_MM, SMALL_MM, THIN_MM};
use crate::lettering::{Rect, Weight, baseline_mm, leading_mm, shorten, width_mm};
use crate::map;
use crate::words::Words;
use crossgrain_core::{Fairway, KeepOutKind, Mow, PatternKind};
use std::f64::consts::FRAC_PI_2;

/// Which signs the key explains.
pub(super) struct KeyOf<'a> {
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
    /// Whether sprinkler heads are drawn.
    pub heads: bool,
    /// Whether yardage plates are drawn.
    pub plates: bool,
}

/// The middle of a swatch.
fn middle(swatch: &Shape) -> Spot {
    let spots: Vec<Spot> = (swatch.steps.iter())
        .filter_map(|s| match s {
            PathCommand::Move(p) | PathCommand::Line(p) => Some(*p),
            _ => None,
        })
        .collect();
    let n = spots.len().max(1) as f64;
    let sum = spots.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
    (sum.0 / n, sum.1 / n)
}

/// The key: only what this sheet shows.
pub(super) fn key(of: &KeyOf<'_>, words: &Words, width: f64) -> SheetBlock {
    laid_out(&items(of), words, width)
}

/// What draws a swatch, and the key of its words.
type Item = (fn(&mut Pen, &Shape), &'static str);

/// Every sign of the sheet in the order of the key.
fn items(of: &KeyOf<'_>) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    let (light, dark) = if of.toward_green {
        ("key.toward", "key.away")
    } else {
        ("key.first_way", "key.other_way")
    };
    if of.mow.pattern() != PatternKind::Loops {
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
    items.extend(kept_out(of.fairway));
    if !of.fairway.no_turn().0.is_empty() {
        items.push((map::no_turn, "key.no_turn"));
    }
    if of.heads {
        items.push((|p, s| head_sign(p, middle(s)), "key.heads"));
    }
    if of.plates {
        items.push((|p, s| plate_sign(p, middle(s)), "key.plates"));
    }
    items
}

/// What is kept out of, each kind that the fairway has.
fn kept_out(fairway: &Fairway) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    use KeepOutKind as Kind;
    for (kinds, draw, word) in [
        (
            &[Kind::Bunker][..],
            (|p, s| map::keep_out(p, s, Kind::Bunker)) as fn(&mut Pen, &Shape),
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
        if fairway.keep_outs().iter().any(|k| kinds.contains(&k.kind)) {
            items.push((draw, word));
        }
    }
    items
}

/// The items in rows.
fn laid_out(items: &[Item], words: &Words, width: f64) -> SheetBlock {
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
    SheetBlock::new(pen.marks, y + row)
}
