//! Over any four weeks no more grained than the clock rotation with the same loops.
//!
//! One price of hours leaves a small fairway with few of them where they buy little, and it may
//! then lean one way for longer than under the plain rotation. Such a fairway is chosen again at
//! less than the course's price, as far as hours are left: on small ground these are minutes.

use crate::choice::mix::Counts;
use crate::fairway_choice::FairwayChoice;
use crate::outcome::{Outcome, outcome};
use crate::price::Chosen;
use crate::rules::Rules;
use crate::timetable::Timetable;

/// Shares of the course's price, tried in turn: down to free hours.
const LESS: [f64; 5] = [0.5, 0.25, 0.1, 0.03, 0.0];
/// Grain that is the same but for rounding.
const SAME: f64 = 1e-9;

/// Chooses fairways again that stand above the clock rotation. `limit_min` is the limit on the
/// minutes of the free visits, if there is one.
pub(crate) fn no_worse_over_four_weeks(
    rules: &Rules,
    table: &Timetable,
    choices: &[FairwayChoice],
    chosen: &mut Chosen,
    limit_min: Option<f64>,
    outcomes: &mut [Outcome],
) {
    let above = |o: &Outcome| o.lay.r2_28_days > o.lay.clock_rotation_28_days + SAME;
    for (i, o) in outcomes.iter_mut().enumerate() {
        let (choice, price) = (&choices[i], chosen.prices[i]);
        if !above(o) || choice.is_settled() || price <= 0.0 {
            continue;
        }
        let all: f64 = chosen.answers.iter().map(|a| a.minutes).sum();
        let spare = limit_min.map_or(f64::INFINITY, |limit| (limit - all).max(0.0));
        let most = chosen.answers[i].minutes + spare;
        for share in LESS {
            let relaxed = choice.quick(price * share, None);
            let least = relaxed
                .iter()
                .zip(&choice.candidates)
                .min_by(|a, b| a.0.value.total_cmp(&b.0.value))
                .map_or(0.0, |(r, c)| c.mix.minutes_of(&r.counts));
            // Cheaper hours only take more of them.
            if least > most {
                break;
            }
            let from: Vec<Counts> = relaxed.into_iter().map(|r| r.counts).collect();
            let answer = choice.answer(price * share, &from);
            if answer.minutes > most {
                continue;
            }
            let next = outcome(rules, &table.fairways[i], choice, &answer, price * share);
            if next.lay.r2_28_days < o.lay.r2_28_days {
                *o = next;
                chosen.answers[i] = answer;
                chosen.prices[i] = price * share;
            }
            if !above(o) {
                break;
            }
        }
    }
}
