//! Drawings to fairways in the plane: in range, named, checked, every feature accounted for.

use super::account::Account;
use super::crew::CrewWords;
use super::drawings::{Drawing, DrawnShape};
use super::error::CourseError;
use super::holes::{self, HoleLine};
use super::notice::Notice;
use super::plotted::Plotted;
use super::position::Positions;
use super::problem::{Problem, ProblemKind};
use super::reading::Reading;
use super::role::Role;
use super::strokes;
use super::touches::touches;
use super::{
    COURSE_RANGE_M, CourseFile, FEATURE_RANGE_M, MAX_FAIRWAYS, MAX_HOLE_POSITIONS, MAX_HOLES,
    RefusedFairway, names,
};
use crossgrain_core::Plane;
use crossgrain_core::inside::ground;
use crossgrain_core::inside::ground::FairwayBuilder;
use crossgrain_core::inside::model::ground::KEEP_OUT_RANGE_M;
use crossgrain_core::inside::plane::unwrap_deg;
use crossgrain_core::{Course, Fairway, KeepOut, Location, ShapeRole};
use geo::{BoundingRect, Distance, Euclidean};
use geo_types::{Coord, MultiPolygon, Point, Polygon, Rect};

/// What fairways are made of.
struct Shapes<'a> {
    plane: &'a Plane,
    fairways: &'a [(usize, Vec<Polygon<f64>>)],
    keep_outs: &'a [(usize, KeepOut)],
    keep_out_bounds: Vec<Option<Rect<f64>>>,
    no_turn: &'a [Polygon<f64>],
    lines: &'a [HoleLine],
    points: &'a [(usize, Coord<f64>)],
    /// Which fairway each way-in without a name lies nearest to.
    entrances: Vec<Option<usize>>,
}

impl Shapes<'_> {
    /// The polygons of a group, each with its drawing.
    fn outline(&self, group: &names::Group) -> Vec<(usize, Polygon<f64>)> {
        let of_member = |&m: &usize| {
            let (drawing, polygons) = &self.fairways[m];
            polygons.iter().map(|p| (*drawing, p.clone()))
        };
        group.members.iter().flat_map(of_member).collect()
    }

    /// The keep-outs whose bounds are in range of polygons, so that a large file is not copied for
    /// every fairway.
    fn near(&self, polygons: &[Polygon<f64>]) -> Vec<usize> {
        let here =
            geo_types::GeometryCollection::from_iter(polygons.iter().cloned()).bounding_rect();
        (0..self.keep_outs.len())
            .filter(|&k| match (here, self.keep_out_bounds[k]) {
                (Some(a), Some(b)) => holes::gap_m(&a, &b) <= KEEP_OUT_RANGE_M,
                _ => true,
            })
            .collect()
    }
}

/// What was made of them.
#[derive(Default)]
struct Made {
    fairways: Vec<Fairway>,
    /// The features that each fairway comes from.
    sources: Vec<Vec<usize>>,
    unconfirmed: Vec<String>,
    refused: Vec<RefusedFairway>,
    holes_used: Vec<bool>,
    ways_used: Vec<bool>,
}

