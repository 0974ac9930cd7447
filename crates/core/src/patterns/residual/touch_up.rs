//! Touch-up passes: short straight runs over places that rings and pattern leave.
//!
//! Corners beside keep-outs and bends tighter than the mower can follow leave places. They are
//! taken one by one, the largest first: a run along a nearby edge or along the place itself, laid
//! where it cuts most of what is left, never into barred ground, with the least overrun. What is
//! too small to be a place is left: see [`crate::swath::places`].

use crate::ground::barriers::Barriers;
use crate::ground::heading::long_axis_rad;
use crate::limits::MIN_PLACE_M2;
use crate::model::ground::Fairway;
use crate::model::mow::{Leg, Role};
use crate::model::mower::Mower;
use crate::model::track::{Path, Track};
use crate::polygon::overlay::Overlay;
use crate::swath::bands::Bands;
use crate::swath::contact::{Handling, Prepared, lowered, tracks_between};
use crate::swath::places::places;
use crate::swath::swept::{swept_area, touches};
use crate::work::Work;
use geo::{Area, BoundingRect, Centroid};
use geo_types::{Coord, MultiPolygon, Polygon, Rect};

// More runs than this on one fairway would be a plan nobody follows.
const MAX_RUNS: usize = 40;
// A run that cuts less of its place than this is not worth lowering the reels for, square metres:
// half of what makes a place.
const MIN_GAIN_M2: f64 = 0.25;
// Threads are left as long as all that is left is no more than this share of the reach: a deck of
// several units leaves them along every bend.
const MAX_THREADS: f64 = 7.5e-4;
// Directions of edges tried round a place.
const MAX_HEADINGS: usize = 6;
// The deck's side is laid this far inside the edge of the place, metres, so that it does not
// touch a keep-out that bounds it.
const INSET_M: f64 = 0.004;
// Flattening of arcs when looking for what is left, metres.
const LOOK_M: f64 = 0.002;
// A square metre of overrun is counted as this much of a square metre not gained.
const OVERRUN_WEIGHT: f64 = 0.5;
// And each metre driven as this, square metres: a shorter run of equal gain wins.
const LENGTH_WEIGHT: f64 = 0.002;
// How the reels are worked on a run: a gap is not lifted over.
const HANDLING: Handling = Handling {
    bridge_m: 3.0,
    shortest_m: 0.05,
    clearance_m: 0.002,
};

/// A run that is tried is clipped against what is left: as long as so many turns.
const RUN_STEPS: u64 = 10;

/// A run, and the middle of the place it was laid for.
#[derive(Debug)]
pub(super) struct Run {
    pub leg: Leg,
    pub place: Coord<f64>,
}

/// Runs over the places of what is left.
pub(super) fn runs(
    fairway: &Fairway,
    mower: &Mower,
    barriers: &Barriers,
    mut left: MultiPolygon<f64>,
    reach_m2: f64,
    work: &Work,
) -> Vec<Run> {
    let mut given_up: Vec<Coord<f64>> = Vec::new();
    let mut out = Vec::new();
    while out.len() < MAX_RUNS && !work.over() {
        let mut asked = places(&left);
        if left.unsigned_area() > reach_m2 * MAX_THREADS {
            asked.extend(long_threads(&left));
        }
        let next = asked.into_iter().find_map(|p| {
            let middle = p.centroid()?.0;
            (!given_up.contains(&middle)).then_some((p, middle))
        });
        let Some((place, middle)) = next else {
            break;
        };
        let site = Site::new(&place, mower, barriers, &left, work);
        let Some(tracks) = site.best_run(&directions(&place, fairway)) else {
            given_up.push(middle);
            continue;
        };
        let cut = swept_area(&tracks, &mower.units, LOOK_M);
        let (near, far) = parted(left, cut.bounding_rect());
        left = far;
        left.0.extend(near.difference(&cut).0);
        out.push(Run {
            leg: Leg {
                tracks,
                role: Role::TouchUp,
                reversible: true,
            },
            place: middle,
        });
    }
    out
}

/// Pieces as large as a place, however thin, the largest first.
fn long_threads(left: &MultiPolygon<f64>) -> Vec<MultiPolygon<f64>> {
    let large = left.iter().map(|p| (p.unsigned_area(), p));
    let mut large: Vec<_> = large.filter(|(area, _)| *area >= MIN_PLACE_M2).collect();
    large.sort_by(|a, b| b.0.total_cmp(&a.0));
    let alone = |(_, p): (f64, &Polygon<f64>)| MultiPolygon(vec![p.clone()]);
    large.into_iter().map(alone).collect()
}

/// The pieces that a box meets, and the others.
fn parted(
    pieces: MultiPolygon<f64>,
    near: Option<Rect<f64>>,
) -> (MultiPolygon<f64>, MultiPolygon<f64>) {
    let meets = |p: &Polygon<f64>| near.is_some_and(|near| touches(p, &near));
    let (a, b) = pieces.into_iter().partition(meets);
    (MultiPolygon(a), MultiPolygon(b))
}

/// One place and all that a run over it is judged by.
struct Site<'a> {
    place: &'a MultiPolygon<f64>,
    /// What is left, threads too: reels that are down take what lies before and behind.
    wanted: Prepared,
    mower: &'a Mower,
    barriers: &'a Barriers,
    /// What is left within reach of any run over the place.
    left: MultiPolygon<f64>,
    run_out_m: f64,
    work: &'a Work,
}

