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

/// How far along the fairway.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Along {
    /// In the first quarter from the tee.
    NearTee,
    /// Between.
    Halfway,
    /// In the last quarter.
    NearGreen,
}

/// On which side, looking toward the green.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Across {
    /// The left quarter of the width there.
    LeftEdge,
    /// Between.
    Middle,
    /// The right quarter.
    RightEdge,
}

/// A spot in words that hold on the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Spot {
    /// Along and across the way to the green.
    OnHole(Along, Across),
    /// Without a way to the green: the part of the fairway by the compass, in eighths of a turn
    /// clockwise from north; `None` in the middle.
    ByCompass(Option<u8>),
}

/// Where a spot lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Whereabouts {
    /// The spot.
    pub spot: Spot,
    /// The nearest keep-out within [`BESIDE_M`], greens and tees left aside.
    pub beside: Option<KeepOutKind>,
}

/// Where a spot, metres east and north, lies on a fairway.
///
/// ```
/// use crossgrain_core::Fairway;
/// use crossgrain_core::inside::ground::whereabouts::{Across, Along, Spot, whereabouts};
/// use geo_types::{Coord, line_string, polygon};
///
/// let f = Fairway::builder("7")
///     .outline(polygon![(x: 0., y: 0.), (x: 90., y: 0.), (x: 90., y: 30.), (x: 0., y: 30.)])
///     .hole_line(line_string![(x: -90., y: 15.), (x: 110., y: 15.)])
///     .build()
///     .unwrap();
/// let at = whereabouts(&f, Coord { x: 80.0, y: 2.0 });
/// assert_eq!(at.spot, Spot::OnHole(Along::NearGreen, Across::RightEdge));
/// ```
pub fn whereabouts(fairway: &Fairway, at: impl Into<Coord<f64>>) -> Whereabouts {
    let at = at.into();
    let beside = fairway
        .keep_outs
        .iter()
        .filter(|k| !matches!(k.kind, KeepOutKind::Green | KeepOutKind::Tee))
        .map(|k| (Euclidean.distance(&Point(at), &k.area), k.kind))
        .filter(|k| k.0 <= BESIDE_M)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|k| k.1);
    Whereabouts {
        spot: on_hole(fairway, at).unwrap_or_else(|| by_compass(fairway, at)),
        beside,
    }
}

fn on_hole(fairway: &Fairway, at: Coord<f64>) -> Option<Spot> {
    let heading_rad = fairway.hole_direction_rad()?;
    let whole = Extent::of(&fairway.outline, heading_rad);
    let (x, y) = {
        let at = Extent::of_points([at], heading_rad);
        (at.along.0, at.across.0)
    };
    // The width there: a cut right across, moved onto the fairway where the spot is off its end.
    let (low, high) = whole.along;
    let inside = 0.01 * (high - low);
    let on = x.clamp(low + inside, high - inside);
    let (right, left) = (whole.across.0 - 1.0, whole.across.1 + 1.0);
    let across = LineString(vec![whole.world(on, right), whole.world(on, left)]);
    let cut = fairway.outline.along(&across);
    let width = Extent::of_points(cut.coords_iter(), heading_rad).across;
    let along = [Along::NearTee, Along::Halfway, Along::NearGreen];
    let across = [Across::RightEdge, Across::Middle, Across::LeftEdge];
    Some(Spot::OnHole(
        along[third(x, whole.along)?],
        across[third(y, width)?],
    ))
}

/// Whether a place lies at the beginning of a stretch (0), between (1) or at its end (2).
fn third(at: f64, (low, high): (f64, f64)) -> Option<usize> {
    let part = (at - low) / (high - low).max(f64::MIN_POSITIVE);
    let place = usize::from(part >= END_PART) + usize::from(part > 1.0 - END_PART);
    (low <= high).then_some(place)
}

fn by_compass(fairway: &Fairway, at: Coord<f64>) -> Spot {
    let (Some(middle), Some(bounds)) =
        (fairway.outline.centroid(), fairway.outline.bounding_rect())
    else {
        return Spot::ByCompass(None);
    };
    let (x, y) = (at.x - middle.x(), at.y - middle.y());
    if x.hypot(y) < 0.15 * bounds.width().hypot(bounds.height()) {
        return Spot::ByCompass(None);
    }
    let eighths = (x.atan2(y).rem_euclid(TAU) / TAU * 8.0).round();
    Spot::ByCompass(Some(eighths as u8 % 8))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{bunker, rect};
    use crate::ground::{FairwayParts, fairway};
    use geo_types::line_string;

    fn course(hole_line: Option<LineString<f64>>) -> Fairway {
        let parts = FairwayParts {
            name: "1".into(),
            outline: vec![rect(0., 0., 30., 200.)],
            keep_outs: vec![bunker(rect(12., 100., 5., 5.))],
            hole_line,
            ..FairwayParts::default()
        };
        fairway(parts).unwrap().0
    }

    fn spot(f: &Fairway, x: f64, y: f64) -> Whereabouts {
        whereabouts(f, Coord { x, y })
    }

    #[test]
    fn along_across_and_beside() {
        // The green lies south.
        let f = course(Some(line_string![(x: 15., y: 300.), (x: 15., y: -20.)]));
        for (x, y, along, across) in [
            (2., 190., Along::NearTee, Across::RightEdge),
            (28., 190., Along::NearTee, Across::LeftEdge),
            (15., 20., Along::NearGreen, Across::Middle),
            (2., -5., Along::NearGreen, Across::RightEdge),
            (35., 100., Along::Halfway, Across::LeftEdge),
        ] {
            assert_eq!(spot(&f, x, y).spot, Spot::OnHole(along, across));
        }
        assert_eq!(spot(&f, 20., 103.).beside, Some(KeepOutKind::Bunker));
        assert_eq!(spot(&f, 28., 103.).beside, None);
    }

    #[test]
    fn by_the_compass_without_a_way_to_the_green() {
        let f = course(None);
        let part = |x, y| spot(&f, x, y).spot;
        assert_eq!(part(15., 195.), Spot::ByCompass(Some(0)));
        assert_eq!(part(15., 3.), Spot::ByCompass(Some(4)));
        assert_eq!(part(15., 90.), Spot::ByCompass(None));
        assert_eq!(part(75., 160.), Spot::ByCompass(Some(1)));
    }
}
