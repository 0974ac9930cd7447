//! Random mows, the same for the same seed: ground of several shapes, decks of one to five
//! units, tracks of every kind, also the awkward ones (tight turns, kinks, the same pass twice).

use crossgrain_core::inside::ground::{FairwayBuilder, as_given};
use crossgrain_core::inside::polygon::overlay::Overlay;
use crossgrain_core::{
    CircularArc, CuttingUnit, Fairway, KeepOut, KeepOutKind, Mower, Pose, Segment, Track,
};
use geo_types::{Coord, LineString, MultiPolygon, Polygon, coord};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// A scene to measure.
#[derive(Debug, Clone)]
pub struct RandomMow {
    /// The seed it was made from.
    pub seed: u64,
    /// Which kind of tracks.
    pub kind: &'static str,
    /// The ground.
    pub fairway: Fairway,
    /// The deck.
    pub mower: Mower,
    /// The drive.
    pub tracks: Vec<Track>,
}

/// Numbers that look random (splitmix64: Steele, Lea & Flood, OOPSLA 2014).
#[derive(Debug, Clone)]
pub struct Dice(u64);

impl Dice {
    /// Dice that fall the same way for the same seed.
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5DEE_CE66)
    }

    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number from `lo` to `hi`.
    pub fn between(&mut self, lo: f64, hi: f64) -> f64 {
        lo + (hi - lo) * (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A whole number below `n`.
    pub fn below(&mut self, n: u64) -> u64 {
        self.bits() % n
    }

    /// True with this chance.
    pub fn chance(&mut self, p: f64) -> bool {
        self.between(0.0, 1.0) < p
    }

    fn sign(&mut self) -> f64 {
        if self.chance(0.5) { 1.0 } else { -1.0 }
    }
}

/// Mows of smaller seeds are large, for comparing with another library one by one; the others
/// are small, so that thousands can be measured in a test.
pub const LARGE: u64 = 200;

/// The random mow of a seed.
pub fn random_mow(seed: u64) -> RandomMow {
    let mut d = Dice::new(seed);
    let size = if seed < LARGE {
        d.between(9.0, 22.0)
    } else {
        d.between(7.0, 14.0)
    };
    let middle = coord! { x: d.between(-900.0, 900.0).round(), y: d.between(-900.0, 900.0) };
    let fairway = ground(&mut d, middle, size);
    let mower = deck(&mut d);
    let most = if seed < LARGE { 40.0 } else { 12.0 };
    let (kind, tracks) = match d.below(6) {
        0 => ("stripes", stripes(&mut d, middle, size, &mower)),
        1 => ("roll", roll(&mut d, middle, size, most)),
        2 => ("drift", drift(&mut d, middle, size, most)),
        3 => ("walk", walk(&mut d, middle, size, most, &mower)),
        4 => ("rings", rings(&mut d, middle, size, &mower)),
        _ => ("kinks", kinks(&mut d, middle, size, most)),
    };
    RandomMow {
        seed,
        kind,
        fairway,
        mower,
        tracks,
    }
}

fn at(middle: Coord<f64>, angle: f64, r: f64) -> Coord<f64> {
    coord! { x: middle.x + r * angle.cos(), y: middle.y + r * angle.sin() }
}

/// A star-shaped ring: `rough` 0 is a regular polygon, 1 has radii down to half.
fn ring(d: &mut Dice, middle: Coord<f64>, size: f64, corners: u64, rough: f64) -> LineString<f64> {
    let turn = d.between(0.0, TAU);
    (0..=corners)
        .map(|i| {
            let r = size * (1.0 - rough * d.between(0.0, 0.5));
            at(
                middle,
                turn + TAU * (i % corners) as f64 / corners as f64,
                r,
            )
        })
        .collect::<Vec<_>>()
        .into()
}

fn closed(mut ring: LineString<f64>) -> LineString<f64> {
    ring.0.pop();
    ring.close();
    ring
}

fn ground(d: &mut Dice, middle: Coord<f64>, size: f64) -> Fairway {
    let corners = 4 + d.below(11);
    let mut polygons = vec![Polygon::new(
        closed(ring(d, middle, size, corners, 1.0)),
        vec![],
    )];
    if d.chance(0.3) {
        let hole = closed(ring(d, middle, size * 0.2, 5, 0.5));
        polygons[0].interiors_push(hole);
    }
    if d.chance(0.2) {
        let other = at(middle, d.between(0.0, TAU), size * 2.2);
        polygons.push(Polygon::new(
            closed(ring(d, other, size * 0.6, 7, 0.7)),
            vec![],
        ));
    }
    let outline = MultiPolygon(polygons);
    let mut keep_outs = Vec::new();
    for _ in 0..d.below(3) {
        let r = size * d.between(0.5, 1.2);
        let spot = at(middle, d.between(0.0, TAU), r);
        let width = size * d.between(0.05, 0.3);
        keep_outs.push(KeepOut {
            kind: KeepOutKind::Bunker,
            name: None,
            area: Polygon::new(closed(ring(d, spot, width, 12, 0.3)), vec![]),
        });
    }
    let mut ground = outline.clone();
    for k in &keep_outs {
        ground = ground.difference(&MultiPolygon(vec![k.area.clone()]));
    }
    let parts = FairwayBuilder {
        name: "random".to_string(),
        outline: outline.0,
        keep_outs,
        ..FairwayBuilder::default()
    };
    as_given(parts, ground)
}

fn deck(d: &mut Dice) -> Mower {
    let mut mower = Mower::bar(d.between(1.2, 3.4));
    let units = match d.below(3) {
        0 => return mower,
        1 => 3,
        _ => 5,
    };
    let width = d.between(0.5, 0.9);
    let step = width - d.between(0.02, 0.12);
    mower.units = (0..units)
        .map(|i| CuttingUnit {
            across_m: (f64::from(i) - f64::from(units - 1) / 2.0) * step,
            // Every other unit ahead, the rest behind.
            ahead_m: if i % 2 == 0 {
                d.between(0.8, 1.4)
            } else {
                d.between(-0.6, 0.2)
            },
            width_m: width,
        })
        .collect();
    mower
}

fn join(tracks: &mut Vec<Track>, to: Coord<f64>) {
    if let Some(last) = tracks.last() {
        tracks.push(Track::up(Segment::Line {
            from: last.path.end().at,
            to,
        }));
    }
}

fn line(from: Coord<f64>, to: Coord<f64>) -> Track {
    Track::down(Segment::Line { from, to })
}

fn stripes(d: &mut Dice, middle: Coord<f64>, size: f64, mower: &Mower) -> Vec<Track> {
    let heading = Pose::new(middle, d.between(0.0, TAU));
    let spacing = mower.cutting_width_m()
        * if d.chance(0.2) {
            1.0
        } else {
            d.between(0.7, 1.05)
        };
    let mut tracks = Vec::new();
    let n = (size / spacing) as i32;
    for i in -n..=n {
        let reach = size * d.between(0.7, 1.1);
        let across = f64::from(i) * spacing;
        let (a, b) = (
            heading.offset(-reach, across),
            heading.offset(reach, across),
        );
        let (a, b) = if i % 2 == 0 { (a, b) } else { (b, a) };
        join(&mut tracks, a);
        tracks.push(line(a, b));
    }
    tracks
}

/// Full circles, each followed by a straight roll, in one pass a lane.
fn roll(d: &mut Dice, middle: Coord<f64>, size: f64, most: f64) -> Vec<Track> {
    let (radius, advance) = (d.between(2.0, 5.0), d.between(0.8, 4.0));
    let (heading, side) = (d.between(0.0, TAU), d.sign());
    let mut tracks = Vec::new();
    for lane in 0..1 + d.below(3) {
        let pose = Pose::new(middle, heading);
        let across = lane as f64 * radius * d.between(1.4, 2.4) - size * 0.4;
        let mut at = pose.offset(-size * 0.7, across);
        join(&mut tracks, at);
        for _ in 0..(1.4 * size / advance).min(most) as u32 {
            let start = Pose::new(at, heading);
            tracks.push(Track::down(Segment::Arc(CircularArc::leaving(
                start,
                radius,
                side * TAU,
            ))));
            let next = start.offset(advance, 0.0);
            tracks.push(line(at, next));
            at = next;
        }
    }
    tracks
}

/// A wide half-circle forward and a tighter one back, over and over.
fn drift(d: &mut Dice, middle: Coord<f64>, size: f64, most: f64) -> Vec<Track> {
    let (mean, half) = (d.between(2.5, 5.0), d.between(0.2, 0.9));
    let (heading, side) = (d.between(0.0, TAU), d.sign());
    let mut tracks = Vec::new();
    for lane in 0..1 + d.below(3) {
        let across = lane as f64 * mean * d.between(1.4, 2.4) - size * 0.4;
        let mut pose = Pose::new(
            Pose::new(middle, heading).offset(-size * 0.8, across),
            heading + FRAC_PI_2,
        );
        join(&mut tracks, pose.at);
        for i in 0..2 * (1.6 * size / (4.0 * half)).min(most * 0.35) as u32 {
            let r = if i % 2 == 0 { mean + half } else { mean - half };
            let path = Segment::Arc(CircularArc::leaving(pose, r, side * PI));
            tracks.push(Track::down(path));
            pose = path.end();
        }
    }
    tracks
}

/// Arcs and lines that meet smoothly, some of them tighter than the deck.
fn walk(d: &mut Dice, middle: Coord<f64>, size: f64, most: f64, mower: &Mower) -> Vec<Track> {
    let mut pose = Pose::new(middle, d.between(0.0, TAU));
    let mut tracks: Vec<Track> = Vec::new();
    for _ in 0..6 + d.below((most * 0.6) as u64) {
        let (dx, dy) = (middle.x - pose.at.x, middle.y - pose.at.y);
        if dx.hypot(dy) > size {
            // Back to the middle.
            let to = at(middle, d.between(0.0, TAU), size * 0.5);
            join(&mut tracks, to);
            pose = Pose::new(to, d.between(0.0, TAU));
        }
        let path = if d.chance(0.35) {
            Segment::Line {
                from: pose.at,
                to: pose.offset(d.between(0.5, size * 0.8), 0.0),
            }
        } else {
            let tight = mower.cutting_width_m() * d.between(0.15, 0.6);
            let radius = if d.chance(0.15) {
                tight
            } else {
                d.between(1.8, 9.0)
            };
            Segment::Arc(CircularArc::leaving(
                pose,
                radius,
                d.sign() * d.between(0.05, 6.6),
            ))
        };
        tracks.push(Track::down(path));
        pose = path.end();
    }
    tracks
}

/// Circles about one centre, side by side, some driven twice.
fn rings(d: &mut Dice, middle: Coord<f64>, size: f64, mower: &Mower) -> Vec<Track> {
    let centre = at(middle, d.between(0.0, TAU), size * 0.2);
    let spacing = mower.cutting_width_m() * d.between(0.8, 1.0);
    let mut tracks = Vec::new();
    let mut radius = size * d.between(0.8, 1.0);
    while radius > mower.cutting_width_m() / 2.0 + 0.3 {
        let from_rad = if d.chance(0.3) {
            0.0
        } else {
            d.between(0.0, TAU)
        };
        let sweep_rad = d.sign()
            * if d.chance(0.7) {
                TAU
            } else {
                d.between(1.0, 9.0)
            };
        let path = Segment::Arc(CircularArc {
            centre,
            radius_m: radius,
            from_rad,
            sweep_rad,
        });
        for _ in 0..1 + u32::from(d.chance(0.2)) {
            join(&mut tracks, path.start().at);
            tracks.push(Track::down(path));
        }
        radius -= spacing;
    }
    tracks
}

/// Straight pieces with corners, reels down throughout.
fn kinks(d: &mut Dice, middle: Coord<f64>, size: f64, most: f64) -> Vec<Track> {
    let mut here = middle;
    (0..5 + d.below((most * 0.5) as u64))
        .map(|_| {
            let there = at(middle, d.between(0.0, TAU), size * d.between(0.1, 1.0));
            let t = line(here, there);
            here = there;
            t
        })
        .collect()
}
