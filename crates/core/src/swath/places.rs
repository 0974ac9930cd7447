//! Places: what is left uncut that a person sees.
//!
//! Every finished mow leaves threads and specks, far below what anybody sees from a seat. A place
//! is what is left wherever it is wider than a thread, connected once narrow gaps are closed, and
//! large enough. The same definition serves touching up, the warning that something is left, and
//! the map.

use crate::limits::{MAX_PLACE_GAP_M, MIN_PLACE_M2, MIN_PLACE_RADIUS_M};
use crate::polygon::offset;
use geo::{Area, BoundingRect, Distance, Euclidean, Intersects};
use geo_types::{MultiPolygon, Polygon, Rect};

/// Angle of one chord round a corner, radians: they lose a twentieth of a millimetre.
const DISC_STEP_RAD: f64 = 0.1;

/// The places of what is left, each with all its pieces, the largest first.
///
/// Of what is left that counts which a disc of [`MIN_PLACE_RADIUS_M`] covers without leaving it
/// (the morphological opening: Serra, *Image Analysis and Mathematical Morphology*, 1982). Pieces
/// belong together where they come within [`MAX_PLACE_GAP_M`] of each other; they are a place if
/// their area is at least [`MIN_PLACE_M2`].
///
/// `left` must be wound as areas are here; its polygons must not overlap.
pub fn places(left: &MultiPolygon<f64>) -> Vec<MultiPolygon<f64>> {
    let thick: Vec<Polygon<f64>> = left.iter().flat_map(without_threads).collect();
    places_of(&thick.iter().collect::<Vec<_>>())
}

/// The same of pieces that are free of threads: see [`without_threads`].
pub fn places_of(thick: &[&Polygon<f64>]) -> Vec<MultiPolygon<f64>> {
    let boxes: Vec<Option<Rect<f64>>> = thick.iter().map(|p| p.bounding_rect()).collect();
    let near = |&i: &usize, &j: &usize| {
        let boxes = boxes[i].zip(boxes[j]);
        boxes.is_some_and(|(a, b)| a.intersects(&offset::grown(b, MAX_PLACE_GAP_M)))
            && Euclidean.distance(thick[i], thick[j]) <= MAX_PLACE_GAP_M
    };
    let place = |mut group: Vec<usize>| {
        group.sort_unstable();
        group.into_iter().map(|i| thick[i].clone()).collect()
    };
    let groups = grouped(0..thick.len(), near).into_iter();
    let mut out: Vec<MultiPolygon<f64>> = groups.map(place).collect();
    out.retain(|place| place.unsigned_area() >= MIN_PLACE_M2);
    out.sort_by(|a, b| b.unsigned_area().total_cmp(&a.unsigned_area()));
    out
}

/// Things that hang together by way of neighbours that are `near` each other: one between two groups
/// makes them one, which comes last.
pub fn grouped<T>(
    things: impl IntoIterator<Item = T>,
    near: impl Fn(&T, &T) -> bool,
) -> Vec<Vec<T>> {
    let mut groups: Vec<Vec<T>> = Vec::new();
    for thing in things {
        let met = |g: &Vec<T>| g.iter().any(|other| near(&thing, other));
        let (met, apart): (Vec<_>, Vec<_>) = groups.into_iter().partition(met);
        groups = apart;
        groups.push(met.into_iter().flatten().chain([thing]).collect());
    }
    groups
}

/// What of a piece of what is left is no thread.
pub fn without_threads(piece: &Polygon<f64>) -> MultiPolygon<f64> {
    offset::without_threads(piece, MIN_PLACE_RADIUS_M, DISC_STEP_RAD)
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
    fn half_a_square_metre_is_a_place_less_or_a_thread_is_none_and_the_largest_comes_first() {
        // The corners of a square, four times 0.05^2 (1 - pi / 4) = 2 cm2, hold no disc.
        assert_eq!(areas(vec![square(0.0, 0.0, 0.71)]).len(), 1);
        assert!(areas(vec![square(0.0, 0.0, 0.70)]).is_empty());
        let strip = |w: f64| areas(vec![rect(0.0, 0.0, 90.0, w)]);
        assert!(strip(0.09).is_empty());
        assert_eq!(strip(0.11).len(), 1);
        let sides = [(0.0, 0.8), (9.0, 2.0), (20.0, 1.0)];
        let seen = areas(sides.map(|(x, side)| square(x, 0.0, side)).to_vec());
        assert_eq!(seen.len(), 3);
        assert!(seen.is_sorted_by(|a, b| a > b));
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
}
