//! Directions and axes: textbook examples and SciPy.

use super::{
    Mark::{Derived, Quoted, Read},
    Row,
};
use crate::stored::{json, number, numbers, text};
use crossgrain_metrics::circular::Resultant;

const ZAR: &str = "Zar, Biostatistical Analysis, 2010";
const MARDIA: &str = "Mardia & Jupp, Directional Statistics, ex. 1.1";
const JAMMALAMADAKA: &str = "Jammalamadaka & SenGupta, Topics in Circular Statistics, 2001, p. 23";
const DOUBLED: &str = "doubled angles, Mardia & Jupp; worked out apart";

fn directions(deg: &[f64]) -> Resultant {
    Resultant::of_directions(deg.iter().map(|d| d.to_radians()))
}

fn axes(deg: &[f64]) -> Resultant {
    Resultant::of_axes(deg.iter().map(|d| d.to_radians()))
}

fn mean_deg(r: &Resultant) -> f64 {
    r.mean_rad().map_or(f64::NAN, f64::to_degrees)
}

pub fn rows() -> Vec<Row> {
    let mut out = textbooks();
    out.extend(axes_in_turn());
    let stored = json("directions.json");
    let source = text(&stored, "source");
    for c in stored["cases"].as_array().into_iter().flatten() {
        let name = text(c, "name");
        let deg = numbers(&c["deg"]);
        let (d, a) = (directions(&deg), axes(&deg));
        for (what, key, ours, share) in [
            ("mean direction, degrees", "mean_deg", mean_deg(&d), 1e-9),
            ("mean axis, degrees", "axis_deg", mean_deg(&a), 1e-9),
            ("R1", "r1", d.length(), 1e-12),
            ("R2", "r2", a.length(), 1e-12),
        ] {
            out.push(Row::library(
                format!("{name}: {what}"),
                &source,
                number(c, key),
                ours,
                share,
            ));
        }
    }
    out
}

fn textbooks() -> Vec<Row> {
    let zar_4 = directions(&[45.0, 55.0, 81.0, 96.0, 110.0, 117.0, 132.0, 154.0]);
    let counts = [
        0.0, 6.0, 9.0, 13.0, 15.0, 22.0, 17.0, 12.0, 8.0, 3.0, 0.0, 0.0,
    ];
    let zar_5 = Resultant::of_weighted_directions(
        counts
            .iter()
            .enumerate()
            .map(|(i, n)| ((15.0 + 30.0 * i as f64).to_radians(), *n)),
    );
    let zar_7 = [
        35.0, 40.0, 40.0, 45.0, 45.0, 55.0, 60.0, 215.0, 220.0, 225.0, 225.0, 235.0, 235.0, 240.0,
        245.0,
    ];
    let mardia = directions(&[43.0, 45.0, 52.0, 61.0, 75.0, 88.0, 88.0, 279.0, 357.0]);
    let jam = directions(&[51.0, 67.0, 40.0, 109.0, 31.0, 358.0]);
    let weighted = Resultant::of_weighted_directions(
        [0.0, 3.6, 36.0, 72.0, 108.0, 169.2, 324.0]
            .map(f64::to_radians)
            .into_iter()
            .zip([12.0, 1.0, 6.0, 1.0, 2.0, 1.0, 1.0]),
    );
    let p = zar_4.rayleigh().p;
    vec![
        Row::printed(
            "ex. 26.4: mean, degrees",
            ZAR,
            Quoted,
            "98.988",
            mean_deg(&zar_4),
        ),
        Row::printed("ex. 26.4: r", ZAR, Quoted, "0.82522", zar_4.length()),
        Row::printed(
            "ex. 26.4: Rayleigh z",
            ZAR,
            Quoted,
            "5.448",
            zar_4.rayleigh().z,
        ),
        Row {
            // The book brackets it: above 0.001 and below 0.002.
            tolerance: 0.0005,
            ..Row::printed(
                "ex. 26.4: Rayleigh p, between 0.001 and 0.002",
                ZAR,
                Quoted,
                "0.0015",
                p,
            )
        },
        Row::printed(
            "ex. 26.5, grouped: mean, degrees",
            ZAR,
            Quoted,
            "162",
            mean_deg(&zar_5),
        ),
        Row::printed(
            "ex. 26.5, grouped: r",
            ZAR,
            Quoted,
            "0.55064",
            zar_5.length(),
        ),
        Row::printed(
            "ex. 26.7, axial: axis, degrees",
            ZAR,
            Derived,
            "47.953",
            mean_deg(&axes(&zar_7)),
        ),
        Row::printed(
            "ex. 26.7, axial: R2",
            ZAR,
            Derived,
            "0.94843",
            axes(&zar_7).length(),
        ),
        Row::printed(
            "ex. 26.7, as directions: R1",
            ZAR,
            Derived,
            "0.07379",
            directions(&zar_7).length(),
        ),
        Row::printed(
            "roulette: mean, degrees",
            MARDIA,
            Quoted,
            "51",
            mean_deg(&mardia),
        ),
        Row::printed("roulette: R", MARDIA, Quoted, "0.711", mardia.length()),
        Row::printed(
            "six bearings: mean, rad",
            JAMMALAMADAKA,
            Quoted,
            "0.8487044",
            jam.mean_rad().unwrap_or(f64::NAN),
        ),
        Row::printed(
            "six bearings: variance",
            JAMMALAMADAKA,
            Quoted,
            "0.1635635",
            jam.variance(),
        ),
        Row::printed(
            "weighted: R",
            JAMMALAMADAKA,
            Quoted,
            "0.766282",
            weighted.length(),
        ),
    ]
}

