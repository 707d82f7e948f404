//! Cutting plans for boards and sheets: what to buy, how to cut it, and a proof of how good that is.
//!
//! A [`Batch`](model::Batch) is the question: parts, stock, shop. [`Batch::check`](model::Batch::check) looks at every
//! rule once and gives a [`CheckedBatch`](model::CheckedBatch); [`solve`] answers with a
//! [`Solution`](solution::Solution): a [`Plan`](plan::Plan) that [`check`](check::check) has accepted, its cost, and a floor
//! that no plan can beat. [`cost`] makes the buying list and each job's share of it, and [`rest`] the question that is left
//! when a plan was followed in part.
//!
//! ```
//! use nest_core::model::{Batch, Part, Shop, Stock};
//! use nest_core::search::{Options, Silent};
//! use nest_core::solution::Status;
//! use nest_core::units::{Length, Money, Rate, System};
//!
//! let inches = |n| Length::inches(n, 1).unwrap();
//! let mut batch = Batch { shop: Shop::defaults(System::Inch), ..Batch::default() };
//! for (name, feet, cents) in [("8 ft", 8, 790), ("10 ft", 10, 1020)] {
//!     batch.stock.push(Stock {
//!         name: name.to_string(),
//!         material: "poplar".to_string(),
//!         length: inches(feet * 12),
//!         price: Some(Rate::from(Money::from_minor(cents))),
//!         ..Stock::default()
//!     });
//! }
//! batch.parts.push(Part {
//!     name: "shelf".to_string(),
//!     material: "poplar".to_string(),
//!     length: inches(30),
//!     qty: 5,
//!     ..Part::default()
//! });
//!
//! let batch = batch.check().expect("the question is sound");
//! let solution = nest_core::solve(&batch, &Options::default(), &Silent).expect("the plan passes the check");
//! // Three to a board but for the kerf: two boards of 8 ft.
//! assert_eq!(solution.cost, 2 * 790);
//! assert_eq!(batch.measure().money(solution.cost), Some(Money::from_minor(2 * 790)));
//! assert_eq!(solution.status, Status::Proven);
//! ```
//!
//! # From a question to the saw
//!
//! Parts and stock are named by their index in the lists of the batch, everywhere. A plan says how each piece of stock is
//! cut; [`cost`] says what to buy and what each job owes, and [`Layout::cuts`](plan::Layout::cuts) tells the cuts in the
//! order of the saw, with the setting of stop or fence.
//!
//! ```
//! use nest_core::model::{Batch, Part, Shop, Stock, StockGrain};
//! use nest_core::plan::{Kind, Way};
//! use nest_core::search::{Options, Silent};
//! use nest_core::units::{Length, Rounding, System, Unit, parse_length, parse_rate};
//!
//! let inches = |text| parse_length(text, Some(Unit::Inch)).map(|read| read.length);
//! let mut batch = Batch { shop: Shop::defaults(System::Inch), ..Batch::default() };
//! batch.stock.push(Stock {
//!     name: "birch ply".to_string(),
//!     material: "birch ply".to_string(),
//!     thickness: Some(inches("23/32")?),
//!     length: inches("8'")?,
//!     width: Some(inches("4'")?),
//!     price: Some(parse_rate("86.90")?),
//!     grain: Some(StockGrain::Length),
//!     ..Stock::default()
//! });
//! for (job, part, length, width, qty) in [("hall", "side", "72", "15 3/4", 2), ("bath", "shelf", "29 1/4", "11", 3)] {
//!     batch.parts.push(Part {
//!         name: part.to_string(),
//!         job: job.to_string(),
//!         material: "birch ply".to_string(),
//!         thickness: Some(inches("23/32")?),
//!         length: inches(length)?,
//!         width: Some(inches(width)?),
//!         qty,
//!         ..Part::default()
//!     });
//! }
//! let batch = batch.check()?;
//! for warning in batch.warnings() {
//!     eprintln!("{warning}");
//! }
//! let solution = nest_core::solve(&batch, &Options::default(), &Silent)?;
//! let plan = &solution.plan;
//!
//! // What to buy, and what each job owes of it.
//! let bill = nest_core::cost::bill(&batch, plan, 0);
//! assert_eq!(bill.buy.iter().map(|line| (line.stock, line.qty)).collect::<Vec<_>>(), [(0, 1)]);
//! assert_eq!(bill.total.map(|total| total.to_string()).as_deref(), Some("86.90"));
//! let shares = nest_core::cost::shares(&batch, plan, 0);
//! assert_eq!(shares.iter().map(|share| share.cost).sum::<i128>(), solution.cost);
//!
//! // How to cut it: what each cut frees, and what is left on the saw after the last one of a rectangle.
//! let style = batch.batch().shop.style;
//! let mut list = Vec::new();
//! for layout in &plan.layouts {
//!     for cut in layout.cuts(&batch.stock()[layout.stock]) {
//!         let way = if cut.way == Way::Rip { "rip" } else { "crosscut" };
//!         let pieces = cut.frees.into_iter().chain(cut.leaves).filter_map(|node| match node.kind {
//!             Kind::Piece { part, .. } => Some(batch.batch().parts[part].name.as_str()),
//!             Kind::Cut { .. } | Kind::Offcut | Kind::Waste => None,
//!         });
//!         let pieces = pieces.collect::<Vec<_>>().join(", ");
//!         list.push(format!("{way} at {}: {pieces}", style.format(cut.setting, Rounding::Down)));
//!     }
//! }
//! assert_eq!(list[..4], ["rip at 31 5/8\": ", "rip at 11\": ", "crosscut at 72\": ", "rip at 15 3/4\": side, side"]);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! - Costs: whole numbers in what the batch counts in, exactly; [`Measure`](model::Measure) makes money and words of them.
//! - Errors: what is wrong with a question ([`Problems`](model::Problems)), with a plan ([`Faults`](check::Faults)) and with
//!   what is said to be done of it or before it ([`Misfits`](rest::Misfits), [`Untruths`](rest::Untruths)) is listed in
//!   full, each with its place, and goes up with `?`.
//! - Progress and cancelling: [`Observer`](search::Observer). A question takes as long as its effort says, up to minutes
//!   for [`Deep`](search::Effort::Deep): whoever serves others sets a [time limit](search::Options::time_limit).
//! - Keeping a plan: feature `serde` and the batch that is kept with it; see [`plan`]. What comes back is judged by
//!   [`check`](check::check), like any other.
//! - Carrying on when part of it is cut and something measures otherwise: [`rest`].
//!
//! # Panics
//!
//! No question and no plan makes a function of [`model`], [`check`], [`cost`], [`plan`] or [`rest`] panic, however large its
//! numbers and wherever its indices point. Operators on [`Length`](units::Length) and [`Money`](units::Money) overflow as
//! those on whole numbers do; the checked and saturating functions beside them do not. Trees of cuts are taken apart by
//! recursion when they are dropped: whoever builds one from what strangers send limits its depth, as readers of JSON do.
//!
//! # Features
//!
//! - Several stock sizes and prices, limited supply, pieces on hand, kerf, edge trim, ripped strips, partial plans.
//! - Sheets cut edge to edge in two, three or any number of stages, with grain, grain matches and edge bands.
//! - Exact: lengths in whole ticks of 1/80 000 mm, money in whole hundredths; no float decides anything that is claimed.
//! - Every plan is judged by an independent check, every floor carries a certificate that the check re-proves.
//! - The same batch, seed and effort give the same plan with any number of threads.
//! - Progress and cancelling through [`Observer`](search::Observer); no global state, no printing, no files.
//! - Cargo feature `serde`: `Serialize` and `Deserialize` for the question, the plan, what it comes to, and what was done of
//!   it.
//!
//! # Limitations
//!
//! - Sheets are cut edge to edge; other layouts are not looked for.
//! - Edge band is counted ([`cost::banding`]), but its price is not in the cost.
#![forbid(unsafe_code)]
#![deny(missing_docs)]

mod board;
pub mod check;
pub mod cost;
mod error;
mod lp;
pub mod model;
pub mod plan;
pub mod rest;
pub mod search;
mod sheet;
pub mod solution;
mod solve;
pub mod units;

pub use error::Error;
pub use solve::{solve, solve_from};
