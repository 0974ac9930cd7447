//! One price of hours for the whole course.
//!
//! An hour buys more even grain on one fairway than on another. With a limit for each fairway
//! some are starved and others sated; with one price (a Lagrange multiplier) every fairway
//! spends hours as long as they buy more than the price, and no hour is worth more elsewhere.
//! The price is found by bisection so that the course keeps its hours. It also carries the
//! bound: objective plus price times hours cannot be lower than [`crate::choice::relax`] proves.
//!
//! The *curve* is the season at a row of prices: hours against mean R2. Its *knee* is the point
//! with the fewest hours that has [`KNEE`] of the evenness there is to buy: of the way from the
//! mean R2 of the cheapest season down to the lowest.

use crate::ask::{Stage, Workers};
use crate::choice::mix::Counts;
use crate::choice::r2_bound::r2_bound_at;
use crate::choice::round::whole;
use crate::fairway_choice::{Answer, FairwayChoice};

/// One point of the curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvePoint {
    /// Hours of the season.
    pub hours: f64,
    /// Mean R2 over the course.
    pub r2_mean: f64,
    /// No season with no more hours has less.
    pub r2_mean_bound: f64,
}

/// Prices of all the course's hours, in units of the objective's range: from free to far dearer
/// than any evenness is worth.
const PRICES: [f64; 10] = [0.0, 0.3, 1.0, 2.0, 3.5, 5.5, 9.0, 15.0, 30.0, 100.0];
/// Share of the evenness there is to buy that the knee has: what is left is within what a season's
/// weather moves.
pub const KNEE: f64 = 0.98;
/// Steps of bisection.
const STEPS: usize = 6;
/// Steps when whole visits are exchanged.
const NUDGES: usize = 6;

/// What was chosen for the course.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// For each fairway.
    pub answers: Vec<Answer>,
    /// Price an hour of each fairway's objective.
    pub prices: Vec<f64>,
    /// The curve, fewest hours first.
    pub curve: Vec<CurvePoint>,
    /// The limit that was kept, minutes of the free visits; none where the knee was taken.
    pub limit_min: Option<f64>,
}

/// One fairway at one price.
struct Sample {
    minutes: f64,
    counts: Vec<Counts>,
    whole_minutes: f64,
    r2_mean: f64,
    r2_bound: f64,
}

/// Chooses for all fairways. `limit_min` is the limit on the minutes of the free visits, or none
/// for the knee; `scale_min` are the minutes of a plain season, to put prices in proportion;
/// `fixed_hours` are those of visits that are not chosen.
pub fn choose(
    choices: &[FairwayChoice],
    limit_min: Option<f64>,
    scale_min: f64,
    fixed_hours: f64,
    workers: &impl Workers,
) -> Chosen {
    let total: f64 = choices.iter().map(|c| c.area_m2).sum();
    let shares: Vec<f64> = choices
        .iter()
        .map(|c| c.area_m2 / total.max(f64::MIN_POSITIVE))
        .collect();
    let scale_h = (scale_min / 60.0).max(1e-6);
    // The longest work first.
    let mut items: Vec<usize> = (0..choices.len()).collect();
    items.sort_by(|&a, &b| {
        choices[b]
            .area_m2
            .total_cmp(&choices[a].area_m2)
            .then(a.cmp(&b))
    });
    let in_order = |mut done: Vec<(usize, Vec<Sample>)>| -> Vec<Vec<Sample>> {
        done.sort_by_key(|d| d.0);
        done.into_iter().map(|d| d.1).collect()
    };
    let price = |f: usize, p: f64| p / scale_h / shares[f].max(1e-12);
    let grid: Vec<Vec<Sample>> = in_order(workers.each(Stage::Headings, &items, |&f| {
        (f, row(&choices[f], |p| price(f, p)))
    }));
    let mut curve = curve(&grid, &shares, fixed_hours);
    let first = match limit_min {
        None => knee(&curve),
        Some(limit) => {
            let minutes = |k: usize| -> f64 { grid.iter().map(|g| g[k].minutes).sum() };
            let keeps = (0..PRICES.len()).find(|&k| minutes(k) <= limit);
            keeps.unwrap_or(PRICES.len() - 1)
        }
    };
    let mut at = PRICES[first];
    let mut counts: Vec<Vec<Counts>> = grid.iter().map(|g| g[first].counts.clone()).collect();
    // Dearer than this the hours do not change any more.
    if let (Some(limit), true) = (limit_min, first > 0) {
        let (mut low, mut high) = (PRICES[first - 1], PRICES[first]);
        for _ in 0..STEPS {
            let p = if low > 0.0 {
                (low * high).sqrt()
            } else {
                0.5 * high
            };
            let row = in_order(workers.each(Stage::Price, &items, |&f| {
                let s = sample(&choices[f], price(f, p), Some(&counts[f]), false);
                (f, vec![s])
            }));
            let sum: f64 = row.iter().map(|r| r[0].minutes).sum();
            if sum <= limit {
                high = p;
                at = p;
                counts = row.iter().map(|r| r[0].counts.clone()).collect();
            } else {
                low = p;
            }
        }
    }
    let prices: Vec<f64> = (0..choices.len()).map(|f| price(f, at)).collect();
    let each = |work: &(dyn Fn(usize) -> Answer + Sync)| -> Vec<Answer> {
        let mut done: Vec<(usize, Answer)> = workers.each(Stage::Price, &items, |&f| (f, work(f)));
        done.sort_by_key(|d| d.0);
        done.into_iter().map(|d| d.1).collect()
    };
    let first = each(&|f| choices[f].answer(prices[f], &counts[f]));
    counts.clear();
    let answers = match limit_min {
        None => first,
        Some(limit) => within(choices, &shares, first, limit, at, scale_h, &each),
    };
    curve.sort_by(|a, b| a.hours.total_cmp(&b.hours));
    curve.dedup_by(|a, b| (a.hours - b.hours).abs() < 1e-9);
    falling(&mut curve);
    Chosen {
        answers,
        prices,
        curve,
        limit_min,
    }
}

