//! Why a visit is not the plain one, in the crew's words.

use crate::season_frame::date_text;
use crate::words::Words;
use crossgrain_season::rules::Sky;
use crossgrain_season::scalping::Reason;
use crossgrain_season::visit::Visit;
use jiff::civil::Date;

/// Why the height or the pattern is what it is, and why the day.
pub(crate) fn reasons_of(v: &Visit, words: &Words) -> Vec<String> {
    let mut out = Vec::new();
    let mut say = |key: &str, date: Option<Date>| {
        let date = date.map_or_else(String::new, |d| date_text(d, words));
        out.push(words.fill(key, &[("date", &date)]));
    };
    match v.why {
        Some(Reason::FirstLoops) => say("reason.first", None),
        Some(Reason::RaiseRepeated { seen }) => say("reason.slight", Some(seen)),
        Some(Reason::RaiseKept { seen }) => say("reason.moderate", Some(seen)),
        Some(Reason::RaiseKeptSevere { seen }) => say("reason.kept_severe", Some(seen)),
        Some(Reason::LoopsHeldBack { seen }) => say("reason.severe", Some(seen)),
        None => {}
    }
    match v.moved_from {
        Some((from, Sky::Frost)) => say("reason.moved.frost", Some(from)),
        Some((from, Sky::Wet)) => say("reason.moved.wet", Some(from)),
        None => {}
    }
    out
}

/// Why it starts later.
pub(crate) fn later_of(v: &Visit, words: &Words) -> Option<String> {
    (v.later_min > 0).then(|| {
        words.fill(
            "reason.later",
            &[("time", &words.minutes(f64::from(v.later_min)))],
        )
    })
}
