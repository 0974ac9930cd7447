//! Field capacity as leaflets and textbooks print it, and time from speed.
//!
//! Each figure goes the whole way that a plan's does: a field is mown in one straight pass,
//! measured, its minutes put into a shift of the given efficiency, and the ground divided by them.

use super::{
    Fact,
    Mark::{Memory, Read},
    Row,
};
use crate::scenes::{mow_of, rectangle};
use crossgrain_core::inside::model::quantity::{FOOT_M, KMH_M_S, MPH_M_S};
use crossgrain_core::{Mower, Segment, Track};
use crossgrain_metrics::capacity::{acres, hectares, m2_per_h};
use crossgrain_metrics::{Measures, measure};
use geo_types::coord;

const PM_696: &str =
    "Iowa State University, Estimating Field Capacity of Farm Machines, PM 696, 2001; table 1";
const A3_24: &str = "Iowa State University, Estimating the Field Capacity of Farm Machines, Ag Decision Maker A3-24 (year not noted); table 1";
const A3_24_STAKES: &str = "Iowa State University, Estimating the Field Capacity of Farm Machines, Ag Decision Maker A3-24 (year not noted); average field speed";
const ICAR: &str = "ICAR-IASRI, e-course on farm machinery (year not noted); worked examples";
const ICAR_6: &str = "ICAR-IASRI, e-course on farm machinery (year not noted); lesson 6";
const AEN_73: &str = "Hancock et al., Field Capacity, University of Kentucky AEN-73, 1991";
const SRIVASTAVA: &str = "Srivastava, Goering, Rohrbach & Buckmaster, Engineering Principles of Agricultural Machines, ASABE, 2006; eq. 15.1";
const EP496: &str = "ASABE EP496, Agricultural Machinery Management, 2006; field efficiency";

// width ft, speed mph, efficiency %, acres per hour as printed
const OF_PM_696: [(f64, f64, f64, &str); 6] = [
    (40.0, 6.0, 70.0, "20.4"),
    (50.0, 6.0, 70.0, "25.5"),
    (10.0, 5.0, 63.0, "3.8"),
    (15.0, 5.0, 63.0, "5.7"),
    (20.0, 6.0, 63.0, "9.2"),
    (30.0, 6.0, 60.0, "13.1"),
];
const OF_A3_24: [(f64, f64, f64, &str); 6] = [
    (60.0, 6.0, 68.0, "29.7"),
    (60.0, 12.0, 68.0, "59.3"),
    (80.0, 6.0, 68.0, "39.6"),
    (80.0, 12.0, 68.0, "79.1"),
    (36.0, 5.0, 60.0, "13.1"),
    (45.0, 5.0, 60.0, "16.4"),
];

/// One pass over a field as wide as the deck, `length_m` long.
fn one_pass(width_m: f64, length_m: f64, speed_m_s: f64, share: f64) -> Measures {
    let mut mower = Mower::bar(width_m);
    mower.speeds.mowing_m_s = speed_m_s;
    // No time but that of driving.
    mower.lift_lower_s = 0.0;
    mower.shift_efficiency = share;
    let field = rectangle(length_m, width_m);
    let pass = Track::down(Segment::Line {
        from: coord! { x: 0.0, y: width_m / 2.0 },
        to: coord! { x: length_m, y: width_m / 2.0 },
    });
    measure(&field, &mower, &mow_of(vec![pass]))
}

/// Square metres an hour of the shift.
fn rate(width_m: f64, speed_m_s: f64, share: f64) -> f64 {
    let m = one_pass(width_m, 800.0, speed_m_s, share);
    m2_per_h(m.fairway_m2, m.shift_minutes)
}

pub fn rows() -> Vec<Row> {
    let mut out = Vec::new();
    for (source, list) in [(PM_696, OF_PM_696), (A3_24, OF_A3_24)] {
        let fact = Fact::new("field capacity is width x speed x efficiency", source, Read);
        for (ft, mph, percent, printed) in list {
            out.push(fact.printed(
                format!("{ft} ft at {mph} mph and {percent}%, acre/h"),
                printed,
                acres(rate(ft * FOOT_M, mph * MPH_M_S, percent / 100.0)),
            ));
        }
    }
    let metric = |m: f64, kmh: f64, share: f64| hectares(rate(m, kmh * KMH_M_S, share));
    let icar = Fact::new("field capacity is width x speed x efficiency", ICAR, Read);
    out.push(icar.printed(
        "1.0 m at 5 km/h and 80%, ha/h",
        "0.4",
        metric(1.0, 5.0, 0.8),
    ));
    out.push(icar.printed(
        "0.9 m at 4 km/h and 70%, ha/h",
        "0.25",
        metric(0.9, 4.0, 0.7),
    ));
    out.push(
        Fact::new("theoretical field capacity is width x speed", ICAR_6, Read).printed(
            "20 m at 5 km/h, theoretical, ha/h",
            "10",
            metric(20.0, 5.0, 1.0),
        ),
    );
    out.push(
        Fact::new("field capacity is width x speed x efficiency", ICAR_6, Read).printed(
            "20 m at 5 km/h and 92.5%, ha/h",
            "9.25",
            metric(20.0, 5.0, 0.925),
        ),
    );
    out.push(
        Fact::new("ft x mph over 8.25 is acres an hour", AEN_73, Read).printed(
            "ft x mph for one acre/h",
            "8.25",
            1.0 / acres(rate(FOOT_M, MPH_M_S, 1.0)),
        ),
    );
    out.push(
        Fact::new("S W E / 10 is hectares an hour", SRIVASTAVA, Read).printed(
            "8 km/h, 2.54 m, 0.80, ha/h",
            // 8 x 2.54 x 0.8 / 10
            "1.6256",
            metric(2.54, 8.0, 0.8),
        ),
    );
    out.push(
        Fact::new(
            "field efficiency is effective over theoretical capacity",
            EP496,
            Memory,
        )
        .printed(
            "a field mown one and a quarter times over",
            "0.80",
            overdriven().field_efficiency,
        ),
    );
    let stakes = Fact::new(
        "speed from the seconds between two stakes",
        A3_24_STAKES,
        Read,
    );
    out.push(stakes.printed(
        "stakes 88 ft apart at 5 mph, seconds",
        "12",
        60.0 * one_pass(2.0, 88.0 * FOOT_M, 5.0 * MPH_M_S, 1.0).minutes,
    ));
    out
}

/// A field of one pass, a quarter of which is driven again.
fn overdriven() -> Measures {
    let mut mower = Mower::bar(2.0);
    mower.lift_lower_s = 0.0;
    let field = rectangle(400.0, 2.0);
    let line = |x0: f64, x1: f64| {
        Track::down(Segment::Line {
            from: coord! { x: x0, y: 1.0 },
            to: coord! { x: x1, y: 1.0 },
        })
    };
    measure(
        &field,
        &mower,
        &mow_of(vec![line(0.0, 400.0), line(400.0, 300.0)]),
    )
}
