//! Cautions: those that this fairway needs first, the general ones after.
//!
//! Signal words follow ANSI Z535.4: WARNING could cause death or serious injury, CAUTION minor
//! injury, NOTICE no injury. Rollover and drowning rank as WARNING. The figures: where the maker
//! gives no slope limit, avoid slopes over 15 degrees (26.8%), and keep the drive wheels at least
//! 5 ft from unprotected edges (OSHA, riding mowers). A belt is worn with the protective structure
//! up and left off with it folded (same source). No regulator's bystander distance was found, so
//! none is given: the reels stop when anyone comes near.

use crate::drawing::{Anchor, Mark, Pen, Shape, Stroke};
use crate::ink::{BLACK, CAUTION, Ink, NOTICE, SMALL_MM, THIN_MM, WARNING, WHITE};
use crate::lettering::{Rect, Weight, baseline_mm, leading_mm, width_mm, wrap};
use crate::signs::alert;
use crate::words::Words;
use crossgrain_core::inside::model::quantity::FOOT_M;
use crossgrain_core::inside::promises::KEEP_OUT_CROSSED_M;
use crossgrain_core::inside::swath::contact::{Prepared, touch_spans};
use crossgrain_core::{CuttingUnit, Fairway, Gear, Mow, Mower, Reels};
use crossgrain_metrics::Measures;
use crossgrain_metrics::deck_report::clip_above_height_m;

/// Distance of the wheels from an unprotected edge, metres: 5 ft (OSHA, riding mowers).
pub const EDGE_M: f64 = 5.0 * FOOT_M;

/// How grave a caution is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Signal {
    /// Could cause death or serious injury.
    Warning,
    /// Could cause minor injury.
    Caution,
    /// No injury.
    Notice,
}

impl Signal {
    /// The key of the signal word.
    pub fn key(self) -> &'static str {
        match self {
            Signal::Warning => "warning",
            Signal::Caution => "caution",
            Signal::Notice => "notice",
        }
    }

    fn ink(self) -> Ink {
        match self {
            Signal::Warning => WARNING,
            Signal::Caution => CAUTION,
            Signal::Notice => NOTICE,
        }
    }

    /// The colour of the signal word on its panel.
    fn letters(self) -> Ink {
        match self {
            Signal::Warning | Signal::Caution => BLACK,
            Signal::Notice => WHITE,
        }
    }
}

/// The edge distance in the crew's units, never rounded down.
fn edge_distance(words: &Words) -> String {
    use crossgrain_core::inside::model::quantity::UnitSystem;
    match words.units {
        UnitSystem::Us => words.reach(EDGE_M),
        UnitSystem::Metric => words.reach((EDGE_M * 10.0).ceil() / 10.0),
    }
}

/// What holds on any fairway.
pub fn general(words: &Words) -> Vec<(Signal, Vec<String>)> {
    grouped(false, None, words)
}

/// What a fairway calls for.
pub fn of_fairway(fairway: &Fairway, words: &Words) -> Vec<(Signal, Vec<String>)> {
    let water = fairway.keep_outs().iter().any(|k| k.kind.wet());
    let no_turn = (!fairway.no_turn().0.is_empty()).then_some("warn.steep");
    grouped(water, no_turn, words)
}

/// What a mow of a fairway calls for: the fairway's cautions, and the plan's own faults first.
pub fn of_mow(
    fairway: &Fairway,
    mower: &Mower,
    height_of_cut_m: Option<f64>,
    mow: &Mow,
    measures: &Measures,
    words: &Words,
) -> Vec<(Signal, Vec<String>)> {
    // Less than this is a rounding of edges, square metres.
    const MIN_AREA_M2: f64 = 0.05;
    let water = fairway.keep_outs().iter().any(|k| k.kind.wet());
    let no_turn = if fairway.no_turn().0.is_empty() {
        None
    } else if passes_over(mow, fairway) {
        // Keeping off would leave the passes undone.
        Some("warn.through")
    } else {
        Some("warn.steep")
    };
    let mut groups = grouped(water, no_turn, words);
    let mut own = Vec::new();
    if measures.keepout_crossed_m > KEEP_OUT_CROSSED_M {
        own.push(words.say("warn.crossed").to_string());
    }
    if measures.keepout_cut_m2 >= MIN_AREA_M2 {
        own.push(words.fill(
            "warn.keep_out",
            &[("area", &words.patch(measures.keepout_cut_m2))],
        ));
    }
    if mow.tracks().any(|t| t.gear == Gear::Reverse) {
        own.push(words.say("warn.reverse").to_string());
    }
    if let Some(first) = groups.first_mut() {
        first.1.splice(0..0, own);
    }
    let on_loop = mow
        .settings()
        .loop_diameter_m
        .map(|diameter_m| (diameter_m / 2.0, mow.sense()));
    if let Some(height_m) = height_of_cut_m
        && let Some(clip_m) = clip_above_height_m(mower, on_loop, height_m)
        && let Some(last) = groups.last_mut()
    {
        last.1.insert(
            0,
            words.fill(
                "notice.clip",
                &[
                    ("clip", &words.height_of_cut(clip_m)),
                    ("height", &words.height_of_cut(height_m)),
                ],
            ),
        );
    }
    groups
}

