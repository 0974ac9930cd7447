//! How the ground lies on the paper: turned, scaled at a standard ratio, cut into parts.
//!
//! The green is at the top, so that the page, the clock face and the view over the wheel agree;
//! the north arrow turns with it. A long fairway is shown in parts side by side when one piece
//! would be too small to read.

use crate::drawing::{PathCommand, Shape, Spot};
use crate::lettering::Rect;
use crate::svg_page::GRID_MM;
use crossgrain_core::{Fairway, Mow, Segment, Track};
use geo::{MinimumRotatedRect, Simplify};
use geo_types::{Coord, MultiPolygon, Polygon};
use std::f64::consts::{FRAC_PI_2, PI};

/// Standard ratios, 1 : this. Round numbers that a scale ruler has or that halve one it has.
pub const RATIOS: [u32; 20] = [
    50, 75, 100, 150, 200, 250, 300, 400, 500, 600, 750, 1000, 1250, 1500, 2000, 2500, 3000, 4000,
    5000, 10_000,
];

/// A pass narrower than this on paper, mm, cannot be told from its neighbour at arm's length:
/// five minutes of arc at 60 cm is 0.9 mm, doubled for a copy of a copy.
const READABLE_PASS_MM: f64 = 1.8;
/// Nobody sees a line that is off by this, mm: a dot of a fine printer, at 1,200 to the inch.
const UNSEEN_MM: f64 = 0.02;
/// Parts overlap by this much ground, metres, so that the match line is never at the very edge.
const PART_OVERLAP_M: f64 = 8.0;
/// Parts stand this far apart, mm.
const PART_GAP_MM: f64 = 7.0;
/// More parts than this on one page are harder to follow than a small scale.
const MAX_PARTS: usize = 3;
/// Room left round the drive for labels, mm.
pub const LABEL_ROOM_MM: f64 = 7.0;

/// A similarity from local metres to page millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    /// The ratio is 1 to this.
    pub ratio: f64,
    /// Counter-clockwise turn of the ground, radians.
    pub turn_rad: f64,
    /// Local point, metres, that lies at `at`.
    pub centre: Coord<f64>,
    /// Page point, mm.
    pub at: Spot,
}

impl View {
    /// The same view shifted by less than the grid of a printed coordinate, so that the ground's
    /// own origin lies on the grid. Views at one ratio then round every point alike, and path data
    /// that count from point to point come out the same wherever on a page the map stands.
    pub fn on_grid(self) -> Self {
        let origin = self.spot(Coord { x: 0.0, y: 0.0 });
        let snap = |v: f64| (v / GRID_MM).round() * GRID_MM - v;
        Self {
            at: (self.at.0 + snap(origin.0), self.at.1 + snap(origin.1)),
            ..self
        }
    }

    /// Millimetres on paper for a metre of ground.
    pub fn mm_per_m(&self) -> f64 {
        1000.0 / self.ratio
    }

    /// Where a point of the ground lies on the page.
    pub fn spot(&self, p: Coord<f64>) -> Spot {
        let r = turned(
            Coord {
                x: p.x - self.centre.x,
                y: p.y - self.centre.y,
            },
            self.turn_rad,
        );
        let k = self.mm_per_m();
        (self.at.0 + k * r.x, self.at.1 - k * r.y)
    }

    /// A mathematical direction of the ground as a page angle (clockwise), radians.
    pub fn angle(&self, math_rad: f64) -> f64 {
        -(math_rad + self.turn_rad)
    }

    /// Adds a driven path to a shape, lifting the pen first when it does not go on from the last.
    pub fn add_path(&self, shape: &mut Shape, path: &Segment, pen_up: bool) {
        match path {
            Segment::Line { from, to } => {
                if pen_up {
                    shape.steps.push(PathCommand::Move(self.spot(*from)));
                }
                shape.steps.push(PathCommand::Line(self.spot(*to)));
            }
            Segment::Arc(a) => {
                if pen_up {
                    shape
                        .steps
                        .push(PathCommand::Move(self.spot(a.point(a.from_rad))));
                }
                shape.steps.push(PathCommand::Arc {
                    centre: self.spot(a.centre),
                    radius: a.radius_m * self.mm_per_m(),
                    from: self.angle(a.from_rad),
                    sweep: -a.sweep_rad,
                });
            }
        }
    }

