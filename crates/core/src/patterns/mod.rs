//! The patterns: each turns ground and deck into legs.

pub mod site;
pub mod stripes;
