//! The course overview page: every fairway with its number, its area and its time.

use crate::cautions::{self, Signal};
use crate::drawing::{Anchor, Drawing, Pen, Shape, Stroke, moved};
use crate::ink::{
    BLACK, GRASS_RING, HAIR_MM, HEAVY_MM, MEDIUM_MM, SMALL_MM, THIN_MM, TITLE_MM, WHITE,
};
use crate::lettering::{
    Rect, Weight, baseline_mm, cap_mm, clean, fit_mm, leading_mm, shorten, width_mm,
};
use crate::locator::course_view;
use crate::map::keep_out;
use crate::marks::Places;
use crate::page::{Lie, MARGIN_MM, Paper};
use crate::signs::{north, round_rect};
use crate::words::Words;
use crossgrain_core::{Course, Fairway, KeepOutKind, Mow};
use crossgrain_metrics::Measures;
use geo::{Area, BoundingRect, InteriorPoint};
use std::f64::consts::FRAC_PI_2;

/// One planned mow on the overview.
#[derive(Debug, Clone, Copy)]
pub struct Planned<'a> {
    /// The fairway.
    pub fairway: &'a Fairway,
    /// Its mow.
    pub mow: &'a Mow,
    /// Its measures.
    pub measures: &'a Measures,
}

/// Size of a fairway's number on the map, mm: read from a metre away on a board.
const LABEL_MM: f64 = 7.0;

/// Draws the overview. A fairway may come several times, once a pattern.
pub fn overview(course: &Course, planned: &[Planned<'_>], paper: Paper, words: &Words) -> Drawing {
    // The course lies the way it fills the page: north up in either case.
    let mut bounds: Option<geo_types::Rect<f64>> = None;
    for b in course
        .fairways
        .iter()
        .filter_map(|f| f.outline.bounding_rect())
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
    // Table beside or below.
    let rows = rows(planned, words);
    let row_h = leading_mm(SMALL_MM) + 0.6;
    let free = Rect::new(body.x, top, body.w, bottom - 4.0 - top);
    let columns = if lie == Lie::Landscape { 1 } else { 2 };
    let table_w = if lie == Lie::Landscape {
        (free.w * 0.36).max(95.0)
    } else {
        free.w
    };
    let fit_rows = if lie == Lie::Landscape {
        (free.h / row_h) as usize
    } else {
        // A third of the page at most; the map is what people look at.
        ((free.h * 0.33) / row_h) as usize
    };
    let (map, table) = if lie == Lie::Landscape {
        (
            Rect::new(free.x, free.y, free.w - table_w - 5.0, free.h),
            Rect::new(free.right() - table_w, free.y, table_w, free.h),
        )
    } else {
        let used = rows.len().div_ceil(columns).min(fit_rows.max(1)) as f64 * row_h;
        (
            Rect::new(free.x, free.y, free.w, free.h - used - 4.0),
            Rect::new(free.x, free.bottom() - used, free.w, used),
        )
    };
    draw_map(&mut pen, course, map, words);
    draw_rows(&mut pen, &rows, table, columns, fit_rows.max(1), row_h);
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

fn rows(planned: &[Planned<'_>], words: &Words) -> Vec<[String; 4]> {
    planned
        .iter()
        .map(|p| {
            [
                clean(&p.fairway.name),
                words
                    .say(&format!("pattern.{}", p.mow.pattern.word()))
                    .to_string(),
                words.field(p.measures.fairway_m2),
                words.minutes(p.measures.minutes),
            ]
        })
        .collect()
}

fn draw_rows(
    pen: &mut Pen,
    rows: &[[String; 4]],
    room: Rect,
    columns: usize,
    most: usize,
    row_h: f64,
) {
    let w = room.w / columns as f64 - 4.0;
    let per = rows.len().div_ceil(columns).min(most).max(1);
    // Shares of a row: name, pattern, area, time.
    let shares = [0.0, 0.12, 0.48, 0.70, 1.0];
    for (i, row) in rows.iter().take(per * columns).enumerate() {
        let x = room.x + (w + 4.0) * (i / per) as f64;
        let base = room.y + row_h * (i % per) as f64 + baseline_mm(SMALL_MM);
        for (j, text) in row.iter().enumerate() {
            let left = x + w * shares[j];
            let weight = if j == 0 {
                Weight::Bold
            } else {
                Weight::Regular
            };
            pen.text(
                shorten(
                    text,
                    SMALL_MM,
                    weight,
                    w * (shares[j + 1] - shares[j]) - 1.5,
                ),
                (left, base),
                SMALL_MM,
                weight,
                Anchor::Start,
            );
        }
        pen.stroke(
            Shape::line((x, base + 1.5), (x + w, base + 1.5)),
            Stroke::solid(BLACK, HAIR_MM),
        );
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
            KeepOutKind::Water | KeepOutKind::Trees => keep_out(&mut inner, &s, k.kind),
            _ => inner.fill_stroke(s, WHITE, Stroke::solid(BLACK, THIN_MM)),
        }
    }
    for f in &course.fairways {
        inner.fill_stroke(
            view.area(&f.ground),
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
    let mut order: Vec<&Fairway> = course.fairways.iter().collect();
    order.sort_by(|a, b| {
        b.ground
            .unsigned_area()
            .total_cmp(&a.ground.unsigned_area())
    });
    for f in order {
        let Some(at) = f.ground.interior_point() else {
            continue;
        };
        let at = view.spot(at.0);
        let name = shorten(&clean(&f.name), LABEL_MM, Weight::Bold, 40.0);
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
