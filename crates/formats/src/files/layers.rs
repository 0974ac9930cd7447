//! Several layers at once: a folder, or an archive, of files that each hold a layer.

use super::limits::MAX_LAYERS;
use super::{Companions, FileError, FileFault, Found, Loaded, archive, load_bytes, read, stem};
use crate::course::feature::PLACED_IN;
use crate::course::geojson;
use crate::input;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

/// Endings of files that hold a layer or a course.
const LAYERS: [&str; 7] = ["shp", "kml", "kmz", "gpx", "gpkg", "geojson", "json"];
/// Endings of what belongs to a shapefile.
const PARTS: [&str; 4] = ["dbf", "prj", "cpg", "shx"];

/// Whether a file is one of those.
pub(super) fn is_part(path: &Path) -> bool {
    PARTS.contains(&ending(path).as_str())
}

fn ending(path: &Path) -> String {
    path.extension()
        .and_then(OsStr::to_str)
        .unwrap_or_default()
        .to_ascii_lowercase()
}

/// The companions of a file in its folder, whatever their capitals.
pub(super) struct Beside {
    file: PathBuf,
}

pub(super) fn beside(file: &Path) -> Beside {
    Beside {
        file: file.to_path_buf(),
    }
}

impl Companions for Beside {
    fn get(&self, ending: &str) -> Result<Option<Vec<u8>>, FileError> {
        for e in [ending.to_string(), ending.to_ascii_uppercase()] {
            let path = self.file.with_extension(e);
            if path.is_file() {
                return read(&path).map(Some);
            }
        }
        Ok(None)
    }
}

/// The companions of a file in an archive.
struct Packed<'a> {
    files: &'a [(String, Vec<u8>)],
    name: &'a str,
}

impl Companions for Packed<'_> {
    fn get(&self, wanted: &str) -> Result<Option<Vec<u8>>, FileError> {
        let stem = Path::new(self.name).with_extension("");
        Ok(self
            .files
            .iter()
            .find(|(n, _)| {
                let path = Path::new(n);
                path.with_extension("") == stem && ending(path) == wanted
            })
            .map(|(_, b)| b.clone()))
    }
}

/// Reads every layer of a folder, in the order of their names.
pub(super) fn folder(path: &Path) -> Result<Found, FileError> {
    let shown = input::shown(path);
    let fail = |source| FileError {
        file: shown.clone(),
        fault: FileFault::Input(input::InputError::Io {
            file: shown.clone(),
            source,
        }),
    };
    let mut files: Vec<PathBuf> = Vec::new();
    for entry in std::fs::read_dir(path).map_err(fail)? {
        let file = entry.map_err(fail)?.path();
        if file.is_file() && LAYERS.contains(&ending(&file).as_str()) {
            files.push(file);
        }
    }
    files.sort();
    let mut out = Found::default();
    let count = files.len();
    if count == 0 || count > MAX_LAYERS {
        return Err(FileError {
            file: shown,
            fault: FileFault::Layers { count },
        });
    }
    for file in files {
        let bytes = read(&file)?;
        let name = file.file_name().unwrap_or_default().to_string_lossy();
        let found = layer(bytes, &input::plain(&name), &stem(&file), &beside(&file))?;
        out.append(found).map_err(|fault| FileError {
            file: shown.clone(),
            fault,
        })?;
    }
    Ok(out)
}

/// Reads every layer of an archive, in the order of their names; of a KMZ only its document.
pub(super) fn archive(bytes: &[u8], file: &str, called: &str) -> Result<Found, FileError> {
    let fail = |fault| FileError {
        file: file.to_string(),
        fault,
    };
    let wanted = |name: &str| {
        let path = Path::new(name);
        let e = ending(path);
        // What one system packs beside the files themselves.
        let hidden = name
            .split('/')
            .any(|p| p.starts_with('.') || p == "__MACOSX");
        // No archives within archives.
        !hidden && (LAYERS.contains(&e.as_str()) && e != "kmz" || PARTS.contains(&e.as_str()))
    };
    let mut files = archive::unpack(bytes, &wanted).map_err(fail)?;
    files.sort();
    let mut names: Vec<&str> = files
        .iter()
        .map(|f| f.0.as_str())
        .filter(|n| LAYERS.contains(&ending(Path::new(n)).as_str()))
        .collect();
    // A KMZ has one document, called doc.kml by custom; others in it are what links lead to.
    if let Some(doc) = names.iter().find(|n| n.eq_ignore_ascii_case("doc.kml")) {
        names = vec![doc];
    }
    if names.is_empty() || names.len() > MAX_LAYERS {
        return Err(fail(FileFault::Layers { count: names.len() }));
    }
    let mut out = Found::default();
    let alone = names.len() == 1;
    for name in names {
        let Some(content) = files.iter().find(|f| f.0 == name) else {
            continue;
        };
        // A single layer is called as the archive is, unless its own name says more.
        let own = stem(Path::new(name));
        let layer_name = if alone && own == "doc" { called } else { &own };
        let shown = format!("{file}, {name}");
        let packed = Packed {
            files: &files,
            name,
        };
        let found = layer(content.1.clone(), &shown, layer_name, &packed)?;
        out.append(found).map_err(fail)?;
    }
    Ok(out)
}

/// One layer; GeoJSON too, which has a reader of its own.
fn layer(
    bytes: Vec<u8>,
    file: &str,
    name: &str,
    companions: &dyn Companions,
) -> Result<Found, FileError> {
    match load_bytes(bytes, file, name, companions)? {
        Loaded::Features(mut found) => {
            for f in &mut found.features {
                if !f.source.path.starts_with(file) {
                    f.source.path = format!("{file} {}", f.source.path);
                }
                f.properties
                    .entry(PLACED_IN)
                    .or_insert_with(|| vec![name].into());
            }
            Ok(found)
        }
        Loaded::Json(text) => {
            let fail = |fault| FileError {
                file: file.to_string(),
                fault,
            };
            let mut found = Found::default();
            for f in geojson::layer(&text, file).map_err(fail)? {
                let mut properties = f.properties;
                properties.insert(PLACED_IN.to_string(), vec![name].into());
                found
                    .push(format!("{file} {}", f.source.path), properties, f.geometry)
                    .map_err(fail)?;
            }
            Ok(found)
        }
    }
}
