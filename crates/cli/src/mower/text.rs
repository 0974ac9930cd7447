//! The report for the eyes of a mechanic.

use super::facts::{Ask, Facts, NOTHING_LEFT, Proven};
use crate::terminal::table;
use crossgrain_core::inside::deck::Striped;
use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_core::{LoopForm, Sense};
use crossgrain_metrics::deck_report::{OneSense, clip_above_height_m};
use crossgrain_render::words::{Language, Words};
use crossgrain_season::heights::{ThirdRule, longest_interval_days};

/// The whole report.
pub(super) fn report(ask: &Ask, f: &Facts, units: UnitSystem) -> String {
    let w = Words::of(Language::English, units);
    let mut out = vec![format!(
        "{}: {} cutting unit(s), cutting width {}",
        ask.mower.name,
        ask.mower.units.len(),
        w.width(f.deck.cutting_width_m)
    )];
    straight(f, &w, &mut out);
    loops(ask, f, &w, &mut out);
    at_work(ask, f, &w, &mut out);
    lattice(f, &w, &mut out);
    heights(ask, f, &w, &mut out);
    out.push(String::new());
    out.push(
        "Stop the engine before you touch a reel. Set heights and speeds by the mower's manual; it goes before these figures."
            .to_string(),
    );
    out.join("\n")
}

fn straight(f: &Facts, w: &Words, out: &mut Vec<String>) {
    let d = &f.deck;
    for g in &d.gaps {
        out.push(format!(
            "warning: between units {} and {} a gap of {} stays uncut on the straight (allowed by the file)",
            g.between_units[0],
            g.between_units[1],
            small(g.width_m(), w)
        ));
    }
    if d.neighbours.is_empty() {
        return;
    }
    out.push(String::new());
    out.push("Side by side, from right to left (units are counted from 0, as in the file)".into());
    let rows: Vec<Vec<String>> = d
        .neighbours
        .iter()
        .map(|n| {
            vec![
                format!("{} and {}", n.right_unit, n.left_unit),
                small(n.overlap_m, w),
                opens(n.opens_below_cw_m, w),
                opens(n.opens_below_ccw_m, w),
            ]
        })
        .collect();
    out.push(table(
        &[
            "units",
            "overlap on the straight",
            "strip on loops under, clockwise",
            "counter-clockwise",
        ],
        &rows,
        &[false, true, true, true],
    ));
    out.push(
        "  under the diameter 2 R with R = (x_outer^2 - x_inner^2) / (2 overlap) - (a + b) / 2, by the units' places (derived)"
            .into(),
    );
}

fn opens(radius_m: Option<f64>, w: &Words) -> String {
    match radius_m {
        None => "any".to_string(),
        Some(0.0) => "never".to_string(),
        Some(r) => w.reach(2.0 * r),
    }
}

fn loops(ask: &Ask, f: &Facts, w: &Words, out: &mut Vec<String>) {
    let d = &f.deck;
    out.push(String::new());
    out.push(format!(
        "Smallest loop with no strip (diameter of the axle's path): clockwise {}, counter-clockwise {}",
        clean(&d.cw, w),
        clean(&d.ccw, w)
    ));
    for s in [&d.cw, &d.ccw] {
        // A clean stretch below the smallest clean diameter is worth knowing if it can be driven.
        let drivable = |w: &[Striped]| w[1].from_m > ask.mower.turning_radius_m;
        if s.striped.windows(2).any(drivable) {
            let list: Vec<String> = s
                .striped
                .iter()
                .map(|r| format!("{} to {}", w.reach(2.0 * r.from_m), w.reach(2.0 * r.to_m)))
                .collect();
            out.push(format!(
                "  {}: strips at {}",
                name(s.sense),
                list.join(", ")
            ));
        }
        if s.strips.is_empty() {
            out.push(format!(
                "At {}, {}: no strip",
                w.reach(d.loop_diameter_m),
                name(s.sense)
            ));
        }
        for strip in &s.strips {
            out.push(format!(
                "At {}, {}: a strip of {} between units {} (inside) and {} (outside), {} from the loop's middle",
                w.reach(d.loop_diameter_m),
                name(s.sense),
                small(strip.width_m(), w),
                strip.between_units[0],
                strip.between_units[1],
                w.reach(strip.from_m)
            ));
        }
    }
}

