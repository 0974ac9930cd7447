//! Pages drawn from a mow made by hand, kept as golden files: a change of the drawing shows as a
//! change of a file, to be looked at before it is kept.
//!
//! `CROSSGRAIN_KEEP_GOLDEN=1 cargo test -p crossgrain-tests --test golden_sheets` writes them anew.

use crossgrain_core::MowParts;
use crossgrain_core::inside::ground::FairwayBuilder;
use crossgrain_core::inside::model::quantity::{UnitSystem, math_rad};
use crossgrain_core::{
    CircularArc, Course, KeepOut, KeepOutKind, LoopForm, Mow, Mower, PatternKind, PlacedLeg, Pose,
    Reels, Role, Segment, Sense, Side, Step, StepKind, StepRule, Track, UsedSettings,
};
use crossgrain_metrics::Measures;
use crossgrain_render::drawing::Drawing;
use crossgrain_render::overview::{Planned, overview};
use crossgrain_render::page::Paper;
use crossgrain_render::sheet::{Left, SheetInput, sheet};
use crossgrain_render::svg_page;
use crossgrain_render::words::{Language, Words};
use geo_types::{Coord, LineString, MultiPolygon, Polygon, coord};
use std::f64::consts::PI;
use std::path::Path as FilePath;

fn ring(points: &[(f64, f64)]) -> Polygon<f64> {
    Polygon::new(LineString::from(points.to_vec()), Vec::new())
}

fn kept_out(kind: KeepOutKind, points: &[(f64, f64)]) -> KeepOut {
    KeepOut {
        kind,
        name: None,
        area: ring(points),
    }
}

/// A plain fairway of 30 m by 120 m, the green to the north, a bunker in it, a pond beside it.
fn course() -> Course {
    let features = vec![
        kept_out(
            KeepOutKind::Bunker,
            &[(12.0, 70.0), (18.0, 70.0), (18.0, 76.0), (12.0, 76.0)],
        ),
        kept_out(
            KeepOutKind::Water,
            &[(36.0, 20.0), (52.0, 18.0), (54.0, 60.0), (38.0, 62.0)],
        ),
        kept_out(
            KeepOutKind::Green,
            &[(6.0, 126.0), (24.0, 126.0), (24.0, 138.0), (6.0, 138.0)],
        ),
    ];
    let (f, _) = FairwayBuilder {
        name: "7".into(),
        outline: vec![ring(&[
            (0.0, 0.0),
            (30.0, 0.0),
            (30.0, 120.0),
            (0.0, 120.0),
        ])],
        keep_outs: features.clone(),
        no_turn: vec![ring(&[
            (31.0, 18.0),
            (35.0, 18.0),
            (35.0, 64.0),
            (31.0, 64.0),
        ])],
        hole_line: Some(LineString::from(vec![(15.0, -40.0), (15.0, 132.0)])),
        way_in: Some(coord! { x: 2.0, y: -6.0 }),
    }
    .build_and_tell()
    .unwrap();
    Course {
        name: "Señal Hill".into(),
        origin_lon_deg: 0.0,
        origin_lat_deg: 0.0,
        fairways: vec![f],
        features,
    }
}

fn line(from: (f64, f64), to: (f64, f64)) -> Segment {
    Segment::Line {
        from: Coord::from(from),
        to: Coord::from(to),
    }
}

