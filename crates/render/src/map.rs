//! The ground on paper: grass, keep-outs, what is left, the bounds of blocks, the ways between
//! steps.

use crate::block_bounds::block_bounds;
use crate::drawing::{Mark, Pen, Shape, Stroke};
use crate::grass::grass;
use crate::hatch::hatch;
use crate::ink::{
    BLACK, GREY, HAIR_MM, HEAVY_MM, LEFT, MEDIUM_MM, SAND, THIN_MM, WATER, WATER_LINE, WHITE,
};
use crate::view::View;
use crate::ways::ways;
use crossgrain_core::{Fairway, KeepOutKind, Mow, Mower};
use geo::BoundingRect;
use geo_types::{MultiPolygon, Polygon};
use std::f64::consts::FRAC_PI_4;
use std::ops::Range;

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
        // Out of bounds, kept off for now, and whatever is new.
        _ => {
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

/// A ring round a missed place, so that the smallest is found.
fn ringed(pen: &mut Pen, view: &View, place: &Polygon<f64>) {
    let Some(r) = place.bounding_rect() else {
        return;
    };
    let half = 0.5 * r.width().hypot(r.height()) * view.mm_per_m();
    // A place that is large on the paper needs no ring to be seen.
    const LARGE_MM: f64 = 6.0;
    if half > LARGE_MM {
        return;
    }
    let ring = Shape::circle(view.spot(r.center()), half + 1.6);
    pen.stroke(ring.clone(), Stroke::solid(WHITE, 1.6));
    pen.stroke(ring, Stroke::solid(BLACK, MEDIUM_MM));
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
    /// The steps this page tells.
    pub steps: Range<usize>,
}

impl Ground<'_> {
    /// Draws it through a view.
    pub fn draw(&self, view: &View) -> Vec<Mark> {
        let mut pen = Pen::new();
        let ground = view.area(self.fairway.ground());
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
        for p in &self.missed.0 {
            ringed(&mut left, view, p);
        }
        pen.group("left", left.marks);
        let mut barred = Pen::new();
        let no_turn_area = view.area(self.fairway.no_turn());
        no_turn(&mut barred, &no_turn_area);
        pen.group("no-turn", barred.marks);
        let mut outs = Pen::new();
        for k in self.fairway.keep_outs() {
            let mut s = Shape::new();
            view.add_polygon(&mut s, &k.area);
            keep_out(&mut outs, &s, k.kind);
        }
        pen.group("keep-outs", outs.marks);
        let mut edge = Pen::new();
        edge.stroke(
            view.area(self.fairway.outline()),
            Stroke {
                round: true,
                ..Stroke::solid(BLACK, HEAVY_MM)
            },
        );
        pen.group("outline", edge.marks);
        pen.group(
            "blocks",
            block_bounds(view, self.mower, self.mow, self.steps.clone()),
        );
        pen.group("ways", ways(view, self.mow, self.steps.clone()));
        pen.marks
    }
}
