//! Driving on the sample course: steps say what is driven, and no way enters barred ground.

use crossgrain_core::{
    Course, Fairway, Heading, Mow, Mower, Pattern, Reels, Settings, Side, StepKind, StepRule, plan,
};
use crossgrain_formats::{course, mower};
use geo::{Contains, Intersects};
use geo_types::{LineString, Point};
use std::path::PathBuf;

/// Joins are flattened to chords this near to them, metres.
const CHORD_M: f64 = 0.002;

fn sample(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../samples")
        .join(name)
}

fn course() -> Course {
    course::open(&sample("quillback.geojson"))
        .expect("the sample course is sound")
        .course
}

/// Plain bars as wide as the sample mowers and turning as wide: the order does not depend on
/// the cutting units, and bars plan ten times faster.
fn bar_like(name: &str) -> Mower {
    let like = mower::open(&sample(name)).expect("the sample mower is sound");
    let mut m = Mower::bar(like.cutting_width_m());
    m.turning_radius_m = like.turning_radius_m;
    m
}

fn light_five() -> Mower {
    bar_like("light-five.json")
}

fn planned(f: &Fairway, m: &Mower, keep: bool) -> Mow {
    let mut settings = Settings::new(Pattern::Stripes {
        heading: Heading::Along,
    });
    settings.keep_directions = keep;
    plan(f, m, &settings).expect("stripes can be planned")
}

/// What is left of a mow between its legs, in the numbers of its steps.
fn told(mow: &Mow) {
    let mut next = 0;
    for (i, s) in mow.steps().iter().enumerate() {
        assert_eq!(s.legs.start, next, "steps follow each other");
        next = s.legs.end;
        let legs = &mow.legs()[s.legs.clone()];
        assert!(legs.iter().all(|l| l.step == i));
        let lines: Vec<u32> = legs.iter().filter_map(|l| l.line).collect();
        let range = lines.iter().min().copied().zip(lines.iter().max().copied());
        assert_eq!(s.lines, range);
        if s.kind == StepKind::Block {
            // Every line once, in one go; each with its own way.
            let mut order = lines.clone();
            order.dedup();
            let mut sorted = order.clone();
            sorted.sort_unstable();
            sorted.dedup();
            assert_eq!(order.len(), sorted.len(), "{order:?}");
            let begins_left = order[0] == sorted[0];
            let side = if begins_left {
                Side::LeftToRight
            } else {
                Side::RightToLeft
            };
            assert!(order.len() == 1 || s.side == Some(side), "{order:?}");
            match s.rule {
                StepRule::Next => {
                    let steps = order.windows(2).map(|w| w[0].abs_diff(w[1]));
                    assert!(steps.clone().all(|d| d == 1), "{order:?}");
                }
                StepRule::Every(k) => {
                    let first: Vec<u32> = std::iter::once(order[0])
                        .chain(
                            order
                                .windows(2)
                                .filter(|w| w[0].abs_diff(w[1]) != k)
                                .map(|w| w[1]),
                        )
                        .collect();
                    assert_eq!(s.sweeps, first, "{order:?}");
                }
                _ => panic!("no rule for stripes: {:?}", s.rule),
            }
        }
    }
    assert_eq!(next, mow.legs().len(), "every leg is in a step");
}

#[test]
fn steps_say_what_is_driven() {
    for m in [Mower::bar(2.54), light_five(), bar_like("large-gang.json")] {
        for keep in [true, false] {
            for f in &course().fairways {
                told(&planned(f, &m, keep));
            }
        }
    }
}

#[test]
fn no_join_enters_a_keep_out_or_no_turn_ground() {
    let mut joins = 0;
    // The mower planned for by default, and the light one.
    for m in [Mower::bar(2.54), light_five()] {
        joins += joins_checked(&m);
    }
    assert!(joins > 200);
}

fn joins_checked(m: &Mower) -> usize {
    let mut joins = 0;
    for f in &course().fairways {
        let mow = planned(f, m, true);
        for t in mow.tracks().filter(|t| t.reels == Reels::Up) {
            joins += 1;
            let line = LineString(t.path.points(CHORD_M));
            let barred = f.keep_outs().iter().map(|k| &k.area).chain(f.no_turn());
            for area in barred {
                // A join may touch nothing of it: neither cross an edge nor lie inside.
                assert!(
                    !area.intersects(&line),
                    "fairway {}: a join at {:?}",
                    f.name(),
                    line.0[0]
                );
                assert!(!area.contains(&Point(line.0[0])));
            }
        }
    }
    joins
}
