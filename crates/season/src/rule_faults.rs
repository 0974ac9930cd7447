//! What is wrong with a set of rules, all of it, each with the rule's name and the fix.

use crate::grass::{FLOOR_SOURCE, Grass};
use crate::heights::DEFAULT_THIRD_RULE;
use crate::rules::{ExtraHours, Groom, HeightRule, MAX_CLEAN_UP_RINGS, Rules};
use crossgrain_core::Course;
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

/// Longest season, days: three years of mowing, far beyond a growing season.
pub const MAX_DAYS: i32 = 1100;
// A mow that takes exactly a third is allowed; this is rounding, not agronomy.
const SHARE_TOLERANCE: f64 = 1e-9;

fn mm(m: f64) -> f64 {
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

/// All faults of `rules` for `course`, errors and warnings, in the order of the rules file.
pub fn faults(rules: &Rules, course: &Course) -> Vec<RuleFault> {
    let mut out = Vec::new();
    dates(rules, &mut out);
    numbers(rules, &mut out);
    if !matches!(
        rules.regular,
        PatternKind::Stripes | PatternKind::Contour | PatternKind::HalfAndHalf | PatternKind::Rings
    ) {
        out.push(RuleFault::Regular {
            pattern: rules.regular,
        });
    }
    if rules.headings.allowed.is_empty() {
        out.push(RuleFault::NoHeading);
    }
    if rules.grooming.every_weeks > 0 && rules.grooming.turns.is_empty() {
        out.push(RuleFault::NoTurns);
    }
    let known: Vec<String> = course
        .fairways
        .iter()
        .map(|f| f.name().to_string())
        .collect();
    for name in rules.fairways.keys() {
        if !known.contains(name) {
            out.push(RuleFault::UnknownFairway {
                name: name.clone(),
                known: known.clone(),
            });
        }
    }
    machines(rules, &mut out);
    heights(rules, &mut out);
    out
}

fn machines(rules: &Rules, out: &mut Vec<RuleFault>) {
    let known: Vec<String> = rules.crew.machines.iter().map(|m| m.name.clone()).collect();
    for (i, name) in known.iter().enumerate() {
        if known[..i].contains(name) {
            out.push(RuleFault::SameName { name: name.clone() });
        }
    }
    for (fairway, own) in &rules.fairways {
        for machine in own.barred.iter().filter(|b| !known.contains(b)) {
            out.push(RuleFault::UnknownMachine {
                fairway: fairway.clone(),
                machine: machine.clone(),
                known: known.clone(),
            });
        }
        let may = known.is_empty() || known.iter().any(|m| rules.may_mow(m, fairway));
        if !may && !own.left_out {
            out.push(RuleFault::NoMachine {
                fairway: fairway.clone(),
            });
        }
    }
}

fn dates(rules: &Rules, out: &mut Vec<RuleFault>) {
    if rules.to < rules.from {
        out.push(RuleFault::EndsBeforeItStarts {
            from: rules.from,
            to: rules.to,
        });
        return;
    }
    let days = (rules.to - rules.from).get_days() + 1;
    if days > MAX_DAYS {
        out.push(RuleFault::TooLong {
            days,
            limit: MAX_DAYS,
        });
        return;
    }
    for c in &rules.closed {
        if c.to < c.from {
            out.push(RuleFault::ClosedBackward {
                from: c.from,
                to: c.to,
                why: c.why.clone(),
            });
        }
    }
    if rules.mowing_days.is_empty() {
        out.push(RuleFault::NoMowingDay);
    } else if !rules
        .from
        .series(jiff::Span::new().days(1))
        .take_while(|d| *d <= rules.to)
        .any(|d| {
            (rules.mowing_days.contains(&d.weekday()) || rules.make_up_days.contains(&d.weekday()))
                && rules.closed_on(d).is_none()
        })
    {
        out.push(RuleFault::NothingToMow);
    }
    if let Some(asked) = rules.visits_per_week {
        let days = rules.mowing_days.len();
        if asked as usize > days {
            out.push(RuleFault::Visits { asked, days });
        }
    }
}

fn numbers(rules: &Rules, out: &mut Vec<RuleFault>) {
    let mut check = |rule, value: f64, unit, expected, good: bool| {
        if !(value.is_finite() && good) {
            out.push(RuleFault::Number {
                rule,
                value,
                unit,
                expected,
            });
        }
    };
    let h = &rules.height;
    check(
        "visits_per_week",
        rules.visits_per_week.map_or(1.0, f64::from),
        "visits",
        "1 or more",
        rules.visits_per_week != Some(0),
    );
    check(
        "height.regular",
        mm(h.regular_m),
        "mm",
        "a height between 1 and 200 mm",
        (0.001..=0.2).contains(&h.regular_m),
    );
    check(
        "height.raise_percent",
        h.raise * 100.0,
        "%",
        "a raise between 0 and 100%",
        (0.0..=1.0).contains(&h.raise),
    );
    check(
        "height.gauge_step",
        mm(h.step_m),
        "mm",
        "a step above 0 and up to 10 mm",
        h.step_m > 0.0 && h.step_m <= 0.01,
    );
    check(
        "height.growth_mm_per_day",
        mm(h.growth_m_per_day),
        "mm a day",
        "a growth between 0 and 50 mm a day",
        (0.0..=0.05).contains(&h.growth_m_per_day),
    );
    let g = &rules.grooming;
    check(
        "grooming.loop_diameter",
        g.loop_diameter_min_m,
        "m",
        "a diameter between 1 and 60 m, the smaller one first",
        g.loop_diameter_min_m >= 1.0
            && g.loop_diameter_max_m <= 60.0
            && g.loop_diameter_min_m <= g.loop_diameter_max_m,
    );
    check(
        "grooming.lane_shifts",
        g.lane_shifts
            .iter()
            .copied()
            .find(|s| !(0.0..1.0).contains(s))
            .unwrap_or(0.0),
        "lane spacings",
        "one to eight fractions from 0 to below 1",
        (1..=8).contains(&g.lane_shifts.len())
            && g.lane_shifts.iter().all(|s| (0.0..1.0).contains(s)),
    );
    check(
        "grooming.lanes",
        g.lanes.len() as f64,
        "headings",
        "one to four",
        (1..=4).contains(&g.lanes.len()),
    );
    check(
        "clean_up.every_visits",
        f64::from(rules.clean_up.every_visits),
        "visits",
        "1 or more",
        rules.clean_up.every_visits > 0,
    );
    check(
        "clean_up.rings",
        f64::from(rules.clean_up.rings.iter().copied().max().unwrap_or(0)),
        "clean-up passes",
        "one to four numbers from 1 to 6; no visit is without",
        (1..=4).contains(&rules.clean_up.rings.len())
            && rules
                .clean_up
                .rings
                .iter()
                .all(|r| (1..=MAX_CLEAN_UP_RINGS).contains(r)),
    );
    let share = match rules.headings.extra_hours {
        ExtraHours::Share(x) => x,
        ExtraHours::Knee => 0.0,
    };
    check(
        "headings.extra_hours_percent",
        share * 100.0,
        "%",
        "0 to 500%, or knee",
        (0.0..=5.0).contains(&share),
    );
    check(
        "headings.allowed",
        rules.headings.allowed.len() as f64,
        "headings",
        "at most 12",
        rules.headings.allowed.len() <= 12,
    );
    let half = rules.headings.half_life_days.unwrap_or(1.0);
    check(
        "headings.half_life_days",
        half,
        "days",
        "a number above 0",
        half > 0.0,
    );
    let crew = &rules.crew;
    check(
        "crew.mowers",
        f64::from(crew.mowers),
        "mowers",
        "1 to 100",
        (1..=100).contains(&crew.mowers),
    );
    check(
        "crew.hours_per_day",
        crew.hours_per_day,
        "h",
        "above 0 and up to 24 hours",
        crew.hours_per_day > 0.0 && crew.hours_per_day <= 24.0,
    );
    check(
        "crew.between_min",
        crew.between_min,
        "min",
        "0 to 120 minutes",
        (0.0..=120.0).contains(&crew.between_min),
    );
    for m in &crew.machines {
        check(
            "crew.machines.deck",
            m.deck_m.unwrap_or(2.0),
            "m",
            "a deck between 0.2 and 30 m",
            m.deck_m.is_none_or(|d| (0.2..=30.0).contains(&d)),
        );
        check(
            "crew.machines.count",
            f64::from(m.count),
            "machines",
            "1 to 20",
            (1..=20).contains(&m.count),
        );
    }
    if let Some(v) = &rules.vertical_mowing {
        for (rule, value, unit, good) in [
            (
                "vertical_mowing.times_a_year",
                v.times_a_year,
                "times",
                v.times_a_year >= 0.0,
            ),
            ("vertical_mowing.width", v.width_m, "m", v.width_m > 0.0),
            (
                "vertical_mowing.speed",
                v.speed_m_s,
                "m/s",
                v.speed_m_s > 0.0,
            ),
            (
                "vertical_mowing.efficiency",
                v.efficiency,
                "",
                v.efficiency > 0.0 && v.efficiency <= 1.0,
            ),
            (
                "vertical_mowing.per_hour",
                v.money_per_hour,
                "an hour",
                v.money_per_hour >= 0.0,
            ),
            (
                "vertical_mowing.clearing_h_per_ha",
                v.clearing_h_per_ha,
                "h",
                v.clearing_h_per_ha >= 0.0,
            ),
            (
                "vertical_mowing.days_closed",
                v.days_closed,
                "days",
                v.days_closed >= 0.0,
            ),
        ] {
            check(rule, value, unit, "a number above 0 that makes sense", good);
        }
    }
    let rates = &rules.rates;
    for (rule, rate, unit) in [
        ("rates.labour_per_hour", rates.labour_per_hour, "an hour"),
        ("rates.fuel_l_per_hour", rates.fuel_l_per_hour, "l an hour"),
        ("rates.fuel_per_l", rates.fuel_per_l, "a litre"),
    ] {
        let rate = rate.unwrap_or(0.0);
        check(rule, rate, unit, "0 or more", rate >= 0.0);
    }
}

fn heights(rules: &Rules, out: &mut Vec<RuleFault>) {
    if rules.height.regular_m < rules.grass.floor_m() {
        out.push(RuleFault::BelowFloor {
            fairway: None,
            height_m: rules.height.regular_m,
            grass: rules.grass,
        });
    }
    for (name, own) in &rules.fairways {
        let (height_m, grass) = (rules.height_of_m(name), rules.grass_of(name));
        // The course's own fault is not repeated for fairways that only inherit it.
        if (own.height_m.is_some() || own.grass.is_some()) && height_m < grass.floor_m() {
            out.push(RuleFault::BelowFloor {
                fairway: Some(name.clone()),
                height_m,
                grass,
            });
        }
    }
    let grooms_in_loops =
        rules.grooming.every_weeks > 0 && rules.grooming.turns.contains(&Groom::Loops);
    // Without a mowing day there is a fault already, and no interval.
    if grooms_in_loops && rules.height.raised_mows > 0 && rules.visits() > 0 {
        let days = 7.0 / rules.visits() as f64;
        out.extend(one_third(&rules.height, days));
    }
}

/// The mow that comes back from the raised height to the regular one, after `days` of growth.
pub fn one_third(h: &HeightRule, days: f64) -> Option<RuleFault> {
    let growth = h.growth_m_per_day * days;
    let before = h.regular_m * (1.0 + h.raise) + growth;
    let share = (before - h.regular_m) / before;
    let ratio = DEFAULT_THIRD_RULE.ratio();
    if share.is_nan() || share <= 1.0 - 1.0 / ratio + SHARE_TOLERANCE {
        return None;
    }
    // h (1 + r) + g = ratio x h solved for r.
    let largest = ratio - 1.0 - growth / h.regular_m;
    Some(RuleFault::OneThird {
        share,
        before_m: before,
        after_m: h.regular_m,
        largest_raise: (largest > 0.0).then_some(largest),
        days,
    })
}
