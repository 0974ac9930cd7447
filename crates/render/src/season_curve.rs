//! Hours against grain: what an hour more would buy, and where the programme stands.
//!
//! Reading task: the superintendent at a desk. *Is it worth more hours?* The curve falls steeply
//! and then hardly at all; the ring is this programme, the dashed line is what no programme can
//! get below. *Is it worth the grooming?* Plain schedules stand as numbers, told below.

use crate::drawing::{Anchor, Pen, Shape, Spot, Stroke};
use crate::ink::{
    BLACK, GREY, HAIR_MM, HEAVY_MM, MEDIUM_MM, PALE, SMALL_MM, TEXT_MM, THIN_MM, WHITE,
};
use crate::lettering::{Rect, Weight, baseline_mm, leading_mm, shorten};
use crate::page::{Lie, Paper};
use crate::season_frame::{PageFrame, SeasonPage};
use crate::words::Words;
use crossgrain_season::Programme;

/// Room for the figures beside the upright axis, mm.
const AXIS_MM: f64 = 16.0;
/// Marks on an axis, about.
const TICKS: f64 = 6.0;
/// Radius of a plain schedule's number, mm.
const DISC_MM: f64 = 3.2;

/// The page, or none when there is no curve to draw.
pub fn curve_page(p: &Programme, paper: Paper, words: &Words) -> Option<SeasonPage> {
    if p.curve.len() < 2 {
        return None;
    }
    let foot = [words.say("season.curve_note").to_string()];
    let title = words.say("season.curve");
    let mut f = PageFrame::new(title, &p.course, &foot, paper, Lie::Landscape, words);
    let list_mm = (p.habits.len() as f64 / 2.0).ceil() * leading_mm(SMALL_MM) + 3.0;
    let plot = Rect::new(
        f.room.x + AXIS_MM,
        f.room.y + leading_mm(TEXT_MM) + 2.0,
        f.room.w - AXIS_MM - 8.0,
        f.room.h - list_mm - 2.0 * leading_mm(SMALL_MM) - leading_mm(TEXT_MM) - 6.0,
    );
    let hours = || {
        p.curve
            .iter()
            .map(|c| c.hours)
            .chain(p.habits.iter().map(|h| h.cost.hours))
            .chain([p.total.cost.hours])
    };
    let least = hours().fold(f64::INFINITY, f64::min);
    let most = hours().fold(0.0, f64::max);
    let x = Scale::over(least, most, (plot.x, plot.right()));
    let y = Scale::over(0.0, 1.0, (plot.bottom(), plot.y));
    axes(&mut f.pen, plot, &x, &y, words);
    let line = |get: &dyn Fn(usize) -> f64| -> Vec<Spot> {
        p.curve
            .iter()
            .enumerate()
            .map(|(i, c)| (x.at(c.hours), y.at(get(i))))
            .collect()
    };
    f.pen.stroke(
        Shape::points(line(&|i| p.curve[i].r2_mean_bound), false),
        Stroke::dashed(BLACK, THIN_MM, 2.0, 1.5),
    );
    f.pen.stroke(
        Shape::points(line(&|i| p.curve[i].r2_mean), false),
        Stroke::solid(BLACK, MEDIUM_MM).rounded(),
    );
    plain(&mut f.pen, p, &x, &y, plot, words);
    let here = (x.at(p.total.cost.hours), y.at(p.total.lay.r2_mean));
    f.pen
        .stroke(Shape::circle(here, 2.2), Stroke::solid(BLACK, HEAVY_MM));
    let text = words.fill(
        "season.curve_here",
        &[
            ("hours", &words.number(p.total.cost.hours, 0)),
            ("r2", &words.number(p.total.lay.r2_mean, 2)),
        ],
    );
    // Above the plot, so that it meets neither curve nor number.
    f.pen.text(
        text,
        (f.room.right(), f.room.y + baseline_mm(TEXT_MM)),
        TEXT_MM,
        Weight::Bold,
        Anchor::End,
    );
    Some(f.page("curve".to_string()))
}

/// From figures to millimetres.
struct Scale {
    from: f64,
    to: f64,
    step: f64,
    mm: (f64, f64),
}

impl Scale {
    /// Round figures at both ends and between.
    fn over(least: f64, most: f64, mm: (f64, f64)) -> Self {
        let rough = ((most - least) / TICKS).max(1e-9);
        let power = 10_f64.powf(rough.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0]
            .into_iter()
            .map(|s| s * power)
            .find(|s| *s >= rough)
            .unwrap_or(rough);
        Self {
            from: (least / step).floor() * step,
            to: ((most / step).ceil() * step).max((least / step).floor() * step + step),
            step,
            mm,
        }
    }

