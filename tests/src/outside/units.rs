//! Lengths, speeds and angles at the edges of the program.

use super::{Mark::Memory, Row};
use crossgrain_core::model::units::{
    ACRE_M2, compass_deg, math_rad, parse_length_m, parse_speed_m_s,
};

pub fn rows() -> Vec<Row> {
    let nist = "NIST SP 811, appendix B.8";
    let length = |t: &str| parse_length_m(t).unwrap_or(f64::NAN);
    let speed = |t: &str| parse_speed_m_s(t).unwrap_or(f64::NAN);
    vec![
        Row::printed("1 in, m", nist, Memory, "0.0254", length("1in")),
        Row::printed("1 ft, m", nist, Memory, "0.3048", length("1 ft")),
        Row::printed("1 yd, m", nist, Memory, "0.9144", length("1yd")),
        Row::printed("1 mph, m/s", nist, Memory, "0.44704", speed("1mph")),
        Row::printed("1 km/h, m/s", nist, Memory, "0.2777778", speed("1 km/h")),
        Row::printed("1 acre, m2", nist, Memory, "4047", ACRE_M2),
        Row::printed(
            "east as a compass bearing, degrees",
            "ISO 19116 / nautical practice: clockwise from north",
            Memory,
            "90.0",
            compass_deg(0.0),
        ),
        Row::printed(
            "south-west as a compass bearing, degrees",
            "ISO 19116 / nautical practice: clockwise from north",
            Memory,
            "225.0",
            compass_deg((-1f64).atan2(-1.0)),
        ),
        Row::printed(
            "bearing 60 as a mathematical angle, degrees",
            "ISO 19116 / nautical practice: clockwise from north",
            Memory,
            "30.0",
            math_rad(60.0).to_degrees(),
        ),
    ]
}
