//! How a fault names a part or a stock: by its place in the list and its name.

use std::fmt;

use crate::model::CheckedBatch;

/// A part or a stock in a message. Its name is as it was written; whoever displays it cleans it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Which(Box<Entry>);

#[derive(Clone, Debug, PartialEq, Eq)]
struct Entry {
    list: &'static str,
    index: usize,
    name: Option<String>,
}

impl Which {
    /// A part by its index, which may be wrong.
    pub(super) fn part(batch: &CheckedBatch, index: usize) -> Self {
        let name = batch.batch().parts.get(index).map(|part| part.name.clone());
        Self(Box::new(Entry { list: "parts", index, name }))
    }

    /// A stock by its index, which may be wrong.
    pub(super) fn stock(batch: &CheckedBatch, index: usize) -> Self {
        let name = batch.batch().stock.get(index).map(|stock| stock.name.clone());
        Self(Box::new(Entry { list: "stock", index, name }))
    }

    /// Its place in the list, counted from 0.
    pub fn index(&self) -> usize {
        self.0.index
    }
}

impl fmt::Display for Which {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}[{}]", self.0.list, self.0.index)?;
        match &self.0.name {
            Some(name) => write!(f, " \"{name}\""),
            None => Ok(()),
        }
    }
}
