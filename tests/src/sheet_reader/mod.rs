//! A reader of its own for the sentences of a sheet.
//!
//! It takes a plan file alone, works out from tracks and legs what each step is, and compares that
//! with what the sheet says. It shares neither the program's templates nor its geometry: phrases
//! are recognised by the tables in `phrases`, points come from the file's own numbers.

mod check;
mod claims;
mod phrases;
mod plan;

pub use check::Checked;
pub use phrases::{ENGLISH, SPANISH, Tongue};

use crossgrain_render::drawing::{Drawing, Mark};
use crossgrain_render::lettering::Weight;
use serde_json::Value;

/// A row of the list of steps as it stands on a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// The letter, or the first and the last.
    pub letters: Vec<String>,
    /// Its sentences in one line.
    pub text: String,
}

/// What stands on the pages of one sheet.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Said {
    /// The rows of steps, over all pages.
    pub rows: Vec<Row>,
    /// All other words beside the map and in the header, in one line.
    pub rest: String,
}

/// Reads the words off the pages of a sheet.
pub fn words_of(pages: &[Drawing]) -> Said {
    let mut said = Said::default();
    for page in pages {
        for mark in &page.marks {
            match mark {
                Mark::Group { class, marks, .. } if *class == "words" => block(marks, &mut said),
                Mark::Text(t) => push(&mut said.rest, &t.content),
                _ => {}
            }
        }
    }
    said
}

fn block(marks: &[Mark], said: &mut Said) {
    let mut row: Option<Row> = None;
    for mark in marks {
        let Mark::Text(t) = mark else { continue };
        let letters = letters(&t.content);
        match &mut row {
            // A heading is larger than a letter.
            None if t.weight == Weight::Bold && t.size < 4.5 && !letters.is_empty() => {
                row = Some(Row {
                    letters,
                    text: String::new(),
                });
            }
            None => push(&mut said.rest, &t.content),
            Some(row) => push(&mut row.text, &t.content),
        }
    }
    said.rows.extend(row);
}

fn push(line: &mut String, text: &str) {
    if !line.is_empty() {
        line.push(' ');
    }
    line.push_str(text);
}

/// "B" or "F–M" as letters; nothing for other words.
fn letters(text: &str) -> Vec<String> {
    let parts: Vec<&str> = text.split('–').collect();
    let letter = |s: &&str| {
        (1..=2).contains(&s.len())
            && s.chars()
                .all(|c| c.is_ascii_uppercase() && !"IO".contains(c))
    };
    if parts.len() <= 2 && parts.iter().all(letter) {
        parts.into_iter().map(str::to_string).collect()
    } else {
        Vec::new()
    }
}

/// Compares the pages of one mow with its entry in the plan file; every claim that does not hold
/// is told.
pub fn check(mow: &Value, pages: &[Drawing], tongue: &Tongue) -> Checked {
    check::check(&plan::Read::of(mow), &words_of(pages), tongue)
}
