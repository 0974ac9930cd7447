//! # Half-and-half
//!
//! One half of the fairway mown toward the green, the other half back (common practice).
//!
//! **When.** For two broad bands of light and dark, or when the crew should hardly need to look
//! for the last line. The same half should not always run the same way: swap the heading by 180
//! degrees from visit to visit.
//!
//! **How.** Looking along the heading, the left half runs with it and the right half against it.
//! The directions are kept even where turning them round would save driving.
//!
//! **Cost.** One cut plus the overlap, as stripes; more way between passes.
//!
#![doc = "<div>"]
#![doc = include_str!("half_and_half.svg")]
#![doc = "</div>"]
