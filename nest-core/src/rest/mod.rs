//! What is left to do of a job whose plan was followed in part?
//!
//! Somebody cut half of a plan, and then a gap measures 1/8 more than drawn, a board is split, a piece was cut short. The
//! job as it is wanted now, less what is made, from what is there now, is a question like any other, and its plan can be
//! followed in part again.
//!
//! What is there: what the job's lists name, less what was taken of it; boards and sheets that the plan bought and
//! nobody cut, factory edges and all; offcuts worth keeping; what is still on the saw; and pieces that were made and
//! are no longer wanted. A piece counts as made where all that makes it that piece still agrees; see `made`.
//!
//! ```
//! use nest_core::model::{Batch, Part, Stock};
//! use nest_core::rest::{Before, Done, Followed, How};
//! use nest_core::search::{Options, Silent};
//! use nest_core::units::{Length, parse_rate};
//! use nest_core::{cost, solve, solve_from};
//!
//! let part = |name: &str, mm, qty| Part {
//!     name: name.to_string(),
//!     material: "fir".to_string(),
//!     length: Length::mm(mm),
//!     qty,
//!     ..Part::default()
//! };
//! let board = Stock {
//!     name: "fir board".to_string(),
//!     material: "fir".to_string(),
//!     length: Length::mm(2400),
//!     price: Some(parse_rate("4.50")?),
//!     ..Stock::default()
//! };
//! let mut job = Batch { parts: vec![part("stud", 2300, 2), part("shelf", 780, 6)], stock: vec![board], ..Batch::default() };
//! let batch = job.clone().check()?;
//! let plan = solve(&batch, &Options::default(), &Silent)?.plan;
//!
//! // The boards of the first layout are cut, and then every shelf has to be longer by 3 mm.
//! let done = [Done { layout: 0, copies: None, how: How::Cut }];
//! let before = Before::default();
//! let followed = Followed::new(&batch, &plan, 0, &before, &done)?;
//! job.parts[1].length = Length::mm(783);
//! let rest = followed.rest(job);
//! assert_eq!(rest.batch.parts.iter().map(|part| part.qty).collect::<Vec<_>>(), [0, 6]);
//!
//! // Boards that are bought and uncut cost nothing more. `rest.before` is kept with the new plan: it is what is asked
//! // for when that one is carried on in turn, and for the shares of the jobs.
//! let batch = rest.batch.check()?;
//! let solution = solve_from(&batch, &rest.layouts, &Options::default(), &Silent)?;
//! assert_eq!(solution.cost, 0);
//! let shares = cost::shares(&batch, &solution.plan, rest.before.carried);
//! assert_eq!(shares[0].paid.to_string(), "9.00");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! A plan that carries another on is kept with its question (`rest.batch`), with `rest.before`, and with the lists of the
//! whole job: the question has no more than what is left of them, and what is made would be taken off once more.
//!
//! Runtime: linear in the plan and the lists, times a logarithm.
#![deny(clippy::float_arithmetic)]

mod account;
mod again;
mod done;
mod hand;
mod left;
mod less;
mod made;
mod taken;
mod wood;

pub use account::{Untrue, Untruths};
pub use done::{Done, How, Misfit, Misfits, Wrong};
pub use less::{Of, Unlike};
pub use wood::{Origin, edges_on};

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::cost::bill;
use crate::model::{Batch, CheckedBatch, Part, Stock};
use crate::plan::{Layout, Plan, finished};
use crate::units::Length;
use made::Counted;

/// What was done of a job before its plan was made. It goes with the plan, so that the job can be carried on again.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct Before {
    /// Pieces that are made and wanted.
    pub made: Vec<Made>,
    /// What is gone of the stock that the lists of the job name, each with how many.
    pub gone: Vec<Stock>,
    /// How many rows, the last of the stock, no list names: what earlier plans bought and left.
    pub carried: usize,
}

/// Pieces that were made.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
pub struct Made {
    /// The part that they are, with how many there are.
    pub part: Part,
    /// One of them as a piece of stock: what it is where nobody wants it any more.
    pub piece: Stock,
}

/// A plan and how far it was followed.
#[derive(Clone, Debug)]
pub struct Followed<'a> {
    batch: &'a CheckedBatch,
    plan: &'a Plan,
    spare: u32,
    before: &'a Before,
    done: Vec<done::Step>,
}

/// What is left to do.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Rest {
    /// The question: parts and stock of the job in their order with what is left of each, then what no list names.
    pub batch: Batch,
    /// What was done before it.
    pub before: Before,
    /// Pieces that were made and are not wanted as they are: they are stock now.
    pub unwanted: Vec<Made>,
    /// What is made and wanted, but was cut for another size than the part, which it still has to be cut to, has now.
    pub other: Vec<(Made, Part)>,
    /// Words of the strips of matched grain of which some pieces are made and all others wait on the saw: only a whole strip
    /// counts, so it had better be cut to its end before the job is carried on.
    pub parted: Vec<String>,
    /// What was on hand for the followed plan, was not used up, and is more than the lists of the job have now.
    pub missed: Vec<Stock>,
    /// What nobody cut of the followed plan, as layouts for the question, as far as they have stock there and any of their
    /// pieces is wanted: to start from, see [`solve_from`](crate::solve_from), which judges them.
    pub layouts: Vec<Layout>,
}

