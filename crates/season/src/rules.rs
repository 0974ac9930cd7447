//! What the superintendent decides: dates, days, grass, heights, headings, crew, rates.
//!
//! Every rule has a sensible default, so an empty file plans a season. The rules are plain
//! data; [`crate::rule_faults`] checks them against a course before anything is planned.

use crate::grass::Grass;
use crossgrain_core::inside::model::quantity::{FOOT_M, INCH_M};
use crossgrain_core::{Heading, PatternKind};
use jiff::civil::{Date, Time, Weekday};
use std::collections::BTreeMap;

/// The grooming patterns that take turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Groom {
    /// A cross cut.
    Cross,
    /// Loop trains.
    Loops,
}

/// The grooming mow.
#[derive(Debug, Clone, PartialEq)]
pub struct Grooming {
    /// One grooming mow every so many weeks; about weekly in the growing season is common
    /// practice. 0 for none.
    pub every_weeks: u32,
    /// The patterns in turn; common practice alternates the cross cut and the loops by week.
    pub turns: Vec<Groom>,
    /// Both sets of the cross cut in one visit (true), or the day's single set that crosses
    /// the last regular mow (false), which takes no second tour of the fairway.
    pub both_sets: bool,
    /// Smallest mean loop diameter, metres.
    pub loop_diameter_min_m: f64,
    /// Largest mean loop diameter, metres.
    pub loop_diameter_max_m: f64,
    /// Headings of the lanes of loops. Lanes that cross leave other seams than lanes with another
    /// shift, so the grain of loops evens out sooner with several.
    pub lanes: Vec<Heading>,
    /// Sideways shifts of the lanes that loop visits go through, fractions of the lane spacing.
    pub lane_shifts: Vec<f64>,
}

/// Clean-up passes over the season.
///
/// No visit is without: straight passes that end on a slanting edge would either leave a tooth
/// of grass each or cut into the rough. Between the visits named here one clean-up pass is
/// driven, and the stripes run on over it to the edge ([`EDGE_RINGS`]).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CleanUpRule {
    /// How many on a visit with all of them: the numbers to choose from, for each fairway.
    pub rings: Vec<u32>,
    /// All of them on every n-th visit; 1 for each visit. Loop visits have the fewest to
    /// choose from: they lay further ones themselves, where the ends of the lanes are ragged.
    pub every_visits: u32,
}

/// With so many clean-up passes the stripes end at the edge, over them: so the grass at the edge
/// is not cut along it only. With more there is room inside, and they end on the innermost.
pub const EDGE_RINGS: u32 = 1;
/// Most clean-up passes of a visit: more would be rings. Our own choice.
pub const MAX_CLEAN_UP_RINGS: u32 = 6;

/// Hours that may be spent on even grain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ExtraHours {
    /// So much beyond the fixed weekly alternation, as a fraction.
    Share(f64),
    /// As many as the knee of the curve of hours against grain: the fewest that buy nearly all of
    /// the evenness there is to buy ([`crate::price::KNEE`]).
    Knee,
}

/// One machine, or several that are alike.
#[derive(Debug, Clone, PartialEq)]
pub struct MachineRule {
    /// Its name.
    pub name: String,
    /// A plain deck so wide, metres; none when there is a mower file.
    pub deck_m: Option<f64>,
    /// A mower file, beside the rules.
    pub file: Option<String>,
    /// How many of them.
    pub count: u32,
}

/// Rates of vertical mowing, the work that grain is often taken out with. The user's own; what
/// it does for the turf is not judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VerticalMowing {
    /// Times a year over each fairway.
    pub times_a_year: f64,
    /// Working width, metres.
    pub width_m: f64,
    /// Speed, metres a second.
    pub speed_m_s: f64,
    /// Share of the time that is work and not turning, 0 to 1.
    pub efficiency: f64,
    /// Labour and machine, money an hour.
    pub money_per_hour: f64,
    /// Clearing up what it brings out, hours a hectare.
    pub clearing_h_per_ha: f64,
    /// Days each fairway is closed each time.
    pub days_closed: f64,
}

/// Heights of cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeightRule {
    /// Bench height of the regular mow, metres.
    pub regular_m: f64,
    /// Raise for the first loop mows, as a fraction of the regular height.
    pub raise: f64,
    /// How many loop mows of a season are raised.
    pub raised_mows: u32,
    /// Smallest step of the bench gauge, metres.
    pub step_m: f64,
    /// Growth between mows, metres a day: local, so an input.
    pub growth_m_per_day: f64,
}

/// Which headings may be driven, and what they may cost.
#[derive(Debug, Clone, PartialEq)]
pub struct HeadingRule {
    /// Axes the regular mow may follow, in either direction.
    pub allowed: Vec<Heading>,
    /// Hours that may be spent on even grain.
    pub extra_hours: ExtraHours,
    /// Half-life of a mow's effect on the lay, days; none counts the whole season evenly.
    pub half_life_days: Option<f64>,
}

