//! Sound and unsound course files.

use super::*;
use approx::assert_relative_eq;
use crossgrain_core::{KeepOutKind, Repair};
use geo::Area;
use geo_types::Coord;
use serde_json::{Value, json};

/// A rectangle in degrees: west and south corner and size in metres, near 45 N, 5 E.
fn block(x: f64, y: f64, w: f64, h: f64) -> Value {
    let plane = Plane::new([5.0, 45.0]).unwrap();
    let ring: Vec<[f64; 2]> = [(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)]
        .iter()
        .map(|&(x, y)| plane.lon_lat(Coord { x, y }).position())
        .collect();
    json!({"type": "Polygon", "coordinates": [ring]})
}

fn line(points: &[(f64, f64)]) -> Value {
    let plane = Plane::new([5.0, 45.0]).unwrap();
    let line: Vec<[f64; 2]> = points
        .iter()
        .map(|&(x, y)| plane.lon_lat(Coord { x, y }).position())
        .collect();
    json!({"type": "LineString", "coordinates": line})
}

fn feature(properties: Value, geometry: Value) -> Value {
    json!({"type": "Feature", "properties": properties, "geometry": geometry})
}

fn collection(features: Vec<Value>) -> String {
    json!({"type": "FeatureCollection", "features": features}).to_string()
}

fn ok(features: Vec<Value>) -> CourseFile {
    match read(&collection(features), "c.geojson", "c") {
        Ok(c) => c,
        Err(e) => panic!("{e}"),
    }
}

fn refused(text: &str) -> String {
    match read(text, "c.geojson", "c") {
        Ok(c) => panic!("{:?}", c.course.fairways.len()),
        Err(e) => e.to_string(),
    }
}

fn bad(features: Vec<Value>) -> String {
    refused(&collection(features))
}

#[test]
fn roles_and_open_tags_are_understood() {
    let c = ok(vec![
        feature(
            json!({"golf": "fairway", "ref": "7"}),
            block(0., 0., 200., 30.),
        ),
        feature(json!({"golf": "bunker"}), block(50., 10., 5., 5.)),
        feature(
            json!({"role": "keep-out", "kind": "trees"}),
            block(80., 10., 5., 5.),
        ),
        feature(json!({"natural": "water"}), block(100., 10., 5., 5.)),
        feature(json!({"role": "green"}), block(205., 5., 20., 20.)),
        feature(json!({"golf": "tee"}), block(-150., 5., 8., 8.)),
        feature(json!({"role": "no-turn"}), block(0., 32., 50., 20.)),
        feature(
            json!({"golf": "hole", "ref": 7}),
            line(&[(-146., 9.), (210., 15.)]),
        ),
        feature(
            json!({"role": "way-in"}),
            json!({"type": "Point", "coordinates": [5.0, 45.0]}),
        ),
        feature(json!({"leisure": "park"}), line(&[(0., 0.), (1., 1.)])),
    ]);
    assert_eq!(c.course.fairways.len(), 1);
    let f = &c.course.fairways[0];
    assert_eq!(f.name(), "7");
    assert_relative_eq!(f.ground().unsigned_area(), 6000.0 - 75.0, epsilon = 1e-2);
    let kinds: Vec<KeepOutKind> = f.keep_outs().iter().map(|k| k.kind).collect();
    assert_eq!(
        kinds,
        [
            KeepOutKind::Bunker,
            KeepOutKind::Trees,
            KeepOutKind::Water,
            KeepOutKind::Green
        ]
    );
    // Everything keeps its place on the map of the course, also the tee out of range.
    assert_eq!(c.course.features.len(), 5);
    assert!(!f.no_turn().0.is_empty());
    assert!(f.way_in().is_some());
    let h = f.hole_line().unwrap();
    assert!(h.0[0].x < h.0[1].x);
    assert!(c.notices.is_empty(), "{:?}", c.notices);
    assert_eq!(c.sources, [vec![0]]);
}

