//! The question inside the file: parts, stock and shop, without the fields that say nothing.
//!
//! The fields of a part and of a stock are listed here a second time, on purpose: this is the public format, and a
//! field added to the model does not reach it (nor get lost in it: leaving one out does not compile) unseen.

use super::is_default;
use nest_core::model::{Batch, Fit, Form, MatchWay, Part, PartGrain, Per, Shop, Stock, StockGrain, Trim};
use nest_core::units::{Length, Nominal, Rate};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct BatchFile<'a> {
    parts: Vec<PartRow<'a>>,
    stock: Vec<StockRow<'a>>,
    shop: Cow<'a, Shop>,
}

#[derive(Serialize, Deserialize)]
#[serde(transparent)]
pub(super) struct PartRow<'a>(#[serde(with = "PartRef")] pub Cow<'a, Part>);

#[derive(Serialize, Deserialize)]
#[serde(transparent)]
pub(super) struct StockRow<'a>(#[serde(with = "StockRef")] pub Cow<'a, Stock>);

pub fn serialize<S: Serializer>(batch: &Batch, out: S) -> Result<S::Ok, S::Error> {
    let file = BatchFile {
        parts: batch.parts.iter().map(|p| PartRow(Cow::Borrowed(p))).collect(),
        stock: batch.stock.iter().map(|s| StockRow(Cow::Borrowed(s))).collect(),
        shop: Cow::Borrowed(&batch.shop),
    };
    file.serialize(out)
}

pub fn deserialize<'de, D: Deserializer<'de>>(input: D) -> Result<Cow<'static, Batch>, D::Error> {
    let file = BatchFile::deserialize(input)?;
    Ok(Cow::Owned(Batch {
        parts: file.parts.into_iter().map(|p| p.0.into_owned()).collect(),
        stock: file.stock.into_iter().map(|s| s.0.into_owned()).collect(),
        shop: file.shop.into_owned(),
    }))
}

struct PartRef;

impl PartRef {
    fn serialize<S: Serializer>(part: &Part, out: S) -> Result<S::Ok, S::Error> {
        PartFile::serialize(part, out)
    }

    fn deserialize<'de, D: Deserializer<'de>>(input: D) -> Result<Cow<'static, Part>, D::Error> {
        PartFile::deserialize(input).map(Cow::Owned)
    }
}

struct StockRef;

impl StockRef {
    fn serialize<S: Serializer>(stock: &Stock, out: S) -> Result<S::Ok, S::Error> {
        StockFile::serialize(stock, out)
    }

    fn deserialize<'de, D: Deserializer<'de>>(input: D) -> Result<Cow<'static, Stock>, D::Error> {
        StockFile::deserialize(input).map(Cow::Owned)
    }
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Part", deny_unknown_fields)]
struct PartFile {
    #[serde(rename = "part")]
    name: String,
    material: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    section: Option<Nominal>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    thickness: Option<Length>,
    length: Length,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    width: Option<Length>,
    qty: u32,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    grain: Option<PartGrain>,
    #[serde(default, skip_serializing_if = "is_default")]
    length_edges: u8,
    #[serde(default, skip_serializing_if = "is_default")]
    width_edges: u8,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    band: Option<String>,
    #[serde(rename = "match", default, skip_serializing_if = "Option::is_none")]
    match_word: Option<String>,
    #[serde(default, skip_serializing_if = "is_default")]
    match_way: MatchWay,
    #[serde(default, skip_serializing_if = "is_default")]
    fit: Fit,
    #[serde(default, skip_serializing_if = "is_default")]
    optional: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    oversize: Length,
    #[serde(default, skip_serializing_if = "is_default")]
    job: String,
    #[serde(default, skip_serializing_if = "is_default")]
    note: String,
    #[serde(default, skip_serializing_if = "is_default")]
    extra: Vec<(String, String)>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Stock", deny_unknown_fields)]
struct StockFile {
    name: String,
    material: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    form: Option<Form>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    section: Option<Nominal>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    thickness: Option<Length>,
    #[serde(default, skip_serializing_if = "is_default")]
    called: Vec<Length>,
    length: Length,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    width: Option<Length>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    price: Option<Rate>,
    #[serde(default, skip_serializing_if = "is_default")]
    per: Per,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    qty: Option<u32>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    grain: Option<StockGrain>,
    #[serde(default, skip_serializing_if = "is_default")]
    on_hand: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    factory_edges: bool,
    #[serde(default, skip_serializing_if = "is_default")]
    ripped: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    trim: Option<Trim>,
    #[serde(default, skip_serializing_if = "is_default")]
    extra: Vec<(String, String)>,
}
