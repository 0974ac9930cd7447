//! Words and signs on the map, placed so that none covers another.
//!
//! A word that finds no free place is left out unless the sheet needs it.

use crate::crew::{ForCrew, head_sign, plate_sign};
use crate::drawing::{Anchor, Mark, Pen, Shape, Spot, Stroke, Text, on_circle};
use crate::ink::{BLACK, MEDIUM_MM, SMALL_MM, THIN_MM, WHITE};
use crate::lettering::{Rect, Weight, width_mm};
use crate::places::{Layers, Places, around, inside};
use crate::signs::{arrow_head, flag, round_rect};
use crate::step_marks;
use crate::view::MapPart;
use crate::words::Words;
use crossgrain_core::{Fairway, KeepOutKind, Mow, Reels};
use geo::Centroid;
use geo_types::Coord;
use std::ops::Range;

/// Room round a word, mm.
const PAD_MM: f64 = 0.6;

/// Draws the words and letters of one part of the map.
pub struct Marks<'a> {
    /// The fairway.
    pub fairway: &'a Fairway,
    /// The mow.
    pub mow: &'a Mow,
    /// Words.
    pub words: &'a Words,
    /// What stands in the turf.
    pub crew: &'a ForCrew<'a>,
    /// The steps this page tells.
    pub steps: Range<usize>,
}

