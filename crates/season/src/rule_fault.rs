//! One thing that is wrong with a set of rules: the rule's name, what is wrong, and the fix.

use crate::grass::{FLOOR_SOURCE, Grass};
use crossgrain_core::inside::model::pattern::PatternKind;
use jiff::civil::Date;
use std::fmt;

/// A fault in the rules. [`RuleFault::is_error`] tells whether planning can go on.
#[derive(Debug, Clone, PartialEq)]
pub enum RuleFault {
    /// The last day is before the first.
    EndsBeforeItStarts {
        /// First day.
        from: Date,
        /// Last day.
        to: Date,
    },
    /// More days than a season can have.
    TooLong {
        /// Days asked for.
        days: i32,
        /// The limit.
        limit: i32,
    },
    /// No day of the week to mow on.
    NoMowingDay,
    /// Every mowing day is closed or outside the season.
    NothingToMow,
    /// Visits a week that the mowing days do not hold.
    Visits {
        /// Visits asked for.
        asked: u32,
        /// Mowing days in a week.
        days: usize,
    },
    /// A fairway that the course does not have.
    UnknownFairway {
        /// The name in the rules.
        name: String,
        /// The names in the course.
        known: Vec<String>,
    },
    /// A number outside what makes sense.
    Number {
        /// The rule.
        rule: &'static str,
        /// Its value, in `unit`.
        value: f64,
        /// Unit.
        unit: &'static str,
        /// What is accepted.
        expected: &'static str,
    },
    /// A closed span that ends before it starts.
    ClosedBackward {
        /// First day.
        from: Date,
        /// Last day.
        to: Date,
        /// What is on.
        why: String,
    },
    /// A machine that the rules do not name is barred somewhere.
    UnknownMachine {
        /// The fairway.
        fairway: String,
        /// The machine.
        machine: String,
        /// The machines there are.
        known: Vec<String>,
    },
    /// No machine may mow a fairway.
    NoMachine {
        /// The fairway.
        fairway: String,
    },
    /// Two machines of one name.
    SameName {
        /// The name.
        name: String,
    },
    /// No heading allowed.
    NoHeading,
    /// Grooming without a pattern to take turns.
    NoTurns,
    /// A height below the lowest published for the grass.
    BelowFloor {
        /// The fairway, or none for the course's rule.
        fairway: Option<String>,
        /// The height, metres.
        height_m: f64,
        /// The grass.
        grass: Grass,
    },
    /// Coming back from the raised height takes off more than a third of the leaf.
    OneThird {
        /// Fraction of the leaf taken off.
        share: f64,
        /// Height before that mow, metres.
        before_m: f64,
        /// Height of cut, metres.
        after_m: f64,
        /// Largest raise that keeps the rule, a fraction; none when growth alone breaks it.
        largest_raise: Option<f64>,
        /// Days between mows.
        days: f64,
    },
    /// The pattern has no use as the regular mow.
    Regular {
        /// The pattern.
        pattern: PatternKind,
    },
}

/// Metres as millimetres.
pub(crate) fn mm(m: f64) -> f64 {
    m * 1000.0
}

impl RuleFault {
    /// True when nothing can be planned with it; false for a warning.
    pub fn is_error(&self) -> bool {
        !matches!(
            self,
            RuleFault::OneThird { .. } | RuleFault::BelowFloor { .. } | RuleFault::Visits { .. }
        )
    }

    /// The rule at fault, by its place in a rules file.
    pub fn rule(&self) -> String {
        match self {
            RuleFault::EndsBeforeItStarts { .. } | RuleFault::TooLong { .. } => {
                "season.to".to_string()
            }
            RuleFault::NoMowingDay => "mowing_days".to_string(),
            RuleFault::NothingToMow => "closed".to_string(),
            RuleFault::Visits { .. } => "visits_per_week".to_string(),
            RuleFault::UnknownFairway { name, .. } => format!("fairways.{name}"),
            RuleFault::Number { rule, .. } => (*rule).to_string(),
            RuleFault::ClosedBackward { .. } => "closed".to_string(),
            RuleFault::UnknownMachine { fairway, .. } | RuleFault::NoMachine { fairway } => {
                format!("fairways.{fairway}.barred")
            }
            RuleFault::SameName { .. } => "crew.machines".to_string(),
            RuleFault::NoHeading => "headings.allowed".to_string(),
            RuleFault::NoTurns => "grooming.turns".to_string(),
            RuleFault::BelowFloor { fairway: None, .. } => "height.regular".to_string(),
            RuleFault::BelowFloor {
                fairway: Some(name),
                ..
            } => format!("fairways.{name}.height"),
            RuleFault::OneThird { .. } => "height.raise_percent".to_string(),
            RuleFault::Regular { .. } => "regular".to_string(),
        }
    }

