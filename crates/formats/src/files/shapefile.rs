//! ESRI shapefile (ESRI Shapefile Technical Description, white paper, July 1998): `.shp` with
//! its `.dbf` table, `.prj` definition and `.cpg` code page.
//!
//! Read here and not with a library: a row marked as deleted must not shift the table against
//! the shapes, lengths are to be checked before they are believed, and messages name the record.

use super::positions::System;
use super::table::Table;
use super::{Companions, FileError, FileFault, Found};
use crate::course::feature::{Geometry, PLACED_IN, Ring};
use serde_json::Map;

/// Bytes of the main file's head.
const HEAD: usize = 100;

fn at(record: usize, what: &'static str) -> FileFault {
    FileFault::Shapefile {
        record: Some(record),
        what,
    }
}

fn whole_file(what: &'static str) -> FileFault {
    FileFault::Shapefile { record: None, what }
}

/// Numbers at a place, within the bytes there are.
struct Bytes<'a>(&'a [u8]);

impl Bytes<'_> {
    fn big(&self, at: usize) -> Option<i32> {
        let b = self.0.get(at..at.checked_add(4)?)?;
        Some(i32::from_be_bytes(b.try_into().ok()?))
    }

    fn little(&self, at: usize) -> Option<i32> {
        let b = self.0.get(at..at.checked_add(4)?)?;
        Some(i32::from_le_bytes(b.try_into().ok()?))
    }

    fn count(&self, at: usize) -> Option<usize> {
        self.little(at).and_then(|n| usize::try_from(n).ok())
    }

    fn double(&self, at: usize) -> Option<f64> {
        let b = self.0.get(at..at.checked_add(8)?)?;
        Some(f64::from_le_bytes(b.try_into().ok()?))
    }

    fn position(&self, at: usize) -> Option<[f64; 2]> {
        Some([self.double(at)?, self.double(at.checked_add(8)?)?])
    }
}

/// Reads all shapes with their rows.
pub(super) fn read(
    bytes: &[u8],
    file: &str,
    layer: &str,
    companions: &dyn Companions,
    found: &mut Found,
) -> Result<(), FileError> {
    let fail = |fault| FileError {
        file: file.to_string(),
        fault,
    };
    let shapes = shapes(bytes).map_err(fail)?;
    let system = match companions.get("prj")? {
        Some(prj) => System::from_wkt(&String::from_utf8_lossy(&prj))
            .map_err(|e| fail(FileFault::System(e)))?,
        None => {
            let degrees = shapes
                .iter()
                .flat_map(|s| s.positions())
                .all(|[x, y]| x.abs() <= 180.0 && y.abs() <= 90.0);
            if !degrees {
                return Err(fail(FileFault::NoDefinition));
            }
            found.note(format!(
                "{file}: no .prj file says which coordinate system it is in; taken as longitude and latitude on WGS 84"
            ));
            System::wgs84()
        }
    };
    found.tell_system(&system);
    let dbf = companions.get("dbf")?;
    let cpg = companions.get("cpg")?;
    let code_page = cpg.as_deref().map(String::from_utf8_lossy);
    let table = dbf
        .as_deref()
        .map(|b| Table::open(b, code_page.as_deref()))
        .transpose()
        .map_err(fail)?;
    match &table {
        None => found.note(format!(
            "{file}: no .dbf file beside it; its shapes have no names"
        )),
        Some(t) if t.rows != shapes.len() => found.note(format!(
            "{file}: {} shapes, but {} rows in its .dbf; taken together from the first on",
            shapes.len(),
            t.rows
        )),
        Some(_) => {}
    }
    for (i, shape) in shapes.iter().enumerate() {
        let mut properties = table
            .as_ref()
            .filter(|t| i < t.rows)
            .map_or_else(Map::new, |t| t.values(i));
        properties.insert(PLACED_IN.to_string(), vec![layer].into());
        let geometry = shape
            .in_degrees(&system)
            .map_err(|e| fail(FileFault::System(e)))?;
        found
            .push(format!("{file} record {}", i + 1), properties, geometry)
            .map_err(fail)?;
    }
    Ok(())
}

