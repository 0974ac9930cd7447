//! What it costs to drive one leg after another.
//!
//! Each leg has two states, driven as given (2 i) or turned round (2 i + 1). The cost of a join
//! is first its floor, the shortest turn on open ground; only where an order would gain by it
//! is the join looked for on the real ground. So most pairs are never searched.

use crate::driving::roads::Router;
use crate::model::mow::{Leg, Role};
use crate::model::pose::Pose;

/// Joins searched for one stage before the floors are taken as they are.
const MOST_LOOKS: usize = 20_000;

/// How a stage begins.
#[derive(Debug, Clone, Copy)]
pub enum Begin {
    /// The mower stands here, after the stage before.
    At(Pose),
    /// Anywhere; the way to each leg counts as given to [`Costs::set_ends`].
    Anywhere,
}

/// Joins between the legs of one stage. State `2 n` is the world outside the stage.
pub struct Costs<'r> {
    router: &'r Router,
    begin: Begin,
    entry: Vec<Pose>,
    exit: Vec<Pose>,
    reversible: Vec<bool>,
    across: Vec<Option<(u32, u32)>>,
    value: Vec<f64>,
    known: Vec<bool>,
    looks: usize,
}

impl<'r> Costs<'r> {
    /// Costs of `legs`, each with at least one track.
    pub fn new(legs: &[Leg], begin: Begin, router: &'r Router) -> Self {
        let n = legs.len();
        let (mut entry, mut exit) = (Vec::with_capacity(2 * n), Vec::with_capacity(2 * n));
        for leg in legs {
            let (start, end) = ends(leg);
            entry.extend([start, end.reversed()]);
            exit.extend([end, start.reversed()]);
        }
        let m = 2 * n + 1;
        let mut out = Self {
            router,
            begin,
            entry,
            exit,
            reversible: legs.iter().map(|l| l.reversible).collect(),
            across: legs.iter().map(|l| across(l.role)).collect(),
            value: vec![0.0; m * m],
            known: vec![false; m * m],
            looks: 0,
        };
        out.fill();
        out
    }

    fn fill(&mut self) {
        let w = self.outside();
        let stances =
            |poses: &[Pose]| -> Vec<_> { poses.iter().map(|&p| self.router.stance(p)).collect() };
        let (exits, entries) = (stances(&self.exit), stances(&self.entry));
        for (s, exit) in exits.iter().enumerate() {
            for (t, entry) in entries.iter().enumerate() {
                // A join driven the other way is as long: half of the table is enough.
                let (a, b) = (t ^ 1, s ^ 1);
                if s / 2 == t / 2 || (a, b) < (s, t) {
                    continue;
                }
                let floor = self.router.floor_between_m(exit, entry);
                self.put(s, t, floor);
                self.put(a, b, floor);
            }
            self.known[s * (w + 1) + w] = true;
            match self.begin {
                Begin::At(pose) => {
                    let floor = self.router.floor_m(pose, self.entry[s]);
                    self.put(w, s, floor);
                }
                Begin::Anywhere => self.known[w * (w + 1) + s] = true,
            }
        }
        self.known[w * (w + 1) + w] = true;
    }

    /// Sets what the ways to the first leg (when the stage may begin anywhere) and from the
    /// last leg count as, metres.
    pub fn set_ends(&mut self, first: impl Fn(Pose) -> f64, last: impl Fn(Pose) -> f64) {
        let w = self.outside();
        for s in 0..w {
            if matches!(self.begin, Begin::Anywhere) {
                self.put(w, s, first(self.entry[s]));
            }
            self.put(s, w, last(self.exit[s]));
        }
    }

    /// Raises what is known of the joins that cannot but back up, so that an order with fewer of
    /// them is looked at first. No longer lengths then: [`super::floor`] comes before.
    pub fn heed_stuck(&mut self) {
        let leaves: Vec<bool> = self.exit.iter().map(|&p| self.router.is_stuck(p)).collect();
        let enters: Vec<bool> = self
            .entry
            .iter()
            .map(|p| self.router.is_stuck(p.reversed()))
            .collect();
        for (s, &leaves) in leaves.iter().enumerate() {
            for (t, &enters) in enters.iter().enumerate() {
                if s / 2 == t / 2 || !(leaves || enters) {
                    continue;
                }
                let floor = self.router.stuck_floor_m(self.exit[s], self.entry[t]);
                if floor > self.get(s, t) {
                    self.put(s, t, floor);
                }
            }
        }
    }

    /// Number of legs.
    pub fn legs(&self) -> usize {
        self.reversible.len()
    }

