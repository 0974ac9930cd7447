//! Much work is no reason to refuse a plan, and any plan can be called off.

use crossgrain_core::inside::ground::FairwayBuilder;
use crossgrain_core::{
    Course, Fairway, Groundwork, Heading, KeepOut, KeepOutKind, LoopTrain, Mower, Pattern,
    PlanError, Sense, Settings, plan,
};
use crossgrain_formats::course;
use geo_types::{Coord, Polygon, Rect};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

fn sample() -> Course {
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../samples/quillback.geojson");
    course::open(&file)
        .expect("the sample course is sound")
        .course
}

fn patterns() -> [Pattern; 3] {
    let heading = Heading::Along;
    [
        Pattern::Stripes { heading },
        Pattern::Loops(LoopTrain::new(22.0 * 0.3048, Sense::Clockwise)),
        Pattern::Rings {
            sense: Sense::Clockwise,
        },
    ]
}

#[test]
fn planning_ends_when_another_thread_calls_it_off() {
    let course = sample();
    let f = &course.fairways[0];
    let mower = Mower::bar(2.54);
    let settings = Settings::new(patterns()[0]);
    let stop = Arc::new(AtomicBool::new(false));
    let ready = Groundwork::stoppable(f, &mower, &settings, Some(Arc::clone(&stop))).unwrap();
    let first = ready.plan(&settings).unwrap();
    let other = std::thread::spawn(move || stop.store(true, Ordering::Relaxed));
    // Whole mows until it is called off, and never one that was cut short.
    let end = loop {
        match ready.plan(&settings) {
            Ok(mow) => assert_eq!(mow, first),
            Err(e) => break e,
        }
    };
    other.join().unwrap();
    assert_eq!(end, PlanError::Stopped);
    assert_eq!(end.to_string(), "planning was called off");
}

/// Ground of 110 m by 200 m with `bars` across it, each leaving a metre at both sides.
fn barred(bars: usize) -> Fairway {
    let at = |x: f64, y: f64| Coord { x, y };
    let bar = |i: usize| -> Polygon<f64> {
        let y = 10.0 + 11.0 * i as f64;
        Rect::new(at(1.0, y), at(109.0, y + 2.0)).to_polygon()
    };
    let keep_outs = (0..bars).map(|i| KeepOut {
        kind: KeepOutKind::Bunker,
        name: None,
        area: bar(i),
    });
    let parts = FairwayBuilder {
        name: "barred".to_string(),
        outline: vec![Rect::new(at(0.0, 0.0), at(110.0, 200.0)).to_polygon()],
        keep_outs: keep_outs.collect(),
        ..FairwayBuilder::default()
    };
    parts.build_and_tell().unwrap().0
}

#[test]
fn thousands_of_pieces_are_no_reason_to_refuse() {
    let mut mower = Mower::bar(0.6);
    mower.turning_radius_m = 1.0;
    let mut settings = Settings::new(Pattern::Stripes {
        heading: Heading::Bearing { deg: 0.0 },
    });
    settings.clean_up.rings = 0;
    // Some 215 lines, in 17 pieces each.
    let fairway = barred(16);
    let mow = plan(&fairway, &mower, &settings).unwrap();
    let stripes = mow.legs().iter().filter(|l| l.line.is_some()).count();
    assert!((3_400..3_900).contains(&stripes), "{stripes}");
    // Seventeen strips of ground and what is left at their ends, not thousands of anything.
    assert!(mow.steps().len() <= 60, "{} steps", mow.steps().len());
}
