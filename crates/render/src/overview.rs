//! The course overview page: every fairway with its number, its area and its time.

use crate::cautions::{self, Signal};
use crate::drawing::{Anchor, Drawing, Pen, Shape, Stroke, moved};
use crate::ink::{BLACK, GRASS_RING, HAIR_MM, HEAVY_MM, MEDIUM_MM, THIN_MM, TITLE_MM, WHITE};
use crate::lettering::{
    Rect, Weight, baseline_mm, cap_mm, clean, fit_mm, leading_mm, shorten, width_mm,
};
use crate::locator::course_view;
use crate::map::keep_out;
use crate::overview_table::Table;
use crate::page::{Lie, MARGIN_MM, Paper};
use crate::places::Places;
use crate::signs::{north, round_rect};
use crate::view::View;
use crate::words::Words;
use crossgrain_core::{Course, Fairway, KeepOutKind};
use geo::{Area, BoundingRect, InteriorPoint};
use std::f64::consts::FRAC_PI_2;

pub use crate::overview_table::Planned;

/// Size of a fairway's number on the map, mm: read from a metre away on a board.
const LABEL_MM: f64 = 7.0;
/// A table beside the map takes this part of the page at most.
const MAX_TABLE: f64 = 0.45;
/// A table below it takes this part.
const TALLEST_TABLE: f64 = 0.4;

