//! # Rings
//!
//! Concentric passes from the outside in, all in one sense, then the middle: down one side, back
//! up the other, then what remains.
//!
//! **When.** Large gang units, which groom best without tight turns. Change the sense from visit
//! to visit, and do not use it every time: rings always turn over the same ends.
//!
//! **How.** Rings follow the outline at the pass spacing, as long as inside the innermost there is
//! room for a pass and a turn. At a keep-out the reels are lifted over what the clean-up passes
//! round it have cut, and the ring goes on beyond. Where a ring turns more than 46 degrees at once
//! it is driven through, the reels lift, and it comes back in along the next edge: rounded, two
//! rings would leave a place between them. The middle follows the bends of the fairway.
//!
//! **Cost.** One cut plus the overlap; the shortest way with the reels up on plain ground, more
//! where keep-outs break the rings.
//!
#![doc = "<div>"]
#![doc = include_str!("rings.svg")]
#![doc = "</div>"]
