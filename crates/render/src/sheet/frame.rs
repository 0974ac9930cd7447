//! What stands round map and steps: settings above; cautions, the rows to fill in and the key below.

use super::blocks;
use super::checks::checks;
use super::job::{GAP_MM, HEADER_MM, Job, Lean};
use super::key::{self, KeyOf};
use super::settings;
use crate::cautions;
use crate::drawing::{Pen, moved};
use crate::lettering::Rect;
use geo_types::Coord;

impl Job<'_> {
    /// Whether any of these stands where the map shows it.
    fn on_map(&self, places: &[Coord<f64>]) -> bool {
        places.iter().any(|p| self.extent.holds(*p))
    }

    fn turf_on_map(&self) -> bool {
        let crew = &self.input.crew;
        self.on_map(crew.sprinkler_heads) || self.on_map(crew.yardage_plates)
    }

    /// Settings above, cautions, the row to fill in and the key below; returns what is left free.
    pub(super) fn frame(&self, pen: &mut Pen, lean: Lean, body: Rect) -> Rect {
        let (input, words) = (self.input, self.input.words);
        let mut top = body.y + HEADER_MM + GAP_MM * 0.6;
        let set = settings::settings_row(
            &settings::settings(input.mow, input.mower, input.height_of_cut_m, words),
            body.w,
        );
        pen.group("set", moved(set.marks, body.x, top));
        top += set.height + GAP_MM;
        let mut groups = cautions::of_mow(
            input.fairway,
            input.mower,
            input.height_of_cut_m,
            input.mow,
            input.measures,
            words,
        );
        if lean == Lean::Full {
            cautions::remind(&mut groups, self.turf_on_map(), words);
        }
        let (warn, warn_h) = cautions::band(&groups, words, body.w);
        let mut bottom = body.bottom() - warn_h;
        pen.group("cautions", moved(warn, body.x, bottom));
        let with_boxes = input.machine.is_some();
        if let Some(checks) = checks(with_boxes, &input.crew, words, body.w) {
            bottom -= checks.height;
            pen.group("fields", moved(checks.marks, body.x, bottom));
        }
        let fields = blocks::fields(input.date, input.machine, words, body.w);
        bottom -= fields.height + GAP_MM * 0.5;
        pen.group("fields", moved(fields.marks, body.x, bottom));
        if matches!(lean, Lean::Full | Lean::NoReminders) {
            let key = key::key(
                &KeyOf {
                    fairway: input.fairway,
                    mow: input.mow,
                    trim: !self.trim.0.is_empty(),
                    missed: !self.missed.0.is_empty(),
                    toward_green: self.toward_green,
                    heads: self.on_map(input.crew.sprinkler_heads),
                    plates: self.on_map(input.crew.yardage_plates),
                },
                words,
                body.w,
            );
            bottom -= key.height;
            pen.group("key", moved(key.marks, body.x, bottom));
        }
        Rect::new(body.x, top, body.w, bottom - GAP_MM * 0.5 - top)
    }
}
