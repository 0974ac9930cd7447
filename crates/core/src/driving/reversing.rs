//! Turns that back up on the way: the turn with one reverse, and the shortest of all.
//!
//! The shortest join with reversing is one of 48 words of up to five arcs and lines (J. A.
//! Reeds and L. A. Shepp, "Optimal paths for a car that goes both forwards and backwards",
//! *Pacific Journal of Mathematics* 145, 1990). Eight formulas give them all by driving the
//! problem backward in time, mirroring it and exchanging its ends.
//!
//! The turn with one reverse (quarter forward, straight back, quarter forward) is longer than
//! the shortest word but has only two changes of gear, which is how it is driven in practice.
//! Only mowers that may reverse are offered these.

use crate::driving::turns::{SWEEP_ROUNDING_RAD, sweep};
use crate::model::pose::{Pose, fold_rad};
use crate::model::track::{CircularArc, Gear, Reels, Segment, Track};

use std::f64::consts::{FRAC_PI_2, PI};

/// Which way a piece of a word bends.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Bend {
    Left,
    Straight,
    Right,
}

use Bend::{Left as L, Right as R, Straight as S};

/// One piece: how it bends and its signed length in turning radii, below zero backing.
type Element = (Bend, f64);

/// A word of pieces.
#[derive(Debug, Clone)]
struct Word {
    pieces: Vec<Element>,
    length: f64,
}

/// Tolerance on the signs of a word's pieces: shorter than this is rounding, radians.
const SIGN_ROUNDING: f64 = 1e-9;
/// A word whose end misses the pose by more than this, in radii, is dropped.
const CLOSURE: f64 = 1e-9;

/// A join with reversing: tracks with the reels up.
#[derive(Debug, Clone, PartialEq)]
pub struct BackingTurn {
    /// Lines and arcs, forward and backing.
    pub tracks: Vec<Track>,
    /// Length, metres.
    pub length_m: f64,
    /// How often the mower stops and changes gear.
    pub gear_changes: usize,
}

impl BackingTurn {
    fn of(tracks: Vec<Track>) -> Self {
        Self {
            length_m: tracks.iter().map(|t| t.path.length_m()).sum(),
            gear_changes: tracks.windows(2).filter(|w| w[0].gear != w[1].gear).count(),
            tracks,
        }
    }
}

/// Length of the shortest join when the mower may reverse, metres.
///
/// ```
/// use crossgrain_core::inside::driving::reversing::shortest_backing_m;
/// use crossgrain_core::Pose;
/// use geo_types::coord;
/// let here = Pose::new(coord! { x: 0.0, y: 0.0 }, 0.0);
/// // Facing about on the spot takes three sixths of a circle.
/// let length = shortest_backing_m(here, here.reversed(), 1.0);
/// assert!((length - std::f64::consts::PI).abs() < 1e-9);
/// ```
pub fn shortest_backing_m(from: Pose, to: Pose, radius_m: f64) -> f64 {
    let best = words(from, to, radius_m).map(|w| w.length);
    best.fold(f64::INFINITY, f64::min) * radius_m
}

/// All joins with reversing that the 48 words give, shortest first.
pub fn backing_turns(from: Pose, to: Pose, radius_m: f64) -> Vec<BackingTurn> {
    let mut found: Vec<Word> = words(from, to, radius_m).collect();
    found.sort_by(|a, b| a.length.total_cmp(&b.length));
    found
        .iter()
        .filter_map(|w| lay(from, to, radius_m, &w.pieces))
        .collect()
}

