//! The season planned: dated visits, the lay they leave, what they cost.

use crate::crew::{DayLoad, Shift, limit_min, loads};
use crate::fairway_choice::{Answer, FairwayChoice};
use crate::fairway_season::{Mown, Stock};
use crate::four_weeks::no_worse_over_four_weeks;
use crate::grain::{Cells, LayFigures, Sum, Tally, weight};
use crate::outcome::{Outcome, outcome};
use crate::price::{self, CurvePoint};
use crate::rule_faults::{RuleFault, faults};
use crate::rules::{ExtraHours, Rules};
use crate::timetable::{Timetable, timetable};
use crate::totals::Totals;
use crossgrain_core::Mower;
use jiff::Span;
use jiff::civil::Date;

pub use crate::ask::{Ask, OneByOne, Stage, Workers};
pub use crate::fairway_lay::FairwayLay;
pub use crate::season_error::{SeasonError, Warning};
pub use crate::totals::Row;
pub use crate::visit::{Cancelled, Lost, Visit};

/// What is needed to draw one fairway's grain on any day.
#[derive(Debug, Clone, PartialEq)]
pub struct Book {
    /// Where.
    pub fairway: String,
    /// Index of the fairway in the course.
    pub index: usize,
    pub(crate) stock: Stock,
    pub(crate) mown: Vec<(Date, Mown)>,
    pub(crate) half_life_days: Option<f64>,
}

impl Book {
    /// The cells, in the order of [`Book::lay_on`].
    pub fn cells(&self) -> &Cells {
        &self.stock.cells
    }

    /// Lay sums after the mows up to and including `day`.
    pub fn lay_on(&self, day: Date) -> Vec<Sum> {
        self.stock.lay(
            self.mown
                .iter()
                .filter(|(d, _)| *d <= day)
                .map(|(d, m)| (*m, weight(self.half_life_days, *d, day))),
        )
    }

    /// R1 and R2 on `day`.
    pub fn figures_on(&self, day: Date) -> LayFigures {
        let mut tally = Tally::default();
        tally.take(&self.stock.cells, &self.lay_on(day));
        tally.figures()
    }
}

/// Hours of one machine over the season.
#[derive(Debug, Clone, PartialEq)]
pub struct MachineHours {
    /// Its name.
    pub name: String,
    /// Number on the visits, 0 first.
    pub mower: u32,
    /// Which of the programme's mowers it is, 0 first.
    pub kind: usize,
    /// Visits.
    pub visits: usize,
    /// Hours of mowing.
    pub hours: f64,
}

/// A season.
#[derive(Debug, Clone, PartialEq)]
pub struct Programme {
    /// The course's name.
    pub course: String,
    /// The rules it was planned by.
    pub rules: Rules,
    /// Visits by day, start and fairway.
    pub visits: Vec<Visit>,
    /// Visits that do not take place.
    pub cancelled: Vec<Cancelled>,
    /// Hours of each day.
    pub days: Vec<DayLoad>,
    /// Lay and cost of each fairway.
    pub lay: Vec<FairwayLay>,
    /// The programme's lay and cost.
    pub total: Row,
    /// The plain habits beside it, on the same days.
    pub habits: Vec<Row>,
    /// Hours against grain, fewest hours first.
    pub curve: Vec<CurvePoint>,
    /// Hours of each machine.
    pub machines: Vec<MachineHours>,
    /// The mowers it was planned for: one of each kind.
    pub mowers: Vec<Mower>,
    /// The file that each of them came from, told by whoever read it.
    pub mower_files: Vec<Option<String>>,
    /// A fingerprint of each fairway's ground, told by whoever read the course.
    pub ground: Vec<(String, String)>,
    /// Grain of each fairway, for maps.
    pub books: Vec<Book>,
    /// What differs from the programme that this one continues, told by whoever compared them.
    pub changes: Vec<String>,
    /// Days of a mower that had work in the programme before and have none now.
    pub withdrawn: Vec<(Date, u32)>,
    /// What the user should know.
    pub warnings: Vec<Warning>,
}

