//! Whole mows of each pattern, on the sample course and on ground whose answer is known.

use crossgrain_core::inside::ground::FairwayBuilder;
use crossgrain_core::inside::model::quantity::FOOT_M;
use crossgrain_core::{
    CrossSets, Fairway, Guide, Heading, LoopForm, LoopTrain, Mow, Mower, Pattern, Reels, Role,
    Segment, Sense, Settings, StepKind, Track, plan,
};
use crossgrain_metrics::lay::LayGrid;
use crossgrain_metrics::{Measures, measure};
use crossgrain_tests::clean_cut::unclean;
use crossgrain_tests::stored;
use geo_types::{Coord, LineString, Polygon, Rect, coord};
use std::f64::consts::{PI, TAU};

fn ground(outline: Vec<Polygon<f64>>) -> Fairway {
    FairwayBuilder {
        name: "t".into(),
        outline,
        ..Default::default()
    }
    .build_and_tell()
    .expect("sound ground")
    .0
}

fn rectangle(length_m: f64, width_m: f64) -> Fairway {
    ground(vec![
        Rect::new(coord! {x: 0.0, y: 0.0}, coord! {x: length_m, y: width_m}).to_polygon(),
    ])
}

fn sample() -> Vec<Fairway> {
    crossgrain_formats::course::open(&stored::path("../samples/quillback.geojson"))
        .expect("the sample course")
        .course
        .fairways
}

fn mown(f: &Fairway, mower: &Mower, settings: &Settings) -> (Mow, Measures) {
    let mow = plan(f, mower, settings).expect("a plan");
    let m = measure(f, mower, &mow);
    (mow, m)
}

/// The promises hold.
fn clean(f: &Fairway, mower: &Mower, m: &Measures) {
    assert_eq!(unclean(mower, m), None, "{}", f.name());
}

/// Limits of loop trains with two clean-up passes: missed, overrun, keep-outs, and the mean
/// number of cuts against the lattice's own figure on fairways over 0.4 ha.
fn within_loop_limits(f: &Fairway, mower: &Mower, mow: &Mow, m: &Measures) {
    clean(f, mower, m);
    // Zero up to the rounding of areas.
    assert!(
        m.keepout_cut_m2 <= m.area_error_bound_m2.max(1e-6),
        "{}: {}",
        f.name(),
        m.keepout_cut_m2
    );
    let lattice = mow.settings().lattice_mean_cuts.expect("a lattice");
    if m.fairway_m2 > 4000.0 {
        assert!(
            m.mean_cuts <= 1.25 * lattice,
            "{}: {} cuts, the lattice by itself {lattice}",
            f.name(),
            m.mean_cuts
        );
    }
}

#[test]
fn loops_of_22_feet_leave_nothing_on_the_sample_course() {
    let mower = Mower::bar(2.54);
    for (i, f) in sample().iter().enumerate() {
        let sense = if i % 2 == 0 {
            Sense::Clockwise
        } else {
            Sense::CounterClockwise
        };
        let settings = Settings::new(Pattern::Loops(LoopTrain::new(22.0 * FOOT_M, sense)));
        let (mow, m) = mown(f, &mower, &settings);
        within_loop_limits(f, &mower, &mow, &m);
        assert_eq!(mow.sense(), sense);
        // Every arc with the reels down turns the way that was asked.
        for l in mow
            .legs()
            .iter()
            .filter(|l| matches!(l.role, Role::Lane { .. }))
        {
            for t in mow.tracks_of(l) {
                assert!(t.path.curvature_per_m() * sense.sign() >= 0.0);
            }
        }
    }
}

#[test]
fn loop_lanes_follow_the_centre_line_and_shift() {
    let mower = Mower::bar(2.54);
    for f in sample().iter().take(4) {
        for (guide, lane_shift) in [(Guide::CentreLine, 0.0), (Guide::Straight, 0.5)] {
            let train = {
                let mut made = LoopTrain::new(21.0 * FOOT_M, Sense::Clockwise);
                made.guide = guide;
                made.lane_shift = lane_shift;
                made
            };
            let (mow, m) = mown(f, &mower, &Settings::new(Pattern::Loops(train)));
            within_loop_limits(f, &mower, &mow, &m);
        }
    }
}

