//! What is asked of a mow: pattern, heading, sense, clean-up passes, overlap.

/// Turning sense seen from above.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Sense {
    /// Clockwise: the mower turns right.
    Clockwise,
    /// Counter-clockwise: the mower turns left.
    CounterClockwise,
}

impl Sense {
    /// The other one.
    pub fn opposite(self) -> Self {
        match self {
            Sense::Clockwise => Sense::CounterClockwise,
            Sense::CounterClockwise => Sense::Clockwise,
        }
    }

    /// +1 for a left turn (counter-clockwise), -1 for a right turn: the sign of a sweep.
    #[doc(hidden)]
    pub fn sign(self) -> f64 {
        match self {
            Sense::Clockwise => -1.0,
            Sense::CounterClockwise => 1.0,
        }
    }
}

/// How a heading is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Heading {
    /// A compass bearing, degrees clockwise from true north.
    Bearing {
        /// Degrees.
        deg: f64,
    },
    /// The fairway's long axis.
    Along,
    /// The direction with the fewest passes: minimum width over all directions (Huang 2001).
    Fewest,
    /// Hours on a clock face laid on the fairway with 12 toward the green (common practice).
    /// The mower drives from the first hour toward the second; a half hour is 15 degrees.
    Clock {
        /// Hour the pass comes from, 0 to 12, halves allowed.
        from_h: f64,
        /// Hour the pass goes to; opposite to `from_h`.
        to_h: f64,
    },
}

/// How passes are spread across the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Spacing {
    /// Cutting width minus overlap, whatever is left for the last pass.
    Nominal,
    /// The overlap is widened so that the passes share the width evenly.
    Even,
}

/// How one loop of a train is closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum LoopForm {
    /// A wide half-circle forward and a tighter one back; the difference is the advance.
    Drift,
    /// A full circle, then straight ahead by the advance.
    Roll,
}

/// What a lane of loops or a contour pass follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Guide {
    /// A straight line along the heading.
    Straight,
    /// The fairway's centre line.
    CentreLine,
    /// The left side of the fairway, looking from tee to green.
    LeftSide,
    /// The right side of the fairway, looking from tee to green.
    RightSide,
}

/// Which sets of a cross cut are driven in this visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum CrossSets {
    /// Both sets, one after the other.
    Both,
    /// Only the set that crosses the heading given.
    Crossing,
}

/// What a loop train is made from.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct LoopTrain {
    /// Smallest mean diameter allowed, metres.
    pub diameter_min_m: f64,
    /// Largest mean diameter allowed, metres; equal to the smallest for a single diameter.
    pub diameter_max_m: f64,
    /// The form asked for, or the cheaper one.
    pub form: Option<LoopForm>,
    /// Which way round.
    pub sense: Sense,
    /// Lanes along a heading or along the centre line.
    pub guide: Guide,
    /// Heading of straight lanes.
    pub heading: Heading,
    /// Fraction of the lane spacing by which all lanes are shifted sideways, 0 to 1.
    pub lane_shift: f64,
    /// The operator's error on the advance that must leave no gap, metres, each way.
    pub advance_tolerance_m: f64,
    /// The steering error that must leave no gap, metres, at each end of every cutting line.
    pub steering_tolerance_m: f64,
}

/// The patterns.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Pattern {
    /// Parallel passes, each against its neighbour.
    Stripes {
        /// Direction of the first pass.
        heading: Heading,
    },
    /// Two sets of stripes at an angle.
    Cross {
        /// Direction of the first set.
        heading: Heading,
        /// Angle between the sets, degrees; 90 is the cross cut.
        angle_deg: f64,
        /// Both, or only the one that crosses.
        sets: CrossSets,
    },
    /// Lanes of overlapping circles.
    Loops(LoopTrain),
    /// Passes parallel to the centre line or to one side.
    Contour {
        /// What they follow.
        guide: Guide,
    },
    /// One half toward the green, the other half back.
    HalfAndHalf {
        /// Direction of the half toward the green. [`Heading::Along`] follows the fairway's bends.
        heading: Heading,
    },
    /// Concentric passes from the outside in, then the middle.
    Rings {
        /// Which way round.
        sense: Sense,
    },
}

