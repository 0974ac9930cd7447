//! Rings as they are drawn, repaired: what each encloses.

use crate::ground::faults::{Fault, Location, Repair, ShapeRole};
use crate::polygon::overlay::{Overlay, merged};
use crate::polygon::ring::{COINCIDENT_M, crossings, tidy};
use geo::algorithm::orient::{Direction, Orient};
use geo::{Area, Distance, Euclidean};
use geo_types::{Coord, LineString, MultiPolygon, Point, Polygon};

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

/// What is wrong with drawn shapes, and what was put right.
#[derive(Debug, Default)]
pub(super) struct Findings {
    pub faults: Vec<Fault>,
    pub repairs: Vec<Repair>,
}

/// A cleaned ring: what it encloses, and how it was drawn.
struct Cleaned {
    area: MultiPolygon<f64>,
    /// Area with the sign of the winding, counter-clockwise positive, square metres.
    signed_m2: f64,
    /// Where it crosses itself by more than touching, and the vertex where the other edge starts.
    crossing: Option<(Location, usize)>,
}

/// Tidies one ring and finds what it encloses (non-zero winding): nothing where it crosses itself
/// more often than `most_crossings`. The number of different points where there are too few.
fn clean_ring(
    location: Location,
    ring: &LineString<f64>,
    most_crossings: usize,
    repairs: &mut Vec<Repair>,
) -> Result<Cleaned, usize> {
    let tidy = tidy(ring);
    let at = |vertex: usize, at: Option<Coord<f64>>| Location {
        vertex: Some(vertex),
        at,
        ..location
    };
    if tidy.points.len() < 3 {
        return Err(tidy.points.len());
    }
    repairs.extend(tidy.duplicates.map(|(first, count)| {
        let location = at(first, ring.0.get(first).copied());
        Repair::DuplicatePoints { location, count }
    }));
    repairs.extend(tidy.spikes.map(|(first, count)| {
        let location = at(first, ring.0.get(first).copied());
        Repair::Spikes { location, count }
    }));
    let line = tidy.ring();
    let edges: Vec<_> = line.lines().collect();
    let found = crossings(&edges, most_crossings + 1);
    let vertex = |edge: usize| tidy.points[edge].0;
    let first_crossing = found
        .iter()
        .min_by_key(|c| (c.first, c.second))
        .map(|c| (at(vertex(c.first), Some(c.at)), vertex(c.second)));
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
    let holed = || area.iter().any(|p| !p.interiors().is_empty());
    let touches = crossed || !found.is_empty() || area.0.len() > 1 || holed();
    let place = touches.then(|| {
        first_crossing
            .or_else(|| touching_vertex(&tidy.points).map(|(v, w, c)| (at(v, Some(c)), w)))
            .unwrap_or((at(vertex(0), Some(tidy.points[0].1)), vertex(0)))
    });
    if let (false, Some((location, _))) = (crossed, place) {
        repairs.push(Repair::SelfTouching { location });
    }
    Ok(Cleaned {
        area,
        signed_m2,
        crossing: place.filter(|_| crossed),
    })
}

/// The first vertex that lies on another one or on another edge, where that one starts, and the place.
fn touching_vertex(points: &[(usize, Coord<f64>)]) -> Option<(usize, usize, Coord<f64>)> {
    let n = points.len();
    points.iter().enumerate().find_map(|(i, &(vertex, c))| {
        let touches = |&j: &usize| {
            let next = (j + 1) % n;
            let edge = geo_types::Line::new(points[j].1, points[next].1);
            j != i && next != i && Euclidean.distance(&Point(c), &edge) <= COINCIDENT_M
        };
        let other = (0..n).find(touches)?;
        Some((vertex, points[other].0, c))
    })
}