#[test]
fn the_outermost_loops_stay_within_a_plain_fairway() {
    // Every cut edge of every lane stays inside the outline of a plain rectangle.
    let f = rectangle(120.0, 33.0);
    let mower = Mower::bar(2.54);
    let settings = Settings::new(Pattern::Loops({
        let mut made = LoopTrain::new(21.0 * FOOT_M, Sense::Clockwise);
        made.heading = Heading::Bearing { deg: 90.0 };
        made
    }));
    let (mow, m) = mown(&f, &mower, &settings);
    // Whole loops leave scallops along the edges; what no pass is worth is missed, and little.
    assert!(m.missed_m2 <= 1e-3 * m.fairway_m2, "{} m2", m.missed_m2);
    for l in mow
        .legs()
        .iter()
        .filter(|l| matches!(l.role, Role::Lane { .. }))
    {
        for t in mow.tracks_of(l) {
            if t.reels == Reels::Down {
                for p in t.path.points(0.01) {
                    assert!(p.y > 1.27 && p.y < 33.0 - 1.27, "{p:?}");
                }
            }
        }
    }
}

#[test]
fn a_cross_cut_cuts_every_point_twice_and_leaves_no_grain() {
    // Exactly ten and twenty deck widths: no pass overlaps another of its set.
    let (w, mower) = (2.5, Mower::bar(2.5));
    let f = rectangle(20.0 * w, 10.0 * w);
    let mut settings = Settings::new(Pattern::Cross {
        heading: Heading::Bearing { deg: 0.0 },
        angle_deg: 90.0,
        sets: CrossSets::Both,
    });
    settings.overlap_m = 0.0;
    settings.clean_up.rings = 0;
    let (mow, m) = mown(&f, &mower, &settings);
    let twice = m.times_cut_m2.get(2).copied().unwrap_or(0.0);
    assert!(
        (twice - m.fairway_m2).abs() < 1e-6 * m.fairway_m2,
        "{:?}",
        m.times_cut_m2
    );
    let mut cells = 0;
    for c in LayGrid::of_tracks(&f, &mower, mow.tracks().as_slice(), 1.0).cells() {
        let inner =
            c.centre.x > w && c.centre.x < 19.0 * w && c.centre.y > w && c.centre.y < 9.0 * w;
        if inner {
            assert!(c.r2.expect("cut") < 1e-9, "{c:?}");
            cells += 1;
        }
    }
    assert!(cells > 500, "{cells}");
    // The crossing set by itself runs at 90 degrees.
    settings.pattern = Pattern::Cross {
        heading: Heading::Bearing { deg: 0.0 },
        angle_deg: 90.0,
        sets: CrossSets::Crossing,
    };
    let (mow, _) = mown(&f, &mower, &settings);
    assert!((mow.heading_deg().expect("a heading") - 90.0).abs() < 1e-9);
}

#[test]
fn lanes_shifted_by_half_a_spacing_even_out_the_grain() {
    let f = rectangle(150.0, 40.0);
    let mower = Mower::bar(2.54);
    let lanes = |lane_shift: f64| -> Vec<Track> {
        let train = {
            let mut made = LoopTrain::new(21.0 * FOOT_M, Sense::Clockwise);
            made.lane_shift = lane_shift;
            made
        };
        let mow = plan(&f, &mower, &Settings::new(Pattern::Loops(train))).expect("a plan");
        // The lanes alone: clean-up passes are the same in both visits.
        let lanes = mow.legs().iter();
        lanes
            .filter(|l| matches!(l.role, Role::Lane { .. }))
            .flat_map(|l| mow.tracks_of(l).iter().copied())
            .collect()
    };
    let (first, shifted) = (lanes(0.0), lanes(0.5));
    let twice = |a: &[Track], b: &[Track]| {
        let lay = LayGrid::of_tracks(&f, &mower, &[a, b].concat(), 1.0);
        lay.means().1
    };
    let same = twice(&first, &first);
    let moved = twice(&first, &shifted);
    // The guide of loop trains states these figures: 0.61 falls to 0.27.
    assert!(
        (same - 0.61).abs() < 0.02 && (moved - 0.27).abs() < 0.02,
        "{same} {moved}"
    );
}

