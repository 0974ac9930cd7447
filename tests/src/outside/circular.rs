//! Circles that advance: bands, mean cuts, lengths.

use super::{Mark::Derived, Row};
use crate::stored::{json, number, text};
use crossgrain_core::model::mow::UsedSettings;
use crossgrain_core::model::pattern::LoopForm;
use crossgrain_core::patterns::lattice::bar::{Bar, band};
use crossgrain_core::patterns::lattice::shape::{LoopShape, Tolerances};
use crossgrain_core::{Arc, Fairway, Mow, Mower, Path, PatternKind, Sense, Track};
use crossgrain_metrics::measure;
use geo_types::{MultiPolygon, Rect, coord};
use std::f64::consts::TAU;

const BAND: &str = "h = sqrt((R + W/2)^2 - p^2/4)";
const RASTER: &str = "a raster of circles, worked out apart";

/// The upper edge of the full band of full circles, to the hair.
fn half_band(radius_m: f64, width_m: f64, advance_m: f64) -> f64 {
    let bar = Bar {
        left_m: width_m / 2.0,
        right_m: -width_m / 2.0,
    };
    let shape = LoopShape {
        form: LoopForm::Roll,
        diameter_m: 2.0 * radius_m,
        advance_m,
    };
    let exact = Tolerances {
        advance_m: 0.0,
        steering_m: 0.0,
    };
    band(bar, &shape, exact).map_or(f64::NAN, |b| b.high_m)
}

/// Full circles one advance apart over one advance of ground, up to `half_m` on both sides.
fn circles(radius_m: f64, width_m: f64, advance_m: f64, half_m: f64) -> Vec<f64> {
    let ground = MultiPolygon(vec![
        Rect::new(
            coord! { x: 0.0, y: -half_m },
            coord! { x: advance_m, y: half_m },
        )
        .to_polygon(),
    ]);
    let reach = ((radius_m + width_m) / advance_m).ceil() as i32 + 2;
    let tracks = (-reach..=reach)
        .map(|i| {
            Track::down(Path::Arc(Arc {
                centre: coord! { x: f64::from(i) * advance_m, y: 0.0 },
                radius_m,
                from_rad: 0.3,
                sweep_rad: TAU,
            }))
        })
        .collect();
    let fairway = Fairway {
        name: "band".to_string(),
        outline: ground.clone(),
        ground,
        keep_outs: Vec::new(),
        no_turn: MultiPolygon(Vec::new()),
        hole_line: None,
        way_in: None,
    };
    let mow = Mow {
        fairway: "band".to_string(),
        pattern: PatternKind::Loops,
        heading_deg: None,
        sense: Sense::CounterClockwise,
        settings: UsedSettings::default(),
        tracks,
        legs: Vec::new(),
        steps: Vec::new(),
        notes: Vec::new(),
    };
    measure(&fairway, &Mower::bar(width_m), &mow).times_cut_m2
}

pub fn rows() -> Vec<Row> {
    let mut out = Vec::new();
    for (r, w, p, h, fewest, mean) in [
        (6.0, 2.5, 2.5, "7.1414", 1, 2.629),
        (6.0, 2.5, 2.0, "7.1807", 1, 3.275),
        (6.0, 2.5, 3.0, "7.0931", 0, 2.200),
        (10.0, 2.54, 2.3, "11.2112", 1, 3.091),
    ] {
        let case = format!("circles of R {r} m, W {w} m, advance {p} m");
        if fewest > 0 {
            out.push(Row::printed(
                format!("{case}: half band, m"),
                BAND,
                Derived,
                h,
                half_band(r, w, p),
            ));
        }
        let half: f64 = h.parse().unwrap_or(f64::NAN);
        let cut = circles(r, w, p, half);
        let area: f64 = cut.iter().sum();
        let mean_cuts: f64 = cut
            .iter()
            .enumerate()
            .map(|(k, a)| k as f64 * a)
            .sum::<f64>()
            / area;
        out.push(Row {
            // The raster's own error: half a cell along every edge.
            tolerance: 0.005,
            ..Row::printed(
                format!("{case}: mean cuts inside the band"),
                RASTER,
                Derived,
                &format!("{mean:.3}"),
                mean_cuts,
            )
        });
        // Ground of a millionth of the band is rounding of the band's edge.
        let least = cut.iter().position(|a| *a > 1e-6 * area);
        out.push(Row::count(
            format!("{case}: fewest cuts inside the band"),
            RASTER,
            Derived,
            fewest,
            least.map_or(f64::NAN, |k| k as f64),
        ));
    }
    let stored = json("circular.json");
    let source = text(&stored, "source");
    for c in stored["cases"].as_array().into_iter().flatten() {
        let (r, p) = (number(c, "radius_m"), number(c, "advance_m"));
        let a = p / TAU;
        // At an advance near the circumference the curve has a cusp and is no loop.
        if a > 0.5 * r {
            continue;
        }
        let shape = LoopShape {
            form: LoopForm::Drift,
            diameter_m: 2.0 * r,
            advance_m: p,
        };
        out.push(Row {
            // Two half-circles leave out the second-order term of the steady curve, a^2 / 4 R^2 of
            // its length, and what follows.
            tolerance: number(c, "length_m") * 1.1 * (a / (2.0 * r)).powi(2),
            ..Row::library(
                format!("loop of two half-circles beside a steadily advancing circle, R {r} m, advance {p} m: length, m"),
                &source,
                number(c, "length_m"),
                shape.length_m(),
                1.0,
            )
        });
    }
    out
}
