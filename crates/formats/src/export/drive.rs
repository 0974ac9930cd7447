//! A plan file taken apart: passes and ways, each with its place in the plan and its time.

use super::{ExportError, Layer};
use crate::input;
use crate::plan::{self, PlanReadError, ReadMow};
use crossgrain_core::Plane;
use crossgrain_core::{Gear, Reels, Track};
use geo_types::{Coord, MultiPolygon, Polygon};
use jiff::{SignedDuration, Timestamp};
use serde_json::Value;

/// Speed that times are worked out with when the plan has no minutes, km/h: a walking pace that
/// fairway mowers keep (common practice five miles an hour).
const PACE_KMH: f64 = 8.0;

/// Every mow of a plan, for other programs.
#[derive(Debug, Clone)]
pub struct Drives {
    /// The course's name.
    pub course: String,
    /// The plane its metres are measured in.
    pub plane: Plane,
    /// The mower's name.
    pub mower: String,
    /// Its cutting width, metres.
    pub cutting_width_m: f64,
    /// The mows, in the order of the plan.
    pub mows: Vec<FairwayDrive>,
}

/// One mow.
#[derive(Debug, Clone, PartialEq)]
pub struct FairwayDrive {
    /// The fairway's name.
    pub fairway: String,
    /// The pattern's word.
    pub pattern: String,
    /// Heading, compass degrees.
    pub heading_deg: Option<f64>,
    /// The ground to mow, metres.
    pub ground: MultiPolygon<f64>,
    /// What is kept out of, whole.
    pub keep_outs: Vec<KeptOut>,
    /// The whole drive, in order.
    pub runs: Vec<Run>,
    /// How long it takes, seconds.
    pub seconds: f64,
}

/// One keep-out of a mow.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptOut {
    /// What it is, when the plan says so, such as `bunker`.
    pub kind: Option<String>,
    /// Its outline, metres.
    pub area: Polygon<f64>,
}

/// A maximal stretch of driving with the reels down (a pass) or up (a way).
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Reels down or up.
    pub reels: Reels,
    /// Its place among the passes or the ways of its mow, 1 first.
    pub number: usize,
    /// Its tracks.
    pub tracks: Vec<Track>,
    /// What the pass is for, such as `stripe`; nothing for a way.
    pub role: Option<String>,
    /// The letter of the step it belongs to, when the plan has steps.
    pub step: Option<String>,
    /// The numbered line it lies on, when the plan says so.
    pub line: Option<u64>,
    /// Seconds from the start of its mow to its first point.
    pub from_s: f64,
    /// How long it takes, seconds.
    pub seconds: f64,
}

impl Run {
    /// Whether it is a pass.
    pub fn is_pass(&self) -> bool {
        self.reels == Reels::Down
    }

    /// Its points in the plane, arcs as chords within `tolerance_m`; no point twice in a row.
    pub fn points(&self, tolerance_m: f64) -> Vec<Coord<f64>> {
        let mut out: Vec<Coord<f64>> = Vec::new();
        for t in &self.tracks {
            for p in t.path.points(tolerance_m) {
                if out.last().is_none_or(|l| far(*l, p)) {
                    out.push(p);
                }
            }
        }
        // A run of no length still needs two positions to be a line anywhere.
        if out.len() == 1 {
            out.push(out[0]);
        }
        out
    }

