//! Places: what is left uncut that a person sees.
//!
//! Every finished mow leaves threads and specks, far below what anybody sees from a seat. A place
//! is what is left wherever it is wider than a thread, connected once narrow gaps are closed, and
//! large enough. The same definition serves touching up, the warning that something is left, and
//! the map.

use crate::limits::{MAX_PLACE_GAP_M, MIN_PLACE_M2, MIN_PLACE_RADIUS_M};
use crate::polygon::offset;
use crate::polygon::overlay::Overlay;
use crate::polygon::ring::from_edge_m;
use geo::{Area, BoundingRect};
use geo_types::{Coord, MultiPolygon, Polygon, Rect};

// Angle of one chord round a corner, radians: they lose a twentieth of a millimetre.
const DISC_STEP_RAD: f64 = 0.1;

/// The places of what is left, each with all its pieces, the largest first.
///
/// Of what is left that counts which a disc of [`MIN_PLACE_RADIUS_M`] covers without leaving it
/// (the morphological opening: Serra, *Image Analysis and Mathematical Morphology*, 1982). Pieces
/// belong together where they come within [`MAX_PLACE_GAP_M`] of each other; they are a place if
/// their area is at least [`MIN_PLACE_M2`].
///
/// `left` must be wound as areas are here; its polygons must not overlap.
///
/// ```
/// use crossgrain_core::inside::swath::places::places;
/// use geo_types::{MultiPolygon, Rect, coord};
///
/// let piece = |x: f64, w: f64, h: f64| Rect::new(coord! {x: x, y: 0.0}, coord! {x: x + w, y: h}).to_polygon();
/// // Two pieces 8 cm apart, a thread, and a piece too small.
/// let left = MultiPolygon(vec![piece(0.0, 0.6, 0.5), piece(0.68, 0.6, 0.5), piece(9.0, 50.0, 0.02), piece(70.0, 0.6, 0.5)]);
/// let seen = places(&left);
/// assert_eq!((seen.len(), seen[0].0.len()), (1, 2));
/// ```
pub fn places(left: &MultiPolygon<f64>) -> Vec<MultiPolygon<f64>> {
    let thick: Vec<Polygon<f64>> = left.iter().flat_map(without_threads).collect();
    places_of(&thick.iter().collect::<Vec<_>>())
}

/// The same of pieces that are free of threads: see [`without_threads`].
pub fn places_of(thick: &[&Polygon<f64>]) -> Vec<MultiPolygon<f64>> {
    let pieces: Vec<Bounded<'_>> = thick.iter().filter_map(|p| Bounded::new(p)).collect();
    let mut out: Vec<(f64, MultiPolygon<f64>)> = grouped(&pieces)
        .into_iter()
        .map(|g| (area_m2(&pieces, &g), g))
        .filter(|(area, _)| *area >= MIN_PLACE_M2)
        .map(|(area, g)| (area, g.iter().map(|&i| pieces[i].shape.clone()).collect()))
        .collect();
    out.sort_by(|a, b| b.0.total_cmp(&a.0));
    out.into_iter().map(|(_, place)| place).collect()
}

/// What of a piece of what is left is no thread.
pub fn without_threads(piece: &Polygon<f64>) -> MultiPolygon<f64> {
    offset::without_threads(piece, MIN_PLACE_RADIUS_M, DISC_STEP_RAD)
}

/// A piece of what is left, with its box.
struct Bounded<'a> {
    shape: &'a Polygon<f64>,
    bounds: Rect<f64>,
    area_m2: f64,
}

impl<'a> Bounded<'a> {
    fn new(shape: &'a Polygon<f64>) -> Option<Self> {
        Some(Self {
            shape,
            bounds: shape.bounding_rect()?,
            area_m2: shape.unsigned_area(),
        })
    }

    fn near(&self, other: &Self) -> bool {
        boxes_near(&self.bounds, &other.bounds) && {
            let (ours, theirs) = (self.edges_near(other), other.edges_near(self));
            ours.iter().any(|&(a, b, bounds)| {
                theirs
                    .iter()
                    .any(|&(c, d, of)| boxes_near(&bounds, &of) && edges_near(a, b, c, d))
            })
        }
    }

    fn edges_near(&self, other: &Self) -> Vec<(Coord<f64>, Coord<f64>, Rect<f64>)> {
        self.shape
            .rings()
            .flat_map(|r| r.0.windows(2))
            .map(|w| (w[0], w[1], Rect::new(w[0], w[1])))
            .filter(|(_, _, bounds)| boxes_near(bounds, &other.bounds))
            .collect()
    }
}

