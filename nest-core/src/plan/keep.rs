//! Is a leftover worth keeping? One rule for whoever makes a plan and whoever judges it.

use super::{Kind, Node};
use crate::model::{Shop, UsableStock};
use crate::units::Length;

/// Whether a leftover of this size (along the length of the stock, and across) is worth keeping.
///
/// Of a board: at least as long as the shop's limit and, where the board has a width, at least half as wide as it:
/// a thinner strip is no longer a board of its section. Of a sheet: its long and short side both within the shop's
/// limits. Common practice, no published source.
pub fn worth_keeping(shop: &Shop, stock: &UsableStock, size: [Length; 2]) -> bool {
    if stock.board {
        let width = stock.usable()[1].ticks();
        size[0] >= shop.boards.keep && i128::from(size[1].ticks()) * 2 >= width.into()
    } else {
        let [long, short] = shop.sheets.keep;
        size[0].max(size[1]) >= long && size[0].min(size[1]) >= short
    }
}

/// A leftover of this size, marked as the shop's limits have it.
pub fn leftover(shop: &Shop, stock: &UsableStock, size: [Length; 2]) -> Node {
    let kind = if worth_keeping(shop, stock, size) { Kind::Offcut } else { Kind::Waste };
    Node { size, kind }
}
