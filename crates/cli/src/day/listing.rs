//! What `crossgrain day` tells on the terminal.

use crate::report::Planned;
use crate::terminal::table;
use crossgrain_render::sheet::{clean_up_rings, first_pass_hours};
use crossgrain_render::words::Words;
use crossgrain_season::day::{Day, Standing};

/// The morning as a table; the way of the first pass is that of board and sheet.
pub(super) fn listing(
    day: &Day,
    plans: &[Planned<'_>],
    standing: &Standing,
    words: &Words,
) -> String {
    let rows: Vec<Vec<String>> = (day.turns.iter().zip(plans))
        .map(|(t, p)| {
            let v = &t.visit;
            vec![
                (standing.machines.get(t.machine)).map_or_else(String::new, |m| m.name.clone()),
                t.start.strftime("%H:%M").to_string(),
                Day::end(t).strftime("%H:%M").to_string(),
                v.fairway.clone(),
                v.pattern.word().to_string(),
                first_pass_hours(p.fairway, &p.mow)
                    .map_or_else(|| "-".to_string(), |(from, to)| format!("{from}-{to}")),
                words.height_of_cut(v.height_m),
                clean_up_rings(&p.mow).to_string(),
                format!("{:.0}", t.minutes),
            ]
        })
        .collect();
    let table = table(
        &[
            "machine",
            "from",
            "to",
            "fairway",
            "pattern",
            "first pass",
            "height",
            "clean-up",
            "min",
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
