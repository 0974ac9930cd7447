//! The role of a shape from the words that people put on it.
//!
//! Files drawn by hand have no roles. Their shapes, folders and layers have names: "Hole 7
//! fairway", "Bunkers", "Calle 7". The role is looked for in what the user says, in an attribute
//! that names kinds, in the shape's own name, in its folders and its layer, the innermost first;
//! the first that says something counts. Where one name says two things, what must be kept off
//! counts: a "fairway bunker" is a bunker.

use crate::course::feature::{Feature, Geometry, PLACED_IN, TAKEN_FROM};
use crate::input::plain;
use serde_json::{Map, Value};

/// What a user says of the roles in a file.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SaidRoles {
    /// Names of shapes, folders or layers, and the role they have.
    pub by_name: Vec<(String, String)>,
    /// The attribute that holds the role.
    pub field: Option<String>,
}

/// Words and the role they mean, in the order in which they count. Singular, small, without
/// accents; English and Spanish.
const WORDS: &[(&str, &[&str])] = &[
    (
        "bunker",
        &[
            "bunker",
            "sand",
            "sandtrap",
            "trap",
            "arena",
            "trampa",
            "wastebunker",
        ],
    ),
    (
        "water",
        &[
            "water", "pond", "lake", "agua", "lago", "laguna", "estanque", "charca",
        ],
    ),
    (
        "stream",
        &[
            "stream", "creek", "ditch", "brook", "burn", "river", "arroyo", "zanja", "rio",
            "acequia",
        ],
    ),
    (
        "wetland",
        &["wetland", "marsh", "swamp", "humedal", "pantano"],
    ),
    ("out-of-bounds", &["outofbounds", "fueradelimites"]),
    (
        "trees",
        &["tree", "wood", "forest", "arbol", "arboleda", "bosque"],
    ),
    ("scrub", &["scrub", "bush", "gorse", "matorral", "arbusto"]),
    ("path", &["path", "cartpath", "road", "camino", "sendero"]),
    ("bridge", &["bridge", "puente"]),
    ("keep-off", &["keepoff"]),
    ("no-turn", &["noturn"]),
    (
        "keep-out",
        &["keepout", "obstacle", "obstaculo", "building", "edificio"],
    ),
    ("green", &["green", "putting"]),
    ("tee", &["tee", "teebox", "salida"]),
    ("rough", &["rough"]),
    ("way-in", &["wayin", "entrance", "entrada"]),
    ("fairway", &["fairway", "fwy", "calle"]),
    ("hole", &["hole", "hoyo"]),
];
/// Words that stand together, and the one word they are read as.
const PAIRS: &[(&str, &str, &str)] = &[
    ("sand", "trap", "bunker"),
    ("waste", "area", "bunker"),
    ("cart", "path", "path"),
    ("keep", "out", "keepout"),
    ("keep", "off", "keepoff"),
    ("no", "turn", "noturn"),
    ("way", "in", "wayin"),
    ("fairway", "hole", "keepout"),
    ("hueco", "calle", "keepout"),
];
/// Three that stand together.
const TRIPLES: &[(&str, &str, &str, &str)] = &[
    ("out", "of", "bound", "outofbounds"),
    ("fuera", "de", "limite", "fueradelimites"),
    ("hole", "in", "fairway", "keepout"),
    ("hueco", "de", "calle", "keepout"),
];
/// Attributes that may name kinds.
const KINDS: &[&str] = &[
    "type",
    "kind",
    "class",
    "category",
    "feature",
    "featuretype",
    "use",
    "layer",
    "tipo",
    "clase",
    "categoria",
    "capa",
    "uso",
];
/// Attributes that may hold the number of a hole.
const NUMBERS: &[&str] = &[
    "hole",
    "holeno",
    "holenum",
    "holenumber",
    "number",
    "no",
    "num",
    "hoyo",
    "numero",
    "nhoyo",
];
/// Roles that a line can have by itself, wherever it ends.
const NOT_AREAS: &[&str] = &[
    "hole", "way-in", "stream", "path", "bridge", "trees", "scrub",
];

