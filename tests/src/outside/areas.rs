//! Shrunk, grown and reachable ground against GEOS.

use super::Row;
use crate::drives::area;
use crate::stored::{json, number, text};
use crossgrain_core::ground::reach::reach;
use crossgrain_core::ground::{FairwayParts, fairway};
use crossgrain_core::polygon::offset::offset;
use crossgrain_core::{KeepOut, KeepOutKind};
use geo::Area;

// Ours rounds corners with chords of t = 0.025 rad, theirs with chords fifty times shorter: a
// corner of radius r turning by q differs by r^2 q t^2 / 12. The star has the most: 7 corners of
// 1.5 rad at 3 m give 5e-3 m2 of 533 m2.
const CHORDS: f64 = 2e-5;

pub fn rows() -> Vec<Row> {
    let stored = json("areas.json");
    let source = text(&stored, "source");
    let mut out = Vec::new();
    for c in stored["cases"].as_array().into_iter().flatten() {
        let name = text(c, "name");
        let parts = FairwayParts {
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
            ..FairwayParts::default()
        };
        let ground = match fairway(parts) {
            Ok((f, _)) => f.ground,
            Err(_) => geo_types::MultiPolygon(Vec::new()),
        };
        let mut row = |what: &str, theirs: f64, ours: f64, share: f64| {
            out.push(Row::library(
                format!("{name}: {what}, m2"),
                &source,
                theirs,
                ours,
                share,
            ));
        };
        row(
            "ground to mow",
            number(c, "area_m2"),
            ground.unsigned_area(),
            1e-7,
        );
        row(
            "shrunk by 3 m",
            number(c, "shrunk_by_3_m2"),
            offset(&ground, -3.0).unsigned_area(),
            CHORDS,
        );
        row(
            "grown by 2 m",
            number(c, "grown_by_2_m2"),
            offset(&ground, 2.0).unsigned_area(),
            CHORDS,
        );
        for r in c["reach"].as_array().into_iter().flatten() {
            let deck = number(r, "deck_m");
            row(
                &format!("reach of a {deck} m deck"),
                number(r, "area_m2"),
                reach(&ground, deck).unsigned_area(),
                CHORDS,
            );
        }
    }
    out
}
