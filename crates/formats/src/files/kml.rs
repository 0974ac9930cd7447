//! KML 2.2 (OGC 07-147r2): placemarks in folders, areas, lines and points.

use super::xml::{child, child_text, children, line, own_text};
use super::{FileFault, Found, XmlFault};
use crate::course::feature::{Geometry, PLACED_IN, Ring};
use crate::input::plain;
use roxmltree::{Document, Node};
use serde_json::{Map, Value};

/// Names of elements that hold others.
const CONTAINERS: [&str; 3] = ["kml", "Document", "Folder"];

/// Reads every placemark.
pub(super) fn read(doc: &Document<'_>, layer: &str, found: &mut Found) -> Result<(), FileFault> {
    // Depth first in the order of the file; nesting is limited, but nothing here recurses over it.
    let mut open = vec![(doc.root_element(), vec![layer.to_string()])];
    let mut number = 0;
    while let Some((node, folders)) = open.pop() {
        if node.tag_name().name() == "Placemark" {
            number += 1;
            placemark(node, number, &folders, found)?;
            continue;
        }
        if !CONTAINERS.contains(&node.tag_name().name()) {
            continue;
        }
        let mut here = folders;
        if let Some(name) = child_text(node, "name") {
            here.insert(0, plain(&name));
        }
        let below: Vec<Node<'_, '_>> = node.children().filter(Node::is_element).collect();
        open.extend(below.into_iter().rev().map(|n| (n, here.clone())));
    }
    Ok(())
}

fn placemark(
    node: Node<'_, '_>,
    number: usize,
    folders: &[String],
    found: &mut Found,
) -> Result<(), FileFault> {
    let mut properties = Map::new();
    if let Some(data) = child(node, "ExtendedData") {
        for d in children(data, "Data") {
            if let (Some(key), Some(value)) = (d.attribute("name"), child_text(d, "value")) {
                properties.insert(plain(key), plain(&value).into());
            }
        }
        for schema in children(data, "SchemaData") {
            for d in children(schema, "SimpleData") {
                if let (Some(key), Some(value)) = (d.attribute("name"), own_text(d)) {
                    properties.insert(plain(key), plain(&value).into());
                }
            }
        }
    }
    if let Some(name) = child_text(node, "name") {
        properties.retain(|k, _| !k.eq_ignore_ascii_case("name"));
        properties.insert("name".to_string(), plain(&name).into());
    }
    let places: Vec<Value> = folders.iter().map(|f| f.as_str().into()).collect();
    properties.insert(PLACED_IN.to_string(), places.into());

    let mut geometry = Vec::new();
    let mut rest: Vec<Node<'_, '_>> = node.children().filter(Node::is_element).collect();
    rest.reverse();
    while let Some(g) = rest.pop() {
        match g.tag_name().name() {
            "MultiGeometry" => {
                let mut below: Vec<Node<'_, '_>> = g.children().filter(Node::is_element).collect();
                below.reverse();
                rest.extend(below);
            }
            "Polygon" => {
                let mut rings: Vec<Ring> = Vec::new();
                for side in ["outerBoundaryIs", "innerBoundaryIs"] {
                    for b in children(g, side) {
                        for r in children(b, "LinearRing") {
                            rings.push(closed(coordinates(r)?));
                        }
                    }
                }
                if !rings.is_empty() {
                    geometry.push(Geometry::Polygons(vec![rings]));
                }
            }
            "LinearRing" => geometry.push(Geometry::Polygons(vec![vec![closed(coordinates(g)?)]])),
            "LineString" => geometry.push(Geometry::Lines(vec![coordinates(g)?])),
            "Point" => geometry.push(Geometry::Points(coordinates(g)?)),
            _ => {}
        }
    }
    found.push(
        format!("placemark {number} (line {})", line(node)),
        properties,
        geometry,
    )
}

/// KML's rings repeat their first position; some programs forget to.
fn closed(mut ring: Ring) -> Ring {
    if let (Some(first), Some(last)) = (ring.first().copied(), ring.last().copied())
        && first != last
        && ring.len() >= 3
    {
        ring.push(first);
    }
    ring
}

/// `longitude,latitude[,altitude]`, divided by white space.
fn coordinates(node: Node<'_, '_>) -> Result<Ring, FileFault> {
    let Some(list) = child(node, "coordinates") else {
        return Ok(Vec::new());
    };
    let text = own_text(list).unwrap_or_default();
    text.split_whitespace()
        .map(|p| {
            let mut parts = p.split(',').map(str::parse::<f64>);
            match (parts.next(), parts.next()) {
                (Some(Ok(lon)), Some(Ok(lat))) if lon.abs() <= 180.0 && lat.abs() <= 90.0 => {
                    Ok([lon, lat])
                }
                _ => Err(XmlFault::Content {
                    line: line(list),
                    what: format!(
                        "'{}' is no position longitude,latitude",
                        plain(p).chars().take(40).collect::<String>()
                    ),
                }
                .into()),
            }
        })
        .collect()
}
