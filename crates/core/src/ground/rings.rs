//! Rings as they are drawn, repaired: what each encloses.

use crate::ground::faults::{Fault, Location, Repair, ShapeRole};
use crate::polygon::overlay::{Overlay, merged};
use crate::polygon::ring::{COINCIDENT_M, crossings, tidy};
use geo::algorithm::orient::{Direction, Orient};
use geo::{Area, Distance, Euclidean};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

/// Scraps of ground smaller than this are dropped when keep-outs are taken out, square metres:
/// a foot square, smaller than any mower cuts.
pub const SLIVER_M2: f64 = 0.1;
/// A ring may overlap itself by this much and count as touching, square metres. Touching rings
/// come out slightly crossed when degrees are turned into metres.
pub const TOUCH_M2: f64 = 0.01;
/// Most places where rings of one fairway meet; more is a scribble, and each costs memory.
pub const MAX_CROSSINGS: usize = 20_000;
// A ring that crosses itself more often than this was not meant to touch.
pub(super) const MAX_TOUCHES: usize = 64;

/// A cleaned ring: what it encloses, and how it was drawn.
struct Cleaned {
    area: MultiPolygon<f64>,
    /// Area with the sign of the winding, counter-clockwise positive, square metres.
    signed_m2: f64,
    /// Where it crosses itself by more than touching.
    crossing: Option<(usize, usize, Coord<f64>)>,
}

/// Tidies one ring and finds what it encloses (non-zero winding). `None`: too few points.
fn clean_ring(
    location: Location,
    ring: &LineString<f64>,
    most_crossings: usize,
    repairs: &mut Vec<Repair>,
) -> Result<Cleaned, usize> {
    let tidy = tidy(ring);
    let at = |vertex: usize| Location {
        vertex: Some(vertex),
        at: ring.0.get(vertex).copied(),
        ..location
    };
    if tidy.points.len() < 3 {
        return Err(tidy.points.len());
    }
    if let Some((first, count)) = tidy.duplicates {
        repairs.push(Repair::DuplicatePoints {
            location: at(first),
            count,
        });
    }
    if let Some((first, count)) = tidy.spikes {
        repairs.push(Repair::Spikes {
            location: at(first),
            count,
        });
    }
    let line = tidy.ring();
    let edges: Vec<_> = line.lines().map(|l| (l.start, l.end)).collect();
    let found = crossings(&edges, most_crossings + 1);
    let vertex = |edge: usize| tidy.points[edge].0;
    let first_crossing = found
        .iter()
        .min_by_key(|c| (c.first, c.second))
        .map(|c| (vertex(c.first), vertex(c.second), c.at));
    let polygon = Polygon::new(line, vec![]);
    let signed_m2 = polygon.signed_area();
    if found.len() > most_crossings {
        return Ok(Cleaned {
            area: MultiPolygon(vec![]),
            signed_m2,
            crossing: first_crossing,
        });
    }
    let area = sound(polygon.by_winding());
    let odd = polygon.by_parity().unsigned_area();
    let all = area.unsigned_area();
    // A ring that only touches itself encloses what its winding says, once.
    let scale = 1e-9 * all;
    let crossed = (all - signed_m2.abs()).abs() > TOUCH_M2 + scale || all - odd > TOUCH_M2 + scale;
    let crossing = crossed.then(|| {
        first_crossing
            .or_else(|| touching_vertex(&tidy.points))
            .unwrap_or((vertex(0), vertex(0), tidy.points[0].1))
    });
    if !crossed && (!found.is_empty() || area.0.len() > 1 || has_holes(&area)) {
        let touches = first_crossing.or_else(|| touching_vertex(&tidy.points));
        repairs.push(Repair::SelfTouching {
            location: touches.map_or(location, |(v, _, c)| Location {
                vertex: Some(v),
                at: Some(c),
                ..location
            }),
        });
    }
    Ok(Cleaned {
        area,
        signed_m2,
        crossing,
    })
}

