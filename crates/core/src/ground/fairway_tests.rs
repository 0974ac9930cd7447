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

/// What is drawn so is refused with faults of this form.
macro_rules! refused {
    ($outline:expr, $keep_outs:expr, $form:pat $(if $more:expr)?) => {
        let faults = fairway(parts($outline, $keep_outs)).unwrap_err();
        assert!(matches!(&faults[..], $form $(if $more)?), "{faults:?}");
    };
}

/// One of the repairs is of this form.
macro_rules! repaired {
    ($repairs:expr, $form:pat $(if $more:expr)?) => {
        assert!($repairs.iter().any(|r| matches!(r, $form $(if $more)?)), "{:?}", $repairs);
    };
}

fn ok(p: FairwayParts) -> (Fairway, Vec<Repair>) {
    let (f, r) = fairway(p).expect("a sound fairway");
    assert!(f.ground.is_valid(), "{:?}", f.ground);
    assert!(f.outline.is_valid(), "{:?}", f.outline);
    for p in f.ground.iter() {
        assert!(p.signed_area() > 0.0);
        for r in p.interiors() {
            assert!(Polygon::new(r.clone(), vec![]).signed_area() < 0.0);
        }
    }
    (f, r)
}

#[test]
fn a_bunker_inside_becomes_a_hole() {
    let (f, r) = ok(parts(vec![field()], vec![square(40., 10., 5., 5.)]));
    assert!(r.is_empty(), "{r:?}");
    assert_eq!(f.ground.0[0].interiors().len(), 1);
    assert_relative_eq!(f.ground.unsigned_area(), 2975.0, epsilon = 1e-4);
}

#[test]
fn a_bunker_that_bites_the_edge_is_kept_whole() {
    let (f, _) = ok(parts(vec![field()], vec![square(40., 28., 5., 5.)]));
    assert_eq!(f.ground.0[0].interiors().len(), 0);
    assert_relative_eq!(f.ground.unsigned_area(), 2990.0, epsilon = 1e-4);
    assert_relative_eq!(f.keep_outs[0].area.unsigned_area(), 25.0, epsilon = 1e-4);
}

#[test]
fn keep_outs_that_overlap_stay_apart_in_the_list() {
    let (f, _) = ok(parts(
        vec![field()],
        vec![square(40., 10., 5., 5.), square(43., 10., 5., 5.)],
    ));
    assert_eq!(f.keep_outs.len(), 2);
    assert_relative_eq!(f.ground.unsigned_area(), 3000.0 - 40.0, epsilon = 1e-4);
}

#[test]
fn keep_outs_beyond_the_range_are_left_aside() {
    let (f, r) = ok(parts(
        vec![field()],
        vec![
            square(119., 0., 5., 5.),
            square(121., 0., 5., 5.),
            // Within the bounds, but round a corner and too far.
            square(115., 46., 5., 5.),
        ],
    ));
    assert!(r.is_empty());
    assert_eq!(f.keep_outs.len(), 1);
}

#[test]
fn a_crossing_outline_is_located() {
    refused!(
        vec![ring(&[(0., 0.), (40., 40.), (40., 0.), (0., 40.)])],
        vec![],
        [Fault::SelfCrossing { location, other: 2 }]
            if (location.vertex, location.at) == (Some(0), Some(Coord { x: 20.0, y: 20.0 }))
    );
}

#[test]
fn an_eight_through_a_shared_vertex_crosses() {
    let eight = [
        (0., 0.),
        (20., 20.),
        (40., 40.),
        (40., 0.),
        (20., 20.),
        (0., 40.),
    ];
    refused!(
        vec![ring(&eight)],
        vec![],
        [Fault::SelfCrossing { location, .. }] if location.at == Some(Coord { x: 20.0, y: 20.0 })
    );
}

#[test]
fn a_ring_that_overlaps_itself_crosses() {
    // A curl: the same ground wound twice.
    let mut curl = vec![(0., 0.), (40., 0.), (40., 40.), (20., 40.)];
    curl.extend([(20., 10.), (60., 10.), (60., 50.), (0., 50.)]);
    refused!(vec![ring(&curl)], vec![], [Fault::SelfCrossing { .. }]);
}

#[test]
fn a_pinch_is_split_and_reported() {
    let pinch = [
        (0., 0.),
        (20., 20.),
        (40., 0.),
        (40., 40.),
        (20., 20.),
        (0., 40.),
    ];
    let (f, r) = ok(parts(vec![ring(&pinch)], vec![]));
    assert_eq!(f.outline.0.len(), 2);
    assert!(matches!(&r[..], [Repair::SelfTouching { .. }]), "{r:?}");
}