fn clean(s: &OneSense, w: &Words) -> String {
    match s.clean_from_diameter_m {
        None => "none, strips at any diameter".to_string(),
        Some(0.0) => "any".to_string(),
        Some(d) => w.reach(d),
    }
}

fn at_work(ask: &Ask, f: &Facts, w: &Words, out: &mut Vec<String>) {
    let (m, d) = (&ask.mower, &f.deck);
    out.push(String::new());
    out.push(format!(
        "Speed and clip, {} on the straight and {} on a loop of {}, {}",
        w.speed(m.speeds.mowing_m_s),
        w.speed(m.speeds.loops_m_s),
        w.reach(d.loop_diameter_m),
        name(d.sense)
    ));
    let clip = |c: Option<f64>| c.map_or("?".to_string(), |c| fine(c, w));
    let rows: Vec<Vec<String>> = m
        .units
        .iter()
        .zip(&d.units)
        .enumerate()
        .map(|(i, (place, u))| {
            vec![
                i.to_string(),
                side(place.across_m, "left", "right", w),
                side(place.ahead_m, "ahead", "behind", w),
                w.width(place.width_m),
                clip(u.clip_straight_m),
                w.speed(u.speed_loop_m_s),
                format!("{:.3}", u.speed_ratio_loop),
                clip(u.clip_loop_m),
                format!("{:.0} deg", u.slip_rad.to_degrees()),
            ]
        })
        .collect();
    out.push(table(
        &[
            "unit",
            "across",
            "of the axle",
            "cuts",
            "clip straight",
            "loop speed",
            "ratio",
            "clip loop",
            "sideways",
        ],
        &rows,
        &[true, true, true, true, true, true, true, true, true],
    ));
    match &m.reel {
        Some(reel) => out.push(format!(
            "  clip = speed x 60 / (rpm x blades), here {} rpm and {} blades; on a loop speed goes with the unit's radius (derived)",
            w.number(reel.rpm, 0),
            reel.blades
        )),
        None => out.push(
            "  no clip: the mower file has no reel; add \"reel\": {\"blades\": 11, \"rpm\": 2000} with your own figures"
                .into(),
        ),
    }
    let on_loop = Some((0.5 * d.loop_diameter_m, d.sense));
    if let Some(h) = &ask.heights
        && let Some(clip) = clip_above_height_m(m, on_loop, h.bench_m)
    {
        out.push(format!(
            "warning: a clip of {} is longer than the height of cut, {}: the cut shows as waves. Drive slower, or see the manual for the reel speed (a clip no longer than the height of cut is common practice)",
            fine(clip, w),
            w.height_of_cut(h.bench_m)
        ));
    }
    if d.outer_over_inner.is_finite() {
        out.push(format!(
            "  clip at the outermost edge over the innermost on the loop: {:.3}",
            d.outer_over_inner
        ));
    }
}

fn lattice(f: &Facts, w: &Words, out: &mut Vec<String>) {
    let d = &f.deck;
    out.push(String::new());
    out.push(format!(
        "Lanes of loops of {}, {}, at the default tolerances",
        w.reach(d.loop_diameter_m),
        name(d.sense)
    ));
    match &f.for_units {
        Err(reason) => out.push(format!("  planned for these units: none. {reason}")),
        Ok(p) => {
            out.push(format!("  planned for these units: {}", figures(p, w)));
            let strips = d.of(d.sense).strips.len();
            out.push(match (strips, p.uncut_part < NOTHING_LEFT) {
                (0, true) => "    a loop leaves no strip, and the lanes leave nothing".to_string(),
                (n, true) => format!(
                    "    the {n} strip(s) of a loop are cut by the loops that follow and the next lane: nothing is left"
                ),
                (_, false) => format!("    uncut: {}", part(p.uncut_part)),
            });
        }
    }
    match &f.for_bar {
        Err(reason) => out.push(format!(
            "  planned for a plain bar of this width: none. {reason}"
        )),
        Ok(p) => {
            out.push(format!(
                "  planned for a plain bar of this width: {}",
                figures(p, w)
            ));
            out.push(if p.uncut_part < NOTHING_LEFT {
                "    driven with these units it leaves nothing either".to_string()
            } else {
                format!(
                    "    driven with these units it leaves strips: {} of the ground",
                    part(p.uncut_part)
                )
            });
        }
    }
}

