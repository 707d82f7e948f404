//! Pieces of wood as rows of a list of stock, with names that say where they come from.

use std::collections::BTreeMap;

use super::done::FactoryEdges;
use super::whole;
use crate::cost::part_of;
use crate::model::{CheckedBatch, Form, LONGEST_NAME, Part, Per, Stock, UsableStock};
use crate::units::{Length, LengthStyle, Rate, Rounding};

/// The stock that a piece of wood comes from.
#[derive(Clone, Copy, Debug)]
pub struct Origin<'a> {
    entry: &'a UsableStock,
    asked: &'a Stock,
    style: LengthStyle,
}

impl<'a> Origin<'a> {
    /// The stock of this index; `None` where there is none.
    pub fn of(batch: &'a CheckedBatch, stock: usize) -> Option<Self> {
        let (entry, asked) = (batch.stock().get(stock)?, batch.batch().stock.get(stock)?);
        Some(Self { entry, asked, style: batch.batch().shop.style })
    }

    /// What it is called without what became of it before: an offcut of an offcut is one of the same board.
    pub fn base(&self) -> &'a str {
        base(&self.asked.name)
    }

    /// An offcut: `fir 2x4, 8', offcut 33 3/8"`. It counts as what is usable of it, all of it clean; where it comes off
    /// the saw with a factory edge, and then larger, its name says so.
    pub fn offcut(&self, usable: [Length; 2], sawn: [Length; 2]) -> Stock {
        let edges = edges_on(usable, sawn).map_or(String::new(), |edges| format!(", {edges} on"));
        let end = format!("{OFFCUT}{}{edges}", self.said(usable));
        self.piece(usable, named(self.base(), &end))
    }

    /// What is left of a board on which some cuts are made: `fir 2x4, 8', begun, 61", factory right end on`. It counts as
    /// an offcut does.
    pub(super) fn begun(&self, size: [Length; 2], edges: FactoryEdges) -> Stock {
        let sides = ["left end", "right end", "lower edge", "upper edge"].into_iter().zip(edges);
        let on: Vec<&str> = sides.filter_map(|(side, on)| on.then_some(side)).collect();
        let edges = if on.is_empty() { String::new() } else { format!(", factory {} on", on.join(" and ")) };
        let end = format!("{BEGUN}{}{edges}", self.said(size));
        self.piece(size, named(self.base(), &end))
    }

    /// A piece that was made: `side, made 30"`.
    pub(super) fn made(&self, size: [Length; 2], part: &Part) -> Stock {
        self.piece(size, named(part.name.trim(), &format!("{MADE}{}", self.said(size))))
    }

    /// A board as it was bought: `fir 2x4, 8', bought`.
    pub(super) fn bought(&self) -> Stock {
        Stock {
            name: named(&self.asked.name, BOUGHT),
            form: Some(self.form()),
            on_hand: true,
            factory_edges: true,
            ..self.asked.clone()
        }
    }

    /// A clean piece of it, worth its share of the price.
    fn piece(&self, size: [Length; 2], name: String) -> Stock {
        let Self { entry, asked, .. } = *self;
        let whole_width = size[1] == entry.size[1];
        Stock {
            name,
            form: Some(self.form()),
            thickness: if asked.section.is_some() { asked.thickness } else { entry.thickness },
            length: size[0],
            width: if whole_width { asked.width } else { Some(size[1]) },
            price: entry.each.map(|each| Rate::from(part_of(each, size, entry.size))),
            per: Per::Each,
            qty: Some(1),
            on_hand: true,
            factory_edges: false,
            ripped: asked.ripped || entry.board && !whole_width,
            trim: None,
            extra: Vec::new(),
            ..asked.clone()
        }
    }

    fn form(&self) -> Form {
        if self.entry.board { Form::Board } else { Form::Sheet }
    }

    /// A size as people say it: of a board its length alone where it is as wide as the board, of a sheet both.
    fn said(&self, [long, wide]: [Length; 2]) -> String {
        // Nobody counts on wood that is not there.
        let text = |length: Length| self.style.format(length, Rounding::Down);
        if wide.is_zero() || self.entry.board && wide == self.entry.size[1] {
            text(long)
        } else {
            format!("{} x {}", text(long), text(wide))
        }
    }
}

