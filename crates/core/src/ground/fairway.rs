//! From drawn shapes to a sound fairway: checked, repaired, keep-outs taken out.
//!
//! Everything after this relies on what is guaranteed here: finite coordinates, simple rings
//! of at least four positions, exteriors counter-clockwise, holes clockwise. The geometry
//! library panics on less.

use crate::ground::faults::{Fault, Location, Repair, ShapeRole};
use crate::ground::rings::{barred, location, outline_part, sound, union_all};
use crate::model::ground::{Fairway, KEEP_OUT_RANGE_M, KeepOut};
use crate::polygon::overlay::Overlay;
use crate::polygon::ring::{COINCIDENT_M, tangled};
use geo::{Area, BoundingRect, Distance, Euclidean, Intersects};
use geo_types::{Coord, LineString, MultiPolygon, Polygon, Rect};

pub use crate::ground::rings::{MAX_CROSSINGS, SLIVER_M2, TOUCH_M2};

/// Farthest coordinate from the plane's origin, metres. Larger than any course; the plane's
/// own error passes a millimetre in a hundred metres beyond it.
pub const MAX_COORDINATE_M: f64 = 20_000.0;
/// Most vertices of one fairway with the keep-outs in its range. Real ones have a few hundred.
pub const MAX_VERTICES: usize = 10_000;
/// Most pairs of edges that come near one another; real outlines have some ten thousand.
pub const MAX_PAIRS: usize = 2_000_000;
/// Ground where turning is barred is carried with a fairway when it is this near, metres:
/// beyond the farthest a turn may go outside.
pub const NO_TURN_RANGE_M: f64 = 60.0;

/// The drawn shapes of one fairway, metres in the course's plane.
#[derive(Debug, Clone, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct FairwayParts {
    /// Number or name as the crew says it.
    pub name: String,
    /// The outline: one polygon or several.
    pub outline: Vec<Polygon<f64>>,
    /// Keep-outs anywhere; those out of range are left aside.
    pub keep_outs: Vec<KeepOut>,
    /// Ground where a turn must not go.
    pub no_turn: Vec<Polygon<f64>>,
    /// The hole line from tee to green.
    pub hole_line: Option<LineString<f64>>,
    /// Where the mower comes onto the fairway.
    pub way_in: Option<Coord<f64>>,
}

/// Checks, repairs and assembles a fairway.
///
/// Keep-outs may lie inside, bite the edge, overlap each other or lie outside; those within
/// [`KEEP_OUT_RANGE_M`] of the outline stay with the fairway, whole.
///
/// # Errors
/// All faults found, each with shape, ring, vertex and coordinate.
///
/// ```
/// use crossgrain_core::inside::ground::FairwayParts;
/// use crossgrain_core::inside::ground::fairway;
/// use geo_types::polygon;
/// let (f, repairs) = fairway(FairwayParts {
///     name: "7".into(),
///     outline: vec![polygon![(x: 0., y: 0.), (x: 90., y: 0.), (x: 90., y: 30.), (x: 0., y: 30.)]],
///     ..Default::default()
/// })
/// .unwrap();
/// assert_eq!(f.ground().0.len(), 1);
/// assert!(repairs.is_empty());
/// ```
pub fn fairway(parts: FairwayParts) -> Result<(Fairway, Vec<Repair>), Vec<Fault>> {
    let mut faults = Vec::new();
    let mut repairs = Vec::new();
    if parts.outline.is_empty() {
        return Err(vec![Fault::NoOutline]);
    }
    // Range first, so that far-away shapes cost nothing.
    let near = |area: &Polygon<f64>, range_m: f64| {
        let Some(r) = bounds(std::slice::from_ref(area)) else {
            return true;
        };
        bounds(&parts.outline).is_none_or(|o| rects_within(&o, &r, range_m))
    };
    let keep_outs = parts.keep_outs.iter().enumerate();
    let keep_outs: Vec<(usize, &KeepOut)> = keep_outs
        .filter(|(_, k)| near(&k.area, KEEP_OUT_RANGE_M))
        .collect();
    let no_turn = parts.no_turn.iter().enumerate();
    let no_turn: Vec<(usize, &Polygon<f64>)> =
        no_turn.filter(|(_, a)| near(a, NO_TURN_RANGE_M)).collect();

    check_coordinates(&parts, &keep_outs, &no_turn, &mut faults);
    if !faults.is_empty() {
        return Err(faults);
    }

    let kept_off = keep_outs.iter().map(|k| &k.1.area);
    let all = parts.outline.iter().chain(kept_off);
    if scribbled(all.chain(no_turn.iter().map(|n| n.1))) {
        return Err(vec![Fault::TooManyCrossings {
            limit: MAX_CROSSINGS,
        }]);
    }

    let mut drawn = Vec::new();
    for (item, polygon) in parts.outline.iter().enumerate() {
        drawn.extend(outline_part(item, polygon, &mut faults, &mut repairs));
    }
    let mut kept_out = Vec::new();
    for &(item, k) in &keep_outs {
        let area = barred(ShapeRole::KeepOut, item, &k.area, &mut faults, &mut repairs);
        kept_out.push((item, k, area));
    }
    let mut no_turn_area = Vec::new();
    for &(item, area) in &no_turn {
        no_turn_area.extend(barred(ShapeRole::NoTurn, item, area, &mut faults, &mut repairs).0);
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let outline = merge_parts(drawn, &mut repairs);
    kept_out.retain_mut(|(_, _, area)| {
        area.0
            .retain(|p| Euclidean.distance(p, &outline) <= KEEP_OUT_RANGE_M);
        !area.0.is_empty()
    });
    let barred_area = union_all(kept_out.iter().flat_map(|k| k.2.iter().cloned()));
    let ground = sound(if barred_area.0.is_empty() {
        outline.clone()
    } else {
        outline.difference(&barred_area)
    });
    let ground = drop_slivers(ground, &mut repairs);
    if ground.0.is_empty() {
        return Err(vec![covered(&outline, &kept_out)]);
    }
    let hole_line = hole_line(parts.hole_line, &mut repairs);
    let fairway = Fairway {
        name: parts.name,
        outline,
        ground,
        keep_outs: kept_out.into_iter().flat_map(pieces).collect(),
        no_turn: union_all(no_turn_area),
        hole_line,
        way_in: parts.way_in,
    };
    Ok((fairway, repairs))
}

/// A keep-out, its place among all of them, and what of it is kept out.
type KeptOut<'a> = (usize, &'a KeepOut, MultiPolygon<f64>);

