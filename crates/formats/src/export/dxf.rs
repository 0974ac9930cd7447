//! DXF release 12 (AC1009): drawings in metres, arcs kept as bulges.
//!
//! Only what release 12 knows: a header, a table of layers, polylines with vertices and bulges.
//! The unit has no place in it, so it stands in the name of each layer.

use super::{Drives, Export, Layer, Run};
use crossgrain_core::{Reels, Segment};
use geo_types::{Coord, LineString};
use std::f64::consts::PI;
use std::fmt::Write;

/// Longest name of a layer in release 12.
const MAX_LAYER_NAME: usize = 31;

/// Kinds of layers: what they are called, and their colour by number.
const KINDS: [(&str, u8); 4] = [("PASSES", 7), ("WAYS", 8), ("GROUND", 3), ("KEEP-OUTS", 1)];

/// A vertex, and the bulge of the edge that leaves it: tan of a quarter of the angle turned.
type Vertex = (Coord<f64>, f64);

/// Writes the drives.
pub(super) fn write(drives: &Drives) -> Export {
    let names = layer_names(drives);
    let mut out = String::new();
    let mut pair = |code: i32, value: &str| {
        let _ = writeln!(out, "{code:3}\n{value}");
    };
    pair(999, "crossgrain; metres, x east, y north of the origin");
    let origin = format!(
        "origin: longitude {:.9}, latitude {:.9} (WGS 84), azimuthal equidistant",
        drives.plane.origin().lon_deg,
        drives.plane.origin().lat_deg
    );
    pair(999, &origin);
    tables(&mut pair, &names);
    pair(0, "SECTION");
    pair(2, "ENTITIES");
    let (mut lengths, mut counts) = ([0.0; 2], [0_usize; 2]);
    let mut areas = 0;
    for (mow, name) in drives.mows.iter().zip(&names) {
        let rings = |ring: &LineString<f64>| -> Vec<Vertex> {
            // Closed by the flag, not by a repeated point.
            let n = ring.0.len().saturating_sub(1);
            ring.0.iter().take(n).map(|c| (*c, 0.0)).collect()
        };
        for p in &mow.ground.0 {
            for r in std::iter::once(p.exterior()).chain(p.interiors()) {
                polyline(&mut pair, &format!("{name}_GROUND_M"), &rings(r), true);
                areas += 1;
            }
        }
        for k in &mow.keep_outs {
            for r in std::iter::once(k.area.exterior()).chain(k.area.interiors()) {
                polyline(&mut pair, &format!("{name}_KEEP-OUTS_M"), &rings(r), true);
                areas += 1;
            }
        }
        for run in &mow.runs {
            let (i, kind) = match run.reels {
                Reels::Down => (0, "PASSES"),
                Reels::Up => (1, "WAYS"),
            };
            lengths[i] += run.tracks.iter().map(|t| t.path.length_m()).sum::<f64>();
            counts[i] += 1;
            polyline(
                &mut pair,
                &format!("{name}_{kind}_M"),
                &vertices(run),
                false,
            );
        }
    }
    pair(0, "ENDSEC");
    pair(0, "EOF");
    let of = |name, i: usize| Layer {
        name,
        count: counts[i],
        length_m: lengths[i],
    };
    Export {
        bytes: out.into_bytes(),
        layers: vec![
            of("passes", 0),
            of("ways", 1),
            Layer {
                name: "rings",
                count: areas,
                length_m: 0.0,
            },
        ],
        notes: vec![
            "DXF has no place on Earth: metres east and north of the plan's origin, which stands in the file's first lines",
        ],
    }
}

/// The sections before the drawing: version, kinds of lines, layers.
fn tables(pair: &mut impl FnMut(i32, &str), names: &[String]) {
    pair(0, "SECTION");
    pair(2, "HEADER");
    pair(9, "$ACADVER");
    pair(1, "AC1009");
    pair(0, "ENDSEC");
    pair(0, "SECTION");
    pair(2, "TABLES");
    pair(0, "TABLE");
    pair(2, "LTYPE");
    pair(70, "1");
    for (code, value) in [
        (0, "LTYPE"),
        (2, "CONTINUOUS"),
        (70, "0"),
        (3, "Solid line"),
        (72, "65"),
        (73, "0"),
        (40, "0.0"),
        (0, "ENDTAB"),
    ] {
        pair(code, value);
    }
    pair(0, "TABLE");
    pair(2, "LAYER");
    pair(70, &(1 + names.len() * KINDS.len()).to_string());
    let mut layer = |name: &str, colour: u8| {
        pair(0, "LAYER");
        pair(2, name);
        pair(70, "0");
        pair(62, &colour.to_string());
        pair(6, "CONTINUOUS");
    };
    layer("0", 7);
    for name in names {
        for (kind, colour) in KINDS {
            layer(&format!("{name}_{kind}_M"), colour);
        }
    }
    pair(0, "ENDTAB");
    pair(0, "ENDSEC");
}

/// One plain name for each mow: letters and digits only, different from one another.
fn layer_names(drives: &Drives) -> Vec<String> {
    // The longest kind with its unit must fit behind it.
    let most = MAX_LAYER_NAME - "_KEEP-OUTS_M".len() - 4;
    let mut taken: Vec<String> = Vec::new();
    for mow in &drives.mows {
        let mut base: String = mow
            .fairway
            .chars()
            .filter(char::is_ascii_alphanumeric)
            .take(most)
            .collect::<String>()
            .to_ascii_uppercase();
        if base.is_empty() {
            base = "FAIRWAY".to_string();
        }
        let mut name = format!("F{base}");
        let mut n = 2;
        while taken.contains(&name) {
            name = format!("F{base}${n}");
            n += 1;
        }
        taken.push(name);
    }
    taken
}

fn vertices(run: &Run) -> Vec<Vertex> {
    let mut out: Vec<Vertex> = Vec::new();
    let mut last = None;
    for t in &run.tracks {
        match t.path {
            Segment::Line { from, to } => {
                out.push((from, 0.0));
                last = Some(to);
            }
            Segment::Arc(a) => {
                // A bulge says less than a full turn; half a turn at most is safe everywhere.
                let parts = (a.sweep_rad.abs() / PI).ceil().max(1.0);
                for i in 0..parts as usize {
                    let at = a.from_rad + a.sweep_rad * i as f64 / parts;
                    out.push((a.point(at), (a.sweep_rad / parts / 4.0).tan()));
                }
                last = Some(a.point(a.to_rad()));
            }
        }
    }
    if let Some(end) = last {
        out.push((end, 0.0));
    }
    out
}

fn polyline(pair: &mut impl FnMut(i32, &str), layer: &str, vertices: &[Vertex], closed: bool) {
    // Adding 0 turns a rounded minus zero into zero; a micrometre is enough.
    let number = |v: f64| format!("{:.6}", (v * 1e6).round() / 1e6 + 0.0);
    pair(0, "POLYLINE");
    pair(8, layer);
    pair(66, "1");
    pair(10, "0.0");
    pair(20, "0.0");
    pair(30, "0.0");
    pair(70, if closed { "1" } else { "0" });
    for (at, bulge) in vertices {
        pair(0, "VERTEX");
        pair(8, layer);
        pair(10, &number(at.x));
        pair(20, &number(at.y));
        pair(30, "0.0");
        if *bulge != 0.0 {
            pair(42, &format!("{bulge:.12}"));
        }
    }
    pair(0, "SEQEND");
    pair(8, layer);
}
