//! Shrunk, grown and reachable ground against GEOS.

use super::{
    Fact,
    Mark::{Derived, Library, Memory},
    Row,
};
use crate::drives::area;
use crate::stored::{json, number, text};
use crossgrain_core::inside::ground::FairwayBuilder;
use crossgrain_core::inside::ground::reach::reach;
use crossgrain_core::inside::polygon::offset::offset;
use crossgrain_core::{KeepOut, KeepOutKind};
use geo::Area;
use geo_types::{Coord, LineString, MultiPolygon, Polygon};
use std::f64::consts::PI;

// Ours rounds corners with chords of t = 0.025 rad, theirs with chords fifty times shorter: a
// corner of radius r turning by q differs by r^2 q t^2 / 12. The star has the most: 7 corners of
// 1.5 rad at 3 m give 5e-3 m2 of 533 m2.
const CHORDS: f64 = 2e-5;

pub fn rows() -> Vec<Row> {
    let stored = json("areas.json");
    let source = text(&stored, "source");
    let mut out = closed_forms();
    for c in stored["cases"].as_array().into_iter().flatten() {
        let name = text(c, "name");
        let parts = FairwayBuilder {
            name: name.clone(),
            outline: area(&c["outline"]).0,
            keep_outs: area(&c["keep_outs"])
                .into_iter()
                .map(|area| KeepOut {
                    kind: KeepOutKind::Bunker,
                    name: None,
                    area,
                })
                .collect(),
            ..FairwayBuilder::default()
        };
        let ground = match parts.build_and_tell() {
            Ok((f, _)) => f.ground().clone(),
            Err(_) => geo_types::MultiPolygon(Vec::new()),
        };
        let mut row = |id: &'static str, what: &str, theirs: f64, ours: f64, share: f64| {
            let fact = Fact::new(id, &source, Library);
            out.push(fact.library(format!("{name}: {what}, m2"), theirs, ours, share));
        };
        row(
            "area of ground with keep-outs taken out",
            "ground to mow",
            number(c, "area_m2"),
            ground.unsigned_area(),
            1e-7,
        );
        row(
            "area of shrunk ground",
            "shrunk by 3 m",
            number(c, "shrunk_by_3_m2"),
            offset(&ground, -3.0).unsigned_area(),
            CHORDS,
        );
        row(
            "area of grown ground",
            "grown by 2 m",
            number(c, "grown_by_2_m2"),
            offset(&ground, 2.0).unsigned_area(),
            CHORDS,
        );
        for r in c["reach"].as_array().into_iter().flatten() {
            let deck = number(r, "deck_m");
            row(
                "area that a disc reaches",
                &format!("reach of a {deck} m deck"),
                number(r, "area_m2"),
                reach(&ground, deck).unsigned_area(),
                CHORDS,
            );
        }
    }
    out
}

const HERON: &str = "Weisstein, MathWorld (year not noted); Heronian Triangle (13, 14, 15)";
const SHOELACE: &str = "Wikipedia, Shoelace formula (year not noted); example with five corners";
const PICK: &str = "Pick, Geometrisches zur Zahlenlehre, Sitzungsberichte Lotos 19, 1899";
const STEINER: &str = "Steiner, Ueber parallele Flaechen, Monatsberichte der Akademie Berlin, 1840";
const ANGLES: &str = "Weisstein, MathWorld (year not noted); Rounded Rectangle";

fn ground_of(corners: &[(f64, f64)]) -> MultiPolygon<f64> {
    let ring: Vec<Coord<f64>> = corners.iter().map(|&p| p.into()).collect();
    let parts = FairwayBuilder {
        name: "drawn".to_string(),
        outline: vec![Polygon::new(LineString(ring), Vec::new())],
        ..FairwayBuilder::default()
    };
    parts
        .build_and_tell()
        .map_or(MultiPolygon(Vec::new()), |(f, _)| f.ground().clone())
}

/// Shapes whose area is known by itself, in tens of metres so that they are fairways.
fn closed_forms() -> Vec<Row> {
    let triangle = ground_of(&[(0.0, 0.0), (140.0, 0.0), (50.0, 120.0)]);
    let five = ground_of(&[
        (10.0, 60.0),
        (30.0, 10.0),
        (70.0, 20.0),
        (40.0, 40.0),
        (80.0, 50.0),
    ]);
    let lattice = ground_of(&[
        (0.0, 0.0),
        (40.0, 0.0),
        (50.0, 30.0),
        (20.0, 40.0),
        (0.0, 20.0),
    ]);
    let square = ground_of(&[(0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0)]);
    let r = 5.0;
    vec![
        Fact::new("area of the 13-14-15 triangle", HERON, Memory).formula(
            "triangle of 130, 140 and 150 m, m2",
            8400.0,
            triangle.unsigned_area(),
            1e-9,
        ),
        Fact::new("area of a polygon from its corners", SHOELACE, Memory).formula(
            "corners (10, 60), (30, 10), (70, 20), (40, 40), (80, 50), m2",
            1650.0,
            five.unsigned_area(),
            1e-9,
        ),
        Fact::new("area from points inside and on the boundary", PICK, Derived).formula(
            "five corners on whole tens of metres, points counted, m2",
            100.0 * pick(&[(0, 0), (4, 0), (5, 3), (2, 4), (0, 2)]),
            lattice.unsigned_area(),
            1e-9,
        ),
        Fact::new(
            "a convex shape grown by r gains its edge times r and a disc",
            STEINER,
            Memory,
        )
        .formula(
            "square of 40 m grown by 5 m, m2",
            1600.0 + 160.0 * r + PI * r * r,
            offset(&square, r).unsigned_area(),
            CHORDS,
        ),
        Fact::new("a rounded square lacks (4 - pi) r^2", ANGLES, Memory).formula(
            "square of 40 m, reach of a 10 m deck, m2",
            1600.0 - (4.0 - PI) * r * r,
            reach(&square, 2.0 * r).unsigned_area(),
            CHORDS,
        ),
    ]
}

/// Half the lattice points on the boundary, and those inside, less one; each point is looked at.
fn pick(corners: &[(i64, i64)]) -> f64 {
    let edges = || corners.iter().zip(corners.iter().cycle().skip(1));
    let (mut inside, mut on) = (0, 0);
    for x in -1..=6 {
        for y in -1..=6 {
            let side = |(a, b): (&(i64, i64), &(i64, i64))| {
                (b.0 - a.0) * (y - a.1) - (b.1 - a.1) * (x - a.0)
            };
            // The corners run to the left and the shape is convex.
            if edges().all(|e| side(e) > 0) {
                inside += 1;
            } else if edges().all(|e| side(e) >= 0) {
                on += 1;
            }
        }
    }
    f64::from(inside) + f64::from(on) / 2.0 - 1.0
}
