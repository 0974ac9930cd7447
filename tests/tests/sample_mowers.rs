//! Every fairway of the sample course, mown in every pattern by both sample mowers: several cutting
//! units in rows leave thousands of slivers where a bar leaves none.

use crossgrain_core::model::pattern::{CrossSets, Guide, Heading, LoopTrain};
use crossgrain_core::model::units::FOOT_M;
use crossgrain_core::{Pattern, Sense, Settings, plan};
use crossgrain_metrics::measure;
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
            let reach = m.fairway_m2 - m.trim_m2;
            // Three parts in two thousand of the reach and of the fairway, and nothing but rounding in
            // a keep-out.
            if m.missed_m2 > 1.5e-3 * reach
                || m.overrun_m2 > 1.5e-3 * m.fairway_m2
                || m.keepout_cut_m2 > m.area_error_bound_m2.max(1e-6 * m.fairway_m2)
            {
                bad.push(format!(
                    "{} {pattern:?}: missed {}, overrun {}, keep-outs {}",
                    f.name, m.missed_m2, m.overrun_m2, m.keepout_cut_m2
                ));
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
