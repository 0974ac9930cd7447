//! Where on a fairway a spot lies, so that a person finds it without a map grid.

use crate::model::ground::{Fairway, KeepOutKind};
use crate::polygon::overlay::Overlay;
use geo::{BoundingRect, Centroid, CoordsIter, Distance, Euclidean};
use geo_types::{Coord, LineString, Point};
use std::f64::consts::TAU;

/// Whoever stands within this of a keep-out is beside it, metres.
pub const BESIDE_M: f64 = 6.0;
/// The first and the last quarter of a fairway are its ends.
const END_PART: f64 = 0.25;
/// The outer quarter of the width is the edge.
const EDGE_PART: f64 = 0.25;

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
/// use crossgrain_core::inside::ground::whereabouts::{Across, Along, Spot, whereabouts};
/// use crossgrain_core::inside::ground::FairwayParts;
/// use crossgrain_core::inside::ground::fairway;
/// use geo_types::{Coord, line_string, polygon};
///
/// let (f, _) = fairway(FairwayParts {
///     name: "7".into(),
///     outline: vec![polygon![(x: 0., y: 0.), (x: 90., y: 0.), (x: 90., y: 30.), (x: 0., y: 30.)]],
///     hole_line: Some(line_string![(x: -90., y: 15.), (x: 110., y: 15.)]),
///     ..Default::default()
/// })
/// .unwrap();
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
    let (sin, cos) = fairway.hole_direction_rad()?.sin_cos();
    let along_m = |c: Coord<f64>| c.x * cos + c.y * sin;
    let left_m = |c: Coord<f64>| c.y * cos - c.x * sin;
    let range = |values: &mut dyn Iterator<Item = f64>| {
        values.fold(None, |r: Option<(f64, f64)>, v| {
            Some(r.map_or((v, v), |r| (r.0.min(v), r.1.max(v))))
        })
    };
    let (low, high) = range(&mut fairway.outline.coords_iter().map(along_m))?;
    let part = (along_m(at) - low) / (high - low).max(f64::MIN_POSITIVE);
    let along = if part < END_PART {
        Along::NearTee
    } else if part > 1.0 - END_PART {
        Along::NearGreen
    } else {
        Along::Halfway
    };
    // The width there: a cut right across, moved onto the fairway where the spot is off its end.
    let bounds = fairway.outline.bounding_rect()?;
    let far = bounds.width() + bounds.height() + 1.0;
    let on = along_m(at).clamp(low + 0.01 * (high - low), high - 0.01 * (high - low));
    let end = |side: f64| Coord {
        x: on * cos - (left_m(at) + side) * sin,
        y: on * sin + (left_m(at) + side) * cos,
    };
    let cut = fairway
        .outline
        .along(&LineString(vec![end(-far), end(far)]));
    let (right, left) = range(&mut cut.coords_iter().map(left_m))?;
    let part = (left_m(at) - right) / (left - right).max(f64::MIN_POSITIVE);
    let across = if part < EDGE_PART {
        Across::RightEdge
    } else if part > 1.0 - EDGE_PART {
        Across::LeftEdge
    } else {
        Across::Middle
    };
    Some(Spot::OnHole(along, across))
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
        let all: Vec<Spot> = [(2., 190.), (28., 190.), (15., 20.), (2., -5.), (35., 100.)]
            .map(|(x, y)| spot(&f, x, y).spot)
            .to_vec();
        assert_eq!(
            all,
            [
                Spot::OnHole(Along::NearTee, Across::RightEdge),
                Spot::OnHole(Along::NearTee, Across::LeftEdge),
                Spot::OnHole(Along::NearGreen, Across::Middle),
                Spot::OnHole(Along::NearGreen, Across::RightEdge),
                Spot::OnHole(Along::Halfway, Across::LeftEdge),
            ]
        );
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
