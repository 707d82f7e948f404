//! Pivots of the master: who enters the basis and who leaves it.

use super::{Basic, Master};

/// Below this a pivot element or a reduced cost counts as zero. Costs are scaled so that the dearest is about 1.
const ZERO: f64 = 1e-9;
/// A reduced cost above this does not count as an improvement.
const TOLERANCE: f64 = -1e-7;
/// How many columns are kept between two looks at all of them.
const CANDIDATES: usize = 40;

impl Master {
    /// How far a basic variable is from where it may be: below zero, or switched off and above.
    fn astray(&self, row: usize) -> f64 {
        match self.basis[row] {
            Basic::Column(c) if self.tightening && !self.columns[c].active => self.values[row].abs(),
            _ => -self.values[row],
        }
    }

    pub(super) fn clamp(&mut self) {
        // Values that dual pivots could not mend (columns priced out meanwhile) are covered by doing without.
        let n = self.rows;
        for r in 0..n {
            if self.values[r] < -1e-7 {
                self.replace_by_unit(r);
            }
        }
    }

    /// Exchanges the basic variable of a row for a unit column that makes its value positive.
    fn replace_by_unit(&mut self, r: usize) {
        let n = self.rows;
        let row = &self.inverse[r * n..(r + 1) * n];
        let mut best: Option<(f64, Basic)> = None;
        for (i, &a) in row.iter().enumerate() {
            if a < -1e-7 && best.is_none_or(|(b, _)| a.abs() > b) {
                best = Some((a.abs(), Basic::Missing(i)));
            } else if a > 1e-7 && !self.surplus_basic[i] && best.is_none_or(|(b, _)| a.abs() > b) {
                best = Some((a.abs(), Basic::Surplus(i)));
            }
        }
        if let Some((_, entering)) = best {
            let mut alpha = vec![0.0; n];
            self.column_times(&self.inverse, entering, &mut alpha);
            self.exchange(r, entering, &alpha);
            self.recompute_prices();
        }
    }

    /// One dual simplex pivot: what is farthest astray leaves. Returns whether a pivot was made.
    pub(super) fn dual_pivot(&mut self) -> bool {
        let n = self.rows;
        let Some(r) = (0..n)
            .filter(|&r| self.astray(r) > 1e-7)
            .max_by(|&a, &b| self.astray(a).total_cmp(&self.astray(b)).then(b.cmp(&a)))
        else {
            return false;
        };
        // What is too large leaves downwards: all signs turn.
        let sign = if self.values[r] > 0.0 { -1.0 } else { 1.0 };
        let row: Vec<f64> = self.inverse[r * n..(r + 1) * n].iter().map(|a| sign * a).collect();
        let mut best: Option<(f64, f64, Basic)> = None;
        let mut consider = |alpha: f64, reduced: f64, basic: Basic| {
            if alpha < -1e-7 {
                let ratio = reduced.max(0.0) / -alpha;
                let better = match best {
                    None => true,
                    Some((b, a, _)) => ratio < b - 1e-12 || (ratio <= b + 1e-12 && alpha < a),
                };
                if better {
                    best = Some((ratio, alpha, basic));
                }
            }
        };
        for (i, (&a, &price)) in row.iter().zip(&self.prices).enumerate() {
            if !self.surplus_basic[i] {
                consider(-a, price, Basic::Surplus(i));
            }
            consider(a, self.missing[i] - price, Basic::Missing(i));
        }
        for (c, column) in self.columns.iter().enumerate() {
            if column.active && !column.basic {
                let mut alpha = 0.0;
                let mut value = 0.0;
                for &(i, a) in self.entries_of(column) {
                    alpha += row[i as usize] * a;
                    value += self.prices[i as usize] * a;
                }
                consider(alpha, column.cost - value, Basic::Column(c));
            }
        }
        self.work += (n + self.columns.len() * 4) as u64;
        let Some((_, _, entering)) = best else { return false };
        let mut alpha = vec![0.0; n];
        self.column_times(&self.inverse, entering, &mut alpha);
        if alpha[r].abs() < 1e-9 {
            return false;
        }
        self.exchange(r, entering, &alpha);
        true
    }

    /// Looks at all columns and keeps the best few dozen as candidates.
    fn look(&mut self) {
        let mut good: Vec<(f64, u32)> = Vec::new();
        for (c, column) in self.columns.iter().enumerate() {
            if column.active && !column.basic {
                let reduced = self.reduced_of(column);
                if reduced < TOLERANCE {
                    good.push((reduced, c as u32));
                }
            }
        }
        self.work += self.columns.len() as u64 * 4;
        if good.len() > CANDIDATES {
            good.select_nth_unstable_by(CANDIDATES, |a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            good.truncate(CANDIDATES);
        }
        self.candidates.clear();
        self.candidates.extend(good.iter().map(|g| g.1));
        self.candidates.sort_unstable();
    }

    fn best_candidate(&mut self) -> (f64, Option<Basic>) {
        let mut best = (TOLERANCE, None);
        for &c in &self.candidates {
            let column = &self.columns[c as usize];
            if column.active && !column.basic {
                let reduced = self.reduced_of(column);
                if reduced < best.0 {
                    best = (reduced, Some(Basic::Column(c as usize)));
                }
            }
        }
        self.work += self.candidates.len() as u64 * 4;
        best
    }

    /// One primal simplex pivot: the most negative reduced cost enters. Returns whether a pivot was made.
    pub(super) fn primal_pivot(&mut self) -> bool {
        let n = self.rows;
        let mut best = self.best_candidate();
        if best.1.is_none() {
            self.look();
            best = self.best_candidate();
        }
        for i in 0..n {
            if !self.surplus_basic[i] && self.prices[i] < best.0 {
                best = (self.prices[i], Some(Basic::Surplus(i)));
            }
        }
        let Some(entering) = best.1 else { return false };
        let mut alpha = vec![0.0; n];
        self.column_times(&self.inverse, entering, &mut alpha);
        let mut leave: Option<(f64, usize)> = None;
        for r in 0..n {
            if alpha[r] > ZERO * 100.0 {
                let ratio = self.values[r].max(0.0) / alpha[r];
                let better = match leave {
                    None => true,
                    Some((b, q)) => ratio < b - 1e-12 || (ratio <= b + 1e-12 && alpha[r] > alpha[q]),
                };
                if better {
                    leave = Some((ratio, r));
                }
            }
        }
        // Costs are not negative, so the program is bounded; no leaving row means numerical trouble only.
        let Some((_, r)) = leave else { return false };
        self.exchange(r, entering, &alpha);
        true
    }
}
