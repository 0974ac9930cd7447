//! Whole drives: they chain, keep the turning radius and the ground, and say what is wrong.

use super::*;
use crate::model::ground::Fairway;
use crate::model::ground::{KeepOut, KeepOutKind};
use crate::model::mow::Role;
use crate::model::mower::Mower;
use crate::model::pose::fold_rad;
use crate::model::track::{Arc, Gear, Path};
use geo::Contains;
use geo_types::{LineString, MultiPolygon, Point, Polygon, Rect, coord};
use proptest::prelude::*;
use std::f64::consts::TAU;

fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Polygon<f64> {
    Rect::new(coord! { x: x0, y: y0 }, coord! { x: x1, y: y1 }).to_polygon()
}

fn fairway_of(outline: Vec<Polygon<f64>>, keep_outs: Vec<Polygon<f64>>) -> Fairway {
    Fairway {
        name: "1".to_string(),
        ground: MultiPolygon(outline.clone()),
        outline: MultiPolygon(outline),
        keep_outs: keep_outs
            .into_iter()
            .map(|area| KeepOut {
                kind: KeepOutKind::Water,
                name: None,
                area,
            })
            .collect(),
        no_turn: MultiPolygon(Vec::new()),
        hole_line: None,
        way_in: None,
    }
}

fn bar(radius_m: f64) -> Mower {
    let mut mower = Mower::bar(2.54);
    mower.turning_radius_m = radius_m;
    mower
}

fn yard<'a>(fairway: &'a Fairway, mower: &'a Mower) -> Yard<'a> {
    Yard {
        fairway,
        mower,
        margin_m: 12.0,
        way_in: None,
        turn_shift: 0,
    }
}

fn line_leg(from: Coord<f64>, to: Coord<f64>, reversible: bool) -> Leg {
    Leg {
        tracks: vec![Track::down(Path::Line { from, to })],
        role: Role::TouchUp,
        reversible,
    }
}

/// Upright passes `spacing_m` apart, up and down in turn.
fn passes(n: usize, spacing_m: f64, y0: f64, y1: f64) -> Vec<Leg> {
    (0..n)
        .map(|i| {
            let x = i as f64 * spacing_m;
            let (a, b) = if i % 2 == 0 { (y0, y1) } else { (y1, y0) };
            let mut leg = line_leg(coord! { x: x, y: a }, coord! { x: x, y: b }, false);
            leg.role = Role::Stripe {
                set: 0,
                index: i as u32,
            };
            leg
        })
        .collect()
}

fn stage(legs: Vec<Leg>) -> Vec<Stage> {
    vec![Stage {
        legs,
        in_order: false,
    }]
}

/// Asserts that the tracks meet, never kink, and keep the turning radius.
fn assert_drivable(d: &Drive, radius_m: f64) {
    for pair in d.tracks.windows(2) {
        let (a, b) = (pair[0].end(), pair[1].start());
        assert!((a.at.x - b.at.x).hypot(a.at.y - b.at.y) < 1e-9);
        // A line of a few millimetres has its direction only to rounding.
        let shortest = pair[0].path.length_m().min(pair[1].path.length_m());
        let slack = 1e-6 + 1e-11 / shortest;
        assert!(fold_rad(a.heading_rad - b.heading_rad).abs() < slack);
    }
    for t in d.tracks.iter().filter(|t| t.reels == Reels::Up) {
        assert!(t.path.curvature_per_m().abs() <= (1.0 + 1e-9) / radius_m);
    }
}

/// Points every 5 cm along the joins, by the definition and not by the planner's own check.
fn joined_points(d: &Drive) -> Vec<Coord<f64>> {
    let mut out = Vec::new();
    for t in d.tracks.iter().filter(|t| t.reels == Reels::Up) {
        let length = t.path.length_m();
        let n = (length / 0.05).ceil() as usize;
        out.extend((0..=n).map(|i| t.path.pose_at(length * i as f64 / n.max(1) as f64).at));
    }
    out
}

fn idle_m(d: &Drive) -> f64 {
    let up = d.tracks.iter().filter(|t| t.reels == Reels::Up);
    up.map(|t| t.path.length_m()).sum()
}