/// Gives features without a role the one that their words say.
pub(crate) fn assign(features: &mut [Feature], said: &SaidRoles, look_at_names: bool) {
    for f in features {
        let own = text(&f.properties, "name");
        let places: Vec<String> = f
            .properties
            .remove(PLACED_IN)
            .and_then(|v| match v {
                Value::Array(list) => Some(
                    list.iter()
                        .filter_map(Value::as_str)
                        .map(str::to_string)
                        .collect(),
                ),
                _ => None,
            })
            .unwrap_or_default();
        let role = by_user(said, own.as_deref(), &places, &f.properties).or_else(|| {
            (look_at_names && !crate::course::roles::has_role(&f.properties))
                .then(|| by_words(own.as_deref(), &places, f))
                .flatten()
        });
        if let Some((role, why)) = role {
            f.properties.retain(|k, _| !k.eq_ignore_ascii_case("role"));
            f.properties.insert("role".to_string(), role.into());
            f.properties.insert(TAKEN_FROM.to_string(), why.into());
        }
        if look_at_names {
            number(f, own.as_deref(), &places);
            close(f);
        }
    }
}

fn text(properties: &Map<String, Value>, key: &str) -> Option<String> {
    crate::course::roles::property(properties, key)
}

/// What `--role` and `--role-field` say.
fn by_user(
    said: &SaidRoles,
    own: Option<&str>,
    places: &[String],
    properties: &Map<String, Value>,
) -> Option<(String, String)> {
    let named = |name: &str| {
        said.by_name
            .iter()
            .find(|(n, _)| n.eq_ignore_ascii_case(name))
            .map(|(n, role)| (role.clone(), format!("from --role {}={role}", plain(n))))
    };
    if let Some(found) = own
        .into_iter()
        .chain(places.iter().map(String::as_str))
        .find_map(named)
    {
        return Some(found);
    }
    let field = said.field.as_deref()?;
    let value = text(properties, field)?;
    // A word that is not known is handed on, to be refused with the feature's number.
    let role = role_in(&value).unwrap_or(&value).to_string();
    Some((role, format!("from its {}", plain(field))))
}

fn by_words(own: Option<&str>, places: &[String], f: &Feature) -> Option<(String, String)> {
    let area = f
        .geometry
        .iter()
        .any(|g| matches!(g, Geometry::Polygons(_)));
    let fits = |role: &&str| !(area && *role == "hole");
    for (key, value) in &f.properties {
        let bare: String = key
            .to_lowercase()
            .chars()
            .filter(|c| c.is_alphanumeric())
            .collect();
        if KINDS.contains(&bare.as_str())
            && let Some(value) = value.as_str()
            && let Some(role) = role_in(value).filter(fits)
        {
            return Some((role.to_string(), format!("from its {}", short(key))));
        }
    }
    if let Some(role) = own.and_then(role_in).filter(fits) {
        return Some((role.to_string(), "from its name".to_string()));
    }
    places.iter().find_map(|p| {
        let role = role_in(p).filter(fits)?;
        Some((role.to_string(), format!("from '{}'", short(p))))
    })
}

fn short(text: &str) -> String {
    plain(text).chars().take(40).collect()
}

/// The words of a name: small, without accents and plurals, divided where letters meet digits.
fn words(name: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut last = ' ';
    for c in name.chars() {
        let c = match c.to_lowercase().next().unwrap_or(c) {
            'á' => 'a',
            'é' => 'e',
            'í' => 'i',
            'ó' => 'o',
            'ú' | 'ü' => 'u',
            'ñ' => 'n',
            c => c,
        };
        if c.is_alphanumeric() {
            let joins = last.is_alphanumeric() && last.is_ascii_digit() == c.is_ascii_digit();
            match out.last_mut() {
                Some(w) if joins => w.push(c),
                _ => out.push(c.to_string()),
            }
        }
        last = c;
    }
    // Plurals: bunkers, greens, árboles, bushes.
    for w in &mut out {
        if w.len() > 3 && !known(w) {
            for end in ["es", "s"] {
                if let Some(stem) = w.strip_suffix(end)
                    && (known(stem) || ["bound", "limite"].contains(&stem))
                {
                    *w = stem.to_string();
                    break;
                }
            }
        }
    }
    out
}

fn known(word: &str) -> bool {
    WORDS.iter().any(|(_, list)| list.contains(&word))
}

