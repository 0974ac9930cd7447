//! Fingerprints of the ground and of mowers: whether what a programme was made for is still there.
//!
//! They are taken of what was read, not of the file's bytes: the same shapes in another file
//! format, in another order or with other spaces have the same fingerprint. Positions count to a
//! ten-millionth of a degree, about a centimetre on the ground.

use crossgrain_core::{Course, Fairway, Mower, Plane};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

/// Positions count in steps of this many degrees: about a centimetre.
const STEP_DEG: f64 = 1e-7;
/// Lengths of a mower count in steps of this many metres, speeds in steps of as many metres a
/// second, and so on.
const STEP: f64 = 1e-6;
/// Where a step begins: files write round decimals, which must not lie where two steps meet.
const OFF_ROUND: f64 = 0.381_966;

/// What is counted, hashed: FNV-1a, 64 bits (Fowler, Noll, Vo). Not against forgery, only against
/// mixing up.
struct Print(u64);

impl Print {
    fn new() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }

    fn bytes(&mut self, bytes: &[u8]) {
        for b in bytes {
            self.0 = (self.0 ^ u64::from(*b)).wrapping_mul(0x0100_0000_01b3);
        }
    }

    fn whole(&mut self, n: i64) {
        self.bytes(&n.to_le_bytes());
    }

    fn number(&mut self, x: f64) {
        self.whole(steps(x, STEP));
    }

    fn hex(&self) -> String {
        format!("{:016x}", self.0)
    }
}

fn steps(x: f64, step: f64) -> i64 {
    (x / step + OFF_ROUND).floor() as i64
}

/// Points in steps of a degree.
type Points = Vec<[i64; 2]>;

struct Ground(Plane);

impl Ground {
    fn point(&self, at: Coord<f64>) -> [i64; 2] {
        self.0.lon_lat(at).position().map(|d| steps(d, STEP_DEG))
    }

    /// A ring from its least point on, whichever point the file begins with and whichever way
    /// round; without the point that closes it.
    fn ring(&self, ring: &LineString<f64>) -> Points {
        let open = ring.0.len().saturating_sub(1);
        let mut out: Points = ring.0[..open].iter().map(|c| self.point(*c)).collect();
        out.dedup();
        if let Some(least) = (0..out.len()).min_by_key(|&i| out[i]) {
            out.rotate_left(least);
        }
        let mut back = out.clone();
        if let Some(rest) = back.get_mut(1..) {
            rest.reverse();
        }
        out.min(back)
    }

    fn polygon(&self, p: &Polygon<f64>) -> Vec<Points> {
        let mut holes: Vec<Points> = p.interiors().iter().map(|r| self.ring(r)).collect();
        holes.sort();
        let mut out = vec![self.ring(p.exterior())];
        out.extend(holes);
        out
    }

    fn polygons(&self, print: &mut Print, what: &str, area: &MultiPolygon<f64>) {
        let mut all: Vec<Vec<Points>> = area.0.iter().map(|p| self.polygon(p)).collect();
        all.sort();
        self.put(print, what, &all);
    }

    fn put(&self, print: &mut Print, what: &str, polygons: &[Vec<Points>]) {
        print.bytes(what.as_bytes());
        print.whole(polygons.len() as i64);
        for ring in polygons.iter().flatten() {
            print.whole(ring.len() as i64);
            for n in ring.iter().flatten() {
                print.whole(*n);
            }
        }
    }
}

/// Each fairway's name with the fingerprint of its ground, in the course's order: outline,
/// keep-outs, places where the mower must not turn, the hole's line, the way in.
pub fn ground(course: &Course) -> Vec<(String, String)> {
    let Some(plane) = Plane::new([course.origin_lon_deg, course.origin_lat_deg]) else {
        return Vec::new();
    };
    let ground = Ground(plane);
    (course.fairways.iter())
        .map(|f| (f.name().to_string(), fairway(&ground, f)))
        .collect()
}

