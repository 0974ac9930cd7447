//! Directions and axes: textbook examples and SciPy, put through the lay of the grass.
//!
//! Every direction is a mow: one pass straight over a spot, laid on the grid that plans and seasons
//! are measured on, and added with its weight. So the figures are those that a plan prints, not
//! those of a formula beside it.

use super::{
    Fact,
    Mark::{Derived, Library, Quoted, Read},
    Row, lay,
};
use crate::stored::{json, number, numbers, text};
use crossgrain_core::inside::model::quantity::compass_deg;
use crossgrain_metrics::lay::LayCell;

const ZAR_4: &str = "Zar, Biostatistical Analysis, 5th ed., 2010; example 26.4";
const ZAR_5: &str = "Zar, Biostatistical Analysis, 5th ed., 2010; example 26.5";
const ZAR_7: &str = "Zar, Biostatistical Analysis, 5th ed., 2010; data of example 26.7";
const MARDIA: &str = "Mardia & Jupp, Directional Statistics, 2000; example 1.1";
const JAMMALAMADAKA: &str = "Jammalamadaka & SenGupta, Topics in Circular Statistics, 2001; p. 23";
const JAMMALAMADAKA_WEIGHTS: &str = "Jammalamadaka & SenGupta, Topics in Circular Statistics, 2001; pp. 6 and 125 (R package CircStats)";
const DAVIS: &str = "Davis, Statistics and Data Analysis in Geology, 2nd ed., 1986; p. 316";
const SCIPY_DOCS: &str = "SciPy 1.11.2 reference; scipy.stats.circmean, example";
const ASTROPY: &str =
    "Astropy, astropy/stats/tests/test_circstats.py (year not noted); circmean against R CircStats";
const DOUBLED: &str = "Mardia & Jupp, Directional Statistics, 2000; axes by doubled angles";
const TROPICAL: &str = "Fundamentals of Tropical Turf Management (year not noted); mowing patterns";
const BRISBANE: &str = "Brisbane City Council, 2019; mowing directions on three days";

/// The spot after one pass along each bearing.
fn after(deg: &[f64]) -> Option<LayCell> {
    lay::spot(deg.iter().map(|d| (*d, 1.0)))
}

fn r1(c: Option<LayCell>) -> f64 {
    c.and_then(|c| c.r1).unwrap_or(f64::NAN)
}

fn r2(c: Option<LayCell>) -> f64 {
    c.and_then(|c| c.r2).unwrap_or(f64::NAN)
}

/// Mean bearing, degrees.
fn mean(c: Option<LayCell>) -> f64 {
    c.and_then(|c| c.direction_rad)
        .map_or(f64::NAN, compass_deg)
}

/// Mean axis, degrees, 0 to 180.
fn axis(c: Option<LayCell>) -> f64 {
    c.and_then(|c| c.axis_rad)
        .map_or(f64::NAN, |a| compass_deg(a).rem_euclid(180.0))
}

// Shares of cells are sums of rounded products.
const ROUNDING: f64 = 1e-9;

pub fn rows() -> Vec<Row> {
    let mut out = textbooks();
    out.extend(axes_in_turn());
    let stored = json("directions.json");
    let source = text(&stored, "source");
    let by = |id| Fact::new(id, &source, Library);
    for c in stored["cases"].as_array().into_iter().flatten() {
        let name = text(c, "name");
        let cell = after(&numbers(&c["deg"]));
        for (fact, what, key, ours) in [
            (
                by("mean direction"),
                "mean direction, degrees",
                "mean_deg",
                mean(cell),
            ),
            (
                by("mean axis"),
                "mean axis, degrees",
                "axis_deg",
                axis(cell),
            ),
            (by("resultant length of directions"), "R1", "r1", r1(cell)),
            (by("resultant length of axes"), "R2", "r2", r2(cell)),
        ] {
            out.push(fact.library(format!("{name}: {what}"), number(c, key), ours, ROUNDING));
        }
    }
    out
}

const IN_CLASSES: [f64; 12] = [
    0.0, 6.0, 9.0, 13.0, 15.0, 22.0, 17.0, 12.0, 8.0, 3.0, 0.0, 0.0,
];
const FIFTEEN_AXES: [f64; 15] = [
    35.0, 40.0, 40.0, 45.0, 45.0, 55.0, 60.0, 215.0, 220.0, 225.0, 225.0, 235.0, 235.0, 240.0,
    245.0,
];
const WEIGHTED: [(f64, f64); 7] = [
    (0.0, 12.0),
    (3.6, 1.0),
    (36.0, 6.0),
    (72.0, 1.0),
    (108.0, 2.0),
    (169.2, 1.0),
    (324.0, 1.0),
];
const STRIATIONS: [f64; 51] = [
    23.0, 27.0, 53.0, 58.0, 64.0, 83.0, 85.0, 88.0, 93.0, 99.0, 100.0, 105.0, 113.0, 113.0, 114.0,
    117.0, 121.0, 123.0, 125.0, 126.0, 126.0, 126.0, 127.0, 127.0, 128.0, 128.0, 129.0, 132.0,
    132.0, 132.0, 134.0, 135.0, 137.0, 144.0, 145.0, 145.0, 146.0, 153.0, 155.0, 155.0, 155.0,
    157.0, 163.0, 165.0, 171.0, 172.0, 179.0, 181.0, 186.0, 190.0, 212.0,
];

