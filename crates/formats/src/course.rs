//! The course file: GeoJSON (RFC 7946), or any format of [`crate::files`], to fairways in a local
//! plane.
//!
//! Areas carry a `role` of `fairway`, `no-turn`, or something to keep off (`bunker`, `water`,
//! `green` and so on), lines `hole` (drawn from tee to green), points `way-in`,
//! `sprinkler-head` and `yardage-plate`;
//! OpenStreetMap's open tags are understood as they stand. Lines with a `width` and trees with a
//! `diameter_crown` are ground too; a stream is crossed only at a `bridge`, a `path` with the
//! reels up. `ref` (else `name`) names a fairway; polygons of one name near each other are one
//! fairway of several parts. A bare polygon by itself is a fairway.
//!
//! From any reader come [`Features`]; what each feature is, is decided once for all formats, and
//! [`CourseFile::accounts`] says what became of every one: used, or left aside for a reason.
//!
//! Limits: [`crate::input::MAX_BYTES`], [`crate::input::MAX_NESTING`], [`MAX_FEATURES`],
//! [`MAX_POSITIONS`], and those of [`crossgrain_core::inside::ground`] for one fairway.

mod account;
mod assemble;
mod crew;
mod drawings;
mod error;
pub(crate) mod feature;
pub(crate) mod geojson;
mod holes;
mod judged;
mod labels;
pub(crate) mod limits;
mod names;
mod notice;
mod place;
mod plotted;
mod position;
pub(crate) mod problem;
mod reading;
mod role;
pub(crate) mod roles;
mod strokes;
mod tags;
mod touches;

pub use account::{Account, Fate};
pub use crew::{CrewWords, Fixture, FixtureKind, MAX_CREW_WORDS};
pub use drawings::{
    BarePolygons, DEFAULT_BRIDGE_M, DEFAULT_CROWN_M, DEFAULT_FENCE_M, DEFAULT_HEDGE_M,
    DEFAULT_PATH_M, DEFAULT_RIVER_M, DEFAULT_STREAM_M, MAX_LINE_WIDTH_M,
};
pub use error::CourseError;
pub use feature::{Feature, Features, Geometry, Ring};
pub use limits::{
    COURSE_RANGE_M, FEATURE_RANGE_M, MAX_FAIRWAYS, MAX_FEATURES, MAX_HOLE_POSITIONS, MAX_HOLES,
    MAX_POSITIONS,
};
pub use notice::{Notice, Weight};
pub use place::{MAX_COURSE_M, MAX_FAIRWAY_M2, MIN_FAIRWAY_M2};
pub use position::{Doubt, Positions, shown_place};
pub use problem::{FeatureRef, Problem, ProblemKind, ProblemList};

use crate::files::words::{self, SaidRoles};
use crate::files::{self, Found, Loaded};
use crate::input::{self, InputError};
use account::Ledger;
use crossgrain_core::Course;
use crossgrain_core::Plane;
use reading::Reading;
use std::path::Path;

/// A course read from a file, with everything the user should know about the reading.
#[derive(Debug, Clone)]
pub struct CourseFile {
    /// The course.
    pub course: Course,
    /// The plane its metres are measured in.
    pub plane: Plane,
    /// What was repaired, guessed or left aside.
    pub notices: Vec<Notice>,
    /// For each fairway, the features of the file it was made from, 0 first.
    pub sources: Vec<Vec<usize>>,
    /// Fairways whose ground is at fault, with all that is wrong with each; they are left out.
    pub refused: Vec<RefusedFairway>,
    /// Fairways whose name the file does not give, so that somebody has to confirm it.
    pub unconfirmed: Vec<String>,
    /// What became of every feature of the file, in its order.
    pub accounts: Vec<Account>,
    /// What stands in the turf.
    pub fixtures: Vec<Fixture>,
    /// What the file tells the crew.
    pub crew: CrewWords,
}

/// A fairway whose ground is at fault.
#[derive(Debug, Clone, PartialEq)]
pub struct RefusedFairway {
    /// Its name.
    pub name: String,
    /// What is wrong; at least one.
    pub problems: Vec<Problem>,
}

/// What a reader cannot know from the file.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ReadOptions {
    /// Which areas without a role are fairways.
    pub bare_polygons: BarePolygons,
    /// Which of the two numbers of a GeoJSON position comes first, if the user says so.
    pub positions: Positions,
    /// Roles that the user says.
    pub roles: SaidRoles,
}

/// Reads a course file.
///
/// # Errors
/// [`CourseError`] with file, feature, coordinate and what to do.
pub fn open(path: &Path) -> Result<CourseFile, CourseError> {
    open_with(path, &ReadOptions::default())
}

/// The same, told what the file does not say.
///
/// # Errors
/// [`CourseError`] with file, feature, coordinate and what to do.
pub fn open_with(path: &Path, options: &ReadOptions) -> Result<CourseFile, CourseError> {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let file = input::shown(path);
    match files::load(path).map_err(CourseError::from)? {
        Loaded::Json(text) => read_with(&text, &file, &stem, options),
        Loaded::Features(found) => read_found(found, &file, &stem, options),
    }
}

