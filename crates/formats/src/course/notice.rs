//! What the user should know about a course file that can be used.

use super::position::{Doubt, shown_place};
use super::problem::FeatureRef;
use crossgrain_core::{Located, Repair};
use std::fmt;

/// How much a notice asks of the user.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// Look at it before anything is mown.
    Warning,
    /// To be put right in the file; until then the work goes on.
    ToConfirm,
    /// Good to know.
    Note,
}

impl Notice {
    /// How much it asks of the user.
    pub fn weight(&self) -> Weight {
        match self {
            Notice::Huge { .. } | Notice::Wide { .. } | Notice::Swapped { .. } => Weight::Warning,
            Notice::Unnamed { .. } | Notice::Renamed { .. } | Notice::Scrap { .. } => {
                Weight::ToConfirm
            }
            _ => Weight::Note,
        }
    }

    /// What many of them are called together, such as `fairways without a name of their own`.
    pub fn family(&self) -> &'static str {
        match self {
            Notice::OfFile(_) => "remarks on the file",
            Notice::Repaired { .. } => "outlines repaired",
            Notice::TakenAsFairways { .. } => "areas taken as fairways",
            Notice::PartNotUsed { .. } => "features used only in part",
            Notice::AssumedWidth { .. } => "kinds of lines or trees without a width",
            Notice::WidthUnread { .. } => "widths that cannot be read",
            Notice::NameCleaned { .. } => "names shortened or cleaned",
            Notice::NamedAfterHole { .. } => "fairways named after their hole",
            Notice::Unnamed { .. } => "fairways without a name",
            Notice::Merged { .. } => "fairways of several parts",
            Notice::Renamed { .. } => "fairways with a name that another one has",
            Notice::HoleLineGuessed { .. } => {
                "fairways whose way to the green is taken from the nearest tee and green"
            }
            Notice::HoleLineTurned { .. } => "hole lines turned",
            Notice::Scrap { .. } => "scraps of fairway",
            Notice::Huge { .. } => "huge fairways",
            Notice::Wide { .. } => "wide courses",
            Notice::Swapped { .. } => "doubts about the coordinates",
            Notice::SharedGround { .. } => "pairs of fairways that share ground",
        }
    }
}

/// What the user should know about a file that can be used.
#[derive(Debug, Clone, PartialEq)]
pub enum Notice {
    /// Something about the file itself.
    OfFile(String),
    /// Something was put right.
    Repaired {
        /// Which feature, where one is meant.
        feature: Option<FeatureRef>,
        /// Which fairway, where one is meant.
        fairway: Option<String>,
        /// Longitude and latitude, degrees.
        lonlat_deg: Option<[f64; 2]>,
        /// What was done.
        repair: Located<Repair>,
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
    /// A fairway without a name was named after its hole.
    NamedAfterHole {
        /// Which feature.
        feature: FeatureRef,
        /// Its name.
        name: String,
    },
    /// A fairway without a name; what it is called has to be confirmed.
    Unnamed {
        /// Which feature.
        feature: FeatureRef,
        /// What it is called meanwhile.
        name: String,
    },
    /// Features near each other with one name, taken as one fairway.
    Merged {
        /// The name.
        name: String,
        /// The features.
        features: Vec<FeatureRef>,
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
    /// A fairway smaller than anything that is mown as one.
    Scrap {
        /// The fairway.
        fairway: String,
        /// Its ground, square metres.
        area_m2: f64,
    },
    /// A fairway larger than any.
    Huge {
        /// The fairway.
        fairway: String,
        /// Its ground, square metres.
        area_m2: f64,
    },
    /// Fairways farther apart than on any course.
    Wide {
        /// From one end to the other, metres.
        across_m: f64,
    },
    /// Latitude and longitude may be changed over.
    Swapped {
        /// Middle of the course as read: longitude and latitude, degrees.
        lonlat_deg: [f64; 2],
        /// Why the other way round explains the file better.
        why: Doubt,
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
            Notice::OfFile(text) => f.write_str(text),
            Notice::Repaired {
                feature,
                fairway,
                lonlat_deg,
                repair,
            } => repaired(f, feature.as_ref(), fairway.as_deref(), *lonlat_deg, repair),
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
            } => assumed_width(f, what, *count, *width_m),
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
            Notice::NamedAfterHole { feature, name } => write!(
                f,
                "{feature}: a fairway without a name, called '{name}' after its hole"
            ),
            Notice::Unnamed { feature, name } => write!(
                f,
                "{feature}: a fairway without a name, called '{name}' for now; write \"name\": \"...\" into its properties"
            ),
            Notice::Merged { name, features } => merged(f, name, features),
            Notice::Renamed { feature, from, to } => write!(
                f,
                "{feature}: another fairway far from it is called '{from}' too; called '{to}' for now; give it a name of its own"
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
            Notice::Scrap { fairway, area_m2 } => write!(
                f,
                "fairway '{fairway}': only {area_m2:.1} m2, a scrap; delete it, or give it the name of the fairway it belongs to"
            ),
            Notice::Huge { fairway, area_m2 } => write!(
                f,
                "fairway '{fairway}': {:.1} ha; a fairway has 0.2 to 3 ha as a rule; is it the whole course, or are the coordinates in another system?",
                area_m2 / 10_000.0
            ),
            Notice::Wide { across_m } => write!(
                f,
                "the fairways lie {:.1} km apart; a course is 1 to 3 km across as a rule; are there two courses in the file, or a coordinate that went astray?",
                across_m / 1000.0
            ),
            Notice::Swapped { lonlat_deg, why } => swapped(f, *lonlat_deg, *why),
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

/// What was put right, where.
fn repaired(
    f: &mut fmt::Formatter<'_>,
    feature: Option<&FeatureRef>,
    fairway: Option<&str>,
    lonlat_deg: Option<[f64; 2]>,
    repair: &Located<Repair>,
) -> fmt::Result {
    match (feature, fairway) {
        (Some(feature), _) => write!(f, "{feature}")?,
        (None, Some(name)) => write!(f, "fairway '{name}'")?,
        (None, None) => write!(f, "the file")?,
    }
    if let Some(location) = repair.location {
        write!(f, ", ring {}", location.ring)?;
        if let Some(v) = location.vertex {
            write!(f, ", position {v}")?;
        }
    }
    if let Some([lon, lat]) = lonlat_deg {
        write!(f, " at [{lon:.7}, {lat:.7}]")?;
    }
    write!(f, ": {}", repair.found)
}

fn assumed_width(
    f: &mut fmt::Formatter<'_>,
    what: &str,
    count: usize,
    width_m: f64,
) -> fmt::Result {
    let key = if what == "trees" {
        "diameter_crown"
    } else {
        "width"
    };
    write!(
        f,
        "{what} without \"{key}\": {count}, taken as {width_m} m wide; add \"{key}\" in metres"
    )
}

fn merged(f: &mut fmt::Formatter<'_>, name: &str, features: &[FeatureRef]) -> fmt::Result {
    let list: Vec<&str> = features.iter().map(|f| f.path.as_str()).collect();
    write!(
        f,
        "{} are all called '{name}' and lie near each other; taken as one fairway of {} parts",
        list.join(", "),
        list.len()
    )
}

fn swapped(f: &mut fmt::Formatter<'_>, [lon, lat]: [f64; 2], why: Doubt) -> fmt::Result {
    write!(
        f,
        "as written the course lies at {}, {why}; with latitude and longitude changed over it lies at {}: if that is the place, add --positions lat-lon, if not, --positions lon-lat",
        shown_place([lon, lat]),
        shown_place([lat, lon])
    )
}