/// Plans a season.
///
/// # Errors
/// [`SeasonError`] with all faults of the rules, or why a mow cannot be planned.
pub fn programme(ask: &Ask<'_>, workers: &impl Workers) -> Result<Programme, SeasonError> {
    let (course, rules) = (ask.course, ask.rules);
    let found = faults(rules, course);
    if found.iter().any(RuleFault::is_error) {
        return Err(SeasonError::Rules(found));
    }
    known(ask)?;
    let mut warnings: Vec<Warning> = found.into_iter().map(Warning::Rule).collect();
    let stocks = crate::stocks::stocks(ask, workers, &mut warnings)?;
    if stocks.is_empty() {
        return Err(SeasonError::NoFairway);
    }
    let mut table: Timetable = timetable(ask, stocks, &mut warnings);

    let choices: Vec<FairwayChoice> = table
        .fairways
        .iter()
        .map(|f| FairwayChoice::new(rules, &f.stock, &f.dues))
        .collect();
    for (f, c) in table.fairways.iter().zip(&choices) {
        if let Some(angle_deg) = c.no_crossing_deg {
            warnings.push(Warning::NoCrossing {
                fairway: f.name.clone(),
                angle_deg,
            });
        }
    }
    let (outcomes, curve) = chosen(ask, &table, &choices, workers, &mut warnings);
    let mut totals = Totals::default();
    let (mut lay, mut visits, mut books) = (Vec::new(), Vec::new(), Vec::new());
    for (f, o) in table.fairways.iter().zip(outcomes) {
        totals.take(&o);
        visits.extend(crate::dated_visits::visits(ask, f, &o.mown)?);
        books.push(Book {
            fairway: f.name.clone(),
            index: f.stock.fairway,
            mown: f.dues.iter().map(|d| d.date).zip(o.mown).collect(),
            stock: f.stock.clone(),
            half_life_days: rules.headings.half_life_days,
        });
        lay.push(o.lay);
    }
    let (total, habits) = totals.rows(rules.grooms());
    let mut out = Programme {
        course: course.name.clone(),
        rules: rules.clone(),
        visits,
        cancelled: std::mem::take(&mut table.cancelled),
        days: Vec::new(),
        lay,
        total,
        habits,
        curve,
        machines: Vec::new(),
        mowers: ask.mowers.to_vec(),
        mower_files: Vec::new(),
        ground: Vec::new(),
        books,
        changes: Vec::new(),
        withdrawn: Vec::new(),
        warnings,
    };
    finish(ask, &mut out, &table);
    Ok(out)
}

/// How each fairway's visits are made, within the hours there are; and the curve of hours.
fn chosen(
    ask: &Ask<'_>,
    table: &Timetable,
    choices: &[FairwayChoice],
    workers: &impl Workers,
    warnings: &mut Vec<Warning>,
) -> (Vec<Outcome>, Vec<CurvePoint>) {
    let rules = ask.rules;
    let past_min: f64 = table.fairways.iter().map(|f| f.past_min()).sum();
    let plain_min: f64 = table
        .fairways
        .iter()
        .map(|f| f.alternation_min(rules))
        .sum();
    let limit = match rules.headings.extra_hours {
        ExtraHours::Share(share) => Some(plain_min * (1.0 + share) - past_min),
        ExtraHours::Knee => None,
    };
    let mut chosen = price::choose(choices, limit, plain_min, past_min / 60.0, workers);
    crate::plain_guard::no_worse_than_plain(rules, table, choices, &mut chosen, limit);
    if let Some(limit) = limit {
        let free: f64 = chosen.answers.iter().map(|a| a.minutes).sum();
        if free > limit * (1.0 + 1e-9) + 1e-6 {
            warnings.push(Warning::ExtraHours {
                hours: (past_min + free) / 60.0,
                limit_hours: (past_min + limit) / 60.0,
            });
        }
    }

    let items: Vec<(usize, &FairwayChoice, &Answer, f64)> = choices
        .iter()
        .zip(&chosen.answers)
        .zip(&chosen.prices)
        .enumerate()
        .map(|(i, ((c, a), p))| (i, c, a, *p))
        .collect();
    let mut outcomes = workers.each(Stage::Days, &items, |(i, c, a, p)| {
        outcome(rules, &table.fairways[*i], c, a, *p)
    });
    no_worse_over_four_weeks(rules, table, choices, &mut chosen, limit, &mut outcomes);
    (outcomes, chosen.curve)
}

