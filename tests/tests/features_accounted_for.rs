//! Nothing of a course file is lost: every feature is used, or listed with the reason why not,
//! and what is listed as left aside has no part in the course.

use crossgrain_core::Plane;
use crossgrain_formats::course::{CourseFile, Fate, read};
use geo_types::Coord;
use proptest::prelude::*;
use serde_json::{Value, json};

/// Properties as files have them, sound and less so.
fn properties() -> impl Strategy<Value = Value> {
    prop_oneof![
        (
            prop_oneof![
                Just("golf"),
                Just("natural"),
                Just("waterway"),
                Just("landuse"),
                Just("barrier"),
                Just("amenity"),
                Just("leisure"),
                Just("building"),
                Just("man_made"),
                Just("power"),
            ],
            prop_oneof![
                Just("bunker"),
                Just("green"),
                Just("tee"),
                Just("hole"),
                Just("rough"),
                Just("water"),
                Just("tree"),
                Just("scrub"),
                Just("wetland"),
                Just("stream"),
                Just("forest"),
                Just("hedge"),
                Just("bridge"),
                Just("pole"),
                Just("golf_course"),
            ],
        )
            .prop_map(|(k, v)| json!({k: v})),
        prop_oneof![
            Just("keep-out"),
            Just("no-turn"),
            Just("keep-off"),
            Just("path"),
            Just("bridge"),
            Just("hole"),
            Just("way-in"),
            Just("trees"),
            Just("aside"),
            Just("fairway"),
        ]
        .prop_map(|r| json!({"role": r})),
        Just(json!({"highway": "path", "width": "2.5"})),
        Just(json!({"highway": "service", "bridge": "yes"})),
        Just(json!({"waterway": "drain", "tunnel": "culvert"})),
        Just(json!({"name": "something"})),
        Just(json!({})),
    ]
}

fn geometry() -> impl Strategy<Value = Value> {
    let at = |x: f64, y: f64| {
        let plane = Plane::new([5.0, 45.0]).expect("a plane");
        plane.lon_lat(Coord { x, y }).position()
    };
    let place = prop_oneof![
        4 => (-100.0..400.0f64, -100.0..200.0f64),
        1 => (3000.0..9000.0f64, -3000.0..3000.0f64),
    ];
    (0..6, place, 1.0..40.0f64, 1.0..40.0f64).prop_map(move |(kind, (x, y), w, h)| {
        let ring = [
            at(x, y),
            at(x + w, y),
            at(x + w, y + h),
            at(x, y + h),
            at(x, y),
        ];
        let line = [at(x, y), at(x + w, y + h), at(x + 5.0 * w, y)];
        match kind {
            0 => json!({"type": "Polygon", "coordinates": [ring]}),
            1 => json!({"type": "LineString", "coordinates": line}),
            2 => json!({"type": "Point", "coordinates": ring[0]}),
            3 => json!({"type": "MultiLineString", "coordinates": [line, ring]}),
            4 => json!({"type": "GeometryCollection", "geometries": [
                {"type": "Point", "coordinates": ring[0]},
                {"type": "Polygon", "coordinates": [ring]}]}),
            _ => Value::Null,
        }
    })
}

fn file(features: &[Value]) -> String {
    json!({"type": "FeatureCollection", "features": features}).to_string()
}

fn opened(features: &[Value]) -> Result<CourseFile, String> {
    read(&file(features), "c.geojson", "c").map_err(|e| e.to_string())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn features_in_are_features_used_and_listed(
        more in proptest::collection::vec((properties(), geometry()), 0..12),
    ) {
        let plane = Plane::new([5.0, 45.0]).expect("a plane");
        let ring: Vec<[f64; 2]> = [(0., 0.), (300., 0.), (300., 35.), (0., 35.), (0., 0.)]
            .map(|(x, y)| plane.lon_lat(Coord { x, y }).position())
            .to_vec();
        let mut features = vec![json!({"type": "Feature", "properties": {"role": "fairway", "name": "7"},
            "geometry": {"type": "Polygon", "coordinates": [ring]}})];
        for (p, g) in more {
            let feature = json!({"type": "Feature", "properties": p, "geometry": g});
            // What is refused by itself is told so, and would hide the rest.
            if opened(&[features[0].clone(), feature.clone()]).is_ok() {
                features.push(feature);
            }
        }
        let course = opened(&features).map_err(TestCaseError::fail)?;
        prop_assert_eq!(course.accounts.len(), features.len());
        let mut used = Vec::new();
        for (i, a) in course.accounts.iter().enumerate() {
            prop_assert_eq!(a.feature.index, i);
            match &a.fate {
                Fate::UsedAs(_) => used.push(features[i].clone()),
                Fate::LeftAside { why, .. } => prop_assert!(!why.is_empty()),
            }
        }
        // Without all that is left aside the course is the same.
        let again = opened(&used).expect("a part of a sound file is sound");
        prop_assert_eq!(&again.course, &course.course);
        prop_assert!(again.accounts.iter().all(|a| matches!(a.fate, Fate::UsedAs(_))));
    }
}