#[test]
fn polygons_of_one_name_are_one_fairway_and_far_ones_are_not() {
    let c = ok(vec![
        feature(
            json!({"role": "fairway", "name": "1"}),
            block(0., 0., 80., 30.),
        ),
        feature(
            json!({"role": "fairway", "name": "2"}),
            block(0., 100., 80., 30.),
        ),
        feature(
            json!({"role": "fairway", "name": "1"}),
            block(95., 0., 80., 30.),
        ),
        feature(
            json!({"role": "fairway", "name": "1"}),
            block(900., 0., 80., 30.),
        ),
    ]);
    let names: Vec<&str> = c.course.fairways.iter().map(|f| f.name()).collect();
    assert_eq!(names, ["1", "2", "1 (2)"]);
    assert_eq!(c.course.fairways[0].outline().0.len(), 2);
    assert_eq!(c.sources, [vec![0, 2], vec![1], vec![3]]);
    assert!(matches!(
        &c.notices[..],
        [Notice::Merged { .. }, Notice::Renamed { .. }]
    ));
    assert_eq!(c.unconfirmed, ["1 (2)"]);
}

#[test]
fn nameless_fairways_take_the_holes_name_or_wait_for_one() {
    let c = ok(vec![
        feature(json!({"golf": "fairway"}), block(0., 0., 80., 30.)),
        feature(json!({"golf": "fairway"}), block(90., 0., 80., 30.)),
        feature(json!({"golf": "fairway"}), block(0., 100., 80., 30.)),
        feature(
            json!({"golf": "fairway", "ref": "1"}),
            block(0., 200., 80., 30.),
        ),
        feature(
            json!({"golf": "hole", "ref": "4"}),
            line(&[(-50., 15.), (200., 15.)]),
        ),
    ]);
    let names: Vec<&str> = c.course.fairways.iter().map(|f| f.name()).collect();
    assert_eq!(names, ["4", "unnamed A", "1"]);
    assert_eq!(c.unconfirmed, ["unnamed A"]);
    assert_eq!(c.course.fairways[0].outline().0.len(), 2);
    assert!(c.course.fairways[0].hole_line().is_some());
    assert!(c.course.fairways[1].hole_line().is_none());
}

#[test]
fn a_number_is_given_only_where_nothing_leaves_a_doubt() {
    // The approach of hole 1, with the real 6 beside it, and a strip that two lines cross.
    let c = ok(vec![
        feature(
            json!({"role": "fairway", "ref": "6"}),
            block(0., 100., 200., 30.),
        ),
        feature(json!({"golf": "fairway"}), block(0., 0., 200., 30.)),
        feature(
            json!({"golf": "fairway", "@id": "way/77"}),
            block(0., 200., 200., 30.),
        ),
        // Another fairway has the number of the line over this one.
        feature(json!({"golf": "fairway"}), block(300., 100., 200., 30.)),
        feature(
            json!({"golf": "hole", "ref": "6"}),
            line(&[(-50., 115.), (600., 115.)]),
        ),
        feature(
            json!({"golf": "hole", "ref": "8"}),
            line(&[(-50., 210.), (250., 210.)]),
        ),
        feature(
            json!({"golf": "hole", "ref": "9"}),
            line(&[(-50., 220.), (250., 220.)]),
        ),
    ]);
    let names: Vec<&str> = c.course.fairways.iter().map(|f| f.name()).collect();
    assert_eq!(names, ["6", "unnamed A", "way/77", "unnamed B"]);
    assert_eq!(c.unconfirmed, ["unnamed A", "way/77", "unnamed B"]);
    let told: Vec<String> = c.notices.iter().map(ToString::to_string).collect();
    assert!(
        told.iter()
            .any(|t| t.contains("write \"name\": \"...\" into its properties")),
        "{told:?}"
    );
    // Tee and green of one number at its ends leave no doubt either.
    let c = ok(vec![
        feature(json!({"golf": "fairway"}), block(0., 0., 200., 30.)),
        feature(
            json!({"golf": "green", "ref": "3"}),
            block(210., 5., 20., 20.),
        ),
        feature(json!({"golf": "tee", "ref": "3"}), block(-90., 10., 8., 8.)),
    ]);
    assert_eq!(c.course.fairways[0].name(), "3");
    assert!(c.unconfirmed.is_empty());
}

