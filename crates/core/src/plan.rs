//! Fairway + mower + settings -> mow: the one call that plans.

use crate::driving::order::Ordering;
use crate::driving::{Stage, Yard, drive_ordered};
use crate::ground::heading::{minimum_width, pass_floor};
use crate::ground::reach::reach;
use crate::model::ground::Fairway;
use crate::model::mow::{Leg, Mow, Note};
use crate::model::mower::Mower;
use crate::model::pattern::Settings;
use crate::model::track::Track;
use crate::model::units::compass_deg;
use crate::patterns::clean_up::rings;
use crate::patterns::site::{Barriers, Site};
use crate::patterns::touch_up::touch_ups;
use crate::patterns::trim_ends::{OVERRUN_ENOUGH, trim_ends};
use crate::swept::swept_area;
use geo::{Area, BooleanOps, Centroid, Distance, Euclidean};
use geo_types::Point;
use std::fmt;

/// Why a mow could not be planned.
#[derive(Debug, Clone, PartialEq)]
pub enum PlanError {
    /// A number that makes no sense.
    BadValue {
        /// Which setting.
        what: &'static str,
        /// Its value, in the unit named by `unit`.
        value: f64,
        /// Unit of the value.
        unit: &'static str,
        /// What would be accepted, in words.
        expected: String,
    },
    /// The deck has no cutting unit.
    NoUnits,
    /// Loops of the diameter asked for cannot be driven or leave strips.
    LoopDiameter {
        /// Diameter asked for, metres.
        asked_m: f64,
        /// Why not.
        reason: String,
        /// Nearest diameters that can be done, metres.
        nearest_m: Vec<f64>,
    },
    /// More passes or loops than the work budget allows.
    TooLarge {
        /// What there would be too many of.
        what: &'static str,
        /// How many.
        count: usize,
        /// The limit.
        limit: usize,
    },
}

impl fmt::Display for PlanError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PlanError::BadValue {
                what,
                value,
                unit,
                expected,
            } => write!(f, "{what} is {value} {unit}; it must be {expected}"),
            PlanError::NoUnits => write!(f, "the mower has no cutting unit; give at least one"),
            PlanError::LoopDiameter {
                asked_m,
                reason,
                nearest_m,
            } => {
                write!(f, "loops of {asked_m:.2} m cannot be driven: {reason}")?;
                if !nearest_m.is_empty() {
                    let list: Vec<String> = nearest_m.iter().map(|d| format!("{d:.2} m")).collect();
                    write!(f, "; the nearest that can: {}", list.join(", "))?;
                }
                Ok(())
            }
            PlanError::TooLarge { what, count, limit } => {
                write!(f, "{count} {what} would be needed; the limit is {limit}")
            }
        }
    }
}

impl std::error::Error for PlanError {}

/// Widest deck that is planned for, metres: wider than any gang on a golf course.
pub const WIDEST_DECK_M: f64 = 30.0;
/// Narrowest deck that is planned for, metres: a single small reel.
pub const NARROWEST_DECK_M: f64 = 0.2;
/// Most clean-up rings.
pub const MOST_RINGS: u32 = 50;
/// Trim below this area is not worth a note, square metres.
const TRIM_NOTE_M2: f64 = 1.0;

/// Plans one mow of one fairway.
///
/// A fairway that the deck cannot reach at all gives a mow without tracks and a
/// [`Note::TooNarrow`].
///
/// # Errors
/// [`PlanError`] when a setting makes no sense for this mower.
pub fn plan(fairway: &Fairway, mower: &Mower, settings: &Settings) -> Result<Mow, PlanError> {
    plan_ordered(fairway, mower, settings, Ordering::Best)
}