/// Quarter forward, straight back, quarter forward, when the two poses leave room for it.
///
/// Between opposite passes `w` apart its length is `pi r + 2 r - w` (after Bochtis &
/// Vougioukas, *Biosystems Engineering*, 2008; from memory, derived again). Both sides are
/// tried and the shorter one kept.
pub fn turn_with_one_reverse(from: Pose, to: Pose, radius_m: f64) -> Option<BackingTurn> {
    let mut best: Option<BackingTurn> = None;
    for side in [1.0, -1.0] {
        let first = from.offset(0.0, side * radius_m);
        let last = to.offset(0.0, side * radius_m);
        let (dx, dy) = (first.x - last.x, first.y - last.y);
        let back = dx.hypot(dy);
        // Backing from the first circle to the last, the mower faces from last to first. On one
        // circle for both there is nothing to back: the plain U is the limit of the formula.
        let heading = if back < 1e-9 {
            to.heading_rad
        } else {
            dy.atan2(dx)
        };
        let a = sweep(side * (heading - from.heading_rad));
        let b = sweep(side * (to.heading_rad - heading));
        if a > PI || b > PI {
            continue;
        }
        let bend = if side > 0.0 { L } else { R };
        let pieces = [(bend, a), (S, -back / radius_m), (bend, b)];
        if let Some(t) = lay(from, to, radius_m, &pieces)
            && best.as_ref().is_none_or(|k| t.length_m < k.length_m)
        {
            best = Some(t);
        }
    }
    best
}

/// Lays a word out as tracks: from the start, except the last piece, which is laid from the
/// end, so that both poses are met to rounding. None when the word does not close.
fn lay(from: Pose, to: Pose, r: f64, pieces: &[Element]) -> Option<BackingTurn> {
    let used: Vec<Element> = pieces
        .iter()
        .copied()
        .filter(|p| p.1.abs() > SWEEP_ROUNDING_RAD)
        .collect();
    let mut tracks = Vec::with_capacity(used.len());
    let mut here = from;
    for &(bend, amount) in &used {
        let track = piece_from(here, r, bend, amount);
        here = track.end();
        tracks.push(track);
    }
    let miss = (here.at.x - to.at.x).hypot(here.at.y - to.at.y);
    let turned = fold_rad(here.heading_rad - to.heading_rad).abs();
    // Rounding grows with the distance from the origin of the plane.
    let scale = 1.0 + (to.at.x.abs() + to.at.y.abs()) * 1e-6 / r;
    if miss > CLOSURE * r * scale || turned > CLOSURE * scale {
        return None;
    }
    if let (Some(last), Some(&(bend, amount))) = (tracks.last_mut(), used.last()) {
        // Driven back in time from the end, then turned round.
        let back = piece_from(to, r, bend, -amount);
        let gear = match back.gear {
            Gear::Forward => Gear::Reverse,
            Gear::Reverse => Gear::Forward,
        };
        *last = Track {
            path: back.path.reversed(),
            gear,
            ..back
        };
        if bend == S {
            // A line takes up the rounding exactly.
            let n = tracks.len();
            let start = if n >= 2 {
                tracks[n - 2].path.end().at
            } else {
                from.at
            };
            tracks[n - 1].path = Segment::Line {
                from: start,
                to: to.at,
            };
        }
    }
    Some(BackingTurn::of(tracks))
}

fn piece_from(here: Pose, r: f64, bend: Bend, amount: f64) -> Track {
    let (gear, pose) = if amount >= 0.0 {
        (Gear::Forward, here)
    } else {
        (Gear::Reverse, here.reversed())
    };
    let steer = match bend {
        L => 1.0,
        R => -1.0,
        S => 0.0,
    };
    let path = if bend == S {
        let d = amount.abs() * r;
        Segment::Line {
            from: here.at,
            to: pose.offset(d, 0.0),
        }
    } else {
        // Backing on a left lock the mower goes round the same left circle the other way.
        Segment::Arc(CircularArc::leaving(pose, r, steer * amount))
    };
    Track {
        path,
        reels: Reels::Up,
        gear,
    }
}

/// Every word from `from` to `to`.
fn words(from: Pose, to: Pose, r: f64) -> impl Iterator<Item = Word> {
    let (dx, dy) = (to.at.x - from.at.x, to.at.y - from.at.y);
    let (s, c) = from.heading_rad.sin_cos();
    let (x, y) = ((dx * c + dy * s) / r, (dy * c - dx * s) / r);
    let phi = fold_rad(to.heading_rad - from.heading_rad);
    let mut out = Vec::with_capacity(24);
    // The formulas starting from the start, and from the end with the pieces in reverse.
    collect(x, y, phi, false, &mut out);
    let (sp, cp) = phi.sin_cos();
    collect(x * cp + y * sp, x * sp - y * cp, phi, true, &mut out);
    out.into_iter()
}

