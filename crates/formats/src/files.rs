//! Course files of every kind that is read, told apart by their content: GeoJSON, KML and KMZ,
//! GPX, ESRI shapefile, GeoPackage, and folders or archives of layers.
//!
//! Each reader hands on raw features ([`crate::course::Feature`]) in longitude and latitude with
//! what the file says of them; their roles are found in `words` where the file has none, and
//! decided, as for GeoJSON, in [`crate::course`]. Nothing here trusts a length, a count or a name
//! that a file gives: limits are checked before anything grows with them.

mod archive;
pub(crate) mod fault;
#[cfg(feature = "geopackage")]
mod geopackage;
pub(crate) mod gpx;
mod kml;
mod layers;
mod limits;
mod positions;
mod shapefile;
mod table;
#[cfg(feature = "geopackage")]
mod well_known_binary;
pub(crate) mod words;
pub(crate) mod xml;

pub use fault::{FileError, FileFault, XmlFault};
pub use limits::{MAX_DEPTH, MAX_ENTRIES, MAX_INFLATED, MAX_LAYERS, MAX_NODES};
pub use words::SaidRoles;

use crate::course::feature::{Feature, Geometry};
use crate::course::limits::{MAX_FEATURES, MAX_POSITIONS};
use crate::course::problem::FeatureRef;
use crate::input::{self, MAX_BYTES};
use serde_json::{Map, Value};
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// What a file holds, before anything is decided.
#[derive(Debug)]
pub enum Loaded {
    /// GeoJSON, to be read by its own reader.
    Json(String),
    /// Features of any other format.
    Features(Found),
}

/// Features of a file or of several layers.
#[derive(Debug, Default)]
pub struct Found {
    /// The features, in the order of the file.
    pub features: Vec<Feature>,
    /// What the user should know of the reading.
    pub notes: Vec<String>,
    positions: usize,
}

impl Found {
    /// Takes one feature; `path` says where it stands in the file.
    fn push(
        &mut self,
        path: String,
        properties: Map<String, Value>,
        geometry: Vec<Geometry>,
    ) -> Result<(), FileFault> {
        self.positions += geometry
            .iter()
            .map(|g| g.positions().count())
            .sum::<usize>();
        if self.positions > MAX_POSITIONS {
            return Err(FileFault::TooMany {
                what: "positions",
                limit: MAX_POSITIONS,
            });
        }
        if self.features.len() >= MAX_FEATURES {
            return Err(FileFault::TooMany {
                what: "features",
                limit: MAX_FEATURES,
            });
        }
        self.features.push(Feature {
            source: FeatureRef {
                index: self.features.len(),
                path,
                name: None,
            },
            id: None,
            properties,
            geometry,
        });
        Ok(())
    }

    fn note(&mut self, note: String) {
        if !self.notes.contains(&note) {
            self.notes.push(note);
        }
    }

    fn append(&mut self, other: Found) -> Result<(), FileFault> {
        for f in other.features {
            self.push(f.source.path, f.properties, f.geometry)?;
        }
        for n in other.notes {
            self.note(n);
        }
        Ok(())
    }
}

/// What a file's first bytes say it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Content {
    Archive,
    Sqlite,
    Shapefile,
    Xml,
    Json,
    Other(&'static str),
}

fn content(bytes: &[u8]) -> Content {
    let starts = |s: &[u8]| bytes.starts_with(s);
    if starts(b"PK\x03\x04") || starts(b"PK\x05\x06") {
        return Content::Archive;
    }
    if starts(b"SQLite format 3\0") {
        return Content::Sqlite;
    }
    if starts(&[0, 0, 0x27, 0x0a]) && bytes.len() >= 32 {
        return Content::Shapefile;
    }
    for (magic, what) in [
        (&b"%PDF"[..], "a PDF"),
        (b"AC10", "a DWG drawing"),
        (b"\x89PNG", "a picture"),
        (b"\xff\xd8\xff", "a picture"),
        (b"II*\0", "a picture"),
        (b"MM\0*", "a picture"),
        (b"\x1f\x8b", "a gzip archive"),
        (b"7z\xbc\xaf", "a 7z archive"),
        (b"Rar!", "a RAR archive"),
    ] {
        if starts(magic) {
            return Content::Other(what);
        }
    }
    // UTF-16, where every other byte of the markup is zero.
    if starts(b"\xff\xfe<\0") || starts(b"\xfe\xff\0<") {
        return Content::Xml;
    }
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    match text.iter().find(|b| !b.is_ascii_whitespace()) {
        Some(b'<') => Content::Xml,
        _ => Content::Json,
    }
}

