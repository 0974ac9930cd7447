//! Driving on the sample course: less idle distance than from neighbour to neighbour, and no
//! join on barred ground. Run with `--nocapture` for the table.

use crossgrain_core::driving::order::Ordering;
use crossgrain_core::model::pattern::Heading;
use crossgrain_core::plan::plan_ordered;
use crossgrain_core::{Course, Fairway, Mow, Mower, Pattern, Reels, Settings};
use crossgrain_formats::{course, mower};
use geo::{Contains, Intersects};
use geo_types::{LineString, Point};
use std::path::PathBuf;

/// Idle distance against neighbour to neighbour, over the course, where the turning radius is
/// more than half the spacing.
const SAVED: f64 = 0.85;
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

fn large_gang() -> Mower {
    bar_like("large-gang.json")
}

fn planned(f: &Fairway, m: &Mower, keep: bool, ordering: Ordering) -> Mow {
    let mut settings = Settings::new(Pattern::Stripes {
        heading: Heading::Along,
    });
    settings.keep_directions = keep;
    plan_ordered(f, m, &settings, ordering).expect("stripes can be planned")
}

/// Idle distances over the course: best, neighbour to neighbour. Never more on any fairway.
fn compared(m: &Mower, keep: bool) -> (f64, f64) {
    let (mut best, mut plain) = (0.0, 0.0);
    println!(
        "{}, radius {} m, directions {}",
        m.name,
        m.turning_radius_m,
        if keep { "kept" } else { "free" }
    );
    for f in &course().fairways {
        let a = planned(f, m, keep, Ordering::Best).transport_m();
        let b = planned(f, m, keep, Ordering::Neighbours).transport_m();
        println!(
            "| {} | {a:.0} | {b:.0} | {:.0}% |",
            f.name,
            100.0 * (1.0 - a / b)
        );
        assert!(
            a <= b + 1e-6,
            "fairway {}: {a} m, neighbour to neighbour {b} m",
            f.name
        );
        best += a;
        plain += b;
    }
    println!(
        "| all | {best:.0} | {plain:.0} | {:.0}% |",
        100.0 * (1.0 - best / plain)
    );
    (best, plain)
}

#[test]
fn a_wide_turning_mower_drives_a_sixth_less_idle() {
    let m = light_five();
    assert!(m.turning_radius_m > m.cutting_width_m() / 2.0);
    let (best, plain) = compared(&m, true);
    assert!(
        best <= SAVED * plain,
        "{best} m, neighbour to neighbour {plain} m"
    );
}

#[test]
fn so_does_a_large_gang() {
    let m = large_gang();
    assert!(m.turning_radius_m > m.cutting_width_m() / 2.0);
    let (best, plain) = compared(&m, true);
    assert!(
        best <= SAVED * plain,
        "{best} m, neighbour to neighbour {plain} m"
    );
}

#[test]
fn a_tight_turning_mower_never_drives_more() {
    let mut m = light_five();
    m.turning_radius_m = 1.0;
    let (best, plain) = compared(&m, true);
    assert!(best <= plain);
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
        let mow = planned(f, m, true, Ordering::Best);
        for t in mow.tracks.iter().filter(|t| t.reels == Reels::Up) {
            joins += 1;
            let line = LineString(t.path.points(CHORD_M));
            let barred = f.keep_outs.iter().map(|k| &k.area).chain(&f.no_turn);
            for area in barred {
                // A join may touch nothing of it: neither cross an edge nor lie inside.
                assert!(
                    !area.intersects(&line),
                    "fairway {}: a join at {:?}",
                    f.name,
                    line.0[0]
                );
                assert!(!area.contains(&Point(line.0[0])));
            }
        }
    }
    joins
}
