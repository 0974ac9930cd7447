//! The crew's calendar: RFC 5545 (iCalendar).
//!
//! Times are *floating* (RFC 5545, 3.3.5: no `Z`, no `TZID`): half past five is half past five
//! on the course, before and after a change to daylight-saving time, and whatever zone the
//! phone that shows it is set to. A crew works by the clock on the wall; a zone would only add
//! a second source of truth that goes out of date. Closed days are whole-day events, whose
//! `DTEND` is the first day that is open again.
//!
//! By default an event is a machine's day, which is what a driver looks up; its `UID` comes from
//! the course, the day and the machine. With [`Events::Visits`] each visit is one. The `UID` of a
//! visit comes from the course, the fairway, the ISO week and the visit's number
//! in that week, not from its day. So a run with new weather, closed days or hours replaces the
//! old event instead of adding a second one; a visit that falls away is kept as `CANCELLED`.
//! A machine's day that falls away is `CANCELLED` too, when the programme continues another.
//! `SEQUENCE` is the rules' `issue` less one (a programme that continues another and changes it
//! has the next issue), and `DTSTAMP` the first day of the season at
//! midnight UTC: the same rules give the same bytes.
//!
//! The writer is our own because it is short; a general one was tried (the `icalendar` crate)
//! and costs 20 s of processor time to build, mostly for a second date library. The result is
//! read back by an independent parser in the tests.

use crate::input::plain;
use crossgrain_core::Sense;
use crossgrain_season::programme::{Cancelled, Lost, Programme, Visit};
use crossgrain_season::rules::Sky;
use crossgrain_season::slots::SlotId;
use jiff::Span;
use jiff::civil::{Date, DateTime};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Longest content line, octets, its line end not counted (RFC 5545, 3.1).
pub const LINE_OCTETS: usize = 75;

/// What an event is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Events {
    /// A machine's day: what its driver has to know.
    #[default]
    Days,
    /// Each visit.
    Visits,
}

/// The programme as the text of an `.ics` file.
pub fn text(p: &Programme, events: Events) -> String {
    let mut out = Lines {
        text: String::new(),
        stamp: format!("{}T000000Z", day(p.rules.from)),
        sequence: p.rules.issue.saturating_sub(1),
    };
    out.line("BEGIN:VCALENDAR");
    out.line("VERSION:2.0");
    out.line("PRODID:-//Crossgrain//season//EN");
    out.line("CALSCALE:GREGORIAN");
    out.line("METHOD:PUBLISH");
    out.line(&format!(
        "NAME:{}",
        escaped(&format!("Mowing, {}", p.course))
    ));
    match events {
        Events::Visits => {
            for v in &p.visits {
                visit(&mut out, p, v);
            }
            for c in &p.cancelled {
                cancelled(&mut out, p, c);
            }
        }
        Events::Days => {
            let mut days: BTreeMap<(Date, u32), Vec<&Visit>> = BTreeMap::new();
            for v in &p.visits {
                days.entry((v.date(), v.mower)).or_default().push(v);
            }
            for ((date, mower), visits) in &days {
                machine_day(&mut out, p, *date, *mower, visits);
            }
            for (date, mower) in &p.withdrawn {
                withdrawn(&mut out, p, *date, *mower);
            }
        }
    }
    for c in &p.rules.closed {
        let end = c.to.checked_add(Span::new().days(1)).unwrap_or(c.to);
        out.begin(&uid(&p.course, "closed", &format!("{}", c.from)));
        out.line(&format!("DTSTART;VALUE=DATE:{}", day(c.from)));
        out.line(&format!("DTEND;VALUE=DATE:{}", day(end)));
        out.line(&format!(
            "SUMMARY:{}",
            escaped(&format!("No fairway mowing: {}", c.why))
        ));
        out.line("TRANSP:TRANSPARENT");
        out.line("END:VEVENT");
    }
    out.line("END:VCALENDAR");
    out.text
}

/// A visit's UID: the same for the same course, fairway and slot, whatever the day.
pub fn visit_uid(course: &str, fairway: &str, slot: &SlotId) -> String {
    uid(course, fairway, &slot.to_string())
}

fn uid(course: &str, what: &str, which: &str) -> String {
    // `.invalid` can never be somebody's domain (RFC 2606).
    let hash = fnv1a(ended(course).chain(ended(what)));
    format!("{hash:016x}-{which}@crossgrain.invalid")
}

/// A text's bytes and one that is in no text, so that "1" + "2" and "12" + "" stay apart.
fn ended(text: &str) -> impl Iterator<Item = u8> {
    text.bytes().chain([0xff])
}

