//! R1 and R2 of dated schedules, as the season keeps them, against SciPy.
//!
//! Each mow is one pass over a spot on its day. It is put through the grid that mows are laid on,
//! the sums that the season keeps of them, and the weight that it gives a day long ago.

use super::{Fact, Mark::Library, Row, lay};
use crate::stored::{json, number, text};
use crossgrain_season::grain::{Sum, sums, weight};
use jiff::civil::Date;

// The season keeps its sums in single precision.
const SINGLE: f64 = 2e-6;

pub fn rows() -> Vec<Row> {
    let stored = json("schedules.json");
    let source = text(&stored, "source");
    let mut out = Vec::new();
    for c in stored["schedules"].as_array().into_iter().flatten() {
        let name = text(c, "name");
        let day: Option<Date> = text(c, "on").parse().ok();
        let half_life = c["half_life_days"].as_f64();
        let mut spot = Sum::default();
        for mow in c["mows"].as_array().into_iter().flatten() {
            let mown: Option<Date> = text(mow, "date").parse().ok();
            if let (Some(on), Some(mown)) = (day, mown) {
                let laid = sums(&lay::pass(number(mow, "heading_deg")));
                spot.add(&laid[0], weight(half_life, mown, on) as f32, false);
            }
        }
        let (r1, r2) = spot.lay().unwrap_or((f32::NAN, f32::NAN));
        let fades = if half_life.is_some() {
            ["R1 of mows that fade", "R2 of mows that fade"]
        } else {
            ["R1 of mows over a season", "R2 of mows over a season"]
        };
        for (fact, key, ours) in [(fades[0], "r1", r1), (fades[1], "r2", r2)] {
            out.push(
                Fact::new(fact, &source, Library)
                    .library(
                        format!("{name}: {}", key.to_uppercase()),
                        number(c, key),
                        f64::from(ours),
                        1.0,
                    )
                    .within(SINGLE),
            );
        }
    }
    out
}
