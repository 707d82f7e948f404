//! What is to spare on a board or a sheet when all pieces and the kerfs between them are off.

use super::words::Words;
use nest_core::model::UsableStock;
use nest_core::plan::{Kind, Node};
use nest_core::units::{Length, System};

/// What is to spare in one direction.
#[derive(Clone, Debug)]
pub struct Spare {
    /// As text.
    pub text: String,
    /// Nothing at all.
    pub none: bool,
    /// Less than 1/16 in, or 2 mm: measure the board before the first cut.
    pub tight: bool,
}

/// What is to spare along a board.
pub(super) fn of_board(root: &Node, kerf: Length, words: &Words) -> Spare {
    judged(least_spare(root, 0, kerf, None).unwrap_or(root.size[0]), words)
}

/// What is to spare along a sheet and across it. Parts as wide as their board have nothing to spare by nature, and where
/// there are no others there is nothing to say.
pub(super) fn of_sheet(root: &Node, stock: &UsableStock, words: &Words) -> Vec<Spare> {
    let spare = |axis: usize| {
        let whole = Some(root.size[axis]).filter(|_| stock.board && axis == 1);
        Some(judged(least_spare(root, axis, stock.kerf, whole)?, words))
    };
    [0, 1].into_iter().filter_map(spare).collect()
}

fn judged(left: Length, words: &Words) -> Spare {
    let limit = match words.system() {
        System::Inch => Length::from_ticks(Length::TICKS_PER_INCH / 16),
        System::Metric => Length::mm(2),
    };
    Spare { text: words.spare(left), none: !left.is_positive(), tight: left < limit }
}

/// The least that any line of pieces in one direction has to spare, those of the size `whole` left out; `None` where
/// there is no piece.
fn least_spare(node: &Node, axis: usize, kerf: Length, whole: Option<Length>) -> Option<Length> {
    let (way, children) = match &node.kind {
        Kind::Piece { .. } => return (whole != Some(node.size[axis])).then_some(Length::ZERO),
        Kind::Offcut | Kind::Waste => return None,
        Kind::Cut { way, children } => (way, children),
    };
    let wanted = children.iter().filter_map(|child| Some((child, least_spare(child, axis, kerf, whole)?)));
    if way.axis() != axis {
        return wanted.map(|(_, spare)| spare).min();
    }
    let mut left = node.size[axis] + kerf;
    let mut none = true;
    for (child, inside) in wanted {
        left -= child.size[axis] + kerf;
        left += inside;
        none = false;
    }
    (!none).then_some(left)
}

#[cfg(test)]
mod tests {
    use super::*;
    use nest_core::plan::Way;

    fn mm(along: i64, across: i64) -> [Length; 2] {
        [Length::mm(along), Length::mm(across)]
    }

    fn piece(along: i64, across: i64) -> Node {
        Node { size: mm(along, across), kind: Kind::Piece { part: 0, turned: false } }
    }

    fn cut(along: i64, across: i64, way: Way, children: Vec<Node>) -> Node {
        Node { size: mm(along, across), kind: Kind::Cut { way, children } }
    }

    #[test]
    fn the_tightest_line_of_each_direction_counts() {
        let kerf = Length::mm(3);
        // Strips 100 and 90 across 196 with a kerf: 3 mm over. Along: 200 and 190 with a kerf in 400: 7 mm over.
        let waste = Node { size: mm(4, 100), kind: Kind::Waste };
        let first = cut(400, 100, Way::Crosscut, vec![piece(200, 100), piece(190, 100), waste]);
        let second = cut(400, 90, Way::Crosscut, vec![piece(150, 90)]);
        let root = cut(400, 196, Way::Rip, vec![first, second]);
        assert_eq!(least_spare(&root, 0, kerf, None), Some(Length::mm(7)));
        assert_eq!(least_spare(&root, 1, kerf, None), Some(Length::mm(3)));
        // A strip that is wider than what is in it adds that.
        let loose = cut(400, 96, Way::Crosscut, vec![cut(150, 96, Way::Rip, vec![piece(150, 90)])]);
        let root = cut(400, 96, Way::Rip, vec![loose]);
        assert_eq!(least_spare(&root, 1, kerf, None), Some(Length::mm(6)));
        assert_eq!(least_spare(&Node { size: mm(1, 1), kind: Kind::Offcut }, 0, kerf, None), None);
    }
}