/// Draws the overview. A fairway may come several times, once a pattern.
pub fn overview(course: &Course, planned: &[Planned<'_>], paper: Paper, words: &Words) -> Drawing {
    // The course lies the way it fills the page: north up in either case.
    let mut bounds: Option<geo_types::Rect<f64>> = None;
    for b in course
        .fairways
        .iter()
        .filter_map(|f| f.outline().bounding_rect())
    {
        bounds = Some(match bounds {
            None => b,
            Some(a) => geo_types::Rect::new(
                (a.min().x.min(b.min().x), a.min().y.min(b.min().y)),
                (a.max().x.max(b.max().x), a.max().y.max(b.max().y)),
            ),
        });
    }
    let lie = match bounds {
        Some(b) if b.width() > 1.2 * b.height() => Lie::Landscape,
        _ => Lie::Portrait,
    };
    let (page_w, page_h) = paper.lying_mm(lie);
    let body = Rect::new(0.0, 0.0, page_w, page_h).inset(MARGIN_MM);
    let mut pen = Pen::new();
    // Title.
    let name = clean(&course.name);
    let size = fit_mm(&name, Weight::Bold, body.w, TITLE_MM * 1.4, TITLE_MM * 0.7);
    let base = body.y + baseline_mm(size);
    pen.text(
        shorten(&name, size, Weight::Bold, body.w),
        (body.x, base),
        size,
        Weight::Bold,
        Anchor::Start,
    );
    let mut top = body.y + leading_mm(size) + 1.0;
    pen.stroke(
        Shape::line((body.x, top), (body.right(), top)),
        Stroke::solid(BLACK, HEAVY_MM),
    );
    top += 3.0;
    // Cautions that hold everywhere.
    let general: Vec<(Signal, Vec<String>)> = cautions::general(words);
    let (marks, warn_h) = cautions::band(&general, words, body.w);
    let bottom = body.bottom() - warn_h;
    pen.group("cautions", moved(marks, body.x, bottom));
    // Table beside or below; the map is what people look at.
    let free = Rect::new(body.x, top, body.w, bottom - 4.0 - top);
    let map = if lie == Lie::Landscape {
        let table = Table::of(planned, words, free.w * MAX_TABLE);
        let w = table.width().min(free.w * MAX_TABLE);
        let room = Rect::new(free.right() - w, free.y, w, free.h);
        table.draw(&mut pen, room, 1);
        Rect::new(free.x, free.y, free.w - w - 5.0, free.h)
    } else {
        let blocks = 2;
        let table = Table::of(planned, words, free.w / blocks as f64 - 4.0);
        let used = table.height(blocks).min(free.h * TALLEST_TABLE);
        let room = Rect::new(free.x, free.bottom() - used, free.w, used);
        table.draw(&mut pen, room, blocks);
        Rect::new(free.x, free.y, free.w, free.h - used - 4.0)
    };
    draw_map(&mut pen, course, map, words);
    Drawing {
        width: page_w,
        height: page_h,
        title: format!("{}: {name}", words.say("overview"))
            .chars()
            .take(200)
            .collect(),
        language: words.code().to_string(),
        marks: pen.marks,
    }
}

fn draw_map(pen: &mut Pen, course: &Course, map: Rect, words: &Words) {
    pen.stroke(Shape::rect(map), Stroke::solid(BLACK, HAIR_MM));
    let Some(view) = course_view(course, map.inset(10.0), 0.0) else {
        return;
    };
    let mut inner = Pen::new();
    for k in &course.features {
        let mut s = Shape::new();
        view.add_polygon(&mut s, &k.area);
        match k.kind {
            // Hatching the small ones would only make them grey.
            KeepOutKind::Water
            | KeepOutKind::Stream
            | KeepOutKind::Wetland
            | KeepOutKind::Trees
            | KeepOutKind::Scrub => keep_out(&mut inner, &s, k.kind),
            _ => inner.fill_stroke(s, WHITE, Stroke::solid(BLACK, THIN_MM)),
        }
    }
    for f in &course.fairways {
        inner.fill_stroke(
            view.area(f.ground()),
            GRASS_RING,
            Stroke::solid(BLACK, MEDIUM_MM),
        );
    }
    pen.clipped("map", Some(Shape::rect(map)), 1.0, inner.marks);
    // Corners are kept free for north; numbers stand on their fairways.
    let corner = Rect::new(map.right() - 24.0, map.y + 1.0, 23.0, 18.0);
    let mut places = Places::new();
    places.take(corner);
    pen.fill(Shape::rect(corner), WHITE);
    north(
        pen,
        (corner.right() - 9.0, corner.y + corner.h / 2.0),
        16.0,
        -FRAC_PI_2,
        words.say("north"),
    );
    let mut on = Pen::new();
    numbers(&mut on, course, &view, map, &mut places);
    pen.group("numbers", on.marks);
}

/// Each fairway's number, on it or as near as there is room.
fn numbers(pen: &mut Pen, course: &Course, view: &View, map: Rect, places: &mut Places) {
    let mut order: Vec<&Fairway> = course.fairways.iter().collect();
    order.sort_by(|a, b| {
        b.ground()
            .unsigned_area()
            .total_cmp(&a.ground().unsigned_area())
    });
    // A fairway in parts has its number on each: a part without one looks like nobody's.
    let parts = order.iter().flat_map(|f| {
        let inside = f
            .ground()
            .0
            .iter()
            .filter_map(InteriorPoint::interior_point);
        inside.map(move |at| (f, at))
    });
    for (f, at) in parts {
        let at = view.spot(at.0);
        let name = shorten(&clean(f.name()), LABEL_MM, Weight::Bold, 40.0);
        let w = width_mm(&name, LABEL_MM, Weight::Bold) + 2.4;
        let h = LABEL_MM * 1.22;
        'place: for ring in 0..6 {
            for step in 0..8 {
                let a = f64::from(step) * FRAC_PI_2 / 2.0;
                let d = f64::from(ring) * 5.0;
                let r = Rect::new(
                    at.0 + d * a.cos() - w / 2.0,
                    at.1 + d * a.sin() - h / 2.0,
                    w,
                    h,
                );
                if places.free(&[r], &map) {
                    places.take(r);
                    if ring > 1 {
                        pen.stroke(
                            Shape::line(at, (r.x + w / 2.0, r.y + h / 2.0)),
                            Stroke::solid(BLACK, THIN_MM),
                        );
                    }
                    pen.fill_stroke(round_rect(r, 1.2), WHITE, Stroke::solid(BLACK, THIN_MM));
                    pen.text(
                        name.as_str(),
                        (r.x + w / 2.0, r.y + (h + cap_mm(LABEL_MM)) / 2.0),
                        LABEL_MM,
                        Weight::Bold,
                        Anchor::Middle,
                    );
                    break 'place;
                }
            }
        }
    }
}