/// FNV-1a, 64 bits: names of any script become plain letters, the same on every machine.
fn fnv1a(bytes: impl Iterator<Item = u8>) -> u64 {
    bytes.fold(0xcbf2_9ce4_8422_2325, |hash: u64, b| {
        (hash ^ u64::from(b)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

struct Lines {
    text: String,
    stamp: String,
    sequence: u32,
}

impl Lines {
    /// One content line, folded so that no line is longer than [`LINE_OCTETS`] and no character
    /// is split.
    fn line(&mut self, content: &str) {
        let mut room = LINE_OCTETS;
        for c in content.chars() {
            if c.len_utf8() > room {
                self.text.push_str("\r\n ");
                // The space counts.
                room = LINE_OCTETS - 1;
            }
            self.text.push(c);
            room -= c.len_utf8();
        }
        self.text.push_str("\r\n");
    }

    fn begin(&mut self, uid: &str) {
        self.line("BEGIN:VEVENT");
        self.line(&format!("UID:{uid}"));
        let (stamp, sequence) = (self.stamp.clone(), self.sequence);
        self.line(&format!("DTSTAMP:{stamp}"));
        self.line(&format!("SEQUENCE:{sequence}"));
    }
}

/// The UID of a machine's day: the same whatever is mown.
pub fn day_uid(course: &str, date: Date, mower: u32) -> String {
    uid(course, &format!("mower {}", mower + 1), &date.to_string())
}

/// The machine's name, as a crew that has one machine need not be told.
fn machine(p: &Programme, mower: u32) -> String {
    p.machines
        .iter()
        .find(|m| m.mower == mower)
        .map_or_else(|| (mower + 1).to_string(), |m| m.name.clone())
}

fn machine_day(out: &mut Lines, p: &Programme, date: Date, mower: u32, visits: &[&Visit]) {
    out.begin(&day_uid(&p.course, date, mower));
    let start = visits.iter().map(|v| v.start).min().unwrap_or_default();
    let end = visits
        .iter()
        .map(|v| {
            let whole = whole_minutes(v);
            v.start
                .checked_add(Span::new().minutes(whole))
                .unwrap_or(v.start)
        })
        .max()
        .unwrap_or(start);
    out.line(&format!("DTSTART:{}", time(start)));
    out.line(&format!("DTEND:{}", time(end)));
    let names: Vec<&str> = visits.iter().map(|v| v.fairway.as_str()).collect();
    out.line(&format!(
        "SUMMARY:{}",
        escaped(&format!(
            "Mower {}: fairways {}",
            machine(p, mower),
            names.join(", ")
        ))
    ));
    let mut about: Vec<String> = visits
        .iter()
        .map(|v| {
            let clock = format!("{}-{}", hour(v.clock.0), hour(v.clock.1));
            let mut line = format!(
                "{:02}:{:02} fairway {}: {}",
                v.start.hour(),
                v.start.minute(),
                v.fairway,
                v.pattern.word()
            );
            if let Some(s) = v.sense {
                let _ = write!(line, " {}", sense(s));
            }
            let _ = write!(line, ", {clock}, {}", height(v.height_m));
            if let Some(s) = v.clean_up {
                let _ = write!(line, ", {} clean-up {}", v.rings, sense(s));
            }
            let _ = write!(line, ", {:.0} min", v.minutes);
            if v.later_min > 0 {
                let _ = write!(line, ", after the frost");
            }
            line
        })
        .collect();
    about.push("Follow the mower's manual and local rules.".to_string());
    out.line(&format!("DESCRIPTION:{}", escaped(&about.join("\n"))));
    out.line(&format!("LOCATION:{}", escaped(&p.course)));
    out.line("STATUS:CONFIRMED");
    out.line("END:VEVENT");
}

fn withdrawn(out: &mut Lines, p: &Programme, date: Date, mower: u32) {
    out.begin(&day_uid(&p.course, date, mower));
    let next = date.checked_add(Span::new().days(1)).unwrap_or(date);
    out.line(&format!("DTSTART;VALUE=DATE:{}", day(date)));
    out.line(&format!("DTEND;VALUE=DATE:{}", day(next)));
    out.line(&format!(
        "SUMMARY:{}",
        escaped(&format!("Mower {}: no fairways", machine(p, mower)))
    ));
    out.line("STATUS:CANCELLED");
    out.line("TRANSP:TRANSPARENT");
    out.line("END:VEVENT");
}

/// Minutes that a visit takes in the calendar: a begun one counts, and no visit is longer than a day.
fn whole_minutes(v: &Visit) -> i64 {
    v.minutes.ceil().clamp(1.0, 1440.0) as i64
}

fn visit(out: &mut Lines, p: &Programme, v: &Visit) {
    out.begin(&visit_uid(&p.course, &v.fairway, &v.slot));
    let whole = whole_minutes(v);
    let end = v
        .start
        .checked_add(Span::new().minutes(whole))
        .unwrap_or(v.start);
    out.line(&format!("DTSTART:{}", time(v.start)));
    out.line(&format!("DTEND:{}", time(end)));
    let clock = format!("{}-{}", hour(v.clock.0), hour(v.clock.1));
    let mut summary = format!("Fairway {}: {}", v.fairway, v.pattern.word());
    if let Some(s) = v.sense {
        let _ = write!(summary, " {}", sense(s));
    }
    let _ = write!(summary, ", {clock}, {}", height(v.height_m));
    out.line(&format!("SUMMARY:{}", escaped(&summary)));
    let mut about = vec![
        format!(
            "Heading {clock} o'clock (12 is toward the green), bearing {:.1} degrees",
            v.heading_deg
        ),
        format!("Height of cut {}", height(v.height_m)),
        match v.clean_up {
            Some(s) => format!("Clean-up passes {}", sense(s)),
            None => "No clean-up passes".to_string(),
        },
        format!("About {:.0} minutes, mower {}", v.minutes, v.mower + 1),
    ];
    if v.first_pass_right && v.sense.is_none() {
        about.insert(1, "First pass on the right-hand edge".to_string());
    }
    if let Some(shift) = v.lane_shift.filter(|s| *s > 0.0) {
        about.push(format!(
            "Lanes shifted by {:.0}% of their spacing",
            shift * 100.0
        ));
    }
    if let Some(why) = v.why {
        about.push(format!("Note: {why}"));
    }
    if let Some((from, sky)) = v.moved_from {
        about.push(format!("Moved from {from}: {}", sky_word(sky)));
    }
    if v.later_min > 0 {
        about.push(format!(
            "Frost: {} minutes later than usual, when it has gone",
            v.later_min
        ));
    }
    about.push("Follow the mower's manual and local rules.".to_string());
    out.line(&format!("DESCRIPTION:{}", escaped(&about.join("\n"))));
    out.line(&format!("LOCATION:{}", escaped(&p.course)));
    out.line("STATUS:CONFIRMED");
    out.line("END:VEVENT");
}

fn cancelled(out: &mut Lines, p: &Programme, c: &Cancelled) {
    out.begin(&visit_uid(&p.course, &c.fairway, &c.slot));
    let why = match &c.why {
        Lost::Closed(why) => why.clone(),
        Lost::Weather(sky) => sky_word(*sky).to_string(),
    };
    let next = c.date.checked_add(Span::new().days(1)).unwrap_or(c.date);
    out.line(&format!("DTSTART;VALUE=DATE:{}", day(c.date)));
    out.line(&format!("DTEND;VALUE=DATE:{}", day(next)));
    out.line(&format!(
        "SUMMARY:{}",
        escaped(&format!("Fairway {}: not mown ({why})", c.fairway))
    ));
    out.line("STATUS:CANCELLED");
    out.line("TRANSP:TRANSPARENT");
    out.line("END:VEVENT");
}

/// Text as a value (RFC 5545, 3.3.11): backslash, semicolon, comma and line end escaped, other
/// control characters replaced.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for (i, part) in text.split('\n').enumerate() {
        if i > 0 {
            out.push_str("\\n");
        }
        for c in plain(part).chars() {
            if matches!(c, '\\' | ';' | ',') {
                out.push('\\');
            }
            out.push(c);
        }
    }
    out
}

fn day(d: Date) -> String {
    format!("{:04}{:02}{:02}", d.year(), d.month(), d.day())
}

fn time(t: DateTime) -> String {
    format!("{}T{:02}{:02}00", day(t.date()), t.hour(), t.minute())
}

fn hour(h: f64) -> String {
    if h.fract() == 0.0 {
        format!("{h:.0}")
    } else {
        format!("{:.0}:30", h.floor())
    }
}

fn sense(s: Sense) -> &'static str {
    match s {
        Sense::Clockwise => "clockwise",
        Sense::CounterClockwise => "counter-clockwise",
    }
}

fn height(m: f64) -> String {
    format!("{:.2} mm ({:.3} in)", m * 1000.0, m / 0.0254)
}

fn sky_word(s: Sky) -> &'static str {
    match s {
        Sky::Frost => "frost",
        Sky::Wet => "wet",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folded(content: &str) -> String {
        let mut l = Lines {
            text: String::new(),
            stamp: String::new(),
            sequence: 0,
        };
        l.line(content);
        l.text
    }

    #[test]
    fn lines_are_folded_at_75_octets_between_characters() {
        for content in [
            "a".repeat(75),
            "a".repeat(76),
            "é".repeat(200),
            "🌱".repeat(90),
        ] {
            let text = folded(&content);
            for line in text.split("\r\n") {
                assert!(line.len() <= LINE_OCTETS, "{}", line.len());
            }
            assert_eq!(text.replace("\r\n ", "").trim_end_matches("\r\n"), content);
        }
        assert_eq!(folded(&"a".repeat(75)).matches("\r\n").count(), 1);
        assert_eq!(folded(&"a".repeat(76)).matches("\r\n").count(), 2);
    }

    #[test]
    fn text_is_escaped() {
        assert_eq!(escaped("a,b;c\\d\ne\u{7}"), "a\\,b\\;c\\\\d\\ne\u{fffd}");
    }

    #[test]
    fn names_are_kept_apart_and_never_change() {
        let slot = SlotId {
            year: 2027,
            week: 15,
            ordinal: 1,
        };
        let a = visit_uid("Course", "1", &slot);
        // The value itself is part of the contract: calendars out there know it.
        assert_eq!(a, "4387e1b92b5f7679-2027-W15-2@crossgrain.invalid");
        assert_ne!(a, visit_uid("Course1", "", &slot));
        // The hash's own test vector (Fowler, Noll and Vo).
        assert_eq!(fnv1a("foobar".bytes()), 0x8594_4171_f739_67e8);
    }
}
