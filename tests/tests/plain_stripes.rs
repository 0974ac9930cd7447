//! Plain stripes on convex ground need as many passes as the floor says, and no more.

use approx::assert_relative_eq;
use crossgrain_core::inside::ground::FairwayBuilder;
use crossgrain_core::inside::ground::heading::{minimum_width, pass_floor};
use crossgrain_core::{Fairway, Heading, Mower, Pattern, Settings, plan};
use geo_types::{Coord, LineString, Polygon};
use std::f64::consts::TAU;

fn ground(corners: &[(f64, f64)]) -> Fairway {
    let ring: Vec<Coord<f64>> = corners.iter().map(|&(x, y)| Coord { x, y }).collect();
    FairwayBuilder {
        name: "test".to_string(),
        outline: vec![Polygon::new(LineString(ring), vec![])],
        ..FairwayBuilder::default()
    }
    .build_and_tell()
    .expect("a sound outline")
    .0
}

fn turned(corners: &[(f64, f64)], deg: f64) -> Vec<(f64, f64)> {
    let (s, c) = deg.to_radians().sin_cos();
    let mut ring: Vec<(f64, f64)> = corners
        .iter()
        .map(|&(x, y)| (x * c - y * s, x * s + y * c))
        .collect();
    ring.push(ring[0]);
    ring
}

fn plain(width_m: f64) -> (Mower, Settings) {
    let mut settings = Settings::new(Pattern::Stripes {
        heading: Heading::Fewest,
    });
    settings.clean_up.rings = 0;
    (Mower::bar(width_m), settings)
}

/// Convex shapes whose narrowest corners are blunt enough for the deck to reach into them.
fn shapes() -> Vec<(&'static str, Vec<(f64, f64)>)> {
    let regular = |n: usize, r: f64| -> Vec<(f64, f64)> {
        (0..n)
            .map(|i| {
                let a = TAU * i as f64 / n as f64;
                (r * a.cos(), r * a.sin())
            })
            .collect()
    };
    vec![
        (
            "rectangle",
            vec![(0.0, 0.0), (180.0, 0.0), (180.0, 29.26), (0.0, 29.26)],
        ),
        (
            "square",
            vec![(0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0)],
        ),
        ("equilateral triangle", regular(3, 40.0)),
        ("hexagon", regular(6, 30.0)),
        ("octagon", regular(8, 35.0)),
        ("many-sided", regular(40, 25.0)),
        (
            "trapezium",
            vec![(0.0, 0.0), (120.0, 0.0), (100.0, 40.0), (15.0, 40.0)],
        ),
    ]
}

#[test]
fn passes_equal_the_floor_on_convex_ground() {
    for (name, corners) in shapes() {
        for deg in [0.0, 13.0, 77.0, 141.0] {
            for width in [2.1336, 2.54, 3.3528] {
                let f = ground(&turned(&corners, deg));
                let (mower, settings) = plain(width);
                let mow = plan(&f, &mower, &settings).expect("a plan");
                let w = minimum_width(f.ground()).expect("a width").width_m;
                assert_eq!(
                    mow.passes().count() as u32,
                    pass_floor(w, width, settings.overlap_m),
                    "{name} turned {deg} under {width} m"
                );
                assert_eq!(mow.settings().pass_floor as usize, mow.passes().count());
            }
        }
    }
}

#[test]
fn even_spacing_widens_the_overlap_so_that_the_last_pass_is_whole() {
    // 29.26 m (32 yd) under 2.54 m at 0.10 m: 12 passes; they share the width evenly.
    let f = ground(&turned(
        &[(0.0, 0.0), (180.0, 0.0), (180.0, 29.26), (0.0, 29.26)],
        0.0,
    ));
    let (mower, settings) = plain(2.54);
    let mow = plan(&f, &mower, &settings).expect("a plan");
    let spacing = mow.settings().spacing_m.expect("stripes have a spacing");
    assert_relative_eq!(spacing, (29.26 - 2.54) / 11.0, max_relative = 1e-6);
    assert_relative_eq!(
        mow.settings().overlap_m,
        2.54 - spacing,
        max_relative = 1e-6
    );
}

#[test]
fn the_same_input_gives_the_same_tracks() {
    let f = ground(&turned(&shapes()[6].1, 20.0));
    let settings = Settings::new(Pattern::Stripes {
        heading: Heading::Along,
    });
    let mower = Mower::bar(2.54);
    assert_eq!(plan(&f, &mower, &settings), plan(&f, &mower, &settings));
}

/// Two passes on ground hardly wider than the deck overlap by nearly a deck. Nobody sets that: the
/// overlap to set is the one asked for, and both passes stay on the ground.
#[test]
fn a_narrow_piece_has_no_overlap_of_a_whole_deck_to_set() {
    let (mower, settings) = plain(2.54);
    for across in [2.6, 3.0, 3.7] {
        let fairway = ground(&turned(
            &[(0.0, 0.0), (90.0, 0.0), (90.0, across), (0.0, across)],
            17.0,
        ));
        let mow = plan(&fairway, &mower, &settings).expect("a plan");
        assert_relative_eq!(
            mow.settings().overlap_m,
            settings.overlap_m,
            max_relative = 1e-6
        );
        let measures = crossgrain_metrics::measure(&fairway, &mower, &mow);
        assert_eq!(measures.passes, 2, "{across} m");
        // A square metre would be a strip of a centimetre along both sides.
        assert!(
            measures.overrun_m2 < 1e-6 * measures.fairway_m2,
            "{across} m"
        );
        assert!(
            measures.missed_m2 < 1e-6 * measures.fairway_m2,
            "{across} m"
        );
    }
    // From here on the passes share the width. Rings lie on a grid, so nine digits do not agree.
    let fairway = ground(&turned(
        &[(0.0, 0.0), (90.0, 0.0), (90.0, 4.5), (0.0, 4.5)],
        17.0,
    ));
    let mow = plan(&fairway, &mower, &settings).expect("a plan");
    assert_relative_eq!(
        mow.settings().overlap_m,
        2.54 - (4.5 - 2.54),
        max_relative = 1e-6
    );
}
