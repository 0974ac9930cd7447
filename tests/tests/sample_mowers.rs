//! Every fairway of the sample course, mown in every pattern by both sample mowers: several cutting
//! units in rows leave thousands of slivers where a bar leaves none.

use crossgrain_core::model::pattern::{CrossSets, Guide, Heading, LoopTrain};
use crossgrain_core::model::units::FOOT_M;
use crossgrain_core::{Pattern, Sense, Settings, plan};
use crossgrain_metrics::measure;
use crossgrain_tests::clean_cut::unclean;
use crossgrain_tests::stored::path;

fn patterns(loops_m: f64) -> [Pattern; 6] {
    let heading = Heading::Fewest;
    [
        Pattern::Stripes { heading },
        Pattern::Cross {
            heading,
            angle_deg: 90.0,
            sets: CrossSets::Both,
        },
        Pattern::Loops(LoopTrain::new(loops_m, Sense::Clockwise)),
        Pattern::Contour {
            guide: Guide::CentreLine,
        },
        Pattern::HalfAndHalf { heading },
        Pattern::Rings {
            sense: Sense::CounterClockwise,
        },
    ]
}

fn mown_in_every_pattern(mower: &str, loops_m: f64) {
    let file = path("../samples/quillback.geojson");
    let course = crossgrain_formats::course::open(&file).expect("the sample course");
    let mower = crossgrain_formats::mower::open(&path(mower)).expect("a sample mower");
    let mut bad = Vec::new();
    for pattern in patterns(loops_m) {
        for f in &course.course.fairways {
            let mow = plan(f, &mower, &Settings::new(pattern)).expect("the sample can be planned");
            let m = measure(f, &mower, &mow);
            // Three parts in two thousand; rings of several units leave more at their corners, which
            // the command tells.
            let missed = match pattern {
                Pattern::Rings { .. } => 4e-3,
                _ => 1.5e-3,
            };
            if let Some(what) = unclean(&m, missed, 1.5e-3) {
                bad.push(format!("{} {pattern:?}: {what}", f.name));
            }
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

#[test]
fn a_light_mower_of_five_units_mows_the_sample_clean() {
    mown_in_every_pattern("../samples/light-five.json", 22.0 * FOOT_M);
}

#[test]
fn a_large_gang_of_seven_units_mows_the_sample_clean() {
    mown_in_every_pattern("../samples/large-gang.json", 50.0 * FOOT_M);
}
