//! What a step is, worked out from the plan file alone.

use super::plan::{Leg, Point, Read, Step, distance, off, to_ring};
use std::collections::{BTreeMap, BTreeSet};

/// A way on the page and how clearly it is that way.
#[derive(Debug, Clone, Copy)]
pub struct Page {
    /// Up, radians.
    pub up_rad: f64,
}

impl Page {
    /// Up on the page: toward the green, or the north half of the narrowest box's long side.
    pub fn of(read: &Read) -> Self {
        if let Some(up_rad) = read.up_rad {
            return Self { up_rad };
        }
        let points: Vec<Point> = read.ground.iter().flatten().copied().collect();
        let span = |a: f64| {
            let v = points.iter().map(|p| p[0] * a.cos() + p[1] * a.sin());
            let (lo, hi) = v.fold((f64::INFINITY, f64::NEG_INFINITY), |s, v| {
                (s.0.min(v), s.1.max(v))
            });
            hi - lo
        };
        let best = (0..720)
            .map(|i| f64::from(i) * std::f64::consts::PI / 720.0)
            .min_by(|a, b| {
                let box_ = |a: f64| span(a) * span(a + std::f64::consts::FRAC_PI_2);
                box_(*a).total_cmp(&box_(*b))
            })
            .unwrap_or(0.0);
        let long = if span(best) >= span(best + std::f64::consts::FRAC_PI_2) {
            best
        } else {
            best + std::f64::consts::FRAC_PI_2
        };
        let up_rad = if long.sin() < 0.0 {
            long + std::f64::consts::PI
        } else {
            long
        };
        Self { up_rad }
    }

    /// How far a way goes the way of a word, -1 to 1.
    pub fn toward(&self, v: Point, word: &str) -> f64 {
        let (s, c) = self.up_rad.sin_cos();
        let len = v[0].hypot(v[1]);
        let (right, up) = ((v[0] * s - v[1] * c) / len, (v[0] * c + v[1] * s) / len);
        match word {
            "right" => right,
            "left" => -right,
            "up" => up,
            _ => -up,
        }
    }

    /// Whether a way that is square to lines may be told by a word: sideways within 60 degrees of
    /// the page's width, else up or down. Within a hair of the limit either will do.
    pub fn across_is(&self, v: Point, word: &str) -> bool {
        let sideways = self.toward(v, "right").abs();
        let fits = match word {
            "right" | "left" => sideways >= 0.5 - HAIR,
            _ => sideways <= 0.5 + HAIR,
        };
        fits && self.toward(v, word) > 0.0
    }

    /// Whether the way of a line may be told by a word.
    pub fn along_is(&self, v: Point, word: &str) -> bool {
        let upright = self.toward(v, "up").abs();
        let fits = match word {
            "up" | "down" => upright >= 0.5 - HAIR,
            _ => upright <= 0.5 + HAIR,
        };
        fits && self.toward(v, word) > 0.0
    }
}

const HAIR: f64 = 0.03;

/// A leg of a line as it is driven.
#[derive(Debug, Clone)]
pub struct Driven {
    /// Its line.
    pub line: u64,
    /// Its middle.
    pub middle: Point,
    /// Its way.
    pub way: Point,
    /// Places along it, each with the way it goes there.
    pub places: Vec<(Point, Point)>,
}

impl Driven {
    /// How far it lies to the left of another, going its own way, where they are nearest: a mean
    /// over its places, metres.
    pub fn left_of(&self, others: &[&Driven]) -> f64 {
        let all = || others.iter().flat_map(|o| &o.places);
        let off = |(p, way): &(Point, Point)| {
            let near = all().min_by(|a, b| distance(a.0, *p).total_cmp(&distance(b.0, *p)));
            near.map_or([0.0, 0.0], |(q, _)| {
                let (len, d) = (way[0].hypot(way[1]), [p[0] - q[0], p[1] - q[1]]);
                [
                    (d[0] * way[0] + d[1] * way[1]) / len,
                    (-d[0] * way[1] + d[1] * way[0]) / len,
                ]
            })
        };
        let offs: Vec<[f64; 2]> = self.places.iter().map(off).collect();
        // Beyond the other's end nothing lies beside.
        let beside = offs.iter().filter(|o| o[0].abs() <= o[1].abs());
        beside.map(|o| o[1]).sum::<f64>() / self.places.len() as f64
    }
}

