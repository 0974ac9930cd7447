//! 200 random mows against GEOS (tests/scripts/random_mows.py), and 10,000 against themselves.

use crossgrain_core::inside::ground::reach::reach;
use crossgrain_core::inside::ground::{FairwayBuilder, as_given};
use crossgrain_core::{CircularArc, Mower, Reels, Segment, Track};
use crossgrain_metrics::coverage::{Coverage, Scene, cover};
use crossgrain_tests::random_mows::{Dice, RandomMow, random_mow};
use crossgrain_tests::stored::{json, number, numbers, text};
use geo::Area;
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

/// Largest difference from GEOS, as a share of the ground.
const AGREE: f64 = 1e-5;
/// Most that a measure may be unsure of, as a share of the ground.
const BOUND: f64 = 1e-6;

fn measured(m: &RandomMow, reach: &MultiPolygon<f64>) -> Coverage {
    cover(&Scene {
        ground: m.fairway.ground(),
        reach,
        keep_outs: &m.fairway.keep_out_area(),
        mower: &m.mower,
        tracks: &m.tracks,
    })
}

#[test]
fn two_hundred_random_mows_agree_with_geos() {
    let stored = json("random_mows.json");
    let rows = stored["rows"].as_array().expect("rows");
    assert_eq!(rows.len(), 200);
    let (mut worst, mut tables) = (0.0_f64, 0);
    let mut bad = Vec::new();
    for row in rows {
        let m = random_mow(row["seed"].as_u64().expect("seed"));
        assert_eq!(m.kind, text(row, "kind"));
        let c = measured(&m, &reach(m.fairway.ground(), m.mower.cutting_width_m()));
        let ground = number(row, "ground_m2");
        let mut check = |what: &str, theirs: f64, ours: f64| {
            // What is swept many times over is compared with itself: the reference's chords
            // cut 2e-6 off every arc, each time it is driven.
            let share = (theirs - ours).abs() / ground.max(theirs);
            worst = worst.max(share);
            // Not a number must fail too.
            if share.is_nan() || share > AGREE {
                bad.push(format!(
                    "{} {}: {what}: GEOS {theirs}, ours {ours}",
                    m.seed, m.kind
                ));
            }
        };
        for (what, ours) in [
            ("ground_m2", c.ground_m2()),
            ("uncut_m2", c.uncut_m2()),
            ("missed_m2", c.missed_m2),
            ("missed_own_reach_m2", c.missed_m2),
            ("trim_m2", c.trim_m2),
            ("overrun_m2", c.overrun_m2),
            ("keepout_cut_m2", c.keepout_cut_m2),
            ("cut_m2", c.cut_m2),
            ("swept_on_ground_m2", c.swept_on_ground_m2()),
        ] {
            check(what, number(row, what), ours);
        }
        if row.get("times_cut_m2").is_some() {
            tables += 1;
            let theirs = numbers(&row["times_cut_m2"]);
            for k in 0..theirs.len().max(c.times_cut_m2.len()) {
                let at = |v: &[f64]| v.get(k).copied().unwrap_or(0.0);
                check(&format!("cut {k} times"), at(&theirs), at(&c.times_cut_m2));
            }
        }
    }
    assert_eq!(tables, 50);
    println!("largest difference {worst:.1e} of the ground");
    assert!(bad.is_empty(), "{} figures:\n{}", bad.len(), bad.join("\n"));
}

/// What the units sweep, by formula: every point of a cutting line moves at |1 - c a| times
/// the axle's speed.
fn swept_by_formula(mower: &Mower, tracks: &[Track]) -> f64 {
    let down = tracks.iter().filter(|t| t.reels == Reels::Down);
    down.map(|t| {
        let length = t.path.length_m();
        let c = t.path.curvature_per_m();
        let one = |u: &crossgrain_core::CuttingUnit| {
            if c == 0.0 {
                return length * u.width_m;
            }
            // Integral of |1 - c a| over the unit: half a square on each side of the centre.
            let f = |a: f64| {
                let v = 1.0 - c * a;
                -v * v.abs() / (2.0 * c)
            };
            length * (f(u.left_m()) - f(u.right_m()))
        };
        mower.units.iter().map(one).sum::<f64>()
    })
    .sum()
}

/// Everything within `margin` of the scene that is not ground.
fn rest(m: &RandomMow, margin: f64) -> MultiPolygon<f64> {
    let corners = m.fairway.ground().iter().flat_map(|p| &p.exterior().0);
    let (mut lo, mut hi) = ([f64::MAX; 2], [f64::MIN; 2]);
    for c in corners {
        lo = [lo[0].min(c.x - margin), lo[1].min(c.y - margin)];
        hi = [hi[0].max(c.x + margin), hi[1].max(c.y + margin)];
    }
    let frame = vec![
        (lo[0], lo[1]),
        (hi[0], lo[1]),
        (hi[0], hi[1]),
        (lo[0], hi[1]),
    ];
    let holes = m
        .fairway
        .ground()
        .iter()
        .map(|p| p.exterior().clone())
        .collect();
    let mut parts = vec![Polygon::new(LineString::from(frame), holes)];
    // Holes of the ground are islands of the rest.
    for p in m.fairway.ground() {
        parts.extend(
            p.interiors()
                .iter()
                .map(|r| Polygon::new(r.clone(), vec![])),
        );
    }
    MultiPolygon(parts)
}

