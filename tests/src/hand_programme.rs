//! A programme made by hand: visits on both sides of changes of the clock, a leap day, the new year,
//! names in several scripts, a closed span, a visit that fell away.

use crossgrain_core::inside::model::pattern::Ends;
use crossgrain_core::{PatternKind, Sense};
use crossgrain_season::Rules;
use crossgrain_season::cost::Cost;
use crossgrain_season::grain::LayFigures;
use crossgrain_season::ground_figures::GroundFigures;
use crossgrain_season::programme::{Cancelled, Lost, Programme, Row, Visit};
use crossgrain_season::rules::{Closed, Sky};
use crossgrain_season::scalping::Reason;
use crossgrain_season::slots::{Kind, SlotId};
use jiff::civil::{Date, date};

/// A visit's name from its day.
pub fn slot(day: Date, ordinal: u32) -> SlotId {
    let iso = day.iso_week_date();
    SlotId {
        year: iso.year(),
        week: iso.week(),
        ordinal,
    }
}

/// A visit of half an hour or so.
pub fn visit(day: Date, fairway: &str, kind: Kind) -> Visit {
    let loops = kind == Kind::Loops;
    Visit {
        slot: slot(day, 0),
        start: day.at(5, 30, 0, 0),
        fairway: fairway.into(),
        kind,
        pattern: if loops {
            PatternKind::Loops
        } else {
            PatternKind::Stripes
        },
        cross_sets: None,
        heading_deg: 41.5,
        clock: (4.5, 10.5),
        first_pass_right: true,
        sense: loops.then_some(Sense::CounterClockwise),
        lane_shift: loops.then_some(0.5),
        loop_diameter_m: loops.then_some(6.4),
        height_m: 0.01397,
        why: loops.then_some(Reason::RaiseRepeated {
            seen: date(2028, 2, 20),
        }),
        clean_up: Some(Sense::Clockwise),
        rings: 1,
        ends: Ends::Edge,
        ground: GroundFigures::default(),
        done: false,
        minutes: 31.25,
        distance_m: 4200.0,
        mower: 0,
        moved_from: None,
        later_min: 0,
    }
}

/// Days on both sides of the changes of the clock (United States: 7 November 2027, 12 March
/// 2028; European Union: 31 October 2027, 26 March 2028), the leap day of 2028, the new year.
pub const DAYS: [(i16, i8, i8); 16] = [
    (2027, 10, 30),
    (2027, 10, 31),
    (2027, 11, 1),
    (2027, 11, 6),
    (2027, 11, 7),
    (2027, 11, 8),
    (2027, 12, 31),
    (2028, 1, 1),
    (2028, 2, 28),
    (2028, 2, 29),
    (2028, 3, 1),
    (2028, 3, 11),
    (2028, 3, 12),
    (2028, 3, 13),
    (2028, 3, 26),
    (2028, 3, 27),
];

/// The programme.
pub fn programme() -> Programme {
    let mut rules = Rules::between(date(2027, 10, 30), date(2028, 3, 31));
    rules.issue = 3;
    rules.closed = vec![Closed {
        from: date(2028, 2, 28),
        to: date(2028, 2, 29),
        why: "frost cover; greens, too".into(),
    }];
    let names = [
        "7",
        "Nº 3; \"upper\", left",
        "١٨",
        "老樹 the long one by the old oak, where the stream comes in and the road goes out again",
    ];
    let mut visits: Vec<Visit> = DAYS
        .iter()
        .enumerate()
        .map(|(i, &(y, m, d))| {
            let kind = if i % 3 == 2 {
                Kind::Loops
            } else {
                Kind::Regular
            };
            visit(date(y, m, d), names[i % names.len()], kind)
        })
        .collect();
    for (i, v) in visits.iter_mut().enumerate() {
        // Two visits to one fairway in one week are two visits.
        v.slot.ordinal = i as u32;
    }
    visits[9].moved_from = Some((date(2028, 2, 28), Sky::Wet));
    visits[3].later_min = 120;
    let row = Row {
        habit: None,
        grooming: true,
        r2_28_days: 0.0,
        lay: LayFigures::default(),
        cost: Cost::default(),
    };
    Programme {
        course: "Quillback, nine holes".into(),
        rules,
        cancelled: vec![Cancelled {
            slot: slot(date(2028, 2, 28), 40),
            fairway: "7".into(),
            date: date(2028, 2, 29),
            why: Lost::Weather(Sky::Frost),
        }],
        visits,
        days: vec![],
        lay: vec![],
        total: row,
        habits: vec![],
        curve: vec![],
        machines: vec![],
        mowers: vec![],
        mower_files: vec![],
        ground: vec![],
        changes: vec![],
        withdrawn: vec![],
        books: vec![],
        warnings: vec![],
    }
}