/// Reads a file or a folder of layers.
///
/// # Errors
/// [`FileError`] with the file, the place and what to do.
pub fn load(path: &Path) -> Result<Loaded, FileError> {
    if path.is_dir() {
        return layers::folder(path).map(Loaded::Features);
    }
    let shown = input::shown(path);
    if layers::is_part(path) && path.is_file() {
        return Err(FileError {
            file: shown,
            fault: FileFault::Part,
        });
    }
    let bytes = read(path)?;
    let companions = layers::beside(path);
    load_bytes(bytes, &shown, &stem(path), &companions)
}

/// A file's name without its ending.
fn stem(path: &Path) -> String {
    input::plain(&path.file_stem().unwrap_or_default().to_string_lossy())
}

/// The whole file, within [`MAX_BYTES`].
pub(crate) fn read(path: &Path) -> Result<Vec<u8>, FileError> {
    let file = input::shown(path);
    let fail = |source| FileError {
        file: file.clone(),
        fault: FileFault::Input(input::InputError::Io {
            file: file.clone(),
            source,
        }),
    };
    let mut bytes = Vec::new();
    File::open(path)
        .map_err(fail)?
        // One byte more than allowed tells a full file from one that is too large.
        .take(MAX_BYTES as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(fail)?;
    if bytes.len() > MAX_BYTES {
        return Err(FileError {
            fault: FileFault::Input(input::InputError::TooLarge { file: file.clone() }),
            file,
        });
    }
    Ok(bytes)
}

/// What the companions of a shapefile hold, however they are kept.
pub trait Companions {
    /// The bytes of the companion with this ending (`dbf`, `prj`, `cpg`), if there is one.
    ///
    /// # Errors
    /// [`FileError`] when it is there and cannot be read.
    fn get(&self, ending: &str) -> Result<Option<Vec<u8>>, FileError>;
}

/// A file that stands alone.
#[derive(Debug, Clone, Copy)]
pub struct NoCompanions;

impl Companions for NoCompanions {
    fn get(&self, _: &str) -> Result<Option<Vec<u8>>, FileError> {
        Ok(None)
    }
}

/// Reads the bytes of one file; `file` is the name that errors show, `layer` what the file or
/// layer is called, which may give its features their role.
///
/// # Errors
/// [`FileError`] with the place and what to do.
///
/// ```
/// use crossgrain_formats::files::{Loaded, NoCompanions, load_bytes};
/// let kml = br#"<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark><name>Fairway 7</name>
///   <Polygon><outerBoundaryIs><LinearRing><coordinates>5,45 5.002,45 5.002,45.0004 5,45
///   </coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></kml>"#;
/// let Ok(Loaded::Features(found)) = load_bytes(kml.to_vec(), "c.kml", "c", &NoCompanions) else {
///     panic!("it is KML");
/// };
/// assert_eq!(found.features[0].properties["name"], "Fairway 7");
/// ```
pub fn load_bytes(
    bytes: Vec<u8>,
    file: &str,
    layer: &str,
    companions: &dyn Companions,
) -> Result<Loaded, FileError> {
    let fail = |fault| FileError {
        file: file.to_string(),
        fault,
    };
    let mut found = Found::default();
    match content(&bytes) {
        Content::Json => {
            return String::from_utf8(bytes).map(Loaded::Json).map_err(|e| {
                fail(FileFault::Input(input::InputError::NotText {
                    file: file.to_string(),
                    byte: e.utf8_error().valid_up_to(),
                }))
            });
        }
        Content::Archive => return layers::archive(&bytes, file, layer).map(Loaded::Features),
        Content::Shapefile => shapefile::read(&bytes, file, layer, companions, &mut found)?,
        Content::Xml => {
            let text = xml::text(bytes).map_err(fail)?;
            let doc = xml::parse(&text).map_err(fail)?;
            match doc.root_element().tag_name().name() {
                "kml" => kml::read(&doc, layer, &mut found).map_err(fail)?,
                "gpx" => gpx::read(&doc, &mut found).map_err(fail)?,
                "osm" => return Err(fail(FileFault::Other("an OpenStreetMap file"))),
                "html" => return Err(fail(FileFault::Other("a web page"))),
                _ => return Err(fail(FileFault::Other("XML of another kind"))),
            }
        }
        #[cfg(feature = "geopackage")]
        Content::Sqlite => geopackage::read(&bytes, layer, &mut found).map_err(fail)?,
        #[cfg(not(feature = "geopackage"))]
        Content::Sqlite => {
            return Err(fail(FileFault::NotBuilt {
                what: "GeoPackages",
            }));
        }
        Content::Other(what) => return Err(fail(FileFault::Other(what))),
    }
    if found.features.is_empty() {
        return Err(fail(FileFault::Nothing));
    }
    Ok(Loaded::Features(found))
}

#[cfg(test)]
mod tests;
