//! The ground on paper: grass as it will look, keep-outs, turns, what is left.

use crate::drawing::{Mark, Pen, Shape, Stroke};
use crate::hatch::hatch;
use crate::ink::{
    BLACK, GRASS_DARK, GRASS_LIGHT, GRASS_OVER, GRASS_RING, GREY, HAIR_MM, HEAVY_MM, Ink, LEFT,
    MEDIUM_MM, SAND, THIN_MM, WATER, WATER_LINE, WHITE,
};
use crate::view::View;
use crossgrain_core::{
    Arc, Fairway, KeepOutKind, Mow, Mower, Path, PatternKind, Reels, Role, Track,
};
use geo_types::{Coord, MultiPolygon};
use std::f64::consts::FRAC_PI_4;

/// A second set of stripes covers the first at this strength.
const OVER: f64 = 0.45;

/// What part of the drive a pass belongs to, for tones, numbers and the order in words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Layer {
    /// Clean-up passes.
    CleanUp,
    /// A set of stripes, 0 first.
    Stripes(u32),
    /// Lanes of loops.
    Lanes,
    /// Contour passes.
    Contour,
    /// Rings.
    Rings,
    /// Touch-up passes.
    TouchUp,
}

impl Layer {
    /// The layer of a role.
    pub fn of(role: Role) -> Self {
        match role {
            Role::CleanUp { .. } => Layer::CleanUp,
            Role::Stripe { set, .. } => Layer::Stripes(set),
            Role::Lane { .. } => Layer::Lanes,
            Role::Contour { .. } => Layer::Contour,
            Role::Ring { .. } => Layer::Rings,
            Role::TouchUp => Layer::TouchUp,
        }
    }
}

/// The path `left_m` metres to the left of another; `None` where an arc would turn inside out.
pub fn beside(path: &Path, left_m: f64) -> Option<Path> {
    match *path {
        Path::Line { from, to } => {
            let p = path.start().heading_rad;
            let (dx, dy) = (-p.sin() * left_m, p.cos() * left_m);
            let go = |c: Coord<f64>| Coord {
                x: c.x + dx,
                y: c.y + dy,
            };
            Some(Path::Line {
                from: go(from),
                to: go(to),
            })
        }
        Path::Arc(a) => {
            let radius_m = a.radius_m - a.sweep_rad.signum() * left_m;
            (radius_m > 1e-6).then_some(Path::Arc(Arc { radius_m, ..a }))
        }
    }
}

/// Whether a track runs the way that the light stripes run.
fn runs_up(track: &Track, light_rad: f64) -> bool {
    let mid = track.path.pose_at(track.path.length_m() / 2.0);
    // A hair of bias: passes square to the direction are all one tone, not a toss-up.
    (mid.heading_rad - light_rad).cos() >= -1e-9
}

/// The direction of the light stripes: toward the green, or, when the passes run nearly square to
/// that, the heading of the first pass. The second value tells which (true: toward the green).
pub fn light_direction(mow: &Mow, up_rad: f64) -> (f64, bool) {
    let heading = mow.heading_deg.map(crossgrain_core::model::units::math_rad);
    match (mow.pattern, heading) {
        (PatternKind::Stripes | PatternKind::Cross | PatternKind::HalfAndHalf, Some(h))
            // 75 degrees: beyond it nobody would say "toward the green".
            if (h - up_rad).cos().abs() < 0.26 =>
        {
            (h, false)
        }
        _ => (up_rad, true),
    }
}

/// Collects driven paths, joining those that follow on.
#[derive(Default)]
struct Trail {
    shape: Shape,
    end: Option<Coord<f64>>,
}

impl Trail {
    fn add(&mut self, view: &View, path: &Path) {
        let from = path.start().at;
        // A tenth of a millimetre of ground: the chain's own joints.
        let on = self
            .end
            .is_some_and(|e| (e.x - from.x).hypot(e.y - from.y) < 1e-4);
        view.add_path(&mut self.shape, path, !on);
        self.end = Some(path.end().at);
    }

    fn lift(&mut self) {
        self.end = None;
    }
}

