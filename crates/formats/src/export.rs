//! A plan's drive for other programs: GPX, KML, GeoJSON, DXF, GeoPackage, ISO 11783-10.
//!
//! [`Drives::read`] takes a plan file apart into passes (reels down) and ways (reels up); each
//! format has a file of its own that writes them. Arcs become chords that stay within a
//! tolerance of them, except in DXF, which knows arcs. Positions carry nine decimals of a degree,
//! a tenth of a millimetre.
//!
//! Formats and their standards: GPX 1.1 (Topografix schema), KML 2.2 (OGC 07-147r2), GeoJSON
//! (RFC 7946), DXF release 12 (the vendor's DXF reference), GeoPackage 1.3 (OGC 12-128r17),
//! ISO 11783-10 version 4.

mod drive;
mod dxf;
mod geojson;
#[cfg(feature = "geopackage")]
mod geopackage;
mod gpx;
mod kml;
mod taskdata;
mod xml;

pub use drive::{Drives, FairwayDrive, KeptOut, Run};
pub use gpx::MAX_ROUTE_POINTS;

use jiff::Timestamp;
use std::fmt;

/// Chords stay this near to the arcs they stand for unless another tolerance is asked for, metres.
/// A receiver held by hand is wrong by more, one with corrections by about as much.
pub const DEFAULT_TOLERANCE_M: f64 = 0.01;
/// Tightest and widest tolerance, metres: below, files grow without use; above, loops lose their
/// shape.
pub const TOLERANCE_M: (f64, f64) = (0.001, 1.0);
/// When the first mow starts unless told: a time that nobody takes for a real one.
pub const DEFAULT_START: &str = "2000-01-01T00:00:00Z";

/// What a drive is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// GPX 1.1.
    Gpx,
    /// KML 2.2.
    Kml,
    /// GeoJSON.
    GeoJson,
    /// ISO 11783-10 `TASKDATA.XML`, version 4.
    IsoXml,
    /// DXF release 12.
    Dxf,
    /// GeoPackage 1.3.
    GeoPackage,
}

impl Format {
    /// All of them, in the order that help lists them.
    pub const ALL: [Format; 6] = [
        Format::Gpx,
        Format::Kml,
        Format::GeoJson,
        Format::IsoXml,
        Format::Dxf,
        Format::GeoPackage,
    ];

    /// The word on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Format::Gpx => "gpx",
            Format::Kml => "kml",
            Format::GeoJson => "geojson",
            Format::IsoXml => "isoxml",
            Format::Dxf => "dxf",
            Format::GeoPackage => "geopackage",
        }
    }

    /// The format a word means.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|f| f.word().eq_ignore_ascii_case(word))
    }

    /// The file's name when none is asked for. ISO 11783-10 fixes its own.
    pub fn file_name(self, stem: &str) -> String {
        match self {
            Format::IsoXml => "TASKDATA.XML".to_string(),
            Format::GeoPackage => format!("{stem}.gpkg"),
            other => format!("{stem}.{}", other.word()),
        }
    }
}

/// What an export may be told.
#[derive(Debug, Clone)]
pub struct Options {
    /// Chords stay this near to the arcs they stand for, metres.
    pub tolerance_m: f64,
    /// When the first mow starts; the others follow one another.
    pub start: Timestamp,
}

/// A written file, and what to say about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Export {
    /// The file's bytes.
    pub bytes: Vec<u8>,
    /// What is in it, by layer, in the order of the file.
    pub layers: Vec<Layer>,
    /// What the format cannot say.
    pub notes: Vec<&'static str>,
}

/// One kind of thing in a written file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// What they are.
    pub name: &'static str,
    /// How many.
    pub count: usize,
    /// Their length together as it is in the file, metres in the course's plane: that of the
    /// chords where arcs became chords. Zero for areas.
    pub length_m: f64,
}

/// Why nothing was exported.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ExportError {
    /// The format is not in this build.
    NotBuilt {
        /// The format.
        format: &'static str,
    },
    /// The plan lies where the format's longitudes break.
    Antimeridian {
        /// The fairway.
        fairway: String,
    },
    /// The plan's origin is no place on Earth.
    Origin,
    /// The library that writes the file failed.
    Library {
        /// Its reason.
        reason: String,
    },
}

impl fmt::Display for ExportError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ExportError::NotBuilt { format } => write!(
                f,
                "this build cannot write {format}; build it with --features all-formats"
            ),
            ExportError::Antimeridian { fairway } => write!(
                f,
                "fairway '{fairway}' lies across longitude 180, where lines in degrees break; export it as dxf, which is in metres"
            ),
            ExportError::Origin => write!(
                f,
                "the plan's origin is no longitude and latitude; plan the course again"
            ),
            ExportError::Library { reason } => write!(
                f,
                "the file could not be made ({reason}); export to another format"
            ),
        }
    }
}

impl std::error::Error for ExportError {}

/// Writes the drives in a format.
///
/// # Errors
/// [`ExportError`] with the reason and what to do.
pub fn export(drives: &Drives, format: Format, options: &Options) -> Result<Export, ExportError> {
    match format {
        Format::Gpx => gpx::write(drives, options),
        Format::Kml => kml::write(drives, options),
        Format::GeoJson => geojson::write(drives, options),
        Format::IsoXml => taskdata::write(drives, options),
        Format::Dxf => Ok(dxf::write(drives)),
        #[cfg(feature = "geopackage")]
        Format::GeoPackage => geopackage::write(drives, options),
        #[cfg(not(feature = "geopackage"))]
        Format::GeoPackage => Err(ExportError::NotBuilt {
            format: format.word(),
        }),
    }
}

#[cfg(test)]
mod tests;
