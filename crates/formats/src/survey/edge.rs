//! A drive closed where it comes back to its start, moved to the edge and simplified.

use super::clean::{Cleaned, Point, apart};
use super::{Settings, SurveyError};
use crossgrain_core::inside::polygon::offset::offset;
use crossgrain_core::inside::polygon::overlay::Overlay;
use geo::{Area, Length, Simplify};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

/// An outline stays this near to the driven line unless another tolerance is asked for, metres:
/// half of what mowers overlap by.
pub const DEFAULT_TOLERANCE_M: f64 = 0.05;
/// A drive that ends within this of its start is closed by a straight line, metres.
pub const MAX_CLOSING_GAP_M: f64 = 30.0;
/// Closing gaps shorter than this are not told, metres.
pub(super) const TOLD_GAP_M: f64 = 3.0;
/// A drive has come back when it is this near to its start, metres: less than any fairway is wide.
const BACK_M: f64 = 8.0;
/// But it must have been away first: this far, or this part of its extent.
const AWAY_M: f64 = 20.0;
const AWAY_PART: f64 = 0.3;
/// What follows the same edge again strays no farther from it, metres.
const SAME_EDGE_M: f64 = 12.0;
/// Widest smoothing along the line, metres.
const MAX_SMOOTHING_M: f64 = 4.0;
/// Positions that agree better than this are not smoothed, metres.
const STEADY_M: f64 = 0.05;
/// A line there and back goes round nothing: areas are wider than this on the whole, metres.
const MIN_WIDTH_M: f64 = 1.0;
/// A second area of more than this part of the first is not a slip of the hand.
const SECOND_PART: f64 = 0.05;

/// A closed drive.
#[derive(Debug, Clone)]
pub(super) struct Closed {
    /// The first time round, without repeating the start.
    pub ring: Vec<Point>,
    pub closing_gap_m: Option<f64>,
    pub overlap_m: f64,
    pub overlap_s: f64,
    pub spread_m: Option<f64>,
}

pub(super) fn close(drive: &Cleaned) -> Result<Closed, SurveyError> {
    let points = &drive.points;
    let start = points[0].at;
    let extent = points
        .iter()
        .fold(0.0_f64, |m, p| m.max(apart(start, p.at)));
    let away_m = AWAY_M.max(AWAY_PART * extent).min(0.7 * extent);
    let back_m = BACK_M.max(4.0 * drive.jitter_m);
    let left = points.iter().position(|p| apart(start, p.at) > away_m);
    let back = left.and_then(|l| {
        let first = (l..points.len()).find(|&i| apart(start, points[i].at) < back_m)?;
        // The nearest while it stays near.
        (first..points.len())
            .take_while(|&i| apart(start, points[i].at) < 1.5 * back_m)
            .min_by(|&a, &b| apart(start, points[a].at).total_cmp(&apart(start, points[b].at)))
    });
    let end = back.unwrap_or(points.len() - 1);
    let gap_m = apart(start, points[end].at);
    let long: f64 = points[..=end]
        .windows(2)
        .map(|w| apart(w[0].at, w[1].at))
        .sum();
    if gap_m > MAX_CLOSING_GAP_M || gap_m > 0.1 * long {
        return Err(SurveyError::NotClosed { gap_m });
    }
    let ring = points[..=end].to_vec();

    // What goes on over the beginning.
    let line: Vec<Coord<f64>> = ring.iter().map(|p| p.at).chain([start]).collect();
    let mut offs = Vec::new();
    let mut last = end;
    for (i, p) in points.iter().enumerate().skip(end + 1) {
        let off = across(&line, p.at);
        if off > SAME_EDGE_M.max(5.0 * drive.jitter_m) {
            break;
        }
        offs.push(off);
        last = i;
    }
    let overlap_m = points[end..=last]
        .windows(2)
        .map(|w| apart(w[0].at, w[1].at))
        .sum();
    let mean_square = offs.iter().map(|o| o * o).sum::<f64>() / offs.len().max(1) as f64;
    Ok(Closed {
        ring,
        closing_gap_m: (gap_m > 0.0).then_some(gap_m),
        overlap_m,
        overlap_s: points[last].time_s - points[end].time_s,
        spread_m: (!offs.is_empty()).then(|| mean_square.sqrt()),
    })
}

