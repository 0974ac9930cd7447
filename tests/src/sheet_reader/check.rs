//! The comparison: each sentence of a sheet against what the plan file says.

use super::claims::{self, Page};
use super::phrases::{Sentence, Tongue};
use super::plan::{Read, Step};
use super::{Row, Said};
use std::collections::{BTreeMap, BTreeSet};

/// What a comparison came to.
#[derive(Debug, Clone, Default)]
pub struct Checked {
    /// Sentences read.
    pub sentences: usize,
    /// How many of each kind there were in the lists of steps.
    pub kinds: BTreeMap<&'static str, usize>,
    /// What does not hold, with the row.
    pub faults: Vec<String>,
}

impl Checked {
    /// Takes in what another comparison came to.
    pub fn add(&mut self, other: Checked) {
        self.sentences += other.sentences;
        self.faults.extend(other.faults);
        for (kind, n) in other.kinds {
            *self.kinds.entry(kind).or_default() += n;
        }
    }
}

struct Reader<'a> {
    read: &'a Read,
    tongue: &'a Tongue,
    page: Page,
    out: Checked,
}

pub fn check(read: &Read, said: &Said, tongue: &Tongue) -> Checked {
    let mut r = Reader {
        read,
        tongue,
        page: Page::of(read),
        out: Checked::default(),
    };
    r.rows(&said.rows);
    r.rest(&said.rest);
    r.out
}