    /// Whether every track goes straight on from the last one: one line from end to end.
    pub fn is_straight(&self) -> bool {
        let points = self.points(f64::INFINITY);
        let (Some(&a), Some(&b)) = (points.first(), points.last()) else {
            return false;
        };
        let long = (b.x - a.x).hypot(b.y - a.y);
        self.tracks.iter().all(|t| t.path.curvature_per_m() == 0.0)
            && long > STRAIGHT_M
            && points.iter().all(|p| {
                let across = (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
                (across / long).abs() <= STRAIGHT_M
            })
    }

    /// Whether any of it is backed along.
    pub fn backs_up(&self) -> bool {
        self.tracks.iter().any(|t| t.gear == Gear::Reverse)
    }
}

/// Points nearer than this are one, and lines that stray less are straight, metres: files carry a
/// tenth of a millimetre.
const STRAIGHT_M: f64 = 1e-3;

fn far(a: Coord<f64>, b: Coord<f64>) -> bool {
    (a.x - b.x).hypot(a.y - b.y) > STRAIGHT_M
}

impl Drives {
    /// Takes a plan file apart; `file` is the name that errors show.
    ///
    /// # Errors
    /// [`PlanReadError`] with the entry that is wrong.
    pub fn read(text: &str, file: &str) -> Result<Self, PlanReadError> {
        let read = plan::read(text, file)?;
        // What the tracks do not need, but a line in another program does.
        let value = input::json(text, file).map_err(PlanReadError::Input)?;
        let entry = |entry: &str| PlanReadError::Entry {
            file: file.to_string(),
            entry: entry.to_string(),
        };
        let [lon, lat] = read.origin_deg;
        let plane = Plane::new([lon, lat]).ok_or_else(|| entry("origin"))?;
        let span =
            |u: &crossgrain_core::CuttingUnit, side: f64| u.across_m + side * u.width_m / 2.0;
        let left = read.units.iter().map(|u| span(u, 1.0)).reduce(f64::max);
        let right = read.units.iter().map(|u| span(u, -1.0)).reduce(f64::min);
        let mows = read
            .mows
            .into_iter()
            .enumerate()
            .map(|(i, m)| fairway_drive(m, &value["mows"][i], &value["mower"]))
            .collect();
        let word = |v: &Value, other: &str| v.as_str().map_or_else(|| other.into(), input::plain);
        Ok(Self {
            course: word(&value["course"], "course"),
            plane,
            mower: word(&value["mower"]["name"], ""),
            cutting_width_m: left.zip(right).map_or(0.0, |(l, r)| l - r),
            mows,
        })
    }

    /// When each mow starts, seconds from the start of the first: one after the other, whatever
    /// lies between them left out.
    pub(super) fn starts_s(&self) -> Vec<f64> {
        let mut s = 0.0;
        self.mows
            .iter()
            .map(|m| {
                let at = s;
                s += m.seconds;
                at
            })
            .collect()
    }

    /// Positions of a run: longitude and latitude, degrees.
    ///
    /// # Errors
    /// [`ExportError::Antimeridian`].
    pub(super) fn degrees(
        &self,
        mow: &FairwayDrive,
        points: &[Coord<f64>],
    ) -> Result<Vec<[f64; 2]>, ExportError> {
        let out: Vec<[f64; 2]> = points
            .iter()
            .map(|p| self.plane.lon_lat(*p).position())
            .collect();
        if out.windows(2).any(|w| (w[0][0] - w[1][0]).abs() > 180.0) {
            return Err(ExportError::Antimeridian {
                fairway: mow.fairway.clone(),
            });
        }
        Ok(out)
    }

