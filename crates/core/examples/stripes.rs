//! Stripes on a fairway with a bunker, step by step.
//!
//! `cargo run -p crossgrain-core --example stripes`

use crossgrain_core::prelude::*;
use geo_types::polygon;

/// The whole of it.
pub fn main() -> Result<(), Box<dyn std::error::Error>> {
    let fairway = Fairway::builder("7")
        .outline(polygon![
            (x: 0.0, y: 0.0), (x: 140.0, y: 6.0), (x: 150.0, y: 38.0), (x: 4.0, y: 34.0),
        ])
        .keep_out(
            KeepOutKind::Bunker,
            polygon![(x: 96.0, y: -4.0), (x: 112.0, y: -4.0), (x: 104.0, y: 12.0)],
        )
        .build()?;
    let mower = Mower::bar(2.54);
    let mut settings = Settings::new(Pattern::Stripes {
        heading: Heading::Along,
    });
    settings.clean_up.rings = 1;
    let mow = plan(&fairway, &mower, &settings)?;

    for (step, n) in mow.steps().iter().zip(1..) {
        println!("{n}. {} of {} passes", step.kind.word(), step.legs.len());
    }
    println!(
        "{} passes, {:.0} m with the reels down, {:.0} m with the reels up",
        mow.passes().count(),
        mow.mowing_m(),
        mow.transport_m(),
    );
    for note in mow.notes() {
        println!("look at: {}", note.word());
    }
    Ok(())
}