/// Round the edge once, ten stripes of which three lift over the bunker, a touch-up beside it.
fn stripes() -> Mow {
    let spacing = 2.5;
    let (mut tracks, mut legs) = (Vec::new(), Vec::new());
    // Clockwise round the edge, the reels up at each corner.
    let corners = [
        (1.2, 1.2),
        (1.2, 118.8),
        (28.8, 118.8),
        (28.8, 1.2),
        (1.2, 1.2),
    ];
    for pair in corners.windows(2) {
        let first = tracks.len();
        tracks.push(Track::down(line(pair[0], pair[1])));
        legs.push(leg(first..tracks.len(), Role::CleanUp { ring: 0 }, 0, None));
    }
    // A short way up to the first stripe.
    tracks.push(Track::up(line((1.2, 1.2), (3.75, 2.0))));
    for i in 0..10u32 {
        let x = 3.75 + spacing * f64::from(i);
        let up = i % 2 == 0;
        let at = |y: f64| (x, if up { y } else { 120.0 - y });
        let first = tracks.len();
        if (3..6).contains(&i) {
            let (low, high) = if up { (68.0, 78.0) } else { (42.0, 52.0) };
            tracks.push(Track::down(line(at(2.0), at(low))));
            tracks.push(Track::up(line(at(low), at(high))));
            tracks.push(Track::down(line(at(high), at(118.0))));
        } else {
            tracks.push(Track::down(line(at(2.0), at(118.0))));
        }
        legs.push(leg(
            first..tracks.len(),
            Role::Stripe { set: 0, index: i },
            1,
            Some(i + 1),
        ));
        if i < 9 {
            let heading = if up { PI / 2.0 } else { -PI / 2.0 };
            let turn = if up { -PI } else { PI };
            let end = Pose::new(Coord::from(at(118.0)), heading);
            tracks.push(Track::up(Segment::Arc(CircularArc::leaving(
                end,
                spacing / 2.0,
                turn,
            ))));
        }
    }
    tracks.push(Track::up(line((26.25, 2.0), (19.5, 66.0))));
    let first = tracks.len();
    tracks.push(Track::down(line((19.5, 66.0), (19.5, 79.0))));
    legs.push(leg(first..tracks.len(), Role::TouchUp, 2, None));
    let steps = vec![
        step(StepKind::Circuit, StepRule::Round, 0..4),
        Step {
            lines: Some((1, 10)),
            side: Some(Side::LeftToRight),
            bridges: 3,
            ..step(StepKind::Block, StepRule::Next, 4..14)
        },
        Step {
            keep_out: Some(0),
            ..step(StepKind::Patch, StepRule::InOrder, 14..15)
        },
    ];
    MowParts {
        steps,
        ..mow(PatternKind::Stripes, tracks, legs, {
            let mut made = UsedSettings::default();
            made.overlap_m = 0.04;
            made.spacing_m = Some(spacing);
            made.clean_up_sense = Some(Sense::Clockwise);
            made
        })
        .into()
    }
    .mow()
}

fn leg(tracks: std::ops::Range<usize>, role: Role, step: usize, line: Option<u32>) -> PlacedLeg {
    PlacedLeg {
        tracks,
        role,
        step,
        line,
    }
}

fn step(kind: StepKind, rule: StepRule, legs: std::ops::Range<usize>) -> Step {
    Step {
        kind,
        rule,
        part: 0,
        set: 0,
        legs,
        lines: None,
        side: None,
        sweeps: Vec::new(),
        keep_out: None,
        bridges: 0,
        stop_here: false,
    }
}

/// Two lanes of drifting loops, up and back.
fn loops() -> Mow {
    let (diameter, advance) = (6.4, 2.0);
    let (wide, tight) = (
        diameter / 2.0 + advance / 4.0,
        diameter / 2.0 - advance / 4.0,
    );
    let (mut tracks, mut legs) = (Vec::new(), Vec::new());
    for (lane, x, from, to) in [(0u32, 8.0, 5.0, 105.0), (1, 22.0, 115.0, 15.0)] {
        let way = f64::signum(to - from);
        let first = tracks.len();
        let mut y = from;
        while (to - y) * way > 0.0 {
            // Square to the lane, turning clockwise: a wide half circle on, a tight one back.
            let start = Pose::new(coord! { x: x, y: y }, math_rad(270.0 * way));
            let on = CircularArc::leaving(start, wide, -PI);
            let path = Segment::Arc(on);
            tracks.push(Track::down(path));
            tracks.push(Track::down(Segment::Arc(CircularArc::leaving(
                path.end(),
                tight,
                -PI,
            ))));
            y += advance * way;
        }
        legs.push(leg(
            first..tracks.len(),
            Role::Lane { lane },
            0,
            Some(lane + 1),
        ));
        if lane == 0 {
            let end = tracks.last().unwrap().end().at;
            tracks.push(Track::up(line((end.x, end.y), (22.0, 115.0))));
        }
    }
    let steps = vec![Step {
        lines: Some((1, 2)),
        side: Some(Side::LeftToRight),
        ..step(StepKind::Lanes, StepRule::Next, 0..2)
    }];
    MowParts {
        steps,
        ..mow(PatternKind::Loops, tracks, legs, {
            let mut made = UsedSettings::default();
            made.overlap_m = 0.1;
            made.loop_diameter_m = Some(diameter);
            made.advance_m = Some(advance);
            made.lane_spacing_m = Some(14.0);
            made.form = Some(LoopForm::Drift);
            made.lanes = Some(2);
            made.loops_per_lane = Some(50);
            made
        })
        .into()
    }
    .mow()
}

