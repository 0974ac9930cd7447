//! Small signs: pattern, clock face, north, flag, arrows, the safety alert symbol.
//!
//! Each is drawn from what it means (a stripe looks like a stripe); the safety alert symbol is
//! that of ANSI Z535.4 / ISO 3864-2, a triangle with an exclamation mark.

use crate::drawing::{Anchor, PathCommand, Pen, Shape, Spot, Stroke, on_circle};
use crate::ink::{
    BLACK, GRASS_DARK, GRASS_LIGHT, HAIR_MM, MEDIUM_MM, PALE, SMALL_MM, THIN_MM, WHITE,
};
use crate::lettering::{Rect, Weight, cap_mm};
use crossgrain_core::{PatternKind, Sense};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// An arrow head with its tip at `tip`, pointing along `angle` (page radians), `size` mm long.
pub fn arrow_head(tip: Spot, angle: f64, size: f64) -> Shape {
    // A head 0.9 as wide as long reads as a direction even when the copier fills it in.
    let back = on_circle(tip, -size, angle);
    let half = 0.45 * size;
    let side = angle + FRAC_PI_2;
    Shape::points(
        [
            tip,
            on_circle(back, half, side),
            // A notch tells head from plain triangle.
            on_circle(tip, -0.72 * size, angle),
            on_circle(back, -half, side),
        ],
        true,
    )
}

/// A straight arrow.
pub fn arrow(pen: &mut Pen, from: Spot, to: Spot, width: f64, head: f64) {
    let angle = (to.1 - from.1).atan2(to.0 - from.0);
    let neck = on_circle(to, -0.7 * head, angle);
    pen.stroke(Shape::line(from, neck), Stroke::solid(BLACK, width));
    pen.fill(arrow_head(to, angle, head), BLACK);
}

/// An arrow round part of a circle; `sweep` in page radians, positive clockwise.
pub fn arc_arrow(
    pen: &mut Pen,
    centre: Spot,
    radius: f64,
    from: f64,
    sweep: f64,
    width: f64,
    head: f64,
) {
    let way = sweep.signum();
    // The line stops inside the head.
    let short = 0.7 * head / radius;
    pen.stroke(
        Shape::arc(centre, radius, from, sweep - way * short),
        Stroke::solid(BLACK, width),
    );
    let end = from + sweep;
    let tip = on_circle(centre, radius, end);
    // The head follows the chord, or it would stand off the curve.
    let angle = end + way * (FRAC_PI_2 - short / 2.0);
    pen.fill(arrow_head(tip, angle, head), BLACK);
}

/// The page sweep sign of a sense: clockwise is positive on the page.
pub fn page_sign(sense: Sense) -> f64 {
    -sense.sign()
}

/// A sign for the sense: three quarters of a circle with a head, or a slanted bar through nothing.
pub fn sense_sign(pen: &mut Pen, centre: Spot, radius: f64, sense: Sense) {
    let way = page_sign(sense);
    arc_arrow(
        pen,
        centre,
        radius,
        -FRAC_PI_2 - way * 0.35 * PI,
        way * 1.55 * PI,
        MEDIUM_MM * 1.3,
        radius * 0.95,
    );
}

/// A flag on a stick: the green. `foot` is where the stick stands.
pub fn flag(pen: &mut Pen, foot: Spot, height: f64) {
    let top = (foot.0, foot.1 - height);
    pen.fill(
        Shape::points(
            [
                top,
                (top.0 + 0.62 * height, top.1 + 0.22 * height),
                (top.0, top.1 + 0.44 * height),
            ],
            true,
        ),
        BLACK,
    );
    pen.stroke(Shape::line(foot, top), Stroke::solid(BLACK, THIN_MM));
}

/// The safety alert symbol, `size` mm high, its top left corner at `at`.
pub fn alert(pen: &mut Pen, at: Spot, size: f64) {
    let w = size * 1.12;
    pen.fill(
        Shape::points(
            [
                (at.0 + w / 2.0, at.1),
                (at.0 + w, at.1 + size),
                (at.0, at.1 + size),
            ],
            true,
        ),
        BLACK,
    );
    let x = at.0 + w / 2.0;
    pen.fill(
        Shape::points(
            [
                (x - 0.075 * size, at.1 + 0.34 * size),
                (x + 0.075 * size, at.1 + 0.34 * size),
                (x + 0.045 * size, at.1 + 0.70 * size),
                (x - 0.045 * size, at.1 + 0.70 * size),
            ],
            true,
        ),
        WHITE,
    );
    pen.fill(Shape::circle((x, at.1 + 0.83 * size), 0.075 * size), WHITE);
}

