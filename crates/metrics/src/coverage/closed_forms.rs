//! Areas that a formula gives. More of them, each with its source, are rows of the outside checks.

use super::{Coverage, Scene, cover};
use crate::drawn::{arc, line};
use approx::assert_relative_eq;
use crossgrain_core::{Mower, Segment, Track};
use geo_types::{Coord, MultiPolygon, polygon};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// For straight tracks, relative.
const LINES: f64 = 1e-9;
/// For arcs, relative. They are not flattened, so they too are far better than this.
const ARCS: f64 = 1e-9;

fn square(from: f64, to: f64) -> MultiPolygon<f64> {
    MultiPolygon(vec![
        polygon![(x: from, y: from), (x: to, y: from), (x: to, y: to), (x: from, y: to)],
    ])
}

fn on(ground: &MultiPolygon<f64>, mower: &Mower, tracks: &[Track]) -> Coverage {
    let none = MultiPolygon(vec![]);
    let c = cover(&Scene {
        ground,
        reach: ground,
        keep_outs: &none,
        mower,
        tracks,
    });
    assert!(c.error_bound_m2 <= 1e-6 * c.ground_m2(), "{c:?}");
    c
}

fn up() -> Track {
    Track::up(Segment::Line {
        from: Coord::default(),
        to: Coord::default(),
    })
}

#[test]
fn a_slanted_pass_is_a_rectangle() {
    let c = on(
        &square(-50.0, 50.0),
        &Mower::bar(2.5),
        &[line(-17.3, -9.1, 12.7, 30.9)],
    );
    assert_relative_eq!(c.times_cut_m2[1], 125.0, max_relative = LINES);
}

#[test]
fn neighbouring_passes_overlap_by_a_strip() {
    let t = [line(0.0, 1.0, 40.0, 1.0), up(), line(40.0, 2.7, 0.0, 2.7)];
    let c = on(&square(-10.0, 60.0), &Mower::bar(2.0), &t);
    assert_relative_eq!(c.times_cut_m2[2], 0.3 * 40.0, max_relative = LINES);
    assert_relative_eq!(c.times_cut_m2[1], 2.0 * 1.7 * 40.0, max_relative = LINES);
}

#[test]
fn a_full_circle_is_a_ring() {
    for (r, w) in [(3.35, 2.54), (7.62, 3.3528), (1.5, 2.0)] {
        let c = on(
            &square(-20.0, 20.0),
            &Mower::bar(w),
            &[arc(0.3, -0.2, r, 0.4, TAU)],
        );
        let area = PI * ((r + w / 2.0).powi(2) - (r - w / 2.0).powi(2));
        assert_relative_eq!(c.times_cut_m2[1], area, max_relative = ARCS);
        assert!(c.times_cut_m2.get(2).is_none_or(|a| *a <= c.error_bound_m2));
    }
}

#[test]
fn part_of_a_ring_goes_by_its_angle_in_both_senses() {
    for sweep in [0.3, 1.0, FRAC_PI_2, 3.0, 5.9, -0.3, -2.0, -FRAC_PI_2, -6.1] {
        for from in [0.0, 0.1, FRAC_PI_2, 2.0, PI, 4.0] {
            let c = on(
                &square(-20.0, 20.0),
                &Mower::bar(2.54),
                &[arc(0.0, 0.0, 4.0, from, sweep)],
            );
            let area = 4.0 * 2.54 * f64::abs(sweep);
            assert_relative_eq!(c.times_cut_m2[1], area, max_relative = ARCS);
        }
    }
}

#[test]
fn a_second_turn_counts_again() {
    let c = on(
        &square(-20.0, 20.0),
        &Mower::bar(2.0),
        &[arc(0.0, 0.0, 5.0, 1.0, 3.25 * TAU)],
    );
    let ring = PI * (36.0 - 16.0);
    assert_relative_eq!(c.times_cut_m2[3], 0.75 * ring, max_relative = ARCS);
    assert_relative_eq!(c.times_cut_m2[4], 0.25 * ring, max_relative = ARCS);
}

#[test]
fn rings_side_by_side_leave_nothing_between() {
    let t: Vec<Track> = (0..4)
        .flat_map(|i| [arc(0.0, 0.0, 4.0 + 2.4 * f64::from(i), 0.0, TAU), up()])
        .collect();
    let c = on(&square(-20.0, 20.0), &Mower::bar(2.54), &t);
    let ring = |a: f64, b: f64| PI * (b * b - a * a);
    let twice: f64 = (0..3)
        .map(|i| ring(5.13 + 2.4 * f64::from(i), 5.27 + 2.4 * f64::from(i)))
        .sum();
    assert_relative_eq!(c.times_cut_m2[2], twice, max_relative = ARCS);
    assert_relative_eq!(c.cut_m2, ring(2.73, 4.0 + 7.2 + 1.27), max_relative = ARCS);
}

