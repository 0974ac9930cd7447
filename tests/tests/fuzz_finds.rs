//! Inputs that fuzzing found and that once broke a promise: each by the name of what was wrong.

#[path = "../fuzz/targets/shared/any_mow.rs"]
mod any_mow;

#[test]
fn loops_that_cross_each_other_by_the_thousand_take_seconds_not_minutes() {
    any_mow::any_mow(include_bytes!("../fuzz/finds/many-crossing-loops"));
}

#[test]
fn a_hole_of_the_outline_is_kept_out_of_beside_bunkers_too() {
    any_mow::any_mow(include_bytes!("../fuzz/finds/hole-beside-bunkers"));
}

#[test]
fn a_tangle_of_bunkers_is_planned_or_refused_before_long() {
    any_mow::any_mow(include_bytes!("../fuzz/finds/tangle-of-bunkers"));
}

#[test]
fn a_wide_deck_in_tight_corners_is_planned_or_refused_before_long() {
    any_mow::any_mow(include_bytes!("../fuzz/finds/wide-deck-in-tight-corners"));
}

#[test]
fn hundreds_of_wedges_about_a_point_are_planned_or_refused_before_long() {
    any_mow::any_mow(include_bytes!("../fuzz/finds/wedges-about-a-point"));
}

#[test]
fn what_a_tangle_leaves_is_drawn_before_long() {
    any_mow::any_mow(include_bytes!("../fuzz/finds/slivers-in-a-tangle"));
}

#[test]
fn hundreds_of_tracks_over_one_end_are_taken_away_before_long() {
    any_mow::any_mow(include_bytes!("../fuzz/finds/crowd-over-a-small-area"));
}
