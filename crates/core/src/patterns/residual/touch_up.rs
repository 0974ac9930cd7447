//! Touch-up passes: short runs over places that rings and pattern leave.
//!
//! Corners beside keep-outs and bends tighter than the mower can follow leave places. They are
//! taken one by one, the largest first: a straight run along a nearby edge or along the place
//! itself, or with several cutting units one that follows the edge, laid where it cuts most of what
//! is left, never into barred ground, with the least overrun. What is too small to be a place is
//! left: see [`crate::swath::places`].

use super::{Ground, LOOK_M, TouchUp, around, box_of, grown};
use crate::deck::neighbours;
use crate::ground::extent::Extent;
use crate::ground::heading::long_axis_rad;
use crate::limits::{MIN_PATCH_DECKS, MIN_PLACE_M2};
use crate::model::ground::Fairway;
use crate::model::mow::{Leg, Role};
use crate::model::mower::Mower;
use crate::model::track::{Segment, Track};
use crate::patterns::clean_up::rounds_inward;
use crate::polygon::overlay::Overlay;
use crate::swath::contact::{Prepared, Span, touch_spans};
use crate::swath::gain::Swath;
use crate::swath::lowered::{Handling, lowered, tracks_between};
use crate::swath::places::{places_of, without_threads};
use crate::swath::shapes::uncut;
use crate::work::Work;
use geo::{Area, BoundingRect, Centroid, Intersects};
use geo_types::{Coord, MultiPolygon, Polygon, Rect};

// More runs than this on one fairway would be a plan nobody follows.
const MAX_RUNS: usize = 40;
// A run that cuts less of its place than this is not worth lowering the reels for, square metres:
// half of what makes a place.
pub(super) const MIN_GAIN_M2: f64 = 0.25;
// Threads are left as long as all that is left is no more than this share of the reach: a deck of
// several units leaves them along every bend. A little less than a plan may miss, as what is left
// is looked at less finely than it is measured.
const MAX_THREADS: f64 = 9.7e-4;
// Directions of edges tried round a place.
const MAX_HEADINGS: usize = 6;
// The deck's side is laid this far inside the edge of the place, metres, so that it does not
// touch a keep-out that bounds it.
const INSET_M: f64 = 0.004;
// A square metre of overrun is counted as this much of a square metre not gained.
const OVERRUN_WEIGHT: f64 = 0.5;
// And each metre driven as this, square metres: a shorter run of equal gain wins.
const LENGTH_WEIGHT: f64 = 0.002;
// How the reels are worked on a run: what is mown in the time of a lift is not lifted over.
const HANDLING: Handling = Handling {
    bridge_m: 7.0,
    shortest_m: 0.05,
    clearance_m: 0.002,
};

// A run is followed this far beyond the place, metres: in line with it there may be more.
const IN_LINE_M: f64 = 30.0;
// So many others are tried to be taken in one line with a place.
const MAX_IN_LINE: usize = 4;
// What lies nearer than this belongs to the place itself, metres.
const MIN_APART_M: f64 = 1.0;

// A run along an edge is no longer than this, metres: the rest of a long edge is a run of its own,
// and one that goes far round a keep-out often ends where no turn fits.
const MAX_ALONG_M: f64 = 25.0;
// Runs along edges lie so many overlaps of neighbouring units further in than the clean-up passes.
const OVERLAPS_INWARD: f64 = 1.4;

/// A run that is tried is clipped against what is left: as long as so many turns.
const RUN_EFFORT: u64 = 10;

