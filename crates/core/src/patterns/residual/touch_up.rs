//! Touch-up passes: short runs over places that rings and pattern leave.
//!
//! Places ([`crate::swath::places`]) are taken one by one, the largest first: by a straight run along
//! a nearby edge or along the place itself, or with several cutting units by one that follows the
//! edge, laid where it cuts most of what is left, never into barred ground, with the least overrun.

use super::{Ground, LOOK_M, TouchUp};
use crate::deck::neighbours;
use crate::ground::extent::Extent;
use crate::ground::heading::long_axis_rad;
use crate::limits::{MIN_PATCH_DECKS, MIN_PLACE_M2};
use crate::model::ground::Fairway;
use crate::model::mow::{Leg, Role};
use crate::model::mower::Mower;
use crate::model::pattern::Sense;
use crate::model::track::{Segment, Track};
use crate::patterns::clean_up::{Follow, rounds};
use crate::polygon::offset::grown;
use crate::swath::contact::{Prepared, Span, touch_spans};
use crate::swath::gain::Swath;
use crate::swath::lowered::{CLEARANCE_M, Handling, lowered, tracks_between};
use crate::swath::places::{places_of, without_threads};
use crate::swath::shapes::uncut;
use crate::work::Work;
use geo::{Area, BoundingRect, Centroid, Distance, Euclidean, Intersects, LinesIter};
use geo_types::{Coord, Line, MultiPoint, MultiPolygon, Polygon, Rect};

// More runs than this on one fairway would be a plan nobody follows.
const MAX_RUNS: usize = 40;
// A run that cuts less of its place than this is not worth lowering the reels for, square metres:
// half of what makes a place.
pub(super) const MIN_GAIN_M2: f64 = 0.25;
// Threads, which several units leave along every bend, stay as long as all that is left is no more
// than this share of the reach: a little less than a plan may miss, which is measured more finely.
const MAX_THREADS: f64 = 9.7e-4;
// Directions of edges tried round a place.
const MAX_HEADINGS: usize = 6;
// The deck's side lies this far inside the place, metres, clear of a keep-out that bounds it.
const INSET_M: f64 = 0.004;
// A square metre of overrun is counted as this much of a square metre not gained.
const OVERRUN_WEIGHT: f64 = 0.5;
// And each metre driven as this, square metres: a shorter run of equal gain wins.
const LENGTH_WEIGHT: f64 = 0.002;
// How the reels are worked on a run: what is mown in the time of a lift is not lifted over.
const HANDLING: Handling = Handling {
    bridge_m: 7.0,
    shortest_m: 0.05,
};

