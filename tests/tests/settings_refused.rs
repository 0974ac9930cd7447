//! Settings of patterns that make no sense are refused by name, and groundwork is shared only where
//! it suits.

use crossgrain_core::inside::planner::plan_each_and;
use crossgrain_core::{
    CrossSets, Fairway, Groundwork, Guide, Heading, LoopTrain, Mower, Pattern, PlanError, Sense,
    Settings, plan,
};
use crossgrain_tests::grounds::field;

fn refused(fairway: &Fairway, mower: &Mower, pattern: Pattern) -> PlanError {
    match plan(fairway, mower, &Settings::new(pattern)) {
        Ok(mow) => panic!("planned with {} tracks", mow.tracks().as_slice().len()),
        Err(e) => e,
    }
}

fn loops(change: fn(&mut LoopTrain)) -> Pattern {
    let mut train = LoopTrain::new(6.5, Sense::Clockwise);
    change(&mut train);
    Pattern::Loops(train)
}

#[test]
fn a_cross_cut_crosses() {
    let (f, m) = (field(80.0, 30.0), Mower::bar(2.5));
    for angle_deg in [0.0, 180.0, -30.0, f64::NAN] {
        let e = refused(
            &f,
            &m,
            Pattern::Cross {
                heading: Heading::Along,
                angle_deg,
                sets: CrossSets::Both,
            },
        );
        let PlanError::BadValue { value, unit, .. } = e else {
            panic!("{e}")
        };
        assert_eq!((value.to_bits(), unit), (angle_deg.to_bits(), "degrees"));
    }
}

#[test]
fn loops_that_make_no_sense_are_refused_by_the_number_that_is_wrong() {
    let (f, m) = (field(80.0, 30.0), Mower::bar(2.5));
    let what = |pattern: Pattern| match refused(&f, &m, pattern) {
        PlanError::BadValue { what, .. } => what,
        e => panic!("{e}"),
    };
    assert_eq!(what(loops(|t| t.lane_shift = f64::NAN)), "lane shift");
    assert_eq!(what(loops(|t| t.diameter_min_m = 0.0)), "loop diameter");
    assert_eq!(
        what(loops(|t| t.diameter_max_m = 6.0)),
        "largest loop diameter"
    );
    assert_eq!(
        what(loops(|t| t.diameter_max_m = 101.0)),
        "largest loop diameter"
    );
    assert_eq!(
        what(loops(|t| t.advance_tolerance_m = -0.1)),
        "advance tolerance"
    );
    assert_eq!(
        what(loops(|t| t.steering_tolerance_m = 2.0)),
        "steering tolerance"
    );
    // Tighter than the mower turns: the nearest that can be driven is named.
    let e = refused(
        &f,
        &m,
        loops(|t| (t.diameter_min_m, t.diameter_max_m) = (1.0, 1.0)),
    );
    assert!(
        matches!(&e, PlanError::LoopDiameter { asked_m, nearest_m, .. }
            if *asked_m == 1.0 && nearest_m.iter().all(|d| *d > 1.0) && !nearest_m.is_empty()),
        "{e}"
    );
}

#[test]
fn more_passes_or_loops_than_anybody_drives_are_refused_by_number() {
    let narrow = Mower::bar(0.25);
    let wide = field(330.0, 330.0);
    let stripes = Pattern::Stripes {
        heading: Heading::Along,
    };
    let e = refused(&wide, &narrow, stripes);
    assert!(
        matches!(e, PlanError::BadValue { what: "the pass spacing", value, .. } if value < 0.6),
        "{e}"
    );
    let square_km = field(1500.0, 1500.0);
    let e = refused(&square_km, &Mower::bar(1.5), loops(|_| {}));
    assert!(
        matches!(
            e,
            PlanError::BadValue {
                what: "the loop diameter",
                ..
            }
        ),
        "{e}"
    );
}

#[test]
fn groundwork_is_shared_where_it_suits_and_laid_anew_where_not() {
    let (f, m) = (field(120.0, 30.0), Mower::bar(2.5));
    let stripes = Settings::new(Pattern::Stripes {
        heading: Heading::Along,
    });
    let mut each = vec![stripes; 5];
    each[1].pattern = Pattern::Contour {
        guide: Guide::CentreLine,
    };
    each[2].turn_margin_m = 4.0;
    each[3].turn_shift = 2;
    each[4].overlap_m = 0.3;
    let alone: Vec<_> = each.iter().map(|s| plan(&f, &m, s)).collect();
    let planned = |each: &[Settings]| plan_each_and(&f, &m, each, |mow, _| mow);
    assert_eq!(planned(&each), alone);
    let ready = Groundwork::new(&f, &m, &each[0]).unwrap();
    let suits: Vec<bool> = each.iter().map(|s| ready.suits(s)).collect();
    assert_eq!(suits, [true, true, false, false, false]);
    // Asked for settings that it does not suit, it lays what they need.
    for (s, mow) in each.iter().zip(&alone) {
        assert_eq!(&ready.plan(s), mow);
    }
    // One refused among several leaves the others as they are.
    let mut bad = each[0].clone();
    bad.overlap_m = f64::NAN;
    let mixed = planned(&[each[0].clone(), bad.clone(), each[1].clone()]);
    assert!(mixed[1].is_err());
    assert_eq!((&mixed[0], &mixed[2]), (&alone[0], &alone[1]));
    assert!(matches!(ready.plan(&bad), Err(PlanError::BadValue { .. })));
}
