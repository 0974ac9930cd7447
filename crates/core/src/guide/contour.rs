//! # Contour passes
//!
//! Passes parallel to the fairway's centre line, or to its left or right side.
//!
//! **When.** Doglegs and long curved fairways, where straight stripes would run out on one side
//! after a few yards. Not on short wide ground: there straight passes are easier to hold.
//!
//! **How.** The centre line is the hole line where the file has one that runs through the
//! fairway, otherwise the middle between the two sides of the outline. Passes are offsets of
//! straight pieces and wide arcs, so neighbours stay exactly one spacing apart round the bend. The bend
//! is drawn wide enough for the innermost pass; where there is no room for that, passes on the
//! inside turn at the mower's turning radius and a touch-up takes the corner. Each part of a fairway
//! follows a line of its own; parts on both sides of a path are one.
//!
//! **Cost.** A little more than stripes, fewer short passes on bent ground.
//!
#![doc = "<div>"]
#![doc = include_str!("contour.svg")]
#![doc = "</div>"]
