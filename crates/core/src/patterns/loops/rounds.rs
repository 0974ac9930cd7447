//! What whole loops leave along the edges: further rounds.
//!
//! The clean-up passes go on inward, at the same spacing, where more than a third of a round is
//! wanted: that is told in a word. Single places are touched up with all else that is left.

use crate::model::mow::Role;
use crate::model::track::Segment;
use crate::patterns::clean_up::{Circuit, Follow, Round, legs_of_round, passes, rounds};
use crate::patterns::edges::GroundEdges;
use crate::patterns::input::Site;
use crate::swath::contact::Prepared;
use crate::swath::lowered::{Handling, lowered};
use crate::swath::places::places;
use geo_types::MultiPolygon;

/// More of a round than this is wanted: it is driven whole.
const WHOLE_SHARE: f64 = 1.0 / 3.0;
/// Gaps between stretches up to this length, metres, are mown through: lifting, driving on and
/// lowering takes about as long.
const JOIN_M: f64 = 20.0;
/// A stretch by itself counts as so many metres more: for lifting, driving there and lowering,
/// and for one more thing to find on the map.
const STRETCH_M: f64 = 20.0;

/// The rounds at the depth of `ring` that are worth driving whole.
pub fn whole_rounds(site: &Site<'_>, ring: u32, left: &MultiPolygon<f64>) -> Vec<Circuit> {
    let wanted = Prepared::new(&places(left).into_iter().flatten().collect());
    if wanted.is_empty() {
        return Vec::new();
    }
    let (mower, barriers, role) = (site.mower, site.barriers, Role::CleanUp { ring });
    let all = Prepared::new(site.within);
    let edges = GroundEdges::of(site.fairway);
    let handling = Handling {
        bridge_m: JOIN_M,
        ..Handling::default()
    };
    let whole = |round: Round| {
        let paths = round.chains.iter().flat_map(|c| &c.paths);
        let round_m: f64 = paths.map(Segment::length_m).sum();
        let stretches = passes(&round, role, mower, &|chain| {
            let barred = &barriers.prepared;
            lowered(&chain.paths, &mower.units, &wanted, barred, &handling)
        });
        let wanted_m: f64 = stretches.iter().map(|s| s.length_m() + STRETCH_M).sum();
        if wanted_m <= WHOLE_SHARE * round_m {
            return None;
        }
        let legs = legs_of_round(&round, ring, mower, &all, barriers);
        (!legs.is_empty()).then(|| Circuit {
            edge: edges.nearest(&legs, round.outer),
            rings: vec![legs],
        })
    };
    let follow = Follow::edges(f64::from(ring) * site.spacing_m());
    let rounds = rounds(mower, site.settings.clean_up.sense, barriers, &follow);
    rounds.into_iter().filter_map(whole).collect()
}
