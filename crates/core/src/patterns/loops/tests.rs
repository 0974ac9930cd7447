use crate::deck::ring;
use crate::drawn::{bunker, five_units, rect};
use crate::ground::FairwayBuilder;
use crate::model::ground::Fairway;
use crate::model::mow::{Mow, Note, PlacedLeg, Role};
use crate::model::mower::Mower;
use crate::model::pattern::{Heading, LoopForm, LoopTrain, Pattern, Sense, Settings};
use crate::model::quantity::FOOT_M;
use crate::model::track::{Reels, Segment};
use crate::plan::plan;
use crate::swath::contact::{Prepared, touch_spans};
use crate::swath::shapes::uncut;
use geo::{Area, Contains, Distance, Euclidean};
use geo_types::{Coord, MultiPolygon, Point, Polygon};
use proptest::prelude::*;
use std::f64::consts::TAU;

fn blob(middle: (f64, f64), radii: (f64, f64), waves: &[(f64, f64)]) -> Polygon<f64> {
    const CORNERS: u32 = 90;
    let corner = |i: u32| {
        let t = TAU * f64::from(i) / f64::from(CORNERS);
        let wave = |(k, (size, phase)): (u32, &(f64, f64))| size * (f64::from(k) * t + phase).cos();
        let far = 1.0 + (2..).zip(waves).map(wave).sum::<f64>();
        let x = middle.0 + radii.0 * far * t.cos();
        let y = middle.1 + radii.1 * far * t.sin();
        Coord { x, y }
    };
    Polygon::new((0..CORNERS).map(corner).collect(), Vec::new())
}

fn ground(outline: Polygon<f64>, bunkers: Vec<Polygon<f64>>) -> Fairway {
    FairwayBuilder {
        name: "1".into(),
        outline: vec![outline],
        keep_outs: bunkers.into_iter().map(bunker).collect(),
        ..FairwayBuilder::default()
    }
    .build_and_tell()
    .expect("a sound outline")
    .0
}

/// Loops of so many feet clockwise, with so many clean-up passes.
fn settings(diameter_ft: f64, rings: u32) -> Settings {
    let train = LoopTrain::new(diameter_ft * FOOT_M, Sense::Clockwise);
    let mut settings = Settings::new(Pattern::Loops(train));
    settings.clean_up.rings = rings;
    settings
}

fn lanes(mow: &Mow) -> impl Iterator<Item = &PlacedLeg> {
    let all = mow.legs().iter();
    all.filter(|l| matches!(l.role, Role::Lane { .. }))
}

/// How far the disc of an arc reaches: the outermost cutting unit's circle.
fn disc_m(mower: &Mower, radius_m: f64, sense: Sense) -> f64 {
    let outer = |u| ring(u, radius_m, sense).1;
    mower.units.iter().map(outer).fold(0.0, f64::max)
}

