//! The drives on the terminal, in the sentences of the sheets.

use crate::report::Planned;
use crossgrain_render::sentences::said;
use crossgrain_render::words::Words;

/// Every step of every mow, a line a sentence.
pub(crate) fn listing(plans: &[Planned<'_>], words: &Words) -> String {
    let mut out = String::new();
    for p in plans {
        let pattern = words
            .say(&format!("pattern.{}", p.mow.pattern.word()))
            .to_string();
        out.push_str(&format!(
            "{} {}: {pattern}\n",
            words.say("fairway"),
            p.fairway.name
        ));
        for step in said(p.fairway, &p.mow, words) {
            for (i, sentence) in step.sentences.iter().enumerate() {
                let letter = if i == 0 { step.letter.as_str() } else { "" };
                out.push_str(&format!("  {letter:<3}{sentence}\n"));
            }
        }
    }
    out
}
