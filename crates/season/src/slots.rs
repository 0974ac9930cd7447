//! The roster of the season: for each fairway and week, which visits there are and what kind.
//!
//! A slot is known by its week and its number within the week, whatever day it ends up on. So
//! a visit that frost or the crew's hours move is still the same visit, in the programme and in
//! a calendar.

use crate::rules::{Groom, Rules};
use jiff::Span;
use jiff::civil::{Date, ISOWeekDate, Weekday};

/// What a visit is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// The regular pattern.
    Regular,
    /// A cross cut.
    Cross,
    /// Loop trains.
    Loops,
}

/// A visit's identity: ISO week and number within that week's visits to the fairway.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct SlotId {
    /// ISO 8601 week-numbering year.
    pub year: i16,
    /// ISO 8601 week, 1 to 53.
    pub week: i8,
    /// Number within the week, 0 first.
    pub ordinal: u32,
}

impl std::fmt::Display for SlotId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:04}-W{:02}-{}", self.year, self.week, self.ordinal + 1)
    }
}

/// One visit to one fairway, before headings and days are chosen.
#[derive(Debug, Clone, PartialEq)]
pub struct Slot {
    /// Its identity.
    pub id: SlotId,
    /// Index into [`Roster::weeks`].
    pub week: usize,
    /// What it is for.
    pub kind: Kind,
    /// Whether it has all its clean-up passes, or only the one between.
    pub full: bool,
}

/// A week of the season.
#[derive(Debug, Clone, PartialEq)]
pub struct Week {
    /// Its Monday.
    pub monday: Date,
    /// Days on which fairways are mown, in order.
    pub days: Vec<Date>,
    /// Mowing days that are closed, with the stand-in when there is one.
    pub closed: Vec<(Date, Option<Date>)>,
}

/// The weeks and, per fairway, the slots.
#[derive(Debug, Clone, PartialEq)]
pub struct Roster {
    /// The weeks in order.
    pub weeks: Vec<Week>,
    /// Slots per fairway, in order of time.
    pub slots: Vec<Vec<Slot>>,
    /// Slots that closed days leave no room for: identity and the closed day.
    pub lost: Vec<(SlotId, Date)>,
}

/// Lays the roster for fairways of the given areas (m2) that may or may not be mown in loops.
///
/// Grooming is staggered by area: fairways are dealt, largest first, to the visit of the week
/// and to the pattern that starts the turns where the least area is groomed so far. So no day
/// and no week carries all the loops.
pub fn roster(rules: &Rules, areas_m2: &[f64], loops_allowed: &[bool]) -> Roster {
    let (weeks, lost) = weeks(rules);
    let turns = rules.grooming.turns.len().max(1);
    let visits = rules.visits().max(1);
    let deals = deal(areas_m2, visits * turns);
    let slots = deals
        .iter()
        .zip(loops_allowed)
        .map(|(&d, &loops)| fairway_slots(rules, &weeks, d % visits, d / visits, loops))
        .collect();
    Roster { weeks, slots, lost }
}

/// Deals areas to `hands` hands, largest first, each to the lightest hand.
fn deal(areas_m2: &[f64], hands: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..areas_m2.len()).collect();
    order.sort_by(|&a, &b| areas_m2[b].total_cmp(&areas_m2[a]).then(a.cmp(&b)));
    let mut load = vec![0.0_f64; hands];
    let mut out = vec![0; areas_m2.len()];
    for i in order {
        let mut lightest = 0;
        for h in 1..hands {
            if load[h] < load[lightest] {
                lightest = h;
            }
        }
        load[lightest] += areas_m2[i];
        out[i] = lightest;
    }
    out
}

fn weeks(rules: &Rules) -> (Vec<Week>, Vec<(SlotId, Date)>) {
    let mut weeks = Vec::new();
    let mut lost = Vec::new();
    let back = i64::from(rules.from.weekday().to_monday_zero_offset());
    let mut monday = rules
        .from
        .checked_sub(Span::new().days(back))
        .unwrap_or(rules.from);
    while monday <= rules.to {
        let all: Vec<Date> = monday
            .series(Span::new().days(1))
            .take(7)
            .filter(|d| rules.from <= *d && *d <= rules.to)
            .collect();
        let on = |days: &[Weekday]| -> Vec<Date> {
            all.iter()
                .copied()
                .filter(|d| days.contains(&d.weekday()))
                .collect()
        };
        let wanted = on(&rules.mowing_days);
        let mut spare: Vec<Date> = on(&rules.make_up_days)
            .into_iter()
            .filter(|d| rules.closed_on(*d).is_none() && !wanted.contains(d))
            .collect();
        let mut days: Vec<Date> = Vec::new();
        let mut closed = Vec::new();
        for d in &wanted {
            if rules.closed_on(*d).is_none() {
                days.push(*d);
                continue;
            }
            // The nearest stand-in, the earlier one of two: a fairway is mown before an event.
            let near = (0..spare.len()).min_by_key(|&i| {
                let gap = (spare[i] - *d).get_days();
                (gap.abs(), gap > 0)
            });
            let stand_in = near.map(|i| spare.remove(i));
            days.extend(stand_in);
            closed.push((*d, stand_in));
        }
        days.sort();
        if !wanted.is_empty() {
            let visits = rules.visits();
            let planned = scaled(visits, wanted.len(), rules.mowing_days.len());
            let unfilled: Vec<Date> = closed
                .iter()
                .filter(|(_, s)| s.is_none())
                .map(|(d, _)| *d)
                .collect();
            for (n, ordinal) in (days.len()..planned).enumerate() {
                let day = unfilled
                    .get(n)
                    .or(unfilled.last())
                    .copied()
                    .unwrap_or(monday);
                lost.push((slot_id(monday, ordinal), day));
            }
            weeks.push(Week {
                monday,
                days,
                closed,
            });
        }
        match monday.checked_add(Span::new().days(7)) {
            Ok(next) => monday = next,
            Err(_) => break,
        }
    }
    (weeks, lost)
}

