//! GeoJSON to drawings in degrees, each position checked.

use super::names;
use super::problem::{FeatureRef, Notice, Problem, ProblemKind};
use super::roles::{self, Role};
use super::{MAX_FEATURES, MAX_POSITIONS};
use crate::input::plain;
use serde_json::{Map, Value};

/// A ring of longitudes and latitudes, degrees; closed.
pub(crate) type Ring = Vec<[f64; 2]>;

/// What a feature draws, degrees.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Geometry {
    Polygons(Vec<Vec<Ring>>),
    Line(Ring),
    Point([f64; 2]),
}

impl Geometry {
    pub fn positions(&self) -> Box<dyn Iterator<Item = [f64; 2]> + '_> {
        match self {
            Geometry::Polygons(list) => Box::new(list.iter().flatten().flatten().copied()),
            Geometry::Line(line) => Box::new(line.iter().copied()),
            Geometry::Point(p) => Box::new(std::iter::once(*p)),
        }
    }
}

/// One feature, or one geometry of a collection.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Drawing {
    pub feature: FeatureRef,
    pub role: Role,
    pub name: Option<String>,
    pub geometry: Geometry,
}

/// What a file holds.
#[derive(Debug, Default)]
pub(crate) struct Found {
    pub name: Option<String>,
    pub drawings: Vec<Drawing>,
    pub notices: Vec<Notice>,
    pub problems: Vec<Problem>,
    positions: usize,
}

/// Reads all features; the error is one that concerns the whole file.
pub(crate) fn features(value: &Value) -> Result<Found, ProblemKind> {
    let mut found = Found {
        name: value
            .get("name")
            .and_then(Value::as_str)
            .map(str::to_string),
        ..Found::default()
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
            let feature = FeatureRef {
                index: 0,
                path: "the geometry".to_string(),
                name: None,
            };
            found.geometry(&feature, Role::Unsaid, None, value)?;
        }
        _ => {
            let shown = value
                .get("type")
                .map_or_else(|| "missing".to_string(), |t| short(&t.to_string()));
            return Err(ProblemKind::NotGeoJson { found: shown });
        }
    }
    Ok(found)
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

impl Found {
    fn problem(&mut self, feature: &FeatureRef, lonlat_deg: Option<[f64; 2]>, kind: ProblemKind) {
        self.problems.push(Problem {
            feature: Some(feature.clone()),
            place: None,
            lonlat_deg,
            kind,
        });
    }

    fn feature(&mut self, index: usize, path: String, f: &Value) -> Result<(), ProblemKind> {
        let empty = Map::new();
        let properties = f
            .get("properties")
            .and_then(Value::as_object)
            .unwrap_or(&empty);
        let raw =
            roles::property(properties, "ref").or_else(|| roles::property(properties, "name"));
        let cleaned = raw.as_deref().map(names::clean);
        let name = cleaned
            .as_ref()
            .map(|c| c.0.clone())
            .filter(|n| !n.is_empty());
        let feature = FeatureRef {
            index,
            path,
            name: name.clone(),
        };
        if cleaned.is_some_and(|c| c.1) {
            self.notices.push(Notice::NameCleaned {
                feature: feature.clone(),
            });
        }
        if f.get("type").and_then(Value::as_str) != Some("Feature") {
            self.problem(
                &feature,
                None,
                ProblemKind::BadGeometry {
                    at: "type".to_string(),
                    reason: "is not \"Feature\"",
                },
            );
            return Ok(());
        }
        let role = match roles::role(properties) {
            Ok(role) => role,
            Err(role) => {
                let role = short(&role);
                self.problem(&feature, None, ProblemKind::UnknownRole { role });
                return Ok(());
            }
        };
        match f.get("geometry") {
            None | Some(Value::Null) => {
                self.notices.push(Notice::NoGeometry { feature });
                Ok(())
            }
            Some(g) => self.geometry(&feature, role, name, g),
        }
    }

