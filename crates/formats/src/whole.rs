//! Files written whole or not at all, and never outside their folder.
//!
//! A file is written under another name in the same folder, forced to disk, and then renamed.
//! A run that is killed leaves the old file or the new one, never half of one; at worst a
//! `.tmp` file stays behind, which the next run of the command does not read.

use crate::input::{is_unseen, shown};
use std::collections::BTreeMap;
use std::fmt;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Longest name made from a text, bytes. Common file systems allow 255; twice this is the most
/// that [`OutFolder::write`] takes, so a name can be joined with a number, a word and an ending.
pub const MAX_NAME_BYTES: usize = 120;

/// Why a file could not be written.
#[derive(Debug)]
pub enum WriteError {
    /// The folder could not be made or opened.
    Folder {
        /// The folder.
        folder: String,
        /// The system's reason.
        source: io::Error,
    },
    /// The file could not be written.
    File {
        /// The file.
        file: String,
        /// The system's reason.
        source: io::Error,
    },
    /// Something other than a plain file stands where the file should go.
    Occupied {
        /// The file.
        file: String,
        /// What stands there.
        by: &'static str,
    },
    /// A name that would lead out of the folder, or is no file name.
    BadName {
        /// The name.
        name: String,
    },
}

impl fmt::Display for WriteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let fix = |e: &io::Error| match e.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
                "free some space or choose another folder with --out"
            }
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                "choose a folder you may write to with --out"
            }
            io::ErrorKind::NotADirectory | io::ErrorKind::AlreadyExists => {
                "a file stands where the folder should be; choose another with --out"
            }
            _ => "choose another folder with --out",
        };
        match self {
            WriteError::Folder { folder, source } => write!(
                f,
                "{folder}: the folder cannot be used ({source}); {}",
                fix(source)
            ),
            WriteError::File { file, source } => {
                write!(f, "{file}: cannot be written ({source}); {}", fix(source))
            }
            WriteError::Occupied { file, by } => write!(
                f,
                "{file}: {by} stands there and is left alone; move it or choose another folder with --out"
            ),
            WriteError::BadName { name } => {
                write!(
                    f,
                    "'{name}' is no plain file name; that file was not written"
                )
            }
        }
    }
}

impl std::error::Error for WriteError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            WriteError::Folder { source, .. } | WriteError::File { source, .. } => Some(source),
            _ => None,
        }
    }
}

/// A folder for a command's output.
///
/// The folder itself may be reached through a link, because the user named it; links inside it
/// are not followed.
#[derive(Debug)]
pub struct OutFolder {
    folder: PathBuf,
    /// What was written, by name; several threads may write.
    written: Mutex<BTreeMap<String, String>>,
}

/// Where the names of our own files are kept, so that a later run knows them again.
const LIST: &str = ".crossgrain-files.json";
const LIST_SCHEMA: &str = "crossgrain-files/1";

/// Files of earlier runs that this one did not write again.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Earlier {
    /// As we left them.
    pub ours: Vec<String>,
    /// Changed since by somebody.
    pub changed: Vec<String>,
}

impl OutFolder {
    /// Makes the folder where it is missing and checks that it can be written to.
    ///
    /// # Errors
    /// [`WriteError::Folder`] with the system's reason.
    pub fn open(folder: &Path) -> Result<Self, WriteError> {
        let fail = |source| WriteError::Folder {
            folder: shown(folder),
            source,
        };
        fs::create_dir_all(folder).map_err(fail)?;
        if !fs::metadata(folder).map_err(fail)?.is_dir() {
            return Err(fail(io::ErrorKind::NotADirectory.into()));
        }
        // Found out now, not after minutes of planning. The file vanishes by itself.
        tempfile::tempfile_in(folder).map_err(fail)?;
        Ok(Self {
            folder: folder.to_path_buf(),
            written: Mutex::default(),
        })
    }

