//! Eigenvalues and axes of a small symmetric matrix, by Jacobi's rotations.
//!
//! Each rotation brings one element off the diagonal to 0; sweep after sweep what is left falls
//! quadratically (Golub & Van Loan, *Matrix Computations*, section 8.5). For some dozens of rows.

/// Sweeps at most: a handful is enough for any matrix in double precision.
const SWEEPS: usize = 40;

/// For each eigenvalue its axis, of length 1. `matrix` is row by row, n rows.
pub fn eigen(matrix: &[f64], n: usize) -> Vec<(f64, Vec<f64>)> {
    let mut a = matrix.to_vec();
    let mut axes = vec![0.0; n * n];
    for i in 0..n {
        axes[i * n + i] = 1.0;
    }
    let scale: f64 = a.iter().map(|x| x * x).sum();
    for _ in 0..SWEEPS {
        let off: f64 = (0..n)
            .flat_map(|i| (0..i).map(move |j| (i, j)))
            .map(|(i, j)| a[i * n + j] * a[i * n + j])
            .sum();
        if off <= 1e-30 * scale {
            break;
        }
        for p in 0..n {
            for q in p + 1..n {
                rotate(&mut a, &mut axes, n, p, q);
            }
        }
    }
    (0..n)
        .map(|i| (a[i * n + i], (0..n).map(|k| axes[k * n + i]).collect()))
        .collect()
}

fn rotate(a: &mut [f64], axes: &mut [f64], n: usize, p: usize, q: usize) {
    let apq = a[p * n + q];
    if apq == 0.0 {
        return;
    }
    let theta = (a[q * n + q] - a[p * n + p]) / (2.0 * apq);
    let t = theta.signum() / (theta.abs() + (theta * theta + 1.0).sqrt());
    let c = 1.0 / (t * t + 1.0).sqrt();
    let s = t * c;
    let turn = |x: &mut [f64], i: usize, j: usize| {
        let (u, v) = (x[i], x[j]);
        x[i] = c * u - s * v;
        x[j] = s * u + c * v;
    };
    for k in 0..n {
        turn(a, k * n + p, k * n + q);
    }
    for k in 0..n {
        turn(a, p * n + k, q * n + k);
    }
    for k in 0..n {
        turn(axes, k * n + p, k * n + q);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_and_values_make_the_matrix_again() {
        let m = [4.0, 1.0, -2.0, 1.0, 2.0, 0.5, -2.0, 0.5, -3.0];
        let found = eigen(&m, 3);
        for i in 0..3 {
            for j in 0..3 {
                let sum: f64 = found.iter().map(|(l, x)| l * x[i] * x[j]).sum();
                assert!((sum - m[i * 3 + j]).abs() < 1e-12, "{found:?}");
            }
        }
        let trace: f64 = found.iter().map(|f| f.0).sum();
        assert!((trace - 3.0).abs() < 1e-12);
    }
}
