//! How are a tree of cuts, a floor and a cost written in files of other programs?
//!
//! A node says its size and exactly one of `cut` (with `children`), `piece` and `left`: two levels of JSON for one level
//! of the tree, so that what readers usually allow (128 levels) holds trees of sixty levels, and no saw follows ten. A
//! floor or cost is decimal text, because readers round numbers of more than 53 bits, and square ticks have more.

use serde::de::{Deserialize, Deserializer, Error};
use serde::ser::{Serialize, SerializeStruct, Serializer};

use super::{Kind, Node, Way};
use crate::units::Length;

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Form {
    size: [Length; 2],
    cut: Option<Way>,
    children: Option<Vec<Node>>,
    piece: Option<usize>,
    turned: Option<bool>,
    left: Option<Left>,
}

#[derive(Clone, Copy, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
enum Left {
    Offcut,
    Waste,
}

impl<'de> Deserialize<'de> for Node {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let form = Form::deserialize(deserializer)?;
        let size = form.size;
        let kind = match form {
            Form {
                cut: Some(way), children: Some(children), piece: None, turned: None, left: None, ..
            } => Kind::Cut { way, children },
            Form { piece: Some(part), turned, cut: None, children: None, left: None, .. } => {
                Kind::Piece { part, turned: turned.unwrap_or(false) }
            }
            Form { left: Some(left), cut: None, children: None, piece: None, turned: None, .. } => match left
            {
                Left::Offcut => Kind::Offcut,
                Left::Waste => Kind::Waste,
            },
            _ => {
                return Err(D::Error::custom(
                    "expected a node with exactly one of `cut` (and `children`), `piece` and `left`",
                ));
            }
        };
        Ok(Self { size, kind })
    }
}

impl Serialize for Node {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut object = serializer.serialize_struct("Node", 3)?;
        object.serialize_field("size", &self.size)?;
        match &self.kind {
            Kind::Cut { way, children } => {
                object.serialize_field("cut", way)?;
                object.serialize_field("children", children)?;
            }
            Kind::Piece { part, turned } => {
                object.serialize_field("piece", part)?;
                if *turned {
                    object.serialize_field("turned", turned)?;
                }
            }
            Kind::Offcut => object.serialize_field("left", &Left::Offcut)?,
            Kind::Waste => object.serialize_field("left", &Left::Waste)?,
        }
        object.end()
    }
}

/// Whole numbers as decimal text.
pub(crate) mod text {
    use super::{Deserialize, Deserializer, Error, Serializer};

    pub fn serialize<S: Serializer>(number: &i128, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(number)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<i128, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(|_| D::Error::custom("expected a whole number as text such as \"8690\""))
    }
}
