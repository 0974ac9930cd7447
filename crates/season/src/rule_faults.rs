//! What is wrong with a set of rules, all of it, each with the rule's name and the fix.

use crate::heights::DEFAULT_THIRD_RULE;
use crate::rule_numbers::numbers;
use crate::rules::{Groom, HeightRule, Rules};
use crossgrain_core::Course;
use crossgrain_core::inside::model::pattern::PatternKind;

pub use crate::rule_fault::RuleFault;

/// Longest season, days: three years of mowing, far beyond a growing season.
pub const MAX_DAYS: i32 = 1100;
// A mow that takes exactly a third is allowed; this is rounding, not agronomy.
const SHARE_TOLERANCE: f64 = 1e-9;

/// All faults of `rules` for `course`, errors and warnings, in the order of the rules file.
pub fn faults(rules: &Rules, course: &Course) -> Vec<RuleFault> {
    let mut out = Vec::new();
    dates(rules, &mut out);
    numbers(rules, &mut out);
    if !matches!(
        rules.regular,
        PatternKind::Stripes | PatternKind::Contour | PatternKind::HalfAndHalf | PatternKind::Rings
    ) {
        out.push(RuleFault::Regular {
            pattern: rules.regular,
        });
    }
    if rules.headings.allowed.is_empty() {
        out.push(RuleFault::NoHeading);
    }
    if rules.grooming.every_weeks > 0 && rules.grooming.turns.is_empty() {
        out.push(RuleFault::NoTurns);
    }
    let known: Vec<String> = course
        .fairways
        .iter()
        .map(|f| f.name().to_string())
        .collect();
    for name in rules.fairways.keys() {
        if !known.contains(name) {
            out.push(RuleFault::UnknownFairway {
                name: name.clone(),
                known: known.clone(),
            });
        }
    }
    machines(rules, &mut out);
    heights(rules, &mut out);
    out
}

fn machines(rules: &Rules, out: &mut Vec<RuleFault>) {
    let known: Vec<String> = rules.crew.machines.iter().map(|m| m.name.clone()).collect();
    for (i, name) in known.iter().enumerate() {
        if known[..i].contains(name) {
            out.push(RuleFault::SameName { name: name.clone() });
        }
    }
    for (fairway, own) in &rules.fairways {
        for machine in own.barred.iter().filter(|b| !known.contains(b)) {
            out.push(RuleFault::UnknownMachine {
                fairway: fairway.clone(),
                machine: machine.clone(),
                known: known.clone(),
            });
        }
        let may = known.is_empty() || known.iter().any(|m| rules.may_mow(m, fairway));
        if !may && !own.left_out {
            out.push(RuleFault::NoMachine {
                fairway: fairway.clone(),
            });
        }
    }
}

fn dates(rules: &Rules, out: &mut Vec<RuleFault>) {
    if rules.to < rules.from {
        out.push(RuleFault::EndsBeforeItStarts {
            from: rules.from,
            to: rules.to,
        });
        return;
    }
    let days = (rules.to - rules.from).get_days() + 1;
    if days > MAX_DAYS {
        out.push(RuleFault::TooLong {
            days,
            limit: MAX_DAYS,
        });
        return;
    }
    for c in &rules.closed {
        if c.to < c.from {
            out.push(RuleFault::ClosedBackward {
                from: c.from,
                to: c.to,
                why: c.why.clone(),
            });
        }
    }
    if rules.mowing_days.is_empty() {
        out.push(RuleFault::NoMowingDay);
    } else if !rules
        .from
        .series(jiff::Span::new().days(1))
        .take_while(|d| *d <= rules.to)
        .any(|d| {
            (rules.mowing_days.contains(&d.weekday()) || rules.make_up_days.contains(&d.weekday()))
                && rules.closed_on(d).is_none()
        })
    {
        out.push(RuleFault::NothingToMow);
    }
    if let Some(asked) = rules.visits_per_week {
        let days = rules.mowing_days.len();
        if asked as usize > days {
            out.push(RuleFault::Visits { asked, days });
        }
    }
}

fn heights(rules: &Rules, out: &mut Vec<RuleFault>) {
    if rules.height.regular_m < rules.grass.floor_m() {
        out.push(RuleFault::BelowFloor {
            fairway: None,
            height_m: rules.height.regular_m,
            grass: rules.grass,
        });
    }
    for (name, own) in &rules.fairways {
        let (height_m, grass) = (rules.height_of_m(name), rules.grass_of(name));
        // The course's own fault is not repeated for fairways that only inherit it.
        if (own.height_m.is_some() || own.grass.is_some()) && height_m < grass.floor_m() {
            out.push(RuleFault::BelowFloor {
                fairway: Some(name.clone()),
                height_m,
                grass,
            });
        }
    }
    let grooms_in_loops =
        rules.grooming.every_weeks > 0 && rules.grooming.turns.contains(&Groom::Loops);
    // Without a mowing day there is a fault already, and no interval.
    if grooms_in_loops && rules.height.raised_mows > 0 && rules.visits() > 0 {
        let days = 7.0 / rules.visits() as f64;
        out.extend(one_third(&rules.height, days));
    }
}

/// The mow that comes back from the raised height to the regular one, after `days` of growth.
pub fn one_third(h: &HeightRule, days: f64) -> Option<RuleFault> {
    let growth = h.growth_m_per_day * days;
    let before = h.regular_m * (1.0 + h.raise) + growth;
    let share = (before - h.regular_m) / before;
    let ratio = DEFAULT_THIRD_RULE.ratio();
    if share.is_nan() || share <= 1.0 - 1.0 / ratio + SHARE_TOLERANCE {
        return None;
    }
    // h (1 + r) + g = ratio x h solved for r.
    let largest = ratio - 1.0 - growth / h.regular_m;
    Some(RuleFault::OneThird {
        share,
        before_m: before,
        after_m: h.regular_m,
        largest_raise: (largest > 0.0).then_some(largest),
        days,
    })
}