fn collect(x: f64, y: f64, phi: f64, exchanged: bool, out: &mut Vec<Word>) {
    for (flip, mirror) in [(false, false), (true, false), (false, true), (true, true)] {
        let fx = if flip { -x } else { x };
        let fy = if mirror { -y } else { y };
        let fphi = if flip != mirror { -phi } else { phi };
        for formula in FORMULAS {
            let Some(mut pieces) = formula(fx, fy, fphi) else {
                continue;
            };
            for (bend, amount) in &mut pieces {
                if flip {
                    *amount = -*amount;
                }
                if mirror {
                    *bend = match *bend {
                        L => R,
                        R => L,
                        S => S,
                    };
                }
            }
            if exchanged {
                pieces.reverse();
            }
            let length = pieces.iter().map(|p| p.1.abs()).sum();
            out.push(Word { pieces, length });
        }
    }
}

type Formula = fn(f64, f64, f64) -> Option<Vec<Element>>;

/// The formulas of section 8 of the paper, by their numbers there.
const FORMULAS: [Formula; 8] = [f1, f2, f3, f7, f8, f9, f10, f11];

fn polar(x: f64, y: f64) -> (f64, f64) {
    (x.hypot(y), y.atan2(x))
}

fn positive(v: f64) -> bool {
    v >= -SIGN_ROUNDING
}

fn negative(v: f64) -> bool {
    v <= SIGN_ROUNDING
}

/// 8.1: L+ S+ L+.
fn f1(x: f64, y: f64, phi: f64) -> Option<Vec<Element>> {
    let (u, t) = polar(x - phi.sin(), y - 1.0 + phi.cos());
    let v = fold_rad(phi - t);
    (positive(t) && positive(v)).then(|| vec![(L, t), (S, u), (L, v)])
}

/// 8.2: L+ S+ R+.
fn f2(x: f64, y: f64, phi: f64) -> Option<Vec<Element>> {
    let (d, t1) = polar(x + phi.sin(), y - 1.0 - phi.cos());
    let square = d * d - 4.0;
    if square < 0.0 {
        return None;
    }
    let u = square.sqrt();
    let t = fold_rad(t1 + 2f64.atan2(u));
    let v = fold_rad(t - phi);
    (positive(t) && positive(v)).then(|| vec![(L, t), (S, u), (R, v)])
}

/// 8.3 and 8.4: L+ R- L+ and L+ R- L-, by the sign of the last arc.
fn f3(x: f64, y: f64, phi: f64) -> Option<Vec<Element>> {
    let (d, theta) = polar(x - phi.sin(), y - 1.0 + phi.cos());
    if d > 4.0 {
        return None;
    }
    let u = -2.0 * (d / 4.0).asin();
    let t = fold_rad(theta + u / 2.0 + PI);
    let v = fold_rad(phi - t + u);
    (positive(t) && negative(u)).then(|| vec![(L, t), (R, u), (L, v)])
}

/// First and last arc of the four-arc words.
fn tau_omega(u: f64, v: f64, xi: f64, eta: f64, phi: f64) -> (f64, f64) {
    let delta = fold_rad(u - v);
    let a = u.sin() - delta.sin();
    let b = u.cos() - delta.cos() - 1.0;
    let t1 = (eta * a - xi * b).atan2(xi * a + eta * b);
    let t2 = 2.0 * (delta.cos() - v.cos() - u.cos()) + 3.0;
    let tau = fold_rad(if t2 < 0.0 { t1 + PI } else { t1 });
    (tau, fold_rad(tau - u + v - phi))
}

/// 8.7: L+ R+ L- R-.
fn f7(x: f64, y: f64, phi: f64) -> Option<Vec<Element>> {
    let (xi, eta) = (x + phi.sin(), y - 1.0 - phi.cos());
    let rho = (2.0 + xi.hypot(eta)) / 4.0;
    if rho > 1.0 {
        return None;
    }
    let u = rho.acos();
    let (t, v) = tau_omega(u, -u, xi, eta, phi);
    (positive(t) && negative(v)).then(|| vec![(L, t), (R, u), (L, -u), (R, v)])
}