fn mow(
    pattern: PatternKind,
    tracks: Vec<Track>,
    legs: Vec<PlacedLeg>,
    settings: UsedSettings,
) -> Mow {
    MowParts {
        fairway: "7".into(),
        pattern,
        heading_deg: Some(0.0),
        sense: Sense::Clockwise,
        settings,
        tracks,
        legs,
        steps: Vec::new(),
        notes: Vec::new(),
    }
    .mow()
}

fn measures(mow: &Mow) -> Measures {
    // The figures on a sheet come from here; invented round ones keep the golden files apart
    // from the measuring.
    Measures {
        fairway_m2: 3564.0,
        trim_m2: 1.2,
        missed_m2: 2.0,
        passes: mow.passes().count(),
        minutes: 24.0,
        shift_minutes: 30.0,
        mowing_m: mow.mowing_m(),
        ..Default::default()
    }
}

fn compare(name: &str, page: &Drawing) {
    assert_eq!(page.text_faults(), Vec::<String>::new(), "{name}");
    let file = FilePath::new(env!("CARGO_MANIFEST_DIR"))
        .join("golden")
        .join(name);
    let drawn = format!("{}\n", svg_page::inner_document(page));
    if std::env::var_os("CROSSGRAIN_KEEP_GOLDEN").is_some() {
        std::fs::write(&file, &drawn).unwrap();
    }
    let kept = std::fs::read_to_string(&file).unwrap();
    let at = kept
        .lines()
        .zip(drawn.lines())
        .position(|(a, b)| a != b)
        .map_or("its end".to_string(), |n| format!("line {}", n + 1));
    assert!(kept == drawn, "{name} differs from {at} on");
}

#[test]
fn pages_are_drawn_as_they_were() {
    let course = course();
    let fairway = &course.fairways[0];
    let mower = Mower::bar(2.54);
    let left = Left {
        trim: MultiPolygon(vec![ring(&[(0.0, 0.0), (1.5, 0.0), (0.0, 1.5)])]),
        missed: MultiPolygon(vec![ring(&[
            (14.0, 60.0),
            (15.0, 60.0),
            (15.0, 62.0),
            (14.0, 62.0),
        ])]),
    };
    let us = Words::of(Language::English, UnitSystem::Us);
    let metric = Words::of(Language::Spanish, UnitSystem::Metric);
    let (a, b) = (stripes(), loops());
    for (name, mow, paper, words) in [
        ("stripes-letter-en-us.svg", &a, Paper::Letter, &us),
        ("loops-a4-es-metric.svg", &b, Paper::A4, &metric),
    ] {
        let figures = measures(mow);
        let pages = sheet(&SheetInput {
            left: Some(&left),
            date: Some("2027-05-03"),
            height_of_cut_m: Some(0.0127),
            ..SheetInput::new(&course, fairway, &mower, mow, &figures, paper, words)
        });
        assert_eq!(pages.len(), 1);
        compare(name, &pages[0]);
    }
    let figures = measures(&a);
    let page = overview(
        &course,
        &[Planned {
            fairway,
            mow: &a,
            measures: &figures,
        }],
        Paper::Letter,
        &us,
    );
    compare("overview-letter-en-us.svg", &page);
}

#[test]
fn the_hand_made_drives_hold_together() {
    for mow in [stripes(), loops()] {
        for w in mow.tracks().as_slice().windows(2) {
            let (a, b) = (w[0].end().at, w[1].start().at);
            assert!((a.x - b.x).hypot(a.y - b.y) < 1e-6, "{a:?} {b:?}");
        }
        assert!(mow.tracks().any(|t| t.reels == Reels::Up));
    }
}
