//! One loop drawn large: how wide, how far on, how far over.

use crate::drawing::{Anchor, Mark, PathCommand, Pen, Shape, Stroke, on_circle};
use crate::ink::{
    BLACK, GRASS_DARK, GRASS_LIGHT, GREY, HAIR_MM, MEDIUM_MM, SMALL_MM, THIN_MM, WHITE,
};
use crate::lettering::{Rect, Weight, baseline_mm, leading_mm, wrap};
use crate::signs::{arrow_head, page_sign, round_rect};
use crate::words::Words;
use crossgrain_core::{LoopForm, Mow, Mower};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// The detail of a loop train, `width` mm wide, as marks at the origin, and its height, mm.
/// `None` for a mow without loops.
///
/// The lane runs up the figure. 1 is the diameter, 2 the advance of one loop, 3 the step over to
/// the next lane; the same figures stand in the text below. Letters are the steps'.
pub fn detail(mow: &Mow, mower: &Mower, words: &Words, width: f64) -> Option<(Vec<Mark>, f64)> {
    let s = &mow.settings();
    let (diameter, advance) = (s.loop_diameter_m?, s.advance_m?);
    let lane = s.lane_spacing_m.unwrap_or(diameter);
    let deck = mower.cutting_width_m();
    if !(diameter > 0.0 && advance.is_finite() && deck > 0.0 && lane > 0.0) {
        return None;
    }
    let mut pen = Pen::new();
    // Two loops of this lane and the near edge of the next lane must fit across and up.
    let span_across = diameter + deck + lane * 0.55;
    let span_up = diameter + deck + 2.0 * advance;
    let fig_h = (width * 0.72).min(44.0);
    let k = ((width - 10.0) / span_across).min((fig_h - 2.0) / span_up);
    let way = page_sign(mow.sense());
    // The next lane stands on the side away from the figure's left edge.
    let cx = (diameter + deck) / 2.0 * k + 1.0;
    let cy = fig_h - (diameter + deck) / 2.0 * k - 1.0;
    let r = diameter / 2.0 * k;
    let up = advance * k;
    let mut inner = Pen::new();
    let band = |ink| Stroke::solid(ink, deck * k);
    let shapes: Vec<Shape> = (0..3)
        .map(|i| {
            let y = cy - up * f64::from(i);
            match s.form {
                Some(LoopForm::Drift) => drift(cx, y, r, up, way),
                _ => roll(cx, y, r, up, way),
            }
        })
        .collect();
    inner.stroke(shapes[2].clone(), band(GRASS_LIGHT));
    inner.stroke(shapes[1].clone(), band(GRASS_LIGHT));
    inner.stroke(shapes[0].clone(), band(GRASS_DARK));
    inner.stroke(shapes[2].clone(), Stroke::dashed(GREY, THIN_MM, 1.5, 1.2));
    inner.stroke(shapes[1].clone(), Stroke::dashed(GREY, MEDIUM_MM, 2.0, 1.2));
    inner.stroke(shapes[0].clone(), Stroke::solid(BLACK, MEDIUM_MM * 1.5));
    // The next lane, faint.
    let next = cx + lane * k;
    inner.stroke(
        Shape::circle((next, cy), r),
        Stroke::dashed(GREY, THIN_MM, 1.0, 1.4),
    );
    inner.stroke(
        Shape::line((next, 0.0), (next, fig_h)),
        Stroke::dashed(BLACK, THIN_MM, 3.0, 1.5),
    );
    inner.stroke(
        Shape::line((cx, 0.0), (cx, fig_h)),
        Stroke::dashed(BLACK, THIN_MM, 3.0, 1.5),
    );
    // Sense.
    for a in [-FRAC_PI_2, FRAC_PI_2] {
        let tip = on_circle((cx, cy), r, a + way * 0.45);
        inner.fill_stroke(
            arrow_head(tip, a + way * (0.45 + FRAC_PI_2 - 0.12), 4.6),
            BLACK,
            Stroke::solid(WHITE, HAIR_MM),
        );
    }
    pen.clipped(
        "loop",
        Some(Shape::rect(Rect::new(0.0, 0.0, width, fig_h))),
        1.0,
        inner.marks,
    );
    // Dimensions: 1 across the loop, 2 up the lane, 3 to the next lane.
    let y_a = cy + 0.30 * r;
    dimension(
        &mut pen,
        (cx - r, y_a),
        (cx + r, y_a),
        "1",
        (cx - 0.5 * r, y_a),
    );
    let x_b = cx + 0.28 * r;
    dimension(
        &mut pen,
        (x_b, cy - 0.05 * r),
        (x_b, cy - 0.05 * r - up),
        "2",
        (x_b + 4.2, cy - 0.05 * r - up / 2.0),
    );
    let y_c = 5.5;
    if next < width {
        dimension(
            &mut pen,
            (cx, y_c),
            (next, y_c),
            "3",
            ((cx + next) / 2.0, y_c),
        );
    }
    // Words.
    let size = SMALL_MM;
    let mut y = fig_h + 2.5;
    let advance_words = format!(
        "{} = {}",
        words.reach(advance),
        words.fill("decks", &[("count", &words.number(advance / deck, 1))])
    );
    let lines = [
        (
            "1",
            format!(
                "{} = {}",
                words.reach(diameter),
                words.fill("paces", &[("count", &words.paces(diameter))])
            ),
        ),
        ("2", format!("{}: {advance_words}", words.say("advance"))),
        (
            "3",
            format!(
                "{}: {}",
                words.say("lane_spacing"),
                words.fill("step_over", &[("distance", &words.reach(lane))])
            ),
        ),
    ];
    for (figure, line) in lines {
        tag(&mut pen, figure, (2.6, y + baseline_mm(size) - 0.33 * size));
        for l in wrap(&line, size, Weight::Regular, width - 7.0) {
            pen.text(
                l,
                (6.6, y + baseline_mm(size)),
                size,
                Weight::Regular,
                Anchor::Start,
            );
            y += leading_mm(size);
        }
        y += 0.8;
    }
    Some((pen.marks, y))
}