#[test]
fn winding_duplicates_and_spikes_are_put_right() {
    let mut untidy = vec![(0., 0.), (0., 30.), (0., 30.), (50., 30.)];
    untidy.extend([(50., 38.), (50., 30.), (100., 30.), (100., 0.)]);
    let (f, r) = ok(parts(vec![ring(&untidy)], vec![]));
    assert_relative_eq!(f.ground.unsigned_area(), 3000.0, epsilon = 1e-4);
    repaired!(r, Repair::Rewound { .. });
    repaired!(r, Repair::DuplicatePoints { .. });
    repaired!(r, Repair::Spikes { count: 1, .. });
}

#[test]
fn parts_that_touch_are_merged() {
    let (f, r) = ok(parts(
        vec![square(0., 0., 50., 30.), square(50., 0., 50., 30.)],
        vec![],
    ));
    assert_eq!(f.outline.0.len(), 1);
    assert!(matches!(
        &r[..],
        [Repair::PartsMerged {
            before: 2,
            after: 1,
            ..
        }]
    ));
}

#[test]
fn holes_that_touch_are_merged_and_one_outside_is_dropped() {
    let hole = |x: f64, y: f64| {
        square(x, y, 5., 5.)
            .exterior()
            .0
            .iter()
            .rev()
            .copied()
            .collect()
    };
    let (f, r) = ok(parts(
        vec![Polygon::new(
            field().exterior().clone(),
            vec![hole(20., 10.), hole(25., 10.), hole(200., 0.)],
        )],
        vec![],
    ));
    assert_eq!(f.outline.0[0].interiors().len(), 1);
    assert_relative_eq!(f.outline.unsigned_area(), 2950.0, epsilon = 1e-4);
    repaired!(r, Repair::HoleOutside { location } if location.ring == 3);
    repaired!(r, Repair::HolesMerged { .. });
}

#[test]
fn a_covering_keep_out_is_a_fault() {
    let faults = fairway(parts(
        vec![field()],
        vec![square(10., 10., 2., 2.), square(-5., -5., 120., 40.)],
    ))
    .unwrap_err();
    assert_eq!(faults, vec![Fault::Covered { keep_outs: vec![1] }]);
}