/// Days on which nothing is mown.
#[derive(Debug, Clone, PartialEq)]
pub struct Closed {
    /// First day.
    pub from: Date,
    /// Last day, included.
    pub to: Date,
    /// What is on.
    pub why: String,
}

/// What the sky did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sky {
    /// Frost in the morning.
    Frost,
    /// Too wet to mow.
    Wet,
}

/// What is done about a frost or wet day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SkyRule {
    /// Start later on the same day.
    Later {
        /// Minutes after the usual start.
        minutes: u32,
    },
    /// The next day that will do.
    NextDay,
    /// Leave the visit out.
    Drop,
}

/// Frost and wet days.
#[derive(Debug, Clone, PartialEq)]
pub struct Weather {
    /// The days, as they become known.
    pub days: Vec<(Date, Sky)>,
    /// What is done on a frosty morning.
    pub frost: SkyRule,
    /// What is done on a wet day.
    pub wet: SkyRule,
    /// A visit moves by at most so many days; after that it is left out.
    pub within_days: u32,
}

/// Who mows, and for how long.
#[derive(Debug, Clone, PartialEq)]
pub struct Crew {
    /// Mowers that go out on one day, all alike; without machines by name.
    pub mowers: u32,
    /// Machines by name, when they differ.
    pub machines: Vec<MachineRule>,
    /// Hours a day that one mower may mow fairways.
    pub hours_per_day: f64,
    /// When the first mower goes out.
    pub start: Time,
    /// Minutes from one fairway to the next.
    pub between_min: f64,
}

/// The user's own rates; none is assumed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rates {
    /// Labour, money an hour.
    pub labour_per_hour: Option<f64>,
    /// Fuel, litres an hour.
    pub fuel_l_per_hour: Option<f64>,
    /// Fuel, money a litre.
    pub fuel_per_l: Option<f64>,
    /// The money's name.
    pub currency: String,
}

/// What is different on one fairway.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FairwayRule {
    /// Its grass.
    pub grass: Option<Grass>,
    /// Its bench height, metres.
    pub height_m: Option<f64>,
    /// No loops here (a steep or narrow fairway, say).
    pub no_loops: bool,
    /// Not mown in this programme at all.
    pub left_out: bool,
    /// Machines that may not mow here, by name.
    pub barred: Vec<String>,
}

/// All rules of a season.
#[derive(Debug, Clone, PartialEq)]
pub struct Rules {
    /// First day.
    pub from: Date,
    /// Last day, included.
    pub to: Date,
    /// Days of the week on which fairways are mown.
    pub mowing_days: Vec<Weekday>,
    /// Days that may stand in for one that is closed or wet.
    pub make_up_days: Vec<Weekday>,
    /// Visits to each fairway a week; none is one on every mowing day.
    pub visits_per_week: Option<u32>,
    /// The grass.
    pub grass: Grass,
    /// The regular pattern.
    pub regular: PatternKind,
    /// The grooming mow.
    pub grooming: Grooming,
    /// Clean-up passes.
    pub clean_up: CleanUpRule,
    /// Heights.
    pub height: HeightRule,
    /// Headings.
    pub headings: HeadingRule,
    /// Blackout days.
    pub closed: Vec<Closed>,
    /// Frost and wet days.
    pub weather: Weather,
    /// The crew.
    pub crew: Crew,
    /// The rates.
    pub rates: Rates,
    /// Vertical mowing, for its cost beside the mowing.
    pub vertical_mowing: Option<VerticalMowing>,
    /// What is different where, by the fairway's name.
    pub fairways: BTreeMap<String, FairwayRule>,
    /// Raised by the user with every new issue of the programme, so that calendars replace
    /// the old one.
    pub issue: u32,
}

/// An axis given as a clock position: to the first hour from the one across the face.
pub const fn clock(to_h: f64) -> Heading {
    let from_h = if to_h > 6.0 { to_h - 6.0 } else { to_h + 6.0 };
    Heading::Clock { from_h, to_h }
}

/// The four axes of the published clock rotation, in its order: 12-6, 3-9, 1:30-7:30,
/// 10:30-4:30 (*Fundamentals of Tropical Turf Management*).
pub const CLOCK_ROTATION: [Heading; 4] = [clock(12.0), clock(3.0), clock(1.5), clock(10.5)];

/// Eight axes that are read on a clock without thinking: the four of the rotation and the four
/// at whole hours between. Both sets of three at 60 degrees are among them.
pub const EIGHT_AXES: [Heading; 8] = [
    clock(12.0),
    clock(1.0),
    clock(1.5),
    clock(2.0),
    clock(3.0),
    clock(10.0),
    clock(10.5),
    clock(11.0),
];

