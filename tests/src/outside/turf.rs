//! Heights of cut as extension services print them.

use super::{
    Fact,
    Mark::{Quoted, Read},
    Row,
};
use crossgrain_core::inside::model::quantity::INCH_M;
use crossgrain_season::grass::Grass;
use crossgrain_season::heights::{ThirdRule, longest_interval_days, third_check};

const CORNELL: &str = "Cornell University, Home Gardening (year not noted); The One-Third Rule";
const CORNELL_LOW: &str =
    "Cornell University, Home Gardening (year not noted); The One-Third Rule, lawns under 3 inches";
const PENN_STATE: &str = "Penn State Center for Turfgrass Science, Lawn Management Through the Seasons (year not noted, as quoted by Woods, 2015)";
const OHIO: &str = "Ohio State University, PlantFacts: One-third rule, revision of 1 March 2006";
const GEORGIA: &str = "Waltz, University of Georgia (year not noted); mowing frequency";
const MARYLAND: &str =
    "Maryland golf best-management guide (year not noted); lowest fairway heights";

/// Tallest grass that may be cut to a height, inches.
fn tallest_in(cut_in: f64, rule: ThirdRule) -> f64 {
    let cut_m = cut_in * INCH_M;
    third_check(cut_m, cut_m, 1.0, 0.0, rule).limit_m / INCH_M
}

pub fn rows() -> Vec<Row> {
    let mut out = thirds();
    out.extend(lowest());
    out
}

/// The rule of thirds.
fn thirds() -> Vec<Row> {
    let plant = ThirdRule::ThirdOfPlant;
    let georgia = Fact::new("mow at four thirds of the height of cut", GEORGIA, Read);
    vec![
        Fact::new(
            "grass to be cut to 3 in is mown at about 4.5 in",
            CORNELL,
            Read,
        )
        .printed(
            "tallest grass to cut to 3 in, in",
            "4.5",
            tallest_in(3.0, plant),
        ),
        // "after the lawn has grown only 3/4 of an inch, to just over 2 inches tall"
        Fact::new(
            "grass kept at 1.5 in is mown after 3/4 in of growth",
            CORNELL_LOW,
            Read,
        )
        .printed(
            "growth before the next cut to 1.5 in, in",
            "0.75",
            tallest_in(1.5, plant) - 1.5,
        ),
        Fact::new(
            "grass kept at 1.5 in is mown after 3/4 in of growth",
            CORNELL_LOW,
            Read,
        )
        .printed(
            "days of 1/4 in of growth before the next cut to 1.5 in",
            "3",
            longest_interval_days(1.5 * INCH_M, 0.25 * INCH_M, plant),
        ),
        Fact::new(
            "turf cut at 2 in is mown at no more than 3 in",
            PENN_STATE,
            Quoted,
        )
        .printed(
            "tallest grass to cut to 2 in, in",
            "3",
            tallest_in(2.0, plant),
        ),
        Fact::new("no more than a third of the leaf comes off", OHIO, Read).printed(
            "part taken off at the limit",
            "0.3333",
            third_check(1.5, 1.0, 1.0, 0.0, plant).removed,
        ),
        georgia.printed(
            "tallest grass to cut to 0.5 in, in",
            "0.67",
            tallest_in(0.5, ThirdRule::ThirdOfHeight),
        ),
        georgia.printed(
            "tallest grass to cut to 1.5 in, in",
            "2.0",
            tallest_in(1.5, ThirdRule::ThirdOfHeight),
        ),
    ]
}

/// The lowest height that each grass bears on a fairway.
fn lowest() -> Vec<Row> {
    let mut out = Vec::new();
    for (fact, grass, printed) in [
        (
            "lowest creeping bentgrass",
            Grass::CreepingBentgrass,
            "0.350",
        ),
        (
            "lowest hybrid bermudagrass",
            Grass::HybridBermudagrass,
            "0.375",
        ),
        (
            "lowest perennial ryegrass",
            Grass::PerennialRyegrass,
            "0.375",
        ),
        (
            "lowest common bermudagrass",
            Grass::CommonBermudagrass,
            "0.500",
        ),
        ("lowest zoysiagrass", Grass::Zoysiagrass, "0.500"),
        (
            "lowest Kentucky bluegrass",
            Grass::KentuckyBluegrass,
            "0.625",
        ),
    ] {
        out.push(Fact::new(fact, MARYLAND, Read).printed(
            format!("{grass}, in"),
            printed,
            grass.floor_m() / INCH_M,
        ));
    }
    out
}
