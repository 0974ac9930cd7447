//! The patterns, one page each: what it is, when to use it, what it costs.
//!
//! The pictures show one invented fairway, two clean-up passes and a 100 in deck. Dark lines are
//! driven with the reels down, dotted ones with the reels up.
//!
//! | pattern | use it | mean cuts, about |
//! | --- | --- | --- |
//! | [stripes] | every day | 1.1 |
//! | [cross cut](cross) | to break the grain, or as today's set across the last one's | 2.1 |
//! | [loop trains](loop_trains) | weekly in the growing season, to stand the grass up from all sides | 2.0 to 2.6 |
//! | [contour passes](contour) | doglegs and curved fairways | 1.1 to 1.2 |
//! | [half-and-half](half_and_half) | when two broad bands are wanted, or time is short | 1.1 |
//! | [rings] | large gang units that should not turn tightly | 1.1 |

pub mod contour;
pub mod cross;
pub mod half_and_half;
pub mod loop_trains;
pub mod rings;
pub mod stripes;
