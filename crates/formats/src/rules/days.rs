//! Days that are closed, and the weather.

use super::reader::{MAX_LIST, Object, Reader};
use super::words::*;
use crossgrain_season::rules::{Closed, Sky, SkyRule};
use serde_json::Value;

impl Reader {
    pub(super) fn closed(&mut self, top: &Object<'_>) {
        let Some(v) = top.map.get("closed") else {
            return;
        };
        let Some(items) = v.as_array().filter(|a| a.len() <= MAX_LIST) else {
            self.wrong("closed", v, "a list of {\"date\": ..., \"why\": ...}");
            return;
        };
        self.rules.closed.clear();
        for (i, item) in items.iter().enumerate() {
            let path = format!("closed[{i}]");
            let Some(p) = self.part(&path, item, &["date", "from", "to", "why"]) else {
                continue;
            };
            let one = self.entry(&p, "date", DATE, date);
            let from = self.entry(&p, "from", DATE, date).or(one);
            let to = self.entry(&p, "to", DATE, date).or(one).or(from);
            let why = self.entry(&p, "why", "a few words", words);
            if let (Some(from), Some(to)) = (from, to) {
                self.rules.closed.push(Closed {
                    from,
                    to,
                    why: why.unwrap_or_else(|| "closed".to_string()),
                });
            } else if !["date", "from"].iter().any(|k| p.map.contains_key(*k)) {
                self.fault(path, "no day".to_string(), "date, or from and to");
            }
        }
    }

    pub(super) fn weather(&mut self, top: &Object<'_>) {
        let Some(v) = top.map.get("weather") else {
            return;
        };
        let keys = [
            "frost_days",
            "wet_days",
            "frost",
            "wet",
            "later_min",
            "within_days",
        ];
        let Some(p) = self.part("weather", v, &keys) else {
            return;
        };
        for (key, sky) in [("frost_days", Sky::Frost), ("wet_days", Sky::Wet)] {
            if let Some(days) = self.list(&p, key, DATE, date) {
                self.rules
                    .weather
                    .days
                    .extend(days.into_iter().map(|d| (d, sky)));
            }
        }
        let later = self.whole(&p, "later_min").filter(|m| *m <= 720);
        if p.map.contains_key("later_min") && later.is_none() && self.faults.is_empty() {
            self.fault(
                "weather.later_min",
                "too long".to_string(),
                "minutes from 0 to 720",
            );
        }
        let minutes = later.unwrap_or(120);
        let rule = |v: &Value| match v.as_str()? {
            "later" => Some(SkyRule::Later { minutes }),
            "next-day" => Some(SkyRule::NextDay),
            "drop" => Some(SkyRule::Drop),
            _ => None,
        };
        let expected = "later, next-day or drop";
        if let SkyRule::Later { .. } = self.rules.weather.frost {
            self.rules.weather.frost = SkyRule::Later { minutes };
        }
        if let Some(r) = self.entry(&p, "frost", expected, rule) {
            self.rules.weather.frost = r;
        }
        if let Some(r) = self.entry(&p, "wet", expected, rule) {
            self.rules.weather.wet = r;
        }
        if let Some(n) = self.whole(&p, "within_days") {
            // A fortnight later the visit is another one.
            self.rules.weather.within_days = n.min(14);
        }
    }
}
