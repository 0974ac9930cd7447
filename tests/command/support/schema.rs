//! As much of JSON Schema 2020-12 as the repository's schemas use. A keyword that is not known
//! here is a fault of its own, so that no rule of a schema goes unchecked.

use serde_json::{Map, Value};

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

/// Where in the value a check stands, and what has been found so far.
struct At<'a> {
    root: &'a Value,
    place: &'a str,
    out: &'a mut Vec<String>,
}

fn check(root: &Value, schema: &Value, v: &Value, place: &str, out: &mut Vec<String>) {
    let Some(rules) = schema.as_object() else {
        if schema == &Value::Bool(false) {
            out.push(format!("{place}: not allowed"));
        }
        return;
    };
    for (key, rule) in rules {
        let mut at = At { root, place, out };
        let ok = match key.as_str() {
            "$schema" | "$id" | "$defs" | "title" | "description" => true,
            "$ref" => rule
                .as_str()
                .and_then(|r| root.pointer(r.strip_prefix('#')?))
                .map(|target| check(root, target, v, place, at.out))
                .is_some(),
            "required" | "dependentRequired" => at.needed(rule, v),
            "properties" | "additionalProperties" => at.members(key, rules, v),
            "prefixItems" | "items" => at.entries(key, rules, v),
            "anyOf" => passing(root, rule, v, place) >= 1,
            "oneOf" => passing(root, rule, v, place) == 1,
            _ => holds(key, rule, v).unwrap_or_else(|| {
                let told = format!("the schema's keyword {key} is not known to this check");
                at.out.push(told);
                true
            }),
        };
        if !ok {
            let shown: String = v.to_string().chars().take(60).collect();
            out.push(format!("{place}: {key} {rule} does not hold for {shown}"));
        }
    }
}

/// Whether a rule about the value itself holds; none where the keyword is not known.
fn holds(key: &str, rule: &Value, v: &Value) -> Option<bool> {
    let least = |count: Option<usize>| count.is_none_or(|n| Some(n as u64) >= rule.as_u64());
    Some(match key {
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
        "minLength" => least(v.as_str().map(|s| s.chars().count())),
        "pattern" => v
            .as_str()
            .is_none_or(|s| rule.as_str().is_some_and(|form| has_form(form, s))),
        "minItems" => least(v.as_array().map(Vec::len)),
        "maxItems" => v
            .as_array()
            .is_none_or(|l| Some(l.len() as u64) <= rule.as_u64()),
        _ => return None,
    })
}

fn texts(list: &Value) -> impl Iterator<Item = &str> {
    list.as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
}

impl At<'_> {
    /// Members that must be there, all of them or beside another.
    fn needed(&mut self, rule: &Value, v: &Value) -> bool {
        let place = self.place;
        for k in texts(rule).filter(|k| v.is_object() && v.get(k).is_none()) {
            self.out.push(format!("{place}: {k} is missing"));
        }
        for (k, needs) in rule.as_object().into_iter().flatten() {
            for n in texts(needs).filter(|n| v.get(k).is_some() && v.get(n).is_none()) {
                self.out.push(format!("{place}: {k} needs {n}"));
            }
        }
        true
    }

    fn members(&mut self, key: &str, rules: &Map<String, Value>, v: &Value) -> bool {
        let known = rules.get("properties").and_then(Value::as_object);
        for (k, member) in v.as_object().into_iter().flatten() {
            let own = known.and_then(|p| p.get(k));
            let rule = if key == "properties" {
                own
            } else {
                own.is_none().then_some(&rules[key])
            };
            if let Some(rule) = rule {
                check(
                    self.root,
                    rule,
                    member,
                    &format!("{}.{k}", self.place),
                    self.out,
                );
            }
        }
        true
    }

    fn entries(&mut self, key: &str, rules: &Map<String, Value>, v: &Value) -> bool {
        let first = rules.get("prefixItems").and_then(Value::as_array);
        for (i, member) in v.as_array().into_iter().flatten().enumerate() {
            let own = first.and_then(|l| l.get(i));
            let rule = if key == "prefixItems" {
                own
            } else {
                own.is_none().then_some(&rules[key])
            };
            if let Some(rule) = rule {
                check(
                    self.root,
                    rule,
                    member,
                    &format!("{}[{i}]", self.place),
                    self.out,
                );
            }
        }
        true
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
