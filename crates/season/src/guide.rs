//! Guide to a season: what the programme does, and what it rests on.
//!
//! # The rotation
//!
//! On most days the regular pattern is mown. About once a week one visit is a grooming mow, the
//! cross cut and the loops in turn (common practice in the trade). Loops go clockwise one time
//! and counter-clockwise the next; which heading and shift of the lanes comes how often is part of
//! the choice, and each shift meets both senses. Lanes along and on both diagonals leave their
//! seams in different places, so the grain of loops evens out sooner than with one heading; they
//! take no more hours. Loops have the fewest clean-up passes there are to choose from, because
//! they lay further ones themselves where lanes end ragged. Grooming is dealt to the fairways by area, so that
//! no day and no week carries all of it.
//!
//! No visit is without a clean-up pass: straight passes that end on a slanting edge would leave a
//! tooth of grass each, or cut the rough. By default every second visit has all of them and the
//! others one; their sense alternates. With one, the stripes run on over it to the edge, so that
//! the grass there is cut from other sides too. Rings wear in when they are driven each time, and
//! outlines creep outward (common practice; two or three clean-ups a week are usual).
//!
//! # How often each mow: computed, with a bound
//!
//! For each fairway every mow that may be needed is planned once and its lay kept per cell of
//! 2 m. Over a season only how often each is made counts, and that is a convex choice
//! ([`crate::choice`]): mean grain and the grain of the worst cells at one price of hours for the
//! whole course ([`crate::price`]). When visits could be split the best is found, and proven; of
//! whole visits the programme tells how near it comes. Then the visits are dealt to the days so
//! that the grain over any 28 days is low too ([`crate::windows`]); that costs no hours, and no
//! bound is promised for it. A fairway that still stands above the clock rotation with the same
//! loops is chosen again at a lower price, as far as hours are left. Last the way along the same lines is chosen for R1.
//!
//! Hours against grain is a page of its own. Left to itself the programme takes the knee of that
//! curve: the fewest hours that buy 98% of the evenness there is to buy ([`crate::price::KNEE`]).
//!
//! A mower of several units is planned and measured as it is, unit by unit: the minutes of a season
//! are those of the day's sheet, but for what driving it back to front changes (some hundredths).
//!
//! # What grooming does that R2 does not show
//!
//! Within one visit a loop mowing lifts the leaf from many sides, and a cross cut from two. R2
//! over a season is as low with plain stripes along four axes, one a visit, for fewer hours.
//! That the one is worth its hours beside the other is common practice, and not computed; how
//! many well separated directions a cell is cut from within 28 days is (`directions_28_days`).
//!
//! On the sample course with `samples/season.json`, against habits that choose nothing, on the
//! same days with the same clean-up passes (what `crossgrain season` prints):
//!
#![doc = include_str!("season_table.md")]
//!
//! R2 is the axial grain, R1 the polar lay, per cell over all fairways: 1 means always the same,
//! 0 balanced; "28 days" is R2 over the last 28 days, averaged by week. Most of what is left lies
//! where clean-up passes follow the edge.
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
