//! Square fairways under stripes, rings and loop trains.

use crossgrain_core::{CircularArc, Fairway, Mower, Segment, Track};
use geo_types::{Coord, LineString, Polygon, coord};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Cutting width of the bar deck on these plans, metres (100 in).
pub const DECK_M: f64 = 2.54;
/// Overlap between passes, metres.
const OVERLAP_M: f64 = 0.10;
/// Radius of the loops, metres (a diameter of 22 ft).
pub const LOOP_RADIUS_M: f64 = 3.3528;
/// Advance from loop to loop, metres.
const ADVANCE_M: f64 = 2.9;
/// From lane to lane, metres.
const LANE_M: f64 = 8.2;
/// The plans lie askew, so that no edge is parallel to an axis by luck.
const HEADING_RAD: f64 = 0.35;

/// A mower, a fairway and the tracks to measure.
#[derive(Debug, Clone)]
pub struct Plan {
    /// What it is called in the results.
    pub name: &'static str,
    /// The fairway.
    pub fairway: Fairway,
    /// The mower.
    pub mower: Mower,
    /// The tracks, reels down unless they join passes.
    pub tracks: Vec<Track>,
}

/// Turns a point given along and across the plan's heading into the plane.
fn askew(along: f64, across: f64) -> Coord<f64> {
    let (s, c) = HEADING_RAD.sin_cos();
    coord! { x: along * c - across * s, y: along * s + across * c }
}

/// A square fairway of `area_m2` with its corner at the origin, turned to the plans' heading.
pub fn square(area_m2: f64) -> Fairway {
    let side = area_m2.sqrt();
    let ring: Vec<Coord<f64>> = [
        (0.0, 0.0),
        (side, 0.0),
        (side, side),
        (0.0, side),
        (0.0, 0.0),
    ]
    .into_iter()
    .map(|(a, b)| askew(a, b))
    .collect();
    Fairway::builder("square")
        .outline(Polygon::new(LineString(ring), vec![]))
        .build()
        .expect("a square is sound")
}

fn line(from: Coord<f64>, to: Coord<f64>) -> Segment {
    Segment::Line { from, to }
}

/// Stripes from edge to edge.
pub fn stripes(area_m2: f64) -> Plan {
    let side = area_m2.sqrt();
    let mut tracks = Vec::new();
    let mut across = DECK_M / 2.0;
    let mut out = true;
    while across < side {
        let (a, b) = (askew(0.0, across), askew(side, across));
        let (a, b) = if out { (a, b) } else { (b, a) };
        tracks.push(Track::down(line(a, b)));
        across += DECK_M - OVERLAP_M;
        let (a, b) = (
            b,
            if out {
                askew(side, across)
            } else {
                askew(0.0, across)
            },
        );
        tracks.push(Track::up(line(a, b)));
        out = !out;
    }
    plan("stripes", area_m2, tracks)
}

/// Rings of four sides and four round corners, from the outside in.
pub fn rings(area_m2: f64) -> Plan {
    const CORNER_M: f64 = 4.0;
    let side = area_m2.sqrt();
    let mut tracks = Vec::new();
    let mut inset = DECK_M / 2.0;
    while side - 2.0 * inset > 2.0 * CORNER_M {
        let (lo, hi) = (inset, side - inset);
        let (a, b) = (lo + CORNER_M, hi - CORNER_M);
        let corner = |x: f64, y: f64, from: f64| {
            Track::down(Segment::Arc(CircularArc {
                centre: askew(x, y),
                radius_m: CORNER_M,
                from_rad: from + HEADING_RAD,
                sweep_rad: FRAC_PI_2,
            }))
        };
        let straight =
            |x0: f64, y0: f64, x1: f64, y1: f64| Track::down(line(askew(x0, y0), askew(x1, y1)));
        tracks.extend([
            straight(a, lo, b, lo),
            corner(b, a, -FRAC_PI_2),
            straight(hi, a, hi, b),
            corner(b, b, 0.0),
            straight(b, hi, a, hi),
            corner(a, b, FRAC_PI_2),
            straight(lo, b, lo, a),
            corner(a, a, 2.0 * FRAC_PI_2),
        ]);
        let next = inset + DECK_M - OVERLAP_M;
        tracks.push(Track::up(line(askew(a, lo), askew(a, next))));
        inset = next;
    }
    plan("rings", area_m2, tracks)
}

/// Lanes of full circles, each followed by a straight roll.
pub fn loops(area_m2: f64) -> Plan {
    let side = area_m2.sqrt();
    let mut tracks = Vec::new();
    let mut across = LANE_M / 2.0;
    while across < side {
        let mut along = 0.0;
        while along < side {
            let foot = askew(along, across - LOOP_RADIUS_M);
            tracks.push(Track::down(Segment::Arc(CircularArc {
                centre: askew(along, across),
                radius_m: LOOP_RADIUS_M,
                from_rad: HEADING_RAD - FRAC_PI_2,
                sweep_rad: TAU,
            })));
            along += ADVANCE_M;
            tracks.push(Track::down(line(
                foot,
                askew(along, across - LOOP_RADIUS_M),
            )));
        }
        let foot = askew(along, across - LOOP_RADIUS_M);
        across += LANE_M;
        tracks.push(Track::up(line(foot, askew(0.0, across - LOOP_RADIUS_M))));
    }
    plan("loops", area_m2, tracks)
}

fn plan(name: &'static str, area_m2: f64, tracks: Vec<Track>) -> Plan {
    Plan {
        name,
        fairway: square(area_m2),
        mower: Mower::bar(DECK_M),
        tracks,
    }
}