/// The same with a plainer driving order, for comparison.
///
/// # Errors
/// [`PlanError`] when a setting makes no sense for this mower.
pub fn plan_ordered(
    fairway: &Fairway,
    mower: &Mower,
    settings: &Settings,
    ordering: Ordering,
) -> Result<Mow, PlanError> {
    check(mower, settings)?;
    let width = mower.cutting_width_m();
    let barriers = Barriers::of(fairway);
    let within = reach(&fairway.ground, width);
    let mut clean = rings(fairway, mower, settings, &barriers, &within);
    if hangs_over(&clean.legs, mower, &barriers) {
        trim_ends(&mut clean.legs, 0, mower, &barriers, &within);
    }
    clean.legs.retain(|l| !l.tracks.is_empty());
    let site = Site {
        fairway,
        mower,
        settings,
        inside: clean.inside,
        barriers: &barriers,
    };
    let mut pattern = crate::patterns::inside(&site)?;
    let planned = |touch: &[Leg]| -> Vec<Leg> {
        clean
            .legs
            .iter()
            .chain(pattern.stages.iter().flat_map(|s| &s.legs))
            .chain(touch)
            .cloned()
            .collect()
    };
    let cut: Vec<Track> = planned(&[])
        .iter()
        .flat_map(|l| l.tracks.iter().copied())
        .collect();
    let mut touch = touch_ups(fairway, mower, &barriers, &within, &cut);
    if !touch.is_empty() {
        let mut all = planned(&touch);
        let first = all.len() - touch.len();
        trim_ends(&mut all, first, mower, &barriers, &within);
        touch = all.split_off(first);
        touch.retain(|l| !l.tracks.is_empty());
    }

    let rings = Stage {
        legs: clean.legs,
        in_order: false,
    };
    let touches = Stage {
        legs: touch,
        in_order: false,
    };
    let mut stages = Vec::new();
    if settings.clean_up.before {
        stages.push(rings);
        stages.append(&mut pattern.stages);
        stages.push(touches);
    } else {
        stages.append(&mut pattern.stages);
        stages.push(touches);
        stages.push(rings);
    }
    if !mower.same_both_ways() {
        // Driven the other way the units would lower and lift at other places.
        for leg in stages.iter_mut().flat_map(|s| &mut s.legs) {
            leg.reversible = false;
        }
    }
    let stages = by_part(stages, fairway);
    let drive = drive_ordered(
        stages,
        &Yard {
            fairway,
            mower,
            margin_m: settings.turn_margin_m,
            way_in: fairway.way_in,
            turn_shift: settings.turn_shift,
        },
        ordering,
    );

    let mut notes = pattern.notes;
    let trim = fairway.ground.unsigned_area() - within.unsigned_area();
    if within.0.is_empty() {
        notes.push(Note::TooNarrow {
            cutting_width_m: width,
        });
    } else if trim > TRIM_NOTE_M2 {
        notes.push(Note::Trim { area_m2: trim });
    }
    notes.extend(drive.notes);
    let mut used = pattern.used;
    used.pass_floor = minimum_width(&fairway.ground)
        .map_or(0, |w| pass_floor(w.width_m, width, settings.overlap_m));
    used.turn_floor_m = Some(drive.turn_floor_m);
    used.clean_up_sense = (settings.clean_up.rings > 0).then_some(settings.clean_up.sense);
    Ok(Mow {
        fairway: fairway.name.clone(),
        pattern: settings.pattern.kind(),
        heading_deg: pattern.heading_rad.map(compass_deg),
        sense: pattern.sense.unwrap_or(settings.clean_up.sense),
        settings: used,
        tracks: drive.tracks,
        legs: drive.legs,
        notes,
    })
}

/// Whether the ends of passes cut enough rough to be worth trimming.
fn hangs_over(legs: &[Leg], mower: &Mower, barriers: &Barriers) -> bool {
    let tracks: Vec<Track> = legs.iter().flat_map(|l| l.tracks.iter().copied()).collect();
    // A centimetre is plenty for this question.
    let over = swept_area(&tracks, &mower.units, 0.01).difference(&barriers.solid);
    over.unsigned_area() > OVERRUN_ENOUGH * barriers.solid.unsigned_area()
}

/// Each part of the fairway is finished before the mower drives on to the next; parts come in
/// the order of the hole, or as drawn.
fn by_part(stages: Vec<Stage>, fairway: &Fairway) -> Vec<Stage> {
    let mut parts: Vec<usize> = (0..fairway.ground.0.len()).collect();
    if let Some(hole) = fairway.hole_direction_rad() {
        let (s, c) = hole.sin_cos();
        let along = |i: &usize| {
            fairway.ground.0[*i]
                .centroid()
                .map_or(0.0, |p| p.x() * c + p.y() * s)
        };
        parts.sort_by(|a, b| along(a).total_cmp(&along(b)));
    }
    let home = |leg: &Leg| -> usize {
        let Some(at) = leg.tracks.first().map(|t| Point(t.path.start().at)) else {
            return 0;
        };
        let far = |i: &usize| Euclidean.distance(&at, &fairway.ground.0[*i]);
        parts
            .iter()
            .copied()
            .min_by(|a, b| far(a).total_cmp(&far(b)))
            .unwrap_or(0)
    };
    let homes: Vec<Vec<usize>> = stages
        .iter()
        .map(|s| s.legs.iter().map(home).collect())
        .collect();
    let mut out = Vec::new();
    for part in &parts {
        for (stage, homes) in stages.iter().zip(&homes) {
            let legs: Vec<Leg> = stage
                .legs
                .iter()
                .zip(homes)
                .filter(|(_, h)| *h == part)
                .map(|(l, _)| l.clone())
                .collect();
            if !legs.is_empty() {
                out.push(Stage {
                    legs,
                    in_order: stage.in_order,
                });
            }
        }
    }
    out
}

fn check(mower: &Mower, settings: &Settings) -> Result<(), PlanError> {
    if mower.units.is_empty() {
        return Err(PlanError::NoUnits);
    }
    let within = |what, value: f64, low: f64, high: f64, unit, why: &str| {
        // Written so that NaN fails too.
        if value >= low && value <= high {
            Ok(())
        } else {
            Err(PlanError::BadValue {
                what,
                value,
                unit,
                expected: format!("between {low} and {high} ({why})"),
            })
        }
    };
    let width = mower.cutting_width_m();
    within(
        "the deck's cutting width",
        width,
        NARROWEST_DECK_M,
        WIDEST_DECK_M,
        "m",
        "a single reel up to a large gang",
    )?;
    within(
        "the overlap",
        settings.overlap_m,
        0.0,
        width * 0.9,
        "m",
        "less than the cutting width",
    )?;
    within(
        "the turning radius",
        mower.turning_radius_m,
        0.0,
        100.0,
        "m",
        "what a mower can follow",
    )?;
    within(
        "the allowed overrun",
        settings.overrun_m,
        0.0,
        10.0,
        "m",
        "a strip of rough",
    )?;
    within(
        "the number of clean-up passes",
        f64::from(settings.clean_up.rings),
        0.0,
        f64::from(MOST_RINGS),
        "",
        "two is usual",
    )
}
