//! Where along a path the reels are down.

use crate::model::mower::CuttingUnit;
use crate::model::track::{Segment, Track};
use crate::swath::contact::{Prepared, Span, joined, subtract, touch_spans, union};

/// How the reels are worked along a chain of paths.
#[derive(Debug, Clone, Copy)]
pub struct Handling {
    /// Gaps between lowered stretches shorter than this stay lowered where that is allowed,
    /// metres: nobody lifts for a step.
    pub bridge_m: f64,
    /// Lowered stretches shorter than this are left out, metres.
    pub shortest_m: f64,
}

impl Default for Handling {
    fn default() -> Self {
        Self {
            bridge_m: 1.5,
            shortest_m: 0.2,
        }
    }
}

/// Distance kept from barred ground along the path, metres.
pub const CLEARANCE_M: f64 = 0.002;

/// The stretches of a chain along which the reels are down: they touch `wanted` ground and no
/// `barred` ground. Distances run along the whole chain, metres.
pub fn lowered(
    paths: &[Segment],
    units: &[CuttingUnit],
    wanted: &Prepared,
    barred: &Prepared,
    handling: &Handling,
) -> Vec<Span> {
    let barred = touched(paths, units, barred);
    worked(paths, touched(paths, units, wanted), &barred, handling)
}

/// Where along a chain any cutting line touches an area, metres from its start.
fn touched(paths: &[Segment], units: &[CuttingUnit], area: &Prepared) -> Vec<Span> {
    let mut from = 0.0;
    let mut spans = Vec::new();
    for p in paths {
        let here = touch_spans(p, units, area).into_iter();
        spans.extend(here.map(|(a, b)| (from + a, from + b)));
        from += p.length_m();
    }
    union(spans)
}

/// How the reels are worked along a chain that touches wanted ground and barred ground so.
fn worked(paths: &[Segment], wanted: Vec<Span>, barred: &[Span], handling: &Handling) -> Vec<Span> {
    let total: f64 = paths.iter().map(Segment::length_m).sum();
    // Bridge first, then take the barred stretches out, so that no bridge crosses them.
    let bridged = joined(wanted, |end, start| start - end < handling.bridge_m);
    let grown = |s: &Span| (s.0 - CLEARANCE_M, s.1 + CLEARANCE_M);
    let kept = union(barred.iter().map(grown).collect());
    let mut down = subtract(&bridged, &kept);
    down.retain(|s| s.1 - s.0 >= handling.shortest_m);
    for s in &mut down {
        *s = (s.0.max(0.0), s.1.min(total));
    }
    down
}

/// What a line of a pattern is laid over.
#[derive(Clone, Copy)]
pub struct LaidOver<'a> {
    /// The ground it is for.
    pub wanted: &'a Prepared,
    /// Places near by that it takes along where it can go on to them: what the clean-up passes
    /// leave at corners.
    pub corners: &'a Prepared,
    /// Where no reel may be down.
    pub barred: &'a Prepared,
    /// The rough, which it never crosses for more than the wanted ground asks.
    pub rough: &'a Prepared,
}

/// The stretches of a line of a pattern along which the reels are down. They stay down over ground
/// that is cut already where the next stretch is near: a lift costs more than a second cut.
pub fn lowered_over(paths: &[Segment], units: &[CuttingUnit], laid: &LaidOver<'_>) -> Vec<Span> {
    let handling = Handling::default();
    let on = |area: &Prepared| touched(paths, units, area);
    let (rough, barred) = (on(laid.rough), on(laid.barred));
    let down = worked(paths, on(laid.wanted), &barred, &handling);
    let corners = worked(paths, on(laid.corners), &barred, &handling);
    let mut all = subtract(&corners, &rough);
    all.extend(&down);
    let meets = |spans: &[Span], a: f64, b: f64| spans.iter().any(|s| s.0 < b && s.1 > a);
    let mut out = joined(union(all), |a, b| {
        b - a < SECOND_CUT_M && !meets(&rough, a, b) && !meets(&barred, a, b)
    });
    out.retain(|s| meets(&down, s.0, s.1));
    out
}

/// Reels stay down over shorter gaps than this, metres: what is mown in the time that lifting and
/// lowering take, some three seconds.
const SECOND_CUT_M: f64 = 7.0;

