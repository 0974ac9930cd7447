//! The letters of the steps on the map: each once, with an arrow along the step's first pass.

use crate::drawing::{Anchor, Pen, Shape, Spot, Stroke, on_circle};
use crate::ink::{BLACK, LETTER_MM, MEDIUM_MM, THIN_MM, WHITE};
use crate::lettering::{Rect, Weight, cap_mm, width_mm};
use crate::places::{Layers, Places, around, inside};
use crate::signs::{arrow, round_rect};
use crate::view::{MapPart, View};
use crossgrain_core::inside::model::step::letter;
use crossgrain_core::{Mow, Reels, StepKind, Track};
use std::f64::consts::TAU;
use std::ops::Range;

/// Length of an arrow, mm, from the letter's edge to its tip.
const ARROW_MM: f64 = 8.0;
/// Length of the arrow's head, mm.
const HEAD_MM: f64 = 3.4;
/// A pass shorter than this on the paper, mm, has its letter beside it on a leader.
const SHORT_MM: f64 = 26.0;
/// Of a pass with its letter beside it, so much is kept free of other marks, mm.
const MAX_KEPT_MM: f64 = 60.0;

/// Draws the letters of the steps that a page tells and whose first pass begins in this part of
/// the map. No letter is left out: one that finds no free place near its pass stands farther off,
/// on a leader.
pub(crate) fn letters(
    at_layer: &mut Layers,
    mow: &Mow,
    steps: Range<usize>,
    part: &MapPart,
    places: &mut Places,
) {
    for i in steps {
        let Some(step) = mow.steps().get(i) else {
            continue;
        };
        let Some(first) = First::of(mow, i, step.kind == StepKind::Lanes) else {
            continue;
        };
        let at = part.view.spot(first.tracks[0].start().at);
        if !inside(part, at) {
            continue;
        }
        let word = letter(i);
        if !on_pass(at_layer, &word, &first, part, places) {
            beside(at_layer, &word, &first, part, places);
        }
    }
}

/// The first pass of a step: the tracks up to the first lift.
struct First<'a> {
    tracks: &'a [Track],
    /// A lane is shown by the line from its first loop to its last: the loop itself turns every
    /// way.
    lane: bool,
}

impl<'a> First<'a> {
    fn of(mow: &'a Mow, step: usize, lane: bool) -> Option<Self> {
        let legs = mow.legs().get(mow.steps().get(step)?.legs.clone())?;
        let own = legs.iter().find_map(|l| {
            let tracks = mow.tracks().as_slice().get(l.tracks.clone())?;
            let from = tracks.iter().position(|t| t.reels == Reels::Down)?;
            let down = |t: &Track| t.reels == Reels::Down;
            let to = if lane {
                tracks.iter().rposition(down)? + 1
            } else {
                let cut = tracks[from..].iter().take_while(|t| down(t));
                from + cut.count()
            };
            tracks.get(from..to)
        })?;
        Some(Self { tracks: own, lane })
    }

    /// Its length on the paper, mm.
    fn length_mm(&self, view: &View) -> f64 {
        if self.lane {
            let (a, b) = self.ends(view);
            return (b.0 - a.0).hypot(b.1 - a.1);
        }
        self.tracks.iter().map(|t| t.path.length_m()).sum::<f64>() * view.mm_per_m()
    }

    fn ends(&self, view: &View) -> (Spot, Spot) {
        let last = &self.tracks[self.tracks.len() - 1];
        (
            view.spot(self.tracks[0].start().at),
            view.spot(last.end().at),
        )
    }

