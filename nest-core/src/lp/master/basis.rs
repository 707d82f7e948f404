//! The basis of the master: its inverse, and the values and prices that follow from it.

use super::{Basic, Master};

impl Master {
    /// Recomputes inverse, values and prices from the basis. A basis that has become singular falls back to
    /// doing without everything, from which the simplex method starts afresh.
    pub(super) fn refresh(&mut self) {
        let n = self.rows;
        self.pivots_since_refresh = 0;
        if !self.invert() {
            for r in 0..n {
                if let Basic::Column(c) = self.basis[r] {
                    self.columns[c].basic = false;
                }
                let surplus = self.shaken[r] < 0.0;
                self.surplus_basic[r] = surplus;
                self.basis[r] = if surplus { Basic::Surplus(r) } else { Basic::Missing(r) };
            }
            self.inverse.fill(0.0);
            for r in 0..n {
                self.inverse[r * n + r] = if self.surplus_basic[r] { -1.0 } else { 1.0 };
            }
        }
        self.recompute_values();
        self.recompute_prices();
    }

    pub(super) fn recompute_values(&mut self) {
        let n = self.rows;
        for r in 0..n {
            let row = &self.inverse[r * n..(r + 1) * n];
            self.values[r] = row.iter().zip(&self.shaken).map(|(a, b)| a * b).sum();
        }
        self.work += (n * n) as u64 / 4;
    }

    pub(super) fn recompute_prices(&mut self) {
        let n = self.rows;
        self.prices.fill(0.0);
        for r in 0..n {
            let cost = self.cost_of(self.basis[r]);
            if cost != 0.0 {
                let row = &self.inverse[r * n..(r + 1) * n];
                for (p, a) in self.prices.iter_mut().zip(row) {
                    *p += cost * a;
                }
            }
        }
        self.work += (n * n) as u64 / 4;
    }

    /// Gauss-Jordan with row pivoting on the columns of the basis, unit columns first. Columns are eliminated
    /// in an order that keeps fill small: those with the fewest entries first.
    fn invert(&mut self) -> bool {
        let n = self.rows;
        let mut order: Vec<usize> = (0..n).collect();
        let count = |b: Basic| match b {
            Basic::Column(c) => self.entries_of(&self.columns[c]).len(),
            _ => 1,
        };
        order.sort_by_key(|&r| count(self.basis[r]));
        let mut inverse = vec![0.0; n * n];
        for r in 0..n {
            inverse[r * n + r] = 1.0;
        }
        // Product form: apply each column in turn to the inverse so far, as a pivot would.
        let mut taken = vec![false; n];
        let mut placed = vec![Basic::Missing(0); n];
        let mut alpha = vec![0.0; n];
        for &k in &order {
            let basic = self.basis[k];
            self.column_times(&inverse, basic, &mut alpha);
            let pivot = (0..n)
                .filter(|&r| !taken[r])
                .max_by(|&a, &b| alpha[a].abs().total_cmp(&alpha[b].abs()).then(b.cmp(&a)));
            let Some(p) = pivot.filter(|&p| alpha[p].abs() > 1e-7) else { return false };
            taken[p] = true;
            placed[p] = basic;
            eliminate(&mut inverse, n, p, &alpha);
            self.work += n as u64;
        }
        self.basis = placed;
        self.inverse = inverse;
        true
    }

    pub(super) fn column_times(&self, inverse: &[f64], basic: Basic, alpha: &mut [f64]) {
        let n = self.rows;
        match basic {
            Basic::Surplus(i) => {
                for (r, a) in alpha.iter_mut().enumerate() {
                    *a = -inverse[r * n + i];
                }
            }
            Basic::Missing(i) => {
                for (r, a) in alpha.iter_mut().enumerate() {
                    *a = inverse[r * n + i];
                }
            }
            Basic::Column(c) => {
                let entries = self.entries_of(&self.columns[c]);
                for (row, a) in inverse.chunks_exact(n).zip(alpha) {
                    *a = entries.iter().map(|&(i, v)| row[i as usize] * v).sum();
                }
            }
        }
    }

    pub(super) fn exchange(&mut self, r: usize, entering: Basic, alpha: &[f64]) {
        let n = self.rows;
        match self.basis[r] {
            Basic::Column(c) => self.columns[c].basic = false,
            Basic::Surplus(i) => self.surplus_basic[i] = false,
            Basic::Missing(_) => {}
        }
        match entering {
            Basic::Column(c) => self.columns[c].basic = true,
            Basic::Surplus(i) => self.surplus_basic[i] = true,
            Basic::Missing(_) => {}
        }
        let reduced = self.cost_of(entering) - dot_basis_cost(self, alpha);
        self.basis[r] = entering;
        let step = self.values[r] / alpha[r];
        for (q, value) in self.values.iter_mut().enumerate() {
            if q != r {
                *value -= step * alpha[q];
            }
        }
        self.values[r] = step;
        self.work += eliminate(&mut self.inverse, n, r, alpha);
        let row = &self.inverse[r * n..(r + 1) * n];
        for (p, a) in self.prices.iter_mut().zip(row) {
            *p += reduced * a;
        }
        self.pivots_since_refresh += 1;
        if self.pivots_since_refresh >= 60 + n {
            self.refresh();
        }
    }
}

fn dot_basis_cost(master: &Master, alpha: &[f64]) -> f64 {
    master.basis.iter().zip(alpha).filter(|(_, a)| **a != 0.0).map(|(b, a)| master.cost_of(*b) * a).sum()
}

/// Makes column `alpha` the unit vector of row `p`. Rows with a zero entry are left alone. Returns the work done.
fn eliminate(inverse: &mut [f64], n: usize, p: usize, alpha: &[f64]) -> u64 {
    let scale = 1.0 / alpha[p];
    let (before, rest) = inverse.split_at_mut(p * n);
    let (pivot, after) = rest.split_at_mut(n);
    for a in pivot.iter_mut() {
        *a *= scale;
    }
    let mut touched = 1;
    let mut update = |row: &mut [f64], factor: f64| {
        if factor.abs() > 1e-13 {
            touched += 1;
            for (a, b) in row.iter_mut().zip(pivot.iter()) {
                *a -= factor * b;
            }
        }
    };
    for (r, row) in before.chunks_exact_mut(n).enumerate() {
        update(row, alpha[r]);
    }
    for (r, row) in after.chunks_exact_mut(n).enumerate() {
        update(row, alpha[p + 1 + r]);
    }
    (touched * n) as u64
}
