//! The log of what was mown, as visits of the season: each takes the place of one that was due.

use crate::ask::Ask;
use crate::fairway_dues::Circumstances;
use crate::fairway_season::{Due, Mown, Stock};
use crate::past::Done;
use crate::rules::EDGE_RINGS;
use crate::scalping::Verdict;
use crate::season_error::Warning;
use crate::slots::{Slot, SlotId};
use crossgrain_core::Sense;
use jiff::civil::Date;

/// The visits in the log. Each keeps the identity of the visit that was due that day, or that
/// week; one more than were due gets a number of its own.
pub(crate) fn past(
    ask: &Ask<'_>,
    name: &str,
    stock: &Stock,
    slots: &[Slot],
    dates: &[Date],
    warnings: &mut Vec<Warning>,
) -> Vec<(Due, Circumstances)> {
    let fairway = &ask.course.fairways[stock.fairway];
    let jobs: Vec<_> = stock.planned.iter().map(|p| p.job).collect();
    let cut = ask.done.iter().map(|d| d.date).max();
    let mut log: Vec<&Done> = ask.done.iter().filter(|d| d.fairway == name).collect();
    log.sort_by_key(|d| d.date);
    let mut taken = vec![false; slots.len()];
    let mut ids: Vec<Option<SlotId>> = vec![None; log.len()];
    for (d, id) in log.iter().zip(&mut ids) {
        if let Some(i) = (0..slots.len()).find(|&i| !taken[i] && dates[i] == d.date) {
            taken[i] = true;
            *id = Some(slots[i].id);
        }
    }
    let mut out = Vec::new();
    for (d, id) in log.iter().zip(ids) {
        let iso = d.date.iso_week_date();
        let week = |s: &SlotId| (s.year, s.week) == (iso.year(), iso.week());
        let id = id.unwrap_or_else(|| {
            // Visits that are still ahead keep their names.
            let due = |i: usize| !taken[i] && week(&slots[i].id) && Some(dates[i]) <= cut;
            match (0..slots.len()).find(|&i| due(i)) {
                Some(i) => {
                    taken[i] = true;
                    slots[i].id
                }
                None => SlotId {
                    year: iso.year(),
                    week: iso.week(),
                    ordinal: 7 + out.len() as u32,
                },
            }
        });
        let job = d.job(&jobs, fairway, stock.fairway, ask.rules);
        let Some(job) = stock.planned.iter().position(|p| p.job == job) else {
            warnings.push(Warning::Log(format!(
                "log: fairway {name} on {}: {} cannot be mown here with this mower; the day is \
                 left out of the grain",
                d.date,
                d.pattern.word()
            )));
            continue;
        };
        let done = Mown {
            job,
            back: d.back(stock.planned[job].heading_deg),
            ccw: d.clean_up == Some(Sense::CounterClockwise),
        };
        out.push((
            Due {
                id,
                date: d.date,
                kind: d.kind(),
                full: d.rings != EDGE_RINGS,
                done: Some(done),
            },
            Circumstances {
                from: None,
                later_min: 0,
                verdict: Verdict {
                    kind: d.kind(),
                    raised: false,
                    why: None,
                },
                logged: Some((*d).clone()),
            },
        ));
    }
    out
}
