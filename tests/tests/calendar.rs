//! The calendar as an independent parser reads it: right days across changes of the clock and a
//! leap day, names that stay, bytes that do not change.
//!
//! `tests/stored/calendar.ics` is what [`calendar::text`] writes for a programme made by hand;
//! `tests/stored/calendar.json` is what `icalendar` from PyPI reads in it
//! (`tests/scripts/ref_calendar.py`).

use crossgrain_core::{PatternKind, Sense};
use crossgrain_formats::calendar;
use crossgrain_metrics::lay::LayFigures;
use crossgrain_season::Rules;
use crossgrain_season::cost::Cost;
use crossgrain_season::programme::{Cancelled, Lost, Programme, Row, Visit};
use crossgrain_season::rules::{Closed, Sky};
use crossgrain_season::scalping::Reason;
use crossgrain_season::slots::{Kind, SlotId};
use crossgrain_tests::stored;
use jiff::civil::{Date, date};

fn slot(day: Date, ordinal: u32) -> SlotId {
    let iso = day.iso_week_date();
    SlotId {
        year: iso.year(),
        week: iso.week(),
        ordinal,
    }
}

fn visit(day: Date, fairway: &str, kind: Kind) -> Visit {
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
        minutes: 31.25,
        distance_m: 4200.0,
        mower: 0,
        moved_from: None,
        later_min: 0,
    }
}

/// Days on both sides of the changes of the clock (United States: 7 November 2027, 12 March
/// 2028; European Union: 31 October 2027, 26 March 2028), the leap day of 2028, the new year.
const DAYS: [(i16, i8, i8); 16] = [
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

fn programme() -> Programme {
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
        books: vec![],
        warnings: vec![],
    }
}

#[test]
fn the_calendar_on_file_is_what_is_written() {
    let file = stored::path("stored/calendar.ics");
    let ours = calendar::text(&programme());
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&file, &ours).unwrap();
    }
    let stored = std::fs::read_to_string(&file).unwrap();
    assert!(
        ours == stored,
        "the calendar has changed; BLESS=1 cargo test -p crossgrain-tests --test calendar writes it, then run tests/scripts/rederive.py"
    );
}

#[test]
fn another_parser_reads_the_same_days() {
    let read = stored::json("calendar.json");
    assert!(stored::text(&read, "source").starts_with("icalendar "));
    assert!(stored::number(&read, "longest_line_octets") <= 75.0);
    assert_eq!(stored::number(&read, "bare_line_ends"), 0.0);
    let events = read["events"].as_array().unwrap();
    let p = programme();
    assert_eq!(events.len(), p.visits.len() + 2);
    for (e, v) in events.iter().zip(&p.visits) {
        let day = v.date();
        assert_eq!(stored::text(e, "start"), format!("{day}T05:30:00"));
        // 31.25 minutes are 32 in the calendar.
        assert_eq!(stored::text(e, "end"), format!("{day}T06:02:00"));
        assert_eq!(e["floating"], true);
        assert_eq!(
            stored::text(e, "uid"),
            calendar::visit_uid(&p.course, &v.fairway, &v.slot)
        );
        assert_eq!(stored::text(e, "status"), "CONFIRMED");
        assert_eq!(stored::number(e, "sequence"), 2.0);
        // Text comes back as it went in: commas, semicolons, quotes, any script.
        let summary = stored::text(e, "summary");
        assert!(
            summary.starts_with(&format!("Fairway {}: ", v.fairway)),
            "{summary}"
        );
        assert!(stored::text(e, "description").contains("Height of cut 13.97 mm (0.550 in)\n"));
        assert_eq!(e["errors"].as_array().map(Vec::len), Some(0));
    }
    let leap = events
        .iter()
        .filter(|e| stored::text(e, "start") == "2028-02-29T05:30:00");
    assert_eq!(leap.count(), 1);
    let gone = &events[events.len() - 2];
    assert_eq!(stored::text(gone, "status"), "CANCELLED");
    assert_eq!(stored::text(gone, "start"), "2028-02-29");
    let closed = &events[events.len() - 1];
    assert_eq!(closed["whole_day"], true);
    assert_eq!(stored::text(closed, "start"), "2028-02-28");
    // The first day that is open again: 1 March, after the leap day.
    assert_eq!(stored::text(closed, "end"), "2028-03-01");
    assert_eq!(
        stored::text(closed, "summary"),
        "No fairway mowing: frost cover; greens, too"
    );
}

#[test]
fn a_rerun_updates_and_never_doubles() {
    let uids = |text: &str| -> Vec<String> {
        text.lines()
            .filter_map(|l| l.strip_prefix("UID:"))
            .map(str::to_string)
            .collect()
    };
    let first = programme();
    let before = uids(&calendar::text(&first));
    assert_eq!(before, uids(&calendar::text(&programme())));
    // Frost moves a visit, the crew's hours another, and the height changes: the names stay.
    let mut again = first.clone();
    again.visits[2].start = date(2027, 11, 2).at(7, 15, 0, 0);
    again.visits[2].moved_from = Some((date(2027, 11, 1), Sky::Frost));
    again.visits[5].height_m = 0.0127;
    again.rules.issue = 4;
    let text = calendar::text(&again);
    assert_eq!(before, uids(&text));
    assert!(text.contains("SEQUENCE:3\r\n"));
    let mut unique = before.clone();
    unique.sort();
    unique.dedup();
    assert_eq!(unique.len(), before.len());
}
