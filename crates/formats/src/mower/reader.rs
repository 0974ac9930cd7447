//! From the values of a mower file to a mower, each checked, every fault kept.

use super::fault::MowerFault;
use super::limits::*;
use crate::input;
use crossgrain_core::inside::model::mower::{DEFAULT_SHIFT_EFFICIENCY, MIN_SHIFT_EFFICIENCY};
use crossgrain_core::inside::model::quantity::{KMH_M_S, parse_length_m, parse_speed_m_s};
use crossgrain_core::{CuttingUnit, Mower, Reel, Speeds};
use serde_json::{Map, Value};

/// What a number's key says its unit is.
#[derive(Clone, Copy)]
enum Kind {
    Metres,
    Millimetres,
    Kmh,
    Plain(&'static str),
}

/// The range a number must lie in, in its own unit.
struct Range {
    least: f64,
    most: f64,
}

const SPEED: Range = Range {
    least: 0.5,
    most: 40.0,
};

const RADIUS: Range = Range {
    least: 0.1,
    most: 30.0,
};

const LIFT: Range = Range {
    least: 0.0,
    most: 60.0,
};

const SHIFT: Range = Range {
    least: MIN_SHIFT_EFFICIENCY,
    most: 1.0,
};

const BENCH: Range = Range {
    least: 1.0,
    most: 200.0,
};

/// Keys of a mower.
const KEYS: &[&str] = &[
    "name",
    "units",
    "turning_radius_m",
    "speeds_kmh",
    "lift_lower_s",
    "shift_efficiency",
    "reel",
    "bench_height_mm",
    "may_reverse",
    "gaps_allowed",
    "schema",
    "note",
];
const KEYS_SHOWN: &str = "name, units, turning_radius_m, speeds_kmh, lift_lower_s, shift_efficiency, reel, bench_height_mm, may_reverse, gaps_allowed, note";

pub(super) struct Reader {
    pub(super) faults: Vec<MowerFault>,
}

impl Reader {
    pub(super) fn mower(&mut self, value: &Value) -> Option<Mower> {
        let Some(map) = value.as_object() else {
            self.faults.push(MowerFault::NotAnObject);
            return None;
        };
        self.known("", map, KEYS, KEYS_SHOWN);
        let name = match map.get("name") {
            Some(Value::String(s)) if !s.trim().is_empty() => {
                input::plain(s.trim()).chars().take(80).collect()
            }
            Some(Value::String(_)) | None => "mower".to_string(),
            Some(_) => {
                self.wrong("name", "text");
                String::new()
            }
        };
        let gaps_allowed = self.flag(map, "gaps_allowed");
        let may_reverse = self.flag(map, "may_reverse");
        let before = self.faults.len();
        let units = self.units(map);
        if self.faults.len() == before {
            self.placing(&units, gaps_allowed);
        }
        let turning_radius_m = self.number(
            map,
            "",
            "turning_radius_m",
            Kind::Metres,
            &RADIUS,
            Some("\"turning_radius_m\": 2.0"),
        );
        let speeds = self.speeds(map);
        let lift_lower_s = self.number(map, "", "lift_lower_s", Kind::Plain("s"), &LIFT, None);
        let shift_efficiency = self.number(
            map,
            "",
            "shift_efficiency",
            Kind::Plain("of the shift"),
            &SHIFT,
            None,
        );
        let reel = self.reel(map);
        let bench = self.number(map, "", "bench_height_mm", Kind::Millimetres, &BENCH, None);
        let mut mower = Mower::of_units(name, units);
        mower.turning_radius_m = turning_radius_m?;
        mower.speeds = speeds?;
        mower.lift_lower_s = lift_lower_s.unwrap_or(DEFAULT_LIFT_LOWER_S);
        mower.shift_efficiency = shift_efficiency.unwrap_or(DEFAULT_SHIFT_EFFICIENCY);
        mower.reel = reel;
        mower.bench_height_m = bench.map(|mm| mm / 1000.0);
        mower.may_reverse = may_reverse;
        Some(mower)
    }

    fn wrong(&mut self, entry: &str, expected: &'static str) {
        self.faults.push(MowerFault::WrongKind {
            entry: entry.to_string(),
            expected,
        });
    }

    fn known(&mut self, path: &str, map: &Map<String, Value>, keys: &[&str], list: &'static str) {
        for key in map.keys() {
            if !keys.contains(&key.as_str()) {
                let short: String = input::plain(key).chars().take(60).collect();
                self.faults.push(MowerFault::Unknown {
                    entry: format!("{path}{short}"),
                    known: list,
                });
            }
        }
    }