/// A pattern's name, without its settings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum PatternKind {
    /// Parallel passes.
    Stripes,
    /// Two crossing sets.
    Cross,
    /// Loop trains.
    Loops,
    /// Contour passes.
    Contour,
    /// Half and half.
    HalfAndHalf,
    /// Rings.
    Rings,
}

impl PatternKind {
    /// All of them, in the order of the guide.
    pub const ALL: [PatternKind; 6] = [
        PatternKind::Stripes,
        PatternKind::Cross,
        PatternKind::Loops,
        PatternKind::Contour,
        PatternKind::HalfAndHalf,
        PatternKind::Rings,
    ];

    /// The word used in files and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            PatternKind::Stripes => "stripes",
            PatternKind::Cross => "cross",
            PatternKind::Loops => "loops",
            PatternKind::Contour => "contour",
            PatternKind::HalfAndHalf => "half-and-half",
            PatternKind::Rings => "rings",
        }
    }

    /// The pattern of that word.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.word() == word)
    }
}

impl Pattern {
    /// The pattern as it is where nothing else is asked.
    pub fn usual(kind: PatternKind) -> Self {
        match kind {
            PatternKind::Stripes => Pattern::Stripes {
                heading: Heading::Fewest,
            },
            PatternKind::Cross => Pattern::Cross {
                heading: Heading::Fewest,
                angle_deg: DEFAULT_CROSS_ANGLE_DEG,
                sets: CrossSets::Both,
            },
            PatternKind::Loops => {
                Pattern::Loops(LoopTrain::new(DEFAULT_LOOP_DIAMETER_M, Sense::Clockwise))
            }
            PatternKind::Contour => Pattern::Contour {
                guide: Guide::CentreLine,
            },
            PatternKind::HalfAndHalf => Pattern::HalfAndHalf {
                heading: Heading::Along,
            },
            PatternKind::Rings => Pattern::Rings {
                sense: Sense::Clockwise,
            },
        }
    }

    /// The heading it is laid along, where it has one.
    #[doc(hidden)]
    pub fn heading(mut self) -> Option<Heading> {
        self.heading_mut().copied()
    }

    fn heading_mut(&mut self) -> Option<&mut Heading> {
        match self {
            Pattern::Stripes { heading }
            | Pattern::Cross { heading, .. }
            | Pattern::HalfAndHalf { heading }
            | Pattern::Loops(LoopTrain { heading, .. }) => Some(heading),
            Pattern::Contour { .. } | Pattern::Rings { .. } => None,
        }
    }

    /// The same along another heading, where it has one.
    #[doc(hidden)]
    pub fn along(mut self, to: Heading) -> Self {
        if let Some(heading) = self.heading_mut() {
            *heading = to;
        }
        self
    }

    /// The same in this sense, where it goes round.
    #[doc(hidden)]
    pub fn round(mut self, way: Sense) -> Self {
        if let Pattern::Loops(LoopTrain { sense, .. }) | Pattern::Rings { sense } = &mut self {
            *sense = way;
        }
        self
    }

    /// Its name.
    pub fn kind(&self) -> PatternKind {
        match self {
            Pattern::Stripes { .. } => PatternKind::Stripes,
            Pattern::Cross { .. } => PatternKind::Cross,
            Pattern::Loops(_) => PatternKind::Loops,
            Pattern::Contour { .. } => PatternKind::Contour,
            Pattern::HalfAndHalf { .. } => PatternKind::HalfAndHalf,
            Pattern::Rings { .. } => PatternKind::Rings,
        }
    }
}

/// Clean-up passes: rings along the outline and round each keep-out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct CleanUp {
    /// How many, side by side; 0 skips them.
    pub rings: u32,
    /// Which way round the outline.
    pub sense: Sense,
    /// Before the pattern (true: the crew sees where to set down) or after it.
    pub before: bool,
}