fn has_holes(area: &MultiPolygon<f64>) -> bool {
    area.iter().any(|p| !p.interiors().is_empty())
}

/// The first vertex that lies on another one or on another edge.
fn touching_vertex(points: &[(usize, Coord<f64>)]) -> Option<(usize, usize, Coord<f64>)> {
    let n = points.len();
    for (i, &(vi, c)) in points.iter().enumerate() {
        for j in 0..n {
            let next = (j + 1) % n;
            if j == i || next == i {
                continue;
            }
            let edge = geo_types::Line::new(points[j].1, points[next].1);
            if Euclidean.distance(&geo_types::Point(c), &edge) <= COINCIDENT_M {
                return Some((vi, points[j].0, c));
            }
        }
    }
    None
}

pub(super) fn location(
    shape: ShapeRole,
    item: usize,
    ring: usize,
    line: &LineString<f64>,
) -> Location {
    Location {
        shape,
        item,
        ring,
        vertex: None,
        at: line.0.first().copied(),
    }
}

/// One polygon of the outline, repaired.
pub(super) fn outline_part(
    item: usize,
    polygon: &Polygon<f64>,
    faults: &mut Vec<Fault>,
    repairs: &mut Vec<Repair>,
) -> Vec<Polygon<f64>> {
    let here = location(ShapeRole::Outline, item, 0, polygon.exterior());
    let Some(outer) = outline_ring(here, polygon.exterior(), faults, repairs) else {
        return vec![];
    };
    if outer.signed_m2 < 0.0 {
        repairs.push(Repair::Rewound { location: here });
    }
    let mut holes = Vec::new();
    for (k, ring) in polygon.interiors().iter().enumerate() {
        let there = location(ShapeRole::Outline, item, k + 1, ring);
        let Some(hole) = hole_ring(there, ring, faults, repairs) else {
            continue;
        };
        if hole.signed_m2 > 0.0 {
            repairs.push(Repair::Rewound { location: there });
        }
        let inside = outer.area.intersection(&hole.area).unsigned_area();
        if inside <= TOUCH_M2.min(0.5 * hole.area.unsigned_area()) {
            repairs.push(Repair::HoleOutside { location: there });
        } else if outer.area.unsigned_area() - inside < SLIVER_M2 {
            faults.push(Fault::HoleCovers { location: there });
        } else {
            holes.push(hole.area);
        }
    }
    if holes.is_empty() {
        return outer.area.0;
    }
    let count: usize = holes.iter().map(|h| h.0.len()).sum();
    let taken = union_all(holes.into_iter().flatten());
    let part = sound(outer.area.difference(&taken));
    let left: usize = part.iter().map(|p| p.interiors().len()).sum();
    if left != count {
        repairs.push(Repair::HolesMerged { location: here });
    }
    if part.0.is_empty() {
        faults.push(Fault::HoleCovers { location: here });
    }
    part.0
}

fn outline_ring(
    here: Location,
    ring: &LineString<f64>,
    faults: &mut Vec<Fault>,
    repairs: &mut Vec<Repair>,
) -> Option<Cleaned> {
    match clean_ring(here, ring, MAX_TOUCHES, repairs) {
        Err(count) => {
            faults.push(Fault::TooFewPoints {
                location: here,
                count,
            });
            None
        }
        Ok(Cleaned {
            crossing: Some(crossing),
            ..
        }) => {
            faults.push(self_crossing(here, crossing));
            None
        }
        Ok(c) if c.area.unsigned_area() < SLIVER_M2 => {
            faults.push(Fault::NoArea {
                location: here,
                area_m2: c.area.unsigned_area(),
            });
            None
        }
        Ok(c) => Some(c),
    }
}

/// A ring that encloses nothing.
fn dropped(location: Location) -> Repair {
    Repair::Dropped {
        location,
        area_m2: 0.0,
    }
}

