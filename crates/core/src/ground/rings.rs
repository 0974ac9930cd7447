//! Rings as they are drawn, repaired: what each encloses.

use crate::ground::faults::{Fault, Located, Location, Repair, ShapeRole};
use crate::polygon::overlay::{Overlay, merged};
use crate::polygon::ring::{COINCIDENT_M, crossings, tidy};
use geo::algorithm::orient::{Direction, Orient};
use geo::{Area, Distance, Euclidean};
use geo_types::{Coord, Line, LineString, MultiPolygon, Point, Polygon};

/// Scraps of ground smaller than this are dropped when keep-outs are taken out, square metres:
/// a foot square, smaller than any mower cuts.
pub const SLIVER_M2: f64 = 0.1;
/// A ring may overlap itself by this much and count as touching, square metres. Touching rings
/// come out slightly crossed when degrees are turned into metres.
pub const TOUCH_M2: f64 = 0.01;

/// What is wrong with drawn shapes, and what was put right.
#[derive(Debug, Default)]
pub(super) struct Findings {
    pub faults: Vec<Located<Fault>>,
    pub repairs: Vec<Located<Repair>>,
}

struct Cleaned {
    area: MultiPolygon<f64>,
    /// Area with the sign of the winding, counter-clockwise positive, square metres.
    signed_m2: f64,
    /// Where it crosses itself by more than touching, and the vertices where the edges start.
    crossing: Option<(Location, (usize, usize))>,
}

/// What a ring encloses (non-zero winding); the number of different points where there are too few.
fn clean_ring(
    location: Location,
    ring: &LineString<f64>,
    repairs: &mut Vec<Located<Repair>>,
) -> Result<Cleaned, usize> {
    let tidy = tidy(ring);
    let points = &tidy.points;
    if points.len() < 3 {
        return Err(points.len());
    }
    let at = |vertex: usize, at: Coord<f64>| Location {
        vertex: Some(vertex),
        at: Some(at),
        ..location
    };
    let mut tidied = |noted: Option<(usize, usize)>, repair: fn(usize) -> Repair| {
        let put_right = |(first, count)| Located::new(at(first, ring.0[first]), repair(count));
        repairs.extend(noted.map(put_right));
    };
    tidied(tidy.duplicates, |count| Repair::DuplicatePoints { count });
    tidied(tidy.spikes, |count| Repair::Spikes { count });
    let line = tidy.ring();
    let edges: Vec<_> = line.lines().collect();
    let crossing = crossings(&edges, usize::MAX)
        .into_iter()
        .min_by_key(|c| (c.first, c.second))
        .map(|c| (points[c.first].0, points[c.second].0, c.at));
    let polygon = Polygon::new(line, vec![]);
    let signed_m2 = polygon.signed_area();
    let area = sound(polygon.by_winding());
    let all = area.unsigned_area();
    // A ring that only touches itself encloses what its winding says, once.
    let crossed = (all - signed_m2.abs()).abs() > TOUCH_M2 + 1e-9 * all;
    let holed = || area.iter().any(|p| !p.interiors().is_empty());
    let touches = crossed || crossing.is_some() || area.0.len() > 1 || holed();
    let place = touches.then(|| {
        let (v, w, c) = crossing.or_else(|| touching_vertex(points)).unwrap_or((
            points[0].0,
            points[0].0,
            points[0].1,
        ));
        (at(v, c), (v, w))
    });
    if let (false, Some((location, _))) = (crossed, place) {
        repairs.push(Located::new(location, Repair::SelfTouching));
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
            let edge = Line::new(points[j].1, points[next].1);
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
    let here = Location::new(shape, item, 0, polygon.exterior());
    let Some(outer) = outer_ring(here, polygon.exterior(), found) else {
        return MultiPolygon(vec![]);
    };
    // An outer ring that crosses itself cannot be trusted, so its holes cannot either: all is kept out.
    if outer.crossing.is_some() {
        return outer.area;
    }
    let Findings { faults, repairs } = found;
    if outer.signed_m2 < 0.0 {
        repairs.push(Located::new(here, Repair::Rewound));
    }
    let mut holes = Vec::new();
    for (k, ring) in polygon.interiors().iter().enumerate() {
        let location = Location::new(shape, item, k + 1, ring);
        let hole = match clean_ring(location, ring, repairs) {
            Ok(h) if !h.area.0.is_empty() && (outline || h.crossing.is_none()) => h,
            _ => {
                repairs.push(Located::new(location, Repair::Dropped));
                continue;
            }
        };
        if let Some((location, edges)) = hole.crossing {
            faults.push(Located::new(location, Fault::SelfCrossing { edges }));
            continue;
        }
        if hole.signed_m2 > 0.0 {
            repairs.push(Located::new(location, Repair::Rewound));
        }
        if outline {
            let inside_m2 = outer.area.intersection(&hole.area).unsigned_area();
            if inside_m2 <= TOUCH_M2.min(0.5 * hole.area.unsigned_area()) {
                repairs.push(Located::new(location, Repair::HoleOutside));
                continue;
            }
            if outer.area.unsigned_area() - inside_m2 < SLIVER_M2 {
                faults.push(Located::new(location, Fault::HoleCovers));
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
        repairs.push(Located::new(here, Repair::HolesMerged));
    }
    if outline && left.0.is_empty() {
        faults.push(Located::new(here, Fault::HoleCovers));
    }
    left
}

/// The outer ring of a polygon, unless it encloses nothing that could be used.
fn outer_ring(location: Location, ring: &LineString<f64>, found: &mut Findings) -> Option<Cleaned> {
    let cleaned = clean_ring(location, ring, &mut found.repairs);
    let crossing = cleaned.as_ref().ok().and_then(|c| c.crossing);
    let area_m2 = cleaned.as_ref().map_or(0.0, |c| c.area.unsigned_area());
    if location.shape != ShapeRole::Outline {
        let repair = match crossing {
            Some((at, _)) => Some(Located::new(at, Repair::Uncrossed)),
            None => (area_m2 <= 0.0).then(|| Located::new(location, Repair::Dropped)),
        };
        found.repairs.extend(repair);
        return cleaned.ok().filter(|_| area_m2 > 0.0);
    }
    let fault = match (&cleaned, crossing) {
        (Err(count), _) => Located::new(location, Fault::TooFewPoints { count: *count }),
        (_, Some((at, edges))) => Located::new(at, Fault::SelfCrossing { edges }),
        _ if area_m2 < SLIVER_M2 => Located::new(location, Fault::NoArea { area_m2 }),
        _ => return cleaned.ok(),
    };
    found.faults.push(fault);
    None
}

/// The union of sound polygons.
pub(super) fn union_all(polygons: impl IntoIterator<Item = Polygon<f64>>) -> MultiPolygon<f64> {
    sound(merged(&polygons.into_iter().collect::<Vec<_>>()))
}

/// Tidy rings of four positions or more, wound as they should be: the rest of the house relies on it.
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
