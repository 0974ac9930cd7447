//! The ground by direction of lanes.

use crate::ground::centre_line::centre_line;
use crate::ground::extent::Extent;
use crate::model::pattern::{Guide, LoopTrain};
use crate::model::pose::{Pose, fold_rad};
use crate::patterns::input::Site;
use crate::patterns::stripes::parts;
use crate::polygon::overlay::Overlay;
use geo::{Area, BoundingRect, Simplify};
use geo_types::{Coord, LineString, MultiPolygon, Polygon};

/// Ground that shares one direction of lanes.
#[derive(Debug, Clone)]
pub struct LaneGround {
    /// The part of the fairway it lies on.
    pub part: usize,
    /// The ground.
    pub area: MultiPolygon<f64>,
    /// Direction of the lanes, radians counter-clockwise from east.
    pub heading_rad: f64,
}

impl LaneGround {
    /// Its extent along the lanes and across them.
    pub fn extent(&self) -> Extent {
        Extent::of(&self.area, self.heading_rad)
    }
}

/// Lanes that follow the centre line run straight for at least this many loop diameters: each
/// bend costs the lanes on both sides of it about one diameter of lead.
const STRAIGHT_DIAMETERS: f64 = 5.0;
/// Bends of the centre line below this are not worth a new direction, radians (10 degrees).
const BEND_RAD: f64 = 0.175;

/// The ground by direction of lanes. Lanes along the centre line run straight from bend to
/// bend: on straight lanes the lattice is proven, on curved ones the outer side of the bend
/// would open. The ground is parted along the line that halves each bend.
pub fn blocks(site: &Site<'_>, train: &LoopTrain, heading_rad: f64) -> Vec<LaneGround> {
    let mut out = Vec::new();
    let line = match train.guide {
        Guide::Straight => None,
        Guide::CentreLine | Guide::LeftSide | Guide::RightSide => centre_line(site.fairway),
    };
    let bends = line.map_or(Vec::new(), |l| {
        straightened(&l, STRAIGHT_DIAMETERS * train.diameter_min_m, site)
    });
    for (part, area) in parts(site).into_iter().map(|p| (p.part, p.wanted)) {
        if bends.len() < 2 {
            out.push(LaneGround {
                part,
                area,
                heading_rad,
            });
            continue;
        }
        let room = area
            .bounding_rect()
            .map_or(0.0, |b| b.width().hypot(b.height()))
            + 10.0;
        let direction = |w: &[Coord<f64>]| (w[1].y - w[0].y).atan2(w[1].x - w[0].x);
        let mut left = area;
        for (i, w) in bends.windows(2).enumerate() {
            let heading_rad = direction(w);
            let here = match bends.get(i + 2) {
                Some(next) => {
                    // All ground on this side of the line that halves the bend.
                    let turn = fold_rad(direction(&[w[1], *next]) - heading_rad);
                    let cut = Pose::new(w[1], heading_rad + turn / 2.0);
                    let behind = MultiPolygon(vec![Polygon::new(
                        vec![
                            cut.offset(0.0, -2.0 * room),
                            cut.offset(0.0, 2.0 * room),
                            cut.offset(-3.0 * room, 2.0 * room),
                            cut.offset(-3.0 * room, -2.0 * room),
                        ]
                        .into(),
                        Vec::new(),
                    )]);
                    let here = left.intersection(&behind);
                    left = left.difference(&behind);
                    here
                }
                None => std::mem::replace(&mut left, MultiPolygon(Vec::new())),
            };
            if here.unsigned_area() > 0.0 {
                out.push(LaneGround {
                    part,
                    area: here,
                    heading_rad,
                });
            }
        }
    }
    out
}

/// The corners of a line made of few long straight pieces.
fn straightened(line: &LineString<f64>, shortest_m: f64, site: &Site<'_>) -> Vec<Coord<f64>> {
    let mut corners: Vec<Coord<f64>> = Vec::new();
    // Coarser and coarser, until every piece is long enough.
    let mut fit = site.mower.cutting_width_m();
    for _ in 0..6 {
        corners = line.simplify(fit).0;
        let short = corners
            .windows(2)
            .any(|w| (w[1].x - w[0].x).hypot(w[1].y - w[0].y) < shortest_m);
        if !short {
            break;
        }
        fit *= 1.5;
    }
    let heading = |a: Coord<f64>, b: Coord<f64>| (b.y - a.y).atan2(b.x - a.x);
    let mut i = 1;
    while i + 1 < corners.len() {
        let turn =
            fold_rad(heading(corners[i], corners[i + 1]) - heading(corners[i - 1], corners[i]));
        if turn.abs() < BEND_RAD {
            corners.remove(i);
        } else {
            i += 1;
        }
    }
    corners
}