/// 8.8: L+ R- L- R+.
fn f8(x: f64, y: f64, phi: f64) -> Option<Vec<Element>> {
    let (xi, eta) = (x + phi.sin(), y - 1.0 - phi.cos());
    let rho = (20.0 - xi * xi - eta * eta) / 16.0;
    if !(0.0..=1.0).contains(&rho) {
        return None;
    }
    let u = -rho.acos();
    let (t, v) = tau_omega(u, u, xi, eta, phi);
    (positive(t) && positive(v)).then(|| vec![(L, t), (R, u), (L, u), (R, v)])
}

/// 8.9: L+ R-(quarter) S- L-.
fn f9(x: f64, y: f64, phi: f64) -> Option<Vec<Element>> {
    let (rho, theta) = polar(x - phi.sin(), y - 1.0 + phi.cos());
    if rho < 2.0 {
        return None;
    }
    let r = (rho * rho - 4.0).sqrt();
    let u = 2.0 - r;
    let t = fold_rad(theta + r.atan2(-2.0));
    let v = fold_rad(phi - FRAC_PI_2 - t);
    (positive(t) && negative(u) && negative(v))
        .then(|| vec![(L, t), (R, -FRAC_PI_2), (S, u), (L, v)])
}

/// 8.10: L+ R-(quarter) S- R-.
fn f10(x: f64, y: f64, phi: f64) -> Option<Vec<Element>> {
    let (xi, eta) = (x + phi.sin(), y - 1.0 - phi.cos());
    let (rho, t) = polar(-eta, xi);
    if rho < 2.0 {
        return None;
    }
    let u = 2.0 - rho;
    let v = fold_rad(t + FRAC_PI_2 - phi);
    (positive(t) && negative(u) && negative(v))
        .then(|| vec![(L, t), (R, -FRAC_PI_2), (S, u), (R, v)])
}

/// 8.11: L+ R-(quarter) S- L-(quarter) R+.
fn f11(x: f64, y: f64, phi: f64) -> Option<Vec<Element>> {
    let (xi, eta) = (x + phi.sin(), y - 1.0 - phi.cos());
    let rho = xi.hypot(eta);
    if rho < 2.0 {
        return None;
    }
    let u = 4.0 - (rho * rho - 4.0).sqrt();
    if u > 0.0 {
        return None;
    }
    let t = fold_rad(((4.0 - u) * xi - 2.0 * eta).atan2(-2.0 * xi + (u - 4.0) * eta));
    let v = fold_rad(t - phi);
    (positive(t) && positive(v))
        .then(|| vec![(L, t), (R, -FRAC_PI_2), (S, u), (L, -FRAC_PI_2), (R, v)])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::pose;
    use proptest::prelude::*;

    #[test]
    fn the_turn_with_one_reverse_changes_gear_twice() {
        let (up, down) = (pose(0.0, 0.0, FRAC_PI_2), pose(1.0, 0.0, -FRAC_PI_2));
        let turn = turn_with_one_reverse(up, down, 1.0).expect("there is room behind");
        assert_eq!(turn.gear_changes, 2);
    }

    proptest! {
        #[test]
        fn every_word_meets_both_poses(
            x0 in -1e3..1e3f64, y0 in -1e3..1e3f64, h0 in -7.0..7.0f64,
            x1 in -30.0..30.0f64, y1 in -30.0..30.0f64, h1 in -7.0..7.0f64,
            r in 0.5..9.0f64,
        ) {
            let (from, to) = (pose(x0, y0, h0), pose(x0 + x1, y0 + y1, h1));
            let all = backing_turns(from, to, r);
            prop_assert!(!all.is_empty());
            prop_assert!((all[0].length_m - shortest_backing_m(from, to, r)).abs() < 1e-6);
            prop_assert!(all[0].length_m <= super::super::turns::shortest_forward_m(from, to, r) + 1e-9);
            for t in &all {
                let mut here = from;
                for k in &t.tracks {
                    let s = k.start();
                    prop_assert!((s.at.x - here.at.x).hypot(s.at.y - here.at.y) < 1e-8);
                    let slack = 1e-7 + 1e-10 / k.path.length_m();
                    prop_assert!(fold_rad(s.heading_rad - here.heading_rad).abs() < slack);
                    here = k.end();
                }
                prop_assert!((to.at.x - here.at.x).hypot(to.at.y - here.at.y) < 1e-9);
            }
        }
    }
}
