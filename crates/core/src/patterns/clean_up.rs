//! Clean-up passes: rings along the outline and round each keep-out.
//!
//! Ring i runs half a deck plus i spacings inside the outline and outside the keep-outs. Rings
//! are rounded to what the mower can follow; at a corner too sharp for that the pass runs
//! through to the edge, the reels lift, and it comes back in along the next edge.

use crate::curve::corners::{Rounding, turn_at};
use crate::curve::fillet::{Chain, round_ring};
use crate::deck::clean_radius_m;
use crate::ground::barriers::Barriers;
use crate::model::ground::Fairway;
use crate::model::mow::{Leg, Role};
use crate::model::mower::Mower;
use crate::model::pattern::{Sense, Settings};
use crate::model::track::Track;
use crate::patterns::edges::{GroundEdge, GroundEdges};
use crate::patterns::input::Site;
use crate::patterns::lines::SHORT_DECKS;
use crate::polygon::offset::{offset, without_threads};
use crate::polygon::overlay::Overlay;
use crate::swath::contact::{Prepared, Span};
use crate::swath::lowered::{Handling, lowered, tracks_between};
use crate::swath::shapes::uncut_and_overrun_m2;
use geo::orient::{Direction, Orient};
use geo::{Area, BoundingRect, Distance, Euclidean, Intersects};
use geo_types::{Coord, MultiPolygon, Point, Polygon};

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

// Arcs of a ring may leave the exact offset by this, metres: far below the overlap.
const RING_FIT_M: f64 = 0.003;
// The outermost ring is laid this far outward, metres, so that the fit leaves no thread of grass
// along the outline.
const OUTWARD_M: f64 = 0.001;
// Distance kept from keep-outs, metres: the fit and rounding must not cut into them.
const CLEAR_M: f64 = 0.0045;
// On the outermost ring a corner that turns more than this is driven through, radians (50
// degrees): rounding it would leave about 0.3 m2 of grass on the outside.
const OUTER_SHARP_RAD: f64 = 0.87;
// Rounded corners may leave this much of the ground, as a fraction, before it is partly taken by
// moving the corners outward: three times what touch-up passes let be.
const ROUNDED_OFF: f64 = 7e-4;
// A corner blunter than this is always followed, radians (7 degrees): nobody lifts for it.
const BLUNT_RAD: f64 = 0.12;
// On inner rings only corners that no mower follows in one go end a pass, radians (110 degrees);
// the pattern inside takes what a rounded corner leaves.
const INNER_SHARP_RAD: f64 = 1.92;
// Rounds of the pattern along the outline may leave the exact offset by this share of the overlap:
// the wider the arcs, the thinner the threads that cutting units leave along them.
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
    let count = settings.clean_up.rings;
    if count == 0 || reach.0.is_empty() {
        return CleanUpRings {
            circuits: Vec::new(),
            inside: reach.clone(),
            overrun_m2: 0.0,
        };
    }
    let spacing = mower.cutting_width_m() - settings.overlap_m;
    let edges = GroundEdges::of(fairway);
    let mut circuits: Vec<Circuit> = Vec::new();
    // The ground inside the outermost ring.
    let mut second = None;
    for ring in 0..count {
        let wanted = if ring == 0 {
            Prepared::new(reach)
        } else {
            let inner = offset(&fairway.ground, -f64::from(ring) * spacing);
            let prepared = Prepared::new(&inner);
            second.get_or_insert(inner);
            if prepared.is_empty() {
                break;
            }
            prepared
        };
        for round in rounds(
            mower,
            settings,
            barriers,
            &follow(mower, settings, ring),
            ring,
        ) {
            let legs = legs_of_round(&round, ring, mower, &wanted, barriers);
            if !legs.is_empty() {
                add(&mut circuits, edges.nearest(&legs, round.outer), ring, legs);
            }
        }
    }
    circuits.sort_by_key(|c| (c.edge.keep_out.is_some(), c.edge));
    let width_m = mower.cutting_width_m();
    let wanted = between_rings(fairway, count, width_m, spacing, second, reach);
    let tracks: Vec<Track> = legs_of(&circuits).flat_map(|l| l.tracks.clone()).collect();
    let fit_m = RING_FIT_M / 2.0;
    let (left, overrun_m2) =
        uncut_and_overrun_m2(&wanted, &barriers.solid, &tracks, &mower.units, fit_m);
    let left = thick(&left);
    CleanUpRings {
        circuits,
        inside: offset(&fairway.ground, -f64::from(count) * spacing).union(&left),
        overrun_m2,
    }
}