impl Before {
    /// How many pieces are made.
    pub fn pieces(&self) -> u64 {
        self.made.iter().map(|made| u64::from(made.part.qty)).fold(0, u64::saturating_add)
    }
}

impl<'a> Followed<'a> {
    /// How far a plan was followed that passed the check (of one that did not, what is left makes no sense); `spare` as its
    /// boards were bought, see [`bill`], and what was done before it: nothing for a plan that carries nothing on.
    ///
    /// # Errors
    /// Every entry that does not fit the plan.
    pub fn new(
        batch: &'a CheckedBatch,
        plan: &'a Plan,
        spare: u32,
        before: &'a Before,
        done: &[Done],
    ) -> Result<Self, Misfits> {
        let done = done::steps(batch, plan, done)?;
        Ok(Self { batch, plan, spare, before, done })
    }

    /// What is left of a job, given with the lists of all of it as it is wanted now; not with the question of a plan that
    /// carries another on, which is a rest itself.
    ///
    /// Stock of the lists is taken for that of the followed plan where it agrees in name, material, size and factory
    /// edges, of several such rows first for the one that agrees in all; what the plan took comes off its quantity. What
    /// was bought is paid for: what is left of it is on hand and costs nothing, and nothing comes back for what is
    /// spoiled.
    pub fn rest(&self, mut job: Batch) -> Rest {
        let sawn = self.sawn();
        let all = self.before.made.iter().cloned().chain(self.pieces(&sawn));
        let waiting: Vec<&Part> =
            sawn.waiting.iter().filter_map(|&part| self.batch.batch().parts.get(part)).collect();
        let counted = made::count_off(&mut job.parts, all.collect(), &waiting);
        let Counted { made, unwanted, other, parted } = counted;
        let mut gone = self.before.gone.clone();
        gone.extend(self.gone(&sawn.used));
        taken::take_off(&mut job.stock, &gone);
        let missed = self.missed(&sawn, &job.stock);
        let listed = job.stock.len();
        let mut carried = wood::Rows::beside(&job.stock);
        let at = self.carry(&sawn, listed, &mut carried);
        for made in &unwanted {
            carried.add(made.piece.clone(), made.part.qty.into());
        }
        let carried = carried.into_rows();
        let before = Before { made, gone, carried: carried.len() };
        job.stock.extend(carried);
        let layouts = self.left(&at, &job, listed);
        Rest { batch: job, before, unwanted, other, parted, missed, layouts }
    }

    /// How many rows of the plan's stock the lists of the job name.
    fn listed(&self) -> usize {
        self.batch.stock().len().saturating_sub(self.before.carried)
    }

    /// What came off the saw.
    fn sawn(&self) -> Sawn {
        let mut sawn = Sawn { used: vec![0; self.batch.stock().len()], ..Sawn::default() };
        for step in &self.done {
            let Some(layout) = self.plan.layouts.get(step.layout) else { continue };
            let Some(stock) = self.batch.stock().get(layout.stock) else { continue };
            let copies = u64::from(step.copies);
            let grow = |count: &mut u64| *count = count.saturating_add(copies);
            grow(&mut sawn.used[layout.stock]);
            let came = match step.how {
                How::Spoiled => continue,
                How::Cut => done::Came::all(layout, stock),
                How::Begun(cuts) => done::Came::after(layout, stock, cuts),
                How::Lost(cuts) => done::Came {
                    begun: Vec::new(),
                    waiting: Vec::new(),
                    ..done::Came::after(layout, stock, cuts)
                },
            };
            sawn.waiting.extend(came.waiting);
            for (part, turned, size) in came.pieces {
                grow(sawn.pieces.entry((part, layout.stock, turned, size)).or_default());
            }
            for sizes in came.offcuts {
                grow(sawn.offcuts.entry((layout.stock, Reverse(sizes))).or_default());
            }
            for (size, edges) in came.begun {
                grow(sawn.begun.entry((layout.stock, Reverse(size), edges)).or_default());
            }
        }
        sawn
    }

    /// The pieces that were made, in the order of the list of parts.
    fn pieces(&self, sawn: &Sawn) -> impl Iterator<Item = Made> {
        sawn.pieces.iter().filter_map(|(&(part, stock, turned, size), &count)| {
            let asked = self.batch.batch().parts.get(part)?;
            // A blank waits for its last cut, so all of it is there.
            let [long, wide] = finished(asked, size, turned);
            let size = match (made::is_blank(asked), turned) {
                (true, _) => size,
                (false, true) => [wide, long],
                (false, false) => [long, wide],
            };
            let piece = Origin::of(self.batch, stock)?.made(size, asked);
            Some(Made { part: Part { qty: whole(count), ..asked.clone() }, piece })
        })
    }

