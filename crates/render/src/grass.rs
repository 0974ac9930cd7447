//! The grass as it will look: tones and textures of what each pass lays down.

use crate::drawing::{Mark, Pen, Shape, Stroke};
use crate::ink::{
    BLACK, GRASS_DARK, GRASS_LIGHT, GRASS_OVER, GRASS_RING, GREY, HAIR_MM, Ink, MEDIUM_MM, THIN_MM,
    WHITE,
};
use crate::view::View;
use crossgrain_core::{CircularArc, Mow, Mower, PatternKind, Reels, Role, Segment, Track};
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

/// The grass as it will look, one shape a tone and layer.
pub fn grass(view: &View, mower: &Mower, mow: &Mow, light_rad: f64) -> Vec<Mark> {
    let k = view.mm_per_m();
    let middle = (mower.left_m() + mower.right_m()) / 2.0;
    let width_mm = mower.cutting_width_m() * k;
    let mut pen = Pen::new();
    let mut i = 0;
    while i < mow.legs().len() {
        let layer = Layer::of(mow.legs()[i].role);
        let (mut light, mut dark, mut texture) =
            (Trail::default(), Trail::default(), Trail::default());
        let mut fine = [Trail::default(), Trail::default()];
        let mut lanes = Shape::new();
        while i < mow.legs().len() && Layer::of(mow.legs()[i].role) == layer {
            let range = mow.legs()[i].tracks.clone();
            for t in mow.tracks().as_slice().get(range).unwrap_or_default() {
                if t.reels == Reels::Up {
                    continue;
                }
                let Some(path) = beside(&t.path, middle) else {
                    continue;
                };
                match layer {
                    Layer::CleanUp | Layer::TouchUp => {
                        light.add(view, &path);
                        texture.add(view, &t.path);
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
                    .tracks()
                    .as_slice()
                    .get(mow.legs()[i].tracks.clone())
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
            // Only a cross cut lays a set over another; elsewhere each set has ground of its own.
            Layer::Stripes(set) if set > 0 && mow.pattern() == PatternKind::Cross => {
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
