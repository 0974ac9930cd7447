//! # Rings
//!
//! Concentric passes from the outside in, all in one sense, then the middle: down one side, back
//! up the other, then what remains.
//!
//! **When.** Large gang units, which groom best without tight turns. Change the sense from visit
//! to visit, and do not use it every time: rings always turn over the same ends.
//!
//! **How.** Rings follow the outline at the pass spacing, as long as the mower has room to turn
//! inside the innermost. A corner too sharp to follow is driven through with the reels lifted.
//!
//! **Cost.** One cut plus the overlap; the shortest way with the reels up on plain ground, more
//! where keep-outs break the rings.
//!
#![doc = "<div>"]
#![doc = include_str!("rings.svg")]
#![doc = "</div>"]
