//! The drives on the terminal, in the sentences of the sheets.

use crate::report::Planned;
use crossgrain_render::sentences::rows;
use crossgrain_render::words::Words;
use rayon::prelude::*;

/// Every step of every mow, a line a sentence; mows are told side by side.
pub(crate) fn listing(plans: &[Planned<'_>], words: &Words) -> String {
    let told: Vec<String> = plans.par_iter().map(|p| of_mow(p, words)).collect();
    told.concat()
}

fn of_mow(p: &Planned<'_>, words: &Words) -> String {
    let pattern = words
        .say(&format!("pattern.{}", p.mow.pattern().word()))
        .to_string();
    let mut out = format!("{} {}: {pattern}\n", words.say("fairway"), p.fairway.name());
    for row in rows(p.fairway, &p.mow, words) {
        let step = row.said;
        for (i, sentence) in step.sentences.iter().enumerate() {
            let letter = if i == 0 { step.letter.as_str() } else { "" };
            out.push_str(&format!("  {letter:<4}{sentence}\n"));
        }
    }
    out
}
