//! Clean-up passes: rings along the outline and round each keep-out.
//!
//! Ring i runs half a deck plus i spacings inside the outline and outside the keep-outs. Rings
//! are rounded to what the mower can follow; at a corner too sharp for that the pass runs
//! through to the edge, the reels lift, and it comes back in along the next edge.

use crate::curve::corners::Rounding;
use crate::curve::fillet::{Chain, round_ring};
use crate::deck::clean_radius_m;
use crate::ground::barriers::Barriers;
use crate::model::ground::Fairway;
use crate::model::mow::{Leg, Role};
use crate::model::mower::Mower;
use crate::model::pattern::{Sense, Settings};
use crate::model::track::{Segment, Track};
use crate::patterns::edges::{GroundEdge, nearest_edge};
use crate::patterns::lines::SHORT_DECKS;
use crate::polygon::offset::{offset, without_threads};
use crate::polygon::overlay::Overlay;
use crate::swath::contact::{Prepared, Span};
use crate::swath::lowered::{Handling, lowered, tracks_between};
use crate::swath::shapes::uncut_and_overrun_m2;
use geo::orient::{Direction, Orient};
use geo::{Distance, Euclidean};
use geo_types::{Coord, LineString, MultiPolygon, Point, Polygon};

/// The passes nearest to one closed edge of one part, ring by ring.
#[derive(Debug, Clone, PartialEq)]
pub struct Circuit {
    /// The edge.
    pub edge: GroundEdge,
    /// The legs of each ring in the order of travel; a ring may have none on this edge.
    pub rings: Vec<Vec<Leg>>,
}

/// The rings and what they leave.
#[derive(Debug, Clone, PartialEq)]
pub struct CleanUpRings {
    /// The circuits: the outlines first, then the keep-outs.
    pub circuits: Vec<Circuit>,
    /// The ground that the pattern has to cover: inside the rings and overlapping the innermost
    /// by the overlap, with what the rings leave at corners.
    pub inside: MultiPolygon<f64>,
    /// What the rings cut outside the outline, square metres.
    pub overrun_m2: f64,
}

// Arcs of a ring may leave the exact offset by this, metres.
const RING_FIT_M: f64 = 0.003;
// The outermost ring lies this far outward, metres: the fit leaves no thread along the outline.
const OUTWARD_M: f64 = 0.001;
// Kept from keep-outs, metres: fit and rounding must not cut into them.
const CLEAR_M: f64 = 0.0045;
// On the outermost ring a corner that turns more than this is driven through, radians (50
// degrees): rounding it would leave about 0.3 m2.
const OUTER_SHARP_RAD: f64 = 0.87;
// On inner rings only corners that no mower follows end a pass, radians (110 degrees): the pattern
// takes what a rounded one leaves.
const INNER_SHARP_RAD: f64 = 1.92;
// Gentle rounds may leave the exact offset by this share of the overlap: the wider the arcs, the
// thinner the threads that cutting units leave along them.
const GENTLE_SHARE: f64 = 0.6;
// Two rounds with a corner of the same radius lie apart by the spacing over the cosine of half the
// turn. Beyond this turn, 46 degrees, that leaves a place between them, radians.
const APART_RAD: f64 = 0.8;
// Leftovers thinner than twice this are for the overlap to take, metres.
const THREAD_M: f64 = 0.03;
// This share of the overlap inside the pattern's ground the rings have surely cut, fit and all.
const DEEP_SHARE: f64 = 0.9;
const THREAD_STEP_RAD: f64 = 0.2;

