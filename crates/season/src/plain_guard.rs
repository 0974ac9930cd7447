//! Never worse than a plain schedule: what is minimised has more in it than mean R2, so a plain
//! schedule could by chance have less of that for no more hours. Then the choice starts from it
//! and lowers mean R2 itself, within its hours.
//!
//! Only without grooming: with it, plain schedules do not keep to the crossing rule.

use crate::choice::mix::Counts;
use crate::choice::round::{Aim, exchange};
use crate::fairway_choice::{Answer, FairwayChoice};
use crate::fairway_dues::FairwayDues;
use crate::fairway_season::{Habit, Mown, habit};
use crate::price::Chosen;
use crate::rules::Rules;
use crate::timetable::Timetable;

/// Takes a better choice where a plain schedule within the hours has less mean R2.
pub(crate) fn no_worse_than_plain(
    rules: &Rules,
    table: &Timetable,
    choices: &[FairwayChoice],
    chosen: &mut Chosen,
    limit_min: Option<f64>,
) {
    if rules.grooms() {
        return;
    }
    let total: f64 = choices.iter().map(|c| c.area_m2).sum();
    let r2 = |counts: &[&Counts], answers: &[Answer]| -> f64 {
        choices
            .iter()
            .zip(answers)
            .zip(counts)
            .map(|((c, a), n)| {
                c.area_m2 / total.max(f64::MIN_POSITIVE) * c.candidates[a.candidate].mix.r2_mean(n)
            })
            .sum()
    };
    let minutes = |counts: &[&Counts], answers: &[Answer]| -> f64 {
        choices
            .iter()
            .zip(answers)
            .zip(counts)
            .map(|((c, a), n)| c.candidates[a.candidate].mix.minutes_of(n))
            .sum()
    };
    for h in [Habit::OneHeading, Habit::BackAndForth, Habit::ClockRotation] {
        let plain: Option<Vec<Counts>> = table
            .fairways
            .iter()
            .zip(choices)
            .zip(&chosen.answers)
            .map(|((f, c), a)| counts_of(h, rules, f, c, a))
            .collect();
        let Some(plain) = plain else { continue };
        let theirs: Vec<&Counts> = plain.iter().collect();
        let ours: Vec<&Counts> = chosen.answers.iter().map(|a| &a.counts).collect();
        let most = limit_min.unwrap_or_else(|| minutes(&ours, &chosen.answers));
        let keeps = minutes(&ours, &chosen.answers) <= most * (1.0 + 1e-9);
        if minutes(&theirs, &chosen.answers) > most * (1.0 + 1e-9)
            || (keeps && r2(&theirs, &chosen.answers) >= r2(&ours, &chosen.answers))
        {
            continue;
        }
        for ((c, a), counts) in choices.iter().zip(&mut chosen.answers).zip(&plain) {
            let k = &c.candidates[a.candidate];
            let free = vec![0.0; k.mix.mows.len()];
            let limit = k.mix.minutes_of(counts);
            let better = exchange(&k.mix, &k.spread, &free, counts, Aim::MeanR2, limit);
            *a = c.with_counts(a, better);
        }
    }
}

/// A habit as counts of the choice, when it can be chosen.
fn counts_of(
    h: Habit,
    rules: &Rules,
    f: &FairwayDues,
    choice: &FairwayChoice,
    answer: &Answer,
) -> Option<Counts> {
    let k = choice.candidates.get(answer.candidate)?;
    // The clean-up passes of the choice, which a habit shares.
    let mut own: Vec<Mown> = f.plain(rules);
    for unit in &choice.units {
        let group = &k.mix.groups[unit.group];
        for (&d, &m) in unit.dues.iter().zip(&group.atoms.first()?.mows) {
            own[d].job = k.jobs[m];
        }
    }
    let mown = habit(h, false, rules, &f.stock, &f.dues, &own);
    let mut out: Counts = k
        .mix
        .groups
        .iter()
        .map(|g| vec![0.0; g.atoms.len()])
        .collect();
    for unit in &choice.units {
        let group = &k.mix.groups[unit.group];
        let a = group.atoms.iter().position(|a| {
            unit.dues
                .iter()
                .zip(&a.mows)
                .all(|(&d, &m)| k.jobs[m] == mown[d].job)
        })?;
        out[unit.group][a] += 1.0;
    }
    Some(out)
}