/// Places along the lowered tracks of a leg.
fn places(read: &Read, leg: &Leg) -> Vec<(Point, Point)> {
    const PARTS: u32 = 12;
    let pairs = (read.cut(leg).into_iter()).flat_map(|t| t.points.windows(2));
    pairs
        .filter(|w| distance(w[0], w[1]) > 0.0)
        .flat_map(|w| {
            let way = [w[1][0] - w[0][0], w[1][1] - w[0][1]];
            (0..=PARTS).map(move |i| {
                let s = f64::from(i) / f64::from(PARTS);
                ([w[0][0] + s * way[0], w[0][1] + s * way[1]], way)
            })
        })
        .collect()
}

/// The legs of a step's lines in driving order.
pub fn driven(read: &Read, step: &Step) -> Vec<Driven> {
    read.legs[step.from..step.to]
        .iter()
        .map(|l| {
            let (a, b) = read.ends(l);
            Driven {
                line: l.line.unwrap_or(u64::MAX),
                middle: [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0],
                way: [b[0] - a[0], b[1] - a[1]],
                places: places(read, l),
            }
        })
        .collect()
}

/// The lines in the order of their first leg.
pub fn taken(driven: &[Driven]) -> Vec<u64> {
    let mut seen = BTreeSet::new();
    driven
        .iter()
        .map(|d| d.line)
        .filter(|l| seen.insert(*l))
        .collect()
}

/// The way from the line of the lowest number to that of the highest, square to the lines.
pub fn low_to_high(driven: &[Driven]) -> Option<Point> {
    let low = driven.iter().min_by_key(|d| d.line)?;
    let high = driven.iter().max_by_key(|d| d.line)?;
    if low.line == high.line {
        return None;
    }
    let v = [
        high.middle[0] - low.middle[0],
        high.middle[1] - low.middle[1],
    ];
    // Square to the lines: rotate by the angle of the one that goes farthest, because a lane of one
    // loop goes nowhere, and drop what runs along it.
    let far = |d: &&Driven| d.way[0].hypot(d.way[1]);
    let long = driven.iter().max_by(|a, b| far(a).total_cmp(&far(b)))?;
    let a = long.way[1].atan2(long.way[0]);
    let across = -v[0] * a.sin() + v[1] * a.cos();
    Some([-a.sin() * across, a.cos() * across])
}

/// Round and round: how much of each ring goes clockwise, 1 all of it, -1 none.
///
/// Rings of the ground have the ground on their left: whoever drives the way the nearest of its
/// edges runs goes counterclockwise round the ground, and clockwise round a keep-out inside it.
pub fn clockwise(read: &Read, legs: &[Leg], round_keep_out: bool) -> BTreeMap<u64, f64> {
    let edges: Vec<(Point, Point)> = (read.ground.iter())
        .flat_map(|r| r.windows(2).map(|w| (w[0], w[1])))
        .collect();
    let mut rings: BTreeMap<u64, (f64, f64)> = BTreeMap::new();
    for l in legs {
        let sum = rings.entry(l.index).or_default();
        for w in read.cut(l).iter().flat_map(|t| t.points.windows(2)) {
            let d = [w[1][0] - w[0][0], w[1][1] - w[0][1]];
            let n = (distance(w[0], w[1]) / 2.0).ceil().max(1.0) as usize;
            for i in 0..n {
                let s = (i as f64 + 0.5) / n as f64;
                let p = [w[0][0] + s * d[0], w[0][1] + s * d[1]];
                let near =
                    (edges.iter()).min_by(|a, b| off(p, a.0, a.1).total_cmp(&off(p, b.0, b.1)));
                let Some((a, b)) = near else { continue };
                let along = d[0] * (b[0] - a[0]) + d[1] * (b[1] - a[1]);
                let len = distance(w[0], w[1]) / n as f64;
                sum.0 += if (along > 0.0) == round_keep_out {
                    len
                } else {
                    -len
                };
                sum.1 += len;
            }
        }
    }
    (rings.into_iter())
        .map(|(ring, (cw, all))| (ring, if all > 0.0 { cw / all } else { 0.0 }))
        .collect()
}

/// A way over a gap along a line.
#[derive(Debug, Clone)]
pub struct Over {
    /// What is passed; none where nothing is near.
    pub thing: Option<String>,
    /// How near the nearest keep-out is, metres.
    pub off_m: f64,
    /// From where the reels lift to where they lower, metres.
    pub over_m: f64,
    /// Whether the way leads round.
    pub round: bool,
}

