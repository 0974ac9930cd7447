//! Areas that a formula gives, outlines, and input that no planner makes. More areas, each with its
//! source, are rows of the outside checks.

use super::*;
use crate::drawn::{self, arc, line, unit};
use approx::assert_relative_eq;
use crossgrain_core::Gear;
use geo_types::{LineString, Polygon, polygon};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

fn rect(x0: f64, y0: f64, x1: f64, y1: f64) -> MultiPolygon<f64> {
    drawn::rect(x0, y0, x1, y1).into()
}

fn measured_by(ground: &MultiPolygon<f64>, mower: &Mower, tracks: &[Track]) -> Coverage {
    cover(&Scene {
        ground,
        reach: ground,
        keep_outs: &MultiPolygon(vec![]),
        mower,
        tracks,
    })
}

fn measured(ground: &MultiPolygon<f64>, width_m: f64, tracks: &[Track]) -> Coverage {
    measured_by(ground, &Mower::bar(width_m), tracks)
}

fn field() -> MultiPolygon<f64> {
    rect(0.0, 0.0, 30.0, 30.0)
}

fn up() -> Track {
    Track::up(line(0.0, 0.0, 0.0, 0.0).path)
}

/// A ring between two radii.
fn ring_m2(inner_m: f64, outer_m: f64) -> f64 {
    PI * (outer_m * outer_m - inner_m * inner_m)
}

/// All that a drive with a bar cuts, as areas cut so often; nothing is cut any oftener. Arcs are not
/// flattened, so they are as exact as lines.
fn assert_cuts(width_m: f64, tracks: &[Track], known: &[(usize, f64)]) {
    let c = measured(&rect(-60.0, -60.0, 60.0, 60.0), width_m, tracks);
    assert!(c.error_bound_m2 <= 1e-6 * c.ground_m2(), "{c:?}");
    for (k, &area_m2) in c.times_cut_m2.iter().enumerate().skip(1) {
        let known = known.iter().find(|a| a.0 == k).map_or(0.0, |a| a.1);
        assert_relative_eq!(area_m2, known, max_relative = 1e-9, epsilon = 1e-8);
    }
    let once: f64 = known.iter().map(|(_, area)| area).sum();
    let all: f64 = known.iter().map(|(k, area)| *k as f64 * area).sum();
    assert_relative_eq!(c.cut_m2, once, max_relative = 1e-9);
    assert_relative_eq!(c.swept_on_ground_m2(), all, max_relative = 1e-9);
    assert_relative_eq!(c.overlap_m2(), all - once, epsilon = 1e-6);
}

#[test]
fn lines_and_arcs_cut_what_a_formula_says() {
    assert_cuts(2.5, &[line(-17.3, -9.1, 12.7, 30.9)], &[(1, 125.0)]);
    let two = [line(0.0, 1.0, 40.0, 1.0), up(), line(40.0, 2.7, 0.0, 2.7)];
    assert_cuts(2.0, &two, &[(1, 2.0 * 1.7 * 40.0), (2, 0.3 * 40.0)]);
    for (r, w) in [(3.35, 2.54), (7.62, 3.3528), (1.5, 2.0)] {
        let known = ring_m2(r - w / 2.0, r + w / 2.0);
        assert_cuts(w, &[arc(0.3, -0.2, r, 0.4, TAU)], &[(1, known)]);
    }
    for sweep in [0.3, 1.0, FRAC_PI_2, 3.0, 5.9, -0.3, -2.0, -FRAC_PI_2, -6.1] {
        for from in [0.0, 0.1, FRAC_PI_2, 2.0, PI, 4.0] {
            let known = 4.0 * 2.54 * f64::abs(sweep);
            assert_cuts(2.54, &[arc(0.0, 0.0, 4.0, from, sweep)], &[(1, known)]);
        }
    }
    // A second turn counts again.
    let (turns, ring) = (arc(0.0, 0.0, 5.0, 1.0, 3.25 * TAU), ring_m2(4.0, 6.0));
    assert_cuts(2.0, &[turns], &[(3, 0.75 * ring), (4, 0.25 * ring)]);
    // A turn tighter than half the deck: the outer 3 m sweep a disc once, and the inner 1 m sweeps
    // its middle once more, going backward.
    let tight = arc(0.0, 0.0, 1.0, 0.0, TAU);
    assert_cuts(4.0, &[tight], &[(1, PI * 8.0), (2, PI)]);
    // A loop of lines and arcs in one pass has no seams.
    let t = [
        line(-5.0, 0.0, 5.0, 0.0),
        arc(5.0, 4.0, 4.0, -FRAC_PI_2, PI),
        line(5.0, 8.0, -5.0, 8.0),
        arc(-5.0, 4.0, 4.0, FRAC_PI_2, PI),
    ];
    assert_cuts(2.0, &t, &[(1, 2.0 * (20.0 + 2.0 * PI * 4.0))]);
    // Rings side by side leave nothing between.
    let ring = |i: i32| [arc(0.0, 0.0, 4.0 + 2.4 * f64::from(i), 0.0, TAU), up()];
    let shared = |i: i32| ring_m2(5.13 + 2.4 * f64::from(i), 5.27 + 2.4 * f64::from(i));
    let twice: f64 = (0..3).map(shared).sum();
    let once = ring_m2(2.73, 4.0 + 7.2 + 1.27) - twice;
    let rings: Vec<Track> = (0..4).flat_map(ring).collect();
    assert_cuts(2.54, &rings, &[(1, once), (2, twice)]);
}

