//! Inputs that fuzzing found and that once broke a promise: each by the name of what was wrong.
//!
//! How each ends is asserted, and the effort that it takes: effort is counted, not timed, so
//! the bounds hold on every machine. They are about twice what was needed when they were written.

#[path = "../fuzz/targets/shared/any_mow.rs"]
mod any_mow;

#[path = "../fuzz/targets/shared/any_file.rs"]
mod any_file;

use any_mow::Ended;
use crossgrain_formats::export::Drives;
use crossgrain_formats::files::load_bytes;
use crossgrain_formats::survey::parse;

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
    planned_within(6_000, include_bytes!("../fuzz/finds/wedges-about-a-point"));
}

#[test]
fn what_a_tangle_leaves_is_planned_and_drawn_in_few_steps() {
    planned_within(7_000, include_bytes!("../fuzz/finds/slivers-in-a-tangle"));
}

#[test]
fn hundreds_of_tracks_over_one_end_are_taken_away_in_few_steps() {
    planned_within(
        3_500,
        include_bytes!("../fuzz/finds/crowd-over-a-small-area"),
    );
}

#[test]
fn a_letter_of_two_bytes_in_a_sentence_is_no_sentence() {
    let drive = include_bytes!("../fuzz/finds/letters-of-two-bytes");
    let drive = parse(drive.to_vec(), "edge.txt").expect("it is read as sentences");
    assert_eq!((drive.fixes.len(), drive.unusable), (0, 4), "{drive:?}");
}

#[test]
fn a_column_whose_name_is_no_text_is_refused() {
    let file = include_bytes!("../fuzz/finds/column-name-no-text");
    let nothing = any_file::Beside(vec![]);
    let Err(e) = load_bytes(file.to_vec(), "c", "fairways", &nothing) else {
        panic!("read");
    };
    assert!(e.to_string().contains("the name of a column"), "{e}");
    any_file::read_any(file, &nothing);
}

#[test]
fn an_arc_of_more_turns_than_any_loop_is_refused() {
    let plan = include_str!("../fuzz/finds/arc-of-many-turns");
    let Err(e) = Drives::read(plan, "plan.json") else {
        panic!("read");
    };
    assert!(e.to_string().contains("sweep_deg"), "{e}");
}