/// The course that the features of any other format make, once their words have been read.
///
/// # Errors
/// [`CourseError`] with all problems found.
pub fn read_found(
    found: Found,
    file: &str,
    name: &str,
    options: &ReadOptions,
) -> Result<CourseFile, CourseError> {
    let mut list = found.features;
    words::assign(&mut list, &options.roles, true);
    let features = Features {
        list,
        ..Features::default()
    };
    // These formats say themselves which number comes first.
    let options = ReadOptions {
        positions: Positions::LonLat,
        ..options.clone()
    };
    let mut read = read_features(features, file, name, &options)?;
    read.notices
        .splice(0..0, found.notes.into_iter().map(Notice::OfFile));
    Ok(read)
}

/// The roles that areas can have, as files write them.
pub fn area_roles() -> Vec<&'static str> {
    tags::ROLES
        .iter()
        .map(|r| r.0)
        .filter(|r| !matches!(*r, "hole" | "way-in" | "sprinkler-head" | "yardage-plate"))
        .collect()
}

/// Whether a word is one of [`area_roles`].
pub fn is_area_role(word: &str) -> bool {
    area_roles().contains(&word)
}

/// Reads a course from text; `file` is the name that errors show, `name` the course's name
/// unless the file has one.
///
/// # Errors
/// [`CourseError`] with all problems found.
///
/// ```
/// let text = r#"{"type": "Polygon", "coordinates":
///   [[[5.0, 45.0], [5.002, 45.0], [5.002, 45.0004], [5.0, 45.0004], [5.0, 45.0]]]}"#;
/// let read = crossgrain_formats::course::read(text, "strip.geojson", "strip").unwrap();
/// assert_eq!(read.course.fairways[0].name(), "unnamed A");
/// ```
pub fn read(text: &str, file: &str, name: &str) -> Result<CourseFile, CourseError> {
    read_with(text, file, name, &ReadOptions::default())
}

/// The same, told what the file does not say.
///
/// # Errors
/// [`CourseError`] with all problems found.
pub fn read_with(
    text: &str,
    file: &str,
    name: &str,
    options: &ReadOptions,
) -> Result<CourseFile, CourseError> {
    let value = match input::json(text, file) {
        Ok(v) => v,
        Err(InputError::NotJson {
            hint: None,
            file,
            line,
            column,
            reason,
        }) => {
            return Err(CourseError::Input(InputError::NotJson {
                hint: Some("correct that place, or export the course as GeoJSON again"),
                file,
                line,
                column,
                reason,
            }));
        }
        Err(e) => return Err(CourseError::Input(e)),
    };
    let mut found = geojson::features(&value, options.positions)
        .map_err(|kind| CourseError::one(file, kind))?;
    words::assign(&mut found.list, &options.roles, false);
    read_features(found, file, name, options)
}

/// The course that features from any reader make: one decision on each feature, and an account
/// of what became of it.
///
/// # Errors
/// [`CourseError`] with all problems found.
///
/// ```
/// use crossgrain_formats::course::{Fate, Feature, FeatureRef, Features, Geometry, read_features};
/// use serde_json::json;
///
/// let strip = vec![[5.0, 45.0], [5.002, 45.0], [5.002, 45.0004], [5.0, 45.0004], [5.0, 45.0]];
/// let feature = |index: usize, properties: serde_json::Value, geometry: Geometry| Feature {
///     source: FeatureRef { index, path: format!("record {index}"), name: None },
///     id: None,
///     properties: properties.as_object().cloned().unwrap_or_default(),
///     geometry: vec![geometry],
/// };
/// let features = Features {
///     list: vec![
///         feature(0, json!({"role": "fairway", "name": "7"}), Geometry::Polygons(vec![vec![strip]])),
///         feature(1, json!({"amenity": "bench"}), Geometry::Points(vec![[5.001, 45.0002]])),
///     ],
///     ..Features::default()
/// };
/// let read = read_features(features, "course.shp", "course", &Default::default()).unwrap();
/// assert_eq!(read.accounts[0].fate, Fate::UsedAs("fairway"));
/// assert!(matches!(&read.accounts[1].fate, Fate::LeftAside { touches: Some(f), .. } if f == "7"));
/// ```
pub fn read_features(
    found: Features,
    file: &str,
    name: &str,
    options: &ReadOptions,
) -> Result<CourseFile, CourseError> {
    let mut features = found.list;
    for (index, f) in features.iter_mut().enumerate() {
        f.source.index = index;
        f.source.name = labels::label(&f.properties).map(|n| labels::clean(&n).0);
    }
    let mut ledger = Ledger::new(features.len());
    let mut sorting = drawings::sort(&features, options.bare_polygons, &mut ledger);
    // What the reader found comes first, in the order of the file.
    sorting.problems.splice(0..0, found.problems);
    let mut reading = Reading::new(file, &features, sorting, ledger);
    reading.stop_on_problems()?;
    let title = found.name.unwrap_or_else(|| name.to_string());
    let mut read = reading.assemble(labels::clean(&title).0, options.positions)?;
    read.crew = found.crew;
    Ok(read)
}

/// Every role with the words for what it becomes; for the reference.
#[cfg(test)]
pub(crate) fn roles_known() -> impl Iterator<Item = (&'static str, &'static str)> {
    tags::ROLES.iter().map(|(word, meaning)| {
        (
            *word,
            match meaning {
                tags::Word::Use(role) => role.word(),
                tags::Word::Aside(why) => why,
            },
        )
    })
}

#[cfg(test)]
#[path = "course/tests.rs"]
mod tests;