/// Runs over the places of what is left.
pub(super) fn runs(ground: &Ground<'_>, left: MultiPolygon<f64>, work: &Work) -> Vec<TouchUp> {
    let enough_m2 = ground.reach.unsigned_area() * MAX_THREADS;
    let mut left = Left(left.into_iter().map(Leftover::new).collect());
    let mut given_up: Vec<Coord<f64>> = Vec::new();
    let mut out = Vec::new();
    let mut along: Option<Vec<Vec<Segment>>> = None;
    while out.len() < MAX_RUNS && !work.over() {
        let next = left.wanted(enough_m2).into_iter().find_map(|p| {
            let middle = p.centroid()?.0;
            (!given_up.contains(&middle)).then_some((p, middle))
        });
        let Some((place, middle)) = next else {
            break;
        };
        let site = Search::new(&place, ground, &left, work);
        let mut ways = directions(&place, ground.fairway);
        ways.extend(site.in_line(middle));
        let Some(tracks) = site.best_run(&ways, along.get_or_insert_with(|| along_edges(ground)))
        else {
            given_up.push(middle);
            continue;
        };
        left.take(&tracks, ground.mower);
        let leg = Leg {
            tracks,
            role: Role::TouchUp,
            reversible: true,
        };
        out.push((leg, middle));
    }
    out
}

/// Ways along the edges a little further in than the clean-up passes, for a deck of several units:
/// what those passes leave where two units part then lies under one of them.
fn along_edges(ground: &Ground<'_>) -> Vec<Vec<Segment>> {
    let Ground {
        mower, barriers, ..
    } = *ground;
    let overlaps = neighbours(&mower.units).into_iter().map(|n| n.overlap_m);
    let Some(overlap_m) = overlaps.max_by(f64::total_cmp).filter(|o| *o > 0.0) else {
        return Vec::new();
    };
    let rounds = rounds_inward(mower, barriers, OVERLAPS_INWARD * overlap_m);
    let chains = rounds.into_iter().flat_map(|r| r.chains);
    chains.map(|c| c.paths).collect()
}

/// From where to where a chain runs in a box, going by the boxes of its paths, metres from its start.
fn span_in(paths: &[Segment], bounds: &Rect<f64>) -> Option<Span> {
    let mut from = 0.0;
    let mut out: Option<Span> = None;
    for path in paths {
        let to = from + path.length_m();
        if box_of(std::iter::once(path)).is_some_and(|b| b.intersects(bounds)) {
            out = Some((out.map_or(from, |o| o.0), to));
        }
        from = to;
    }
    out
}

/// What is left.
struct Left(Vec<Leftover>);

/// A piece of what is left.
struct Leftover {
    shape: Polygon<f64>,
    bounds: Option<Rect<f64>>,
    area_m2: f64,
    /// What of it is no thread.
    thick: MultiPolygon<f64>,
}

impl Leftover {
    fn new(shape: Polygon<f64>) -> Self {
        Self {
            bounds: shape.bounding_rect(),
            area_m2: shape.unsigned_area(),
            thick: without_threads(&shape),
            shape,
        }
    }

    fn meets(&self, near: &Rect<f64>) -> bool {
        self.bounds.is_some_and(|b| b.intersects(near))
    }
}

impl Left {
    /// The places, the largest first, and as long as more than enough is left all pieces as large
    /// as a place, however thin.
    fn wanted(&self, enough_m2: f64) -> Vec<MultiPolygon<f64>> {
        let thick: Vec<&Polygon<f64>> = self.0.iter().flat_map(|p| &p.thick).collect();
        let mut out = places_of(&thick);
        if self.0.iter().map(|p| p.area_m2).sum::<f64>() > enough_m2 {
            let pieces = self.0.iter().filter(|p| p.area_m2 >= MIN_PLACE_M2);
            let mut pieces: Vec<&Leftover> = pieces.collect();
            pieces.sort_by(|a, b| b.area_m2.total_cmp(&a.area_m2));
            out.extend(pieces.iter().map(|p| MultiPolygon(vec![p.shape.clone()])));
        }
        out
    }