impl Rules {
    /// Whether they have grooming mows.
    pub fn grooms(&self) -> bool {
        self.grooming.every_weeks > 0 && !self.grooming.turns.is_empty()
    }

    /// The defaults between two dates.
    ///
    /// Three mows a week with one grooming mow among them is common practice on fairways; so
    /// are the loop diameters and the raise of a tenth for the first two loop mows. The
    /// growth of 2 mm a day stands in for a local figure.
    pub fn between(from: Date, to: Date) -> Self {
        use Weekday::{Friday, Monday, Saturday, Thursday, Tuesday, Wednesday};
        Self {
            from,
            to,
            mowing_days: vec![Monday, Wednesday, Friday],
            make_up_days: vec![Tuesday, Thursday, Saturday],
            visits_per_week: None,
            grass: Grass::CreepingBentgrass,
            regular: PatternKind::Stripes,
            grooming: Grooming {
                every_weeks: 1,
                turns: vec![Groom::Cross, Groom::Loops],
                both_sets: false,
                loop_diameter_min_m: 20.0 * FOOT_M,
                loop_diameter_max_m: 22.0 * FOOT_M,
                // Thirds and an alternating sense meet in all six ways in six loop visits.
                lanes: vec![Heading::Along, clock(1.5), clock(10.5)],
                lane_shifts: vec![0.0, 1.0 / 3.0, 2.0 / 3.0],
            },
            clean_up: CleanUpRule {
                rings: vec![1, 2],
                every_visits: 2,
            },
            height: HeightRule {
                regular_m: 0.5 * INCH_M,
                raise: 0.10,
                raised_mows: 2,
                step_m: 0.005 * INCH_M,
                growth_m_per_day: 0.002,
            },
            headings: HeadingRule {
                allowed: EIGHT_AXES.to_vec(),
                extra_hours: ExtraHours::Knee,
                half_life_days: None,
            },
            closed: Vec::new(),
            weather: Weather {
                days: Vec::new(),
                frost: SkyRule::Later { minutes: 120 },
                wet: SkyRule::NextDay,
                within_days: 2,
            },
            crew: Crew {
                mowers: 1,
                machines: Vec::new(),
                hours_per_day: 8.0,
                start: Time::constant(5, 30, 0, 0),
                between_min: 4.0,
            },
            rates: Rates::default(),
            vertical_mowing: None,
            fairways: BTreeMap::new(),
            issue: 1,
        }
    }

    /// The grass of a fairway.
    pub fn grass_of(&self, fairway: &str) -> Grass {
        self.fairways
            .get(fairway)
            .and_then(|f| f.grass)
            .unwrap_or(self.grass)
    }

    /// The bench height of a fairway's regular mow, metres.
    pub fn height_of_m(&self, fairway: &str) -> f64 {
        self.fairways
            .get(fairway)
            .and_then(|f| f.height_m)
            .unwrap_or(self.height.regular_m)
    }

    /// Whether a fairway may be mown in loops.
    pub fn loops_on(&self, fairway: &str) -> bool {
        !self.fairways.get(fairway).is_some_and(|f| f.no_loops)
    }

    /// Clean-up passes of a loop visit: the fewest there may be. Loops lay further ones along the
    /// edge where their lanes end ragged.
    pub fn loop_rings(&self) -> u32 {
        self.clean_up
            .rings
            .iter()
            .copied()
            .min()
            .unwrap_or(EDGE_RINGS)
    }

    /// Whether a machine may mow a fairway.
    pub fn may_mow(&self, machine: &str, fairway: &str) -> bool {
        !self
            .fairways
            .get(fairway)
            .is_some_and(|f| f.barred.iter().any(|b| b == machine))
    }

    /// Machines that go out on one day.
    pub fn machines(&self) -> u32 {
        if self.crew.machines.is_empty() {
            self.crew.mowers.max(1)
        } else {
            self.crew.machines.iter().map(|m| m.count.max(1)).sum()
        }
    }

    /// Whether a fairway is left out.
    pub fn leaves_out(&self, fairway: &str) -> bool {
        self.fairways.get(fairway).is_some_and(|f| f.left_out)
    }

    /// What is on, when nothing is mown on `day`.
    pub fn closed_on(&self, day: Date) -> Option<&Closed> {
        self.closed.iter().find(|c| c.from <= day && day <= c.to)
    }

    /// The sky on `day`, when it matters; wet counts before frost.
    pub fn sky_on(&self, day: Date) -> Option<Sky> {
        self.weather
            .days
            .iter()
            .filter(|(d, _)| *d == day)
            .map(|(_, s)| *s)
            .max()
    }

    /// Visits to each fairway in a full week.
    pub fn visits(&self) -> usize {
        let days = self.mowing_days.len();
        self.visits_per_week
            .map_or(days, |v| (v as usize).min(days))
    }
}
