//! From drawn shapes to a sound fairway: checked, repaired, keep-outs taken out.
//!
//! Everything after this relies on what is guaranteed here: finite coordinates, simple rings
//! of at least four positions, exteriors counter-clockwise, holes clockwise. The geometry
//! library panics on less.

use crate::ground::faults::{Fault, Faults, Located, Location, Repair, ShapeRole};
use crate::ground::rings::{Findings, SLIVER_M2, TOUCH_M2, repaired, sound, union_all};
use crate::model::ground::{Fairway, KEEP_OUT_RANGE_M, KeepOut, KeepOutKind};
use crate::polygon::offset::grown;
use crate::polygon::overlay::Overlay;
use crate::polygon::ring::{COINCIDENT_M, tangled};
use geo::{Area, BoundingRect, Distance, Euclidean, Intersects};
use geo_types::{Coord, LineString, MultiPolygon, Polygon, Rect};

/// Farthest coordinate from the plane's origin, metres. Larger than any course; the plane's
/// own error passes a millimetre in a hundred metres beyond it.
pub const MAX_COORDINATE_M: f64 = 20_000.0;
/// Most vertices of one fairway with the keep-outs in its range. Real ones have a few hundred.
pub const MAX_VERTICES: usize = 10_000;
/// Most places where rings of one fairway meet; more is a scribble, and each costs memory.
pub const MAX_CROSSINGS: usize = 20_000;
/// Most pairs of edges that come near one another; real outlines have some ten thousand.
pub const MAX_PAIRS: usize = 2_000_000;
/// Ground where turning is barred is carried with a fairway when it is this near, metres:
/// beyond the farthest a turn may go outside.
pub const NO_TURN_RANGE_M: f64 = 60.0;

/// The drawn shapes of a fairway, metres in one plane, x east, y north, until
/// [`FairwayBuilder::build`] checks them.
#[derive(Debug, Clone, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[must_use]
pub struct FairwayBuilder {
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

impl Fairway {
    /// Begins a fairway by its number or name.
    ///
    /// ```
    /// use crossgrain_core::prelude::*;
    /// use geo_types::polygon;
    ///
    /// let fairway = Fairway::builder("7")
    ///     .outline(polygon![(x: 0., y: 0.), (x: 90., y: 0.), (x: 90., y: 30.), (x: 0., y: 30.)])
    ///     .keep_out(KeepOutKind::Bunker, polygon![(x: 60., y: -5.), (x: 70., y: -5.), (x: 70., y: 10.)])
    ///     .build()?;
    /// assert!(fairway.ground_m2() < 2700.0);
    /// # Ok::<(), Faults>(())
    /// ```
    pub fn builder(name: impl Into<String>) -> FairwayBuilder {
        FairwayBuilder {
            name: name.into(),
            ..FairwayBuilder::default()
        }
    }
}

impl FairwayBuilder {
    /// Adds a polygon to the outline: most fairways have one.
    pub fn outline(mut self, area: Polygon<f64>) -> Self {
        self.outline.push(area);
        self
    }

    /// Adds ground where no reel is ever down. It may lie inside, bite the edge, overlap another or
    /// lie outside; beyond 20 m of the outline it is left aside.
    pub fn keep_out(mut self, kind: KeepOutKind, area: Polygon<f64>) -> Self {
        self.keep_outs.push(KeepOut {
            kind,
            name: None,
            area,
        });
        self
    }

    /// Adds ground where no turn may go: a steep bank, soft ground.
    pub fn no_turn(mut self, area: Polygon<f64>) -> Self {
        self.no_turn.push(area);
        self
    }

    /// The hole line from tee to green: headings on the clock and halves are read along it.
    pub fn hole_line(mut self, line: LineString<f64>) -> Self {
        self.hole_line = Some(line);
        self
    }

    /// Where the mower comes onto the fairway.
    pub fn way_in(mut self, at: Coord<f64>) -> Self {
        self.way_in = Some(at);
        self
    }

    /// Checks the shapes, puts right what is plain, and takes the keep-outs out of the outline.
    ///
    /// # Errors
    /// All faults found, each with shape, ring, vertex and coordinate.
    pub fn build(self) -> Result<Fairway, Faults> {
        self.build_and_tell().map(|(fairway, _)| fairway)
    }

