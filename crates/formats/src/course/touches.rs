//! Which fairway a feature touches.

use super::COURSE_RANGE_M;
use super::feature::{Feature, Geometry};
use crossgrain_core::Plane;
use geo::{BoundingRect, Intersects};
use geo_types::{Coord, LineString, MultiPolygon, Point, Polygon};

/// The first fairway that a feature touches.
pub(super) fn touches(
    feature: &Feature,
    fairways: &[(&str, &MultiPolygon<f64>)],
    plane: &Plane,
) -> Option<String> {
    let at = |p: &[f64; 2]| plane.to_metres(*p);
    let line = |l: &Vec<[f64; 2]>| l.iter().map(at).collect::<LineString<f64>>();
    for g in &feature.geometry {
        // Far from the plane's centre nothing is on the course, and far numbers mislead.
        let near = |m: &Coord<f64>| m.x.hypot(m.y) <= 2.0 * COURSE_RANGE_M;
        let shapes: Vec<geo_types::Geometry<f64>> = match g {
            Geometry::Polygons(list) => list
                .iter()
                .filter_map(|rings| {
                    let mut rings = rings.iter().map(line);
                    let outer = rings.next()?;
                    Some(Polygon::new(outer, rings.collect()).into())
                })
                .collect(),
            Geometry::Lines(lines) => lines.iter().map(|l| line(l).into()).collect(),
            Geometry::Points(points) => points.iter().map(|p| Point(at(p)).into()).collect(),
        };
        for shape in shapes {
            let Some(bounds) = shape.bounding_rect() else {
                continue;
            };
            if !near(&bounds.min()) || !near(&bounds.max()) {
                continue;
            }
            for (name, outline) in fairways {
                if outline
                    .bounding_rect()
                    .is_some_and(|r| r.intersects(&bounds))
                    && outline.intersects(&shape)
                {
                    return Some((*name).to_string());
                }
            }
        }
    }
    None
}
