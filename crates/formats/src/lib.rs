//! Crossgrain formats.
