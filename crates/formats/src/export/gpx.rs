//! GPX 1.1: the whole drive as a track with times, each pass as a route.

use super::drive::later;
use super::xml::{Xml, degrees};
use super::{Drives, Export, ExportError, FairwayDrive, Layer, Options};

/// Most points of one route. Hand-held receivers commonly take no more (common practice).
pub const MAX_ROUTE_POINTS: usize = 250;

/// Writes the drives.
pub(super) fn write(drives: &Drives, options: &Options) -> Result<Export, ExportError> {
    let mut x = Xml::new();
    x.open(
        "gpx",
        &[
            ("version", &"1.1"),
            ("creator", &"crossgrain"),
            ("xmlns", &"http://www.topografix.com/GPX/1/1"),
        ],
    );
    x.open("metadata", &[]);
    x.text("name", &[], &drives.course);
    x.text("time", &[], &options.start.to_string());
    x.close();

    let routes = routes(&mut x, drives, options)?;
    for (mow, start_s) in drives.mows.iter().zip(drives.starts_s()) {
        track(&mut x, drives, mow, start_s, options)?;
    }
    let layers = drives.layers(options.tolerance_m);
    Ok(Export {
        bytes: x.finish(),
        layers: vec![
            Layer {
                name: "routes",
                count: routes,
                length_m: layers[0].length_m,
            },
            Layer {
                name: "tracks",
                count: drives.mows.len(),
                length_m: layers.iter().map(|l| l.length_m).sum(),
            },
        ],
        notes: vec![
            "GPX does not say whether the reels are down: the routes are the passes, the track is the whole drive",
        ],
    })
}

/// Each pass as a route, in parts that receivers take; how many there are.
fn routes(x: &mut Xml, drives: &Drives, options: &Options) -> Result<usize, ExportError> {
    let mut routes = 0;
    for mow in &drives.mows {
        for run in mow.runs.iter().filter(|r| r.is_pass()) {
            let at = drives.degrees(mow, &run.points(options.tolerance_m))?;
            // Neighbouring parts share a point, so that no stretch is lost between them.
            let steps = (at.len() - 1).max(1);
            let parts = steps.div_ceil(MAX_ROUTE_POINTS - 1);
            for part in 0..parts {
                let from = part * (MAX_ROUTE_POINTS - 1);
                let to = (from + MAX_ROUTE_POINTS).min(at.len());
                routes += 1;
                x.open("rte", &[]);
                let mut name = format!("{} {}", mow.fairway, run.number);
                if let Some(step) = &run.step {
                    name = format!("{} {step} {}", mow.fairway, run.number);
                }
                if parts > 1 {
                    name.push_str(&format!(" ({} of {parts})", part + 1));
                }
                x.text("name", &[], &name);
                x.text("desc", &[], run.role.as_deref().unwrap_or("pass"));
                x.text("number", &[], &routes.to_string());
                x.text("type", &[], "pass");
                for p in &at[from..to] {
                    x.empty("rtept", &[("lat", &degrees(p[1])), ("lon", &degrees(p[0]))]);
                }
                x.close();
            }
        }
    }
    Ok(routes)
}

/// The whole drive of one mow as a track with times.
fn track(
    x: &mut Xml,
    drives: &Drives,
    mow: &FairwayDrive,
    start_s: f64,
    options: &Options,
) -> Result<(), ExportError> {
    x.open("trk", &[]);
    x.text("name", &[], &format!("{} {}", mow.fairway, mow.pattern));
    x.text("type", &[], "drive");
    x.open("trkseg", &[]);
    let mut last = None;
    for run in &mow.runs {
        let points = run.points(options.tolerance_m);
        let at = drives.degrees(mow, &points)?;
        let long = super::drive::length_m(&points);
        let mut gone = 0.0;
        for (i, p) in at.iter().enumerate() {
            if i > 0 {
                let (a, b) = (points[i - 1], points[i]);
                gone += (b.x - a.x).hypot(b.y - a.y);
            }
            // Runs meet in one point.
            if last == Some(*p) {
                continue;
            }
            last = Some(*p);
            let share = if long > 0.0 { gone / long } else { 0.0 };
            let time = later(options.start, start_s + run.from_s + share * run.seconds);
            x.open("trkpt", &[("lat", &degrees(p[1])), ("lon", &degrees(p[0]))]);
            x.text("time", &[], &time.to_string());
            x.close();
        }
    }
    x.close();
    x.close();
    Ok(())
}
