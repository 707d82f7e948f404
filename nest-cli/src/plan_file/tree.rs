//! The tree of cuts in the file: a node says its size and exactly one of `cut`, `piece` and `left`.
//!
//! Two levels of JSON for one level of the tree, so that what the reader allows (128 levels) is far deeper than
//! anything a saw would follow.

use super::is_default;
use nest_core::plan::{Kind, Node, Way};
use nest_core::units::Length;
use serde::ser::SerializeStruct;
use serde::{Deserialize, Serialize, Serializer};
use std::borrow::Cow;

/// A node, borrowed for writing and owned after reading.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(try_from = "NodeFile")]
pub struct Tree<'a>(pub Cow<'a, Node>);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NodeFile {
    size: [Length; 2],
    cut: Option<Way>,
    children: Option<Vec<Tree<'static>>>,
    piece: Option<usize>,
    turned: Option<bool>,
    left: Option<Left>,
}

#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Left {
    Offcut,
    Waste,
}

impl TryFrom<NodeFile> for Tree<'static> {
    type Error = &'static str;

    fn try_from(file: NodeFile) -> Result<Self, Self::Error> {
        let kind = match file {
            NodeFile {
                cut: Some(way),
                children: Some(children),
                piece: None,
                turned: None,
                left: None,
                ..
            } => {
                let children = children.into_iter().map(|c| c.0.into_owned()).collect();
                Kind::Cut { way, children }
            }
            NodeFile { piece: Some(part), turned, cut: None, children: None, left: None, .. } => {
                Kind::Piece { part, turned: turned.unwrap_or(false) }
            }
            NodeFile { left: Some(left), cut: None, children: None, piece: None, turned: None, .. } => {
                match left {
                    Left::Offcut => Kind::Offcut,
                    Left::Waste => Kind::Waste,
                }
            }
            _ => {
                return Err("expected a node with exactly one of `cut` (and `children`), `piece` and `left`");
            }
        };
        Ok(Self(Cow::Owned(Node { size: file.size, kind })))
    }
}

impl Serialize for Tree<'_> {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        let node: &Node = &self.0;
        let mut object = out.serialize_struct("Node", 3)?;
        object.serialize_field("size", &node.size)?;
        match &node.kind {
            Kind::Cut { way, children } => {
                let children: Vec<Tree> = children.iter().map(|c| Tree(Cow::Borrowed(c))).collect();
                object.serialize_field("cut", way)?;
                object.serialize_field("children", &children)?;
            }
            Kind::Piece { part, turned } => {
                object.serialize_field("piece", part)?;
                if !is_default(turned) {
                    object.serialize_field("turned", turned)?;
                }
            }
            Kind::Offcut => object.serialize_field("left", &Left::Offcut)?,
            Kind::Waste => object.serialize_field("left", &Left::Waste)?,
        }
        object.end()
    }
}