    /// Polygons as one shape.
    pub fn area(&self, area: &MultiPolygon<f64>) -> Shape {
        let mut s = Shape::new();
        for p in &area.0 {
            self.add_polygon(&mut s, p);
        }
        s
    }

    /// Adds a polygon with its holes, without corners that no printer shows.
    pub fn add_polygon(&self, shape: &mut Shape, polygon: &Polygon<f64>) {
        let polygon = polygon.simplify(UNSEEN_MM / self.mm_per_m());
        for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
            let n = ring.0.len().saturating_sub(1);
            shape.add_points(ring.0[..n].iter().map(|c| self.spot(*c)), true);
        }
    }
}

fn turned(p: Coord<f64>, by_rad: f64) -> Coord<f64> {
    let (s, c) = by_rad.sin_cos();
    Coord {
        x: p.x * c - p.y * s,
        y: p.x * s + p.y * c,
    }
}

/// The direction that points up the page, mathematical radians: from tee to green where the hole
/// line is known, else the long axis, north half up.
pub fn up_rad(fairway: &Fairway) -> f64 {
    if let Some(d) = fairway.hole_direction_rad() {
        return d;
    }
    let Some(rect) = fairway.outline().minimum_rotated_rect() else {
        return FRAC_PI_2;
    };
    let c = &rect.exterior().0;
    let mut best = (0.0, FRAC_PI_2);
    for pair in c.windows(2).take(2) {
        let (dx, dy) = (pair[1].x - pair[0].x, pair[1].y - pair[0].y);
        let len = dx.hypot(dy);
        // A square has no long axis: keep the first that is clearly longer.
        if len > best.0 * 1.001 {
            best = (len, dy.atan2(dx));
        }
    }
    let a = best.1;
    // North half up; due east counts as up too, due west does not.
    if a.sin() < -1e-9 || (a.sin().abs() <= 1e-9 && a.cos() < 0.0) {
        a + PI
    } else {
        a
    }
}

/// One part of the map: what of the ground it shows and where on the page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapPart {
    /// The view.
    pub view: View,
    /// The frame on the page, mm.
    pub frame: Rect,
    /// Page height of the match line with the part before, mm, if any.
    pub match_below: Option<f64>,
    /// Page height of the match line with the part after, mm, if any.
    pub match_above: Option<f64>,
}

/// Points of the ground in the turned frame: what a map must show.
#[derive(Debug, Clone)]
pub struct Extent {
    turn_rad: f64,
    points: Vec<Coord<f64>>,
    pass_m: f64,
}

impl Extent {
    /// The outline and the drive of one mow; `pass_m` is the spacing to be told apart on paper.
    pub fn of(fairway: &Fairway, mow: &Mow, pass_m: f64) -> Self {
        let mut points = Vec::new();
        add_rings(&mut points, fairway.outline());
        add_drive(&mut points, mow.tracks().as_slice());
        points.extend(fairway.way_in());
        Self::turned(fairway, points, pass_m)
    }

    /// One part of a fairway and a stretch of the drive.
    pub fn of_part(fairway: &Fairway, part: usize, tracks: &[Track], pass_m: f64) -> Self {
        let mut points = Vec::new();
        let ground = fairway.ground().0.get(part).cloned();
        add_rings(&mut points, &MultiPolygon(ground.into_iter().collect()));
        add_drive(&mut points, tracks);
        Self::turned(fairway, points, pass_m)
    }