impl<'a> Site<'a> {
    fn new(
        place: &'a MultiPolygon<f64>,
        mower: &'a Mower,
        barriers: &'a Barriers,
        left: &MultiPolygon<f64>,
        work: &'a Work,
    ) -> Self {
        let run_out_m = mower.cutting_width_m() + mower.front_m().abs().max(mower.rear_m().abs());
        let near = place.bounding_rect().map(|r| {
            let far = r.width().hypot(r.height()) + 2.0 * (run_out_m + mower.cutting_width_m());
            let far = Coord { x: far, y: far };
            Rect::new(r.min() - far, r.max() + far)
        });
        let meets = |p: &&Polygon<f64>| near.is_some_and(|near| touches(p, &near));
        let left: MultiPolygon<f64> = left.iter().filter(meets).cloned().collect();
        Self {
            place,
            wanted: Prepared::new(&left),
            mower,
            barriers,
            left,
            run_out_m,
            work,
        }
    }

    /// The run that is worth most, if any is worth driving.
    fn best_run(&self, directions: &[Direction]) -> Option<Vec<Track>> {
        let mut best: Option<(f64, Vec<Track>)> = None;
        for direction in directions {
            for path in self.lines(direction) {
                let units = &self.mower.units;
                let barred = &self.barriers.prepared;
                for span in lowered(&[path], units, &self.wanted, barred, &HANDLING) {
                    self.work.spend(RUN_STEPS);
                    let tracks = tracks_between(&[path], &[span], span.0, span.1);
                    let Some(worth) = self.worth(&tracks, span.1 - span.0) else {
                        continue;
                    };
                    if worth > 0.0 && best.as_ref().is_none_or(|b| worth > b.0 + 1e-9) {
                        best = Some((worth, tracks));
                    }
                }
            }
        }
        best.map(|b| b.1)
    }

    /// Lines in one direction with the deck flush with either side of the place, in its middle,
    /// and along the edge.
    fn lines(&self, direction: &Direction) -> Vec<Path> {
        let (sin, cos) = direction.heading.sin_cos();
        let (mut f0, mut f1) = (f64::INFINITY, f64::NEG_INFINITY);
        let (mut n0, mut n1) = (f0, f1);
        for p in self.place.iter().flat_map(|p| &p.exterior().0) {
            let (f, n) = (p.x * cos + p.y * sin, p.y * cos - p.x * sin);
            (f0, f1) = (f0.min(f), f1.max(f));
            (n0, n1) = (n0.min(n), n1.max(n));
        }
        let left_flush = n1 - INSET_M - self.mower.left_m();
        let right_flush = n0 + INSET_M - self.mower.right_m();
        // Along a bunker that bulges into the ground the edge itself is the line to keep to: the
        // rest of the place lies behind it. The ground is on the left of its edges.
        let along_edge = direction.edge_m.map(|n| n + INSET_M - self.mower.right_m());
        let middle = (left_flush + right_flush) / 2.0;
        [left_flush, right_flush, middle]
            .into_iter()
            .chain(along_edge)
            .map(|across| {
                let world = |f: f64| Coord {
                    x: f * cos - across * sin,
                    y: f * sin + across * cos,
                };
                Path::Line {
                    from: world(f0 - self.run_out_m),
                    to: world(f1 + self.run_out_m),
                }
            })
            .collect()
    }

    /// What a run gains, less what it costs, square metres; nothing if it gains too little.
    fn worth(&self, tracks: &[Track], length_m: f64) -> Option<f64> {
        let each = tracks
            .iter()
            .flat_map(|t| self.mower.units.iter().map(|u| (&t.path, u)));
        let cut = Bands::new(each)?;
        if cut.cut_of_m2(self.place) < MIN_GAIN_M2 {
            return None;
        }
        let gain = cut.cut_of_m2(&self.left);
        let overrun = (cut.area_m2() - cut.cut_of_m2(&self.barriers.solid)).max(0.0);
        Some(gain - LENGTH_WEIGHT * length_m - OVERRUN_WEIGHT * overrun)
    }
}

/// A direction for a run.
struct Direction {
    /// Radians counter-clockwise from east.
    heading: f64,
    /// How far to the left the edge it follows lies, metres across the direction.
    edge_m: Option<f64>,
}

/// Directions worth trying: the ground's edges nearest to the place, and its own axis.
fn directions(place: &MultiPolygon<f64>, fairway: &Fairway) -> Vec<Direction> {
    let mut out = vec![Direction {
        heading: long_axis_rad(place),
        edge_m: None,
    }];
    let Some(centre) = place.centroid() else {
        return out;
    };
    let mut near: Vec<(f64, f64, Coord<f64>)> = Vec::new();
    for p in &fairway.ground {
        for r in std::iter::once(p.exterior()).chain(p.interiors()) {
            for w in r.0.windows(2) {
                let (dx, dy) = (w[1].x - w[0].x, w[1].y - w[0].y);
                let len2 = dx * dx + dy * dy;
                if len2 <= 0.0 {
                    continue;
                }
                let t = (((centre.x() - w[0].x) * dx + (centre.y() - w[0].y) * dy) / len2)
                    .clamp(0.0, 1.0);
                let d = (w[0].x + t * dx - centre.x()).hypot(w[0].y + t * dy - centre.y());
                near.push((d, dy.atan2(dx), w[0]));
            }
        }
    }
    near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    for (_, h, at) in near {
        // Within a degree or so it is the same direction.
        if out.len() > MAX_HEADINGS {
            break;
        }
        if !out
            .iter()
            .any(|o| o.edge_m.is_some() && (2.0 * (o.heading - h)).cos() > 0.9994)
        {
            out.push(Direction {
                heading: h,
                edge_m: Some(at.y * h.cos() - at.x * h.sin()),
            });
        }
    }
    out
}