impl Reader<'_> {
    fn fault(&mut self, row: &Row, why: String) {
        self.out
            .faults
            .push(format!("{} '{}': {why}", row.letters.join("–"), row.text));
    }

    fn rows(&mut self, rows: &[Row]) {
        let steps = &self.read.steps;
        let mut next = 0;
        for row in rows {
            let place = |l: &String| steps.iter().position(|s| s.letter == *l);
            let (Some(from), Some(last)) = (
                row.letters.first().and_then(place),
                row.letters.last().and_then(place),
            ) else {
                self.fault(row, "no such step".into());
                continue;
            };
            if from != next {
                self.fault(row, "steps are out of order or left out".into());
            }
            next = last + 1;
            let (moved_on, sentences) = self.tongue.sentences_of(&row.text);
            self.out.sentences += usize::from(moved_on);
            // On both sides of a path there is an edge to go round, of one part.
            let round = |s: &Step| s.kind == "circuit" && s.keep_out.is_none();
            let step = &steps[from];
            let again = round(step)
                && steps[..from]
                    .iter()
                    .any(|b| round(b) && b.part == step.part);
            let other_part = from > 0 && (step.part != steps[from - 1].part || again);
            if moved_on != other_part {
                self.fault(row, format!("another part: {other_part}"));
            }
            let mut read = Vec::new();
            for s in sentences {
                self.out.sentences += 1;
                match self.tongue.read(s) {
                    Some(s) => {
                        *self.out.kinds.entry(s.kind).or_default() += 1;
                        read.push(s);
                    }
                    None => self.fault(row, format!("'{s}' says nothing the reader knows")),
                }
            }
            if row.letters.len() == 2 {
                self.places(row, from, last, &read);
            } else {
                let step = steps[from].clone();
                self.step(row, &step, &read);
            }
        }
        if next != steps.len() {
            self.out
                .faults
                .push(format!("{} steps of {} are told", next, steps.len()));
        }
    }

    fn step(&mut self, row: &Row, step: &Step, said: &[Sentence]) {
        let stops = said.iter().any(|s| s.kind == "stop");
        if stops != step.stop_here {
            self.fault(row, format!("stops here: {}", step.stop_here));
        }
        let Some(first) = said.first() else {
            self.fault(row, "says nothing".into());
            return;
        };
        let fits: &[&str] = match step.kind.as_str() {
            "circuit" => &["circuit"],
            "block" => &["next", "every", "halves", "one"],
            "lanes" => &["lanes", "every", "one"],
            "rings" => &["rings"],
            _ => &["patch"],
        };
        if !fits.contains(&first.kind) {
            self.fault(row, format!("a {} told as {}", step.kind, first.kind));
            return;
        }
        if (first.kind == "every") != (step.rule == "every") {
            self.fault(row, format!("taken by the rule {}", step.rule));
        }
        match step.kind.as_str() {
            "circuit" => self.circuit(row, step, first),
            "rings" => self.rings(row, step, first),
            "patch" => self.patch(row, step, first),
            _ => self.lines(row, step, first, said),
        }
        if step.kind == "block" {
            self.gaps(row, step, said);
        } else if step.kind == "rings" {
            self.ring_gaps(row, step, said);
        } else if said.iter().any(|s| s.kind.starts_with("gap")) {
            self.fault(row, "a gap where there are no lines".into());
        }
    }

    fn sense(&mut self, row: &Row, step: &Step, s: &Sentence) {
        let legs = &self.read.legs[step.from..step.to];
        let shares = claims::clockwise(self.read, legs, step.keep_out.is_some());
        // A ring of which about three metres in four go one way may be told or not.
        if shares.values().any(|s| (s.abs() - 0.5).abs() < 0.15) {
            return;
        }
        let is = if shares.values().all(|s| *s > 0.5) {
            Some("cw")
        } else if shares.values().all(|s| *s < -0.5) {
            Some("ccw")
        } else {
            None
        };
        if s.slot("sense") != is {
            self.fault(row, format!("goes {is:?}, {shares:?}"));
        }
    }

    fn ring_count(&self, step: &Step) -> u64 {
        let legs = &self.read.legs[step.from..step.to];
        let rings: BTreeSet<u64> = legs.iter().map(|l| l.index).collect();
        rings.len() as u64
    }

    fn circuit(&mut self, row: &Row, step: &Step, s: &Sentence) {
        let n = self.ring_count(step);
        if s.number("rounds").or(s.number("n")) != Some(n) {
            self.fault(row, format!("{n} rounds"));
        }
        let thing = step
            .keep_out
            .and_then(|k| self.read.kinds.get(k))
            .map(String::as_str);
        if s.slot("thing") != thing || s.slot("edge").is_some() != thing.is_none() {
            self.fault(row, format!("round {thing:?}"));
        }
        self.sense(row, step, s);
    }

    fn rings(&mut self, row: &Row, step: &Step, s: &Sentence) {
        let n = self.ring_count(step);
        if s.number("n") != Some(n) {
            self.fault(row, format!("{n} rings"));
        }
        let legs = &self.read.legs[step.from..step.to];
        if legs.windows(2).any(|w| w[1].index < w[0].index) {
            self.fault(row, "not from the outside in".into());
        }
        self.sense(row, step, s);
    }

    fn is_short(&self, step: &Step) -> bool {
        self.read.legs[step.from..step.to].iter().all(|l| {
            let cut = self.read.cut(l);
            cut.iter().map(|t| t.length_m).sum::<f64>() <= 15.0
        })
    }

    fn patch(&mut self, row: &Row, step: &Step, s: &Sentence) {
        let legs = &self.read.legs[step.from..step.to];
        if s.number("n") != Some(legs.len() as u64) {
            self.fault(row, format!("{} passes", legs.len()));
        }
        if (s.slot("pass") == Some("1")) != (legs.len() == 1) {
            self.fault(row, "one or several".into());
        }
        if s.slot("short").is_some() != self.is_short(step) {
            self.fault(row, format!("short: {}", self.is_short(step)));
        }
        let (edge, kept, kind) = claims::beside(self.read, legs);
        // Half a metre either way: the edge that the reader sees is the ground's, not the
        // outline's.
        let near = |a: f64, b: f64| a <= b + 0.5;
        let holds = match (s.slot("edge"), s.slot("inside"), s.slot("thing")) {
            (Some(_), ..) => near(edge, 6.0) && (near(edge, kept) || !near(kept, 5.5)),
            (_, Some(_), _) => near(5.5, edge.min(kept)),
            (.., Some(t)) => kind.as_deref() == Some(t) && near(kept, 6.0) && near(kept, edge),
            _ => false,
        };
        if !holds {
            self.fault(
                row,
                format!("{edge:.1} m from the outline, {kept:.1} m from {kind:?}"),
            );
        }
    }

    fn places(&mut self, row: &Row, from: usize, last: usize, said: &[Sentence]) {
        let steps = &self.read.steps[from..=last];
        let [s] = said else {
            self.fault(row, "more than one sentence for several patches".into());
            return;
        };
        let passes: usize = steps.iter().map(|s| s.to - s.from).sum();
        let short = steps.iter().all(|s| self.is_short(s));
        let same = s.kind == "places"
            && s.number("m") == Some(steps.len() as u64)
            && s.number("n") == Some(passes as u64)
            && s.slot("short").is_some() == short
            && steps.iter().all(|s| s.kind == "patch" && !s.stop_here);
        if !same {
            self.fault(
                row,
                format!("{} patches, {passes} passes, short: {short}", steps.len()),
            );
        }
    }

    fn lines(&mut self, row: &Row, step: &Step, s: &Sentence, said: &[Sentence]) {
        let driven = claims::driven(self.read, step);
        let taken = claims::taken(&driven);
        let n = taken.len();
        if s.number("n") != Some(n as u64) {
            self.fault(row, format!("{n} lines"));
        }
        let first = &self.read.legs[step.from];
        let noun = match (step.kind.as_str(), self.read.pattern.as_str()) {
            ("lanes", _) => "lane",
            _ if first.role == "contour" => "bend",
            (_, "cross") if step.set > 0 => "crossing",
            _ => "stripe",
        };
        if s.slot("noun") != Some(noun) {
            self.fault(row, format!("they are {noun}"));
        }
        let first = driven[0].way;
        let dot = |v: [f64; 2]| v[0] * first[0] + v[1] * first[1];
        let one_way = n > 1 && driven.iter().all(|d| dot(d.way) > 0.0);
        match said.iter().find(|s| s.kind == "one_way") {
            None if one_way => self.fault(row, "all go one way".into()),
            Some(w) if !one_way || !self.page.along_is(first, w.slot("way").unwrap_or("")) => {
                self.fault(row, "they do not all go that way".into());
            }
            _ => {}
        }
        let low_high = claims::low_to_high(&driven);
        if s.kind == "one" {
            if n != 1 {
                self.fault(row, "more than one line".into());
            }
            return;
        }
        if s.kind == "halves" {
            self.halves(row, s, &driven);
            return;
        }
        // Places across, 1 on the side the sentence begins at.
        let (Some(v), Some(word)) = (low_high, s.slot("across")) else {
            self.fault(row, "no side".into());
            return;
        };
        let up = self.page.across_is(v, word);
        let down = self.page.across_is([-v[0], -v[1]], word);
        if !up && !down {
            self.fault(row, "not across that way".into());
            return;
        }
        let mut sorted = taken.clone();
        sorted.sort_unstable();
        if !up {
            sorted.reverse();
        }
        let places: Vec<usize> = taken
            .iter()
            .map(|l| sorted.iter().position(|s| s == l).unwrap_or(0) + 1)
            .collect();
        let told: Vec<usize> = match s.kind {
            "every" => match sweeps(s, n) {
                Some(told) => told,
                None => {
                    self.fault(row, "the sweeps do not add up".into());
                    return;
                }
            },
            _ => (1..=n).collect(),
        };
        if places != told {
            self.fault(row, format!("driven in the order {places:?}"));
        }
    }

    fn halves(&mut self, row: &Row, s: &Sentence, driven: &[claims::Driven]) {
        // The way of the whole first line, gaps and all: its first leg may be the short one.
        let line = driven.iter().take_while(|d| d.line == driven[0].line);
        let first = line.fold([0.0, 0.0], |s, d| [s[0] + d.way[0], s[1] + d.way[1]]);
        // A line of one half, a line of the other.
        let taken = claims::taken(driven);
        let place = |d: &claims::Driven| taken.iter().position(|l| *l == d.line);
        let (a, b): (Vec<_>, Vec<_>) =
            (driven.iter()).partition(|d| place(d).is_some_and(|i| i % 2 == 0));
        let against = |d: &&claims::Driven| d.way[0] * first[0] + d.way[1] * first[1] < 0.0;
        if !b.iter().any(against) {
            self.fault(row, "both halves go one way".into());
        }
        if b.is_empty() {
            self.fault(row, "only one half".into());
            return;
        }
        // Beside each other, not by their middles: on bent ground lines of unlike length have those
        // anywhere.
        let across = a.iter().map(|d| d.left_of(&b)).sum::<f64>();
        let v = [-first[1] * across, first[0] * across];
        let opposite = |a: Option<&str>, b: Option<&str>| {
            matches!(
                (a, b),
                (Some("up"), Some("down"))
                    | (Some("down"), Some("up"))
                    | (Some("left"), Some("right"))
                    | (Some("right"), Some("left"))
            )
        };
        let slot = |n: &str| s.slot(n).unwrap_or("").to_string();
        if !self.page.across_is(v, &slot("half")) || !self.page.along_is(first, &slot("way")) {
            self.fault(row, "the first half lies or goes elsewhere".into());
        }
        if !opposite(s.slot("half"), s.slot("other")) || !opposite(s.slot("way"), s.slot("back")) {
            self.fault(row, "the halves are no opposites".into());
        }
        // From the outside in: the numbers of each half run toward those of the other.
        let lines = |h: &[&claims::Driven]| h.iter().map(|d| d.line).collect::<Vec<u64>>();
        let (la, lb) = (lines(&a), lines(&b));
        let rises = |l: &[u64]| l.windows(2).all(|w| w[0] <= w[1]);
        let falls = |l: &[u64]| l.windows(2).all(|w| w[0] >= w[1]);
        let inward = if la[0] < lb[0] {
            rises(&la) && falls(&lb)
        } else {
            falls(&la) && rises(&lb)
        };
        if !inward {
            self.fault(row, format!("not from the outside in: {la:?} and {lb:?}"));
        }
    }

    fn gaps(&mut self, row: &Row, step: &Step, said: &[Sentence]) {
        let found = claims::gaps(self.read, step);
        // A keep-out at the very limit of what counts as near may be told or not.
        if found.iter().any(|g| (g.off_m - 3.0).abs() < 0.2) {
            return;
        }
        let mut is: Vec<(Option<String>, bool)> = Vec::new();
        for claims::Over { thing, round, .. } in found {
            match is.iter_mut().find(|g| g.0 == thing) {
                Some(g) => g.1 |= round,
                None => is.push((thing, round)),
            }
        }
        let mut told: Vec<(Option<String>, bool)> = said
            .iter()
            .filter(|s| s.kind.starts_with("gap"))
            .map(|s| (s.slot("thing").map(str::to_string), s.kind == "gap_round"))
            .collect();
        is.sort();
        told.sort();
        if is != told {
            self.fault(row, format!("passes {is:?}"));
        }
    }

    /// Past keep-outs, and where a ring breaks off for longer than a corner takes.
    fn ring_gaps(&mut self, row: &Row, step: &Step, said: &[Sentence]) {
        let found = claims::gaps(self.read, step);
        // At the limit of what counts as near or as a corner either will do.
        let limit = |g: &claims::Over| (g.off_m - 3.0).abs() < 0.2 || (g.over_m - 8.0).abs() < 0.2;
        if found.iter().any(limit) {
            return;
        }
        let is: BTreeSet<Option<String>> = (found.into_iter())
            .filter(|g| g.thing.is_some() || g.over_m > 8.0)
            .map(|g| g.thing)
            .collect();
        let gaps: Vec<&Sentence> = (said.iter())
            .filter(|s| s.kind.starts_with("gap"))
            .collect();
        let told: BTreeSet<Option<String>> = (gaps.iter())
            .filter(|s| s.kind == "gap_ring")
            .map(|s| s.slot("thing").map(str::to_string))
            .collect();
        if is != told || told.len() != gaps.len() {
            self.fault(row, format!("lifts for {is:?}"));
        }
    }

    /// The words beside the list: first pass, line to hold, loops, what is left.
    fn rest(&mut self, rest: &str) {
        let t = self.tongue;
        let mut faults = Vec::new();
        if let Some(said) = after(rest, t.first_pass) {
            self.out.sentences += 1;
            let heading = self
                .read
                .tracks
                .iter()
                .find(|t| t.down)
                .map(|t| t.heading_rad);
            if let (Some(heading), Some(up)) = (heading, self.read.up_rad) {
                let off = heading - up;
                let said = said.split('.').next().unwrap_or("");
                let word = t.words.iter().find(|w| w.0 == "first" && w.1 == said);
                let holds = match word.map(|w| w.2) {
                    Some("up") => off.cos() > 0.965,
                    Some(_) => off.cos() < -0.965,
                    None => {
                        off.cos().abs() < 0.967 && hour_of(said).is_some_and(|h| is_hour(h, off))
                    }
                };
                if !holds {
                    faults.push(format!(
                        "first pass '{said}', {:.0} degrees",
                        off.to_degrees()
                    ));
                }
            }
        }
        let pattern = self
            .read
            .legs
            .iter()
            .find(|l| matches!(l.role.as_str(), "stripe" | "lane" | "contour"));
        // A lane of a single loop ends where it begins: it has no way of its own.
        let way = pattern.and_then(|l| {
            let (a, b) = self.read.ends(l);
            let (x, y) = (b[0] - a[0], b[1] - a[1]);
            (x.hypot(y) > 0.5).then(|| y.atan2(x))
        });
        if let (Some(said), Some(way), Some(up)) = (after(rest, t.aim), way, self.read.up_rad) {
            self.out.sentences += 1;
            let mark = said.split(". ").next().unwrap_or("");
            if !hour_of(mark).is_some_and(|h| is_hour(h, way - up)) {
                faults.push(format!("aim at {mark}"));
            }
        }
        if let (Some(at), Some(n)) = (rest.find(t.loops_in_lane), self.read.loops_per_lane) {
            self.out.sentences += 1;
            if !rest[..at].ends_with(&format!(" {n}")) {
                faults.push(format!("{n} loops in the longest lane"));
            }
        }
        // The big clock: the way of the first pass of the pattern, in whole degrees.
        if let Some(way) = way
            && let Some(deg) = between(rest, "(", "°)").and_then(|d| d.parse::<f64>().ok())
        {
            self.out.sentences += 1;
            let is = (90.0 - way.to_degrees()).rem_euclid(360.0);
            let off = (deg - is + 540.0).rem_euclid(360.0) - 180.0;
            if off.abs() > 0.6 {
                faults.push(format!("heading {deg}, is {is:.1}"));
            }
        }
        self.out.sentences += 1;
        let (trim, missed) = (self.read.trim_m2 >= 0.1, self.read.missed_m2 >= 0.1);
        for (is, said, what) in [
            (!trim && !missed, rest.contains(t.nothing), "nothing left"),
            (trim, rest.contains(t.trim), "trim"),
            (missed, rest.contains(t.missed), "missed"),
        ] {
            if is != said {
                faults.push(format!("{what}: {is}"));
            }
        }
        match after(rest, t.time).and_then(minutes_of) {
            Some(m) if (m - self.read.minutes).abs() <= 0.51 => {}
            m => faults.push(format!("minutes {m:?}, is {}", self.read.minutes)),
        }
        self.out.faults.extend(faults);
    }
}