    /// Page point and direction so many millimetres into the pass.
    fn along(&self, view: &View, s_mm: f64) -> Option<(Spot, f64)> {
        if self.lane {
            let (a, b) = self.ends(view);
            let angle = (b.1 - a.1).atan2(b.0 - a.0);
            // Beyond its end there is no lane, and whoever walks along it must come to an end.
            return (s_mm <= self.length_mm(view)).then(|| (on_circle(a, s_mm, angle), angle));
        }
        let mut left = s_mm / view.mm_per_m();
        for t in self.tracks {
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

/// The letter on the pass itself, its arrow after it.
fn on_pass(
    pen: &mut Layers,
    word: &str,
    first: &First<'_>,
    part: &MapPart,
    places: &mut Places,
) -> bool {
    let view = &part.view;
    let length = first.length_mm(view);
    if length < SHORT_MM {
        return false;
    }
    let (w, h) = size(word);
    let mut s = 5.0;
    while s <= (length - ARROW_MM).min(0.5 * length + 10.0) {
        if let Some((at, angle)) = first.along(view, s).filter(|a| inside(part, a.0)) {
            let r = Rect::new(at.0 - w / 2.0, at.1 - h / 2.0, w, h);
            let edge = 0.5 * (w * angle.cos().abs()).max(h * angle.sin().abs());
            let (tail, tip) = (
                on_circle(at, edge, angle),
                on_circle(at, edge + ARROW_MM, angle),
            );
            let shaft =
                [0.35, 0.65, 0.9].map(|t| around(on_circle(tail, t * ARROW_MM, angle), 1.0));
            if places.free(&[&[r][..], &shaft].concat(), &part.frame) {
                for r in [r].into_iter().chain(shaft) {
                    places.take(r);
                }
                halo_arrow(&mut pen.under, tail, tip);
                sign(&mut pen.over, word, r);
                return true;
            }
        }
        s += 2.0;
    }
    false
}

/// The letter beside the pass on a leader, a short arrow on the pass.
fn beside(pen: &mut Layers, word: &str, first: &First<'_>, part: &MapPart, places: &mut Places) {
    let view = &part.view;
    let (at, angle) = match first.along(view, 0.0) {
        Some(p) => p,
        None => return,
    };
    let tip = on_circle(at, 5.0, angle);
    let (w, h) = size(word);
    // The pass itself stays in sight.
    for i in 0..(first.length_mm(view).min(MAX_KEPT_MM) / 1.6) as u32 {
        if let Some((p, _)) = first.along(view, 1.6 * f64::from(i)) {
            places.take(around(p, 0.8));
        }
    }
    // The nearest free place; were none free anywhere in the frame, the letter would stand over
    // other marks rather than be missing.
    let mut spot = Rect::new(
        (at.0 - w / 2.0).clamp(part.frame.x, part.frame.right() - w),
        (at.1 - h / 2.0).clamp(part.frame.y, part.frame.bottom() - h),
        w,
        h,
    );
    'search: for ring in 0..40 {
        let distance = 5.0 + 2.5 * f64::from(ring);
        for step in 0..24 {
            let a = angle + TAU * f64::from(step) / 24.0;
            let c = on_circle(at, distance, a);
            let r = Rect::new(c.0 - w / 2.0, c.1 - h / 2.0, w, h);
            if places.free(&[r], &part.frame) {
                spot = r;
                break 'search;
            }
        }
    }
    places.take(spot);
    let near = (
        at.0.clamp(spot.x, spot.right()),
        at.1.clamp(spot.y, spot.bottom()),
    );
    let leader = Shape::line(at, near);
    pen.under.stroke(leader.clone(), Stroke::solid(WHITE, 1.4));
    pen.under.stroke(leader, Stroke::solid(BLACK, THIN_MM));
    halo_arrow(&mut pen.under, at, tip);
    sign(&mut pen.over, word, spot);
}

/// Width and height of a letter's sign, mm: never narrower than high.
fn size(word: &str) -> (f64, f64) {
    // A capital with room round it; no less than the box its text may reach.
    let h = (cap_mm(LETTER_MM) + 2.4).max(1.2 * LETTER_MM);
    ((width_mm(word, LETTER_MM, Weight::Bold) + 2.0).max(h), h)
}

fn sign(pen: &mut Pen, word: &str, r: Rect) {
    pen.fill_stroke(
        round_rect(r, r.h / 2.0),
        WHITE,
        Stroke::solid(BLACK, MEDIUM_MM),
    );
    pen.text(
        word,
        (r.x + r.w / 2.0, r.y + (r.h + cap_mm(LETTER_MM)) / 2.0),
        LETTER_MM,
        Weight::Bold,
        Anchor::Middle,
    );
}

fn halo_arrow(pen: &mut Pen, from: Spot, to: Spot) {
    let angle = (to.1 - from.1).atan2(to.0 - from.0);
    pen.stroke(
        Shape::line(from, on_circle(to, -1.0, angle)),
        Stroke::solid(WHITE, 2.0),
    );
    arrow(pen, from, to, 1.0, HEAD_MM);
}
