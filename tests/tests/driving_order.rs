//! Idle driving over rectangles of straight passes against a general routing solver.
//!
//! The solver's results come from `tests/scripts/order_best.py`. Run with `--nocapture` for the
//! table.

use crossgrain_core::driving::turns::shortest_forward_m;
use crossgrain_core::driving::{Drive, drive, input::Yard};
use crossgrain_core::model::stage::Stage;
use crossgrain_core::{Fairway, Leg, Mower, Path, Pose, Reels, Role, Track};
use geo_types::{MultiPolygon, coord};
use serde_json::Value;
use std::f64::consts::FRAC_PI_2;

/// Above the solver's best by no more than this.
const WITHIN: f64 = 1.03;

fn open_ground() -> Fairway {
    Fairway {
        name: "rectangle".to_string(),
        outline: MultiPolygon(Vec::new()),
        ground: MultiPolygon(Vec::new()),
        keep_outs: Vec::new(),
        no_turn: MultiPolygon(Vec::new()),
        hole_line: None,
        way_in: None,
    }
}

fn pass(i: usize, up: bool, spacing_m: f64, length_m: f64, reversible: bool) -> Leg {
    let x = i as f64 * spacing_m;
    let (low, high) = (coord! { x: x, y: 0.0 }, coord! { x: x, y: length_m });
    let (from, to) = if up { (low, high) } else { (high, low) };
    Leg {
        tracks: vec![Track::down(Path::Line { from, to })],
        role: Role::Stripe {
            set: 0,
            index: i as u32,
        },
        reversible,
    }
}

fn idle_m(d: &Drive) -> f64 {
    d.tracks
        .iter()
        .filter(|t| t.reels == Reels::Up)
        .map(|t| t.path.length_m())
        .sum()
}

#[test]
fn orders_come_near_a_general_solver() {
    let text = include_str!("../stored/order-best.json");
    let stored: Value = serde_json::from_str(text).expect("stored results are sound");
    let number = |v: &Value| v.as_f64().expect("a number");
    let (spacing_m, length_m) = (number(&stored["spacing_m"]), number(&stored["length_m"]));
    let rows = stored["rows"].as_array().expect("rows");
    assert_eq!(rows.len(), 40);
    println!(
        "| passes | radius / width | directions | solver m | planner m | floor m | planner / solver |"
    );
    println!("| ---: | ---: | --- | ---: | ---: | ---: | ---: |");
    let mut worst = 0f64;
    for row in rows {
        let passes = number(&row["passes"]) as usize;
        let (radius_m, best_m) = (number(&row["radius_m"]), number(&row["best_m"]));
        let kept = row["kept"].as_bool().expect("kept or free");
        // The solver's order must cost what it says under our turns, or the two are not compared
        // by the same measure.
        let poses: Vec<(Pose, Pose)> = row["order"]
            .as_array()
            .expect("an order")
            .iter()
            .map(|o| {
                let leg = pass(
                    number(&o[0]) as usize,
                    number(&o[1]) > 0.0,
                    spacing_m,
                    length_m,
                    true,
                );
                (leg.tracks[0].start(), leg.tracks[0].end())
            })
            .collect();
        let again: f64 = poses
            .windows(2)
            .map(|w| shortest_forward_m(w[0].1, w[1].0, radius_m))
            .sum();
        assert!(
            (again - best_m).abs() < 0.001 * passes as f64,
            "{again} m is not {best_m} m"
        );
        assert!(
            poses
                .iter()
                .all(|p| p.0.heading_rad.abs() - FRAC_PI_2 < 1e-9)
        );

        let mut mower = Mower::bar(2.54);
        mower.turning_radius_m = radius_m;
        let fairway = open_ground();
        let yard = Yard {
            fairway: &fairway,
            mower: &mower,
            margin_m: 1000.0,
            way_in: None,
            turn_shift: 0,
        };
        let legs = (0..passes)
            .map(|i| pass(i, i % 2 == 1, spacing_m, length_m, !kept))
            .collect();
        let d = drive(
            vec![Stage {
                legs,
                in_order: false,
            }],
            &yard,
        );
        assert_eq!(d.legs.len(), passes);
        let got_m = idle_m(&d);
        println!(
            "| {passes} | {:.1} | {} | {best_m:.1} | {got_m:.1} | {:.1} | {:.3} |",
            radius_m / 2.54,
            if kept { "kept" } else { "free" },
            d.turn_floor_m,
            got_m / best_m
        );
        worst = worst.max(got_m / best_m);
        assert!(d.turn_floor_m <= got_m + 1e-6, "a floor above the drive");
    }
    assert!(worst <= WITHIN, "{worst} times the solver's best");
}