#[test]
fn overrun_keep_outs_reach_and_trim_are_told_apart() {
    let whole = rect(0.0, 0.0, 20.0, 20.0);
    let mut with_hole = whole.clone();
    let hole = drawn::rect(2.0, 9.5, 3.0, 10.5);
    with_hole.0[0].interiors_push(hole.exterior().clone());
    let scene = Scene {
        ground: &with_hole,
        reach: &with_hole,
        keep_outs: &rect(15.0, 0.0, 25.0, 11.0),
        mower: &Mower::bar(2.0),
        tracks: &[line(-3.0, 10.0, 30.0, 10.0)],
    };
    let c = cover(&scene);
    // West of the outline 3 m, east of the bunker 5 m; the whole width is out.
    assert_relative_eq!(c.overrun_m2, 2.0 * (3.0 + 5.0), max_relative = 1e-9);
    // The bunker takes the whole 10 m, and the hole 1 m by 1 m.
    assert_relative_eq!(c.keepout_cut_m2, 2.0 * 10.0 + 1.0, max_relative = 1e-9);
    let c = cover(&Scene {
        ground: &whole,
        reach: &rect(2.0, 2.0, 18.0, 18.0),
        keep_outs: &MultiPolygon(vec![]),
        ..scene
    });
    assert_relative_eq!(c.missed_m2, 16.0 * 16.0 - 32.0, max_relative = 1e-9);
    assert_relative_eq!(c.trim_m2, 400.0 - 256.0, max_relative = 1e-9);
    assert_relative_eq!(c.uncut_m2(), 360.0, max_relative = 1e-9);
}

#[test]
fn shapes_have_the_areas_of_the_table() {
    let ground =
        polygon![(x: 3.0, y: 2.0), (x: 40.0, y: 5.0), (x: 37.0, y: 33.0), (x: 1.0, y: 30.0)].into();
    let scene = Scene {
        ground: &ground,
        reach: &ground,
        keep_outs: &rect(10.0, 20.0, 14.0, 26.0),
        mower: &Mower::bar(2.54),
        tracks: &[arc(6.0, 17.0, 7.0, 0.3, TAU)],
    };
    let (c, missed) = cover_and_missed(&scene, 0.001);
    assert_eq!(c, cover(&scene));
    assert!(c.missed_m2 > 1.0);
    assert_relative_eq!(
        missed.unsigned_area(),
        c.missed_m2,
        epsilon = 0.001 * TAU * 9.0
    );
    // One piece of ground outside the ring, one inside it.
    assert_eq!(missed.0.len(), 2);
    let corners = |tolerance_m: f64| -> usize {
        let (_, missed) = cover_and_missed(&scene, tolerance_m);
        missed.iter().map(|p| p.exterior().0.len()).sum()
    };
    // A full circle of 8.27 m needs 90 chords at half of 1 cm, and 20 at half of 20 cm.
    let rough = corners(0.01);
    assert!(rough < 200, "{rough} corners: not simplified");
    assert!(2 * corners(0.2) < rough);
    // A clean mow has none.
    let strip = rect(0.0, 0.0, 40.0, 2.0);
    let clean = Scene {
        ground: &strip,
        reach: &strip,
        mower: &Mower::bar(2.0),
        tracks: &[line(0.0, 1.0, 40.0, 1.0)],
        ..scene
    };
    assert_eq!(cover_and_missed(&clean, OUTLINE_TOLERANCE_M).1.0, []);
}

#[test]
fn numbers_that_are_none_or_too_large_are_owned_up_to() {
    for t in [
        line(f64::NAN, 0.0, 10.0, 10.0),
        line(0.0, 0.0, f64::INFINITY, 10.0),
        arc(5.0, 5.0, f64::NAN, 0.0, 1.0),
        arc(5.0, 5.0, 3.0, 0.0, f64::INFINITY),
        arc(5.0, 5.0, 0.0, 0.0, 1.0),
        arc(5.0, 5.0, -3.0, 0.0, 1.0),
        arc(15.0, 15.0, 5.0, 0.0, 1e9),
        arc(15.0, 15.0, 5.0, 0.0, -1e300),
    ] {
        let c = measured(&field(), 2.0, &[line(0.0, 15.0, 30.0, 15.0), t]);
        assert!(c.error_bound_m2.is_infinite(), "{t:?}");
        // The rest is measured all the same.
        assert!((c.times_cut_m2[1] - 60.0).abs() < 1e-9);
    }
    let mut ground = field();
    let nowhere = polygon![(x: 50.0, y: 0.0), (x: f64::NAN, y: 0.0), (x: 60.0, y: 9.0)];
    ground.0.push(nowhere);
    assert!(measured(&ground, 2.0, &[]).error_bound_m2.is_infinite());
    for big in [1e20, 1e160, 1e300, f64::MAX] {
        for t in [
            line(-big, 0.0, big, big),
            arc(0.0, 0.0, big, 0.3, 1.0),
            arc(big, 15.0, 3.0, 0.0, TAU),
        ] {
            let c = measured(&field(), 2.0, &[t]);
            assert!(c.error_bound_m2 > 1e-3, "{t:?}: {c:?}");
        }
    }
    // Ten arcs of nearly 16,000 turns each pass the end of the table.
    for arcs in [1, 10] {
        let c = measured(&field(), 2.0, &vec![arc(15.0, 15.0, 5.0, 0.0, 1e5); arcs]);
        assert!(c.times_cut_m2.len() > 15_000 && c.times_cut_m2.len() <= 65_536);
        assert!((c.cut_m2 - ring_m2(4.0, 6.0)).abs() < 1e-5, "{}", c.cut_m2);
    }
}