    fn flag(&mut self, map: &Map<String, Value>, key: &str) -> bool {
        match map.get(key) {
            None => false,
            Some(Value::Bool(b)) => *b,
            Some(_) => {
                self.wrong(key, "true or false");
                false
            }
        }
    }

    /// A number in the unit of its key, or text with a unit of its own. In the key's unit.
    fn number(
        &mut self,
        map: &Map<String, Value>,
        path: &str,
        key: &str,
        kind: Kind,
        range: &Range,
        example: Option<&'static str>,
    ) -> Option<f64> {
        let entry = format!("{path}{key}");
        let value = match (map.get(key), example) {
            (None, None) => return None,
            (None, Some(example)) => {
                self.faults.push(MowerFault::Missing { entry, example });
                return None;
            }
            (Some(v), _) => v,
        };
        let read = match (value, kind) {
            (Value::Number(n), _) => n.as_f64(),
            (Value::String(s), Kind::Metres) => self.measure(&entry, parse_length_m(s), 1.0)?,
            (Value::String(s), Kind::Millimetres) => {
                self.measure(&entry, parse_length_m(s), 1000.0)?
            }
            (Value::String(s), Kind::Kmh) => {
                self.measure(&entry, parse_speed_m_s(s), 1.0 / KMH_M_S)?
            }
            _ => None,
        };
        let (unit, expected) = match kind {
            Kind::Metres => ("m", "a number in metres, or text such as \"30in\""),
            Kind::Millimetres => ("mm", "a number in millimetres, or text such as \"0.5in\""),
            Kind::Kmh => (
                "km/h",
                "a number in kilometres per hour, or text such as \"5mph\"",
            ),
            Kind::Plain(unit) => (unit, "a number"),
        };
        let Some(v) = read.filter(|v| v.is_finite()) else {
            self.wrong(&entry, expected);
            return None;
        };
        if v < range.least || v > range.most {
            self.faults.push(MowerFault::OutOfRange {
                entry,
                value: v,
                least: range.least,
                most: range.most,
                unit,
            });
            return None;
        }
        Some(v)
    }

    /// A measure with its own unit, times `factor`. The outer `None`: a fault was noted.
    #[allow(clippy::option_option)]
    fn measure(
        &mut self,
        entry: &str,
        parsed: Result<f64, crossgrain_core::inside::model::quantity::QuantityError>,
        factor: f64,
    ) -> Option<Option<f64>> {
        match parsed {
            Ok(v) => Some(Some(v * factor)),
            Err(e) => {
                self.faults.push(MowerFault::BadMeasure {
                    entry: entry.to_string(),
                    reason: input::plain(&e.to_string()),
                });
                None
            }
        }
    }

    fn units(&mut self, map: &Map<String, Value>) -> Vec<CuttingUnit> {
        let list = match map.get("units") {
            None => {
                self.faults.push(MowerFault::Missing {
                    entry: "units".to_string(),
                    example: "\"units\": [{\"across_m\": 0, \"ahead_m\": 0, \"width_m\": 2.54}]",
                });
                return vec![];
            }
            Some(Value::Array(list)) => list,
            Some(_) => {
                self.wrong("units", "a list of cutting units in square brackets");
                return vec![];
            }
        };
        if list.is_empty() || list.len() > MAX_UNITS {
            self.faults
                .push(MowerFault::UnitCount { count: list.len() });
            return vec![];
        }
        let mut units = Vec::new();
        for (i, value) in list.iter().enumerate() {
            let path = format!("units[{i}].");
            let Some(unit) = value.as_object() else {
                self.wrong(
                    &format!("units[{i}]"),
                    "an object with across_m, ahead_m and width_m",
                );
                continue;
            };
            self.known(
                &path,
                unit,
                &["across_m", "ahead_m", "width_m", "note"],
                "across_m, ahead_m, width_m, note",
            );
            let place = Range {
                least: -MAX_UNIT_OFFSET_M,
                most: MAX_UNIT_OFFSET_M,
            };
            let across = self.number(
                unit,
                &path,
                "across_m",
                Kind::Metres,
                &place,
                Some("\"across_m\": 0.0 (metres to the left of the axle's middle)"),
            );
            let ahead = self.number(
                unit,
                &path,
                "ahead_m",
                Kind::Metres,
                &place,
                Some("\"ahead_m\": 0.0 (metres ahead of the fixed axle)"),
            );
            let width = self.number(
                unit,
                &path,
                "width_m",
                Kind::Metres,
                &Range {
                    least: 0.05,
                    most: MAX_UNIT_OFFSET_M,
                },
                Some("\"width_m\": \"26in\""),
            );
            if let (Some(across_m), Some(ahead_m), Some(width_m)) = (across, ahead, width) {
                units.push(CuttingUnit {
                    across_m,
                    ahead_m,
                    width_m,
                });
            }
        }
        units
    }

