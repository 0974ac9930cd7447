//! The insides, for the other crates of this workspace and for its tests.
//!
//! **No promise is kept about anything in here**: names, meanings and places change from one
//! version to the next without a word, and so do methods that the documentation hides. What an
//! embedder can rely on stands at the root; `public.txt` beside the crate's manifest lists it.

macro_rules! rooms {
    ($($(#[$on:meta])? $room:ident)*) => {
        $($(#[$on])? pub mod $room {
            pub use crate::$room::*;
        })*
    };
}

rooms! { curve deck driving ground limits model patterns #[cfg(feature = "lonlat")] plane planner polygon promises swath work }
