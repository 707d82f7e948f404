//! Exact lengths, areas and money, read from and written to what people type.
//!
//! Everything else in the library counts in the three integers of this module: [`Length`] in ticks of 1/80 000 mm,
//! [`Area`] in square ticks, [`Money`] in hundredths. Text becomes a number once, here, and a number becomes text
//! once, here. What [`LengthStyle`] prints without a `~`, [`parse_length`] reads back as the same length.
//!
//! ```
//! use nest_core::units::{LengthStyle, Rounding, System, Unit, parse_length};
//!
//! let shelf = parse_length("23 5/8", Some(Unit::Inch))?.length;
//! assert_eq!(shelf.mm_decimal(), "600.075");
//! assert_eq!(LengthStyle::default_for(System::Inch).format(shelf, Rounding::Down), "23 5/8\"");
//! assert_eq!(LengthStyle::Millimetres.format(shelf, Rounding::Down), "~600 mm");
//! # Ok::<(), nest_core::units::LengthError>(())
//! ```
//!
//! No floating-point arithmetic happens in this module, with one exception that carries its proof: `millimetres.rs`,
//! which turns ticks into the JSON numbers of a plan and back.
#![deny(clippy::float_arithmetic)]

mod area;
mod fault;
mod format;
mod length;
mod length_error;
mod millimetres;
mod money;
mod names;
mod nominal;
mod notice;
mod number;
mod numeral;
mod parse;
mod price;
mod rate;
mod scan;
#[cfg(feature = "serde")]
mod serde;
mod unit;

#[cfg(test)]
mod laws;

pub use area::{Area, AreaUnit};
pub use format::{LengthStyle, Rounding};
pub use length::{Length, gcd};
pub use length_error::{LengthError, LengthErrorKind};
pub use money::Money;
pub use names::NameError;
pub use nominal::{BoardFeet, Nominal, NominalError, actual_size};
pub use notice::{Notice, NoticeKind};
pub use parse::{Parsed, parse_length, parse_length_or_zero};
pub use price::{MoneyError, MoneyErrorKind, currency_in, parse_money, parse_rate};
pub use rate::Rate;
pub use unit::{System, Unit};
