//! The grain of a fairway as a map: how one-sided the passes of a season lie, cell by cell.
//!
//! Darker is more grained, in five steps; short lines show the axis and are the longer the
//! stronger the grain, so that a grey copy says the same.

use crate::drawing::{Anchor, Drawing, Pen, Shape, Stroke};
use crate::ink::{BLACK, GRASS_DARK, GRASS_LIGHT, HEAVY_MM, Ink, MEDIUM_MM, SMALL_MM, THIN_MM};
use crate::lettering::{Rect, Weight, baseline_mm, leading_mm};
use crate::map::keep_out;
use crate::page::{Lie, Paper};
use crate::season_frame::{PageFrame, SeasonPage, date_text};
use crate::signs::north;
use crate::view::{RATIOS, View, up_rad};
use crate::words::Words;
use crossgrain_core::{Course, Fairway};
use crossgrain_season::Programme;
use crossgrain_season::grain::Sum;
use crossgrain_season::programme::Book;
use geo_types::Coord;
use jiff::civil::Date;
use std::f64::consts::FRAC_PI_2;

/// Steps of tone, each up to this R2. The last is a season on one heading.
const STEPS: [f64; 5] = [0.2, 0.4, 0.6, 0.8, 1.0];
/// Lines are drawn on a lattice this wide on paper, mm: closer ones run together on a copy.
const LINE_SPACING_MM: f64 = 6.0;
/// R2 below which no line is drawn: no axis to speak of.
const MIN_LINE: f64 = 0.1;

/// A map page for each fairway.
pub fn grain_pages(
    p: &Programme,
    course: &Course,
    day: Date,
    paper: Paper,
    words: &Words,
) -> Vec<SeasonPage> {
    p.books
        .iter()
        .enumerate()
        .filter_map(|(i, b)| {
            let fairway = course.fairways.get(b.index)?;
            let drawing = grain_map(p, b, fairway, day, paper, words);
            Some(SeasonPage {
                name: format!("grain-{:02}", i + 1),
                drawing,
            })
        })
        .collect()
}

/// The map of one fairway.
pub fn grain_map(
    p: &Programme,
    book: &Book,
    fairway: &Fairway,
    day: Date,
    paper: Paper,
    words: &Words,
) -> Drawing {
    let title = words.fill(
        "season.grain",
        &[
            ("fairway", &crate::lettering::clean(fairway.name())),
            ("date", &date_text(day, words)),
        ],
    );
    let foot = [
        words.say("season.grain_note").to_string(),
        words.say("season.caution").to_string(),
    ];
    let mut f = PageFrame::new(&title, &p.course, &foot, paper, Lie::Portrait, words);
    let mut room = f.room;
    legend(&mut f.pen, book, day, &mut room, words);
    let Some(view) = fit(fairway, room) else {
        return f.page(String::new()).drawing;
    };
    let mut ground = Pen::new();
    cells(&mut ground, &view, book, &book.lay_on(day));
    let edge = view.area(fairway.ground());
    f.pen
        .clipped("grain", Some(edge.clone()), 1.0, ground.marks);
    let mut keeps = Pen::new();
    for k in fairway.keep_outs() {
        let mut s = Shape::new();
        view.add_polygon(&mut s, &k.area);
        keep_out(&mut keeps, &s, k.kind);
    }
    // Keep-outs may reach past the room that the map has.
    f.pen
        .clipped("keep-outs", Some(Shape::rect(room)), 1.0, keeps.marks);
    // The edge of the grass, which goes round what bites into it.
    f.pen.stroke(edge, Stroke::solid(BLACK, HEAVY_MM));
    let up = view.angle(FRAC_PI_2);
    north(
        &mut f.pen,
        (room.right() - 9.0, room.y + 14.0),
        14.0,
        up,
        words.say("north"),
    );
    f.page(String::new()).drawing
}

/// Five tones with their figures, and the figures of the whole fairway.
fn legend(pen: &mut Pen, book: &Book, day: Date, room: &mut Rect, words: &Words) {
    let lay = book.figures_on(day);
    let figure = |x: f64| words.number(x, 2);
    let text = words.fill(
        "season.grain_figures",
        &[
            ("r2", &figure(lay.r2_mean)),
            ("r2p", &figure(lay.r2_p95)),
            ("r1", &figure(lay.r1_mean)),
            ("r1p", &figure(lay.r1_p95)),
        ],
    );
    pen.text(
        text,
        (room.x, room.y + baseline_mm(SMALL_MM)),
        SMALL_MM,
        Weight::Regular,
        Anchor::Start,
    );
    let y = room.y + leading_mm(SMALL_MM) + 1.0;
    let w = 24.0;
    for (i, top) in STEPS.iter().enumerate() {
        let x = room.x + i as f64 * w;
        pen.fill_stroke(
            Shape::rect(Rect::new(x, y, 6.0, 5.0)),
            tone(i),
            Stroke::solid(BLACK, THIN_MM),
        );
        pen.text(
            format!("≤ {}", words.number(*top, 1)),
            (x + 7.5, y + 4.0),
            SMALL_MM,
            Weight::Regular,
            Anchor::Start,
        );
    }
    let used = leading_mm(SMALL_MM) + 9.0;
    *room = Rect::new(room.x, room.y + used, room.w, room.h - used);
}

