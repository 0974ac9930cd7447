//! Inputs that fuzzing found and that once broke a promise: each by the name of what was wrong.
//!
//! How each ends is asserted, and the effort that it takes: effort is counted, not timed, so
//! the bounds hold on every machine. They are about twice what was needed when they were written.

#[path = "../fuzz/targets/shared/any_mow.rs"]
mod any_mow;

use any_mow::Ended;

/// It is planned, with at most so many steps.
fn planned_within(steps: u64, data: &[u8]) {
    match any_mow::any_mow(data) {
        Ended::Planned { work } => {
            assert!((1..=steps).contains(&work), "{work} steps, not {steps}")
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn loops_that_cross_each_other_by_the_thousand_take_few_steps() {
    planned_within(4_000, include_bytes!("../fuzz/finds/many-crossing-loops"));
}

#[test]
fn a_hole_of_the_outline_is_kept_out_of_beside_bunkers_too() {
    planned_within(12_000, include_bytes!("../fuzz/finds/hole-beside-bunkers"));
}

#[test]
fn a_tangle_of_bunkers_is_planned_in_few_steps() {
    planned_within(140_000, include_bytes!("../fuzz/finds/tangle-of-bunkers"));
}

#[test]
fn a_wide_deck_in_tight_corners_is_planned_in_few_steps() {
    planned_within(
        7_700,
        include_bytes!("../fuzz/finds/wide-deck-in-tight-corners"),
    );
}

#[test]
fn hundreds_of_wedges_about_a_point_are_planned_in_few_steps() {
    planned_within(1_700, include_bytes!("../fuzz/finds/wedges-about-a-point"));
}

#[test]
fn what_a_tangle_leaves_is_planned_and_drawn_in_few_steps() {
    planned_within(7_000, include_bytes!("../fuzz/finds/slivers-in-a-tangle"));
}

#[test]
fn hundreds_of_tracks_over_one_end_are_taken_away_in_few_steps() {
    planned_within(
        1_100,
        include_bytes!("../fuzz/finds/crowd-over-a-small-area"),
    );
}