fn after<'t>(text: &'t str, phrase: &str) -> Option<&'t str> {
    text.find(phrase).map(|at| &text[at + phrase.len()..])
}

fn between<'t>(text: &'t str, a: &str, b: &str) -> Option<&'t str> {
    let end = text.find(b)?;
    let start = text[..end].rfind(a)? + a.len();
    Some(&text[start..end])
}

/// The hour in "toward 12:30", "hacia las 9", "3 on the clock".
fn hour_of(text: &str) -> Option<f64> {
    let word = text
        .split(' ')
        .find(|w| w.starts_with(|c: char| c.is_ascii_digit()))?;
    let (h, half) = match word.split_once(':') {
        Some((h, m)) => (h, f64::from(u8::from(m.starts_with("30"))) / 2.0),
        None => (word, 0.0),
    };
    Some(h.parse::<f64>().ok()? + half)
}

/// Whether an hour on the clock is the nearest half hour to a way that is so far to the left of
/// the green.
fn is_hour(hour: f64, left_rad: f64) -> bool {
    let is = (-left_rad.to_degrees() / 30.0).rem_euclid(12.0);
    let off = (hour - is + 18.0).rem_euclid(12.0) - 6.0;
    off.abs() <= 0.26
}

/// "43 min" or "1 h 05 min".
fn minutes_of(text: &str) -> Option<f64> {
    let words: Vec<&str> = text.split(' ').collect();
    let number = |i: usize| words.get(i)?.parse::<f64>().ok();
    match words.get(1)? {
        u if u.starts_with("min") => number(0),
        &"h" => Some(number(0)? * 60.0 + number(2)?),
        _ => None,
    }
}