/// From the light stripe's tone to darker than the dark one's.
fn tone(step: usize) -> Ink {
    let t = step as f64 / (STEPS.len() - 1) as f64;
    // A third beyond the dark stripe: lines on it are black and still stand out (8:1).
    let mix = |a: u8, b: u8| {
        let (a, b) = (f64::from(a), f64::from(b));
        (a + 1.35 * t * (b - a)).clamp(0.0, 255.0).round() as u8
    };
    Ink(
        mix(GRASS_LIGHT.0, GRASS_DARK.0),
        mix(GRASS_LIGHT.1, GRASS_DARK.1),
        mix(GRASS_LIGHT.2, GRASS_DARK.2),
    )
}

fn step(r2: f64) -> usize {
    STEPS
        .iter()
        .position(|s| r2 <= *s)
        .unwrap_or(STEPS.len() - 1)
}

/// The largest standard scale at which the fairway fits, green up.
fn fit(fairway: &Fairway, room: Rect) -> Option<View> {
    let turn_rad = FRAC_PI_2 - up_rad(fairway);
    let (s, c) = turn_rad.sin_cos();
    let mut lo = (f64::MAX, f64::MAX);
    let mut hi = (f64::MIN, f64::MIN);
    for p in fairway.outline().iter().flat_map(|p| p.exterior().0.iter()) {
        let (x, y) = (p.x * c - p.y * s, p.x * s + p.y * c);
        lo = (lo.0.min(x), lo.1.min(y));
        hi = (hi.0.max(x), hi.1.max(y));
    }
    if lo.0 > hi.0 {
        return None;
    }
    let (w, h) = (hi.0 - lo.0, hi.1 - lo.1);
    let ratio = RATIOS
        .iter()
        .map(|r| f64::from(*r))
        .find(|r| w * 1000.0 / r <= room.w - 4.0 && h * 1000.0 / r <= room.h - 4.0)
        .unwrap_or_else(|| f64::max(w * 1000.0 / (room.w - 4.0), h * 1000.0 / (room.h - 4.0)));
    let (mx, my) = (f64::midpoint(lo.0, hi.0), f64::midpoint(lo.1, hi.1));
    Some(View {
        ratio,
        turn_rad,
        // Back into unturned metres.
        centre: Coord {
            x: mx * c + my * s,
            y: -mx * s + my * c,
        },
        at: (room.x + room.w / 2.0, room.y + room.h / 2.0),
    })
}

fn cells(pen: &mut Pen, view: &View, book: &Book, sums: &[Sum]) {
    let cells = book.cells();
    let half = cells.cell_m / 2.0;
    let mut tones: Vec<Shape> = vec![Shape::new(); STEPS.len()];
    let mut lines = Shape::new();
    let every = (LINE_SPACING_MM / (cells.cell_m * view.mm_per_m())).max(1.0);
    let on_lattice = |v: f64| ((v / cells.cell_m).floor().rem_euclid(every.round())) < 0.5;
    for (cell, sum) in cells.cells.iter().zip(sums) {
        let Some((_, r2)) = sum.lay() else { continue };
        let r2 = f64::from(r2);
        let c = cell.centre;
        let h = half;
        tones[step(r2)].add_points(
            [(-h, -h), (h, -h), (h, h), (-h, h)].map(|(x, y)| {
                view.spot(Coord {
                    x: c.x + x,
                    y: c.y + y,
                })
            }),
            true,
        );
        if let Some(axis) = sum.axis_deg()
            && r2 > MIN_LINE
            && on_lattice(c.x)
            && on_lattice(c.y)
        {
            let angle = view.angle(crossgrain_core::inside::model::quantity::math_rad(axis));
            let at = view.spot(c);
            let reach = 0.46 * LINE_SPACING_MM * r2;
            let end = |k: f64| {
                (
                    at.0 + k * reach * angle.cos(),
                    at.1 + k * reach * angle.sin(),
                )
            };
            lines.add_points([end(-1.0), end(1.0)], false);
        }
    }
    // A hair of its own tone round each cell, so that no white shows between neighbours.
    for (i, shape) in tones.into_iter().enumerate() {
        pen.fill_stroke(shape, tone(i), Stroke::solid(tone(i), 0.1));
    }
    pen.stroke(lines, Stroke::solid(BLACK, MEDIUM_MM).rounded());
}
