#![doc = include_str!("../README.md")]
//!
//! [`measure`] gives every figure of a plan file for one mow. The parts stand on their own:
//!
//! - [`coverage`]: area cut exactly k times for every k, missed, overrun and keep-out areas and
//!   the outlines of what was missed, with a bound on the error;
//! - [`lay`]: which way the grass was laid, cell by cell, over one mow or a season;
//! - [`capacity`]: field capacity;
//! - [`promises`]: whether a mow is fit to be driven;
//! - [`deck_report`] and [`lattice_gaps`]: what a deck of several units leaves in a loop, and how far
//!   each travels from cut to cut.
//!
//! # Which figure to look at
//!
//! Let A be the area of the ground. A point is cut k times when the deck passes over it k times.
//!
//! | Question | Figure |
//! | --- | --- |
//! | Is anything left that this deck could have cut? | `missed_m2`: uncut, inside the reach |
//! | Is anything left for a smaller machine? | `trim_m2`: outside the reach, cut or not |
//! | How much was cut more often than once? | `overlap_m2`, `mean_cuts`, `times_cut_m2` |
//! | Did a lowered reel leave the fairway? | `overrun_m2`; into sand or water: `keepout_cut_m2` |
//! | How far from the least driving is it? | `distance_ratio`: driven over A / W |
//! | How much of the time is mowing? | `field_efficiency`: A in the time, over width times speed |
//! | How long is the crew out? | `shift_minutes`: the minutes over the shift efficiency |
//! | Does the grass lie one way? | `lay_r1`; along one axis: `lay_r2` |
//!
//! The areas are those of the tracks as planned. Nobody drives to the millimetre: what steering
//! and advance may be off by without leaving a strip is settled when the mow is planned.
//!
//! Areas are square metres, lengths metres, times seconds or minutes as the name says.

pub mod capacity;
pub mod coverage;
pub mod deck_report;
#[cfg(test)]
mod drawn;
pub mod lattice_gaps;
pub mod lay;
pub mod measures;
pub mod promises;

pub use measures::{Measures, measure};