fn fairway(ground: &Ground, f: &Fairway) -> String {
    let mut print = Print::new();
    ground.polygons(&mut print, "outline", f.outline());
    let mut keep_outs: Vec<(&str, Vec<Points>)> = (f.keep_outs().iter())
        .map(|k| (k.kind.word(), ground.polygon(&k.area)))
        .collect();
    keep_outs.sort();
    for (kind, area) in keep_outs {
        ground.put(&mut print, kind, &[area]);
    }
    ground.polygons(&mut print, "no-turn", f.no_turn());
    let line: Points = (f.hole_line().iter().flat_map(|l| &l.0))
        .map(|c| ground.point(*c))
        .collect();
    ground.put(&mut print, "hole", &[vec![line]]);
    let way_in: Points = f.way_in().iter().map(|c| ground.point(*c)).collect();
    ground.put(&mut print, "way-in", &[vec![way_in]]);
    print.hex()
}

/// The fingerprint of a mower: its units, radius, speeds and what else a plan depends on; not its
/// name.
pub fn mower(m: &Mower) -> String {
    let mut print = Print::new();
    print.whole(m.units.len() as i64);
    for u in &m.units {
        for x in [u.across_m, u.ahead_m, u.width_m] {
            print.number(x);
        }
    }
    let s = &m.speeds;
    for x in [
        m.turning_radius_m,
        s.mowing_m_s,
        s.loops_m_s,
        s.transport_m_s,
        s.turning_m_s,
        m.lift_lower_s,
        m.shift_efficiency,
    ] {
        print.number(x);
    }
    print.whole(i64::from(m.may_reverse));
    print.hex()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::course;
    use serde_json::{Value, json};
    use std::path::Path;

    fn sample() -> Value {
        let at = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples/quillback.geojson");
        serde_json::from_str(&std::fs::read_to_string(at).unwrap()).unwrap()
    }

    fn course(v: &Value) -> Course {
        course::read(&v.to_string(), "c.geojson", "c")
            .unwrap()
            .course
    }

    fn is_fairway(f: &Value) -> bool {
        f["properties"].to_string().contains("fairway")
    }

    #[test]
    fn the_same_ground_in_another_file_is_the_same() {
        let mut v = sample();
        let here = course(&v);
        let prints = ground(&here);
        assert!(prints.len() > 5);
        // Another order, and a fairway far off that moves the middle of the course.
        let features = v["features"].as_array_mut().unwrap();
        features.reverse();
        let at = features[0]["geometry"].to_string();
        let start = at.find(|c: char| c == '-' || c.is_ascii_digit()).unwrap();
        let numbers: Vec<f64> = (at[start..].split([',', ']']))
            .filter_map(|t| t.trim_matches(['[', ' ']).parse().ok())
            .collect();
        let (lon, lat) = (numbers[0] + 0.01, numbers[1] + 0.01);
        features.push(
            json!({"type": "Feature", "properties": {"role": "fairway", "name": "far"},
            "geometry": {"type": "Polygon", "coordinates": [[[lon, lat], [lon + 1e-3, lat],
                [lon, lat + 1e-3], [lon, lat]]]}}),
        );
        // Each fairway's ring the other way round, from another point.
        for f in features.iter_mut().filter(|f| is_fairway(f)) {
            if f["geometry"]["type"] == "Polygon" {
                let ring = f["geometry"]["coordinates"][0].as_array_mut().unwrap();
                ring.pop();
                ring.rotate_left(3);
                ring.reverse();
                let first = ring[0].clone();
                ring.push(first);
            }
        }
        let there = course(&v);
        assert_ne!(here.origin_lon_deg, there.origin_lon_deg);
        let mut again = ground(&there);
        again.retain(|g| g.0 != "far");
        let mut prints = prints;
        again.sort();
        prints.sort();
        assert_eq!(again, prints);
    }

    #[test]
    fn a_step_aside_is_another_ground() {
        let mut v = sample();
        let before = ground(&course(&v));
        let features = v["features"].as_array_mut().unwrap();
        let f = (features.iter_mut())
            .find(|f| is_fairway(f) && f["geometry"]["type"] == "Polygon")
            .unwrap();
        let lon = &mut f["geometry"]["coordinates"][0][1][0];
        *lon = (lon.as_f64().unwrap() + 1e-6).into();
        let after = ground(&course(&v));
        let changed = before.iter().zip(&after).filter(|(a, b)| a != b).count();
        assert_eq!(changed, 1);
    }

    #[test]
    fn a_mower_is_known_by_its_measures() {
        let bar = Mower::bar(2.54);
        let mut named = bar.clone();
        named.name = "old one".to_string();
        assert_eq!(mower(&bar), mower(&named));
        assert_ne!(mower(&bar), mower(&Mower::bar(2.53)));
    }
}
