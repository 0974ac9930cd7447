//! The header: fairway, pattern and way, readable from across the shed.

use super::clock_hours::clock_hours;
use super::job::Job;
use crate::drawing::{Anchor, Pen, Shape, Stroke, moved};
use crate::ink::{BLACK, HEAVY_MM, NUMBER_MM, SMALL_MM, TITLE_MM};
use crate::lettering::{
    Rect, Weight, baseline_mm, cap_mm, clean, fit_mm, leading_mm, shorten, width_mm, wrap,
};
use crate::locator::locator;
use crate::sentences::sense_key;
use crate::signs::{Hand, clock, crossing, pattern};
use crate::telling::first_pattern_way_rad;
use crate::view::up_rad;
use crate::words::{Words, as_width};
use crossgrain_core::inside::model::quantity::compass_deg;
use crossgrain_core::{Fairway, Mow, PatternKind, Role};
use std::f64::consts::FRAC_PI_2;

/// Width and height of the locator, mm.
const LOCATOR_MM: f64 = 27.0;

/// The way of the first pass of the pattern, radians; the heading where the drive is empty.
fn way_rad(mow: &Mow) -> Option<f64> {
    first_pattern_way_rad(mow).or(mow
        .heading_deg()
        .map(crossgrain_core::inside::model::quantity::math_rad))
}

/// Where the first pass of the pattern comes from and goes to, in hours on the clock with the green
/// at 12, as sheet and board show them; none without a hole line, and for passes that bend with the
/// hole or go round.
pub fn first_pass_hours(fairway: &Fairway, mow: &Mow) -> Option<(String, String)> {
    fairway.hole_line()?;
    mow.heading_deg()?;
    way_rad(mow).map(|way| clock_hours(compass_deg(way), up_rad(fairway)))
}

/// The hand of the clock and the words beside the pattern: the way of the first pass, as the
/// hand shows it. The hours come first, the compass in brackets after them.
fn way(mow: &Mow, has_hole: bool, up_rad: f64, words: &Words) -> (Hand, String, String) {
    let Some(way) = way_rad(mow) else {
        let sense = words.say(sense_key(mow.sense())).to_string();
        return (Hand::Round(mow.sense()), sense.clone(), sense);
    };
    let hand = Hand::Along(-(way + FRAC_PI_2 - up_rad));
    // A contour pass follows the hole; the clock face says it all.
    if mow.heading_deg().is_none() {
        return (hand, String::new(), String::new());
    }
    let deg = compass_deg(way);
    // Rounded to whole degrees, north is 0 and never 360.
    let compass = format!("{}°", deg.round().rem_euclid(360.0));
    if has_hole {
        let (from, to) = clock_hours(deg, up_rad);
        let hours = format!("{from}–{to}");
        (hand, hours.clone(), format!("{hours} ({compass})"))
    } else {
        (hand, compass.clone(), compass)
    }
}

/// The hand of the clock for a mow, and its hours; what a sheet of the same mow shows.
pub(crate) fn way_of(fairway: &Fairway, mow: &Mow, words: &Words) -> (Hand, String) {
    let (hand, hours, _) = way(mow, fairway.hole_line().is_some(), up_rad(fairway), words);
    (hand, hours)
}

/// Draws the sign of a mow's pattern; returns the key of its name.
pub(crate) fn pattern_sign(pen: &mut Pen, frame: Rect, mow: &Mow) -> String {
    if crossing_alone(mow) {
        crossing(pen, frame);
        "pattern.crossing".to_string()
    } else {
        pattern(pen, frame, mow.pattern(), mow.sense());
        pattern_key(mow.pattern())
    }
}

/// Radius of the clock face, mm.
const CLOCK_MM: f64 = 12.5;
/// Side of the pattern's sign, mm.
const SIGN_MM: f64 = 24.0;

