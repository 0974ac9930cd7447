//! Lengths, speeds and angles at the edges of the program.

use super::{Fact, Mark::Memory, Mark::Read, Row};
use crossgrain_core::inside::model::quantity::{
    FOOT_M, compass_deg, math_rad, parse_length_m, parse_speed_m_s,
};
use crossgrain_metrics::capacity::{acres, hectares};

const NIST: &str = "Thompson & Taylor, Guide for the Use of the International System of Units, NIST SP 811, 2008; appendix B.8";
const HANDBOOK_44: &str = "NIST Handbook 44 (year not noted); appendix C, units of area";
const BOWDITCH: &str =
    "Bowditch, The American Practical Navigator, NGA Pub. 9, 2019; compass points";
const ZONDAG: &str = "Zondag in Need for speed, Nursery Management (year not noted); part two";

pub fn rows() -> Vec<Row> {
    let length = |t: &str| parse_length_m(t).unwrap_or(f64::NAN);
    let speed = |t: &str| parse_speed_m_s(t).unwrap_or(f64::NAN);
    let nist = |id| Fact::new(id, NIST, Memory);
    let points = Fact::new("directions are told clockwise from north", BOWDITCH, Memory);
    vec![
        nist("inch").printed("1 in, m", "0.0254", length("1in")),
        nist("foot").printed("1 ft, m", "0.3048", length("1 ft")),
        nist("yard").printed("1 yd, m", "0.9144", length("1yd")),
        nist("mile an hour").printed("1 mph, m/s", "0.44704", speed("1mph")),
        nist("kilometre an hour").printed("1 km/h, m/s", "0.2777778", speed("1 km/h")),
        Fact::new("feet a minute in a mile an hour", ZONDAG, Read).printed(
            "1 mph, feet a minute",
            "88",
            60.0 * speed("1mph") / FOOT_M,
        ),
        Fact::new("square feet in an acre", HANDBOOK_44, Memory).printed(
            "43,560 square feet, acres",
            "1.000000",
            acres(43_560.0 * length("1ft").powi(2)),
        ),
        Fact::new("acres in a hectare", HANDBOOK_44, Memory).printed(
            "1 ha, acres",
            "2.471",
            acres(10_000.0),
        ),
        Fact::new("square metres in a hectare", HANDBOOK_44, Memory).printed(
            "10,000 m2, ha",
            "1.0000",
            hectares(10_000.0),
        ),
        points.printed("east, degrees", "90.0", compass_deg(0.0)),
        points.printed(
            "south-west, degrees",
            "225.0",
            compass_deg((-1f64).atan2(-1.0)),
        ),
        points.printed(
            "north-north-east, degrees",
            "22.5",
            compass_deg(3.0 * std::f64::consts::PI / 8.0),
        ),
        points.printed(
            "bearing 60, degrees from east",
            "30.0",
            math_rad(60.0).to_degrees(),
        ),
    ]
}
