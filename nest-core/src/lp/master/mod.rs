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

mod basis;
mod pivot;

/// Pivots between two questions whether to stop.
const ASK: usize = 16;
/// Largest surcharge on a column.
const SURCHARGE: f64 = 1e-5;

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
        master.restart();
        master
    }

    /// Forgets the basis, so that a column that was switched off is not in it, whatever its price: the next solve begins
    /// anew.
    pub fn restart(&mut self) {
        let unit = |(r, &b): (usize, &f64)| if b >= 0.0 { Basic::Missing(r) } else { Basic::Surplus(r) };
        self.basis = self.shaken.iter().enumerate().map(unit).collect();
        for r in 0..self.rows {
            self.surplus_basic[r] = self.basis[r] == Basic::Surplus(r);
        }
        self.columns.iter_mut().for_each(|column| column.basic = false);
        self.candidates.clear();
        self.refresh();
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

    /// Solves over the present columns from the present basis.
    pub fn solve(&mut self, pivot_limit: usize) -> Outcome {
        self.solve_until(pivot_limit, || false)
    }

    /// The same, until told to stop, which counts as the limit.
    pub fn solve_until(&mut self, pivot_limit: usize, mut stop: impl FnMut() -> bool) -> Outcome {
        let mut over = |left: usize| left == 0 || left.is_multiple_of(ASK) && stop();
        self.recompute_values();
        self.recompute_prices();
        let mut left = pivot_limit;
        // A shrunken right-hand side leaves negative values: dual pivots first, then primal ones.
        while !over(left) && self.dual_pivot() {
            left -= 1;
        }
        self.clamp();
        while !over(left) {
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
}
