//! What each fairway is called, and which polygons are one fairway.

use super::drawings::Drawing;
use super::feature::Feature;
use super::holes::{self, HoleLine};
use super::problem::{Notice, ProblemKind};
use super::roles::property;
use crate::input::is_unseen;
use geo::BoundingRect;
use geo_types::{MultiPolygon, Polygon, Rect};
use serde_json::{Map, Value};
use std::collections::BTreeSet;

/// Longest name kept, characters: more does not fit on any sheet.
pub(crate) const MAX_NAME: usize = 60;
/// Polygons of one name farther apart than this are different fairways, metres: a course of 27
/// holes may count from 1 twice, but a stream or a road within a fairway is never this wide.
pub(crate) const PARTS_RANGE_M: f64 = 300.0;

/// One fairway: its polygons, by place in the list of fairways, and its hole line.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Group {
    pub name: String,
    pub members: Vec<usize>,
    pub hole: Option<usize>,
}

/// What a feature is called: its `ref`, else its `name`.
pub(crate) fn label(properties: &Map<String, Value>) -> Option<String> {
    property(properties, "ref").or_else(|| property(properties, "name"))
}

/// What the file tells a feature from all others by.
pub(crate) fn identifier(feature: &Feature) -> Option<String> {
    let keys = ["id", "@id", "osm_id", "fid"];
    let id = feature
        .id
        .clone()
        .or_else(|| keys.iter().find_map(|k| property(&feature.properties, k)))?;
    let id = clean(&id).0;
    (!id.is_empty()).then_some(id)
}

/// A name without marks that show nothing, of sensible length; whether anything changed.
pub(crate) fn clean(name: &str) -> (String, bool) {
    let seen: String = name
        .chars()
        .map(|c| if c.is_whitespace() { ' ' } else { c })
        .filter(|&c| !is_unseen(c))
        .collect();
    let short: String = seen.trim().chars().take(MAX_NAME).collect();
    let short = short.trim().to_string();
    let changed = short != name.trim();
    (short, changed)
}

/// Groups polygons into fairways, in the order of the file.
pub(crate) fn groups(
    fairways: &[(usize, Vec<Polygon<f64>>)],
    drawings: &[Drawing],
    lines: &[HoleLine],
    notices: &mut Vec<Notice>,
) -> Result<Vec<Group>, ProblemKind> {
    let areas: Vec<MultiPolygon<f64>> = fairways
        .iter()
        .map(|(_, p)| MultiPolygon(p.clone()))
        .collect();
    let mut work = 0;
    let through: Vec<Option<usize>> = areas
        .iter()
        .map(|a| holes::through(a, lines, &mut work))
        .collect();
    if work > holes::MAX_WORK {
        return Err(ProblemKind::TooMany {
            what: "edges of fairways times edges of hole lines over them",
            count: work,
            limit: holes::MAX_WORK,
        });
    }
    // The name in the file, else that of the hole through it.
    let names: Vec<Option<(String, bool)>> = fairways
        .iter()
        .zip(&through)
        .map(|((d, _), hole)| {
            let own = drawings[*d].name.clone().map(|n| (n, false));
            own.or_else(|| Some((lines[(*hole)?].name.clone()?, true)))
        })
        .collect();
    let mut groups: Vec<Group> = Vec::new();
    let mut nameless: Vec<usize> = Vec::new();
    for (m, name) in names.iter().enumerate() {
        let Some((name, from_hole)) = name else {
            nameless.push(groups.len());
            groups.push(Group {
                name: String::new(),
                members: vec![m],
                hole: through[m],
            });
            continue;
        };
        if *from_hole {
            notices.push(Notice::Named {
                feature: drawings[fairways[m].0].feature.clone(),
                name: name.clone(),
                from_hole: true,
            });
        }
        groups.push(Group {
            name: name.clone(),
            members: vec![m],
            hole: None,
        });
    }
    join_parts(&mut groups, &areas);
    make_unique(&mut groups, fairways, drawings, notices);
    for g in &mut groups {
        if g.hole.is_none() {
            g.hole = g
                .members
                .iter()
                .find_map(|&m| through[m])
                .filter(|&h| lines[h].name.as_ref().is_none_or(|n| *n == g.name));
        }
        if g.hole.is_none() {
            g.hole = holes::named(&g.name, &g.members, &areas, lines);
        }
        if g.hole.is_none() {
            g.hole = g.members.iter().find_map(|&m| through[m]);
        }
    }
    Ok(groups)
}

/// Joins groups of one name whose ground is near; single linkage, in the order of the file.
fn join_parts(groups: &mut Vec<Group>, areas: &[MultiPolygon<f64>]) {
    let bounds: Vec<Option<Rect<f64>>> = areas.iter().map(BoundingRect::bounding_rect).collect();
    let near = |a: &Group, b: &Group| {
        a.members.iter().any(|&m| {
            b.members.iter().any(|&n| match (&bounds[m], &bounds[n]) {
                (Some(p), Some(q)) => holes::gap_m(p, q) <= PARTS_RANGE_M,
                _ => false,
            })
        })
    };
    let mut i = 0;
    while i < groups.len() {
        let mut j = i + 1;
        let mut grew = false;
        while j < groups.len() {
            let one = !groups[i].name.is_empty()
                && groups[i].name == groups[j].name
                && near(&groups[i], &groups[j]);
            if one {
                let other = groups.remove(j);
                groups[i].members.extend(other.members);
                grew = true;
            } else {
                j += 1;
            }
        }
        // A part may bridge two others, so look again.
        if !grew {
            i += 1;
        }
    }
}

/// Numbers for the nameless and new names where one is taken, both reported.
fn make_unique(
    groups: &mut [Group],
    fairways: &[(usize, Vec<Polygon<f64>>)],
    drawings: &[Drawing],
    notices: &mut Vec<Notice>,
) {
    let mut taken: BTreeSet<String> = groups.iter().map(|g| g.name.clone()).collect();
    let mut seen: BTreeSet<String> = BTreeSet::new();
    let mut number = 1;
    for g in groups.iter_mut() {
        let feature = || drawings[fairways[g.members[0]].0].feature.clone();
        if g.name.is_empty() {
            while taken.contains(&number.to_string()) {
                number += 1;
            }
            let name = number.to_string();
            notices.push(Notice::Named {
                feature: feature(),
                name: name.clone(),
                from_hole: false,
            });
            taken.insert(name.clone());
            seen.insert(name.clone());
            g.name = name;
        } else if !seen.insert(g.name.clone()) {
            let mut n = 2;
            while taken.contains(&format!("{} ({n})", g.name)) {
                n += 1;
            }
            let name = format!("{} ({n})", g.name);
            notices.push(Notice::Renamed {
                feature: feature(),
                from: g.name.clone(),
                to: name.clone(),
            });
            taken.insert(name.clone());
            seen.insert(name.clone());
            g.name = name;
        }
    }
}
