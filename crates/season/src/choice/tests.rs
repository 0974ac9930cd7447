//! Small cases, the same as `tests/scripts/season_bound.py` solves with a general solver.

use super::mix::{Atom, Column, Counts, Group, Mix};
use super::r2_bound::r2_bound;
use super::relax::relax;
use super::round::{Aim, exchange, whole};
use super::spread::{Spread, TAIL_WEIGHT};

/// A small linear congruential generator (Knuth's MMIX constants): the same numbers in the script.
pub(crate) struct Numbers(u64);

impl Numbers {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// Case `k`: cells of uneven ground; mows along evenly spread axes, each cutting each cell
/// somewhat unevenly; an edge direction in a part of the cells that every mow cuts along.
pub(crate) fn case(k: u64) -> (Mix, f64) {
    let mut r = Numbers::new(k + 1);
    let cells = 8 + 6 * (k as usize % 5);
    let axes = 3 + (k as usize % 4);
    let ground_m2: Vec<f64> = (0..cells).map(|_| 1.0 + 3.0 * r.next()).collect();
    let edge: Vec<(f64, f64)> = (0..cells)
        .map(|_| {
            let weight = if r.next() < 0.3 { 1.0 } else { 0.0 };
            (weight, std::f64::consts::TAU * r.next())
        })
        .collect();
    let mut mows = Vec::new();
    let mut minutes = Vec::new();
    for a in 0..axes {
        let angle = std::f64::consts::TAU * (a as f64 / axes as f64 + 0.05 * r.next());
        let mut c = Column::zeros(cells);
        for (i, g) in ground_m2.iter().enumerate() {
            let w = g * (0.7 + 0.4 * r.next());
            let bend = angle + 0.4 * (r.next() - 0.5);
            let (we, ae) = edge[i];
            c.w[i] = w + we * g;
            c.x[i] = w * bend.cos() + we * g * ae.cos();
            c.y[i] = w * bend.sin() + we * g * ae.sin();
        }
        mows.push(c);
        minutes.push(30.0 + 20.0 * r.next());
    }
    let all: Vec<Atom> = (0..axes).map(|m| Atom { mows: vec![m] }).collect();
    let pairs: Vec<Atom> = (0..axes)
        .map(|m| Atom {
            mows: vec![m, (m + 1) % axes],
        })
        .collect();
    let group = |visits: f64, atoms: Vec<Atom>| Group { visits, atoms };
    let mut groups = vec![group(6.0, all)];
    if k % 2 == 1 {
        groups.push(group(3.0, pairs));
    }
    let price = [0.0, 0.002, 0.01][k as usize % 3];
    let mix = Mix {
        base: Column::zeros(cells),
        ground_m2,
        mows,
        minutes,
        groups,
    };
    (mix, price)
}

/// What the general solver found ([`case`] 0 to 15) and what enumeration did (0 to 7), stored
/// by the script.
fn stored() -> Vec<(f64, Option<f64>)> {
    include_str!("../../../../tests/stored/season_bound.csv")
        .lines()
        .skip(1)
        .map(|l| {
            let p: Vec<&str> = l.split(',').collect();
            (p[1].parse().unwrap(), p[2].parse().ok())
        })
        .collect()
}

fn set_up(k: u64) -> (Mix, Spread, Vec<f64>) {
    let (mix, price) = case(k);
    let cuts = mix.sums(&mix.even()).w;
    let spread = Spread::new(&mix, &cuts, TAIL_WEIGHT);
    let cost = mix.minutes.iter().map(|m| price * m).collect();
    (mix, spread, cost)
}

#[test]
fn the_bound_is_that_of_a_general_solver() {
    let stored = stored();
    assert!(stored.len() >= 12);
    for (k, (solver, _)) in stored.iter().enumerate() {
        let (mix, spread, cost) = set_up(k as u64);
        let r = relax(&mix, &spread, &cost, None);
        assert!(r.bound <= solver + 1e-6, "case {k}: {} {solver}", r.bound);
        assert!(
            (r.bound - solver).abs() <= 1e-4,
            "case {k}: {} {solver}",
            r.bound
        );
        assert!(
            (r.value - solver).abs() <= 1e-4,
            "case {k}: {} {solver}",
            r.value
        );
    }
}

#[test]
fn whole_visits_are_near_the_best_that_enumeration_finds() {
    let mut compared = 0;
    for (k, (_, best)) in stored().iter().enumerate() {
        let Some(best) = best else { continue };
        compared += 1;
        let (mix, spread, cost) = set_up(k as u64);
        let r = relax(&mix, &spread, &cost, None);
        let counts = exchange(
            &mix,
            &spread,
            &cost,
            &whole(&mix, &r.counts),
            Aim::Spread,
            f64::INFINITY,
        );
        let times = mix.times(&counts);
        let spent: f64 = times.iter().zip(&cost).map(|(n, c)| n * c).sum();
        let value = spread.value(&times) + spent;
        assert!(
            r.bound <= best + 1e-9,
            "case {k}: bound {} best {best}",
            r.bound
        );
        assert!(
            value >= best - 1e-9,
            "case {k}: {value} below the best {best}"
        );
        assert!(value <= best * 1.03, "case {k}: {value} best {best}");
    }
    assert!(compared >= 6);
}

/// Every way to make so many visits.
fn all(visits: usize, atoms: usize) -> Vec<Vec<f64>> {
    if atoms == 1 {
        return vec![vec![visits as f64]];
    }
    (0..=visits)
        .flat_map(|n| {
            all(visits - n, atoms - 1).into_iter().map(move |mut rest| {
                rest.insert(0, n as f64);
                rest
            })
        })
        .collect()
}

#[test]
fn no_choice_has_a_mean_r2_below_its_bound() {
    for k in 0..12 {
        let (mix, _, _) = set_up(k);
        let mows = mix.groups[0].atoms.len();
        let one = Mix {
            groups: vec![singles(6.0, 0..mows)],
            ..mix.clone()
        };
        // Each group has mows of its own: the changes of both add up.
        let two = Mix {
            groups: vec![singles(4.0, 0..2), singles(3.0, 2..mows)],
            ..mix
        };
        for mix in [one, two] {
            let mut choices: Vec<Counts> = vec![Vec::new()];
            for g in &mix.groups {
                let ways = all(g.visits as usize, g.atoms.len());
                choices = (choices.iter())
                    .flat_map(|c| {
                        ways.iter()
                            .map(|w| [&c[..], std::slice::from_ref(w)].concat())
                    })
                    .collect();
            }
            let (least, reached) = (choices.into_iter().map(|c| (mix.r2_mean(&c), c)))
                .min_by(|a, b| a.0.total_cmp(&b.0))
                .expect("there are choices");
            let bound = r2_bound(&[&mix], mix.minutes_of(&reached), 0.0);
            assert!(bound <= least + 1e-9, "case {k}: {bound} {least}");
            assert!(bound > 0.6 * least, "case {k}: {bound} {least}");
        }
    }
}

/// Visits that are each one of some mows.
fn singles(visits: f64, mows: std::ops::Range<usize>) -> Group {
    Group {
        visits,
        atoms: mows.map(|m| Atom { mows: vec![m] }).collect(),
    }
}