    /// How the units stand to one another.
    fn placing(&mut self, units: &[CuttingUnit], gaps_allowed: bool) {
        for (i, a) in units.iter().enumerate() {
            for (j, b) in units.iter().enumerate() {
                let covers = a.left_m() >= b.left_m() - EDGE_TOLERANCE_M
                    && a.right_m() <= b.right_m() + EDGE_TOLERANCE_M;
                let same = a.left_m() - b.left_m() < EDGE_TOLERANCE_M
                    && b.right_m() - a.right_m() < EDGE_TOLERANCE_M;
                // Of two that cut the same, the later one is in vain.
                if i != j && covers && (!same || i < j) {
                    self.faults.push(MowerFault::Shadowed { unit: j, by: i });
                }
                let across_m = a.left_m().min(b.left_m()) - a.right_m().max(b.right_m());
                let ahead_m = (a.ahead_m - b.ahead_m).abs();
                if i < j && across_m > EDGE_TOLERANCE_M && ahead_m < UNIT_DEPTH_M && !covers {
                    self.faults.push(MowerFault::Collide {
                        first: i,
                        second: j,
                        across_m,
                        ahead_m,
                    });
                }
            }
        }
        if gaps_allowed {
            return;
        }
        let mut order: Vec<usize> = (0..units.len()).collect();
        order.sort_by(|&a, &b| units[a].right_m().total_cmp(&units[b].right_m()));
        let mut last = order[0];
        for &i in &order[1..] {
            let width_m = units[i].right_m() - units[last].left_m();
            if width_m > EDGE_TOLERANCE_M {
                self.faults.push(MowerFault::Gap {
                    right: last,
                    left: i,
                    width_m,
                });
            }
            if units[i].left_m() > units[last].left_m() {
                last = i;
            }
        }
    }

    fn speeds(&mut self, map: &Map<String, Value>) -> Option<Speeds> {
        let speeds = match map.get("speeds_kmh") {
            None => {
                self.faults.push(MowerFault::Missing {
                    entry: "speeds_kmh".to_string(),
                    example: "\"speeds_kmh\": {\"mowing\": 8, \"loops\": 6, \"transport\": 10, \"turning\": 5}",
                });
                return None;
            }
            Some(Value::Object(o)) => o,
            Some(_) => {
                self.wrong(
                    "speeds_kmh",
                    "an object with mowing, loops, transport and turning",
                );
                return None;
            }
        };
        let path = "speeds_kmh.";
        self.known(
            path,
            speeds,
            &["mowing", "loops", "transport", "turning"],
            "mowing, loops, transport, turning",
        );
        let mowing = self.number(
            speeds,
            path,
            "mowing",
            Kind::Kmh,
            &SPEED,
            Some("\"mowing\": 8"),
        );
        let mut other = |key| self.number(speeds, path, key, Kind::Kmh, &SPEED, None);
        let (loops, transport, turning) = (other("loops"), other("transport"), other("turning"));
        let mowing = mowing?;
        let m_s = |v: Option<f64>| v.unwrap_or(mowing) * KMH_M_S;
        Some(Speeds {
            mowing_m_s: mowing * KMH_M_S,
            loops_m_s: m_s(loops),
            transport_m_s: m_s(transport),
            turning_m_s: m_s(turning),
        })
    }

    fn reel(&mut self, map: &Map<String, Value>) -> Option<Reel> {
        let reel = match map.get("reel") {
            None | Some(Value::Null) => return None,
            Some(Value::Object(o)) => o,
            Some(_) => {
                self.wrong("reel", "an object with blades and rpm");
                return None;
            }
        };
        self.known("reel.", reel, &["blades", "rpm"], "blades, rpm");
        let blades = self.number(
            reel,
            "reel.",
            "blades",
            Kind::Plain("blades"),
            &Range {
                least: 1.0,
                most: 40.0,
            },
            Some("\"blades\": 11"),
        );
        let rpm = self.number(
            reel,
            "reel.",
            "rpm",
            Kind::Plain("rpm"),
            &Range {
                least: 50.0,
                most: 10_000.0,
            },
            Some("\"rpm\": 2200"),
        );
        let blades = blades?;
        if blades.fract() != 0.0 {
            self.wrong("reel.blades", "a whole number");
            return None;
        }
        Some(Reel {
            // Between 1 and 40 and whole, as checked.
            blades: blades as u32,
            rpm: rpm?,
        })
    }
}
