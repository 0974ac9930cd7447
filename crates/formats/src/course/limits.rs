//! Limits of a course file, with their reasons.

/// Most features in a file. A mapped course has a few hundred.
pub const MAX_FEATURES: usize = 20_000;
/// Most positions in a file. A mapped course has some ten thousand.
pub const MAX_POSITIONS: usize = 500_000;
/// Most features that are fairways. A course of 36 holes has under a hundred pieces.
pub const MAX_FAIRWAYS: usize = 500;
/// Most hole lines, and most way-in points.
pub const MAX_HOLES: usize = 200;
/// Most positions of one hole line; a real one has two to five.
pub const MAX_HOLE_POSITIONS: usize = 100;
/// Fairways farther than this from the middle one are no part of the same course, metres.
pub const COURSE_RANGE_M: f64 = 10_000.0;
/// Other features farther than this from every fairway are left aside, metres.
pub const FEATURE_RANGE_M: f64 = 1_000.0;
