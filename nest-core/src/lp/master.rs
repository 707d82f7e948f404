//! The linear master of column generation: `min c x` over `A x >= b`, `x >= 0`, columns arriving while it runs.
//!
//! A revised simplex method with an explicit basis inverse. Three things decide for it here against a general LP
//! library: a new column costs a dot product, a changed right-hand side (a dive fixes patterns, the demand shrinks)
//! is re-solved warm by a few dual pivots, and both happen thousands of times a second. The general library
//! is its slow twin in the tests.
//!
//! Nothing here is a proof: prices leave as floats, and whoever claims a bound rounds them to whole numbers first.
//! Rows get a tiny deterministic perturbation against stalling; reported values are those of the true `b`.
//!
//! Runtime: a pivot costs `O(rows^2 + nonzeros of all columns)`.

/// Below this a pivot element or a reduced cost counts as zero. Costs are scaled so that the dearest is about 1.
const ZERO: f64 = 1e-9;

/// A reduced cost above this does not count as an improvement.
const TOLERANCE: f64 = -1e-7;
/// Largest surcharge on a column.
const SURCHARGE: f64 = 1e-5;
/// How many columns are kept between two looks at all of them.
const CANDIDATES: usize = 40;

/// Where a basic variable comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Basic {
    /// Over-coverage of a row: the column `-e`, cost 0.
    Surplus(usize),
    /// Unmet right-hand side of a row: the column `+e`, at the price of doing without.
    Missing(usize),
    /// A column of the master.
    Column(usize),
}

#[derive(Clone, Copy, Debug)]
struct Column {
    /// What it costs, with the surcharge of the present seed.
    cost: f64,
    true_cost: f64,
    /// Its entries are `entries[start..end]` of the master.
    start: u32,
    end: u32,
    active: bool,
    basic: bool,
}

/// How a solve of the master ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// No column of the master improves it.
    Optimal,
    /// The pivot limit struck first.
    Limit,
}

/// A linear program that grows columns.
#[derive(Clone, Debug)]
pub struct Master {
    rows: usize,
    rhs: Vec<f64>,
    shaken: Vec<f64>,
    /// Picks the perturbation, and with it the corner of the optimal face that a solve ends in.
    pub seed: u64,
    columns: Vec<Column>,
    entries: Vec<(u32, f64)>,
    /// Columns that looked good at the last full look, to be tried before the next one.
    candidates: Vec<u32>,
    basis: Vec<Basic>,
    surplus_basic: Vec<bool>,
    /// Row-major inverse of the basis.
    inverse: Vec<f64>,
    values: Vec<f64>,
    prices: Vec<f64>,
    /// Cost of one unit of each row that stays unmet.
    missing: Vec<f64>,
    /// What keeps a column that was switched off out of the basis.
    forbidden: f64,
    /// Columns that were switched off keep their cost until dual pivots have brought them to zero.
    tightening: bool,
    pivots_since_refresh: usize,
    work: u64,
}

impl Master {
    /// A master without columns. `missing` is paid for each unit of a row that stays unmet.
    pub fn new(rhs: Vec<f64>, missing: Vec<f64>) -> Self {
        let rows = rhs.len();
        let mut master = Self {
            rows,
            shaken: Vec::new(),
            seed: 0,
            basis: Vec::new(),
            surplus_basic: vec![false; rows],
            inverse: vec![0.0; rows * rows],
            values: vec![0.0; rows],
            prices: vec![0.0; rows],
            columns: Vec::new(),
            entries: Vec::new(),
            candidates: Vec::new(),
            forbidden: missing.iter().copied().fold(1.0, f64::max) * 4.0,
            missing,
            tightening: false,
            pivots_since_refresh: 0,
            work: 0,
            rhs,
        };
        master.shake();
        master.basis = (0..rows)
            .map(|r| if master.shaken[r] >= 0.0 { Basic::Missing(r) } else { Basic::Surplus(r) })
            .collect();
        for r in 0..rows {
            master.surplus_basic[r] = master.basis[r] == Basic::Surplus(r);
        }
        master.refresh();
        master
    }

