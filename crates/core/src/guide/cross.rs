//! # Cross cut
//!
//! Two sets of stripes at 90 degrees, or at another angle.
//!
//! **When.** About weekly in the growing season, in turn with loops (common practice), to break
//! the grain that one heading builds up. Both sets in one visit cut everything twice; the
//! crossing set alone takes no longer than plain stripes and crosses what was mown last time.
//!
//! **How.** The first set is finished before the second begins. On a plain rectangle each point
//! is cut exactly twice and no axial grain is left: R2, the length of the mean of the doubled
//! directions, is 0 in every cell away from the edges.
//!
//! **Cost.** Twice the driving of stripes for both sets.
//!
#![doc = "<div>"]
#![doc = include_str!("cross.svg")]
#![doc = "</div>"]
