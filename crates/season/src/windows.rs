//! Grain over any four weeks: the season seen through a window that moves on by a week.
//!
//! A season that is balanced in October may have been one-sided all through July. Each week has
//! the lay of the 28 days up to its end, every visit in them counting the same; R2 is taken per
//! cell, its mean over the ground per week, and the mean of those over all weeks is reported.
//! Weeks count as soon as 28 days of the season have gone by; a shorter season has one window.

use jiff::civil::Date;

/// Days in a window.
pub const WINDOW_DAYS: i32 = 28;

/// For each window the visits in it: a range of indices into dates in order.
pub fn windows(dates: &[Date], from: Date, to: Date) -> Vec<std::ops::Range<usize>> {
    let mut out = Vec::new();
    let days = (to - from).get_days() + 1;
    let mut end = WINDOW_DAYS.min(days.max(1));
    loop {
        let day = |d: &Date| (*d - from).get_days();
        let first = dates.partition_point(|d| day(d) < end - WINDOW_DAYS);
        let past = dates.partition_point(|d| day(d) < end);
        if past > first {
            out.push(first..past);
        }
        end += 7;
        if end > days {
            break;
        }
    }
    out
}

/// Sums of some visits in some cells, by window; visits can be changed one at a time.
#[derive(Debug, Clone)]
pub struct Panes<'a> {
    /// Area share of each cell.
    share: Vec<f32>,
    /// Weight and doubled-angle sums of each mow, cell by cell.
    mows: &'a [Vec<[f32; 3]>],
    windows: Vec<std::ops::Range<usize>>,
    sums: Vec<Vec<[f32; 3]>>,
    means: Vec<f64>,
}

impl<'a> Panes<'a> {
    /// The windows of visits that make the mows `made`.
    pub fn new(
        ground_m2: &[f64],
        mows: &'a [Vec<[f32; 3]>],
        windows: Vec<std::ops::Range<usize>>,
        made: &[usize],
    ) -> Self {
        let total: f64 = ground_m2.iter().sum();
        let mut out = Self {
            share: ground_m2
                .iter()
                .map(|a| (a / total.max(f64::MIN_POSITIVE)) as f32)
                .collect(),
            mows,
            sums: Vec::new(),
            means: Vec::new(),
            windows,
        };
        for w in 0..out.windows.len() {
            let mut sums = vec![[0.0; 3]; ground_m2.len()];
            for &m in &made[out.windows[w].clone()] {
                plus(&mut sums, &mows[m], 1.0);
            }
            out.means.push(out.mean(&sums));
            out.sums.push(sums);
        }
        out
    }

    /// Mean over all windows.
    pub fn value(&self) -> f64 {
        self.means.iter().sum::<f64>() / self.means.len().max(1) as f64
    }

    /// By how much the mean over all windows changes when visits make other mows:
    /// (visit, old mow, new mow).
    pub fn change(&self, moves: &[(usize, usize, usize)]) -> f64 {
        let mut out = 0.0;
        let mut sums: Vec<[f32; 3]> = Vec::new();
        for (w, window) in self.windows.iter().enumerate() {
            if let Some(parts) = net(window, moves) {
                sums.clone_from(&self.sums[w]);
                for (m, by) in parts {
                    plus(&mut sums, &self.mows[m], by);
                }
                out += self.mean(&sums) - self.means[w];
            }
        }
        out / self.means.len().max(1) as f64
    }

    /// Makes the change.
    pub fn apply(&mut self, moves: &[(usize, usize, usize)]) {
        for w in 0..self.windows.len() {
            if let Some(parts) = net(&self.windows[w], moves) {
                for (m, by) in parts {
                    plus(&mut self.sums[w], &self.mows[m], by);
                }
                self.means[w] = self.mean(&self.sums[w]);
            }
        }
    }

    fn mean(&self, sums: &[[f32; 3]]) -> f64 {
        let (mut num, mut den) = (0.0_f32, 0.0_f32);
        for (s, a) in sums.iter().zip(&self.share) {
            let cut = s[0] > 1e-3;
            let r = (s[1] * s[1] + s[2] * s[2]).sqrt() / s[0].max(1e-3);
            num += if cut { a * r.min(1.0) } else { 0.0 };
            den += if cut { *a } else { 0.0 };
        }
        if den > 0.0 { f64::from(num / den) } else { 0.0 }
    }
}

/// Directions closer than this are one, degrees.
const APART_DEG: f64 = 30.0;
/// A direction counts where at least this share of a cell is cut along it.
const SEEN: f32 = 0.25;

