//! The report as JSON, `crossgrain-mower/1`: lengths in metres (`_mm` where named so), angles
//! in degrees, `null` where there is no figure.

use super::facts::{Ask, Facts, Heights, NOTHING_LEFT, Proven};
use crossgrain_core::{LoopForm, Sense};
use crossgrain_metrics::deck_report::{DeckReport, OneSense, longest_clip_m};
use serde_json::{Value, json};

/// The whole report.
pub(super) fn report(ask: &Ask, f: &Facts) -> Value {
    let d = &f.deck;
    json!({
        "schema": "crossgrain-mower/1",
        "name": ask.mower.name,
        "cutting_width_m": d.cutting_width_m,
        "turning_radius_m": ask.mower.turning_radius_m,
        "smallest_clean_diameter_m": {
            "cw": d.cw.clean_from_diameter_m,
            "ccw": d.ccw.clean_from_diameter_m,
        },
        "striped_diameters_m": { "cw": striped(&d.cw), "ccw": striped(&d.ccw) },
        "gaps_on_the_straight": d.gaps.iter().map(|g| json!({
            "between_units": g.between_units,
            "width_m": g.width_m(),
        })).collect::<Vec<_>>(),
        "neighbours": d.neighbours.iter().map(|n| json!({
            "between_units": [n.right_unit, n.left_unit],
            "overlap_m": n.overlap_m,
            "opens_below_diameter_m": {
                "cw": n.opens_below_cw_m.map(|r| 2.0 * r),
                "ccw": n.opens_below_ccw_m.map(|r| 2.0 * r),
            },
        })).collect::<Vec<_>>(),
        "loop": {
            "diameter_m": d.loop_diameter_m,
            "sense": sense_word(d.sense),
            "speed_kmh": ask.mower.speeds.loops_m_s * 3.6,
            "outer_over_inner_clip": finite(d.outer_over_inner),
        },
        "longest_clip_mm": longest_clip_m(&ask.mower, Some((0.5 * d.loop_diameter_m, d.sense)))
            .map(|c| c * 1000.0),
        "strips": strips(d),
        "units": units(ask, d),
        "lattice": {
            "planned_for_units": proven(&f.for_units, d),
            "planned_for_bar": proven(&f.for_bar, d),
        },
        "heights": f.heights.as_ref().map(|h| heights(h, ask)),
    })
}

fn strips(d: &DeckReport) -> Vec<Value> {
    [&d.cw, &d.ccw]
        .iter()
        .flat_map(|s| {
            s.strips.iter().map(|strip| {
                json!({
                    "sense": sense_word(s.sense),
                    "diameter_m": d.loop_diameter_m,
                    "between_units": strip.between_units,
                    "width_m": strip.width_m(),
                    "from_radius_m": strip.from_m,
                    "to_radius_m": strip.to_m,
                })
            })
        })
        .collect()
}

fn units(ask: &Ask, d: &DeckReport) -> Vec<Value> {
    ask.mower
        .units
        .iter()
        .zip(&d.units)
        .map(|(place, u)| {
            json!({
                "across_m": place.across_m,
                "ahead_m": place.ahead_m,
                "width_m": place.width_m,
                "clip_mm_straight": u.clip_straight_m.map(|c| c * 1000.0),
                "clip_mm_loop": u.clip_loop_m.map(|c| c * 1000.0),
                "speed_ratio_loop": u.speed_ratio_loop,
                "speed_kmh_loop": u.speed_loop_m_s * 3.6,
                "slip_deg_loop": u.slip_rad.to_degrees(),
            })
        })
        .collect()
}

/// Stretches of diameters that leave strips; an open end is `null`.
fn striped(s: &OneSense) -> Vec<Value> {
    s.striped
        .iter()
        .map(|r| json!([2.0 * r.from_m, finite(2.0 * r.to_m)]))
        .collect()
}

fn proven(p: &Result<Proven, String>, d: &DeckReport) -> Value {
    match p {
        Ok(p) => json!({
            "form": match p.lattice.shape.form {
                LoopForm::Drift => "drift",
                LoopForm::Roll => "roll",
            },
            "sense": sense_word(p.lattice.sense),
            "diameter_m": p.lattice.shape.diameter_m,
            "advance_m": p.lattice.shape.advance_m,
            "lane_spacing_m": p.lattice.lane_spacing_m,
            "mean_cuts": p.lattice.mean_cuts,
            "tightest_radius_m": p.lattice.shape.tight_radius_m(),
            "strips_of_one_loop": d.of(p.lattice.sense).strips.len(),
            "uncut_part": p.uncut_part,
            "covers_strips": p.uncut_part < NOTHING_LEFT,
        }),
        Err(reason) => json!({ "refused": reason }),
    }
}

fn heights(h: &Heights, ask: &Ask) -> Value {
    json!({
        "bench_mm": h.asked.bench_m * 1000.0,
        "raise": h.asked.raise,
        "gauge_step_mm": h.asked.gauge_step_m * 1000.0,
        "steps": h.settings.iter().map(|s| json!({
            "loop_mowing": s.mowing,
            "wanted_mm": s.wanted_m * 1000.0,
            "set_mm": s.set_m * 1000.0,
        })).collect::<Vec<_>>(),
        "third_rule": ask.growth.map(|(days, growth_m)| json!({
            "convention": ask.rule.words(),
            "ratio": ask.rule.ratio(),
            "interval_days": days,
            "growth_mm_day": growth_m * 1000.0,
            "checks": h.checks.iter().map(|c| json!({
                "standing_mm": c.standing_m * 1000.0,
                "limit_mm": c.limit_m * 1000.0,
                "removed": c.removed,
                "holds": c.holds,
            })).collect::<Vec<_>>(),
        })),
    })
}

fn finite(v: f64) -> Option<f64> {
    v.is_finite().then_some(v)
}

/// The word of files and options.
pub(super) fn sense_word(sense: Sense) -> &'static str {
    match sense {
        Sense::Clockwise => "cw",
        Sense::CounterClockwise => "ccw",
    }
}