    /// The same, and what was put right.
    ///
    /// # Errors
    /// As [`FairwayBuilder::build`].
    pub fn build_and_tell(self) -> Result<(Fairway, Vec<Located<Repair>>), Faults> {
        fairway(self)
    }
}

/// The fairway that drawn shapes make, and what was put right.
fn fairway(parts: FairwayBuilder) -> Result<(Fairway, Vec<Located<Repair>>), Faults> {
    let refused = |fault| Err(Faults(vec![Located::new(None, fault)]));
    if parts.outline.is_empty() {
        return refused(Fault::NoOutline);
    }
    // Range first, so that far-away shapes cost nothing.
    let whole = bounds(&parts.outline);
    let near = |area: &Polygon<f64>, range_m: f64| {
        whole
            .zip(bounds([area]))
            .is_none_or(|(whole, own)| grown(whole, range_m).intersects(&own))
    };
    let outline = parts.outline.iter().enumerate();
    let mut shapes: Vec<Shape<'_>> = outline.map(|(i, p)| (ShapeRole::Outline, i, p)).collect();
    let keep_outs = parts.keep_outs.iter().map(|k| &k.area).enumerate();
    let keep_outs = keep_outs.filter(|(_, a)| near(a, KEEP_OUT_RANGE_M));
    shapes.extend(keep_outs.map(|(i, a)| (ShapeRole::KeepOut, i, a)));
    let no_turn = parts.no_turn.iter().enumerate();
    let no_turn = no_turn.filter(|(_, a)| near(a, NO_TURN_RANGE_M));
    shapes.extend(no_turn.map(|(i, a)| (ShapeRole::NoTurn, i, a)));
    let hole_line = parts.hole_line.iter().flat_map(|l| l.0.iter().enumerate());
    let hole_line = hole_line.map(|(i, c)| (ShapeRole::HoleLine, i, *c));
    let way_in = parts.way_in.iter().map(|c| (ShapeRole::WayIn, 0, *c));
    check(&shapes, hole_line.chain(way_in))?;

    let mut found = Findings::default();
    let (mut drawn, mut kept_out, mut no_turn) = (Vec::new(), Vec::new(), Vec::new());
    for (role, item, polygon) in shapes {
        let area = repaired(role, item, polygon, &mut found);
        match role {
            ShapeRole::Outline => drawn.extend(area),
            ShapeRole::KeepOut => kept_out.push((item, area)),
            _ => no_turn.extend(area),
        }
    }
    if !found.faults.is_empty() {
        return Err(Faults(found.faults));
    }
    let mut repairs = found.repairs;
    let outline = merge_parts(drawn, &mut repairs);
    for (_, area) in &mut kept_out {
        let far_m = |p: &Polygon<f64>| Euclidean.distance(p, &outline);
        area.0.retain(|p| far_m(p) <= KEEP_OUT_RANGE_M);
    }
    let barred = union_all(kept_out.iter().flat_map(|k| k.1.iter().cloned()));
    let mut ground = if barred.0.is_empty() {
        outline.clone()
    } else {
        sound(outline.difference(&barred))
    };
    ground.0.retain(|p| {
        let (at, area_m2) = (p.exterior().0[0], p.unsigned_area());
        // A thread left by rounding is no news.
        if (TOUCH_M2..SLIVER_M2).contains(&area_m2) {
            repairs.push(Located::new(None, Repair::Sliver { at, area_m2 }));
        }
        area_m2 >= SLIVER_M2
    });
    if ground.0.is_empty() {
        return refused(covered(&outline, &kept_out));
    }
    let pieces = kept_out.into_iter().flat_map(|(item, area)| {
        let of = &parts.keep_outs[item];
        area.into_iter().map(|area| KeepOut { area, ..of.clone() })
    });
    let parts = FairwayBuilder {
        outline: outline.0,
        keep_outs: pieces.collect(),
        no_turn: union_all(no_turn).0,
        hole_line: parts.hole_line.and_then(|l| hole_line_of(l, &mut repairs)),
        ..parts
    };
    Ok((as_given(parts, ground), repairs))
}

/// A polygon that was drawn, and its place among those of its role.
type Shape<'a> = (ShapeRole, usize, &'a Polygon<f64>);

/// Nothing of the outline is left: by the one keep-out that covers it all, or by several.
fn covered(outline: &MultiPolygon<f64>, kept_out: &[(usize, MultiPolygon<f64>)]) -> Fault {
    let touching = kept_out.iter().filter(|k| k.1.intersects(outline));
    let mut each = kept_out.iter();
    let alone = each.find(|k| outline.difference(&k.1).unsigned_area() < SLIVER_M2);
    Fault::Covered {
        keep_outs: alone.map_or_else(|| touching.map(|k| k.0).collect(), |k| vec![k.0]),
    }
}