    fn at(&self, v: f64) -> f64 {
        self.mm.0 + (v - self.from) / (self.to - self.from) * (self.mm.1 - self.mm.0)
    }

    fn ticks(&self) -> impl Iterator<Item = f64> {
        let n = ((self.to - self.from) / self.step).round() as usize;
        (0..=n).map(|i| self.from + i as f64 * self.step)
    }
}

fn axes(pen: &mut Pen, plot: Rect, x: &Scale, y: &Scale, words: &Words) {
    for v in y.ticks() {
        let at = y.at(v);
        pen.stroke(
            Shape::line((plot.x, at), (plot.right(), at)),
            Stroke::solid(if v == y.from { BLACK } else { PALE }, THIN_MM),
        );
        pen.text(
            words.number(v, 1),
            (plot.x - 2.0, at + 1.5),
            SMALL_MM,
            Weight::Regular,
            Anchor::End,
        );
    }
    for v in x.ticks() {
        let at = x.at(v);
        pen.stroke(
            Shape::line((at, plot.bottom()), (at, plot.bottom() + 1.5)),
            Stroke::solid(BLACK, HAIR_MM),
        );
        pen.text(
            words.number(v, 0),
            (at, plot.bottom() + 1.5 + baseline_mm(SMALL_MM)),
            SMALL_MM,
            Weight::Regular,
            Anchor::Middle,
        );
    }
    pen.text(
        words.say("season.curve_hours"),
        (
            plot.right(),
            plot.bottom() + leading_mm(SMALL_MM) + 1.5 + baseline_mm(SMALL_MM),
        ),
        SMALL_MM,
        Weight::Regular,
        Anchor::End,
    );
    pen.text(
        words.say("season.curve_r2"),
        (plot.x - AXIS_MM, plot.y - 3.5),
        SMALL_MM,
        Weight::Regular,
        Anchor::Start,
    );
}

/// Plain schedules as numbers, each told below; one that would cover another moves up.
fn plain(pen: &mut Pen, p: &Programme, x: &Scale, y: &Scale, plot: Rect, words: &Words) {
    let mut taken: Vec<Spot> = Vec::new();
    let top = plot.bottom() + 2.0 * leading_mm(SMALL_MM) + 3.0;
    let column_mm = (plot.w + AXIS_MM) / 2.0;
    let rows = p.habits.len().div_ceil(2);
    for (i, h) in p.habits.iter().enumerate() {
        let spot = (x.at(h.cost.hours), y.at(h.lay.r2_mean));
        let mut at = spot;
        while taken
            .iter()
            .any(|t| (t.0 - at.0).hypot(t.1 - at.1) < 2.2 * DISC_MM)
        {
            at.0 += 2.3 * DISC_MM;
        }
        taken.push(at);
        let number = (i + 1).to_string();
        if at != spot {
            pen.stroke(Shape::line(spot, at), Stroke::solid(GREY, HAIR_MM));
        }
        pen.fill_stroke(
            Shape::circle(at, DISC_MM),
            WHITE,
            Stroke::solid(BLACK, THIN_MM),
        );
        pen.text(
            &number,
            (at.0, at.1 + 1.5),
            SMALL_MM,
            Weight::Regular,
            Anchor::Middle,
        );
        let Some(habit) = h.habit else { continue };
        let key = format!("season.habit.{}", habit.word());
        let name = words.say(&key);
        let with = if h.grooming {
            words.say("season.with_grooming")
        } else {
            words.say("season.without_grooming")
        };
        let line = format!(
            "{number} {name}, {with}: {} h, {}",
            words.number(h.cost.hours, 0),
            words.number(h.lay.r2_mean, 2)
        );
        let place = (
            plot.x - AXIS_MM + (i / rows) as f64 * column_mm,
            top + (i % rows) as f64 * leading_mm(SMALL_MM) + baseline_mm(SMALL_MM),
        );
        pen.text(
            shorten(&line, SMALL_MM, Weight::Regular, column_mm - 4.0),
            place,
            SMALL_MM,
            Weight::Regular,
            Anchor::Start,
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_take_in_both_ends() {
        let s = Scale::over(487.0, 689.0, (0.0, 100.0));
        let t: Vec<f64> = s.ticks().collect();
        assert_eq!(t, [450.0, 500.0, 550.0, 600.0, 650.0, 700.0]);
        assert!((s.at(450.0) - 0.0).abs() < 1e-9 && (s.at(700.0) - 100.0).abs() < 1e-9);
    }
}
