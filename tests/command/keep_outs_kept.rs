//! Generated courses with trees, streams and paths, every pattern, both sample mowers: no metre
//! of any track, reels up or down, lies inside a keep-out, unless the plan itself says so; and the
//! exit code agrees with the figures in the plan.
//!
//! `CROSSGRAIN_COURSES=200` draws more courses; the same number draws the same ones.

mod support;

use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use support::{code, run, stderr};

/// Steps along a track that are looked at, metres.
const STEP_M: f64 = 0.1;
/// A spot this near to the edge of a keep-out is on it by rounding, metres.
const EDGE_M: f64 = 0.02;

/// Numbers from 0 to 1 that are the same each time (Knuth's MMIX constants).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn within(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.roll()
    }

    fn often(&mut self, share: f64) -> bool {
        self.roll() < share
    }
}

/// Metres about 45 N, 5 E in degrees; near enough for drawing.
fn at(x: f64, y: f64) -> [f64; 2] {
    [5.0 + x / 78_847.0, 45.0 + y / 111_132.0]
}

fn line(points: &[(f64, f64)]) -> Value {
    json!({"type": "LineString",
        "coordinates": points.iter().map(|p| at(p.0, p.1)).collect::<Vec<_>>()})
}

fn area(points: &[(f64, f64)]) -> Value {
    let mut ring: Vec<[f64; 2]> = points.iter().map(|p| at(p.0, p.1)).collect();
    ring.push(ring[0]);
    json!({"type": "Polygon", "coordinates": [ring]})
}

/// A bent fairway with what lies on and about it.
fn course(dice: &mut Dice) -> Value {
    let length = dice.within(90.0, 150.0);
    let width = dice.within(24.0, 36.0);
    let (sway, phase) = (dice.within(0.0, 12.0), dice.within(0.0, 6.0));
    let middle = |x: f64| sway * (x / length * 4.0 + phase).sin();
    let steps: Vec<f64> = (0..=24).map(|i| f64::from(i) / 24.0 * length).collect();
    let round = |x: f64| 0.4 * width * (1.0 - (2.0 * x / length - 1.0).powi(6)).max(0.15).sqrt();
    let mut outline: Vec<(f64, f64)> = steps.iter().map(|&x| (x, middle(x) - round(x))).collect();
    outline.extend(steps.iter().rev().map(|&x| (x, middle(x) + round(x))));
    let mut features = vec![
        (json!({"role": "fairway", "name": "1"}), area(&outline)),
        (
            json!({"role": "hole", "name": "1"}),
            line(&[(-60.0, middle(0.0)), (length + 20.0, middle(length))]),
        ),
    ];
    for _ in 0..(dice.within(0.0, 4.0) as usize) {
        let x = dice.within(0.0, length);
        let y = middle(x) + dice.within(-0.9, 0.9) * width;
        let crown = (dice.within(3.0, 9.0) * 10.0).round() / 10.0;
        features.push((
            json!({"natural": "tree", "diameter_crown": crown}),
            json!({"type": "Point", "coordinates": at(x, y)}),
        ));
    }
    if dice.often(0.5) {
        let x = dice.within(0.3, 0.7) * length;
        let lean = dice.within(-15.0, 15.0);
        features.push((
            json!({"waterway": "stream", "width": 2.5}),
            line(&[(x - lean, -60.0), (x, middle(x)), (x + lean, 60.0)]),
        ));
        if dice.often(0.7) {
            features.push((
                json!({"role": "bridge", "width": 4}),
                line(&[(x - 12.0, middle(x)), (x + 12.0, middle(x))]),
            ));
        }
    }
    if dice.often(0.5) {
        let x = dice.within(0.2, 0.8) * length;
        features.push((
            json!({"golf": "cartpath"}),
            line(&[(x - 8.0, -60.0), (x + 8.0, 60.0)]),
        ));
    }
    if dice.often(0.4) {
        let (x, r) = (dice.within(0.2, 0.8) * length, dice.within(2.0, 6.0));
        let y = middle(x) + dice.within(-0.4, 0.4) * width;
        let bunker: Vec<(f64, f64)> = (0..9)
            .map(|i| {
                let (sin, cos) = (f64::from(i) * 0.698).sin_cos();
                (x + 1.6 * r * cos, y + r * sin)
            })
            .collect();
        features.push((json!({"golf": "bunker"}), area(&bunker)));
    }
    let features: Vec<Value> = features
        .into_iter()
        .map(|(p, g)| json!({"type": "Feature", "properties": p, "geometry": g}))
        .collect();
    json!({"type": "FeatureCollection", "features": features})
}

