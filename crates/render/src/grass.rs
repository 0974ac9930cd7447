//! The grass as it will look: tones and textures of what each pass lays down.

use crate::drawing::{Mark, Pen, Shape, Stroke};
use crate::ink::{
    BLACK, GRASS_DARK, GRASS_LIGHT, GRASS_OVER, GRASS_RING, GREY, HAIR_MM, Ink, MEDIUM_MM, THIN_MM,
    WHITE,
};
use crate::view::View;
use crossgrain_core::{
    CircularArc, Mow, Mower, PatternKind, PlacedLeg, Reels, Role, Segment, Track,
};
use geo_types::Coord;

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
pub fn beside(path: &Segment, left_m: f64) -> Option<Segment> {
    match *path {
        Segment::Line { from, to } => {
            let p = path.start().heading_rad;
            let (dx, dy) = (-p.sin() * left_m, p.cos() * left_m);
            let go = |c: Coord<f64>| Coord {
                x: c.x + dx,
                y: c.y + dy,
            };
            Some(Segment::Line {
                from: go(from),
                to: go(to),
            })
        }
        Segment::Arc(a) => {
            let radius_m = a.radius_m - a.sweep_rad.signum() * left_m;
            (radius_m > 1e-6).then_some(Segment::Arc(CircularArc { radius_m, ..a }))
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
    let heading = mow
        .heading_deg()
        .map(crossgrain_core::inside::model::quantity::math_rad);
    match (mow.pattern(), heading) {
        (PatternKind::Loops | PatternKind::Contour | PatternKind::Rings, _) => (up_rad, true),
        (_, Some(h))
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
pub(crate) struct Trail {
    pub(crate) shape: Shape,
    end: Option<Coord<f64>>,
}

impl Trail {
    pub(crate) fn add(&mut self, view: &View, path: &Segment) {
        let from = path.start().at;
        // A tenth of a millimetre of ground: the chain's own joints.
        let on = self
            .end
            .is_some_and(|e| (e.x - from.x).hypot(e.y - from.y) < 1e-4);
        view.add_path(&mut self.shape, path, !on);
        self.end = Some(path.end().at);
    }

    pub(crate) fn lift(&mut self) {
        self.end = None;
    }
}

/// The shapes of legs that follow each other in one layer.
#[derive(Default)]
struct Run {
    light: Trail,
    dark: Trail,
    texture: Trail,
    /// Two lines on a dark stripe, for the copier.
    fine: [Trail; 2],
    /// The lines to hold.
    lanes: Shape,
}

impl Run {
    /// Adds one leg.
    fn add(&mut self, on: &Painted<'_>, leg: &PlacedLeg, layer: Layer) {
        let all = on.mow.tracks().as_slice();
        let tracks = all.get(leg.tracks.clone()).unwrap_or_default();
        let down = || tracks.iter().filter(|t| t.reels == Reels::Down);
        for t in down() {
            self.track(on, t, layer);
        }
        if layer == Layer::Lanes
            && let Some(first) = down().next()
        {
            // The line to hold: from the first loop's start to the last loop's end.
            let last = down().next_back().unwrap_or(first);
            self.lanes.extend(Shape::line(
                on.view.spot(first.path.start().at),
                on.view.spot(last.path.end().at),
            ));
        }
        for trail in [&mut self.light, &mut self.dark, &mut self.texture] {
            trail.lift();
        }
    }

    fn track(&mut self, on: &Painted<'_>, t: &Track, layer: Layer) {
        let middle = (on.mower.left_m() + on.mower.right_m()) / 2.0;
        let Some(path) = beside(&t.path, middle) else {
            return;
        };
        match layer {
            Layer::CleanUp | Layer::TouchUp | Layer::Lanes => {
                self.light.add(on.view, &path);
                self.texture.add(on.view, &t.path);
            }
            _ if runs_up(t, on.light_rad) => self.light.add(on.view, &path),
            _ => {
                self.dark.add(on.view, &path);
                let quarter = on.mower.cutting_width_m() / 4.0;
                for (trail, side) in self.fine.iter_mut().zip([quarter, -quarter]) {
                    if let Some(p) = beside(&path, side) {
                        trail.add(on.view, &p);
                    }
                }
            }
        }
    }

    /// Draws it.
    fn draw(self, on: &Painted<'_>, layer: Layer, pen: &mut Pen) {
        let width_mm = on.mower.cutting_width_m() * on.view.mm_per_m();
        let wide = |ink: Ink| Stroke::solid(ink, width_mm);
        let Run {
            light,
            dark,
            texture,
            fine,
            lanes,
        } = self;
        match layer {
            Layer::CleanUp => {
                pen.stroke(light.shape, wide(GRASS_RING));
                pen.stroke(texture.shape, Stroke::dashed(GREY, HAIR_MM, 2.4, 1.6));
            }
            // The band alone would drown among the stripes: each of these few passes has to be
            // found, so it carries a black line on white.
            Layer::TouchUp => {
                pen.stroke(light.shape, wide(GRASS_RING));
                pen.stroke(texture.shape.clone(), Stroke::solid(WHITE, 2.6 * MEDIUM_MM));
                pen.stroke(texture.shape, Stroke::solid(BLACK, 1.4 * MEDIUM_MM));
            }
            Layer::Lanes => {
                pen.stroke(light.shape, wide(GRASS_LIGHT));
                pen.stroke(texture.shape, Stroke::solid(GRASS_DARK, HAIR_MM));
                pen.stroke(lanes, Stroke::dashed(BLACK, THIN_MM, 4.0, 1.6));
            }
            _ => {
                // Only a cross cut lays a set over another; elsewhere each set has ground of its own.
                let second = matches!(layer, Layer::Stripes(set) if set > 0);
                if second && on.mow.pattern() == PatternKind::Cross {
                    let mut over = Pen::new();
                    over.stroke(dark.shape, wide(GRASS_OVER));
                    pen.clipped("over", None, OVER, over.marks);
                } else {
                    pen.stroke(light.shape, wide(GRASS_LIGHT));
                    pen.stroke(dark.shape, wide(GRASS_DARK));
                }
                for f in fine {
                    pen.stroke(f.shape, Stroke::solid(GREY, HAIR_MM));
                }
            }
        }
    }
}

/// What is painted and how it is seen.
struct Painted<'a> {
    view: &'a View,
    mower: &'a Mower,
    mow: &'a Mow,
    light_rad: f64,
}

/// The grass as it will look, one shape a tone and layer.
pub fn grass(view: &View, mower: &Mower, mow: &Mow, light_rad: f64) -> Vec<Mark> {
    let on = Painted {
        view,
        mower,
        mow,
        light_rad,
    };
    let mut pen = Pen::new();
    let layers = mow
        .legs()
        .chunk_by(|a, b| Layer::of(a.role) == Layer::of(b.role));
    for legs in layers {
        let layer = Layer::of(legs[0].role);
        let mut run = Run::default();
        for leg in legs {
            run.add(&on, leg, layer);
        }
        run.draw(&on, layer, &mut pen);
    }
    pen.marks
}
