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

/// The patterns that each option means something to.
const EFFECT: &[(&str, &[PatternKind])] = &[
    ("heading", &[Stripes, Cross, Loops, HalfAndHalf]),
    ("spacing", &[Stripes, Cross, HalfAndHalf]),
    ("loop-diameter", &[Loops]),
    ("loop-form", &[Loops]),
    ("lane-shift", &[Loops]),
    ("advance-tolerance", &[Loops]),
    ("steering-tolerance", &[Loops]),
    ("guide", &[Loops, Contour]),
    ("cross-angle", &[Cross]),
    ("crossing-only", &[Cross]),
    ("overrun", &[Loops]),
    ("to-edge", &[Stripes, Cross, HalfAndHalf, Rings]),
    ("free-directions", &[Stripes, Cross, Contour]),
];

/// One line for each option that changes nothing for the patterns asked for.
pub(crate) fn without_effect(m: &ArgMatches, patterns: &[PatternKind]) -> Vec<String> {
    let given = |name: &str| text(m, name).is_some() || is_set(m, name);
    let mut out: Vec<String> = EFFECT
        .iter()
        .filter(|(name, means)| given(name) && !patterns.iter().any(|p| means.contains(p)))
        .map(|(name, means)| {
            let asked: Vec<&str> = patterns.iter().map(|p| p.word()).collect();
            let means: Vec<&str> = means.iter().map(|p| p.word()).collect();
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
