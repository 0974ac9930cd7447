//! What a plan came to, as a table and as notices.

use crate::notices::Notice;
use crate::terminal::table;
use crossgrain_core::model::mow::Note;
use crossgrain_core::model::units::{ACRE_M2, FOOT_M, INCH_M, UnitSystem, YARD_M};
use crossgrain_core::{Fairway, Mow};
use crossgrain_metrics::Measures;

/// Missed ground above this part of the reach needs the user's eyes.
pub(crate) const MISSED_PART: f64 = 1e-3;
/// Overrun above this part of the fairway does too.
pub(crate) const OVERRUN_PART: f64 = 5e-3;
/// Areas below this are rounding, square metres: a hand's breadth.
pub(crate) const SMALL_M2: f64 = 0.01;

/// One planned and measured mow.
pub(crate) struct Planned<'a> {
    pub fairway: &'a Fairway,
    pub mow: Mow,
    pub measures: Measures,
}

/// Hectares or acres.
pub(crate) fn shown_area(m2: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Us => format!("{:.2} ac", m2 / ACRE_M2),
        UnitSystem::Metric => format!("{:.2} ha", m2 / 10_000.0),
    }
}

/// Square feet or square metres.
pub(crate) fn shown_patch(m2: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Us => format!("{:.1} sq ft", m2 / (FOOT_M * FOOT_M)),
        UnitSystem::Metric => format!("{m2:.1} m2"),
    }
}

/// Yards or metres.
pub(crate) fn shown_distance(m: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Us => format!("{:.0} yd", m / YARD_M),
        UnitSystem::Metric => format!("{m:.0} m"),
    }
}

/// Inches or centimetres.
pub(crate) fn shown_short(m: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Us => format!("{:.1} in", m / INCH_M),
        UnitSystem::Metric => format!("{:.0} cm", m * 100.0),
    }
}

/// The table of all mows, with a last line for the course.
pub(crate) fn listing(plans: &[Planned<'_>], units: UnitSystem) -> String {
    let mut rows: Vec<Vec<String>> = plans
        .iter()
        .map(|p| {
            let (m, f) = (&p.measures, p.fairway);
            vec![
                f.name.clone(),
                p.mow.pattern.word().to_string(),
                p.mow
                    .heading_deg
                    .map_or_else(String::new, |h| format!("{h:.1}")),
                shown_area(m.fairway_m2, units),
                m.passes.to_string(),
                shown_short(p.mow.settings.overlap_m, units),
                format!("{:.2}", m.mean_cuts),
                shown_patch(m.missed_m2, units),
                shown_patch(m.trim_m2, units),
                shown_distance(m.mowing_m, units),
                shown_distance(m.transport_m, units),
                format!("{:.0}", m.minutes),
            ]
        })
        .collect();
    let sum = |f: &dyn Fn(&Measures) -> f64| plans.iter().map(|p| f(&p.measures)).sum::<f64>();
    if plans.len() > 1 {
        rows.push(vec![
            "all".to_string(),
            String::new(),
            String::new(),
            shown_area(sum(&|m| m.fairway_m2), units),
            plans
                .iter()
                .map(|p| p.measures.passes)
                .sum::<usize>()
                .to_string(),
            String::new(),
            String::new(),
            shown_patch(sum(&|m| m.missed_m2), units),
            shown_patch(sum(&|m| m.trim_m2), units),
            shown_distance(sum(&|m| m.mowing_m), units),
            shown_distance(sum(&|m| m.transport_m), units),
            format!("{:.0}", sum(&|m| m.minutes)),
        ]);
    }
    table(
        &[
            "fairway",
            "pattern",
            "heading",
            "area",
            "passes",
            "overlap",
            "mean cuts",
            "missed",
            "trim",
            "mowing",
            "reels up",
            "minutes",
        ],
        &rows,
        &[
            false, false, true, true, true, true, true, true, true, true, true, true,
        ],
    )
}

/// What the user should know of a mow.
pub(crate) fn notices(p: &Planned<'_>, units: UnitSystem) -> Vec<Notice> {
    let mut out = Vec::new();
    let m = &p.measures;
    let reach_m2 = (m.fairway_m2 - m.trim_m2).max(0.0);
    if m.missed_m2 > SMALL_M2.max(MISSED_PART * reach_m2) {
        out.push(Notice::plain(
            true,
            format!(
                "{} missed; try a larger --overlap or another --heading",
                shown_patch(m.missed_m2, units)
            ),
        ));
    }
    if m.keepout_cut_m2 > SMALL_M2 {
        out.push(Notice::plain(
            true,
            format!(
                "{} of keep-outs under lowered reels; do not drive this plan",
                shown_patch(m.keepout_cut_m2, units)
            ),
        ));
    }
    if m.overrun_m2 > SMALL_M2.max(OVERRUN_PART * m.fairway_m2) {
        out.push(Notice::plain(
            true,
            format!(
                "{} outside the outline under lowered reels; try a smaller --overrun",
                shown_patch(m.overrun_m2, units)
            ),
        ));
    }
    out.extend(p.mow.notes.iter().map(|note| match note {
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
        // Often the way between two parts of a fairway leads over a bridge or a path that
        // the file does not show: the mow itself is sound.
        Note::NoLegalTurn { at } => Notice::at(
            false,
            "no legal way on found near ",
            (at.x, at.y),
            "; choose the bridge or path there yourself, or try a larger --turn-margin",
        ),
        Note::BacksUp { at } => Notice::at(
            false,
            "no forward turn fits near ",
            (at.x, at.y),
            "; the mower backs up there, look behind first, or try a larger --turn-margin",
        ),
        Note::Unreachable { at, legs } => Notice::at(
            true,
            &format!("{legs} pass(es) cannot be driven to and were left out, near "),
            (at.x, at.y),
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
                match units {
                    UnitSystem::Us => format!("{:.1} ft", diameter_m / FOOT_M),
                    UnitSystem::Metric => format!("{diameter_m:.2} m"),
                }
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
    }));
    out
}
