//! Driving: turns, routes round keep-outs, the order of the legs.
//!
//! [`drive`] takes the legs of a mow in stages (clean-up passes, then the pattern, then
//! touch-ups, say), chooses an order and a direction for each leg, and joins them with turns
//! that the mower can follow.

pub mod order;
pub mod reversing;
pub mod turns;

use crate::model::ground::Fairway;
use crate::model::mow::{Leg, Note, PlacedLeg};
use crate::model::mower::Mower;
use crate::model::track::Track;
use geo_types::Coord;

/// Legs that are driven together, before the next stage begins.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// The legs.
    pub legs: Vec<Leg>,
    /// Keep the legs in the order given (lanes of loops, rings from the outside in).
    pub in_order: bool,
}

/// Where and how the legs may be joined.
#[derive(Debug, Clone, Copy)]
pub struct Yard<'a> {
    /// The fairway: its outline, keep-outs and no-turn ground.
    pub fairway: &'a Fairway,
    /// The mower: turning radius, speeds, whether it may reverse.
    pub mower: &'a Mower,
    /// How far a turn may go outside the outline, metres.
    pub margin_m: f64,
    /// Where the mower comes in; by default the tee side.
    pub way_in: Option<Coord<f64>>,
    /// Moves turning places from visit to visit to spread wear; 0 leaves them.
    pub turn_shift: u32,
}

impl Yard<'_> {
    /// Where the drive should start: the way in as told or drawn, else the tee.
    pub fn entrance(&self) -> Option<Coord<f64>> {
        let tee = || self.fairway.hole_line.as_ref()?.0.first().copied();
        self.way_in.or(self.fairway.way_in).or_else(tee)
    }
}

/// A finished drive.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drive {
    /// All tracks, end to end, joins included.
    pub tracks: Vec<Track>,
    /// Which tracks are which leg.
    pub legs: Vec<PlacedLeg>,
    /// What the user should know.
    pub notes: Vec<Note>,
    /// Lower bound on the reels-up distance of any order of these legs, metres.
    pub turn_floor_m: f64,
}

/// Orders the legs stage by stage and joins them with turns.
///
/// The drive begins where its first leg begins: no track leads there from the way in.
pub fn drive(stages: Vec<Stage>, yard: &Yard<'_>) -> Drive {
    let mut out = Drive::default();
    for leg in order::simple(stages, yard) {
        if let (Some(last), Some(first)) = (out.tracks.last(), leg.tracks.first()) {
            let turn =
                turns::shortest_forward(last.end(), first.start(), yard.mower.turning_radius_m);
            out.tracks.extend(turn.paths.into_iter().map(Track::up));
        }
        let start = out.tracks.len();
        out.tracks.extend(leg.tracks);
        out.legs.push(PlacedLeg {
            tracks: start..out.tracks.len(),
            role: leg.role,
        });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::mow::Role;
    use crate::model::track::{Path, Reels};
    use geo_types::{MultiPolygon, coord};
    use proptest::prelude::*;

    pub(crate) fn bare_fairway() -> Fairway {
        Fairway {
            name: "1".to_string(),
            outline: MultiPolygon(Vec::new()),
            ground: MultiPolygon(Vec::new()),
            keep_outs: Vec::new(),
            no_turn: MultiPolygon(Vec::new()),
            hole_line: None,
            way_in: None,
        }
    }

    pub(crate) fn line_leg(from: Coord<f64>, to: Coord<f64>, reversible: bool) -> Leg {
        Leg {
            tracks: vec![Track::down(Path::Line { from, to })],
            role: Role::TouchUp,
            reversible,
        }
    }

    proptest! {
        #[test]
        fn random_legs_always_chain(
            ends in prop::collection::vec((-200.0..200.0f64, -200.0..200.0f64, -50.0..50.0f64, 1.0..50.0f64, any::<bool>()), 1..12),
            radius in 0.5..6.0f64,
            in_order in any::<bool>(),
        ) {
            let fairway = bare_fairway();
            let mut mower = Mower::bar(2.54);
            mower.turning_radius_m = radius;
            let yard = Yard { fairway: &fairway, mower: &mower, margin_m: 1e3, way_in: None, turn_shift: 0 };
            let legs: Vec<Leg> = ends
                .iter()
                .map(|&(x, y, dx, dy, rev)| line_leg(coord! {x: x, y: y}, coord! {x: x + dx, y: y + dy}, rev))
                .collect();
            let n = legs.len();
            let d = drive(vec![Stage { legs, in_order }], &yard);
            prop_assert_eq!(d.legs.len(), n);
            for pair in d.tracks.windows(2) {
                let (a, b) = (pair[0].path.end().at, pair[1].path.start().at);
                prop_assert!((a.x - b.x).hypot(a.y - b.y) < 1e-9);
            }
            for t in &d.tracks {
                prop_assert!(t.path.curvature_per_m().abs() <= (1.0 + 1e-12) / radius);
            }
            let down: usize = d.legs.iter().map(|l| l.tracks.len()).sum();
            prop_assert_eq!(down, d.tracks.iter().filter(|t| t.reels == Reels::Down).count());
        }
    }
}
