//! Guide to a season: what the programme does, and what it rests on.
//!
//! # The rotation
//!
//! On most days the regular pattern is mown. About once a week one visit is a grooming mow, the
//! cross cut and the loops in turn (common practice in the trade). Loops go clockwise one time
//! and counter-clockwise the next, with the lanes moved sideways by a third of their spacing
//! each time, so that in six loop visits every sense meets every shift. Grooming is dealt to
//! the fairways by area, so that no day and no week carries all of it.
//!
//! Clean-up passes are driven on every second visit by default, and with all loops; their sense
//! alternates. Rings wear in when they are driven each time, and outlines creep outward (common
//! practice; two or three clean-ups a week are usual).
//!
//! # Headings are computed
//!
//! For each fairway every mow that may be needed is planned once and its lay kept per cell of
//! 2 m. The sequence of headings, and of the way along each, is then chosen so that mean and
//! 95th percentile of R2 and R1 over the season are low, while the hours stay within a limit
//! over the fixed weekly alternation (5% by default). Where shifted lanes alone would pass the
//! limit, the shift that costs most is given up; where the allowed headings pass it whatever is
//! chosen, a warning says so. See [`crate::headings`] for the method and what it does not
//! promise.
//!
//! A mower of several units is stood in for by a plain deck of the same width, whose loops are
//! counted as longer by as much as the real units need ([`crate::catalogue::StandIn`]). So the
//! minutes of a season are near those of the day's sheet, which is planned for the real units,
//! but not the same; the command says so.
//!
//! On the sample course with `samples/season.json`, against habits that choose nothing, on the
//! same days with the same clean-up passes (what `crossgrain season` prints):
//!
#![doc = include_str!("season_table.md")]
//!
//! R2 is the axial grain, R1 the polar lay, per cell over all fairways: 1 means always the same,
//! 0 balanced. Most of what is left in R2 lies where clean-up passes follow the edge.
//! No saving is claimed: on a long narrow fairway a heading across it costs turns, and the table
//! shows what it costs there.
//!
//! # Heights and scalping
//!
//! The first two loop mows of a season are cut about 10% higher, on the next mark of the bench
//! gauge, then the bench height is taken up again (common practice). The log
//! ([`crate::scalping`]) repeats the raise, keeps it, or holds loops back. Every such visit says
//! why.
//!
//! Lowest fairway heights are those of the Maryland golf best-management guide
//! ([`crate::grass`]). The one-third rule is read as *a third of the plant*: mow when the grass
//! stands at 1.5 times the height of cut ([`crate::heights::DEFAULT_THIRD_RULE`]; Cornell: 3 in at
//! about 4.5 in); the other convention in print is 4/3 (Waltz, University of Georgia). Growth between
//! mows is local, so it is an input.
//!
//! These notes are general. Scalping can follow any change from a direction that was held for
//! long; grass, weather and soil differ from place to place. Ask your agronomist or turf
//! adviser, and follow the mower's manual and local rules.
//!
//! # Days
//!
//! The crew's hours are levelled within each week ([`crate::crew`]); closed days take the
//! nearest stand-in; frost delays the start or moves a visit, rain moves it, by rule
//! ([`crate::weather`]). A visit keeps its name through all of that ([`crate::slots`]).
//!
#![doc = include_str!("defaults.md")]
