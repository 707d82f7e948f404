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
//! assert_eq!(solution.status, Status::Proven);
//! ```
//!
//! # Features
//!
//! - Several stock sizes and prices, limited supply, pieces on hand, kerf, edge trim, ripped strips, partial plans.
//! - Sheets cut edge to edge in two, three or any number of stages, with grain, grain matches and edge bands.
//! - Exact: lengths in whole ticks of 1/80 000 mm, money in whole hundredths; no float decides anything that is claimed.
//! - Every plan is judged by an independent check, every floor carries a certificate that the check re-proves.
//! - The same batch, seed and effort give the same plan with any number of threads.
//! - Progress and cancelling through [`Observer`](search::Observer); no global state, no printing, no files.
//! - Cargo feature `serde`: `Serialize` and `Deserialize` for the question and the parts of a plan.
//!
//! # Limitations
//!
//! - Sheets are cut edge to edge; other layouts are not looked for.
//! - Grain matches and edge bands of boards are read and not acted on; the batch's warnings say so.
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
