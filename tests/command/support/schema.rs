//! As much of JSON Schema 2020-12 as the repository's schemas use. A keyword that is not known
//! here is a fault of its own, so that no rule of a schema goes unchecked.

use serde_json::Value;

/// Everything about `value` that the schema does not allow, each with its place.
pub fn faults(schema: &Value, value: &Value) -> Vec<String> {
    let mut out = Vec::new();
    check(schema, schema, value, "$", &mut out);
    out
}

fn is_of(kind: &str, v: &Value) -> bool {
    match kind {
        "object" => v.is_object(),
        "array" => v.is_array(),
        "string" => v.is_string(),
        "number" => v.is_number(),
        "integer" => v.as_f64().is_some_and(|n| n.fract() == 0.0),
        "boolean" => v.is_boolean(),
        "null" => v.is_null(),
        _ => false,
    }
}

/// Whether a text has a form. The forms in use; another is a fault, so that none is taken for one
/// of these.
fn has_form(form: &str, s: &str) -> bool {
    // `0` stands for a figure.
    let like = |mask: &str| {
        s.len() == mask.len()
            && (s.bytes().zip(mask.bytes())).all(|(b, m)| match m {
                b'0' => b.is_ascii_digit(),
                m => b == m,
            })
    };
    match form {
        "^[0-9]{4}-[0-9]{2}-[0-9]{2}$" => like("0000-00-00"),
        "^[0-9]{2}:[0-9]{2}$" => like("00:00"),
        "^[0-9]{4}-W[0-9]{2}-[0-9]+$" => like("0000-W00-0") || like("0000-W00-00"),
        "^[0-9a-f]{16}$" => s.len() == 16 && s.bytes().all(|b| b"0123456789abcdef".contains(&b)),
        "^([1-9]|1[0-2])(:30)?-([1-9]|1[0-2])(:30)?$" => {
            let hour = |t: &str| {
                let t = t.strip_suffix(":30").unwrap_or(t);
                !t.starts_with('0') && t.parse::<u8>().is_ok_and(|h| (1..=12).contains(&h))
            };
            s.split_once('-').is_some_and(|(a, b)| hour(a) && hour(b))
        }
        "^[a-z]+(-[a-z]+)*$" => s
            .split('-')
            .all(|w| !w.is_empty() && w.bytes().all(|b| b.is_ascii_lowercase())),
        "^[A-HJ-NP-Z]+$" => {
            !s.is_empty()
                && s.bytes()
                    .all(|b| b.is_ascii_uppercase() && b != b'I' && b != b'O')
        }
        _ => false,
    }
}

fn check(root: &Value, schema: &Value, v: &Value, at: &str, out: &mut Vec<String>) {
    let Some(rules) = schema.as_object() else {
        if schema == &Value::Bool(false) {
            out.push(format!("{at}: not allowed"));
        }
        return;
    };
    for (key, rule) in rules {
        let ok = match key.as_str() {
            "$schema" | "$id" | "$defs" | "title" | "description" => true,
            "$ref" => {
                let target = rule
                    .as_str()
                    .and_then(|r| root.pointer(r.strip_prefix('#')?));
                match target {
                    Some(t) => {
                        check(root, t, v, at, out);
                        true
                    }
                    None => false,
                }
            }
            "type" => match rule {
                Value::String(one) => is_of(one, v),
                Value::Array(any) => any.iter().any(|t| t.as_str().is_some_and(|t| is_of(t, v))),
                _ => false,
            },
            "const" => v == rule,
            "enum" => rule.as_array().is_some_and(|l| l.contains(v)),
            "minimum" => compare(v, rule, |a, b| a >= b),
            "maximum" => compare(v, rule, |a, b| a <= b),
            "exclusiveMinimum" => compare(v, rule, |a, b| a > b),
            "exclusiveMaximum" => compare(v, rule, |a, b| a < b),
            "minLength" => v
                .as_str()
                .is_none_or(|s| Some(s.chars().count() as u64) >= rule.as_u64()),
            "pattern" => v
                .as_str()
                .is_none_or(|s| rule.as_str().is_some_and(|form| has_form(form, s))),
            "minItems" => v
                .as_array()
                .is_none_or(|l| Some(l.len() as u64) >= rule.as_u64()),
            "maxItems" => v
                .as_array()
                .is_none_or(|l| Some(l.len() as u64) <= rule.as_u64()),
            "required" => {
                for k in rule
                    .as_array()
                    .into_iter()
                    .flatten()
                    .filter_map(Value::as_str)
                {
                    if v.is_object() && v.get(k).is_none() {
                        out.push(format!("{at}: {k} is missing"));
                    }
                }
                true
            }
            "dependentRequired" => {
                for (k, needs) in rule.as_object().into_iter().flatten() {
                    for n in needs
                        .as_array()
                        .into_iter()
                        .flatten()
                        .filter_map(Value::as_str)
                    {
                        if v.get(k).is_some() && v.get(n).is_none() {
                            out.push(format!("{at}: {k} needs {n}"));
                        }
                    }
                }
                true
            }
            "properties" => {
                for (k, s) in rule.as_object().into_iter().flatten() {
                    if let Some(member) = v.get(k) {
                        check(root, s, member, &format!("{at}.{k}"), out);
                    }
                }
                true
            }
            "additionalProperties" => {
                let known = rules.get("properties").and_then(Value::as_object);
                for (k, member) in v.as_object().into_iter().flatten() {
                    if known.is_none_or(|p| !p.contains_key(k)) {
                        check(root, rule, member, &format!("{at}.{k}"), out);
                    }
                }
                true
            }
            "prefixItems" => {
                let list = rule.as_array().into_iter().flatten();
                for (i, (s, member)) in list.zip(v.as_array().into_iter().flatten()).enumerate() {
                    check(root, s, member, &format!("{at}[{i}]"), out);
                }
                true
            }
            "items" => {
                let before = rules
                    .get("prefixItems")
                    .and_then(Value::as_array)
                    .map_or(0, Vec::len);
                for (i, member) in v.as_array().into_iter().flatten().enumerate().skip(before) {
                    check(root, rule, member, &format!("{at}[{i}]"), out);
                }
                true
            }
            "anyOf" => passing(root, rule, v, at) >= 1,
            "oneOf" => passing(root, rule, v, at) == 1,
            _ => {
                out.push(format!(
                    "the schema's keyword {key} is not known to this check"
                ));
                true
            }
        };
        if !ok {
            let shown: String = v.to_string().chars().take(60).collect();
            out.push(format!("{at}: {key} {rule} does not hold for {shown}"));
        }
    }
}

fn compare(v: &Value, rule: &Value, holds: impl Fn(f64, f64) -> bool) -> bool {
    match (v.as_f64(), rule.as_f64()) {
        (Some(a), Some(b)) => holds(a, b),
        _ => true,
    }
}

fn passing(root: &Value, rule: &Value, v: &Value, at: &str) -> usize {
    rule.as_array()
        .into_iter()
        .flatten()
        .filter(|s| {
            let mut faults = Vec::new();
            check(root, s, v, at, &mut faults);
            faults.is_empty()
        })
        .count()
}
