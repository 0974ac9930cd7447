//! Sound and unsound drawings.

use super::*;
use crate::drawn::{bunker, rect as square};
use approx::assert_relative_eq;
use geo::Validation;
use std::error::Error;
use std::f64::consts::{PI, TAU};

type Rings = Vec<Polygon<f64>>;

fn ring(points: &[(f64, f64)]) -> Polygon<f64> {
    Polygon::new(points.iter().copied().collect(), vec![])
}

fn parts(outline: Rings, keep_outs: Rings) -> FairwayBuilder {
    FairwayBuilder {
        name: "1".into(),
        outline,
        keep_outs: keep_outs.into_iter().map(bunker).collect(),
        ..Default::default()
    }
}

/// Most are drawn in this field.
fn field() -> Polygon<f64> {
    square(0., 0., 100., 30.)
}

/// A polygon with holes.
fn holed(outer: Polygon<f64>, holes: &[Polygon<f64>]) -> Polygon<f64> {
    let holes = holes.iter().map(|h| h.exterior().clone()).collect();
    Polygon::new(outer.exterior().clone(), holes)
}

fn backward(area: Polygon<f64>) -> Polygon<f64> {
    Polygon::new(area.exterior().0.iter().rev().copied().collect(), vec![])
}

/// So many points on a circle, each a step farther.
fn round(points: usize, step_rad: f64) -> Polygon<f64> {
    let at = |i| (step_rad * i as f64).sin_cos();
    let points: Vec<_> = (0..points)
        .map(at)
        .map(|(s, c)| (90.0 * c, 90.0 * s))
        .collect();
    ring(&points)
}

/// The only fault of what is drawn so.
fn refused(outline: Rings, keep_outs: Rings) -> Located<Fault> {
    let faults = parts(outline, keep_outs).build_and_tell().unwrap_err();
    assert_eq!(faults.0.len(), 1, "{faults}");
    faults.0[0].clone()
}

/// What is drawn so is sound, its ground has this area, and these repairs were made.
fn repaired(outline: Rings, keep_outs: Rings, ground_m2: f64, repairs: &[Repair]) -> Fairway {
    let (f, made) = parts(outline, keep_outs)
        .build_and_tell()
        .expect("a sound fairway");
    assert!(f.ground.is_valid(), "{:?}", f.ground);
    assert!(f.outline.is_valid(), "{:?}", f.outline);
    for p in f.ground.iter() {
        assert!(p.signed_area() > 0.0);
        for r in p.interiors() {
            assert!(Polygon::new(r.clone(), vec![]).signed_area() < 0.0);
        }
    }
    assert_relative_eq!(f.ground.unsigned_area(), ground_m2, epsilon = 1e-3);
    let made: Vec<Repair> = made.into_iter().map(|r| r.found).collect();
    assert_eq!(made, repairs);
    f
}

#[test]
fn keep_outs_are_taken_out_and_kept_whole() {
    let kept = |keep_outs, ground_m2| repaired(vec![field()], keep_outs, ground_m2, &[]);
    let inside = kept(vec![square(40., 10., 5., 5.)], 2975.0);
    assert_eq!(inside.ground.0[0].interiors().len(), 1);
    let bites = kept(vec![square(40., 28., 5., 5.)], 2990.0);
    assert_eq!(bites.ground.0[0].interiors().len(), 0);
    let area_m2 = bites.keep_outs[0].area.unsigned_area();
    assert_relative_eq!(area_m2, 25.0, epsilon = 1e-4);
    // Those that overlap stay apart in the list.
    let overlapping = vec![square(40., 10., 5., 5.), square(43., 10., 5., 5.)];
    assert_eq!(kept(overlapping, 2960.0).keep_outs.len(), 2);
    // Beyond the range they are left aside: the last within the bounds, but round a corner.
    let beyond = [(119., 0.), (121., 0.), (115., 46.)].map(|(x, y)| square(x, y, 5., 5.));
    assert_eq!(kept(beyond.to_vec(), 3000.0).keep_outs.len(), 1);
}

#[test]
fn a_crossing_outline_is_located() {
    let bow_tie = ring(&[(0., 0.), (40., 40.), (40., 0.), (0., 40.)]);
    let fault = refused(vec![bow_tie], vec![]);
    assert_eq!(fault.found, Fault::SelfCrossing { edges: (0, 2) });
    let text = fault.to_string();
    let place = "outline 0, ring 0, vertex 0 at (20.00, 20.00) m: the outline crosses itself: ";
    assert!(text.starts_with(place), "{text}");
    // An eight through a shared vertex.
    let mut eight = vec![(0., 0.), (20., 20.), (40., 40.)];
    eight.extend([(40., 0.), (20., 20.), (0., 40.)]);
    // A curl: the same ground wound twice.
    let mut curl = vec![(0., 0.), (40., 0.), (40., 40.), (20., 40.)];
    curl.extend([(20., 10.), (60., 10.), (60., 50.), (0., 50.)]);
    for (crossing, at) in [(eight, (20., 20.)), (curl, (40., 10.))] {
        let fault = refused(vec![ring(&crossing)], vec![]);
        assert!(matches!(fault.found, Fault::SelfCrossing { .. }), "{fault}");
        assert_eq!(fault.location.unwrap().at, Some(at.into()));
    }
}

