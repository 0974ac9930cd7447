//! Odd values and options without effect, told before the work begins.

use crate::options::{is_set, text};
use crate::report::{shown_height, shown_length, shown_speed};
use clap::ArgMatches;
use crossgrain_core::PatternKind;
use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_formats::usual::{Odd, Quantity};

/// One line for each odd value.
pub(crate) fn lines(odd: &[Odd], units: UnitSystem) -> Vec<String> {
    let shown = |v: f64, q| match q {
        Quantity::Length => shown_length(v, units),
        Quantity::Height => shown_height(v, units),
        Quantity::Speed => shown_speed(v, units),
        Quantity::Seconds => format!("{v:.1} s"),
        Quantity::Number => format!("{v}"),
    };
    odd.iter()
        .map(|o| {
            format!(
                "warning: {} is {}; {} to {} is usual; it is used as it stands",
                o.field,
                shown(o.value, o.quantity),
                shown(o.low, o.quantity),
                shown(o.high, o.quantity)
            )
        })
        .collect()
}

use PatternKind::{Contour, Cross, HalfAndHalf, Loops, Rings, Stripes};

/// The patterns that each option means nothing to. What is new is not listed: it is given what was
/// asked for.
const NO_EFFECT: &[(&str, &[PatternKind])] = &[
    ("heading", &[Contour, Rings]),
    ("spacing", &[Loops, Contour, Rings]),
    ("loop-diameter", ALL_BUT_LOOPS),
    ("loop-form", ALL_BUT_LOOPS),
    ("lane-shift", ALL_BUT_LOOPS),
    ("advance-tolerance", ALL_BUT_LOOPS),
    ("steering-tolerance", ALL_BUT_LOOPS),
    ("guide", &[Stripes, Cross, HalfAndHalf, Rings]),
    ("cross-angle", ALL_BUT_CROSS),
    ("crossing-only", ALL_BUT_CROSS),
    ("overrun", ALL_BUT_LOOPS),
    ("to-edge", &[Loops, Contour]),
    ("free-directions", &[Loops, HalfAndHalf, Rings]),
];
const ALL_BUT_LOOPS: &[PatternKind] = &[Stripes, Cross, Contour, HalfAndHalf, Rings];
const ALL_BUT_CROSS: &[PatternKind] = &[Stripes, Loops, Contour, HalfAndHalf, Rings];

/// One line for each option that changes nothing for the patterns asked for.
pub(crate) fn without_effect(m: &ArgMatches, patterns: &[PatternKind]) -> Vec<String> {
    let given = |name: &str| text(m, name).is_some() || is_set(m, name);
    let mut out: Vec<String> = NO_EFFECT
        .iter()
        .filter(|(name, nothing)| given(name) && patterns.iter().all(|p| nothing.contains(p)))
        .map(|(name, nothing)| {
            let asked: Vec<&str> = patterns.iter().map(|p| p.word()).collect();
            let means: Vec<&str> = PatternKind::ALL
                .iter()
                .filter(|p| !nothing.contains(p))
                .map(|p| p.word())
                .collect();
            format!(
                "warning: --{name} has no effect on {}; it is for {}",
                asked.join(", "),
                means.join(", ")
            )
        })
        .collect();
    let no_rings = text(m, "cleanup").is_some_and(|t| t.trim() == "0");
    if no_rings && is_set(m, "cleanup-last") {
        out.push(
            "warning: --cleanup-last has no effect with --cleanup 0; there are no clean-up passes"
                .to_string(),
        );
    }
    if no_rings && given("sense") && !patterns.iter().any(|p| matches!(p, Loops | Rings)) {
        out.push(
            "warning: --sense has no effect without clean-up passes, loops or rings".to_string(),
        );
    }
    out
}