#[test]
fn sizes_and_places_that_cannot_be_are_told() {
    let c = ok(vec![
        feature(
            json!({"role": "fairway", "name": "1"}),
            block(0., 0., 400., 300.),
        ),
        feature(
            json!({"role": "fairway", "name": "2"}),
            block(7000., 0., 80., 30.),
        ),
        feature(
            json!({"role": "fairway", "name": "3"}),
            block(0., 400., 8., 3.),
        ),
    ]);
    assert!(
        matches!(
            &c.notices[..],
            [
                Notice::Huge { .. },
                Notice::Scrap { .. },
                Notice::Wide { .. }
            ]
        ),
        "{:?}",
        c.notices
    );
    let weights: Vec<Weight> = c.notices.iter().map(Notice::weight).collect();
    assert_eq!(
        weights,
        [Weight::Warning, Weight::ToConfirm, Weight::Warning]
    );
    let text = collection(ring(json!([
        [28.5, -81.4],
        [28.501, -81.4],
        [28.501, -81.401],
        [28.5, -81.4]
    ])));
    let c = read(&text, "c.geojson", "c").unwrap();
    let swapped = c
        .notices
        .iter()
        .find(|n| matches!(n, Notice::Swapped { .. }));
    let told = swapped.unwrap().to_string();
    assert!(
        told.starts_with("as written the course lies at 81.4005 S 28.5005 E, where there is no")
            && told.contains("28.5005 N 81.4005 W: if that is the place, add --positions lat-lon"),
        "{told}"
    );
    for (positions, lat_deg) in [(Positions::LatLon, 28.5005), (Positions::LonLat, -81.4005)] {
        let options = ReadOptions {
            positions,
            ..ReadOptions::default()
        };
        let c = read_with(&text, "c.geojson", "c", &options).unwrap();
        assert_relative_eq!(c.course.origin_lat_deg, lat_deg, epsilon = 1e-6);
        assert!(!c.notices.iter().any(|n| n.weight() == Weight::Warning));
    }
}

#[test]
fn another_coordinate_system_is_one_problem() {
    let e = bad((0..9)
        .map(|i| {
            let x = 500_000.0 + 300.0 * f64::from(i);
            feature(
                json!({"role": "fairway", "name": i}),
                json!({"type": "Polygon", "coordinates": [[[x, 4e6], [x + 80., 4e6], [x, 4000050.], [x, 4e6]]]}),
            )
        })
        .collect());
    assert_eq!(
        e,
        "c.geojson: 9 features have positions that are no longitude and latitude, such as [500000, 4000000]; these look like metres or feet of a map grid; export it again as longitude and latitude (WGS 84, EPSG:4326)"
    );
    // Metres about a point of one's own, small enough to be degrees.
    let e = bad((0..6)
        .map(|i| {
            let x = 10.0 * f64::from(i);
            feature(
                json!({"role": "fairway", "name": i}),
                json!({"type": "Polygon", "coordinates": [[[x, 0.], [x + 8., 0.], [x, 30.], [x, 0.]]]}),
            )
        })
        .collect());
    assert_eq!(e.lines().count(), 1, "{e}");
    assert!(
        e.contains("fairways lie up to") && e.contains("metres or feet"),
        "{e}"
    );
}

