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
use crossgrain_core::{CrossSets, Sense};
use crossgrain_season::programme::{Cancelled, Lost, Programme, Visit};
use crossgrain_season::rules::Sky;
use crossgrain_season::scalping::Reason;
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

/// Texts of one language: the text of a key, its places in braces filled in. The keys are those of
/// the words files of `crossgrain-render` that begin with `calendar.`, and `pattern.`, `sense.`,
/// `reason.`, `board.frost` and `board.wet`.
pub type Say<'a> = &'a dyn Fn(&str, &[(&str, &str)]) -> String;

/// The programme as the text of an `.ics` file, in the language of `say`.
pub fn text(p: &Programme, events: Events, say: Say<'_>) -> String {
    let mut out = Lines {
        say,
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
        escaped(&say("calendar.name", &[("course", &p.course)]))
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
            escaped(&say("calendar.closed", &[("why", &c.why)]))
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

struct Lines<'a> {
    say: Say<'a>,
    text: String,
    stamp: String,
    sequence: u32,
}

impl Lines<'_> {
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

fn machine_day(out: &mut Lines<'_>, p: &Programme, date: Date, mower: u32, visits: &[&Visit]) {
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
    let say = out.say;
    let title = say(
        "calendar.day",
        &[
            ("name", &machine(p, mower)),
            ("fairways", &names.join(", ")),
        ],
    );
    out.line(&format!("SUMMARY:{}", escaped(&title)));
    let mut about: Vec<String> = visits.iter().map(|v| row(v, say)).collect();
    about.push(say("calendar.manual", &[]));
    out.line(&format!("DESCRIPTION:{}", escaped(&about.join("\n"))));
    out.line(&format!("LOCATION:{}", escaped(&p.course)));
    out.line("STATUS:CONFIRMED");
    out.line("END:VEVENT");
}

/// A visit in one line of its machine's day.
fn row(v: &Visit, say: Say<'_>) -> String {
    let mut what = what(v, say);
    if let Some(s) = v.clean_up {
        let places = [("count", v.rings.to_string()), ("sense", sense(s, say))];
        let places = places.each_ref().map(|(k, t)| (*k, t.as_str()));
        let _ = write!(what, ", {}", say("calendar.cleanup", &places));
    }
    let _ = write!(what, ", {:.0} min", v.minutes);
    if v.later_min > 0 {
        let _ = write!(what, ", {}", say("calendar.after_frost", &[]));
    }
    let time = format!("{:02}:{:02}", v.start.hour(), v.start.minute());
    say(
        "calendar.row",
        &[("time", &time), ("fairway", &v.fairway), ("what", &what)],
    )
}

/// The pattern, its sense, the hours, the height.
fn what(v: &Visit, say: Say<'_>) -> String {
    let pattern = match v.cross_sets {
        Some(CrossSets::Crossing) => "pattern.crossing".to_string(),
        _ => format!("pattern.{}", v.pattern.word()),
    };
    let mut out = say(&pattern, &[]);
    if let Some(s) = v.sense {
        let _ = write!(out, " {}", sense(s, say));
    }
    let _ = write!(out, ", {}, {}", clock(v), height(v.height_m));
    out
}

fn clock(v: &Visit) -> String {
    format!("{}-{}", hour(v.clock.0), hour(v.clock.1))
}

fn withdrawn(out: &mut Lines<'_>, p: &Programme, date: Date, mower: u32) {
    out.begin(&day_uid(&p.course, date, mower));
    let next = date.checked_add(Span::new().days(1)).unwrap_or(date);
    out.line(&format!("DTSTART;VALUE=DATE:{}", day(date)));
    out.line(&format!("DTEND;VALUE=DATE:{}", day(next)));
    out.line(&format!(
        "SUMMARY:{}",
        escaped(&(out.say)(
            "calendar.day_none",
            &[("name", &machine(p, mower))]
        ))
    ));
    out.line("STATUS:CANCELLED");
    out.line("TRANSP:TRANSPARENT");
    out.line("END:VEVENT");
}

/// Minutes that a visit takes in the calendar: a begun one counts, and no visit is longer than a day.
fn whole_minutes(v: &Visit) -> i64 {
    v.minutes.ceil().clamp(1.0, 1440.0) as i64
}

fn visit(out: &mut Lines<'_>, p: &Programme, v: &Visit) {
    out.begin(&visit_uid(&p.course, &v.fairway, &v.slot));
    let whole = whole_minutes(v);
    let end = v
        .start
        .checked_add(Span::new().minutes(whole))
        .unwrap_or(v.start);
    out.line(&format!("DTSTART:{}", time(v.start)));
    out.line(&format!("DTEND:{}", time(end)));
    let say = out.say;
    let title = say(
        "calendar.visit",
        &[("fairway", &v.fairway), ("what", &what(v, say))],
    );
    out.line(&format!("SUMMARY:{}", escaped(&title)));
    let about = about(v, say);
    out.line(&format!("DESCRIPTION:{}", escaped(&about.join("\n"))));
    out.line(&format!("LOCATION:{}", escaped(&p.course)));
    out.line("STATUS:CONFIRMED");
    out.line("END:VEVENT");
}

/// A visit at length.
fn about(v: &Visit, say: Say<'_>) -> Vec<String> {
    let one = |key: &str, place: &str, text: &str| say(key, &[(place, text)]);
    let deg = format!("{:.1}", v.heading_deg);
    let mut out = vec![say(
        "calendar.heading",
        &[("clock", &clock(v)), ("deg", &deg)],
    )];
    if v.first_pass_right && v.sense.is_none() {
        out.push(say("calendar.right", &[]));
    }
    out.push(one("calendar.height", "height", &height(v.height_m)));
    out.push(match v.clean_up {
        Some(s) => one("calendar.cleanup_sense", "sense", &sense(s, say)),
        None => say("calendar.cleanup_none", &[]),
    });
    let (minutes, mower) = (format!("{:.0}", v.minutes), (v.mower + 1).to_string());
    out.push(say(
        "calendar.about",
        &[("count", &minutes), ("mower", &mower)],
    ));
    if let Some(shift) = v.lane_shift.filter(|s| *s > 0.0) {
        let share = format!("{:.0}", shift * 100.0);
        out.push(one("calendar.lanes", "count", &share));
    }
    if let Some(why) = v.why {
        out.push(one("calendar.note", "why", &reason(why, say)));
    }
    if let Some((from, sky)) = v.moved_from {
        let (from, why) = (from.to_string(), sky_word(sky, say));
        out.push(say("calendar.moved", &[("date", &from), ("why", &why)]));
    }
    if v.later_min > 0 {
        out.push(one("calendar.later", "count", &v.later_min.to_string()));
    }
    out.push(say("calendar.manual", &[]));
    out
}

/// Why the height or the pattern is what it is.
fn reason(why: Reason, say: Say<'_>) -> String {
    let (key, seen) = match why {
        Reason::FirstLoops => ("reason.first", None),
        Reason::RaiseRepeated { seen } => ("reason.slight", Some(seen)),
        Reason::RaiseKept { seen } => ("reason.moderate", Some(seen)),
        Reason::RaiseKeptSevere { seen } => ("reason.kept_severe", Some(seen)),
        Reason::LoopsHeldBack { seen } => ("reason.severe", Some(seen)),
    };
    let seen = seen.map_or_else(String::new, |d: Date| d.to_string());
    say(key, &[("date", &seen)])
}

fn cancelled(out: &mut Lines<'_>, p: &Programme, c: &Cancelled) {
    out.begin(&visit_uid(&p.course, &c.fairway, &c.slot));
    let why = match &c.why {
        Lost::Closed(why) => why.clone(),
        Lost::Weather(sky) => sky_word(*sky, out.say),
    };
    let next = c.date.checked_add(Span::new().days(1)).unwrap_or(c.date);
    out.line(&format!("DTSTART;VALUE=DATE:{}", day(c.date)));
    out.line(&format!("DTEND;VALUE=DATE:{}", day(next)));
    out.line(&format!(
        "SUMMARY:{}",
        escaped(&(out.say)(
            "calendar.not_mown",
            &[("fairway", &c.fairway), ("why", &why)]
        ))
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

fn sense(s: Sense, say: Say<'_>) -> String {
    match s {
        Sense::Clockwise => say("sense.cw", &[]),
        Sense::CounterClockwise => say("sense.ccw", &[]),
    }
}

fn height(m: f64) -> String {
    format!("{:.2} mm ({:.3} in)", m * 1000.0, m / 0.0254)
}

fn sky_word(s: Sky, say: Say<'_>) -> String {
    match s {
        Sky::Frost => say("board.frost", &[]),
        Sky::Wet => say("board.wet", &[]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folded(content: &str) -> String {
        let mut l = Lines {
            say: &|key, _| key.to_string(),
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
