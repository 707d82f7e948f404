//! Published examples of cutting sheets edge to edge, and a few that need no source: the answer is reached, and no floor
//! is above it. Sizes are length x width as printed.

use super::build_sheets::{Sheets, assert_proven, assert_reached};
use nest_core::model::FirstCut;
use nest_core::plan::{Kind, Way};
use nest_core::search::Effort;
use nest_core::solution::Solution;
use nest_core::units::Length;

type List = &'static [(i64, i64, u32)];

/// Orders of a furniture maker, set A: R. Macedo, C. Alves, J. M. Valerio de Carvalho, Comput. Oper. Res. 37 (2010)
/// 991-1001.
const A1: List = &[(1680, 420, 6), (463, 386, 18)];
const A10: List = &[(481, 961, 16), (1938, 81, 12), (466, 80, 16)];
const A3: List = &[(2117, 475, 16), (463, 386, 1)];
const A6: List = &[(736, 310, 16), (986, 310, 1)];
const A22: List = &[(431, 1001, 24)];
const A4: List = &[(76, 386, 8), (2357, 375, 8)];
const A43: List = &[
    (987, 705, 1),
    (1903, 486, 2),
    (1120, 486, 2),
    (986, 433, 4),
    (623, 426, 1),
    (228, 210, 2),
    (2357, 935, 2),
    (1181, 733, 4),
    (2040, 320, 1),
    (1236, 143, 2),
    (1780, 740, 1),
];
/// Instances for the best value of one sheet, read as orders: E. Silva, F. Alvelos, J. M. Valerio de Carvalho, Eur. J.
/// Oper. Res. 205 (2010) 699-708. The lists: CHL5 by V. Cung, M. Hifi, B. Le Cun (2000); W by P. Y. Wang, Oper. Res. 31
/// (1983); OF1 by J. F. Oliveira, J. S. Ferreira, Eur. J. Oper. Res. 44 (1990); HH by M. Hifi (1997).
const CHL5: List = &[
    (14, 2, 1),
    (1, 5, 1),
    (20, 4, 2),
    (12, 3, 3),
    (11, 8, 2),
    (11, 6, 2),
    (7, 9, 1),
    (17, 5, 1),
    (7, 14, 2),
    (1, 7, 3),
];
const W: List = &[
    (11, 19, 4),
    (12, 21, 3),
    (14, 23, 4),
    (17, 9, 1),
    (18, 29, 3),
    (21, 31, 3),
    (23, 33, 3),
    (24, 15, 1),
    (24, 15, 2),
    (25, 16, 4),
    (27, 17, 2),
    (32, 22, 3),
    (34, 24, 4),
    (35, 25, 3),
    (36, 26, 4),
    (37, 27, 3),
    (38, 28, 4),
    (39, 29, 4),
    (41, 30, 2),
    (43, 31, 4),
];
const OF1: List = &[
    (29, 5, 1),
    (9, 39, 4),
    (55, 9, 1),
    (31, 15, 1),
    (11, 16, 2),
    (23, 21, 3),
    (29, 14, 4),
    (16, 19, 3),
    (9, 36, 2),
    (22, 4, 2),
];
const HH: List = &[(21, 13, 5), (36, 17, 4), (54, 20, 2), (24, 27, 1), (18, 65, 6)];
/// Class 1, 20 items, instances 1 and 2: J. O. Berkey, P. Y. Wang, J. Oper. Res. Soc. 38 (1987); optima of guillotine
/// cutting as published with the exact methods for two-dimensional bin packing.
const CLASS_1_1: List = &[
    (5, 9, 1),
    (4, 2, 1),
    (10, 6, 1),
    (5, 7, 1),
    (6, 3, 1),
    (10, 7, 1),
    (1, 5, 1),
    (3, 5, 1),
    (6, 9, 1),
    (2, 4, 1),
    (6, 7, 1),
    (7, 2, 1),
    (8, 3, 1),
    (4, 10, 1),
    (4, 5, 1),
    (10, 3, 1),
    (8, 3, 1),
    (7, 8, 1),
    (8, 3, 1),
    (8, 7, 1),
];
const CLASS_1_2: List = &[
    (2, 2, 1),
    (6, 8, 1),
    (10, 2, 1),
    (1, 3, 1),
    (8, 4, 1),
    (3, 10, 1),
    (1, 9, 1),
    (1, 5, 1),
    (6, 3, 1),
    (1, 1, 1),
    (4, 2, 1),
    (9, 2, 1),
    (1, 9, 1),
    (9, 5, 1),
    (4, 7, 1),
    (2, 2, 1),
    (3, 4, 1),
    (9, 7, 1),
    (4, 1, 1),
    (9, 8, 1),
];

