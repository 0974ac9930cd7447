//! What stops a season from being planned, and what the user should know when nothing does.

use crate::heights::HeightError;
use crate::rule_faults::RuleFault;
use crossgrain_core::PlanError;
use jiff::civil::Date;
use std::fmt;

/// Why no season could be planned.
#[derive(Debug, Clone, PartialEq)]
pub enum SeasonError {
    /// Faults in the rules; warnings among them are kept too.
    Rules(Vec<RuleFault>),
    /// A mow could not be planned.
    Plan {
        /// The fairway.
        fairway: String,
        /// Why.
        error: PlanError,
    },
    /// A height that cannot be set.
    Height {
        /// The fairway.
        fairway: String,
        /// Why.
        error: HeightError,
    },
    /// No fairway is left to mow.
    NoFairway,
    /// A visit in the log to a fairway that the course does not have.
    UnknownDone {
        /// The name in the log.
        name: String,
        /// The names in the course.
        known: Vec<String>,
    },
    /// As many mowers as machines are needed.
    Machines {
        /// Machines in the rules.
        rules: usize,
        /// Mowers given.
        mowers: usize,
    },
    /// A note in the log about a fairway that the course does not have.
    UnknownObserved {
        /// The name in the log.
        name: String,
        /// The names in the course.
        known: Vec<String>,
    },
}

impl fmt::Display for SeasonError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SeasonError::Rules(all) => {
                let errors: Vec<String> = all
                    .iter()
                    .filter(|r| r.is_error())
                    .map(RuleFault::to_string)
                    .collect();
                write!(f, "{}", errors.join("\n"))
            }
            SeasonError::Plan { fairway, error } => write!(f, "fairway {fairway}: {error}"),
            SeasonError::Height { fairway, error } => {
                write!(f, "height on fairway {fairway}: {error}")
            }
            SeasonError::NoFairway => write!(
                f,
                "no fairway is left to mow; the rules leave all of them out, or none is wide enough"
            ),
            SeasonError::UnknownDone { name, known } => write!(
                f,
                "the log of what was mown has fairway '{name}', which the course does not have; \
                 use one of: {}",
                known.join(", ")
            ),
            SeasonError::Machines { rules, mowers } => write!(
                f,
                "crew.machines names {rules} machines and {mowers} mowers are given; give a deck \
                 or a mower file for each"
            ),
            SeasonError::UnknownObserved { name, known } => write!(
                f,
                "the log has a note on fairway '{name}', which the course does not have; \
                 use one of: {}",
                known.join(", ")
            ),
        }
    }
}

impl std::error::Error for SeasonError {}

/// Something the user should know about a season.
#[derive(Debug, Clone, PartialEq)]
pub enum Warning {
    /// A rule that is kept, but doubtful.
    Rule(RuleFault),
    /// Days with more hours than the crew has.
    Overloaded {
        /// How many such days.
        days: usize,
        /// The worst of them.
        worst: Date,
        /// Its minutes, all mowers together.
        minutes: f64,
        /// The limit, minutes.
        limit_min: f64,
    },
    /// Loops cannot be mown here; the cross cut takes their turns.
    LoopsRefused {
        /// The fairway.
        fairway: String,
        /// Why.
        error: PlanError,
    },
    /// Loops would leave ground that stripes do not, wherever their lanes lie; the cross cut takes
    /// their turns.
    LoopsLeave {
        /// The fairway.
        fairway: String,
        /// The least that they leave, square metres.
        missed_m2: f64,
    },
    /// A fairway that the deck cannot reach; it is left out.
    TooNarrow {
        /// The fairway.
        fairway: String,
    },
    /// The allowed headings cost more than the extra hours allowed, whatever is chosen.
    ExtraHours {
        /// Hours over the season.
        hours: f64,
        /// The limit, hours.
        limit_hours: f64,
    },
    /// A day in the log on which a fairway cannot have been mown so, or is not in the season.
    Log(String),
    /// The allowed headings hold no cross cut within the angle; the squarest one is used.
    NoCrossing {
        /// The fairway.
        fairway: String,
        /// The angle it has, degrees.
        angle_deg: f64,
    },
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Warning::Rule(r) => write!(f, "{r}"),
            Warning::Overloaded {
                days,
                worst,
                minutes,
                limit_min,
            } => write!(
                f,
                "crew.hours_per_day: {days} days need more than the crew's {:.1} h; the worst is \
                 {worst} with {:.1} h; add a mower or a mowing day, or ask for fewer visits_per_week",
                limit_min / 60.0,
                minutes / 60.0
            ),
            Warning::LoopsRefused { fairway, error } => write!(
                f,
                "fairway {fairway} is not mown in loops: {error}; it is cross cut instead"
            ),
            Warning::LoopsLeave { fairway, missed_m2 } => write!(
                f,
                "fairway {fairway} is not mown in loops: they would leave {missed_m2:.1} m2 at \
                 least; it is cross cut instead"
            ),
            Warning::TooNarrow { fairway } => write!(
                f,
                "fairway {fairway} is narrower than the deck and is left out; mow it with a \
                 smaller machine"
            ),
            Warning::ExtraHours { hours, limit_hours } => write!(
                f,
                "headings.extra_hours_percent: the season takes {hours:.1} h with the cheapest of \
                 the allowed headings, more than the {limit_hours:.1} h allowed; allow more \
                 headings or more hours"
            ),
            Warning::Log(text) => f.write_str(text),
            Warning::NoCrossing { fairway, angle_deg } => write!(
                f,
                "headings.allowed: on fairway {fairway} the cross cut crosses at {angle_deg:.0} \
                 degrees only; allow a heading square to the others"
            ),
        }
    }
}