/// The grass as it will look, one shape a tone and layer.
pub fn grass(view: &View, mower: &Mower, mow: &Mow, light_rad: f64) -> Vec<Mark> {
    let k = view.mm_per_m();
    let middle = (mower.left_m() + mower.right_m()) / 2.0;
    let width_mm = mower.cutting_width_m() * k;
    let mut pen = Pen::new();
    let mut i = 0;
    while i < mow.legs.len() {
        let layer = Layer::of(mow.legs[i].role);
        let (mut light, mut dark, mut texture) =
            (Trail::default(), Trail::default(), Trail::default());
        let mut fine = [Trail::default(), Trail::default()];
        let mut lanes = Shape::new();
        while i < mow.legs.len() && Layer::of(mow.legs[i].role) == layer {
            let range = mow.legs[i].tracks.clone();
            for t in mow.tracks.get(range).unwrap_or_default() {
                if t.reels == Reels::Up {
                    continue;
                }
                let Some(path) = beside(&t.path, middle) else {
                    continue;
                };
                match layer {
                    Layer::CleanUp | Layer::TouchUp => {
                        light.add(view, &path);
                        texture.add(view, &path);
                    }
                    Layer::Lanes => {
                        light.add(view, &path);
                        texture.add(view, &t.path);
                    }
                    _ if runs_up(t, light_rad) => light.add(view, &path),
                    _ => {
                        dark.add(view, &path);
                        let quarter = mower.cutting_width_m() / 4.0;
                        for (trail, side) in fine.iter_mut().zip([quarter, -quarter]) {
                            if let Some(p) = beside(&path, side) {
                                trail.add(view, &p);
                            }
                        }
                    }
                }
            }
            if layer == Layer::Lanes {
                // The line to hold: from the first loop's start to the last loop's end.
                let mut down = mow
                    .tracks
                    .get(mow.legs[i].tracks.clone())
                    .unwrap_or_default()
                    .iter()
                    .filter(|t| t.reels == Reels::Down);
                if let Some(first) = down.next() {
                    let last = down.next_back().unwrap_or(first);
                    lanes.extend(Shape::line(
                        view.spot(first.path.start().at),
                        view.spot(last.path.end().at),
                    ));
                }
            }
            for trail in [&mut light, &mut dark, &mut texture] {
                trail.lift();
            }
            i += 1;
        }
        let wide = |ink: Ink| Stroke::solid(ink, width_mm);
        match layer {
            Layer::CleanUp | Layer::TouchUp => {
                pen.stroke(light.shape, wide(GRASS_RING));
                pen.stroke(texture.shape, Stroke::dashed(GREY, HAIR_MM, 2.4, 1.6));
            }
            Layer::Lanes => {
                pen.stroke(light.shape, wide(GRASS_LIGHT));
                pen.stroke(texture.shape, Stroke::solid(GRASS_DARK, HAIR_MM));
                pen.stroke(lanes, Stroke::dashed(BLACK, THIN_MM, 4.0, 1.6));
            }
            Layer::Stripes(set) if set > 0 => {
                let mut over = Pen::new();
                over.stroke(dark.shape, wide(GRASS_OVER));
                pen.clipped("over", None, OVER, over.marks);
                for f in fine {
                    pen.stroke(f.shape, Stroke::solid(GREY, HAIR_MM));
                }
            }
            _ => {
                pen.stroke(light.shape, wide(GRASS_LIGHT));
                pen.stroke(dark.shape, wide(GRASS_DARK));
                for f in fine {
                    pen.stroke(f.shape, Stroke::solid(GREY, HAIR_MM));
                }
            }
        }
    }
    pen.marks
}

/// Tracks with the reels up, dashed.
pub fn turns(view: &View, mow: &Mow) -> Vec<Mark> {
    let mut trail = Trail::default();
    for t in &mow.tracks {
        match t.reels {
            Reels::Up => trail.add(view, &t.path),
            Reels::Down => trail.lift(),
        }
    }
    let mut pen = Pen::new();
    pen.stroke(trail.shape, Stroke::dashed(BLACK, THIN_MM, 1.4, 1.0));
    pen.marks
}

