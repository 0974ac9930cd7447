//! GeoJSON to features in degrees, each position checked.

use super::crew::CrewWords;
use super::feature::{Feature, Features, Geometry, Ring};
use super::limits::{MAX_FEATURES, MAX_POSITIONS};
use super::position::Positions;
use super::problem::{FeatureRef, Problem, ProblemKind, ProblemList};
use crate::files::fault::FileFault;
use crate::input::{self, plain};
use serde_json::{Map, Value};

/// Reads all features; the error is one that concerns the whole file.
pub(crate) fn features(value: &Value, order: Positions) -> Result<Features, ProblemKind> {
    let mut found = Reader {
        out: Features {
            name: value
                .get("name")
                .and_then(Value::as_str)
                .map(str::to_string),
            crew: CrewWords::of(value),
            ..Features::default()
        },
        positions: 0,
        order,
    };
    other_system(value)?;
    let kind = value.get("type").and_then(Value::as_str).unwrap_or("");
    match kind {
        "FeatureCollection" => {
            let Some(list) = value.get("features").and_then(Value::as_array) else {
                return Err(ProblemKind::BadGeometry {
                    at: "features".to_string(),
                    reason: "is missing or no list",
                });
            };
            if list.is_empty() {
                return Err(ProblemKind::NoFeatures);
            }
            if list.len() > MAX_FEATURES {
                return Err(ProblemKind::TooManyFeatures {
                    count: list.len(),
                    limit: MAX_FEATURES,
                });
            }
            for (index, f) in list.iter().enumerate() {
                found.feature(index, format!("features[{index}]"), f)?;
            }
        }
        "Feature" => found.feature(0, "the feature".to_string(), value)?,
        "Polygon" | "MultiPolygon" | "GeometryCollection" | "LineString" | "MultiLineString"
        | "Point" | "MultiPoint" => {
            let source = FeatureRef {
                index: 0,
                path: "the geometry".to_string(),
                name: None,
            };
            let mut geometry = Vec::new();
            found.geometry(&source, value, &mut geometry)?;
            found.out.list.push(Feature {
                source,
                id: None,
                properties: Map::new(),
                geometry,
            });
        }
        _ => {
            let shown = value
                .get("type")
                .map_or_else(|| "missing".to_string(), |t| short(&t.to_string()));
            return Err(ProblemKind::NotGeoJson { found: shown });
        }
    }
    found.out.told_once();
    Ok(found.out)
}

impl Features {
    /// A file in another coordinate system has the same thing wrong with every feature: told once.
    fn told_once(&mut self) {
        let out_of_range = |p: &Problem| match &p.kind {
            ProblemKind::OutOfRange { position, .. } => Some(*position),
            _ => None,
        };
        let count = self.problems.iter().filter_map(out_of_range).count();
        if count < 2 || 2 * count <= self.list.len() {
            return;
        }
        let first = self.problems.iter().position(|p| out_of_range(p).is_some());
        let mut at = 0;
        self.problems.retain(|p| {
            let keep = out_of_range(p).is_none() || Some(at) == first;
            at += 1;
            keep
        });
        for p in &mut self.problems {
            if let ProblemKind::OutOfRange { position, .. } = &p.kind {
                let position = *position;
                (p.feature, p.lonlat_deg) = (None, None);
                p.kind = ProblemKind::AllOutOfRange { count, position };
            }
        }
    }
}

fn short(text: &str) -> String {
    plain(text).chars().take(40).collect()
}

/// Older files may name a coordinate system; only longitude and latitude can be used.
fn other_system(value: &Value) -> Result<(), ProblemKind> {
    let Some(name) = value
        .pointer("/crs/properties/name")
        .and_then(Value::as_str)
    else {
        return Ok(());
    };
    let upper = name.to_ascii_uppercase();
    if upper.contains("CRS84") || upper.ends_with("4326") || upper.contains("WGS84") {
        Ok(())
    } else {
        Err(ProblemKind::OtherSystem { name: short(name) })
    }
}

struct Reader {
    out: Features,
    positions: usize,
    order: Positions,
}

impl Reader {
    fn problem(&mut self, feature: &FeatureRef, lonlat_deg: Option<[f64; 2]>, kind: ProblemKind) {
        self.out.problems.push(Problem {
            feature: Some(feature.clone()),
            location: None,
            lonlat_deg,
            kind,
        });
    }

    fn feature(&mut self, index: usize, path: String, f: &Value) -> Result<(), ProblemKind> {
        let properties = f
            .get("properties")
            .and_then(Value::as_object)
            .cloned()
            .unwrap_or_default();
        let source = FeatureRef {
            index,
            path,
            name: super::labels::label(&properties).map(|n| super::labels::clean(&n).0),
        };
        let mut geometry = Vec::new();
        if f.get("type").and_then(Value::as_str) != Some("Feature") {
            self.bad(&source, "type", "is not \"Feature\"");
        } else if let Some(g) = f.get("geometry").filter(|g| !g.is_null()) {
            self.geometry(&source, g, &mut geometry)?;
        }
        let id = match f.get("id") {
            Some(Value::String(s)) => Some(s.clone()),
            Some(Value::Number(n)) => Some(n.to_string()),
            _ => None,
        };
        self.out.list.push(Feature {
            source,
            id,
            properties,
            geometry,
        });
        Ok(())
    }