const LONG: [i64; 2] = [2750, 1220];
const WIDE: [i64; 2] = [2550, 2100];

fn order(sheet: [i64; 2], list: List) -> Sheets {
    Sheets::new().sheet(sheet, 1).parts(list)
}

#[test]
fn a1_takes_three_sheets_but_four_in_strips_along_the_length() {
    // By hand: a cut at 1680, two large pieces stacked on the left, two columns of three small ones on the right.
    assert_reached(&order(LONG, A1), 3);
    assert_reached(&order(LONG, A1).turning(), 3);
    // Strips along the length hold two large and four small ones a sheet.
    assert_reached(&order(LONG, A1).stages(2, false).first(FirstCut::Rip), 4);
}

#[test]
fn pieces_as_wide_as_the_sheet_need_no_rip_first() {
    // By hand: three wide ones take all of the length; beside two of them the four narrow ones just fit, but are ripped.
    let list = [(300, 500, 5), (294, 122, 4)];
    for trim in [0, 10] {
        let order = |first| {
            let sheets = Sheets::new().sheet([906 + 2 * trim, 500 + 2 * trim], 1).parts(&list);
            sheets.kerf(3).trim(trim).stages(3, true).first(first)
        };
        assert_proven(&order(FirstCut::Crosscut), 2);
        assert_reached(&order(FirstCut::Rip), 3);
        let solution = order(FirstCut::Rip).solve(Effort::Quick);
        let mut wide = 0;
        for layout in solution.plan.layouts {
            let Kind::Cut { way: Way::Crosscut, children } = layout.root.kind else { continue };
            assert!(children.iter().all(|child| !matches!(child.kind, Kind::Cut { .. })), "{children:?}");
            wide += layout.copies
                * children.iter().filter(|c| matches!(c.kind, Kind::Piece { .. })).count() as u32;
        }
        assert_eq!(wide, 5);
    }
}

#[test]
fn a10_takes_two_sheets_but_three_in_two_stages() {
    assert_reached(&order(WIDE, A10), 2);
    assert_reached(&order(WIDE, A10).stages(2, false).first(FirstCut::Rip), 3);
}

#[test]
fn orders_that_turning_does_not_help() {
    // By hand: only two of the large pieces of A3 fit a sheet.
    for sheets in [order(LONG, A3), order(LONG, A3).turning()] {
        assert_proven(&sheets, 8);
    }
    assert_reached(&order(LONG, A6), 2);
    assert_reached(&order(LONG, A6).turning(), 2);
    // By hand: five by two of A22 on a sheet, as they lie.
    assert_reached(&order(WIDE, A22), 3);
    assert_reached(&order(WIDE, A22).turning(), 3);
    assert_reached(&order(LONG, A4), 3);
    assert_reached(&order(LONG, A4).turning(), 3);
}

#[test]
fn a43_saves_a_sheet_by_turning() {
    assert_reached(&order(LONG, A43), 7);
    assert_reached(&order(LONG, A43).turning(), 6);
}

#[test]
fn chl5_takes_three_sheets_but_four_in_two_stages() {
    assert_proven(&order([20, 20], CHL5), 3);
    assert_reached(&order([20, 20], CHL5).stages(2, true), 4);
}

#[test]
fn w_takes_23_sheets_but_24_in_two_stages() {
    assert_reached(&order([70, 40], W), 23);
    // The published two stages cut strips along the length first; columns first do without the 24th.
    assert_reached(&order([70, 40], W).stages(2, true).first(FirstCut::Rip), 24);
    assert_reached(&order([70, 40], W).stages(2, true).first(FirstCut::Crosscut), 23);
}

