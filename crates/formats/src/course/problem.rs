//! What is wrong with a course file, where, and what to do.

use crossgrain_core::{Fault, Location};
use std::fmt;

/// Most problems listed; after that the file is better drawn again.
pub(crate) const MAX_PROBLEMS: usize = 50;

/// A feature of the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FeatureRef {
    /// Its place in the file, 0 first.
    pub index: usize,
    /// Its place as written in the file, such as `features[12]`.
    pub path: String,
    /// Its `ref` or `name`.
    pub name: Option<String>,
}

impl fmt::Display for FeatureRef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.path)?;
        if let Some(name) = &self.name {
            write!(f, " '{name}'")?;
        }
        Ok(())
    }
}

/// One thing wrong, with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// Which feature, unless the file as a whole is meant.
    pub feature: Option<FeatureRef>,
    /// Ring and vertex, where the ground is at fault.
    pub location: Option<Location>,
    /// Longitude and latitude, degrees, where there are such.
    pub lonlat_deg: Option<[f64; 2]>,
    /// What is wrong.
    pub kind: ProblemKind,
}

impl Problem {
    /// Of the file as a whole.
    pub(crate) fn of_file(kind: ProblemKind) -> Self {
        Self {
            feature: None,
            location: None,
            lonlat_deg: None,
            kind,
        }
    }
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq)]
pub enum ProblemKind {
    /// JSON, but no GeoJSON.
    NotGeoJson {
        /// What was found in the place of a type.
        found: String,
    },
    /// No features at all.
    NoFeatures,
    /// No fairway among the features.
    NoFairway {
        /// What there is instead: role and how many.
        roles: Vec<(String, usize)>,
    },
    /// Too many features.
    TooManyFeatures {
        /// How many.
        count: usize,
        /// The limit.
        limit: usize,
    },
    /// Too many of something.
    TooMany {
        /// Of what.
        what: &'static str,
        /// How many.
        count: usize,
        /// The limit.
        limit: usize,
    },
    /// Too many positions.
    TooManyPositions {
        /// The limit.
        limit: usize,
    },
    /// Coordinates in another system than longitude and latitude.
    OtherSystem {
        /// The system's name in the file.
        name: String,
    },
    /// Areas without a role, in a file where nothing has one.
    BarePolygons {
        /// How many.
        count: usize,
    },
    /// A role, a kind or an open tag that is not known, or nearly one that is.
    UnknownRole {
        /// The property, such as `role`.
        key: &'static str,
        /// Its value.
        role: String,
        /// What is probably meant.
        meant: Option<String>,
    },
    /// A role on a geometry it does not fit.
    RoleMisfit {
        /// The role.
        role: String,
        /// What it draws: area, line or point.
        geometry: &'static str,
        /// What it needs to draw.
        needs: &'static str,
    },
    /// A geometry that is no GeoJSON.
    BadGeometry {
        /// Where in the feature.
        at: String,
        /// What is wrong there.
        reason: &'static str,
    },
    /// A coordinate that is no number.
    NotANumber {
        /// Where in the feature.
        at: String,
        /// What stands there.
        found: String,
    },
    /// A longitude or latitude that does not exist.
    OutOfRange {
        /// Where in the feature.
        at: String,
        /// The position.
        position: [f64; 2],
    },
    /// Most features have positions that are no longitudes and latitudes: another system.
    AllOutOfRange {
        /// How many features.
        count: usize,
        /// The first such position.
        position: [f64; 2],
    },
    /// A ring whose last position is not its first.
    UnclosedRing {
        /// Where in the feature.
        at: String,
        /// First position.
        first: [f64; 2],
        /// Last position.
        last: [f64; 2],
    },
    /// A ring of fewer than four positions.
    ShortRing {
        /// Where in the feature.
        at: String,
        /// How many positions.
        count: usize,
    },
    /// A fairway far from the others.
    FarAway {
        /// How far, metres.
        away_m: f64,
    },
    /// Most fairways are far from one another.
    AllFarAway {
        /// How many.
        count: usize,
        /// How far the farthest is from the middle one, metres.
        away_m: f64,
    },
    /// The ground itself is at fault.
    Fault {
        /// The fairway, or a keep-out by itself.
        fairway: Option<String>,
        /// The fault.
        fault: Box<Fault>,
        /// Other features that have a part in it.
        others: Vec<FeatureRef>,
    },
}

