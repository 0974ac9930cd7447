//! The operator sheet: one page, one fairway, one mow.
//!
//! The page answers, in order: which fairway, which pattern, which way (from across the shed);
//! what to set (before leaving); where to come in (on arrival); what comes next (at the wheel);
//! what is left (at the end); and keeps the cautions in sight.

use crate::blocks::{self, Block, KeyOf};
use crate::cautions;
use crate::drawing::{Anchor, Drawing, Mark, Pen, Shape, Stroke, moved};
use crate::ink::{
    BLACK, HAIR_MM, HEAVY_MM, MEDIUM_MM, NUMBER_MM, SMALL_MM, THIN_MM, TITLE_MM, WHITE,
};
use crate::lettering::{
    Rect, Weight, baseline_mm, cap_mm, clean, fit_mm, leading_mm, shorten, width_mm,
};
use crate::locator::locator;
use crate::loop_detail;
use crate::map::{Ground, light_direction};
use crate::marks::{Marks, PassMark, Places, passes};
use crate::page::{Lie, MARGIN_MM, Paper};
use crate::signs::{Hand, clock, north, pattern};
use crate::view::{Extent, Part, up_rad};
use crate::words::{Words, as_width};
use crossgrain_core::ground::reach::reach;
use crossgrain_core::polygon::overlay::Overlay;
use crossgrain_core::{Course, Fairway, Mow, Mower, PatternKind, Reels};
use crossgrain_metrics::Measures;
use crossgrain_metrics::coverage::{OUTLINE_TOLERANCE_M, Scene, outlines};
use geo::Area;
use geo_types::MultiPolygon;
use std::f64::consts::{FRAC_PI_2, TAU};

/// Everything a sheet shows.
#[derive(Debug, Clone)]
pub struct SheetInput<'a> {
    /// The course.
    pub course: &'a Course,
    /// The fairway.
    pub fairway: &'a Fairway,
    /// The mower.
    pub mower: &'a Mower,
    /// The mow.
    pub mow: &'a Mow,
    /// Its measures.
    pub measures: &'a Measures,
    /// What the mow leaves, when it has been worked out already.
    pub left: Option<&'a Left>,
    /// Paper.
    pub paper: Paper,
    /// Language and units.
    pub words: &'a Words,
    /// Height of cut, metres; a line to write on without.
    pub height_of_cut_m: Option<f64>,
    /// Date as it is to stand on the sheet; a line to write on without.
    pub date: Option<&'a str>,
}

impl<'a> SheetInput<'a> {
    /// A sheet without date and height of cut.
    pub fn new(
        course: &'a Course,
        fairway: &'a Fairway,
        mower: &'a Mower,
        mow: &'a Mow,
        measures: &'a Measures,
        paper: Paper,
        words: &'a Words,
    ) -> Self {
        Self {
            course,
            fairway,
            mower,
            mow,
            measures,
            left: None,
            paper,
            words,
            height_of_cut_m: mower.bench_height_m,
            date: None,
        }
    }
}

/// What a mow leaves on the ground, for the map.
#[derive(Debug, Clone, PartialEq)]
pub struct Left {
    /// Outside the reach of a deck this wide.
    pub trim: MultiPolygon<f64>,
    /// Inside the reach, but missed.
    pub missed: MultiPolygon<f64>,
}

/// Missed ground below this is a rounding of edges and nothing to send a mower for, square metres.
pub const LEAST_MISSED_M2: f64 = 0.1;

/// Works out what a mow leaves. Slivers thinner than a pencil line on paper are dropped.
pub fn left_of(fairway: &Fairway, mower: &Mower, mow: &Mow, measures: &Measures) -> Left {
    let reach = reach(&fairway.ground, mower.cutting_width_m());
    // A twentieth of a square metre: the seam between two roundings, not grass.
    const SLIVER_M2: f64 = 0.05;
    let trim = MultiPolygon(
        fairway
            .ground
            .difference(&reach)
            .0
            .into_iter()
            .filter(|p| p.unsigned_area() > SLIVER_M2)
            .collect(),
    );
    let missed = if measures.missed_m2 >= LEAST_MISSED_M2 {
        let keep_outs = fairway.keep_out_area();
        outlines(
            &Scene {
                ground: &fairway.ground,
                reach: &reach,
                keep_outs: &keep_outs,
                mower,
                tracks: &mow.tracks,
            },
            OUTLINE_TOLERANCE_M,
        )
        .missed
    } else {
        MultiPolygon(Vec::new())
    };
    Left { trim, missed }
}