/// One fairway at each price, each begun where the one before ended.
fn row(choice: &FairwayChoice, price: impl Fn(f64) -> f64) -> Vec<Sample> {
    let mut from: Option<Vec<Counts>> = None;
    PRICES
        .iter()
        .map(|&p| {
            let s = sample(choice, price(p), from.as_deref(), true);
            from = Some(s.counts.clone());
            s
        })
        .collect()
}

/// The course at each price: hours against grain.
fn curve(grid: &[Vec<Sample>], shares: &[f64], fixed_hours: f64) -> Vec<CurvePoint> {
    let mean = |of: &dyn Fn(&Vec<Sample>) -> f64| -> f64 {
        grid.iter().zip(shares).map(|(g, a)| a * of(g)).sum()
    };
    (0..PRICES.len())
        .map(|k| CurvePoint {
            hours: fixed_hours + grid.iter().map(|g| g[k].whole_minutes).sum::<f64>() / 60.0,
            r2_mean: mean(&|g| g[k].r2_mean),
            r2_mean_bound: mean(&|g| g[k].r2_bound).max(0.0),
        })
        .collect()
}

/// What no season of so many hours can beat, none of fewer hours can.
fn falling(curve: &mut [CurvePoint]) {
    let mut least: f64 = 0.0;
    for p in curve.iter_mut().rev() {
        least = least.max(p.r2_mean_bound);
        p.r2_mean_bound = least;
    }
}

/// Does something for every fairway.
type Each<'a> = dyn Fn(&(dyn Fn(usize) -> Answer + Sync)) -> Vec<Answer> + 'a;

