//! Where a fairway lies within the course: all outlines small, this one black.

use crate::drawing::{Mark, Pen, Shape, Stroke};
use crate::ink::{BLACK, GREY, HAIR_MM, PALE, THIN_MM};
use crate::lettering::Rect;
use crate::view::View;
use crossgrain_core::{Course, Fairway};
use geo::BoundingRect;
use geo_types::Coord;

/// A view of the whole course in a rectangle, turned by `turn_rad`.
pub fn course_view(course: &Course, room: Rect, turn_rad: f64) -> Option<View> {
    let (s, c) = turn_rad.sin_cos();
    let mut low = Coord {
        x: f64::INFINITY,
        y: f64::INFINITY,
    };
    let mut high = Coord {
        x: f64::NEG_INFINITY,
        y: f64::NEG_INFINITY,
    };
    for f in &course.fairways {
        // Corners of the bounding box are enough for a small map.
        let Some(b) = f.outline().bounding_rect() else {
            continue;
        };
        for p in [
            (b.min().x, b.min().y),
            (b.max().x, b.min().y),
            (b.max().x, b.max().y),
            (b.min().x, b.max().y),
        ] {
            let q = (p.0 * c - p.1 * s, p.0 * s + p.1 * c);
            low = Coord {
                x: low.x.min(q.0),
                y: low.y.min(q.1),
            };
            high = Coord {
                x: high.x.max(q.0),
                y: high.y.max(q.1),
            };
        }
    }
    if !(low.x.is_finite() && high.x.is_finite()) {
        return None;
    }
    let (w, h) = ((high.x - low.x).max(1.0), (high.y - low.y).max(1.0));
    let k = (room.w / w).min(room.h / h);
    let mid = ((low.x + high.x) / 2.0, (low.y + high.y) / 2.0);
    (k > 0.0).then(|| View {
        ratio: 1000.0 / k,
        turn_rad,
        centre: Coord {
            x: mid.0 * c + mid.1 * s,
            y: -mid.0 * s + mid.1 * c,
        },
        at: (room.x + room.w / 2.0, room.y + room.h / 2.0),
    })
}

/// The small map, as marks at the origin in a frame of `width` by `height` mm.
pub fn locator(
    course: &Course,
    fairway: &Fairway,
    turn_rad: f64,
    width: f64,
    height: f64,
) -> Vec<Mark> {
    let frame = Rect::new(0.0, 0.0, width, height);
    let mut pen = Pen::new();
    pen.stroke(Shape::rect(frame), Stroke::solid(BLACK, HAIR_MM));
    if let Some(view) = course_view(course, frame.inset(2.0), turn_rad) {
        let mut inner = Pen::new();
        for f in &course.fairways {
            let area = view.area(f.outline());
            if f.name() == fairway.name() && f.outline() == fairway.outline() {
                inner.fill_stroke(area, BLACK, Stroke::solid(BLACK, THIN_MM));
            } else {
                inner.fill_stroke(area, PALE, Stroke::solid(GREY, HAIR_MM));
            }
        }
        pen.clipped("locator", Some(Shape::rect(frame)), 1.0, inner.marks);
    }
    pen.marks
}
