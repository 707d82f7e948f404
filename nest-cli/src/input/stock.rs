//! Rows of a list of stock, and of the rack, which is a list of stock on hand.

use nest_core::model::{Form, Per, Stock, StockGrain};
use nest_core::units::{MoneyError, Rate, currency_in, parse_money, parse_rate};

use super::cells::Row;
use super::columns::STOCK;
use super::hints::is_no_value;
use super::list::{Empty, Listed, Reading, read_list};
use super::parts::section;
use crate::diagnose::Desk;

/// Reads a list of stock.
pub fn read(source: usize, reading: &mut Reading, desk: &mut Desk) -> Option<Listed<Stock>> {
    read_list(source, "stock", STOCK, Empty::Wrong, reading, desk, |row| stock(row, false))
}

/// Reads the rack: what is on it is on hand, whatever the list says. It may be empty: a plan that leaves nothing says so.
pub fn read_rack(source: usize, reading: &mut Reading, desk: &mut Desk) -> Option<Listed<Stock>> {
    read_list(source, "the rack", STOCK, Empty::Right, reading, desk, |row| stock(row, true))
}

fn stock(row: &mut Row<'_>, rack: bool) -> Stock {
    let per = row.word("per", "each, foot, metre, sqft, sqm or board foot", PER);
    let on_hand = row.yes("on_hand") || rack;
    // It means nothing to the plan, and is kept with what else does not.
    let note = row.some_text("note").filter(|note| !note.is_empty());
    let note = note.map(|note| ("note".to_owned(), note));
    Stock {
        name: row.text("name").to_owned(),
        material: row.required("material", "write the material as the list of parts does"),
        form: row.word("form", "board or sheet", FORMS),
        section: section(row),
        thickness: row.length("thickness"),
        called: row.lengths("called"),
        length: row.required_length("length"),
        width: row.length("width"),
        price: price(row, per.unwrap_or_default(), on_hand),
        per: per.unwrap_or_default(),
        // Nobody owns as many as wanted: a row without a count is one piece.
        qty: row.quantity("qty", (!on_hand).then_some(AS_WANTED)).or(if on_hand { Some(1) } else { None }),
        grain: row.word("grain", "length, width or none", STOCK_GRAIN),
        on_hand,
        factory_edges: row.yes("factory_edges"),
        ripped: row.yes("ripped"),
        trim: row.trim("trim"),
        extra: note.into_iter().chain(row.extra()).collect(),
    }
}

const AS_WANTED: &str = "an empty cell means as many as wanted";

/// Words for what is sold as a board and what as a sheet.
pub const FORMS: &[(&str, Form)] = &[("board", Form::Board), ("sheet", Form::Sheet)];

/// Words for the grain of a sheet.
pub const STOCK_GRAIN: &[(&str, StockGrain)] =
    &[("length", StockGrain::Length), ("width", StockGrain::Width), ("none", StockGrain::None)];

/// Words for what a price is for; the first of each is how it is written.
pub const PER: &[(&str, Per)] = &[
    ("each", Per::Each),
    ("piece", Per::Each),
    ("foot", Per::Foot),
    ("ft", Per::Foot),
    ("lf", Per::Foot),
    ("metre", Per::Metre),
    ("meter", Per::Metre),
    ("m", Per::Metre),
    ("sqft", Per::SquareFoot),
    ("sq ft", Per::SquareFoot),
    ("ft2", Per::SquareFoot),
    ("sqm", Per::SquareMetre),
    ("sq m", Per::SquareMetre),
    ("m2", Per::SquareMetre),
    ("m²", Per::SquareMetre),
    ("board foot", Per::BoardFoot),
    ("board_foot", Per::BoardFoot),
    ("bf", Per::BoardFoot),
];

/// A price a piece has two decimals, one per length or area up to six.
fn price(row: &mut Row<'_>, per: Per, on_hand: bool) -> Option<Rate> {
    let read = |text: &str| match per {
        Per::Each => parse_money(text).map(Rate::from),
        _ => parse_rate(text),
    };
    // A word for no price is no price, from its first letter to its last.
    let none = is_no_value(row.text("price"));
    let hint = |error: &MoneyError| match (none, on_hand) {
        (true, true) => Some("write what it is worth, or leave the cell empty".to_owned()),
        (true, false) => {
            Some("write a price, or leave the cells of all stock of this material empty".to_owned())
        }
        (false, _) => error.hint(),
    };
    let price = row.parsed("price", read, hint, |error| Some(error.span()).filter(|_| !none));
    if let (Some(_), Some(currency)) = (price, currency_in(row.text("price"))) {
        row.currency("price", currency);
    }
    price
}
