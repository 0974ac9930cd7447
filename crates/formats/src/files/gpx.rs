//! GPX 1.1: tracks and routes that close are areas, others are lines, waypoints are points.

use super::xml::{child_text, children, line};
use super::{FileFault, Found, XmlFault};
use crate::course::feature::{Geometry, Ring};
use crate::input::plain;
use crossgrain_core::Plane;
use roxmltree::{Document, Node};
use serde_json::Map;

/// A track whose ends lie this near to each other goes round an area, metres: whoever walks an
/// edge with a receiver in the hand does not come back more exactly.
pub(crate) const CLOSES_M: f64 = 10.0;
/// And it must be this many times longer than that gap: a short line is no area.
const CLOSES_RATIO: f64 = 10.0;

/// Reads tracks, routes and waypoints.
pub(super) fn read(doc: &Document<'_>, found: &mut Found) -> Result<(), FileFault> {
    let mut counts = [0_usize; 3];
    for node in doc.root_element().children().filter(Node::is_element) {
        let (what, kind) = match node.tag_name().name() {
            "trk" => (0, "track"),
            "rte" => (1, "route"),
            "wpt" => (2, "waypoint"),
            _ => continue,
        };
        counts[what] += 1;
        let geometry = match what {
            0 => {
                let segments: Vec<Ring> = children(node, "trkseg")
                    .map(|s| children(s, "trkpt").map(position).collect())
                    .collect::<Result<_, _>>()?;
                segments
                    .into_iter()
                    .filter(|s| !s.is_empty())
                    .map(drawn)
                    .collect()
            }
            1 => {
                let points: Ring = children(node, "rtept")
                    .map(position)
                    .collect::<Result<_, _>>()?;
                if points.is_empty() {
                    vec![]
                } else {
                    vec![drawn(points)]
                }
            }
            _ => vec![Geometry::Points(vec![position(node)?])],
        };
        let mut properties = Map::new();
        // The only texts of GPX that people fill in; `type` is free text too.
        for key in ["name", "type"] {
            if let Some(text) = child_text(node, key) {
                properties.insert(key.to_string(), plain(&text).into());
            }
        }
        found.push(
            format!("{kind} {} (line {})", counts[what], line(node)),
            properties,
            geometry,
        )?;
    }
    Ok(())
}

/// The position of a track point, route point or waypoint.
pub(crate) fn position(node: Node<'_, '_>) -> Result<[f64; 2], FileFault> {
    let number = |key: &str, most: f64| {
        node.attribute(key)
            .and_then(|t| t.trim().parse::<f64>().ok())
            .filter(|v| v.abs() <= most)
            .ok_or_else(|| XmlFault::Content {
                line: line(node),
                what: format!("the {key} of a point is missing or no number of degrees"),
            })
    };
    Ok([number("lon", 180.0)?, number("lat", 90.0)?])
}

/// An area where the line comes back to its start.
fn drawn(mut points: Ring) -> Geometry {
    let (Some(&first), Some(&last)) = (points.first(), points.last()) else {
        return Geometry::Lines(vec![points]);
    };
    let Some(plane) = Plane::new(first) else {
        return Geometry::Lines(vec![points]);
    };
    let gap = plane.distance_m(first, last);
    let mut long = 0.0;
    for w in points.windows(2) {
        long += plane.distance_m(w[0], w[1]);
    }
    if points.len() < 4 || gap > CLOSES_M || long < CLOSES_RATIO * gap.max(0.1) {
        return Geometry::Lines(vec![points]);
    }
    if first != last {
        points.push(first);
    }
    Geometry::Polygons(vec![vec![points]])
}