/// Distance from a point to a chain of lines.
fn across(line: &[Coord<f64>], p: Coord<f64>) -> f64 {
    line.windows(2)
        .map(|w| {
            let (dx, dy) = (w[1].x - w[0].x, w[1].y - w[0].y);
            let long2 = dx * dx + dy * dy;
            let t = if long2 > 0.0 {
                (((p.x - w[0].x) * dx + (p.y - w[0].y) * dy) / long2).clamp(0.0, 1.0)
            } else {
                0.0
            };
            (p.x - w[0].x - t * dx).hypot(p.y - w[0].y - t * dy)
        })
        .fold(f64::INFINITY, f64::min)
}

/// The edge as it is handed on.
#[derive(Debug, Clone)]
pub(super) struct EdgeOutline {
    pub ring: LineString<f64>,
    pub area_m2: f64,
    pub length_m: f64,
    /// How much smoothing and simplifying have changed the area, square metres.
    pub changed_m2: f64,
}

pub(super) fn shape(
    closed: &Closed,
    jitter_m: f64,
    settings: &Settings,
) -> Result<EdgeOutline, SurveyError> {
    let driven: Vec<Coord<f64>> = closed.ring.iter().map(|p| p.at).collect();
    let exact = moved(&driven, settings.offset_m)?;
    // Smoothing over about as far as positions stray takes their scatter out of the line.
    let smooth_m = (2.0 * jitter_m).min(MAX_SMOOTHING_M);
    let line = if jitter_m > STEADY_M {
        smoothed(&driven, smooth_m)
    } else {
        driven
    };
    let edge = moved(&line, settings.offset_m)?;
    let simple = edge.exterior().simplify(settings.tolerance_m);
    let ring = match largest(&Polygon::new(simple, vec![]).by_winding()) {
        Ok(p) => p,
        // What simplifying has spoilt stays as it was.
        Err(_) => edge,
    };
    let area_m2 = ring.unsigned_area();
    Ok(EdgeOutline {
        area_m2,
        length_m: geo::Euclidean.length(ring.exterior()),
        changed_m2: (area_m2 - exact.unsigned_area()).abs(),
        ring: ring.exterior().clone(),
    })
}

/// The area inside a line, moved outward.
fn moved(line: &[Coord<f64>], offset_m: f64) -> Result<Polygon<f64>, SurveyError> {
    let ring: LineString<f64> = line.iter().copied().chain(line.first().copied()).collect();
    let inside = largest(&Polygon::new(ring, vec![]).by_winding())?;
    let half_m = geo::Euclidean.length(inside.exterior()) / 2.0;
    if inside.unsigned_area() < MIN_WIDTH_M * half_m {
        return Err(SurveyError::NoArea);
    }
    if offset_m == 0.0 {
        return Ok(inside);
    }
    largest(&offset(&MultiPolygon(vec![inside]), offset_m))
}

/// The one area, small loops of an unsteady hand and holes left out.
fn largest(areas: &MultiPolygon<f64>) -> Result<Polygon<f64>, SurveyError> {
    let mut list: Vec<Polygon<f64>> = areas
        .0
        .iter()
        .map(|p| Polygon::new(p.exterior().clone(), vec![]))
        .collect();
    list.sort_by(|a, b| b.unsigned_area().total_cmp(&a.unsigned_area()));
    let mut list = list.into_iter();
    let first = list.next().ok_or(SurveyError::NoArea)?;
    if first.unsigned_area() < 1.0 {
        return Err(SurveyError::NoArea);
    }
    match list.next() {
        Some(second) if second.unsigned_area() > SECOND_PART * first.unsigned_area() => {
            Err(SurveyError::Crosses)
        }
        _ => Ok(first),
    }
}

/// The line as a ring, each point a mean of its neighbours weighted by their distance along it.
fn smoothed(line: &[Coord<f64>], width_m: f64) -> Vec<Coord<f64>> {
    let n = line.len();
    (0..n)
        .map(|i| {
            let (mut sum, mut weight) = (line[i], 1.0);
            for step in [1, n - 1] {
                let (mut j, mut gone) = (i, 0.0);
                for _ in 0..n / 4 {
                    let k = (j + step) % n;
                    gone += apart(line[j], line[k]);
                    if gone > 3.0 * width_m {
                        break;
                    }
                    let w = (-0.5 * (gone / width_m).powi(2)).exp();
                    sum.x += w * line[k].x;
                    sum.y += w * line[k].y;
                    weight += w;
                    j = k;
                }
            }
            Coord {
                x: sum.x / weight,
                y: sum.y / weight,
            }
        })
        .collect()
}