/// The fault of a ring that crosses itself at a vertex, another and a place.
fn self_crossing(here: Location, (vertex, other, at): (usize, usize, Coord<f64>)) -> Fault {
    let location = Location {
        vertex: Some(vertex),
        at: Some(at),
        ..here
    };
    Fault::SelfCrossing { location, other }
}

/// A hole of the outline: one without area is dropped, one that crosses itself is a fault.
fn hole_ring(
    here: Location,
    ring: &LineString<f64>,
    faults: &mut Vec<Fault>,
    repairs: &mut Vec<Repair>,
) -> Option<Cleaned> {
    match clean_ring(here, ring, MAX_TOUCHES, repairs) {
        Ok(Cleaned {
            crossing: Some(crossing),
            ..
        }) => {
            faults.push(self_crossing(here, crossing));
            None
        }
        Ok(c) if !c.area.0.is_empty() => Some(c),
        _ => {
            repairs.push(dropped(here));
            None
        }
    }
}

/// A keep-out or no-turn area: everything it encloses, minus its holes.
pub(super) fn barred(
    shape: ShapeRole,
    item: usize,
    polygon: &Polygon<f64>,
    faults: &mut Vec<Fault>,
    repairs: &mut Vec<Repair>,
) -> MultiPolygon<f64> {
    let nothing = MultiPolygon(vec![]);
    let here = location(shape, item, 0, polygon.exterior());
    let outer = match clean_ring(here, polygon.exterior(), MAX_CROSSINGS, repairs) {
        Err(_) => {
            repairs.push(dropped(here));
            return nothing;
        }
        Ok(c) => c,
    };
    if outer.area.0.is_empty() {
        if outer.crossing.is_some() {
            faults.push(Fault::TooManyCrossings {
                limit: MAX_CROSSINGS,
            });
        } else {
            repairs.push(dropped(here));
        }
        return nothing;
    }
    if let Some((vertex, _, at)) = outer.crossing {
        repairs.push(Repair::Uncrossed {
            location: Location {
                vertex: Some(vertex),
                at: Some(at),
                ..here
            },
        });
        // The outer ring cannot be trusted, so its holes cannot either: keep it all out.
        return outer.area;
    }
    if outer.signed_m2 < 0.0 {
        repairs.push(Repair::Rewound { location: here });
    }
    let mut holes = Vec::new();
    for (k, ring) in polygon.interiors().iter().enumerate() {
        let there = location(shape, item, k + 1, ring);
        match clean_ring(there, ring, MAX_TOUCHES, repairs) {
            Ok(c) if c.crossing.is_none() && !c.area.0.is_empty() => {
                if c.signed_m2 > 0.0 {
                    repairs.push(Repair::Rewound { location: there });
                }
                holes.push(c.area);
            }
            _ => repairs.push(dropped(there)),
        }
    }
    if holes.is_empty() {
        return outer.area;
    }
    sound(
        outer
            .area
            .difference(&union_all(holes.into_iter().flatten())),
    )
}

/// The union of sound polygons.
pub(super) fn union_all(polygons: impl IntoIterator<Item = Polygon<f64>>) -> MultiPolygon<f64> {
    sound(merged(&polygons.into_iter().collect::<Vec<_>>()))
}

/// What the rest of the house relies on: tidy rings of four positions or more, wound as they
/// should be, polygons in a fixed order.
pub(super) fn sound(area: MultiPolygon<f64>) -> MultiPolygon<f64> {
    let ring = |r: &LineString<f64>| {
        let t = tidy(r);
        (t.points.len() >= 3).then(|| t.ring())
    };
    MultiPolygon(
        area.iter()
            .filter_map(|p| {
                let outer = ring(p.exterior())?;
                let holes = p.interiors().iter().filter_map(&ring).collect();
                let p = Polygon::new(outer, holes).orient(Direction::Default);
                (p.unsigned_area() > 0.0).then_some(p)
            })
            .collect(),
    )
}
