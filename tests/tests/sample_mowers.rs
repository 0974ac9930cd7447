//! Every fairway of the sample course, mown in every pattern by both sample mowers: several cutting
//! units in rows leave thousands of slivers where a bar leaves none.

use crossgrain_core::inside::model::quantity::FOOT_M;
use crossgrain_core::inside::promises::KEEP_OUT_CUT_M2;
use crossgrain_core::{CrossSets, Guide, Heading, LoopTrain, Pattern, Sense, Settings, plan};
use crossgrain_metrics::measure;
use crossgrain_metrics::promises::{Broken, broken};
use crossgrain_tests::clean_cut::unclean;
use crossgrain_tests::stored::path;
use geo_types::MultiPolygon;

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

/// Most that is missed on any fairway of the sample, of its reach.
const MISSED_AND_TOLD: f64 = 4e-3;

fn mown_in_every_pattern(mower: &str, loops_m: f64) {
    let file = path("../samples/quillback.geojson");
    let course = crossgrain_formats::course::open(&file).expect("the sample course");
    let mower = crossgrain_formats::mower::open(&path(mower)).expect("a sample mower");
    let mut bad = Vec::new();
    for pattern in patterns(loops_m) {
        for f in &course.course.fairways {
            let mow = plan(f, &mower, &Settings::new(pattern)).expect("the sample can be planned");
            let m = measure(f, &mower, &mow);
            // Corners of rings, and bends under several units, may leave more than is promised: then
            // the command tells it, and it is never much.
            let told = broken(&mower, &mow, &m, &MultiPolygon(Vec::new()))
                .iter()
                .any(|b| matches!(b, Broken::MissedPart { .. }));
            let much = m.missed_m2 > MISSED_AND_TOLD * (m.fairway_m2 - m.trim_m2);
            if let Some(what) = unclean(&mower, &m)
                && (much || !told || m.keepout_cut_m2 > KEEP_OUT_CUT_M2)
            {
                bad.push(format!("{} {pattern:?}: {what}", f.name()));
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
