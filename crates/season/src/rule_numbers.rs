//! Numbers of the rules that are outside what makes sense.

use crate::rule_fault::{RuleFault, mm};
use crate::rules::{ExtraHours, MAX_CLEAN_UP_RINGS, Rules};

/// Takes note of a number: the rule, its value, the unit, what is accepted, whether it is.
type Check<'a> = dyn FnMut(&'static str, f64, &'static str, &'static str, bool) + 'a;

/// All of them.
pub(crate) fn numbers(rules: &Rules, out: &mut Vec<RuleFault>) {
    let mut check = |rule, value: f64, unit, expected, good: bool| {
        if !(value.is_finite() && good) {
            out.push(RuleFault::Number {
                rule,
                value,
                unit,
                expected,
            });
        }
    };
    visits_and_heights(rules, &mut check);
    grooming_and_clean_up(rules, &mut check);
    headings(rules, &mut check);
    crew(rules, &mut check);
    vertical_mowing(rules, &mut check);
    rates(rules, &mut check);
}

fn visits_and_heights(rules: &Rules, check: &mut Check<'_>) {
    let h = &rules.height;
    check(
        "visits_per_week",
        rules.visits_per_week.map_or(1.0, f64::from),
        "visits",
        "1 or more",
        rules.visits_per_week != Some(0),
    );
    check(
        "height.regular",
        mm(h.regular_m),
        "mm",
        "a height between 1 and 200 mm",
        (0.001..=0.2).contains(&h.regular_m),
    );
    check(
        "height.raise_percent",
        h.raise * 100.0,
        "%",
        "a raise between 0 and 100%",
        (0.0..=1.0).contains(&h.raise),
    );
    check(
        "height.gauge_step",
        mm(h.step_m),
        "mm",
        "a step above 0 and up to 10 mm",
        h.step_m > 0.0 && h.step_m <= 0.01,
    );
    check(
        "height.growth_mm_per_day",
        mm(h.growth_m_per_day),
        "mm a day",
        "a growth between 0 and 50 mm a day",
        (0.0..=0.05).contains(&h.growth_m_per_day),
    );
}

fn grooming_and_clean_up(rules: &Rules, check: &mut Check<'_>) {
    let g = &rules.grooming;
    check(
        "grooming.loop_diameter",
        g.loop_diameter_min_m,
        "m",
        "a diameter between 1 and 60 m, the smaller one first",
        g.loop_diameter_min_m >= 1.0
            && g.loop_diameter_max_m <= 60.0
            && g.loop_diameter_min_m <= g.loop_diameter_max_m,
    );
    check(
        "grooming.lane_shifts",
        g.lane_shifts
            .iter()
            .copied()
            .find(|s| !(0.0..1.0).contains(s))
            .unwrap_or(0.0),
        "lane spacings",
        "one to eight fractions from 0 to below 1",
        (1..=8).contains(&g.lane_shifts.len())
            && g.lane_shifts.iter().all(|s| (0.0..1.0).contains(s)),
    );
    check(
        "grooming.lanes",
        g.lanes.len() as f64,
        "headings",
        "one to four",
        (1..=4).contains(&g.lanes.len()),
    );
    check(
        "clean_up.every_visits",
        f64::from(rules.clean_up.every_visits),
        "visits",
        "1 or more",
        rules.clean_up.every_visits > 0,
    );
    check(
        "clean_up.rings",
        f64::from(rules.clean_up.rings.iter().copied().max().unwrap_or(0)),
        "clean-up passes",
        "one to four numbers from 1 to 6; no visit is without",
        (1..=4).contains(&rules.clean_up.rings.len())
            && rules
                .clean_up
                .rings
                .iter()
                .all(|r| (1..=MAX_CLEAN_UP_RINGS).contains(r)),
    );
}

fn headings(rules: &Rules, check: &mut Check<'_>) {
    let share = match rules.headings.extra_hours {
        ExtraHours::Share(x) => x,
        ExtraHours::Knee => 0.0,
    };
    check(
        "headings.extra_hours_percent",
        share * 100.0,
        "%",
        "0 to 500%, or knee",
        (0.0..=5.0).contains(&share),
    );
    check(
        "headings.allowed",
        rules.headings.allowed.len() as f64,
        "headings",
        "at most 12",
        rules.headings.allowed.len() <= 12,
    );
    let half = rules.headings.half_life_days.unwrap_or(1.0);
    check(
        "headings.half_life_days",
        half,
        "days",
        "a number above 0",
        half > 0.0,
    );
}

fn crew(rules: &Rules, check: &mut Check<'_>) {
    let crew = &rules.crew;
    check(
        "crew.mowers",
        f64::from(crew.mowers),
        "mowers",
        "1 to 100",
        (1..=100).contains(&crew.mowers),
    );
    check(
        "crew.hours_per_day",
        crew.hours_per_day,
        "h",
        "above 0 and up to 24 hours",
        crew.hours_per_day > 0.0 && crew.hours_per_day <= 24.0,
    );
    check(
        "crew.between_min",
        crew.between_min,
        "min",
        "0 to 120 minutes",
        (0.0..=120.0).contains(&crew.between_min),
    );
    for m in &crew.machines {
        check(
            "crew.machines.deck",
            m.deck_m.unwrap_or(2.0),
            "m",
            "a deck between 0.2 and 30 m",
            m.deck_m.is_none_or(|d| (0.2..=30.0).contains(&d)),
        );
        check(
            "crew.machines.count",
            f64::from(m.count),
            "machines",
            "1 to 20",
            (1..=20).contains(&m.count),
        );
    }
}

fn vertical_mowing(rules: &Rules, check: &mut Check<'_>) {
    if let Some(v) = &rules.vertical_mowing {
        for (rule, value, unit, good) in [
            (
                "vertical_mowing.times_a_year",
                v.times_a_year,
                "times",
                v.times_a_year >= 0.0,
            ),
            ("vertical_mowing.width", v.width_m, "m", v.width_m > 0.0),
            (
                "vertical_mowing.speed",
                v.speed_m_s,
                "m/s",
                v.speed_m_s > 0.0,
            ),
            (
                "vertical_mowing.efficiency",
                v.efficiency,
                "",
                v.efficiency > 0.0 && v.efficiency <= 1.0,
            ),
            (
                "vertical_mowing.per_hour",
                v.money_per_hour,
                "an hour",
                v.money_per_hour >= 0.0,
            ),
            (
                "vertical_mowing.clearing_h_per_ha",
                v.clearing_h_per_ha,
                "h",
                v.clearing_h_per_ha >= 0.0,
            ),
            (
                "vertical_mowing.days_closed",
                v.days_closed,
                "days",
                v.days_closed >= 0.0,
            ),
        ] {
            check(rule, value, unit, "a number above 0 that makes sense", good);
        }
    }
}

fn rates(rules: &Rules, check: &mut Check<'_>) {
    let rates = &rules.rates;
    for (rule, rate, unit) in [
        ("rates.labour_per_hour", rates.labour_per_hour, "an hour"),
        ("rates.fuel_l_per_hour", rates.fuel_l_per_hour, "l an hour"),
        ("rates.fuel_per_l", rates.fuel_per_l, "a litre"),
    ] {
        let rate = rate.unwrap_or(0.0);
        check(rule, rate, unit, "0 or more", rate >= 0.0);
    }
}
