//! What the user should know of a plan, each thing said once.
//!
//! Mows of one fairway share their clean-up passes and so their tight places, and a remark about
//! the deck holds for every fairway: said mow by mow, the same words would hide the ones that
//! matter.

use crate::report::{Planned, shown_length, shown_patch, shown_short, shown_way};
use crate::whereabouts::place;
use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_core::{Mower, Note};
use crossgrain_metrics::promises::{Broken, broken};
use std::collections::BTreeMap;

/// Places named before the rest are only counted: more is not read.
const PLACES: usize = 6;
/// Fairways named before the rest are only counted.
const NAMES: usize = 12;

/// One thing to say.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Notice {
    /// Whether the user must look, which makes the exit code 1.
    pub look: bool,
    /// The words before the places.
    pub text: String,
    /// Where, in words, and the words after it.
    pub places: Option<(Vec<String>, &'static str)>,
}

impl Notice {
    /// One that holds for the mow as a whole.
    pub fn plain(look: bool, text: String) -> Self {
        Self {
            look,
            text,
            places: None,
        }
    }

    /// One that holds at a place.
    pub fn at(look: bool, text: &str, place: String, after: &'static str) -> Self {
        Self {
            look,
            text: text.to_string(),
            places: Some((vec![place], after)),
        }
    }
}

/// Who chose how a mow is made, and so where it can be changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum ChosenBy {
    /// The options of this command.
    Options,
    /// The programme: this morning no option of ours can change it.
    Programme,
}

/// The lines to print, in the order of the mows, and whether any asks for a look.
pub(crate) fn lines(
    plans: &[Planned<'_>],
    mower: &Mower,
    units: UnitSystem,
    chosen: ChosenBy,
) -> (bool, Vec<String>) {
    let told: Vec<(&str, Vec<Notice>)> = plans
        .iter()
        .map(|p| (p.fairway.name(), of_mow(p, mower, units, chosen)))
        .collect();
    gather(&told)
}

/// Whether a note only says how other settings would do better.
fn is_advice(note: &Note) -> bool {
    matches!(
        note,
        Note::CheaperLoops { .. } | Note::FewLoopsFit { .. } | Note::BeyondMargin { .. }
    )
}

/// What the user should know of a mow. What breaks a promise needs a look.
fn of_mow(p: &Planned<'_>, mower: &Mower, units: UnitSystem, chosen: ChosenBy) -> Vec<Notice> {
    let place = |x: f64, y: f64| place(p.fairway, (x, y));
    let broken = broken(mower, &p.mow, &p.measures, &p.left.missed);
    let promises = broken.iter().filter_map(|b| of_promise(b, units, place));
    let notes = (p.mow.notes().iter()).filter(|n| chosen == ChosenBy::Options || !is_advice(n));
    promises
        .chain(notes.map(|note| of_note(note, units, place)))
        .collect()
}

fn of_promise(b: &Broken, units: UnitSystem, place: impl Fn(f64, f64) -> String) -> Option<Notice> {
    let text = match b {
        Broken::MissedPlace {
            area_m2,
            places,
            at,
        } => format!(
            "{places} place(s) missed, the largest {}, {}",
            shown_patch(*area_m2, units),
            place(at.x, at.y)
        ),
        Broken::MissedPart { area_m2 } => {
            format!("{} missed altogether", shown_patch(*area_m2, units))
        }
        Broken::KeepOutCut { area_m2 } => format!(
            "{} of keep-outs under lowered reels; do not drive this plan",
            shown_patch(*area_m2, units)
        ),
        Broken::KeepOutCrossed { way_m } => format!(
            "the way between passes leads over {} of keep-outs; stop there, and drive round as you know",
            shown_way(*way_m, units)
        ),
        Broken::StopHere { steps } => {
            format!("{steps} step(s) end at \"stop here\": drive round to the next as you know")
        }
        // Told with the note, which says where.
        Broken::LeftOut { .. } => return None,
    };
    Some(Notice::plain(true, text))
}

fn of_note(note: &Note, units: UnitSystem, place: impl Fn(f64, f64) -> String) -> Notice {
    match note {
        Note::Trim { area_m2 } => Notice::plain(
            false,
            format!(
                "{} is out of reach of this deck; leave it to a smaller machine",
                shown_patch(*area_m2, units)
            ),
        ),
        Note::TooNarrow { cutting_width_m } => Notice::plain(
            true,
            format!(
                "narrower than the deck ({}) everywhere, nothing planned; use a narrower --deck or --mower",
                shown_short(*cutting_width_m, units)
            ),
        ),
        Note::NoWay { at } => Notice::at(
            true,
            "no way on that keeps off keep-outs ",
            place(at.x, at.y),
            "; the step ends there with \"stop here\", drive round as you know",
        ),
        Note::BeyondMargin { at } => Notice::at(
            false,
            "a turn goes farther out than --turn-margin ",
            place(at.x, at.y),
            "",
        ),
        Note::BacksUp { at } => Notice::at(
            false,
            "no forward turn fits ",
            place(at.x, at.y),
            "; the mower backs up there, look behind first",
        ),
        Note::Unreachable { at, legs } => Notice::at(
            true,
            &format!("{legs} pass(es) cannot be driven to and were left out, "),
            place(at.x, at.y),
            "",
        ),
        Note::CheaperLoops {
            diameter_m,
            mean_cuts,
            asked_mean_cuts,
        } => Notice::plain(
            false,
            format!(
                "loops of {} cost {mean_cuts:.2} mean cuts instead of {asked_mean_cuts:.2}; see --loop-diameter",
                shown_length(*diameter_m, units)
            ),
        ),
        Note::FewLoopsFit { share } => Notice::plain(
            false,
            format!(
                "whole loops fit on {:.0}% of the ground inside the clean-up passes; further \
                 rounds and passes along the edges take the rest; try smaller loops or stripes",
                100.0 * share
            ),
        ),
        Note::NoHoleLine => Notice::plain(
            false,
            "no hole line in the file; the clock was read on the long axis".to_string(),
        ),
        Note::BudgetSpent => Notice::plain(
            false,
            "the work budget ran out; the order of passes could be better".to_string(),
        ),
        // What is new has a word at least.
        other => Notice::plain(true, format!("look at this mow: {}", other.word())),
    }
}

fn gather(told: &[(&str, Vec<Notice>)]) -> (bool, Vec<String>) {
    // Of one fairway: places of the same remark go into one line.
    let mut fairways: Vec<(&str, Vec<Notice>)> = Vec::new();
    for (name, notices) in told {
        let at = match fairways.iter().position(|f| f.0 == *name) {
            Some(at) => at,
            None => {
                fairways.push((*name, Vec::new()));
                fairways.len() - 1
            }
        };
        let kept = &mut fairways[at].1;
        for n in notices {
            let same = kept
                .iter_mut()
                .find(|k| k.look == n.look && k.text == n.text && after(k) == after(n));
            match (same, &n.places) {
                (None, _) => kept.push(n.clone()),
                (Some(k), Some((more, _))) => {
                    if let Some((places, _)) = &mut k.places {
                        places.extend(more.iter().cloned());
                    }
                }
                (Some(_), None) => {}
            }
        }
    }
    // Of several fairways: the same line is said once.
    let mut order: Vec<(bool, String, Vec<&str>)> = Vec::new();
    let mut known: BTreeMap<(bool, String), usize> = BTreeMap::new();
    for (name, notices) in &fairways {
        for n in notices {
            let text = words(n);
            let at = *known.entry((n.look, text.clone())).or_insert_with(|| {
                order.push((n.look, text, Vec::new()));
                order.len() - 1
            });
            order[at].2.push(name);
        }
    }
    let lines = order
        .iter()
        .map(|(look, text, names)| {
            let kind = if *look { "warning" } else { "note" };
            format!("{kind}: {}: {text}", who(names, fairways.len()))
        })
        .collect();
    (order.iter().any(|o| o.0), lines)
}

fn after(n: &Notice) -> Option<&'static str> {
    n.places.as_ref().map(|p| p.1)
}