    /// The state that stands for the world outside the stage.
    pub fn outside(&self) -> usize {
        2 * self.reversible.len()
    }

    /// Whether a leg may be turned round.
    pub fn reversible(&self, leg: usize) -> bool {
        self.reversible[leg]
    }

    /// Whether two legs are passes side by side.
    pub fn neighbours(&self, a: usize, b: usize) -> bool {
        match (self.across[a], self.across[b]) {
            (Some((s, i)), Some((t, j))) => s == t && i.abs_diff(j) == 1,
            _ => false,
        }
    }

    /// Whether any leg is a numbered pass.
    pub fn numbered(&self) -> bool {
        self.across.iter().any(Option::is_some)
    }

    /// States that a leg may be driven in.
    pub fn states(&self, leg: usize) -> impl Iterator<Item = usize> + use<> {
        let last = if self.reversible[leg] { 1 } else { 0 };
        (0..=last).map(move |d| 2 * leg + d)
    }

    /// The cost as far as it is known, metres; never above the real one.
    #[inline]
    pub fn get(&self, s: usize, t: usize) -> f64 {
        self.value[s * (self.outside() + 1) + t]
    }

    /// The real cost, metres.
    pub fn settle(&mut self, s: usize, t: usize) -> f64 {
        let w = self.outside();
        let at = s * (w + 1) + t;
        if self.known[at] || self.looks >= MOST_LOOKS {
            return self.value[at];
        }
        self.looks += 1;
        let from = match self.begin {
            Begin::At(pose) if s == w => pose,
            _ => self.exit[s],
        };
        let cost = self.router.cost_m(from, self.entry[t]);
        // Rounding must not make a cost smaller than the floor it was compared by.
        let cost = cost.max(self.value[at]);
        self.put(s, t, cost);
        self.known[at] = true;
        if s != w {
            let (a, b) = (t ^ 1, s ^ 1);
            self.put(a, b, cost);
            self.known[a * (w + 1) + b] = true;
        }
        cost
    }

    /// Whether the budget of joins ran out.
    pub fn spent(&self) -> bool {
        self.looks >= MOST_LOOKS
    }

    /// Real cost of a whole order of states, from outside to outside, metres.
    pub fn total(&mut self, order: &[usize]) -> f64 {
        let mut sum = 0.0;
        for (s, t) in joins(order, self.outside()) {
            sum += self.settle(s, t);
        }
        sum
    }

    /// The same on the costs known so far; never above the real one.
    pub fn known_total(&self, order: &[usize]) -> f64 {
        let mut sum = 0.0;
        for (s, t) in joins(order, self.outside()) {
            sum += self.get(s, t);
        }
        sum
    }

    fn put(&mut self, s: usize, t: usize, v: f64) {
        let w = self.outside();
        self.value[s * (w + 1) + t] = v;
    }
}

/// The joins of an order, from outside to outside.
fn joins(order: &[usize], outside: usize) -> impl Iterator<Item = (usize, usize)> {
    let ends = std::iter::once(outside);
    let states = order.iter().copied();
    ends.clone().chain(states.clone()).zip(states.chain(ends))
}

/// Whether an order that cost `guess_m` on the costs known is best for real at `real_m`: costs only
/// ever rise, so it is when its own did not.
pub fn holds(real_m: f64, guess_m: f64) -> bool {
    real_m <= guess_m + 1e-9 * (1.0 + guess_m.abs())
}

/// The best order on the costs known, found anew until its joins, looked for on the real ground,
/// cost no more than that.
pub fn best_for_real(
    costs: &mut Costs<'_>,
    on_known: impl Fn(&Costs<'_>) -> (Vec<usize>, f64),
) -> Vec<usize> {
    loop {
        let (order, guess_m) = on_known(costs);
        if holds(costs.total(&order), guess_m) {
            return order;
        }
    }
}

/// Set and place across the ground of a pass among parallel ones.
fn across(role: Role) -> Option<(u32, u32)> {
    match role {
        Role::Stripe { set, index } => Some((set, index)),
        Role::Contour { index } => Some((0, index)),
        _ => None,
    }
}

/// First and last pose of a leg with at least one track.
pub fn ends(leg: &Leg) -> (Pose, Pose) {
    let origin = || Pose::new(geo_types::Coord { x: 0.0, y: 0.0 }, 0.0);
    (
        leg.tracks.first().map_or_else(origin, |t| t.start()),
        leg.tracks.last().map_or_else(origin, |t| t.end()),
    )
}
