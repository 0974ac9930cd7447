//! What every reader of course files promises: a course, or an error that says something; never
//! a panic, and never marks in a message that rewrite a line.

use crossgrain_formats::course::{ReadOptions, read_found, read_with};
use crossgrain_formats::files::{Companions, FileError, Loaded, load_bytes};

/// The companions of a shapefile.
pub struct Beside<'a>(pub Vec<(&'static str, &'a [u8])>);

impl Companions for Beside<'_> {
    fn get(&self, ending: &str) -> Result<Option<Vec<u8>>, FileError> {
        Ok(self.0.iter().find(|c| c.0 == ending).map(|c| c.1.to_vec()))
    }
}

fn told(text: &str) {
    assert!(!text.is_empty() && !text.contains(['\u{1b}', '\u{202e}']));
}

pub fn read_any(bytes: &[u8], companions: &dyn Companions) {
    let options = ReadOptions::default();
    let read = match load_bytes(bytes.to_vec(), "c", "fairways", companions) {
        Ok(Loaded::Features(found)) => {
            assert!(!found.features.is_empty());
            for f in &found.features {
                told(&f.source.to_string());
            }
            read_found(found, "c", "c", &options)
        }
        Ok(Loaded::Json(text)) => read_with(&text, "c", "c", &options),
        Err(e) => return told(&e.to_string()),
    };
    match read {
        Ok(file) => {
            for f in &file.course.fairways {
                assert!(!f.ground().0.is_empty());
            }
            for n in &file.notices {
                told(&n.to_string());
            }
            assert!(file.accounts.len() >= file.course.fairways.len().min(1));
        }
        Err(e) => told(&e.to_string()),
    }
}