/// Draws the sheet of one mow.
pub fn sheet(input: &SheetInput<'_>) -> Drawing {
    let own;
    let left = match input.left {
        Some(l) => l,
        None => {
            own = left_of(input.fairway, input.mower, input.mow, input.measures);
            &own
        }
    };
    let up = up_rad(input.fairway);
    let (light_rad, toward_green) = light_direction(input.mow, up);
    let job = Job {
        input,
        trim: &left.trim,
        missed: &left.missed,
        passes: passes(input.mow),
        up_rad: up,
        light_rad,
        toward_green: toward_green && input.fairway.hole_line.is_some(),
        extent: Extent::of(
            input.fairway,
            input.mow,
            match input.mow.pattern {
                PatternKind::Loops => input.mow.settings.lane_spacing_m,
                _ => input.mow.settings.spacing_m,
            }
            .unwrap_or(input.mower.cutting_width_m()),
        ),
    };
    // A crowded sheet sheds words before it sheds its map: first the key, then what the crew can
    // read off the map. Cautions and settings always stay.
    for lean in [Lean::Full, Lean::NoKey, Lean::MapOnly] {
        if let Some(page) = job.best(lean) {
            return page;
        }
    }
    job.blank()
}

/// What a crowded sheet leaves out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Lean {
    /// Nothing.
    Full,
    /// The key.
    NoKey,
    /// The key and all words but where to start.
    MapOnly,
}

/// How a page is divided.
#[derive(Debug, Clone, Copy)]
struct Plan {
    lie: Lie,
    /// Columns of words.
    columns: usize,
    /// Words below the map instead of beside it.
    below: bool,
}

struct Job<'a> {
    input: &'a SheetInput<'a>,
    trim: &'a MultiPolygon<f64>,
    missed: &'a MultiPolygon<f64>,
    passes: Vec<PassMark>,
    up_rad: f64,
    light_rad: f64,
    toward_green: bool,
    extent: Extent,
}

/// Space between parts of the page, mm.
const GAP_MM: f64 = 4.0;
/// Height of the header, mm: the fairway's number and a word over it.
const HEADER_MM: f64 = 32.0;
/// Width of the north arrow's place beside the scale, mm.
const NORTH_MM: f64 = 14.0;
/// Width and height of the locator, mm.
const LOCATOR_MM: f64 = 27.0;
/// Height of the strip with the scale bar under the map, mm.
const STRIP_MM: f64 = 12.0;