// A wide half circle up the lane and a tighter one back: the radii differ by half the advance.
fn drift(cx: f64, cy: f64, r: f64, up: f64, way: f64) -> Shape {
    let (wide, tight) = (r + up / 4.0, r - up / 4.0);
    let foot = cy + r;
    let mut s = Shape::new();
    s.add_arc((cx, foot - wide), wide, FRAC_PI_2, way * PI);
    s.steps.push(PathCommand::Arc {
        centre: (cx, foot - 2.0 * wide + tight),
        radius: tight,
        from: -FRAC_PI_2,
        sweep: way * PI,
    });
    s
}

// A full circle, then straight ahead: it begins where the mower runs up the lane.
fn roll(cx: f64, cy: f64, r: f64, up: f64, way: f64) -> Shape {
    let mut s = Shape::new();
    let from = if way > 0.0 { PI } else { 0.0 };
    s.add_arc((cx, cy), r, from, way * TAU);
    s.steps.push(PathCommand::Line((cx - way * r, cy - up)));
    s
}

fn tag(pen: &mut Pen, figure: &str, centre: (f64, f64)) {
    pen.fill(Shape::circle(centre, 2.5), BLACK);
    pen.coloured_text(
        figure,
        (centre.0, centre.1 + SMALL_MM * 0.34),
        SMALL_MM,
        Weight::Bold,
        Anchor::Middle,
        WHITE,
    );
}

fn dimension(pen: &mut Pen, a: (f64, f64), b: (f64, f64), figure: &str, at: (f64, f64)) {
    let angle = (b.1 - a.1).atan2(b.0 - a.0);
    pen.stroke(Shape::line(a, b), Stroke::solid(WHITE, 1.6));
    pen.stroke(Shape::line(a, b), Stroke::solid(BLACK, THIN_MM * 1.4));
    // Heads only where they do not swallow the line.
    let length = (b.0 - a.0).hypot(b.1 - a.1);
    let head = (length / 2.5).min(2.6);
    for (tip, turn) in [(b, 0.0), (a, PI)] {
        pen.fill(arrow_head(tip, angle + turn, head), BLACK);
    }
    pen.fill(
        round_rect(Rect::new(at.0 - 2.7, at.1 - 2.7, 5.4, 5.4), 2.7),
        WHITE,
    );
    tag(pen, figure, at);
}