#[test]
fn rings_that_touch_are_split_or_merged() {
    let mut pinch = vec![(0., 0.), (20., 20.), (40., 0.)];
    pinch.extend([(40., 40.), (20., 20.), (0., 40.)]);
    let f = repaired(vec![ring(&pinch)], vec![], 800.0, &[Repair::SelfTouching]);
    assert_eq!(f.outline.0.len(), 2);
    let halves = vec![square(0., 0., 50., 30.), square(50., 0., 50., 30.)];
    let (f, repairs) = parts(halves, vec![]).build_and_tell().unwrap();
    assert_eq!(f.outline.0.len(), 1);
    // What concerns the whole is told without a place, all else with one.
    let merged = "2 parts that touch or overlap (0.0 m2 drawn twice); merged into 1";
    assert_eq!(repairs[0].to_string(), merged);
    let (_, repairs) = parts(vec![backward(field())], vec![])
        .build_and_tell()
        .unwrap();
    let turned = "outline 0, ring 0 at (100.00, 0.00) m: a ring ran the wrong way round; turned";
    assert_eq!(repairs[0].to_string(), turned);
}

#[test]
fn winding_duplicates_and_spikes_are_put_right() {
    let mut untidy = vec![(0., 0.), (0., 30.), (0., 30.), (50., 30.)];
    untidy.extend([(50., 38.), (50., 30.), (100., 30.), (100., 0.)]);
    let duplicates = Repair::DuplicatePoints { count: 2 };
    let made = [duplicates, Repair::Spikes { count: 1 }, Repair::Rewound];
    repaired(vec![ring(&untidy)], vec![], 3000.0, &made);
}

#[test]
fn holes_are_merged_dropped_and_turned() {
    let hole = |x: f64, y: f64| backward(square(x, y, 5., 5.));
    let holes = [hole(20., 10.), hole(25., 10.), hole(200., 0.)];
    let made = [Repair::HoleOutside, Repair::HolesMerged];
    let f = repaired(vec![holed(field(), &holes)], vec![], 2950.0, &made);
    assert_eq!(f.outline.0[0].interiors().len(), 1);
    // A moat round an island, its hole wound like its outside.
    let moat = holed(square(40., 5., 20., 20.), &[square(45., 10., 10., 10.)]);
    repaired(vec![field()], vec![moat], 2700.0, &[Repair::Rewound]);
    // Holes without area are dropped; one that leaves next to nothing is a fault.
    let thin = ring(&[(8., 5.), (11., 5.), (14., 5.), (8., 5.)]);
    let outline = holed(field(), &[thin]);
    repaired(vec![outline.clone()], vec![], 3000.0, &[Repair::Dropped]);
    let (area, repairs) = keep_out(&outline).unwrap();
    assert_relative_eq!(area.unsigned_area(), 3000.0, epsilon = 1e-4);
    assert_eq!(repairs[0].found, Repair::Dropped);
    assert_eq!(repairs[0].location.map(|l| l.ring), Some(1));
    let halves = [square(0., 0., 50.1, 30.), square(50., 0., 50., 30.)];
    for holes in [&halves[..], &[field()]] {
        let covered = refused(vec![holed(field(), holes)], vec![]);
        assert_eq!(covered.found, Fault::HoleCovers);
    }
}

#[test]
fn odd_keep_outs_keep_out_too_much() {
    // One that crosses itself keeps out all it encloses.
    let bow = ring(&[(20., 5.), (40., 25.), (40., 5.), (20., 25.)]);
    repaired(vec![field()], vec![bow], 2800.0, &[Repair::Uncrossed]);
    // One across a corner of 3 m a side leaves a triangle 0.35 m a side, too small to mow.
    let across = ring(&[(-1., 28.65), (-1., 26.), (4., 31.), (1.35, 31.)]);
    let (f, repairs) = parts(vec![field()], vec![across]).build_and_tell().unwrap();
    assert_relative_eq!(f.ground.unsigned_area(), 3000.0 - 4.5, epsilon = 1e-3);
    assert!(matches!(repairs[0].found, Repair::Sliver { .. }));
    assert_eq!((f.ground.0.len(), repairs.len()), (1, 1));
    let two = vec![square(10., 10., 2., 2.), square(-5., -5., 120., 40.)];
    let covered = refused(vec![field()], two).found;
    assert_eq!(covered, Fault::Covered { keep_outs: vec![1] });
}

