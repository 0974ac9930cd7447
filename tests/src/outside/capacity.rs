//! Field capacity as extension leaflets and textbooks print it.

use super::{Mark::Read, Row};
use crossgrain_core::model::units::{FOOT_M, KMH_M_S, MPH_M_S};
use crossgrain_metrics::capacity::{acre_per_h, effective_m2_s, ha_per_h, theoretical_m2_s};

// width ft, speed mph, efficiency %, acres per hour as printed
const PM_696: [(f64, f64, f64, &str); 6] = [
    (40.0, 6.0, 70.0, "20.4"),
    (50.0, 6.0, 70.0, "25.5"),
    (10.0, 5.0, 63.0, "3.8"),
    (15.0, 5.0, 63.0, "5.7"),
    (20.0, 6.0, 63.0, "9.2"),
    (30.0, 6.0, 60.0, "13.1"),
];
const A3_24: [(f64, f64, f64, &str); 6] = [
    (60.0, 6.0, 68.0, "29.7"),
    (60.0, 12.0, 68.0, "59.3"),
    (80.0, 6.0, 68.0, "39.6"),
    (80.0, 12.0, 68.0, "79.1"),
    (36.0, 5.0, 60.0, "13.1"),
    (45.0, 5.0, 60.0, "16.4"),
];

pub fn rows() -> Vec<Row> {
    let mut out = Vec::new();
    for (source, list) in [
        ("Iowa State University, PM 696, 2001", PM_696),
        ("Iowa State University, Ag Decision Maker A3-24", A3_24),
    ] {
        for (ft, mph, percent, printed) in list {
            out.push(Row::printed(
                format!("{ft} ft at {mph} mph and {percent}%, acre/h"),
                source,
                Read,
                printed,
                acre_per_h(effective_m2_s(ft * FOOT_M, mph * MPH_M_S, percent / 100.0)),
            ));
        }
    }
    let metric = |m: f64, kmh: f64, share: f64| ha_per_h(effective_m2_s(m, kmh * KMH_M_S, share));
    let icar = "ICAR-IASRI e-course on farm machinery";
    out.push(Row::printed(
        "1.0 m at 5 km/h and 80%, ha/h",
        icar,
        Read,
        "0.4",
        metric(1.0, 5.0, 0.8),
    ));
    out.push(Row::printed(
        "0.9 m at 4 km/h and 70%, ha/h",
        icar,
        Read,
        "0.25",
        metric(0.9, 4.0, 0.7),
    ));
    let lesson = "ICAR-IASRI e-course on farm machinery, lesson 6";
    out.push(Row::printed(
        "20 m at 5 km/h, theoretical, ha/h",
        lesson,
        Read,
        "10",
        ha_per_h(theoretical_m2_s(20.0, 5.0 * KMH_M_S)),
    ));
    out.push(Row::printed(
        "20 m at 5 km/h and 92.5%, ha/h",
        lesson,
        Read,
        "9.25",
        metric(20.0, 5.0, 0.925),
    ));
    out.push(Row::printed(
        "ft x mph for one acre/h",
        "Hancock et al., University of Kentucky AEN-73, 1991",
        Read,
        "8.25",
        1.0 / acre_per_h(theoretical_m2_s(FOOT_M, MPH_M_S)),
    ));
    out.push(Row::printed(
        "S W E / 10: 8 km/h, 2.54 m, 0.80, ha/h",
        "Srivastava et al., Engineering Principles of Agricultural Machines, ASABE 2006, eq. 15.1",
        Read,
        // 8 x 2.54 x 0.8 / 10
        "1.6256",
        metric(2.54, 8.0, 0.8),
    ));
    out
}