/// A north arrow round `centre`: `angle` is the page direction of north. The letter stands to
/// its left, clear of any turn of the arrow.
pub fn north(pen: &mut Pen, centre: Spot, length: f64, angle: f64, letter: &str) {
    let half = length / 2.0;
    let tip = on_circle(centre, half, angle);
    let tail = on_circle(centre, -half, angle);
    let notch = on_circle(centre, -0.28 * length, angle);
    let side = angle + FRAC_PI_2;
    let w = 0.24 * length;
    pen.fill(
        Shape::points([tip, on_circle(tail, w, side), notch], true),
        BLACK,
    );
    pen.fill_stroke(
        Shape::points([tip, on_circle(tail, -w, side), notch], true),
        WHITE,
        Stroke::solid(BLACK, HAIR_MM).rounded(),
    );
    pen.text(
        letter,
        (centre.0 - half - 0.8, centre.1 + cap_mm(SMALL_MM) / 2.0),
        SMALL_MM,
        Weight::Bold,
        Anchor::End,
    );
}

/// What the clock face shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hand {
    /// Nothing but the face.
    None,
    /// Passes along a page direction, radians.
    Along(f64),
    /// Passes both ways along a page direction, radians.
    Both(f64),
    /// Round and round.
    Round(Sense),
}

/// A clock face with the green at 12. `north` is the page direction of north, radians.
pub fn clock(pen: &mut Pen, centre: Spot, radius: f64, hand: Hand, has_green: bool) {
    pen.fill_stroke(
        Shape::circle(centre, radius),
        WHITE,
        Stroke::solid(BLACK, MEDIUM_MM),
    );
    for h in 0..12 {
        let a = f64::from(h) * TAU / 12.0 - FRAC_PI_2;
        let (long, width) = if h % 3 == 0 {
            (0.18, MEDIUM_MM * 1.4)
        } else {
            (0.10, THIN_MM)
        };
        pen.stroke(
            Shape::line(
                on_circle(centre, radius * 0.96, a),
                on_circle(centre, radius * (1.0 - long), a),
            ),
            Stroke::solid(BLACK, width),
        );
    }
    if has_green {
        flag(pen, (centre.0, centre.1 - radius), radius * 0.42);
    }
    match hand {
        Hand::None => {}
        Hand::Along(angle) => arrow(
            pen,
            on_circle(centre, -0.74 * radius, angle),
            on_circle(centre, 0.74 * radius, angle),
            0.13 * radius,
            0.55 * radius,
        ),
        Hand::Both(angle) => {
            let middle = on_circle(centre, 0.0, angle);
            for way in [0.74, -0.74] {
                let tip = on_circle(centre, way * radius, angle);
                arrow(pen, middle, tip, 0.13 * radius, 0.5 * radius);
            }
        }
        Hand::Round(sense) => sense_sign(pen, centre, 0.5 * radius, sense),
    }
}

/// Stripes of a sign.
const PARTS: i32 = 5;

/// The sign of a pattern in a square frame.
pub fn pattern(pen: &mut Pen, frame: Rect, kind: PatternKind, sense: Sense) {
    let mut inner = Pen::new();
    let r = frame;
    inner.fill(Shape::rect(r), GRASS_LIGHT);
    match kind {
        PatternKind::Stripes => stripes(&mut inner, r, false),
        PatternKind::Cross => stripes(&mut inner, r, true),
        PatternKind::Loops => loops(&mut inner, r, sense),
        PatternKind::Contour => contour(&mut inner, r),
        PatternKind::HalfAndHalf => halves(&mut inner, r),
        PatternKind::Rings => rings(&mut inner, r, sense),
        // Without a sign of its own: grass, and the word beside it says the rest.
        _ => {}
    }
    pen.clipped("pattern", Some(Shape::rect(r)), 1.0, inner.marks);
    pen.stroke(Shape::rect(r), Stroke::solid(BLACK, MEDIUM_MM));
}

/// Stripes up and down; a cross cut has a second set over them.
fn stripes(inner: &mut Pen, r: Rect, cross: bool) {
    let w = r.w / f64::from(PARTS);
    for i in (0..PARTS).step_by(2) {
        let x = r.x + w * f64::from(i);
        inner.fill(Shape::rect(Rect::new(x, r.y, w, r.h)), GRASS_DARK);
    }
    if cross {
        for i in (0..PARTS).step_by(2) {
            let y = r.y + w * f64::from(i);
            inner.stroke(
                crate::hatch::hatch(&Shape::rect(Rect::new(r.x, y, r.w, w)), 0.0, w / 4.0),
                Stroke::solid(BLACK, THIN_MM),
            );
        }
        arrow(
            inner,
            (r.x + 0.08 * r.w, r.y + r.h / 2.0),
            (r.x + 0.94 * r.w, r.y + r.h / 2.0),
            MEDIUM_MM * 1.6,
            0.2 * r.w,
        );
    }
    for (i, up) in [(1, true), (2, false), (3, true)] {
        if cross && i != 2 {
            continue;
        }
        let x = r.x + w * (f64::from(i) + 0.5);
        let (a, b) = (r.y + 0.9 * r.h, r.y + 0.1 * r.h);
        let (a, b) = if up || cross { (a, b) } else { (b, a) };
        arrow(inner, (x, a), (x, b), MEDIUM_MM * 1.6, 0.2 * r.w);
    }
}

