//! One ring: points on top of one another, spikes, and where it crosses itself.

use geo::line_intersection::{LineIntersection, line_intersection};
use geo::{BoundingRect, Intersects};
use geo_types::{Coord, Line, LineString, Rect};

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
        let closed = self.points.iter().chain(self.points.first());
        closed.map(|p| p.1).collect()
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
    let mut points: Vec<(usize, Coord<f64>)> = ring.0.iter().copied().enumerate().collect();
    if ring.0.len() > 1 && ring.is_closed() {
        points.pop();
    }
    let (mut duplicates, mut spikes) = (Vec::new(), Vec::new());
    // Each round sees spikes within spikes; then the seam comes to lie in the middle of the next.
    // Whatever a hostile ring hides beyond these rounds, the union later removes.
    let mut unchanged = 0;
    for _ in 0..64 {
        let mut kept: Vec<(usize, Coord<f64>)> = Vec::with_capacity(points.len());
        for &p in &points {
            kept.push(p);
            loop {
                let last = kept.len().saturating_sub(1);
                match kept[..] {
                    // Of two at one place the later one goes, across the seam too.
                    [.., a, b] if near(a.1, b.1) => {
                        duplicates.push(kept.swap_remove(last - usize::from(a.0 > b.0)).0);
                    }
                    [.., a, b, c] if is_spike(a.1, b.1, c.1) => {
                        spikes.push(kept.swap_remove(last - 1).0);
                    }
                    _ => break,
                }
            }
        }
        unchanged = if kept.len() == points.len() {
            unchanged + 1
        } else {
            0
        };
        points = kept;
        if unchanged == 2 {
            break;
        }
        let middle = points.len() / 2;
        points.rotate_left(middle);
    }
    points.sort_unstable_by_key(|p| p.0);
    let first = |all: Vec<usize>| all.iter().min().map(|&first| (first, all.len()));
    Tidy {
        points,
        duplicates: first(duplicates),
        spikes: first(spikes),
    }
}

/// Two edges that cross, each named by its place in the list given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Crossing {
    pub first: usize,
    pub second: usize,
    pub at: Coord<f64>,
}

/// Tells of edges whose boxes meet, as long as `go_on` says so: sorted by their left ends, linear
/// for real outlines, quadratic for hostile ones, so the caller limits how many there are.
fn each_near_pair(edges: &[Line<f64>], mut go_on: impl FnMut(usize, usize) -> bool) {
    let boxes: Vec<Rect<f64>> = edges.iter().map(|e| e.bounding_rect()).collect();
    let left = |i: usize| boxes[i].min().x;
    let mut order: Vec<usize> = (0..edges.len()).collect();
    order.sort_by(|&a, &b| left(a).total_cmp(&left(b)));
    for (k, &i) in order.iter().enumerate() {
        let right = boxes[i].max().x;
        for &j in order[k + 1..].iter().take_while(|&&j| left(j) <= right) {
            if boxes[i].intersects(&boxes[j]) && !go_on(i, j) {
                return;
            }
        }
    }
}

/// Edges that properly cross, at most `budget` of them, in the order found.
pub(crate) fn crossings(edges: &[Line<f64>], budget: usize) -> Vec<Crossing> {
    let mut found = Vec::new();
    each_near_pair(edges, |i, j| {
        use LineIntersection::SinglePoint;
        let met = line_intersection(edges[i], edges[j]);
        if let Some(SinglePoint {
            intersection: at,
            is_proper: true,
        }) = met
        {
            let (first, second) = (i.min(j), i.max(j));
            found.push(Crossing { first, second, at });
        }
        found.len() < budget
    });
    found
}

/// Whether edges meet too often: more than `most_meetings` crossings or ends inside another edge,
/// which split edges in the geometry library and could fill the memory, or more than `most_pairs`
/// pairs that come near, which cost time.
pub(crate) fn tangled(edges: &[Line<f64>], most_meetings: usize, most_pairs: usize) -> bool {
    let splits = |a: Line<f64>, b: Line<f64>| {
        let inside = |p: Coord<f64>| {
            let is_end = |l: Line<f64>| p == l.start || p == l.end;
            !is_end(a) || !is_end(b)
        };
        line_intersection(a, b).is_some_and(|met| match met {
            LineIntersection::SinglePoint { intersection, .. } => inside(intersection),
            LineIntersection::Collinear { intersection: l } => inside(l.start) || inside(l.end),
        })
    };
    let (mut meetings, mut pairs) = (0, 0);
    each_near_pair(edges, |i, j| {
        pairs += 1;
        meetings += usize::from(splits(edges[i], edges[j]));
        meetings <= most_meetings && pairs <= most_pairs
    });
    meetings > most_meetings || pairs > most_pairs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(points: &[(f64, f64)]) -> LineString<f64> {
        points.iter().copied().collect()
    }

    #[test]
    fn repeated_points_and_spikes_go_at_the_seam_too() {
        let mut points = vec![
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 0.0),
            (10.0, 10.0),
            (5.0, 10.0),
        ];
        points.extend([(5.0, 14.0), (5.0, 10.0), (0.0, 10.0), (0.0, 0.0)]);
        let t = tidy(&ring(&points));
        assert_eq!(t.points.len(), 5, "{t:?}");
        assert_eq!((t.duplicates, t.spikes), (Some((2, 2)), Some((5, 1))));
        let mut seam = vec![(-5., 0.), (0., 0.), (10., 0.), (10., 10.), (0., 10.)];
        seam.extend([(0., 0.), (-5., 0.)]);
        assert_eq!(tidy(&ring(&seam)).points.len(), 4);
        // A line has no points left to enclose anything.
        let t = tidy(&ring(&[(0.0, 0.0), (5.0, 5.0), (9.0, 9.0), (0.0, 0.0)]));
        assert!(t.points.len() < 3, "{t:?}");
    }

    #[test]
    fn stacked_edges_count_as_meetings() {
        let stack: Vec<_> = (0..200)
            .map(|i| Line::new((f64::from(i), 0.0), (f64::from(i) + 300.0, 0.0)))
            .collect();
        assert!(tangled(&stack, 10_000, usize::MAX));
        assert!(!tangled(&stack[..10], 100, 1000));
        assert!(tangled(&stack, usize::MAX, 1000));
        // Edges on top of one another, and those that share an end, split nothing.
        let doubled = [[stack[0]; 20], [Line::new((0.0, 0.0), (9.0, 9.0)); 20]].concat();
        assert!(!tangled(&doubled, 0, 1000));
    }

    #[test]
    fn a_bow_tie_crosses_once_and_a_square_never() {
        let edges = |r: &[(f64, f64)]| ring(r).lines().collect::<Vec<_>>();
        let bow = edges(&[(0., 0.), (10., 10.), (10., 0.), (0., 10.), (0., 0.)]);
        let found = crossings(&bow, 10);
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].first, found[0].second), (0, 2));
        assert_eq!(found[0].at, Coord { x: 5.0, y: 5.0 });
        let square = edges(&[(0., 0.), (10., 0.), (10., 10.), (0., 10.), (0., 0.)]);
        assert!(crossings(&square, 10).is_empty());
    }
}