#[test]
fn ten_thousand_random_mows_add_up() {
    let none = MultiPolygon(vec![]);
    let mut most_cuts = 0;
    for seed in 0..10_000 {
        let m = random_mow(seed);
        let c = measured(&m, &none);
        let ground = m.fairway.ground().unsigned_area();
        assert!(
            c.error_bound_m2 <= BOUND * ground,
            "{seed}: bound {}",
            c.error_bound_m2
        );
        let close = |what: &str, a: f64, b: f64, within: f64| {
            assert!(
                (a - b).abs() <= within,
                "{seed} {}: {what}: {a} against {b}",
                m.kind
            );
        };
        // The library's own area is good to its last digits at coordinates of 1 km.
        let digits = 1e-9 * ground;
        close(
            "areas over k",
            c.ground_m2(),
            ground,
            c.error_bound_m2 + digits,
        );
        let swept = swept_by_formula(&m.mower, &m.tracks);
        close("swept", c.swept_m2, swept, c.error_bound_m2 + 1e-9 * swept);
        // Nothing is lost at the outline: what is swept on the ground and on the rest is all.
        if seed % 4 == 0 {
            let rest = rest(&m, 80.0);
            let off = cover(&Scene {
                ground: &rest,
                reach: &none,
                keep_outs: &none,
                mower: &m.mower,
                tracks: &m.tracks,
            });
            let both = c.swept_on_ground_m2() + off.swept_on_ground_m2();
            close(
                "swept on both sides",
                both,
                swept,
                1e-9 * swept + c.error_bound_m2 + off.error_bound_m2,
            );
        }
        most_cuts = most_cuts.max(c.times_cut_m2.len());
    }
    assert!(most_cuts > 10, "the mows never overlap much: {most_cuts}");
}

/// The scene turned about the origin and shifted.
fn moved(m: &RandomMow, turn_rad: f64, by: Coord<f64>) -> RandomMow {
    let (s, c) = turn_rad.sin_cos();
    let put = |p: Coord<f64>| Coord {
        x: p.x * c - p.y * s + by.x,
        y: p.x * s + p.y * c + by.y,
    };
    let ring = |r: &LineString<f64>| LineString(r.0.iter().map(|p| put(*p)).collect());
    let polygon = |p: &Polygon<f64>| {
        Polygon::new(ring(p.exterior()), p.interiors().iter().map(ring).collect())
    };
    let mut out = m.clone();
    let all = |m: &MultiPolygon| m.iter().map(polygon).collect();
    let mut keep_outs = m.fairway.keep_outs().to_vec();
    for k in &mut keep_outs {
        k.area = polygon(&k.area);
    }
    let parts = FairwayBuilder {
        name: m.fairway.name().to_string(),
        outline: m.fairway.outline().0.clone(),
        keep_outs,
        ..FairwayBuilder::default()
    };
    out.fairway = as_given(parts, MultiPolygon(all(m.fairway.ground())));
    for t in &mut out.tracks {
        t.path = match t.path {
            Segment::Line { from, to } => Segment::Line {
                from: put(from),
                to: put(to),
            },
            Segment::Arc(a) => Segment::Arc(CircularArc {
                centre: put(a.centre),
                from_rad: a.from_rad + turn_rad,
                ..a
            }),
        };
    }
    out
}

#[test]
fn turning_and_shifting_changes_nothing() {
    let none = MultiPolygon(vec![]);
    for seed in 0..1_500 {
        let m = random_mow(seed);
        let mut d = Dice::new(seed ^ 0xABCD);
        let by = Coord {
            x: d.between(-2e3, 2e3),
            y: d.between(-2e3, 2e3),
        };
        // A third of the turns are quarter turns: there every axis-parallel edge stays one.
        let turn = if d.chance(0.33) {
            std::f64::consts::FRAC_PI_2
        } else {
            d.between(0.0, 6.3)
        };
        let (a, b) = (measured(&m, &none), measured(&moved(&m, turn, by), &none));
        // Corners move by their last digit at 3 km, 5e-13 m, along all edges.
        let within = a.error_bound_m2 + b.error_bound_m2 + 1e-8 * a.ground_m2();
        for k in 0..a.times_cut_m2.len().max(b.times_cut_m2.len()) {
            let at = |c: &Coverage| c.times_cut_m2.get(k).copied().unwrap_or(0.0);
            let (x, y) = (at(&a), at(&b));
            assert!(
                (x - y).abs() <= within,
                "{seed} {}: cut {k} times: {x} against {y}",
                m.kind
            );
        }
        for (what, x, y) in [
            ("overrun", a.overrun_m2, b.overrun_m2),
            ("keep-out", a.keepout_cut_m2, b.keepout_cut_m2),
            ("union", a.cut_m2, b.cut_m2),
        ] {
            assert!(
                (x - y).abs() <= within,
                "{seed} {}: {what}: {x} against {y}",
                m.kind
            );
        }
    }
}