/// A polygon as it is meant: of the outline what it encloses, if it does not cross itself; of a
/// keep-out or a no-turn area everything that it encloses at all. Both without their holes.
pub(super) fn repaired(
    shape: ShapeRole,
    item: usize,
    polygon: &Polygon<f64>,
    found: &mut Findings,
) -> MultiPolygon<f64> {
    let outline = shape == ShapeRole::Outline;
    let here = Location::of_ring(shape, item, 0, polygon.exterior());
    let Some(outer) = outer_ring(here, polygon.exterior(), found) else {
        return MultiPolygon(vec![]);
    };
    // An outer ring that crosses itself cannot be trusted, so its holes cannot either: all is kept out.
    if outer.crossing.is_some() {
        return outer.area;
    }
    let Findings { faults, repairs } = found;
    if outer.signed_m2 < 0.0 {
        repairs.push(Repair::Rewound { location: here });
    }
    let mut holes = Vec::new();
    for (k, ring) in polygon.interiors().iter().enumerate() {
        let location = Location::of_ring(shape, item, k + 1, ring);
        let hole = match clean_ring(location, ring, MAX_TOUCHES, repairs) {
            Ok(Cleaned {
                crossing: Some((location, other)),
                ..
            }) if outline => {
                faults.push(Fault::SelfCrossing { location, other });
                continue;
            }
            Ok(hole) if hole.crossing.is_none() && !hole.area.0.is_empty() => hole,
            _ => {
                repairs.push(dropped(location));
                continue;
            }
        };
        if hole.signed_m2 > 0.0 {
            repairs.push(Repair::Rewound { location });
        }
        if outline {
            let inside_m2 = outer.area.intersection(&hole.area).unsigned_area();
            if inside_m2 <= TOUCH_M2.min(0.5 * hole.area.unsigned_area()) {
                repairs.push(Repair::HoleOutside { location });
                continue;
            }
            if outer.area.unsigned_area() - inside_m2 < SLIVER_M2 {
                faults.push(Fault::HoleCovers { location });
                continue;
            }
        }
        holes.extend(hole.area);
    }
    if holes.is_empty() {
        return outer.area;
    }
    let count = holes.len();
    let left = sound(outer.area.difference(&union_all(holes)));
    if outline && left.iter().map(|p| p.interiors().len()).sum::<usize>() != count {
        repairs.push(Repair::HolesMerged { location: here });
    }
    if outline && left.0.is_empty() {
        faults.push(Fault::HoleCovers { location: here });
    }
    left
}

/// The outer ring of a polygon, unless it encloses nothing that could be used.
fn outer_ring(location: Location, ring: &LineString<f64>, found: &mut Findings) -> Option<Cleaned> {
    let outline = location.shape == ShapeRole::Outline;
    let most = if outline { MAX_TOUCHES } else { MAX_CROSSINGS };
    let fault = match clean_ring(location, ring, most, &mut found.repairs) {
        Err(count) if outline => Fault::TooFewPoints { location, count },
        Ok(outer) if outline => match outer.crossing {
            Some((location, other)) => Fault::SelfCrossing { location, other },
            None => {
                let area_m2 = outer.area.unsigned_area();
                if area_m2 >= SLIVER_M2 {
                    return Some(outer);
                }
                Fault::NoArea { location, area_m2 }
            }
        },
        Ok(outer) if !outer.area.0.is_empty() => {
            let crossing = outer.crossing.map(|c| c.0);
            let uncrossed = crossing.map(|location| Repair::Uncrossed { location });
            found.repairs.extend(uncrossed);
            return Some(outer);
        }
        Ok(outer) if outer.crossing.is_some() => Fault::TooManyCrossings {
            limit: MAX_CROSSINGS,
        },
        _ => {
            found.repairs.push(dropped(location));
            return None;
        }
    };
    found.faults.push(fault);
    None
}

/// A ring that encloses nothing.
fn dropped(location: Location) -> Repair {
    Repair::Dropped {
        location,
        area_m2: 0.0,
    }
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
    let polygon = |p: &Polygon<f64>| {
        let holes = p.interiors().iter().filter_map(ring).collect();
        let p = Polygon::new(ring(p.exterior())?, holes).orient(Direction::Default);
        (p.unsigned_area() > 0.0).then_some(p)
    };
    area.iter().filter_map(polygon).collect()
}