/// Three loops, one over the other.
fn loops(inner: &mut Pen, r: Rect, sense: Sense) {
    let way = page_sign(sense);
    let rad = 0.30 * r.w;
    for i in 0..3 {
        let c = (r.x + (0.5) * r.w, r.y + (0.66 - 0.16 * f64::from(i)) * r.h);
        inner.stroke(
            Shape::circle(c, rad),
            Stroke::solid(if i == 2 { BLACK } else { GRASS_DARK }, MEDIUM_MM * 1.6),
        );
    }
    let c = (r.x + 0.5 * r.w, r.y + 0.34 * r.h);
    let end = if way > 0.0 { 0.0 } else { PI };
    let tip = on_circle(c, rad, end);
    inner.fill(
        arrow_head((tip.0, tip.1 + 0.1 * r.w), FRAC_PI_2, 0.24 * r.w),
        BLACK,
    );
}

/// Passes along a bend.
fn contour(inner: &mut Pen, r: Rect) {
    let w = r.w / f64::from(PARTS);
    for i in 0..PARTS {
        let x = r.x + w * (f64::from(i) + 0.5);
        let mut s = Shape::new();
        // One arc from edge to edge: the bend of a dogleg.
        s.add_arc((x - 1.35 * r.w, r.y + 0.5 * r.h), 1.25 * r.w, 0.5, -1.0);
        if i % 2 == 0 {
            inner.stroke(s, Stroke::solid(GRASS_DARK, w));
        } else {
            inner.stroke(s, Stroke::solid(BLACK, MEDIUM_MM * 1.4));
        }
    }
}

/// One half up, one half down.
fn halves(inner: &mut Pen, r: Rect) {
    inner.fill(
        Shape::rect(Rect::new(r.x + r.w / 2.0, r.y, r.w / 2.0, r.h)),
        GRASS_DARK,
    );
    for (x, a, b) in [(0.25, 0.88, 0.12), (0.75, 0.12, 0.88)] {
        arrow(
            inner,
            (r.x + x * r.w, r.y + a * r.h),
            (r.x + x * r.w, r.y + b * r.h),
            MEDIUM_MM * 2.0,
            0.26 * r.w,
        );
    }
}

/// Rings inside each other.
fn rings(inner: &mut Pen, r: Rect, sense: Sense) {
    let way = page_sign(sense);
    let c = (r.x + r.w / 2.0, r.y + r.h / 2.0);
    for (i, rad) in [0.43, 0.27, 0.11].into_iter().enumerate() {
        let ring = Rect::new(
            c.0 - 0.72 * rad * r.w,
            c.1 - rad * r.h,
            1.44 * rad * r.w,
            2.0 * rad * r.h,
        );
        inner.stroke(
            round_rect(ring, 0.35 * ring.w),
            Stroke::solid(if i == 1 { GRASS_DARK } else { BLACK }, MEDIUM_MM * 1.6),
        );
    }
    let x = c.0 + way * 0.72 * 0.43 * r.w;
    inner.fill(
        arrow_head((x, c.1 + 0.12 * r.h), FRAC_PI_2, 0.24 * r.w),
        BLACK,
    );
}

/// The sign of the crossing stripes of a cross cut alone: stripes that lie across.
pub fn crossing(pen: &mut Pen, frame: Rect) {
    let mut inner = Pen::new();
    let r = frame;
    let n = 5;
    let h = r.h / f64::from(n);
    inner.fill(Shape::rect(r), GRASS_LIGHT);
    for i in (0..n).step_by(2) {
        let y = r.y + h * f64::from(i);
        inner.fill(Shape::rect(Rect::new(r.x, y, r.w, h)), GRASS_DARK);
    }
    for (i, right) in [(1, true), (2, false), (3, true)] {
        let y = r.y + h * (f64::from(i) + 0.5);
        let (a, b) = (r.x + 0.1 * r.w, r.x + 0.9 * r.w);
        let (a, b) = if right { (a, b) } else { (b, a) };
        arrow(&mut inner, (a, y), (b, y), MEDIUM_MM * 1.6, 0.2 * r.w);
    }
    pen.clipped("pattern", Some(Shape::rect(r)), 1.0, inner.marks);
    pen.stroke(Shape::rect(r), Stroke::solid(BLACK, MEDIUM_MM));
}

/// A rectangle with rounded corners.
pub fn round_rect(r: Rect, radius: f64) -> Shape {
    let k = radius.min(r.w / 2.0).min(r.h / 2.0);
    let mut s = Shape::new();
    s.steps.push(PathCommand::Move((r.x + k, r.y)));
    for (cx, cy, from) in [
        (r.right() - k, r.y + k, -FRAC_PI_2),
        (r.right() - k, r.bottom() - k, 0.0),
        (r.x + k, r.bottom() - k, FRAC_PI_2),
        (r.x + k, r.y + k, PI),
    ] {
        s.steps
            .push(PathCommand::Line(on_circle((cx, cy), k, from)));
        s.steps.push(PathCommand::Arc {
            centre: (cx, cy),
            radius: k,
            from,
            sweep: FRAC_PI_2,
        });
    }
    s.steps.push(PathCommand::Close);
    s
}

/// A pale panel behind a block.
pub fn panel(pen: &mut Pen, r: Rect) {
    pen.fill(round_rect(r, 1.5), PALE);
}
