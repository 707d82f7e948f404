//! Faults of trees and pieces: sizes, kerfs, edge-to-edge cuts, marks, the flat list.

use super::*;

pub fn layouts() -> Vec<Tampering> {
    vec![
        row("stock that does not exist", &["NoStock", "Unplaced"], |_, plan| plan.layouts[0].stock = 3),
        row("stock index out of all range", &["NoStock", "Unplaced"], |_, plan| {
            plan.layouts[0].stock = usize::MAX;
        }),
        row("no copies", &["NoCopies", "Unplaced"], |_, plan| plan.layouts[0].copies = 0),
        row("layout without a piece", &["NoPieces"], |_, plan| {
            plan.layouts.push(layout(0, offcut(2380, 89)));
        }),
        row("layout into the edge trim", &["RootSize"], |_, plan| {
            replant(plan, 0, crosscut(2400, 89, vec![piece(800, 89, 0), piece(800, 89, 0), offcut(794, 89)]));
        }),
        row("layout shorter than its stock", &["RootSize"], |_, plan| {
            replant(plan, 0, crosscut(2379, 89, vec![piece(800, 89, 0), piece(800, 89, 0), offcut(773, 89)]));
        }),
        row("layout wider than its stock", &["RootSize"], |_, plan| {
            let strip = crosscut(2420, 400, vec![side(), side(), side(), waste(311, 400)]);
            let backs = at(&mut plan.layouts[3].root, &[1]).clone();
            replant(plan, 3, rip(2420, 1220, vec![strip, backs, offcut(2420, 414)]));
        }),
        row("layout of one board cut from another", &["RootSize"], |_, plan| {
            let root = plan.layouts[1].root.clone();
            plan.layouts[1] = layout(1, root);
        }),
    ]
}

pub fn trees() -> Vec<Tampering> {
    vec![
        row("kerf forgotten", &["Overfull"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[0] = Length::mm(780));
        }),
        row("one kerf forgotten", &["Overfull"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[0] = Length::mm(777));
        }),
        row("one tick too much", &["Overfull"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[0] += TICK);
        }),
        row("one kerf too many before a leftover", &["SplitsLeftover"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[0] -= TICK);
        }),
        row("gap wider than a kerf", &["Underfull", "SplitsLeftover"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[0] -= Length::mm(KERF) + TICK);
        }),
        row("tail wider than a kerf", &["Underfull"], |_, plan| {
            widen_the_cleats(plan, 813);
        }),
        row("leftover forgotten", &["Underfull"], |_, plan| {
            replant(plan, 0, crosscut(2380, 89, vec![piece(800, 89, 0), piece(800, 89, 0)]));
        }),
        row("size below nothing", &["NoSize", "Underfull", "SplitsLeftover"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[0] = Length::mm(-774));
        }),
        row("size of nothing", &["NoSize", "Underfull", "SplitsLeftover"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[0] = Length::ZERO);
        }),
        row("sizes whose sum wraps around", &["Overfull", "PieceSize", "Pieces", "TooMany"], |_, plan| {
            prune(plan, 0, |root| {
                let huge = Node { size: [Length::from_ticks(i64::MAX), Length::mm(89)], ..piece(1, 89, 0) };
                let Kind::Cut { children, .. } = &mut root.kind else { panic!("not divided") };
                children.extend([huge.clone(), huge]);
            });
        }),
        row("cut into nothing", &["NoChildren", "NoPieces", "Unplaced"], |_, plan| {
            replant(plan, 0, crosscut(2380, 89, vec![]));
        }),
        row("cut that does not go through", &["NotThrough"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).size[1] -= TICK);
        }),
        row("strip wider than its blank", &["NotThrough"], |_, plan| {
            prune(plan, 3, |root| at(root, &[2]).size[0] += TICK);
        }),
        row("leftover cut in two", &["SplitsLeftover"], |_, plan| {
            replant(
                plan,
                0,
                crosscut(
                    2380,
                    89,
                    vec![piece(800, 89, 0), piece(800, 89, 0), waste(171, 89), offcut(600, 89)],
                ),
            );
        }),
        row("leftover divided for no piece", &["SplitsLeftover"], |_, plan| {
            prune(plan, 0, |root| {
                *at(root, &[2]) = crosscut(774, 89, vec![offcut(700, 89), waste(71, 89)]);
            });
        }),
        row("offcut shorter than worth keeping", &["WrongMark"], |_, plan| {
            prune(plan, 1, |root| at(root, &[2]).kind = Kind::Offcut);
        }),
        row("sheet offcut too short to keep", &["WrongMark"], |_, plan| {
            prune(plan, 3, |root| at(root, &[0, 3]).kind = Kind::Offcut);
        }),
        row("strip too thin to keep", &["WrongMark"], |_, plan| {
            prune(plan, 1, |root| at(root, &[1, 1]).kind = Kind::Offcut);
        }),
        row("waste that is worth keeping", &["WrongMark"], |_, plan| {
            prune(plan, 0, |root| at(root, &[2]).kind = Kind::Waste);
        }),
        row("sheet waste that is worth keeping", &["WrongMark"], |_, plan| {
            prune(plan, 3, |root| at(root, &[2]).kind = Kind::Waste);
        }),
        row("tree without an end", &["TooDeep", "NoPieces", "Pieces", "Unplaced"], |_, plan| {
            let nest = |node, _| crosscut(2380, 89, vec![node]);
            replant(plan, 0, (0..500).fold(piece(800, 89, 0), nest));
        }),
    ]
}