fn figures(p: &Proven, w: &Words) -> String {
    let l = &p.lattice;
    format!(
        "{}, advance {}, lanes {} apart, mean cuts {:.2}",
        match l.shape.form {
            LoopForm::Drift => "wide half forward and tight half back",
            LoopForm::Roll => "full circle, then roll ahead",
        },
        w.reach(l.shape.advance_m),
        w.reach(l.lane_spacing_m),
        l.mean_cuts
    )
}

fn heights(ask: &Ask, f: &Facts, w: &Words, out: &mut Vec<String>) {
    out.push(String::new());
    let Some(h) = &f.heights else {
        out.push("Height of cut: give --bench-height, or bench_height_mm in the mower file".into());
        return;
    };
    out.push(format!(
        "Height of cut for the first loop mowings: {:.0}% up for the first {}, then back to {} (common practice); gauge step {}",
        h.asked.raise * 100.0,
        h.asked.raised_mowings,
        w.height_of_cut(h.asked.bench_m),
        fine(h.asked.gauge_step_m, w)
    ));
    for (i, s) in h.settings.iter().enumerate() {
        let mut line = format!(
            "  loop mowing {}{}: set {}",
            s.mowing,
            if i + 1 == h.settings.len() {
                " and on"
            } else {
                ""
            },
            w.height_of_cut(s.set_m)
        );
        if let Some(c) = h.checks.get(i) {
            line.push_str(&format!(
                "; grass stands {}, limit {}: {}",
                w.height_of_cut(c.standing_m),
                w.height_of_cut(c.limit_m),
                if c.holds {
                    format!("takes off {:.0}%, within the rule", c.removed * 100.0)
                } else {
                    format!(
                        "takes off {:.0}%, MORE than the rule allows; mow sooner or step down slower",
                        c.removed * 100.0
                    )
                }
            ));
        }
        out.push(line);
    }
    out.push(match ask.growth {
        Some((days, growth_m)) => format!(
            "  one-third rule, {}; {} day(s) at {} a day, at most {} at the bench height",
            ask.rule.words(),
            w.number(days, if days.fract() == 0.0 { 0 } else { 1 }),
            fine(growth_m, w),
            longest(h.asked.bench_m, growth_m, ask.rule, w),
        ),
        None => "  one-third rule not checked: give --interval and --growth".to_string(),
    });
}

/// Most days between mowings, to a tenth; no end where nothing grows.
fn longest(height_m: f64, growth_m: f64, rule: ThirdRule, w: &Words) -> String {
    let days = longest_interval_days(height_m, growth_m, rule);
    if days.is_finite() {
        format!("{} day(s)", w.number(days, 1))
    } else {
        "any number of days".to_string()
    }
}

fn name(sense: Sense) -> &'static str {
    match sense {
        Sense::Clockwise => "clockwise",
        Sense::CounterClockwise => "counter-clockwise",
    }
}

fn side(m: f64, above: &str, below: &str, w: &Words) -> String {
    if m == 0.0 {
        "0".to_string()
    } else {
        format!(
            "{} {}",
            small(m.abs(), w),
            if m > 0.0 { above } else { below }
        )
    }
}

/// Inches to a tenth, or centimetres.
fn small(m: f64, w: &Words) -> String {
    match w.units {
        UnitSystem::Us => format!(
            "{:.2} in",
            m / crossgrain_core::inside::model::quantity::INCH_M
        ),
        UnitSystem::Metric => format!("{:.1} cm", m * 100.0),
    }
}

/// Thousandths of an inch, or hundredths of a millimetre.
fn fine(m: f64, w: &Words) -> String {
    match w.units {
        UnitSystem::Us => format!(
            "{:.3} in",
            m / crossgrain_core::inside::model::quantity::INCH_M
        ),
        UnitSystem::Metric => format!("{:.2} mm", m * 1000.0),
    }
}

fn part(p: f64) -> String {
    format!("{:.3}%", p * 100.0)
}
