//! Heights of cut as extension services print them.

use super::{Mark::Read, Row};
use crossgrain_core::model::units::INCH_M;
use crossgrain_season::heights::{ThirdRule, third_check};

pub fn rows() -> Vec<Row> {
    let mut out = Vec::new();
    for (rule, source, cut_in, printed) in [
        (ThirdRule::ThirdOfPlant, "Cornell University", 1.5, "2.25"),
        (ThirdRule::ThirdOfPlant, "Cornell University", 3.0, "4.50"),
        (
            ThirdRule::ThirdOfHeight,
            "Waltz, University of Georgia",
            0.5,
            "0.67",
        ),
        (
            ThirdRule::ThirdOfHeight,
            "Waltz, University of Georgia",
            1.5,
            "2.0",
        ),
    ] {
        let cut_m = cut_in * INCH_M;
        out.push(Row::printed(
            format!("tallest grass to cut to {cut_in} in under the one-third rule, in"),
            source,
            Read,
            printed,
            third_check(cut_m, cut_m, 1.0, 0.0, rule).limit_m / INCH_M,
        ));
    }
    out
}
