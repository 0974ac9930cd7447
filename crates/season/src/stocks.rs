//! All mows that a season can need, planned once: fairway by fairway, several at a time.

use crate::ask::{Ask, CELL_M, Stage, Workers};
use crate::catalogue::{Job, Planned, What, jobs, run};
use crate::effort::effort;
use crate::fairway_season::Stock;
use crate::grain::Cells;
use crate::past::Done;
use crate::rules::Rules;
use crate::season_error::{SeasonError, Warning};
use crossgrain_core::{Course, Mower, PlanError};

/// One fairway's work.
struct Share {
    fairway: usize,
    machine: usize,
    jobs: Vec<Job>,
}

/// Plans the mows of every fairway.
///
/// # Errors
/// [`SeasonError::Plan`] when a mow that every season needs cannot be planned.
pub(crate) fn stocks(
    ask: &Ask<'_>,
    workers: &impl Workers,
    warnings: &mut Vec<Warning>,
) -> Result<Vec<Stock>, SeasonError> {
    let (course, rules) = (ask.course, ask.rules);
    let cells: Vec<Cells> = course
        .fairways
        .iter()
        .map(|f| Cells::of(f, CELL_M))
        .collect();
    let machines = machines(course, rules, ask.mowers);
    let shares = shares(ask, &machines);
    // The longest work first; all mows of a fairway together, because they share their groundwork.
    let mut order: Vec<usize> = (0..shares.len()).collect();
    let work = |s: &Share| {
        let width_m = ask.mowers[s.machine].cutting_width_m();
        s.jobs.len() as f64 * effort(&course.fairways[s.fairway], width_m)
    };
    order.sort_by(|&a, &b| {
        work(&shares[b])
            .total_cmp(&work(&shares[a]))
            .then(a.cmp(&b))
    });
    let mut done: Vec<(usize, Vec<Result<Planned, PlanError>>)> =
        workers.each(Stage::Mows, &order, |&place| {
            let s = &shares[place];
            let i = s.fairway;
            let mower = &ask.mowers[s.machine];
            let planned = run(&s.jobs, &course.fairways[i], mower, rules, &cells[i]);
            (place, planned)
        });
    done.sort_by_key(|d| d.0);

    let mut out: Vec<Stock> = Vec::new();
    for (share, (_, planned)) in shares.iter().zip(done) {
        let name = course.fairways[share.fairway].name();
        let stock = stock(ask, share, planned, &cells[share.fairway], warnings)?;
        if stock.planned.iter().any(|p| p.mowing_m > 0.0) {
            out.push(stock);
        } else {
            warnings.push(Warning::TooNarrow {
                fairway: name.to_string(),
            });
        }
    }
    Ok(out)
}

/// The mows to plan on each fairway, those of the log among them.
fn shares(ask: &Ask<'_>, machines: &[usize]) -> Vec<Share> {
    let (course, rules) = (ask.course, ask.rules);
    course
        .fairways
        .iter()
        .enumerate()
        .filter(|(_, f)| !rules.leaves_out(f.name()))
        .map(|(i, f)| {
            let mut jobs = jobs(rules, i, rules.loops_on(f.name()));
            for d in ask.done.iter().filter(|d: &&Done| d.fairway == f.name()) {
                let job = d.job(&jobs, f, i, rules);
                if !jobs.contains(&job) {
                    jobs.push(job);
                }
            }
            Share {
                fairway: i,
                machine: machines[i],
                jobs,
            }
        })
        .filter(|s| !s.jobs.is_empty())
        .collect()
}

/// A fairway's planned mows together. Loops are left out where one of them cannot be driven.
fn stock(
    ask: &Ask<'_>,
    share: &Share,
    planned: Vec<Result<Planned, PlanError>>,
    cells: &Cells,
    warnings: &mut Vec<Warning>,
) -> Result<Stock, SeasonError> {
    let fairway = &ask.course.fairways[share.fairway];
    let name = fairway.name();
    let mut stock = Stock {
        fairway: share.fairway,
        cells: cells.clone(),
        planned: Vec::new(),
        ring_sums: std::collections::BTreeMap::new(),
        machine: share.machine,
    };
    let mut refused: Option<PlanError> = None;
    for (job, planned) in share.jobs.iter().zip(planned) {
        match planned {
            Ok(mut p) => {
                // The clean-up passes are the same in every mow: one copy is enough.
                let rings = std::mem::take(&mut p.ring_sums);
                stock.ring_sums.entry(job.rings).or_insert(rings);
                stock.planned.push(p);
            }
            Err(error) if matches!(job.what, What::Loops(..)) => {
                refused.get_or_insert(error);
            }
            Err(error) => {
                return Err(SeasonError::Plan {
                    fairway: name.to_string(),
                    error,
                });
            }
        }
    }
    let past = |p: &Planned| {
        let mut log = ask.done.iter().filter(|d| d.fairway == name);
        log.any(|d| d.job(&share.jobs, fairway, share.fairway, ask.rules) == p.job)
    };
    let is_loops = |p: &&Planned| matches!(p.job.what, What::Loops(..));
    let fit = |p: &Planned| p.ground.broken.is_empty();
    let others_fit = stock.planned.iter().any(|p| !is_loops(&p) && fit(p));
    // Loops must be possible at every shift, or they are not mown; and where other mows keep the
    // promises of a plan, one of the loops must keep them too.
    let none = match refused {
        Some(error) => Some(Warning::LoopsRefused {
            fairway: name.to_string(),
            error,
        }),
        None => least_left(stock.planned.iter().filter(is_loops))
            .filter(|_| others_fit)
            .map(|missed_m2| Warning::LoopsLeave {
                fairway: name.to_string(),
                missed_m2,
            }),
    };
    if let Some(warning) = none {
        stock.planned.retain(|p| !is_loops(&p) || past(p));
        warnings.push(warning);
    }
    Ok(stock)
}

/// The least ground missed, square metres, where there are mows and each breaks a promise.
fn least_left<'a>(mut mows: impl Iterator<Item = &'a Planned>) -> Option<f64> {
    mows.try_fold(None, |least: Option<f64>, p| {
        let missed = p.ground.missed_m2;
        (!p.ground.broken.is_empty()).then(|| Some(least.map_or(missed, |l| l.min(missed))))
    })
    .flatten()
}

/// The machine of each fairway: largest fairways first, each to the machine that has the least
/// to do for its width among those that may mow there.
fn machines(course: &Course, rules: &Rules, mowers: &[Mower]) -> Vec<usize> {
    let mut out = vec![0; course.fairways.len()];
    let kinds = &rules.crew.machines;
    if kinds.is_empty() {
        return out;
    }
    let mut order: Vec<usize> = (0..course.fairways.len())
        .filter(|&i| !rules.leaves_out(course.fairways[i].name()))
        .collect();
    let area = |i: usize| course.fairways[i].ground_m2();
    order.sort_by(|&a, &b| area(b).total_cmp(&area(a)).then(a.cmp(&b)));
    let mut load = vec![0.0_f64; kinds.len()];
    for i in order {
        let name = &course.fairways[i].name();
        let cost = |k: usize| {
            let width_m = mowers[k].cutting_width_m();
            area(i) / width_m / f64::from(kinds[k].count.max(1))
        };
        let best = (0..kinds.len())
            .filter(|&k| rules.may_mow(&kinds[k].name, name))
            .min_by(|&a, &b| {
                (load[a] + cost(a))
                    .total_cmp(&(load[b] + cost(b)))
                    .then(a.cmp(&b))
            });
        if let Some(k) = best {
            load[k] += cost(k);
            out[i] = k;
        }
    }
    out
}
