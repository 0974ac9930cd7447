//! The lay that plain habits leave, on mows that are really planned.
//!
//! Away from the edges, with passes that neither overlap nor leave a gap, every cell is cut once
//! by each mow, so the figures are those of the directions alone:
//! - one heading: R1 = 1, R2 = 1; back and forth: R1 = 0, R2 = 1 (by definition);
//! - 12-6, 3-9, 1:30-7:30, 10:30-4:30 in turn (*Fundamentals of Tropical Turf Management*):
//!   R2 = 0;
//! - NE-SW, E-W, NW-SE on three days (Brisbane City Council 2019): R2 = 0.3333.

use crossgrain_core::{Fairway, Heading, Mower, Pattern, Settings, Spacing, Track, plan};
use crossgrain_metrics::lay::LayGrid;
use crossgrain_season::grain::{Sum, sums};
use crossgrain_season::rules::CLOCK_ROTATION;
use geo_types::{LineString, Rect, coord};

/// Deck and stripes, metres: a whole number of cells, so that no cell lies under two stripes.
const DECK_M: f64 = 2.0;
const CELL_M: f64 = 1.0;
const SIDE_M: f64 = 64.0;
/// Cells nearer to the edge than this are left out: pass ends overlap there.
const EDGE_M: f64 = 12.0;
const TOLERANCE: f64 = 1e-6;

/// A square whose hole runs north.
fn fairway() -> Fairway {
    let outline = Rect::new(coord! {x: 0.0, y: 0.0}, coord! {x: SIDE_M, y: SIDE_M});
    Fairway::builder("1")
        .outline(outline.to_polygon())
        .hole_line(LineString(vec![
            coord! {x: SIDE_M / 2.0, y: -5.0},
            coord! {x: SIDE_M / 2.0, y: SIDE_M + 5.0},
        ]))
        .build()
        .expect("a square is sound")
}

/// The tracks of stripes without overlap.
fn tracks(heading: Heading) -> Vec<Track> {
    let mut s = Settings::new(Pattern::Stripes { heading });
    s.spacing = Spacing::Nominal;
    s.overlap_m = 0.0;
    s.clean_up.rings = 0;
    plan(&fairway(), &Mower::bar(DECK_M), &s)
        .unwrap()
        .tracks()
        .copied()
        .collect()
}

/// The same drive back to front.
fn back(tracks: &[Track]) -> Vec<Track> {
    tracks
        .iter()
        .rev()
        .map(|t| Track {
            path: t.path.reversed(),
            ..*t
        })
        .collect()
}

fn grid(tracks: &[Track]) -> LayGrid {
    LayGrid::of_tracks(&fairway(), &Mower::bar(DECK_M), tracks, CELL_M)
}

/// Least and largest R1 and R2 in the interior, after these mows.
fn interior(mows: &[Vec<Track>]) -> [(f64, f64); 2] {
    let all = grid(&mows.concat());
    let mut out = [(f64::MAX, f64::MIN); 2];
    let mut cells = 0;
    for c in all.cells() {
        let inside = |v: f64| (EDGE_M..=SIDE_M - EDGE_M).contains(&v);
        if inside(c.centre.x) && inside(c.centre.y) {
            cells += 1;
            for (o, r) in out.iter_mut().zip([c.r1.unwrap(), c.r2.unwrap()]) {
                *o = (o.0.min(r), o.1.max(r));
            }
        }
    }
    assert!(cells > 1000, "{cells} cells");
    out
}

#[track_caller]
fn all_are(range: (f64, f64), value: f64) {
    assert!(
        (range.0 - value).abs() < TOLERANCE && (range.1 - value).abs() < TOLERANCE,
        "{range:?} is not {value}"
    );
}

#[test]
fn one_heading_all_season() {
    let one = tracks(CLOCK_ROTATION[0]);
    let [r1, r2] = interior(&vec![one; 5]);
    all_are(r1, 1.0);
    all_are(r2, 1.0);
}

#[test]
fn back_and_forth() {
    let one = tracks(CLOCK_ROTATION[0]);
    let [r1, r2] = interior(&[one.clone(), back(&one)]);
    all_are(r1, 0.0);
    all_are(r2, 1.0);
}

#[test]
fn the_clock_rotation_of_four_axes() {
    let [_, r2] = interior(&CLOCK_ROTATION.map(tracks));
    all_are(r2, 0.0);
}

#[test]
fn three_axes_of_the_check_table() {
    let [_, r2] = interior(&[45.0, 90.0, 315.0].map(|deg| tracks(Heading::Bearing { deg })));
    all_are(r2, 1.0 / 3.0);
}

#[test]
fn the_sums_that_headings_are_chosen_on_say_the_same() {
    // Single precision in memory: 1e-5 is what the choice rests on.
    let mut total: Vec<Sum> = Vec::new();
    let mut all: Vec<Track> = Vec::new();
    for (i, h) in CLOCK_ROTATION.iter().cycle().take(6).enumerate() {
        let t = tracks(*h);
        let s = sums(&grid(&t));
        total.resize(s.len(), Sum::default());
        let turned = i % 3 == 1;
        for (a, b) in total.iter_mut().zip(&s) {
            a.add(b, 1.0, turned);
        }
        all.extend(if turned { back(&t) } else { t });
    }
    let mut compared = 0;
    for (c, s) in grid(&all).cells().zip(&total) {
        if let (Some(r1), Some(r2), Some(ours)) = (c.r1, c.r2, s.lay()) {
            assert!((r1 - f64::from(ours.0)).abs() < 1e-5, "{r1} {ours:?}");
            assert!((r2 - f64::from(ours.1)).abs() < 1e-5, "{r2} {ours:?}");
            compared += 1;
        }
    }
    assert!(compared > 3000, "{compared}");
}
