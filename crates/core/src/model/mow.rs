//! A mow: one visit to one fairway, as an ordered chain of tracks.

use crate::model::pattern::{LoopForm, PatternKind, Sense};
use crate::model::pose::Pose;
use crate::model::step::Step;
use crate::model::track::{Gear, Reels, Segment, Track};
use geo_types::{Coord, LineString};
use std::ops::Range;

/// What a pass is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Role {
    /// A clean-up pass, 0 the outermost ring.
    CleanUp {
        /// Ring from the outside, 0 first.
        ring: u32,
    },
    /// A stripe, numbered across the fairway from the left of the heading.
    Stripe {
        /// Set of stripes, 0 first; a cross cut has two.
        set: u32,
        /// Place across the ground, 0 leftmost looking along the heading.
        index: u32,
    },
    /// A lane of loops.
    Lane {
        /// Lane, 0 first.
        lane: u32,
    },
    /// A contour pass.
    Contour {
        /// Place across the ground, 0 leftmost.
        index: u32,
    },
    /// A pass of the ring pattern.
    Ring {
        /// Ring from the outside, 0 first.
        ring: u32,
    },
    /// A short pass over ground that the pattern and the rings leave.
    TouchUp,
}

/// A piece of driving that belongs together: a stripe, a ring, a lane of loops.
/// Reels may lift and lower within it.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    /// Its tracks, end to end.
    pub tracks: Vec<Track>,
    /// What it is for.
    pub role: Role,
    /// Whether it may be driven the other way without changing what the pattern means.
    pub reversible: bool,
}

impl Leg {
    /// Its length, metres.
    pub fn length_m(&self) -> f64 {
        self.tracks.iter().map(|t| t.path.length_m()).sum()
    }

    /// The same leg driven the other way. Only a leg without backing may be turned round.
    pub fn reversed(&self) -> Leg {
        let back = |t: &Track| Track {
            path: t.path.reversed(),
            ..*t
        };
        Leg {
            tracks: self.tracks.iter().rev().map(back).collect(),
            ..*self
        }
    }
}

/// First and last pose of a leg with at least one track.
pub fn ends(leg: &Leg) -> (Pose, Pose) {
    (
        leg.tracks.first().map_or(Pose::origin(), |t| t.start()),
        leg.tracks.last().map_or(Pose::origin(), |t| t.end()),
    )
}

/// A leg's place in the finished drive.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct PlacedLeg {
    /// Which tracks of the mow it is.
    pub tracks: Range<usize>,
    /// What it is for.
    pub role: Role,
    /// The step it belongs to, by its place in [`Mow::steps`].
    pub step: usize,
    /// The number of its line across the set, 1 the leftmost; none for clean-up passes and patches.
    pub line: Option<u32>,
}

/// Something the user should know about a mow.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Note {
    /// Ground that a deck this wide cannot reach.
    Trim {
        /// Its area, square metres.
        area_m2: f64,
    },
    /// The whole fairway is narrower than the deck.
    TooNarrow {
        /// The deck's cutting width, metres.
        cutting_width_m: f64,
    },
    /// No way that keeps off barred ground was found: none is drawn, the operator stops here.
    NoWay {
        /// Where it would start, metres.
        at: Coord<f64>,
    },
    /// A turn for which the margin round the outline leaves no room: it goes farther out.
    BeyondMargin {
        /// Where it starts, metres.
        at: Coord<f64>,
    },
    /// A join for which no forward turn fits: the mower backs up, although it is not set to.
    BacksUp {
        /// Where it starts, metres.
        at: Coord<f64>,
    },
    /// Ground that was planned but cannot be driven to.
    Unreachable {
        /// Where it is, metres.
        at: Coord<f64>,
        /// How many legs were left out.
        legs: usize,
    },
    /// Cheaper loop diameters near the one asked for.
    CheaperLoops {
        /// Mean diameter, metres.
        diameter_m: f64,
        /// Mean number of cuts there.
        mean_cuts: f64,
        /// Mean number of cuts at the diameter asked for.
        asked_mean_cuts: f64,
    },
    /// Whole loops fit on less than half of the ground inside the clean-up passes.
    FewLoopsFit {
        /// The part of that ground that they cut, 0 to 1.
        share: f64,
    },
    /// The clock heading was read on the long axis because the file has no hole line.
    NoHoleLine,
    /// A work budget ran out; the plan is complete but its order is not improved further.
    BudgetSpent,
}