impl ProblemKind {
    /// What is wrong.
    pub fn what(&self) -> String {
        match self {
            ProblemKind::NotGeoJson { found } => {
                format!("this is JSON but no GeoJSON (type is {found})")
            }
            ProblemKind::NoFeatures => "the file has no features".to_string(),
            ProblemKind::NoFairway { roles } if roles.is_empty() => {
                "there is no fairway in the file".to_string()
            }
            ProblemKind::NoFairway { roles } => {
                let list: Vec<String> = roles.iter().map(|(r, n)| format!("{n} {r}")).collect();
                format!("there is no fairway in the file, only {}", list.join(", "))
            }
            ProblemKind::TooManyFeatures { count, limit } => {
                format!("{count} features; the limit is {limit}")
            }
            ProblemKind::TooMany { what, count, limit } => {
                format!("{count} {what}; the limit is {limit}")
            }
            ProblemKind::TooManyPositions { limit } => format!("more than {limit} positions"),
            ProblemKind::OtherSystem { name } => {
                format!("the coordinates are in {name}, not in longitude and latitude")
            }
            ProblemKind::BarePolygons { count } => {
                format!("{count} areas have no role, so nothing says which are fairways")
            }
            ProblemKind::UnknownRole {
                key: key @ ("role" | "kind"),
                role,
                ..
            } => format!("the {key} '{role}' is not known"),
            ProblemKind::UnknownRole { key, role, .. } => format!("{key}={role} is not known"),
            ProblemKind::RoleMisfit { role, geometry, .. } => {
                format!("the role '{role}' stands on a {geometry}")
            }
            ProblemKind::BadGeometry { at, reason } => format!("{at}: {reason}"),
            ProblemKind::NotANumber { at, found } => {
                format!("{at}: {found} stands where a number should be")
            }
            ProblemKind::OutOfRange { at, position } => format!(
                "{at}: [{}, {}] is no longitude and latitude",
                position[0], position[1]
            ),
            ProblemKind::AllOutOfRange { count, position } => format!(
                "{count} features have positions that are no longitude and latitude, such as [{}, {}]",
                position[0], position[1]
            ),
            ProblemKind::UnclosedRing { at, first, last } => format!(
                "{at}: the ring is not closed: it starts at [{}, {}] and ends at [{}, {}]",
                first[0], first[1], last[0], last[1]
            ),
            ProblemKind::ShortRing { at, count } => {
                format!("{at}: the ring has {count} positions; the least is four")
            }
            ProblemKind::FarAway { away_m } => format!(
                "this fairway reaches {:.0} km from the middle of the course",
                away_m / 1000.0
            ),
            ProblemKind::AllFarAway { count, away_m } => format!(
                "{count} fairways lie up to {:.0} km from the middle one",
                away_m / 1000.0
            ),
            ProblemKind::Fault { fault, others, .. } => {
                let mut text = fault.what();
                if !others.is_empty() {
                    let list: Vec<String> = others.iter().map(ToString::to_string).collect();
                    text.push_str(&format!(" ({})", list.join(", ")));
                }
                text
            }
        }
    }

