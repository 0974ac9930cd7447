//! The map's place on the sheet: its parts with their match lines, scale bar and north.

use super::job::{Job, PageOf};
use crate::drawing::{Anchor, Pen, Shape, Stroke};
use crate::ink::{BLACK, HAIR_MM, MEDIUM_MM, SMALL_MM, THIN_MM, WHITE};
use crate::lettering::{Rect, Weight, baseline_mm, leading_mm, shorten, width_mm};
use crate::map::Ground;
use crate::marks::Marks;
use crate::places::Places;
use crate::signs::north;
use crate::view::{Extent, MapPart};
use std::f64::consts::FRAC_PI_2;

/// Width of the north arrow's place beside the scale, mm.
const NORTH_MM: f64 = 14.0;
/// Height of the strip with the scale bar under the map, mm.
const STRIP_MM: f64 = 12.0;

impl Job<'_> {
    /// The map with its strip; returns the ratio.
    pub(super) fn map(
        &self,
        pen: &mut Pen,
        room: Rect,
        of: &PageOf,
        extent: &Extent,
        with_map: bool,
    ) -> Option<f64> {
        let words = self.input.words;
        let map = Rect::new(room.x, room.y, room.w, room.h - STRIP_MM);
        if map.h < 40.0 {
            return None;
        }
        let parts = extent.lay(map)?;
        if !with_map {
            return Some(parts.first()?.view.ratio);
        }
        let ground = Ground {
            fairway: self.input.fairway,
            mower: self.input.mower,
            mow: self.input.mow,
            trim: self.trim,
            missed: self.missed,
            light_rad: self.light_rad,
            steps: of.steps.clone(),
        };
        let marks = Marks {
            fairway: self.input.fairway,
            mow: self.input.mow,
            words,
            crew: &self.input.crew,
            steps: of.steps.clone(),
        };
        for (i, part) in parts.iter().enumerate() {
            pen.clipped(
                "map",
                Some(Shape::rect(part.frame)),
                1.0,
                ground.draw(&part.view),
            );
            pen.stroke(Shape::rect(part.frame), Stroke::solid(BLACK, HAIR_MM));
            let mut places = Places::new();
            self.match_lines(pen, part, i, parts.len(), &mut places);
            pen.group("marks", marks.draw(part, &mut places));
        }
        let ratio = parts.first()?.view.ratio;
        self.scale_bar(
            pen,
            Rect::new(room.x, map.bottom(), room.w, STRIP_MM),
            ratio,
        );
        Some(ratio)
    }

    fn match_lines(
        &self,
        pen: &mut Pen,
        part: &MapPart,
        index: usize,
        count: usize,
        places: &mut Places,
    ) {
        let words = self.input.words;
        let letter = |i: usize| char::from(b'A' + (i % 26) as u8).to_string();
        let lines = [
            part.match_below.map(|y| (y, letter(index - 1))),
            part.match_above.map(|y| (y, letter(index))),
        ];
        for (y, letter) in lines.into_iter().flatten() {
            let text = words.fill("match", &[("letter", &letter)]);
            let text = shorten(&text, SMALL_MM, Weight::Bold, part.frame.w - 2.0);
            let w = width_mm(&text, SMALL_MM, Weight::Bold);
            let h = leading_mm(SMALL_MM);
            let r = Rect::new(part.frame.x + 0.5, y - h / 2.0, w + 1.6, h);
            pen.stroke(
                Shape::line((part.frame.x, y), (part.frame.right(), y)),
                Stroke::dashed(BLACK, MEDIUM_MM, 5.0, 1.5),
            );
            pen.fill(Shape::rect(r), WHITE);
            pen.text(
                text,
                (r.x + 0.8, y + 0.34 * SMALL_MM),
                SMALL_MM,
                Weight::Bold,
                Anchor::Start,
            );
            places.take(r);
        }
        if count > 1 {
            let text = words.fill(
                "part",
                &[
                    ("number", &(index + 1).to_string()),
                    ("count", &count.to_string()),
                ],
            );
            let text = shorten(&text, SMALL_MM, Weight::Bold, part.frame.w - 2.0);
            let r = Rect::new(
                part.frame.x + 0.4,
                part.frame.y + 0.4,
                width_mm(&text, SMALL_MM, Weight::Bold) + 1.6,
                leading_mm(SMALL_MM),
            );
            pen.fill(Shape::rect(r), WHITE);
            pen.text(
                text,
                (r.x + 0.8, r.y + baseline_mm(SMALL_MM)),
                SMALL_MM,
                Weight::Bold,
                Anchor::Start,
            );
            places.take(r);
        }
    }

    fn scale_bar(&self, pen: &mut Pen, r: Rect, ratio: f64) {
        use crossgrain_core::inside::model::quantity::{UnitSystem, YARD_M};
        let words = self.input.words;
        let unit_m = match words.units {
            UnitSystem::Us => YARD_M,
            UnitSystem::Metric => 1.0,
        };
        let k = 1000.0 / ratio;
        let text = words.fill(
            "scale",
            &[("ratio", &format!("1:{}", words.number(ratio, 0)))],
        );
        let text_w = width_mm(&text, SMALL_MM, Weight::Bold);
        // North, turned with the map.
        let turn = FRAC_PI_2 - self.up_rad;
        north(
            pen,
            (r.right() - 4.6, r.y + 6.0),
            9.4,
            -(FRAC_PI_2 + turn),
            words.say("north"),
        );
        // The longest round bar that leaves room for the words.
        let room = (r.w - text_w - NORTH_MM - 16.0).min(75.0);
        let Some(length) = [500.0, 200.0, 100.0, 50.0, 40.0, 20.0, 10.0, 5.0, 2.0]
            .into_iter()
            .find(|n| n * unit_m * k <= room)
        else {
            return;
        };
        let w = length * unit_m * k;
        let y = r.y + 6.6;
        let h = 1.8;
        for i in 0..4 {
            let box_ = Rect::new(r.x + 2.0 + w / 4.0 * f64::from(i), y, w / 4.0, h);
            pen.fill_stroke(
                Shape::rect(box_),
                if i % 2 == 0 { BLACK } else { WHITE },
                Stroke::solid(BLACK, THIN_MM),
            );
        }
        pen.text(
            "0",
            (r.x + 2.0, y - 1.0),
            SMALL_MM,
            Weight::Regular,
            Anchor::Middle,
        );
        let end = words.ground(length * unit_m);
        // Anchored so that the figure, not its unit, stands over the bar's end.
        let figure = words.number(length, 0);
        let x = r.x + 2.0 + w - width_mm(&figure, SMALL_MM, Weight::Regular) / 2.0;
        pen.text(end, (x, y - 1.0), SMALL_MM, Weight::Regular, Anchor::Start);
        pen.text(
            text,
            (r.right() - NORTH_MM, y + h),
            SMALL_MM,
            Weight::Bold,
            Anchor::End,
        );
    }
}
