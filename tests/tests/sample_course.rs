//! The sample course from file to plan file and back.

use crossgrain_core::MowParts;
use crossgrain_core::inside::ground::reach::reach;
use crossgrain_core::{Heading, Mower, Pattern, Segment, Settings, Track, plan};
use crossgrain_formats::course::{CourseFile, open, read};
use crossgrain_formats::plan::{About, Entry, mow_text, read as read_plan, text};
use crossgrain_metrics::coverage::{OUTLINE_TOLERANCE_M, Scene, cover_and_missed};
use crossgrain_metrics::{Measures, measure};
use crossgrain_tests::clean_cut::unclean;
use crossgrain_tests::stored::path;
use geo::Area;

const DECK_M: f64 = 2.54;

fn sample() -> CourseFile {
    match open(&path("../samples/quillback.geojson")) {
        Ok(c) => c,
        Err(e) => panic!("{e}"),
    }
}

fn stripes(heading: Heading) -> Settings {
    Settings::new(Pattern::Stripes { heading })
}

#[test]
fn the_sample_is_mown_clean_on_three_headings() {
    let file = sample();
    assert_eq!(file.course.fairways.len(), 9);
    let mower = Mower::bar(DECK_M);
    let mut bad = Vec::new();
    for f in &file.course.fairways {
        for heading in [
            Heading::Fewest,
            Heading::Along,
            Heading::Bearing { deg: 45.0 },
        ] {
            let mow = plan(f, &mower, &stripes(heading)).expect("the sample can be planned");
            let m = measure(f, &mower, &mow);
            if let Some(what) = unclean(&mower, &m) {
                bad.push(format!("{} {heading:?}: {what}", f.name()));
            }
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

/// A sheet shows what was missed: the shapes drawn must add up to the figure, the better the more
/// finely they are drawn.
#[test]
fn what_is_drawn_as_left_is_as_large_as_measured() {
    let file = sample();
    let mower = Mower::bar(DECK_M);
    for f in &file.course.fairways {
        let mow = plan(f, &mower, &stripes(Heading::Fewest)).expect("the sample can be planned");
        let m = measure(f, &mower, &mow);
        let scene = Scene {
            ground: f.ground(),
            reach: &reach(f.ground(), mower.cutting_width_m()),
            keep_outs: &f.keep_out_area(),
            mower: &mower,
            tracks: mow.tracks().as_slice(),
        };
        for (tolerance_m, part) in [(OUTLINE_TOLERANCE_M, 0.1), (1e-4, 0.002)] {
            let drawn_m2 = cover_and_missed(&scene, tolerance_m).1.unsigned_area();
            assert!(
                (drawn_m2 - m.missed_m2).abs() <= part * m.missed_m2 + tolerance_m,
                "{}: {drawn_m2} drawn, {} measured",
                f.name(),
                m.missed_m2
            );
        }
    }
}

fn near(a: f64, b: f64) -> bool {
    // A degree and back costs a few units in the last place.
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0)
}

fn same(a: &Track, b: &Track) -> bool {
    a.reels == b.reels
        && a.gear == b.gear
        && match (a.path, b.path) {
            (Segment::Line { from: p, to: q }, Segment::Line { from: r, to: s }) => {
                p == r && q == s
            }
            (Segment::Arc(p), Segment::Arc(q)) => {
                p.centre == q.centre
                    && p.radius_m == q.radius_m
                    && near(p.from_rad, q.from_rad)
                    && near(p.sweep_rad, q.sweep_rad)
            }
            _ => false,
        }
}

#[test]
fn a_plan_file_read_back_drives_and_measures_the_same() {
    let file = sample();
    let mower = Mower::bar(DECK_M);
    for name in ["4", "7"] {
        let f = file
            .course
            .fairways
            .iter()
            .find(|f| f.name() == name)
            .expect("the sample has it");
        let mow = plan(f, &mower, &stripes(Heading::Along)).expect("a plan");
        let measures = measure(f, &mower, &mow);
        let entry = Entry {
            fairway: f,
            mow: &mow,
            measures: &measures,
        };
        let written = text(&file.course, &mower, &[mow_text(&entry)], &About::default());
        let back = match read_plan(&written, "plan.json") {
            Ok(p) => p,
            Err(e) => panic!("{e}"),
        };
        let m = &back.mows[0];
        assert_eq!(m.tracks.len(), mow.tracks().as_slice().len());
        let differ = m
            .tracks
            .iter()
            .zip(mow.tracks().as_slice())
            .position(|(a, b)| !same(a, b));
        assert_eq!(differ, None, "fairway {name}: a track differs");
        assert_eq!(m.outline, *f.ground());
        let mow = MowParts {
            tracks: m.tracks.clone(),
            ..mow.into()
        }
        .mow();
        let again: Measures = measure(f, &mower, &mow);
        assert!(near(again.mowing_m, measures.mowing_m));
        for (a, b) in again.times_cut_m2.iter().zip(&measures.times_cut_m2) {
            assert!(
                (a - b).abs() <= 1e-6 * f.ground().unsigned_area(),
                "{a} and {b}"
            );
        }
    }
}

/// The same drawing put down elsewhere on the earth, unsplit where it crosses the antimeridian.
fn moved(lon: f64, lat: f64, file: &CourseFile) -> String {
    let to = crossgrain_core::Plane::new([lon, lat]).expect("a place on earth");
    let f = &file.course.fairways[1];
    let ring: Vec<[f64; 2]> = f.outline().0[0]
        .exterior()
        .0
        .iter()
        .map(|c| to.lon_lat(*c - f.outline().0[0].exterior().0[0]).position())
        .collect();
    format!(
        "{{\"type\":\"Polygon\",\"coordinates\":[{}]}}",
        serde_json::to_string(&ring).expect("numbers")
    )
}

#[test]
fn a_fairway_is_the_same_anywhere_on_earth() {
    let file = sample();
    let mower = Mower::bar(DECK_M);
    let figures = |lon: f64, lat: f64| {
        let c = match read(&moved(lon, lat, &file), "moved.geojson", "moved") {
            Ok(c) => c,
            Err(e) => panic!("({lon}, {lat}): {e}"),
        };
        assert_eq!(c.course.fairways.len(), 1, "({lon}, {lat})");
        let f = &c.course.fairways[0];
        let mow = plan(f, &mower, &stripes(Heading::Fewest)).expect("a plan");
        (
            f.ground().unsigned_area(),
            measure(f, &mower, &mow).mowing_m,
        )
    };
    let (area, mowing) = figures(10.0, 50.0);
    for (lon, lat) in [
        (179.9995, -17.8),
        (-179.9999, 60.0),
        (19.0, 69.5),
        (25.0, 78.2),
        (0.0, 0.0),
        (147.3, -42.9),
    ] {
        let (a, m) = figures(lon, lat);
        // A fairway a few hundred metres from the origin: far inside the plane's accuracy.
        assert!(
            (a - area).abs() <= 1e-6 * area,
            "({lon}, {lat}): {a} and {area} m2"
        );
        // A touch-up more or less, by rounding.
        assert!(
            (m - mowing).abs() <= 0.02 * mowing,
            "({lon}, {lat}): {m} and {mowing} m"
        );
    }
}
