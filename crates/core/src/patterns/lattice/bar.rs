//! The full band of a lane cut by a plain bar, in closed form.
//!
//! At height y over a half-circle of radius R, a bar whose ends run on the radii I < O cuts the
//! two intervals [-a, -b] and [b, a] about the centre, with a = sqrt(O^2 - y^2) and
//! b = sqrt(I^2 - y^2), or b = 0 above I. Repeated every p, they cover the line exactly when
//! some whole number k has 2 b <= k p and (k + 1) p <= 2 a: the gap between the two arms, k
//! loops on, is filled by an arm. So the heights covered are the union over k of
//!
//! ```text
//! sqrt(I^2 - (k p / 2)^2) <= |y| <= sqrt(O^2 - ((k + 1) p / 2)^2)
//! ```
//!
//! Between rung k + 1 and rung k a gap stands open when (k + 1) p^2 > O^2 - I^2. With the
//! radii of a drift linear in p, both ends of a gap are square roots of quadratics in p, so
//! the widest each gap gets while p wanders within its tolerance follows from the quadratic's
//! ends and vertex. Nothing is sampled.

use crate::model::pattern::LoopForm;
use crate::patterns::lattice::shape::{Band, LoopShape, Tolerances};

/// A bar that turns left: its ends, metres to the left of the axle's midpoint.
#[derive(Debug, Clone, Copy)]
pub struct Bar {
    /// Left end (the inner one).
    pub left_m: f64,
    /// Right end (the outer one).
    pub right_m: f64,
}

/// The tallest contiguous full band, for every advance within the tolerance and with the bar
/// shortened by the steering tolerance at each end. `None` when there is none.
pub fn band(bar: Bar, shape: &LoopShape, tol: Tolerances) -> Option<Band> {
    let bar = Bar {
        left_m: bar.left_m - tol.steering_m,
        right_m: bar.right_m + tol.steering_m,
    };
    let least = shape.advance_m - tol.advance_m;
    let most = shape.advance_m + tol.advance_m;
    if bar.left_m <= bar.right_m || least <= 0.0 {
        return None;
    }
    // A radius is `mid + slope * p`.
    let mid = shape.diameter_m / 2.0;
    let half = |slope: f64| HalfCircle {
        inner_m: mid - bar.left_m,
        outer_m: mid - bar.right_m,
        slope,
    };
    let (forward, back) = match shape.form {
        LoopForm::Drift => (half(0.25), half(-0.25)),
        LoopForm::Roll => (half(0.0), half(0.0)),
    };
    if back.inner_m + back.slope * most < 0.0 {
        return None; // The inner end would roll backward.
    }
    let high = back.top_m(least, most)?;
    let mut gaps: Vec<(f64, f64)> = back.gaps(least, most);
    let low = match shape.form {
        LoopForm::Drift => {
            gaps.extend(forward.gaps(least, most).into_iter().map(|(a, b)| (-b, -a)));
            -forward.top_m(least, most)?
        }
        LoopForm::Roll => {
            // The straight piece cuts everything between the radii, whatever the advance.
            gaps.extend(
                forward
                    .gaps(least, most)
                    .into_iter()
                    .filter(|&(a, _)| a < forward.inner_m)
                    .map(|(a, b)| (-b.min(forward.inner_m), -a)),
            );
            -forward.outer_m
        }
    };
    gaps.push((high, high));
    gaps.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best = None;
    let mut low_m = low;
    for (a, b) in gaps {
        let high_m = a.min(high);
        if high_m > low_m {
            best = Band::taller(best, Band { low_m, high_m });
        }
        low_m = low_m.max(b);
    }
    best
}

/// One half of the loop: edge radii at no advance, and how they grow with the advance.
struct HalfCircle {
    inner_m: f64,
    outer_m: f64,
    slope: f64,
}

impl HalfCircle {
    /// Square of the top of rung k.
    fn top_squared(&self, k: f64, p: f64) -> f64 {
        (self.outer_m + self.slope * p).powi(2) - ((k + 1.0) * p / 2.0).powi(2)
    }

    /// Square of the foot of rung k.
    fn foot_squared(&self, k: f64, p: f64) -> f64 {
        (self.inner_m + self.slope * p).powi(2) - (k * p / 2.0).powi(2)
    }

    /// Top of the covered heights for every advance of the range. The square is a concave
    /// quadratic in p (its leading factor is slope^2 - 1/4 < 0), so least at an end.
    fn top_m(&self, least: f64, most: f64) -> Option<f64> {
        let t = self
            .top_squared(0.0, least)
            .min(self.top_squared(0.0, most));
        (t > 0.0).then(|| t.sqrt())
    }

