//! Faults of leaves that say how many of a part come from which piece of stock.

use super::*;

/// The second leaf as two that number the short boards: on the first of them at most one cleat, or more.
pub fn with_shares(plan: &mut Plan) {
    let leaves = &mut plan.groups[0].certificate.as_mut().unwrap().leaves;
    let second = leaves.pop().unwrap();
    let leaf = |least, most, value| {
        let on = |piece, value| StockValue { stock: 1, piece: Some(piece), value, reason: Reason::Lengths };
        let share = PartShare { stock: 1, piece: Some(0), parts: vec![1], least, most, price: 203 };
        Leaf {
            values: vec![second.values[0], on(0, value), on(1, 1615)],
            shares: vec![share],
            ..second.clone()
        }
    };
    // Without four cleats nothing is worth more than two shelves.
    leaves.extend([leaf(0, 1, 1606), leaf(2, 4, 1615)]);
}

fn share(plan: &mut Plan) -> &mut PartShare {
    with_shares(plan);
    &mut leaf(plan, 1).shares[0]
}

pub fn shares() -> Vec<Tampering> {
    vec![
        row("value as if there were no limit on cleats", &["Certificate/ValueTooSmall"], |_, plan| {
            with_shares(plan);
            leaf(plan, 2).values[1].value = 1606;
        }),
        row("more cleats on a board than its value allows", &["Certificate/ValueTooSmall"], |_, plan| {
            share(plan).most = 4;
        }),
        row("price raised on one board", &["Certificate/ValueTooSmall"], |_, plan| {
            with_shares(plan);
            leaf(plan, 2).shares[0].price += 1;
        }),
        row("numbers of cleats that no leaf speaks of", &["Certificate/Gap"], |_, plan| {
            with_shares(plan);
            leaf(plan, 2).shares[0].least = 3;
        }),
        row("leaf with more cleats missing", &["Certificate/Gap"], |_, plan| {
            with_shares(plan);
            plan.groups[0].certificate.as_mut().unwrap().leaves.pop();
        }),
        row("leaves that limit other boards", &["Certificate/Gap"], |_, plan| share(plan).piece = Some(1)),
        row("share of no part", &["Certificate/EmptyShare"], |_, plan| share(plan).parts.clear()),
        row("share in a part of another group", &["Certificate/ForeignPart"], |_, plan| {
            share(plan).parts = vec![4];
        }),
        row("share of stock of another group", &["Certificate/ForeignStock"], |_, plan| {
            share(plan).stock = 2
        }),
        row("share that is worth less than nothing", &["Certificate/NegativePrice"], |_, plan| {
            share(plan).price = -1;
        }),
        row("share of a piece without a value", &["Certificate/Share"], |_, plan| {
            share(plan).piece = Some(2)
        }),
        row("share of all pieces beside values of each", &["Certificate/Share"], |_, plan| {
            share(plan).piece = None
        }),
        row("share without room", &["Certificate/Share"], |_, plan| share(plan).least = 2),
        row("share twice", &["Certificate/Share"], |_, plan| {
            let first = share(plan).clone();
            leaf(plan, 1).shares.push(first);
        }),
        row("share in an optional part", &["Certificate/Share"], |_, plan| share(plan).parts = vec![3]),
        row("share in parts out of order", &["Certificate/Share"], |_, plan| share(plan).parts = vec![1, 0]),
        row("share in a part twice", &["Certificate/Share"], |_, plan| share(plan).parts = vec![1, 1]),
        row("share in parts of several prices", &["Certificate/Share"], |_, plan| {
            share(plan).parts = vec![0, 1];
        }),
        row("share in parts of several sizes", &["Certificate/Share"], |_, plan| {
            with_shares(plan);
            let leaf = leaf(plan, 1);
            leaf.prices = vec![(0, 203), (1, 203), (2, 203)];
            leaf.shares[0].parts = vec![1, 2];
        }),
        row("shares of one part in two lists", &["Certificate/Share", "PieceSize"], |batch, plan| {
            // A cleat by another name is like the cleat.
            batch.parts[2] = Part { name: "rail".into(), qty: 1, ..batch.parts[1].clone() };
            with_shares(plan);
            let leaf = leaf(plan, 1);
            leaf.prices = vec![(0, 803), (1, 203), (2, 203)];
            let other = PartShare { piece: Some(1), parts: vec![1, 2], ..leaf.shares[0].clone() };
            leaf.shares.push(other);
        }),
        row("boards numbered from one on", &["Certificate/Pieces"], |_, plan| {
            with_shares(plan);
            leaf(plan, 1).values[2].piece = Some(2);
        }),
        row("value of each board and of all", &["Certificate/Pieces"], |_, plan| {
            with_shares(plan);
            leaf(plan, 1).values[2].piece = None;
        }),
        row("fewer boards with a value than there may be", &["Certificate/NoValue"], |_, plan| {
            with_shares(plan);
            leaf(plan, 1).values.pop();
        }),
        row("nothing said of boards that a leaf allows", &["Certificate/NoValue"], |_, plan| {
            // Nowhere else to go, the cleats would seem to have no place at all.
            with_shares(plan);
            for at in [1, 2] {
                let leaf = leaf(plan, at);
                leaf.values.truncate(1);
                leaf.shares[0] = PartShare { stock: 0, piece: None, ..leaf.shares[0].clone() };
            }
        }),
    ]
}
