//! ISO 11783-10 `TASKDATA.XML`, version 4: partfields with boundary and obstacles, guidance
//! groups with an AB line for each straight pass and a curve for each other one.
//!
//! Element and attribute names, types and limits are the standard's: PFD partfield, PLN polygon,
//! LSG line string, PNT point, GGP guidance group, GPN guidance pattern.

use super::xml::{Xml, degrees};
use super::{Drives, Export, ExportError, FairwayDrive, Layer, Options, Run};
use geo::Area;
use geo_types::{LineString, Polygon};

/// Longest designator.
const MAX_DESIGNATOR: usize = 32;
/// Polygon types: boundary, water, obstacle.
const BOUNDARY: u8 = 1;
const WATER: u8 = 3;
const OBSTACLE: u8 = 6;
/// Line string types: exterior, interior, guidance pattern.
const EXTERIOR: u8 = 1;
const INTERIOR: u8 = 2;
const GUIDANCE: u8 = 5;
/// Point types: any other, ends and middle of a guidance pattern.
const OTHER: u8 = 2;
const REFERENCE_A: u8 = 6;
const REFERENCE_B: u8 = 7;
const GUIDANCE_POINT: u8 = 9;
/// Guidance pattern types.
const AB: u8 = 1;
const CURVE: u8 = 3;

/// Writes the drives.
pub(super) fn write(drives: &Drives, options: &Options) -> Result<Export, ExportError> {
    let mut x = Xml::new();
    x.open(
        "ISO11783_TaskData",
        &[
            ("VersionMajor", &4),
            ("VersionMinor", &3),
            ("ManagementSoftwareManufacturer", &"crossgrain"),
            ("ManagementSoftwareVersion", &env!("CARGO_PKG_VERSION")),
            ("DataTransferOrigin", &1),
        ],
    );
    let mut ids = Ids::default();
    let (mut ab, mut curves) = (0, 0);
    let mut lengths = [0.0; 2];
    for (i, mow) in drives.mows.iter().enumerate() {
        x.open(
            "PFD",
            &[
                ("A", &format!("PFD-{}", i + 1)),
                ("C", &designator(&mow.fairway)),
                ("D", &(mow.ground.unsigned_area().round() as u64)),
            ],
        );
        for p in &mow.ground.0 {
            polygon(&mut x, drives, mow, &mut ids, BOUNDARY, &mow.fairway, p)?;
        }
        for k in &mow.keep_outs {
            let name = k.kind.as_deref().unwrap_or("keep-out");
            let kind = if matches!(name, "water" | "stream") {
                WATER
            } else {
                OBSTACLE
            };
            polygon(&mut x, drives, mow, &mut ids, kind, name, &k.area)?;
        }
        for (name, straight) in [("stripes", true), ("curves", false)] {
            let runs: Vec<&Run> = mow
                .runs
                .iter()
                .filter(|r| r.is_pass() && r.is_straight() == straight)
                .collect();
            if runs.is_empty() {
                continue;
            }
            ids.group += 1;
            x.open(
                "GGP",
                &[
                    ("A", &format!("GGP-{}", ids.group)),
                    ("B", &designator(&format!("{} {name}", mow.fairway))),
                ],
            );
            for run in runs {
                let mut points = run.points(options.tolerance_m);
                if straight {
                    points = vec![points[0], points[points.len() - 1]];
                    ab += 1;
                } else {
                    curves += 1;
                }
                let long = super::drive::length_m(&points);
                lengths[usize::from(!straight)] += long;
                let at = drives.degrees(mow, &points)?;
                pattern(&mut x, &mut ids, drives, mow, run, straight, &at, long);
            }
            x.close();
        }
        x.close();
    }
    let layer = |name, count, length_m| Layer {
        name,
        count,
        length_m,
    };
    Ok(Export {
        bytes: x.finish(),
        layers: vec![
            layer("partfields", drives.mows.len(), 0.0),
            layer("AB lines", ab, lengths[0]),
            layer("curves", curves, lengths[1]),
        ],
        notes: vec![
            "ISO 11783-10 has no arcs (they are chords here), no order of driving and no reels up or down: passes only, named by their place in the order",
        ],
    })
}

/// Numbers already given away.
#[derive(Default)]
struct Ids {
    polygon: usize,
    line: usize,
    group: usize,
    pattern: usize,
}

/// Text cut to what a designator holds.
fn designator(text: &str) -> String {
    text.chars().take(MAX_DESIGNATOR).collect()
}

/// Metres as whole millimetres.
fn millimetres(m: f64) -> u64 {
    (m * 1000.0).round() as u64
}

fn point(x: &mut Xml, kind: u8, p: &[f64; 2]) {
    x.empty(
        "PNT",
        &[("A", &kind), ("C", &degrees(p[1])), ("D", &degrees(p[0]))],
    );
}

#[allow(clippy::too_many_arguments)] // one place, and each is another thing
fn pattern(
    x: &mut Xml,
    ids: &mut Ids,
    drives: &Drives,
    mow: &FairwayDrive,
    run: &Run,
    straight: bool,
    at: &[[f64; 2]],
    long_m: f64,
) {
    ids.pattern += 1;
    ids.line += 1;
    let mut name = mow.fairway.clone();
    for part in [run.step.as_deref(), Some(&run.number.to_string())]
        .into_iter()
        .flatten()
    {
        name.push(' ');
        name.push_str(part);
    }
    // Each pass stands for itself: nothing is to be repeated beside it or beyond its ends.
    x.open(
        "GPN",
        &[
            ("A", &format!("GPN-{}", ids.pattern)),
            ("B", &designator(&name)),
            ("C", &if straight { AB } else { CURVE }),
            ("E", &4),
            ("F", &4),
        ],
    );
    x.open(
        "LSG",
        &[
            ("A", &GUIDANCE),
            ("C", &millimetres(drives.cutting_width_m)),
            ("D", &millimetres(long_m)),
            ("F", &format!("LSG-{}", ids.line)),
        ],
    );
    for (i, p) in at.iter().enumerate() {
        let kind = if i == 0 {
            REFERENCE_A
        } else if i + 1 == at.len() {
            REFERENCE_B
        } else {
            GUIDANCE_POINT
        };
        point(x, kind, p);
    }
    x.close();
    x.close();
}

fn polygon(
    x: &mut Xml,
    drives: &Drives,
    mow: &FairwayDrive,
    ids: &mut Ids,
    kind: u8,
    name: &str,
    p: &Polygon<f64>,
) -> Result<(), ExportError> {
    ids.polygon += 1;
    x.open(
        "PLN",
        &[
            ("A", &kind),
            ("B", &designator(name)),
            ("C", &(p.unsigned_area().round() as u64)),
            ("E", &format!("PLN-{}", ids.polygon)),
        ],
    );
    let mut ring = |kind: u8, r: &LineString<f64>| -> Result<(), ExportError> {
        let at = drives.degrees(mow, &r.0)?;
        ids.line += 1;
        x.open("LSG", &[("A", &kind), ("F", &format!("LSG-{}", ids.line))]);
        for p in &at {
            point(x, OTHER, p);
        }
        x.close();
        Ok(())
    };
    ring(EXTERIOR, p.exterior())?;
    for r in p.interiors() {
        ring(INTERIOR, r)?;
    }
    x.close();
    Ok(())
}