    /// A tiny surcharge that depends on the seed, so that ties between solutions of equal cost fall differently.
    fn surcharge(&self, column: usize) -> f64 {
        if self.seed == 0 {
            return 0.0;
        }
        let mut x = self.seed.wrapping_mul(0x9E37_79B9_7F4A_7C15)
            ^ (column as u64).wrapping_mul(0xD134_2543_DE82_EF95);
        x ^= x >> 29;
        x = x.wrapping_mul(0xBF58_476D_1CE4_E5B9);
        x ^= x >> 32;
        (x >> 11) as f64 / (1_u64 << 53) as f64 * SURCHARGE
    }

    fn shake(&mut self) {
        for c in 0..self.columns.len() {
            self.columns[c].cost = self.columns[c].true_cost + self.surcharge(c);
        }
        let mut state = 0x9E37_79B9_7F4A_7C15_u64 ^ self.seed.wrapping_mul(0xD134_2543_DE82_EF95);
        self.shaken = self
            .rhs
            .iter()
            .map(|b| {
                state ^= state << 13;
                state ^= state >> 7;
                state ^= state << 17;
                let unit = (state >> 11) as f64 / (1_u64 << 53) as f64;
                b + 1e-6 * (1.0 + unit) * b.abs().max(1.0)
            })
            .collect();
    }

    /// Columns in the basis.
    pub fn basic_columns(&self) -> Vec<usize> {
        let mut columns: Vec<usize> = self
            .basis
            .iter()
            .filter_map(|b| if let Basic::Column(c) = b { Some(*c) } else { None })
            .collect();
        columns.sort_unstable();
        columns
    }

    /// Puts columns into the basis of a fresh master, as far as they are independent: a start near the solution of a
    /// larger master with the same columns.
    pub fn crash(&mut self, columns: &[usize]) {
        let mut alpha = vec![0.0; self.rows];
        for &c in columns {
            self.column_times(&self.inverse, Basic::Column(c), &mut alpha);
            let row = (0..self.rows)
                .filter(|&r| !matches!(self.basis[r], Basic::Column(_)))
                .max_by(|&a, &b| alpha[a].abs().total_cmp(&alpha[b].abs()).then(b.cmp(&a)));
            if let Some(r) = row.filter(|&r| alpha[r].abs() > 1e-5) {
                self.exchange(r, Basic::Column(c), &alpha);
            }
        }
        self.refresh();
    }

    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Units of work so far.
    pub fn work(&self) -> u64 {
        self.work
    }

    /// Adds a column; its entries are (row, coefficient).
    pub fn add(&mut self, cost: f64, entries: Vec<(u32, f64)>) -> usize {
        let start = self.entries.len() as u32;
        self.entries.extend(entries);
        let surcharge = self.surcharge(self.columns.len());
        self.columns.push(Column {
            cost: cost + surcharge,
            true_cost: cost,
            start,
            end: self.entries.len() as u32,
            active: true,
            basic: false,
        });
        self.columns.len() - 1
    }

    /// Switches a column off (it leaves the basis at the next solve) or on again.
    pub fn set_active(&mut self, column: usize, active: bool) {
        self.columns[column].active = active;
    }

    /// Whether a column is switched on.
    pub fn is_active(&self, column: usize) -> bool {
        self.columns[column].active
    }

    /// Changes the right-hand side; the next solve starts from the present basis.
    pub fn set_rhs(&mut self, rhs: &[f64]) {
        self.rhs.copy_from_slice(rhs);
        self.shake();
    }

    /// Price of each row after the last solve.
    pub fn prices(&self) -> &[f64] {
        &self.prices
    }

    fn entries_of(&self, column: &Column) -> &[(u32, f64)] {
        &self.entries[column.start as usize..column.end as usize]
    }

    fn reduced_of(&self, column: &Column) -> f64 {
        column.cost - self.entries_of(column).iter().map(|&(i, a)| self.prices[i as usize] * a).sum::<f64>()
    }

