//! Visits moved off frost and wet days by rule.

use crate::rules::{Rules, Sky, SkyRule};
use jiff::Span;
use jiff::civil::Date;

/// What the sky does to one visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Moved {
    /// It stays, and starts so many minutes later (0 for not at all).
    Stays {
        /// Minutes after the usual start.
        minutes: u32,
    },
    /// It moves to another day.
    To(Date),
    /// It is left out.
    Dropped,
}

/// Where a visit planned for `day` goes, and why. `busy` are the days on which the fairway is
/// mown anyway: a visit that would fall on one of them is left out, since the grass was cut.
///
/// A visit moves to the next day that is a mowing or make-up day, open, inside the season and
/// without frost or rain, at most [`crate::rules::Weather::within_days`] later.
pub fn moved(rules: &Rules, day: Date, busy: &[Date]) -> (Moved, Option<Sky>) {
    let Some(sky) = rules.sky_on(day) else {
        return (Moved::Stays { minutes: 0 }, None);
    };
    let rule = match sky {
        Sky::Frost => rules.weather.frost,
        Sky::Wet => rules.weather.wet,
    };
    let to = match rule {
        SkyRule::Later { minutes } => Moved::Stays { minutes },
        SkyRule::Drop => Moved::Dropped,
        SkyRule::NextDay => next_day(rules, day, busy).map_or(Moved::Dropped, Moved::To),
    };
    (to, Some(sky))
}

fn next_day(rules: &Rules, day: Date, busy: &[Date]) -> Option<Date> {
    for n in 1..=rules.weather.within_days {
        let d = day.checked_add(Span::new().days(i64::from(n))).ok()?;
        if d > rules.to || busy.contains(&d) {
            return None;
        }
        let works =
            rules.mowing_days.contains(&d.weekday()) || rules.make_up_days.contains(&d.weekday());
        if works && rules.closed_on(d).is_none() && rules.sky_on(d).is_none() {
            return Some(d);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn wet_days_move_on_and_frost_starts_later() {
        let mut r = Rules::between(date(2027, 4, 5), date(2027, 5, 2));
        let monday = date(2027, 4, 12);
        assert_eq!(moved(&r, monday, &[]), (Moved::Stays { minutes: 0 }, None));
        r.weather.days = vec![(monday, Sky::Frost)];
        assert_eq!(
            moved(&r, monday, &[]),
            (Moved::Stays { minutes: 120 }, Some(Sky::Frost))
        );
        r.weather.days = vec![(monday, Sky::Wet)];
        assert_eq!(moved(&r, monday, &[]).0, Moved::To(date(2027, 4, 13)));
        // Tuesday wet too, Wednesday is a mow of its own: nothing is gained by moving.
        r.weather.days.push((date(2027, 4, 13), Sky::Wet));
        assert_eq!(moved(&r, monday, &[date(2027, 4, 14)]).0, Moved::Dropped);
    }
}