    /// What is gone of the stock that the lists name: what was cut or spoiled of what is owned, and all that was bought
    /// of what is limited.
    fn gone(&self, used: &[u64]) -> Vec<Stock> {
        let mut gone = used.to_vec();
        for bought in bill(self.batch, self.plan, self.spare).buy {
            gone[bought.stock] = bought.qty;
        }
        let rows = self.batch.batch().stock_as_named().zip(gone).take(self.listed());
        let limited = rows.filter(|(row, gone)| row.qty.is_some() && *gone > 0);
        limited.map(|(row, gone)| Stock { qty: Some(whole(gone)), ..row }).collect()
    }

    /// What the lists of the followed plan had on hand, was not used up, and is more than the lists have now.
    fn missed(&self, sawn: &Sawn, job: &[Stock]) -> Vec<Stock> {
        let mut there: BTreeMap<Stock, u64> = BTreeMap::new();
        for row in job.iter().filter(|row| row.is_owned()) {
            let count = there.entry(taken::key(row, taken::EDGES)).or_default();
            *count = count.saturating_add(row.qty.map_or(u64::MAX, u64::from));
        }
        let rows = self.batch.batch().stock.iter().zip(self.batch.batch().stock_as_named()).zip(&sawn.used);
        let missed = rows.take(self.listed()).filter_map(|((row, as_named), used)| {
            let left = u64::from(row.qty.filter(|_| row.on_hand)?).saturating_sub(*used);
            let there = there.entry(taken::key(&as_named, taken::EDGES)).or_default();
            let found = left.min(*there);
            *there -= found;
            (left > found).then(|| Stock { qty: Some(whole(left - found)), ..row.clone() })
        });
        missed.collect()
    }

    /// What is there and no list names, unwanted pieces excepted. Tells for each stock of the plan the row here in which
    /// what is left of it stands now, if it does; `first` is that of the first one.
    fn carry(&self, sawn: &Sawn, first: usize, rows: &mut wood::Rows) -> Vec<Option<usize>> {
        let mut at: Vec<Option<usize>> = vec![None; self.batch.stock().len()];
        for (index, (row, used)) in
            self.batch.batch().stock.iter().zip(&sawn.used).enumerate().skip(self.listed())
        {
            let there = row.qty.map_or(u64::MAX, u64::from);
            at[index] = rows.add(row.clone(), there.saturating_sub(*used)).map(|row| first + row);
        }
        let mut add = |stock: usize, count: u64, row: &dyn Fn(Origin<'_>) -> Stock| {
            let row = row(Origin::of(self.batch, stock)?);
            rows.add(row, count).map(|row| first + row)
        };
        for bought in bill(self.batch, self.plan, self.spare).buy {
            let uncut = bought.qty.saturating_sub(sawn.used[bought.stock]);
            at[bought.stock] = add(bought.stock, uncut, &|origin| origin.bought());
        }
        for (&(stock, Reverse([usable, sawn])), &count) in &sawn.offcuts {
            add(stock, count, &|origin| origin.offcut(usable, sawn));
        }
        for (&(stock, Reverse(size), edges), &count) in &sawn.begun {
            add(stock, count, &|origin| origin.begun(size, edges));
        }
        at
    }

    /// The layouts of which nothing was done, for the rows of the question, of which so many are listed.
    fn left(&self, at: &[Option<usize>], job: &Batch, listed: usize) -> Vec<Layout> {
        let mut left: Vec<u32> = self.plan.layouts.iter().map(|layout| layout.copies).collect();
        for step in &self.done {
            left[step.layout] = left[step.layout].saturating_sub(step.copies);
        }
        let mut rows = left::Rows::new(self.batch, at, job, listed);
        let layouts = self.plan.layouts.iter().zip(left).filter_map(|(layout, copies)| {
            Some(rows.moved(layout, self.batch.stock().get(layout.stock)?, copies))
        });
        layouts.flatten().collect()
    }
}

/// What came off the saw, each with how often; stock by its index, sizes along its length and across, the largest first.
#[derive(Debug, Default)]
struct Sawn {
    /// How many of each stock were taken.
    used: Vec<u64>,
    /// Part, stock, whether it lay turned, and size as cut.
    pieces: BTreeMap<(usize, usize, bool, Size), u64>,
    /// Usable size, and with factory edges that are still on.
    offcuts: BTreeMap<(usize, Reverse<[Size; 2]>), u64>,
    /// What is to go to the saw again: clean size, and factory edges that are still on.
    begun: BTreeMap<(usize, Reverse<Size>, done::FactoryEdges), u64>,
    /// Parts that are to be cut from that, of one board of each step.
    waiting: Vec<usize>,
}

/// Along the length of a stock, and across.
type Size = [Length; 2];

fn whole(count: u64) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}
