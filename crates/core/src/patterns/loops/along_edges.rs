//! What whole loops leave along the edges: further rounds, and passes along stretches of them.
//!
//! The clean-up passes go on inward, at the same spacing. Where more than a third of a round is
//! wanted it is driven whole, which is told in a word; otherwise only the stretches that are
//! wanted, joined over short gaps.

use crate::limits::MAX_RINGS;
use crate::model::mow::{Leg, Role};
use crate::model::track::Track;
use crate::patterns::clean_up::{Circuit, Round, further_rounds, pieces};
use crate::patterns::edges::GroundEdges;
use crate::patterns::input::Site;
use crate::polygon::offset::without_threads;
use crate::polygon::overlay::Overlay;
use crate::swath::contact::{Prepared, touch_spans};
use crate::swath::gain::Swath;
use crate::swath::lowered::{Handling, lowered};
use crate::swath::shapes::uncut;
use geo::Area;
use geo_types::{MultiPolygon, Polygon};

/// More of a round than this is wanted: it is driven whole.
const WHOLE_SHARE: f64 = 1.0 / 3.0;
/// Gaps between stretches up to this length, metres, are mown through: lifting, driving on and
/// lowering takes about as long.
const JOIN_M: f64 = 20.0;
/// A place smaller than this is no pass, square metres.
const MIN_AREA_M2: f64 = 0.5;
/// A place thinner than twice this is a thread, metres: an overlap a little narrower there.
const THREAD_M: f64 = 0.05;
/// Corners of places need no fine chords, radians.
const STEP_RAD: f64 = 0.3;
/// Flattening of arcs when looking for what loops leave, metres: their lanes overlap by far more.
const LOOK_M: f64 = 0.02;
/// And for what rounds cut: they are fitted to a little more.
const ROUND_M: f64 = 0.002;
/// A pass is taken against what is left: as long as so many turns.
const PASS_EFFORT: u64 = 10;

/// A stretch by itself counts as so many metres more: for lifting, driving there and lowering,
/// and for one more thing to find on the map.
const STRETCH_M: f64 = 20.0;

/// What lanes leave of the uncut ground, where `proven` is cut whole for sure: only the loops near
/// the ends of lanes need looking at.
pub fn left_by<'a>(
    site: &Site<'_>,
    lanes: impl Iterator<Item = &'a Leg>,
    proven: &[Polygon<f64>],
) -> MultiPolygon<f64> {
    let units = &site.mower.units;
    let open = site.uncut.without_pieces(proven);
    let near = Prepared::new(&open);
    let tracks: Vec<Track> = lanes
        .flat_map(|l| l.tracks.iter().copied())
        .filter(|t| !touch_spans(&t.path, units, &near).is_empty())
        .collect();
    uncut(&open, &tracks, units, LOOK_M)
}

/// Places worth a pass: connected, holding a disc, and not too small.
pub fn places(left: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    left.iter()
        .filter(|p| p.unsigned_area() >= MIN_AREA_M2)
        .flat_map(|p| without_threads(p, THREAD_M, STEP_RAD))
        .filter(|p| p.unsigned_area() >= MIN_AREA_M2)
        .collect()
}

/// The rounds at the depth of `ring` that are worth driving whole.
pub fn whole_rounds(site: &Site<'_>, ring: u32, left: &MultiPolygon<f64>) -> Vec<Circuit> {
    let seen = places(left);
    if seen.0.is_empty() {
        return Vec::new();
    }
    let wanted = Prepared::new(&seen);
    let all = Prepared::new(site.within);
    let edges = GroundEdges::of(site.fairway);
    let mut out = Vec::new();
    for round in further_rounds(site, ring) {
        let round_m: f64 = round
            .chains
            .iter()
            .flat_map(|c| &c.paths)
            .map(|p| p.length_m())
            .sum();
        let stretches = stretches(site, &round, &wanted, JOIN_M, &seen);
        let wanted_m: f64 = stretches.iter().map(|s| length_m(s) + STRETCH_M).sum();
        if stretches.is_empty() || wanted_m <= WHOLE_SHARE * round_m {
            continue;
        }
        let legs: Vec<Leg> = runs(site, &round, &all, 0.0)
            .map(|tracks| Leg {
                tracks,
                role: Role::CleanUp { ring },
                reversible: false,
            })
            .collect();
        if !legs.is_empty() {
            out.push(Circuit {
                edge: edges.nearest(&legs, round.outer),
                rings: vec![legs],
            });
        }
    }
    out
}

/// Passes along stretches of the rounds from the depth of `first` on, and what is left then.
pub fn passes(
    site: &Site<'_>,
    first: u32,
    left: MultiPolygon<f64>,
) -> (Vec<Leg>, MultiPolygon<f64>) {
    let mut left = left;
    let mut out = Vec::new();
    for ring in first..MAX_RINGS {
        let seen = places(&left);
        if seen.0.is_empty() || site.work.over() {
            break;
        }
        let rounds = further_rounds(site, ring);
        if rounds.is_empty() {
            break;
        }
        let wanted = Prepared::new(&seen);
        for round in &rounds {
            for stretch in stretches(site, round, &wanted, JOIN_M, &left) {
                left = uncut(&left, &stretch, &site.mower.units, ROUND_M);
                out.push(Leg {
                    tracks: stretch,
                    role: Role::TouchUp,
                    reversible: true,
                });
            }
        }
    }
    (out, left)
}

/// The stretches of a round that are wanted, joined over gaps up to `join_m`, and worth a pass on
/// what is `left`.
fn stretches(
    site: &Site<'_>,
    round: &Round,
    wanted: &Prepared,
    join_m: f64,
    left: &MultiPolygon<f64>,
) -> Vec<Vec<Track>> {
    let here = Swath::new(&site.mower.units, left, &MultiPolygon(Vec::new()));
    runs(site, round, wanted, join_m)
        .filter(|tracks| {
            site.work.spend(PASS_EFFORT);
            here.gain(tracks, None, &[]).grass_m2 >= MIN_AREA_M2
        })
        .collect()
}

/// The runs of a round over wanted ground, with gaps up to `join_m` mown through.
fn runs<'a>(
    site: &'a Site<'_>,
    round: &'a Round,
    wanted: &'a Prepared,
    join_m: f64,
) -> impl Iterator<Item = Vec<Track>> + 'a {
    let handling = Handling {
        bridge_m: join_m.max(Handling::default().bridge_m),
        ..Handling::default()
    };
    let barred = &site.barriers.prepared;
    round.chains.iter().flat_map(move |c| {
        let down = lowered(&c.paths, &site.mower.units, wanted, barred, &handling);
        pieces(c, &down)
    })
}

fn length_m(tracks: &[Track]) -> f64 {
    tracks.iter().map(|t| t.path.length_m()).sum()
}