/// The role that a name says.
fn role_in(name: &str) -> Option<&'static str> {
    let words = words(name);
    let digits =
        |w: Option<&String>| w.is_some_and(|w| w.starts_with(|c: char| c.is_ascii_digit()));
    let mut read: Vec<&str> = Vec::new();
    let mut i = 0;
    while i < words.len() {
        let at = |k: usize| words.get(i + k).map_or("", String::as_str);
        if let Some(t) = TRIPLES
            .iter()
            .find(|t| (t.0, t.1, t.2) == (at(0), at(1), at(2)))
        {
            read.push(t.3);
            i += 3;
        } else if let Some(p) = PAIRS.iter().find(|p| (p.0, p.1) == (at(0), at(1)))
            // "Fairway hole 7" is the fairway of hole 7.
            && !(p.1 == "hole" && digits(words.get(i + 2)))
        {
            read.push(p.2);
            i += 2;
        } else {
            read.push(&words[i]);
            i += 1;
        }
    }
    WORDS
        .iter()
        .find(|(_, list)| read.iter().any(|w| list.contains(w)))
        .map(|(role, _)| *role)
}

/// The number of a hole in a name: beside the word for a hole or a fairway, else the only one.
fn number_in(name: &str) -> Option<String> {
    let words = words(name);
    let number = |w: &String| -> Option<String> {
        let n: u32 = w.parse().ok()?;
        (1..=99).contains(&n).then(|| n.to_string())
    };
    let is_hole = |w: &String| ["hole", "hoyo", "fairway", "fwy", "calle"].contains(&w.as_str());
    for i in (0..words.len()).filter(|&i| is_hole(&words[i])) {
        let beside = words
            .get(i + 1)
            .and_then(number)
            .or_else(|| words.get(i.checked_sub(1)?).and_then(number));
        if beside.is_some() {
            return beside;
        }
    }
    let mut all = words.iter().filter_map(number);
    match (all.next(), all.next()) {
        (Some(n), None) => Some(n),
        _ => None,
    }
}

/// The number that a fairway, a hole line or a way in goes by, where the file has no `ref`.
fn number(f: &mut Feature, own: Option<&str>, places: &[String]) {
    let role = text(&f.properties, "role").unwrap_or_default();
    if !matches!(role.as_str(), "fairway" | "hole" | "way-in")
        || text(&f.properties, "ref").is_some()
    {
        return;
    }
    let by_field = f.properties.iter().find_map(|(k, v)| {
        let bare: String = k
            .to_lowercase()
            .chars()
            .filter(|c| c.is_alphanumeric())
            .collect();
        let value = match v {
            Value::Number(n) => n.to_string(),
            Value::String(s) => s.clone(),
            _ => return None,
        };
        NUMBERS
            .contains(&bare.as_str())
            .then(|| number_in(value.trim_end_matches(".0")))
            .flatten()
    });
    let found = by_field.or_else(|| own.and_then(number_in)).or_else(|| {
        places
            .iter()
            .find_map(|p| number_in(p))
            .filter(|_| own.is_none_or(|o| role_in(o).is_some()))
    });
    if let Some(n) = found {
        f.properties.insert("ref".to_string(), n.into());
    }
}