/// Factory edges that are still on an offcut, in the words of the cut list: `factory right end`. They are on its far
/// sides at most: edge trim at the reference corner comes off before all else.
pub fn edges_on(usable: [Length; 2], sawn: [Length; 2]) -> Option<&'static str> {
    match [0, 1].map(|axis| sawn[axis] > usable[axis]) {
        [true, true] => Some("factory right end and upper edge"),
        [true, false] => Some("factory right end"),
        [false, true] => Some("factory upper edge"),
        [false, false] => None,
    }
}

/// What a name says of a piece. An offcut of an offcut is an offcut of the same board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Said<'a> {
    /// What it comes from.
    pub base: &'a str,
    /// What became of that last, in the words of this file; nothing where it is as it came.
    pub what: &'a str,
    /// The number that tells it from others of that name.
    pub number: &'a str,
}

const ENDS: [&str; 4] = [OFFCUT, BEGUN, BOUGHT, MADE];
const OFFCUT: &str = ", offcut ";
const BEGUN: &str = ", begun, ";
const BOUGHT: &str = ", bought";
const MADE: &str = ", made ";

impl<'a> Said<'a> {
    pub fn of(name: &'a str) -> Self {
        let what = ENDS.into_iter().filter_map(|end| Some((name.rfind(end)?, end))).max();
        let Some((_, what)) = what else { return Self { base: name, what: "", number: "" } };
        let first = ENDS.into_iter().filter_map(|end| name.find(end)).min().unwrap_or(name.len());
        let number = name.strip_suffix(')').and_then(|name| name.rsplit_once(" (")).map(|(_, number)| number);
        let number = number.filter(|number| number.bytes().all(|byte| byte.is_ascii_digit()));
        Self { base: name.get(..first).unwrap_or(name), what, number: number.unwrap_or("") }
    }
}

/// The stock that an offcut comes from, by its name. What was made of a part is stock by itself.
fn base(name: &str) -> &str {
    [OFFCUT, BEGUN, BOUGHT].iter().fold(name, |name, end| name.split_once(end).map_or(name, |(base, _)| base))
}

fn named(base: &str, end: &str) -> String {
    let room = LONGEST_NAME.saturating_sub(end.chars().count());
    base.chars().take(room).collect::<String>() + end
}

/// Rows that come behind those of a list, under names of their own.
#[derive(Debug)]
pub(super) struct Rows {
    /// Names that are taken, each with the last number behind it.
    taken: BTreeMap<String, usize>,
    /// The rows that are here, as they were given, without a count.
    known: BTreeMap<Stock, usize>,
    rows: Vec<Stock>,
}

impl Rows {
    pub fn beside(list: &[Stock]) -> Self {
        let taken = list.iter().map(|row| (row.name.trim().to_owned(), 1)).collect();
        Self { taken, known: BTreeMap::new(), rows: Vec::new() }
    }

    /// So many of a piece; the number of its row here, if there are any. What is the same in all is one row.
    pub fn add(&mut self, row: Stock, count: u64) -> Option<usize> {
        if count == 0 {
            return None;
        }
        let row = Stock { qty: None, ..row };
        if let Some(&known) = self.known.get(&row) {
            let qty = self.rows.get_mut(known)?.qty.get_or_insert(0);
            *qty = qty.saturating_add(whole(count));
            return Some(known);
        }
        let mut name = row.name.clone();
        while let Some(number) = self.taken.get_mut(&name) {
            *number += 1;
            name = named(&row.name, &format!(" ({number})"));
        }
        self.taken.insert(name.clone(), 1);
        self.known.insert(row.clone(), self.rows.len());
        self.rows.push(Stock { name, qty: Some(whole(count)), ..row });
        Some(self.rows.len() - 1)
    }

    pub fn into_rows(self) -> Vec<Stock> {
        self.rows
    }
}
