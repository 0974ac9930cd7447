//! One loop drawn large: how wide, how far on, how far over.

use crate::drawing::{Anchor, Mark, PathCommand, Pen, Shape, Spot, Stroke, on_circle};
use crate::ink::{
    BLACK, GRASS_DARK, GRASS_LIGHT, GREY, HAIR_MM, MEDIUM_MM, SMALL_MM, THIN_MM, WHITE,
};
use crate::lettering::{Rect, Weight, baseline_mm, leading_mm, wrap};
use crate::signs::{arrow_head, page_sign, round_rect};
use crate::words::Words;
use crossgrain_core::{LoopForm, Mow, Mower};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// The figure's measures: on the ground in metres, on the paper in mm.
struct Figure {
    diameter_m: f64,
    advance_m: f64,
    lane_m: f64,
    deck_m: f64,
    form: Option<LoopForm>,
    /// Clockwise on the paper is 1, the other way -1.
    way: f64,
    width: f64,
    height: f64,
    /// Millimetres for a metre.
    k: f64,
}

impl Figure {
    fn of(mow: &Mow, mower: &Mower, width: f64) -> Option<Self> {
        let s = &mow.settings();
        let (diameter_m, advance_m) = (s.loop_diameter_m?, s.advance_m?);
        let lane_m = s.lane_spacing_m.unwrap_or(diameter_m);
        let deck_m = mower.cutting_width_m();
        if !(diameter_m > 0.0 && advance_m.is_finite() && deck_m > 0.0 && lane_m > 0.0) {
            return None;
        }
        // Two loops of this lane and the near edge of the next lane must fit across and up.
        let span_across = diameter_m + deck_m + lane_m * 0.55;
        let span_up = diameter_m + deck_m + 2.0 * advance_m;
        let height = (width * 0.72).min(44.0);
        Some(Self {
            diameter_m,
            advance_m,
            lane_m,
            deck_m,
            form: s.form,
            way: page_sign(mow.sense()),
            width,
            height,
            k: ((width - 10.0) / span_across).min((height - 2.0) / span_up),
        })
    }

    /// The middle of the first loop; the next lane stands on the side away from the left edge.
    fn centre(&self) -> Spot {
        let half = (self.diameter_m + self.deck_m) / 2.0 * self.k;
        (half + 1.0, self.height - half - 1.0)
    }

    /// Where the next lane stands.
    fn next_lane(&self) -> f64 {
        self.centre().0 + self.lane_m * self.k
    }

    /// Three loops of this lane, the next lane faint.
    fn loops(&self) -> Pen {
        let (cx, cy) = self.centre();
        let (r, up) = (self.diameter_m / 2.0 * self.k, self.advance_m * self.k);
        let mut inner = Pen::new();
        let band = |ink| Stroke::solid(ink, self.deck_m * self.k);
        let shapes: Vec<Shape> = (0..3)
            .map(|i| {
                let y = cy - up * f64::from(i);
                match self.form {
                    Some(LoopForm::Drift) => drift(cx, y, r, up, self.way),
                    _ => roll(cx, y, r, up, self.way),
                }
            })
            .collect();
        inner.stroke(shapes[2].clone(), band(GRASS_LIGHT));
        inner.stroke(shapes[1].clone(), band(GRASS_LIGHT));
        inner.stroke(shapes[0].clone(), band(GRASS_DARK));
        inner.stroke(shapes[2].clone(), Stroke::dashed(GREY, THIN_MM, 1.5, 1.2));
        inner.stroke(shapes[1].clone(), Stroke::dashed(GREY, MEDIUM_MM, 2.0, 1.2));
        inner.stroke(shapes[0].clone(), Stroke::solid(BLACK, MEDIUM_MM * 1.5));
        let next = self.next_lane();
        inner.stroke(
            Shape::circle((next, cy), r),
            Stroke::dashed(GREY, THIN_MM, 1.0, 1.4),
        );
        for x in [next, cx] {
            inner.stroke(
                Shape::line((x, 0.0), (x, self.height)),
                Stroke::dashed(BLACK, THIN_MM, 3.0, 1.5),
            );
        }
        // Sense.
        for a in [-FRAC_PI_2, FRAC_PI_2] {
            let tip = on_circle((cx, cy), r, a + self.way * 0.45);
            inner.fill_stroke(
                arrow_head(tip, a + self.way * (0.45 + FRAC_PI_2 - 0.12), 4.6),
                BLACK,
                Stroke::solid(WHITE, HAIR_MM),
            );
        }
        inner
    }

    /// 1 across the loop, 2 up the lane, 3 to the next lane.
    fn dimensions(&self, pen: &mut Pen) {
        let (cx, cy) = self.centre();
        let (r, up) = (self.diameter_m / 2.0 * self.k, self.advance_m * self.k);
        let y = cy + 0.30 * r;
        dimension(pen, (cx - r, y), (cx + r, y), "1", (cx - 0.5 * r, y));
        let (x, y) = (cx + 0.28 * r, cy - 0.05 * r);
        dimension(pen, (x, y), (x, y - up), "2", (x + 4.2, y - up / 2.0));
        let (next, y) = (self.next_lane(), 5.5);
        if next < self.width {
            dimension(pen, (cx, y), (next, y), "3", ((cx + next) / 2.0, y));
        }
    }

    /// The same figures in words.
    fn lines(&self, words: &Words) -> [String; 3] {
        let decks = words.number(self.advance_m / self.deck_m, 1);
        [
            format!(
                "{} = {}",
                words.reach(self.diameter_m),
                words.fill("paces", &[("count", &words.paces(self.diameter_m))])
            ),
            format!(
                "{}: {} = {}",
                words.say("advance"),
                words.reach(self.advance_m),
                words.fill("decks", &[("count", &decks)])
            ),
            format!(
                "{}: {}",
                words.say("lane_spacing"),
                words.fill("step_over", &[("distance", &words.reach(self.lane_m))])
            ),
        ]
    }
}

/// The detail of a loop train, `width` mm wide, as marks at the origin, and its height, mm.
/// `None` for a mow without loops.
///
/// The lane runs up the figure. 1 is the diameter, 2 the advance of one loop, 3 the step over to
/// the next lane; the same figures stand in the text below. Letters are the steps'.
pub fn detail(mow: &Mow, mower: &Mower, words: &Words, width: f64) -> Option<(Vec<Mark>, f64)> {
    let figure = Figure::of(mow, mower, width)?;
    let mut pen = Pen::new();
    pen.clipped(
        "loop",
        Some(Shape::rect(Rect::new(0.0, 0.0, width, figure.height))),
        1.0,
        figure.loops().marks,
    );
    let mut on = Pen::new();
    figure.dimensions(&mut on);
    pen.group("figure", on.marks);
    let size = SMALL_MM;
    let mut y = figure.height + 2.5;
    for (number, line) in ["1", "2", "3"].into_iter().zip(figure.lines(words)) {
        tag(&mut pen, number, (2.6, y + baseline_mm(size) - 0.33 * size));
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