impl Job<'_> {
    fn title(&self) -> String {
        let w = self.input.words;
        format!(
            "{} {}: {}",
            w.say("fairway"),
            clean(&self.input.fairway.name),
            w.say(&format!("pattern.{}", self.input.mow.pattern.word())),
        )
    }

    fn drawing(&self, lie: Lie, marks: Vec<Mark>) -> Drawing {
        let (width, height) = self.input.paper.lying_mm(lie);
        Drawing {
            width,
            height,
            title: self.title().chars().take(200).collect(),
            language: self.input.words.code().to_string(),
            marks,
        }
    }

    /// A sheet for a ground that cannot be drawn: the words are still there.
    fn blank(&self) -> Drawing {
        let (w, _) = self.input.paper.lying_mm(Lie::Portrait);
        let mut pen = Pen::new();
        self.header(
            &mut pen,
            Rect::new(MARGIN_MM, MARGIN_MM, w - 2.0 * MARGIN_MM, HEADER_MM),
        );
        self.drawing(Lie::Portrait, pen.marks)
    }

    /// The page with the largest scale among the ways to divide it.
    fn best(&self, lean: Lean) -> Option<Drawing> {
        // Only the chosen page is drawn; the others are laid out to learn their scale.
        let mut best: Option<(f64, Plan)> = None;
        for (lie, columns, below) in [
            (Lie::Portrait, 1, false),
            (Lie::Portrait, 2, false),
            (Lie::Portrait, 3, true),
            (Lie::Landscape, 2, false),
            (Lie::Landscape, 4, true),
        ] {
            let plan = Plan {
                lie,
                columns,
                below,
            };
            if let Some((ratio, _)) = self.draw(plan, lean, false)
                && best.is_none_or(|b| ratio < b.0)
            {
                best = Some((ratio, plan));
            }
        }
        self.draw(best?.1, lean, true).map(|d| d.1)
    }

    /// One way to divide the page, with its ratio; the map is left white unless `with_map`.
    fn draw(&self, plan: Plan, lean: Lean, with_map: bool) -> Option<(f64, Drawing)> {
        let (page_w, page_h) = self.input.paper.lying_mm(plan.lie);
        let body = Rect::new(0.0, 0.0, page_w, page_h).inset(MARGIN_MM);
        let words = self.input.words;
        let mut pen = Pen::new();
        self.header(&mut pen, Rect::new(body.x, body.y, body.w, HEADER_MM));
        let mut top = body.y + HEADER_MM + GAP_MM * 0.6;
        let set = blocks::settings_row(
            &blocks::settings(
                self.input.mow,
                self.input.mower,
                self.input.height_of_cut_m,
                words,
            ),
            body.w,
        );
        pen.group("set", moved(set.marks, body.x, top));
        top += set.height + GAP_MM;
        let (warn, warn_h) = cautions::band(
            &cautions::of_mow(
                self.input.fairway,
                self.input.mow,
                self.input.measures,
                words,
            ),
            words,
            body.w,
        );
        let mut bottom = body.bottom() - warn_h;
        pen.group("cautions", moved(warn, body.x, bottom));
        let fields = blocks::fields(self.input.date, words, body.w);
        bottom -= fields.height + GAP_MM * 0.5;
        pen.group("fields", moved(fields.marks, body.x, bottom));
        let key = blocks::key(
            &KeyOf {
                fairway: self.input.fairway,
                mow: self.input.mow,
                trim: !self.trim.0.is_empty(),
                missed: !self.missed.0.is_empty(),
                toward_green: self.toward_green,
            },
            words,
            body.w,
        );
        if lean == Lean::Full {
            bottom -= key.height;
            pen.group("key", moved(key.marks, body.x, bottom));
        }
        let free = Rect::new(body.x, top, body.w, bottom - GAP_MM * 0.5 - top);
        let column = if plan.below {
            (free.w - GAP_MM * (plan.columns - 1) as f64) / plan.columns as f64
        } else {
            // Wide enough for five or six words a line; narrower when there are two.
            let (least, most) = if plan.columns > 1 {
                (50.0, 70.0)
            } else {
                (62.0, 84.0)
            };
            (free.w * 0.35 / plan.columns as f64).clamp(least, most)
        };
        if free.h < 40.0 || column < 40.0 {
            return None;
        }
        let mut stack = self.words_blocks(column);
        if lean == Lean::MapOnly {
            // What stands first is what nobody can do without: where to start.
            stack.truncate(1);
        }
        let (map_room, spots) = if plan.below {
            // The lowest height at which the blocks fit into the columns, in steps of 2 mm.
            let mut h = 20.0;
            let spots = loop {
                if h > free.h - 50.0 {
                    return None;
                }
                if let Some(s) = pack(&stack, plan.columns, column, h) {
                    break s;
                }
                h += 2.0;
            };
            (
                Rect::new(free.x, free.y, free.w, free.h - h - GAP_MM),
                spots
                    .into_iter()
                    .map(|(x, y)| (free.x + x, free.bottom() - h + y))
                    .collect::<Vec<_>>(),
            )
        } else {
            let spots = pack(&stack, plan.columns, column, free.h)?;
            let words_w = column * plan.columns as f64 + GAP_MM * (plan.columns - 1) as f64;
            let map_w = free.w - words_w - GAP_MM;
            (
                Rect::new(free.x, free.y, map_w, free.h),
                spots
                    .into_iter()
                    .map(|(x, y)| (free.x + map_w + GAP_MM + x, free.y + y))
                    .collect(),
            )
        };
        for (block, (x, y)) in stack.into_iter().zip(spots) {
            pen.group("words", moved(block.marks, x, y));
        }
        let ratio = self.map(&mut pen, map_room, with_map)?;
        Some((ratio, self.drawing(plan.lie, pen.marks)))
    }

    fn heading_words(&self) -> String {
        let mow = self.input.mow;
        match mow.heading_deg {
            Some(h) => {
                let compass = format!("{:.0}°", h.rem_euclid(360.0));
                if self.input.fairway.hole_line.is_some() {
                    let (from, to) = clock_hours(h, self.up_rad);
                    format!("{from}–{to} ({compass})")
                } else {
                    compass
                }
            }
            // A contour pass follows the hole; the clock face says it all.
            None if mow.pattern == PatternKind::Contour => String::new(),
            None => self
                .input
                .words
                .say(blocks::sense_key(mow.sense))
                .to_string(),
        }
    }

    fn header(&self, pen: &mut Pen, r: Rect) {
        let words = self.input.words;
        let mow = self.input.mow;
        // The fairway's number.
        let name = clean(&self.input.fairway.name);
        let clock_r = 12.5;
        let sign = 24.0;
        let room = r.w * 0.28;
        pen.text(
            words.say("fairway"),
            (r.x, r.y + baseline_mm(SMALL_MM)),
            SMALL_MM,
            Weight::Bold,
            Anchor::Start,
        );
        let size = fit_mm(&name, Weight::Bold, room, NUMBER_MM, TITLE_MM);
        pen.text(
            shorten(&name, size, Weight::Bold, room),
            (r.x, r.y + 6.0 + (r.h - 6.0 + cap_mm(size)) / 2.0),
            size,
            Weight::Bold,
            Anchor::Start,
        );
        let used = width_mm(
            &shorten(&name, size, Weight::Bold, room),
            size,
            Weight::Bold,
        );
        // The pattern: a sign and a word.
        let x = r.x + used.max(24.0) + 8.0;
        pattern(
            pen,
            Rect::new(x, r.y + (r.h - sign) / 2.0, sign, sign),
            mow.pattern,
            mow.sense,
        );
        let tx = x + sign + 5.0;
        let room = r.right() - 2.0 * clock_r - LOCATOR_MM - 9.0 - tx;
        let word = words.say(pattern_key(mow.pattern));
        let size = fit_mm(word, Weight::Bold, room, TITLE_MM, SMALL_MM);
        pen.text(
            shorten(word, size, Weight::Bold, room),
            (tx, r.y + 9.5),
            size,
            Weight::Bold,
            Anchor::Start,
        );
        let heading = self.heading_words();
        let size = fit_mm(&heading, Weight::Bold, room, TITLE_MM * 0.8, SMALL_MM);
        pen.text(
            shorten(&heading, size, Weight::Bold, room),
            (tx, r.y + 19.0),
            size,
            Weight::Bold,
            Anchor::Start,
        );
        let course = clean(&self.input.course.name);
        // A deck named after its width has it among the settings already.
        let mower = match as_width(&self.input.mower.name) {
            Some(_) => String::new(),
            None => clean(&self.input.mower.name),
        };
        pen.text(
            shorten(&course, SMALL_MM, Weight::Regular, room),
            (tx, r.y + 25.5),
            SMALL_MM,
            Weight::Regular,
            Anchor::Start,
        );
        pen.text(
            shorten(&mower, SMALL_MM, Weight::Regular, room),
            (tx, r.y + 31.0),
            SMALL_MM,
            Weight::Regular,
            Anchor::Start,
        );
        let turn = FRAC_PI_2 - self.up_rad;
        pen.group(
            "where",
            moved(
                locator(
                    self.input.course,
                    self.input.fairway,
                    turn,
                    LOCATOR_MM,
                    LOCATOR_MM,
                ),
                r.right() - 2.0 * clock_r - LOCATOR_MM - 6.0,
                r.bottom() - LOCATOR_MM - 0.5,
            ),
        );
        let centre = (r.right() - clock_r - 1.0, r.bottom() - clock_r - 0.5);
        let hand = match mow.heading_deg {
            Some(h) => {
                Hand::Along(-(crossgrain_core::model::units::math_rad(h) + FRAC_PI_2 - self.up_rad))
            }
            None if mow.pattern == PatternKind::Contour => Hand::Along(-FRAC_PI_2),
            None => Hand::Round(mow.sense),
        };
        clock(
            pen,
            centre,
            clock_r,
            hand,
            self.input.fairway.hole_line.is_some(),
        );
        pen.stroke(
            Shape::line((r.x, r.bottom() + 1.0), (r.right(), r.bottom() + 1.0)),
            Stroke::solid(BLACK, HEAVY_MM),
        );
    }

    fn words_blocks(&self, width: f64) -> Vec<Block> {
        let words = self.input.words;
        let mow = self.input.mow;
        let mut out = Vec::new();
        // On arrival.
        let mut arrival = Vec::new();
        if self.input.fairway.way_in.is_some() {
            arrival.push(words.say("come_in").to_string());
        }
        arrival.push(words.fill("first_start", &[("side", &self.first_way())]));
        let rings = blocks::cleanup_sense(mow).is_some();
        arrival.push(
            words
                .say(match mow.pattern {
                    _ if rings => "keep_edge",
                    PatternKind::Rings => "keep_edge",
                    _ => "keep_line",
                })
                .to_string(),
        );
        out.push(blocks::lines(words.say("arrival"), &arrival, width));
        // At the wheel.
        let mut wheel = blocks::order(&self.passes, mow, self.up_rad, words);
        if mow.pattern == PatternKind::Loops {
            if let (Some(h), true) = (mow.heading_deg, self.input.fairway.hole_line.is_some()) {
                let (_, to) = clock_hours(h, self.up_rad);
                wheel.push(words.fill("keep_centre", &[("mark", &to)]));
            }
            if let Some(n) = mow.settings.loops_per_lane {
                wheel.push(words.fill("loops_to_lane", &[("count", &n.to_string())]));
            }
        } else {
            wheel.push(words.say("lift_at_marks").to_string());
        }
        out.push(blocks::lines(words.say("wheel"), &wheel, width));
        if mow.pattern == PatternKind::Loops
            && let Some((marks, height)) = loop_detail::detail(mow, self.input.mower, words, width)
        {
            let mut pen = Pen::new();
            let y = blocks::heading(&mut pen, words.say("one_loop"), width);
            pen.marks.extend(moved(marks, 0.0, y + 1.0));
            out.push(Block {
                marks: pen.marks,
                height: y + 1.0 + height,
            });
        }
        out.push(blocks::at_the_end(
            self.input.measures,
            !self.missed.0.is_empty(),
            words,
            width,
        ));
        out
    }

    /// Which way the first pass goes, in words.
    fn first_way(&self) -> String {
        let words = self.input.words;
        let Some(t) = self
            .input
            .mow
            .tracks
            .iter()
            .find(|t| t.reels == Reels::Down)
        else {
            return String::new();
        };
        let off = crossgrain_core::model::pose::fold_rad(t.start().heading_rad - self.up_rad);
        if self.input.fairway.hole_line.is_some() {
            // Within a half hour of straight up or down the green is the better mark.
            if off.cos() > 0.966 {
                return words.say("way.up").to_string();
            }
            if off.cos() < -0.966 {
                return words.say("way.down").to_string();
            }
            let (_, to) = clock_hours(
                crossgrain_core::model::units::compass_deg(t.start().heading_rad),
                self.up_rad,
            );
            return words.fill("way.clock", &[("hour", &to)]);
        }
        format!(
            "{:.0}°",
            crossgrain_core::model::units::compass_deg(t.start().heading_rad)
        )
    }

    /// The map with its strip; returns the ratio.
    fn map(&self, pen: &mut Pen, room: Rect, with_map: bool) -> Option<f64> {
        let words = self.input.words;
        let map = Rect::new(room.x, room.y, room.w, room.h - STRIP_MM);
        if map.h < 40.0 {
            return None;
        }
        let parts = self.extent.lay(map)?;
        if !with_map {
            return Some(parts.first()?.view.ratio);
        }
        let ground = Ground {
            fairway: self.input.fairway,
            mower: self.input.mower,
            mow: self.input.mow,
            trim: self.trim,
            missed: self.missed,
            light_rad: self.light_rad,
        };
        let marks = Marks {
            fairway: self.input.fairway,
            mow: self.input.mow,
            words,
            passes: &self.passes,
        };
        for (i, part) in parts.iter().enumerate() {
            pen.clipped(
                "map",
                Some(Shape::rect(part.frame)),
                1.0,
                ground.draw(&part.view),
            );
            pen.stroke(Shape::rect(part.frame), Stroke::solid(BLACK, HAIR_MM));
            let mut places = Places::new();
            self.match_lines(pen, part, i, parts.len(), &mut places);
            let mut label_pen = Pen::new();
            marks.draw(&mut label_pen, part, &mut places);
            pen.group("marks", label_pen.marks);
        }
        let ratio = parts.first()?.view.ratio;
        self.scale_bar(
            pen,
            Rect::new(room.x, map.bottom(), room.w, STRIP_MM),
            ratio,
        );
        Some(ratio)
    }

    fn match_lines(
        &self,
        pen: &mut Pen,
        part: &Part,
        index: usize,
        count: usize,
        places: &mut Places,
    ) {
        let words = self.input.words;
        let letter = |i: usize| char::from(b'A' + (i % 26) as u8).to_string();
        let lines = [
            part.match_below.map(|y| (y, letter(index - 1))),
            part.match_above.map(|y| (y, letter(index))),
        ];
        for (y, letter) in lines.into_iter().flatten() {
            let text = words.fill("match", &[("letter", &letter)]);
            let text = shorten(&text, SMALL_MM, Weight::Bold, part.frame.w - 2.0);
            let w = width_mm(&text, SMALL_MM, Weight::Bold);
            let h = leading_mm(SMALL_MM);
            let r = Rect::new(part.frame.x + 0.5, y - h / 2.0, w + 1.6, h);
            pen.stroke(
                Shape::line((part.frame.x, y), (part.frame.right(), y)),
                Stroke::dashed(BLACK, MEDIUM_MM, 5.0, 1.5),
            );
            pen.fill(Shape::rect(r), WHITE);
            pen.text(
                text,
                (r.x + 0.8, y + 0.34 * SMALL_MM),
                SMALL_MM,
                Weight::Bold,
                Anchor::Start,
            );
            places.take(r);
        }
        if count > 1 {
            let text = words.fill(
                "part",
                &[
                    ("number", &(index + 1).to_string()),
                    ("count", &count.to_string()),
                ],
            );
            let text = shorten(&text, SMALL_MM, Weight::Bold, part.frame.w - 2.0);
            let r = Rect::new(
                part.frame.x + 0.4,
                part.frame.y + 0.4,
                width_mm(&text, SMALL_MM, Weight::Bold) + 1.6,
                leading_mm(SMALL_MM),
            );
            pen.fill(Shape::rect(r), WHITE);
            pen.text(
                text,
                (r.x + 0.8, r.y + baseline_mm(SMALL_MM)),
                SMALL_MM,
                Weight::Bold,
                Anchor::Start,
            );
            places.take(r);
        }
    }

    fn scale_bar(&self, pen: &mut Pen, r: Rect, ratio: f64) {
        use crossgrain_core::model::units::{UnitSystem, YARD_M};
        let words = self.input.words;
        let unit_m = match words.units {
            UnitSystem::Us => YARD_M,
            UnitSystem::Metric => 1.0,
        };
        let k = 1000.0 / ratio;
        let text = words.fill(
            "scale",
            &[("ratio", &format!("1:{}", words.number(ratio, 0)))],
        );
        let text_w = width_mm(&text, SMALL_MM, Weight::Bold);
        // North, turned with the map.
        let turn = FRAC_PI_2 - self.up_rad;
        north(
            pen,
            (r.right() - 4.6, r.y + 6.0),
            9.4,
            -(FRAC_PI_2 + turn),
            words.say("north"),
        );
        // The longest round bar that leaves room for the words.
        let room = (r.w - text_w - NORTH_MM - 16.0).min(75.0);
        let Some(length) = [500.0, 200.0, 100.0, 50.0, 40.0, 20.0, 10.0, 5.0, 2.0]
            .into_iter()
            .find(|n| n * unit_m * k <= room)
        else {
            return;
        };
        let w = length * unit_m * k;
        let y = r.y + 6.6;
        let h = 1.8;
        for i in 0..4 {
            let box_ = Rect::new(r.x + 2.0 + w / 4.0 * f64::from(i), y, w / 4.0, h);
            pen.fill_stroke(
                Shape::rect(box_),
                if i % 2 == 0 { BLACK } else { WHITE },
                Stroke::solid(BLACK, THIN_MM),
            );
        }
        pen.text(
            "0",
            (r.x + 2.0, y - 1.0),
            SMALL_MM,
            Weight::Regular,
            Anchor::Middle,
        );
        let end = words.ground(length * unit_m);
        // Anchored so that the figure, not its unit, stands over the bar's end.
        let figure = words.number(length, 0);
        let x = r.x + 2.0 + w - width_mm(&figure, SMALL_MM, Weight::Regular) / 2.0;
        pen.text(end, (x, y - 1.0), SMALL_MM, Weight::Regular, Anchor::Start);
        pen.text(
            text,
            (r.right() - NORTH_MM, y + h),
            SMALL_MM,
            Weight::Bold,
            Anchor::End,
        );
    }
}