fn number(v: &Value) -> f64 {
    v.as_f64().expect("a number")
}

fn point(v: &Value) -> (f64, f64) {
    (number(&v[0]), number(&v[1]))
}

/// Spots along a track.
fn spots(track: &Value) -> Vec<(f64, f64)> {
    let steps = |length: f64| (length / STEP_M).ceil().max(1.0) as usize;
    if let Some(arc) = track.get("arc") {
        let (c, r) = (point(&arc["centre"]), number(&arc["radius"]));
        let (from, sweep) = (
            number(&arc["from_deg"]).to_radians(),
            number(&arc["sweep_deg"]).to_radians(),
        );
        let n = steps(r * sweep.abs());
        (0..=n)
            .map(|i| {
                let t = from + sweep * i as f64 / n as f64;
                (c.0 + r * t.cos(), c.1 + r * t.sin())
            })
            .collect()
    } else {
        let (a, b) = (point(&track["line"][0]), point(&track["line"][1]));
        let n = steps((b.0 - a.0).hypot(b.1 - a.1));
        (0..=n)
            .map(|i| {
                let t = i as f64 / n as f64;
                (a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1))
            })
            .collect()
    }
}

/// Whether a spot lies inside rings, farther than rounding from all of them.
fn inside(p: (f64, f64), rings: &[Vec<(f64, f64)>]) -> bool {
    let mut odd = false;
    for ring in rings {
        for w in ring.windows(2) {
            let (a, b) = (w[0], w[1]);
            let d = (b.0 - a.0, b.1 - a.1);
            let along = ((p.0 - a.0) * d.0 + (p.1 - a.1) * d.1)
                / (d.0 * d.0 + d.1 * d.1).max(f64::MIN_POSITIVE);
            let t = along.clamp(0.0, 1.0);
            if (p.0 - a.0 - t * d.0).hypot(p.1 - a.1 - t * d.1) < EDGE_M {
                return false;
            }
            if (a.1 > p.1) != (b.1 > p.1) && p.0 < a.0 + (p.1 - a.1) / d.1 * d.0 {
                odd = !odd;
            }
        }
    }
    odd
}

/// Spots of a mow inside keep-outs that are no paths.
fn trespasses(mow: &Value) -> usize {
    let keep_outs: Vec<Vec<Vec<(f64, f64)>>> = mow["keep_outs"]
        .as_array()
        .expect("keep-outs")
        .iter()
        .zip(mow["keep_out_kinds"].as_array().expect("kinds"))
        .filter(|(_, kind)| *kind != "path")
        .map(|(polygon, _)| {
            let rings = polygon.as_array().expect("rings").iter();
            rings
                .map(|r| r.as_array().expect("a ring").iter().map(point).collect())
                .collect()
        })
        .collect();
    mow["tracks"]
        .as_array()
        .expect("tracks")
        .iter()
        .flat_map(spots)
        .filter(|p| keep_outs.iter().any(|k| inside(*p, k)))
        .count()
}

/// Whether the figures of a mow break a promise by themselves.
fn breaks(mow: &Value, units: usize) -> bool {
    let m = |key: &str| number(&mow["measures"][key]);
    let part = if units > 1 {
        crossgrain_core::inside::promises::MISSED_PART_UNITS
    } else {
        crossgrain_core::inside::promises::MISSED_PART_BAR
    };
    let reach = m("fairway_m2") - m("trim_m2");
    let stops = |s: &Value| s["stop_here"] == true;
    let left_out = |n: &Value| n["note"] == "too-narrow" || n["note"] == "unreachable";
    m("missed_m2") > (part * reach).max(crossgrain_core::inside::promises::MISSED_PLACE_M2)
        || m("keepout_cut_m2") > crossgrain_core::inside::promises::KEEP_OUT_CUT_M2
        || m("keepout_crossed_m") > crossgrain_core::inside::promises::KEEP_OUT_CROSSED_M
        || mow["steps"].as_array().expect("steps").iter().any(stops)
        || mow["notes"].as_array().expect("notes").iter().any(left_out)
}

