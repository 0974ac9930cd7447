//! # Stripes
//!
//! Parallel passes, every second one the other way: that is what makes light and dark.
//!
//! **When.** The everyday pattern: least driving, easy to keep straight, easy to inspect.
//! Change the heading from visit to visit; grass that is always mown one way lies down that way.
//!
//! **How.** `fewest` takes the heading with the fewest passes, `along` the long axis, a clock
//! position such as `10-4` is read with 12 toward the green, and a bearing is a bearing. The
//! passes share the width evenly, so the last one is not a sliver.
//!
//! **Cost.** One cut plus the overlap: cutting width over pass spacing.
//!
#![doc = "<div>"]
#![doc = include_str!("stripes.svg")]
#![doc = "</div>"]