#[test]
fn two_circles_share_two_lenses_each_way() {
    // Two rings with equal radii whose centres are d apart: the shared area by lens areas.
    let lens = |r: f64, s: f64, d: f64| {
        if d >= r + s {
            return 0.0;
        }
        if d <= (r - s).abs() {
            return PI * r.min(s).powi(2);
        }
        let a = (d * d + r * r - s * s) / (2.0 * d * r);
        let b = (d * d + s * s - r * r) / (2.0 * d * s);
        let k = (-d + r + s) * (d + r - s) * (d - r + s) * (d + r + s);
        r * r * a.acos() + s * s * b.acos() - 0.5 * k.sqrt()
    };
    let (r, w) = (4.0, 2.0);
    let (o, i) = (r + w / 2.0, r - w / 2.0);
    for d in [0.5, 2.0, 5.3, 7.99, 8.01] {
        let t = [
            arc(-d / 2.0, 0.3, r, 0.7, TAU),
            up(),
            arc(d / 2.0, 0.3, r, -2.0, -TAU),
        ];
        let c = on(&square(-20.0, 20.0), &Mower::bar(w), &t);
        let shared = lens(o, o, d) - 2.0 * lens(o, i, d) + lens(i, i, d);
        assert_relative_eq!(
            c.times_cut_m2[2],
            shared,
            max_relative = ARCS,
            epsilon = 1e-9
        );
    }
}

#[test]
fn a_turn_tighter_than_half_the_deck_counts_what_both_ends_cut() {
    // The turning centre lies under the deck, 1 m left of its middle: the outer 3 m sweep a
    // disc once, and the inner 1 m sweeps its middle once more, going backward.
    let c = on(
        &square(-20.0, 20.0),
        &Mower::bar(4.0),
        &[arc(0.0, 0.0, 1.0, 0.0, TAU)],
    );
    assert_relative_eq!(c.times_cut_m2[2], PI, max_relative = ARCS);
    assert_relative_eq!(c.times_cut_m2[1], PI * 8.0, max_relative = ARCS);
}

#[test]
fn a_loop_driven_as_line_and_arcs_in_one_pass_has_no_seams() {
    let t = [
        line(-5.0, 0.0, 5.0, 0.0),
        arc(5.0, 4.0, 4.0, -FRAC_PI_2, PI),
        line(5.0, 8.0, -5.0, 8.0),
        arc(-5.0, 4.0, 4.0, FRAC_PI_2, PI),
    ];
    let c = on(&square(-20.0, 20.0), &Mower::bar(2.0), &t);
    assert_relative_eq!(
        c.times_cut_m2[1],
        2.0 * (20.0 + 2.0 * PI * 4.0),
        max_relative = ARCS
    );
}

#[test]
fn overrun_and_keep_outs_are_told_apart() {
    let ground = square(0.0, 20.0);
    let bunker = MultiPolygon(vec![
        polygon![(x: 15.0, y: 0.0), (x: 25.0, y: 0.0), (x: 25.0, y: 11.0), (x: 15.0, y: 11.0)],
    ]);
    let with_hole = MultiPolygon(vec![geo_types::Polygon::new(
        ground.0[0].exterior().clone(),
        vec![geo_types::LineString::from(vec![
            (2.0, 9.5),
            (2.0, 10.5),
            (3.0, 10.5),
            (3.0, 9.5),
            (2.0, 9.5),
        ])],
    )]);
    let c = cover(&Scene {
        ground: &with_hole,
        reach: &with_hole,
        keep_outs: &bunker,
        mower: &Mower::bar(2.0),
        tracks: &[line(-3.0, 10.0, 30.0, 10.0)],
    });
    // West of the outline 3 m, east of the bunker 5 m; the whole width is out.
    assert_relative_eq!(c.overrun_m2, 2.0 * (3.0 + 5.0), max_relative = LINES);
    // The bunker takes the whole 10 m, and the hole 1 m by 1 m.
    assert_relative_eq!(c.keepout_cut_m2, 2.0 * 10.0 + 1.0, max_relative = LINES);
}

#[test]
fn missed_and_trim_follow_the_reach() {
    let c = cover(&Scene {
        ground: &square(0.0, 20.0),
        reach: &square(2.0, 18.0),
        keep_outs: &MultiPolygon(vec![]),
        mower: &Mower::bar(2.0),
        tracks: &[line(0.0, 10.0, 20.0, 10.0)],
    });
    assert_relative_eq!(c.missed_m2, 16.0 * 16.0 - 32.0, max_relative = LINES);
    assert_relative_eq!(c.trim_m2, 400.0 - 256.0, max_relative = LINES);
    assert_relative_eq!(c.uncut_m2(), 360.0, max_relative = LINES);
}