fn pattern_key(kind: PatternKind) -> &'static str {
    match kind {
        PatternKind::Stripes => "pattern.stripes",
        PatternKind::Cross => "pattern.cross",
        PatternKind::Loops => "pattern.loops",
        PatternKind::Contour => "pattern.contour",
        PatternKind::HalfAndHalf => "pattern.half-and-half",
        PatternKind::Rings => "pattern.rings",
    }
}

/// Hours on the clock with the green at 12: where a pass comes from and where it goes to, to the
/// half hour.
pub fn clock_hours(heading_deg: f64, up_rad: f64) -> (String, String) {
    let up_deg = crossgrain_core::model::units::compass_deg(up_rad);
    let turn = (heading_deg - up_deg).to_radians().rem_euclid(TAU);
    let halves = (turn / TAU * 24.0).round() as u32 % 24;
    let say = |halves: u32| {
        let h = match halves / 2 {
            0 => 12,
            h => h,
        };
        format!("{h}{}", if halves % 2 == 1 { ":30" } else { "" })
    };
    (say((halves + 12) % 24), say(halves))
}

/// Puts blocks into columns in reading order; `None` when they do not fit.
fn pack(blocks: &[Block], columns: usize, width: f64, height: f64) -> Option<Vec<(f64, f64)>> {
    let (mut column, mut y) = (0, 0.0);
    let mut out = Vec::new();
    for b in blocks {
        if y > 0.0 && y + b.height > height {
            column += 1;
            y = 0.0;
        }
        if column >= columns || b.height > height {
            return None;
        }
        out.push(((width + GAP_MM) * column as f64, y));
        y += b.height + GAP_MM * 0.8;
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_follow_the_hole() {
        // A hole that runs east: 12 is east, 3 is south.
        let (from, to) = clock_hours(180.0, 0.0);
        assert_eq!((from.as_str(), to.as_str()), ("9", "3"));
        let (from, to) = clock_hours(90.0, 0.0);
        assert_eq!((from.as_str(), to.as_str()), ("6", "12"));
        let (_, to) = clock_hours(135.0, 0.0);
        assert_eq!(to, "1:30");
    }
}
