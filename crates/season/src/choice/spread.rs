//! What is minimised: mean grain and the grain of the worst cells, as a convex function.
//!
//! With S the doubled-angle sum of a cell (a linear function of how often each mow is made) and
//! D the cuts of a fixed mix, u = |S| / D stands for R2 and is convex; R2 itself, with the true
//! number of cuts below the line, is not. The function is
//!
//! F = sum of a u + [`TAIL_WEIGHT`] CVaR(u), a the cells' shares of the ground,
//!
//! where CVaR is the mean over the worst 5% of the ground (Rockafellar & Uryasev 2000: the least
//! over t of t + mean(max(u - t, 0)) / 0.05).
//!
//! *Smoothing.* |S| becomes sqrt(|S|^2 + eps^2) - eps and max(z, 0) the same kind of curve; both
//! lie below what they stand for, by no more than eps.
//!
//! *Certificate.* For any vectors p of length at most 1 and any weights q with
//! 0 <= q <= a / 0.05 and sum q <= 1, F is at least the sum of (a + k q) p.S: a linear function,
//! whose least value over all choices is found group by group. p and q are taken from the
//! smoothed slopes, so that value is F less the duality gap of the conditional gradient method
//! (Jaggi 2013), and smoothing cannot make it wrong.

/// Weight of the worst cells.
pub const TAIL_WEIGHT: f64 = 0.1;
/// The worst cells: this share of the ground.
pub const TAIL: f64 = 0.05;

/// Parts of a histogram that the level of the tail is looked for in.
const BINS: usize = 128;
/// Steps to the level of the tail.
const LEVEL_STEPS: usize = 60;
/// The weights in the tail sum to 1 within this: what is left is beneath rounding.
const LEVEL_OFF: f64 = 1e-10;

/// Sums of a mow over D.
#[derive(Debug, Clone, PartialEq)]
struct Scaled {
    x: Vec<f64>,
    y: Vec<f64>,
}

/// The function for one fairway; a cost for each time a mow is made comes on top.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    share: Vec<f64>,
    mows: Vec<Scaled>,
    base: Scaled,
    tail_weight: f64,
}

/// Which second derivatives are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bend<'a> {
    /// False for the true ones: Newton's step, quick where the function is smooth. True for firmer
    /// ones, of the parabola that touches each cell's curve from above (iteratively reweighted
    /// least squares): steps are shorter, and gain where a cell's sums all but cancel.
    pub firm: bool,
    /// The mows that they are wanted for.
    pub mows: &'a [usize],
}

/// Value and slopes at a point.
#[derive(Debug, Clone, PartialEq)]
pub struct Slopes {
    /// Smoothed value.
    pub value: f64,
    /// For each mow, what one more adds.
    pub slope: Vec<f64>,
    /// What the linear function of the certificate gives the base.
    pub base: f64,
    /// Second derivatives, row by row over all mows; 0 for those not asked for.
    pub bend: Vec<f64>,
}

impl Spread {
    /// The function with D the cuts in `cuts`; cells with none are left out.
    pub fn new(mix: &super::mix::Mix, cuts: &[f64], tail_weight: f64) -> Self {
        let kept: Vec<usize> = (0..mix.cells())
            .filter(|&c| cuts[c] > super::mix::MIN_M2 && mix.ground_m2[c] > 0.0)
            .collect();
        let total: f64 = kept.iter().map(|&c| mix.ground_m2[c]).sum();
        let scaled = |col: &super::mix::Column| Scaled {
            x: kept.iter().map(|&c| col.x[c] / cuts[c]).collect(),
            y: kept.iter().map(|&c| col.y[c] / cuts[c]).collect(),
        };
        Self {
            share: kept
                .iter()
                .map(|&c| mix.ground_m2[c] / total.max(f64::MIN_POSITIVE))
                .collect(),
            mows: mix.mows.iter().map(scaled).collect(),
            base: scaled(&mix.base),
            tail_weight,
        }
    }

    /// S over D at so many times each mow.
    pub fn sums(&self, times: &[f64]) -> (Vec<f64>, Vec<f64>) {
        let (mut x, mut y) = (self.base.x.clone(), self.base.y.clone());
        for (m, &n) in self.mows.iter().zip(times) {
            if n != 0.0 {
                add(&mut x, &m.x, n);
                add(&mut y, &m.y, n);
            }
        }
        (x, y)
    }

    /// Adds a mow `times` times to sums.
    pub fn add(&self, sums: &mut (Vec<f64>, Vec<f64>), mow: usize, times: f64) {
        add(&mut sums.0, &self.mows[mow].x, times);
        add(&mut sums.1, &self.mows[mow].y, times);
    }

    /// F, exactly.
    pub fn value(&self, times: &[f64]) -> f64 {
        let (x, y) = self.sums(times);
        self.value_of(&x, &y)
    }