fn known(ask: &Ask<'_>) -> Result<(), SeasonError> {
    let names = || ask.course.fairways.iter().map(|f| f.name().to_string());
    if let Some(o) = ask
        .observations
        .iter()
        .find(|o| !names().any(|n| n == o.fairway))
    {
        return Err(SeasonError::UnknownObserved {
            name: o.fairway.clone(),
            known: names().collect(),
        });
    }
    if let Some(d) = ask.done.iter().find(|d| !names().any(|n| n == d.fairway)) {
        return Err(SeasonError::UnknownDone {
            name: d.fairway.clone(),
            known: names().collect(),
        });
    }
    let machines = ask.rules.crew.machines.len();
    if ask.mowers.len() != machines.max(1) {
        return Err(SeasonError::Machines {
            rules: machines,
            mowers: ask.mowers.len(),
        });
    }
    Ok(())
}

fn finish(ask: &Ask<'_>, p: &mut Programme, table: &Timetable) {
    let rules = ask.rules;
    let order: Vec<&str> = ask.course.fairways.iter().map(|f| f.name()).collect();
    let place = |n: &str| order.iter().position(|o| *o == n);
    p.visits
        .sort_by_key(|v| (v.date(), v.later_min, place(&v.fairway), v.slot));
    clock_in(rules, table, p);
    p.visits
        .sort_by_key(|v| (v.start, v.mower, place(&v.fairway), v.slot));
    p.cancelled
        .sort_by_key(|c| (c.date, place(&c.fairway), c.slot));
    p.days = loads(rules, p.visits.iter().map(|v| (v.date(), v.minutes)));
    let limit = limit_min(rules);
    let over: Vec<&DayLoad> = p.days.iter().filter(|d| d.minutes > limit + 1e-9).collect();
    if let Some(worst) = over
        .iter()
        .copied()
        .reduce(|a, b| if b.minutes > a.minutes { b } else { a })
    {
        p.warnings.push(Warning::Overloaded {
            days: over.len(),
            worst: worst.date,
            minutes: worst.minutes,
            limit_min: limit,
        });
    }
}

/// Gives each visit of a day, already in order, its mower and its start: whichever mower of
/// those that may take it is free first takes the next fairway.
fn clock_in(rules: &Rules, table: &Timetable, p: &mut Programme) {
    // The kind of each mower that goes out.
    let kinds: Vec<usize> = if rules.crew.machines.is_empty() {
        vec![0; rules.machines() as usize]
    } else {
        rules
            .crew
            .machines
            .iter()
            .enumerate()
            .flat_map(|(k, m)| vec![k; m.count.max(1) as usize])
            .collect()
    };
    let mut shift = Shift::new(kinds.len(), rules.crew.between_min);
    let mut hours = vec![(0_usize, 0.0_f64); kinds.len()];
    let mut day = None;
    for v in &mut p.visits {
        if day != Some(v.date()) {
            day = Some(v.date());
            shift = Shift::new(kinds.len(), rules.crew.between_min);
        }
        let kind = table
            .fairways
            .iter()
            .find(|f| f.name == v.fairway)
            .map_or(0, |f| f.stock.machine);
        let m = shift.next(|k| kinds[k] == kind).unwrap_or(0);
        let from = shift.send(m, f64::from(v.later_min), v.minutes);
        hours[m].0 += 1;
        hours[m].1 += v.minutes / 60.0;
        v.mower = m as u32;
        let at = v
            .start
            .checked_add(Span::new().minutes(from.round() as i64));
        // An overloaded day does not run into the next one; the warning says that it is too long.
        if let Ok(at) = at {
            let last = v.date().at(23, 59, 0, 0);
            v.start = at.min(last);
        }
    }
    p.machines = kinds
        .iter()
        .zip(hours)
        .enumerate()
        .map(|(m, (kind, (visits, hours)))| {
            let alike = kinds.iter().filter(|k| *k == kind).count();
            let place = kinds[..=m].iter().filter(|k| *k == kind).count();
            let name = match rules.crew.machines.get(*kind) {
                Some(r) if alike > 1 => format!("{} {place}", r.name),
                Some(r) => r.name.clone(),
                None => (m + 1).to_string(),
            };
            MachineHours {
                name,
                mower: m as u32,
                kind: *kind,
                visits,
                hours,
            }
        })
        .collect();
}