    fn turned(fairway: &Fairway, mut points: Vec<Coord<f64>>, pass_m: f64) -> Self {
        let turn_rad = FRAC_PI_2 - up_rad(fairway);
        for p in &mut points {
            *p = turned(*p, turn_rad);
        }
        points.retain(|p| p.x.is_finite() && p.y.is_finite());
        Self {
            turn_rad,
            points,
            pass_m,
        }
    }

    /// Whether a place lies on the ground that the map shows, by its box.
    pub fn holds(&self, place: Coord<f64>) -> bool {
        let p = turned(place, self.turn_rad);
        let across = self.span(f64::NEG_INFINITY, f64::INFINITY);
        let within = |v: f64, r: Option<(f64, f64)>| r.is_some_and(|r| r.0 <= v && v <= r.1);
        within(p.x, across) && within(p.y, self.height())
    }

    fn span(&self, low: f64, high: f64) -> Option<(f64, f64)> {
        let mut x = (f64::INFINITY, f64::NEG_INFINITY);
        for p in self.points.iter().filter(|p| p.y >= low && p.y <= high) {
            x = (x.0.min(p.x), x.1.max(p.x));
        }
        (x.0 <= x.1).then_some(x)
    }

    fn height(&self) -> Option<(f64, f64)> {
        let mut y = (f64::INFINITY, f64::NEG_INFINITY);
        for p in &self.points {
            y = (y.0.min(p.y), y.1.max(p.y));
        }
        (y.0 <= y.1).then_some(y)
    }

    /// Lays the ground into a rectangle at the largest standard ratio, in parts if that makes it
    /// readable. `None` only for an empty ground or no room at all.
    pub fn lay(&self, room: Rect) -> Option<Vec<MapPart>> {
        let mut best: Option<(u32, Vec<MapPart>)> = None;
        for parts in 1..=MAX_PARTS {
            let Some((ratio, laid)) = self.lay_in(room, parts) else {
                continue;
            };
            let better = match &best {
                None => true,
                // A further part must earn its match line: at least a third larger.
                Some((r, _)) => {
                    self.pass_m * 1000.0 / f64::from(*r) < READABLE_PASS_MM
                        && f64::from(*r) >= 1.33 * f64::from(ratio)
                }
            };
            if better {
                best = Some((ratio, laid));
            }
        }
        best.map(|b| b.1)
    }

    fn lay_in(&self, room: Rect, parts: usize) -> Option<(u32, Vec<MapPart>)> {
        let (low, high) = self.height()?;
        let step = (high - low) / parts as f64;
        let lap = if parts > 1 { PART_OVERLAP_M } else { 0.0 };
        let mut cuts = Vec::new();
        for i in 0..parts {
            let a = low + step * i as f64;
            let (from, to) = (
                if i > 0 { a - lap / 2.0 } else { a },
                if i + 1 < parts {
                    a + step + lap / 2.0
                } else {
                    a + step
                },
            );
            let x = self.span(from, to)?;
            cuts.push((from, to, x));
        }
        let wide: f64 = cuts.iter().map(|c| c.2.1 - c.2.0).sum();
        let tall = cuts.iter().map(|c| c.1 - c.0).fold(0.0, f64::max);
        let free_w = room.w - PART_GAP_MM * (parts - 1) as f64 - 2.0 * LABEL_ROOM_MM * parts as f64;
        let free_h = room.h - 2.0 * LABEL_ROOM_MM;
        let ratio = RATIOS
            .into_iter()
            .find(|r| {
                let k = 1000.0 / f64::from(*r);
                wide * k <= free_w && tall * k <= free_h
            })
            .or_else(|| {
                // Larger than any golf course: still drawn, at whatever ratio fits.
                let need = (wide / free_w).max(tall / free_h) * 1000.0;
                (free_w > 0.0 && free_h > 0.0 && need < 1e9).then(|| need.ceil() as u32)
            })?;
        let k = 1000.0 / f64::from(ratio);
        let spare = (free_w - wide * k) / parts as f64;
        let mut x = room.x;
        let mut out = Vec::new();
        for (i, (from, to, (left, right))) in cuts.iter().enumerate() {
            let w = (right - left) * k + 2.0 * LABEL_ROOM_MM + spare;
            let frame = Rect::new(x, room.y, w, room.h);
            let mid = turned(
                Coord {
                    x: (left + right) / 2.0,
                    y: (from + to) / 2.0,
                },
                -self.turn_rad,
            );
            let view = View {
                ratio: f64::from(ratio),
                turn_rad: self.turn_rad,
                centre: mid,
                at: (x + w / 2.0, room.y + room.h / 2.0),
            }
            .on_grid();
            let page_y = |y: f64| view.at.1 - k * (y - (from + to) / 2.0);
            out.push(MapPart {
                view,
                frame,
                match_below: (i > 0).then(|| page_y(low + step * i as f64)),
                match_above: (i + 1 < parts).then(|| page_y(low + step * (i + 1) as f64)),
            });
            x += w + PART_GAP_MM;
        }
        Some((ratio, out))
    }
}

