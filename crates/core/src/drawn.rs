//! Ground, ways and decks for the tests of this crate.

use crate::ground::as_given;
use crate::model::ground::{Fairway, KeepOut, KeepOutKind};
use crate::model::mow::{Leg, Role};
use crate::model::mower::{CuttingUnit, Mower};
use crate::model::pose::Pose;
use crate::model::task::{Line, Piece};
use crate::model::track::{Segment, Track};
use geo_types::{Coord, MultiPolygon, Polygon, Rect};

pub(crate) fn rect(x: f64, y: f64, width: f64, height: f64) -> Polygon<f64> {
    let (x1, y1) = (x + width, y + height);
    Rect::new(Coord { x, y }, Coord { x: x1, y: y1 }).to_polygon()
}

pub(crate) fn bunker(area: Polygon<f64>) -> KeepOut {
    KeepOut {
        kind: KeepOutKind::Bunker,
        name: None,
        area,
    }
}

/// A fairway whose ground is all of its outline.
pub(crate) fn plain(outline: MultiPolygon<f64>) -> Fairway {
    let mut drawn = Fairway::builder("1");
    drawn.outline = outline.0.clone();
    as_given(drawn, outline)
}

pub(crate) fn pose(x: f64, y: f64, heading_rad: f64) -> Pose {
    Pose::new(Coord { x, y }, heading_rad)
}

pub(crate) fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Segment {
    Segment::Line {
        from: Coord { x: x0, y: y0 },
        to: Coord { x: x1, y: y1 },
    }
}

pub(crate) fn unit(across_m: f64, ahead_m: f64, width_m: f64) -> CuttingUnit {
    CuttingUnit {
        across_m,
        ahead_m,
        width_m,
    }
}

/// Three units ahead of the axle and two behind it, on a mower that turns tightly.
pub(crate) fn five_units() -> Mower {
    let layout = [
        (0.9906, 0.72),
        (0.0, 0.72),
        (-0.9906, 0.72),
        (0.4953, -0.5),
        (-0.4953, -0.5),
    ];
    Mower {
        units: layout.map(|(a, x)| unit(a, x, 0.5588)).to_vec(),
        turning_radius_m: 1.8,
        ..Mower::bar(2.54)
    }
}

/// Stripes northward, `apart_m` from one another, each cut into pieces from and to so many metres.
pub(crate) fn lines(
    all: &[&[(f64, f64)]],
    apart_m: f64,
    forward: impl Fn(usize) -> bool,
) -> Vec<Line> {
    let drawn = |(i, pieces): (usize, &&[(f64, f64)])| {
        let (x, forward) = (i as f64 * apart_m, forward(i));
        let piece = |&(from_m, to_m): &(f64, f64)| {
            let (a, b) = if forward {
                (from_m, to_m)
            } else {
                (to_m, from_m)
            };
            let leg = Leg {
                tracks: vec![Track::down(line(x, a, x, b))],
                role: Role::TouchUp,
                reversible: true,
            };
            Piece { leg, from_m, to_m }
        };
        Line {
            number: i as u32 + 1,
            forward,
            pieces: pieces.iter().map(piece).collect(),
        }
    };
    all.iter().enumerate().map(drawn).collect()
}

/// Every order of `n` things, each in either of two ways, that goes on from what is `begun`.
pub(crate) fn all_orders(n: usize, begun: Vec<(usize, bool)>) -> Vec<Vec<(usize, bool)>> {
    if begun.len() == n {
        return vec![begun];
    }
    let each = (0..n).flat_map(|i| [(i, false), (i, true)]);
    let rest = each.filter(|way| begun.iter().all(|done| done.0 != way.0));
    rest.flat_map(|way| all_orders(n, [&begun[..], &[way]].concat()))
        .collect()
}

/// Numbers evenly spread from nothing to what is asked, the same for the same seed.
pub(crate) fn spread(seed: u64) -> impl FnMut(f64) -> f64 {
    let mut state = seed;
    move |most| {
        // Knuth's MMIX constants: any even spread will do.
        state = state
            .wrapping_mul(6364136223846793005)
            .wrapping_add(1442695040888963407);
        (state >> 33) as f64 / (1u64 << 31) as f64 * most
    }
}
