#![doc = include_str!("../README.md")]
//!
//! [`programme::programme`] plans it all. The way of the work: the rules are checked
//! ([`rule_faults`]); every mow that the season can need is planned once ([`catalogue`]); the
//! weeks are laid out ([`slots`]), the crew's days levelled ([`crew`]), the weather kept clear of
//! ([`weather`]), the log of what was mown taken in ([`past`]); how often each mow is made is
//! chosen ([`choice`], [`fairway_choice`]) at one price of hours for the course ([`price`]); the
//! mows are dealt to the days ([`ordering`], [`ways`]); the log of scalping decides on heights
//! ([`scalping`], [`heights`]). One morning of it is dealt to the mowers that are there ([`day`]).
//! [`sizing`] sets decks side by side before any season is planned.

pub mod ask;
pub mod bundles;
pub mod catalogue;
pub mod choice;
pub mod cost;
pub mod crew;
mod dated_visits;
pub mod day;
mod effort;
pub mod fairway_choice;
mod fairway_dues;
pub mod fairway_lay;
pub mod fairway_season;
mod four_weeks;
pub mod grain;
pub mod grass;
pub mod ground_figures;
pub mod guide;
pub mod heights;
mod logged;
pub mod mow_request;
pub mod ordering;
mod outcome;
pub mod past;
mod plain_guard;
pub mod price;
pub mod programme;
pub mod reasons;
mod rule_fault;
pub mod rule_faults;
mod rule_numbers;
pub mod rules;
pub mod scalping;
pub mod season_error;
pub mod sizing;
pub mod slots;
mod stocks;
mod timetable;
mod totals;
pub mod visit;
pub mod ways;
pub mod weather;
pub mod windows;

pub use programme::{Ask, OneByOne, Programme, SeasonError, Visit, Workers, programme};
pub use rules::Rules;