/// Well separated directions that a cell is cut from within a window: the mean over ground and
/// weeks, and what 95% of the ground has at least, on the average of the weeks.
///
/// R2 does not show how many: two axes at right angles are as even as eight. A mow counts along
/// its mean axis in the cell where it has one; where it has none (loops that cross from all
/// sides) it counts as all of them.
pub fn directions(
    ground_m2: &[f64],
    mows: &[Vec<[f32; 3]>],
    windows: &[std::ops::Range<usize>],
    made: &[usize],
) -> (f64, f64) {
    let total: f64 = ground_m2.iter().sum();
    if windows.is_empty() || total <= 0.0 {
        return (0.0, 0.0);
    }
    // For each mow and cell a set of directions, one bit for each sector.
    let sets: Vec<Vec<u8>> = mows
        .iter()
        .map(|m| {
            m.iter()
                .zip(ground_m2)
                .map(|(s, a)| sectors(s, *a as f32))
                .collect()
        })
        .collect();
    let mut mean = 0.0;
    let mut low = 0.0;
    for w in windows {
        let mut counted: Vec<(u32, f64)> = Vec::with_capacity(ground_m2.len());
        for (c, a) in ground_m2.iter().enumerate() {
            let all = made[w.clone()].iter().fold(0_u8, |b, &m| b | sets[m][c]);
            counted.push((all.count_ones(), *a));
        }
        mean += counted.iter().map(|(n, a)| f64::from(*n) * a).sum::<f64>() / total;
        counted.sort_unstable_by(|p, q| p.0.cmp(&q.0).then(p.1.total_cmp(&q.1)));
        let mut run = 0.0;
        for (n, a) in &counted {
            run += a;
            if run >= 0.05 * total {
                low += f64::from(*n);
                break;
            }
        }
    }
    let n = windows.len() as f64;
    (mean / n, low / n)
}

/// Sectors of [`APART_DEG`] that a mow cuts a cell along, a bit each.
fn sectors(sum: &[f32; 3], ground_m2: f32) -> u8 {
    let [w, x, y] = *sum;
    if w < SEEN * ground_m2 || w <= 0.0 {
        return 0;
    }
    let count = (180.0 / APART_DEG) as u32;
    // Half the cuts or more along one axis: it has a direction there; else it has all.
    if (x * x + y * y).sqrt() < 0.5 * w {
        return (1 << count) - 1;
    }
    let axis_deg = (0.5 * f64::from(y).atan2(f64::from(x)))
        .to_degrees()
        .rem_euclid(180.0);
    1 << ((axis_deg / APART_DEG) as u32).min(count - 1)
}

/// What moves change in a window: mows and how often, or nothing.
fn net(
    window: &std::ops::Range<usize>,
    moves: &[(usize, usize, usize)],
) -> Option<Vec<(usize, f32)>> {
    let mut parts: Vec<(usize, f32)> = Vec::new();
    let mut add = |m: usize, by: f32| match parts.iter_mut().find(|p| p.0 == m) {
        Some(p) => p.1 += by,
        None => parts.push((m, by)),
    };
    for &(v, old, new) in moves {
        if window.contains(&v) && old != new {
            add(old, -1.0);
            add(new, 1.0);
        }
    }
    parts.retain(|p| p.1 != 0.0);
    (!parts.is_empty()).then_some(parts)
}

fn plus(sums: &mut [[f32; 3]], mow: &[[f32; 3]], by: f32) {
    for (s, m) in sums.iter_mut().zip(mow) {
        s[0] += by * m[0];
        s[1] += by * m[1];
        s[2] += by * m[2];
    }
}

#[cfg(test)]
#[allow(clippy::single_range_in_vec_init)] // one window
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn windows_hold_four_weeks_and_move_on_by_one() {
        let days = [1, 8, 15, 22, 29].map(|d| date(2027, 3, d));
        let w = windows(&days, date(2027, 3, 1), date(2027, 4, 11));
        // 1 to 28 March, 8 March to 4 April, 15 March to 11 April.
        assert_eq!(w, [0..4, 1..5, 2..5]);
    }

    #[test]
    fn a_short_season_is_one_window() {
        let days = [date(2027, 3, 1), date(2027, 3, 4)];
        assert_eq!(windows(&days, date(2027, 3, 1), date(2027, 3, 7)), [0..2]);
    }

    #[test]
    fn changes_add_up_to_what_a_fresh_start_gives() {
        let mows = vec![vec![[1.0, 1.0, 0.0]; 2], vec![[1.0, -1.0, 0.0]; 2]];
        let windows = vec![0..4, 1..5];
        let made = [0, 0, 1, 0, 1];
        let mut p = Panes::new(&[1.0, 3.0], &mows, windows.clone(), &made);
        let moves = [(1, 0, 1), (4, 1, 0)];
        let before = p.value();
        let change = p.change(&moves);
        p.apply(&moves);
        let fresh = Panes::new(&[1.0, 3.0], &mows, windows, &[0, 1, 1, 0, 0]);
        assert!((p.value() - fresh.value()).abs() < 1e-6);
        assert!((before + change - fresh.value()).abs() < 1e-6);
    }
}