    /// Takes away what a run cuts.
    fn take(&mut self, run: &[Track], mower: &Mower) {
        let Some(bounds) = around(run, mower) else {
            return;
        };
        let all = std::mem::take(&mut self.0);
        let (near, far): (Vec<Leftover>, Vec<Leftover>) =
            all.into_iter().partition(|p| p.meets(&bounds));
        let near = near.into_iter().map(|p| p.shape).collect();
        let rest = uncut(&near, run, &mower.units, LOOK_M);
        self.0 = far;
        self.0.extend(rest.into_iter().map(Leftover::new));
    }
}

/// The search for a run over one place: the place, and all that a run is judged by.
struct Search<'a> {
    place: &'a MultiPolygon<f64>,
    ground: &'a Ground<'a>,
    /// What is left, threads too: reels that are down take what lies before and behind.
    wanted: Prepared,
    /// The place alone, and all that is left within reach of any run over it.
    alone: Swath<'a>,
    left: Swath<'a>,
    run_out_m: f64,
    /// The middles of what else is left near by.
    others: Vec<Coord<f64>>,
    work: &'a Work,
}

impl<'a> Search<'a> {
    fn new(
        place: &'a MultiPolygon<f64>,
        ground: &'a Ground<'a>,
        left: &Left,
        work: &'a Work,
    ) -> Self {
        let mower = ground.mower;
        let run_out_m = mower.run_out_m();
        let near = place.bounding_rect().map(|r| {
            let far = r.width().hypot(r.height()) + 2.0 * (run_out_m + mower.cutting_width_m());
            let far = far + IN_LINE_M;
            grown(r, far)
        });
        let pieces = left.0.iter();
        let near = pieces.filter(|p| near.is_some_and(|near| p.meets(&near)));
        let near: Vec<&Leftover> = near.collect();
        let seen = near.iter().filter(|p| p.area_m2 >= MIN_GAIN_M2);
        let others = seen.filter_map(|p| Some(p.shape.centroid()?.0)).collect();
        let left: MultiPolygon<f64> = near.iter().map(|p| p.shape.clone()).collect();
        let solid = &ground.barriers.solid;
        Self {
            place,
            ground,
            wanted: Prepared::new(&left),
            alone: Swath::new(&mower.units, place, solid),
            left: Swath::new(&mower.units, &left, solid),
            run_out_m,
            others,
            work,
        }
    }

    /// The run that is worth most, if any is worth driving.
    fn best_run(&self, directions: &[Direction], along: &[Vec<Segment>]) -> Option<Vec<Track>> {
        let mut best: Option<(f64, Vec<Track>)> = None;
        let runs = self.straight(directions).into_iter();
        for (tracks, length_m) in runs.chain(self.along(along)) {
            let Some(worth) = self.worth(&tracks, length_m) else {
                continue;
            };
            if worth > 0.0 && best.as_ref().is_none_or(|b| worth > b.0 + 1e-9) {
                best = Some((worth, tracks));
            }
        }
        best.map(|b| b.1)
    }

    /// Straight runs over the place, each with its length, metres.
    fn straight(&self, directions: &[Direction]) -> Vec<(Vec<Track>, f64)> {
        let units = &self.ground.mower.units;
        let barred = &self.ground.barriers.prepared;
        let mut out = Vec::new();
        for path in directions.iter().flat_map(|d| self.lines(d)) {
            for span in lowered(&[path], units, &self.wanted, barred, &HANDLING) {
                self.work.spend(RUN_EFFORT);
                if let Some(span) = self.lengthened(&path, span) {
                    let tracks = tracks_between(&[path], &[span], span.0, span.1);
                    out.push((tracks, span.1 - span.0));
                }
            }
        }
        out
    }

