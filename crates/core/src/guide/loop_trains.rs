//! # Loop trains
//!
//! Lanes of overlapping circles. The diameter is chosen; the advance per loop and the distance
//! between lanes come from the [lattice](crate::patterns::lattice), so that nothing is left.
//!
//! **When.** About weekly in the growing season, in turn with cross cuts (common practice):
//! every blade is met from several sides. About 20 to 22 ft suits light units, about 50 ft a
//! large gang (common practice). Reverse the sense each time, and shift the lanes by half their
//! spacing. Raise the height of cut by about a tenth for the first one or two loop mowings
//! (common practice).
//!
//! **Two ways to close a loop.** *Drift*: a wide half-circle forward, a tighter one back; the
//! advance is twice the difference of the two radii. *Roll*: a full circle, then straight ahead
//! by the advance. The solver takes the cheaper one unless told otherwise.
//!
//! **At the wheel.** The operator needs four things: the sense, where lane 1 starts, how far to
//! move on with each loop, and how far to step across to the next lane. The advance may be
//! 0.20 m longer or shorter than planned and the wheel 0.05 m off at either end of the deck
//! without leaving a gap; both tolerances can be set. Neighbouring lanes need not be in step.
//! The sheet gives both distances in paces as well.
//!
//! **What it leaves behind.** One train is not free of grain: at height y in a lane of radius R
//! a loop passes along one axis more than another, and R2 = |1 - 2 y^2 / R^2| for a thin swath.
//! On a rectangle of 150 m by 40 m with 21 ft loops the mean R2 over one-metre cells is 0.61
//! when two visits follow the same lanes. With the lanes of the second visit shifted by half
//! their spacing it falls to 0.27.
//!
//! **Cost.** It jumps with the diameter, because an arm that returns a few loops on either fills
//! the gap of the arm before or just misses it. A 100 in deck needs 2.13 mean cuts at 21 ft and
//! 2.54 at 22 ft at the default tolerances. So give a range, `20ft-22ft`, when the diameter is
//! not a matter of principle; for a single diameter the answer names cheaper ones within 10%.
//!
//! **Ground.** Lanes share the width of the fairway evenly, so the outermost loops stay on it;
//! the clean-up passes take the scallops along the edge. On a dogleg let the lanes follow the
//! centre line: they run straight from bend to bend. Reels lift at keep-outs; a bunker in the
//! middle of a lane costs turns. Keep well away from water edges and banks with a machine that
//! turns all the time, survey the ground first, and follow the operator's manual.
//!
#![doc = "<div>"]
#![doc = include_str!("loops.svg")]
#![doc = "</div>"]