/// Adds what a sheet reminds of where it has room: dew and debris, and what stands in the turf where
/// the map does not show it.
pub fn remind(groups: &mut [(Signal, Vec<String>)], turf_on_map: bool, words: &Words) {
    let Some((_, notices)) = groups.last_mut() else {
        return;
    };
    let mut own = words.say("notice.clear").to_string();
    if !turf_on_map {
        own.push(' ');
        own.push_str(words.say("notice.turf"));
    }
    notices.insert(0, own);
}

/// Whether a pass crosses ground where nobody turns.
fn passes_over(mow: &Mow, fairway: &Fairway) -> bool {
    let area = Prepared::new(fairway.no_turn());
    let path = [CuttingUnit {
        across_m: 0.0,
        ahead_m: 0.0,
        width_m: 1e-6,
    }];
    mow.tracks()
        .filter(|t| t.reels == Reels::Down)
        .any(|t| !touch_spans(&t.path, &path, &area).is_empty())
}

fn grouped(water: bool, no_turn: Option<&str>, words: &Words) -> Vec<(Signal, Vec<String>)> {
    let distance = edge_distance(words);
    let places = [("distance", distance.as_str())];
    let mut warnings = Vec::new();
    if water {
        warnings.push(words.fill("warn.water", &places));
    }
    if let Some(key) = no_turn {
        warnings.push(words.say(key).to_string());
    }
    warnings.push(words.say("warn.rollover").to_string());
    warnings.push(words.fill("warn.edge", &places));
    warnings.push(words.say("warn.belt").to_string());
    warnings.push(words.say("warn.people").to_string());
    warnings.push(words.say("warn.reels").to_string());
    vec![
        (Signal::Warning, warnings),
        (
            Signal::Caution,
            vec![
                words.say("caution.wet").to_string(),
                words.say("caution.golfers").to_string(),
            ],
        ),
        (Signal::Notice, vec![words.say("notice.manual").to_string()]),
    ]
}

/// The band of cautions, `width` mm wide, as marks at the origin, and its height, mm.
///
/// WARNING stands on the left, CAUTION and NOTICE on the right.
pub fn band(groups: &[(Signal, Vec<String>)], words: &Words, width: f64) -> (Vec<Mark>, f64) {
    const GAP_MM: f64 = 4.0;
    // Widths chosen so that both sides end at about the same height: try a few, take the lowest.
    let mut best: Option<(Vec<Mark>, f64)> = None;
    for share in [0.45, 0.50, 0.55, 0.60, 0.65, 0.70, 0.75] {
        let left_w = (width - GAP_MM) * share;
        let right_w = width - GAP_MM - left_w;
        let mut pen = Pen::new();
        let mut heights = [0.0, 0.0];
        for (signal, lines) in groups {
            let side = usize::from(*signal != Signal::Warning);
            let (x, w) = if side == 0 {
                (0.0, left_w)
            } else {
                (left_w + GAP_MM, right_w)
            };
            heights[side] += group(&mut pen, *signal, lines, words, x, heights[side], w);
        }
        let h = f64::max(heights[0], heights[1]);
        if best.as_ref().is_none_or(|b| h < b.1 - 1e-9) {
            best = Some((pen.marks, h));
        }
    }
    best.unwrap_or_default()
}

fn group(
    pen: &mut Pen,
    signal: Signal,
    lines: &[String],
    words: &Words,
    x: f64,
    y: f64,
    w: f64,
) -> f64 {
    let size = SMALL_MM;
    let bar_h = size * 1.5;
    let word = words.say(signal.key());
    let bar = Rect::new(x, y, w, bar_h);
    pen.fill_stroke(
        Shape::rect(bar),
        signal.ink(),
        Stroke::solid(BLACK, THIN_MM),
    );
    let text_w = width_mm(word, size * 1.15, Weight::Bold);
    let sign_w = if signal == Signal::Notice {
        0.0
    } else {
        size * 1.12 + 1.5
    };
    let left = x + (w - text_w - sign_w) / 2.0;
    if signal != Signal::Notice {
        alert(pen, (left, y + 0.18 * bar_h), bar_h * 0.62);
    }
    pen.coloured_text(
        word,
        (left + sign_w, y + bar_h / 2.0 + size * 1.15 * 0.334),
        size * 1.15,
        Weight::Bold,
        Anchor::Start,
        signal.letters(),
    );
    let mut base = y + bar_h + 1.0;
    for line in lines {
        for (i, l) in wrap(line, size, Weight::Regular, w - 4.0)
            .iter()
            .enumerate()
        {
            if i == 0 {
                pen.fill(
                    Shape::circle((x + 1.2, base + baseline_mm(size) - 0.33 * size), 0.7),
                    BLACK,
                );
            }
            pen.text(
                l.as_str(),
                (x + 3.4, base + baseline_mm(size)),
                size,
                Weight::Regular,
                Anchor::Start,
            );
            base += leading_mm(size);
        }
    }
    base - y + 1.5
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;
    use crossgrain_core::inside::model::quantity::UnitSystem;

    #[test]
    fn the_edge_distance_is_never_rounded_down() {
        let metric = Words::of(Language::English, UnitSystem::Metric);
        assert_eq!(edge_distance(&metric), "1.6 m");
        let us = Words::of(Language::English, UnitSystem::Us);
        assert_eq!(edge_distance(&us), "5 ft");
    }
}
