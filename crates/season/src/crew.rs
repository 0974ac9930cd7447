//! Which day of the week each visit falls on, so that the crew's hours are level.

use crate::rules::Rules;
use crate::slots::Roster;
use jiff::civil::Date;

/// Hours of one day.
#[derive(Debug, Clone, PartialEq)]
pub struct DayLoad {
    /// The day.
    pub date: Date,
    /// Visits.
    pub visits: usize,
    /// Minutes of mowing and of going from fairway to fairway, all mowers together.
    pub minutes: f64,
}

/// Minutes that all mowers together have on one day.
pub fn limit_min(rules: &Rules) -> f64 {
    rules.crew.hours_per_day * 60.0 * f64::from(rules.machines())
}

/// The mowers that go out on one morning, and when each is free: whichever of those that may take
/// a fairway is free first takes the next one.
#[derive(Debug, Clone, PartialEq)]
pub struct Shift {
    free_min: Vec<f64>,
    between_min: f64,
}

impl Shift {
    /// So many mowers, none of them out yet.
    pub fn new(mowers: usize, between_min: f64) -> Self {
        Self {
            free_min: vec![0.0; mowers],
            between_min,
        }
    }

    /// The mower that is free first among those that may.
    pub fn next(&self, may: impl Fn(usize) -> bool) -> Option<usize> {
        (0..self.free_min.len())
            .filter(|&m| may(m))
            .min_by(|&a, &b| {
                self.free_min[a]
                    .total_cmp(&self.free_min[b])
                    .then(a.cmp(&b))
            })
    }

    /// Sends a mower to its next fairway for so many minutes, not before `later_min`; returns
    /// when it begins there, minutes after the crew's start.
    pub fn send(&mut self, mower: usize, later_min: f64, minutes: f64) -> f64 {
        let from = self.free_min[mower].max(later_min);
        self.free_min[mower] = from + minutes + self.between_min;
        from
    }
}

/// Rounds of improvement after the first deal; the load settles in two or three.
const ROUNDS: usize = 4;

/// The days of a week's visits: each fairway's in turn, as long as one still moves. `order` is the
/// fairways', `counts` how many visits each has, `time` the minutes of a fairway's visit.
fn dealt(
    days: &[Date],
    order: &[usize],
    counts: &[usize],
    time: impl Fn(usize, usize) -> f64,
) -> Vec<Option<Vec<usize>>> {
    let mut load = vec![0.0_f64; days.len()];
    let mut taken: Vec<Option<Vec<usize>>> = vec![None; counts.len()];
    for _ in 0..ROUNDS {
        let mut moved = false;
        for &m in order {
            if let Some(old) = &taken[m] {
                for (i, &d) in old.iter().enumerate() {
                    load[d] -= time(m, i);
                }
            }
            let mut best: Option<(f64, Vec<usize>)> = None;
            for choice in even_choices(days, counts[m]) {
                let cost: f64 = choice
                    .iter()
                    .enumerate()
                    .map(|(i, &d)| {
                        let t = time(m, i);
                        // The growth of load^2 by this visit.
                        t * (2.0 * load[d] + t)
                    })
                    .sum();
                if best
                    .as_ref()
                    .is_none_or(|(c, _)| cost < *c - 1e-9 * c.abs())
                {
                    best = Some((cost, choice));
                }
            }
            let Some((_, choice)) = best else { continue };
            for (i, &d) in choice.iter().enumerate() {
                load[d] += time(m, i);
            }
            moved |= taken[m].as_ref() != Some(&choice);
            taken[m] = Some(choice);
        }
        if !moved {
            break;
        }
    }
    taken
}

/// Chooses the date of every slot. `minutes[fairway][slot]` is the time of each visit.
///
/// Within a week a fairway's visits keep their order and the widest even spacing that the open
/// days allow. Of those choices the one is taken that keeps the sum of the squared daily loads
/// lowest, largest fairways first, then improved in a few rounds. The order is fixed, so the
/// same rules give the same days.
pub fn level(rules: &Rules, roster: &Roster, minutes: &[Vec<f64>]) -> Vec<Vec<Date>> {
    let mut out: Vec<Vec<Date>> = roster
        .slots
        .iter()
        .map(|s| vec![Date::ZERO; s.len()])
        .collect();
    // Where each fairway's slots of the week start.
    let mut next = vec![0_usize; roster.slots.len()];
    for (w, week) in roster.weeks.iter().enumerate() {
        let days = &week.days;
        if days.is_empty() {
            continue;
        }
        let mine: Vec<(usize, usize, usize)> = roster
            .slots
            .iter()
            .enumerate()
            .filter_map(|(f, slots)| {
                let from = next[f];
                let n = slots[from..].iter().take_while(|s| s.week == w).count();
                next[f] += n;
                (n > 0).then_some((f, from, n))
            })
            .collect();
        let time = |&(f, from, n): &(usize, usize, usize), i: usize| -> f64 {
            debug_assert!(i < n);
            minutes[f][from + i] + rules.crew.between_min
        };
        let mut order: Vec<usize> = (0..mine.len()).collect();
        let total =
            |m: &(usize, usize, usize)| -> f64 { (0..m.2).map(|i| time(m, i)).sum::<f64>() };
        order.sort_by(|&a, &b| {
            total(&mine[b])
                .total_cmp(&total(&mine[a]))
                .then(mine[a].0.cmp(&mine[b].0))
        });
        let counts: Vec<usize> = mine.iter().map(|m| m.2).collect();
        let taken = dealt(days, &order, &counts, |m, i| time(&mine[m], i));
        for (m, choice) in mine.iter().zip(taken) {
            for (i, d) in choice.unwrap_or_default().into_iter().enumerate() {
                out[m.0][m.1 + i] = days[d];
            }
        }
    }
    out
}

