//! Files read into memory as JSON, within limits.

use serde_json::Value;
use std::fmt;
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// Largest file read, bytes. A mapped course of 18 holes is well under one megabyte.
pub const MAX_BYTES: usize = 32 * 1024 * 1024;
/// Deepest nesting of brackets, a limit of the JSON reader; GeoJSON needs about ten.
pub const MAX_NESTING: usize = 127;

/// Why a file could not be read as JSON at all.
#[derive(Debug)]
pub enum InputError {
    /// It could not be opened or read.
    Io {
        /// The file.
        file: String,
        /// The system's reason.
        source: std::io::Error,
    },
    /// Larger than [`MAX_BYTES`].
    TooLarge {
        /// The file.
        file: String,
    },
    /// Nothing in it.
    Empty {
        /// The file.
        file: String,
    },
    /// Not UTF-8 text.
    NotText {
        /// The file.
        file: String,
        /// The first byte that is not.
        byte: usize,
    },
    /// Not JSON.
    NotJson {
        /// The file.
        file: String,
        /// Line, 1 first.
        line: usize,
        /// Column, 1 first.
        column: usize,
        /// The reader's reason.
        reason: String,
        /// What kind of file it looks like, and what to do about it.
        hint: Option<&'static str>,
    },
    /// Brackets nested deeper than [`MAX_NESTING`].
    TooDeep {
        /// The file.
        file: String,
        /// Line, 1 first.
        line: usize,
    },
}

impl fmt::Display for InputError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            InputError::Io { file, source } => {
                let fix = match source.kind() {
                    std::io::ErrorKind::NotFound => "check the name and the folder",
                    std::io::ErrorKind::PermissionDenied => "ask for leave to read it",
                    std::io::ErrorKind::IsADirectory => "name the file inside that folder",
                    _ => "check that it is a readable file",
                };
                write!(f, "{file}: cannot be read ({source}); {fix}")
            }
            InputError::TooLarge { file } => write!(
                f,
                "{file}: larger than {} MB; export only the course, or simplify the outlines",
                MAX_BYTES / (1024 * 1024)
            ),
            InputError::Empty { file } => {
                write!(f, "{file}: the file is empty; export it again")
            }
            InputError::NotText { file, byte } => write!(
                f,
                "{file}: byte {byte} is not UTF-8 text, and it is no other file that is read; export it again"
            ),
            InputError::NotJson {
                file,
                line,
                column,
                reason,
                hint,
            } => {
                write!(
                    f,
                    "{file}: not JSON at line {line}, column {column} ({reason}); "
                )?;
                f.write_str(hint.unwrap_or("correct that place, or export the file again"))
            }
            InputError::TooDeep { file, line } => write!(
                f,
                "{file}: brackets nested deeper than {MAX_NESTING} at line {line}; this is no course or mower file"
            ),
        }
    }
}

impl std::error::Error for InputError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            InputError::Io { source, .. } => Some(source),
            _ => None,
        }
    }
}

/// A file's name as messages show it.
pub fn shown(path: &Path) -> String {
    plain(&path.display().to_string())
}

/// Text without control characters and without marks that reorder what follows them, so that
/// a name in a file cannot rewrite a terminal line or a sheet.
pub fn plain(text: &str) -> String {
    text.chars()
        .map(|c| if is_unseen(c) { '\u{fffd}' } else { c })
        .collect()
}

/// Control characters, direction overrides and other marks that show nothing themselves.
pub(crate) fn is_unseen(c: char) -> bool {
    c.is_control()
        || matches!(
            c,
            '\u{200b}'..='\u{200f}'
                | '\u{2028}'..='\u{202e}'
                | '\u{2060}'..='\u{206f}'
                | '\u{feff}'
                | '\u{fff9}'..='\u{fffb}'
        )
}

