//! The plan file as the reader sees it: points of tracks, legs, steps.

use serde_json::Value;
use std::f64::consts::{FRAC_PI_2, PI};

/// A point, metres.
pub type Point = [f64; 2];

/// One track.
#[derive(Debug, Clone)]
pub struct Track {
    /// Whether the reels are down.
    pub down: bool,
    /// Whether it bends.
    pub bent: bool,
    /// Points along it.
    pub points: Vec<Point>,
    /// Its length, metres.
    pub length_m: f64,
    /// Its heading at its start, radians.
    pub heading_rad: f64,
}

/// One leg.
#[derive(Debug, Clone)]
pub struct Leg {
    /// What it is for.
    pub role: String,
    /// Ring, place or lane.
    pub index: u64,
    /// First track.
    pub from: usize,
    /// One past the last track.
    pub to: usize,
    /// Number of its line.
    pub line: Option<u64>,
}

/// One step.
#[derive(Debug, Clone)]
pub struct Step {
    /// Letter.
    pub letter: String,
    /// Kind.
    pub kind: String,
    /// Rule.
    pub rule: String,
    /// Part of the fairway.
    pub part: u64,
    /// Set of lines.
    pub set: u64,
    /// First leg.
    pub from: usize,
    /// One past the last leg.
    pub to: usize,
    /// The keep-out it belongs to.
    pub keep_out: Option<usize>,
    /// Whether no way on was found.
    pub stop_here: bool,
}

/// One mow of a plan file.
#[derive(Debug, Clone)]
pub struct Read {
    /// Pattern.
    pub pattern: String,
    /// Up on the sheet, radians; none where the file does not say.
    pub up_rad: Option<f64>,
    /// Rings of the ground.
    pub ground: Vec<Vec<Point>>,
    /// Outer rings of the keep-outs.
    pub keep_outs: Vec<Vec<Point>>,
    /// What each is.
    pub kinds: Vec<String>,
    /// Tracks.
    pub tracks: Vec<Track>,
    /// Legs.
    pub legs: Vec<Leg>,
    /// Steps.
    pub steps: Vec<Step>,
    /// Loops in the longest lane.
    pub loops_per_lane: Option<u64>,
    /// Minutes.
    pub minutes: f64,
    /// Missed, square metres.
    pub missed_m2: f64,
    /// Out of reach, square metres.
    pub trim_m2: f64,
}

fn list(v: &Value) -> &[Value] {
    v.as_array().map_or(&[], Vec::as_slice)
}

fn num(v: &Value) -> f64 {
    v.as_f64().unwrap_or(f64::NAN)
}

fn whole(v: &Value) -> usize {
    v.as_u64().unwrap_or(0) as usize
}

fn word(v: &Value) -> String {
    v.as_str().unwrap_or_default().to_string()
}

fn point(v: &Value) -> Point {
    [num(&v[0]), num(&v[1])]
}

