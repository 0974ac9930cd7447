//! The course file: GeoJSON (RFC 7946) to fairways in a local plane.
//!
//! Polygons carry a `role` of `fairway`, `keep-out`, `no-turn`, `green` or `tee`, lines
//! `hole` (drawn from tee to green), points `way-in`; OpenStreetMap's `golf=*` and `natural=*`
//! tags are understood as they stand. Greens and tees are keep-outs too. `ref` (else `name`)
//! names a fairway; polygons of one name near each other are one fairway of several parts; a
//! nameless fairway takes the name of the hole line that passes through it, else a number.
//! A file of bare polygons is taken as fairways.
//!
//! Limits: [`crate::input::MAX_BYTES`], [`crate::input::MAX_NESTING`], [`MAX_FEATURES`],
//! [`MAX_POSITIONS`], and those of [`crossgrain_core::ground`] for one fairway.

mod features;
mod holes;
mod names;
mod problem;
mod roles;

pub use problem::{CourseError, FeatureRef, Notice, Problem, ProblemKind};

use crate::input::{self, InputError};
use crate::plane::{Plane, unwrap_deg};
use crossgrain_core::ground::{self, FairwayParts, Fault, Place, Repair, Shape};
use crossgrain_core::model::ground::{Course, Fairway, KEEP_OUT_RANGE_M, KeepOut};
use features::{Drawing, Geometry};
use geo::{BoundingRect, CoordsIter, Distance, Euclidean};
use geo_types::{Coord, LineString, Point, Polygon, Rect};
use roles::Role;
use std::path::Path;

/// Most features in a file. A mapped course has a few hundred.
pub const MAX_FEATURES: usize = 20_000;
/// Most positions in a file. A mapped course has some ten thousand.
pub const MAX_POSITIONS: usize = 500_000;
/// Most features that are fairways. A course of 36 holes has under a hundred pieces.
pub const MAX_FAIRWAYS: usize = 500;
/// Most hole lines, and most way-in points.
pub const MAX_HOLES: usize = 200;
/// Most positions of one hole line; a real one has two to five.
pub const MAX_HOLE_POSITIONS: usize = 100;
/// Fairways farther than this from the middle one are no part of the same course, metres.
pub const COURSE_RANGE_M: f64 = 10_000.0;
/// Other features farther than this from every fairway are left aside, metres.
pub const FEATURE_RANGE_M: f64 = 1_000.0;
/// Fairways compared for shared ground have together at most this many vertices; beyond that
/// the file is stranger than the notice is worth.
const SHARED_VERTICES: usize = 400_000;
/// Two fairways that share more ground than this are reported, square metres.
const SHARED_M2: f64 = 1.0;

/// A course read from a file, with everything the user should know about the reading.
#[derive(Debug, Clone)]
pub struct CourseFile {
    /// The course.
    pub course: Course,
    /// The plane its metres are measured in.
    pub plane: Plane,
    /// What was repaired, guessed or left aside.
    pub notices: Vec<Notice>,
    /// For each fairway, the features of the file it was made from, 0 first.
    pub sources: Vec<Vec<usize>>,
}

/// Reads a course file.
///
/// # Errors
/// [`CourseError`] with file, feature, coordinate and what to do.
pub fn open(path: &Path) -> Result<CourseFile, CourseError> {
    let text = input::read_text(path).map_err(CourseError::Input)?;
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    read(&text, &input::shown(path), &stem)
}

/// Reads a course from text; `file` is the name that errors show, `name` the course's name
/// unless the file has one.
///
/// # Errors
/// [`CourseError`] with all problems found.
///
/// ```
/// let text = r#"{"type": "Polygon", "coordinates":
///   [[[5.0, 45.0], [5.002, 45.0], [5.002, 45.0004], [5.0, 45.0004], [5.0, 45.0]]]}"#;
/// let read = crossgrain_formats::course::read(text, "strip.geojson", "strip").unwrap();
/// assert_eq!(read.course.fairways[0].name, "1");
/// ```
pub fn read(text: &str, file: &str, name: &str) -> Result<CourseFile, CourseError> {
    let value = match input::json(text, file) {
        Ok(v) => v,
        Err(InputError::NotJson {
            hint: None,
            file,
            line,
            column,
            reason,
        }) => {
            return Err(CourseError::Input(InputError::NotJson {
                hint: Some("correct that place, or export the course as GeoJSON again"),
                file,
                line,
                column,
                reason,
            }));
        }
        Err(e) => return Err(CourseError::Input(e)),
    };
    let found = features::features(&value).map_err(|kind| CourseError::one(file, kind))?;
    let mut reading = Reading {
        file,
        notices: found.notices,
        problems: found.problems,
        drawings: found.drawings,
    };
    reading.stop_on_problems()?;
    let title = found.name.unwrap_or_else(|| name.to_string());
    reading.assemble(names::clean(&title).0)
}