// Beyond the place a run is followed this far, metres: in line with it there may be more.
const IN_LINE_M: f64 = 30.0;
// A run along an edge is no longer than this, metres: one that goes far round a keep-out often ends
// where no turn fits.
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
        let search = Search::new(&place, ground, &left, work);
        let along = along.get_or_insert_with(|| along_edges(ground));
        let Some(tracks) = search.best_run(along) else {
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

/// Ways along the edges a little further in than the clean-up passes, for several units: what those
/// leave where two units part then lies under one of them.
fn along_edges(ground: &Ground<'_>) -> Vec<Vec<Segment>> {
    let overlaps = neighbours(&ground.mower.units).into_iter();
    let overlap_m = overlaps.map(|n| n.overlap_m).fold(0.0, f64::max);
    if overlap_m == 0.0 {
        return Vec::new();
    }
    let follow = Follow::edges(OVERLAPS_INWARD * overlap_m);
    let rounds = rounds(ground.mower, Sense::Clockwise, ground.barriers, &follow);
    let chains = rounds.into_iter().flat_map(|r| r.chains);
    chains.map(|c| c.paths).collect()
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
            out.extend(pieces.iter().map(|p| p.shape.clone().into()));
        }
        out
    }

    /// Takes away what a run cuts.
    fn take(&mut self, run: &[Track], mower: &Mower) {
        // Between the places asked an arc bulges by less than what a deck is wider than it reaches
        // to one side.
        let asked = run.iter().flat_map(|t| {
            let at = |share: f64| t.path.pose_at(share * t.path.length_m()).at;
            [0.0, 0.25, 0.5, 0.75, 1.0].map(at)
        });
        let Some(bounds) = MultiPoint::from_iter(asked).bounding_rect() else {
            return;
        };
        let bounds = grown(bounds, mower.run_out_m());
        let (near, far): (Vec<Leftover>, Vec<Leftover>) =
            self.0.drain(..).partition(|p| p.meets(&bounds));
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
        let near = place.bounding_rect().map(|r| {
            let far = 2.0 * (mower.run_out_m() + mower.cutting_width_m()) + IN_LINE_M;
            grown(r, r.width().hypot(r.height()) + far)
        });
        let pieces = left.0.iter();
        let near = pieces.filter(|p| near.is_some_and(|near| p.meets(&near)));
        let left: MultiPolygon<f64> = near.map(|p| p.shape.clone()).collect();
        let solid = &ground.barriers.solid;
        Self {
            place,
            ground,
            wanted: Prepared::new(&left),
            alone: Swath::new(&mower.units, place, solid),
            left: Swath::new(&mower.units, &left, solid),
            work,
        }
    }

    /// The run that is worth most, if any is worth driving: straight over the place, or along one of
    /// the chains that follow the edges.
    fn best_run(&self, chains: &[Vec<Segment>]) -> Option<Vec<Track>> {
        let units = &self.ground.mower.units;
        let barred = &self.ground.barriers.prepared;
        let least_m = MIN_PATCH_DECKS * self.ground.mower.cutting_width_m();
        let directions = directions(self.place, self.ground.fairway);
        let straight = directions.iter().flat_map(|d| self.lines(*d));
        let straight = straight.map(|line| (vec![line], None));
        let place = Prepared::new(self.place);
        let along = chains.iter();
        let along = along.filter_map(|c| Some((c.clone(), Some(self.near_on(c, &place)?))));
        let mut best: Option<(f64, Vec<Track>)> = None;
        for (paths, near) in straight.chain(along) {
            for span in lowered(&paths, units, &self.wanted, barred, &HANDLING) {
                let fitted = match near {
                    None => self.lengthened(&paths[0], span),
                    Some(near) => Some((span.0.max(near.0), span.1.min(near.1))),
                };
                // A run too short to line up for is none.
                let enough = |s: &Span| near.is_none() || s.1 - s.0 >= least_m;
                let Some(span) = fitted.filter(enough) else {
                    continue;
                };
                self.work.spend(RUN_EFFORT);
                let tracks = tracks_between(&paths, &[span], span.0, span.1);
                let worth = self.worth(&tracks, span.1 - span.0);
                if worth > best.as_ref().map_or(0.0, |b| b.0 + 1e-9) {
                    best = Some((worth, tracks));
                }
            }
        }
        best.map(|b| b.1)
    }

    /// From where to where a run along a chain may go, if it comes over the place.
    fn near_on(&self, chain: &[Segment], place: &Prepared) -> Option<Span> {
        let (units, barred) = (&self.ground.mower.units, &self.ground.barriers.prepared);
        let over = lowered(chain, units, place, barred, &HANDLING);
        // A thread all round an edge comes in several stretches.
        let length = |s: &Span| s.1 - s.0;
        let longest = over.iter().max_by(|a, b| length(a).total_cmp(&length(b)))?;
        let middle = (longest.0 + longest.1) / 2.0;
        Some((middle - MAX_ALONG_M / 2.0, middle + MAX_ALONG_M / 2.0))
    }

    /// A stretch long enough to line up for: made longer where no reel comes to the rough or into
    /// barred ground.
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
        let before = shut.iter().filter(|s| s.0 < middle).map(|s| s.1);
        let after = shut.iter().filter(|s| s.1 > middle).map(|s| s.0);
        let low = before.fold(0.0, f64::max) + CLEARANCE_M;
        let high = after.fold(path.length_m(), f64::min) - CLEARANCE_M;
        let back = (span.0 - low).clamp(0.0, need);
        let on = (high - span.1).clamp(0.0, need - back);
        (back + on >= need * (1.0 - 1e-9)).then_some((span.0 - back, span.1 + on))
    }

    /// Lines in one direction with the deck flush with either side of the place, in its middle,
    /// and along the edge.
    fn lines(&self, (heading_rad, edge_m): Direction) -> Vec<Segment> {
        let mower = self.ground.mower;
        let extent = Extent::of(self.place, heading_rad);
        let ((f0, f1), (n0, n1)) = (extent.along, extent.across);
        let left_flush = n1 - INSET_M - mower.left_m();
        let right_flush = n0 + INSET_M - mower.right_m();
        // Along a bunker that bulges into the ground the edge itself is the line to keep to: the
        // rest of the place lies behind it. The ground is on the left of its edges.
        let along_edge = edge_m.map(|n| n + INSET_M - mower.right_m());
        let middle = (left_flush + right_flush) / 2.0;
        let beyond = mower.run_out_m() + IN_LINE_M;
        let line = |across| Segment::Line {
            from: extent.world(f0 - beyond, across),
            to: extent.world(f1 + beyond, across),
        };
        let places = [left_flush, right_flush, middle].into_iter();
        places.chain(along_edge).map(line).collect()
    }

    /// What a run gains, less what it costs, square metres; nothing if it gains too little.
    fn worth(&self, tracks: &[Track], length_m: f64) -> f64 {
        if self.alone.gain(tracks, None, &[]).grass_m2 < MIN_GAIN_M2 {
            return 0.0;
        }
        let gain = self.left.gain(tracks, None, &[]);
        gain.grass_m2 - LENGTH_WEIGHT * length_m - OVERRUN_WEIGHT * gain.rough_m2
    }
}