    fn geometry(
        &mut self,
        feature: &FeatureRef,
        role: Role,
        name: Option<String>,
        g: &Value,
    ) -> Result<(), ProblemKind> {
        let kind = g.get("type").and_then(Value::as_str).unwrap_or("");
        let areal =
            matches!(role, Role::Fairway | Role::NoTurn) || matches!(role, Role::KeepOut(_));
        let needs = match (kind, role) {
            ("Polygon" | "MultiPolygon", Role::WayIn) => Some("Point"),
            ("LineString" | "MultiLineString", Role::WayIn) => Some("Point"),
            // Mapped holes are now and then drawn as areas; they say nothing here.
            ("Point" | "MultiPoint", Role::Hole) => Some("LineString"),
            (
                "LineString" | "MultiLineString" | "Point" | "MultiPoint",
                Role::Fairway | Role::NoTurn,
            ) => Some("Polygon"),
            _ => None,
        };
        if let Some(needs) = needs {
            self.problem(
                feature,
                None,
                ProblemKind::RoleMisfit {
                    role: role_word(role).to_string(),
                    geometry: short(kind),
                    needs,
                },
            );
            return Ok(());
        }
        if kind == "GeometryCollection" {
            let Some(list) = g.get("geometries").and_then(Value::as_array) else {
                self.bad(feature, "geometries", "is missing or no list");
                return Ok(());
            };
            for member in list {
                self.geometry(feature, role, name.clone(), member)?;
            }
            return Ok(());
        }
        let coordinates = g.get("coordinates").unwrap_or(&Value::Null);
        let geometry = match kind {
            "Polygon" => self
                .polygon(feature, coordinates, "coordinates")
                .map(|p| vec![p])
                .map(Geometry::Polygons),
            "MultiPolygon" => self.many(feature, coordinates, |s, v, at| s.polygon(feature, v, at)),
            "LineString" => self
                .positions(feature, coordinates, "coordinates")
                .map(Geometry::Line),
            "Point" => self
                .position(feature, coordinates, "coordinates")
                .map(Geometry::Point),
            // A hole in several lines, or points in bulk, say nothing that can be used.
            "MultiLineString" | "MultiPoint" => {
                self.no_use(feature, role);
                return Ok(());
            }
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
        // A bunker mapped as a point has no outline to keep out of.
        let usable = match &geometry {
            Some(Geometry::Polygons(p)) => !p.is_empty(),
            Some(_) => !areal,
            None => false,
        };
        if geometry.is_some() && !usable {
            self.no_use(feature, role);
        }
        if let Some(geometry) = geometry.filter(|_| usable) {
            self.drawings.push(Drawing {
                feature: feature.clone(),
                role,
                name,
                geometry,
            });
        }
        Ok(())
    }

    /// Tells of a feature that means something but is not drawn so that it can be used.
    fn no_use(&mut self, feature: &FeatureRef, role: Role) {
        if !matches!(role, Role::Unused | Role::Unsaid) {
            self.notices.push(Notice::NoUse {
                feature: feature.clone(),
                role: role_word(role),
            });
        }
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

    fn many(
        &mut self,
        feature: &FeatureRef,
        v: &Value,
        mut each: impl FnMut(&mut Self, &Value, &str) -> Option<Vec<Ring>>,
    ) -> Option<Geometry> {
        let Some(list) = v.as_array() else {
            self.bad(feature, "coordinates", "is missing or no list");
            return None;
        };
        let mut out = Vec::new();
        for (i, member) in list.iter().enumerate() {
            out.extend(each(self, member, &format!("coordinates[{i}]")));
        }
        Some(Geometry::Polygons(out))
    }

    fn polygon(&mut self, feature: &FeatureRef, v: &Value, at: &str) -> Option<Vec<Ring>> {
        let Some(list) = v.as_array().filter(|l| !l.is_empty()) else {
            self.bad(feature, at, "has no rings");
            return None;
        };
        let before = self.problems.len();
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
        (self.problems.len() == before).then_some(rings)
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
        if out[0].abs() > 180.0 || out[1].abs() > 90.0 {
            let at = at.to_string();
            let kind = ProblemKind::OutOfRange { at, position: out };
            self.problem(feature, None, kind);
            return None;
        }
        Some(out)
    }
}

fn role_word(role: Role) -> &'static str {
    match role {
        Role::Fairway => "fairway",
        Role::KeepOut(_) => "keep-out",
        Role::NoTurn => "no-turn",
        Role::Hole => "hole",
        Role::WayIn => "way-in",
        Role::Unused | Role::Unsaid => "none",
    }
}