/// A keep-out of a kind, hatched so that a copy still tells sand from water from trees.
pub fn keep_out(pen: &mut Pen, area: &Shape, kind: KeepOutKind) {
    let edge = Stroke::solid(BLACK, MEDIUM_MM);
    match kind {
        KeepOutKind::Bunker => {
            pen.fill(area.clone(), SAND);
            let dots = Stroke {
                ink: BLACK,
                width: 0.5,
                dash: Some((0.02, 1.7)),
                round: true,
            };
            pen.stroke(hatch(area, 0.2, 1.5), dots);
        }
        KeepOutKind::Water | KeepOutKind::Stream | KeepOutKind::Wetland => {
            pen.fill(area.clone(), WATER);
            pen.stroke(
                hatch(area, 0.0, 1.8),
                Stroke::dashed(WATER_LINE, 0.45, 3.2, 1.2),
            );
        }
        KeepOutKind::Trees | KeepOutKind::Scrub => {
            pen.fill(area.clone(), WHITE);
            let crowns = Stroke {
                ink: GREY,
                width: 1.6,
                dash: Some((0.02, 2.6)),
                round: true,
            };
            pen.stroke(hatch(area, 0.35, 2.4), crowns);
        }
        KeepOutKind::Green | KeepOutKind::Tee => pen.fill(area.clone(), WHITE),
        // No hatching: what is driven over must not look like what is driven round.
        KeepOutKind::Path => pen.fill(area.clone(), WHITE),
        KeepOutKind::OutOfBounds | KeepOutKind::KeepOff | KeepOutKind::Other => {
            pen.fill(area.clone(), WHITE);
            pen.stroke(hatch(area, FRAC_PI_4, 1.6), Stroke::solid(BLACK, THIN_MM));
        }
    }
    pen.stroke(area.clone(), edge);
}

/// Ground where nobody turns: cross-hatched, with a broken edge.
pub fn no_turn(pen: &mut Pen, area: &Shape) {
    for angle in [FRAC_PI_4, -FRAC_PI_4] {
        pen.stroke(hatch(area, angle, 2.6), Stroke::solid(BLACK, HAIR_MM));
    }
    pen.stroke(area.clone(), Stroke::dashed(BLACK, MEDIUM_MM, 2.0, 1.0));
}

/// Ground left for a smaller machine.
pub fn trim(pen: &mut Pen, area: &Shape) {
    pen.fill(area.clone(), LEFT);
    pen.stroke(hatch(area, -FRAC_PI_4, 1.1), Stroke::solid(BLACK, THIN_MM));
    pen.stroke(area.clone(), Stroke::solid(BLACK, HAIR_MM));
}

/// Ground the plan misses: solid, with an edge that keeps a sliver visible.
pub fn missed(pen: &mut Pen, area: &Shape) {
    pen.fill_stroke(area.clone(), BLACK, Stroke::solid(BLACK, 0.5).rounded());
}

/// Everything of one map part, from the ground up.
pub struct Ground<'a> {
    /// The fairway.
    pub fairway: &'a Fairway,
    /// The mower.
    pub mower: &'a Mower,
    /// The mow.
    pub mow: &'a Mow,
    /// Ground outside the reach.
    pub trim: &'a MultiPolygon<f64>,
    /// Ground missed.
    pub missed: &'a MultiPolygon<f64>,
    /// Direction of light stripes, radians.
    pub light_rad: f64,
}

impl Ground<'_> {
    /// Draws it through a view.
    pub fn draw(&self, view: &View) -> Vec<Mark> {
        let mut pen = Pen::new();
        let ground = view.area(&self.fairway.ground);
        pen.fill(ground.clone(), WHITE);
        pen.clipped(
            "grass",
            Some(ground),
            1.0,
            grass(view, self.mower, self.mow, self.light_rad),
        );
        let mut left = Pen::new();
        trim(&mut left, &view.area(self.trim));
        missed(&mut left, &view.area(self.missed));
        pen.group("left", left.marks);
        let mut barred = Pen::new();
        let no_turn_area = view.area(&self.fairway.no_turn);
        no_turn(&mut barred, &no_turn_area);
        pen.group("no-turn", barred.marks);
        let mut outs = Pen::new();
        for k in &self.fairway.keep_outs {
            let mut s = Shape::new();
            view.add_polygon(&mut s, &k.area);
            keep_out(&mut outs, &s, k.kind);
        }
        pen.group("keep-outs", outs.marks);
        let mut edge = Pen::new();
        edge.stroke(
            view.area(&self.fairway.outline),
            Stroke {
                round: true,
                ..Stroke::solid(BLACK, HEAVY_MM)
            },
        );
        pen.group("outline", edge.marks);
        pen.group("turns", turns(view, self.mow));
        pen.marks
    }
}
