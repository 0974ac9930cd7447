//! Steps: what a person is told of a drive, one sentence each.
//!
//! The operator has a page, gloves and no screen. A step is done without looking again: circuits
//! of clean-up passes, blocks of lines, lanes of loops, rings, patches.

use std::ops::Range;

/// What kind of work a step is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum StepKind {
    /// Every clean-up pass nearest to one closed edge, ring by ring.
    Circuit,
    /// Neighbouring lines whose pieces face each other one to one.
    Block,
    /// Lanes of loops.
    Lanes,
    /// Rings from the outside in.
    Rings,
    /// Short passes over what is left in one place.
    Patch,
}

impl StepKind {
    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            StepKind::Circuit => "circuit",
            StepKind::Block => "block",
            StepKind::Lanes => "lanes",
            StepKind::Rings => "rings",
            StepKind::Patch => "patch",
        }
    }
}

/// The order in which the lines of a step are taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum StepRule {
    /// Each next line.
    Next,
    /// Every k-th line, swept k times.
    Every(u32),
    /// A line of one half up, a line of the other half down, from the outside in.
    Halves,
    /// Round and round.
    Round,
    /// As listed.
    InOrder,
}

impl StepRule {
    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            StepRule::Next => "next",
            StepRule::Every(_) => "every",
            StepRule::Halves => "halves",
            StepRule::Round => "round",
            StepRule::InOrder => "in-order",
        }
    }

    /// The k of every k-th line; 1 for all other rules.
    #[doc(hidden)]
    pub fn every(self) -> u32 {
        match self {
            StepRule::Every(k) => k,
            _ => 1,
        }
    }
}

/// To which side a step works its way across, looking along the heading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Side {
    /// It begins at the left.
    LeftToRight,
    /// It begins at the right.
    RightToLeft,
}

impl Side {
    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Side::LeftToRight => "left-to-right",
            Side::RightToLeft => "right-to-left",
        }
    }
}

/// One step of a drive.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Step {
    /// What kind of work it is.
    pub kind: StepKind,
    /// The order of its lines.
    pub rule: StepRule,
    /// The part of the fairway it lies on, 0 first; parts are numbered as the ground's polygons.
    pub part: usize,
    /// The set of lines, 0 first; a cross cut has two.
    pub set: u32,
    /// Its legs, by their place in the mow.
    pub legs: Range<usize>,
    /// Lowest and highest number of its lines; line 1 is the leftmost. For rings, 1 is the
    /// outermost. None for circuits and patches.
    pub lines: Option<(u32, u32)>,
    /// Where it begins and to which side it goes on. None for circuits, rings and patches.
    pub side: Option<Side>,
    /// The first line of each sweep, for [`StepRule::Every`].
    pub sweeps: Vec<u32>,
    /// The keep-out it goes round or lies beside, by its place in the fairway's list; none where
    /// that is the outline.
    pub keep_out: Option<usize>,
    /// How often the reels are lifted along a line to pass a gap and go on along the same line.
    pub bridges: u32,
    /// No way to the next step was found: the operator stops here and drives round as they know.
    pub stop_here: bool,
}

/// The letter of a step: A to Z without I and O, which are read as figures, then AA.
///
/// ```
/// use crossgrain_core::inside::model::step::letter;
/// assert_eq!((letter(0), letter(8), letter(23), letter(24)), ("A".into(), "J".into(), "Z".into(), "AA".into()));
/// ```
pub fn letter(index: usize) -> String {
    const LETTERS: &[u8] = b"ABCDEFGHJKLMNPQRSTUVWXYZ";
    let n = LETTERS.len();
    let mut out = Vec::new();
    let mut left = index + 1;
    while left > 0 {
        out.push(LETTERS[(left - 1) % n] as char);
        left = (left - 1) / n;
    }
    out.iter().rev().collect()
}