fn dogleg() -> Fairway {
    // 140 m east, then 130 m at 50 degrees, 34 m wide.
    let turn = 50f64.to_radians();
    let half = 17.0;
    let cut = half * (turn / 2.0).tan();
    let end = coord! {x: 140.0 + 130.0 * turn.cos(), y: 130.0 * turn.sin()};
    let side = coord! {x: -turn.sin() * half, y: turn.cos() * half};
    ground(vec![Polygon::new(
        LineString(vec![
            coord! {x: 0.0, y: -half},
            coord! {x: 140.0 + cut, y: -half},
            end - side,
            end + side,
            coord! {x: 140.0 - cut, y: half},
            coord! {x: 0.0, y: half},
            coord! {x: 0.0, y: -half},
        ]),
        Vec::new(),
    )])
}

/// Shortest distance from a point to a set of tracks.
fn distance(p: Coord<f64>, tracks: &[Track]) -> f64 {
    tracks
        .iter()
        .map(|t| match t.path {
            Segment::Line { from, to } => {
                let (d, e) = (to - from, p - from);
                let s = ((e.x * d.x + e.y * d.y) / (d.x * d.x + d.y * d.y)).clamp(0.0, 1.0);
                (e - d * s).x.hypot((e - d * s).y)
            }
            Segment::Arc(a) => {
                let d = p - a.centre;
                let turned = ((d.y.atan2(d.x) - a.from_rad) * a.sweep_rad.signum()).rem_euclid(TAU);
                if turned <= a.sweep_rad.abs() {
                    (d.x.hypot(d.y) - a.radius_m).abs()
                } else {
                    f64::INFINITY
                }
            }
        })
        .fold(f64::INFINITY, f64::min)
}

#[test]
fn contour_passes_stay_parallel_round_a_dogleg() {
    let f = dogleg();
    let mower = Mower::bar(2.54);
    for guide in [Guide::CentreLine, Guide::LeftSide, Guide::RightSide] {
        let (mow, m) = mown(&f, &mower, &Settings::new(Pattern::Contour { guide }));
        clean(&f, &mower, &m);
        let spacing = mow.settings().spacing_m.expect("a spacing");
        let passes: Vec<(u32, Vec<Track>)> = mow
            .legs()
            .iter()
            .filter_map(|l| match l.role {
                Role::Contour { index } => Some((index, mow.tracks_of(l).to_vec())),
                _ => None,
            })
            .collect();
        assert!(passes.len() >= 8, "{}", passes.len());
        let mut checked = 0;
        for (i, tracks) in &passes {
            let next: Vec<Track> = passes
                .iter()
                .filter(|(j, _)| *j == i + 1)
                .flat_map(|(_, t)| t.iter().copied())
                .collect();
            let ends: Vec<Coord<f64>> = passes
                .iter()
                .filter(|(j, _)| *j == i + 1)
                .flat_map(|(_, t)| [t[0].start().at, t[t.len() - 1].end().at])
                .collect();
            for t in tracks {
                for p in t.path.points(0.05) {
                    let d = distance(p, &next);
                    // Past the end of the neighbour there is nothing to be parallel to.
                    let beyond = ends
                        .iter()
                        .any(|e| (*e - p).x.hypot((*e - p).y) <= d + 1e-9);
                    if !beyond && d < 1.5 * spacing {
                        assert!((d - spacing).abs() <= 0.02 * spacing, "{guide:?} {i}: {d}");
                        checked += 1;
                    }
                }
            }
        }
        assert!(checked > 50, "{guide:?}: {checked}");
    }
}

