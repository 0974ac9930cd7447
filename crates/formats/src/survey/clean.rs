//! Jumps and standing still taken out of a recorded drive.

use super::drive::Drive;
use super::{MIN_FIXES, RANGE_M, SurveyError};
use crossgrain_core::Plane;
use geo_types::Coord;

/// Nothing drives along an edge faster, m/s: 54 km/h.
const FASTEST_M_S: f64 = 15.0;
/// A step this long is no jump, whatever the clock says, metres.
const SHORT_M: f64 = 5.0;
/// Without a clock a step is a jump when it is this many times the usual one and longer than
/// [`LONG_M`].
const STEPS_OVER: f64 = 12.0;
const LONG_M: f64 = 20.0;
/// Stretches of fewer positions between two jumps are themselves the jump.
const SHORT_RUN: usize = 5;
/// Reception lost for longer than this leaves the edge unknown, metres.
const MAX_LOST_M: f64 = 50.0;
/// Gaps shorter than this are not told, metres: a receiver that records now and then leaves such.
const TOLD_LOST_M: f64 = 15.0;
/// Whoever stays within a small circle for so long stands still, seconds.
const STILL_S: f64 = 15.0;
/// Smallest radius of that circle, metres.
const STILL_M: f64 = 1.0;
/// Pace that distances are turned into times with where there is no clock, m/s: walking.
pub(super) const PACE_M_S: f64 = 1.4;

/// A position in the plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    pub at: Coord<f64>,
    /// Seconds, from the clock or from distances.
    pub time_s: f64,
}

/// A drive without what is no driving.
#[derive(Debug, Clone)]
pub(super) struct Cleaned {
    pub points: Vec<Point>,
    /// Error from one position to the next (one standard deviation of an axis), metres.
    pub jitter_m: f64,
    pub jumps: usize,
    pub still: usize,
    pub bridged_m: Vec<f64>,
}

pub(super) fn apart(a: Coord<f64>, b: Coord<f64>) -> f64 {
    (a.x - b.x).hypot(a.y - b.y)
}

/// A place with the clock's time, seconds, where the whole drive has one.
type Fix = (Coord<f64>, Option<f64>);

pub(super) fn clean(drive: &Drive, plane: &Plane) -> Result<Cleaned, SurveyError> {
    let clock = drive.fixes.iter().all(|f| f.time_s.is_some());
    let all: Vec<Fix> = drive
        .fixes
        .iter()
        .map(|f| {
            let at = plane.to_metres([f.lon_deg, f.lat_deg]);
            (at, f.time_s.filter(|_| clock))
        })
        .collect();
    let kept = without_jumps(&all);
    let jumps = all.len() - kept.len();
    let bridged_m = bridged(&kept, plane)?;
    enough(&kept)?;

    let jitter_m = jitter(&kept);
    let before = kept.len();
    let mut moving = kept;
    if clock {
        moving = drawn_together(&moving, STILL_M.max(2.5 * jitter_m));
    }
    moving.dedup_by(|b, a| apart(a.0, b.0) < 1e-3);
    enough(&moving)?;
    Ok(Cleaned {
        points: timed(&moving),
        jitter_m,
        jumps,
        still: before - moving.len(),
        bridged_m,
    })
}

fn enough(list: &[Fix]) -> Result<(), SurveyError> {
    if list.len() < MIN_FIXES {
        return Err(SurveyError::TooFew { count: list.len() });
    }
    Ok(())
}