fn axes_in_turn() -> Vec<Row> {
    let zero = |what: &str, source: &str, mark, deg: &[f64]| Row {
        tolerance: 1e-12,
        ..Row::printed(what, source, mark, "0.0000", axes(deg).length())
    };
    let brisbane = axes(&[45.0, 90.0, 135.0]);
    vec![
        zero("R2 of 0, 90", DOUBLED, Derived, &[0.0, 90.0]),
        zero(
            "R2 of 0, 45, 90, 135",
            DOUBLED,
            Derived,
            &[0.0, 45.0, 90.0, 135.0],
        ),
        zero("R2 of 0, 60, 120", DOUBLED, Derived, &[0.0, 60.0, 120.0]),
        Row::printed(
            "R2 of 0, 30",
            DOUBLED,
            Derived,
            "0.8660",
            axes(&[0.0, 30.0]).length(),
        ),
        Row::printed(
            "R2 of 0, 0, 0, 90",
            DOUBLED,
            Derived,
            "0.5",
            axes(&[0.0, 0.0, 0.0, 90.0]).length(),
        ),
        Row::printed(
            "R2 of 45, 90, 315",
            DOUBLED,
            Derived,
            "0.3333",
            axes(&[45.0, 90.0, 315.0]).length(),
        ),
        Row::printed(
            "R2 of 10, 190",
            DOUBLED,
            Derived,
            "1.0000",
            axes(&[10.0, 190.0]).length(),
        ),
        Row {
            tolerance: 1e-12,
            ..Row::printed(
                "R1 of 10, 190",
                DOUBLED,
                Derived,
                "0.0000",
                directions(&[10.0, 190.0]).length(),
            )
        },
        // Clock hours of 30 degrees: 12-6, 3-9, 1:30-7:30, 10:30-4:30.
        zero(
            "R2 of 12-6, 3-9, 1:30-7:30 and 10:30-4:30 in turn",
            "Fundamentals of Tropical Turf Management",
            Read,
            &[0.0, 90.0, 45.0, 315.0],
        ),
        Row::printed(
            "R2 of NE-SW, E-W, NW-SE in turn",
            "Brisbane City Council 2019",
            Read,
            "0.3333",
            brisbane.length(),
        ),
    ]
}
