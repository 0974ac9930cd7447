//! What is wrong with a course file, and what the user should know about one that is right.

use crate::input::InputError;
use crossgrain_core::ground::{Fault, Place, Repair};
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
    pub place: Option<Place>,
    /// Longitude and latitude, degrees, where there are such.
    pub lonlat_deg: Option<[f64; 2]>,
    /// What is wrong.
    pub kind: ProblemKind,
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
            ProblemKind::OutOfRange { position, .. } => {
                let [x, y] = position.map(f64::abs);
                if x > 360.0 || y > 360.0 {
                    format!("these look like metres or feet of a map grid; {DEGREES}")
                } else if x <= 90.0 && y <= 180.0 {
                    "a latitude lies between -90 and 90; correct it, or swap the two if latitude was written first".to_string()
                } else {
                    format!("correct it, or {DEGREES}")
                }
            }
            ProblemKind::UnclosedRing { .. } => {
                "repeat the first position at the end of the ring".to_string()
            }
            ProblemKind::ShortRing { .. } => "draw the area again or delete it".to_string(),
            ProblemKind::FarAway { .. } => format!(
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
            if let Some(place) = &self.place {
                write!(f, ", ring {}", place.ring)?;
                if let Some(v) = place.vertex {
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

/// Why a course file could not be used.
#[derive(Debug)]
pub enum CourseError {
    /// It is no JSON file at all.
    Input(InputError),
    /// It is, but what it holds cannot be used. All problems found, at most 50.
    Problems {
        /// The file.
        file: String,
        /// At least one.
        problems: Vec<Problem>,
    },
}

impl CourseError {
    pub(crate) fn one(file: &str, kind: ProblemKind) -> Self {
        CourseError::Problems {
            file: file.to_string(),
            problems: vec![Problem {
                feature: None,
                place: None,
                lonlat_deg: None,
                kind,
            }],
        }
    }
}

impl fmt::Display for CourseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CourseError::Input(e) => e.fmt(f),
            CourseError::Problems { file, problems } => {
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
        }
    }
}

impl std::error::Error for CourseError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            CourseError::Input(e) => Some(e),
            CourseError::Problems { .. } => None,
        }
    }
}

/// What the user should know about a file that can be used.
#[derive(Debug, Clone, PartialEq)]
pub enum Notice {
    /// Something was put right.
    Repaired {
        /// Which feature, where one is meant.
        feature: Option<FeatureRef>,
        /// Which fairway, where one is meant.
        fairway: Option<String>,
        /// Longitude and latitude, degrees.
        lonlat_deg: Option<[f64; 2]>,
        /// What was done.
        repair: Repair,
    },
    /// The file has no roles; its polygons were taken as fairways.
    TakenAsFairways {
        /// How many.
        count: usize,
    },
    /// A feature of which a part could not be used.
    PartNotUsed {
        /// Which.
        feature: FeatureRef,
        /// Why.
        why: &'static str,
    },
    /// Lines or trees without a width in the file.
    AssumedWidth {
        /// What they are.
        what: &'static str,
        /// How many.
        count: usize,
        /// The width taken, metres.
        width_m: f64,
    },
    /// A width that could not be read.
    WidthUnread {
        /// Which feature.
        feature: FeatureRef,
        /// The property.
        key: String,
        /// What stands there.
        text: String,
        /// The width taken, metres.
        width_m: f64,
    },
    /// A name was shortened or marks in it that show nothing were taken out.
    NameCleaned {
        /// Which feature.
        feature: FeatureRef,
    },
    /// A fairway without a name was given one.
    Named {
        /// Which feature.
        feature: FeatureRef,
        /// Its name.
        name: String,
        /// Whether the name is that of the hole line through it.
        from_hole: bool,
    },
    /// Two fairways far apart have one name; this one was given another.
    Renamed {
        /// Which feature.
        feature: FeatureRef,
        /// The name in the file.
        from: String,
        /// Its name now.
        to: String,
    },
    /// No hole line; the direction from tee to green comes from the nearest tee and green.
    HoleLineGuessed {
        /// The fairway.
        fairway: String,
    },
    /// A hole line was drawn from green to tee; it was turned.
    HoleLineTurned {
        /// The hole's name.
        name: Option<String>,
    },
    /// Two fairways share ground, which would be mown twice.
    SharedGround {
        /// One.
        first: String,
        /// The other.
        second: String,
        /// How much, square metres.
        area_m2: f64,
    },
}

impl fmt::Display for Notice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Notice::Repaired {
                feature,
                fairway,
                lonlat_deg,
                repair,
            } => {
                match (feature, fairway) {
                    (Some(feature), _) => write!(f, "{feature}")?,
                    (None, Some(name)) => write!(f, "fairway '{name}'")?,
                    (None, None) => write!(f, "the file")?,
                }
                if let Some(place) = repair.place() {
                    write!(f, ", ring {}", place.ring)?;
                    if let Some(v) = place.vertex {
                        write!(f, ", position {v}")?;
                    }
                }
                if let Some([lon, lat]) = lonlat_deg {
                    write!(f, " at [{lon:.7}, {lat:.7}]")?;
                }
                write!(f, ": {}", repair.what())
            }
            Notice::TakenAsFairways { count } => {
                write!(f, "{count} area(s) without a role taken as fairways")
            }
            Notice::PartNotUsed { feature, why } => {
                write!(f, "{feature}: a part of it is left aside: {why}")
            }
            Notice::AssumedWidth {
                what,
                count,
                width_m,
            } => {
                let key = if *what == "trees" {
                    "diameter_crown"
                } else {
                    "width"
                };
                write!(
                    f,
                    "{what} without \"{key}\": {count}, taken as {width_m} m wide; add \"{key}\" in metres"
                )
            }
            Notice::WidthUnread {
                feature,
                key,
                text,
                width_m,
            } => write!(
                f,
                "{feature}: {key} '{text}' is no width in metres; taken as {width_m} m"
            ),
            Notice::NameCleaned { feature } => write!(
                f,
                "{feature}: its name was shortened or had marks that show nothing; cleaned"
            ),
            Notice::Named {
                feature,
                name,
                from_hole: true,
            } => write!(
                f,
                "{feature}: a fairway without a name, called '{name}' after the hole line through it"
            ),
            Notice::Named { feature, name, .. } => {
                write!(f, "{feature}: a fairway without a name, called '{name}'")
            }
            Notice::Renamed { feature, from, to } => write!(
                f,
                "{feature}: another fairway far from it is called '{from}' too; called '{to}'"
            ),
            Notice::HoleLineGuessed { fairway } => write!(
                f,
                "fairway '{fairway}': no hole line; the way to the green is taken from the nearest tee and green"
            ),
            Notice::HoleLineTurned { name } => write!(
                f,
                "hole line '{}': drawn from green to tee; turned",
                name.as_deref().unwrap_or("without a name")
            ),
            Notice::SharedGround {
                first,
                second,
                area_m2,
            } => write!(
                f,
                "fairways '{first}' and '{second}' share {area_m2:.0} m2, which would be mown twice; cut one of them back"
            ),
        }
    }
}