/// Visits in a week that has only `have` of its `full` mowing days, at least one.
fn scaled(visits: usize, have: usize, full: usize) -> usize {
    if have >= full {
        visits
    } else {
        (visits * have).div_ceil(full.max(1)).max(1)
    }
}

fn slot_id(monday: Date, ordinal: usize) -> SlotId {
    let iso: ISOWeekDate = monday.iso_week_date();
    SlotId {
        year: iso.year(),
        week: iso.week(),
        ordinal: ordinal as u32,
    }
}

fn fairway_slots(
    rules: &Rules,
    weeks: &[Week],
    groom_at: usize,
    first_turn: usize,
    loops: bool,
) -> Vec<Slot> {
    let g = &rules.grooming;
    let mut out = Vec::new();
    let mut turn = first_turn;
    let mut visit = 0_u32;
    for (w, week) in weeks.iter().enumerate() {
        let have = week.days.len() + week.closed.iter().filter(|(_, s)| s.is_none()).count();
        let n = scaled(rules.visits(), have, rules.mowing_days.len()).min(week.days.len());
        let grooms =
            g.every_weeks > 0 && !g.turns.is_empty() && w % g.every_weeks as usize == 0 && n > 0;
        for ordinal in 0..n {
            let kind = if grooms && ordinal == groom_at.min(n - 1) {
                let kind = match g.turns[turn % g.turns.len()] {
                    Groom::Loops if loops => Kind::Loops,
                    _ => Kind::Cross,
                };
                turn += 1;
                kind
            } else {
                Kind::Regular
            };
            let full =
                kind == Kind::Loops || visit.is_multiple_of(rules.clean_up.every_visits.max(1));
            out.push(Slot {
                id: slot_id(week.monday, ordinal),
                week: w,
                kind,
                full,
            });
            visit += 1;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::Closed;
    use jiff::civil::date;

    fn rules() -> Rules {
        Rules::between(date(2027, 4, 5), date(2027, 5, 30))
    }

    #[test]
    fn eight_full_weeks_hold_three_visits_each() {
        let f = roster(&rules(), &[10_000.0], &[true]);
        assert_eq!(f.weeks.len(), 8);
        assert_eq!(f.slots[0].len(), 24);
        assert!(f.lost.is_empty());
        let kinds: Vec<Kind> = f.slots[0]
            .iter()
            .map(|s| s.kind)
            .filter(|k| *k != Kind::Regular)
            .collect();
        let (c, l) = (Kind::Cross, Kind::Loops);
        assert_eq!(kinds, [c, l, c, l, c, l, c, l]);
    }

    #[test]
    fn grooming_is_dealt_over_the_days_and_the_weeks() {
        let f = roster(&rules(), &[1.0; 6], &[true; 6]);
        let mut first: Vec<(usize, Kind)> = f
            .slots
            .iter()
            .map(|s| {
                let at = s.iter().position(|s| s.kind != Kind::Regular).unwrap();
                (at, s[at].kind)
            })
            .collect();
        first.sort_by_key(|(at, k)| (*at, *k == Kind::Loops));
        let (c, l) = (Kind::Cross, Kind::Loops);
        assert_eq!(first, [(0, c), (0, l), (1, c), (1, l), (2, c), (2, l)]);
    }

    #[test]
    fn a_closed_day_takes_the_nearest_stand_in_or_is_lost() {
        let mut r = rules();
        r.closed.push(Closed {
            from: date(2027, 4, 14),
            to: date(2027, 4, 14),
            why: "member-guest".into(),
        });
        let f = roster(&r, &[1.0], &[true]);
        assert_eq!(
            f.weeks[1].days,
            [date(2027, 4, 12), date(2027, 4, 13), date(2027, 4, 16)]
        );
        r.make_up_days.clear();
        let f = roster(&r, &[1.0], &[true]);
        assert_eq!(f.weeks[1].days, [date(2027, 4, 12), date(2027, 4, 16)]);
        assert_eq!(f.lost.len(), 1);
        assert_eq!(f.lost[0].0.to_string(), "2027-W15-3");
        assert_eq!(f.lost[0].1, date(2027, 4, 14));
    }

    #[test]
    fn a_fairway_without_loops_is_always_cross_cut() {
        let f = roster(&rules(), &[1.0, 1.0], &[true, false]);
        assert!(f.slots[1].iter().all(|s| s.kind != Kind::Loops));
        assert!(f.slots[0].iter().any(|s| s.kind == Kind::Loops));
    }
}
