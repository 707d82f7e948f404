//! Closets of one size of sheet: hardly two panels are alike, and few go on a sheet. What their plans cost is proven by the
//! certificate that comes with them.

use super::build_sheets::Sheets;
use nest_core::search::Effort;
use nest_core::solution::Status;

/// A cabinet: its depth, its height, how many sides it has, and for each bay its width and how many shelves.
type Cabinet<'a> = (i64, i64, u32, &'a [(i64, u32)]);

/// Sides, tops and bottoms of the full depth; shelves are 20 mm less deep and 2 mm less wide.
fn closet(sheet: [i64; 2], cost: i64, cabinets: &[Cabinet<'_>]) -> Sheets {
    let mut sheets = Sheets::new().sheet(sheet, cost).kerf(3).trim(10).stages(3, true);
    for &(depth, height, sides, bays) in cabinets {
        sheets = sheets.part([height, depth], sides);
        for &(width, shelves) in bays {
            sheets = sheets.part([width, depth], 2).part([width - 2, depth - 20], shelves);
        }
    }
    sheets
}

fn assert_proven(sheets: &Sheets, cost: i128) {
    let solution = sheets.solve(Effort::Normal);
    assert_eq!((solution.cost, solution.floor), (100 * cost, 100 * cost));
    assert_eq!(solution.status, Status::Proven);
}

/// Chains of ruin and recreate alone end a sheet above this, whatever the seed: a dive finds what goes together.
#[test]
fn dives_find_a_sheet_less() {
    let cabinets: [Cabinet<'_>; 6] = [
        (335, 1895, 2, &[(541, 2), (610, 4)]),
        (334, 2218, 4, &[(747, 3), (713, 2)]),
        (324, 1809, 2, &[(879, 4), (831, 2)]),
        (433, 1865, 4, &[(395, 2), (457, 3)]),
        (496, 1863, 4, &[(553, 3), (791, 4)]),
        (423, 2368, 2, &[(868, 3), (461, 4), (422, 3)]),
    ];
    assert_proven(&closet([2440, 1220], 54, &cabinets), 11 * 54);
}

/// Neither areas nor sets prove this: prices for layouts of any number of copies do.
#[test]
fn the_relaxation_over_layouts_proves_what_sets_do_not() {
    let cabinets: [Cabinet<'_>; 4] = [
        (595, 2094, 4, &[(686, 4), (687, 4)]),
        (391, 2357, 4, &[(632, 3), (464, 4)]),
        (507, 2169, 2, &[(569, 3), (710, 2)]),
        (544, 2096, 2, &[(554, 4), (577, 3)]),
    ];
    assert_proven(&closet([2440, 1220], 54, &cabinets), 11 * 54);
}

/// The relaxation uses sets of thirteen pieces and more, and of twelve that can be parted in too many ways: their largest
/// pieces tell that they cannot be cut.
#[test]
fn sets_of_many_pieces_are_told_by_their_largest() {
    let sheets = Sheets::new().kerf(1).sheet([768, 384], 62).sheet([384, 384], 41).sheet([960, 384], 95);
    let sheets = sheets.sheet([704, 160], 0).limited(1);
    let sheets = sheets.part([252, 190], 4).part([252, 192], 1).part([384, 32], 2).turning();
    let lengthwise = [(248, 96, 6), (248, 142, 2), (380, 32, 6), (192, 32, 1), (268, 128, 3)];
    assert_proven(&sheets.parts(&lengthwise), 157);
}