/// How a ring follows its edge. Cutting units leave threads along tight arcs; where a ring lies on
/// ground that is cut on its outside there is room for wider ones.
fn follow(mower: &Mower, settings: &Settings, ring: u32) -> Follow {
    let gentle = ring > 0 && mower.units.len() > 1;
    Follow {
        fit_m: if gentle {
            GENTLE_SHARE * settings.overlap_m
        } else {
            RING_FIT_M
        },
        ..Follow::edges(ring)
    }
}

/// The passes of one round: where its reels are down on wanted ground.
fn legs_of_round(
    round: &Round,
    ring: u32,
    mower: &Mower,
    wanted: &Prepared,
    barriers: &Barriers,
) -> Vec<Leg> {
    let down = |chain: &Chain| {
        lowered(
            &chain.paths,
            &mower.units,
            wanted,
            &barriers.prepared,
            &Handling::default(),
        )
    };
    passes(round, Role::CleanUp { ring }, mower, &down)
}

/// The passes along a round where the reels are down. What one shorter than this would cut is
/// touched up if it is worth a pass.
pub fn passes(
    round: &Round,
    role: Role,
    mower: &Mower,
    down: &dyn Fn(&Chain) -> Vec<Span>,
) -> Vec<Leg> {
    let shortest_m = SHORT_DECKS * mower.cutting_width_m();
    let pieces = round.chains.iter().flat_map(|c| pieces(c, &down(c)));
    pieces
        .map(|tracks| Leg {
            tracks,
            role,
            reversible: false,
        })
        .filter(|l| l.length_m() >= shortest_m)
        .collect()
}

/// Puts the passes of a ring to the circuit of their edge.
fn add(circuits: &mut Vec<Circuit>, edge: GroundEdge, ring: u32, legs: Vec<Leg>) {
    let known = circuits.iter().position(|c| c.edge == edge);
    let at = known.unwrap_or(circuits.len());
    if known.is_none() {
        circuits.push(Circuit {
            edge,
            rings: Vec::new(),
        });
    }
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

/// The rounds at the depth of a ring, 0 the outermost, whether clean-up passes go there or not.
pub fn further_rounds(site: &Site<'_>, ring: u32) -> Vec<Round> {
    let (mower, settings, barriers) = (site.mower, site.settings, site.barriers);
    rounds(mower, settings, barriers, &Follow::edges(ring), ring)
}

/// The rounds so far inward of the outermost ones, metres, clockwise.
pub fn rounds_inward(mower: &Mower, barriers: &Barriers, inward_m: f64) -> Vec<Round> {
    rounds_at(
        mower,
        Sense::Clockwise,
        barriers,
        &Follow::edges(1),
        inward_m,
    )
}

/// How rounds follow the edges.
struct Follow {
    /// Round keep-outs too, or along the outline alone.
    keep_outs: bool,
    /// How far they may leave the exact offset, metres.
    fit_m: f64,
    /// A corner that turns more than this ends a pass, radians; none for what the ground allows.
    sharp_rad: Option<f64>,
}

impl Follow {
    fn edges(ring: u32) -> Self {
        Self {
            keep_outs: true,
            fit_m: RING_FIT_M,
            sharp_rad: (ring > 0).then_some(INNER_SHARP_RAD),
        }
    }
}

/// The rounds along the outline alone at the depth of a ring, in one sense. They lie on ground
/// that is cut on their outside, so they bend gently, and where a bend is too sharp for the next
/// round to lie against this one they are driven through and lifted.
pub fn outline_rounds(site: &Site<'_>, sense: Sense, ring: u32) -> Vec<Round> {
    let mut settings = site.settings.clone();
    settings.clean_up.sense = sense;
    let follow = Follow {
        keep_outs: false,
        fit_m: GENTLE_SHARE * settings.overlap_m,
        sharp_rad: Some(APART_RAD),
    };
    rounds(site.mower, &settings, site.barriers, &follow, ring)
}

fn rounds(
    mower: &Mower,
    settings: &Settings,
    barriers: &Barriers,
    follow: &Follow,
    ring: u32,
) -> Vec<Round> {
    let spacing = mower.cutting_width_m() - settings.overlap_m;
    let inward_m = f64::from(ring) * spacing;
    rounds_at(mower, settings.clean_up.sense, barriers, follow, inward_m)
}

/// The rounds so far inward of the outermost ones, metres.
fn rounds_at(
    mower: &Mower,
    sense: Sense,
    barriers: &Barriers,
    follow: &Follow,
    inward_m: f64,
) -> Vec<Round> {
    let clockwise = sense == Sense::Clockwise;
    // Driving clockwise the outline lies on the left.
    let outer = if clockwise {
        mower.left_m()
    } else {
        -mower.right_m()
    };
    let outermost = inward_m == 0.0;
    let (outward, clear) = if outermost {
        (OUTWARD_M, CLEAR_M)
    } else {
        (0.0, 0.0)
    };
    let depth = outer + inward_m;
    let mut line = offset(&barriers.solid, outward - depth);
    if follow.keep_outs {
        line = line.difference(&offset(&barriers.area, depth + clear));
    }
    let line = line.orient(Direction::Default);
    let rounding = Rounding {
        radius_m: clean_radius_m(mower),
        fit_m: follow.fit_m,
        sharp_rad: (follow.sharp_rad).unwrap_or_else(|| outer_sharp_rad(barriers, mower, outer)),
        run_out_m: mower.run_out_m(),
        clear_m: depth + clear,
        short_m: SHORT_DECKS * mower.cutting_width_m(),
        outer_m: if outermost { outer } else { 0.0 },
    };
    // A corner made by a keep-out lies at the ring's depth from it, give or take the mitre.
    let beside = |c: Coord<f64>| {
        let p = Point(c);
        let reach = depth * 1.5;
        barriers.area.iter().any(|k| {
            k.bounding_rect().is_some_and(|r| {
                r.min().x - reach <= c.x
                    && c.x <= r.max().x + reach
                    && r.min().y - reach <= c.y
                    && c.y <= r.max().y + reach
            }) && (k.intersects(&p) || Euclidean.distance(&p, k) < reach)
        })
    };
    let mut out = Vec::new();
    for polygon in &line {
        for (i, r) in polygon.rings().enumerate() {
            let mut chains = round_ring(r, &rounding, &beside);
            if clockwise {
                chains = chains.iter().rev().map(backward).collect();
            }
            out.push(Round {
                outer: i == 0,
                chains,
            });
        }
    }
    out
}

/// The sharpest corner of the outermost ring that is rounded, radians: corners are rounded from
/// the bluntest up, as long as the grass that leaves adds up to little on this ground.
fn outer_sharp_rad(barriers: &Barriers, mower: &Mower, outer_m: f64) -> f64 {
    let budget = ROUNDED_OFF * barriers.solid.unsigned_area();
    let half = mower.cutting_width_m() / 2.0;
    // Between the corner and the arc of the outer cut edge, less what is out of reach anyway.
    let size = ((clean_radius_m(mower) + outer_m).powi(2) - half * half).max(0.0);
    let mut turns: Vec<f64> = barriers
        .solid
        .iter()
        .flat_map(|p| {
            let ring = &p.exterior().0;
            let n = ring.len().saturating_sub(1);
            (0..n).map(move |i| turn_at(ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]))
        })
        .filter(|t| *t > 0.0 && *t < OUTER_SHARP_RAD)
        .collect();
    turns.sort_by(f64::total_cmp);
    let mut left = 0.0;
    for turn in turns {
        left += size * ((turn / 2.0).tan() - turn / 2.0);
        if left > budget {
            return turn.max(BLUNT_RAD) * (1.0 - 1e-9);
        }
    }
    OUTER_SHARP_RAD
}

