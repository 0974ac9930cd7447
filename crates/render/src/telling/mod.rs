//! What each step of a drive comes to, before it is put into words: how many, which side first,
//! which way round, what is passed with the reels up.
//!
//! Everything is read off the drive itself, so that a sheet can say nothing that the geometry did
//! not produce. Sides are those of the page: the green, or else the north end of the long axis,
//! is up. Lengths in metres, directions in radians counter-clockwise from east.

mod gaps;
mod lines;
mod page_way;
mod patch;
mod rounds;

pub use gaps::Gap;
pub use lines::{LineKind, LineOrder, SweepStart, first_pattern_way_rad};
pub use page_way::PageWay;
pub use patch::Place;

use crossgrain_core::inside::model::step::letter;
use crossgrain_core::{Fairway, KeepOutKind, Mow, Sense, Step, StepKind};

/// One step as it is told.
#[derive(Debug, Clone, PartialEq)]
pub struct StepTold {
    /// Its letter.
    pub letter: String,
    /// Whether it is the first on another part of the fairway than the step before.
    pub next_part: bool,
    /// What is to be done.
    pub work: Work,
    /// What its lines pass with the reels up, each kind of gap once.
    pub gaps: Vec<Gap>,
    /// Whether no way to the next step was found.
    pub stop_here: bool,
}

/// What is to be done in a step.
#[derive(Debug, Clone, PartialEq)]
pub enum Work {
    /// Round one closed edge.
    Circuit {
        /// How often.
        rounds: usize,
        /// What is gone round; the outline without.
        around: Option<KeepOutKind>,
        /// Which way round, where all rounds agree.
        sense: Option<Sense>,
    },
    /// Stripes, passes along the bend or lanes of loops.
    Lines {
        /// What kind of line.
        kind: LineKind,
        /// How many lines.
        count: usize,
        /// To which side of the page they go on; none for a single line.
        across: Option<PageWay>,
        /// The order.
        order: LineOrder,
        /// The way of all lines, where they all go the same way.
        one_way: Option<PageWay>,
    },
    /// Rings of the pattern.
    Rings {
        /// How many.
        count: usize,
        /// Which way round, where all agree.
        sense: Option<Sense>,
    },
    /// Passes over one place that is left.
    Patch {
        /// How many.
        passes: usize,
        /// Whether each is short.
        short: bool,
        /// Where it is.
        place: Place,
    },
}

/// Every step of a mow as it is told; `up_rad` is the direction that points up the page.
pub fn told(fairway: &Fairway, mow: &Mow, up_rad: f64) -> Vec<StepTold> {
    (mow.steps().iter().enumerate())
        .map(|(i, step)| StepTold {
            letter: letter(i),
            next_part: i > 0 && (mow.steps()[i - 1].part != step.part || across(mow, i)),
            work: work(fairway, mow, step, up_rad),
            gaps: match step.kind {
                StepKind::Block => gaps::of(fairway, mow, step),
                StepKind::Rings => gaps::of_rings(fairway, mow, step),
                _ => Vec::new(),
            },
            stop_here: step.stop_here,
        })
        .collect()
}

/// Whether a step goes round a second edge of a part that a path crosses.
fn across(mow: &Mow, i: usize) -> bool {
    let round = |s: &Step| s.kind == StepKind::Circuit && s.keep_out.is_none();
    let step = &mow.steps()[i];
    let before = &mow.steps()[..i];
    round(step) && before.iter().any(|b| round(b) && b.part == step.part)
}

fn work(fairway: &Fairway, mow: &Mow, step: &Step, up_rad: f64) -> Work {
    let legs = mow.legs().get(step.legs.clone()).unwrap_or_default();
    let kept = step.keep_out.and_then(|k| fairway.keep_outs().get(k));
    match step.kind {
        StepKind::Circuit => Work::Circuit {
            rounds: rounds::count(legs),
            around: kept.map(|k| k.kind),
            sense: rounds::sense(fairway, mow, legs, kept),
        },
        StepKind::Rings => Work::Rings {
            count: rounds::count(legs),
            sense: rounds::sense(fairway, mow, legs, None),
        },
        StepKind::Patch => patch::work(fairway, mow, legs),
        // Blocks, lanes, and whatever is new.
        _ => lines::work(mow, step, up_rad),
    }
}