#[test]
fn the_green_end_is_guessed_from_tee_and_green() {
    let c = ok(vec![
        feature(
            json!({"golf": "fairway", "ref": "1"}),
            block(0., 0., 200., 30.),
        ),
        feature(json!({"golf": "green"}), block(-30., 5., 20., 20.)),
        feature(json!({"golf": "tee"}), block(300., 5., 8., 8.)),
    ]);
    let d = c.course.fairways[0].hole_direction_rad().unwrap();
    assert!(d.cos() < -0.99, "{d}");
    assert!(matches!(&c.notices[..], [Notice::HoleLineGuessed { .. }]));
}

#[test]
fn a_line_drawn_from_green_to_tee_is_turned() {
    let c = ok(vec![
        feature(
            json!({"golf": "fairway", "ref": "1"}),
            block(0., 0., 200., 30.),
        ),
        feature(json!({"golf": "green"}), block(-30., 5., 20., 20.)),
        feature(json!({"golf": "tee"}), block(300., 5., 8., 8.)),
        feature(
            json!({"golf": "hole", "ref": "1"}),
            line(&[(-20., 15.), (304., 9.)]),
        ),
    ]);
    let d = c.course.fairways[0].hole_direction_rad().unwrap();
    assert!(d.cos() < -0.99, "{d}");
    assert!(matches!(&c.notices[..], [Notice::HoleLineTurned { .. }]));
}

#[test]
fn bare_polygons_are_fairways_only_when_asked_or_alone() {
    let two = vec![
        feature(Value::Null, block(0., 0., 80., 30.)),
        feature(json!({"name": "Pond"}), block(0., 100., 80., 30.)),
    ];
    let e = bad(two.clone());
    assert!(
        e.contains("2 areas have no role") && e.contains("--bare-polygons fairways"),
        "{e}"
    );
    let options = ReadOptions {
        bare_polygons: BarePolygons::Fairways,
        ..ReadOptions::default()
    };
    let c = read_with(&collection(two), "c.geojson", "c", &options).unwrap();
    assert_eq!(c.course.fairways.len(), 2);
    assert!(c.notices.contains(&Notice::TakenAsFairways { count: 2 }));
    let c = ok(vec![feature(Value::Null, block(0., 0., 80., 30.))]);
    assert!(c.notices.contains(&Notice::TakenAsFairways { count: 1 }));
    // Beside a fairway that says so, a bare one is no fairway.
    let c = ok(vec![
        feature(json!({"role": "fairway"}), block(0., 0., 80., 30.)),
        feature(json!({}), block(0., 100., 80., 30.)),
    ]);
    assert_eq!(c.course.fairways.len(), 1);
    assert!(
        matches!(&c.accounts[1].fate, Fate::LeftAside { touches: None, .. }),
        "{:?}",
        c.accounts
    );
}

#[test]
fn a_course_across_the_antimeridian_is_one_course() {
    let ring = json!([
        [179.9995, -17.0],
        [-179.9995, -17.0],
        [-179.9995, -16.9997],
        [179.9995, -16.9997],
        [179.9995, -17.0]
    ]);
    let c = ok(vec![feature(
        json!({"role": "fairway", "name": "1"}),
        json!({"type": "Polygon", "coordinates": [ring]}),
    )]);
    // A thousandth of a degree of longitude at 17 S by three ten-thousandths of latitude.
    let area = c.course.fairways[0].ground().unsigned_area();
    assert!((area - 106.5 * 33.2).abs() < 15.0, "{area}");
}

#[test]
fn files_that_are_no_course_are_refused() {
    for (text, part) in [
        ("", "empty"),
        ("not json", "not JSON at line 1"),
        ("[1, 2]", "no GeoJSON (type is missing)"),
        ("{\"type\": \"Topology\"}", "TopoJSON"),
        ("{\"type\": \"FeatureCollection\"}", "features: is missing"),
        (
            "{\"type\": \"FeatureCollection\", \"features\": []}",
            "no features",
        ),
        (
            "{\"type\": \"Point\", \"coordinates\": [5, 45]}",
            "no fairway",
        ),
    ] {
        let e = refused(text);
        assert!(e.starts_with("c.geojson: ") && e.contains(part), "{e}");
    }
    let e = bad(vec![feature(
        json!({"golf": "bunker"}),
        block(0., 0., 5., 5.),
    )]);
    assert!(e.contains("only 1 bunker"), "{e}");
}

