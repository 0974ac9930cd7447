//! Who mows with what, and when.

use super::reader::{Object, Reader};
use super::words::*;
use crossgrain_season::rules::MachineRule;
use jiff::civil::Time;

/// Most kinds of machine.
const MAX_MACHINES: usize = 20;

impl Reader {
    pub(super) fn crew(&mut self, top: &Object<'_>) {
        if let Some(v) = top.map.get("crew") {
            let keys = [
                "mowers",
                "machines",
                "hours_per_day",
                "start",
                "between_min",
            ];
            if let Some(p) = self.part("crew", v, &keys) {
                if let Some(n) = self.whole(&p, "mowers") {
                    self.rules.crew.mowers = n;
                }
                self.machines(&p);
                if let Some(x) = self.number(&p, "hours_per_day") {
                    self.rules.crew.hours_per_day = x;
                }
                if let Some(t) = self.entry(&p, "start", "a time such as \"05:30\"", |v| {
                    v.as_str()?.parse::<Time>().ok()
                }) {
                    self.rules.crew.start = t;
                }
                if let Some(x) = self.number(&p, "between_min") {
                    self.rules.crew.between_min = x;
                }
            }
        }
        let Some(v) = top.map.get("rates") else {
            return;
        };
        let keys = [
            "currency",
            "labour_per_hour",
            "fuel_l_per_hour",
            "fuel_per_l",
        ];
        if let Some(p) = self.part("rates", v, &keys) {
            if let Some(c) = self.entry(&p, "currency", "a name such as USD", words) {
                self.rules.rates.currency = c;
            }
            self.rules.rates.labour_per_hour = self.number(&p, "labour_per_hour");
            self.rules.rates.fuel_l_per_hour = self.number(&p, "fuel_l_per_hour");
            self.rules.rates.fuel_per_l = self.number(&p, "fuel_per_l");
        }
    }

    fn machines(&mut self, crew: &Object<'_>) {
        let Some(v) = crew.map.get("machines") else {
            return;
        };
        let Some(items) = v.as_array().filter(|a| a.len() <= MAX_MACHINES) else {
            self.wrong(
                "crew.machines",
                v,
                "a list of {\"name\": ..., \"deck\" or \"mower\": ...}",
            );
            return;
        };
        self.rules.crew.machines.clear();
        for (i, item) in items.iter().enumerate() {
            let path = format!("crew.machines[{i}]");
            let Some(p) = self.part(&path, item, &["name", "deck", "mower", "count"]) else {
                continue;
            };
            let name = self.entry(&p, "name", "a name", words);
            let deck_m = self.entry(&p, "deck", LENGTH, length);
            let file = self.entry(&p, "mower", "the name of a mower file", |v| {
                v.as_str().map(str::to_string)
            });
            let count = self.whole(&p, "count").unwrap_or(1);
            let has = |k: &str| p.map.contains_key(k);
            if has("deck") == has("mower") {
                self.fault(
                    path,
                    "a deck or a mower file is wanted".to_string(),
                    "either deck or mower",
                );
            } else if let Some(name) = name {
                self.rules.crew.machines.push(MachineRule {
                    name,
                    deck_m,
                    file,
                    count,
                });
            } else if !has("name") {
                self.fault(path, "no name".to_string(), "a name");
            }
        }
    }
}