    fn geometry(
        &mut self,
        feature: &FeatureRef,
        g: &Value,
        out: &mut Vec<Geometry>,
    ) -> Result<(), ProblemKind> {
        let kind = g.get("type").and_then(Value::as_str).unwrap_or("");
        if kind == "GeometryCollection" {
            let Some(list) = g.get("geometries").and_then(Value::as_array) else {
                self.bad(feature, "geometries", "is missing or no list");
                return Ok(());
            };
            for member in list {
                self.geometry(feature, member, out)?;
            }
            return Ok(());
        }
        let coordinates = g.get("coordinates").unwrap_or(&Value::Null);
        let geometry = match kind {
            "Polygon" => self
                .polygon(feature, coordinates, "coordinates")
                .map(|p| Geometry::Polygons(vec![p])),
            "MultiPolygon" => self
                .many(feature, coordinates, Self::polygon)
                .map(Geometry::Polygons),
            "LineString" => self
                .positions(feature, coordinates, "coordinates")
                .map(|l| Geometry::Lines(vec![l])),
            "MultiLineString" => self
                .many(feature, coordinates, Self::positions)
                .map(Geometry::Lines),
            "Point" => self
                .position(feature, coordinates, "coordinates")
                .map(|p| Geometry::Points(vec![p])),
            "MultiPoint" => self
                .many(feature, coordinates, Self::position)
                .map(Geometry::Points),
            _ => {
                self.bad(feature, "geometry", "has no type that GeoJSON knows");
                return Ok(());
            }
        };
        if self.positions > MAX_POSITIONS {
            return Err(ProblemKind::TooManyPositions {
                limit: MAX_POSITIONS,
            });
        }
        out.extend(geometry);
        Ok(())
    }

    fn bad(&mut self, feature: &FeatureRef, at: &str, reason: &'static str) {
        self.problem(
            feature,
            None,
            ProblemKind::BadGeometry {
                at: at.to_string(),
                reason,
            },
        );
    }

    fn many<T>(
        &mut self,
        feature: &FeatureRef,
        v: &Value,
        each: impl Fn(&mut Self, &FeatureRef, &Value, &str) -> Option<T>,
    ) -> Option<Vec<T>> {
        let Some(list) = v.as_array() else {
            self.bad(feature, "coordinates", "is missing or no list");
            return None;
        };
        let mut out = Vec::new();
        for (i, member) in list.iter().enumerate() {
            out.extend(each(self, feature, member, &format!("coordinates[{i}]")));
        }
        Some(out)
    }

    fn polygon(&mut self, feature: &FeatureRef, v: &Value, at: &str) -> Option<Vec<Ring>> {
        let Some(list) = v.as_array().filter(|l| !l.is_empty()) else {
            self.bad(feature, at, "has no rings");
            return None;
        };
        let before = self.out.problems.len();
        let mut rings = Vec::new();
        for (i, r) in list.iter().enumerate() {
            let at = format!("{at}[{i}]");
            let Some(ring) = self.positions(feature, r, &at) else {
                continue;
            };
            let (Some(&first), Some(&last)) = (ring.first(), ring.last()) else {
                self.bad(feature, &at, "is an empty ring");
                continue;
            };
            let kind = if first != last {
                ProblemKind::UnclosedRing { at, first, last }
            } else if ring.len() < 4 {
                let count = ring.len();
                ProblemKind::ShortRing { at, count }
            } else {
                rings.push(ring);
                continue;
            };
            self.problem(feature, Some(last), kind);
        }
        (self.out.problems.len() == before).then_some(rings)
    }

    /// Positions of a line or ring; only the first bad one is told.
    fn positions(&mut self, feature: &FeatureRef, v: &Value, at: &str) -> Option<Ring> {
        let Some(list) = v.as_array() else {
            self.bad(feature, at, "is missing or no list of positions");
            return None;
        };
        let mut ring = Vec::with_capacity(list.len());
        for (i, p) in list.iter().enumerate() {
            ring.push(self.position(feature, p, &format!("{at}[{i}]"))?);
        }
        Some(ring)
    }

    fn position(&mut self, feature: &FeatureRef, v: &Value, at: &str) -> Option<[f64; 2]> {
        self.positions += 1;
        let Some([x, y, ..]) = v.as_array().map(Vec::as_slice) else {
            self.bad(feature, at, "is no position [longitude, latitude]");
            return None;
        };
        let mut out = [0.0; 2];
        for (slot, v) in out.iter_mut().zip([x, y]) {
            match v.as_f64().filter(|n| n.is_finite()) {
                Some(n) => *slot = n,
                None => {
                    let found = if v.is_null() {
                        "null, NaN or infinity".to_string()
                    } else {
                        short(&v.to_string())
                    };
                    let at = at.to_string();
                    self.problem(feature, None, ProblemKind::NotANumber { at, found });
                    return None;
                }
            }
        }
        if self.order == Positions::LatLon {
            out.swap(0, 1);
        }
        if out[0].abs() > 180.0 || out[1].abs() > 90.0 {
            let at = at.to_string();
            let kind = ProblemKind::OutOfRange { at, position: out };
            self.problem(feature, None, kind);
            return None;
        }
        Some(out)
    }
}

/// The features of a GeoJSON layer among others.
pub(crate) fn layer(text: &str, file: &str) -> Result<Vec<Feature>, FileFault> {
    let fault = |problems| {
        FileFault::Json(ProblemList {
            file: file.to_string(),
            problems,
        })
    };
    let value = input::json(text, file).map_err(FileFault::Input)?;
    let found =
        features(&value, Positions::AsUsual).map_err(|kind| fault(vec![Problem::of_file(kind)]))?;
    if found.problems.is_empty() {
        Ok(found.list)
    } else {
        Err(fault(found.problems))
    }
}