impl Note {
    /// The word used in files.
    pub fn word(&self) -> &'static str {
        match self {
            Note::Trim { .. } => "trim",
            Note::TooNarrow { .. } => "too-narrow",
            Note::NoWay { .. } => "no-way",
            Note::BeyondMargin { .. } => "beyond-margin",
            Note::BacksUp { .. } => "backs-up",
            Note::Unreachable { .. } => "unreachable",
            Note::CheaperLoops { .. } => "cheaper-loops",
            Note::FewLoopsFit { .. } => "few-loops-fit",
            Note::NoHoleLine => "no-hole-line",
            Note::BudgetSpent => "budget-spent",
        }
    }
}

/// The numbers a mow was planned with.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
#[non_exhaustive]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct UsedSettings {
    /// Overlap between passes, metres (after even spacing).
    pub overlap_m: f64,
    /// Pass spacing, metres, for patterns of parallel passes.
    pub spacing_m: Option<f64>,
    /// Mean loop diameter, metres.
    pub loop_diameter_m: Option<f64>,
    /// Advance per loop, metres.
    pub advance_m: Option<f64>,
    /// Lane spacing, metres.
    pub lane_spacing_m: Option<f64>,
    /// Loop form.
    pub form: Option<LoopForm>,
    /// Mean number of cuts of the loop lattice by itself.
    pub lattice_mean_cuts: Option<f64>,
    /// Lanes of loops.
    pub lanes: Option<u32>,
    /// Loops in the longest lane.
    pub loops_per_lane: Option<u32>,
    /// Fewest passes possible: ceil((minimum width - W) / (W - overlap)) + 1.
    pub pass_floor: u32,
    /// Which way round the clean-up passes go, where there are any.
    pub clean_up_sense: Option<Sense>,
    /// Lower bound on the turning distance of this order, metres, when computed.
    pub turn_floor_m: Option<f64>,
}

/// What a mow consists of, to be filled in.
///
/// Whoever makes one answers for it: tracks in driving order, legs one after the other along the
/// tracks, steps one after the other along the legs.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct MowParts {
    /// The fairway's name.
    pub fairway: String,
    /// Which pattern.
    pub pattern: PatternKind,
    /// Heading of the first set of passes, compass degrees, where the pattern has one.
    pub heading_deg: Option<f64>,
    /// Sense of loops or rings, or of the clean-up passes otherwise.
    pub sense: Sense,
    /// The numbers used.
    pub settings: UsedSettings,
    /// The whole drive, in order, each track starting where the last one ends.
    pub tracks: Vec<Track>,
    /// The legs of the drive, in order.
    pub legs: Vec<PlacedLeg>,
    /// The steps of the drive, in order; every leg is in one of them.
    pub steps: Vec<Step>,
    /// What the user should know.
    pub notes: Vec<Note>,
}

impl MowParts {
    /// The mow.
    pub fn mow(self) -> Mow {
        Mow(self)
    }
}

impl From<Mow> for MowParts {
    fn from(mow: Mow) -> Self {
        mow.0
    }
}

/// One visit to one fairway: the drive in order, and how it is told.
///
/// Each track starts where the last one ends, except after a step that says to stop. Legs follow
/// one another along the tracks, steps along the legs.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(transparent))]
pub struct Mow(MowParts);

impl Mow {
    /// The fairway's name.
    pub fn fairway(&self) -> &str {
        &self.0.fairway
    }

    /// Which pattern.
    pub fn pattern(&self) -> PatternKind {
        self.0.pattern
    }

    /// Heading of the first set of passes, compass degrees, where the pattern has one.
    pub fn heading_deg(&self) -> Option<f64> {
        self.0.heading_deg
    }

    /// Sense of loops or rings, or of the clean-up passes otherwise.
    pub fn sense(&self) -> Sense {
        self.0.sense
    }

    /// The numbers used.
    pub fn settings(&self) -> &UsedSettings {
        &self.0.settings
    }

