//! Reference and worked examples for whoever writes the files or reads a plan.

#[doc = include_str!("keys.md")]
pub mod keys {}

#[doc = include_str!("worked.md")]
pub mod worked {}

#[cfg(test)]
mod tests {
    use crate::rules;
    use crossgrain_season::Rules;
    use jiff::civil::date;
    use serde_json::{Map, Value, json};

    const REFERENCE: &str = include_str!("keys.md");

    /// Every key of a schema with its place, written as the reference writes it.
    fn keys(schema: &Value, path: &str, out: &mut Vec<String>) {
        for (key, part) in schema["properties"].as_object().into_iter().flatten() {
            if matches!(key.as_str(), "note" | "schema") {
                continue;
            }
            let at = if path.is_empty() {
                key.clone()
            } else {
                format!("{path}.{key}")
            };
            let before = out.len();
            keys(part, &at, out);
            keys(&part["items"], &format!("{at}[]"), out);
            keys(&part["additionalProperties"], &format!("{at}.NAME"), out);
            if out.len() == before {
                out.push(at);
            }
        }
    }

    fn schema(text: &str) -> Value {
        serde_json::from_str(text).unwrap()
    }

    #[test]
    fn the_reference_has_every_key_of_the_schemas() {
        for (text, least) in [
            (include_str!("../../schemas/mower-file.schema.json"), 14),
            (include_str!("../../schemas/rules-file.schema.json"), 35),
        ] {
            let mut all = Vec::new();
            keys(&schema(text), "", &mut all);
            assert!(all.len() >= least, "{all:?}");
            for key in all {
                assert!(REFERENCE.contains(&format!("`{key}`")), "{key}");
            }
        }
        let course = schema(include_str!("../../schemas/course-file.schema.json"));
        let properties = &course["properties"]["features"]["items"]["properties"]["properties"];
        let map: &Map<String, Value> = properties["anyOf"][1]["properties"].as_object().unwrap();
        assert_eq!(map.len(), 6);
        for key in map.keys() {
            assert!(REFERENCE.contains(&format!("| `{key}` |")), "{key}");
        }
        for (role, _) in crate::course::roles_known() {
            assert!(REFERENCE.contains(&format!("`{role}`")), "{role}");
            let known = map["role"]["enum"].as_array().unwrap();
            assert!(known.contains(&json!(role)), "{role}");
        }
    }

    /// The reader names the keys it knows when it meets another; the schema has the same.
    #[test]
    fn the_schema_has_every_key_that_the_reader_knows() {
        let rules_schema = schema(include_str!("../../schemas/rules-file.schema.json"));
        let defaults = || Rules::between(date(2027, 4, 1), date(2027, 10, 31));
        let mut checked = 0;
        let mut check = |file: Value, part: &Value| {
            let e = rules::read(&file.to_string(), "r.json", defaults()).unwrap_err();
            let text = e.to_string();
            let (_, list) = text.split_once("give one of ").expect(&text);
            let known = part["properties"].as_object().expect("an object");
            for key in list.lines().next().unwrap_or_default().split(", ") {
                assert!(known.contains_key(key), "{key}: {text}");
                checked += 1;
            }
        };
        check(json!({"zzz": 1}), &rules_schema);
        for (key, part) in rules_schema["properties"].as_object().unwrap() {
            if part["properties"].is_object() {
                check(json!({key: {"zzz": 1}}), part);
            }
        }
        let fairway = &rules_schema["properties"]["fairways"]["additionalProperties"];
        check(json!({"fairways": {"7": {"zzz": 1}}}), fairway);
        assert!(checked > 40, "{checked}");
    }
}