#[test]
fn nothing_at_all_is_nothing() {
    let none = MultiPolygon(vec![]);
    let c = measured(&none, 2.0, &[]);
    assert_eq!((c.ground_m2(), c.cut_m2, c.error_bound_m2), (0.0, 0.0, 0.0));
    // Rings without area, tracks without length, ground without tracks, tracks without ground.
    let flat = MultiPolygon(vec![
        polygon![(x: 0.0, y: 5.0), (x: 9.0, y: 5.0), (x: 4.0, y: 5.0)],
        Polygon::new(LineString(vec![]), vec![]),
    ]);
    let still = [line(3.0, 3.0, 3.0, 3.0), arc(1.0, 1.0, 2.0, 0.0, 0.0)];
    let c = measured(&flat, 2.0, &still);
    assert_eq!((c.ground_m2(), c.cut_m2), (0.0, 0.0));
    let c = measured(&field(), 2.0, &[]);
    assert_eq!(c.times_cut_m2.len(), 1);
    assert!((c.uncut_m2() - 900.0).abs() < 1e-9);
    let c = measured(&none, 2.0, &[line(0.0, 0.0, 10.0, 0.0)]);
    assert!((c.overrun_m2 - 20.0).abs() < 1e-9);
    assert_eq!(c.ground_m2(), 0.0);
}

#[test]
fn backing_with_the_reels_down_cuts_what_going_forward_would() {
    let mower = Mower::of_units("one", vec![unit(0.7, 1.1, 1.3)]);
    let path = arc(15.0, 15.0, 6.0, 0.4, 2.0).path;
    let mut back = Track::down(path);
    back.gear = Gear::Reverse;
    let [back, forth] = [back, Track::down(path.reversed())]
        .map(|t| measured_by(&field(), &mower, &[t]).times_cut_m2[1]);
    assert!(back > 10.0);
    assert!((back - forth).abs() < 1e-9);
}

#[test]
fn the_same_shapes_many_times_over_and_parts_far_away_are_harmless() {
    // Every edge coincides with forty others, and with the ground's own.
    let (along, round) = (line(0.0, 1.0, 30.0, 1.0), arc(15.0, 15.0, 5.0, 1.0, TAU));
    let again = [along, up(), round, up()].repeat(40);
    let c = measured(&field(), 2.0, &again);
    assert_eq!(c.times_cut_m2.len(), 41, "{:?}", c.times_cut_m2);
    assert!((c.times_cut_m2[40] - 60.0 - ring_m2(4.0, 6.0)).abs() < 1e-9);
    assert!(c.times_cut_m2[1..40].iter().sum::<f64>() < 1e-9);
    let mut ground = field();
    ground.0.extend(rect(4e6, 3e6, 4.00003e6, 3.00003e6));
    let c = measured(&ground, 2.0, &[line(0.0, 15.0, 30.0, 15.0)]);
    assert!((c.ground_m2() - 1800.0).abs() < 1e-5);
    assert!((c.times_cut_m2[1] - 60.0).abs() < 1e-9);
}

#[cfg(feature = "rayon")]
#[test]
fn the_same_bytes_at_any_thread_count() {
    let ground =
        polygon![(x: 0.0, y: 0.0), (x: 61.0, y: 7.0), (x: 50.0, y: 70.0), (x: -3.0, y: 44.0)]
            .into();
    let loops = |i: i32| {
        let (column, row) = (f64::from(i % 20), f64::from(i / 20));
        arc(2.9 * column, 7.1 * row, 3.3, 0.1 * column, TAU)
    };
    let scene = Scene {
        ground: &ground,
        reach: &ground,
        keep_outs: &MultiPolygon(vec![]),
        mower: &Mower::bar(2.54),
        tracks: &(0..200).map(loops).collect::<Vec<_>>(),
    };
    // One row after the other, without any pool.
    let (one, _) = cover_and_missed(&scene, 0.01);
    assert!(one.times_cut_m2.len() > 4);
    for threads in [1, 2, 5] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
        let many = pool.build().unwrap().install(|| cover(&scene));
        assert_eq!(many, one);
    }
}
