//! One ring: points on top of one another, spikes, and where it crosses itself.

use geo::algorithm::kernels::{Kernel, Orientation, RobustKernel};
use geo_types::{Coord, LineString};

/// Points nearer to one another than this are one point, metres. A millimetre is far below
/// what any map of turf resolves (seven decimals of a degree are a centimetre).
pub const COINCIDENT_M: f64 = 1e-3;

/// A ring without repeated points and spikes, with what was found.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tidy {
    /// The points left and the index each had; not closed.
    pub points: Vec<(usize, Coord<f64>)>,
    /// First vertex that repeats another, and how many do.
    pub duplicates: Option<(usize, usize)>,
    /// First tip of a spike, and how many there are.
    pub spikes: Option<(usize, usize)>,
}

impl Tidy {
    /// The ring, closed.
    pub fn ring(&self) -> LineString<f64> {
        let mut points: Vec<Coord<f64>> = self.points.iter().map(|p| p.1).collect();
        if let Some(first) = points.first().copied() {
            points.push(first);
        }
        LineString(points)
    }
}

fn near(a: Coord<f64>, b: Coord<f64>) -> bool {
    (a.x - b.x).hypot(a.y - b.y) <= COINCIDENT_M
}

/// Whether a-b-c runs out to `b` and back on itself.
fn is_spike(a: Coord<f64>, b: Coord<f64>, c: Coord<f64>) -> bool {
    let (ux, uy, vx, vy) = (a.x - b.x, a.y - b.y, c.x - b.x, c.y - b.y);
    let longer = ux.hypot(uy).max(vx.hypot(vy));
    // Distance of the shorter arm's end from the longer arm.
    ux * vx + uy * vy > 0.0 && (ux * vy - uy * vx).abs() <= COINCIDENT_M * longer
}

/// Drops repeated points and spikes. Coordinates must be finite.
pub(crate) fn tidy(ring: &LineString<f64>) -> Tidy {
    let mut open: Vec<(usize, Coord<f64>)> = ring.0.iter().copied().enumerate().collect();
    if open.len() > 1 && open.first().map(|p| p.1) == open.last().map(|p| p.1) {
        open.pop();
    }
    let mut out = Tidy {
        points: open,
        duplicates: None,
        spikes: None,
    };
    let note = |slot: &mut Option<(usize, usize)>, index: usize| match slot {
        Some((first, n)) => {
            *first = (*first).min(index);
            *n += 1;
        }
        None => *slot = Some((index, 1)),
    };
    // Each round sees spikes within spikes; only those across the seam need another.
    // Whatever a hostile ring hides beyond these rounds, the union later removes.
    for _ in 0..64 {
        let before = out.points.len();
        let mut kept: Vec<(usize, Coord<f64>)> = Vec::with_capacity(before);
        for p in std::mem::take(&mut out.points) {
            kept.push(p);
            loop {
                let n = kept.len();
                if n >= 2 && near(kept[n - 2].1, kept[n - 1].1) {
                    note(&mut out.duplicates, kept[n - 1].0);
                    kept.pop();
                } else if n >= 3 && is_spike(kept[n - 3].1, kept[n - 2].1, kept[n - 1].1) {
                    note(&mut out.spikes, kept[n - 2].0);
                    kept.remove(n - 2);
                } else {
                    break;
                }
            }
        }
        while kept.len() > 1 && near(kept[0].1, kept[kept.len() - 1].1) {
            note(&mut out.duplicates, kept[kept.len() - 1].0);
            kept.pop();
        }
        let n = kept.len();
        if n >= 3 && is_spike(kept[n - 2].1, kept[n - 1].1, kept[0].1) {
            note(&mut out.spikes, kept[n - 1].0);
            kept.pop();
        } else if n >= 3 && is_spike(kept[n - 1].1, kept[0].1, kept[1].1) {
            note(&mut out.spikes, kept[0].0);
            kept.remove(0);
        }
        out.points = kept;
        if out.points.len() == before {
            break;
        }
    }
    out
}

/// Two edges that cross, each named by its place in the list given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Crossing {
    pub first: usize,
    pub second: usize,
    pub at: Coord<f64>,
}

/// Tells of edges whose boxes meet, as long as `go_on` says so.
///
/// Sorted by their left ends, each edge is compared with those it may meet: linear for real
/// outlines, quadratic for hostile ones, so the caller limits how many there are.
fn each_near_pair(edges: &[(Coord<f64>, Coord<f64>)], mut go_on: impl FnMut(usize, usize) -> bool) {
    let mut order: Vec<usize> = (0..edges.len()).collect();
    let left = |i: usize| edges[i].0.x.min(edges[i].1.x);
    order.sort_by(|&a, &b| left(a).total_cmp(&left(b)).then(a.cmp(&b)));
    for (k, &i) in order.iter().enumerate() {
        let (a, b) = edges[i];
        let right = a.x.max(b.x);
        let (low, high) = (a.y.min(b.y), a.y.max(b.y));
        for &j in order[k + 1..].iter() {
            if left(j) > right {
                break;
            }
            let (c, d) = edges[j];
            if c.y.min(d.y) > high || c.y.max(d.y) < low {
                continue;
            }
            if !go_on(i, j) {
                return;
            }
        }
    }
}

/// Edges that properly cross, at most `budget` of them, in the order found.
pub(crate) fn crossings(edges: &[(Coord<f64>, Coord<f64>)], budget: usize) -> Vec<Crossing> {
    let mut found = Vec::new();
    each_near_pair(edges, |i, j| {
        let ((a, b), (c, d)) = (edges[i], edges[j]);
        found.extend(proper_crossing(a, b, c, d).map(|at| Crossing {
            first: i.min(j),
            second: i.max(j),
            at,
        }));
        found.len() < budget
    });
    found
}

