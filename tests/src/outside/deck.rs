//! Cutting units on a loop: radii, strips and clip.

use super::{
    Fact,
    Mark::{Derived, Library, Memory, Read},
    Row,
};
use crate::stored::{json, numbers, text};
use crossgrain_core::inside::deck::{clean_from_radius_m, strips};
use crossgrain_core::inside::model::quantity::{INCH_M, KMH_M_S, MPH_M_S};
use crossgrain_core::{CuttingUnit, Mower, Reel, Sense};
use crossgrain_metrics::deck_report::{DeckReport, deck_report};

fn pair(ahead_m: f64, overlap_m: f64) -> [CuttingUnit; 2] {
    // Two units of 0.8 m, the front one on the right: the inside of a clockwise turn lies there.
    let half = (0.8 - overlap_m) / 2.0;
    [
        CuttingUnit {
            across_m: half,
            ahead_m: 0.0,
            width_m: 0.8,
        },
        CuttingUnit {
            across_m: -half,
            ahead_m,
            width_m: 0.8,
        },
    ]
}

/// What `crossgrain mower` reports of a plain bar with this reel.
fn report(width_m: f64, speed_m_s: f64, reel: Reel, radius_m: f64) -> DeckReport {
    let mut mower = Mower::bar(width_m);
    mower.speeds.mowing_m_s = speed_m_s;
    mower.speeds.loops_m_s = speed_m_s;
    mower.reel = Some(reel);
    deck_report(&mower, 2.0 * radius_m, Sense::Clockwise)
}

fn clip_m(speed_m_s: f64, blades: u32, rpm: f64) -> f64 {
    let r = report(2.54, speed_m_s, Reel { blades, rpm }, 6.0);
    r.units[0].clip_straight_m.unwrap_or(f64::NAN)
}

const SLICK: &str = "Slick, A Closer Look at Frequency-of-Clip: How is FOC calculated?, Canadian Groundskeeper, 20 March 2013";
const WONG: &str = "Wong, Theory of Ground Vehicles, 4th ed., 2008; steering of tracked and wheeled vehicles (sides of one vehicle on a circle)";
const PYTHAGORAS: &str = "Euclid, Elements, Heath's translation, 1908; book I, proposition 47";

pub fn rows() -> Vec<Row> {
    let mut out = clips();
    out.extend(strips_left());
    out.extend(walked());
    out
}

fn clips() -> Vec<Row> {
    let mut out = Vec::new();
    // The article prints two speeds, 6 km/h and 3.8 mph, and one clip in two units. 3.8 mph is
    // 6.116 km/h: its 3.098 mm and 0.122 in are those of 3.8 mph (1,056 x 3.8 / 33,000 = 0.1216 in
    // = 3.089 mm; 0.122 in = 3.099 mm). At 6 km/h the same reel clips 3.030 mm, so its millimetres
    // are its rounded inches turned into millimetres, and no more exact than these.
    let slick = Fact::new(
        "clip of a 15-blade reel at 2,200 rpm and 3.8 mph",
        SLICK,
        Read,
    );
    out.push(slick.printed(
        "3.8 mph, 2,200 rpm, 15 blades: clip, in",
        "0.122",
        clip_m(3.8 * MPH_M_S, 15, 2200.0) / INCH_M,
    ));
    out.push(
        slick
            .printed(
                "3.8 mph, 2,200 rpm, 15 blades: clip, mm",
                "3.098",
                1000.0 * clip_m(3.8 * MPH_M_S, 15, 2200.0),
            )
            // Half a thousandth of an inch.
            .within(0.0127 * (1.0 + 1e-9)),
    );
    out.push(
        Fact::new("wheels on a circle go as far as their radii", WONG, Memory).printed(
            "clip, outer over inner edge, R 6 m, W 2.54 m",
            // (6 + 1.27) / (6 - 1.27)
            "1.537",
            report(
                2.54,
                6.0 * KMH_M_S,
                Reel {
                    blades: 11,
                    rpm: 2000.0,
                },
                6.0,
            )
            .outer_over_inner,
        ),
    );
    out
}

fn strips_left() -> Vec<Row> {
    let mut out = Vec::new();
    // Two units whose inner ends are level with a and b: a = -b = -o/2, so R = x^2 / (2 o).
    let closes = Fact::new(
        "where two rings at right angles to the axle meet",
        PYTHAGORAS,
        Derived,
    );
    for (ahead, overlap, printed) in [
        (1.0, 0.05, "10.000"),
        (0.9, 0.06, "6.750"),
        (1.2, 0.09, "8.000"),
    ] {
        let units = pair(ahead, overlap);
        out.push(closes.printed(
            format!("radius from which two units {ahead} m apart along, overlap {overlap} m, leave no strip, m"),
            printed,
            clean_from_radius_m(&units, Sense::CounterClockwise).unwrap_or(f64::NAN),
        ));
    }
    // At R 5 m the front unit's inner end runs on hypot(R - 0.025, 1), the other's outer end on
    // R + 0.025: 5.0745... - 5.025.
    let width: f64 = strips(&pair(1.0, 0.05), 5.0, Sense::CounterClockwise)
        .iter()
        .map(|s| s.width_m())
        .sum();
    out.push(closes.printed(
        "strip left at R 5 m by two units 1 m apart along, overlap 0.05 m, m",
        "0.0495",
        width,
    ));
    out
}

/// Random decks, against a script that walks every cutting line.
fn walked() -> Vec<Row> {
    let mut out = Vec::new();
    let stored = json("clean_diameters.json");
    let by = text(&stored, "by");
    let walked = Fact::new(
        "smallest clean loop, every cutting line walked in points",
        &by,
        Library,
    );
    let layouts = stored["layouts"]
        .as_array()
        .map(Vec::as_slice)
        .unwrap_or_default();
    for i in [0, 100, 200, 300, 400] {
        let c = &layouts[i];
        let units: Vec<CuttingUnit> = c["units"]
            .as_array()
            .into_iter()
            .flatten()
            .map(numbers)
            .map(|u| CuttingUnit {
                across_m: u[0],
                ahead_m: u[1],
                width_m: u[2],
            })
            .collect();
        // Null where strips are left on every loop.
        if let Some(theirs) = c["ccw"].as_f64() {
            let ours = clean_from_radius_m(&units, Sense::CounterClockwise);
            out.push(
                walked
                    .library(
                        format!(
                            "random deck {i} of {} units, turning left: diameter, m",
                            units.len()
                        ),
                        theirs,
                        2.0 * ours.unwrap_or(f64::NAN),
                        1.0,
                    )
                    // The script halves down to a hundredth of a millimetre of radius.
                    .within(1e-3),
            );
        }
    }
    out
}
