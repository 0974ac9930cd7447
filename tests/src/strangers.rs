//! Words that do not belong in a language: what English pages say and Spanish ones never do.

use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_render::drawing::Drawing;
use crossgrain_render::words::{Language, Words};
use std::collections::BTreeSet;

/// Common English words that are no Spanish ones, and words of the trade, written by hand: a text
/// that never was in a words file is found by them.
const ENGLISH: &str = "the and with from for not are this that these those which while when where \
    than then them their your you was were has have had will would can cannot could should must may \
    into onto over under above below before after again first last next each every other another all \
    both some any none more most less only also about along across around away back down off out left \
    right straight toward turn turning turns mow mowing mown mower mowers cut cuts cutting deck height \
    grass edge clockwise counter counterclockwise passes pass stripes stripe lanes lane loops loop \
    rings ring heading bearing degrees way start end finish page pages week day days month year date \
    time hours minutes late later early frost wet moved missed nothing look watch keep stop go come \
    note notes shifted spacing usual today morning clean cleanup crossing cross half upper lower width \
    overlap speed course holes hole sheet board machine first-pass hand edge wide long short many few";

/// The English words that a Spanish page may not have.
#[derive(Debug, Clone)]
pub struct Strangers {
    words: BTreeSet<String>,
}

/// Words of three letters or more, in small letters.
fn tokens(text: &str) -> Vec<String> {
    (text.split(|c: char| !c.is_alphabetic()))
        .filter(|t| t.chars().count() > 2)
        .map(str::to_lowercase)
        .collect()
}

impl Strangers {
    /// All words of the English file and of the list that the Spanish file never says.
    pub fn in_spanish() -> Self {
        let said = |l: Language| -> BTreeSet<String> {
            let w = Words::of(l, UnitSystem::Us);
            w.keys().flat_map(|k| tokens(w.say(k))).collect()
        };
        let spanish = said(Language::Spanish);
        let mut words = said(Language::English);
        words.extend(tokens(ENGLISH));
        words.retain(|w| !spanish.contains(w));
        assert!(words.len() > 300 && words.contains("clockwise") && words.contains("the"));
        Self { words }
    }

    /// Those that a text has.
    pub fn of(&self, text: &str) -> Vec<String> {
        (tokens(text).into_iter())
            .filter(|w| self.words.contains(w))
            .collect()
    }

    /// Those that a page has, with the text they stand in; its title counts.
    pub fn on(&self, page: &Drawing) -> Vec<String> {
        let texts = page.texts();
        let all = texts.iter().map(|t| t.content.as_str());
        all.chain([page.title.as_str()])
            .filter_map(|t| {
                let found = self.of(t);
                (!found.is_empty()).then(|| format!("{found:?} in '{t}'"))
            })
            .collect()
    }
}
