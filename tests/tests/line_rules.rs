//! Rules for taking lines, over rectangles on open ground, against a general routing solver.
//!
//! The solver's results come from `tests/scripts/order_best.py`; what they cost and that they
//! take every line once, each its own way, is checked here without it. Run with `--nocapture`
//! for the table.

use crossgrain_core::inside::driving::DriveInput;
use crossgrain_core::inside::driving::drive::{Drive, Roads};
use crossgrain_core::inside::driving::turns::shortest_forward_m;
use crossgrain_core::inside::ground::{FairwayBuilder, as_given};
use crossgrain_core::inside::model::mow::Leg;
use crossgrain_core::inside::model::task::{Directions, Line, Piece, Task, TaskKind};
use crossgrain_core::{Fairway, Mower, Pose, Reels, Role, Segment, Track};
use geo_types::{MultiPolygon, Rect, coord};
use serde_json::Value;
use std::f64::consts::FRAC_PI_2;
use std::rc::Rc;

/// A rule costs no more than this times the solver's best: directions kept, and free. On few
/// lines a simpler rule is taken than the best one, because sweeps have a price.
const KEPT_WITHIN: f64 = 1.10;
const FREE_WITHIN: f64 = 1.13;

fn open_ground() -> Fairway {
    let parts = FairwayBuilder {
        name: "rectangle".to_string(),
        ..FairwayBuilder::default()
    };
    // One part, so that there is something to mow on, and no outline that is in the way.
    let part = Rect::new(coord! { x: 0.0, y: 0.0 }, coord! { x: 1.0, y: 1.0 });
    as_given(parts, MultiPolygon(vec![part.to_polygon()]))
}

fn pass(i: usize, up: bool, spacing_m: f64, length_m: f64, reversible: bool) -> Leg {
    let x = i as f64 * spacing_m;
    let (low, high) = (coord! { x: x, y: 0.0 }, coord! { x: x, y: length_m });
    let (from, to) = if up { (low, high) } else { (high, low) };
    Leg {
        tracks: vec![Track::down(Segment::Line { from, to })],
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

fn task(passes: usize, spacing_m: f64, length_m: f64, kept: bool) -> Task {
    let line = |i: usize| {
        // Even lines run down, as the solver has them.
        let up = i % 2 == 1;
        Line {
            number: i as u32 + 1,
            forward: up,
            pieces: vec![Piece {
                leg: pass(i, up, spacing_m, length_m, !kept),
                from_m: 0.0,
                to_m: length_m,
            }],
        }
    };
    Task {
        part: 0,
        set: 0,
        phase: 0,
        kind: TaskKind::Lines {
            directions: if kept {
                Directions::Alternate
            } else {
                Directions::Free
            },
            lines: (0..passes).map(line).collect(),
        },
    }
}

/// A stored order drives every line once, and in its own direction where that is asked.
fn holds_together(order: &[(usize, bool)], passes: usize, kept: bool) {
    let mut seen = vec![0; passes];
    for (i, _) in order {
        seen[*i] += 1;
    }
    assert_eq!(seen, vec![1; passes], "every line once");
    if kept {
        let own = order[0].1 == (order[0].0 % 2 == 1);
        assert!(
            order.iter().all(|(i, up)| (*up == (i % 2 == 1)) == own),
            "a line driven against its own way"
        );
    }
}

/// A stored order costs under our turns what the solver says, or the two are not compared by the
/// same measure.
fn costs(order: &[(usize, bool)], [spacing_m, length_m, radius_m]: [f64; 3], best_m: f64) {
    let poses: Vec<(Pose, Pose)> = order
        .iter()
        .map(|&(i, up)| {
            let leg = pass(i, up, spacing_m, length_m, true);
            (leg.tracks[0].start(), leg.tracks[0].end())
        })
        .collect();
    let again: f64 = poses
        .windows(2)
        .map(|w| shortest_forward_m(w[0].1, w[1].0, radius_m))
        .sum();
    assert!(
        (again - best_m).abs() < 0.001 * order.len() as f64,
        "{again} m is not {best_m} m"
    );
    assert!(
        poses
            .iter()
            .all(|p| (p.0.heading_rad.abs() - FRAC_PI_2).abs() < 1e-9)
    );
}

/// A task driven on open ground.
fn driven(radius_m: f64, task: Task) -> Drive {
    let mut mower = Mower::bar(2.54);
    mower.turning_radius_m = radius_m;
    let fairway = open_ground();
    let yard = DriveInput {
        fairway: &fairway,
        mower: &mower,
        margin_m: 1000.0,
        turn_shift: 0,
    };
    Roads::new(yard, Rc::default()).drive(vec![task])
}

#[test]
fn rules_come_near_a_general_solver() {
    let text = include_str!("../stored/order-best.json");
    let stored: Value = serde_json::from_str(text).expect("stored results are sound");
    let number = |v: &Value| v.as_f64().expect("a number");
    let (spacing_m, length_m) = (number(&stored["spacing_m"]), number(&stored["length_m"]));
    let rows = stored["rows"].as_array().expect("rows");
    assert_eq!(rows.len(), 40);
    println!(
        "| passes | radius / width | directions | solver m | rule m | every | rule / solver |"
    );
    println!("| ---: | ---: | --- | ---: | ---: | ---: | ---: |");
    for row in rows {
        let passes = number(&row["passes"]) as usize;
        let (radius_m, best_m) = (number(&row["radius_m"]), number(&row["best_m"]));
        let kept = row["kept"].as_bool().expect("kept or free");
        let order: Vec<(usize, bool)> = row["order"]
            .as_array()
            .expect("an order")
            .iter()
            .map(|o| (number(&o[0]) as usize, number(&o[1]) > 0.0))
            .collect();
        holds_together(&order, passes, kept);
        costs(&order, [spacing_m, length_m, radius_m], best_m);

        let d = driven(radius_m, task(passes, spacing_m, length_m, kept));
        assert_eq!((d.legs.len(), d.steps.len()), (passes, 1));
        let sweeps = d.steps[0].rule.every() - 1;
        let got_m = idle_m(&d);
        println!(
            "| {passes} | {:.1} | {} | {best_m:.1} | {got_m:.1} | {} | {:.3} |",
            radius_m / 2.54,
            if kept { "kept" } else { "free" },
            sweeps + 1,
            got_m / best_m
        );
        let within = if kept { KEPT_WITHIN } else { FREE_WITHIN };
        assert!(
            got_m <= within * best_m,
            "{passes} lines, radius {radius_m} m: {got_m} m, best {best_m} m"
        );
        assert!(
            // The solver proves nothing, but if it were beaten by more the two would not measure alike.
            got_m >= 0.99 * best_m,
            "below the best known: {got_m} m, {best_m} m"
        );
    }
}