    /// F of sums.
    pub fn value_of(&self, x: &[f64], y: &[f64]) -> f64 {
        let mut u: Vec<(f64, f64)> = Vec::with_capacity(x.len());
        let mut mean = 0.0;
        for ((x, y), a) in x.iter().zip(y).zip(&self.share) {
            let r = (x * x + y * y).sqrt();
            mean += a * r;
            u.push((r, *a));
        }
        if self.tail_weight == 0.0 {
            return mean;
        }
        mean + self.tail_weight * tail_mean(&mut u)
    }

    /// Smoothed value and slopes, and second derivatives if wanted.
    pub fn slopes(&self, times: &[f64], eps: f64, bend: Option<Bend<'_>>) -> Slopes {
        let (x, y) = self.sums(times);
        let n = x.len();
        let rho = lengths(&x, &y, eps);
        let mut value = self.mean(&rho, eps);
        // Weight of each cell, and the curve of the tail's.
        let mut weight = self.share.clone();
        let mut curve = Vec::new();
        if self.tail_weight > 0.0 && n > 0 {
            let (t, q) = self.tail(&rho, eps);
            value += self.tail_weight * self.beyond(&rho, eps, t);
            for (w, q) in weight.iter_mut().zip(&q) {
                *w += self.tail_weight * q;
            }
            if bend.is_some() {
                curve = rho
                    .iter()
                    .zip(&self.share)
                    .map(|(r, a)| self.tail_weight * a / TAIL * soft(r - eps - t, eps).2)
                    .collect();
            }
        }
        // Weighted directions.
        let (mut px, mut py) = (vec![0.0; n], vec![0.0; n]);
        for c in 0..n {
            px[c] = weight[c] * x[c] / rho[c];
            py[c] = weight[c] * y[c] / rho[c];
        }
        let slope = self
            .mows
            .iter()
            .map(|m| dot(&px, &m.x) + dot(&py, &m.y))
            .collect();
        let base = dot(&px, &self.base.x) + dot(&py, &self.base.y);
        let bend = bend.map_or_else(Vec::new, |b| {
            self.bend(&x, &y, &rho, &weight, &curve, eps, b)
        });
        Slopes {
            value,
            slope,
            base,
            bend,
        }
    }

    /// Smoothed value alone.
    pub fn smoothed(&self, times: &[f64], eps: f64) -> f64 {
        let (x, y) = self.sums(times);
        let rho = lengths(&x, &y, eps);
        let mean = self.mean(&rho, eps);
        if self.tail_weight == 0.0 || rho.is_empty() {
            return mean;
        }
        let t = self.level(&rho, eps);
        mean + self.tail_weight * self.beyond(&rho, eps, t)
    }

    fn mean(&self, rho: &[f64], eps: f64) -> f64 {
        rho.iter()
            .zip(&self.share)
            .map(|(r, a)| a * (r - eps))
            .sum()
    }

    /// t + mean(max(u - t, 0)) / 0.05.
    fn beyond(&self, rho: &[f64], eps: f64, t: f64) -> f64 {
        let more: f64 = rho
            .iter()
            .zip(&self.share)
            .map(|(r, a)| a * soft(r - eps - t, eps).0)
            .sum();
        t + more / TAIL
    }

    /// The level of the tail: where the weights of the cells in it sum to 1. Newton's steps from
    /// where a histogram has it, kept between bounds.
    fn level(&self, rho: &[f64], eps: f64) -> f64 {
        let most = rho.iter().fold(0.0_f64, |m, r| m.max(r - eps));
        let (mut low, mut high) = (-2.0 * eps, most + 2.0 * eps);
        let mut t = self.quantile(rho, eps, most);
        for n in 0..LEVEL_STEPS {
            let (mut mass, mut fall) = (0.0, 0.0);
            for (r, a) in rho.iter().zip(&self.share) {
                let (_, first, second) = soft(r - eps - t, eps);
                mass += a * first;
                fall += a * second;
            }
            let off = mass / TAIL - 1.0;
            if off > 0.0 {
                low = t;
            } else {
                high = t;
            }
            if off.abs() <= LEVEL_OFF {
                break;
            }
            let newton = t + off * TAIL / fall.max(f64::MIN_POSITIVE);
            // Newton's steps end soon or go to and fro; halving always ends.
            t = if n < LEVEL_STEPS / 2 && newton > low && newton < high {
                newton
            } else {
                0.5 * (low + high)
            };
        }
        t
    }

    /// About where the worst cells begin.
    fn quantile(&self, rho: &[f64], eps: f64, most: f64) -> f64 {
        let mut mass = [0.0; BINS];
        let scale = BINS as f64 / most.max(f64::MIN_POSITIVE);
        for (r, a) in rho.iter().zip(&self.share) {
            mass[(((r - eps) * scale) as usize).min(BINS - 1)] += a;
        }
        let mut left = TAIL;
        for (k, m) in mass.iter().enumerate().rev() {
            if *m >= left {
                return (k as f64 + 1.0 - left / m) / scale;
            }
            left -= m;
        }
        0.0
    }