    /// Ends a run of a command: remembers what it wrote, and tells which files of its earlier
    /// runs are still there although this run did not write them.
    ///
    /// # Errors
    /// [`WriteError`] when the list cannot be written.
    pub fn finish(&self, command: &str) -> Result<Earlier, WriteError> {
        let mut list = self.list();
        let written = self.written().clone();
        let before: BTreeMap<String, String> = list
            .remove(command)
            .unwrap_or_default()
            .into_iter()
            .filter(|(name, _)| {
                !written.contains_key(name) && safe_within(name, 2 * MAX_NAME_BYTES) == *name
            })
            .filter(|(name, _)| {
                fs::symlink_metadata(self.folder.join(name)).is_ok_and(|m| m.file_type().is_file())
            })
            .collect();
        let mut earlier = Earlier::default();
        for (name, mark) in &before {
            let same = fs::read(self.folder.join(name)).is_ok_and(|b| fingerprint(&b) == *mark);
            let kind = if same {
                &mut earlier.ours
            } else {
                &mut earlier.changed
            };
            kind.push(name.clone());
        }
        let mut now = before;
        now.extend(written);
        list.insert(command.to_string(), now);
        let value = serde_json::json!({"schema": LIST_SCHEMA, "files": list});
        self.put(LIST, format!("{value:#}\n").as_bytes())?;
        Ok(earlier)
    }

    /// Removes files of earlier runs that nobody changed since.
    ///
    /// # Errors
    /// [`WriteError`] with the file that could not be removed.
    pub fn tidy(&self, earlier: &Earlier) -> Result<(), WriteError> {
        for name in &earlier.ours {
            let path = self.folder.join(name);
            fs::remove_file(&path).map_err(|source| WriteError::File {
                file: shown(&path),
                source,
            })?;
        }
        Ok(())
    }

    /// Our own files by command, as the list in the folder has them; none if there is no list or
    /// it is not ours.
    fn list(&self) -> BTreeMap<String, BTreeMap<String, String>> {
        let text = crate::input::read_text(&self.folder.join(LIST)).unwrap_or_default();
        let value: serde_json::Value = serde_json::from_str(&text).unwrap_or_default();
        if value["schema"] != LIST_SCHEMA {
            return BTreeMap::new();
        }
        let files = |v: &serde_json::Value| -> BTreeMap<String, String> {
            v.as_object()
                .into_iter()
                .flatten()
                .filter_map(|(k, v)| Some((k.clone(), v.as_str()?.to_string())))
                .collect()
        };
        value["files"]
            .as_object()
            .into_iter()
            .flatten()
            .map(|(command, v)| (command.clone(), files(v)))
            .collect()
    }

    /// The folder.
    pub fn path(&self) -> &Path {
        &self.folder
    }

    /// Puts one file in the folder, whole or not at all. Returns its path.
    ///
    /// `name` is a plain file name; see [`safe_name`]. An old file of that name is replaced; a
    /// folder, link or device of that name is left alone and reported.
    ///
    /// # Errors
    /// [`WriteError`] with the file and the reason.
    pub fn write(&self, name: &str, content: &[u8]) -> Result<PathBuf, WriteError> {
        if name != safe_within(name, 2 * MAX_NAME_BYTES) {
            return Err(WriteError::BadName {
                name: crate::input::plain(name),
            });
        }
        let path = self.put(name, content)?;
        self.written()
            .insert(name.to_string(), fingerprint(content));
        Ok(path)
    }

    fn written(&self) -> MutexGuard<'_, BTreeMap<String, String>> {
        // Nothing panics while it is held, and a list is whole after each insertion.
        self.written.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn put(&self, name: &str, content: &[u8]) -> Result<PathBuf, WriteError> {
        let path = self.folder.join(name);
        let fail = |source| WriteError::File {
            file: shown(&path),
            source,
        };
        match fs::symlink_metadata(&path) {
            Ok(m) if m.file_type().is_file() => {}
            Ok(m) => {
                return Err(WriteError::Occupied {
                    file: shown(&path),
                    by: if m.file_type().is_symlink() {
                        "a link"
                    } else if m.is_dir() {
                        "a folder"
                    } else {
                        "something that is no plain file"
                    },
                });
            }
            Err(e) if e.kind() == io::ErrorKind::NotFound => {}
            Err(e) => return Err(fail(e)),
        }
        let mut temporary = tempfile::Builder::new()
            .prefix(".crossgrain-")
            .suffix(".tmp")
            .tempfile_in(&self.folder)
            .map_err(fail)?;
        temporary.write_all(content).map_err(fail)?;
        readable(temporary.as_file()).map_err(fail)?;
        temporary.as_file().sync_all().map_err(fail)?;
        temporary.persist(&path).map_err(|e| fail(e.error))?;
        sync_folder(&self.folder);
        Ok(path)
    }
}

