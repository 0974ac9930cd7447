//! Crossgrain render.
