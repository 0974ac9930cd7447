//! What may be chosen: groups of visits that are alike, and the ways to make each.

/// Sums of one mow in each cell: weight, and the doubled-angle vector.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Column {
    /// Cuts, square metres of each cell.
    pub w: Vec<f64>,
    /// East part of the doubled-angle sum.
    pub x: Vec<f64>,
    /// North part.
    pub y: Vec<f64>,
}

impl Column {
    /// Zeros for so many cells.
    pub fn zeros(cells: usize) -> Self {
        Self {
            w: vec![0.0; cells],
            x: vec![0.0; cells],
            y: vec![0.0; cells],
        }
    }

    /// Adds `times` another.
    pub fn add(&mut self, other: &Column, times: f64) {
        for (to, from) in [
            (&mut self.w, &other.w),
            (&mut self.x, &other.x),
            (&mut self.y, &other.y),
        ] {
            for (t, f) in to.iter_mut().zip(from) {
                *t += times * f;
            }
        }
    }
}

/// One way to make the visits of a group: one mow, or two that belong together (stripes and the
/// cross cut that crosses them).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Atom {
    /// Indices of the mows.
    pub mows: Vec<usize>,
}

/// Visits that are alike: any of them may be made in any of the ways.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// How many.
    pub visits: f64,
    /// The ways.
    pub atoms: Vec<Atom>,
}

/// One fairway's choice.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mix {
    /// Ground of each cell, square metres.
    pub ground_m2: Vec<f64>,
    /// The mows, each planned once.
    pub mows: Vec<Column>,
    /// Minutes of each mow.
    pub minutes: Vec<f64>,
    /// Groups of visits.
    pub groups: Vec<Group>,
    /// What is mown whatever is chosen.
    pub base: Column,
}

/// How many visits of each group are made in each of its ways.
pub type Counts = Vec<Vec<f64>>;

impl Mix {
    /// Cells.
    pub fn cells(&self) -> usize {
        self.ground_m2.len()
    }

    /// How often each mow is made.
    pub fn times(&self, counts: &Counts) -> Vec<f64> {
        let mut out = vec![0.0; self.mows.len()];
        for (g, of) in self.groups.iter().zip(counts) {
            for (atom, n) in g.atoms.iter().zip(of) {
                for &m in &atom.mows {
                    out[m] += n;
                }
            }
        }
        out
    }

    /// Minutes of all of them.
    pub fn minutes_of(&self, counts: &Counts) -> f64 {
        self.times(counts)
            .iter()
            .zip(&self.minutes)
            .map(|(n, m)| n * m)
            .sum()
    }

    /// Sums over the season.
    pub fn sums(&self, counts: &Counts) -> Column {
        let mut out = self.base.clone();
        for (mow, n) in self.mows.iter().zip(self.times(counts)) {
            if n != 0.0 {
                out.add(mow, n);
            }
        }
        out
    }

    /// Each group spread evenly over its ways: the fixed mix of reference.
    pub fn even(&self) -> Counts {
        self.groups
            .iter()
            .map(|g| vec![g.visits / g.atoms.len().max(1) as f64; g.atoms.len()])
            .collect()
    }

    /// The most that each cell can be cut, each group by itself.
    pub fn heaviest(&self) -> Vec<f64> {
        self.extreme(f64::max)
    }

    /// The least that each cell can be cut, each group by itself.
    pub fn lightest(&self) -> Vec<f64> {
        self.extreme(f64::min)
    }

    fn extreme(&self, pick: fn(f64, f64) -> f64) -> Vec<f64> {
        let mut out = self.base.w.clone();
        for (c, out) in out.iter_mut().enumerate() {
            for group in &self.groups {
                let cuts = |a: &Atom| -> f64 { a.mows.iter().map(|&m| self.mows[m].w[c]).sum() };
                let one = group.atoms.iter().map(cuts).reduce(pick);
                *out += group.visits * one.unwrap_or(0.0);
            }
        }
        out
    }

    /// Area-weighted mean of R2 over the cells that are cut.
    pub fn r2_mean(&self, counts: &Counts) -> f64 {
        r2_mean(&self.ground_m2, &self.sums(counts))
    }
}

/// Area-weighted mean of R2 over the cells that are cut.
pub fn r2_mean(ground_m2: &[f64], sums: &Column) -> f64 {
    let (mut num, mut den) = (0.0, 0.0);
    for (c, a) in ground_m2.iter().enumerate() {
        let w = sums.w[c];
        if w > MIN_M2 {
            num += a * (sums.x[c].hypot(sums.y[c]) / w).min(1.0);
            den += a;
        }
    }
    if den > 0.0 { num / den } else { 0.0 }
}

/// A cell cut less than this over a season is not cut: what is left of sums in single precision.
pub const MIN_M2: f64 = 1e-3;