    /// The whole drive, track by track.
    pub fn tracks(&self) -> std::slice::Iter<'_, Track> {
        self.0.tracks.iter()
    }

    /// The tracks of one of its legs.
    pub fn tracks_of(&self, leg: &PlacedLeg) -> &[Track] {
        self.0.tracks.get(leg.tracks.clone()).unwrap_or_default()
    }

    /// The legs of the drive, in order.
    pub fn legs(&self) -> &[PlacedLeg] {
        &self.0.legs
    }

    /// The steps of the drive, in order; every leg is in one of them.
    pub fn steps(&self) -> &[Step] {
        &self.0.steps
    }

    /// What the user should know.
    pub fn notes(&self) -> &[Note] {
        &self.0.notes
    }

    /// The passes: maximal runs of tracks with the reels down.
    pub fn passes(&self) -> impl Iterator<Item = &[Track]> {
        self.0
            .tracks
            .chunk_by(|a, b| a.reels == b.reels)
            .filter(|run| run[0].reels == Reels::Down)
    }

    /// The drive as lines of straight chords that keep within `tolerance_m` metres of it: one line
    /// for each run with the reels down or up, in the order of driving. Metres, as the fairway.
    pub fn line_strings(
        &self,
        tolerance_m: f64,
    ) -> impl Iterator<Item = (Reels, LineString<f64>)> + '_ {
        // After a stop the drive goes on elsewhere.
        let stops = self.stops();
        let numbered: Vec<(usize, &Track)> = self.tracks().enumerate().collect();
        let runs = numbered.chunk_by(|(_, a), (i, b)| a.reels == b.reels && !stops.contains(i));
        let line = |run: &[(usize, &Track)]| {
            let mut points: Vec<Coord<f64>> = Vec::new();
            for (_, t) in run {
                // A track begins where the one before ends.
                points.pop();
                points.extend(t.path.points(tolerance_m));
            }
            (run[0].1.reels, LineString(points))
        };
        runs.map(line).collect::<Vec<_>>().into_iter()
    }

    /// The tracks before which the operator stops and drives round as they know: the only ones that
    /// do not start where the one before ends.
    pub fn stops(&self) -> Vec<usize> {
        self.0
            .steps
            .iter()
            .filter(|s| s.stop_here)
            .filter_map(|s| Some(self.0.legs.get(s.legs.end)?.tracks.start))
            .collect()
    }

    /// Metres driven with the reels down.
    pub fn mowing_m(&self) -> f64 {
        self.driven_m(Reels::Down)
    }

    /// Metres driven with the reels up.
    pub fn transport_m(&self) -> f64 {
        self.driven_m(Reels::Up)
    }

    fn driven_m(&self, reels: Reels) -> f64 {
        let such = self.tracks().filter(|t| t.reels == reels);
        such.map(|t| t.path.length_m()).sum()
    }

    /// Turns: maximal runs of reels-up driving that contain an arc.
    pub fn turns(&self) -> usize {
        let curved = |t: &Track| matches!(t.path, Segment::Arc(_)) || t.gear == Gear::Reverse;
        // What comes after the last pass leads away.
        let last = self.tracks().rposition(|t| t.reels == Reels::Down);
        self.0.tracks[..last.unwrap_or(0)]
            .chunk_by(|a, b| a.reels == b.reels)
            .filter(|run| run[0].reels == Reels::Up && run.iter().any(curved))
            .count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::line;
    use crate::model::track::CircularArc;
    use std::f64::consts::PI;

    /// Up a stripe, round, and down the next, which has two tracks.
    fn two_stripes() -> Mow {
        let turn = CircularArc {
            centre: Coord { x: 1.0, y: 10.0 },
            radius_m: 1.0,
            from_rad: PI,
            sweep_rad: -PI,
        };
        MowParts {
            fairway: "1".into(),
            pattern: PatternKind::Stripes,
            heading_deg: Some(0.0),
            sense: Sense::Clockwise,
            settings: UsedSettings::default(),
            tracks: vec![
                Track::down(line(0.0, 0.0, 0.0, 10.0)),
                Track::up(Segment::Arc(turn)),
                Track::down(line(2.0, 10.0, 2.0, 5.0)),
                Track::down(line(2.0, 5.0, 2.0, 0.0)),
            ],
            legs: Vec::new(),
            steps: Vec::new(),
            notes: Vec::new(),
        }
        .mow()
    }

    #[test]
    fn passes_are_runs_with_the_reels_down() {
        let mow = two_stripes();
        assert!(mow.passes().map(<[Track]>::len).eq([1, 2]));
    }

    #[test]
    fn line_strings_keep_within_the_tolerance_and_meet_end_to_end() {
        let mow = two_stripes();
        let lines: Vec<(Reels, LineString<f64>)> = mow.line_strings(0.01).collect();
        let reels: Vec<Reels> = lines.iter().map(|l| l.0).collect();
        assert_eq!(reels, [Reels::Down, Reels::Up, Reels::Down]);
        for pair in lines.windows(2) {
            let (a, b) = (pair[0].1.0.last().unwrap(), pair[1].1.0[0]);
            assert!((a.x - b.x).hypot(a.y - b.y) < 1e-9);
        }
        // The middle of each chord is nearer to the centre by no more than the tolerance.
        for chord in lines[1].1.lines() {
            let middle = (chord.start + chord.end) / 2.0;
            assert!(1.0 - (middle.x - 1.0).hypot(middle.y - 10.0) <= 0.01);
        }
        assert_eq!(lines[2].1.0.len(), 3);
        for odd in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(mow.line_strings(odd).count(), 3);
        }
    }
}