impl Job<'_> {
    pub(super) fn header(&self, pen: &mut Pen, r: Rect) {
        let used = self.number(pen, r);
        let x = r.x + used.max(24.0) + 8.0;
        let frame = Rect::new(x, r.y + (r.h - SIGN_MM) / 2.0, SIGN_MM, SIGN_MM);
        let key = pattern_sign(pen, frame, self.input.mow);
        let tx = x + SIGN_MM + 5.0;
        let room = r.right() - 2.0 * CLOCK_MM - LOCATOR_MM - 9.0 - tx;
        let has_hole = self.input.fairway.hole_line().is_some();
        let (hand, _, heading) = way(self.input.mow, has_hole, self.up_rad, self.input.words);
        let large = [
            (self.input.words.say(&key), TITLE_MM, 9.5),
            (heading.as_str(), TITLE_MM * 0.8, 19.0),
        ];
        for (text, largest, below) in large {
            let size = fit_mm(text, Weight::Bold, room, largest, SMALL_MM);
            pen.text(
                shorten(text, size, Weight::Bold, room),
                (tx, r.y + below),
                size,
                Weight::Bold,
                Anchor::Start,
            );
        }
        for (line, below) in self.small_lines(room).iter().zip([25.5, 31.0]) {
            pen.text(
                shorten(line, SMALL_MM, Weight::Regular, room),
                (tx, r.y + below),
                SMALL_MM,
                Weight::Regular,
                Anchor::Start,
            );
        }
        self.locator(pen, r);
        let centre = (r.right() - CLOCK_MM - 1.0, r.bottom() - CLOCK_MM - 0.5);
        clock(pen, centre, CLOCK_MM, hand, has_hole);
        pen.stroke(
            Shape::line((r.x, r.bottom() + 1.0), (r.right(), r.bottom() + 1.0)),
            Stroke::solid(BLACK, HEAVY_MM),
        );
    }

    /// The fairway's name as large as it goes, under what it is; returns its width.
    fn number(&self, pen: &mut Pen, r: Rect) -> f64 {
        let words = self.input.words;
        let name = clean(self.input.fairway.name());
        let room = r.w * 0.28;
        let label = words.say(if self.input.name_confirmed {
            "fairway"
        } else {
            "fairway.unconfirmed"
        });
        // Beside it stands the pattern's sign: a long label takes more lines, not more width.
        let lines = wrap(label, SMALL_MM, Weight::Bold, 30.0);
        for (i, line) in lines.iter().enumerate() {
            let top = r.y + i as f64 * leading_mm(SMALL_MM);
            pen.text(
                line,
                (r.x, top + baseline_mm(SMALL_MM)),
                SMALL_MM,
                Weight::Bold,
                Anchor::Start,
            );
        }
        let above = 1.0 + lines.len() as f64 * leading_mm(SMALL_MM);
        let tallest = NUMBER_MM.min((r.h - above) / cap_mm(1.0));
        let size = fit_mm(&name, Weight::Bold, room, tallest, TITLE_MM.min(tallest));
        let shown = shorten(&name, size, Weight::Bold, room);
        let used = width_mm(&shown, size, Weight::Bold);
        pen.text(
            shown,
            (r.x, r.y + above + (r.h - above + cap_mm(size)) / 2.0),
            size,
            Weight::Bold,
            Anchor::Start,
        );
        used
    }

    /// The course and the mower; with a plan its number and day in a line of their own, because
    /// joined, the end of the date is what would be cut off.
    fn small_lines(&self, room: f64) -> [String; 2] {
        let words = self.input.words;
        let course = clean(&self.input.course.name);
        // A deck named after its width has it among the settings already.
        let mower = match as_width(&self.input.mower.name) {
            Some(_) => String::new(),
            None => clean(&self.input.mower.name),
        };
        // Sheets of an earlier plan in the same pocket are told by this.
        match self.input.plan {
            None => [course, mower],
            Some((number, date)) => [
                course_and_mower(&course, &mower, room),
                words.fill("sheet.plan", &[("number", number), ("date", date)]),
            ],
        }
    }

    /// Where the fairway lies on the course.
    fn locator(&self, pen: &mut Pen, r: Rect) {
        let marks = locator(
            self.input.course,
            self.input.fairway,
            FRAC_PI_2 - self.up_rad,
            LOCATOR_MM,
            LOCATOR_MM,
        );
        let (x, y) = (
            r.right() - 2.0 * CLOCK_MM - LOCATOR_MM - 6.0,
            r.bottom() - LOCATOR_MM - 0.5,
        );
        pen.group("where", moved(marks, x, y));
    }
}

/// Both names in one line; the course's is the one that is shortened.
fn course_and_mower(course: &str, mower: &str, room: f64) -> String {
    if mower.is_empty() {
        return course.to_string();
    }
    let end = format!(" · {mower}");
    let left = room - width_mm(&end, SMALL_MM, Weight::Regular);
    // A few letters of a name say nothing.
    if left < 20.0 {
        return mower.to_string();
    }
    format!("{}{end}", shorten(course, SMALL_MM, Weight::Regular, left))
}

/// Whether a cross cut has one of its two sets only.
pub(super) fn crossing_alone(mow: &Mow) -> bool {
    let sets = |wanted: bool| {
        mow.legs()
            .iter()
            .any(|l| matches!(l.role, Role::Stripe { set, .. } if (set == 0) == wanted))
    };
    mow.pattern() == PatternKind::Cross && sets(true) != sets(false)
}

pub(super) fn pattern_key(kind: PatternKind) -> String {
    format!("pattern.{}", kind.word())
}