/// Reads a file as text, within [`MAX_BYTES`].
///
/// # Errors
/// [`InputError`] with the file's name.
pub fn read_text(path: &Path) -> Result<String, InputError> {
    let file = shown(path);
    let io = |source| InputError::Io {
        file: file.clone(),
        source,
    };
    let mut bytes = Vec::new();
    File::open(path)
        .map_err(io)?
        // One byte more than allowed tells a full file from one that is too large.
        .take(MAX_BYTES as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(io)?;
    if bytes.len() > MAX_BYTES {
        return Err(InputError::TooLarge { file });
    }
    String::from_utf8(bytes).map_err(|e| InputError::NotText {
        file,
        byte: e.utf8_error().valid_up_to(),
    })
}

/// Reads text as JSON. Numbers that JSON does not know (`NaN`, `Infinity`) come back as null,
/// so that whoever reads the value can say which one it was.
///
/// # Errors
/// [`InputError`] with the file's name and the place.
pub fn json(text: &str, file: &str) -> Result<Value, InputError> {
    if text.len() > MAX_BYTES {
        return Err(InputError::TooLarge { file: file.into() });
    }
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.trim().is_empty() {
        return Err(InputError::Empty { file: file.into() });
    }
    let error = match serde_json::from_str(text) {
        Ok(value) => return Ok(value),
        Err(e) => e,
    };
    if let Some(value) = with_nulls(text).and_then(|t| serde_json::from_str(&t).ok()) {
        return Ok(value);
    }
    let (line, column) = (error.line(), error.column());
    let reason = error.to_string();
    let reason = reason
        .split(" at line ")
        .next()
        .unwrap_or_default()
        .to_string();
    if reason.contains("recursion limit") {
        return Err(InputError::TooDeep {
            file: file.into(),
            line,
        });
    }
    let start = text.trim_start();
    let hint = if start.starts_with('<') {
        Some("this looks like XML (KML, GPX, OSM) or HTML; export the course as GeoJSON")
    } else if error.is_eof() {
        Some("the file ends too early; export or copy it again")
    } else if !start.starts_with(['{', '[']) {
        Some("export the course as GeoJSON")
    } else {
        None
    };
    Err(InputError::NotJson {
        file: file.into(),
        line,
        column,
        reason,
        hint,
    })
}

/// The text with bare `NaN`, `Infinity` and their like replaced by `null`; `None` if none is there.
fn with_nulls(text: &str) -> Option<String> {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    let mut changed = false;
    while let Some(c) = rest.chars().next() {
        if c == '"' {
            // Strings are copied as they are, escapes included.
            let mut escaped = false;
            let end = rest[1..]
                .char_indices()
                .find(|&(_, c)| {
                    let closes = c == '"' && !escaped;
                    escaped = c == '\\' && !escaped;
                    closes
                })
                .map_or(rest.len(), |(i, _)| i + 2);
            out.push_str(&rest[..end]);
            rest = &rest[end..];
        } else if c == '-' || c.is_ascii_alphabetic() {
            let end = rest[1..]
                .find(|c: char| !(c.is_ascii_alphanumeric() || c == '.' || c == '#' || c == '+'))
                .map_or(rest.len(), |i| i + 1);
            let word = rest[..end].trim_start_matches('-').to_ascii_lowercase();
            if matches!(word.as_str(), "nan" | "inf" | "infinity") {
                out.push_str("null");
                changed = true;
            } else {
                out.push_str(&rest[..end]);
            }
            rest = &rest[end..];
        } else {
            out.push(c);
            rest = &rest[c.len_utf8()..];
        }
    }
    changed.then_some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_unknown_to_json_become_null() {
        let v = json(
            r#"{"a": [NaN, -Infinity, 1e3, -2], "NaN": "NaN \" NaN"}"#,
            "x",
        )
        .unwrap();
        assert_eq!(
            v,
            serde_json::json!({"a": [null, null, 1e3, -2], "NaN": "NaN \" NaN"})
        );
    }

    #[test]
    fn places_and_hints() {
        let at = |t: &str| json(t, "course.geojson").unwrap_err().to_string();
        assert!(at("").contains("empty"));
        assert!(at("  \n ").contains("empty"));
        assert!(at("<kml></kml>").contains("export the course as GeoJSON"));
        assert!(at("{\"a\": [1, 2").contains("ends too early"));
        assert!(at("{\n \"a\": oops }").contains("line 2"));
        assert!(at(&"[".repeat(200)).contains("nested deeper"));
    }

    #[test]
    fn a_name_cannot_rewrite_the_line() {
        assert_eq!(
            plain("a\u{202e}b\u{1b}[2Jc\n"),
            "a\u{fffd}b\u{fffd}[2Jc\u{fffd}"
        );
    }
}
