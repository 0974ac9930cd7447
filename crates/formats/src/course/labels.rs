//! What a feature is called in its file, made fit to be shown.

use super::feature::Feature;
use super::roles::property;
use crate::input::is_unseen;
use serde_json::{Map, Value};

/// Longest name kept, characters: more does not fit on any sheet.
pub(crate) const MAX_NAME: usize = 60;

/// What a feature is called: its `ref`, else its `name`.
pub(crate) fn label(properties: &Map<String, Value>) -> Option<String> {
    property(properties, "ref").or_else(|| property(properties, "name"))
}

/// What the file tells a feature from all others by.
pub(crate) fn identifier(feature: &Feature) -> Option<String> {
    let keys = ["id", "@id", "osm_id", "fid"];
    let id = feature
        .id
        .clone()
        .or_else(|| keys.iter().find_map(|k| property(&feature.properties, k)))?;
    let id = clean(&id).0;
    (!id.is_empty()).then_some(id)
}

/// A name without marks that show nothing, of sensible length; whether anything changed.
pub(crate) fn clean(name: &str) -> (String, bool) {
    let seen: String = name
        .chars()
        .map(|c| if c.is_whitespace() { ' ' } else { c })
        .filter(|&c| !is_unseen(c))
        .collect();
    let short = shortened(seen.trim());
    let changed = short != name.trim();
    (short, changed)
}

/// A name of at most [`MAX_NAME`] characters, cut in the middle: what tells two long names apart
/// stands at the beginning or at the end.
fn shortened(name: &str) -> String {
    let chars: Vec<char> = name.chars().collect();
    if chars.len() <= MAX_NAME {
        return name.to_string();
    }
    let head = MAX_NAME / 2;
    let tail = MAX_NAME - head - 1;
    let first: String = chars[..head].iter().collect();
    let last: String = chars[chars.len() - tail..].iter().collect();
    format!("{}\u{2026}{}", first.trim_end(), last.trim_start())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_names_keep_both_ends() {
        let long = |end: &str| {
            format!(
                "{} {end}",
                "Old Course at the Mouth of the River ".repeat(3)
            )
        };
        let (a, b) = (clean(&long("Seventeenth")).0, clean(&long("Eighteenth")).0);
        assert!(a.chars().count() <= MAX_NAME && a != b, "{a} {b}");
        assert!(
            a.starts_with("Old Course") && a.ends_with("Seventeenth"),
            "{a}"
        );
        assert_eq!(clean(" 7 "), ("7".to_string(), false));
    }
}
