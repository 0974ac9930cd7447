//! Shapes of lines and arcs on a page.

use crate::lettering::Rect;
use std::f64::consts::TAU;

/// A point on the page, mm.
pub type Spot = (f64, f64);

/// One step of a shape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PathCommand {
    /// Lift the pen and set it down here.
    Move(Spot),
    /// A straight line to here.
    Line(Spot),
    /// A circular arc from where the pen is.
    Arc {
        /// Centre, mm.
        centre: Spot,
        /// Radius, mm.
        radius: f64,
        /// Angle of the first point, radians, page sense.
        from: f64,
        /// Signed sweep, radians, page sense (positive looks clockwise).
        sweep: f64,
    },
    /// Back to the last `Move`.
    Close,
}

/// A shape of straight lines and circular arcs.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Shape {
    /// Its steps.
    pub steps: Vec<PathCommand>,
}

impl Shape {
    /// Nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// A closed ring or an open line through points.
    pub fn points(points: impl IntoIterator<Item = Spot>, closed: bool) -> Self {
        let mut s = Self::new();
        s.add_points(points, closed);
        s
    }

    /// Adds a closed ring or an open line.
    pub fn add_points(&mut self, points: impl IntoIterator<Item = Spot>, closed: bool) {
        let mut first = true;
        for p in points {
            self.steps.push(if first {
                PathCommand::Move(p)
            } else {
                PathCommand::Line(p)
            });
            first = false;
        }
        if closed && !first {
            self.steps.push(PathCommand::Close);
        }
    }

    /// A straight line.
    pub fn line(a: Spot, b: Spot) -> Self {
        Self::points([a, b], false)
    }

    /// A rectangle.
    pub fn rect(r: Rect) -> Self {
        Self::points(
            [
                (r.x, r.y),
                (r.right(), r.y),
                (r.right(), r.bottom()),
                (r.x, r.bottom()),
            ],
            true,
        )
    }

    /// A circle.
    pub fn circle(centre: Spot, radius: f64) -> Self {
        let mut s = Self::new();
        s.add_arc(centre, radius, 0.0, TAU);
        s.steps.push(PathCommand::Close);
        s
    }

    /// An arc by itself.
    pub fn arc(centre: Spot, radius: f64, from: f64, sweep: f64) -> Self {
        let mut s = Self::new();
        s.add_arc(centre, radius, from, sweep);
        s
    }

    /// Lifts the pen to the start of an arc and draws it.
    pub fn add_arc(&mut self, centre: Spot, radius: f64, from: f64, sweep: f64) {
        self.steps
            .push(PathCommand::Move(on_circle(centre, radius, from)));
        self.steps.push(PathCommand::Arc {
            centre,
            radius,
            from,
            sweep,
        });
    }

    /// Adds everything another shape has.
    pub fn extend(&mut self, other: Shape) {
        self.steps.extend(other.steps);
    }

    /// Whether it has nothing to draw.
    pub fn is_empty(&self) -> bool {
        self.steps.is_empty()
    }
}

/// The point at an angle on a circle, page sense.
pub fn on_circle(centre: Spot, radius: f64, angle: f64) -> Spot {
    (
        centre.0 + radius * angle.cos(),
        centre.1 + radius * angle.sin(),
    )
}