fn backward(chain: &Chain) -> Chain {
    Chain {
        paths: chain.paths.iter().rev().map(|p| p.reversed()).collect(),
        closed: chain.closed,
    }
}

/// The lowered stretches as separate runs; on a closed ring a stretch may cross the seam.
pub fn pieces(chain: &Chain, down: &[Span]) -> Vec<Vec<Track>> {
    const SEAM_M: f64 = 1e-6;
    let total: f64 = chain.paths.iter().map(|p| p.length_m()).sum();
    let mut runs: Vec<Vec<Track>> = down
        .iter()
        .map(|s| tracks_between(&chain.paths, &[*s], s.0, s.1))
        .collect();
    let across_seam = chain.closed
        && down.len() > 1
        && down[0].0 <= SEAM_M
        && down[down.len() - 1].1 >= total - SEAM_M;
    if across_seam && let Some(mut last) = runs.pop() {
        last.append(&mut runs[0]);
        runs[0] = last;
    }
    runs.retain(|r| !r.is_empty());
    runs
}

/// Ground inside the outermost ring and outside what is the pattern's anyway.
fn between_rings(
    fairway: &Fairway,
    count: u32,
    width_m: f64,
    spacing: f64,
    second: Option<MultiPolygon<f64>>,
    reach: &MultiPolygon<f64>,
) -> MultiPolygon<f64> {
    let Some(second) = second else {
        return MultiPolygon(Vec::new());
    };
    // What lies deeper than the outermost ring can be reached by the pattern without leaving
    // the fairway, so whatever the rings leave there is the pattern's to cut.
    // Where the rings are whole they cut as far as into this, so that what is left between comes
    // apart into small pieces, which are freed of threads far sooner than one that goes all round.
    let deep = offset(
        &fairway.ground,
        DEEP_SHARE * (spacing - width_m) - f64::from(count) * spacing,
    );
    second.intersection(reach).difference(&deep)
}