    /// Passes and ways as layers, with the lengths that their chords have.
    pub(super) fn layers(&self, tolerance_m: f64) -> Vec<Layer> {
        let of = |name, reels| {
            let runs = || {
                self.mows
                    .iter()
                    .flat_map(|m| &m.runs)
                    .filter(move |r| r.reels == reels)
            };
            Layer {
                name,
                count: runs().count(),
                length_m: runs().map(|r| length_m(&r.points(tolerance_m))).sum(),
            }
        };
        vec![of("passes", Reels::Down), of("ways", Reels::Up)]
    }
}

/// Length of a chain of points, metres.
pub(super) fn length_m(points: &[Coord<f64>]) -> f64 {
    points
        .windows(2)
        .map(|w| (w[1].x - w[0].x).hypot(w[1].y - w[0].y))
        .sum()
}

/// A time some seconds later, to the millisecond; the same time where there is none.
pub(super) fn later(start: Timestamp, seconds: f64) -> Timestamp {
    let ms = (seconds * 1000.0).round();
    if !(0.0..1e15).contains(&ms) {
        return start;
    }
    start
        .checked_add(SignedDuration::from_millis(ms as i64))
        .unwrap_or(start)
}

fn fairway_drive(read: ReadMow, value: &Value, mower: &Value) -> FairwayDrive {
    // Which leg each track belongs to.
    let mut leg_of: Vec<Option<usize>> = vec![None; read.tracks.len()];
    let empty = Vec::new();
    let legs = value["legs"].as_array().unwrap_or(&empty);
    for (i, leg) in legs.iter().enumerate() {
        let at = |k: usize| {
            leg["tracks"][k]
                .as_u64()
                .and_then(|n| usize::try_from(n).ok())
        };
        if let (Some(from), Some(to)) = (at(0), at(1))
            && let Some(slots) = leg_of.get_mut(from..to.min(read.tracks.len()))
        {
            slots.fill(Some(i));
        }
    }
    let letter = |leg: &Value| match &leg["step"] {
        Value::String(s) => Some(input::plain(s)),
        // A leg may name its step by its place.
        Value::Number(n) => n
            .as_u64()
            .and_then(|n| value["steps"][usize::try_from(n).ok()?]["letter"].as_str())
            .map(input::plain),
        _ => None,
    };

    let mut runs: Vec<Run> = Vec::new();
    let (mut passes, mut ways) = (0, 0);
    for (i, t) in read.tracks.iter().enumerate() {
        if let Some(last) = runs.last_mut().filter(|r| r.reels == t.reels) {
            last.tracks.push(*t);
            continue;
        }
        let counter = match t.reels {
            Reels::Down => &mut passes,
            Reels::Up => &mut ways,
        };
        *counter += 1;
        let leg = leg_of[i].map(|l| &legs[l]);
        runs.push(Run {
            reels: t.reels,
            number: *counter,
            tracks: vec![*t],
            role: leg
                .filter(|_| t.reels == Reels::Down)
                .and_then(|l| l["role"].as_str())
                .map(input::plain),
            step: leg.and_then(letter),
            line: leg.and_then(|l| l["line"].as_u64()),
            from_s: 0.0,
            seconds: 0.0,
        });
    }
    let seconds = times(&mut runs, read.measures.get("minutes"), mower);
    let kinds = &value["keep_out_kinds"];
    FairwayDrive {
        fairway: input::plain(&read.fairway),
        pattern: input::plain(&read.pattern),
        heading_deg: read.heading_deg,
        ground: read.outline,
        keep_outs: read
            .keep_outs
            .0
            .into_iter()
            .enumerate()
            .map(|(i, area)| KeptOut {
                kind: kinds[i].as_str().map(input::plain),
                area,
            })
            .collect(),
        runs,
        seconds,
    }
}

/// Gives each run its time: the plan's minutes, shared out by length over speed. Lifting and
/// lowering is in the minutes and so shared out too.
fn times(runs: &mut [Run], minutes: Option<&Value>, mower: &Value) -> f64 {
    let speed = |key: &str| {
        mower["speeds_m_s"][key]
            .as_f64()
            .filter(|v| v.is_finite() && *v > 0.0)
            .unwrap_or(PACE_KMH / 3.6)
    };
    let [mowing, loops, transport, turning] =
        ["mowing", "loops", "transport", "turning"].map(speed);
    let weight = |r: &Run| -> f64 {
        r.tracks
            .iter()
            .map(|t| {
                let turns = t.gear == Gear::Reverse || t.path.curvature_per_m() != 0.0;
                let m_s = match (r.is_pass(), r.role.as_deref()) {
                    (true, Some("lane")) => loops,
                    (true, _) => mowing,
                    (false, _) if turns => turning,
                    (false, _) => transport,
                };
                t.path.length_m() / m_s
            })
            .sum()
    };
    let whole: f64 = runs.iter().map(weight).sum();
    let total = minutes
        .and_then(Value::as_f64)
        .filter(|m| m.is_finite() && *m >= 0.0)
        .map_or(whole, |m| m * 60.0);
    let scale = if whole > 0.0 { total / whole } else { 0.0 };
    let mut at = 0.0;
    for r in runs {
        r.from_s = at;
        r.seconds = weight(r) * scale;
        at += r.seconds;
    }
    total
}