/// The order that "every third, three times over: begin with 1, then back from 8, then 3" means
/// for so many lines; none when it does not take each once.
fn sweeps(s: &Sentence, n: usize) -> Option<Vec<usize>> {
    let k = s.number("every")? as i64;
    let starts: Vec<i64> = s
        .slot("firsts")?
        .split(' ')
        .map(|f| f.parse().ok())
        .collect::<Option<_>>()?;
    if s.number("times")? != starts.len() as u64 {
        return None;
    }
    let mut out = Vec::new();
    for start in starts {
        let (mut at, by) = (start.abs(), if start < 0 { -k } else { k });
        while (1..=n as i64).contains(&at) {
            out.push(at as usize);
            at += by;
        }
    }
    let mut sorted = out.clone();
    sorted.sort_unstable();
    (sorted == (1..=n).collect::<Vec<_>>()).then_some(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet_reader::phrases::{ENGLISH, SPANISH};

    #[test]
    fn sweeps_take_each_line_once() {
        let s = ENGLISH
            .read("9 stripes, left to right, every third, three times over: begin with 1, then back from 8, then 3.")
            .unwrap();
        assert_eq!(sweeps(&s, 9), Some(vec![1, 4, 7, 8, 5, 2, 3, 6, 9]));
        assert_eq!(sweeps(&s, 8), Some(vec![1, 4, 7, 8, 5, 2, 3, 6]));
        assert_eq!(sweeps(&s, 12), None);
    }

    #[test]
    fn spanish_halves_are_told_apart() {
        let s = SPANISH
            .read("8 franjas: mitad de arriba hacia la derecha, mitad de abajo hacia la izquierda, de afuera hacia adentro.")
            .unwrap();
        assert_eq!(s.slot("half"), Some("up"));
        assert_eq!(s.slot("back"), Some("left"));
        assert!(SPANISH.read("8 franjas, de lado.").is_none());
    }

    #[test]
    fn hours_run_clockwise() {
        assert!(is_hour(12.0, 0.0) && is_hour(3.0, -std::f64::consts::FRAC_PI_2));
        assert!(is_hour(12.5, -0.26) && !is_hour(11.5, -0.26));
        assert_eq!(minutes_of("1 h 05 min. Left"), Some(65.0));
    }
}
