//! The plan files of a morning.

use super::{Made, Morning};
use crate::today::today;
use crossgrain_formats::plan::{self as plan_file, About, Entry};

/// The plan files of a day: one for each kind of mower that goes out, with the places of its
/// turns; and the number that all of them carry.
pub(super) struct PlanFiles {
    pub files: Vec<(String, String)>,
    pub places: Vec<(usize, usize)>,
    pub number: String,
    pub date: String,
}

pub(super) fn plan_files(made: &Made<'_>, morning: &Morning<'_>) -> PlanFiles {
    let (asked, turns) = (made.asked, &morning.day.turns);
    let mut kinds: Vec<usize> = turns.iter().map(|t| t.kind).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let mut places = vec![(0, 0); turns.len()];
    let entries: Vec<Vec<Entry<'_>>> = (kinds.iter().enumerate())
        .map(|(file, kind)| {
            let mut out = Vec::new();
            for (i, p) in morning.plans.iter().enumerate() {
                if turns[i].kind == *kind {
                    places[i] = (file, out.len());
                    out.push(Entry {
                        fairway: p.fairway,
                        mow: &p.mow,
                        measures: &p.measures,
                    });
                }
            }
            out
        })
        .collect();
    let mows: Vec<Vec<String>> = (entries.iter())
        .map(|of_kind| of_kind.iter().map(plan_file::mow_text).collect())
        .collect();
    let texts = |about: &About<'_>| -> Vec<String> {
        (kinds.iter().zip(&mows))
            .map(|(k, m)| plan_file::text(made.course, &asked.standing.mowers[*k], m, about))
            .collect()
    };
    let number = plan_file::plan_number(&texts(&About::default()).concat());
    let date = today().to_string();
    let about = About {
        number: Some(&number),
        date: Some(&date),
        ..About::default()
    };
    let stem = if asked.many {
        format!("plan-{}", morning.day.date)
    } else {
        "plan".to_string()
    };
    let name = |kind: usize| {
        if kinds.len() == 1 {
            format!("{stem}.json")
        } else {
            format!("{stem}-mower-{}.json", kind + 1)
        }
    };
    let names: Vec<String> = kinds.iter().map(|k| name(*k)).collect();
    PlanFiles {
        files: names.into_iter().zip(texts(&about)).collect(),
        places,
        number,
        date,
    }
}