fn pieces((_, k, area): KeptOut<'_>) -> impl Iterator<Item = KeepOut> {
    area.0.into_iter().map(|area| KeepOut {
        kind: k.kind,
        name: k.name.clone(),
        area,
    })
}

/// Nothing of the outline is left: by the one keep-out that covers it all, or by several.
fn covered(outline: &MultiPolygon<f64>, kept_out: &[KeptOut<'_>]) -> Fault {
    let touching = kept_out.iter().filter(|k| k.2.intersects(outline));
    let alone = kept_out
        .iter()
        .find(|k| outline.difference(&k.2).unsigned_area() < SLIVER_M2);
    Fault::Covered {
        keep_outs: alone.map_or_else(|| touching.map(|k| k.0).collect(), |k| vec![k.0]),
    }
}

/// Takes shapes as they are, `ground` as well: for what was checked before, such as the ground of a
/// plan that is read back.
pub fn as_given(parts: FairwayParts, ground: MultiPolygon<f64>) -> Fairway {
    Fairway {
        name: parts.name,
        outline: MultiPolygon(parts.outline),
        ground,
        keep_outs: parts.keep_outs,
        no_turn: MultiPolygon(parts.no_turn),
        hole_line: parts.hole_line,
        way_in: parts.way_in,
    }
}

/// Checks and repairs a keep-out by itself, as [`fairway`] does with each.
///
/// A keep-out that crosses itself becomes everything it encloses: too much kept out is safe.
///
/// # Errors
/// All faults found; [`Location::item`] is 0.
pub fn keep_out(area: &Polygon<f64>) -> Result<(MultiPolygon<f64>, Vec<Repair>), Vec<Fault>> {
    let (mut faults, mut repairs) = (Vec::new(), Vec::new());
    check_polygon(ShapeRole::KeepOut, 0, area, &mut faults);
    let count = vertices(area);
    if count > MAX_VERTICES {
        faults.push(Fault::TooManyVertices {
            count,
            limit: MAX_VERTICES,
        });
    }
    if faults.is_empty() && scribbled([area]) {
        faults.push(Fault::TooManyCrossings {
            limit: MAX_CROSSINGS,
        });
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let out = barred(ShapeRole::KeepOut, 0, area, &mut faults, &mut repairs);
    if faults.is_empty() {
        Ok((out, repairs))
    } else {
        Err(faults)
    }
}

/// Ground that two fairways share, square metres; `None` where their outlines are too tangled
/// to say.
pub fn shared_m2(a: &Fairway, b: &Fairway) -> Option<f64> {
    let apart = match (a.ground.bounding_rect(), b.ground.bounding_rect()) {
        (Some(p), Some(q)) => !p.intersects(&q),
        _ => true,
    };
    if apart {
        return Some(0.0);
    }
    (!scribbled(a.ground.iter().chain(b.ground.iter())))
        .then(|| a.ground.intersection(&b.ground).unsigned_area())
}

/// Whether the rings meet too often to be worked with.
fn scribbled<'a>(polygons: impl IntoIterator<Item = &'a Polygon<f64>>) -> bool {
    let edges: Vec<_> = polygons
        .into_iter()
        .flat_map(Overlay::rings)
        .flat_map(|r| r.lines().map(|l| (l.start, l.end)))
        .collect();
    tangled(&edges, MAX_CROSSINGS, MAX_PAIRS)
}

fn vertices(p: &Polygon<f64>) -> usize {
    p.rings().map(|r| r.0.len()).sum()
}

/// Bounds of the finite coordinates.
fn bounds(polygons: &[Polygon<f64>]) -> Option<Rect<f64>> {
    let points: LineString<f64> = polygons
        .iter()
        .flat_map(|p| p.exterior().0.iter())
        .filter(|c| c.x.is_finite() && c.y.is_finite())
        .copied()
        .collect();
    points.bounding_rect()
}

fn rects_within(a: &Rect<f64>, b: &Rect<f64>, range_m: f64) -> bool {
    a.min().x - range_m <= b.max().x
        && b.min().x - range_m <= a.max().x
        && a.min().y - range_m <= b.max().y
        && b.min().y - range_m <= a.max().y
}

fn check_coord(location: Location, faults: &mut Vec<Fault>) {
    let Some(c) = location.at else { return };
    if !(c.x.is_finite() && c.y.is_finite()) {
        faults.push(Fault::NotFinite { location });
    } else if c.x.abs() > MAX_COORDINATE_M || c.y.abs() > MAX_COORDINATE_M {
        faults.push(Fault::TooFar {
            location,
            limit_m: MAX_COORDINATE_M,
        });
    }
}

fn check_polygon(shape: ShapeRole, item: usize, polygon: &Polygon<f64>, faults: &mut Vec<Fault>) {
    for (ring, line) in polygon.rings().enumerate() {
        // The closing position repeats the first; one report is enough.
        let n = line.0.len().saturating_sub(1);
        for (vertex, &c) in line.0.iter().enumerate().take(n) {
            check_coord(
                Location {
                    shape,
                    item,
                    ring,
                    vertex: Some(vertex),
                    at: Some(c),
                },
                faults,
            );
        }
    }
}

fn check_coordinates(
    parts: &FairwayParts,
    keep_outs: &[(usize, &KeepOut)],
    no_turn: &[(usize, &Polygon<f64>)],
    faults: &mut Vec<Fault>,
) {
    let mut count = 0;
    for (item, p) in parts.outline.iter().enumerate() {
        check_polygon(ShapeRole::Outline, item, p, faults);
        count += vertices(p);
    }
    for &(item, k) in keep_outs {
        check_polygon(ShapeRole::KeepOut, item, &k.area, faults);
        count += vertices(&k.area);
    }
    for &(item, p) in no_turn {
        check_polygon(ShapeRole::NoTurn, item, p, faults);
        count += vertices(p);
    }
    let points = parts.hole_line.iter().flat_map(|l| l.0.iter());
    for (shape, vertex, c) in points
        .enumerate()
        .map(|(i, c)| (ShapeRole::HoleLine, i, c))
        .chain(parts.way_in.iter().map(|c| (ShapeRole::WayIn, 0, c)))
    {
        let location = Location {
            shape,
            item: 0,
            ring: 0,
            vertex: Some(vertex),
            at: Some(*c),
        };
        check_coord(location, faults);
    }
    if count > MAX_VERTICES {
        faults.push(Fault::TooManyVertices {
            count,
            limit: MAX_VERTICES,
        });
    }
}

fn merge_parts(drawn: Vec<Polygon<f64>>, repairs: &mut Vec<Repair>) -> MultiPolygon<f64> {
    let before = drawn.len();
    if before < 2 {
        return sound(MultiPolygon(drawn));
    }
    let sum: f64 = drawn.iter().map(Area::unsigned_area).sum();
    let merged = union_all(drawn);
    let twice_m2 = sum - merged.unsigned_area();
    if merged.0.len() != before || twice_m2 > TOUCH_M2 {
        repairs.push(Repair::PartsMerged {
            before,
            after: merged.0.len(),
            twice_m2: twice_m2.max(0.0),
        });
    }
    merged
}

fn drop_slivers(ground: MultiPolygon<f64>, repairs: &mut Vec<Repair>) -> MultiPolygon<f64> {
    MultiPolygon(
        ground
            .into_iter()
            .filter(|p| {
                let area_m2 = p.unsigned_area();
                let keep = area_m2 >= SLIVER_M2;
                // A thread left by rounding is no news.
                if !keep
                    && area_m2 > TOUCH_M2
                    && let Some(&at) = p.exterior().0.first()
                {
                    repairs.push(Repair::Sliver { at, area_m2 });
                }
                keep
            })
            .collect(),
    )
}

fn hole_line(line: Option<LineString<f64>>, repairs: &mut Vec<Repair>) -> Option<LineString<f64>> {
    let line = line?;
    let here = location(ShapeRole::HoleLine, 0, 0, &line);
    let mut points: Vec<Coord<f64>> = Vec::new();
    for &c in &line.0 {
        if points
            .last()
            .is_none_or(|p| (p.x - c.x).hypot(p.y - c.y) > COINCIDENT_M)
        {
            points.push(c);
        }
    }
    if points.len() < 2 {
        repairs.push(Repair::Dropped {
            location: here,
            area_m2: 0.0,
        });
        return None;
    }
    Some(LineString(points))
}

#[cfg(test)]
#[path = "fairway_tests.rs"]
mod tests;