    /// What to do about it.
    pub fn fix(&self) -> String {
        match self {
            RuleFault::EndsBeforeItStarts { from, .. } => {
                format!("set season.to to {from} or later")
            }
            RuleFault::TooLong { limit, .. } => {
                format!("plan at most {limit} days at a time")
            }
            RuleFault::NoMowingDay => "name at least one day, such as [\"mon\"]".to_string(),
            RuleFault::NothingToMow => {
                "open a mowing day, or add make_up_days that can stand in".to_string()
            }
            RuleFault::Visits { days, .. } => {
                format!("ask for 1 to {days} visits, or add mowing days")
            }
            RuleFault::UnknownFairway { known, .. } => {
                format!("use one of: {}", known.join(", "))
            }
            RuleFault::Number { expected, .. } => format!("give {expected}"),
            RuleFault::ClosedBackward { .. } => "swap the two dates".to_string(),
            RuleFault::UnknownMachine { known, .. } => {
                format!("use one of: {}", known.join(", "))
            }
            RuleFault::NoMachine { .. } => {
                "allow one of them here, or leave the fairway out".to_string()
            }
            RuleFault::SameName { .. } => {
                "give each its own name, or say how many there are with count".to_string()
            }
            RuleFault::NoHeading => "allow at least one, such as [\"12-6\", \"3-9\"]".to_string(),
            RuleFault::NoTurns => {
                "name cross, loops or both, or set grooming.every_weeks to 0".to_string()
            }
            RuleFault::BelowFloor { grass, .. } => format!(
                "set it to {:.2} mm ({:.3} in) or more, or take local advice in writing",
                mm(grass.floor_m()),
                grass.floor_m() / 0.0254
            ),
            RuleFault::OneThird {
                largest_raise: Some(r),
                ..
            } => format!(
                "raise by {:.0}% at most, mow more often, or come down in two steps",
                (r * 100.0).floor()
            ),
            RuleFault::OneThird {
                largest_raise: None,
                ..
            } => "mow more often or set a higher regular height".to_string(),
            RuleFault::Regular { .. } => {
                "use stripes, contour, half-and-half or rings; cross and loops belong to grooming"
                    .to_string()
            }
        }
    }
}

impl fmt::Display for RuleFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: ", self.rule())?;
        match self {
            RuleFault::EndsBeforeItStarts { from, to } => {
                write!(f, "the season ends on {to}, before it starts on {from}")?;
            }
            RuleFault::TooLong { days, limit } => {
                write!(f, "the season has {days} days; the limit is {limit}")?;
            }
            RuleFault::NoMowingDay => write!(f, "there is no mowing day")?,
            RuleFault::NothingToMow => {
                write!(
                    f,
                    "no open mowing day is left between season.from and season.to"
                )?;
            }
            RuleFault::Visits { asked, days } => {
                write!(
                    f,
                    "{asked} visits a week do not fit {days} mowing days; {days} are planned"
                )?;
            }
            RuleFault::UnknownFairway { name, .. } => {
                write!(f, "the course has no fairway '{name}'")?;
            }
            RuleFault::Number { value, unit, .. } => write!(f, "{value} {unit} makes no sense")?,
            RuleFault::ClosedBackward { from, to, why } => {
                write!(f, "'{why}' ends on {to}, before it starts on {from}")?;
            }
            RuleFault::UnknownMachine { machine, .. } => {
                write!(f, "there is no machine '{machine}' in crew.machines")?;
            }
            RuleFault::NoMachine { .. } => write!(f, "every machine is barred")?,
            RuleFault::SameName { name } => write!(f, "two machines are called '{name}'")?,
            RuleFault::NoHeading => write!(f, "no heading is allowed")?,
            RuleFault::NoTurns => write!(f, "grooming has no pattern")?,
            RuleFault::BelowFloor {
                height_m, grass, ..
            } => write!(
                f,
                "{:.2} mm is below the lowest published for {grass}, {:.2} mm ({FLOOR_SOURCE})",
                mm(*height_m),
                mm(grass.floor_m())
            )?,
            RuleFault::OneThird {
                share,
                before_m,
                after_m,
                days,
                ..
            } => write!(
                f,
                "coming back from {:.1} mm (raised height and {days:.1} days' growth) to {:.1} mm \
                 takes off {:.0}% of the leaf, more than a third",
                mm(*before_m),
                mm(*after_m),
                share * 100.0
            )?,
            RuleFault::Regular { pattern } => {
                write!(f, "{} is no regular pattern", pattern.word())?;
            }
        }
        write!(f, "; {}", self.fix())
    }
}

impl std::error::Error for RuleFault {}