/// A polygon in the plane with what the file says of it.
#[derive(Debug, Clone)]
struct Area2 {
    feature: usize,
    area: Polygon<f64>,
}

struct Reading<'a> {
    file: &'a str,
    notices: Vec<Notice>,
    problems: Vec<Problem>,
    drawings: Vec<Drawing>,
}

impl Reading<'_> {
    fn stop_on_problems(&mut self) -> Result<(), CourseError> {
        if self.problems.is_empty() {
            return Ok(());
        }
        Err(CourseError::Problems {
            file: self.file.to_string(),
            problems: std::mem::take(&mut self.problems),
        })
    }

    /// Roles for a file that has none: every polygon is a fairway.
    fn default_roles(&mut self) {
        let is_polygon = |d: &Drawing| matches!(d.geometry, Geometry::Polygons(_));
        if self.drawings.iter().any(|d| d.role != Role::Unsaid) {
            let unsaid = self
                .drawings
                .iter()
                .filter(|d| d.role == Role::Unsaid)
                .count();
            if unsaid > 0 {
                self.notices.push(Notice::NoRole { count: unsaid });
            }
            return;
        }
        let mut count = 0;
        for d in self.drawings.iter_mut().filter(|d| is_polygon(d)) {
            d.role = Role::Fairway;
            count += 1;
        }
        if count > 0 {
            self.notices.push(Notice::TakenAsFairways { count });
        }
    }

    /// Counts that a course never reaches, checked before anything grows with them.
    fn limits(&mut self) -> Result<(), CourseError> {
        let count = |role: Role| self.drawings.iter().filter(|d| d.role == role).count();
        for (what, count, limit) in [
            ("fairways", count(Role::Fairway), MAX_FAIRWAYS),
            ("hole lines", count(Role::Hole), MAX_HOLES),
            ("way-in points", count(Role::WayIn), MAX_HOLES),
        ] {
            if count > limit {
                let kind = ProblemKind::TooMany { what, count, limit };
                return Err(CourseError::one(self.file, kind));
            }
        }
        for d in &self.drawings {
            let count = d.geometry.positions().count();
            let (what, limit) = match d.role {
                Role::Hole => ("positions in one hole line", MAX_HOLE_POSITIONS),
                Role::Fairway => ("positions in one fairway", ground::MAX_VERTICES),
                _ => continue,
            };
            if count > limit {
                self.problems.push(Problem {
                    feature: Some(d.feature.clone()),
                    place: None,
                    lonlat_deg: d.geometry.positions().next(),
                    kind: ProblemKind::TooMany { what, count, limit },
                });
            }
        }
        self.stop_on_problems()
    }

    /// The plane about the fairways; those far from the middle one are problems.
    fn plane(&mut self) -> Result<Plane, CourseError> {
        let first = |d: &Drawing| d.geometry.positions().next();
        let mut spots: Vec<(usize, [f64; 2])> = self
            .drawings
            .iter()
            .enumerate()
            .filter(|(_, d)| d.role == Role::Fairway)
            .filter_map(|(i, d)| Some((i, first(d)?)))
            .collect();
        let Some(&(_, start)) = spots.first() else {
            return Err(CourseError::one(
                self.file,
                ProblemKind::NoFairway {
                    roles: roles::counted(&self.drawings),
                },
            ));
        };
        // The middle fairway, so that one slip of the pen does not move the course.
        spots.sort_by(|a, b| {
            unwrap_deg(a.1[0] - start[0]).total_cmp(&unwrap_deg(b.1[0] - start[0]))
        });
        let lon = spots[spots.len() / 2].1[0];
        spots.sort_by(|a, b| a.1[1].total_cmp(&b.1[1]));
        let lat = spots[spots.len() / 2].1[1];
        let bad_middle = || CourseError::one(self.file, ProblemKind::NoFairway { roles: vec![] });
        let middle = Plane::new(lon, lat).ok_or_else(bad_middle)?;
        let mut near = Vec::new();
        let mut far = Vec::new();
        for d in self.drawings.iter().filter(|d| d.role == Role::Fairway) {
            let mut farthest: Option<(f64, [f64; 2])> = None;
            for p in d.geometry.positions() {
                let m = middle.to_metres(p[0], p[1]);
                let away_m = m.x.hypot(m.y);
                if away_m > COURSE_RANGE_M && farthest.is_none_or(|f| away_m > f.0) {
                    farthest = Some((away_m, p));
                } else {
                    near.push(p);
                }
            }
            if let Some((away_m, p)) = farthest {
                far.push(Problem {
                    feature: Some(d.feature.clone()),
                    place: None,
                    lonlat_deg: Some(p),
                    kind: ProblemKind::FarAway { away_m },
                });
            }
        }
        self.problems.extend(far);
        self.stop_on_problems()?;
        Plane::about(near)
            .ok_or_else(|| CourseError::one(self.file, ProblemKind::NoFairway { roles: vec![] }))
    }

    fn assemble(mut self, name: String) -> Result<CourseFile, CourseError> {
        self.default_roles();
        self.limits()?;
        let plane = self.plane()?;
        let to_metres = |p: &[f64; 2]| plane.to_metres(p[0], p[1]);

        let mut fairways: Vec<(usize, Vec<Polygon<f64>>)> = Vec::new();
        let mut others: Vec<(Role, Area2)> = Vec::new();
        let mut lines: Vec<holes::HoleLine> = Vec::new();
        let mut points: Vec<(usize, Coord<f64>)> = Vec::new();
        for (i, d) in self.drawings.iter().enumerate() {
            match (&d.geometry, d.role) {
                (Geometry::Polygons(list), role) => {
                    let polygons: Vec<Polygon<f64>> = list
                        .iter()
                        .map(|rings| {
                            let mut rings = rings
                                .iter()
                                .map(|r| r.iter().map(to_metres).collect::<LineString<f64>>());
                            let outer = rings.next().unwrap_or_else(|| LineString(vec![]));
                            Polygon::new(outer, rings.collect())
                        })
                        .collect();
                    match role {
                        Role::Fairway => fairways.push((i, polygons)),
                        Role::KeepOut(_) | Role::NoTurn => {
                            others.extend(
                                polygons
                                    .into_iter()
                                    .map(|area| (role, Area2 { feature: i, area })),
                            );
                        }
                        _ => {}
                    }
                }
                (Geometry::Line(line), Role::Hole) => lines.push(holes::HoleLine {
                    name: d.name.clone(),
                    line: line.iter().map(to_metres).collect(),
                }),
                (Geometry::Point(p), Role::WayIn) => points.push((i, to_metres(p))),
                _ => {}
            }
        }

        let bounds = geo_types::GeometryCollection::from_iter(
            fairways.iter().flat_map(|f| f.1.iter().cloned()),
        )
        .bounding_rect();
        others.retain(|(_, a)| match (bounds, a.area.bounding_rect()) {
            (Some(b), Some(r)) => {
                r.min().x - FEATURE_RANGE_M <= b.max().x
                    && b.min().x - FEATURE_RANGE_M <= r.max().x
                    && r.min().y - FEATURE_RANGE_M <= b.max().y
                    && b.min().y - FEATURE_RANGE_M <= r.max().y
            }
            _ => true,
        });

        let keep_outs = self.keep_outs(&others, &plane);
        let no_turn: Vec<Polygon<f64>> = others
            .iter()
            .filter(|o| o.0 == Role::NoTurn)
            .map(|o| o.1.area.clone())
            .collect();
        holes::turn_round(&mut lines, &keep_outs, &mut self.notices);

        let groups = names::groups(&fairways, &self.drawings, &lines, &mut self.notices)
            .map_err(|kind| CourseError::one(self.file, kind))?;
        // Which fairway each way-in without a name lies nearest to.
        let entrances: Vec<Option<usize>> = points
            .iter()
            .map(|&(d, c)| match self.drawings[d].name {
                Some(_) => None,
                None => nearest_fairway(c, &fairways),
            })
            .collect();
        let keep_out_bounds: Vec<Option<Rect<f64>>> =
            keep_outs.iter().map(|k| k.1.area.bounding_rect()).collect();
        let mut out = Vec::new();
        let mut sources = Vec::new();
        for group in &groups {
            let outline: Vec<(usize, Polygon<f64>)> = group
                .members
                .iter()
                .flat_map(|&m| {
                    let (drawing, polygons) = &fairways[m];
                    polygons.iter().map(|p| (*drawing, p.clone()))
                })
                .collect();
            let polygons: Vec<Polygon<f64>> = outline.iter().map(|o| o.1.clone()).collect();
            let mut hole_line = group.hole.map(|h| lines[h].line.clone());
            if hole_line.is_none() {
                hole_line = holes::guess(&polygons, &keep_outs);
                if hole_line.is_some() {
                    self.notices.push(Notice::HoleLineGuessed {
                        fairway: group.name.clone(),
                    });
                }
            }
            // Only keep-outs whose bounds are in range, so that a large file is not copied for
            // every fairway.
            let here =
                geo_types::GeometryCollection::from_iter(polygons.iter().cloned()).bounding_rect();
            let near: Vec<usize> = (0..keep_outs.len())
                .filter(|&k| match (here, keep_out_bounds[k]) {
                    (Some(a), Some(b)) => holes::gap_m(&a, &b) <= KEEP_OUT_RANGE_M,
                    _ => true,
                })
                .collect();
            let parts = FairwayParts {
                name: group.name.clone(),
                way_in: self.way_in(&points, &entrances, group),
                keep_outs: near.iter().map(|&k| keep_outs[k].1.clone()).collect(),
                outline: polygons,
                no_turn: no_turn.clone(),
                hole_line,
            };
            let locate = |place: &Place| match place.shape {
                Shape::Outline => outline.get(place.item).map(|o| o.0),
                Shape::KeepOut => near.get(place.item).map(|&k| keep_outs[k].0),
                _ => None,
            };
            match ground::fairway(parts) {
                Ok((fairway, repairs)) => {
                    for repair in repairs {
                        self.repair(&repair, Some(&group.name), &plane, &locate);
                    }
                    sources.push(
                        group
                            .members
                            .iter()
                            .map(|&m| self.drawings[fairways[m].0].feature.index)
                            .collect(),
                    );
                    out.push(fairway);
                }
                Err(faults) => {
                    let near: Vec<usize> = near.iter().map(|&k| keep_outs[k].0).collect();
                    for fault in faults {
                        self.fault(fault, &group.name, &outline, &near, &plane);
                    }
                }
            }
        }
        self.stop_on_problems()?;
        self.shared_ground(&out);
        Ok(CourseFile {
            course: Course {
                name,
                origin_lon_deg: plane.origin_lon_deg(),
                origin_lat_deg: plane.origin_lat_deg(),
                fairways: out,
                features: keep_outs.into_iter().map(|k| k.1).collect(),
            },
            plane,
            notices: self.notices,
            sources,
        })
    }

    /// Keep-outs checked once, each with its drawing.
    fn keep_outs(&mut self, others: &[(Role, Area2)], plane: &Plane) -> Vec<(usize, KeepOut)> {
        let mut out = Vec::new();
        for (role, a) in others {
            let Role::KeepOut(kind) = *role else { continue };
            match ground::keep_out(&a.area) {
                Ok((pieces, repairs)) => {
                    for r in repairs {
                        self.repair(&r, None, plane, &|_| Some(a.feature));
                    }
                    let name = self.drawings[a.feature].name.clone();
                    out.extend(pieces.into_iter().map(|area| {
                        let name = name.clone();
                        (a.feature, KeepOut { kind, name, area })
                    }));
                }
                Err(faults) => {
                    for fault in faults {
                        let problem = Problem {
                            feature: Some(self.drawings[a.feature].feature.clone()),
                            lonlat_deg: fault
                                .place()
                                .and_then(|p| p.at)
                                .filter(|c| c.x.is_finite() && c.y.is_finite())
                                .map(|c| plane.to_degrees(c)),
                            place: fault.place().copied(),
                            kind: ProblemKind::Fault {
                                fairway: None,
                                fault: Box::new(fault),
                                others: vec![],
                            },
                        };
                        self.problems.push(problem);
                    }
                }
            }
        }
        out
    }

    /// The way in that names the fairway, else the first that lies nearest to it of all.
    fn way_in(
        &self,
        points: &[(usize, Coord<f64>)],
        entrances: &[Option<usize>],
        group: &names::Group,
    ) -> Option<Coord<f64>> {
        let named = points
            .iter()
            .find(|(d, _)| self.drawings[*d].name.as_deref() == Some(group.name.as_str()));
        let nearest = || {
            points
                .iter()
                .zip(entrances)
                .find(|(_, e)| e.is_some_and(|m| group.members.contains(&m)))
                .map(|(p, _)| p)
        };
        named.or_else(nearest).map(|p| p.1)
    }

    fn repair(
        &mut self,
        repair: &Repair,
        fairway: Option<&str>,
        plane: &Plane,
        locate: &dyn Fn(&Place) -> Option<usize>,
    ) {
        let place = repair.place().copied();
        let at = match repair {
            Repair::Sliver { at, .. } => Some(*at),
            _ => place.and_then(|p| p.at),
        };
        let notice = Notice::Repaired {
            feature: place
                .and_then(|p| locate(&p))
                .map(|d| self.drawings[d].feature.clone()),
            fairway: fairway.map(str::to_string),
            lonlat_deg: at.map(|c| plane.to_degrees(c)),
            repair: repair.clone(),
        };
        // A keep-out near two fairways would be told twice.
        if !self.notices.contains(&notice) {
            self.notices.push(notice);
        }
    }

    fn fault(
        &mut self,
        fault: Fault,
        fairway: &str,
        outline: &[(usize, Polygon<f64>)],
        keep_outs: &[usize],
        plane: &Plane,
    ) {
        let place = fault.place().copied();
        let drawing = place
            .and_then(|p| match p.shape {
                Shape::Outline => outline.get(p.item).map(|o| o.0),
                Shape::KeepOut => keep_outs.get(p.item).copied(),
                _ => None,
            })
            .or_else(|| outline.first().map(|o| o.0));
        let others = match &fault {
            Fault::Covered { keep_outs: list } => list
                .iter()
                .filter_map(|&k| keep_outs.get(k))
                .map(|&d| self.drawings[d].feature.clone())
                .collect(),
            _ => vec![],
        };
        let at = place.and_then(|p| p.at).or_else(|| {
            outline
                .first()
                .and_then(|o| o.1.exterior().0.first().copied())
        });
        self.problems.push(Problem {
            feature: drawing.map(|d| self.drawings[d].feature.clone()),
            place,
            lonlat_deg: at
                .filter(|c| c.x.is_finite() && c.y.is_finite())
                .map(|c| plane.to_degrees(c)),
            kind: ProblemKind::Fault {
                fairway: Some(fairway.to_string()),
                fault: Box::new(fault),
                others,
            },
        });
    }

    /// Ground that two fairways both claim would be mown twice.
    fn shared_ground(&mut self, fairways: &[Fairway]) {
        let mut vertices = 0;
        for (i, a) in fairways.iter().enumerate() {
            for b in &fairways[i + 1..] {
                if vertices > SHARED_VERTICES {
                    return;
                }
                let area_m2 = ground::shared_m2(a, b).unwrap_or(0.0);
                if area_m2 > 0.0 {
                    vertices += a.ground.coords_count() + b.ground.coords_count();
                }
                if area_m2 > SHARED_M2 {
                    self.notices.push(Notice::SharedGround {
                        first: a.name.clone(),
                        second: b.name.clone(),
                        area_m2,
                    });
                }
            }
        }
    }
}

/// The fairway nearest to a point, where one is in range.
fn nearest_fairway(at: Coord<f64>, fairways: &[(usize, Vec<Polygon<f64>>)]) -> Option<usize> {
    fairways
        .iter()
        .enumerate()
        .map(|(m, (_, polygons))| {
            let away = polygons
                .iter()
                .map(|p| Euclidean.distance(&Point(at), p))
                .fold(f64::INFINITY, f64::min);
            (m, away)
        })
        .filter(|(_, away)| *away <= FEATURE_RANGE_M)
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(m, _)| m)
}

#[cfg(test)]
#[path = "course/tests.rs"]
mod tests;
