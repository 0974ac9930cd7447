//! Where on a fairway a spot lies, so that a person finds it without a map grid.

use crate::ground::extent::Extent;
use crate::model::ground::{Fairway, KeepOutKind};
use crate::polygon::overlay::Overlay;
use geo::{BoundingRect, Centroid, CoordsIter, Distance, Euclidean};
use geo_types::{Coord, LineString, Point};
use std::f64::consts::TAU;

/// Whoever stands within this of a keep-out is beside it, metres.
pub const BESIDE_M: f64 = 6.0;
/// The first and the last quarter of a fairway are its ends, the outer quarters of the width its edges.
const END_PART: f64 = 0.25;

/// A part of a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// The first quarter.
    First,
    /// Between.
    Middle,
    /// The last quarter.
    Last,
}

/// A spot in words that hold on the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spot {
    /// On the way to the green.
    OnHole {
        /// From the tee to the green.
        along: Part,
        /// Looking toward the green, from the right edge to the left one, by the width there.
        across: Part,
    },
    /// Without a way to the green: the part of the fairway by the compass, in eighths of a turn
    /// clockwise from north; `None` in the middle.
    ByCompass(Option<u8>),
}

/// Where a spot, metres east and north, lies on a fairway, and the nearest keep-out within
/// [`BESIDE_M`], greens and tees left aside.
pub fn whereabouts(fairway: &Fairway, at: Coord<f64>) -> (Spot, Option<KeepOutKind>) {
    let beside = fairway
        .keep_outs
        .iter()
        .filter(|k| !matches!(k.kind, KeepOutKind::Green | KeepOutKind::Tee))
        .map(|k| (Euclidean.distance(&Point(at), &k.area), k.kind))
        .filter(|k| k.0 <= BESIDE_M)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|k| k.1);
    let by_compass = || Spot::ByCompass(by_compass(fairway, at));
    (on_hole(fairway, at).unwrap_or_else(by_compass), beside)
}

fn on_hole(fairway: &Fairway, at: Coord<f64>) -> Option<Spot> {
    let heading_rad = fairway.hole_direction_rad()?;
    let whole = Extent::of(&fairway.outline, heading_rad);
    let own = Extent::of_points([at], heading_rad);
    // The width there: a cut right across, moved onto the fairway where the spot is off its end.
    let (low, high) = whole.along;
    let inside = 0.01 * (high - low);
    let on = own.along.0.clamp(low + inside, high - inside);
    let (right, left) = (whole.across.0 - 1.0, whole.across.1 + 1.0);
    let across = LineString(vec![whole.world(on, right), whole.world(on, left)]);
    let cut = fairway.outline.along(&across);
    let width = Extent::of_points(cut.coords_iter(), heading_rad).across;
    Some(Spot::OnHole {
        along: part(own.along.0, whole.along)?,
        across: part(own.across.0, width)?,
    })
}

/// In which part of a stretch a place lies; `None` where the stretch is upside down.
fn part(at: f64, (low, high): (f64, f64)) -> Option<Part> {
    let share = (at - low) / (high - low).max(f64::MIN_POSITIVE);
    (low <= high).then_some(match share {
        _ if share < END_PART => Part::First,
        _ if share > 1.0 - END_PART => Part::Last,
        _ => Part::Middle,
    })
}

/// In which eighth a place lies, seen from the middle; `None` near it.
fn by_compass(fairway: &Fairway, at: Coord<f64>) -> Option<u8> {
    let bounds = fairway.outline.bounding_rect()?;
    let off = at - fairway.outline.centroid()?.0;
    let far = off.x.hypot(off.y) >= 0.15 * bounds.width().hypot(bounds.height());
    let eighths = (off.x.atan2(off.y).rem_euclid(TAU) / TAU * 8.0).round();
    far.then_some(eighths as u8 % 8)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{bunker, plain, rect};
    use geo_types::line_string;

    fn course(hole_line: Option<LineString<f64>>) -> Fairway {
        Fairway {
            keep_outs: vec![bunker(rect(12., 100., 5., 5.))],
            hole_line,
            ..plain(rect(0., 0., 30., 200.).into())
        }
    }

    #[test]
    fn along_across_and_beside() {
        // The green lies south.
        let f = course(Some(line_string![(x: 15., y: 300.), (x: 15., y: -20.)]));
        let at = |x, y| whereabouts(&f, Coord { x, y });
        for (x, y, along, across) in [
            (2., 190., Part::First, Part::First),
            (28., 190., Part::First, Part::Last),
            (15., 20., Part::Last, Part::Middle),
            (2., -5., Part::Last, Part::First),
            (35., 100., Part::Middle, Part::Last),
        ] {
            assert_eq!(at(x, y).0, Spot::OnHole { along, across });
        }
        assert_eq!(at(20., 103.).1, Some(KeepOutKind::Bunker));
        assert_eq!(at(28., 103.).1, None);
    }

    #[test]
    fn by_the_compass_without_a_way_to_the_green() {
        let f = course(None);
        for (x, y, eighth) in [
            (15., 195., Some(0)),
            (15., 3., Some(4)),
            (15., 90., None),
            (75., 160., Some(1)),
        ] {
            let spot = whereabouts(&f, Coord { x, y }).0;
            assert_eq!(spot, Spot::ByCompass(eighth));
        }
    }
}