    fn cost_of(&self, basic: Basic) -> f64 {
        match basic {
            Basic::Surplus(_) => 0.0,
            Basic::Missing(r) => self.missing[r],
            Basic::Column(c) if self.columns[c].active || self.tightening => self.columns[c].cost,
            Basic::Column(_) => self.forbidden,
        }
    }

    /// Cost of the present solution for the true right-hand side.
    pub fn objective(&self) -> f64 {
        self.prices.iter().zip(&self.rhs).map(|(p, b)| p * b).sum()
    }

    /// Columns with their values for the true right-hand side, tiny ones left out, and how much stays unmet in all.
    pub fn solution(&self) -> (Vec<(usize, f64)>, f64) {
        let mut columns = Vec::new();
        let mut missing = 0.0;
        for (r, basic) in self.basis.iter().enumerate() {
            let row = &self.inverse[r * self.rows..(r + 1) * self.rows];
            let value: f64 = row.iter().zip(&self.rhs).map(|(a, b)| a * b).sum();
            match *basic {
                Basic::Column(c) if value > 1e-6 => columns.push((c, value)),
                Basic::Missing(_) if value > 1e-6 => missing += value,
                _ => {}
            }
        }
        columns.sort_unstable_by_key(|&(c, _)| c);
        (columns, missing)
    }

    /// Reduced cost of a column that is not in the master yet.
    pub fn reduced_cost(&self, cost: f64, entries: &[(u32, f64)]) -> f64 {
        cost - entries.iter().map(|&(r, a)| self.prices[r as usize] * a).sum::<f64>()
    }

    /// Recomputes inverse, values and prices from the basis. A basis that has become singular falls back to
    /// doing without everything, from which the simplex method starts afresh.
    fn refresh(&mut self) {
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

    fn recompute_values(&mut self) {
        let n = self.rows;
        for r in 0..n {
            let row = &self.inverse[r * n..(r + 1) * n];
            self.values[r] = row.iter().zip(&self.shaken).map(|(a, b)| a * b).sum();
        }
        self.work += (n * n) as u64 / 4;
    }

    fn recompute_prices(&mut self) {
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

    fn column_times(&self, inverse: &[f64], basic: Basic, alpha: &mut [f64]) {
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

    /// Solves over the present columns from the present basis.
    pub fn solve(&mut self, pivot_limit: usize) -> Outcome {
        if self.pivots_since_refresh > 0 {
            self.recompute_values();
        }
        self.recompute_values();
        self.recompute_prices();
        let mut left = pivot_limit;
        // A shrunken right-hand side leaves negative values: dual pivots first, then primal ones.
        while left > 0 && self.dual_pivot() {
            left -= 1;
        }
        self.clamp();
        while left > 0 {
            if !self.primal_pivot() {
                return Outcome::Optimal;
            }
            left -= 1;
        }
        Outcome::Limit
    }

    /// Solves again after columns were switched off, or the right-hand side was changed, from the basis of an optimal
    /// solution: by dual pivots alone, on which the cost only rises. Ends early where it has risen above `enough`.
    pub fn tighten(&mut self, pivot_limit: usize, enough: f64) -> Outcome {
        self.tightening = true;
        self.recompute_values();
        self.recompute_prices();
        let mut outcome = Outcome::Limit;
        for _ in 0..pivot_limit {
            if !self.dual_pivot() || self.objective() > enough {
                outcome = Outcome::Optimal;
                break;
            }
        }
        self.tightening = false;
        outcome
    }

    /// How far a basic variable is from where it may be: below zero, or switched off and above.
    fn astray(&self, row: usize) -> f64 {
        match self.basis[row] {
            Basic::Column(c) if self.tightening && !self.columns[c].active => self.values[row].abs(),
            _ => -self.values[row],
        }
    }

    fn clamp(&mut self) {
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
    fn dual_pivot(&mut self) -> bool {
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
    fn primal_pivot(&mut self) -> bool {
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

    fn exchange(&mut self, r: usize, entering: Basic, alpha: &[f64]) {
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
