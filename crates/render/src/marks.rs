//! Numbers, arrows and words on the map, placed so that none covers another.
//!
//! Numbers stand only where a decision is made: the first passes, a skip, a change of block, every
//! fifth, the last. A mark that finds no free place is left out unless the sheet needs it.

use crate::drawing::{Anchor, Pen, Shape, Spot, Stroke, Text, on_circle};
use crate::ink::{BLACK, HAIR_MM, MEDIUM_MM, SMALL_MM, THIN_MM, WHITE};
use crate::lettering::{Rect, Weight, width_mm};
use crate::map::Layer;
use crate::signs::{arrow, arrow_head, flag, round_rect};
use crate::view::{Part, View};
use crate::words::Words;
use crossgrain_core::{Fairway, KeepOutKind, Mow, Reels, Role};
use geo::Centroid;
use std::ops::Range;

/// Length of a pass arrow's head, mm: half a capital, so that it does not outshout the number.
const HEAD_MM: f64 = 2.6;
/// Room round a number, mm.
const PAD_MM: f64 = 0.6;

/// A numbered piece of the drive: a stripe, a ring, a lane. The reels may lift and lower in it.
#[derive(Debug, Clone, PartialEq)]
pub struct PassMark {
    /// Tracks of the mow, from the first lowered to the last lowered one.
    pub tracks: Range<usize>,
    /// Number in the drive, 1 first.
    pub number: usize,
    /// Layer.
    pub layer: Layer,
    /// Role.
    pub role: Role,
}

/// The numbered pieces of a mow. A leg is what the operator counts: a stripe that lifts over a
/// bunker is still one stripe.
pub fn passes(mow: &Mow) -> Vec<PassMark> {
    let mut out: Vec<PassMark> = Vec::new();
    for leg in &mow.legs {
        let down = |i: &usize| mow.tracks.get(*i).is_some_and(|t| t.reels == Reels::Down);
        let (Some(first), Some(last)) = (
            leg.tracks.clone().find(down),
            leg.tracks.clone().rev().find(down),
        ) else {
            continue;
        };
        out.push(PassMark {
            tracks: first..last + 1,
            number: out.len() + 1,
            layer: Layer::of(leg.role),
            role: leg.role,
        });
    }
    out
}

/// The place of a role across the ground, where it has one.
pub fn place(role: Role) -> Option<i64> {
    match role {
        Role::Stripe { index, .. } | Role::Contour { index } => Some(i64::from(index)),
        Role::Lane { lane } => Some(i64::from(lane)),
        Role::CleanUp { ring } | Role::Ring { ring } => Some(i64::from(ring)),
        Role::TouchUp => None,
    }
}

/// Keeps what is taken on a page.
#[derive(Debug, Clone)]
pub struct Places {
    taken: Vec<Rect>,
}

impl Places {
    /// Nothing taken.
    pub fn new() -> Self {
        Self { taken: Vec::new() }
    }

    /// Marks a place as taken.
    pub fn take(&mut self, r: Rect) {
        self.taken.push(r);
    }

    /// Whether all of these are free and inside.
    pub fn free(&self, rects: &[Rect], within: &Rect) -> bool {
        rects
            .iter()
            .all(|r| within.holds(r) && !self.taken.iter().any(|t| t.meets(r)))
    }
}

impl Default for Places {
    fn default() -> Self {
        Self::new()
    }
}

/// Draws words and numbers of one part of the map.
pub struct Marks<'a> {
    /// The fairway.
    pub fairway: &'a Fairway,
    /// The mow.
    pub mow: &'a Mow,
    /// Words.
    pub words: &'a Words,
    /// The passes.
    pub passes: &'a [PassMark],
}

