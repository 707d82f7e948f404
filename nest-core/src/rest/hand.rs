//! Rows that are handed out one after the other, each until nothing of it is left.

/// Rows in their order.
#[derive(Debug, Default)]
pub(super) struct Hand {
    rows: Vec<usize>,
    /// Nothing is left of those before it, and quantities never grow.
    next: usize,
}

impl Hand {
    pub fn push(&mut self, row: usize) {
        self.rows.push(row);
    }

    /// The first row of which something is left. The ones before it are not looked at again.
    pub fn first(&mut self, is_left: impl Fn(usize) -> bool) -> Option<usize> {
        while let Some(&row) = self.rows.get(self.next) {
            if is_left(row) {
                return Some(row);
            }
            self.next += 1;
        }
        None
    }
}
