//! Shapes in the style of general geometry suites: each ends in a plan or a clear refusal.
//!
//! A panic or a hang fails the test by itself. Where the outcome is clear it is asserted too.

use crossgrain_core::inside::ground::FairwayParts;
use crossgrain_core::inside::ground::fairway;
use crossgrain_core::{Heading, KeepOut, KeepOutKind, Mower, Pattern, Settings, plan};
use crossgrain_metrics::measure;
use geo::Area;
use geo_types::{Coord, LineString, Polygon};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed};
use std::f64::consts::TAU;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum End {
    Planned,
    Refused,
}
use End::{Planned, Refused};

fn ring(points: &[(f64, f64)]) -> LineString<f64> {
    LineString(points.iter().map(|&p| Coord::from(p)).collect())
}

/// A polygon of open rings, the first the outer one; `Polygon::new` closes them.
fn polygon(rings: &[&[(f64, f64)]]) -> Polygon<f64> {
    let mut all = rings.iter().map(|r| ring(r));
    let outer = all.next().unwrap_or_else(|| LineString(Vec::new()));
    Polygon::new(outer, all.collect())
}

fn ground(outline: Vec<Polygon<f64>>, keep_outs: Vec<Polygon<f64>>) -> FairwayParts {
    FairwayParts {
        name: "odd".to_string(),
        outline,
        keep_outs: keep_outs
            .into_iter()
            .map(|area| KeepOut {
                kind: KeepOutKind::Other,
                name: None,
                area,
            })
            .collect(),
        ..FairwayParts::default()
    }
}

fn end_of(parts: FairwayParts) -> End {
    let f = match fairway(parts) {
        Ok((f, _)) => f,
        Err(faults) => {
            assert!(!faults.is_empty());
            for fault in faults {
                assert!(!fault.what().is_empty() && !fault.remedy().is_empty());
            }
            return Refused;
        }
    };
    let mower = Mower::bar(2.54);
    let area = f.ground().unsigned_area();
    for heading in [Heading::Fewest, Heading::Bearing { deg: 33.0 }] {
        match plan(&f, &mower, &Settings::new(Pattern::Stripes { heading })) {
            Ok(mow) => {
                let m = measure(&f, &mower, &mow);
                let sum: f64 = m.times_cut_m2.iter().sum();
                assert!(
                    (sum - area).abs() <= 1e-6 * area.max(1.0),
                    "areas add up to {sum}, not {area}"
                );
                assert!(
                    m.keepout_cut_m2 <= 1e-6 * area.max(1.0),
                    "keep-outs cut: {} m2",
                    m.keepout_cut_m2
                );
            }
            Err(e) => {
                assert!(!e.to_string().is_empty());
                return Refused;
            }
        }
    }
    Planned
}

type Ring = [(f64, f64)];
const BOX: &Ring = &[(0.0, 0.0), (40.0, 0.0), (40.0, 25.0), (0.0, 25.0)];

fn star(n: usize, skip: usize, r: f64) -> Vec<(f64, f64)> {
    (0..n)
        .map(|i| TAU * (i * skip % n) as f64 / n as f64)
        .map(|a| (r * a.cos(), r * a.sin()))
        .collect()
}

fn comb(teeth: usize) -> Vec<(f64, f64)> {
    let mut out = vec![(0.0, 0.0), (teeth as f64 * 4.0, 0.0)];
    for i in (0..teeth).rev() {
        let x = i as f64 * 4.0;
        out.extend([(x + 3.0, 4.0), (x + 3.0, 30.0), (x, 30.0), (x, 4.0)]);
    }
    out
}

fn spiral(turns: f64) -> Vec<(f64, f64)> {
    let n = 80;
    let side = |shift: f64| {
        (0..=n).map(move |i| {
            let a = TAU * turns * f64::from(i) / f64::from(n);
            let r = 6.0 + 9.0 * a / TAU + shift;
            (r * a.cos(), r * a.sin())
        })
    };
    let mut out: Vec<(f64, f64)> = side(0.0).collect();
    out.extend(side(6.0).collect::<Vec<_>>().into_iter().rev());
    out
}

/// A round edge of many corners, each nearer to the middle or farther out than the one before.
fn ragged(corners: usize, r: f64) -> Vec<(f64, f64)> {
    (0..corners)
        .map(|i| (i, TAU * i as f64 / corners as f64))
        .map(|(i, a)| (r + 1.5 * (i % 2) as f64 + 0.8 * (7.0 * i as f64).sin(), a))
        .map(|(r, a)| (r * a.cos(), r * a.sin()))
        .collect()
}