/// A fairway whose ring is given.
fn ring(positions: Value) -> Vec<Value> {
    vec![feature(
        json!({"role": "fairway", "name": "7"}),
        json!({"type": "Polygon", "coordinates": [positions]}),
    )]
}

#[test]
fn bad_coordinates_are_named() {
    for (positions, part) in [
        (
            json!([[5, 45], [5.01, 45], [5.01, 45.01]]),
            "is not closed: it starts at [5, 45] and ends at [5.01, 45.01]",
        ),
        (json!([[5, 45], [5.01, 45], [5, 45]]), "has 3 positions"),
        (
            json!([[5, 45], [null, 45], [5, 45.01], [5, 45]]),
            "coordinates[0][1]: null, NaN or infinity",
        ),
        (
            json!([[5, 45], ["5", 45], [5, 45.01], [5, 45]]),
            "\"5\" stands where a number should be",
        ),
        (json!([[5, 45], [5], [5, 45.01], [5, 45]]), "is no position"),
        (
            json!([
                [500000, 4984000],
                [500100, 4984000],
                [500100, 4984100],
                [500000, 4984000]
            ]),
            "metres or feet",
        ),
        (
            json!([[45, 150], [45.001, 150], [45.001, 150.001], [45, 150]]),
            "--positions lat-lon",
        ),
        (
            json!([[0, 0], [80, 0], [80, 30], [0, 30], [0, 0]]),
            "if these are metres or feet",
        ),
        (json!([]), "empty ring"),
    ] {
        let e = bad(ring(positions));
        assert!(
            e.starts_with("c.geojson: features[0] '7'") && e.contains(part),
            "{part}: {e}"
        );
    }
    let nan = collection(ring(json!([[5, 45], [5.01, 45], [5, 45.01], [5, 45]])))
        .replacen("5.01", "NaN", 1);
    assert!(refused(&nan).contains("features[0] '7': coordinates[0][1]: null, NaN"));
}

#[test]
fn a_crossing_outline_is_named_with_its_coordinate() {
    let e = bad(ring(json!([
        [5.0, 45.0],
        [5.001, 45.001],
        [5.001, 45.0],
        [5.0, 45.001],
        [5.0, 45.0]
    ])));
    assert!(
        e.contains("features[0] '7', ring 0, position 0 at [5.000500")
            && e.contains("crosses itself"),
        "{e}"
    );
}

#[test]
fn covering_keep_outs_unknown_roles_and_other_systems_are_named() {
    let e = bad(vec![
        feature(
            json!({"role": "fairway", "name": "7"}),
            block(0., 0., 80., 30.),
        ),
        feature(
            json!({"role": "keep-out", "name": "lake"}),
            block(-10., -10., 200., 100.),
        ),
    ]);
    assert!(
        e.contains("covers the whole fairway (features[1] 'lake')"),
        "{e}"
    );
    let e = bad(vec![feature(
        json!({"role": "bunkr"}),
        block(0., 0., 80., 30.),
    )]);
    assert!(
        e.contains(
            "the role 'bunkr' is not known; if 'bunker' is meant, write \"role\": \"bunker\""
        ),
        "{e}"
    );
    let e = bad(vec![feature(
        json!({"role": "helipad"}),
        block(0., 0., 80., 30.),
    )]);
    assert!(
        e.contains("'helipad' is not known; use one of fairway"),
        "{e}"
    );
    let e = bad(vec![feature(
        json!({"golf": "Bunker"}),
        block(0., 0., 80., 30.),
    )]);
    assert!(
        e.contains("golf=Bunker is not known; if golf=bunker is meant, write that"),
        "{e}"
    );
    let e = refused(
        &json!({"type": "FeatureCollection", "features": [{}],
            "crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::25832"}}})
        .to_string(),
    );
    assert!(e.contains("EPSG::25832") && e.contains("EPSG:4326"), "{e}");
}