/// Takes shapes as they are, `ground` as well: for what was checked before.
pub fn as_given(parts: FairwayBuilder, ground: MultiPolygon<f64>) -> Fairway {
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

/// Checks and repairs a keep-out by itself, as [`FairwayBuilder::build`] does with each.
///
/// A keep-out that crosses itself becomes everything it encloses: too much kept out is safe.
///
/// # Errors
/// All faults found; [`Location::item`] is 0.
pub fn keep_out(area: &Polygon<f64>) -> Result<(MultiPolygon<f64>, Vec<Located<Repair>>), Faults> {
    check(&[(ShapeRole::KeepOut, 0, area)], [])?;
    let mut found = Findings::default();
    // Only an outline can be at fault now.
    Ok((
        repaired(ShapeRole::KeepOut, 0, area, &mut found),
        found.repairs,
    ))
}

/// Ground that two fairways share, square metres; `None` where their outlines are too tangled.
pub fn shared_m2(a: &Fairway, b: &Fairway) -> Option<f64> {
    let boxes = a.ground.bounding_rect().zip(b.ground.bounding_rect());
    if boxes.is_none_or(|(p, q)| !p.intersects(&q)) {
        return Some(0.0);
    }
    (!scribbled(a.ground.iter().chain(b.ground.iter())))
        .then(|| a.ground.intersection(&b.ground).unsigned_area())
}

/// Whether the rings meet too often to be worked with.
fn scribbled<'a>(polygons: impl Iterator<Item = &'a Polygon<f64>>) -> bool {
    let edges: Vec<_> = polygons
        .flat_map(Overlay::rings)
        .flat_map(LineString::lines)
        .collect();
    tangled(&edges, MAX_CROSSINGS, MAX_PAIRS)
}

/// Bounds of the finite coordinates.
fn bounds<'a>(polygons: impl IntoIterator<Item = &'a Polygon<f64>>) -> Option<Rect<f64>> {
    let points: LineString<f64> = polygons
        .into_iter()
        .flat_map(|p| p.exterior().0.iter())
        .filter(|c| c.x.is_finite() && c.y.is_finite())
        .copied()
        .collect();
    points.bounding_rect()
}

/// Refuses shapes and points by their coordinates, their number, or the places where they meet.
fn check(
    shapes: &[Shape<'_>],
    points: impl IntoIterator<Item = (ShapeRole, usize, Coord<f64>)>,
) -> Result<(), Faults> {
    let mut faults = Vec::new();
    let mut look = |shape, item, ring, vertex, c: Coord<f64>| {
        let location = Location {
            shape,
            item,
            ring,
            vertex: Some(vertex),
            at: Some(c),
        };
        let limit_m = MAX_COORDINATE_M;
        if !(c.x.is_finite() && c.y.is_finite()) {
            faults.push(Located::new(location, Fault::NotFinite));
        } else if c.x.abs().max(c.y.abs()) > limit_m {
            faults.push(Located::new(location, Fault::TooFar { limit_m }));
        }
    };
    let mut count = 0;
    for &(shape, item, polygon) in shapes {
        for (ring, line) in polygon.rings().enumerate() {
            count += line.0.len();
            // The closing position repeats the first; one report is enough.
            let open = line.0.split_last().map_or(&[][..], |l| l.1);
            for (vertex, c) in open.iter().enumerate() {
                look(shape, item, ring, vertex, *c);
            }
        }
    }
    for (shape, vertex, c) in points {
        look(shape, 0, 0, vertex, c);
    }
    let limit = MAX_VERTICES;
    if count > limit {
        faults.push(Located::new(None, Fault::TooManyVertices { count, limit }));
    }
    let limit = MAX_CROSSINGS;
    if faults.is_empty() && scribbled(shapes.iter().map(|s| s.2)) {
        faults.push(Located::new(None, Fault::TooManyCrossings { limit }));
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Faults(faults))
    }
}

fn merge_parts(drawn: Vec<Polygon<f64>>, repairs: &mut Vec<Located<Repair>>) -> MultiPolygon<f64> {
    let before = drawn.len();
    if before < 2 {
        return sound(MultiPolygon(drawn));
    }
    let sum: f64 = drawn.iter().map(Area::unsigned_area).sum();
    let merged = union_all(drawn);
    let (after, twice_m2) = (merged.0.len(), sum - merged.unsigned_area());
    if after != before || twice_m2 > TOUCH_M2 {
        let parts = Repair::PartsMerged {
            before,
            after,
            twice_m2: twice_m2.max(0.0),
        };
        repairs.push(Located::new(None, parts));
    }
    merged
}

fn hole_line_of(
    mut line: LineString<f64>,
    repairs: &mut Vec<Located<Repair>>,
) -> Option<LineString<f64>> {
    let here = Location::new(ShapeRole::HoleLine, 0, 0, &line);
    line.0
        .dedup_by(|next, kept| Euclidean.distance(*kept, *next) <= COINCIDENT_M);
    if line.0.len() < 2 {
        repairs.push(Located::new(here, Repair::Dropped));
        return None;
    }
    Some(line)
}

#[cfg(test)]
#[path = "fairway_tests.rs"]
mod tests;