/// No disc beyond the allowed overrun or on a keep-out; no reel on a keep-out; no lift in a lane.
fn whole(f: &Fairway, mower: &Mower, settings: &Settings, sense: Sense, mow: &Mow) {
    let barred: MultiPolygon<f64> = f.keep_outs.iter().map(|k| k.area.clone()).collect();
    for leg in lanes(mow) {
        for t in mow.tracks_of(leg) {
            assert_eq!(t.reels, Reels::Down);
            let Segment::Arc(a) = t.path else { continue };
            let centre = Point(a.centre);
            let disc = disc_m(mower, a.radius_m, sense);
            for p in &f.outline {
                let edge = Euclidean.distance(&centre, p.exterior());
                assert!(p.contains(&centre), "{:?}", a.centre);
                // Round corners of the grown outline are chords a fraction of a millimetre inside.
                assert!(disc <= edge + settings.loop_overrun_m, "{disc} {edge}");
            }
            for k in &barred {
                assert!(disc < Euclidean.distance(&centre, k), "{:?}", a.centre);
            }
        }
    }
    let area = Prepared::new(&barred);
    for t in mow.tracks().filter(|t| t.reels == Reels::Down) {
        assert_eq!(touch_spans(&t.path, &mower.units, &area), vec![], "{t:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn whole_loops_stay_within_the_ground_and_all_is_cut_or_small(
        radii in (25.0f64..90.0, 12.0f64..30.0),
        waves in prop::collection::vec((0.0f64..0.09, 0.0f64..TAU), 3),
        bunkers in prop::collection::vec((-0.8f64..0.8, -0.8f64..0.8, 2.0f64..7.0), 0..4),
        five in any::<bool>(), left in any::<bool>(), roll in any::<bool>(),
        rings in 0u32..4, feet in 20.0f64..24.0,
    ) {
        let bunker = |&(x, y, r)| blob((x * radii.0, y * radii.1), (r, 0.7 * r), &[]);
        let bunkers = bunkers.iter().map(bunker).collect();
        let f = ground(blob((0.0, 0.0), radii, &waves), bunkers);
        let mower = if five { five_units() } else { Mower::bar(2.54) };
        let sense = if left { Sense::CounterClockwise } else { Sense::Clockwise };
        let mut settings = Settings::new(Pattern::Loops(LoopTrain {
            form: Some(if roll { LoopForm::Roll } else { LoopForm::Drift }),
            ..LoopTrain::new(feet * FOOT_M, sense)
        }));
        settings.clean_up.rings = rings;
        // Five units leave strips on some diameters.
        let Ok(mow) = plan(&f, &mower, &settings) else {
            prop_assume!(five);
            return Ok(());
        };
        whole(&f, &mower, &settings, sense, &mow);
        // Cut, but for places that are no pass and for corners beside keep-outs.
        let reach = crate::ground::reach::reach(&f.ground, mower.cutting_width_m());
        let missed = uncut(&reach, mow.tracks().as_slice(), &mower.units, 0.005).unsigned_area();
        let all = reach.unsigned_area();
        prop_assert!(missed <= 4e-3 * all + 3.0, "missed {missed} of {all}");
    }
}

#[test]
fn a_plain_fairway_needs_one_pass_a_lane_and_nothing_along_its_sides() {
    let f = ground(rect(0.0, 0.0, 120.0, 33.0), Vec::new());
    let mower = Mower::bar(2.54);
    let settings = Settings::new(Pattern::Loops(LoopTrain {
        heading: Heading::Bearing { deg: 90.0 },
        ..LoopTrain::new(21.0 * FOOT_M, Sense::Clockwise)
    }));
    let mow = plan(&f, &mower, &settings).expect("a plan");
    whole(&f, &mower, &settings, Sense::Clockwise, &mow);
    assert_eq!(mow.settings().lanes, Some(lanes(&mow).count() as u32));
    // What clean-up passes leave in the four square corners may be touched up.
    let touched = mow.legs().iter().filter(|l| l.role == Role::TouchUp);
    assert!(touched.count() <= 4);
    let few = |n: &Note| matches!(n, Note::FewLoopsFit { .. });
    assert!(!mow.notes().iter().any(few));
}

#[test]
fn first_rounds_are_whole_without_clean_up_passes_and_where_hardly_a_loop_fits_a_note_says_so() {
    let f = ground(blob((0.0, 0.0), (70.0, 25.0), &[(0.05, 1.0)]), Vec::new());
    let mow = plan(&f, &Mower::bar(2.54), &settings(22.0, 0)).expect("a plan");
    let round = |ring: u32| mow.legs().iter().any(|l| l.role == Role::CleanUp { ring });
    assert!(round(0) && round(1));
    let f = ground(rect(0.0, 0.0, 60.0, 12.5), Vec::new());
    let mow = plan(&f, &Mower::bar(2.54), &settings(50.0, 1)).expect("a plan");
    assert_eq!(lanes(&mow).count(), 0);
    assert!(mow.notes().contains(&Note::FewLoopsFit { share: 0.0 }));
}
