//! What every pattern is given: the ground to cover and what must not be cut.

use crate::ground::clip::Prepared;
use crate::model::ground::Fairway;
use crate::model::mower::Mower;
use crate::model::pattern::Settings;
use crate::work::Work;
use geo::unary_union;
use geo_types::{MultiPolygon, Polygon};

/// Where no reel may be down, and the fairway without holes.
#[derive(Debug, Clone)]
pub struct Barriers {
    /// All keep-outs near the fairway and the holes of its outline, merged.
    pub area: MultiPolygon<f64>,
    /// The same, ready for clipping.
    pub prepared: Prepared,
    /// The outline with its holes filled, keep-outs not taken out.
    pub solid: MultiPolygon<f64>,
}

impl Barriers {
    /// Gathers the barriers of a fairway.
    pub fn of(fairway: &Fairway) -> Self {
        let mut all: Vec<Polygon<f64>> = fairway.keep_outs.iter().map(|k| k.area.clone()).collect();
        for p in &fairway.outline {
            all.extend(
                p.interiors()
                    .iter()
                    .map(|r| Polygon::new(r.clone(), Vec::new())),
            );
        }
        let area = merged(&all);
        let filled: Vec<Polygon<f64>> = fairway
            .outline
            .iter()
            .map(|p| Polygon::new(p.exterior().clone(), Vec::new()))
            .collect();
        Self {
            prepared: Prepared::new(&area),
            area,
            solid: merged(&filled),
        }
    }
}

fn merged(polygons: &[Polygon<f64>]) -> MultiPolygon<f64> {
    if polygons.is_empty() {
        MultiPolygon(Vec::new())
    } else {
        unary_union(polygons)
    }
}

/// The ground a pattern works on.
#[derive(Debug, Clone)]
pub struct Site<'a> {
    /// The fairway.
    pub fairway: &'a Fairway,
    /// The mower.
    pub mower: &'a Mower,
    /// All that was asked.
    pub settings: &'a Settings,
    /// The ground the pattern must cover: what lies inside the clean-up rings, widened so that
    /// it overlaps the innermost ring by the overlap. Without clean-up passes, the reach.
    pub inside: &'a MultiPolygon<f64>,
    /// The part of the ground that the deck can reach.
    pub within: &'a MultiPolygon<f64>,
    /// Where no reel may be down.
    pub barriers: &'a Barriers,
    /// The work on this mow, counted.
    pub work: &'a Work,
}