/// Plans the rings of `settings` on the ground that can be reached.
pub fn rings(
    fairway: &Fairway,
    mower: &Mower,
    settings: &Settings,
    barriers: &Barriers,
    reach: &MultiPolygon<f64>,
) -> CleanUpRings {
    let clean_up = settings.clean_up;
    if clean_up.rings == 0 || reach.0.is_empty() {
        return CleanUpRings {
            circuits: Vec::new(),
            inside: reach.clone(),
            overrun_m2: 0.0,
        };
    }
    let width_m = mower.cutting_width_m();
    let spacing = width_m - settings.overlap_m;
    let inner = |depth_m: f64| offset(&fairway.ground, -depth_m);
    let depth_m = f64::from(clean_up.rings) * spacing;
    let mut circuits: Vec<Circuit> = Vec::new();
    // The ground inside the outermost ring.
    let mut second = MultiPolygon(Vec::new());
    for ring in 0..clean_up.rings {
        let mut follow = Follow::edges(f64::from(ring) * spacing);
        let mut wanted = Prepared::new(reach);
        if ring > 0 {
            let ground = inner(follow.inward_m);
            wanted = Prepared::new(&ground);
            if ring == 1 {
                second = ground;
            }
            if mower.units.len() > 1 {
                // On ground that is cut on its outside there is room for wider arcs.
                follow.fit_m = GENTLE_SHARE * settings.overlap_m;
            }
        }
        for round in rounds(mower, clean_up.sense, barriers, &follow) {
            let legs = legs_of_round(&round, ring, mower, &wanted, barriers);
            if !legs.is_empty() {
                let edge = nearest_edge(fairway, &legs, round.outer);
                add(&mut circuits, edge, ring, legs);
            }
        }
    }
    circuits.sort_by_key(|c| (c.edge.keep_out.is_some(), c.edge));
    // What the rings leave deeper than the outermost one the pattern can reach without leaving the
    // fairway. Where they are whole they cut as far as into this: what is left between comes apart
    // into small pieces, which are freed of threads far sooner than one that goes all round.
    let deep = inner(depth_m + DEEP_SHARE * settings.overlap_m);
    let between = second.intersection(reach).difference(&deep);
    let tracks: Vec<Track> = legs_of(&circuits).flat_map(|l| l.tracks.clone()).collect();
    let fit_m = RING_FIT_M / 2.0;
    let (left, overrun_m2) =
        uncut_and_overrun_m2(&between, &barriers.solid, &tracks, &mower.units, fit_m);
    CleanUpRings {
        circuits,
        inside: inner(depth_m).union(&thick(&left)),
        overrun_m2,
    }
}

/// The passes of one round: where its reels are down on wanted ground.
pub fn legs_of_round(
    round: &Round,
    ring: u32,
    mower: &Mower,
    wanted: &Prepared,
    barriers: &Barriers,
) -> Vec<Leg> {
    passes(round, Role::CleanUp { ring }, mower, &|chain| {
        let (barred, handling) = (&barriers.prepared, Handling::default());
        lowered(&chain.paths, &mower.units, wanted, barred, &handling)
    })
}

/// The passes along a round where the reels are down. What a short one would cut is touched up if
/// it is worth a pass.
pub fn passes(
    round: &Round,
    role: Role,
    mower: &Mower,
    down: &dyn Fn(&Chain) -> Vec<Span>,
) -> Vec<Leg> {
    let shortest_m = SHORT_DECKS * mower.cutting_width_m();
    let leg = |tracks: Vec<Track>| Leg {
        tracks,
        role,
        reversible: false,
    };
    let legs = round
        .chains
        .iter()
        .flat_map(|c| pieces(c, &down(c)))
        .map(leg);
    legs.filter(|l| l.length_m() >= shortest_m).collect()
}

/// Puts the passes of a ring to the circuit of their edge.
fn add(circuits: &mut Vec<Circuit>, edge: GroundEdge, ring: u32, legs: Vec<Leg>) {
    let known = circuits.iter().position(|c| c.edge == edge);
    let at = known.unwrap_or_else(|| {
        let rings = Vec::new();
        circuits.push(Circuit { edge, rings });
        circuits.len() - 1
    });
    let rings = &mut circuits[at].rings;
    rings.resize(ring as usize + 1, Vec::new());
    rings[ring as usize].extend(legs);
}

/// What is thicker than a thread of what is left.
pub fn thick(left: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    // Corners of threads need no fine chords.
    let thick = |p: &Polygon<f64>| without_threads(p, THREAD_M, THREAD_STEP_RAD);
    left.iter().flat_map(thick).collect()
}

/// All legs of circuits.
pub fn legs_of(circuits: &[Circuit]) -> impl Iterator<Item = &Leg> {
    circuits.iter().flat_map(|c| c.rings.iter().flatten())
}