/// The runs between steps that nothing drives, without the short and the far ones.
fn without_jumps(all: &[Fix]) -> Vec<Fix> {
    let mut steps: Vec<f64> = all.windows(2).map(|w| apart(w[0].0, w[1].0)).collect();
    steps.retain(|s| *s > 0.01);
    let long_m = (STEPS_OVER * median(&mut steps)).max(LONG_M);
    let runs: Vec<&[Fix]> = all
        .chunk_by(|a, b| {
            let step = apart(a.0, b.0);
            match (a.1, b.1) {
                (Some(s), Some(t)) => step <= SHORT_M + FASTEST_M_S * (t - s).max(0.0),
                _ => step <= long_m,
            }
        })
        .collect();
    let longest = runs.iter().map(|r| r.len()).max().unwrap_or(0);
    let few = SHORT_RUN.min(longest);
    let near = |run: &[Fix]| apart(run[0].0, Coord { x: 0.0, y: 0.0 }) <= RANGE_M;
    runs.into_iter()
        .filter(|run| run.len() >= few && near(run))
        .flatten()
        .copied()
        .collect()
}

/// The gaps worth telling, metres: a jump was taken out, or the receiver slept or lost its fix.
fn bridged(kept: &[Fix], plane: &Plane) -> Result<Vec<f64>, SurveyError> {
    let mut told = Vec::new();
    for w in kept.windows(2) {
        let gap_m = apart(w[0].0, w[1].0);
        if gap_m > MAX_LOST_M {
            let at = plane.lon_lat(w[0].0).position();
            return Err(SurveyError::Hole { gap_m, at });
        }
        if gap_m > TOLD_LOST_M {
            told.push(gap_m);
        }
    }
    Ok(told)
}

/// Each place with its time from the first, by the clock as far as it can be believed.
fn timed(list: &[Fix]) -> Vec<Point> {
    let mut time_s = 0.0;
    let mut points = Vec::with_capacity(list.len());
    for (i, k) in list.iter().enumerate() {
        if i > 0 {
            let gone = apart(list[i - 1].0, k.0) / PACE_M_S;
            // Standing still tells nothing new of the edge, and clocks may go back.
            let by_clock = k.1.zip(list[i - 1].1).map(|(b, a)| b - a);
            time_s += by_clock
                .filter(|d| *d > 0.0)
                .map_or(gone, |d| d.min(4.0 * gone + 1.0));
        }
        points.push(Point { at: k.0, time_s });
    }
    points
}

pub(super) fn median(list: &mut [f64]) -> f64 {
    if list.is_empty() {
        return 0.0;
    }
    let mid = list.len() / 2;
    *list.select_nth_unstable_by(mid, f64::total_cmp).1
}

/// Error from one position to the next, from second differences: those of a smooth drive are
/// small, and independent errors of s along each axis give them a mean square of 12 s^2 and a
/// median of 6 * 1.386 s^2 (chi-square with two degrees of freedom).
fn jitter(list: &[Fix]) -> f64 {
    let mut squares: Vec<f64> = list
        .windows(3)
        .map(|w| {
            let x = w[0].0.x - 2.0 * w[1].0.x + w[2].0.x;
            let y = w[0].0.y - 2.0 * w[1].0.y + w[2].0.y;
            x * x + y * y
        })
        .collect();
    (median(&mut squares) / (6.0 * 1.386)).sqrt()
}

/// Positions that stay within a circle for a time become their middle.
fn drawn_together(list: &[Fix], radius_m: f64) -> Vec<Fix> {
    let mut out = Vec::new();
    let mut i = 0;
    while i < list.len() {
        let (mut sum, mut n, mut j) = (list[i].0, 1.0, i + 1);
        while let Some(p) = list.get(j) {
            let middle = Coord {
                x: sum.x / n,
                y: sum.y / n,
            };
            if apart(middle, p.0) > radius_m {
                break;
            }
            sum.x += p.0.x;
            sum.y += p.0.y;
            n += 1.0;
            j += 1;
        }
        let stayed = list[j - 1].1.zip(list[i].1).map_or(0.0, |(b, a)| b - a);
        if stayed >= STILL_S {
            out.push((
                Coord {
                    x: sum.x / n,
                    y: sum.y / n,
                },
                list[i].1,
            ));
            i = j;
        } else {
            out.push(list[i]);
            i += 1;
        }
    }
    out
}
