//! How many of each kind of sheet there are, as rows of a linear master.

/// The row of each kind of sheet that is limited.
pub(super) struct Supply {
    rows: Vec<Option<u32>>,
}

impl Supply {
    /// Adds the rows to right-hand sides, and to what a unit costs that is not there.
    pub fn new(supply: &[Option<u32>], rhs: &mut Vec<f64>, missing: &mut Vec<f64>, price: f64) -> Self {
        let mut row = |supply: u32| {
            rhs.push(-f64::from(supply));
            missing.push(price);
            (rhs.len() - 1) as u32
        };
        Self { rows: supply.iter().map(|supply| supply.map(&mut row)).collect() }
    }

    /// What a layout of a kind takes of its supply.
    pub fn entry(&self, kind: usize) -> Option<(u32, f64)> {
        self.rows[kind].map(|row| (row, -1.0))
    }

    /// What one sheet of a kind costs at such prices beside what is paid for it.
    pub fn price(&self, kind: usize, prices: &[f64]) -> f64 {
        self.rows[kind].map_or(0.0, |row| prices[row as usize])
    }
}
