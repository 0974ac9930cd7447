//! What a feature is, from its properties: one decision, with its reason, for every format.

use super::role::Role;
use super::tags::{OTHER_KEYS, ROLES, STRICT_KEYS, SYNONYMS, TAGS, Word};
use crate::input::plain;
use crossgrain_core::KeepOutKind;
use serde_json::{Map, Value};

/// What the properties of a feature mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Meaning {
    /// Used as this.
    Use(Role),
    /// Known, and of no use for mowing: why.
    Aside(&'static str),
    /// Something that is not known here. A warning where it touches a fairway.
    Unknown,
    /// Nothing is said of it.
    Bare,
}

/// A word that is not known, refused because it may be a hazard.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NotKnown {
    pub key: &'static str,
    pub word: String,
    /// What to write, where that can be told.
    pub meant: Option<String>,
}

/// The text of a property. Capitals in the key do not count; also one level down in `tags`,
/// where some exports keep them.
pub(crate) fn property(properties: &Map<String, Value>, key: &str) -> Option<String> {
    let text = |v: &Value| match v {
        Value::String(s) if !s.trim().is_empty() => Some(s.trim().to_string()),
        Value::Number(n) => Some(n.to_string()),
        _ => None,
    };
    let find = |map: &Map<String, Value>| {
        map.get(key).and_then(text).or_else(|| {
            map.iter()
                .find(|(k, _)| k.eq_ignore_ascii_case(key))
                .and_then(|(_, v)| text(v))
        })
    };
    find(properties).or_else(|| find(properties.get("tags")?.as_object()?))
}

/// The roles, as messages list them.
pub(crate) fn known() -> String {
    let words: Vec<&str> = ROLES.iter().map(|r| r.0).collect();
    words.join(", ")
}

/// What a feature is.
pub(crate) fn decide(properties: &Map<String, Value>) -> Result<Meaning, NotKnown> {
    if let Some(word) = property(properties, "role") {
        return by_role(&word, properties);
    }
    let mut said = false;
    let mut aside = None;
    for &(key, values) in TAGS {
        let Some(value) = property(properties, key) else {
            continue;
        };
        if value == "no" {
            continue;
        }
        said = true;
        match look_up(values, &value) {
            Some(Word::Use(role)) => return Ok(qualified(role, properties)),
            Some(Word::Aside(why)) => aside = aside.or(Some(why)),
            None => {
                if let Some(meant) = near_tag(key, values, &value) {
                    return Err(NotKnown {
                        key,
                        word: short(&value),
                        meant: Some(meant),
                    });
                }
            }
        }
    }
    said |= OTHER_KEYS.iter().any(|k| property(properties, k).is_some());
    Ok(match aside {
        Some(why) => Meaning::Aside(why),
        None if said => Meaning::Unknown,
        None => Meaning::Bare,
    })
}

/// Tags that change what another one says.
/// Whether a feature's properties say what it is, by role or by an open tag.
pub(crate) fn has_role(properties: &Map<String, Value>) -> bool {
    !matches!(decide(properties), Ok(Meaning::Bare | Meaning::Unknown))
}

fn qualified(role: Role, properties: &Map<String, Value>) -> Meaning {
    let yes = |key: &str| property(properties, key).is_some_and(|v| v != "no");
    match role {
        Role::KeepOut(KeepOutKind::Path) if yes("bridge") => Meaning::Use(Role::Bridge),
        Role::KeepOut(KeepOutKind::Stream | KeepOutKind::Path | KeepOutKind::Water)
            if yes("tunnel") =>
        {
            Meaning::Aside("under the ground")
        }
        _ => Meaning::Use(role),
    }
}

fn by_role(word: &str, properties: &Map<String, Value>) -> Result<Meaning, NotKnown> {
    let not_known = |key, word: &str, meant| NotKnown {
        key,
        word: short(word),
        meant,
    };
    let role = match look_up(ROLES, &even(word)) {
        Some(Word::Use(role)) => role,
        Some(Word::Aside(why)) => return Ok(Meaning::Aside(why)),
        None => return Err(not_known("role", word, near_role(word))),
    };
    // A keep-out may say more with `kind`; the cautions depend on it.
    if role != Role::KeepOut(KeepOutKind::Other) {
        return Ok(Meaning::Use(role));
    }
    if let Some(kind) = property(properties, "kind") {
        let even = even(&kind);
        return match KeepOutKind::ALL.into_iter().find(|k| k.word() == even) {
            Some(kind) => Ok(Meaning::Use(Role::KeepOut(kind))),
            None => match near_role(&kind) {
                Some(meant) => Err(not_known("kind", &kind, Some(meant))),
                // Whatever it is, it is kept off.
                None => Ok(Meaning::Use(role)),
            },
        };
    }
    // A keep-out it stays, whatever its tags say; they may say which.
    let tagged = TAGS.iter().find_map(|&(key, values)| {
        match look_up(values, &property(properties, key)?)? {
            Word::Use(Role::KeepOut(kind)) => Some(kind),
            _ => None,
        }
    });
    Ok(Meaning::Use(tagged.map_or(role, Role::KeepOut)))
}

fn look_up(values: &[(&str, Word)], value: &str) -> Option<Word> {
    // Of several values the first that is known counts.
    value.split(';').map(str::trim).find_map(|v| {
        values
            .iter()
            .find(|w| w.0 == v || (w.0 == "*" && v != "no"))
            .map(|w| w.1)
    })
}

