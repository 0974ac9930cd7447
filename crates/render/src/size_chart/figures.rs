//! The figures of a row and the columns they stand in.

use super::*;

impl Sheets<'_> {
    pub(super) fn columns(&self, kind: PatternKind) -> [Column; 4] {
        let column = |key: &str, under: &'static str, share| Column {
            heading: self.words.say(key).to_string(),
            under,
            share,
            is_minutes: key == "size.minutes",
        };
        let (small, long, patch) = match self.words.units {
            UnitSystem::Us => ("in", "ft", "ft²"),
            UnitSystem::Metric => ("cm", "m", "m²"),
        };
        if kind == PatternKind::Loops {
            [
                column("size.lanes", "", 0.26),
                column("size.advance", long, 0.28),
                column("size.minutes", "", 0.17),
                column("size.over_stripes", "", 0.29),
            ]
        } else {
            [
                column("size.passes", "", 0.27),
                column("size.overlap", small, 0.28),
                column("size.minutes", "", 0.16),
                column("size.trim", patch, 0.29),
            ]
        }
    }

    pub(super) fn figures(&self, kind: PatternKind, row: &SizeRow) -> [String; 4] {
        let m = &row.measures;
        let minutes = self.words.number(m.minutes, 0);
        if kind == PatternKind::Loops {
            let (lanes, advance) = match &row.loops {
                Some(l) => (l.lanes.to_string(), self.length(l.advance_m)),
                None => ("–".to_string(), "–".to_string()),
            };
            let cost = row
                .minutes_over_stripes
                .map_or("–".to_string(), |r| self.words.number(r, 2));
            [lanes, advance, minutes, cost]
        } else {
            [
                format!("{} / {}", m.passes, m.pass_floor),
                self.small(row.overlap_m),
                minutes,
                self.patch(m.trim_m2),
            ]
        }
    }

    pub(super) fn whole_figures(&self, kind: PatternKind, w: &WholeRow) -> [String; 4] {
        let minutes = self.words.number(w.minutes, 0);
        if kind == PatternKind::Loops {
            let cost = w
                .minutes_over_stripes
                .map_or("–".to_string(), |r| self.words.number(r, 2));
            [String::new(), String::new(), minutes, cost]
        } else {
            [
                w.passes.to_string(),
                String::new(),
                minutes,
                self.patch(w.trim_m2),
            ]
        }
    }

    pub(super) fn small(&self, m: f64) -> String {
        match self.words.units {
            UnitSystem::Us => self.words.number(m / INCH_M, 1),
            UnitSystem::Metric => self.words.number(m * 100.0, 1),
        }
    }

    pub(super) fn length(&self, m: f64) -> String {
        match self.words.units {
            UnitSystem::Us => self.words.number(m / FOOT_M, 1),
            UnitSystem::Metric => self.words.number(m, 2),
        }
    }

    pub(super) fn patch(&self, m2: f64) -> String {
        match self.words.units {
            UnitSystem::Us => self.words.number(m2 / (FOOT_M * FOOT_M), 0),
            UnitSystem::Metric => self.words.number(m2, 0),
        }
    }
}