    /// All heights that are open for some advance of the range, below the top rung.
    fn gaps(&self, least: f64, most: f64) -> Vec<(f64, f64)> {
        let width = self.outer_m - self.inner_m;
        let mut out = Vec::new();
        for k in 0.. {
            let k = f64::from(k);
            // The foot of rung k is above zero while inner + (slope - k/2) p > 0.
            let fall = self.slope - k / 2.0;
            if k >= 1.0 && self.inner_m + fall * least <= 0.0 {
                break;
            }
            // Open when (k + 1) p^2 - 2 slope width p - width (inner + outer) > 0: beyond the
            // only positive root.
            let (a, b, c) = (
                k + 1.0,
                -2.0 * self.slope * width,
                -width * (self.inner_m + self.outer_m),
            );
            let root = (-b + (b * b - 4.0 * a * c).sqrt()) / (2.0 * a);
            let from = least.max(root);
            let to = if fall < 0.0 {
                most.min(self.inner_m / -fall)
            } else {
                most
            };
            if from > to {
                continue;
            }
            // The top of the rung below is concave in p: lowest at an end.
            let low = self
                .top_squared(k + 1.0, from)
                .min(self.top_squared(k + 1.0, to));
            // The foot of this rung: ends, and for k >= 1 the vertex of the concave quadratic.
            let mut high = self.foot_squared(k, from).max(self.foot_squared(k, to));
            if k >= 1.0 {
                let vertex = 4.0 * self.slope * self.inner_m / (k * k - 4.0 * self.slope.powi(2));
                high = high.max(self.foot_squared(k, vertex.clamp(from, to)));
            }
            out.push((low.max(0.0).sqrt(), high.max(0.0).sqrt()));
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const NONE: Tolerances = Tolerances {
        advance_m: 0.0,
        steering_m: 0.0,
    };

    fn bar(width_m: f64) -> Bar {
        Bar {
            left_m: width_m / 2.0,
            right_m: -width_m / 2.0,
        }
    }

    #[test]
    fn the_band_ends_where_neighbours_cross_and_at_gaps() {
        let of = |advance_m: f64| {
            let shape = LoopShape {
                form: LoopForm::Roll,
                diameter_m: 12.0,
                advance_m,
            };
            band(bar(2.5), &shape, NONE).unwrap()
        };
        // h = sqrt((R + W/2)^2 - (p/2)^2), derived; R 6, W 2.5, p 2.5 gives 7.1414.
        assert_relative_eq!(of(2.5).high_m, 7.1414, epsilon = 5e-5);
        assert_relative_eq!(of(2.5).low_m, -7.25, epsilon = 1e-12);
        assert!(of(3.0).height_m() < 12.0);
    }

    /// Straight from the definition, height by height and advance by advance.
    fn covered(w: f64, shape: &LoopShape, y: f64) -> bool {
        let p = shape.advance_m;
        let r = if y < 0.0 {
            shape.wide_radius_m()
        } else {
            shape.tight_radius_m()
        };
        if shape.form == LoopForm::Roll && (-r - w / 2.0..=-r + w / 2.0).contains(&y) {
            return true;
        }
        let (i, o) = (r - w / 2.0, r + w / 2.0);
        if y.abs() >= o {
            return false;
        }
        let a = (o * o - y * y).sqrt();
        let b = (i * i - y * y).max(0.0).sqrt();
        let arms = |m: i32| {
            let s = f64::from(m) * p;
            [(s - a, s - b), (s + b, s + a)]
        };
        let mut cuts: Vec<(f64, f64)> = (-40..=40).flat_map(arms).collect();
        cuts.sort_by(|x, y| x.0.total_cmp(&y.0));
        let reached = |x: f64, &(l, r): &(f64, f64)| if l > x + 1e-9 { x } else { x.max(r) };
        cuts.iter().fold(0.0, reached) >= p - 1e-9
    }

    proptest::proptest! {
        #[test]
        fn every_height_of_the_band_is_cut(
            w in 1.5f64..4.0, d in 5.0f64..16.0, p in 0.5f64..5.0, drift: bool,
            u in 0.0f64..1.0,
        ) {
            const HEIGHTS: i32 = 200;
            let form = if drift { LoopForm::Drift } else { LoopForm::Roll };
            let shape = LoopShape { form, diameter_m: d, advance_m: p };
            let tol = Tolerances { advance_m: 0.2, steering_m: 0.0 };
            if shape.with_advance(p + 0.2).tight_radius_m() > w / 2.0
                && let Some(b) = band(bar(w), &shape, tol)
            {
                let q = shape.with_advance(p - 0.2 + 0.4 * u);
                for i in 0..=HEIGHTS {
                    let t = f64::from(i) / f64::from(HEIGHTS);
                    let y = b.low_m + (b.high_m - b.low_m) * (1e-6 + (1.0 - 2e-6) * t);
                    proptest::prop_assert!(covered(w, &q, y), "{b:?} open at {y} for {q:?}");
                }
            }
        }
    }
}