fn textbooks() -> Vec<Row> {
    let zar_4 = after(&[45.0, 55.0, 81.0, 96.0, 110.0, 117.0, 132.0, 154.0]);
    let classes = IN_CLASSES.iter().enumerate();
    let zar_5 = lay::spot(classes.map(|(i, n)| (15.0 + 30.0 * i as f64, *n)));
    let zar_7 = after(&FIFTEEN_AXES);
    let mardia = after(&[43.0, 45.0, 52.0, 61.0, 75.0, 88.0, 88.0, 279.0, 357.0]);
    let jam = after(&[51.0, 67.0, 40.0, 109.0, 31.0, 358.0]);
    let weighted = lay::spot(WEIGHTED);
    let davis = after(&STRIATIONS);
    let scipy = after(&[20.0, 30.0, 330.0]);
    let quoted = |id, source| Fact::new(id, source, Quoted);
    vec![
        quoted("mean of eight bearings", ZAR_4).printed(
            "ex. 26.4: mean, degrees",
            "98.988",
            mean(zar_4),
        ),
        quoted("r of eight bearings", ZAR_4).printed("ex. 26.4: r", "0.82522", r1(zar_4)),
        quoted("mean of bearings in classes", ZAR_5).printed(
            "ex. 26.5, in classes: mean, degrees",
            "162",
            mean(zar_5),
        ),
        quoted("r of bearings in classes", ZAR_5).printed(
            "ex. 26.5, in classes: r",
            "0.55064",
            r1(zar_5),
        ),
        Fact::new("mean axis of fifteen axial bearings", ZAR_7, Derived).printed(
            "data of ex. 26.7: axis, degrees",
            "47.953",
            axis(zar_7),
        ),
        Fact::new("R of fifteen axial bearings", ZAR_7, Derived).printed(
            "data of ex. 26.7: R2",
            "0.94843",
            r2(zar_7),
        ),
        Fact::new("R of the same taken as directions", ZAR_7, Derived).printed(
            "data of ex. 26.7: R1",
            "0.07379",
            r1(zar_7),
        ),
        quoted("mean of the roulette's spins", MARDIA).printed(
            "roulette: mean, degrees",
            "51",
            mean(mardia),
        ),
        quoted("R of the roulette's spins", MARDIA).printed("roulette: R", "0.711", r1(mardia)),
        quoted("mean of six bearings", JAMMALAMADAKA).printed(
            "six bearings: mean, rad",
            "0.8487044",
            mean(jam).to_radians(),
        ),
        quoted("circular variance of six bearings", JAMMALAMADAKA).printed(
            "six bearings: variance",
            "0.1635635",
            1.0 - r1(jam),
        ),
        Fact::new("mean of six bearings", ASTROPY, Read).printed(
            "the same six bearings: mean, degrees",
            "48.63",
            mean(jam),
        ),
        quoted("R of weighted bearings", JAMMALAMADAKA_WEIGHTS).printed(
            "seven weighted bearings: R",
            "0.766282",
            r1(weighted),
        ),
        quoted("R of 51 glacial striations", DAVIS).printed(
            "striations of Finland: R",
            "0.800",
            r1(davis),
        ),
        Fact::new("mean of 20, 30 and 330 degrees", SCIPY_DOCS, Read).printed(
            "20, 30, 330: mean, degrees",
            "7.294976657784",
            mean(scipy),
        ),
    ]
}

fn axes_in_turn() -> Vec<Row> {
    let balanced = Fact::new("evenly spread axes balance", DOUBLED, Derived);
    let doubled = Fact::new("length of the mean of doubled angles", DOUBLED, Derived);
    let zero =
        |fact: Fact<'_>, what: &str, ours: f64| fact.printed(what, "0.0000", ours).within(ROUNDING);
    let mut out = Vec::new();
    for deg in [
        &[0.0, 90.0][..],
        &[0.0, 45.0, 90.0, 135.0],
        &[0.0, 60.0, 120.0],
    ] {
        out.push(zero(balanced, &format!("R2 of {deg:?}"), r2(after(deg))));
    }
    for (deg, printed) in [
        (&[0.0, 30.0][..], "0.8660"),
        (&[0.0, 0.0, 0.0, 90.0], "0.5"),
        (&[45.0, 90.0, 315.0], "0.3333"),
        (&[10.0, 190.0], "1.0000"),
    ] {
        out.push(doubled.printed(format!("R2 of {deg:?}"), printed, r2(after(deg))));
    }
    out.push(zero(
        Fact::new("opposite directions cancel", DOUBLED, Derived),
        "R1 of [10.0, 190.0]",
        r1(after(&[10.0, 190.0])),
    ));
    // The axes are the source's; that they balance is worked out from them. Clock hours of 30
    // degrees: 12-6, 3-9, 1:30-7:30, 10:30-4:30.
    out.push(zero(
        Fact::new(
            "four axes of the clock in turn, and their balance",
            TROPICAL,
            Derived,
        ),
        "R2 of 12-6, 3-9, 1:30-7:30 and 10:30-4:30 in turn",
        r2(after(&[0.0, 90.0, 45.0, 315.0])),
    ));
    out.push(
        Fact::new("three axes in turn, and their R2", BRISBANE, Derived).printed(
            "R2 of NE-SW, E-W, NW-SE in turn",
            "0.3333",
            r2(after(&[45.0, 90.0, 135.0])),
        ),
    );
    out
}
