//! What a plan came to, as a table and as notices.

use crate::terminal::table;
use crossgrain_core::inside::model::quantity::{
    FOOT_M, INCH_M, KMH_M_S, MPH_M_S, UnitSystem, YARD_M,
};
use crossgrain_core::{Fairway, Mow, Mower, PlanError};
use crossgrain_metrics::Measures;
use crossgrain_metrics::capacity::{acres, hectares, m2_per_h};
use crossgrain_metrics::promises::Broken;
use crossgrain_render::sheet::Left;

/// One planned and measured mow.
pub(crate) struct Planned<'a> {
    pub fairway: &'a Fairway,
    pub mow: Mow,
    pub measures: Measures,
    pub left: Left,
}

/// Rough under lowered reels above this part of the fairway: straight passes that run over the
/// edge.
const OVERRUN_PART: f64 = 5e-3;
/// On less ground than this, square metres, the edge is long for what it holds, and that part of it
/// is a finger's breadth along the edge: `plan` does not ask for a look there either.
const MIN_JUDGED_M2: f64 = 500.0;

/// Why a mow of a season is not fit to be driven as planned: the promises that it breaks, and
/// rough that it cuts.
pub(crate) fn unfit(ground: &crossgrain_season::ground_figures::GroundFigures) -> Option<String> {
    let mut why: Vec<String> = ground
        .broken
        .iter()
        .map(|b| match b {
            Broken::MissedPlace {
                area_m2, places, ..
            } => format!("{places} place(s) missed, the largest {area_m2:.1} m2"),
            Broken::MissedPart { area_m2 } => format!("{area_m2:.1} m2 missed"),
            Broken::KeepOutCut { area_m2 } => format!("{area_m2:.1} m2 of keep-outs cut"),
            Broken::KeepOutCrossed { way_m } => format!("{way_m:.0} m over keep-outs"),
            Broken::StopHere { steps } => format!("{steps} step(s) that end at \"stop here\""),
            Broken::LeftOut { legs } => format!("{legs} pass(es) cannot be driven to"),
        })
        .collect();
    let is_judged = ground.fairway_m2 >= MIN_JUDGED_M2;
    if is_judged && ground.overrun_m2 > OVERRUN_PART * ground.fairway_m2 {
        why.push(format!("{:.1} m2 of rough cut", ground.overrun_m2));
    }
    (!why.is_empty()).then(|| why.join(", "))
}

/// Hectares or acres.
pub(crate) fn shown_area(m2: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Us => format!("{:.2} ac", acres(m2)),
        UnitSystem::Metric => format!("{:.2} ha", hectares(m2)),
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

/// Feet or metres: decks, loops, radii.
pub(crate) fn shown_length(m: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Us if m.abs() < 10.0 * FOOT_M => format!("{} in", rounded(m / INCH_M)),
        UnitSystem::Us => format!("{} ft", rounded(m / FOOT_M)),
        UnitSystem::Metric => format!("{:.2} m", m),
    }
}

/// Inches or millimetres: heights of cut.
pub(crate) fn shown_height(m: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Us => format!("{:.3} in", m / INCH_M),
        UnitSystem::Metric => format!("{:.1} mm", m * 1000.0),
    }
}

/// Miles or kilometres an hour.
pub(crate) fn shown_speed(m_s: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Us => format!("{:.1} mph", m_s / MPH_M_S),
        UnitSystem::Metric => format!("{:.1} km/h", m_s / KMH_M_S),
    }
}

/// Feet or metres driven: short ways.
pub(crate) fn shown_way(m: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Us => format!("{:.0} ft", (m / FOOT_M).max(1.0)),
        UnitSystem::Metric => format!("{m:.1} m"),
    }
}

/// One place after the point, and none where it says nothing.
fn rounded(v: f64) -> String {
    let text = format!("{v:.1}");
    text.strip_suffix(".0").unwrap_or(&text).to_string()
}

/// The table of all mows, with a last line for the course.
pub(crate) fn listing(plans: &[Planned<'_>], units: UnitSystem) -> String {
    let mut rows: Vec<Vec<String>> = plans
        .iter()
        .map(|p| {
            let (m, f) = (&p.measures, p.fairway);
            vec![
                f.name().to_string(),
                p.mow.pattern().word().to_string(),
                p.mow
                    .heading_deg()
                    .map_or_else(String::new, |h| format!("{h:.1}")),
                shown_area(m.fairway_m2, units),
                m.passes.to_string(),
                shown_short(p.mow.settings().overlap_m, units),
                format!("{:.2}", m.mean_cuts),
                shown_patch(m.missed_m2, units),
                shown_patch(m.trim_m2, units),
                shown_distance(m.mowing_m, units),
                shown_distance(m.transport_m, units),
                format!("{:.0}", m.minutes),
                format!("{:.0}", m.shift_minutes),
            ]
        })
        .collect();
    rows.extend(totals(plans, units));
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
            "in a shift",
        ],
        &rows,
        &[
            false, false, true, true, true, true, true, true, true, true, true, true, true,
        ],
    )
}

/// A total for each pattern: several on the same ground are no work of one day.
fn totals(plans: &[Planned<'_>], units: UnitSystem) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    let mut patterns: Vec<&str> = Vec::new();
    for p in plans {
        if !patterns.contains(&p.mow.pattern().word()) {
            patterns.push(p.mow.pattern().word());
        }
    }
    for pattern in &patterns {
        let of: Vec<&Planned<'_>> = plans
            .iter()
            .filter(|p| p.mow.pattern().word() == *pattern)
            .collect();
        if of.len() < 2 {
            continue;
        }
        let sum = |f: &dyn Fn(&Measures) -> f64| of.iter().map(|p| f(&p.measures)).sum::<f64>();
        rows.push(vec![
            "all".to_string(),
            if patterns.len() > 1 {
                (*pattern).to_string()
            } else {
                String::new()
            },
            String::new(),
            shown_area(sum(&|m| m.fairway_m2), units),
            of.iter()
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
            format!("{:.0}", sum(&|m| m.shift_minutes)),
        ]);
    }
    rows
}

/// How long the crew is out for it: driving is only a share of a shift.
pub(crate) fn shift(plans: &[Planned<'_>], mower: &Mower, units: UnitSystem) -> String {
    let sum = |f: &dyn Fn(&Measures) -> f64| plans.iter().map(|p| f(&p.measures)).sum::<f64>();
    let (driving, out) = (sum(&|m| m.minutes), sum(&|m| m.shift_minutes));
    let rate = m2_per_h(sum(&|m| m.fairway_m2), out);
    format!(
        "{driving:.0} minutes of driving are about {out:.0} of a shift, {} an hour, if {:.0}% of it is driving: \
         stops, emptying and the way between fairways are the rest (shift_efficiency in the mower file)",
        shown_area(rate, units),
        100.0 * mower.shift_efficiency,
    )
}

/// Why a mow could not be planned, in the user's units.
pub(crate) fn plan_error(e: &PlanError, units: UnitSystem) -> String {
    match e {
        PlanError::LoopDiameter {
            asked_m,
            reason,
            nearest_m,
        } => {
            let mut text = format!(
                "loops of {} cannot be driven: {reason}",
                shown_length(*asked_m, units)
            );
            if !nearest_m.is_empty() {
                let list: Vec<String> = nearest_m.iter().map(|d| shown_length(*d, units)).collect();
                text.push_str(&format!("; the nearest that can: {}", list.join(", ")));
            }
            text
        }
        other => other.to_string(),
    }
}
