//! One feature of a course file as any reader hands it on: nothing decided yet.
//!
//! A reader turns its file into [`Features`]; what each feature is, and whether it is used, is
//! decided in one place for all formats ([`super::read_features`]).

use super::crew::CrewWords;
use super::problem::{FeatureRef, Problem};
use serde_json::{Map, Value};

/// Under this property a feature carries the names of its folders and its layer, the innermost
/// first.
pub(crate) const PLACED_IN: &str = "crossgrain:placed-in";
/// Under this property stands why a feature was taken for what it is.
pub(crate) const TAKEN_FROM: &str = "crossgrain:taken-from";

/// A line or a ring of longitudes and latitudes, degrees; a ring repeats its first position.
pub type Ring = Vec<[f64; 2]>;

/// What a feature draws, longitudes and latitudes in degrees.
#[derive(Debug, Clone, PartialEq)]
pub enum Geometry {
    /// Areas, each an exterior and its holes.
    Polygons(Vec<Vec<Ring>>),
    /// Lines.
    Lines(Vec<Ring>),
    /// Points.
    Points(Vec<[f64; 2]>),
}

impl Geometry {
    /// Every position, in order.
    pub fn positions(&self) -> Box<dyn Iterator<Item = [f64; 2]> + '_> {
        match self {
            Geometry::Polygons(list) => Box::new(list.iter().flatten().flatten().copied()),
            Geometry::Lines(list) => Box::new(list.iter().flatten().copied()),
            Geometry::Points(list) => Box::new(list.iter().copied()),
        }
    }

    /// What it is called in messages.
    pub fn word(&self) -> &'static str {
        match self {
            Geometry::Polygons(_) => "area",
            Geometry::Lines(_) => "line",
            Geometry::Points(_) => "point",
        }
    }
}

/// One feature.
#[derive(Debug, Clone, PartialEq)]
pub struct Feature {
    /// Where it stands in the file; its index is its place in [`Features::list`].
    pub source: FeatureRef,
    /// The identifier that the file gives it, such as `way/123` or a record's number.
    pub id: Option<String>,
    /// What the file says of it: texts and numbers by key. Keys are compared without regard to
    /// capitals, because some formats know capitals only.
    pub properties: Map<String, Value>,
    /// What it draws; nothing, one geometry, or the members of a collection.
    pub geometry: Vec<Geometry>,
}

/// All features of a file.
#[derive(Debug, Default)]
pub struct Features {
    /// The course's name, if the file has one.
    pub name: Option<String>,
    /// What the file tells the crew.
    pub crew: CrewWords,
    /// Every feature, in the order of the file. Also those with a problem, so that none is lost.
    pub list: Vec<Feature>,
    /// What the reader found wrong.
    pub problems: Vec<Problem>,
}
