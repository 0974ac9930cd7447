//! Why a course file of another program could not be read.

use super::limits::{MAX_DEPTH, MAX_ENTRIES, MAX_INFLATED, MAX_LAYERS, MAX_NODES};
use crate::course::problem::ProblemList;
use crate::input::InputError;
use crate::systems::SystemError;
use std::fmt;

const AGAIN: &str = "export it again, or copy it again if it was cut short";

/// A fault, and the file it was found in.
#[derive(Debug)]
pub struct FileError {
    /// The file, and the part of it where one is meant.
    pub file: String,
    /// What is wrong.
    pub fault: FileFault,
}

/// What is wrong with a file.
#[derive(Debug)]
pub enum FileFault {
    /// It cannot be read, is too large or no text.
    Input(InputError),
    /// Of another kind than any that is read.
    Other(&'static str),
    /// Its kind is read, but not by this build.
    NotBuilt {
        /// What it lacks.
        what: &'static str,
    },
    /// No areas, lines or points in it.
    Nothing,
    /// More of something than a course can have.
    TooMany {
        /// Of what.
        what: &'static str,
        /// The limit.
        limit: usize,
    },
    /// A part of a shapefile.
    Part,
    /// XML that cannot be used.
    Xml(XmlFault),
    /// An archive that cannot be read.
    Archive {
        /// Why.
        reason: &'static str,
    },
    /// An archive that holds more than [`MAX_INFLATED`].
    Inflates,
    /// An archive with more than [`MAX_ENTRIES`].
    Entries,
    /// A folder or archive with more than [`MAX_LAYERS`], or with none.
    Layers {
        /// How many.
        count: usize,
    },
    /// A shapefile, or its table, whose bytes do not say what they should.
    Shapefile {
        /// Which record, 1 first; none for the file as a whole.
        record: Option<usize>,
        /// What is wrong.
        what: &'static str,
    },
    /// A shapefile in map coordinates, and nothing that says which.
    NoDefinition,
    /// A database that is no GeoPackage, or a damaged one.
    GeoPackage {
        /// The layer, where one is meant.
        layer: Option<String>,
        /// What is wrong.
        what: String,
    },
    /// A layer in GeoJSON.
    Json(ProblemList),
    /// Its coordinate system.
    System(SystemError),
}

/// What is wrong with XML.
#[derive(Debug)]
pub enum XmlFault {
    /// Not in the encoding it says.
    Text {
        /// The first byte that is not.
        byte: usize,
    },
    /// Not well-formed.
    Malformed {
        /// Line, 1 first.
        line: u32,
        /// Column, 1 first.
        column: u32,
        /// The reader's reason.
        reason: String,
    },
    /// It has definitions of its own, which can be made to grow without bound.
    Definitions,
    /// Nested deeper than [`MAX_DEPTH`].
    Depth,
    /// More than [`MAX_NODES`] nodes.
    Nodes,
    /// A line that does not say what it should.
    Content {
        /// Line, 1 first.
        line: u32,
        /// What is wrong there.
        what: String,
    },
}

impl From<XmlFault> for FileFault {
    fn from(e: XmlFault) -> Self {
        FileFault::Xml(e)
    }
}

impl From<SystemError> for FileFault {
    fn from(e: SystemError) -> Self {
        FileFault::System(e)
    }
}

impl fmt::Display for FileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // It names the file itself.
        match &self.fault {
            FileFault::Input(e) => return e.fmt(f),
            FileFault::Json(e) => return e.fmt(f),
            _ => {}
        }
        write!(f, "{}: {}", self.file, self.fault)
    }
}

impl fmt::Display for FileFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FileFault::Input(e) => e.fmt(f),
            FileFault::Other(what) => write!(
                f,
                "this is {what}; export the course as GeoJSON, KML, GPX, shapefile or GeoPackage"
            ),
            FileFault::NotBuilt { what } => write!(
                f,
                "this build reads no {what}; build it with --features all-formats, or export the course as GeoJSON"
            ),
            FileFault::Nothing => write!(
                f,
                "there are no areas, lines or points in it; draw the fairways and export again"
            ),
            FileFault::TooMany { what, limit } => write!(
                f,
                "more than {limit} {what}; export only the course, or simplify the outlines"
            ),
            FileFault::Part => write!(
                f,
                "this belongs to a shapefile; name its .shp file, or the folder they are in"
            ),
            FileFault::Xml(e) => e.fmt(f),
            FileFault::Archive { reason } => {
                write!(
                    f,
                    "the archive cannot be used: {reason}; pack it again as a plain zip"
                )
            }
            FileFault::Inflates => write!(
                f,
                "the archive holds more than {} MB; pack only the course",
                MAX_INFLATED / (1024 * 1024)
            ),
            FileFault::Entries => write!(
                f,
                "the archive holds more than {MAX_ENTRIES} files; pack only the course"
            ),
            FileFault::Layers { count: 0 } => write!(
                f,
                "no file in it is a course or a layer of one (.kml, .kmz, .gpx, .shp, .gpkg, .geojson); put the layers there"
            ),
            FileFault::Layers { count } => write!(
                f,
                "{count} layers; at most {MAX_LAYERS} are read: leave only those of the course"
            ),
            FileFault::Shapefile { record, what } => {
                if let Some(r) = record {
                    write!(f, "record {r}: ")?;
                }
                write!(f, "{what}; {AGAIN}")
            }
            FileFault::NoDefinition => write!(
                f,
                "the coordinates are no degrees, and no .prj file says what they are; export it again with its .prj, or in WGS 84 longitude and latitude (EPSG:4326)"
            ),
            FileFault::GeoPackage { layer, what } => {
                if let Some(layer) = layer {
                    write!(f, "layer '{layer}': ")?;
                }
                write!(
                    f,
                    "{what}; export the layers again as a GeoPackage, or as GeoJSON"
                )
            }
            FileFault::Json(e) => e.fmt(f),
            FileFault::System(e) => e.fmt(f),
        }
    }
}

impl fmt::Display for XmlFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            XmlFault::Text { byte } => write!(
                f,
                "byte {byte} is not UTF-8 text; save it as UTF-8, or export it again"
            ),
            XmlFault::Malformed {
                line,
                column,
                reason,
            } => write!(
                f,
                "not well-formed XML at line {line}, column {column} ({reason}); {AGAIN}"
            ),
            XmlFault::Definitions => write!(
                f,
                "it carries definitions of its own (DOCTYPE), which are not read; export it again without them"
            ),
            XmlFault::Depth => write!(
                f,
                "elements nested deeper than {MAX_DEPTH}; this is no course file"
            ),
            XmlFault::Nodes => write!(
                f,
                "more than {MAX_NODES} elements and texts; export only the course"
            ),
            XmlFault::Content { line, what } => {
                write!(
                    f,
                    "line {line}: {what}; correct that place, or draw it again"
                )
            }
        }
    }
}

impl std::error::Error for FileError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match &self.fault {
            FileFault::Input(e) => Some(e),
            FileFault::System(e) => Some(e),
            _ => None,
        }
    }
}