#[test]
fn every_bad_coordinate_is_found() {
    let bad = [(0., 0.), (f64::NAN, 0.), (100., f64::INFINITY), (0., 30.)];
    let far = ring(&[(1., 1.), (1e9, 1.), (1., 2.)]);
    let mut p = parts(vec![ring(&bad)], vec![far]);
    p.hole_line = Some(vec![(0.0, 0.0), (f64::NAN, 0.0)].into());
    p.way_in = Some(Coord::from((0.0, f64::NAN)));
    let faults = p.build_and_tell().unwrap_err().0;
    let places = faults.iter().map(|f| f.location.unwrap().to_string());
    let named = [
        "outline 0, ring 0, vertex 1 at (NaN, 0.00) m",
        "outline 0, ring 0, vertex 2 at (100.00, inf) m",
        "keep-out 0, ring 0, vertex 1 at (1000000000.00, 1.00) m",
        "hole line 0, vertex 1 at (NaN, 0.00) m",
        "way in 0, vertex 0 at (0.00, NaN) m",
    ];
    assert_eq!(places.collect::<Vec<_>>(), named);
}

#[test]
fn empty_and_flat_outlines_are_refused() {
    let none = refused(vec![], vec![]);
    assert_eq!(none, Located::new(None, Fault::NoOutline));
    let told = "there is no outline; draw the fairway as a polygon";
    assert_eq!(none.to_string(), told);
    for flat in [&[][..], &[(0., 0.)], &[(0., 0.), (5., 5.), (9., 9.)]] {
        let fault = refused(vec![ring(flat)], vec![]).found;
        assert!(matches!(fault, Fault::TooFewPoints { .. }), "{fault}");
    }
}

#[test]
fn scribbles_are_refused_before_they_fill_the_memory() {
    let scribble = round(5000, 2.4);
    assert!(
        parts(vec![scribble.clone()], vec![])
            .build_and_tell()
            .is_err()
    );
    let outline = square(-100., -100., 200., 200.);
    assert!(
        parts(vec![outline], vec![scribble])
            .build_and_tell()
            .is_err()
    );
    // Two combs at right angles: 1,200 teeth each would cross millions of times.
    let mut comb = vec![(0.0, -1.0)];
    for i in 0..1200 {
        let x = f64::from(i) * 0.05;
        let tooth = [(0.0, 90.0), (0.02, 90.0), (0.025, 0.0), (0.045, 0.0)];
        comb.extend(tooth.map(|(dx, y)| (x + dx, y)));
    }
    comb.push((80.0, -1.0));
    let turned: Vec<(f64, f64)> = comb.iter().map(|&(x, y)| (y, x)).collect();
    let (comb, turned) = (ring(&comb), ring(&turned));
    let both = holed(comb.clone(), std::slice::from_ref(&turned));
    let square = square(0., 0., 90., 90.);
    for (outline, keep_outs) in [(both, vec![]), (square, vec![comb, turned])] {
        let fault = refused(vec![outline], keep_outs).found;
        assert!(matches!(fault, Fault::TooManyCrossings { .. }), "{fault}");
    }
}

#[test]
fn a_keep_out_by_itself_is_checked_like_one_of_many() {
    let (area, repairs) = keep_out(&square(0., 0., 5., 4.)).expect("a sound bunker");
    assert!(repairs.is_empty());
    assert_relative_eq!(area.unsigned_area(), 20.0, epsilon = 1e-6);
    // Flat: dropped, because nothing is kept out of.
    let flat = ring(&[(0., 0.), (5., 0.), (9., 0.), (0., 0.)]);
    let (area, repairs) = keep_out(&flat).expect("nothing");
    assert!(area.0.is_empty());
    assert_eq!(repairs[0].found, Repair::Dropped);
    // Unsound: refused.
    let fault = |area: &Polygon<f64>| keep_out(area).unwrap_err().0.remove(0).found;
    let nowhere = ring(&[(0., 0.), (f64::NAN, 0.), (9., 3.)]);
    assert_eq!(fault(&nowhere), Fault::NotFinite);
    let limit = MAX_VERTICES;
    let many = holed(round(limit, TAU / limit as f64), &[square(0., 0., 3., 3.)]);
    let count = limit + 1 + 5;
    let too_many = Fault::TooManyVertices { count, limit };
    assert_eq!(fault(&many), too_many);
    assert_eq!(refused(vec![many], vec![]).found, too_many);
    // A star of many points drawn through its middle.
    let limit = MAX_CROSSINGS;
    let star = fault(&round(801, 1.0025 * PI));
    assert_eq!(star, Fault::TooManyCrossings { limit });
}

#[test]
fn every_fault_is_told_and_the_first_is_the_source() {
    let bow_tie = ring(&[(0., 0.), (9., 9.), (9., 0.), (0., 9.)]);
    let thread = ring(&[(0., 0.), (9., 0.)]);
    let drawn = Fairway::builder("3").outline(bow_tie).outline(thread);
    let faults = drawn.build().unwrap_err();
    let [first, second] = &faults.0[..] else {
        panic!("{faults}");
    };
    assert!(matches!(first.found, Fault::SelfCrossing { .. }), "{first}");
    assert_eq!(second.found, Fault::TooFewPoints { count: 2 });
    assert_eq!(faults.to_string(), format!("{first}\n{second}"));
    let source = faults.source().map(ToString::to_string);
    assert_eq!(source, Some(first.to_string()));
}