#[test]
fn rings_then_the_middle_cover_the_sample_course() {
    let mower = Mower::bar(2.54);
    for f in sample().iter().take(3) {
        let sense = Sense::CounterClockwise;
        let (mow, m) = mown(f, &mower, &Settings::new(Pattern::Rings { sense }));
        clean(f, &mower, &m);
        assert!(m.mean_cuts < 1.25, "{}: {}", f.name(), m.mean_cuts);
        // Rings come from the outside in.
        let rings: Vec<u32> = mow
            .legs()
            .iter()
            .filter_map(|l| match l.role {
                Role::Ring { ring } => Some(ring),
                _ => None,
            })
            .collect();
        assert!(
            !rings.is_empty() && rings.windows(2).all(|w| w[0] <= w[1]),
            "{rings:?}"
        );
    }
}

#[test]
fn half_and_half_runs_out_on_the_left_and_back_on_the_right() {
    let f = rectangle(150.0, 36.0);
    let (mow, m) = mown(
        &f,
        &Mower::bar(2.54),
        &Settings::new(Pattern::HalfAndHalf {
            heading: Heading::Bearing { deg: 90.0 },
        }),
    );
    clean(&f, &Mower::bar(2.54), &m);
    let mut seen = [0, 0];
    for l in mow
        .legs()
        .iter()
        .filter(|l| matches!(l.role, Role::Stripe { .. }))
    {
        let start = mow.tracks().as_slice()[l.tracks.start].start();
        // Heading east the left half lies north of the middle.
        let left = start.at.y > 18.0;
        let east = start.heading_rad.cos() > 0.0;
        if (start.at.y - 18.0).abs() > 1.3 {
            assert_eq!(left, east, "{start:?}");
        }
        seen[usize::from(left)] += 1;
    }
    assert!(seen[0] >= 5 && seen[1] >= 5, "{seen:?}");
}

/// Round a dogleg the halves lie on both sides of its middle all the way, and pairs of passes are
/// as long, so the reels are up for little more than the turns.
#[test]
fn both_halves_follow_a_dogleg() {
    let f = dogleg();
    let mower = Mower::bar(2.54);
    let heading = Heading::Along;
    let (mow, m) = mown(&f, &mower, &Settings::new(Pattern::HalfAndHalf { heading }));
    clean(&f, &mower, &m);
    let turn = 50f64.to_radians();
    let ways = [
        (coord! {x: 0.0, y: 0.0}, 0.0, 140.0),
        (coord! {x: 140.0, y: 0.0}, turn, 130.0),
    ];
    // On each arm, how often the left half goes against the arm, and how often with it.
    let mut seen = [[0.0; 2]; 2];
    let stripes = (mow.legs().iter()).filter(|l| matches!(l.role, Role::Contour { .. }));
    for t in stripes.flat_map(|l| mow.tracks_of(l)) {
        for i in 0..20 {
            let pose = t.path.pose_at(t.path.length_m() * f64::from(i) / 20.0);
            for (arm, (from, way_rad, length_m)) in ways.into_iter().enumerate() {
                let (d, (s, c)) = (pose.at - from, way_rad.sin_cos());
                let (along, left) = (d.x * c + d.y * s, d.y * c - d.x * s);
                // Away from the end and the bend, and not on the line between the halves.
                let arm_m = if arm == 0 {
                    20.0..length_m - 40.0
                } else {
                    40.0..length_m - 20.0
                };
                if arm_m.contains(&along) && (3.0..17.0).contains(&left.abs()) {
                    let with = (pose.heading_rad - way_rad).cos() > 0.0;
                    seen[arm][usize::from((left > 0.0) == with)] += 1.0;
                }
            }
        }
    }
    // The same way about on both arms: which end is the green's, nobody has said.
    let all = |way: usize| seen.iter().all(|s| s[way] > 100.0 && s[1 - way] == 0.0);
    assert!(all(0) || all(1), "{seen:?}");
    // The way across to the other half is 14 m on the mean; the rest is turning, and what the
    // outside of the bend is longer. Straight passes took 70 m.
    let up_m = m.transport_m / mow.legs().len() as f64;
    assert!(up_m < 35.0, "{up_m}");
}