/// A word as roles are written: small letters, `-` between parts.
fn even(word: &str) -> String {
    word.trim().to_lowercase().replace(['_', ' '], "-")
}

/// Letters that may be wrong in a word of this length.
fn slips(word: &str) -> usize {
    if word.chars().count() <= 5 { 1 } else { 2 }
}

fn nearest<'a>(word: &str, words: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    words
        .map(|w| (strsim::osa_distance(word, w), w))
        .filter(|&(d, w)| d <= slips(w))
        .min_by_key(|d| d.0)
        .map(|d| d.1)
}

fn near_role(word: &str) -> Option<String> {
    let even = even(word);
    let synonym = |w: &str| SYNONYMS.iter().find(|s| s.0 == w).map(|s| s.1);
    synonym(&even)
        .or_else(|| nearest(&even, ROLES.iter().map(|r| r.0)))
        .map(str::to_string)
}

/// What a tag nearly says: another value of its key, or a role.
fn near_tag(key: &str, values: &[(&str, Word)], value: &str) -> Option<String> {
    if !STRICT_KEYS.contains(&key) {
        return None;
    }
    let low = value.trim().to_lowercase().replace(['-', ' '], "_");
    if let Some(meant) = nearest(&low, values.iter().map(|v| v.0)) {
        return Some(format!("{key}={meant}"));
    }
    // The roles are for files of our own; in a tag they may be meant all the same.
    (key == "golf")
        .then(|| near_role(value))
        .flatten()
        .map(|meant| format!("\"role\": \"{meant}\""))
}

fn short(text: &str) -> String {
    plain(text).chars().take(40).collect()
}

/// What a feature says of itself, in the words of the file, for lists.
pub(crate) fn said(properties: &Map<String, Value>) -> String {
    let keys = ["role"]
        .into_iter()
        .chain(TAGS.iter().map(|t| t.0))
        .chain(OTHER_KEYS.iter().copied());
    for key in keys {
        if let Some(value) = property(properties, key) {
            let from = property(properties, super::feature::TAKEN_FROM)
                .filter(|_| key == "role")
                .map_or_else(String::new, |why| format!(" {}", short(&why)));
            return format!("{key}={}{from}", short(&value));
        }
    }
    "no role".to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn of(properties: Value) -> Result<Meaning, NotKnown> {
        decide(properties.as_object().unwrap())
    }

    fn meant(properties: Value) -> String {
        of(properties.clone())
            .expect_err(&properties.to_string())
            .meant
            .unwrap_or_default()
    }

    #[test]
    fn near_misses_are_refused_with_the_word_meant() {
        for (properties, word) in [
            (json!({"golf": "Bunker"}), "golf=bunker"),
            (json!({"golf": "bunkr"}), "golf=bunker"),
            (json!({"golf": "bunkers"}), "golf=bunker"),
            (json!({"golf": "water-hazard"}), "golf=water_hazard"),
            (json!({"golf": "keep-out"}), "\"role\": \"keep-out\""),
            (json!({"golf": "lake"}), "\"role\": \"water\""),
            (json!({"natural": "Water"}), "natural=water"),
            (json!({"natural": "wetlands"}), "natural=wetland"),
            (json!({"waterway": "steam"}), "waterway=stream"),
            (json!({"role": "bunkr"}), "bunker"),
            (json!({"role": "keepout"}), "keep-out"),
            (json!({"role": "pond"}), "water"),
            (json!({"role": "keep-out", "kind": "tree"}), "trees"),
            (json!({"role": "something else"}), ""),
        ] {
            assert_eq!(meant(properties), word);
        }
    }

    #[test]
    fn hazards_are_kept_off_and_the_rest_has_a_reason() {
        use KeepOutKind as K;
        for (properties, kind) in [
            (json!({"natural": "scrub"}), K::Scrub),
            (json!({"natural": "wetland"}), K::Wetland),
            (json!({"natural": "tree"}), K::Trees),
            (json!({"golf": "out_of_bounds"}), K::OutOfBounds),
            (json!({"waterway": "stream"}), K::Stream),
            (json!({"golf": "cartpath"}), K::Path),
            (json!({"highway": "service"}), K::Path),
            (json!({"golf": "rough", "natural": "scrub"}), K::Scrub),
            (
                json!({"ROLE": "Keep_Out", "KIND": "Out of bounds"}),
                K::OutOfBounds,
            ),
            (json!({"role": "keep-out", "natural": "water"}), K::Water),
            (json!({"role": "keep-out", "kind": "mystery"}), K::Other),
            (json!({"tags": {"golf": "bunker"}}), K::Bunker),
        ] {
            assert_eq!(
                of(properties.clone()),
                Ok(Meaning::Use(Role::KeepOut(kind))),
                "{properties}"
            );
        }
        assert_eq!(
            of(json!({"highway": "path", "bridge": "yes"})),
            Ok(Meaning::Use(Role::Bridge))
        );
        assert_eq!(
            of(json!({"waterway": "stream", "tunnel": "culvert"})),
            Ok(Meaning::Aside("under the ground"))
        );
        assert!(matches!(
            of(json!({"golf": "rough"})),
            Ok(Meaning::Aside(_))
        ));
        assert_eq!(of(json!({"amenity": "bench"})), Ok(Meaning::Unknown));
        assert_eq!(of(json!({"man_made": "mast"})), Ok(Meaning::Unknown));
        assert_eq!(of(json!({"name": "Pond", "fid": 3})), Ok(Meaning::Bare));
        assert_eq!(of(json!({"building": "no"})), Ok(Meaning::Bare));
    }
}
