//! Texts of the calendar in a language.

use crossgrain_core::inside::model::quantity::UnitSystem;
use crossgrain_render::words::{Language, Words};

/// The English text of a key, its places filled in.
pub fn in_english(key: &str, places: &[(&str, &str)]) -> String {
    Words::of(Language::English, UnitSystem::Us).fill(key, places)
}
