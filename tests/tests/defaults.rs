//! The guide's table of defaults says what the code takes.

use crossgrain_core::inside::model::mower::DEFAULT_SHIFT_EFFICIENCY;
use crossgrain_core::inside::model::pattern::DEFAULT_OVERLAP_M;
use crossgrain_core::inside::model::quantity::{FOOT_M, INCH_M, KMH_M_S};
use crossgrain_core::{LoopTrain, Mower, Sense};
use crossgrain_render::cautions::EDGE_M;
use crossgrain_render::words::PACE_M;
use crossgrain_season::Rules;
use crossgrain_season::heights::{DEFAULT_GAUGE_STEP_M, DEFAULT_RAISE, DEFAULT_THIRD_RULE};
use crossgrain_season::rules::SkyRule;
use crossgrain_tests::stored::path;
use jiff::civil::date;

/// The first number of a row's value.
fn said(row: &str) -> f64 {
    let file =
        std::fs::read_to_string(path("../crates/season/src/defaults.md")).expect("the table");
    let line = file
        .lines()
        .find(|l| l.starts_with(&format!("| {row} |")))
        .unwrap_or_else(|| panic!("no row '{row}'"));
    let value = line.split('|').nth(2).unwrap_or_default();
    value
        .split(|c: char| !(c.is_ascii_digit() || c == '.'))
        .find_map(|n| n.parse().ok())
        .unwrap_or_else(|| panic!("no number in '{value}'"))
}

#[test]
fn the_table_of_defaults_says_what_is_taken() {
    let mower = Mower::bar(100.0 * INCH_M);
    let kmh = |m_s: f64| m_s / KMH_M_S;
    let loops = LoopTrain::new(22.0 * FOOT_M, Sense::Clockwise);
    let rules = Rules::between(date(2027, 4, 1), date(2027, 10, 31));
    let SkyRule::Later { minutes } = rules.weather.frost else {
        panic!("frost starts later by default");
    };
    for (row, taken) in [
        ("overlap between passes", DEFAULT_OVERLAP_M),
        ("turning radius of a plain deck", mower.turning_radius_m),
        ("mowing speed", kmh(mower.speeds.mowing_m_s)),
        ("speed on loops", kmh(mower.speeds.loops_m_s)),
        ("speed between passes", kmh(mower.speeds.transport_m_s)),
        ("speed on turns", kmh(mower.speeds.turning_m_s)),
        ("time to lift or lower", mower.lift_lower_s),
        (
            "share of a shift that is driving",
            100.0 * DEFAULT_SHIFT_EFFICIENCY,
        ),
        ("advance tolerance of loops", loops.advance_tolerance_m),
        (
            "growth between mows",
            1000.0 * rules.height.growth_m_per_day,
        ),
        ("raise for the first loop mows", 100.0 * DEFAULT_RAISE),
        ("raise for the first loop mows", 100.0 * rules.height.raise),
        ("step of the bench gauge", DEFAULT_GAUGE_STEP_M / INCH_M),
        ("step of the bench gauge", rules.height.step_m / INCH_M),
        ("delay after frost", f64::from(minutes)),
        ("hours a day", rules.crew.hours_per_day),
        ("minutes from fairway to fairway", rules.crew.between_min),
        ("one-third rule", DEFAULT_THIRD_RULE.ratio()),
        ("a pace", PACE_M / INCH_M),
        ("wheels from an unprotected edge", EDGE_M / FOOT_M),
        ("visits a week, grooming", rules.visits() as f64),
    ] {
        assert!(
            (said(row) - taken).abs() < 1e-9,
            "{row}: the guide says {}, the code takes {taken}",
            said(row)
        );
    }
}