fn area_m2(pieces: &[Bounded<'_>], group: &[usize]) -> f64 {
    group.iter().map(|&i| pieces[i].area_m2).sum()
}

/// Pieces that hang together, in their order.
fn grouped(pieces: &[Bounded<'_>]) -> Vec<Vec<usize>> {
    let mut by_x: Vec<usize> = (0..pieces.len()).collect();
    by_x.sort_by(|&a, &b| {
        let x = |i: usize| pieces[i].bounds.min().x;
        x(a).total_cmp(&x(b)).then(a.cmp(&b))
    });
    // The first piece of the group of each.
    let mut home: Vec<usize> = (0..pieces.len()).collect();
    let mut open: Vec<usize> = Vec::new();
    for &i in &by_x {
        let x = pieces[i].bounds.min().x - MAX_PLACE_GAP_M;
        open.retain(|&j| pieces[j].bounds.max().x >= x);
        for &j in &open {
            let (a, b) = (home[i].min(home[j]), home[i].max(home[j]));
            if a != b && pieces[i].near(&pieces[j]) {
                home.iter_mut().filter(|h| **h == b).for_each(|h| *h = a);
            }
        }
        open.push(i);
    }
    let mut out: Vec<Vec<usize>> = vec![Vec::new(); pieces.len()];
    for (i, &h) in home.iter().enumerate() {
        out[h].push(i);
    }
    out.retain(|g| !g.is_empty());
    out
}

fn boxes_near(a: &Rect<f64>, b: &Rect<f64>) -> bool {
    a.min().x <= b.max().x + MAX_PLACE_GAP_M
        && b.min().x <= a.max().x + MAX_PLACE_GAP_M
        && a.min().y <= b.max().y + MAX_PLACE_GAP_M
        && b.min().y <= a.max().y + MAX_PLACE_GAP_M
}

/// Whether two edges come near. Edges of two pieces do not cross, so an end of one is nearest.
fn edges_near(a: Coord<f64>, b: Coord<f64>, c: Coord<f64>, d: Coord<f64>) -> bool {
    [(a, c, d), (b, c, d), (c, a, b), (d, a, b)]
        .into_iter()
        .any(|(p, from, to)| from_edge_m(p, from, to) <= MAX_PLACE_GAP_M)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::rect;
    use geo_types::polygon;

    fn square(x: f64, y: f64, side: f64) -> Polygon<f64> {
        rect(x, y, side, side)
    }

    fn areas(pieces: Vec<Polygon<f64>>) -> Vec<f64> {
        let seen = places(&MultiPolygon(pieces));
        seen.iter().map(Area::unsigned_area).collect()
    }

    #[test]
    fn half_a_square_metre_is_a_place_and_less_is_none() {
        // The corners of a square, four times 0.05^2 (1 - pi / 4) = 2 cm2, hold no disc.
        assert_eq!(areas(vec![square(0.0, 0.0, 0.71)]).len(), 1);
        assert!(areas(vec![square(0.0, 0.0, 0.70)]).is_empty());
    }

    #[test]
    fn pieces_hang_together_across_narrow_gaps_only() {
        let apart = |gap: f64| areas(vec![square(0.0, 0.0, 0.6), square(0.6 + gap, 0.3, 0.6)]);
        assert_eq!(apart(0.09).len(), 1);
        assert!(apart(0.11).is_empty());
        // Beside each other by their boxes, yet far apart.
        let corner = polygon![
            (x: 0.0, y: 0.0), (x: 5.0, y: 0.0), (x: 5.0, y: 0.2), (x: 0.2, y: 0.2), (x: 0.2, y: 5.0), (x: 0.0, y: 5.0)
        ];
        let seen = places(&MultiPolygon(vec![square(3.0, 3.0, 1.0), corner]));
        assert_eq!((seen.len(), seen[0].0.len()), (2, 1));
        // A chain of pieces makes one place of two; of specks it does not.
        let seen = |side: f64| {
            let chain = (0..10).map(|i| square(0.65 + 0.2 * f64::from(i), 0.1, side));
            let mut pieces = vec![square(0.0, 0.0, 0.6), square(2.65, 0.0, 0.6)];
            pieces.extend(chain);
            places(&MultiPolygon(pieces)).len()
        };
        assert_eq!((seen(0.14), seen(0.08)), (1, 0));
    }

    #[test]
    fn a_thread_is_no_place_however_long() {
        let strip = |w: f64| areas(vec![rect(0.0, 0.0, 90.0, w)]);
        assert!(strip(0.09).is_empty());
        assert_eq!(strip(0.11).len(), 1);
    }

    #[test]
    fn the_largest_comes_first() {
        let seen = areas(vec![
            square(0.0, 0.0, 0.8),
            square(9.0, 0.0, 2.0),
            square(20.0, 0.0, 1.0),
        ]);
        assert_eq!(seen.len(), 3);
        assert!(seen[0] > seen[1] && seen[1] > seen[2]);
    }
}
