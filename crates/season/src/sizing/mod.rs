//! Candidate decks side by side: what each would need on each fairway, in each pattern.
//!
//! [`rows`] plans and measures a mow for every fairway, deck and pattern; [`fit()`] goes the
//! other way round, from a number of passes to the deck or the overlap.

pub mod fit;
pub mod rows;

pub use fit::{Fit, fit};
pub use rows::{
    Candidate, Job, LoopFigures, Pair, Refusal, RowResult, SizeRow, SizeTable, WholeRow, pairs,
    run, table,
};
