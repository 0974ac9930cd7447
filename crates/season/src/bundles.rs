//! A fairway's free visits as bundles: one visit, or stripes and the cross cut that crosses them;
//! and the ways in which each kind of bundle may be made.

use crate::catalogue::{What, loop_trains};
use crate::choice::mix::{Atom, Group};
use crate::fairway_season::{Due, Stock};
use crate::rules::{EDGE_RINGS, Rules};
use crate::slots::Kind;
use crossgrain_core::inside::model::pattern::PatternKind;

/// Least angle at which a cross cut crosses the last stripes, degrees. 90 where the allowed
/// headings have it; half an hour of the clock either side of it, 15 degrees, is still a cross cut
/// to the eye (our own choice).
pub const CROSSING_DEG: f64 = 75.0;

/// Angle between two axes, degrees, 0 to 90.
pub fn axis_angle_deg(a: f64, b: f64) -> f64 {
    let d = (a - b).rem_euclid(180.0);
    d.min(180.0 - d)
}

/// One visit, or two that belong together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bundle {
    /// Which visits that are due.
    pub dues: Vec<usize>,
    /// Its group.
    pub group: usize,
}

/// What the bundles of a group are: one visit of a kind, or stripes and a cross cut; and whether
/// with all clean-up passes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Key {
    Single(Kind, bool),
    Pair(bool, bool),
}

/// The free visits as units, and the key of each group.
pub(crate) fn units(rules: &Rules, dues: &[Due]) -> (Vec<Bundle>, Vec<Key>) {
    let mut keyed: Vec<(Key, Vec<usize>)> = Vec::new();
    // The last striped visit, when it is free and no part of a pair yet.
    let mut last: Option<usize> = None;
    for (i, d) in dues.iter().enumerate() {
        if d.done.is_some() {
            last = None;
            continue;
        }
        match d.kind {
            Kind::Regular => {
                keyed.push((Key::Single(d.kind, d.full), vec![i]));
                last = Some(keyed.len() - 1);
            }
            Kind::Cross => {
                let first = last.take().filter(|_| !rules.grooming.both_sets);
                match first {
                    Some(k) => {
                        let before = keyed[k].1[0];
                        keyed[k] = (Key::Pair(dues[before].full, d.full), vec![before, i]);
                    }
                    None => keyed.push((Key::Single(d.kind, d.full), vec![i])),
                }
            }
            Kind::Loops => keyed.push((Key::Single(d.kind, true), vec![i])),
        }
    }
    let mut keys: Vec<Key> = keyed.iter().map(|k| k.0).collect();
    keys.sort_unstable();
    keys.dedup();
    let units = keyed
        .into_iter()
        .map(|(key, dues)| Bundle {
            dues,
            group: keys.binary_search(&key).unwrap_or(0),
        })
        .collect();
    (units, keys)
}

/// Gathers the mows that the groups of a fairway need.
pub(crate) struct Builder<'a> {
    pub stock: &'a Stock,
    pub jobs: Vec<usize>,
    pub no_crossing_deg: Option<f64>,
}

impl Builder<'_> {
    fn mow(&mut self, what: What, rings: u32) -> Option<usize> {
        let job = self.stock.find(what, rings)?;
        Some(self.jobs.iter().position(|j| *j == job).unwrap_or_else(|| {
            self.jobs.push(job);
            self.jobs.len() - 1
        }))
    }

    fn axis(&self, mow: usize) -> f64 {
        self.stock.planned[self.jobs[mow]].heading_deg
    }

    pub fn group(&mut self, rules: &Rules, key: Key, visits: f64, full: u32) -> Group {
        let rings = |is_full: bool| if is_full { full } else { EDGE_RINGS };
        let stripes = rules.headings.allowed.iter().map(|h| What::Stripes(*h));
        let regular: Vec<What> = if rules.regular == PatternKind::Stripes {
            stripes.clone().collect()
        } else {
            vec![What::Other(rules.regular)]
        };
        let crossing: Vec<What> = if rules.grooming.both_sets {
            rules
                .headings
                .allowed
                .iter()
                .map(|h| What::Both(*h))
                .collect()
        } else {
            stripes.collect()
        };
        // A mow that breaks a promise is not chosen where another will do.
        let mut all = |whats: &[What], n: u32| -> Vec<usize> {
            let fit: Vec<What> = whats
                .iter()
                .copied()
                .filter(|w| {
                    self.stock
                        .find(*w, n)
                        .is_some_and(|j| self.stock.planned[j].ground.broken.is_empty())
                })
                .collect();
            let whats = if fit.is_empty() { whats } else { &fit[..] };
            whats.iter().filter_map(|w| self.mow(*w, n)).collect()
        };
        let mut atoms = Vec::new();
        match key {
            Key::Single(Kind::Regular, f) => atoms = singles(all(&regular, rings(f))),
            Key::Single(Kind::Cross, f) => atoms = singles(all(&crossing, rings(f))),
            Key::Single(Kind::Loops, _) => {
                let trains: Vec<What> = loop_trains(rules).collect();
                atoms = singles(all(&trains, rules.loop_rings()));
            }
            Key::Pair(a, b) => {
                let (first, second) = (all(&regular, rings(a)), all(&crossing, rings(b)));
                let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
                for &p in &first {
                    for &q in &second {
                        pairs.push((axis_angle_deg(self.axis(p), self.axis(q)), p, q));
                    }
                }
                let widest = pairs.iter().map(|p| p.0).fold(0.0, f64::max);
                let least = if widest < CROSSING_DEG - 1e-6 {
                    self.no_crossing_deg = Some(widest);
                    widest
                } else {
                    CROSSING_DEG
                };
                atoms.extend(pairs.iter().filter(|p| p.0 >= least - 1e-6).map(|p| Atom {
                    mows: vec![p.1, p.2],
                }));
            }
        }
        Group { visits, atoms }
    }
}

fn singles(mows: Vec<usize>) -> Vec<Atom> {
    mows.into_iter().map(|m| Atom { mows: vec![m] }).collect()
}
