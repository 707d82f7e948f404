//! What a round of ruin and recreate can take back.

use super::filling::Filling;
use super::tree::Sheet;

/// Sheets and quantities as they were before the round. Keeps its memory from round to round.
#[derive(Debug, Default)]
pub(super) struct Journal {
    saved: Vec<(usize, Sheet)>,
    spare: Vec<Sheet>,
    left: Vec<u32>,
    missing: u128,
    sheets: usize,
}

impl Journal {
    /// A round begins.
    pub fn begin(&mut self, filling: &Filling<'_>) {
        self.left.clone_from(&filling.left);
        self.missing = filling.missing;
        self.sheets = filling.sheets.len();
    }

    /// Remembers a sheet that is about to change, unless it did in this round already.
    pub fn save(&mut self, at: usize, sheet: &Sheet) {
        if self.saved.iter().any(|&(saved, _)| saved == at) {
            return;
        }
        let copy = match self.spare.pop() {
            Some(mut copy) => {
                copy.clone_from(sheet);
                copy
            }
            None => sheet.clone(),
        };
        self.saved.push((at, copy));
    }

    /// How many of each item were not placed before the round.
    pub fn left(&self) -> &[u32] {
        &self.left
    }

    /// What was missing before the round.
    pub fn missing(&self) -> u128 {
        self.missing
    }

    /// The sheets that changed, new ones included.
    pub fn changed(&self) -> impl Iterator<Item = usize> + '_ {
        self.saved.iter().map(|&(at, _)| at)
    }

    /// Whether the saws can cut all that changed.
    pub fn sawable(&self, filling: &Filling<'_>) -> bool {
        self.changed().all(|at| {
            let sheet = &filling.sheets[at];
            sheet.sawable(&filling.problem.kinds[sheet.kind()])
        })
    }

    /// The round stays.
    pub fn keep(&mut self) {
        self.spare.extend(self.saved.drain(..).map(|(_, sheet)| sheet));
    }

    /// The round is taken back.
    pub fn undo(&mut self, filling: &mut Filling<'_>) {
        while filling.sheets.len() > self.sheets {
            filling.pop();
        }
        while let Some((at, mut was)) = self.saved.pop() {
            // A fresh sheet that was filled further is gone already.
            if at < self.sheets {
                filling.restore(at, &mut was);
            }
            self.spare.push(was);
        }
        filling.left.clone_from(&self.left);
        filling.missing = self.missing;
    }
}