/// One closed curve of a ring, as chains in the order of travel.
#[derive(Debug, Clone, PartialEq)]
pub struct Round {
    /// Whether it bounds the ring's ground from outside: it runs along the outline, or along a
    /// keep-out whose ring has merged with the outline's.
    pub outer: bool,
    /// The chains.
    pub chains: Vec<Chain>,
}

/// How rounds follow the edges.
pub struct Follow {
    /// How far inward of the outermost round, metres.
    pub inward_m: f64,
    /// Round keep-outs too, or along the outline alone.
    pub keep_outs: bool,
    /// How far they may leave the exact offset, metres.
    pub fit_m: f64,
    /// A corner that turns more than this ends a pass, radians.
    pub sharp_rad: f64,
}

impl Follow {
    /// All edges, closely.
    pub fn edges(inward_m: f64) -> Self {
        Self {
            inward_m,
            keep_outs: true,
            fit_m: RING_FIT_M,
            sharp_rad: if inward_m > 0.0 {
                INNER_SHARP_RAD
            } else {
                OUTER_SHARP_RAD
            },
        }
    }

    /// The outline alone, bent gently on ground that is cut outside of it; a bend too sharp for the
    /// next round to lie against this one ends a pass.
    pub fn outline(inward_m: f64, overlap_m: f64) -> Self {
        Self {
            inward_m,
            keep_outs: false,
            fit_m: GENTLE_SHARE * overlap_m,
            sharp_rad: APART_RAD,
        }
    }
}

/// The rounds at one depth, in the order of travel.
pub fn rounds(mower: &Mower, sense: Sense, barriers: &Barriers, follow: &Follow) -> Vec<Round> {
    let clockwise = sense == Sense::Clockwise;
    // Driving clockwise the outline lies on the left.
    let outer = if clockwise {
        mower.left_m()
    } else {
        -mower.right_m()
    };
    let outermost = follow.inward_m == 0.0;
    let (outward, clear, outer_m) = if outermost {
        (OUTWARD_M, CLEAR_M, outer)
    } else {
        (0.0, 0.0, 0.0)
    };
    let depth = outer + follow.inward_m;
    let mut line = offset(&barriers.solid, outward - depth);
    if follow.keep_outs {
        line = line.difference(&offset(&barriers.area, depth + clear));
    }
    let line = line.orient(Direction::Default);
    let rounding = Rounding {
        radius_m: clean_radius_m(mower),
        fit_m: follow.fit_m,
        sharp_rad: follow.sharp_rad,
        run_out_m: mower.run_out_m(),
        clear_m: depth + clear,
        short_m: SHORT_DECKS * mower.cutting_width_m(),
        outer_m,
    };
    // A corner made by a keep-out lies at the ring's depth from it, give or take the mitre.
    let beside = |c: Coord<f64>| {
        let mut all = barriers.area.iter();
        all.any(|k| Euclidean.distance(&Point(c), k) < 1.5 * depth)
    };
    let backward = |chain: &Chain| Chain {
        paths: chain.paths.iter().rev().map(Segment::reversed).collect(),
        closed: chain.closed,
    };
    let round = |(i, ring): (usize, &LineString<f64>)| {
        let mut chains = round_ring(ring, &rounding, &beside);
        if clockwise {
            chains = chains.iter().rev().map(backward).collect();
        }
        let outer = i == 0;
        Round { outer, chains }
    };
    line.iter()
        .flat_map(|p| p.rings().enumerate().map(round))
        .collect()
}

/// The lowered stretches as separate runs; on a closed ring a stretch may cross the seam.
fn pieces(chain: &Chain, down: &[Span]) -> Vec<Vec<Track>> {
    const SEAM_M: f64 = 1e-6;
    let total: f64 = chain.paths.iter().map(Segment::length_m).sum();
    let run = |s: &Span| tracks_between(&chain.paths, &[*s], s.0, s.1);
    let mut runs: Vec<Vec<Track>> = down.iter().map(run).collect();
    if let [first, .., last] = down
        && chain.closed
        && first.0 <= SEAM_M
        && last.1 >= total - SEAM_M
        && let Some(mut last) = runs.pop()
    {
        last.append(&mut runs[0]);
        runs[0] = last;
    }
    runs.retain(|r| !r.is_empty());
    runs
}