/// What is found on one course.
#[derive(Default)]
struct Found {
    faults: Vec<String>,
    mows: usize,
    /// Mows that keep every promise.
    sound: usize,
}

/// One course, planned in all patterns with both mowers.
fn tried(seed: u64, samples: &Path) -> Found {
    let (mut faults, mut mows, mut sound) = (Vec::new(), 0, 0);
    let folder = tempfile::tempdir().expect("a temporary folder");
    let mut dice = Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) + 1);
    let text = course(&mut dice).to_string();
    fs::write(folder.path().join("c.geojson"), text).expect("the course");
    for (mower, units) in [("light-five.json", 5), ("large-gang.json", 7)] {
        let file = samples.join(mower).to_string_lossy().into_owned();
        let o = run(
            folder.path(),
            &[
                "plan",
                "c.geojson",
                "--mower",
                &file,
                "--pattern",
                "stripes,cross,loops,contour,half-and-half,rings",
            ],
        );
        let told = stderr(&o);
        assert!((0..=1).contains(&code(&o)), "{seed} {mower}: {told}");
        assert_eq!(
            code(&o) == 1,
            told.lines().any(|l| l.starts_with("warning: ")),
            "{seed} {mower}: {told}"
        );
        let plan = fs::read_to_string(folder.path().join("out/plan.json")).expect("the plan");
        let plan: Value = serde_json::from_str(&plan).expect("JSON");
        let mut broken = false;
        for mow in plan["mows"].as_array().expect("mows") {
            mows += 1;
            let breaks = breaks(mow, units);
            broken |= breaks;
            sound += usize::from(!breaks);
            let crossed = number(&mow["measures"]["keepout_crossed_m"]);
            let spots = trespasses(mow);
            let what = format!("course {seed}, {mower}, {}", mow["pattern"]);
            // The measure sees what is there.
            if (spots as f64 * STEP_M - crossed).abs() > 0.5 + 0.1 * crossed {
                faults.push(format!("{what}: {spots} spots, measured {crossed:.2} m"));
            }
            if spots > 0 {
                faults.push(format!("{what}: {spots} spots in keep-outs"));
            }
        }
        if broken && code(&o) != 1 {
            faults.push(format!(
                "course {seed}, {mower}: exit 0 with a broken promise"
            ));
        }
    }
    Found {
        faults,
        mows,
        sound,
    }
}

#[test]
fn no_track_lies_in_a_keep_out_and_exit_codes_keep_their_word() {
    let courses: u64 = std::env::var("CROSSGRAIN_COURSES")
        .ok()
        .and_then(|v| v.parse().ok())
        .unwrap_or(40);
    let samples: PathBuf = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples");
    // A course has one fairway, so two are tried at a time.
    let half = |first: u64| -> Vec<Found> {
        (first..courses)
            .step_by(2)
            .map(|seed| tried(seed, &samples))
            .collect()
    };
    let found = std::thread::scope(|s| {
        let other = s.spawn(|| half(1));
        let mut all = half(0);
        all.extend(other.join().expect("the other half"));
        all
    });
    let faults: Vec<&String> = found.iter().flat_map(|f| &f.faults).collect();
    let mows: usize = found.iter().map(|f| f.mows).sum();
    let sound: usize = found.iter().map(|f| f.sound).sum();
    assert!(
        faults.is_empty(),
        "{} of {mows} mows:\n{}",
        faults.len(),
        faults
            .iter()
            .map(|f| f.as_str())
            .collect::<Vec<_>>()
            .join("\n")
    );
    // These courses are crowded, and what is missed between trees is told. Where nothing at all
    // were sound, nothing would have been tried.
    assert!(20 * sound > mows, "{sound} of {mows}");
}