/// Cutting units leave a strip wherever a ring turns tightly; rings round keep-outs and into the
/// last corner of the middle left some fifty places.
#[test]
fn rings_of_five_units_leave_few_places_on_the_sample_course() {
    let path = stored::path("../samples/light-five.json");
    let mower = crossgrain_formats::mower::open(&path).expect("the sample mower");
    let sense = Sense::Clockwise;
    let (mut patches, mut passes, mut legs) = (0, 0, 0);
    let (mut missed_m2, mut reach_m2) = (0.0, 0.0);
    for f in sample() {
        let (mow, m) = mown(&f, &mower, &Settings::new(Pattern::Rings { sense }));
        assert!(
            m.keepout_cut_m2 <= m.area_error_bound_m2.max(1e-6),
            "{}",
            f.name()
        );
        let count = |is: &dyn Fn(&Role) -> bool| mow.legs().iter().filter(|l| is(&l.role)).count();
        patches += mow
            .steps()
            .iter()
            .filter(|s| s.kind == StepKind::Patch)
            .count();
        passes += count(&|r| matches!(r, Role::TouchUp));
        legs += count(&|r| !matches!(r, Role::CleanUp { .. }));
        missed_m2 += m.missed_m2;
        reach_m2 += m.fairway_m2 - m.trim_m2;
        assert!(
            count(&|r| matches!(r, Role::Ring { .. })) > 0,
            "{}",
            f.name()
        );
    }
    assert!(
        patches <= 20 && passes <= 30,
        "{patches} patches, {passes} passes"
    );
    assert!(legs <= 250, "{legs}");
    assert!(missed_m2 <= 1e-3 * reach_m2, "{missed_m2} of {reach_m2}");
}

#[test]
fn half_and_half_drives_little_with_the_reels_up_on_the_sample_course() {
    let mower = Mower::bar(2.54);
    let heading = Heading::Along;
    let settings = Settings::new(Pattern::HalfAndHalf { heading });
    let up_m = |f: &Fairway| mown(f, &mower, &settings).1.transport_m;
    let all_m: f64 = sample().iter().map(up_m).sum();
    // Straight passes, paired however, needed 15.5 km by a tour that nobody could follow.
    assert!(all_m < 7_500.0, "{all_m}");
}

#[test]
fn the_loop_that_is_laid_is_the_loop_that_was_solved() {
    let f = rectangle(150.0, 36.0);
    let train = {
        let mut made = LoopTrain::new(21.0 * FOOT_M, Sense::CounterClockwise);
        made.form = Some(LoopForm::Drift);
        made
    };
    let (mow, _) = mown(&f, &Mower::bar(2.54), &Settings::new(Pattern::Loops(train)));
    let s = mow.settings();
    let (d, p) = (s.loop_diameter_m.expect("set"), s.advance_m.expect("set"));
    let (wide, tight) = (d / 2.0 + p / 4.0, d / 2.0 - p / 4.0);
    let mut whole = 0;
    for l in mow
        .legs()
        .iter()
        .filter(|l| matches!(l.role, Role::Lane { .. }))
    {
        let mut between = 0;
        for t in mow.tracks_of(l) {
            let Segment::Arc(a) = t.path else {
                panic!("a drifting loop has no straight piece");
            };
            // No loop is broken: half-circles only.
            assert!((a.sweep_rad.abs() - PI).abs() < 1e-9);
            whole += 1;
            if (a.radius_m - wide).abs().min((a.radius_m - tight).abs()) > 1e-9 {
                // The last loop of a lane goes on by less.
                assert!(tight < a.radius_m && a.radius_m < wide);
                between += 1;
            }
        }
        assert!(between <= 1, "{between}");
    }
    assert!(whole > 100, "{whole}");
}
