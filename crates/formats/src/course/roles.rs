//! What a feature is, from its properties.

use super::features::Drawing;
use crossgrain_core::model::ground::KeepOutKind;
use serde_json::{Map, Value};

/// The roles, as messages list them.
pub(crate) const KNOWN: &str =
    "fairway, keep-out, no-turn, green, tee, bunker, water, trees, hole, way-in";

/// What a feature is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Role {
    Fairway,
    KeepOut(KeepOutKind),
    NoTurn,
    Hole,
    WayIn,
    /// Something with tags of its own that this program has no use for.
    Unused,
    /// Nothing said.
    Unsaid,
}

/// The text of a property, also one level down in `tags`, where some exports keep them.
pub(crate) fn property(properties: &Map<String, Value>, key: &str) -> Option<String> {
    let text = |v: &Value| match v {
        Value::String(s) if !s.trim().is_empty() => Some(s.trim().to_string()),
        Value::Number(n) => Some(n.to_string()),
        _ => None,
    };
    properties
        .get(key)
        .and_then(text)
        .or_else(|| properties.get("tags")?.as_object()?.get(key).and_then(text))
}

/// The role said by a feature's properties; an unknown `role` is an error with its text.
pub(crate) fn role(properties: &Map<String, Value>) -> Result<Role, String> {
    if let Some(role) = property(properties, "role") {
        // A keep-out may say more with `kind`; the cautions depend on it.
        let kind = property(properties, "kind").and_then(|k| kind(&k));
        return match role.to_ascii_lowercase().as_str() {
            "fairway" => Ok(Role::Fairway),
            "keep-out" => Ok(Role::KeepOut(
                kind.or_else(|| open_kind(properties))
                    .unwrap_or(KeepOutKind::Other),
            )),
            "no-turn" => Ok(Role::NoTurn),
            "hole" => Ok(Role::Hole),
            "way-in" => Ok(Role::WayIn),
            other => match self::kind(other) {
                Some(kind) => Ok(Role::KeepOut(kind)),
                None => Err(role),
            },
        };
    }
    if let Some(golf) = property(properties, "golf") {
        return Ok(match golf.as_str() {
            "fairway" => Role::Fairway,
            "hole" => Role::Hole,
            _ => open_kind(properties).map_or(Role::Unused, Role::KeepOut),
        });
    }
    if let Some(kind) = open_kind(properties) {
        return Ok(Role::KeepOut(kind));
    }
    let tagged = ["natural", "landuse", "leisure", "highway", "building"]
        .iter()
        .any(|k| property(properties, k).is_some());
    Ok(if tagged { Role::Unused } else { Role::Unsaid })
}

fn kind(word: &str) -> Option<KeepOutKind> {
    Some(match word {
        "bunker" => KeepOutKind::Bunker,
        "water" => KeepOutKind::Water,
        "trees" => KeepOutKind::Trees,
        "green" => KeepOutKind::Green,
        "tee" => KeepOutKind::Tee,
        _ => return None,
    })
}

/// What OpenStreetMap's open tags say must not be mown.
fn open_kind(properties: &Map<String, Value>) -> Option<KeepOutKind> {
    let is = |key: &str, value: &str| property(properties, key).as_deref() == Some(value);
    if is("golf", "bunker") {
        Some(KeepOutKind::Bunker)
    } else if is("golf", "green") {
        Some(KeepOutKind::Green)
    } else if is("golf", "tee") {
        Some(KeepOutKind::Tee)
    } else if is("golf", "water_hazard")
        || is("golf", "lateral_water_hazard")
        || is("natural", "water")
    {
        Some(KeepOutKind::Water)
    } else if is("natural", "wood") || is("landuse", "forest") {
        Some(KeepOutKind::Trees)
    } else if is("natural", "sand") {
        Some(KeepOutKind::Bunker)
    } else if property(properties, "building").is_some() {
        Some(KeepOutKind::Other)
    } else {
        None
    }
}

/// How many of each role a file has, for the message that there is no fairway.
pub(crate) fn counted(drawings: &[Drawing]) -> Vec<(String, usize)> {
    let word = |r: Role| match r {
        Role::Fairway => "fairway",
        Role::KeepOut(KeepOutKind::Bunker) => "bunker",
        Role::KeepOut(KeepOutKind::Water) => "water",
        Role::KeepOut(KeepOutKind::Trees) => "trees",
        Role::KeepOut(KeepOutKind::Green) => "green",
        Role::KeepOut(KeepOutKind::Tee) => "tee",
        Role::KeepOut(KeepOutKind::Other) => "keep-out",
        Role::NoTurn => "no-turn",
        Role::Hole => "hole",
        Role::WayIn => "way-in",
        Role::Unused | Role::Unsaid => "without a role",
    };
    let mut out: Vec<(String, usize)> = Vec::new();
    for d in drawings {
        let w = word(d.role);
        match out.iter_mut().find(|o| o.0 == w) {
            Some(o) => o.1 += 1,
            None => out.push((w.to_string(), 1)),
        }
    }
    out
}