#[test]
fn all_problems_come_at_once() {
    let mut features = ring(json!([[5, 45], [5.01, 45], [5.01, 45.01]]));
    features.extend(ring(json!([[5, 45], [null, 45], [5, 45.01], [5, 45]])));
    assert_eq!(bad(features).lines().count(), 2);
}

#[test]
fn names_cannot_reorder_or_run_on() {
    let c = ok(vec![feature(
        json!({"role": "fairway", "name": format!("a\u{202e}b\n{}", "x".repeat(500))}),
        block(0., 0., 80., 30.),
    )]);
    let name = &c.course.fairways[0].name();
    assert!(
        name.starts_with("ab x") && name.chars().count() == 60,
        "{name}"
    );
    assert!(matches!(&c.notices[..], [Notice::NameCleaned { .. }]));
}

#[test]
fn too_many_features_are_refused() {
    let point = json!({"type": "Feature", "properties": {}, "geometry": null});
    let e = bad(vec![point; MAX_FEATURES + 1]);
    assert!(e.contains("20001 features; the limit is 20000"), "{e}");
    let ring: Vec<Value> = (0..MAX_POSITIONS + 2).map(|_| json!([5, 45])).collect();
    let e = bad(super::tests::ring(Value::Array(ring)));
    assert!(e.contains("more than 500000 positions"), "{e}");
}

#[test]
fn repairs_and_shared_ground_are_told() {
    let c = ok(vec![
        feature(
            json!({"role": "fairway", "name": "1"}),
            block(0., 0., 80., 30.),
        ),
        feature(
            json!({"role": "fairway", "name": "2"}),
            block(0., 25., 80., 30.),
        ),
    ]);
    assert!(
        matches!(&c.notices[..], [Notice::SharedGround { area_m2, .. }] if (area_m2 - 400.0).abs() < 0.1),
        "{:?}",
        c.notices
    );
    let mut reversed = block(0., 0., 80., 30.);
    if let Some(r) = reversed["coordinates"][0].as_array_mut() {
        r.reverse();
    }
    let c = ok(vec![feature(
        json!({"role": "fairway", "name": "1"}),
        reversed,
    )]);
    assert!(
        matches!(
            &c.notices[..],
            [Notice::Repaired { repair, .. }] if repair.found == Repair::Rewound
        ),
        "{:?}",
        c.notices
    );
    assert!(
        c.notices[0]
            .to_string()
            .starts_with("features[0] '1', ring 0 at [5.0")
    );
}

#[test]
fn what_is_left_aside_is_listed_with_its_reason() {
    let point = |x: f64, y: f64| {
        let [lon, lat] = Plane::new([5.0, 45.0])
            .unwrap()
            .lon_lat(Coord { x, y })
            .position();
        json!({"type": "Point", "coordinates": [lon, lat]})
    };
    let c = ok(vec![
        feature(
            json!({"role": "fairway", "name": "1"}),
            block(0., 0., 80., 30.),
        ),
        feature(json!({"golf": "bunker"}), point(40., 15.)),
        feature(json!({"golf": "bunker"}), point(40., 300.)),
        feature(json!({"golf": "rough"}), block(-5., -5., 90., 40.)),
        feature(json!({"amenity": "bench"}), point(10., 10.)),
        feature(json!({"role": "hole"}), line(&[(0., 400.), (50., 420.)])),
        feature(json!({"golf": "bunker"}), Value::Null),
        feature(json!({"golf": "bunker"}), block(5000., 0., 9., 9.)),
    ]);
    let fates: Vec<String> = c.accounts.iter().map(ToString::to_string).collect();
    let parts = [
        "features[0] '1' (role=fairway, area): used as fairway",
        "touches fairway '1': a point has no ground",
        "(golf=bunker, point): left aside: a point has no ground",
        "(golf=rough, area): left aside: grass, and no fairway",
        "(amenity=bench, point): left aside although it touches fairway '1'",
        "(role=hole, line): left aside: no fairway lies along it",
        "(golf=bunker, nothing): left aside: it draws nothing",
        "left aside: more than a kilometre from every fairway",
    ];
    assert_eq!(fates.len(), parts.len());
    for (fate, part) in fates.iter().zip(parts) {
        assert!(fate.contains(part), "{fate}");
    }
    let e = bad(vec![feature(
        json!({"role": "fairway"}),
        line(&[(0., 0.), (50., 20.)]),
    )]);
    assert!(
        e.contains("'fairway' stands on a line; draw it as an area"),
        "{e}"
    );
}