#[test]
fn every_bad_coordinate_is_found() {
    let mut p = parts(
        vec![ring(&[
            (0., 0.),
            (f64::NAN, 0.),
            (100., f64::INFINITY),
            (0., 30.),
        ])],
        vec![ring(&[(1., 1.), (1e9, 1.), (1., 2.)])],
    );
    p.way_in = Some(Coord {
        x: 0.0,
        y: f64::NAN,
    });
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
fn a_crossed_keep_out_keeps_out_all_it_encloses() {
    let (f, r) = ok(parts(
        vec![square(0., 0., 100., 50.)],
        vec![ring(&[(20., 10.), (40., 30.), (40., 10.), (20., 30.)])],
    ));
    repaired!(r, Repair::Uncrossed { .. });
    assert_relative_eq!(f.ground.unsigned_area(), 5000.0 - 200.0, epsilon = 1e-3);
}

#[test]
fn a_scrap_beyond_a_bunker_is_dropped() {
    // The bunker cuts across a corner and leaves a triangle 0.35 m a side.
    let (f, r) = ok(parts(
        vec![field()],
        vec![ring(&[(-1., 28.65), (-1., 26.), (4., 31.), (1.35, 31.)])],
    ));
    assert_eq!(f.ground.0.len(), 1);
    repaired!(r, Repair::Sliver { .. });
}

#[test]
fn a_scribble_is_refused_quickly() {
    let points: Vec<(f64, f64)> = (0..5000)
        .map(|i| {
            let t = f64::from(i) * 2.4;
            (100.0 * t.cos(), 100.0 * t.sin())
        })
        .collect();
    assert!(fairway(parts(vec![ring(&points)], vec![])).is_err());
    assert!(
        fairway(parts(
            vec![square(-100., -100., 200., 200.)],
            vec![ring(&points)]
        ))
        .is_err()
    );
}

#[test]
fn combs_that_cross_are_refused_before_they_fill_the_memory() {
    // Two combs at right angles: 1,200 teeth each would cross millions of times.
    let comb = |turn: bool| {
        let mut points = vec![(0.0, -1.0)];
        for i in 0..1200 {
            let x = f64::from(i) * 0.05;
            points.extend([
                (x, 90.0),
                (x + 0.02, 90.0),
                (x + 0.025, 0.0),
                (x + 0.045, 0.0),
            ]);
        }
        points.push((80.0, -1.0));
        let points: Vec<_> = points
            .into_iter()
            .map(|(x, y)| if turn { (y, x) } else { (x, y) })
            .collect();
        ring(&points)
    };
    let outline = Polygon::new(
        comb(false).exterior().clone(),
        vec![comb(true).exterior().clone()],
    );
    for (outline, keep_outs) in [
        (outline, vec![]),
        (square(0., 0., 90., 90.), vec![comb(false), comb(true)]),
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
    let way_in = Location {
        shape: ShapeRole::WayIn,
        item: 0,
        ring: 0,
        vertex: None,
        at: None,
    };
    assert_eq!(way_in.to_string(), "way in 0");
    let hole_line = Location {
        shape: ShapeRole::HoleLine,
        vertex: Some(3),
        ..way_in
    };
    assert_eq!(hole_line.to_string(), "hole line 0, vertex 3");
}

#[test]
fn a_repair_says_where_and_what() {
    let mut clockwise = square(0., 0., 50., 50.).exterior().clone();
    clockwise.0.reverse();
    let (_, repairs) = fairway(parts(vec![Polygon::new(clockwise, vec![])], vec![])).unwrap();
    let text = repairs[0].to_string();
    assert!(text.starts_with("outline 0, ring 0 at ("), "{text}");
    let merged = vec![square(0., 0., 50., 50.), square(40., 0., 90., 50.)];
    let (_, repairs) = fairway(parts(merged, vec![])).unwrap();
    let whole = repairs.iter().find(|r| r.location().is_none()).unwrap();
    assert_eq!(whole.to_string(), whole.what());
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
    assert!(matches!(
        keep_out(&nowhere).unwrap_err()[..],
        [Fault::NotFinite { .. }]
    ));
    let many = Polygon::new(
        (0..=MAX_VERTICES)
            .map(|i| std::f64::consts::TAU * i as f64 / MAX_VERTICES as f64)
            .map(|t| (90.0 * t.cos(), 90.0 * t.sin()))
            .collect(),
        vec![square(0., 0., 3., 3.).exterior().clone()],
    );
    let faults = keep_out(&many).unwrap_err();
    assert!(
        matches!(faults[..], [Fault::TooManyVertices { count, limit: MAX_VERTICES }] if count > MAX_VERTICES),
        "{faults:?}"
    );
    refused!(vec![many], vec![], [Fault::TooManyVertices { .. }]);
    // A star of many points drawn through its middle.
    let star: Vec<(f64, f64)> = (0..801)
        .map(|i| std::f64::consts::PI * 1.0025 * f64::from(i))
        .map(|t| (90.0 * t.cos(), 90.0 * t.sin()))
        .collect();
    let faults = keep_out(&ring(&star)).unwrap_err();
    assert!(
        matches!(faults[..], [Fault::TooManyCrossings { .. }]),
        "{faults:?}"
    );
}

#[test]
fn holes_of_keep_outs_and_of_outlines_may_be_drawn_either_way() {
    // A moat round an island, its hole wound like its outside.
    let moat = Polygon::new(
        square(40., 5., 20., 20.).exterior().clone(),
        vec![square(45., 10., 10., 10.).exterior().clone()],
    );
    let (f, repairs) = ok(parts(vec![field()], vec![moat]));
    assert_relative_eq!(f.ground.unsigned_area(), 2700.0, epsilon = 1e-4);
    let rewound = repairs
        .iter()
        .filter(|r| matches!(r, Repair::Rewound { .. }));
    assert_eq!(rewound.count(), 1, "{repairs:?}");
    // Holes without area are dropped; one that leaves next to nothing is a fault.
    let thin = |x: f64| {
        ring(&[(x, 5.), (x + 3., 5.), (x + 6., 5.), (x, 5.)])
            .exterior()
            .clone()
    };
    let holed = Polygon::new(field().exterior().clone(), vec![thin(8.)]);
    let (f, repairs) = ok(parts(vec![holed], vec![]));
    assert_relative_eq!(f.ground.unsigned_area(), 3000.0, epsilon = 1e-4);
    assert!(
        matches!(repairs[..], [Repair::Dropped { .. }]),
        "{repairs:?}"
    );
    let halves = vec![
        square(0., 0., 50.1, 30.).exterior().clone(),
        square(50., 0., 50., 30.).exterior().clone(),
    ];
    let gone = Polygon::new(field().exterior().clone(), halves);
    refused!(
        vec![gone],
        vec![],
        [.., Fault::HoleCovers { .. }] | [Fault::HoleCovers { .. }, ..]
    );
}
