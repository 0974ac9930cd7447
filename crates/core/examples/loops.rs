//! A loop train: the lattice that leaves no gap, then the drive.
//!
//! `cargo run -p crossgrain-core --example loops`

use crossgrain_core::prelude::*;
use crossgrain_core::{Lattice, loop_lattice};
use geo_types::polygon;

/// The whole of it.
pub fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mower = Mower::bar(2.54);
    let train = LoopTrain::new(6.7, Sense::Clockwise);
    // What the solver answers: how far on after each loop, and how far apart the lanes.
    let lattice: Lattice = loop_lattice(&mower, &train)?;
    println!(
        "loops of {:.2} m: {:.2} m on after each, lanes {:.2} m apart, {:.2} mean cuts",
        train.diameter_min_m, lattice.shape.advance_m, lattice.lane_spacing_m, lattice.mean_cuts,
    );

    let fairway = Fairway::builder("12")
        .outline(
            polygon![(x: 0.0, y: 0.0), (x: 110.0, y: 0.0), (x: 110.0, y: 40.0), (x: 0.0, y: 40.0)],
        )
        .build()?;
    let mow = plan(&fairway, &mower, &Settings::new(Pattern::Loops(train)))?;
    let used = mow.settings();
    println!(
        "{} lanes, {} loops in the longest, {:.0} m with the reels down",
        used.lanes.unwrap_or(0),
        used.loops_per_lane.unwrap_or(0),
        mow.mowing_m(),
    );
    Ok(())
}