/// A direction for a run, radians counter-clockwise from east, and how far to its left the edge that
/// it follows lies, metres.
type Direction = (f64, Option<f64>);

/// Directions worth trying: the ground's edges nearest to the place, and its own axis.
fn directions(place: &MultiPolygon<f64>, fairway: &Fairway) -> Vec<Direction> {
    let mut out: Vec<Direction> = vec![(long_axis_rad(place), None)];
    let Some(centre) = place.centroid() else {
        return out;
    };
    let edges = fairway.ground.lines_iter().filter(|e| e.start != e.end);
    let far = |e: Line<f64>| (Euclidean.distance(&centre, &e), e);
    let mut near: Vec<(f64, Line<f64>)> = edges.map(far).collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (_, edge) in near {
        let heading_rad = edge.dy().atan2(edge.dx());
        // Within a degree or so it is the same direction.
        let same = |o: &Direction| o.1.is_some() && (2.0 * (o.0 - heading_rad)).cos() > 0.9994;
        if out.iter().any(same) {
            continue;
        }
        let (sin, cos) = heading_rad.sin_cos();
        out.push((heading_rad, Some(edge.start.y * cos - edge.start.x * sin)));
        if out.len() > MAX_HEADINGS {
            break;
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
    use crate::swath::places::places;
    use geo_types::{LineString, coord};

    const SAND_M: f64 = 9.0;

    fn circle(radius_m: f64) -> LineString<f64> {
        let at = |i: usize| {
            let (sin, cos) = (i as f64 * std::f64::consts::PI / 48.0).sin_cos();
            coord! {x: 40.0 + radius_m * cos, y: 40.0 + radius_m * sin}
        };
        (0..=96).map(at).collect()
    }

    /// How many runs a thin place all round a round bunker takes, and how many places they leave.
    fn round_the_sand(units: Vec<CuttingUnit>) -> (usize, usize) {
        let mower = Mower::of_units("drawn", units);
        let mut fairway = plain(MultiPolygon(vec![rect(0.0, 0.0, 80.0, 80.0)]));
        let sand = Polygon::new(circle(SAND_M), Vec::new());
        fairway.ground.0[0].interiors_push(sand.exterior().clone());
        fairway.keep_outs.push(bunker(sand));
        let barriers = Barriers::of(&fairway);
        let left = Polygon::new(circle(SAND_M + 1.0), vec![circle(SAND_M + 0.75)]);
        let left = MultiPolygon(vec![left]);
        let ground = Ground {
            fairway: &fairway,
            mower: &mower,
            barriers: &barriers,
            reach: &fairway.ground,
        };
        let runs = runs(&ground, left.clone(), &Work::new(None));
        let tracks: Vec<Track> = runs.iter().flat_map(|r| r.0.tracks.clone()).collect();
        let rest = uncut(&left, &tracks, &mower.units, LOOK_M);
        for t in &tracks {
            assert_eq!(touch_spans(&t.path, &mower.units, &barriers.prepared), []);
        }
        (runs.len(), places(&rest).len())
    }

    #[test]
    fn several_units_follow_the_edge_where_a_bar_takes_it_straight() {
        let bar = round_the_sand(vec![unit(0.0, 0.0, 2.4)]);
        let row = (0..5).map(|i| unit(f64::from(i - 2) * 0.46, 0.0, 0.56));
        let units = round_the_sand(row.collect());
        assert!(units.0 < bar.0, "{units:?} {bar:?}");
        assert_eq!((units.1, bar.1), (0, 0));
    }
}
