//! Crossgrain season.
