//! GeoJSON (RFC 7946): one line per pass.

use super::{Drives, Export, ExportError, Options};
use serde_json::json;

/// Writes the passes.
pub(super) fn write(drives: &Drives, options: &Options) -> Result<Export, ExportError> {
    let mut features = Vec::new();
    for mow in &drives.mows {
        for run in mow.runs.iter().filter(|r| r.is_pass()) {
            let points = run.points(options.tolerance_m);
            let round = |deg: f64| (deg * 1e9).round() / 1e9 + 0.0;
            let line: Vec<[f64; 2]> = drives
                .degrees(mow, &points)?
                .iter()
                .map(|p| [round(p[0]), round(p[1])])
                .collect();
            features.push(
                json!({
                    "type": "Feature",
                    "properties": {
                        "fairway": mow.fairway,
                        "pattern": mow.pattern,
                        "heading_deg": mow.heading_deg,
                        "pass": run.number,
                        "role": run.role,
                        "step": run.step,
                        "line": run.line,
                        "length_m": super::drive::length_m(&points),
                    },
                    "geometry": {"type": "LineString", "coordinates": line},
                })
                .to_string(),
            );
        }
    }
    let name = json!(drives.course);
    let text = format!(
        "{{\"type\": \"FeatureCollection\", \"name\": {name}, \"features\": [\n{}\n]}}\n",
        features.join(",\n")
    );
    let mut layers = drives.layers(options.tolerance_m);
    layers.truncate(1);
    Ok(Export {
        bytes: text.into_bytes(),
        layers,
        notes: vec![],
    })
}
