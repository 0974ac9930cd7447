//! # Half-and-half
//!
//! One half of the fairway mown toward the green, the other half back (common practice).
//!
//! **When.** For two broad bands of light and dark, or when the crew should hardly need to look
//! for the last line. The same half should not always run the same way: take turns with straight
//! passes, 12-6 one visit and 6-12 another, or with another pattern.
//!
//! **How.** Looking along the heading, the left half runs with it and the right half against it;
//! both have as much to mow, as nearly as whole passes allow. Along the fairway (`along`) the
//! passes follow its bends as contour passes do, so that either half is a band from tee to green.
//! With a bearing or a clock position they are straight. The directions are kept even where
//! turning them round would save driving.
//!
//! **Cost.** One cut plus the overlap, as stripes; more way between passes.
//!
#![doc = "<div>"]
#![doc = include_str!("half_and_half.svg")]
#![doc = "</div>"]
