//! What each fairway is called, and which polygons are one fairway.

use super::drawings::Drawing;
use super::holes::{self, HoleLine, Through};
use super::notice::Notice;
use super::problem::ProblemKind;
use crossgrain_core::KeepOut;
use crossgrain_core::inside::model::step::letter;
use geo::BoundingRect;
use geo_types::{MultiPolygon, Polygon, Rect};
use std::collections::BTreeSet;

/// Polygons of one name farther apart than this are different fairways, metres: a course of 27
/// holes may count from 1 twice, but a stream or a road within a fairway is never this wide.
pub(crate) const PARTS_RANGE_M: f64 = 300.0;

/// The best hole line leads the next one by this factor over a fairway, or it is left in doubt.
const CLEAR_LEAD: f64 = 3.0;

/// Where a fairway's name comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum NameSource {
    /// The file says it.
    File,
    /// The hole line over it, or the tee and the green at its ends, leave no doubt.
    Hole,
    /// The file's identifier, or a letter: somebody has to say the name.
    Unconfirmed,
}

/// One fairway: its polygons, by place in the list of fairways, and its hole line.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Group {
    pub name: String,
    pub source: NameSource,
    pub members: Vec<usize>,
    pub hole: Option<usize>,
}

/// Groups polygons into fairways, in the order of the file.
pub(crate) fn groups(
    fairways: &[(usize, Vec<Polygon<f64>>)],
    drawings: &[Drawing],
    lines: &[HoleLine],
    keep_outs: &[(usize, KeepOut)],
    notices: &mut Vec<Notice>,
) -> Result<Vec<Group>, ProblemKind> {
    let areas: Vec<MultiPolygon<f64>> = fairways
        .iter()
        .map(|(_, p)| MultiPolygon(p.clone()))
        .collect();
    let mut work = 0;
    let through: Vec<Option<Through>> = areas
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
    let own: BTreeSet<&str> = fairways
        .iter()
        .filter_map(|(d, _)| drawings[*d].name.as_deref())
        .collect();
    let mut groups: Vec<Group> = Vec::new();
    for (m, (d, polygons)) in fairways.iter().enumerate() {
        let hole = through[m].map(|t| t.hole);
        let (name, source) = match &drawings[*d].name {
            Some(name) => (name.clone(), NameSource::File),
            None => {
                // A number that somebody else has is not given a second time.
                let free = |name: &String| !own.contains(name.as_str());
                let by_line = through[m]
                    .filter(|t| t.length_m >= CLEAR_LEAD * t.next_m)
                    .and_then(|t| lines[t.hole].name.clone());
                let found = by_line
                    .filter(free)
                    .or_else(|| holes::number_of_ends(polygons, keep_outs).filter(free));
                match found {
                    Some(name) => (name, NameSource::Hole),
                    None => (String::new(), NameSource::Unconfirmed),
                }
            }
        };
        if source == NameSource::Hole {
            notices.push(Notice::NamedAfterHole {
                feature: drawings[*d].feature.clone(),
                name: name.clone(),
            });
        }
        groups.push(Group {
            // Whoever has no name of the file's takes the line over it.
            hole: hole.filter(|_| name.is_empty()),
            name,
            source,
            members: vec![m],
        });
    }
    join_parts(&mut groups, &areas);
    for g in groups.iter().filter(|g| g.members.len() > 1) {
        notices.push(Notice::Merged {
            name: g.name.clone(),
            features: g
                .members
                .iter()
                .map(|&m| drawings[fairways[m].0].feature.clone())
                .collect(),
        });
    }
    make_unique(&mut groups, fairways, drawings, notices);
    for g in &mut groups {
        let over = |g: &Group| g.members.iter().find_map(|&m| through[m].map(|t| t.hole));
        if g.hole.is_none() {
            g.hole = over(g).filter(|&h| lines[h].name.as_ref().is_none_or(|n| *n == g.name));
        }
        if g.hole.is_none() {
            g.hole = holes::named(&g.name, &g.members, &areas, lines);
        }
        if g.hole.is_none() {
            g.hole = over(g);
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

/// Names for the nameless, unconfirmed, and new names where one is taken; both reported.
fn make_unique(
    groups: &mut [Group],
    fairways: &[(usize, Vec<Polygon<f64>>)],
    drawings: &[Drawing],
    notices: &mut Vec<Notice>,
) {
    let mut taken: BTreeSet<String> = groups.iter().map(|g| g.name.clone()).collect();
    let mut seen: BTreeSet<String> = BTreeSet::new();
    let mut letters = (0..).map(letter);
    for g in groups.iter_mut() {
        let drawing = &drawings[fairways[g.members[0]].0];
        if g.name.is_empty() {
            let name = drawing
                .id
                .clone()
                .filter(|id| !taken.contains(id))
                .or_else(|| {
                    letters
                        .by_ref()
                        .map(|l| format!("unnamed {l}"))
                        .find(|n| !taken.contains(n))
                })
                .unwrap_or_default();
            notices.push(Notice::Unnamed {
                feature: drawing.feature.clone(),
                name: name.clone(),
            });
            g.name = name;
        } else if seen.contains(&g.name) {
            let mut n = 2;
            while taken.contains(&format!("{} ({n})", g.name)) {
                n += 1;
            }
            let name = format!("{} ({n})", g.name);
            notices.push(Notice::Renamed {
                feature: drawing.feature.clone(),
                from: g.name.clone(),
                to: name.clone(),
            });
            g.name = name;
            g.source = NameSource::Unconfirmed;
        }
        taken.insert(g.name.clone());
        seen.insert(g.name.clone());
    }
}