fn words(n: &Notice) -> String {
    let Some((places, after)) = &n.places else {
        return n.text.clone();
    };
    let mut shown: Vec<(String, usize)> = Vec::new();
    for p in places {
        match shown.iter_mut().find(|s| s.0 == *p) {
            Some(s) => s.1 += 1,
            None => shown.push((p.clone(), 1)),
        }
    }
    let more: usize = shown.iter().skip(PLACES).map(|s| s.1).sum();
    let mut list: Vec<String> = shown
        .into_iter()
        .take(PLACES)
        .map(|(place, n)| match n {
            1 => place,
            n => format!("{place} ({n} times)"),
        })
        .collect();
    if more > 0 {
        list.push(format!("and {more} more"));
    }
    let list = list.join("; ");
    format!("{}{list}{after}", n.text)
}

fn who(names: &[&str], all: usize) -> String {
    match names {
        [one] => format!("fairway '{one}'"),
        _ if names.len() == all => "every fairway".to_string(),
        _ => {
            let list: Vec<String> = names.iter().take(NAMES).map(|n| format!("'{n}'")).collect();
            let mut out = format!("fairways {}", list.join(", "));
            if names.len() > NAMES {
                out.push_str(&format!(" and {} more", names.len() - NAMES));
            }
            out
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(x: u32) -> Notice {
        Notice::at(false, "tight ", format!("at {x}"), "; look behind")
    }

    fn plain(look: bool, text: &str) -> Notice {
        Notice::plain(look, text.to_string())
    }

    #[test]
    fn the_same_remark_is_made_once() {
        let told = [
            ("1", vec![place(3), plain(false, "cheaper")]),
            ("1", vec![place(3), place(9)]),
            ("2", vec![plain(false, "cheaper"), plain(false, "trim")]),
        ];
        let (look, lines) = gather(&told);
        assert!(!look);
        assert_eq!(
            lines,
            [
                "note: fairway '1': tight at 3 (2 times); at 9; look behind",
                "note: every fairway: cheaper",
                "note: fairway '2': trim",
            ]
        );
    }

    #[test]
    fn some_fairways_are_named_and_a_warning_stays_one() {
        let told = [
            ("1", vec![plain(true, "missed")]),
            ("2", vec![plain(true, "missed")]),
            ("3", vec![plain(false, "missed")]),
        ];
        let (look, lines) = gather(&told);
        assert!(look);
        assert_eq!(
            lines,
            [
                "warning: fairways '1', '2': missed",
                "note: fairway '3': missed"
            ]
        );
    }

    #[test]
    fn many_places_are_counted() {
        let many = (0..9).map(place).collect();
        let (_, lines) = gather(&[("1", many)]);
        assert!(lines[0].contains("at 5; and 3 more; look"), "{lines:?}");
    }
}