/// Points closer than this along an edge or a drive tell a part's width to a metre.
const STEP_M: f64 = 2.0;

fn add_rings(points: &mut Vec<Coord<f64>>, area: &MultiPolygon<f64>) {
    for ring in area
        .0
        .iter()
        .flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()))
    {
        for pair in ring.0.windows(2) {
            let (dx, dy) = (pair[1].x - pair[0].x, pair[1].y - pair[0].y);
            let n = (dx.hypot(dy) / STEP_M).ceil().clamp(1.0, 1e4) as usize;
            for i in 0..n {
                let t = i as f64 / n as f64;
                points.push(Coord {
                    x: pair[0].x + t * dx,
                    y: pair[0].y + t * dy,
                });
            }
        }
    }
}

fn add_drive(points: &mut Vec<Coord<f64>>, tracks: &[Track]) {
    for t in tracks {
        let len = t.path.length_m();
        let n = (len / STEP_M).ceil().clamp(1.0, 1e4) as usize;
        for i in 0..=n {
            points.push(t.path.pose_at(len * i as f64 / n as f64).at);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use geo_types::coord;

    #[test]
    fn a_view_keeps_scale_and_turns_the_green_up() {
        let up = 0.7;
        let view = View {
            ratio: 500.0,
            turn_rad: FRAC_PI_2 - up,
            centre: coord! { x: 10.0, y: -4.0 },
            at: (50.0, 80.0),
        };
        let ahead = coord! { x: 10.0 + 30.0 * f64::cos(up), y: -4.0 + 30.0 * f64::sin(up) };
        let p = view.spot(ahead);
        assert_relative_eq!(p.0, 50.0, epsilon = 1e-9);
        // 30 m at 1:500 is 60 mm.
        assert_relative_eq!(p.1, 20.0, epsilon = 1e-9);
        assert_relative_eq!(view.angle(up), -FRAC_PI_2, epsilon = 1e-12);
    }

    #[test]
    fn views_at_one_ratio_round_alike() {
        let part = |at: Spot, centre: Coord<f64>| {
            View {
                ratio: 1250.0,
                turn_rad: 0.3,
                centre,
                at,
            }
            .on_grid()
        };
        let (a, b) = (
            part((50.123, 80.456), coord! { x: 3.0, y: 7.0 }),
            part((141.777, 60.111), coord! { x: -8.2, y: 55.5 }),
        );
        assert!((a.at.0 - 50.123).abs() <= GRID_MM && (a.at.1 - 80.456).abs() <= GRID_MM);
        let steps = |v: &View| {
            let mut s = Shape::new();
            s.add_points(
                (0..50).map(|i| {
                    let t = f64::from(i);
                    v.spot(coord! { x: 1.37 * t, y: (0.4 * t).sin() * 9.0 })
                }),
                true,
            );
            let d = crate::svg_page::path_data(&s);
            d[d.find('l').unwrap()..].to_string()
        };
        assert_eq!(steps(&a), steps(&b));
    }
}