pub fn pieces() -> Vec<Tampering> {
    vec![
        row("part that does not exist", &["NoPart", "Unplaced"], |_, plan| {
            prune(plan, 0, |root| at(root, &[0]).kind = Kind::Piece { part: 6, turned: false });
        }),
        row("part index out of all range", &["NoPart", "Unplaced"], |_, plan| {
            prune(plan, 0, |root| at(root, &[0]).kind = Kind::Piece { part: usize::MAX, turned: false });
        }),
        row("part of another material", &["ForeignPart", "TooMany", "Unplaced"], |_, plan| {
            prune(plan, 0, |root| at(root, &[0]).kind = Kind::Piece { part: 4, turned: false });
        }),
        row("piece turned in a board", &["WrongWay"], |_, plan| {
            prune(plan, 0, |root| at(root, &[0]).kind = Kind::Piece { part: 0, turned: true });
        }),
        row("piece across the grain of a sheet", &["WrongWay"], |_, plan| {
            prune(plan, 3, |root| at(root, &[0, 0]).kind = Kind::Piece { part: 4, turned: true });
        }),
        row("turned piece with the sizes of a straight one", &["PieceSize"], |_, plan| {
            prune(plan, 3, |root| at(root, &[1, 1, 0]).kind = Kind::Piece { part: 5, turned: true });
        }),
        row("piece one tick short", &["PieceSize"], |_, plan| {
            prune(plan, 0, |root| {
                at(root, &[0]).size[0] -= TICK;
                at(root, &[2]).size[0] += TICK;
            });
        }),
        row("piece one tick long", &["PieceSize"], |_, plan| {
            prune(plan, 0, |root| {
                at(root, &[0]).size[0] += TICK;
                at(root, &[2]).size[0] -= TICK;
            });
        }),
        row("piece left at the width of its board", &["PieceSize"], |_, plan| {
            prune(plan, 1, |root| *at(root, &[1]) = piece(1000, 89, 2));
        }),
        row("piece ripped one tick narrow", &["PieceSize"], |_, plan| {
            prune(plan, 1, |root| {
                at(root, &[1, 0]).size[1] -= TICK;
                at(root, &[1, 1]).size[1] += TICK;
            });
        }),
        row("piece missing in the list", &["Pieces"], |_, plan| {
            plan.layouts[0].pieces.pop();
        }),
        row("piece twice in the list", &["Pieces"], |_, plan| {
            let piece = plan.layouts[0].pieces[0].clone();
            plan.layouts[0].pieces.push(piece);
        }),
        row("list without pieces", &["Pieces"], |_, plan| plan.layouts[0].pieces.clear()),
        row("part of a listed piece changed", &["Pieces"], |_, plan| plan.layouts[0].pieces[0].part = 3),
        row("place of a listed piece changed along", &["Pieces"], |_, plan| {
            plan.layouts[0].pieces[1].at[0] += TICK;
        }),
        row("place of a listed piece changed across", &["Pieces"], |_, plan| {
            plan.layouts[0].pieces[1].at[1] += TICK;
        }),
        row("place measured from the clean edge", &["Pieces"], |_, plan| {
            for piece in &mut plan.layouts[0].pieces {
                piece.at[0] -= Length::mm(10);
            }
        }),
        row("length of a listed piece changed", &["Pieces"], |_, plan| {
            plan.layouts[0].pieces[1].size[0] -= TICK;
        }),
        row("width of a listed piece changed", &["Pieces"], |_, plan| {
            plan.layouts[0].pieces[1].size[1] = Length::from_ticks(i64::MIN);
        }),
        row("listed piece turned", &["Pieces"], |_, plan| plan.layouts[3].pieces[4].turned = true),
        row("two listed pieces in one place", &["Pieces"], |_, plan| {
            let first = plan.layouts[0].pieces[0].at;
            plan.layouts[0].pieces[1].at = first;
        }),
    ]
}
