//! The scalping log: what was seen after a mow, and what it changes.
//!
//! Loops meet the grass from sides it has not been cut from for a long time, so stems that lay
//! flat may be cut short. Raising the height for the first loop mows and coming back is common
//! practice; how far to go on with it is a matter of looking. The steps here are this
//! program's own, for the superintendent to overrule.

use crate::slots::Kind;
use jiff::civil::Date;
use std::fmt;

/// How much was scalped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scalping {
    /// Nothing seen.
    None,
    /// A few marks that are gone in days.
    Slight,
    /// Clear marks on part of the fairway.
    Moderate,
    /// Brown ground.
    Severe,
}

impl Scalping {
    /// The word in an observations file.
    pub fn word(self) -> &'static str {
        match self {
            Scalping::None => "none",
            Scalping::Slight => "slight",
            Scalping::Moderate => "moderate",
            Scalping::Severe => "severe",
        }
    }

    /// The degree of that name, in any case.
    pub fn named(word: &str) -> Option<Self> {
        [
            Scalping::None,
            Scalping::Slight,
            Scalping::Moderate,
            Scalping::Severe,
        ]
        .into_iter()
        .find(|s| s.word() == word.trim().to_lowercase())
    }
}

/// One note of the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// When it was seen.
    pub date: Date,
    /// Where.
    pub fairway: String,
    /// What was seen.
    pub scalping: Scalping,
    /// Anything else.
    pub note: String,
}

/// Why a visit's height or pattern is what it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// One of the first loop mows of the season, raised by rule.
    FirstLoops,
    /// The raise is repeated after slight marks.
    RaiseRepeated {
        /// When they were seen.
        seen: Date,
    },
    /// The raise is kept between the loops too after moderate marks.
    RaiseKept {
        /// When they were seen.
        seen: Date,
    },
    /// The raise is kept after severe marks, while loops are held back and until two loop visits
    /// after that are done.
    RaiseKeptSevere {
        /// When they were seen.
        seen: Date,
    },
    /// Loops are held back after severe marks; the regular pattern is mown, raised.
    LoopsHeldBack {
        /// When they were seen.
        seen: Date,
    },
}

impl Reason {
    /// Its word in files, and the day it goes back to.
    pub fn word(self) -> (&'static str, Option<Date>) {
        match self {
            Reason::FirstLoops => ("first-loops", None),
            Reason::RaiseRepeated { seen } => ("raise-repeated", Some(seen)),
            Reason::RaiseKept { seen } => ("raise-kept", Some(seen)),
            Reason::RaiseKeptSevere { seen } => ("raise-kept-severe", Some(seen)),
            Reason::LoopsHeldBack { seen } => ("loops-held-back", Some(seen)),
        }
    }

    /// The reason of that word.
    pub fn named(word: &str, seen: Option<Date>) -> Option<Self> {
        match (word, seen) {
            ("first-loops", _) => Some(Reason::FirstLoops),
            ("raise-repeated", Some(seen)) => Some(Reason::RaiseRepeated { seen }),
            ("raise-kept", Some(seen)) => Some(Reason::RaiseKept { seen }),
            ("raise-kept-severe", Some(seen)) => Some(Reason::RaiseKeptSevere { seen }),
            ("loops-held-back", Some(seen)) => Some(Reason::LoopsHeldBack { seen }),
            _ => None,
        }
    }
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Reason::FirstLoops => write!(f, "raised for the first loop mows of the season"),
            Reason::RaiseRepeated { seen } => {
                write!(f, "raised height repeated: slight scalping seen on {seen}")
            }
            Reason::RaiseKept { seen } => {
                write!(f, "raised height kept: moderate scalping seen on {seen}")
            }
            Reason::RaiseKeptSevere { seen } => {
                write!(f, "raised height kept: severe scalping seen on {seen}")
            }
            Reason::LoopsHeldBack { seen } => {
                write!(f, "loops held back: severe scalping seen on {seen}")
            }
        }
    }
}

/// What the log makes of one visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Verdict {
    /// What is mown after all.
    pub kind: Kind,
    /// Whether the height is raised.
    pub raised: bool,
    /// Why, when it is not the plain programme.
    pub why: Option<Reason>,
}

/// Loop visits held back after severe marks, unless a later note says there is nothing left.
const HELD_BACK: u32 = 2;
/// Loop visits raised again after moderate or severe marks.
const RAISED_AGAIN: u32 = 2;

