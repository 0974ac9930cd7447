//! Distances on foot and from edges, and the slope that a sheet names.

use super::{
    Fact,
    Mark::{Derived, Read},
    Row,
};
use crossgrain_core::inside::model::quantity::{FOOT_M, INCH_M, UnitSystem, YARD_M};
use crossgrain_render::cautions::{EDGE_M, Signal, general};
use crossgrain_render::words::{Language, Words};

const ARMY: &str =
    "US Army, TC 3-25.26, Map Reading and Land Navigation, 2013; par. 5-20 (pace count)";
const INFANTRY: &str = "War Office, Infantry Training, 1905; length of pace and time";
const OSHA: &str =
    "OSHA, riding mowers (read through reprints, year not noted); slopes, edges, belts";

fn paces(m: f64) -> f64 {
    let words = Words::of(Language::English, UnitSystem::Us);
    words.paces(m).replace(',', "").parse().unwrap_or(f64::NAN)
}

/// The slope limit in degrees that the sheet's warnings name.
fn slope_deg() -> f64 {
    let words = Words::of(Language::English, UnitSystem::Us);
    let warnings = general(&words)
        .into_iter()
        .filter(|(s, _)| *s == Signal::Warning)
        .flat_map(|(_, lines)| lines)
        .find(|l| l.contains('°'))
        .unwrap_or_default();
    let number: String = warnings.chars().filter(char::is_ascii_digit).collect();
    number.parse().unwrap_or(f64::NAN)
}

pub fn rows() -> Vec<Row> {
    let infantry = Fact::new("120 paces are 100 yards", INFANTRY, Read);
    let slopes = Fact::new("slopes over 15 degrees are avoided", OSHA, Read);
    vec![
        Fact::new("a pace is a natural step of about 30 in", ARMY, Read).count(
            "paces in 300 in",
            10,
            paces(300.0 * INCH_M),
        ),
        infantry.count("paces in 100 yd", 120, paces(100.0 * YARD_M)),
        Fact::new("drive wheels stay 5 ft from unprotected edges", OSHA, Read).count(
            "distance from an edge, ft",
            5,
            EDGE_M / FOOT_M,
        ),
        slopes.count("slope limit on the sheet, degrees", 15, slope_deg()),
        Fact::new("15 degrees are a slope of 26.8%", OSHA, Derived).printed(
            "slope limit on the sheet, %",
            "26.8",
            100.0 * slope_deg().to_radians().tan(),
        ),
    ]
}