#[test]
fn trees_streams_paths_and_bounds_are_ground_to_keep_off() {
    let at = |x: f64, y: f64| {
        let [lon, lat] = Plane::new([5.0, 45.0])
            .unwrap()
            .lon_lat(Coord { x, y })
            .position();
        json!({"type": "Point", "coordinates": [lon, lat]})
    };
    let across = |x: f64| line(&[(x, -40.), (x, 70.)]);
    let c = ok(vec![
        feature(
            json!({"role": "fairway", "name": "1"}),
            block(0., 0., 200., 30.),
        ),
        feature(
            json!({"natural": "tree", "diameter_crown": "8"}),
            at(20., 15.),
        ),
        feature(json!({"natural": "tree"}), at(40., 15.)),
        feature(json!({"waterway": "stream", "width": "4 m"}), across(80.)),
        feature(json!({"highway": "path"}), across(120.)),
        feature(
            json!({"golf": "cartpath", "bridge": "yes", "width": 3}),
            line(&[(70., 15.), (90., 15.)]),
        ),
        feature(json!({"golf": "out_of_bounds"}), across(160.)),
        feature(json!({"natural": "wetland"}), block(170., 0., 5., 5.)),
        feature(json!({"natural": "scrub"}), block(180., 0., 5., 5.)),
    ]);
    let f = &c.course.fairways[0];
    let kept = |kind: KeepOutKind| -> f64 {
        f.keep_outs()
            .iter()
            .filter(|k| k.kind == kind)
            .map(|k| k.area.unsigned_area())
            .sum()
    };
    let pi = std::f64::consts::PI;
    assert_relative_eq!(
        kept(KeepOutKind::Trees),
        pi * (16.0 + 9.0),
        max_relative = 0.01
    );
    // The bridge leaves a gap of its width in the stream.
    assert_relative_eq!(
        kept(KeepOutKind::Stream),
        4.0 * (110.0 - 3.0) + 4.0 * pi,
        max_relative = 0.01
    );
    assert_eq!(
        f.keep_outs()
            .iter()
            .filter(|k| k.kind == KeepOutKind::Stream)
            .count(),
        2
    );
    let paths = kept(KeepOutKind::Path);
    let path = 110.0 * 2.5 + pi * 1.25 * 1.25;
    let bridge = 20.0 * 3.0 + pi * 1.5 * 1.5;
    assert_relative_eq!(paths, path + bridge, max_relative = 0.01);
    assert!(kept(KeepOutKind::OutOfBounds) > 100.0);
    assert!(kept(KeepOutKind::Wetland) > 24.9 && kept(KeepOutKind::Scrub) > 24.9);
    assert!(f.barriers().all(|k| k.kind != KeepOutKind::Path));
    let told: Vec<String> = c.notices.iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        [
            "trees without \"diameter_crown\": 1, taken as 6 m wide; add \"diameter_crown\" in metres",
            "paths without \"width\": 1, taken as 2.5 m wide; add \"width\" in metres",
            "fences, walls and bounds without \"width\": 1, taken as 1 m wide; add \"width\" in metres",
        ]
    );
    // Every one is used.
    assert!(c.accounts.iter().all(|a| matches!(a.fate, Fate::UsedAs(_))));
}