proptest! {
    #[test]
    fn random_legs_always_chain(
        ends in prop::collection::vec((-200.0..200.0f64, -200.0..200.0f64, -50.0..50.0f64, 1.0..50.0f64, any::<bool>()), 1..12),
        radius in 0.5..6.0f64,
        in_order in any::<bool>(),
        reverse in any::<bool>(),
    ) {
        let fairway = fairway_of(Vec::new(), Vec::new());
        let mut mower = bar(radius);
        mower.may_reverse = reverse;
        let legs: Vec<Leg> = ends
            .iter()
            .map(|&(x, y, dx, dy, rev)| line_leg(coord! {x: x, y: y}, coord! {x: x + dx, y: y + dy}, rev))
            .collect();
        let n = legs.len();
        let d = drive(vec![Stage { legs, in_order }], &yard(&fairway, &mower));
        prop_assert_eq!(d.legs.len(), n);
        assert_drivable(&d, radius);
        prop_assert!(d.turn_floor_m <= idle_m(&d) + 1e-6);
        let down: usize = d.legs.iter().map(|l| l.tracks.len()).sum();
        prop_assert_eq!(down, d.tracks.iter().filter(|t| t.reels == Reels::Down).count());
        if !reverse {
            prop_assert!(d.tracks.iter().all(|t| t.gear == Gear::Forward));
        }
    }

    #[test]
    fn legal_joins_stay_out_of_keep_outs(
        ponds in prop::collection::vec((2.0..58.0f64, 2.0..58.0f64, 1.0..9.0f64, 1.0..9.0f64), 1..5),
        ends in prop::collection::vec((0.0..60.0f64, 0.0..60.0f64, 0.0..TAU, 1.0..12.0f64), 2..7),
        radius in 0.5..4.0f64,
    ) {
        let ponds: Vec<Polygon<f64>> = ponds.iter().map(|&(x, y, w, h)| rectangle(x, y, x + w, y + h)).collect();
        let fairway = fairway_of(vec![rectangle(0.0, 0.0, 60.0, 60.0)], ponds.clone());
        let clear = |c: Coord<f64>| !ponds.iter().any(|p| p.contains(&Point(c)));
        let legs: Vec<Leg> = ends
            .iter()
            .map(|&(x, y, h, l)| (coord! {x: x, y: y}, coord! {x: x + l * h.cos(), y: y + l * h.sin()}))
            .filter(|&(a, b)| clear(a) && clear(b))
            .map(|(a, b)| line_leg(a, b, true))
            .collect();
        let mower = bar(radius);
        let d = drive(stage(legs), &yard(&fairway, &mower));
        assert_drivable(&d, radius);
        if !d.notes.iter().any(|n| matches!(n, Note::NoLegalTurn { .. })) {
            for c in joined_points(&d) {
                prop_assert!(clear(c), "a join enters a pond at {c:?}");
            }
        }
    }
}

#[test]
fn passes_close_together_are_skipped() {
    let fairway = fairway_of(vec![rectangle(-2.0, 0.0, 30.0, 80.0)], Vec::new());
    let mower = bar(3.0);
    let best = drive(stage(passes(12, 2.44, 5.0, 75.0)), &yard(&fairway, &mower));
    let plain = Roads::new(yard(&fairway, &mower), Rc::default())
        .drive(stage(passes(12, 2.44, 5.0, 75.0)), Ordering::Neighbours);
    assert!(best.notes.is_empty() && plain.notes.is_empty());
    // Eleven bulbs, against wider turns.
    let bulb = 3.0 * (3.0 * std::f64::consts::PI - 4.0 * ((6.0 + 2.44f64) / 12.0).asin());
    approx::assert_relative_eq!(idle_m(&plain), 11.0 * bulb, epsilon = 1e-6);
    assert!(idle_m(&best) < 0.85 * idle_m(&plain));
    assert!(best.turn_floor_m <= idle_m(&best));
}