/// The tracks of a chain from `from_m` to `to_m`, reels down within `down`.
pub fn tracks_between(paths: &[Segment], down: &[Span], from_m: f64, to_m: f64) -> Vec<Track> {
    // Pieces shorter than this are rounding, not driving.
    const MIN_LENGTH_M: f64 = 1e-6;
    let mut out = Vec::new();
    let mut start = 0.0;
    for p in paths {
        let len = p.length_m();
        let (from, to) = (from_m.max(start), to_m.min(start + len));
        let inner = |c: &f64| *c > from + MIN_LENGTH_M && *c < to - MIN_LENGTH_M;
        let mut cuts: Vec<f64> = down.iter().flat_map(|s| [s.0, s.1]).filter(inner).collect();
        if to > from {
            cuts.extend([from, to]);
        }
        cuts.sort_by(f64::total_cmp);
        for w in cuts.windows(2).filter(|w| w[1] - w[0] > MIN_LENGTH_M) {
            let whole = w[0] <= start + MIN_LENGTH_M && w[1] >= start + len - MIN_LENGTH_M;
            let path = if whole {
                *p
            } else {
                p.part((w[0] - start).max(0.0), (w[1] - start).min(len))
            };
            let mid = (w[0] + w[1]) / 2.0;
            let lowered = down.iter().any(|s| s.0 <= mid && mid <= s.1);
            out.push(if lowered { Track::down } else { Track::up }(path));
        }
        start += len;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{line, rect, unit};
    use geo_types::MultiPolygon;

    #[test]
    fn a_stretch_of_a_chain_has_the_reels_down_where_it_is_said() {
        let chain = [
            line(0.0, 0.0, 10.0, 0.0),
            line(10.0, 0.0, 10.0, 10.0),
            line(10.0, 10.0, 0.0, 10.0),
        ];
        let stretch = |down: &[Span], from, to| tracks_between(&chain, down, from, to);
        let known = [
            Track::up(line(3.0, 0.0, 5.0, 0.0)),
            Track::down(line(5.0, 0.0, 10.0, 0.0)),
            Track::down(line(10.0, 0.0, 10.0, 2.0)),
            Track::up(line(10.0, 2.0, 10.0, 10.0)),
            Track::up(line(10.0, 10.0, 4.0, 10.0)),
            Track::down(line(4.0, 10.0, 2.0, 10.0)),
        ];
        assert_eq!(stretch(&[(5.0, 12.0), (26.0, 40.0)], 3.0, 28.0), known);
        // Whole pieces stay as they are, and nothing is driven beyond the end.
        assert_eq!(stretch(&[], -5.0, 99.0), chain.map(Track::up));
        assert!(stretch(&[(0.0, 30.0)], 30.0, 35.0).is_empty());
    }

    #[test]
    fn the_reels_stay_down_over_a_short_gap_unless_rough_or_barred_ground_lies_in_it() {
        let bands = |spans: &[Span]| {
            let band = |s: &Span| rect(s.0, -3.0, s.1 - s.0, 6.0);
            Prepared::new(&MultiPolygon(spans.iter().map(band).collect()))
        };
        let down = |rough: &[Span], barred: &[Span]| {
            let laid = LaidOver {
                // Gaps of four, nine and six metres.
                wanted: &bands(&[(0.0, 10.0), (14.0, 24.0), (33.0, 50.0), (56.0, 70.0)]),
                corners: &bands(&[]),
                barred: &bands(barred),
                rough: &bands(rough),
            };
            let spans = lowered_over(&[line(0.0, 0.0, 70.0, 0.0)], &[unit(0.0, 0.0, 2.0)], &laid);
            let whole = spans.iter().map(|s| (s.0.round(), s.1.round()));
            whole.collect::<Vec<_>>()
        };
        assert_eq!(down(&[], &[]), [(0.0, 24.0), (33.0, 70.0)]);
        let rough = [(0.0, 10.0), (14.0, 24.0), (33.0, 70.0)];
        assert_eq!(down(&[(11.0, 12.0)], &[]), rough);
        let barred = [(0.0, 24.0), (33.0, 50.0), (56.0, 70.0)];
        assert_eq!(down(&[], &[(52.0, 53.0)]), barred);
    }
}