impl Reading<'_> {
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
            let count = d.shape.positions().count();
            let (what, limit) = match (d.role, &d.shape) {
                (Role::Hole, _) => ("positions in one hole line", MAX_HOLE_POSITIONS),
                (Role::Fairway, _) => ("positions in one fairway", ground::MAX_VERTICES),
                (_, DrawnShape::Line(_)) => ("positions in one line", strokes::MAX_LINE_POSITIONS),
                _ => continue,
            };
            if count > limit {
                self.problems.push(Problem {
                    feature: Some(d.feature.clone()),
                    location: None,
                    lonlat_deg: d.shape.positions().next(),
                    kind: ProblemKind::TooMany { what, count, limit },
                });
            }
        }
        self.stop_on_problems()
    }

    /// The plane about the fairways; those far from the middle one are problems.
    fn plane(&mut self) -> Result<Plane, CourseError> {
        let first = |d: &Drawing| d.shape.positions().next();
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
                    roles: counted(&self.drawings),
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
        let middle = Plane::new([lon, lat]).ok_or_else(bad_middle)?;
        let mut near = Vec::new();
        let mut far = Vec::new();
        for d in self.drawings.iter().filter(|d| d.role == Role::Fairway) {
            let mut farthest: Option<(f64, [f64; 2])> = None;
            for p in d.shape.positions() {
                let m = middle.to_metres(p);
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
                    location: None,
                    lonlat_deg: Some(p),
                    kind: ProblemKind::FarAway { away_m },
                });
            }
        }
        let fairways = spots.len();
        match far.first() {
            // The same is wrong with most of them: another coordinate system, told once.
            Some(_) if far.len() > 1 && 2 * far.len() >= fairways => {
                let away = |p: &Problem| match p.kind {
                    ProblemKind::FarAway { away_m } => away_m,
                    _ => 0.0,
                };
                self.problems.push(Problem {
                    feature: None,
                    location: None,
                    lonlat_deg: None,
                    kind: ProblemKind::AllFarAway {
                        count: far.len(),
                        away_m: far.iter().map(away).fold(0.0, f64::max),
                    },
                });
            }
            _ => self.problems.extend(far),
        }
        self.stop_on_problems()?;
        Plane::about(near)
            .ok_or_else(|| CourseError::one(self.file, ProblemKind::NoFairway { roles: vec![] }))
    }

    pub fn assemble(
        mut self,
        name: String,
        positions: Positions,
    ) -> Result<CourseFile, CourseError> {
        self.limits()?;
        let plane = self.plane()?;
        let plotted = self.plotted(&plane);
        let Plotted {
            fairways,
            kept_off,
            no_turn,
            holes: hole_drawings,
            ways_in: points,
            fixtures,
            ..
        } = plotted;
        let keep_outs = self.keep_outs(&kept_off, &plane);
        let no_turn: Vec<Polygon<f64>> = no_turn.into_iter().map(|n| n.1).collect();
        let (hole_of, mut lines): (Vec<usize>, Vec<HoleLine>) = hole_drawings.into_iter().unzip();
        holes::turn_round(&mut lines, &keep_outs, &mut self.notices);

        let groups = names::groups(
            &fairways,
            &self.drawings,
            &lines,
            &keep_outs,
            &mut self.notices,
        )
        .map_err(|kind| CourseError::one(self.file, kind))?;
        let shapes = Shapes {
            plane: &plane,
            fairways: &fairways,
            keep_outs: &keep_outs,
            keep_out_bounds: keep_outs.iter().map(|k| k.1.area.bounding_rect()).collect(),
            no_turn: &no_turn,
            lines: &lines,
            points: &points,
            entrances: self.entrances(&points, &fairways),
        };
        let mut made = Made {
            holes_used: vec![false; lines.len()],
            ways_used: vec![false; points.len()],
            ..Made::default()
        };
        for group in &groups {
            self.make(group, &shapes, &mut made);
        }
        if made.fairways.is_empty() {
            // Nothing is left to plan.
            self.problems
                .extend(made.refused.iter().flat_map(|r| r.problems.iter().cloned()));
        }
        self.stop_on_problems()?;
        self.shared_ground(&made.fairways);
        self.sizes(&made.fairways);
        if positions == Positions::AsUsual {
            self.order_of_positions(&plane);
        }
        self.unused(&hole_of, &made.holes_used, "no fairway lies along it");
        let at: Vec<usize> = points.iter().map(|p| p.0).collect();
        self.unused(&at, &made.ways_used, "it is the way in to no fairway");
        let accounts = self.accounts(&made.fairways, &plane);
        Ok(CourseFile {
            course: Course {
                name,
                origin_lon_deg: plane.origin().lon_deg,
                origin_lat_deg: plane.origin().lat_deg,
                fairways: made.fairways,
                features: keep_outs.into_iter().map(|k| k.1).collect(),
            },
            plane,
            notices: self.notices,
            sources: made.sources,
            refused: made.refused,
            unconfirmed: made.unconfirmed,
            accounts,
            fixtures,
            crew: CrewWords::default(),
        })
    }

    /// Which fairway each way-in without a name lies nearest to.
    fn entrances(
        &self,
        points: &[(usize, Coord<f64>)],
        fairways: &[(usize, Vec<Polygon<f64>>)],
    ) -> Vec<Option<usize>> {
        let nearest = |&(d, c): &(usize, Coord<f64>)| match self.drawings[d].name {
            Some(_) => None,
            None => nearest_fairway(c, fairways),
        };
        points.iter().map(nearest).collect()
    }

    /// Leaves drawings aside that nothing came of.
    fn unused(&mut self, drawings: &[usize], used: &[bool], why: &'static str) {
        for (&drawing, _) in drawings.iter().zip(used).filter(|d| !d.1) {
            let at = self.drawings[drawing].feature.index;
            self.ledger.not_used_after_all(at, why);
        }
    }

    /// What became of every feature.
    fn accounts(&mut self, fairways: &[Fairway], plane: &Plane) -> Vec<Account> {
        let outlines: Vec<(&str, &MultiPolygon<f64>)> =
            fairways.iter().map(|f| (f.name(), f.outline())).collect();
        for (i, why) in self.ledger.partly() {
            self.notices.push(Notice::PartNotUsed {
                feature: self.features[i].source.clone(),
                why,
            });
        }
        let touched: Vec<(usize, String)> = self
            .ledger
            .hazards()
            .filter_map(|i| Some((i, touches(&self.features[i], &outlines, plane)?)))
            .collect();
        let touch_of = |i: usize| {
            touched
                .binary_search_by_key(&i, |t| t.0)
                .ok()
                .map(|at| touched[at].1.clone())
        };
        std::mem::take(&mut self.ledger).close(self.features, &touch_of)
    }

    /// Makes the fairway of a group, or keeps why it is refused.
    fn make(&mut self, group: &names::Group, s: &Shapes<'_>, made: &mut Made) {
        let outline = s.outline(group);
        let polygons: Vec<Polygon<f64>> = outline.iter().map(|o| o.1.clone()).collect();
        let mut hole_line = group.hole.map(|h| s.lines[h].line.clone());
        if let Some(h) = group.hole {
            made.holes_used[h] = true;
        }
        if hole_line.is_none() {
            hole_line = holes::guess(&polygons, s.keep_outs);
            if hole_line.is_some() {
                self.notices.push(Notice::HoleLineGuessed {
                    fairway: group.name.clone(),
                });
            }
        }
        let near = s.near(&polygons);
        let way_in = self.way_in(s.points, &s.entrances, group);
        if let Some(w) = way_in {
            made.ways_used[w] = true;
        }
        let parts = FairwayBuilder {
            name: group.name.clone(),
            way_in: way_in.map(|w| s.points[w].1),
            keep_outs: near.iter().map(|&k| s.keep_outs[k].1.clone()).collect(),
            outline: polygons,
            no_turn: s.no_turn.to_vec(),
            hole_line,
        };
        let locate = |location: &Location| match location.shape {
            ShapeRole::Outline => outline.get(location.item).map(|o| o.0),
            ShapeRole::KeepOut => near.get(location.item).map(|&k| s.keep_outs[k].0),
            _ => None,
        };
        match parts.build_and_tell() {
            Ok((fairway, repairs)) => {
                for repair in repairs {
                    self.repair(&repair, Some(&group.name), s.plane, &locate);
                }
                made.sources.push(
                    group
                        .members
                        .iter()
                        .map(|&m| self.drawings[s.fairways[m].0].feature.index)
                        .collect(),
                );
                if group.source == names::NameSource::Unconfirmed {
                    made.unconfirmed.push(fairway.name().to_string());
                }
                made.fairways.push(fairway);
            }
            Err(faults) => {
                let near: Vec<usize> = near.iter().map(|&k| s.keep_outs[k].0).collect();
                let problems = faults
                    .0
                    .into_iter()
                    .map(|f| self.fault(f, &group.name, &outline, &near, s.plane))
                    .collect();
                for &m in &group.members {
                    let at = self.drawings[s.fairways[m].0].feature.index;
                    self.ledger
                        .not_used_after_all(at, "its ground is at fault, so it is left out");
                }
                made.refused.push(RefusedFairway {
                    name: group.name.clone(),
                    problems,
                });
            }
        }
    }

    /// The way in that names the fairway, else the first that lies nearest to it of all.
    fn way_in(
        &self,
        points: &[(usize, Coord<f64>)],
        entrances: &[Option<usize>],
        group: &names::Group,
    ) -> Option<usize> {
        let named = points
            .iter()
            .position(|(d, _)| self.drawings[*d].name.as_deref() == Some(group.name.as_str()));
        let nearest = || {
            entrances
                .iter()
                .position(|e| e.is_some_and(|m| group.members.contains(&m)))
        };
        named.or_else(nearest)
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

/// How many of each role there are, for the message that there is no fairway.
fn counted(drawings: &[Drawing]) -> Vec<(String, usize)> {
    let mut out: Vec<(String, usize)> = Vec::new();
    for d in drawings {
        let w = d.role.word();
        match out.iter_mut().find(|o| o.0 == w) {
            Some(o) => o.1 += 1,
            None => out.push((w.to_string(), 1)),
        }
    }
    out
}