impl Marks<'_> {
    /// Everything of one part: arrows and leaders first, so that none of them crosses a word.
    pub fn draw(&self, part: &MapPart, places: &mut Places) -> Vec<Mark> {
        let mut at = Layers::default();
        self.in_the_turf(&mut at.under, part);
        self.ends(&mut at, part, places);
        step_marks::letters(&mut at, self.mow, self.steps.clone(), part, places);
        self.goals(&mut at.over, part, places);
        self.waters(&mut at.over, part, places);
        at.under.marks.extend(at.over.marks);
        at.under.marks
    }

    /// Sprinkler heads and yardage plates, below everything that is written.
    fn in_the_turf(&self, pen: &mut Pen, part: &MapPart) {
        let seen = |places: &[Coord<f64>]| -> Vec<Spot> {
            let spots = places.iter().map(|p| part.view.spot(*p));
            spots.filter(|at| inside(part, *at)).collect()
        };
        for at in seen(self.crew.sprinkler_heads) {
            head_sign(pen, at);
        }
        for at in seen(self.crew.yardage_plates) {
            plate_sign(pen, at);
        }
    }

    /// Where the first pass starts, where the last one ends, where to come in.
    fn ends(&self, at_layer: &mut Layers, part: &MapPart, places: &mut Places) {
        let view = &part.view;
        let Layers { under, over } = at_layer;
        let first = self.mow.tracks().find(|t| t.reels == Reels::Down);
        let begins = self.steps.start == 0;
        let ends = self.steps.end >= self.mow.steps().len();
        if let Some(t) = first.filter(|_| begins) {
            let at = view.spot(t.start().at);
            if inside(part, at) {
                places.take(around(at, 1.6));
                under.fill_stroke(Shape::circle(at, 1.5), BLACK, Stroke::solid(WHITE, THIN_MM));
                self.flagged(under, over, part, places, at, self.words.say("start"), true);
            }
        }
        if let Some(t) = self.mow.tracks().as_slice().last().filter(|_| ends) {
            let at = view.spot(t.end().at);
            if inside(part, at) {
                places.take(around(at, 1.6));
                under.fill_stroke(
                    Shape::rect(around(at, 1.4)),
                    WHITE,
                    Stroke::solid(BLACK, MEDIUM_MM),
                );
                under.fill(Shape::rect(around(at, 0.6)), BLACK);
                self.flagged(
                    under,
                    over,
                    part,
                    places,
                    at,
                    self.words.say("finish"),
                    false,
                );
            }
        }
        if let Some(c) = self.fairway.way_in().filter(|_| begins) {
            let at = view.spot(c);
            let start = first.map(|t| view.spot(t.start().at));
            if inside(part, at) {
                let angle = start.map_or(0.0, |s| (s.1 - at.1).atan2(s.0 - at.0));
                places.take(around(at, 2.5));
                under.fill(arrow_head(on_circle(at, 2.5, angle), angle, 5.0), BLACK);
                self.flagged(
                    under,
                    over,
                    part,
                    places,
                    at,
                    self.words.say("way_in"),
                    false,
                );
            }
        }
    }

    /// A word in a box beside a point, with a leader.
    #[expect(clippy::too_many_arguments, reason = "a leader below, a box above")]
    fn flagged(
        &self,
        under: &mut Pen,
        pen: &mut Pen,
        part: &MapPart,
        places: &mut Places,
        at: Spot,
        word: &str,
        strong: bool,
    ) {
        let (w, h) = (
            width_mm(word, SMALL_MM, Weight::Bold) + 2.4,
            SMALL_MM * 1.25,
        );
        // Nearest first; sideways before up and down, because passes run up and down.
        let mut best: Option<Rect> = None;
        'search: for distance in [4.0, 6.0, 9.0, 13.0, 18.0, 25.0, 35.0] {
            for step in [0, 6, 1, 5, 11, 7, 2, 4, 10, 8, 3, 9] {
                let a = f64::from(step) * std::f64::consts::TAU / 12.0;
                let c = on_circle(at, distance, a);
                // The box's near side stands at the distance, not its middle.
                let r = Rect::new(
                    c.0 - w / 2.0 + a.cos() * w / 2.0,
                    c.1 - h / 2.0 + a.sin() * h / 2.0,
                    w,
                    h,
                );
                if places.free(&[r], &part.frame) {
                    best = Some(r);
                    break 'search;
                }
            }
        }
        let Some(r) = best else { return };
        places.take(r);
        let near = (at.0.clamp(r.x, r.right()), at.1.clamp(r.y, r.bottom()));
        under.stroke(Shape::line(at, near), Stroke::solid(BLACK, THIN_MM));
        let (fill, ink) = if strong {
            (BLACK, WHITE)
        } else {
            (WHITE, BLACK)
        };
        pen.fill_stroke(round_rect(r, 0.8), fill, Stroke::solid(BLACK, THIN_MM));
        pen.coloured_text(
            word,
            (r.x + r.w / 2.0, r.y + h / 2.0 + SMALL_MM * 0.33),
            SMALL_MM,
            Weight::Bold,
            Anchor::Middle,
            ink,
        );
    }

    /// The green and the tee.
    fn goals(&self, pen: &mut Pen, part: &MapPart, places: &mut Places) {
        for k in self.fairway.keep_outs() {
            let key = match k.kind {
                KeepOutKind::Green => "green",
                KeepOutKind::Tee => "tee",
                _ => continue,
            };
            let Some(c) = k.area.centroid() else { continue };
            let at = part.view.spot(c.0);
            if !inside(part, at) {
                continue;
            }
            let flag_box = Rect::new(at.0 - 0.5, at.1 - 7.0, 5.0, 7.0);
            if k.kind == KeepOutKind::Green && part.frame.holds(&flag_box) {
                places.take(flag_box);
                flag(pen, at, 7.0);
            }
            let word = self.words.say(key);
            for (dx, dy) in [(0.0, 4.6), (0.0, -8.6), (12.0, 0.0), (-12.0, 0.0)] {
                if self.word(pen, part, places, (at.0 + dx, at.1 + dy), word) {
                    break;
                }
            }
        }
    }

    /// A bare word on a white ground, if its place is free.
    fn word(
        &self,
        pen: &mut Pen,
        part: &MapPart,
        places: &mut Places,
        at: Spot,
        word: &str,
    ) -> bool {
        let t = label(word, at);
        let r = t.rect();
        let pad = Rect::new(r.x - PAD_MM, r.y, r.w + 2.0 * PAD_MM, r.h);
        if !places.free(&[pad], &part.frame) {
            return false;
        }
        places.take(pad);
        pen.fill(round_rect(pad, 0.8), WHITE);
        pen.text(word, at, SMALL_MM, Weight::Bold, Anchor::Middle);
        true
    }

    fn waters(&self, pen: &mut Pen, part: &MapPart, places: &mut Places) {
        for k in self.fairway.keep_outs() {
            if k.kind.wet()
                && let Some(c) = k.area.centroid()
            {
                let at = part.view.spot(c.0);
                self.word(
                    pen,
                    part,
                    places,
                    (at.0, at.1 + 1.4),
                    self.words.say("map.water"),
                );
            }
        }
        if let Some(c) = self.fairway.no_turn().centroid() {
            let at = part.view.spot(c.0);
            self.word(
                pen,
                part,
                places,
                (at.0, at.1 + 1.4),
                self.words.say("map.no_turn"),
            );
        }
    }
}

fn label(word: &str, at: Spot) -> Text {
    Text {
        content: word.to_string(),
        at,
        size: SMALL_MM,
        weight: Weight::Bold,
        anchor: Anchor::Middle,
        ink: BLACK,
    }
}
