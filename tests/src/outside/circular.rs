//! Circles that advance: bands, mean cuts, lengths.

use super::{
    Fact,
    Mark::{Library, Read},
    Row,
};
use crate::lattices::lattice_cases;
use crate::scenes::{between, mow_of};
use crate::stored::{json, number, text};
use crossgrain_core::inside::patterns::lattice::units::Deck;
use crossgrain_core::{CircularArc, LoopForm, LoopShape, Mower, Segment, Track};
use crossgrain_metrics::lattice_gaps::{Lanes, worst_uncut_part};
use crossgrain_metrics::measure;
use geo_types::coord;
use std::f64::consts::TAU;

/// The upper edge of the full band of full circles, to the hair.
fn half_band(radius_m: f64, width_m: f64, advance_m: f64) -> f64 {
    let shape = LoopShape {
        form: LoopForm::Roll,
        diameter_m: 2.0 * radius_m,
        advance_m,
    };
    let bar = Mower::bar(width_m);
    let deck = Deck::new(&bar.units, 0.0, 0.0);
    let seen = deck.look(&shape, 0.0);
    let band = seen.and_then(|seen| deck.proven_within(&shape, seen));
    band.map_or(f64::NAN, |b| b.1)
}

/// Full circles one advance apart over one advance of ground, up to `half_m` on both sides.
fn circles(radius_m: f64, width_m: f64, advance_m: f64, half_m: f64) -> Vec<f64> {
    let reach = ((radius_m + width_m) / advance_m).ceil() as i32 + 2;
    let tracks = (-reach..=reach)
        .map(|i| {
            Track::down(Segment::Arc(CircularArc {
                centre: coord! { x: f64::from(i) * advance_m, y: 0.0 },
                radius_m,
                from_rad: 0.3,
                sweep_rad: TAU,
            }))
        })
        .collect();
    let ground = between(0.0, -half_m, advance_m, half_m);
    measure(&ground, &Mower::bar(width_m), &mow_of(tracks)).times_cut_m2
}

const CHORD: &str = "Weisstein, CRC Concise Encyclopedia of Mathematics, 1999; Circle-Circle Intersection, eq. 6 (half the common chord)";

pub fn rows() -> Vec<Row> {
    let mut out = bands();
    out.extend(lattices());
    out
}

/// Trains of circles one advance apart.
fn bands() -> Vec<Row> {
    let mut out = Vec::new();
    let stored = json("circular.json");
    let raster = text(&stored, "raster");
    let chord = Fact::new(
        "the band of circles ends where neighbours' outer edges cross",
        CHORD,
        Read,
    );
    let mean = Fact::new("mean cuts inside the band of circles", &raster, Library);
    let fewest = Fact::new("fewest cuts inside the band of circles", &raster, Library);
    for c in stored["cases"].as_array().into_iter().flatten() {
        let [r, w, p, h] = ["radius_m", "width_m", "advance_m", "half_m"].map(|k| number(c, k));
        let case = format!("circles of R {r} m, W {w} m, advance {p} m");
        let least = number(c, "fewest");
        if least > 0.0 {
            out.push(chord.formula(
                format!("{case}: half band, m"),
                ((r + w / 2.0).powi(2) - p * p / 4.0).sqrt(),
                half_band(r, w, p),
                1e-6,
            ));
        }
        let cut = circles(r, w, p, h);
        let area: f64 = cut.iter().sum();
        let mean_cuts: f64 = cut
            .iter()
            .enumerate()
            .map(|(k, a)| k as f64 * a)
            .sum::<f64>()
            / area;
        out.push(
            mean.library(
                format!("{case}: mean cuts inside the band"),
                number(c, "mean_cuts"),
                mean_cuts,
                1.0,
            )
            // The raster's own error: half a point along every edge.
            .within(2e-3),
        );
        // Ground of a millionth of the band is rounding of the band's edge.
        let ours = cut.iter().position(|a| *a > 1e-6 * area);
        out.push(fewest.count(
            format!("{case}: fewest cuts inside the band"),
            least as usize,
            ours.map_or(f64::NAN, |k| k as f64),
        ));
    }
    out
}

/// What the planner's lattice leaves between three lanes, points counted one by one.
fn lattices() -> Vec<Row> {
    let mut out = Vec::new();
    let search = text(&json("circular.json"), "search");
    let stored = json("loop_lattice.json");
    let rows = stored.as_array().map(Vec::as_slice).unwrap_or_default();
    let nothing = Fact::new("a lattice leaves no point uncut", &search, Library);
    let cheapest = Fact::new(
        "no gap-free lattice that a search finds is cheaper",
        &search,
        Library,
    );
    for ((width_m, diameter_m, answer), row) in lattice_cases().into_iter().zip(rows) {
        let lanes = Lanes {
            form: answer.shape.form,
            diameter_m: answer.shape.diameter_m,
            advance_m: answer.shape.advance_m,
            lane_spacing_m: answer.lane_spacing_m,
            sense: answer.sense,
        };
        // The search looks at advances and heights a centimetre apart; where the planner finds a
        // cheaper one between them, so much the better.
        let brute = number(&row["brute_force"], "mean_cuts");
        out.push(
            cheapest
                .library(
                    format!("loops of {diameter_m:.3} m, deck {width_m:.3} m: mean cuts over the search's, if more"),
                    1.0,
                    (answer.mean_cuts / brute).max(1.0),
                    1.0,
                )
                .within(0.02),
        );
        out.push(
            nothing
                .library(
                    format!("loops of {diameter_m:.3} m, deck {width_m:.3} m: part uncut"),
                    number(row, "uncut_points") / number(row, "points"),
                    worst_uncut_part(&Mower::bar(width_m), &lanes),
                    1.0,
                )
                // One of the millions of points.
                .within(1e-6),
        );
    }
    out
}
