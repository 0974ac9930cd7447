//! Faults and repairs of the ground, told with the feature and the coordinate.

use super::notice::Notice;
use super::problem::{Problem, ProblemKind};
use super::reading::Reading;
use crossgrain_core::Plane;
use crossgrain_core::inside::ground;
use crossgrain_core::{Fairway, Fault, KeepOut, KeepOutKind, Located, Location, Repair, ShapeRole};
use geo::CoordsIter;
use geo_types::Polygon;

/// Fairways compared for shared ground have together at most this many vertices; beyond that
/// the file is stranger than the notice is worth.
const SHARED_VERTICES: usize = 400_000;
/// Two fairways that share more ground than this are reported, square metres.
const SHARED_M2: f64 = 1.0;

/// A polygon in the plane that is to be kept off, with the drawing it comes from.
#[derive(Debug, Clone)]
pub(crate) struct KeptOff {
    pub drawing: usize,
    pub kind: KeepOutKind,
    pub area: Polygon<f64>,
}

impl Reading<'_> {
    /// Keep-outs checked once, each with its drawing.
    pub(crate) fn keep_outs(&mut self, areas: &[KeptOff], plane: &Plane) -> Vec<(usize, KeepOut)> {
        let mut out = Vec::new();
        for a in areas {
            let kind = a.kind;
            match ground::keep_out(&a.area) {
                Ok((pieces, repairs)) => {
                    for r in repairs {
                        self.repair(&r, None, plane, &|_| Some(a.drawing));
                    }
                    let name = self.drawings[a.drawing].name.clone();
                    out.extend(pieces.into_iter().map(|area| {
                        let name = name.clone();
                        (a.drawing, KeepOut { kind, name, area })
                    }));
                }
                Err(faults) => {
                    for fault in faults.0 {
                        let problem = Problem {
                            feature: Some(self.drawings[a.drawing].feature.clone()),
                            lonlat_deg: fault
                                .location
                                .and_then(|p| p.at)
                                .filter(|c| c.x.is_finite() && c.y.is_finite())
                                .map(|c| plane.lon_lat(c).position()),
                            location: fault.location,
                            kind: ProblemKind::Fault {
                                fairway: None,
                                fault: Box::new(fault.found),
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

    pub(crate) fn repair(
        &mut self,
        repair: &Located<Repair>,
        fairway: Option<&str>,
        plane: &Plane,
        locate: &dyn Fn(&Location) -> Option<usize>,
    ) {
        let location = repair.location;
        let at = match &repair.found {
            Repair::Sliver { at, .. } => Some(*at),
            _ => location.and_then(|p| p.at),
        };
        let notice = Notice::Repaired {
            feature: location
                .and_then(|p| locate(&p))
                .map(|d| self.drawings[d].feature.clone()),
            fairway: fairway.map(str::to_string),
            lonlat_deg: at.map(|c| plane.lon_lat(c).position()),
            repair: repair.clone(),
        };
        // A keep-out near two fairways would be told twice.
        if !self.notices.contains(&notice) {
            self.notices.push(notice);
        }
    }

    pub(crate) fn fault(
        &self,
        fault: Located<Fault>,
        fairway: &str,
        outline: &[(usize, Polygon<f64>)],
        keep_outs: &[usize],
        plane: &Plane,
    ) -> Problem {
        let location = fault.location;
        let drawing = location
            .and_then(|p| match p.shape {
                ShapeRole::Outline => outline.get(p.item).map(|o| o.0),
                ShapeRole::KeepOut => keep_outs.get(p.item).copied(),
                _ => None,
            })
            .or_else(|| outline.first().map(|o| o.0));
        let others = match &fault.found {
            Fault::Covered { keep_outs: list } => list
                .iter()
                .filter_map(|&k| keep_outs.get(k))
                .map(|&d| self.drawings[d].feature.clone())
                .collect(),
            _ => vec![],
        };
        let at = location.and_then(|p| p.at).or_else(|| {
            outline
                .first()
                .and_then(|o| o.1.exterior().0.first().copied())
        });
        Problem {
            feature: drawing.map(|d| self.drawings[d].feature.clone()),
            location,
            lonlat_deg: at
                .filter(|c| c.x.is_finite() && c.y.is_finite())
                .map(|c| plane.lon_lat(c).position()),
            kind: ProblemKind::Fault {
                fairway: Some(fairway.to_string()),
                fault: Box::new(fault.found),
                others,
            },
        }
    }

    /// Ground that two fairways both claim would be mown twice.
    pub(crate) fn shared_ground(&mut self, fairways: &[Fairway]) {
        let mut vertices = 0;
        for (i, a) in fairways.iter().enumerate() {
            for b in &fairways[i + 1..] {
                if vertices > SHARED_VERTICES {
                    return;
                }
                let area_m2 = ground::shared_m2(a, b).unwrap_or(0.0);
                if area_m2 > 0.0 {
                    vertices += a.ground().coords_count() + b.ground().coords_count();
                }
                if area_m2 > SHARED_M2 {
                    self.notices.push(Notice::SharedGround {
                        first: a.name().to_string(),
                        second: b.name().to_string(),
                        area_m2,
                    });
                }
            }
        }
    }
}