    /// Runs along the edges that come near the place, no longer than one is short, each with its
    /// length, metres.
    fn along(&self, chains: &[Vec<Segment>]) -> Vec<(Vec<Track>, f64)> {
        let Some(bounds) = self.place.bounding_rect() else {
            return Vec::new();
        };
        let bounds = grown(bounds, self.run_out_m);
        let mower = self.ground.mower;
        let barred = &self.ground.barriers.prepared;
        let least_m = MIN_PATCH_DECKS * mower.cutting_width_m();
        let mut out = Vec::new();
        for paths in chains {
            let Some(by) = span_in(paths, &bounds) else {
                continue;
            };
            let middle = (by.0 + by.1) / 2.0;
            let (low, high) = (middle - MAX_ALONG_M / 2.0, middle + MAX_ALONG_M / 2.0);
            for span in lowered(paths, &mower.units, &self.wanted, barred, &HANDLING) {
                let span = (span.0.max(low), span.1.min(high));
                if span.1 - span.0 >= least_m {
                    self.work.spend(RUN_EFFORT);
                    let tracks = tracks_between(paths, &[span], span.0, span.1);
                    out.push((tracks, span.1 - span.0));
                }
            }
        }
        out
    }

    /// Directions to what else is left near by: corners that rings leave lie in a line.
    fn in_line(&self, middle: Coord<f64>) -> Vec<Direction> {
        let mut others: Vec<(f64, Coord<f64>)> = self
            .others
            .iter()
            .map(|&c| ((c.x - middle.x).hypot(c.y - middle.y), c))
            .filter(|(far, _)| *far > MIN_APART_M)
            .collect();
        others.sort_by(|a, b| a.0.total_cmp(&b.0));
        others
            .into_iter()
            .take(MAX_IN_LINE)
            .map(|(_, c)| Direction {
                heading: (c.y - middle.y).atan2(c.x - middle.x),
                edge_m: None,
            })
            .collect()
    }

    /// A stretch that is too short to line up for, longer at both ends where no reel comes to the
    /// rough or into barred ground; nothing where there is no room for it.
    fn lengthened(&self, path: &Segment, span: Span) -> Option<Span> {
        let mower = self.ground.mower;
        let need = MIN_PATCH_DECKS * mower.cutting_width_m() - (span.1 - span.0);
        if need <= 0.0 {
            return Some(span);
        }
        let middle = (span.0 + span.1) / 2.0;
        let barriers = self.ground.barriers;
        let mut shut = touch_spans(path, &mower.units, &barriers.prepared);
        shut.extend(touch_spans(path, &mower.units, &barriers.rough));
        // How far back from the stretch, and how far on, nothing is in the way.
        let clear = |room: f64| (room - HANDLING.clearance_m).max(0.0);
        let low = shut.iter().filter(|s| s.0 < middle);
        let low = low.map(|s| s.1.min(span.0)).fold(0.0, f64::max);
        let high = shut.iter().filter(|s| s.1 > middle);
        let high = high
            .map(|s| s.0.max(span.1))
            .fold(path.length_m(), f64::min);
        let back = clear(span.0 - low).min(need);
        let on = clear(high - span.1).min(need - back);
        (back + on >= need * (1.0 - 1e-9)).then_some((span.0 - back, span.1 + on))
    }

    /// Lines in one direction with the deck flush with either side of the place, in its middle,
    /// and along the edge.
    fn lines(&self, direction: &Direction) -> Vec<Segment> {
        let mower = self.ground.mower;
        let (sin, cos) = direction.heading.sin_cos();
        let extent = Extent::of(self.place, direction.heading);
        let ((f0, f1), (n0, n1)) = (extent.along, extent.across);
        let left_flush = n1 - INSET_M - mower.left_m();
        let right_flush = n0 + INSET_M - mower.right_m();
        // Along a bunker that bulges into the ground the edge itself is the line to keep to: the
        // rest of the place lies behind it. The ground is on the left of its edges.
        let along_edge = direction.edge_m.map(|n| n + INSET_M - mower.right_m());
        let middle = (left_flush + right_flush) / 2.0;
        [left_flush, right_flush, middle]
            .into_iter()
            .chain(along_edge)
            .map(|across| {
                let world = |f: f64| Coord {
                    x: f * cos - across * sin,
                    y: f * sin + across * cos,
                };
                Segment::Line {
                    from: world(f0 - self.run_out_m - IN_LINE_M),
                    to: world(f1 + self.run_out_m + IN_LINE_M),
                }
            })
            .collect()
    }