    /// What to do.
    pub fn remedy(&self) -> String {
        const DEGREES: &str = "export it again as longitude and latitude (WGS 84, EPSG:4326)";
        match self {
            ProblemKind::NotGeoJson { found } if found == "\"Topology\"" => {
                "this is TopoJSON; convert it to GeoJSON".to_string()
            }
            ProblemKind::NotGeoJson { .. } => {
                "export the course as a GeoJSON FeatureCollection".to_string()
            }
            ProblemKind::NoFeatures => "draw the fairways and export again".to_string(),
            ProblemKind::NoFairway { .. } => {
                "give the fairway polygons \"role\": \"fairway\" (or golf=fairway)".to_string()
            }
            ProblemKind::TooManyFeatures { .. }
            | ProblemKind::TooMany { .. }
            | ProblemKind::TooManyPositions { .. } => {
                "export only one course, or simplify the outlines".to_string()
            }
            ProblemKind::OtherSystem { .. } => DEGREES.to_string(),
            ProblemKind::BarePolygons { .. } => {
                "give each a \"role\" (fairway, green, bunker, water, ...), or, if all of them are fairways, add --bare-polygons fairways".to_string()
            }
            ProblemKind::UnknownRole {
                key: key @ ("role" | "kind"),
                meant: Some(meant),
                ..
            } => format!("if '{meant}' is meant, write \"{key}\": \"{meant}\""),
            ProblemKind::UnknownRole {
                meant: Some(meant), ..
            } => format!("if {meant} is meant, write that"),
            ProblemKind::UnknownRole { .. } => {
                format!("use one of {}", super::roles::known())
            }
            ProblemKind::RoleMisfit { needs, .. } => {
                let a = if *needs == "area" { "an" } else { "a" };
                format!("draw it as {a} {needs}, or give it another role")
            }
            ProblemKind::BadGeometry { .. } => "correct it, or export the file again".to_string(),
            ProblemKind::NotANumber { .. } => {
                "write the number, or delete that position".to_string()
            }
            ProblemKind::OutOfRange { position, .. }
            | ProblemKind::AllOutOfRange { position, .. } => {
                let [x, y] = position.map(f64::abs);
                if x > 360.0 || y > 360.0 {
                    format!("these look like metres or feet of a map grid; {DEGREES}")
                } else if x <= 90.0 && y <= 180.0 {
                    "a latitude lies between -90 and 90; correct it, or add --positions lat-lon if latitude was written first".to_string()
                } else {
                    format!("correct it, or {DEGREES}")
                }
            }
            ProblemKind::UnclosedRing { .. } => {
                "repeat the first position at the end of the ring".to_string()
            }
            ProblemKind::ShortRing { .. } => "draw the area again or delete it".to_string(),
            ProblemKind::FarAway { .. } | ProblemKind::AllFarAway { .. } => format!(
                "correct the coordinate, keep each course in a file of its own, or, if these are metres or feet, {DEGREES}"
            ),
            ProblemKind::Fault { fault, .. } => fault.remedy().to_string(),
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(feature) = &self.feature {
            write!(f, "{feature}")?;
            if let ProblemKind::Fault {
                fairway: Some(name),
                ..
            } = &self.kind
                && feature.name.as_ref() != Some(name)
            {
                write!(f, " (fairway '{name}')")?;
            }
            if let Some(location) = &self.location {
                write!(f, ", ring {}", location.ring)?;
                if let Some(v) = location.vertex {
                    write!(f, ", position {v}")?;
                }
            }
            if let Some([lon, lat]) = self.lonlat_deg {
                write!(f, " at [{lon:.7}, {lat:.7}]")?;
            }
            f.write_str(": ")?;
        }
        write!(f, "{}; {}", self.kind.what(), self.kind.remedy())
    }
}

/// Problems of one file, for showing.
#[derive(Debug, Clone, PartialEq)]
pub struct ProblemList {
    /// The file.
    pub file: String,
    /// At least one.
    pub problems: Vec<Problem>,
}

impl fmt::Display for ProblemList {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        show(f, &self.file, &self.problems)
    }
}

/// Shows the problems of a file, [`MAX_PROBLEMS`] at most.
pub(crate) fn show(f: &mut fmt::Formatter<'_>, file: &str, problems: &[Problem]) -> fmt::Result {
    for (i, p) in problems.iter().take(MAX_PROBLEMS).enumerate() {
        if i > 0 {
            writeln!(f)?;
        }
        write!(f, "{file}: {p}")?;
    }
    if problems.len() > MAX_PROBLEMS {
        write!(
            f,
            "\n{file}: and {} more problems",
            problems.len() - MAX_PROBLEMS
        )?;
    }
    Ok(())
}