#[test]
fn few_legs_are_ordered_as_well_as_by_trying_all() {
    let fairway = fairway_of(Vec::new(), Vec::new());
    let mower = bar(2.0);
    let legs: Vec<Leg> = [(0.0, 0.0), (9.0, 3.0), (4.0, 8.0), (-6.0, 5.0)]
        .iter()
        .map(|&(x, y)| {
            line_leg(
                coord! { x: x, y: y },
                coord! { x: x + 3.0, y: y + 7.0 },
                true,
            )
        })
        .collect();
    let got = idle_m(&drive(stage(legs.clone()), &yard(&fairway, &mower)));
    let mut least = f64::INFINITY;
    for code in 0..4usize.pow(4) {
        let order: Vec<usize> = (0..4).map(|k| code / 4usize.pow(k) % 4).collect();
        if (0..4).any(|i| !order.contains(&i)) {
            continue;
        }
        for turned in 0..16usize {
            let driven: Vec<Leg> = order
                .iter()
                .map(|&i| {
                    if turned >> i & 1 == 1 {
                        legs[i].reversed()
                    } else {
                        legs[i].clone()
                    }
                })
                .collect();
            let length: f64 = driven
                .windows(2)
                .map(|w| turns::shortest_forward_m(ends(&w[0]).1, ends(&w[1]).0, 2.0))
                .sum();
            least = least.min(length);
        }
    }
    approx::assert_relative_eq!(got, least, epsilon = 1e-6);
}

#[test]
fn an_enclosed_part_is_left_out_and_named() {
    // An island in a ring of water.
    let moat = Polygon::new(
        rectangle(100.0, 0.0, 160.0, 60.0).exterior().clone(),
        vec![rectangle(110.0, 10.0, 150.0, 50.0).exterior().clone()],
    );
    let fairway = fairway_of(
        vec![
            rectangle(0.0, 0.0, 60.0, 60.0),
            rectangle(115.0, 15.0, 145.0, 45.0),
        ],
        vec![moat],
    );
    let mower = bar(2.0);
    let mut legs = passes(10, 2.44, 5.0, 55.0);
    for x in [120.0, 125.0] {
        legs.push(line_leg(
            coord! { x: x, y: 20.0 },
            coord! { x: x, y: 40.0 },
            true,
        ));
    }
    let d = drive(stage(legs), &yard(&fairway, &mower));
    assert_eq!(d.legs.len(), 10);
    let [Note::Unreachable { at, legs: 2 }] = d.notes[..] else {
        panic!("{:?}", d.notes);
    };
    assert!(at.x > 110.0);
    assert_drivable(&d, 2.0);
}

#[test]
fn where_every_turn_is_barred_the_plan_says_so() {
    let mut fairway = fairway_of(vec![rectangle(-2.0, 0.0, 20.0, 60.0)], Vec::new());
    // Nothing but the passes themselves may be driven on.
    let mut holes: Vec<LineString<f64>> = Vec::new();
    for i in 0..4 {
        let x = f64::from(i) * 4.0;
        holes.push(rectangle(x - 0.4, 4.0, x + 0.4, 56.0).exterior().clone());
    }
    let all = rectangle(-90.0, -90.0, 90.0, 150.0).exterior().clone();
    fairway.no_turn = MultiPolygon(vec![Polygon::new(all, holes)]);
    let mower = bar(1.5);
    let d = drive(stage(passes(4, 4.0, 5.0, 55.0)), &yard(&fairway, &mower));
    assert_eq!(d.legs.len(), 4);
    let barred = |n: &&Note| matches!(n, Note::NoLegalTurn { .. });
    assert_eq!(d.notes.iter().filter(barred).count(), 3);
    assert_drivable(&d, 1.5);
}

#[test]
fn turns_stay_off_a_bank_at_the_end_of_the_passes() {
    let mut fairway = fairway_of(vec![rectangle(-2.0, 0.0, 30.0, 80.0)], Vec::new());
    let bank = rectangle(-20.0, 80.5, 50.0, 100.0);
    fairway.no_turn = MultiPolygon(vec![bank.clone()]);
    let mower = bar(2.0);
    let d = drive(stage(passes(10, 2.44, 5.0, 75.0)), &yard(&fairway, &mower));
    assert!(d.notes.is_empty(), "{:?}", d.notes);
    assert!(joined_points(&d).iter().all(|&c| !bank.contains(&Point(c))));
}

