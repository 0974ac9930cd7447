//! Shapes in the style of general geometry suites: each ends in a plan or a clear refusal.
//!
//! A panic or a hang fails the test by itself. Where the outcome is clear it is asserted too.

use crossgrain_core::inside::ground::FairwayBuilder;
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

fn ground(outline: Vec<Polygon<f64>>, keep_outs: Vec<Polygon<f64>>) -> FairwayBuilder {
    FairwayBuilder {
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
        ..FairwayBuilder::default()
    }
}

fn end_of(parts: FairwayBuilder) -> End {
    let f = match parts.build_and_tell() {
        Ok((f, _)) => f,
        Err(faults) => {
            assert!(!faults.0.is_empty());
            for fault in faults.0.iter().map(|f| &f.found) {
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
    let text = include_str!("../stored/odd_shapes.txt");
    let cases: Vec<&str> = text.lines().filter(|l| !l.starts_with('#')).collect();
    assert_eq!(cases.len(), 50);
    let mut wrong = Vec::new();
    for case in cases {
        let mut fields = case.split(" | ");
        let (want, name) = (fields.next(), fields.next());
        let mut parts = || {
            let field = fields.next().into_iter().flat_map(|f| f.split("; "));
            field.map(drawn).collect::<Vec<_>>()
        };
        let end = end_of(ground(parts(), parts()));
        let right = match want {
            Some("planned") => end == Planned,
            Some("refused") => end == Refused,
            other => other == Some("either"),
        };
        if !right {
            wrong.push(format!("{}: {end:?}", name.unwrap_or(case)));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// A part of a stored shape.
fn drawn(part: &str) -> Polygon<f64> {
    let rings: Vec<Vec<(f64, f64)>> = part.split(" / ").map(drawn_ring).collect();
    polygon(&rings.iter().map(Vec::as_slice).collect::<Vec<_>>())
}

fn drawn_ring(text: &str) -> Vec<(f64, f64)> {
    let words: Vec<&str> = text.split(' ').collect();
    let number = |i: usize| words[i].parse::<f64>().expect("a figure");
    match words[0] {
        "nothing" => Vec::new(),
        "box" => vec![(0.0, 0.0), (40.0, 0.0), (40.0, 25.0), (0.0, 25.0)],
        "star" => star(number(1) as usize, number(2) as usize, number(3)),
        "comb" => comb(number(1) as usize),
        "ragged" => ragged(number(1) as usize, number(2)),
        "spiral" => spiral(number(1)),
        _ => (text.split(", "))
            .map(|p| p.split_once(' ').expect("x and y"))
            .map(|(x, y)| (x.parse().expect("x"), y.parse().expect("y")))
            .collect(),
    }
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