/// A line that ends where it began is the edge of its area.
fn close(f: &mut Feature) {
    let role = text(&f.properties, "role").unwrap_or_default();
    if role.is_empty() || NOT_AREAS.contains(&role.as_str()) {
        return;
    }
    for g in &mut f.geometry {
        if let Geometry::Lines(lines) = g
            && !lines.is_empty()
            && lines.iter().all(|l| l.len() >= 4 && l.first() == l.last())
        {
            *g = Geometry::Polygons(lines.iter().map(|l| vec![l.clone()]).collect());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::course::FeatureRef;
    use serde_json::json;

    #[test]
    fn names_say_what_a_shape_is() {
        for (name, role) in [
            ("Fairway 7", Some("fairway")),
            ("7 fairway", Some("fairway")),
            ("FAIRWAY-07", Some("fairway")),
            ("Hole 7 Fairway", Some("fairway")),
            ("Fairways", Some("fairway")),
            ("Calle 7", Some("fairway")),
            ("Fairway bunker 3", Some("bunker")),
            ("Greenside bunkers", Some("bunker")),
            ("sand_trap", Some("bunker")),
            ("Búnkers de calle", Some("bunker")),
            ("Green 7", Some("green")),
            ("Tees", Some("tee")),
            ("Salidas", Some("tee")),
            ("Pond by 12", Some("water")),
            ("Lagos", Some("water")),
            ("Árboles", Some("trees")),
            ("cart paths", Some("path")),
            ("Rough", Some("rough")),
            ("Out of Bounds", Some("out-of-bounds")),
            ("fairway hole", Some("keep-out")),
            ("7 fairway hole", Some("keep-out")),
            ("Fairway hole 7", Some("fairway")),
            ("Hole 7", Some("hole")),
            ("Hoyo 7", Some("hole")),
            ("Untitled polygon", None),
            ("7", None),
            ("", None),
        ] {
            assert_eq!(role_in(name), role, "{name}");
        }
    }

    #[test]
    fn numbers_stand_beside_the_hole() {
        for (name, number) in [
            ("Hole 7", Some("7")),
            ("7 fairway", Some("7")),
            ("Fairway-07", Some("7")),
            ("F7", Some("7")),
            ("Calle nº 12", Some("12")),
            ("Lake 9 hole 3", Some("3")),
            ("2024 survey 7", Some("7")),
            ("Rock", None),
            ("1 2", None),
        ] {
            assert_eq!(number_in(name).as_deref(), number, "{name}");
        }
    }

    fn feature(properties: serde_json::Value, geometry: Geometry) -> Feature {
        Feature {
            source: FeatureRef {
                index: 0,
                path: "record 1".to_string(),
                name: None,
            },
            id: None,
            properties: properties.as_object().cloned().unwrap_or_default(),
            geometry: vec![geometry],
        }
    }

    fn ring() -> Vec<[f64; 2]> {
        vec![[5., 45.], [5.1, 45.], [5.1, 45.1], [5., 45.]]
    }

    fn area(properties: serde_json::Value) -> Feature {
        feature(properties, Geometry::Polygons(vec![vec![ring()]]))
    }

    #[test]
    fn the_first_that_says_something_counts() {
        let said = SaidRoles {
            by_name: vec![("Old pit".into(), "aside".into())],
            field: None,
        };
        let mut list = [
            area(json!({"name": "Hole 7", PLACED_IN: ["Fairways", "course"]})),
            area(json!({"name": "x", "Type": "Pond", PLACED_IN: ["Fairways"]})),
            area(json!({"name": "old pit", PLACED_IN: ["Bunkers"]})),
            area(json!({"name": "north", PLACED_IN: ["bunkers"]})),
            area(json!({"role": "water", "name": "Fairway 3"})),
            area(json!({"name": "nothing", PLACED_IN: ["survey"]})),
        ];
        assign(&mut list, &said, true);
        let got: Vec<_> = list
            .iter()
            .map(|f| (text(&f.properties, "role"), text(&f.properties, TAKEN_FROM)))
            .collect();
        let want = [
            (Some("fairway"), Some("from 'Fairways'")),
            (Some("water"), Some("from its Type")),
            (Some("aside"), Some("from --role Old pit=aside")),
            (Some("bunker"), Some("from 'bunkers'")),
            (Some("water"), None),
            (None, None),
        ];
        for (g, w) in got.iter().zip(want) {
            assert_eq!((g.0.as_deref(), g.1.as_deref()), w);
        }
        assert_eq!(text(&list[0].properties, "ref").as_deref(), Some("7"));
        assert!(list.iter().all(|f| !f.properties.contains_key(PLACED_IN)));
    }

    #[test]
    fn a_field_says_the_role_and_a_line_round_an_area_is_its_edge() {
        let said = SaidRoles {
            by_name: vec![],
            field: Some("ZONE".into()),
        };
        let mut list = [
            area(json!({"zone": "Sand traps"})),
            area(json!({"zone": "mystery"})),
            feature(json!({"name": "Fairway 2"}), Geometry::Lines(vec![ring()])),
            feature(json!({"name": "Hole 2"}), Geometry::Lines(vec![ring()])),
        ];
        assign(&mut list, &said, true);
        assert_eq!(text(&list[0].properties, "role").as_deref(), Some("bunker"));
        assert_eq!(
            text(&list[1].properties, "role").as_deref(),
            Some("mystery")
        );
        assert!(matches!(list[2].geometry[0], Geometry::Polygons(_)));
        assert!(matches!(list[3].geometry[0], Geometry::Lines(_)));
    }
}