impl Marks<'_> {
    /// Everything of one part, into `pen`.
    pub fn draw(&self, pen: &mut Pen, part: &Part, places: &mut Places) {
        self.ends(pen, part, places);
        self.goals(pen, part, places);
        self.numbers(pen, part, places);
        self.waters(pen, part, places);
    }

    /// Where the first pass starts, where the last one ends, where to come in.
    fn ends(&self, pen: &mut Pen, part: &Part, places: &mut Places) {
        let view = &part.view;
        let first = self.mow.tracks.iter().find(|t| t.reels == Reels::Down);
        if let Some(t) = first {
            let p = t.start();
            let at = view.spot(p.at);
            if inside(part, at) {
                let angle = view.angle(p.heading_rad);
                // The arrow leaves the start along the pass.
                let tip = on_circle(at, 7.0, angle);
                places.take(around(at, 1.6));
                places.take(around(tip, 1.2));
                pen.fill_stroke(Shape::circle(at, 1.5), BLACK, Stroke::solid(WHITE, THIN_MM));
                halo_arrow(pen, at, tip);
                self.flagged(pen, part, places, at, self.words.say("start"), true);
            }
        }
        if let Some(t) = self.mow.tracks.last() {
            let at = view.spot(t.end().at);
            if inside(part, at) {
                places.take(around(at, 1.6));
                pen.fill_stroke(
                    Shape::rect(around(at, 1.4)),
                    WHITE,
                    Stroke::solid(BLACK, MEDIUM_MM),
                );
                pen.fill(Shape::rect(around(at, 0.6)), BLACK);
                self.flagged(pen, part, places, at, self.words.say("finish"), false);
            }
        }
        if let Some(c) = self.fairway.way_in {
            let at = view.spot(c);
            let start = first.map(|t| view.spot(t.start().at));
            if inside(part, at) {
                let angle = start.map_or(0.0, |s| (s.1 - at.1).atan2(s.0 - at.0));
                places.take(around(at, 2.5));
                pen.fill(arrow_head(on_circle(at, 2.5, angle), angle, 5.0), BLACK);
                self.flagged(pen, part, places, at, self.words.say("way_in"), false);
            }
        }
    }

    /// A word in a box beside a point, with a leader.
    fn flagged(
        &self,
        pen: &mut Pen,
        part: &Part,
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
        pen.stroke(Shape::line(at, near), Stroke::solid(BLACK, THIN_MM));
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
    fn goals(&self, pen: &mut Pen, part: &Part, places: &mut Places) {
        for k in &self.fairway.keep_outs {
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
    fn word(&self, pen: &mut Pen, part: &Part, places: &mut Places, at: Spot, word: &str) -> bool {
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

    fn waters(&self, pen: &mut Pen, part: &Part, places: &mut Places) {
        for k in &self.fairway.keep_outs {
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
        if let Some(c) = self.fairway.no_turn.centroid() {
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

    /// Which passes carry a number, the most needed first.
    fn wanted(&self) -> Vec<&PassMark> {
        let n = self.passes.len();
        let mut ranked: Vec<(u32, &PassMark)> = Vec::new();
        let mut in_layer = 0;
        for (i, p) in self.passes.iter().enumerate() {
            let before = i.checked_sub(1).map(|j| &self.passes[j]);
            let after = self.passes.get(i + 1);
            let fresh = before.is_none_or(|b| b.layer != p.layer);
            in_layer = if fresh { 1 } else { in_layer + 1 };
            let closing = after.is_none_or(|a| a.layer != p.layer);
            let skip = match (before.and_then(|b| place(b.role)), place(p.role)) {
                (Some(a), Some(b)) => !fresh && (a - b).abs() > 1,
                _ => false,
            };
            let rank = if fresh || i + 1 == n {
                0
            } else if closing || in_layer <= 3 {
                1
            } else if skip {
                2
            } else if p.layer == Layer::Lanes {
                3
            } else if p.number % 5 == 0 {
                4
            } else {
                continue;
            };
            ranked.push((rank, p));
        }
        ranked.sort_by_key(|r| r.0);
        ranked.into_iter().map(|r| r.1).collect()
    }

    fn numbers(&self, pen: &mut Pen, part: &Part, places: &mut Places) {
        for p in self.wanted() {
            self.number(pen, &part.view, part, places, p);
        }
    }

    /// A number near the start of a pass with an arrow after it.
    fn number(&self, pen: &mut Pen, view: &View, part: &Part, places: &mut Places, p: &PassMark) {
        let k = view.mm_per_m();
        let total_mm = self.reach_mm(view, p);
        if total_mm < 9.0 {
            return;
        }
        let content = p.number.to_string();
        let w = width_mm(&content, SMALL_MM, Weight::Bold);
        // From just inside the start to the middle of the pass.
        let most = (total_mm / 2.0).min(60.0);
        let mut s = 4.0;
        while s <= most {
            if let Some((at, angle)) = self.along(view, p, s / k).filter(|a| inside(part, a.0)) {
                let t = label(&content, (at.0, at.1 + 0.35 * SMALL_MM));
                let r = t.rect();
                let pill = Rect::new(
                    r.x - PAD_MM,
                    r.y - PAD_MM,
                    r.w + 2.0 * PAD_MM,
                    r.h + 2.0 * PAD_MM,
                );
                let gap = 0.5 * (w * angle.cos().abs() + 3.0 * angle.sin().abs()) + PAD_MM;
                let tip = on_circle(at, gap + HEAD_MM + 0.6, angle);
                let head = arrow_head(tip, angle, HEAD_MM);
                let head_box = around(on_circle(tip, -HEAD_MM / 2.0, angle), HEAD_MM * 0.55);
                if places.free(&[pill, head_box], &part.frame) {
                    places.take(pill);
                    places.take(head_box);
                    pen.fill_stroke(round_rect(pill, 1.0), WHITE, Stroke::solid(BLACK, HAIR_MM));
                    pen.text(content, t.at, SMALL_MM, Weight::Bold, Anchor::Middle);
                    pen.fill_stroke(head, BLACK, Stroke::solid(WHITE, HAIR_MM));
                    return;
                }
            }
            s += 1.5;
        }
    }

    /// How far a pass goes on paper, mm: a lane of loops from end to end, since its number stands
    /// on the lane and would stray off the ground by the length of the loops.
    fn reach_mm(&self, view: &View, p: &PassMark) -> f64 {
        let tracks = &self.mow.tracks[p.tracks.clone()];
        match (p.layer, tracks.first(), tracks.last()) {
            (Layer::Lanes, Some(first), Some(last)) => {
                let a = view.spot(first.path.start().at);
                let b = view.spot(last.path.end().at);
                (b.0 - a.0).hypot(b.1 - a.1)
            }
            _ => tracks.iter().map(|t| t.path.length_m()).sum::<f64>() * view.mm_per_m(),
        }
    }

    /// Page point and direction `s_m` metres into a pass; down the lane for loops, because the
    /// loop itself turns every way.
    fn along(&self, view: &View, p: &PassMark, s_m: f64) -> Option<(Spot, f64)> {
        if p.layer == Layer::Lanes {
            let tracks = &self.mow.tracks[p.tracks.clone()];
            let a = view.spot(tracks.first()?.path.start().at);
            let b = view.spot(tracks.last()?.path.end().at);
            let angle = (b.1 - a.1).atan2(b.0 - a.0);
            return Some((on_circle(a, s_m * view.mm_per_m(), angle), angle));
        }
        let mut left = s_m;
        for t in &self.mow.tracks[p.tracks.clone()] {
            let len = t.path.length_m();
            if left <= len {
                let pose = t.path.pose_at(left);
                return Some((view.spot(pose.at), view.angle(pose.heading_rad)));
            }
            left -= len;
        }
        None
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

/// A square round a point.
fn around(c: Spot, half: f64) -> Rect {
    Rect::new(c.0 - half, c.1 - half, 2.0 * half, 2.0 * half)
}

/// Whether a page point lies in a part, between its match lines.
fn inside(part: &Part, at: Spot) -> bool {
    part.frame.holds(&Rect::new(at.0, at.1, 0.0, 0.0))
        && part.match_below.is_none_or(|y| at.1 <= y)
        && part.match_above.is_none_or(|y| at.1 > y)
}

fn halo_arrow(pen: &mut Pen, from: Spot, to: Spot) {
    let angle = (to.1 - from.1).atan2(to.0 - from.0);
    pen.stroke(
        Shape::line(from, on_circle(to, -1.0, angle)),
        Stroke::solid(WHITE, 2.0),
    );
    arrow(pen, from, to, 1.0, 3.4);
}