/// The ways to put `n` visits on these days with the widest smallest gap, the week taken as a
/// circle, and at most one visit a day.
fn even_choices(days: &[Date], n: usize) -> Vec<Vec<usize>> {
    let n = n.min(days.len());
    let mut best_gap = 0;
    let mut best: Vec<Vec<usize>> = Vec::new();
    // At most seven days: 127 subsets.
    for set in 0_u32..(1 << days.len().min(7)) {
        if set.count_ones() as usize != n {
            continue;
        }
        let choice: Vec<usize> = (0..days.len()).filter(|d| set & (1 << d) != 0).collect();
        let mut gap = 7;
        for k in 0..choice.len() {
            let here = days[choice[k]];
            let there = days[choice[(k + 1) % choice.len()]];
            let g = (there - here).get_days().rem_euclid(7);
            gap = gap.min(if g == 0 { 7 } else { g });
        }
        if gap > best_gap {
            best_gap = gap;
            best.clear();
        }
        if gap == best_gap {
            best.push(choice);
        }
    }
    best
}

/// Loads per day, in order, from (date, minutes of mowing).
pub fn loads(rules: &Rules, visits: impl IntoIterator<Item = (Date, f64)>) -> Vec<DayLoad> {
    let mut by_day = std::collections::BTreeMap::<Date, (usize, f64)>::new();
    for (date, minutes) in visits {
        let day = by_day.entry(date).or_default();
        day.0 += 1;
        day.1 += minutes + rules.crew.between_min;
    }
    by_day
        .into_iter()
        .map(|(date, (visits, minutes))| DayLoad {
            date,
            visits,
            minutes,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::slots;
    use jiff::civil::{Weekday, date};

    fn spread(rules: &Rules, minutes_each: &[f64]) -> (Roster, Vec<Vec<Date>>, Vec<DayLoad>) {
        let roster = slots::roster(rules, minutes_each, &vec![true; minutes_each.len()]);
        let minutes: Vec<Vec<f64>> = roster
            .slots
            .iter()
            .zip(minutes_each)
            .map(|(s, m)| vec![*m; s.len()])
            .collect();
        let dates = level(rules, &roster, &minutes);
        let loads = loads(
            rules,
            dates
                .iter()
                .zip(&minutes)
                .flat_map(|(d, m)| d.iter().copied().zip(m.iter().copied())),
        );
        (roster, dates, loads)
    }

    #[test]
    fn two_visits_over_four_days_are_level_and_evenly_spaced() {
        let mut r = Rules::between(date(2027, 4, 5), date(2027, 5, 2));
        r.mowing_days = vec![
            Weekday::Monday,
            Weekday::Tuesday,
            Weekday::Thursday,
            Weekday::Friday,
        ];
        r.visits_per_week = Some(2);
        let (roster, dates, loads) = spread(&r, &[30.0; 8]);
        assert_eq!(roster.slots[0].len(), 8);
        // Eight fairways twice a week over four days: four a day.
        assert_eq!(loads.len(), 16);
        assert!(loads.iter().all(|l| l.visits == 4), "{loads:?}");
        for d in &dates {
            for pair in d.windows(2) {
                assert!((pair[1] - pair[0]).get_days() >= 3, "{pair:?}");
            }
        }
    }

    #[test]
    fn every_visit_has_a_day_of_its_own_in_its_week() {
        let mut r = Rules::between(date(2027, 4, 7), date(2027, 4, 30));
        r.visits_per_week = Some(2);
        let (roster, dates, _) = spread(&r, &[20.0, 45.0, 31.0]);
        for (slots, dates) in roster.slots.iter().zip(&dates) {
            for (s, d) in slots.iter().zip(dates) {
                assert!(roster.weeks[s.week].days.contains(d));
            }
            assert!(dates.windows(2).all(|p| p[0] < p[1]));
        }
    }
}
