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
    let mut task = Task {
        x: Xml::new(),
        drives,
        tolerance_m: options.tolerance_m,
        ids: Ids::default(),
        laid: [(0, 0.0); 2],
    };
    task.x.open(
        "ISO11783_TaskData",
        &[
            ("VersionMajor", &4),
            ("VersionMinor", &3),
            ("ManagementSoftwareManufacturer", &"crossgrain"),
            ("ManagementSoftwareVersion", &env!("CARGO_PKG_VERSION")),
            ("DataTransferOrigin", &1),
        ],
    );
    for (i, mow) in drives.mows.iter().enumerate() {
        task.partfield(i + 1, mow)?;
    }
    let layer = |name, (count, length_m)| Layer {
        name,
        count,
        length_m,
    };
    Ok(Export {
        bytes: task.x.finish(),
        layers: vec![
            layer("partfields", (drives.mows.len(), 0.0)),
            layer("AB lines", task.laid[0]),
            layer("curves", task.laid[1]),
        ],
        notes: vec![
            "ISO 11783-10 has no arcs (they are chords here), no order of driving and no reels up or down: passes only, named by their place in the order",
        ],
    })
}

/// A file in the making.
struct Task<'a> {
    x: Xml,
    drives: &'a Drives,
    tolerance_m: f64,
    ids: Ids,
    /// AB lines and curves so far: how many, and their length in metres.
    laid: [(usize, f64); 2],
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

impl Task<'_> {
    /// One fairway: its boundary, its obstacles, and its passes as guidance.
    fn partfield(&mut self, number: usize, mow: &FairwayDrive) -> Result<(), ExportError> {
        self.x.open(
            "PFD",
            &[
                ("A", &format!("PFD-{number}")),
                ("C", &designator(&mow.fairway)),
                ("D", &(mow.ground.unsigned_area().round() as u64)),
            ],
        );
        for p in &mow.ground.0 {
            self.polygon(mow, BOUNDARY, &mow.fairway, p)?;
        }
        for k in &mow.keep_outs {
            let name = k.kind.as_deref().unwrap_or("keep-out");
            let kind = if matches!(name, "water" | "stream") {
                WATER
            } else {
                OBSTACLE
            };
            self.polygon(mow, kind, name, &k.area)?;
        }
        self.group(mow, "stripes", true)?;
        self.group(mow, "curves", false)?;
        self.x.close();
        Ok(())
    }

    /// The passes of a mow that are straight, or those that are not.
    fn group(&mut self, mow: &FairwayDrive, name: &str, straight: bool) -> Result<(), ExportError> {
        let chosen = |r: &&Run| r.is_pass() && r.is_straight() == straight;
        let runs: Vec<&Run> = mow.runs.iter().filter(chosen).collect();
        if runs.is_empty() {
            return Ok(());
        }
        self.ids.group += 1;
        self.x.open(
            "GGP",
            &[
                ("A", &format!("GGP-{}", self.ids.group)),
                ("B", &designator(&format!("{} {name}", mow.fairway))),
            ],
        );
        for run in runs {
            self.pattern(mow, run, straight)?;
        }
        self.x.close();
        Ok(())
    }

    fn pattern(
        &mut self,
        mow: &FairwayDrive,
        run: &Run,
        straight: bool,
    ) -> Result<(), ExportError> {
        let mut points = run.points(self.tolerance_m);
        if straight {
            points = vec![points[0], points[points.len() - 1]];
        }
        let long_m = super::drive::length_m(&points);
        let (count, sum_m) = &mut self.laid[usize::from(!straight)];
        *count += 1;
        *sum_m += long_m;
        let at = self.drives.degrees(mow, &points)?;
        self.ids.pattern += 1;
        self.ids.line += 1;
        let step = run.step.as_ref().map_or(String::new(), |s| format!(" {s}"));
        let name = format!("{}{step} {}", mow.fairway, run.number);
        // Each pass stands for itself: nothing is to be repeated beside it or beyond its ends.
        self.x.open(
            "GPN",
            &[
                ("A", &format!("GPN-{}", self.ids.pattern)),
                ("B", &designator(&name)),
                ("C", &if straight { AB } else { CURVE }),
                ("E", &4),
                ("F", &4),
            ],
        );
        self.x.open(
            "LSG",
            &[
                ("A", &GUIDANCE),
                ("C", &millimetres(self.drives.cutting_width_m)),
                ("D", &millimetres(long_m)),
                ("F", &format!("LSG-{}", self.ids.line)),
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
            point(&mut self.x, kind, p);
        }
        self.x.close();
        self.x.close();
        Ok(())
    }

    fn polygon(
        &mut self,
        mow: &FairwayDrive,
        kind: u8,
        name: &str,
        p: &Polygon<f64>,
    ) -> Result<(), ExportError> {
        self.ids.polygon += 1;
        self.x.open(
            "PLN",
            &[
                ("A", &kind),
                ("B", &designator(name)),
                ("C", &(p.unsigned_area().round() as u64)),
                ("E", &format!("PLN-{}", self.ids.polygon)),
            ],
        );
        self.ring(mow, EXTERIOR, p.exterior())?;
        for r in p.interiors() {
            self.ring(mow, INTERIOR, r)?;
        }
        self.x.close();
        Ok(())
    }

    fn ring(
        &mut self,
        mow: &FairwayDrive,
        kind: u8,
        r: &LineString<f64>,
    ) -> Result<(), ExportError> {
        let at = self.drives.degrees(mow, &r.0)?;
        self.ids.line += 1;
        let id = format!("LSG-{}", self.ids.line);
        self.x.open("LSG", &[("A", &kind), ("F", &id)]);
        for p in &at {
            point(&mut self.x, OTHER, p);
        }
        self.x.close();
        Ok(())
    }
}