/// Whole visits within the limit: exchanges at a price that is moved until they just keep it.
fn within(
    choices: &[FairwayChoice],
    shares: &[f64],
    first: Vec<Answer>,
    limit_min: f64,
    at: f64,
    scale_h: f64,
    each: &Each<'_>,
) -> Vec<Answer> {
    let sum = |a: &[Answer]| -> f64 { a.iter().map(|x| x.minutes).sum() };
    let worth = |a: &[Answer]| -> f64 { a.iter().zip(shares).map(|(x, s)| s * x.objective).sum() };
    let keeps = |a: &[Answer]| sum(a) <= limit_min * (1.0 + 1e-9) + 1e-9;
    let mut best: Option<(f64, Vec<Answer>)> =
        keeps(&first).then(|| (worth(&first), first.clone()));
    let mut fallback = first.clone();
    let (mut low, mut high) = if best.is_some() {
        (0.0, at)
    } else {
        (at, 4.0 * at.max(0.1))
    };
    let mut from = first;
    for step in 0..NUDGES {
        let p = if step == 0 && best.is_none() {
            high
        } else {
            f64::midpoint(low, high)
        };
        let next = each(&|f| choices[f].nudged(&from[f], p / scale_h / shares[f].max(1e-12)));
        if sum(&next) < sum(&fallback) {
            fallback.clone_from(&next);
        }
        if keeps(&next) {
            let w = worth(&next);
            if best.as_ref().is_none_or(|b| w < b.0) {
                best = Some((w, next.clone()));
            }
            high = p;
        } else if step == 0 && best.is_none() {
            low = high;
            high *= 10.0;
        } else {
            low = p;
        }
        from = next;
    }
    // Where no price brings the hours down far enough, the cheapest visits there are.
    if best.is_none() {
        let cheapest: Vec<Answer> = choices
            .iter()
            .zip(&fallback)
            .map(|(c, a)| c.cheapest(a))
            .collect();
        if sum(&cheapest) < sum(&fallback) {
            return cheapest;
        }
    }
    best.map_or(fallback, |b| b.1)
}

fn sample(choice: &FairwayChoice, price: f64, from: Option<&[Counts]>, for_curve: bool) -> Sample {
    let relaxed = choice.quick(price, from);
    let best = relaxed
        .iter()
        .enumerate()
        .min_by(|a, b| a.1.value.total_cmp(&b.1.value).then(a.0.cmp(&b.0)));
    let Some((k, r)) = best else {
        return Sample {
            minutes: 0.0,
            counts: Vec::new(),
            whole_minutes: 0.0,
            r2_mean: 0.0,
            r2_bound: 0.0,
        };
    };
    let mix = &choice.candidates[k].mix;
    let mut out = Sample {
        minutes: mix.minutes_of(&r.counts),
        whole_minutes: 0.0,
        r2_mean: 0.0,
        r2_bound: 0.0,
        counts: Vec::new(),
    };
    if for_curve {
        let counts = whole(mix, &r.counts);
        out.whole_minutes = mix.minutes_of(&counts);
        out.r2_mean = mix.r2_mean(&counts);
        out.r2_bound = choice
            .candidates
            .iter()
            .zip(&relaxed)
            .map(|(c, r)| r2_bound_at(&c.mix, &c.least, &r.counts, price / 60.0, out.whole_minutes))
            .fold(f64::INFINITY, f64::min);
    }
    out.counts = relaxed.into_iter().map(|r| r.counts).collect();
    out
}

/// The point with the fewest hours that has [`KNEE`] of the evenness there is to buy.
pub fn knee(curve: &[CurvePoint]) -> usize {
    let (low, high) = curve
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |r, p| {
            (r.0.min(p.r2_mean), r.1.max(p.r2_mean))
        });
    let enough = high - KNEE * (high - low) + 1e-12;
    (0..curve.len())
        .filter(|&k| curve[k].r2_mean <= enough)
        .min_by(|&a, &b| curve[a].hours.total_cmp(&curve[b].hours).then(a.cmp(&b)))
        .unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_knee_has_nearly_all_of_the_evenness() {
        let at = |hours: f64, r2_mean: f64| CurvePoint {
            hours,
            r2_mean,
            r2_mean_bound: 0.0,
        };
        let curve = [
            at(100.0, 0.9),
            at(110.0, 0.4),
            at(120.0, 0.2),
            at(150.0, 0.11),
            at(200.0, 0.1),
        ];
        // 98% of the way from 0.9 to 0.1 is 0.116.
        assert_eq!(knee(&curve), 3);
        assert_eq!(knee(&curve[..1]), 0);
    }

    #[test]
    fn a_bound_holds_for_fewer_hours_too() {
        let at = |hours: f64, r2_mean_bound: f64| CurvePoint {
            hours,
            r2_mean: 1.0,
            r2_mean_bound,
        };
        let mut curve = [at(1.0, 0.4), at(2.0, 0.07), at(3.0, 0.1), at(4.0, 0.09)];
        falling(&mut curve);
        assert_eq!(curve.map(|p| p.r2_mean_bound), [0.4, 0.1, 0.1, 0.09]);
    }
}
