//! Where no reel may be down: keep-outs and the holes of the outline, merged.

use crate::model::ground::Fairway;
use crate::polygon::offset::grown;
use crate::polygon::overlay::{Overlay, merged};
use crate::swath::contact::Prepared;
use geo::{BoundingRect, Distance, Euclidean, InteriorPoint};
use geo_types::{Coord, LineString, MultiPolygon, Point, Polygon, Rect};

/// Where no reel may be down, and the fairway without holes.
#[derive(Debug, Clone)]
pub struct Barriers {
    /// All keep-outs near the fairway and the holes of its outline, merged.
    pub area: MultiPolygon<f64>,
    /// The same, ready for clipping.
    pub prepared: Prepared,
    /// The outline with its holes filled, keep-outs not taken out.
    pub solid: MultiPolygon<f64>,
    /// The rough round the outline, ready for asking where a deck reaches it.
    pub rough: Prepared,
    /// For each part of the ground the first one that it is joined with across a path.
    pub joined: Vec<usize>,
}

/// The rough is looked at as far as this from the outline, metres: wider than any deck and loop.
const ROUGH_M: f64 = 100.0;

/// The rough round an area.
fn round(area: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    let frame = area.bounding_rect().map(|b| grown(b, ROUGH_M));
    let holes = area.iter().map(|p| p.exterior().clone()).collect();
    let rough = |f: Rect<f64>| Polygon::new(f.to_polygon().exterior().clone(), holes);
    frame.map(rough).into_iter().collect()
}

impl Barriers {
    /// Gathers the barriers of a fairway.
    pub fn of(fairway: &Fairway) -> Self {
        let alone = |r: &LineString<f64>| Polygon::new(r.clone(), Vec::new());
        let outline = &fairway.outline;
        let holes = outline.iter().flat_map(|p| p.interiors()).map(alone);
        let keep_outs = fairway.keep_outs.iter().map(|k| k.area.clone());
        let area = merged(&keep_outs.chain(holes).collect::<Vec<_>>());
        let filled: Vec<_> = outline.iter().map(|p| alone(p.exterior())).collect();
        let solid = merged(&filled);
        Self {
            prepared: Prepared::new(&area),
            area,
            rough: Prepared::new(&round(&solid)),
            solid,
            joined: joined(fairway),
        }
    }

    /// The parts of the ground that a mower takes as one, each list in order, by their first.
    pub fn wholes(&self) -> impl Iterator<Item = (usize, Vec<usize>)> {
        let firsts = (0..self.joined.len()).filter(|&i| self.joined[i] == i);
        firsts.map(|first| {
            let all = 0..self.joined.len();
            (first, all.filter(|&i| self.joined[i] == first).collect())
        })
    }
}

/// For each part of the ground the first one that it is joined with across a path.
fn joined(fairway: &Fairway) -> Vec<usize> {
    let parts = fairway.ground.0.len();
    if parts < 2 || fairway.barriers().count() == fairway.keep_outs.len() {
        return (0..parts).collect();
    }
    let barred: Vec<Polygon<f64>> = fairway.barriers().map(|k| k.area.clone()).collect();
    let undivided = fairway.outline.difference(&merged(&barred));
    let whole = |p: &Polygon<f64>| {
        let at = p.interior_point().map_or(p.exterior().0[0], |c| c.0);
        part_of(&undivided.0, at)
    };
    let wholes: Vec<usize> = fairway.ground.iter().map(whole).collect();
    let first = |w| wholes.iter().position(|x| x == w).unwrap_or(0);
    wholes.iter().map(first).collect()
}

/// The part that a place lies on or nearest to.
pub fn part_of(parts: &[Polygon<f64>], at: Coord<f64>) -> usize {
    if parts.len() < 2 {
        return 0;
    }
    let far = |i: &usize| Euclidean.distance(&Point(at), &parts[*i]);
    (0..parts.len())
        .min_by(|a, b| far(a).total_cmp(&far(b)))
        .unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawn::{bunker, plain, rect};
    use geo::Area;
    use geo_types::polygon;

    #[test]
    fn a_hole_of_the_outline_and_a_bunker_are_both_barred() {
        let outline = MultiPolygon(vec![polygon![
            exterior: [(x: 0.0, y: 0.0), (x: 40.0, y: 0.0), (x: 40.0, y: 40.0), (x: 0.0, y: 40.0)],
            interiors: [[(x: 5.0, y: 5.0), (x: 5.0, y: 15.0), (x: 15.0, y: 15.0), (x: 15.0, y: 5.0)]],
        ]]);
        let mut fairway = plain(outline);
        fairway.keep_outs.push(bunker(rect(12.0, 5.0, 18.0, 10.0)));
        let barriers = Barriers::of(&fairway);
        // 100 and 180 square metres that share 30.
        assert!((barriers.area.unsigned_area() - 250.0).abs() < 1e-6);
        assert!((barriers.solid.unsigned_area() - 1600.0).abs() < 1e-6);
    }
}