impl Read {
    /// Reads one entry of `mows`.
    pub fn of(m: &Value) -> Self {
        let ring = |r: &Value| list(r).iter().map(point).collect::<Vec<Point>>();
        let rings = |v: &Value, outer_only: bool| -> Vec<Vec<Point>> {
            list(v)
                .iter()
                .flat_map(|p| list(p).iter().take(if outer_only { 1 } else { usize::MAX }))
                .map(ring)
                .collect()
        };
        Self {
            pattern: word(&m["pattern"]),
            up_rad: match list(&m["hole_line"]) {
                [first, .., last] => {
                    let (a, b) = (point(first), point(last));
                    Some((b[1] - a[1]).atan2(b[0] - a[0]))
                }
                _ => None,
            },
            ground: rings(&m["outline"], false),
            keep_outs: rings(&m["keep_outs"], true),
            kinds: list(&m["keep_out_kinds"]).iter().map(word).collect(),
            tracks: list(&m["tracks"]).iter().map(track).collect(),
            legs: list(&m["legs"])
                .iter()
                .map(|l| Leg {
                    role: word(&l["role"]),
                    index: l["index"].as_u64().unwrap_or(0),
                    from: whole(&l["tracks"][0]),
                    to: whole(&l["tracks"][1]),
                    line: l["line"].as_u64(),
                })
                .collect(),
            steps: list(&m["steps"])
                .iter()
                .map(|s| Step {
                    letter: word(&s["letter"]),
                    kind: word(&s["kind"]),
                    rule: word(&s["rule"]),
                    part: s["part"].as_u64().unwrap_or(0),
                    set: s["set"].as_u64().unwrap_or(0),
                    from: whole(&s["first_leg"]),
                    to: whole(&s["first_leg"]) + whole(&s["legs"]),
                    keep_out: s["keep_out"].as_u64().map(|k| k as usize),
                    stop_here: s["stop_here"].as_bool().unwrap_or(false),
                })
                .collect(),
            loops_per_lane: m["settings"]["loops_per_lane"].as_u64(),
            minutes: num(&m["measures"]["minutes"]),
            missed_m2: num(&m["measures"]["missed_m2"]),
            trim_m2: num(&m["measures"]["trim_m2"]),
        }
    }

    /// The lowered tracks of a leg.
    pub fn cut(&self, leg: &Leg) -> Vec<&Track> {
        self.tracks[leg.from..leg.to]
            .iter()
            .filter(|t| t.down)
            .collect()
    }

    /// Where a leg lowers first and lifts last.
    pub fn ends(&self, leg: &Leg) -> (Point, Point) {
        let cut = self.cut(leg);
        let last = &cut[cut.len() - 1].points;
        (cut[0].points[0], last[last.len() - 1])
    }
}

fn track(t: &Value) -> Track {
    let down = t["reels"] == "down";
    if t["line"].is_array() {
        let points = vec![point(&t["line"][0]), point(&t["line"][1])];
        return Track {
            down,
            bent: false,
            length_m: distance(points[0], points[1]),
            heading_rad: (points[1][1] - points[0][1]).atan2(points[1][0] - points[0][0]),
            points,
        };
    }
    let a = &t["arc"];
    let (c, r) = (point(&a["centre"]), num(&a["radius"]));
    let (from, sweep) = (
        num(&a["from_deg"]).to_radians(),
        num(&a["sweep_deg"]).to_radians(),
    );
    let n = 4 + (sweep.abs() / PI * 32.0) as usize;
    let points = (0..=n)
        .map(|i| {
            let t = from + sweep * i as f64 / n as f64;
            [c[0] + r * t.cos(), c[1] + r * t.sin()]
        })
        .collect();
    Track {
        down,
        bent: true,
        length_m: r * sweep.abs(),
        heading_rad: from + sweep.signum() * FRAC_PI_2,
        points,
    }
}

/// Distance between two points.
pub fn distance(a: Point, b: Point) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// Distance from a point to a stretch.
pub fn off(p: Point, a: Point, b: Point) -> f64 {
    let d = [b[0] - a[0], b[1] - a[1]];
    let len2 = d[0] * d[0] + d[1] * d[1];
    let t = if len2 > 0.0 {
        (((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / len2).clamp(0.0, 1.0)
    } else {
        0.0
    };
    distance(p, [a[0] + t * d[0], a[1] + t * d[1]])
}

/// Distance from a point to a ring's line, and whether it lies inside the ring.
pub fn to_ring(p: Point, ring: &[Point]) -> (f64, bool) {
    let mut best = f64::INFINITY;
    let mut inside = false;
    for w in ring.windows(2) {
        let (a, b) = (w[0], w[1]);
        best = best.min(off(p, a, b));
        if (a[1] > p[1]) != (b[1] > p[1])
            && p[0] < (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]) + a[0]
        {
            inside = !inside;
        }
    }
    (best, inside)
}
