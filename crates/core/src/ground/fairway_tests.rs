//! Sound and unsound drawings.

use super::*;
use crate::drawn::{bunker, rect as square};
use approx::assert_relative_eq;
use geo::Validation;

fn ring(points: &[(f64, f64)]) -> Polygon<f64> {
    Polygon::new(points.iter().copied().collect(), vec![])
}

fn parts(outline: Vec<Polygon<f64>>, keep_outs: Vec<Polygon<f64>>) -> FairwayParts {
    FairwayParts {
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

/// What is drawn so is refused with faults of this form.
macro_rules! refused {
    ($outline:expr, $keep_outs:expr, $form:pat $(if $more:expr)?) => {
        let faults = fairway(parts($outline, $keep_outs)).unwrap_err();
        assert!(matches!(&faults[..], $form $(if $more)?), "{faults:?}");
    };
}

/// What is drawn so is sound, its ground has this area, and these repairs were made.
fn repaired(
    outline: Vec<Polygon<f64>>,
    keep_outs: Vec<Polygon<f64>>,
    ground_m2: f64,
    repairs: &[&str],
) -> (Fairway, Vec<Repair>) {
    let (f, made) = fairway(parts(outline, keep_outs)).expect("a sound fairway");
    assert!(f.ground.is_valid(), "{:?}", f.ground);
    assert!(f.outline.is_valid(), "{:?}", f.outline);
    for p in f.ground.iter() {
        assert!(p.signed_area() > 0.0);
        for r in p.interiors() {
            assert!(Polygon::new(r.clone(), vec![]).signed_area() < 0.0);
        }
    }
    assert_relative_eq!(f.ground.unsigned_area(), ground_m2, epsilon = 1e-3);
    let told = format!("{made:?}");
    assert_eq!(made.len(), repairs.len(), "{told}");
    assert!(repairs.iter().all(|r| told.contains(r)), "{told}");
    (f, made)
}

#[test]
fn keep_outs_are_taken_out_and_kept_whole() {
    let kept = |keep_outs, ground_m2| repaired(vec![field()], keep_outs, ground_m2, &[]).0;
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
    refused!(
        vec![ring(&[(0., 0.), (40., 40.), (40., 0.), (0., 40.)])],
        vec![],
        [Fault::SelfCrossing { location, other: 2 }]
            if (location.vertex, location.at) == (Some(0), Some(Coord { x: 20.0, y: 20.0 }))
    );
    // An eight through a shared vertex.
    let mut eight = vec![(0., 0.), (20., 20.), (40., 40.)];
    eight.extend([(40., 0.), (20., 20.), (0., 40.)]);
    refused!(
        vec![ring(&eight)],
        vec![],
        [Fault::SelfCrossing { location, .. }] if location.at == Some(Coord { x: 20.0, y: 20.0 })
    );
    // A curl: the same ground wound twice.
    let mut curl = vec![(0., 0.), (40., 0.), (40., 40.), (20., 40.)];
    curl.extend([(20., 10.), (60., 10.), (60., 50.), (0., 50.)]);
    refused!(vec![ring(&curl)], vec![], [Fault::SelfCrossing { .. }]);
}

#[test]
fn rings_that_touch_are_split_or_merged() {
    let mut pinch = vec![(0., 0.), (20., 20.), (40., 0.)];
    pinch.extend([(40., 40.), (20., 20.), (0., 40.)]);
    let (f, _) = repaired(vec![ring(&pinch)], vec![], 800.0, &["SelfTouching"]);
    assert_eq!(f.outline.0.len(), 2);
    let halves = vec![square(0., 0., 50., 30.), square(50., 0., 50., 30.)];
    let (f, repairs) = repaired(halves, vec![], 3000.0, &["PartsMerged"]);
    assert_eq!(f.outline.0.len(), 1);
    let [
        Repair::PartsMerged {
            before: 2,
            after: 1,
            ..
        },
    ] = repairs[..]
    else {
        panic!("{repairs:?}");
    };
    // What concerns the whole is told without a place, all else with one.
    assert_eq!(repairs[0].location(), None);
    assert_eq!(repairs[0].to_string(), repairs[0].what());
    let (_, repairs) = repaired(vec![backward(field())], vec![], 3000.0, &["Rewound"]);
    let text = repairs[0].to_string();
    assert!(text.starts_with("outline 0, ring 0 at ("), "{text}");
}

#[test]
fn winding_duplicates_and_spikes_are_put_right() {
    let mut untidy = vec![(0., 0.), (0., 30.), (0., 30.), (50., 30.)];
    untidy.extend([(50., 38.), (50., 30.), (100., 30.), (100., 0.)]);
    let made = ["Rewound", "DuplicatePoints", "Spikes"];
    let (_, repairs) = repaired(vec![ring(&untidy)], vec![], 3000.0, &made);
    let spike = |r: &Repair| matches!(r, Repair::Spikes { count: 1, .. });
    assert!(repairs.iter().any(spike), "{repairs:?}");
}

#[test]
fn holes_are_merged_dropped_and_turned() {
    let hole = |x: f64, y: f64| backward(square(x, y, 5., 5.));
    let holes = [hole(20., 10.), hole(25., 10.), hole(200., 0.)];
    let made = ["HoleOutside", "HolesMerged"];
    let (f, repairs) = repaired(vec![holed(field(), &holes)], vec![], 2950.0, &made);
    assert_eq!(f.outline.0[0].interiors().len(), 1);
    assert_eq!(repairs[0].location().map(|l| l.ring), Some(3));
    // A moat round an island, its hole wound like its outside.
    let moat = holed(square(40., 5., 20., 20.), &[square(45., 10., 10., 10.)]);
    repaired(vec![field()], vec![moat], 2700.0, &["Rewound"]);
    // Holes without area are dropped; one that leaves next to nothing is a fault.
    let thin = ring(&[(8., 5.), (11., 5.), (14., 5.), (8., 5.)]);
    let outline = holed(field(), &[thin]);
    repaired(vec![outline.clone()], vec![], 3000.0, &["Dropped"]);
    let (area, repairs) = keep_out(&outline).unwrap();
    assert_relative_eq!(area.unsigned_area(), 3000.0, epsilon = 1e-4);
    assert!(
        matches!(repairs[..], [Repair::Dropped { .. }]),
        "{repairs:?}"
    );
    let halves = [square(0., 0., 50.1, 30.), square(50., 0., 50., 30.)];
    refused!(
        vec![holed(field(), &halves)],
        vec![],
        [.., Fault::HoleCovers { .. }] | [Fault::HoleCovers { .. }, ..]
    );
    refused!(
        vec![holed(field(), &[field()])],
        vec![],
        [Fault::HoleCovers { .. }]
    );
}

#[test]
fn odd_keep_outs_keep_out_too_much() {
    // One that crosses itself keeps out all it encloses.
    let bow = ring(&[(20., 5.), (40., 25.), (40., 5.), (20., 25.)]);
    repaired(vec![field()], vec![bow], 2800.0, &["Uncrossed"]);
    // One across a corner of 3 m a side leaves a triangle 0.35 m a side, too small to mow.
    let across = ring(&[(-1., 28.65), (-1., 26.), (4., 31.), (1.35, 31.)]);
    let (f, _) = repaired(vec![field()], vec![across], 3000.0 - 4.5, &["Sliver"]);
    assert_eq!(f.ground.0.len(), 1);
    refused!(
        vec![field()],
        vec![square(10., 10., 2., 2.), square(-5., -5., 120., 40.)],
        [Fault::Covered { keep_outs }] if keep_outs == &[1]
    );
}

#[test]
fn every_bad_coordinate_is_found() {
    let bad = [(0., 0.), (f64::NAN, 0.), (100., f64::INFINITY), (0., 30.)];
    let mut p = parts(
        vec![ring(&bad)],
        vec![ring(&[(1., 1.), (1e9, 1.), (1., 2.)])],
    );
    p.way_in = Some(Coord::from((0.0, f64::NAN)));
    let faults = fairway(p).unwrap_err();
    assert_eq!(faults.len(), 4, "{faults:?}");
}

#[test]
fn empty_and_flat_outlines_are_refused() {
    refused!(vec![], vec![], [Fault::NoOutline]);
    for flat in [&[][..], &[(0., 0.)], &[(0., 0.), (5., 5.), (9., 9.)]] {
        refused!(vec![ring(flat)], vec![], [Fault::TooFewPoints { .. }]);
    }
}

#[test]
fn scribbles_are_refused_before_they_fill_the_memory() {
    let scribble: Vec<(f64, f64)> = (0..5000)
        .map(|i| f64::from(i) * 2.4)
        .map(|t| (100.0 * t.cos(), 100.0 * t.sin()))
        .collect();
    let scribble = ring(&scribble);
    assert!(fairway(parts(vec![scribble.clone()], vec![])).is_err());
    let round = square(-100., -100., 200., 200.);
    assert!(fairway(parts(vec![round], vec![scribble])).is_err());
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
    for (outline, keep_outs) in [
        (both, vec![]),
        (square(0., 0., 90., 90.), vec![comb, turned]),
    ] {
        refused!(
            vec![outline],
            keep_outs,
            [Fault::TooManyCrossings { .. } | Fault::TooManyVertices { .. }]
        );
    }
}

#[test]
fn a_fault_says_where_it_is_as_far_as_that_is_known() {
    let crossing = vec![ring(&[(0., 0.), (30., 30.), (30., 0.), (0., 31.)])];
    let faults = fairway(parts(crossing, vec![])).unwrap_err();
    let text = faults[0].to_string();
    assert!(
        text.starts_with("outline 0, ring 0, vertex ") && text.contains(" at ("),
        "{text}"
    );
    let none = fairway(FairwayParts::default()).unwrap_err();
    assert_eq!(none[0].location(), None);
    assert_eq!(
        none[0].to_string(),
        format!("{}; {}", none[0].what(), none[0].remedy())
    );
    let nowhere = LineString(vec![]);
    let way_in = Location::of_ring(ShapeRole::WayIn, 0, 0, &nowhere);
    assert_eq!(way_in.to_string(), "way in 0");
    let hole_line = Location {
        shape: ShapeRole::HoleLine,
        vertex: Some(3),
        ..way_in
    };
    assert_eq!(hole_line.to_string(), "hole line 0, vertex 3");
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
    assert!(
        matches!(repairs[..], [Repair::Dropped { .. }]),
        "{repairs:?}"
    );
    // Unsound: refused.
    let nowhere = ring(&[(0., 0.), (f64::NAN, 0.), (9., 3.)]);
    let faults = keep_out(&nowhere).unwrap_err();
    assert!(matches!(faults[..], [Fault::NotFinite { .. }]));
    let round = |i: usize, of: f64| (90.0 * (i as f64 / of).cos(), 90.0 * (i as f64 / of).sin());
    let step = MAX_VERTICES as f64 / std::f64::consts::TAU;
    let many: Vec<_> = (0..=MAX_VERTICES).map(|i| round(i, step)).collect();
    let many = holed(ring(&many), &[square(0., 0., 3., 3.)]);
    let faults = keep_out(&many).unwrap_err();
    assert!(
        matches!(faults[..], [Fault::TooManyVertices { count, limit: MAX_VERTICES }] if count > MAX_VERTICES),
        "{faults:?}"
    );
    refused!(vec![many], vec![], [Fault::TooManyVertices { .. }]);
    // A star of many points drawn through its middle.
    let step = 1.0 / (1.0025 * std::f64::consts::PI);
    let star: Vec<_> = (0..801).map(|i| round(i, step)).collect();
    let faults = keep_out(&ring(&star)).unwrap_err();
    assert!(
        matches!(faults[..], [Fault::TooManyCrossings { .. }]),
        "{faults:?}"
    );
}