#[test]
fn of1_takes_four_sheets_and_hh_two_in_any_stages() {
    for (sheet, list, count) in [([70, 40], OF1, 4), ([127, 98], HH, 2)] {
        assert_reached(&order(sheet, list), count);
        assert_reached(&order(sheet, list).stages(2, true), count);
    }
}

#[test]
fn twenty_small_pieces_in_bins() {
    assert_reached(&order([10, 10], CLASS_1_1), 8);
    // The area of all pieces is more than six sheets.
    assert_proven(&order([10, 10], CLASS_1_1).turning(), 7);
    assert_reached(&order([10, 10], CLASS_1_2), 5);
    assert_reached(&order([10, 10], CLASS_1_2).turning(), 5);
    assert_proven(&order([30, 30], CLASS_1_1), 1);
}

/// By plain enumeration (known as the pinwheel): free cutting lays all five on one sheet, edge-to-edge cuts do not.
#[test]
fn a_pinwheel_takes_a_second_sheet() {
    const PARTS: List = &[(2, 1, 2), (1, 2, 2), (1, 1, 1)];
    let pinwheel = order([3, 3], PARTS);
    assert_reached(&pinwheel, 2);
    // Of one sheet, one piece of 2 is left over: the best area is 7.
    let (made, solution) = made_of_one(pinwheel);
    assert_eq!((made, solution.plan.unplaced.len()), (7, 1));
    // No floor is above what the one sheet costs, nor above nothing where it is for free: that it is not enough is more.
    assert!(solution.groups[0].impossible);
    let (_, solution) = made_of_one(Sheets::new().sheet([3, 3], 0).parts(PARTS));
    assert!(solution.groups[0].impossible);
}

/// What is made, by area, where there is one sheet.
fn made_of_one(sheets: Sheets) -> (i64, Solution) {
    let solution = sheets.limited(1).solve(Effort::Quick);
    let millimetres = |side: Length| side.ticks() / Length::TICKS_PER_MM;
    let area = |size: [Length; 2]| size.map(millimetres).iter().product::<i64>();
    let made = solution.plan.layouts[0].pieces.iter().map(|piece| area(piece.size)).sum();
    (made, solution)
}

/// The best value of one sheet as printed with the lists, where value is area.
#[test]
fn of_one_sheet_the_most_is_made() {
    let most = |sheet, list| made_of_one(order(sheet, list)).0;
    assert_eq!(most([20, 20], CHL5), 390);
    assert_eq!(most([70, 40], W), 2721);
    assert_eq!(most([70, 40], OF1), 2737);
    assert_eq!(most([127, 98], HH), 11586);
}

/// How many equal pieces, turned or not, one pallet holds with edge-to-edge cuts: sizes of K. A. Dowsland, Eur. J. Oper.
/// Res. 18 (1984); numbers computed by plain recursion over all cuts.
#[test]
fn equal_pieces_on_a_pallet() {
    for (pallet, (length, width), most) in [
        ([22, 16], (5, 3), 22),
        ([30, 22], (7, 4), 22),
        ([46, 34], (11, 6), 22),
        ([50, 36], (11, 7), 22),
        ([53, 51], (9, 7), 41),
        ([63, 60], (11, 8), 41),
        ([76, 73], (13, 10), 41),
        ([86, 82], (15, 11), 41),
    ] {
        let pieces = |count| Sheets::new().sheet(pallet, 1).part([length, width], count).turning();
        assert_reached(&pieces(most), 1);
        assert_reached(&pieces(most + 1), 2);
    }
}

