//! Loop trains: lanes of overlapping circles, none of them broken by the outline.
//!
//! Lanes are driven in turn, every second one back; the sense stays the same. The lattice
//! ([`super::lattice`]) stands wherever a lane is whole, and the phase between lanes does not
//! matter. Near the ends of lanes pockets stay between the loops and the edge, where it runs
//! aslant to them. There the clean-up passes go on inward, at the same spacing, where more than a
//! third of a round is wanted: that is told in a word. Single places are touched up with the rest.

pub mod ground;
pub mod lanes;

use crate::error::PlanError;
use crate::ground::heading::resolve;
use crate::limits::within;
use crate::model::mow::{Note, Role, UsedSettings};
use crate::model::pattern::LoopTrain;
use crate::model::task::Task;
use crate::model::track::{Segment, Track};
use crate::patterns::clean_up::{Circuit, Follow, Round, legs_of, legs_of_round, passes, rounds};
use crate::patterns::edges::nearest_edge;
use crate::patterns::lattice::{Lattice, cheaper_near, solve};
use crate::patterns::residual::LOOK_M;
use crate::patterns::{Layout, Site};
use crate::polygon::offset::offset;
use crate::polygon::overlay::Overlay;
use crate::swath::contact::Prepared;
use crate::swath::lowered::{Handling, lowered};
use crate::swath::places::places;
use crate::swath::shapes;
use geo::Area;
use geo_types::MultiPolygon;
use lanes::Lanes;

/// More of a round than this is wanted: it is driven whole.
const WHOLE_SHARE: f64 = 1.0 / 3.0;
/// Gaps between stretches up to this length, metres, are mown through: lifting takes as long.
const JOIN_M: f64 = 20.0;
/// A stretch by itself counts as so many metres more: for the way there and a thing to find.
const STRETCH_M: f64 = 20.0;
/// Where loops fit on less of the ground than this the user is told.
const FEW: f64 = 0.5;
/// Flattening of arcs when looking for what loops leave, metres: their lanes overlap by far more.
const LOOK_AT_LANES_M: f64 = 0.02;

/// The lanes of a loop train. [`PlanError::LoopDiameter`] when such loops cannot be driven without
/// leaving something; [`PlanError::BadValue`] for senseless numbers.
pub fn legs(site: &Site<'_>, train: &LoopTrain) -> Result<Layout, PlanError> {
    let (any, unit) = (f64::MIN..=f64::MAX, "of the lane spacing");
    within("lane shift", train.lane_shift, any, unit, "between 0 and 1")?;
    let (heading_rad, note) = resolve(train.heading, site.fairway);
    let mut uncut = site.uncut.clone();
    let mut inside = site.inside.clone();
    let mut rounds: Vec<Circuit> = Vec::new();
    let mut further = 0;
    // What loops would cut of it all, before any further round takes its share.
    let mut share: Option<f64> = None;
    // Each further round is driven before the lanes, which then need not reach so far: so they
    // are laid again.
    let (lanes, left) = loop {
        let here = Site {
            inside: &inside,
            uncut: &uncut,
            ..site.clone()
        };
        let lanes = Lanes::on(&here, train, heading_rad)?;
        let legs = lanes.tasks.iter().flat_map(Task::legs);
        let tracks: Vec<Track> = legs.flat_map(|l| l.tracks.clone()).collect();
        let left = shapes::uncut(&uncut, &tracks, &site.mower.units, LOOK_AT_LANES_M);
        share.get_or_insert(1.0 - left.unsigned_area() / uncut.unsigned_area());
        let ring = site.settings.clean_up.rings + further;
        let whole = whole_rounds(&here, ring, &left);
        if whole.is_empty() {
            break (lanes, left);
        }
        let tracks: Vec<Track> = legs_of(&whole).flat_map(|l| l.tracks.clone()).collect();
        let without =
            |area: &MultiPolygon<f64>| shapes::uncut(area, &tracks, &site.mower.units, LOOK_M);
        uncut = without(&uncut);
        inside = offset(&without(&inside), site.settings.overlap_m).intersection(&inside);
        rounds.extend(whole);
        further += 1;
    };
    let (shape, spacing_m) = (lanes.lattice.shape, lanes.spacing_m);
    let mut notes: Vec<Note> = note.into_iter().collect();
    // Where there was nothing to cut the share is no number.
    if let Some(share) = share.filter(|s| *s < FEW) {
        notes.push(Note::FewLoopsFit {
            share: share.max(0.0),
        });
    }
    notes.extend(cheaper(site, train)?);
    Ok(Layout {
        tasks: lanes.tasks,
        rounds,
        left: Some(left),
        used: UsedSettings {
            overlap_m: site.settings.overlap_m,
            loop_diameter_m: Some(shape.diameter_m),
            advance_m: Some(shape.advance_m),
            lane_spacing_m: Some(spacing_m),
            form: Some(shape.form),
            lattice_mean_cuts: Some(shape.mean_cuts(site.mower.cutting_width_m(), spacing_m)),
            lanes: Some(lanes.count),
            loops_per_lane: Some(lanes.loops_per_lane),
            ..UsedSettings::default()
        },
        heading_rad: Some(lanes.heading_rad),
        sense: Some(train.sense),
        notes,
    })
}

/// The rounds at the depth of `ring` that are worth driving whole.
fn whole_rounds(site: &Site<'_>, ring: u32, left: &MultiPolygon<f64>) -> Vec<Circuit> {
    let wanted = Prepared::new(&places(left).into_iter().flatten().collect());
    if wanted.is_empty() {
        return Vec::new();
    }
    let (mower, barriers, role) = (site.mower, site.barriers, Role::CleanUp { ring });
    let all = Prepared::new(site.within);
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
            edge: nearest_edge(site.fairway, &legs, round.outer),
            rings: vec![legs],
        })
    };
    let follow = Follow::edges(f64::from(ring) * site.spacing_m());
    let rounds = rounds(mower, site.settings.clean_up.sense, barriers, &follow);
    rounds.into_iter().filter_map(whole).collect()
}

/// Diameters near the one asked for that cost less.
fn cheaper(site: &Site<'_>, train: &LoopTrain) -> Result<Vec<Note>, PlanError> {
    if train.diameter_min_m != train.diameter_max_m {
        return Ok(Vec::new());
    }
    // Lattice against lattice, each at its widest spacing: the fit to this fairway's width would
    // favour one or the other by chance.
    let asked = solve(site.mower, train)?;
    let note = |l: Lattice| Note::CheaperLoops {
        diameter_m: l.shape.diameter_m,
        mean_cuts: l.mean_cuts,
        asked_mean_cuts: asked.mean_cuts,
    };
    let near = cheaper_near(site.mower, train, &asked);
    Ok(near.into_iter().map(note).collect())
}

#[cfg(test)]
mod tests;
