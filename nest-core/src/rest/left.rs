//! What is left of the plan itself: the layouts that nobody cut, for the rows of the question that is left.
//!
//! It is a plan to start from, so that whoever carries on never pays for what the old plan had without. Nobody judges it
//! here: a layout is left out where one of its parts or its stock has no row any more, and who uses it checks it.

use std::collections::BTreeMap;

use super::made::same;
use crate::model::Part;
use crate::plan::{Kind, Layout, Node};

/// Rows of the new question for those of the old one.
pub(super) struct Rows<'a> {
    /// The row of each old stock.
    stock: &'a [Option<usize>],
    /// The old parts.
    parts: &'a [Part],
    wanted: BTreeMap<Part, usize>,
}

impl<'a> Rows<'a> {
    pub fn new(stock: &'a [Option<usize>], parts: &'a [Part], job: &[Part]) -> Self {
        // The first of equal rows that still asks for any.
        let wanted = job.iter().enumerate().rev().filter(|(_, part)| part.qty > 0);
        Self { stock, parts, wanted: wanted.map(|(row, part)| (same(part), row)).collect() }
    }

    /// So many copies of a layout in the new question; `None` for none, and where it has no place there.
    pub fn moved(&self, layout: &Layout, copies: u32) -> Option<Layout> {
        let mut layout = Layout { copies, ..layout.clone() };
        layout.stock = (*self.stock.get(layout.stock)?).filter(|_| copies > 0)?;
        for piece in &mut layout.pieces {
            piece.part = self.part(piece.part)?;
        }
        let mut todo: Vec<&mut Node> = vec![&mut layout.root];
        while let Some(node) = todo.pop() {
            match &mut node.kind {
                Kind::Cut { children, .. } => todo.extend(children),
                Kind::Piece { part, .. } => *part = self.part(*part)?,
                Kind::Offcut | Kind::Waste => {}
            }
        }
        Some(layout)
    }

    fn part(&self, old: usize) -> Option<usize> {
        self.wanted.get(&same(self.parts.get(old)?)).copied()
    }
}
