//! The table of a shapefile (dBASE III): one row of texts and numbers for each shape.
//!
//! Rows are read by their place, deleted ones too, because shapes are counted the same way.

use super::FileFault;
use crate::input::plain;
use serde_json::{Map, Value};

/// Most fields of a table; the format allows 255.
const MAX_FIELDS: usize = 255;

/// A column.
struct Field {
    name: String,
    kind: u8,
    from: usize,
    to: usize,
}

/// A table in memory.
pub(super) struct Table<'a> {
    bytes: &'a [u8],
    head: usize,
    row: usize,
    /// How many rows it says it has and has.
    pub rows: usize,
    fields: Vec<Field>,
    utf8: bool,
}

fn fault(what: &'static str) -> FileFault {
    FileFault::Shapefile { record: None, what }
}

impl<'a> Table<'a> {
    /// Reads the head of a table; `code_page` is what the `.cpg` companion says.
    pub fn open(bytes: &'a [u8], code_page: Option<&str>) -> Result<Self, FileFault> {
        let whole = |at: usize, n: usize| -> usize {
            bytes.get(at..at + n).map_or(0, |b| {
                b.iter().rev().fold(0, |v, b| v << 8 | usize::from(*b))
            })
        };
        if bytes.len() < 33 {
            return Err(fault("its table (.dbf) is too short to be one"));
        }
        let (rows, head, row) = (whole(4, 4), whole(8, 2), whole(10, 2));
        if head < 33 || head > bytes.len() || row == 0 {
            return Err(fault("its table (.dbf) has a head of impossible length"));
        }
        if rows.saturating_mul(row) > bytes.len() - head {
            return Err(fault("its table (.dbf) is shorter than it says"));
        }
        let mut fields = Vec::new();
        let mut from = 1; // behind the mark of deletion
        for f in bytes[32..head].chunks_exact(32) {
            if f[0] == 0x0d {
                break;
            }
            let to = from + usize::from(f[16]);
            if to > row || fields.len() >= MAX_FIELDS {
                return Err(fault("the fields of its table (.dbf) do not fit its rows"));
            }
            let end = f[..11].iter().position(|b| *b == 0).unwrap_or(11);
            fields.push(Field {
                name: plain(&western(&f[..end])),
                kind: f[11],
                from,
                to,
            });
            from = to;
        }
        let utf8 = code_page.is_some_and(|c| c.trim().to_ascii_lowercase().contains("utf"));
        Ok(Self {
            bytes,
            head,
            row,
            rows,
            fields,
            utf8,
        })
    }

    /// The values of a row, empty ones left out.
    pub fn values(&self, index: usize) -> Map<String, Value> {
        let mut out = Map::new();
        let from = self.head + index * self.row;
        let Some(row) = self.bytes.get(from..from + self.row) else {
            return out;
        };
        for f in &self.fields {
            let raw = &row[f.from..f.to];
            // Valid UTF-8 with letters beyond ASCII is hardly ever anything else.
            let text = match std::str::from_utf8(raw) {
                Ok(text) => text.to_string(),
                Err(_) if self.utf8 => String::from_utf8_lossy(raw).into_owned(),
                Err(_) => western(raw),
            };
            let text = text.trim_matches(['\0', ' ']).trim();
            if text.is_empty() {
                continue;
            }
            let number = matches!(f.kind, b'N' | b'F')
                .then(|| {
                    text.parse::<i64>()
                        .map(Value::from)
                        .ok()
                        .or_else(|| text.parse::<f64>().ok().map(Value::from))
                })
                .flatten()
                .filter(|v| !v.is_null());
            out.insert(f.name.clone(), number.unwrap_or_else(|| plain(text).into()));
        }
        out
    }
}

/// Text in the code page that western systems wrote for decades (Windows-1252).
pub(super) fn western(bytes: &[u8]) -> String {
    // 0x80 to 0x9f; the rest is Latin-1.
    const UPPER: [char; 32] = [
        '€', '\u{fffd}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{fffd}', 'Ž',
        '\u{fffd}', '\u{fffd}', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ',
        '\u{fffd}', 'ž', 'Ÿ',
    ];
    bytes
        .iter()
        .map(|b| match b {
            0x80..=0x9f => UPPER[usize::from(b - 0x80)],
            b => char::from(*b),
        })
        .collect()
}
