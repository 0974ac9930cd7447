//! What the user should know of the mornings, each thing said once.

use super::Morning;
use crate::notices::{self, ChosenBy};
use crate::options::Crew;
use crate::report::Planned;
use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_season::day::{Day, NotMown, Standing};

/// The lines to print, and whether any asks for a look.
pub(super) fn lines(
    mornings: &[Morning<'_>],
    standing: &Standing,
    crew: &Crew,
    units: UnitSystem,
) -> (bool, Vec<String>) {
    let (mut look, mut told) = (false, Vec::new());
    for morning in mornings {
        for (kind, mower) in standing.mowers.iter().enumerate() {
            let plans = of_kind(morning, kind);
            let (here, lines) = notices::lines(&plans, mower, units, ChosenBy::Programme);
            look |= here;
            told.extend(lines);
        }
    }
    told.dedup();
    for morning in mornings {
        told.extend(players(&morning.day, crew));
    }
    let warnings: Vec<String> = (mornings.iter())
        .flat_map(|m| not_mown(&m.day).into_iter().chain(overfull(&m.day)))
        .collect();
    look |= !warnings.is_empty();
    told.extend(warnings);
    (look, told)
}

/// The plans that a kind of mower drives.
fn of_kind<'a>(morning: &Morning<'a>, kind: usize) -> Vec<Planned<'a>> {
    (morning.day.turns.iter())
        .zip(&morning.plans)
        .filter(|(t, _)| t.kind == kind)
        .map(|(_, p)| Planned {
            fairway: p.fairway,
            mow: p.mow.clone(),
            measures: p.measures.clone(),
            left: p.left.clone(),
        })
        .collect()
}

/// The fairways where the first group comes before the mower is through.
fn players(day: &Day, crew: &Crew) -> Option<String> {
    let pages = crew.on_pages();
    let late: Vec<String> = (day.turns.iter())
        .filter(|t| {
            let at = pages.players_at(&t.visit.fairway, t.start);
            at.is_some_and(|at| at < Day::end(t))
        })
        .map(|t| format!("'{}'", t.visit.fairway))
        .collect();
    (!late.is_empty()).then(|| {
        format!(
            "note: {}: players come to fairways {} before the mower is through; send out another \
             machine, or leave fairways out with --without",
            day.date,
            late.join(", ")
        )
    })
}

fn not_mown(day: &Day) -> Vec<String> {
    (day.not_mown.iter())
        .filter(|n| n.1 == NotMown::NoMachine)
        .map(|(fairway, _)| {
            format!(
                "warning: fairway '{fairway}' is not mown on {}: no machine that may mow it is there",
                day.date
            )
        })
        .collect()
}

fn overfull(day: &Day) -> Option<String> {
    let midnight = day.date.at(23, 59, 0, 0);
    let late = day.turns.iter().any(|t| Day::end(t) >= midnight);
    late.then(|| {
        format!(
            "warning: {} is overfull: a machine would not be back before midnight; send out \
             another, or leave fairways out with --without",
            day.date
        )
    })
}
