//! KML 2.2: passes and ways styled by the reels, with time spans; the ground and its keep-outs.

use super::drive::later;
use super::xml::{Xml, degrees};
use super::{Drives, Export, ExportError, FairwayDrive, Layer, Options, Run};
use geo_types::{LineString, Polygon};

/// Colours as KML has them, alpha blue green red. Lines must show on a picture of green grass:
/// broad white where the reels cut, thin yellow where they do not.
const STYLES: [(&str, &str, &str); 4] = [
    ("pass", "ffffffff", "3"),
    ("way", "ff00c8ff", "1.5"),
    ("ground", "ff50a000", "2"),
    ("keep-out", "ff2020d0", "2"),
];

/// Writes the drives.
pub(super) fn write(drives: &Drives, options: &Options) -> Result<Export, ExportError> {
    let mut x = Xml::new();
    x.open("kml", &[("xmlns", &"http://www.opengis.net/kml/2.2")]);
    x.open("Document", &[]);
    x.text("name", &[], &drives.course);
    for (id, colour, width) in STYLES {
        x.open("Style", &[("id", &id)]);
        x.open("LineStyle", &[]);
        x.text("color", &[], colour);
        x.text("width", &[], width);
        x.close();
        x.open("PolyStyle", &[]);
        x.text("fill", &[], "0");
        x.close();
        x.close();
    }
    let mut areas = 0;
    for (mow, start_s) in drives.mows.iter().zip(drives.starts_s()) {
        x.open("Folder", &[]);
        x.text("name", &[], &format!("{} {}", mow.fairway, mow.pattern));
        x.open("Folder", &[]);
        x.text("name", &[], "ground");
        for p in &mow.ground.0 {
            polygon(&mut x, drives, mow, &mow.fairway, "ground", p)?;
            areas += 1;
        }
        for k in &mow.keep_outs {
            let name = k.kind.as_deref().unwrap_or("keep-out");
            polygon(&mut x, drives, mow, name, "keep-out", &k.area)?;
            areas += 1;
        }
        x.close();
        for (folder, style, down) in [("passes", "pass", true), ("ways", "way", false)] {
            x.open("Folder", &[]);
            x.text("name", &[], folder);
            for run in mow.runs.iter().filter(|r| r.is_pass() == down) {
                line(&mut x, drives, mow, run, style, start_s, options)?;
            }
            x.close();
        }
        x.close();
    }
    let mut layers = drives.layers(options.tolerance_m);
    layers.push(Layer {
        name: "areas",
        count: areas,
        length_m: 0.0,
    });
    Ok(Export {
        bytes: x.finish(),
        layers,
        notes: vec![],
    })
}

fn line(
    x: &mut Xml,
    drives: &Drives,
    mow: &FairwayDrive,
    run: &Run,
    style: &str,
    start_s: f64,
    options: &Options,
) -> Result<(), ExportError> {
    let at = drives.degrees(mow, &run.points(options.tolerance_m))?;
    x.open("Placemark", &[]);
    x.text(
        "name",
        &[],
        &format!("{} {style} {}", mow.fairway, run.number),
    );
    x.open("TimeSpan", &[]);
    x.text(
        "begin",
        &[],
        &later(options.start, start_s + run.from_s).to_string(),
    );
    let end = later(options.start, start_s + run.from_s + run.seconds);
    x.text("end", &[], &end.to_string());
    x.close();
    x.text("styleUrl", &[], &format!("#{style}"));
    x.open("ExtendedData", &[]);
    let mut data = |name: &str, value: &str| {
        x.open("Data", &[("name", &name)]);
        x.text("value", &[], value);
        x.close();
    };
    data("fairway", &mow.fairway);
    data("pattern", &mow.pattern);
    data("reels", if run.is_pass() { "down" } else { "up" });
    if let Some(h) = mow.heading_deg {
        data("heading_deg", &h.to_string());
    }
    if let Some(role) = &run.role {
        data("role", role);
    }
    if let Some(step) = &run.step {
        data("step", step);
    }
    x.close();
    x.open("LineString", &[]);
    x.text("tessellate", &[], "1");
    x.text("coordinates", &[], &positions(&at));
    x.close();
    x.close();
    Ok(())
}

fn positions(at: &[[f64; 2]]) -> String {
    let list: Vec<String> = at
        .iter()
        .map(|p| format!("{},{}", degrees(p[0]), degrees(p[1])))
        .collect();
    list.join(" ")
}

fn polygon(
    x: &mut Xml,
    drives: &Drives,
    mow: &FairwayDrive,
    name: &str,
    style: &str,
    p: &Polygon<f64>,
) -> Result<(), ExportError> {
    x.open("Placemark", &[]);
    x.text("name", &[], name);
    x.text("styleUrl", &[], &format!("#{style}"));
    x.open("Polygon", &[]);
    let mut ring = |side: &'static str, r: &LineString<f64>| -> Result<(), ExportError> {
        let at = drives.degrees(mow, &r.0)?;
        x.open(side, &[]);
        x.open("LinearRing", &[]);
        x.text("coordinates", &[], &positions(&at));
        x.close();
        x.close();
        Ok(())
    };
    ring("outerBoundaryIs", p.exterior())?;
    for r in p.interiors() {
        ring("innerBoundaryIs", r)?;
    }
    x.close();
    x.close();
    Ok(())
}
