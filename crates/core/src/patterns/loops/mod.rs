//! Loop trains: lanes of overlapping circles, none of them broken by the outline.
//!
//! - [`ground`]: which ground shares a direction of lanes;
//! - [`room`]: where whole loops fit;
//! - [`lanes`]: the lanes, and which loops are kept;
//! - [`rounds`]: further rounds over what the loops leave along the edges.
//!
//! Lanes are driven in turn, every second one back; the sense stays the same. The lattice
//! ([`super::lattice`]) stands wherever a lane is whole, and the phase between lanes does not
//! matter. Near the ends of lanes pockets stay between the loops and the edge, where it runs
//! aslant to them.

pub mod ground;
pub mod lanes;
pub mod room;
pub mod rounds;

use crate::error::PlanError;
use crate::ground::heading::resolve;
use crate::limits::within;
use crate::model::mow::{Note, UsedSettings};
use crate::model::pattern::LoopTrain;
use crate::model::task::Task;
use crate::model::track::Track;
use crate::patterns::clean_up::{Circuit, legs_of};
use crate::patterns::input::Site;
use crate::patterns::lattice::{Lattice, cheaper_near, solve};
use crate::patterns::layout::Layout;
use crate::patterns::residual::LOOK_M;
use crate::polygon::offset::offset;
use crate::polygon::overlay::Overlay;
use crate::swath::shapes;
use geo::Area;
use geo_types::MultiPolygon;
use lanes::Lanes;
use rounds::whole_rounds;

/// Where loops fit on less of the ground than this the user is told.
const FEW: f64 = 0.5;
/// Flattening of arcs when looking for what loops leave, metres: their lanes overlap by far more.
const LOOK_AT_LANES_M: f64 = 0.02;

/// The lanes of a loop train.
///
/// # Errors
/// [`PlanError::LoopDiameter`] when such loops cannot be driven without leaving something;
/// [`PlanError::BadValue`] for senseless numbers.
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
