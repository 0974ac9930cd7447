//! Input that no planner makes: the measure must come back, and say when it is not to be trusted.

use super::{Scene, cover};
use crate::drawn::{arc, line};
use crossgrain_core::{CuttingUnit, Gear, Mower, Track};
use geo_types::{LineString, MultiPolygon, Polygon, polygon};
use std::f64::consts::{PI, TAU};

fn field() -> MultiPolygon<f64> {
    MultiPolygon(vec![
        polygon![(x: 0.0, y: 0.0), (x: 30.0, y: 0.0), (x: 30.0, y: 30.0), (x: 0.0, y: 30.0)],
    ])
}

fn measured(ground: &MultiPolygon<f64>, tracks: &[Track]) -> super::Coverage {
    cover(&Scene {
        ground,
        reach: ground,
        keep_outs: &MultiPolygon(vec![]),
        mower: &Mower::bar(2.0),
        tracks,
    })
}

#[test]
fn numbers_that_are_none_make_the_bound_infinite() {
    for t in [
        line(f64::NAN, 0.0, 10.0, 10.0),
        line(0.0, 0.0, f64::INFINITY, 10.0),
        arc(5.0, 5.0, f64::NAN, 0.0, 1.0),
        arc(5.0, 5.0, 3.0, 0.0, f64::INFINITY),
        arc(5.0, 5.0, 0.0, 0.0, 1.0),
        arc(5.0, 5.0, -3.0, 0.0, 1.0),
    ] {
        let c = measured(&field(), &[line(0.0, 15.0, 30.0, 15.0), t]);
        assert!(c.error_bound_m2.is_infinite(), "{t:?}");
        // The rest is measured all the same.
        assert!((c.times_cut_m2[1] - 60.0).abs() < 1e-9);
    }
    let mut ground = field();
    ground
        .0
        .push(polygon![(x: 50.0, y: 0.0), (x: f64::NAN, y: 0.0), (x: 60.0, y: 9.0)]);
    assert!(measured(&ground, &[]).error_bound_m2.is_infinite());
}

#[test]
fn numbers_too_large_are_owned_up_to() {
    for big in [1e20, 1e160, 1e300, f64::MAX] {
        for t in [
            line(-big, 0.0, big, big),
            arc(0.0, 0.0, big, 0.3, 1.0),
            arc(big, 15.0, 3.0, 0.0, TAU),
        ] {
            let c = measured(&field(), &[t]);
            assert!(c.error_bound_m2 > 1e-3, "{t:?}: {c:?}");
        }
    }
}

#[test]
fn a_great_many_turns_on_the_spot_are_counted_without_a_table_of_that_length() {
    for sweep in [1e9, -1e300] {
        let c = measured(&field(), &[arc(15.0, 15.0, 5.0, 0.0, sweep)]);
        assert!(c.error_bound_m2.is_infinite());
    }
    // Ten arcs of nearly 16,000 turns each pass the end of the table.
    for arcs in [1, 10] {
        let t = vec![arc(15.0, 15.0, 5.0, 0.0, 1e5); arcs];
        let c = measured(&field(), &t);
        assert!(c.times_cut_m2.len() > 15_000 && c.times_cut_m2.len() <= 65_536);
        let ring = PI * (36.0 - 16.0);
        assert!((c.cut_m2 - ring).abs() < 1e-5, "{}", c.cut_m2);
    }
}

#[test]
fn nothing_at_all_is_nothing() {
    let none = MultiPolygon(vec![]);
    let c = measured(&none, &[]);
    assert_eq!((c.ground_m2(), c.cut_m2, c.error_bound_m2), (0.0, 0.0, 0.0));
    // Rings without area, tracks without length, a unit of no width.
    let flat = MultiPolygon(vec![
        polygon![(x: 0.0, y: 5.0), (x: 9.0, y: 5.0), (x: 4.0, y: 5.0)],
        Polygon::new(LineString(vec![]), vec![]),
    ]);
    let c = measured(
        &flat,
        &[line(3.0, 3.0, 3.0, 3.0), arc(1.0, 1.0, 2.0, 0.0, 0.0)],
    );
    assert_eq!((c.ground_m2(), c.cut_m2), (0.0, 0.0));
}

#[test]
fn ground_without_tracks_and_tracks_without_ground() {
    let c = measured(&field(), &[]);
    assert_eq!(c.times_cut_m2.len(), 1);
    assert!((c.uncut_m2() - 900.0).abs() < 1e-9);
    let c = measured(&MultiPolygon(vec![]), &[line(0.0, 0.0, 10.0, 0.0)]);
    assert!((c.overrun_m2 - 20.0).abs() < 1e-9);
    assert_eq!(c.ground_m2(), 0.0);
}

#[test]
fn backing_with_the_reels_down_cuts_what_going_forward_would() {
    let mut mower = Mower::bar(1.0);
    mower.units = vec![CuttingUnit {
        across_m: 0.7,
        ahead_m: 1.1,
        width_m: 1.3,
    }];
    let path = arc(15.0, 15.0, 6.0, 0.4, 2.0).path;
    let back = Track {
        gear: Gear::Reverse,
        ..Track::down(path)
    };
    let forth = Track::down(path.reversed());
    let both = [back, forth].map(|t| {
        cover(&Scene {
            ground: &field(),
            reach: &field(),
            keep_outs: &MultiPolygon(vec![]),
            mower: &mower,
            tracks: &[t],
        })
    });
    assert!(both[0].times_cut_m2[1] > 10.0);
    assert!((both[0].times_cut_m2[1] - both[1].times_cut_m2[1]).abs() < 1e-9);
}

#[test]
fn the_same_shapes_many_times_over_are_harmless() {
    // Every edge coincides with forty others, and with the ground's own.
    let t: Vec<Track> = (0..40)
        .flat_map(|_| {
            let up = Track::up(line(0.0, 0.0, 0.0, 0.0).path);
            [
                line(0.0, 1.0, 30.0, 1.0),
                up,
                arc(15.0, 15.0, 5.0, 1.0, TAU),
                up,
            ]
        })
        .collect();
    let c = measured(&field(), &t);
    assert_eq!(c.times_cut_m2.len(), 41, "{:?}", c.times_cut_m2);
    let ring = PI * (36.0 - 16.0);
    assert!((c.times_cut_m2[40] - 60.0 - ring).abs() < 1e-9);
    assert!(c.times_cut_m2[1..40].iter().sum::<f64>() < 1e-9);
}

#[test]
fn parts_far_away_cost_neither_time_nor_accuracy() {
    let mut ground = field();
    ground.0.push(
        polygon![(x: 4e6, y: 3e6), (x: 4.00003e6, y: 3e6), (x: 4.00003e6, y: 3.00003e6), (x: 4e6, y: 3.00003e6)],
    );
    let c = measured(&ground, &[line(0.0, 15.0, 30.0, 15.0)]);
    assert!((c.ground_m2() - 1800.0).abs() < 1e-5);
    assert!((c.times_cut_m2[1] - 60.0).abs() < 1e-9);
}
