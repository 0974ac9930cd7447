//! The calendar as an independent parser reads it: right days across changes of the clock and a
//! leap day, names that stay, bytes that do not change.
//!
//! `tests/stored/calendar.ics` is what [`calendar::text`] writes for a programme made by hand;
//! `tests/stored/calendar.json` is what `icalendar` from PyPI reads in it
//! (`tests/scripts/ref_calendar.py`).

use crossgrain_formats::calendar::{self, Events};
use crossgrain_season::rules::Sky;
use crossgrain_season::slots::Kind;
use crossgrain_tests::hand_programme::{DAYS, programme, visit};
use crossgrain_tests::stored;
use crossgrain_tests::tongues::in_english;
use jiff::civil::date;

#[test]
fn the_calendar_on_file_is_what_is_written() {
    let file = stored::path("stored/calendar.ics");
    let ours = calendar::text(&programme(), Events::Visits, &in_english);
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
    let before = uids(&calendar::text(&first, Events::Visits, &in_english));
    assert_eq!(
        before,
        uids(&calendar::text(&programme(), Events::Visits, &in_english))
    );
    // Frost moves a visit, the crew's hours another, and the height changes: the names stay.
    let mut again = first.clone();
    again.visits[2].start = date(2027, 11, 2).at(7, 15, 0, 0);
    again.visits[2].moved_from = Some((date(2027, 11, 1), Sky::Frost));
    again.visits[5].height_m = 0.0127;
    again.rules.issue = 4;
    let text = calendar::text(&again, Events::Visits, &in_english);
    assert_eq!(before, uids(&text));
    assert!(text.contains("SEQUENCE:3\r\n"));
    let mut unique = before.clone();
    unique.sort();
    unique.dedup();
    assert_eq!(unique.len(), before.len());
}

#[test]
fn a_machines_day_is_one_event_by_default() {
    let mut p = programme();
    // Two visits of the second machine on a day of the first.
    let day = p.visits[0].date();
    for k in 0..2 {
        let mut v = visit(day, "18", Kind::Regular);
        v.slot.ordinal = 90 + k;
        v.mower = 1;
        v.start = day.at(6 + k as i8, 0, 0, 0);
        p.visits.push(v);
    }
    let text = calendar::text(&p, Events::default(), &in_english);
    let uids = |text: &str| -> Vec<String> {
        text.lines()
            .filter_map(|l| l.strip_prefix("UID:"))
            .map(str::to_string)
            .collect()
    };
    // A day each for the first machine, one for the second, and the closed days.
    assert_eq!(uids(&text).len(), DAYS.len() + 1 + 1);
    let unfolded = text.replace("\r\n ", "");
    assert!(
        unfolded.contains("SUMMARY:Mower 2: fairways 18\\, 18\r\n"),
        "{unfolded}"
    );
    assert!(unfolded.contains("06:00 fairway 18: Stripes"));

    // One more issue: the same names, the next number; a day that falls away is withdrawn.
    let mut again = p.clone();
    again.visits.retain(|v| v.mower == 0);
    again.rules.issue += 1;
    again.withdrawn = vec![(day, 1)];
    let later = calendar::text(&again, Events::Days, &in_english);
    assert!(later.contains("SEQUENCE:3\r\n") && !later.contains("SEQUENCE:2\r\n"));
    let (mut a, mut b) = (uids(&text), uids(&later));
    a.sort();
    b.sort();
    assert_eq!(a, b);
    assert_eq!(later.matches("STATUS:CANCELLED").count(), 1);
}
