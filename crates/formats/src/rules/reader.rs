//! Parts, entries and lists of the rules, every fault kept.

use super::fault::RuleEntryFault;
use super::words::*;
use crate::input;
use crossgrain_season::rules::Rules;
use serde_json::{Map, Value};

/// Most entries in a list: far beyond a season's days.
pub(super) const MAX_LIST: usize = 2000;

pub(super) struct Reader {
    pub(super) faults: Vec<RuleEntryFault>,
    pub(super) rules: Rules,
}

/// One object of the file with its place.
pub(super) struct Object<'a> {
    pub(super) path: String,
    pub(super) map: &'a Map<String, Value>,
}

impl Object<'_> {
    pub(super) fn at(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_string()
        } else {
            format!("{}.{key}", self.path)
        }
    }
}

impl Reader {
    pub(super) fn fault(
        &mut self,
        rule: impl Into<String>,
        found: String,
        expected: impl Into<String>,
    ) {
        self.faults.push(RuleEntryFault {
            rule: rule.into(),
            found,
            expected: expected.into(),
        });
    }

    pub(super) fn wrong(
        &mut self,
        rule: impl Into<String>,
        value: &Value,
        expected: impl Into<String>,
    ) {
        self.fault(rule, shown(value), expected);
    }

    pub(super) fn part<'a>(
        &mut self,
        path: &str,
        value: &'a Value,
        keys: &[&str],
    ) -> Option<Object<'a>> {
        let Some(map) = value.as_object() else {
            self.wrong(
                if path.is_empty() { "rules" } else { path },
                value,
                format!("an object with {}", keys.join(", ")),
            );
            return None;
        };
        let part = Object {
            path: path.to_string(),
            map,
        };
        for key in map.keys() {
            if !keys.contains(&key.as_str()) && key != "note" {
                let at = part.at(&input::plain(&key.chars().take(60).collect::<String>()));
                self.fault(
                    at,
                    "no such rule".to_string(),
                    format!("one of {}", keys.join(", ")),
                );
            }
        }
        Some(part)
    }

    /// The entry `key`, read by `read`; a fault when it is there and cannot be read.
    pub(super) fn entry<T>(
        &mut self,
        part: &Object<'_>,
        key: &str,
        expected: &str,
        read: impl Fn(&Value) -> Option<T>,
    ) -> Option<T> {
        let value = part.map.get(key)?;
        let out = read(value);
        if out.is_none() {
            self.wrong(part.at(key), value, expected);
        }
        out
    }

    pub(super) fn list<T>(
        &mut self,
        part: &Object<'_>,
        key: &str,
        expected: &str,
        read: impl Fn(&Value) -> Option<T>,
    ) -> Option<Vec<T>> {
        let value = part.map.get(key)?;
        let Some(items) = value.as_array().filter(|a| a.len() <= MAX_LIST) else {
            self.wrong(part.at(key), value, format!("a list of {expected}"));
            return None;
        };
        let mut out = Vec::new();
        for (i, item) in items.iter().enumerate() {
            match read(item) {
                Some(t) => out.push(t),
                None => self.wrong(format!("{}[{i}]", part.at(key)), item, expected),
            }
        }
        Some(out)
    }

    pub(super) fn number(&mut self, part: &Object<'_>, key: &str) -> Option<f64> {
        self.entry(part, key, "a number", |v| {
            v.as_f64().filter(|x| x.is_finite())
        })
    }

    pub(super) fn whole(&mut self, part: &Object<'_>, key: &str) -> Option<u32> {
        self.entry(part, key, "a whole number, 0 or more", |v| {
            v.as_u64().and_then(|n| u32::try_from(n).ok())
        })
    }
}