/// Goes through one fairway's visits (date and kind, in order) with its notes in hand.
///
/// - *slight*: the next loop visit is raised once more;
/// - *moderate*: every visit is raised until the next two loop visits are done;
/// - *severe*: the next two loop visits become regular mows, all visits are raised until then,
///   and the two loop visits after that are raised;
/// - *none*: an end to all that.
///
/// The latest note counts. A note acts on visits after its day, so what is already mown never
/// changes.
pub fn verdicts(visits: &[(Date, Kind)], log: &[Observation], raised_mows: u32) -> Vec<Verdict> {
    let mut log: Vec<&Observation> = log.iter().collect();
    log.sort_by_key(|o| (o.date, o.scalping));
    let mut notes = log.into_iter().peekable();
    let mut state = State::default();
    let mut loops_done = 0;
    let mut out = Vec::with_capacity(visits.len());
    for &(date, kind) in visits {
        while let Some(o) = notes.next_if(|o| o.date < date) {
            state = State::after(o);
        }
        let mut verdict = Verdict {
            kind,
            raised: false,
            why: None,
        };
        let loops = kind == Kind::Loops;
        if loops && state.hold > 0 {
            state.hold -= 1;
            verdict.kind = Kind::Regular;
            verdict.raised = true;
            verdict.why = state.seen.map(|seen| Reason::LoopsHeldBack { seen });
        } else if state.raise > 0 && (loops || state.between) {
            state.raise -= u32::from(loops);
            verdict.raised = true;
            verdict.why = state.seen.map(|seen| {
                if state.severe {
                    Reason::RaiseKeptSevere { seen }
                } else if state.between {
                    Reason::RaiseKept { seen }
                } else {
                    Reason::RaiseRepeated { seen }
                }
            });
        } else if loops && loops_done < raised_mows {
            verdict.raised = true;
            verdict.why = Some(Reason::FirstLoops);
        }
        loops_done += u32::from(verdict.kind == Kind::Loops);
        out.push(verdict);
    }
    out
}

#[derive(Debug, Clone, Copy, Default)]
struct State {
    /// Loop visits still to be held back.
    hold: u32,
    /// Loop visits still to be raised.
    raise: u32,
    /// Whether the visits between the loops are raised too.
    between: bool,
    /// Whether severe marks are what it goes back to.
    severe: bool,
    seen: Option<Date>,
}

impl State {
    fn after(o: &Observation) -> Self {
        let (hold, raise, between) = match o.scalping {
            Scalping::None => (0, 0, false),
            Scalping::Slight => (0, 1, false),
            Scalping::Moderate => (0, RAISED_AGAIN, true),
            Scalping::Severe => (HELD_BACK, RAISED_AGAIN, true),
        };
        State {
            hold,
            raise,
            between,
            severe: o.scalping == Scalping::Severe,
            seen: Some(o.date),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::ToSpan;
    use jiff::civil::date;

    /// Loops every second visit, weekly from 1 May 2027.
    fn visits() -> Vec<(Date, Kind)> {
        (0..12)
            .map(|i| {
                let kind = if i % 2 == 0 {
                    Kind::Loops
                } else {
                    Kind::Regular
                };
                (date(2027, 5, 1) + (7 * i).days(), kind)
            })
            .collect()
    }

    fn note(day: Date, scalping: Scalping) -> Observation {
        Observation {
            date: day,
            fairway: "7".into(),
            scalping,
            note: String::new(),
        }
    }

    fn raised(v: &[Verdict]) -> String {
        v.iter()
            .map(|v| match (v.kind, v.raised) {
                (Kind::Loops, true) => 'L',
                (Kind::Loops, false) => 'l',
                (_, true) => 'R',
                (_, false) => 'r',
            })
            .collect()
    }

    #[test]
    fn without_notes_the_first_two_loops_are_raised() {
        let v = verdicts(&visits(), &[], 2);
        assert_eq!(raised(&v), "LrLrlrlrlrlr");
        assert_eq!(v[0].why, Some(Reason::FirstLoops));
        assert_eq!(v[4].why, None);
    }

    #[test]
    fn each_degree_changes_what_it_says() {
        // Seen after the third visit (a loop mow on 15 May).
        let seen = date(2027, 5, 16);
        for (degree, expected) in [
            (Scalping::None, "LrLrlrlrlrlr"),
            (Scalping::Slight, "LrLrLrlrlrlr"),
            (Scalping::Moderate, "LrLRLRLrlrlr"),
            (Scalping::Severe, "LrLRRRRRLRLr"),
        ] {
            let v = verdicts(&visits(), &[note(seen, degree)], 2);
            assert_eq!(raised(&v), expected, "{degree:?}");
        }
        let v = verdicts(&visits(), &[note(seen, Scalping::Severe)], 2);
        assert_eq!(v[4].why, Some(Reason::LoopsHeldBack { seen }));
        // Between the loops, and after them, the log is told to the letter.
        for i in [3, 5, 7, 8, 9, 10] {
            assert_eq!(v[i].why, Some(Reason::RaiseKeptSevere { seen }), "{i}");
            let why = v[i].why.unwrap();
            assert!(
                why.to_string()
                    .contains("severe scalping seen on 2027-05-16")
            );
            let (word, day) = why.word();
            assert_eq!(Reason::named(word, day), Some(why));
        }
        let moderate = verdicts(&visits(), &[note(seen, Scalping::Moderate)], 2);
        assert_eq!(moderate[3].why, Some(Reason::RaiseKept { seen }));
        assert_eq!(
            v[4].why.unwrap().to_string(),
            "loops held back: severe scalping seen on 2027-05-16"
        );
    }

    #[test]
    fn a_clean_look_ends_the_hold() {
        let log = [
            note(date(2027, 5, 16), Scalping::Severe),
            note(date(2027, 5, 25), Scalping::None),
        ];
        assert_eq!(raised(&verdicts(&visits(), &log, 2)), "LrLRlrlrlrlr");
    }

    #[test]
    fn what_is_mown_never_changes() {
        let before = verdicts(&visits(), &[], 2);
        let after = verdicts(&visits(), &[note(date(2027, 6, 12), Scalping::Severe)], 2);
        assert_eq!(before[..7], after[..7]);
    }
}