/// Without waste: the pieces are two dissected sheets, so the area is a floor and is met. Dissected by hand.
#[test]
fn sheets_of_several_sizes_without_waste() {
    let pieces = [
        // 100 x 80: rips at 30 and 55 of the width, each strip cut across.
        (40, 30, 1),
        (60, 30, 1),
        (25, 25, 4),
        (70, 25, 1),
        (30, 10, 1),
        (30, 15, 1),
        // 60 x 50: a crosscut at 35, the halves ripped.
        (35, 20, 1),
        (35, 30, 1),
        (25, 13, 1),
        (25, 37, 1),
    ];
    let area: i64 = pieces.iter().map(|&(length, width, qty)| length * width * i64::from(qty)).sum();
    assert_eq!(area, 100 * 80 + 60 * 50);
    let sheets =
        Sheets::new().sheet([100, 80], 8000).limited(1).sheet([60, 50], 3000).limited(1).parts(&pieces);
    assert_proven(&sheets, 11_000);
}

/// Plain arithmetic: five of 200 fill 1000 without a kerf, four with one, five again with four kerfs more.
#[test]
fn kerfs_stand_between_pieces_only() {
    let five = |length, kerf| Sheets::new().sheet([length, 500], 1).part([200, 500], 5).kerf(kerf);
    // One piece across: a problem of lengths unless half pieces lie beside each other.
    let halves = |length, kerf| Sheets::new().sheet([length, 500 + kerf], 1).part([200, 250], 10).kerf(kerf);
    for (length, kerf, sheets) in [(1000, 0, 1), (1000, 1, 2), (1003, 1, 2), (1004, 1, 1)] {
        let solution = five(length, kerf).solve(Effort::Normal);
        assert_eq!(solution.cost, sheets * 100);
        assert_proven(&halves(length, kerf), sheets as i64);
    }
    let one = halves(1000, 1).limited(1).solve(Effort::Quick);
    let made: usize = one.plan.layouts.iter().map(|layout| layout.pieces.len()).sum();
    assert_eq!(made, 8);
}

/// Plain arithmetic: an edge trim of 10 all round leaves 2780 x 2050 of 2800 x 2070.
#[test]
fn edge_trim_is_taken_on_all_sides() {
    let whole =
        |length, width| Sheets::new().sheet([2800, 2070], 1).part([length, width], 1).trim(10).turning();
    let solution = whole(2780, 2050).solve(Effort::Quick);
    assert_eq!(
        (solution.cost, solution.plan.layouts[0].pieces[0].at),
        (100, [nest_core::units::Length::mm(10); 2])
    );
    for (length, width) in [(2781, 2050), (2780, 2051)] {
        assert!(whole(length, width).batch.check().is_err());
    }
    let quarters = |length| Sheets::new().sheet([2800, 2070], 1).part([length, 1025], 4).trim(10);
    assert_proven(&quarters(1390), 1);
    assert_proven(&quarters(1391), 2);
}

/// Plain arithmetic: along the length three of 1900 x 600 lie on a sheet; turned, four side by side.
#[test]
fn grain_costs_two_sheets_of_seven() {
    let doors = Sheets::new().sheet([2800, 2070], 1).part([1900, 600], 20);
    assert_proven(&doors, 7);
    assert_reached(&doors.turning(), 5);
}

/// By arithmetic: 65 + 2 + 118 + 2 + 65 leaves 2 mm of 254, the kerf. The last strip with its dust is wider than the fence
/// reaches, so that the wide strip before it cannot be freed; next to each other the pieces can.
#[test]
fn dust_behind_the_last_strip_counts_for_the_fence() {
    let mut sheets = Sheets::new().kerf(2).sheet([420, 254], 1).part([26, 118], 1).part([20, 65], 2);
    sheets.batch.shop.sheets.fence_reach = Some(Length::mm(65));
    assert_proven(&sheets, 1);
}

/// In two stages and a trimming cut, pieces of several widths stand in one strip that is far wider than the fence reaches;
/// what is left beside them is ripped off in two.
#[test]
fn what_is_left_beyond_the_fence_takes_no_stage() {
    let list = [(24, 93, 2), (91, 62, 2), (20, 63, 1), (88, 31, 4), (20, 184, 1), (47, 20, 1)];
    let mut sheets = Sheets::new().sheet([420, 260], 1).parts(&list).stages(2, true).first(FirstCut::Rip);
    sheets.batch.shop.sheets.fence_reach = Some(Length::mm(60));
    assert_proven(&sheets, 1);
}
