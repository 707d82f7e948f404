//! What was done of a job before its plan was made, in the file.

use super::question::{PartRow, StockRow};
use nest_core::rest::{Before, Made};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct BeforeFile<'a> {
    made: Vec<MadeFile<'a>>,
    gone: Vec<StockRow<'a>>,
    carried: usize,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct MadeFile<'a> {
    part: PartRow<'a>,
    piece: StockRow<'a>,
}

pub fn serialize<S: Serializer>(before: &Before, out: S) -> Result<S::Ok, S::Error> {
    let made = |made: &'_ Made| MadeFile {
        part: PartRow(Cow::Owned(made.part.clone())),
        piece: StockRow(Cow::Owned(made.piece.clone())),
    };
    let file = BeforeFile {
        made: before.made.iter().map(made).collect(),
        gone: before.gone.iter().map(|stock| StockRow(Cow::Borrowed(stock))).collect(),
        carried: before.carried,
    };
    file.serialize(out)
}

pub fn deserialize<'de, D: Deserializer<'de>>(input: D) -> Result<Cow<'static, Before>, D::Error> {
    let file = BeforeFile::deserialize(input)?;
    let made = |made: MadeFile<'_>| Made { part: made.part.0.into_owned(), piece: made.piece.0.into_owned() };
    Ok(Cow::Owned(Before {
        made: file.made.into_iter().map(made).collect(),
        gone: file.gone.into_iter().map(|stock| stock.0.into_owned()).collect(),
        carried: file.carried,
    }))
}