#[test]
fn named_shapes_end_as_they_should() {
    let inf = f64::INFINITY;
    let nan = f64::NAN;
    let cases: Vec<(&str, FairwayParts, Option<End>)> = vec![
        (
            "a plain box",
            ground(vec![polygon(&[BOX])], vec![]),
            Some(Planned),
        ),
        ("no polygon", ground(vec![], vec![]), Some(Refused)),
        (
            "an empty polygon",
            ground(vec![polygon(&[])], vec![]),
            Some(Refused),
        ),
        (
            "one point",
            ground(vec![polygon(&[&[(3.0, 3.0)]])], vec![]),
            Some(Refused),
        ),
        (
            "two points",
            ground(vec![polygon(&[&[(0.0, 0.0), (9.0, 9.0)]])], vec![]),
            Some(Refused),
        ),
        (
            "three points in line",
            ground(
                vec![polygon(&[&[(0.0, 0.0), (9.0, 9.0), (20.0, 20.0)]])],
                vec![],
            ),
            Some(Refused),
        ),
        (
            "the same point ten times",
            ground(vec![polygon(&[&[(5.0, 5.0); 10]])], vec![]),
            Some(Refused),
        ),
        (
            "not a number",
            ground(
                vec![polygon(&[&[(0.0, 0.0), (40.0, nan), (40.0, 25.0)]])],
                vec![],
            ),
            Some(Refused),
        ),
        (
            "infinite",
            ground(
                vec![polygon(&[&[(0.0, 0.0), (inf, 0.0), (40.0, 25.0)]])],
                vec![],
            ),
            Some(Refused),
        ),
        (
            "as large as numbers get",
            ground(
                vec![polygon(&[&[
                    (-1e308, -1e308),
                    (1e308, -1e308),
                    (0.0, 1e308),
                ]])],
                vec![],
            ),
            Some(Refused),
        ),
        (
            "a bow-tie",
            ground(
                vec![polygon(&[&[
                    (0.0, 0.0),
                    (40.0, 25.0),
                    (40.0, 0.0),
                    (0.0, 25.0),
                ]])],
                vec![],
            ),
            Some(Refused),
        ),
        (
            "a pentagram",
            ground(vec![polygon(&[&star(5, 2, 30.0)])], vec![]),
            Some(Refused),
        ),
        (
            "a star of eleven, skipping four",
            ground(vec![polygon(&[&star(11, 4, 30.0)])], vec![]),
            Some(Refused),
        ),
        (
            "the ring twice round",
            ground(vec![polygon(&[&[BOX, BOX].concat()])], vec![]),
            None,
        ),
        (
            "a spike outward",
            ground(
                vec![polygon(&[&[
                    (0.0, 0.0),
                    (40.0, 0.0),
                    (40.0, 25.0),
                    (20.0, 25.0),
                    (20.0, 60.0),
                    (20.0, 25.0),
                    (0.0, 25.0),
                ]])],
                vec![],
            ),
            Some(Planned),
        ),
        (
            "a spike inward",
            ground(
                vec![polygon(&[&[
                    (0.0, 0.0),
                    (20.0, 0.0),
                    (20.0, 15.0),
                    (20.0, 0.0),
                    (40.0, 0.0),
                    (40.0, 25.0),
                    (0.0, 25.0),
                ]])],
                vec![],
            ),
            Some(Planned),
        ),
        (
            "clockwise",
            ground(
                vec![polygon(&[&[
                    (0.0, 0.0),
                    (0.0, 25.0),
                    (40.0, 25.0),
                    (40.0, 0.0),
                ]])],
                vec![],
            ),
            Some(Planned),
        ),
        (
            "points on a straight side",
            ground(
                vec![polygon(&[&[
                    (0.0, 0.0),
                    (10.0, 0.0),
                    (10.0, 0.0),
                    (25.0, 0.0),
                    (40.0, 0.0),
                    (40.0, 25.0),
                    (0.0, 25.0),
                ]])],
                vec![],
            ),
            Some(Planned),
        ),
        (
            "a figure of eight that touches in a point",
            ground(
                vec![polygon(&[&[
                    (0.0, 0.0),
                    (20.0, 12.0),
                    (40.0, 0.0),
                    (40.0, 25.0),
                    (20.0, 12.0),
                    (0.0, 25.0),
                ]])],
                vec![],
            ),
            None,
        ),
        (
            "a hole",
            ground(
                vec![polygon(&[
                    BOX,
                    &[(15.0, 8.0), (25.0, 8.0), (25.0, 16.0), (15.0, 16.0)],
                ])],
                vec![],
            ),
            Some(Planned),
        ),
        (
            "a hole that touches the edge in a point",
            ground(
                vec![polygon(&[BOX, &[(0.0, 12.0), (10.0, 6.0), (10.0, 18.0)]])],
                vec![],
            ),
            None,
        ),
        (
            "a hole along the edge",
            ground(
                vec![polygon(&[
                    BOX,
                    &[(0.0, 6.0), (10.0, 6.0), (10.0, 18.0), (0.0, 18.0)],
                ])],
                vec![],
            ),
            None,
        ),
        (
            "a hole across the edge",
            ground(
                vec![polygon(&[
                    BOX,
                    &[(-10.0, 6.0), (10.0, 6.0), (10.0, 18.0), (-10.0, 18.0)],
                ])],
                vec![],
            ),
            None,
        ),
        (
            "a hole outside",
            ground(
                vec![polygon(&[BOX, &[(60.0, 6.0), (70.0, 6.0), (70.0, 18.0)]])],
                vec![],
            ),
            None,
        ),
        (
            "a hole as large as the outline",
            ground(vec![polygon(&[BOX, BOX])], vec![]),
            None,
        ),
        (
            "two holes that touch",
            ground(
                vec![polygon(&[
                    BOX,
                    &[(10.0, 8.0), (20.0, 8.0), (20.0, 16.0), (10.0, 16.0)],
                    &[(20.0, 8.0), (30.0, 8.0), (30.0, 16.0), (20.0, 16.0)],
                ])],
                vec![],
            ),
            None,
        ),
        (
            "two holes one in the other",
            ground(
                vec![polygon(&[
                    BOX,
                    &[(8.0, 5.0), (32.0, 5.0), (32.0, 20.0), (8.0, 20.0)],
                    &[(15.0, 8.0), (25.0, 8.0), (25.0, 16.0), (15.0, 16.0)],
                ])],
                vec![],
            ),
            None,
        ),
        (
            "the same hole twice",
            ground(
                vec![polygon(&[
                    BOX,
                    &[(15.0, 8.0), (25.0, 8.0), (25.0, 16.0)],
                    &[(15.0, 8.0), (25.0, 8.0), (25.0, 16.0)],
                ])],
                vec![],
            ),
            None,
        ),
        (
            "an empty hole",
            ground(
                vec![Polygon::new(ring(BOX), vec![LineString(vec![])])],
                vec![],
            ),
            None,
        ),
        (
            "a hole of one point",
            ground(vec![polygon(&[BOX, &[(15.0, 8.0)]])], vec![]),
            None,
        ),
        (
            "the same part twice",
            ground(vec![polygon(&[BOX]), polygon(&[BOX])], vec![]),
            None,
        ),
        (
            "parts that overlap",
            ground(
                vec![
                    polygon(&[BOX]),
                    polygon(&[&[(30.0, 10.0), (70.0, 10.0), (70.0, 30.0), (30.0, 30.0)]]),
                ],
                vec![],
            ),
            None,
        ),
        (
            "parts that share a side",
            ground(
                vec![
                    polygon(&[BOX]),
                    polygon(&[&[(40.0, 0.0), (80.0, 0.0), (80.0, 25.0), (40.0, 25.0)]]),
                ],
                vec![],
            ),
            Some(Planned),
        ),
        (
            "parts that share a corner",
            ground(
                vec![
                    polygon(&[BOX]),
                    polygon(&[&[(40.0, 25.0), (80.0, 25.0), (80.0, 50.0), (40.0, 50.0)]]),
                ],
                vec![],
            ),
            Some(Planned),
        ),
        (
            "a part in another's hole",
            ground(
                vec![
                    polygon(&[
                        &[(0.0, 0.0), (60.0, 0.0), (60.0, 60.0), (0.0, 60.0)],
                        &[(15.0, 15.0), (45.0, 15.0), (45.0, 45.0), (15.0, 45.0)],
                    ]),
                    polygon(&[&[(25.0, 25.0), (35.0, 25.0), (35.0, 35.0), (25.0, 35.0)]]),
                ],
                vec![],
            ),
            Some(Planned),
        ),
        (
            "a keep-out over everything",
            ground(
                vec![polygon(&[BOX])],
                vec![polygon(&[&[
                    (-9.0, -9.0),
                    (60.0, -9.0),
                    (60.0, 60.0),
                    (-9.0, 60.0),
                ]])],
            ),
            Some(Refused),
        ),
        (
            "a keep-out that is the fairway",
            ground(vec![polygon(&[BOX])], vec![polygon(&[BOX])]),
            Some(Refused),
        ),
        (
            "a keep-out across the middle",
            ground(
                vec![polygon(&[BOX])],
                vec![polygon(&[&[
                    (18.0, -5.0),
                    (22.0, -5.0),
                    (22.0, 30.0),
                    (18.0, 30.0),
                ]])],
            ),
            Some(Planned),
        ),
        (
            "a keep-out that touches a corner",
            ground(
                vec![polygon(&[BOX])],
                vec![polygon(&[&[
                    (40.0, 25.0),
                    (50.0, 25.0),
                    (50.0, 35.0),
                    (40.0, 35.0),
                ]])],
            ),
            Some(Planned),
        ),
        (
            "a keep-out that crosses itself",
            ground(
                vec![polygon(&[BOX])],
                vec![polygon(&[&[
                    (10.0, 5.0),
                    (30.0, 20.0),
                    (30.0, 5.0),
                    (10.0, 20.0),
                ]])],
            ),
            None,
        ),
        (
            "a keep-out of no area",
            ground(
                vec![polygon(&[BOX])],
                vec![polygon(&[&[(10.0, 5.0), (30.0, 20.0)]])],
            ),
            None,
        ),
        (
            "narrower than the deck",
            ground(
                vec![polygon(&[&[
                    (0.0, 0.0),
                    (90.0, 0.0),
                    (90.0, 1.5),
                    (0.0, 1.5),
                ]])],
                vec![],
            ),
            Some(Planned),
        ),
        (
            "exactly as wide as the deck",
            ground(
                vec![polygon(&[&[
                    (0.0, 0.0),
                    (90.0, 0.0),
                    (90.0, 2.54),
                    (0.0, 2.54),
                ]])],
                vec![],
            ),
            None,
        ),
        (
            "a needle",
            ground(
                vec![polygon(&[&[(0.0, 0.0), (200.0, 3.0), (200.0, 3.001)]])],
                vec![],
            ),
            None,
        ),
        (
            "a square millimetre",
            ground(
                vec![polygon(&[&[(0.0, 0.0), (0.001, 0.0), (0.001, 0.001)]])],
                vec![],
            ),
            None,
        ),
        (
            "smaller than an atom",
            ground(
                vec![polygon(&[&[(0.0, 0.0), (1e-12, 0.0), (0.0, 1e-12)]])],
                vec![],
            ),
            Some(Refused),
        ),
        (
            "the far corner of the plane",
            ground(
                vec![polygon(&[&[
                    (19_900.0, 19_900.0),
                    (19_940.0, 19_900.0),
                    (19_940.0, 19_925.0),
                    (19_900.0, 19_925.0),
                ]])],
                vec![],
            ),
            None,
        ),
        (
            "a comb of thirty teeth",
            ground(vec![polygon(&[&comb(30)])], vec![]),
            Some(Planned),
        ),
        (
            "a ragged edge of two thousand corners",
            ground(vec![polygon(&[&ragged(2000, 50.0)])], vec![]),
            Some(Planned),
        ),
        (
            "a spiral",
            ground(vec![polygon(&[&spiral(1.8)])], vec![]),
            Some(Planned),
        ),
    ];
    let mut wrong = Vec::new();
    for (name, parts, want) in cases {
        let end = end_of(parts);
        if want.is_some_and(|w| w != end) {
            wrong.push(format!("{name}: {end:?}"));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// Corners on a coarse grid: bow-ties, spikes, touching and overlapping rings come by themselves.
fn grid_ring(size: i32, most: usize) -> impl Strategy<Value = Vec<(f64, f64)>> {
    proptest::collection::vec((0..=size, 0..=size), 1..most).prop_map(|v| {
        v.into_iter()
            .map(|(x, y)| (f64::from(x) * 5.0, f64::from(y) * 5.0))
            .collect()
    })
}

fn config(cases: u32) -> Config {
    Config {
        cases: std::env::var("PROPTEST_CASES")
            .ok()
            .and_then(|v| v.parse().ok())
            .unwrap_or(cases),
        rng_seed: RngSeed::Fixed(11),
        failure_persistence: None,
        ..Config::default()
    }
}

proptest! {
    #![proptest_config(config(96))]

    #[test]
    fn any_rings_end_in_a_plan_or_a_refusal(
        outline in proptest::collection::vec((grid_ring(8, 8), proptest::collection::vec(grid_ring(8, 5), 0..2)), 1..3),
        keep in proptest::collection::vec(grid_ring(8, 6), 0..3),
    ) {
        let outline = outline
            .iter()
            .map(|(outer, holes)| {
                Polygon::new(ring(outer), holes.iter().map(|h| ring(h)).collect())
            })
            .collect();
        end_of(ground(outline, keep.iter().map(|k| polygon(&[k])).collect()));
    }
}