/// Enough to see that a file is not the one we wrote (FNV-1a, 64 bits, and the length).
fn fingerprint(content: &[u8]) -> String {
    let hash = content.iter().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| {
        (h ^ u64::from(*b)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("{hash:016x}-{}", content.len())
}

/// Temporary files are private; what the user asked for is as readable as any other file.
#[cfg(unix)]
fn readable(file: &File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn readable(_: &File) -> io::Result<()> {
    Ok(())
}

/// The new name itself is forced to disk where the system can do that; elsewhere the rename is
/// still whole, only perhaps later.
fn sync_folder(folder: &Path) {
    if let Ok(f) = File::open(folder) {
        let _ = f.sync_all();
    }
}

/// A plain file name for any text: letters, digits and a few marks stay, the rest becomes `-`.
///
/// No separators, no leading dot, no control or direction marks, none of the names that some
/// systems keep for devices, and never longer than [`MAX_NAME_BYTES`].
///
/// ```
/// use crossgrain_formats::whole::safe_name;
/// assert_eq!(safe_name("../7 / \"north\"<b>"), "7-north-b");
/// assert_eq!(safe_name("CON"), "CON_");
/// assert_eq!(safe_name("fairway-7.svg"), "fairway-7.svg");
/// ```
pub fn safe_name(text: &str) -> String {
    safe_within(text, MAX_NAME_BYTES)
}

fn safe_within(text: &str, max_bytes: usize) -> String {
    let mut out = String::new();
    for c in text.chars() {
        let c = if !is_unseen(c) && (c.is_alphanumeric() || matches!(c, '.' | '_' | '+')) {
            c
        } else {
            '-'
        };
        if c == '-' && (out.is_empty() || out.ends_with('-')) {
            continue;
        }
        if out.len() + c.len_utf8() > max_bytes {
            break;
        }
        out.push(c);
    }
    let mut out = out
        .trim_start_matches(['.', '-'])
        .trim_end_matches(['.', '-'])
        .to_string();
    while out.contains("..") {
        out = out.replace("..", ".");
    }
    if out.is_empty() {
        return "unnamed".to_string();
    }
    let stem = out
        .split('.')
        .next()
        .unwrap_or_default()
        .to_ascii_uppercase();
    let numbered = |p: &str| {
        stem.strip_prefix(p).is_some_and(|n| {
            n.chars().count() == 1
                && n.chars()
                    .all(|c| c.is_ascii_digit() || matches!(c, '\u{b9}' | '\u{b2}' | '\u{b3}'))
        })
    };
    if matches!(stem.as_str(), "CON" | "PRN" | "AUX" | "NUL") || numbered("COM") || numbered("LPT")
    {
        // A mark that also stays at the end of a part of a longer name.
        out.insert(stem.len(), '_');
    }
    out
}

/// Safe names that stay different from one another, also where capitals do not count.
pub fn safe_names<'a>(texts: impl IntoIterator<Item = &'a str>) -> Vec<String> {
    let mut taken = std::collections::BTreeSet::new();
    texts
        .into_iter()
        .map(|t| {
            let base = safe_name(t);
            let mut name = base.clone();
            let mut n = 2;
            while !taken.insert(name.to_lowercase()) {
                name = format!("{base}-{n}");
                n += 1;
            }
            name
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_stay_inside() {
        for (text, name) in [
            ("7", "7"),
            ("../../etc/passwd", "etc-passwd"),
            ("..", "unnamed"),
            ("a..b", "a.b"),
            ("", "unnamed"),
            (".hidden", "hidden"),
            ("a\\b:c", "a-b-c"),
            ("con.svg", "con_.svg"),
            ("com1", "com1_"),
            ("LPT\u{b9}", "LPT\u{b9}_"),
            ("nul", "nul_"),
            ("aux.", "aux_"),
            ("com", "com"),
            ("a\u{202e}gvs", "a-gvs"),
            ("\u{0}\n", "unnamed"),
            ("Nº 7 é", "Nº-7-é"),
            ("مرحبا", "مرحبا"),
        ] {
            assert_eq!(safe_name(text), name);
            // What is safe stays as it is, also as a part of a longer name.
            assert_eq!(safe_name(name), name);
            let sheet = format!("fairway-{name}-stripes.svg");
            assert_eq!(safe_name(&sheet), sheet);
        }
        let long = safe_name(&"é".repeat(500));
        assert!(long.len() <= MAX_NAME_BYTES);
        assert_eq!(safe_names(["a/b", "a b", "A-B"]), ["a-b", "a-b-2", "A-B-3"]);
    }

    #[test]
    fn a_file_is_replaced_and_nothing_is_left_behind() {
        let dir = tempfile::tempdir().unwrap();
        let out = OutFolder::open(&dir.path().join("new/folder")).unwrap();
        out.write("plan.json", b"old").unwrap();
        let path = out.write("plan.json", b"new").unwrap();
        assert_eq!(fs::read(path).unwrap(), b"new");
        assert_eq!(fs::read_dir(out.path()).unwrap().count(), 1);
        assert!(matches!(
            out.write("../plan.json", b"x"),
            Err(WriteError::BadName { .. })
        ));
    }

    #[test]
    fn files_of_earlier_runs_are_known_again() {
        let dir = tempfile::tempdir().unwrap();
        let run = |names: &[&str]| {
            let out = OutFolder::open(dir.path()).unwrap();
            for n in names {
                out.write(n, n.as_bytes()).unwrap();
            }
            let earlier = out.finish("plan").unwrap();
            (out, earlier)
        };
        fs::write(dir.path().join("notes.txt"), b"the user's own").unwrap();
        assert_eq!(run(&["a.svg", "b.svg", "c.svg"]).1, Earlier::default());
        fs::write(dir.path().join("b.svg"), b"drawn on").unwrap();
        let (out, earlier) = run(&["a.svg"]);
        assert_eq!(earlier.ours, ["c.svg"]);
        assert_eq!(earlier.changed, ["b.svg"]);
        // Another command's files are its own.
        assert_eq!(out.finish("size").unwrap(), Earlier::default());
        out.tidy(&earlier).unwrap();
        assert!(!dir.path().join("c.svg").exists() && dir.path().join("b.svg").exists());
        assert_eq!(run(&["a.svg"]).1.changed, ["b.svg"]);
        assert!(dir.path().join("notes.txt").exists());
    }

    #[cfg(unix)]
    #[test]
    fn links_are_not_followed() {
        let dir = tempfile::tempdir().unwrap();
        let victim = dir.path().join("victim");
        fs::write(&victim, b"precious").unwrap();
        let out = OutFolder::open(&dir.path().join("out")).unwrap();
        std::os::unix::fs::symlink(&victim, out.path().join("plan.json")).unwrap();
        assert!(matches!(
            out.write("plan.json", b"x"),
            Err(WriteError::Occupied { by: "a link", .. })
        ));
        assert_eq!(fs::read(&victim).unwrap(), b"precious");
    }

    #[test]
    fn a_file_in_the_folders_place_is_reported() {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("file");
        fs::write(&file, b"").unwrap();
        let text = OutFolder::open(&file).unwrap_err().to_string();
        assert!(text.contains("--out"), "{text}");
        assert!(OutFolder::open(&file.join("deeper")).is_err());
    }
}