/// Gaps along lines.
pub fn gaps(read: &Read, step: &Step) -> Vec<Over> {
    let mut ways: Vec<(usize, usize)> = Vec::new();
    let legs = &read.legs[step.from..step.to];
    for (i, l) in legs.iter().enumerate() {
        let mut at = l.from;
        while at < l.to {
            if read.tracks[at].down {
                at += 1;
                continue;
            }
            let from = at;
            while at < l.to && !read.tracks[at].down {
                at += 1;
            }
            let before = read.tracks[l.from..from].iter().any(|t| t.down);
            if before && at < l.to {
                ways.push((from, at));
            }
        }
        if let Some(next) = legs.get(i + 1)
            && l.line == next.line
        {
            ways.push((l.to, next.from));
        }
    }
    ways.into_iter()
        .filter(|w| w.0 < w.1)
        .map(|(from, to)| {
            let tracks = &read.tracks[from..to];
            let a = tracks[0].points[0];
            let last = &tracks[tracks.len() - 1].points;
            let b = last[last.len() - 1];
            let round = tracks.iter().any(|t| {
                t.bent
                    || t.points.iter().any(|p| {
                        let (l, d) = (distance(a, b), [b[0] - a[0], b[1] - a[1]]);
                        l > 1e-6 && ((p[0] - a[0]) * d[1] - (p[1] - a[1]) * d[0]).abs() / l > 0.3
                    })
            });
            let n = (distance(a, b) / 0.1).ceil().max(1.0) as usize;
            let nearest = read
                .keep_outs
                .iter()
                .zip(&read.kinds)
                .map(|(ring, kind)| {
                    let least = (0..=n)
                        .map(|i| {
                            let t = i as f64 / n as f64;
                            let p = [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
                            let (d, inside) = to_ring(p, ring);
                            if inside { 0.0 } else { d }
                        })
                        .fold(f64::INFINITY, f64::min);
                    (least, kind.clone())
                })
                .min_by(|a, b| a.0.total_cmp(&b.0));
            let (off_m, kind) = nearest.unwrap_or((f64::INFINITY, String::new()));
            Over {
                thing: (off_m <= 3.0).then_some(kind),
                off_m,
                over_m: distance(a, b),
                round,
            }
        })
        .collect()
}

/// How far a patch lies from the outline and from the nearest keep-out, and which that is.
pub fn beside(read: &Read, legs: &[Leg]) -> (f64, f64, Option<String>) {
    let mut middles: Vec<Point> = Vec::new();
    for l in legs {
        for t in read.cut(l) {
            let mut left = t.length_m / 2.0;
            for w in t.points.windows(2) {
                let d = distance(w[0], w[1]);
                if left <= d {
                    let k = if d > 0.0 { left / d } else { 0.0 };
                    middles.push([
                        w[0][0] + k * (w[1][0] - w[0][0]),
                        w[0][1] + k * (w[1][1] - w[0][1]),
                    ]);
                    break;
                }
                left -= d;
            }
        }
    }
    let n = middles.len().max(1) as f64;
    let mean = |f: &dyn Fn(Point) -> f64| middles.iter().map(|p| f(*p)).sum::<f64>() / n;
    let edge = mean(&|p| {
        let mut best = f64::INFINITY;
        for w in read.ground.iter().flat_map(|r| r.windows(2)) {
            // An edge that a keep-out makes is no outline.
            let mid = [(w[0][0] + w[1][0]) / 2.0, (w[0][1] + w[1][1]) / 2.0];
            let made = read.keep_outs.iter().any(|k| to_ring(mid, k).0 < 0.05);
            if !made {
                best = best.min(off(p, w[0], w[1]));
            }
        }
        best
    });
    let kept = read
        .keep_outs
        .iter()
        .zip(&read.kinds)
        .map(|(ring, kind)| {
            let d = mean(&|p| {
                let (d, inside) = to_ring(p, ring);
                if inside { 0.0 } else { d }
            });
            (d, kind.clone())
        })
        .min_by(|a, b| a.0.total_cmp(&b.0));
    match kept {
        Some((d, kind)) => (edge, d, Some(kind)),
        None => (edge, f64::INFINITY, None),
    }
}
