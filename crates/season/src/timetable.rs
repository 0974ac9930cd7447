//! Which visits there are and on which days: before it is chosen how each is made.

use crate::ask::Ask;
use crate::catalogue::What;
use crate::crew::level;
use crate::fairway_dues::{Circumstances, FairwayDues};
use crate::fairway_season::{Due, Stock};
use crate::logged::past;
use crate::rules::{EDGE_RINGS, Rules};
use crate::scalping::{Observation, Verdict, verdicts};
use crate::season_error::Warning;
use crate::slots::{Kind, Roster, Slot, roster};
use crate::visit::{Cancelled, Lost};
use crate::weather::{Moved, moved};
use jiff::civil::Date;

/// All fairways' visits.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Timetable {
    pub fairways: Vec<FairwayDues>,
    pub cancelled: Vec<Cancelled>,
}

/// Lays out the season.
pub(crate) fn timetable(
    ask: &Ask<'_>,
    stocks: Vec<Stock>,
    warnings: &mut Vec<Warning>,
) -> Timetable {
    let rules = ask.rules;
    let areas: Vec<f64> = stocks.iter().map(|s| s.cells.ground_m2()).collect();
    let loops: Vec<bool> = stocks.iter().map(Stock::has_loops).collect();
    let roster = roster(rules, &areas, &loops);
    let dates = dated(rules, &roster, &stocks);
    let cut = ask.done.iter().map(|d| d.date).max();
    let mut out = Timetable {
        fairways: Vec::new(),
        cancelled: Vec::new(),
    };
    for (f, stock) in stocks.into_iter().enumerate() {
        let name = ask.course.fairways[stock.fairway].name().to_string();
        let (slots, dates) = (&roster.slots[f], &dates[f]);
        let one = one_fairway(
            ask,
            name,
            stock,
            slots,
            dates,
            cut,
            &mut out.cancelled,
            warnings,
        );
        out.fairways.push(one);
    }
    for (slot, date) in &roster.lost {
        for f in &out.fairways {
            if cut.is_some_and(|c| *date <= c) {
                continue;
            }
            out.cancelled.push(Cancelled {
                slot: *slot,
                fairway: f.name.clone(),
                date: *date,
                why: Lost::Closed(
                    rules
                        .closed_on(*date)
                        .map_or_else(String::new, |c| c.why.clone()),
                ),
            });
        }
    }
    out
}

/// The day of every slot: each kind of machine by itself, by the minutes that such a visit takes
/// on the average of what may be chosen.
fn dated(rules: &Rules, roster: &Roster, stocks: &[Stock]) -> Vec<Vec<Date>> {
    let mut out: Vec<Vec<Date>> = vec![Vec::new(); stocks.len()];
    let most = stocks.iter().map(|s| s.machine).max().unwrap_or(0);
    for machine in 0..=most {
        let mine: Vec<usize> = (0..stocks.len())
            .filter(|&f| stocks[f].machine == machine)
            .collect();
        let part = Roster {
            weeks: roster.weeks.clone(),
            slots: mine.iter().map(|&f| roster.slots[f].clone()).collect(),
            lost: Vec::new(),
        };
        let times: Vec<Vec<f64>> = mine
            .iter()
            .map(|&f| {
                let usual = |loops: bool, full: bool| usual_min(rules, &stocks[f], loops, full);
                let table = [
                    [usual(false, false), usual(false, true)],
                    [usual(true, false), usual(true, true)],
                ];
                roster.slots[f]
                    .iter()
                    .map(|s| table[usize::from(s.kind == Kind::Loops)][usize::from(s.full)])
                    .collect()
            })
            .collect();
        for (&f, dates) in mine.iter().zip(level(rules, &part, &times)) {
            out[f] = dates;
        }
    }
    out
}

fn usual_min(rules: &Rules, stock: &Stock, loops: bool, full: bool) -> f64 {
    let rings = |n: u32| {
        if loops {
            n == rules.loop_rings()
        } else if full {
            rules.clean_up.rings.contains(&n)
        } else {
            n == EDGE_RINGS
        }
    };
    let times: Vec<f64> = stock
        .planned
        .iter()
        .filter(|p| matches!(p.job.what, What::Loops(..)) == loops && rings(p.job.rings))
        .map(|p| p.minutes)
        .collect();
    times.iter().sum::<f64>() / times.len().max(1) as f64
}

#[allow(clippy::too_many_arguments)] // one call, from one place
fn one_fairway(
    ask: &Ask<'_>,
    name: String,
    stock: Stock,
    slots: &[Slot],
    dates: &[Date],
    cut: Option<Date>,
    cancelled: &mut Vec<Cancelled>,
    warnings: &mut Vec<Warning>,
) -> FairwayDues {
    let mut rows = past(ask, &name, &stock, slots, dates, warnings);
    rows.extend(ahead(ask.rules, &name, slots, dates, cut, cancelled));
    rows.sort_by_key(|(d, _)| (d.date, d.done.is_none(), d.id));
    let kinds: Vec<(Date, Kind)> = rows.iter().map(|(d, _)| (d.date, d.kind)).collect();
    let mine: Vec<Observation> = ask
        .observations
        .iter()
        .filter(|o| o.fairway == name)
        .cloned()
        .collect();
    for ((due, about), v) in
        rows.iter_mut()
            .zip(verdicts(&kinds, &mine, ask.rules.height.raised_mows))
    {
        if due.done.is_none() {
            due.kind = v.kind;
        }
        about.verdict = v;
    }
    let (dues, about) = rows.into_iter().unzip();
    FairwayDues {
        shift_efficiency: ask.mowers[stock.machine].shift_efficiency,
        has_keep_outs: !ask.course.fairways[stock.fairway].keep_outs().is_empty(),
        name,
        stock,
        dues,
        about,
    }
}

/// The visits that are still to come: each on its day, or where the weather moves it.
fn ahead(
    rules: &Rules,
    name: &str,
    slots: &[Slot],
    dates: &[Date],
    cut: Option<Date>,
    cancelled: &mut Vec<Cancelled>,
) -> Vec<(Due, Circumstances)> {
    let ahead: Vec<(usize, Date)> = slots
        .iter()
        .enumerate()
        .zip(dates)
        .map(|((i, _), d)| (i, *d))
        .filter(|(_, d)| cut.is_none_or(|c| *d > c))
        .collect();
    let mut rows = Vec::new();
    let mut busy: Vec<Date> = ahead.iter().map(|a| a.1).collect();
    for (slot, day) in ahead {
        let (to, sky) = moved(rules, day, &busy);
        let (date, later_min) = match to {
            Moved::Stays { minutes } => (day, minutes),
            Moved::To(d) => {
                busy.push(d);
                (d, 0)
            }
            Moved::Dropped => {
                if let Some(sky) = sky {
                    cancelled.push(Cancelled {
                        slot: slots[slot].id,
                        fairway: name.to_string(),
                        date: day,
                        why: Lost::Weather(sky),
                    });
                }
                continue;
            }
        };
        let s = &slots[slot];
        rows.push((
            Due {
                id: s.id,
                date,
                kind: s.kind,
                full: s.full,
                done: None,
            },
            Circumstances {
                from: sky.filter(|_| date != day).map(|s| (day, s)),
                later_min,
                verdict: Verdict {
                    kind: s.kind,
                    raised: false,
                    why: None,
                },
                logged: None,
            },
        ));
    }
    rows
}
