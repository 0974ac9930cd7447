//! What `crossgrain day` tells on the terminal.

use crate::terminal::table;
use crossgrain_render::words::Words;
use crossgrain_season::day::{Day, Standing};

/// The morning as a table.
pub(super) fn listing(day: &Day, standing: &Standing, words: &Words) -> String {
    let rows: Vec<Vec<String>> = (day.turns.iter())
        .map(|t| {
            let v = &t.visit;
            let hours = |h: f64| {
                if h.fract() == 0.0 {
                    format!("{h:.0}")
                } else {
                    format!("{:.0}:30", h.floor())
                }
            };
            vec![
                (standing.machines.get(t.machine)).map_or_else(String::new, |m| m.name.clone()),
                t.start.strftime("%H:%M").to_string(),
                Day::end(t).strftime("%H:%M").to_string(),
                v.fairway.clone(),
                v.pattern.word().to_string(),
                format!("{}-{}", hours(v.clock.0), hours(v.clock.1)),
                words.height_of_cut(v.height_m),
                format!("{}", v.rings),
                format!("{:.0}", t.minutes),
            ]
        })
        .collect();
    let table = table(
        &[
            "machine", "from", "to", "fairway", "pattern", "clock", "height", "clean-up", "min",
        ],
        &rows,
        &[false, false, false, false, false, false, true, true, true],
    );
    format!(
        "{}: {} visits, {:.0} min of mowing\n{table}",
        day.date,
        day.turns.len(),
        day.minutes()
    )
}
