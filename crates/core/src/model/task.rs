//! Tasks: what patterns lay on the ground, for driving to put in order.
//!
//! A pattern says what belongs together and what must come first. It does not know how the
//! mower gets from one piece to the next.

use crate::model::mow::Leg;

/// One piece of a line: a leg as it is driven, and where it lies along the line.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// The leg, in the direction of its line.
    pub leg: Leg,
    /// Where it begins along the set's heading or guide, metres; below `to_m`.
    pub from_m: f64,
    /// Where it ends, metres.
    pub to_m: f64,
}

impl Piece {
    /// Whether this piece and one of the next line lie side by side.
    pub fn faces(&self, other: &Piece) -> bool {
        self.to_m.min(other.to_m) > self.from_m.max(other.from_m)
    }
}

/// A numbered line of a set and what the ground leaves of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its number across the set, 1 the leftmost looking along the heading.
    pub number: u32,
    /// Whether it is driven along the heading or against it.
    pub forward: bool,
    /// Its pieces, by where they lie along the heading.
    pub pieces: Vec<Piece>,
}

/// Which way the lines of a set are driven.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Directions {
    /// Every second one back: light and dark.
    Alternate,
    /// The left half of the lines along the heading, the right half back.
    Halves,
    /// Whichever way saves driving.
    Free,
}

/// What a task consists of.
#[derive(Debug, Clone, PartialEq)]
pub enum TaskKind {
    /// Clean-up passes nearest to one closed edge: ring by ring, the legs of each in the order of
    /// travel. A ring of one leg whose ends meet may be begun anywhere.
    Circuit {
        /// The rings, the outermost first.
        rings: Vec<Vec<Leg>>,
        /// The keep-out whose edge it is; none for the outline.
        keep_out: Option<usize>,
    },
    /// Parallel lines.
    Lines {
        /// Which way they are driven.
        directions: Directions,
        /// The lines, from the left.
        lines: Vec<Line>,
    },
    /// Lanes of loops, in the order they are driven.
    Lanes(Vec<Leg>),
    /// Rings of the pattern, the outermost first, the legs of each in the order of travel.
    Rings(Vec<Vec<Leg>>),
    /// Passes over one place that is left, in any order.
    Patch {
        /// The passes.
        legs: Vec<Leg>,
        /// The keep-out they lie beside; none where that is the outline.
        keep_out: Option<usize>,
    },
}

/// Something to be driven as one step, or, for lines, as one step or several.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// The part of the fairway it lies on: the place of the polygon in the fairway's ground.
    pub part: usize,
    /// The set of lines, 0 first.
    pub set: u32,
    /// When it is driven: tasks of a lower phase of the same part come first.
    pub phase: u32,
    /// What is to be done.
    pub kind: TaskKind,
}

impl Task {
    /// All its legs.
    pub fn legs(&self) -> Box<dyn Iterator<Item = &Leg> + '_> {
        match &self.kind {
            TaskKind::Circuit { rings, .. } | TaskKind::Rings(rings) => {
                Box::new(rings.iter().flatten())
            }
            TaskKind::Lines { lines, .. } => {
                Box::new(lines.iter().flat_map(|l| l.pieces.iter().map(|p| &p.leg)))
            }
            TaskKind::Lanes(legs) | TaskKind::Patch { legs, .. } => Box::new(legs.iter()),
        }
    }

    /// All its legs, to be changed.
    pub fn legs_mut(&mut self) -> Box<dyn Iterator<Item = &mut Leg> + '_> {
        match &mut self.kind {
            TaskKind::Circuit { rings, .. } | TaskKind::Rings(rings) => {
                Box::new(rings.iter_mut().flatten())
            }
            TaskKind::Lines { lines, .. } => Box::new(
                lines
                    .iter_mut()
                    .flat_map(|l| l.pieces.iter_mut().map(|p| &mut p.leg)),
            ),
            TaskKind::Lanes(legs) | TaskKind::Patch { legs, .. } => Box::new(legs.iter_mut()),
        }
    }

    /// Leaves out legs, and what holds none any more.
    pub fn retain(&mut self, mut keep: impl FnMut(&Leg) -> bool) {
        match &mut self.kind {
            TaskKind::Circuit { rings, .. } | TaskKind::Rings(rings) => {
                for ring in rings.iter_mut() {
                    ring.retain(&mut keep);
                }
                rings.retain(|r| !r.is_empty());
            }
            TaskKind::Lines { lines, .. } => {
                for line in lines.iter_mut() {
                    line.pieces.retain(|p| keep(&p.leg));
                }
                lines.retain(|l| !l.pieces.is_empty());
            }
            TaskKind::Lanes(legs) | TaskKind::Patch { legs, .. } => legs.retain(keep),
        }
    }
}