/// A shape as the file has it.
enum Shape {
    Null,
    Points(Vec<[f64; 2]>),
    Lines(Vec<Ring>),
    Areas(Vec<Ring>),
}

impl Shape {
    fn positions(&self) -> Box<dyn Iterator<Item = [f64; 2]> + '_> {
        match self {
            Shape::Null => Box::new(std::iter::empty()),
            Shape::Points(p) => Box::new(p.iter().copied()),
            Shape::Lines(l) | Shape::Areas(l) => Box::new(l.iter().flatten().copied()),
        }
    }

    fn in_degrees(&self, system: &System) -> Result<Vec<Geometry>, crate::systems::SystemError> {
        let rings = |list: &[Ring]| -> Result<Vec<Ring>, _> {
            list.iter().map(|r| Found::degrees(system, r)).collect()
        };
        Ok(match self {
            Shape::Null => vec![],
            Shape::Points(p) => vec![Geometry::Points(Found::degrees(system, p)?)],
            Shape::Lines(l) => vec![Geometry::Lines(rings(l)?)],
            Shape::Areas(l) => {
                // Which ring lies in which is asked in the file's own plane.
                let groups = grouped(l);
                let degrees = rings(l)?;
                vec![Geometry::Polygons(
                    groups
                        .iter()
                        .map(|g| g.iter().map(|&i| degrees[i].clone()).collect())
                        .collect(),
                )]
            }
        })
    }
}

fn shapes(bytes: &[u8]) -> Result<Vec<Shape>, FileFault> {
    let b = Bytes(bytes);
    // Lengths are in words of two bytes.
    let said = b
        .big(24)
        .and_then(|n| usize::try_from(n).ok())
        .and_then(|n| n.checked_mul(2))
        .ok_or(whole_file("its head gives an impossible length"))?;
    if said < HEAD || said > bytes.len() {
        return Err(whole_file("its head gives another length than it has"));
    }
    let mut out = Vec::new();
    let mut here = HEAD;
    while here < said {
        let record = out.len() + 1;
        if out.len() >= crate::course::MAX_FEATURES {
            return Err(FileFault::TooMany {
                what: "features",
                limit: crate::course::MAX_FEATURES,
            });
        }
        let length = b
            .big(here + 4)
            .and_then(|n| usize::try_from(n).ok())
            .and_then(|n| n.checked_mul(2))
            .filter(|n| *n >= 4)
            .ok_or(at(record, "it gives an impossible length"))?;
        let from = here + 8;
        let content = bytes
            .get(from..from.saturating_add(length).min(said))
            .filter(|c| c.len() == length)
            .ok_or(at(record, "it is longer than the file"))?;
        out.push(shape(content, record)?);
        here = from + length;
    }
    Ok(out)
}

fn shape(content: &[u8], record: usize) -> Result<Shape, FileFault> {
    let b = Bytes(content);
    let short = || at(record, "it is shorter than its shape");
    let kind = b.little(0).ok_or_else(short)?;
    match kind {
        0 => Ok(Shape::Null),
        1 | 11 | 21 => Ok(Shape::Points(vec![b.position(4).ok_or_else(short)?])),
        8 | 18 | 28 => {
            let count = b.count(36).ok_or_else(short)?;
            points(&b, 40, count, content.len())
                .map(Shape::Points)
                .ok_or_else(short)
        }
        3 | 5 | 13 | 15 | 23 | 25 => {
            let (parts, count) = b.count(36).zip(b.count(40)).ok_or_else(short)?;
            let first = parts
                .checked_mul(4)
                .and_then(|n| n.checked_add(44))
                .ok_or_else(short)?;
            let all = points(&b, first, count, content.len()).ok_or_else(short)?;
            let mut lines = Vec::new();
            let mut from = 0;
            for i in 0..parts {
                let start = b.count(44 + 4 * i).ok_or_else(short)?;
                let end = if i + 1 < parts {
                    b.count(48 + 4 * i).ok_or_else(short)?
                } else {
                    count
                };
                if start < from || end < start || end > count {
                    return Err(at(record, "its parts are out of order"));
                }
                from = start;
                lines.push(all[start..end].to_vec());
            }
            lines.retain(|l| !l.is_empty());
            Ok(if matches!(kind, 5 | 15 | 25) {
                Shape::Areas(lines)
            } else {
                Shape::Lines(lines)
            })
        }
        31 => Err(at(record, "it is a surface in space, not an area")),
        _ => Err(at(record, "it has a type that the format does not know")),
    }
}