/// Whether edges meet one another too often to be worked with: more than `most_meetings`
/// crossings, or ends inside another edge, or more than `most_pairs` pairs that come near.
///
/// Every meeting splits edges in the geometry library, so a scribble of a few thousand edges
/// could fill the memory; and pairs that come near cost time even where they do not meet.
pub(crate) fn tangled(
    edges: &[(Coord<f64>, Coord<f64>)],
    most_meetings: usize,
    most_pairs: usize,
) -> bool {
    let (mut meetings, mut pairs) = (0, 0);
    each_near_pair(edges, |i, j| {
        let ((a, b), (c, d)) = (edges[i], edges[j]);
        pairs += 1;
        meetings += usize::from(
            proper_crossing(a, b, c, d).is_some()
                || [a, b].iter().any(|&p| strictly_on(p, c, d))
                || [c, d].iter().any(|&p| strictly_on(p, a, b)),
        );
        meetings <= most_meetings && pairs <= most_pairs
    });
    meetings > most_meetings || pairs > most_pairs
}

/// How far a point lies from an edge, metres.
pub(crate) fn from_edge_m(p: Coord<f64>, from: Coord<f64>, to: Coord<f64>) -> f64 {
    let (along, off) = (to - from, p - from);
    let len2 = along.x * along.x + along.y * along.y;
    let t = if len2 > 0.0 {
        ((off.x * along.x + off.y * along.y) / len2).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (off.x - t * along.x).hypot(off.y - t * along.y)
}

/// Whether `p` lies on the edge from `a` to `b`, its ends aside.
fn strictly_on(p: Coord<f64>, a: Coord<f64>, b: Coord<f64>) -> bool {
    p != a
        && p != b
        && p.x >= a.x.min(b.x)
        && p.x <= a.x.max(b.x)
        && p.y >= a.y.min(b.y)
        && p.y <= a.y.max(b.y)
        && RobustKernel::orient2d(a, b, p) == Orientation::Collinear
}

/// Where two edges cross inside both of them; touching does not count.
fn proper_crossing(
    a: Coord<f64>,
    b: Coord<f64>,
    c: Coord<f64>,
    d: Coord<f64>,
) -> Option<Coord<f64>> {
    let side = |p, q, r| match RobustKernel::orient2d(p, q, r) {
        Orientation::CounterClockwise => 1,
        Orientation::Clockwise => -1,
        Orientation::Collinear => 0,
    };
    if side(a, b, c) * side(a, b, d) >= 0 || side(c, d, a) * side(c, d, b) >= 0 {
        return None;
    }
    let (rx, ry, sx, sy) = (b.x - a.x, b.y - a.y, d.x - c.x, d.y - c.y);
    let t = ((c.x - a.x) * sy - (c.y - a.y) * sx) / (rx * sy - ry * sx);
    Some(Coord {
        x: a.x + t * rx,
        y: a.y + t * ry,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(points: &[(f64, f64)]) -> LineString<f64> {
        points.iter().copied().collect()
    }

    #[test]
    fn repeated_points_and_spikes_go() {
        let t = tidy(&ring(&[
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 0.0),
            (10.0, 10.0),
            (5.0, 10.0),
            (5.0, 14.0),
            (5.0, 10.0),
            (0.0, 10.0),
            (0.0, 0.0),
        ]));
        assert_eq!(t.points.len(), 5, "{t:?}");
        assert_eq!(t.duplicates, Some((2, 2)));
        assert_eq!(t.spikes, Some((5, 1)));
    }

    #[test]
    fn a_spike_at_the_seam_goes() {
        let t = tidy(&ring(&[
            (-5.0, 0.0),
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 10.0),
            (0.0, 10.0),
            (0.0, 0.0),
            (-5.0, 0.0),
        ]));
        assert_eq!(t.points.len(), 4, "{t:?}");
    }

    #[test]
    fn a_line_has_no_points_left_to_enclose_anything() {
        let t = tidy(&ring(&[(0.0, 0.0), (5.0, 5.0), (9.0, 9.0), (0.0, 0.0)]));
        assert!(t.points.len() < 3, "{t:?}");
    }

    #[test]
    fn stacked_edges_count_as_meetings() {
        let stack: Vec<_> = (0..200)
            .map(|i| {
                let x = f64::from(i);
                (
                    Coord { x, y: 0.0 },
                    Coord {
                        x: x + 300.0,
                        y: 0.0,
                    },
                )
            })
            .collect();
        assert!(tangled(&stack, 10_000, usize::MAX));
        assert!(!tangled(&stack[..10], 100, 1000));
        assert!(tangled(&stack, usize::MAX, 1000));
    }

    #[test]
    fn a_bow_tie_crosses_once_and_a_square_never() {
        let edges = |r: &[(f64, f64)]| -> Vec<(Coord<f64>, Coord<f64>)> {
            ring(r).lines().map(|l| (l.start, l.end)).collect()
        };
        let bow = edges(&[(0., 0.), (10., 10.), (10., 0.), (0., 10.), (0., 0.)]);
        let found = crossings(&bow, 10);
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].first, found[0].second), (0, 2));
        assert_eq!(found[0].at, Coord { x: 5.0, y: 5.0 });
        let square = edges(&[(0., 0.), (10., 0.), (10., 10.), (0., 10.), (0., 0.)]);
        assert!(crossings(&square, 10).is_empty());
    }
}
