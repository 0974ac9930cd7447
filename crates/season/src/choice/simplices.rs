//! A small quadratic over a product of simplices, by moving weight from one corner to another.
//!
//! Minimises g.d + d.Q.d / 2 over all d for which z + d stays in the simplices. In each step
//! that pair of corners of a simplex is taken whose exchange promises most, and the exact best
//! amount is moved. For the sizes here (some dozens of corners) that is quicker than a general
//! solver, and it needs no tuning.

/// Pairs moved at most, for each corner there is.
const MOVES_A_CORNER: usize = 60;

/// The step d. `groups` gives the range of corners of each simplex; `q` is row by row.
pub fn step(
    z: &[f64],
    g: &[f64],
    q: &[f64],
    groups: &[std::ops::Range<usize>],
    tolerance: f64,
) -> Vec<f64> {
    let n = z.len();
    let mut d = vec![0.0; n];
    let mut grad = g.to_vec();
    for _ in 0..MOVES_A_CORNER * n.max(1) {
        let mut best: Option<(f64, usize, usize, f64)> = None;
        for group in groups {
            let low = group
                .clone()
                .min_by(|&a, &b| grad[a].total_cmp(&grad[b]).then(a.cmp(&b)));
            let high = group
                .clone()
                .filter(|&i| z[i] + d[i] > 0.0)
                .max_by(|&a, &b| grad[a].total_cmp(&grad[b]).then(b.cmp(&a)));
            let (Some(i), Some(j)) = (low, high) else {
                continue;
            };
            let slope = grad[j] - grad[i];
            if slope <= 0.0 {
                continue;
            }
            let bend = q[i * n + i] + q[j * n + j] - 2.0 * q[i * n + j];
            let most = z[j] + d[j];
            let by = if bend > 0.0 {
                (slope / bend).min(most)
            } else {
                most
            };
            let gain = by * slope - 0.5 * by * by * bend.max(0.0);
            if best.is_none_or(|b| gain > b.0) {
                best = Some((gain, i, j, by));
            }
        }
        let Some((gain, i, j, by)) = best else { break };
        if gain <= tolerance {
            break;
        }
        d[i] += by;
        d[j] -= by;
        if z[j] + d[j] < 1e-15 {
            d[j] = -z[j];
        }
        for (k, gk) in grad.iter_mut().enumerate() {
            *gk += by * (q[k * n + i] - q[k * n + j]);
        }
    }
    d
}

#[cfg(test)]
#[allow(clippy::single_range_in_vec_init)] // one simplex
mod tests {
    use super::*;

    #[test]
    fn a_quadratic_on_one_simplex_is_solved() {
        // (z0 - 0.2)^2 + (z1 - 0.3)^2 + (z2 - 0.9)^2 on the simplex: each less 0.4 / 3, the
        // projection (0.0667, 0.1667, 0.7667).
        let z = [1.0, 0.0, 0.0];
        let q = [2.0, 0.0, 0.0, 0.0, 2.0, 0.0, 0.0, 0.0, 2.0];
        let g = [2.0 * (1.0 - 0.2), 2.0 * (0.0 - 0.3), 2.0 * (0.0 - 0.9)];
        let d = step(&z, &g, &q, &[0..3], 1e-18);
        for (got, want) in z.iter().zip(&d).map(|(a, b)| a + b).zip([
            0.2 - 0.4 / 3.0,
            0.3 - 0.4 / 3.0,
            0.9 - 0.4 / 3.0,
        ]) {
            assert!((got - want).abs() < 1e-7, "{d:?}");
        }
    }

    #[test]
    fn a_straight_slope_ends_in_a_corner() {
        let d = step(&[0.5, 0.5], &[1.0, 0.0], &[0.0; 4], &[0..2], 0.0);
        assert_eq!(d, [-0.5, 0.5]);
    }
}
