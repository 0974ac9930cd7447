//! The insides, for the other crates of this workspace and for its tests.
//!
//! **No promise is kept about anything in here**: names, meanings and places change from one
//! version to the next without a word. What an embedder can rely on stands at the root.

macro_rules! rooms {
    ($($room:ident)*) => {
        $(pub mod $room {
            pub use crate::$room::*;
        })*
    };
}

rooms! { curve deck driving ground limits model patterns planner polygon promises swath work }
