//! Every limit of a setting, with its reason.

use crate::error::PlanError;
use crate::model::mower::Mower;
use crate::model::pattern::Settings;
use std::ops::RangeInclusive;

/// Widest deck that is planned for, metres: wider than any gang on a golf course.
pub const MAX_DECK_M: f64 = 30.0;
/// Narrowest deck that is planned for, metres: a single small reel.
pub const MIN_DECK_M: f64 = 0.2;
/// What is left uncut in one place is seen, and touched up, from this area on, square metres:
/// a doormat. Smaller places are measured as missed.
pub const MIN_PLACE_M2: f64 = 0.5;
/// What is nowhere wider than twice this is a thread and no place, metres: the grass on both sides
/// hides it.
pub const MIN_PLACE_RADIUS_M: f64 = 0.05;
/// What is left on both sides of a gap no wider than this is one place, metres.
pub const MAX_PLACE_GAP_M: f64 = 0.1;
/// Places nearer to each other than this are touched up in one step, metres: they are in sight of
/// each other from the seat.
pub const MAX_PATCH_GAP_M: f64 = 30.0;
/// A pass over what is left is at least this many deck widths long: nobody lines up for
/// less than the deck is wide.
pub const MIN_PATCH_DECKS: f64 = 1.0;
/// Most clean-up rings.
pub const MAX_RINGS: u32 = 50;
/// An overlap may not be wider than this part of the deck: wider is a slip of the pen.
pub const MAX_OVERLAP_PART: f64 = 0.5;
/// Farthest that a loop may reach over the outline, metres: a strip of rough.
pub const MAX_LOOP_OVERRUN_M: f64 = 10.0;
/// Most room for turns outside the outline, metres: across the next fairway.
pub const MAX_TURN_MARGIN_M: f64 = 200.0;
/// Widest loop, metres: no fairway holds a wider one.
pub const MAX_LOOP_DIAMETER_M: f64 = 100.0;
/// Largest error on the advance per loop that can be asked to leave no gap, metres.
pub const MAX_ADVANCE_TOLERANCE_M: f64 = 5.0;
/// And of steering, metres: half a deck.
pub const MAX_STEERING_TOLERANCE_M: f64 = 1.0;

/// Least angle between the sets of a cross cut, degrees: below it, and as near to half a circle, the
/// two are one set.
pub const MIN_CROSS_ANGLE_DEG: f64 = 10.0;
/// Largest one, degrees.
pub const MAX_CROSS_ANGLE_DEG: f64 = 180.0 - MIN_CROSS_ANGLE_DEG;

/// Refuses a number outside a range, and one that is none.
pub(crate) fn within(
    what: &'static str,
    value: f64,
    range: RangeInclusive<f64>,
    unit: &'static str,
    expected: impl Into<String>,
) -> Result<(), PlanError> {
    if range.contains(&value) {
        return Ok(());
    }
    Err(PlanError::BadValue {
        what,
        value,
        unit,
        expected: expected.into(),
    })
}

/// Refuses numbers that make no sense together.
pub(crate) fn check(mower: &Mower, settings: &Settings) -> Result<(), PlanError> {
    if mower.units.is_empty() {
        return Err(PlanError::NoUnits);
    }
    let width = mower.cutting_width_m();
    let (radius, overlap) = (mower.turning_radius_m, settings.overlap_m);
    let (overrun, margin) = (settings.loop_overrun_m, settings.turn_margin_m);
    let (rings, most_rings) = (f64::from(settings.clean_up.rings), f64::from(MAX_RINGS));
    let most_overlap = width * MAX_OVERLAP_PART;
    for (what, value, range, unit, why) in [
        (
            "the deck's cutting width",
            width,
            MIN_DECK_M..=MAX_DECK_M,
            "m",
            "a single reel up to a large gang",
        ),
        (
            "the overlap",
            overlap,
            0.0..=most_overlap,
            "m",
            "half the cutting width",
        ),
        (
            "the turning radius",
            radius,
            0.0..=100.0,
            "m",
            "what a mower can follow",
        ),
        (
            "the overrun of a loop",
            overrun,
            0.0..=MAX_LOOP_OVERRUN_M,
            "m",
            "a strip of rough",
        ),
        (
            "the room for turns",
            margin,
            0.0..=MAX_TURN_MARGIN_M,
            "m",
            "as far as the next fairway",
        ),
        (
            "the number of clean-up passes",
            rings,
            0.0..=most_rings,
            "",
            "two is usual",
        ),
    ] {
        let expected = format!("between {} and {} ({why})", range.start(), range.end());
        within(what, value, range, unit, expected)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::pattern::{Heading, Pattern};

    fn stripes() -> Settings {
        Settings::new(Pattern::Stripes {
            heading: Heading::Along,
        })
    }

    #[test]
    fn numbers_that_make_no_sense_are_named_with_their_value() {
        let asked = |change: fn(&mut Mower, &mut Settings)| {
            let (mut mower, mut settings) = (Mower::bar(2.5), stripes());
            change(&mut mower, &mut settings);
            match check(&mower, &settings) {
                Err(PlanError::BadValue { what, value, .. }) => (what, value),
                other => panic!("{other:?}"),
            }
        };
        assert_eq!(check(&Mower::bar(2.5), &stripes()), Ok(()));
        let width = "the deck's cutting width";
        assert_eq!(asked(|m, _| *m = Mower::bar(0.1)).0, width);
        assert_eq!(asked(|m, _| *m = Mower::bar(31.0)), (width, 31.0));
        assert_eq!(asked(|_, s| s.overlap_m = -0.1), ("the overlap", -0.1));
        assert_eq!(asked(|_, s| s.overlap_m = 2.4), ("the overlap", 2.4));
        assert!(asked(|_, s| s.overlap_m = f64::NAN).1.is_nan());
        let radius = asked(|m, _| m.turning_radius_m = -1.0);
        assert_eq!(radius.0, "the turning radius");
        let overrun = asked(|_, s| s.loop_overrun_m = f64::INFINITY);
        assert_eq!(overrun.0, "the overrun of a loop");
        assert_eq!(asked(|_, s| s.turn_margin_m = -1.0).0, "the room for turns");
        assert_eq!(asked(|_, s| s.clean_up.rings = 51).1, 51.0);
        let mut none = Mower::bar(2.5);
        none.units.clear();
        assert_eq!(check(&none, &stripes()), Err(PlanError::NoUnits));
    }

    #[test]
    fn a_refused_loop_names_the_nearest_that_can_be_driven_if_there_is_any() {
        let refused = |nearest_m: Vec<f64>| {
            let reason = "they leave strips".to_string();
            PlanError::LoopDiameter {
                asked_m: 4.0,
                reason,
                nearest_m,
            }
            .to_string()
        };
        assert_eq!(
            refused(vec![]),
            "loops of 4.00 m cannot be driven: they leave strips"
        );
        assert_eq!(
            refused(vec![5.1, 6.25]),
            "loops of 4.00 m cannot be driven: they leave strips; the nearest that can: 5.10 m, 6.25 m"
        );
        let too_wide = check(&Mower::bar(40.0), &stripes()).unwrap_err();
        assert_eq!(
            too_wide.to_string(),
            "the deck's cutting width is 40 m; it must be between 0.2 and 30 (a single reel up to a large gang)"
        );
    }
}
