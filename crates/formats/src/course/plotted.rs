//! The drawings in the plane, those in range of a fairway, bridges taken out of the water.

use super::FEATURE_RANGE_M;
use super::crew::Fixture;
use super::drawings::DrawnShape;
use super::holes::{self, HoleLine};
use super::judged::KeptOff;
use super::reading::Reading;
use super::role::Role;
use super::strokes::{bridged, disc, stroke};
use crossgrain_core::inside::polygon::overlay::merged;
use crossgrain_core::{KeepOutKind, Plane};
use geo::BoundingRect;
use geo_types::{Coord, LineString, MultiPolygon, Polygon, Rect};

/// Why a drawing far from everything is left aside.
const OUT_OF_RANGE: &str = "more than a kilometre from every fairway";

/// The drawings in the plane, sorted by what they are.
#[derive(Default)]
pub(super) struct Plotted {
    pub fairways: Vec<(usize, Vec<Polygon<f64>>)>,
    pub kept_off: Vec<KeptOff>,
    pub no_turn: Vec<(usize, Polygon<f64>)>,
    pub bridges: Vec<(usize, Polygon<f64>)>,
    pub holes: Vec<(usize, HoleLine)>,
    pub ways_in: Vec<(usize, Coord<f64>)>,
    pub fixtures: Vec<Fixture>,
}

impl Reading<'_> {
    /// Every drawing in the plane. What is out of range of all fairways is left aside.
    pub(super) fn plotted(&mut self, plane: &Plane) -> Plotted {
        let to_metres = |p: &[f64; 2]| plane.to_metres(*p);
        let polygon = |rings: &Vec<Vec<[f64; 2]>>| {
            let mut rings = rings
                .iter()
                .map(|r| r.iter().map(to_metres).collect::<LineString<f64>>());
            let outer = rings.next().unwrap_or_else(|| LineString(vec![]));
            Polygon::new(outer, rings.collect())
        };
        let mut out = Plotted::default();
        for (i, d) in self.drawings.iter().enumerate() {
            if let (Role::Fairway, DrawnShape::Areas(list)) = (d.role, &d.shape) {
                out.fairways.push((i, list.iter().map(polygon).collect()));
            }
        }
        let bounds = geo_types::GeometryCollection::from_iter(
            out.fairways.iter().flat_map(|f| f.1.iter().cloned()),
        )
        .bounding_rect();
        let in_range = |area: &dyn Fn() -> Option<Rect<f64>>| match (bounds, area()) {
            (Some(b), Some(r)) => holes::gap_m(&b, &r) <= FEATURE_RANGE_M,
            _ => true,
        };
        for (i, d) in self.drawings.iter().enumerate() {
            let areas: Vec<Polygon<f64>> = match (&d.shape, d.role) {
                (_, Role::Fairway) => continue,
                (DrawnShape::Line(line), Role::Hole) => {
                    let line = line.iter().map(to_metres).collect();
                    let name = d.name.clone();
                    out.holes.push((i, HoleLine { name, line }));
                    continue;
                }
                (DrawnShape::Point(p), Role::WayIn) => {
                    out.ways_in.push((i, to_metres(p)));
                    continue;
                }
                (DrawnShape::Point(p), Role::Fixture(kind)) => {
                    let at = to_metres(p);
                    if in_range(&|| Some(Rect::new(at, at))) {
                        out.fixtures.push(Fixture { kind, at });
                    } else {
                        let i = d.feature.index;
                        self.ledger.not_used_after_all(i, OUT_OF_RANGE);
                    }
                    continue;
                }
                (DrawnShape::Areas(list), _) => list.iter().map(polygon).collect(),
                (DrawnShape::Line(line), _) => {
                    let line: LineString<f64> = line.iter().map(to_metres).collect();
                    if in_range(&|| line.bounding_rect()) {
                        stroke(&line, d.width_m).0
                    } else {
                        vec![]
                    }
                }
                (DrawnShape::Point(p), _) => vec![disc(to_metres(p), d.width_m / 2.0)],
            };
            let mut near = false;
            for area in areas {
                if !in_range(&|| area.bounding_rect()) {
                    continue;
                }
                near = true;
                match d.role {
                    Role::KeepOut(kind) => out.kept_off.push(KeptOff {
                        drawing: i,
                        kind,
                        area,
                    }),
                    Role::NoTurn => out.no_turn.push((i, area)),
                    Role::Bridge => out.bridges.push((i, area)),
                    _ => {}
                }
            }
            if !near {
                let at = d.feature.index;
                self.ledger.not_used_after_all(at, OUT_OF_RANGE);
            }
        }
        bridge_over(&mut out);
        out
    }
}

/// Bridges taken out of the water they cross, and driven over with the reels up.
fn bridge_over(plotted: &mut Plotted) {
    if plotted.bridges.is_empty() {
        return;
    }
    let areas: Vec<Polygon<f64>> = plotted.bridges.iter().map(|b| b.1.clone()).collect();
    let bridges: MultiPolygon<f64> = merged(&areas);
    let kept = std::mem::take(&mut plotted.kept_off);
    for k in kept {
        if k.kind.wet() {
            let dry = bridged(&k.area, &bridges);
            plotted
                .kept_off
                .extend(dry.into_iter().map(|area| KeptOff { area, ..k.clone() }));
        } else {
            plotted.kept_off.push(k);
        }
    }
    for (drawing, area) in std::mem::take(&mut plotted.bridges) {
        plotted.kept_off.push(KeptOff {
            drawing,
            kind: KeepOutKind::Path,
            area,
        });
    }
}