    /// What a run gains, less what it costs, square metres; nothing if it gains too little.
    fn worth(&self, tracks: &[Track], length_m: f64) -> Option<f64> {
        if self.alone.gain(tracks, None, &[]).grass_m2 < MIN_GAIN_M2 {
            return None;
        }
        let gain = self.left.gain(tracks, None, &[]);
        Some(gain.grass_m2 - LENGTH_WEIGHT * length_m - OVERRUN_WEIGHT * gain.rough_m2)
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
    for w in fairway.ground.rings().flat_map(|r| r.0.windows(2)) {
        let (dx, dy) = (w[1].x - w[0].x, w[1].y - w[0].y);
        let len2 = dx * dx + dy * dy;
        if len2 <= 0.0 {
            continue;
        }
        let t = (((centre.x() - w[0].x) * dx + (centre.y() - w[0].y) * dy) / len2).clamp(0.0, 1.0);
        let d = (w[0].x + t * dx - centre.x()).hypot(w[0].y + t * dy - centre.y());
        near.push((d, dy.atan2(dx), w[0]));
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{bunker, plain, rect, unit};
    use crate::ground::barriers::Barriers;
    use crate::model::mower::CuttingUnit;
    use geo_types::{LineString, coord};

    const SAND_M: f64 = 9.0;

    fn circle(radius_m: f64) -> LineString<f64> {
        let at = |i: usize| {
            let (sin, cos) = (i as f64 * std::f64::consts::PI / 48.0).sin_cos();
            coord! {x: 40.0 + radius_m * cos, y: 40.0 + radius_m * sin}
        };
        (0..=96).map(at).collect()
    }

    /// How many runs a thin place all round a round bunker takes, and how much of it they leave.
    fn round_the_sand(units: Vec<CuttingUnit>) -> (usize, f64) {
        let mower = Mower::of_units("drawn", units);
        let mut fairway = plain(MultiPolygon(vec![rect(0.0, 0.0, 80.0, 80.0)]));
        let sand = Polygon::new(circle(SAND_M), Vec::new());
        fairway.ground.0[0].interiors_push(sand.exterior().clone());
        fairway.keep_outs.push(bunker(sand));
        let barriers = Barriers::of(&fairway);
        let left = Polygon::new(circle(SAND_M + 1.0), vec![circle(SAND_M + 0.75)]);
        let ground = Ground {
            fairway: &fairway,
            mower: &mower,
            barriers: &barriers,
            reach: &fairway.ground,
        };
        let left = MultiPolygon(vec![left]);
        let runs = runs(&ground, left.clone(), &Work::new(None));
        let tracks: Vec<Track> = runs.iter().flat_map(|r| r.0.tracks.clone()).collect();
        let rest = uncut(&left, &tracks, &mower.units, LOOK_M);
        assert!(
            tracks
                .iter()
                .all(|t| touch_spans(&t.path, &mower.units, &barriers.prepared).is_empty())
        );
        (runs.len(), rest.unsigned_area())
    }

    #[test]
    fn several_units_follow_the_edge_where_a_bar_takes_it_straight() {
        let bar = round_the_sand(vec![unit(0.0, 0.0, 2.4)]);
        let units = round_the_sand(
            (0..5)
                .map(|i| unit(f64::from(i - 2) * 0.46, 0.0, 0.56))
                .collect(),
        );
        assert!(units.0 < bar.0, "{units:?} {bar:?}");
        assert!(
            units.1 < MIN_PLACE_M2 && bar.1 < MIN_PLACE_M2,
            "{units:?} {bar:?}"
        );
    }
}