    /// The level t of the tail and the weights q of the cells in it, which sum to 1 or less.
    fn tail(&self, rho: &[f64], eps: f64) -> (f64, Vec<f64>) {
        let t = self.level(rho, eps);
        let q: Vec<f64> = rho
            .iter()
            .zip(&self.share)
            .map(|(r, a)| a / TAIL * soft(r - eps - t, eps).1)
            .collect();
        let sum: f64 = q.iter().sum();
        let by = 1.0 / sum.max(1.0);
        (t, q.iter().map(|q| q * by).collect())
    }

    #[allow(clippy::too_many_arguments)] // the parts of one sum
    fn bend(
        &self,
        x: &[f64],
        y: &[f64],
        rho: &[f64],
        weight: &[f64],
        curve: &[f64],
        eps: f64,
        of: Bend<'_>,
    ) -> Vec<f64> {
        let (n, k) = (x.len(), of.mows.len());
        // Along S and square to it, each scaled by the root of its factor.
        let mut along: Vec<Vec<f64>> = Vec::with_capacity(k);
        let mut square: Vec<Vec<f64>> = Vec::with_capacity(k);
        let mut pull = Vec::with_capacity(k);
        let mut unit = Vec::with_capacity(n);
        let mut total = 0.0;
        for c in 0..n {
            let s2 = x[c] * x[c] + y[c] * y[c];
            let s = s2.sqrt();
            let (ux, uy) = if s > 0.0 {
                (x[c] / s, y[c] / s)
            } else {
                (1.0, 0.0)
            };
            let r = rho[c];
            let tail = curve.get(c).copied().unwrap_or(0.0);
            total += tail;
            let own = if of.firm {
                weight[c] / r
            } else {
                weight[c] * eps * eps / (r * r * r)
            };
            let a = (own + tail * s2 / (r * r)).sqrt();
            let b = (weight[c] / r).sqrt();
            unit.push((
                ux * a,
                uy * a,
                -uy * b,
                ux * b,
                ux * tail * s / r,
                uy * tail * s / r,
            ));
        }
        for &m in of.mows {
            let m = &self.mows[m];
            let mut al = vec![0.0; n];
            let mut sq = vec![0.0; n];
            let mut sum = 0.0;
            for c in 0..n {
                let u = &unit[c];
                al[c] = u.0 * m.x[c] + u.1 * m.y[c];
                sq[c] = u.2 * m.x[c] + u.3 * m.y[c];
                sum += u.4 * m.x[c] + u.5 * m.y[c];
            }
            pull.push(sum);
            along.push(al);
            square.push(sq);
        }
        let all = self.mows.len();
        let mut out = vec![0.0; all * all];
        for i in 0..k {
            for j in 0..=i {
                let mut h = dot(&along[i], &along[j]) + dot(&square[i], &square[j]);
                if total > 0.0 {
                    // The level of the tail gives way.
                    h -= pull[i] * pull[j] / total;
                }
                out[of.mows[i] * all + of.mows[j]] = h;
                out[of.mows[j] * all + of.mows[i]] = h;
            }
        }
        out
    }
}

/// |S| / D, smoothed, eps too much.
fn lengths(x: &[f64], y: &[f64], eps: f64) -> Vec<f64> {
    x.iter()
        .zip(y)
        .map(|(x, y)| (x * x + y * y + eps * eps).sqrt())
        .collect()
}

/// max(z, 0) from below: value, first and second derivative.
fn soft(z: f64, eps: f64) -> (f64, f64, f64) {
    let r = (z * z + eps * eps).sqrt();
    (
        0.5 * (z + r - eps),
        0.5 * (1.0 + z / r),
        0.5 * eps * eps / (r * r * r),
    )
}

/// Mean over the worst [`TAIL`] of the ground; `u` is (value, share).
fn tail_mean(u: &mut [(f64, f64)]) -> f64 {
    u.sort_unstable_by(|a, b| b.0.total_cmp(&a.0).then(b.1.total_cmp(&a.1)));
    let (mut left, mut sum) = (TAIL, 0.0);
    for (r, a) in u.iter() {
        let part = a.min(left);
        sum += part * r;
        left -= part;
        if left <= 0.0 {
            break;
        }
    }
    sum / TAIL
}

fn add(to: &mut [f64], from: &[f64], by: f64) {
    for (t, f) in to.iter_mut().zip(from) {
        *t += by * f;
    }
}

/// In lanes, so that several products are taken at a time.
pub fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut lanes = [0.0_f64; 8];
    let (ac, ar) = a.as_chunks::<8>();
    let (bc, br) = b.as_chunks::<8>();
    for (p, q) in ac.iter().zip(bc) {
        for k in 0..8 {
            lanes[k] += p[k] * q[k];
        }
    }
    lanes.iter().sum::<f64>() + ar.iter().zip(br).map(|(x, y)| x * y).sum::<f64>()
}