/// Positions from a place on; nothing unless all of them are there.
fn points(b: &Bytes<'_>, from: usize, count: usize, length: usize) -> Option<Vec<[f64; 2]>> {
    let end = count.checked_mul(16)?.checked_add(from)?;
    if end > length {
        return None;
    }
    (0..count).map(|i| b.position(from + 16 * i)).collect()
}

/// Twice the signed area: below zero for rings that run clockwise, which are outlines.
fn twice_area(ring: &[[f64; 2]]) -> f64 {
    let Some(&[x0, y0]) = ring.first() else {
        return 0.0;
    };
    ring.windows(2)
        .map(|w| (w[0][0] - x0) * (w[1][1] - y0) - (w[1][0] - x0) * (w[0][1] - y0))
        .sum()
}

/// Whether a point lies in a ring, by the even-odd rule.
fn within(ring: &[[f64; 2]], [x, y]: [f64; 2]) -> bool {
    ring.windows(2).fold(false, |inside, w| {
        let [[x1, y1], [x2, y2]] = [w[0], w[1]];
        let crosses = (y1 > y) != (y2 > y) && x < (x2 - x1) * (y - y1) / (y2 - y1) + x1;
        inside != crosses
    })
}

/// Most rings of one shape whose holes are looked for among all outlines.
const MAX_SORTED: usize = 2_000;

/// Outlines with their holes, by place in the list. A hole belongs to the smallest outline round
/// it; one that lies in none is an outline drawn the wrong way round.
fn grouped(rings: &[Ring]) -> Vec<Vec<usize>> {
    let areas: Vec<f64> = rings.iter().map(|r| twice_area(r)).collect();
    let outlines: Vec<usize> = (0..rings.len()).filter(|&i| areas[i] <= 0.0).collect();
    let mut groups: Vec<Vec<usize>> = outlines.iter().map(|&o| vec![o]).collect();
    for i in (0..rings.len()).filter(|&i| areas[i] > 0.0) {
        let round = (rings.len() <= MAX_SORTED)
            .then(|| {
                outlines
                    .iter()
                    .enumerate()
                    .filter(|(_, o)| areas[**o] < -areas[i] && within(&rings[**o], rings[i][0]))
                    .max_by(|a, b| areas[*a.1].total_cmp(&areas[*b.1]))
                    .map(|(g, _)| g)
            })
            .flatten();
        match round {
            Some(g) => groups[g].push(i),
            None => groups.push(vec![i]),
        }
    }
    groups
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, side: f64, clockwise: bool) -> Ring {
        let mut ring = vec![
            [x, y],
            [x, y + side],
            [x + side, y + side],
            [x + side, y],
            [x, y],
        ];
        if !clockwise {
            ring.reverse();
        }
        ring
    }

    #[test]
    fn holes_go_to_the_smallest_outline_round_them() {
        let rings = [
            square(0., 0., 100., true),
            square(10., 10., 80., false),
            square(20., 20., 60., true),
            square(30., 30., 5., false),
            square(500., 0., 5., false),
        ];
        assert_eq!(grouped(&rings), [vec![0, 1], vec![2, 3], vec![4]]);
    }
}