/// Everything asked of one mow.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Settings {
    /// The pattern.
    pub pattern: Pattern,
    /// How passes are spread.
    pub spacing: Spacing,
    /// Overlap between neighbouring passes, metres. Default 0.10 m: two to four inches is
    /// common practice; no authoritative figure exists.
    pub overlap_m: f64,
    /// Clean-up passes.
    pub clean_up: CleanUp,
    /// How far a loop may reach outside the outline, metres. It is for loops alone. Straight
    /// passes meet the clean-up passes and end there; a clean-up pass runs through a sharp corner
    /// until the corner is cut, and without clean-up passes straight passes run on until the last
    /// grass is cut: what that takes of the rough is measured as overrun.
    pub loop_overrun_m: f64,
    /// How far turns may go outside the outline, metres.
    pub turn_margin_m: f64,
    /// Whether the light-dark direction of each stripe is kept (true) or released to save driving.
    pub keep_directions: bool,
    /// Moves the turning places from visit to visit to spread the wear; 0 leaves them.
    pub turn_shift: u32,
    /// Where straight passes end when there are clean-up passes.
    pub ends: Ends,
    /// The pass at the right-hand edge runs along the heading, and every second one from it
    /// (true), instead of the one at the left. With the heading turned round as well the same
    /// lines are driven, every one the other way. Contour passes, which follow no heading, all
    /// change direction; loops and rings have their sense instead.
    pub from_right: bool,
}

/// Where straight passes end when there are clean-up passes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Ends {
    /// On the innermost clean-up pass: least driving.
    #[default]
    Ring,
    /// At the edge of the fairway, over the clean-up passes, before any part of the deck hangs
    /// over the rough. So the grass under the clean-up passes is cut from other sides too, which
    /// a season needs.
    Edge,
}

/// Default diameter of loops, metres: 22 ft (common practice: 20 to 22 ft for light mowers).
pub const DEFAULT_LOOP_DIAMETER_M: f64 = 22.0 * crate::model::quantity::FOOT_M;
/// Default angle between the sets of a cross cut, degrees.
pub const DEFAULT_CROSS_ANGLE_DEG: f64 = 90.0;
/// Default overlap, metres: see [`Settings::overlap_m`].
pub const DEFAULT_OVERLAP_M: f64 = 0.10;
/// Default overrun of a loop, metres: about the width of a collar strip that a steady hand keeps to.
pub const DEFAULT_LOOP_OVERRUN_M: f64 = 0.15;
/// Default room for turns outside the outline, metres: the first cut of rough.
pub const DEFAULT_TURN_MARGIN_M: f64 = 12.0;
/// Default error on the advance per loop, metres: nobody drives to the centimetre.
pub const DEFAULT_ADVANCE_TOLERANCE_M: f64 = 0.20;

impl Settings {
    /// The defaults round a pattern: even spacing, 0.10 m overlap, two clean-up passes first.
    pub fn new(pattern: Pattern) -> Self {
        Self {
            pattern,
            spacing: Spacing::Even,
            overlap_m: DEFAULT_OVERLAP_M,
            clean_up: CleanUp {
                rings: 2,
                sense: Sense::Clockwise,
                before: true,
            },
            loop_overrun_m: DEFAULT_LOOP_OVERRUN_M,
            turn_margin_m: DEFAULT_TURN_MARGIN_M,
            keep_directions: true,
            turn_shift: 0,
            ends: Ends::Ring,
            from_right: false,
        }
    }
}

impl LoopTrain {
    /// Loops of one diameter at the default tolerances: half the overlap of steering error.
    pub fn new(diameter_m: f64, sense: Sense) -> Self {
        Self {
            diameter_min_m: diameter_m,
            diameter_max_m: diameter_m,
            form: None,
            sense,
            guide: Guide::Straight,
            heading: Heading::Along,
            lane_shift: 0.0,
            advance_tolerance_m: DEFAULT_ADVANCE_TOLERANCE_M,
            steering_tolerance_m: DEFAULT_OVERLAP_M / 2.0,
        }
    }
}
