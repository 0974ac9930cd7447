//! What a season adds to a mow: rotation, days, heights of cut, lay, cost.
//!
//! [`programme::programme`] plans it all. The way of the work: the rules are checked
//! ([`rule_faults`]); every mow that the season can need is planned once ([`catalogue`]); the
//! weeks are laid out ([`slots`]); headings are chosen on the sums of the lay ([`headings`],
//! [`fairway_season`]); the crew's days are levelled ([`crew`]) and the weather is kept clear of
//! ([`weather`]); the log of scalping decides on heights ([`scalping`], [`heights`]).
//! [`sizing`] sets decks side by side before any season is planned.

pub mod catalogue;
pub mod cost;
pub mod crew;
mod effort;
pub mod fairway_season;
pub mod grain;
pub mod grass;
pub mod guide;
pub mod headings;
pub mod heights;
pub mod programme;
pub mod rule_faults;
pub mod rules;
pub mod scalping;
pub mod sizing;
pub mod slots;
pub mod weather;

pub use programme::{OneByOne, Programme, SeasonError, Visit, Workers, programme};
pub use rules::Rules;
