//! The calendar against RFC 5545 and another parser, the weeks against ISO 8601.

use super::{
    Fact,
    Mark::{Library, Memory},
    Row,
};
use crate::hand_programme::programme;
use crate::stored::{json, text};
use crate::tongues::in_english;
use crossgrain_formats::calendar;
use crossgrain_season::slots::roster;
use crossgrain_season::{Programme, Rules};
use jiff::civil::{Date, DateTime, date};
use serde_json::Value;
use std::collections::BTreeSet;

const LINES: &str = "RFC 5545, iCalendar, 2009; section 3.1 (content lines)";
const TIMES: &str = "RFC 5545, iCalendar, 2009; section 3.3.5 (form 1, local time)";
const UIDS: &str = "RFC 5545, iCalendar, 2009; section 3.8.4.7 (unique identifier)";
const TEXTS: &str = "RFC 5545, iCalendar, 2009; section 3.3.11 (text)";
const STATUS: &str = "RFC 5545, iCalendar, 2009; section 3.8.1.11 (status)";
const ISO_8601: &str =
    "ISO 8601-1, 2019; week dates (2008-12-29 is 2009-W01-1, 2010-01-03 is 2009-W53-7)";

pub fn rows() -> Vec<Row> {
    let p = programme();
    let ours = calendar::text(&p, calendar::Events::Visits, &in_english);
    let stored = json("calendar.json");
    let by = text(&stored, "source");
    let events = stored["events"]
        .as_array()
        .map(Vec::as_slice)
        .unwrap_or_default();
    let mut out = written_form(&p, &ours, events, &by);
    out.extend(read_back(&ours, events, &by));
    out.extend(weeks());
    out
}

fn memory<'a>(id: &'static str, source: &'a str) -> Fact<'a> {
    Fact::new(id, source, Memory)
}

/// The text line by line, against the standard.
fn written_form(p: &Programme, ours: &str, events: &[Value], by: &str) -> Vec<Row> {
    let lines: Vec<&str> = ours.split("\r\n").collect();
    let starts = |head: &str| lines.iter().filter(|l| l.starts_with(head)).count() as f64;
    let uids: BTreeSet<&&str> = lines.iter().filter(|l| l.starts_with("UID:")).collect();
    vec![
        memory("lines hold at most 75 octets", LINES).count(
            "lines over 75 octets",
            0,
            lines.iter().filter(|l| l.len() > 75).count() as f64,
        ),
        memory("lines end in CR LF", LINES).count(
            "other line ends",
            0,
            lines
                .iter()
                .map(|l| l.matches(['\r', '\n']).count())
                .sum::<usize>() as f64,
        ),
        memory("a local time has neither zone nor Z", TIMES).count(
            "starts in local time",
            p.visits.len(),
            lines
                .iter()
                .filter_map(|l| l.strip_prefix("DTSTART:"))
                .filter(|v| v.len() == 15 && v.as_bytes()[8] == b'T')
                .count() as f64,
        ),
        memory("every component has an identifier of its own", UIDS).count(
            "identifiers",
            events.len(),
            uids.len() as f64,
        ),
        memory("a visit that fell away is CANCELLED", STATUS).count(
            "events that do not take place",
            p.cancelled.len(),
            starts("STATUS:CANCELLED"),
        ),
        memory(
            "commas and semicolons in text stand behind a backslash",
            TEXTS,
        )
        .count(
            "bare commas and semicolons in summaries",
            0,
            lines
                .iter()
                .filter(|l| l.starts_with("SUMMARY:"))
                .map(|l| bare(l))
                .sum::<usize>() as f64,
        ),
        Fact::new("events found by another parser", by, Library).count(
            "events",
            events.len(),
            starts("BEGIN:VEVENT"),
        ),
    ]
}

/// Days and lengths of all visits, as the other parser reads them.
fn read_back(ours: &str, events: &[Value], by: &str) -> Vec<Row> {
    let day = |d: Date| (d - date(2027, 1, 1)).get_days() as f64;
    let read = |key: &str| -> Vec<DateTime> {
        events
            .iter()
            .filter(|e| text(e, "status") == "CONFIRMED")
            .filter_map(|e| text(e, key).parse().ok())
            .collect()
    };
    let (begin, end) = (read("start"), read("end"));
    let parsed = |id| Fact::new(id, by, Library);
    // Ours, from the lines of the file itself; whole days and cancelled visits have other lines.
    let written = |head: &str| -> Vec<DateTime> {
        ours.split("BEGIN:VEVENT")
            .filter(|event| event.contains("STATUS:CONFIRMED"))
            .flat_map(str::lines)
            .filter_map(|l| l.strip_prefix(head))
            .filter_map(|v| DateTime::strptime("%Y%m%dT%H%M%S", v).ok())
            .collect()
    };
    let (our_begin, our_end) = (written("DTSTART:"), written("DTEND:"));
    let days = parsed("days on which visits begin").count(
        "days from the new year of 2027, all visits together",
        begin.iter().map(|t| day(t.date()) as usize).sum(),
        our_begin.iter().map(|t| day(t.date())).sum(),
    );
    let length = |begin: &[DateTime], end: &[DateTime]| -> f64 {
        begin
            .iter()
            .zip(end)
            .map(|(a, b)| (*b - *a).total(jiff::Unit::Minute).unwrap_or(f64::NAN))
            .sum()
    };
    let lengths = parsed("end less start is the visit's time, whole minutes").count(
        "minutes of all visits",
        length(&begin, &end) as usize,
        length(&our_begin, &our_end),
    );
    let whole = events.iter().filter(|e| e["whole_day"] == true).count() as f64;
    let whole_days = parsed("events that last whole days").count(
        "days or spans without a time",
        whole as usize,
        ours.matches("\r\nDTSTART;VALUE=DATE:").count() as f64,
    );
    vec![days, lengths, whole_days]
}

fn weeks() -> Vec<Row> {
    let weeks = memory("numbers of weeks", ISO_8601);
    let mut out = Vec::new();
    for (monday, year, week) in [
        (date(2008, 12, 29), 2009, 1),
        (date(2009, 12, 28), 2009, 53),
        (date(2027, 5, 3), 2027, 18),
    ] {
        let rules = Rules::between(monday, monday.saturating_add(jiff::Span::new().days(6)));
        let id = roster(&rules, &[9000.0], &[true]).slots[0]
            .first()
            .map(|s| s.id);
        let (y, w) = id.map_or((f64::NAN, f64::NAN), |s| {
            (f64::from(s.year), f64::from(s.week))
        });
        out.push(weeks.count(format!("week of {monday}"), week, w));
        out.push(weeks.count(format!("year of the week of {monday}"), year, y));
    }
    out
}

/// Commas and semicolons of a line's text that no backslash precedes.
fn bare(line: &str) -> usize {
    let value = line.split_once(':').map_or("", |l| l.1);
    let before = std::iter::once(' ').chain(value.chars());
    value
        .chars()
        .zip(before)
        .filter(|(c, before)| matches!(c, ',' | ';') && *before != '\\')
        .count()
}