#[test]
fn a_pass_into_a_corner_backs_out_and_says_so() {
    let pond = rectangle(-30.0, 50.0, 30.0, 70.0);
    let fairway = fairway_of(vec![rectangle(-30.0, 0.0, 30.0, 50.0)], vec![pond.clone()]);
    let mower = bar(2.0);
    // Nose-first to the water's edge.
    let legs = vec![
        line_leg(
            coord! { x: 0.0, y: 10.0 },
            coord! { x: 0.0, y: 49.9 },
            false,
        ),
        line_leg(
            coord! { x: 8.0, y: 40.0 },
            coord! { x: 8.0, y: 10.0 },
            false,
        ),
    ];
    let d = drive(
        vec![Stage {
            legs,
            in_order: true,
        }],
        &yard(&fairway, &mower),
    );
    assert!(
        matches!(d.notes[..], [Note::BacksUp { .. }]),
        "{:?}",
        d.notes
    );
    assert!(joined_points(&d).iter().all(|&c| !pond.contains(&Point(c))));
    assert_drivable(&d, 2.0);
}

#[test]
fn turning_places_move_from_visit_to_visit() {
    let fairway = fairway_of(vec![rectangle(-2.0, 0.0, 30.0, 80.0)], Vec::new());
    let mower = bar(1.2);
    let top = |shift: u32| {
        let mut y = yard(&fairway, &mower);
        y.turn_shift = shift;
        let d = drive(stage(passes(6, 2.44, 5.0, 75.0)), &y);
        assert_drivable(&d, 1.2);
        joined_points(&d)
            .iter()
            .map(|c| c.y)
            .fold(f64::MIN, f64::max)
    };
    approx::assert_relative_eq!(top(1), top(0) + 1.5, epsilon = 0.01);
    approx::assert_relative_eq!(top(2), top(0) + 3.0, epsilon = 0.01);
    approx::assert_relative_eq!(top(4), top(0), epsilon = 1e-9);
}

#[test]
fn a_ring_begins_where_the_mower_comes_from() {
    let fairway = fairway_of(Vec::new(), Vec::new());
    let mower = bar(2.0);
    let ring = |radius_m: f64| Leg {
        tracks: vec![Track::down(Path::Arc(Arc {
            centre: coord! { x: 0.0, y: 0.0 },
            radius_m,
            from_rad: 0.0,
            sweep_rad: TAU,
        }))],
        role: Role::CleanUp { ring: 0 },
        reversible: false,
    };
    let d = drive(stage(vec![ring(40.0), ring(37.6)]), &yard(&fairway, &mower));
    // A lane change, not a loop.
    assert!(idle_m(&d) < 8.0, "{} m", idle_m(&d));
    assert_drivable(&d, 2.0);
    let mown: f64 = d.tracks.iter().map(|t| t.path.length_m()).sum::<f64>() - idle_m(&d);
    approx::assert_relative_eq!(mown, TAU * 77.6, epsilon = 1e-6);
}

#[test]
fn legs_without_length_or_place_are_left_out() {
    let fairway = fairway_of(vec![rectangle(0.0, 0.0, 60.0, 60.0)], vec![]);
    let mower = bar(2.0);
    let at = |x: f64, y: f64| coord! { x: x, y: y };
    let bad = [
        (at(f64::NAN, 1.0), at(5.0, 1.0)),
        (at(1.0, f64::NAN), at(5.0, 1.0)),
        (at(1.0, 1.0), at(f64::INFINITY, 1.0)),
        (at(1.0, 1.0), at(5.0, f64::NEG_INFINITY)),
        (at(-f64::MAX, 1.0), at(f64::MAX, 1.0)),
        (at(3.0, 3.0), at(3.0, 3.0)),
    ];
    let mut legs: Vec<Leg> = bad.iter().map(|&(a, b)| line_leg(a, b, true)).collect();
    legs.extend(passes(3, 2.5, 5.0, 50.0));
    let d = drive(stage(legs), &yard(&fairway, &mower));
    assert_eq!(d.legs.len(), 3);
    assert_drivable(&d, mower.turning_radius_m);
}
