//! Boards of three invented jobs: the least cost was proved by an integer program over all cutting patterns.

use super::build::{Boards, assert_least};
use nest_core::search::Effort;
use nest_core::solution::Status;

const INCH: i64 = 25_400;
const EIGHTH: i64 = INCH / 8;

/// Stock and parts in eighths of an inch, costs in hundredths.
fn inches(stock: &[(i64, i64, Option<u32>)], parts: &[(i64, u32)], trim: i64) -> Boards {
    let mut boards = Boards::new().kerf(EIGHTH).trim(trim);
    for &(length, cost, qty) in stock {
        boards = boards.stock(length * EIGHTH, cost);
        if let Some(qty) = qty {
            boards = boards.limited(qty);
        }
    }
    parts.iter().fold(boards, |boards, &(length, qty)| boards.part(length * EIGHTH, qty))
}

fn millimetres(stock: &[(i64, i64)], parts: &[(i64, u32)], trim: i64) -> Boards {
    let boards = Boards::new().kerf(3_200).trim(trim);
    let boards = stock.iter().fold(boards, |boards, &(length, cost)| boards.stock(length * 1000, cost));
    parts.iter().fold(boards, |boards, &(length, qty)| boards.part(length * 1000, qty))
}

/// Eighths of an inch in so many feet.
const fn feet(feet: i64) -> i64 {
    feet * 96
}

const CLOSET_1X2: [(i64, u32); 4] = [(672, 6), (216, 6), (152, 6), (700, 2)];

fn closet_1x2(trim: i64) -> Boards {
    inches(&[(feet(8), 790, None), (feet(10), 1020, None)], &CLOSET_1X2, trim)
}

fn garage_2x4(trim: i64) -> Boards {
    let stock = [
        (feet(8), 385, None),
        (feet(10), 560, None),
        (feet(12), 710, None),
        (feet(14), 890, None),
        (feet(16), 1040, None),
        (741, 345, Some(12)),
    ];
    let parts = [(720, 10), (166, 20), (672, 16), (166, 24), (1344, 2), (262, 6), (576, 4), (180, 6)];
    inches(&stock, &parts, trim)
}

fn garage_1x2(trim: i64) -> Boards {
    let parts = [(672, 8), (588, 2), (216, 2), (288, 5), (288, 4), (264, 4), (188, 12)];
    inches(&[(feet(8), 260, None)], &parts, trim)
}

fn kitchen_oak(trim: i64) -> Boards {
    let parts = [(776, 8), (374, 4), (724, 2), (524, 3), (324, 2), (876, 2)];
    millimetres(&[(2400, 1320), (3000, 1680)], &parts, trim)
}

#[test]
fn closet_face_frames_cost_86_90() {
    assert_least(&closet_1x2(0), 8_690);
    assert_least(&closet_1x2(INCH / 4), 8_690);
}

#[test]
fn closet_trim_boards_cost_31_20() {
    for trim in [0, INCH / 4] {
        assert_least(&inches(&[(feet(8), 1560, None), (feet(10), 1990, None)], &[(674, 2)], trim), 3_120);
    }
}

#[test]
fn closet_rods_cost_14_00() {
    for trim in [0, INCH / 4] {
        assert_least(&inches(&[(feet(8), 1400, None), (feet(6), 1050, None)], &[(227, 3)], trim), 1_400);
    }
}

#[test]
fn garage_frames_cost_178_55_and_180_95_with_squared_ends() {
    assert_least(&garage_2x4(0), 17_855);
    assert_least(&garage_2x4(INCH / 4), 18_095);
}

#[test]
fn garage_strips_cost_49_40() {
    assert_least(&garage_1x2(0), 4_940);
    assert_least(&garage_1x2(INCH / 4), 4_940);
}

#[test]
fn garage_braces_cost_18_20() {
    for trim in [0, INCH / 4] {
        assert_least(&inches(&[(feet(8), 590, None), (feet(12), 910, None)], &[(532, 4)], trim), 1_820);
    }
}

#[test]
fn kitchen_frames_cost_76_80() {
    assert_least(&kitchen_oak(0), 7_680);
    assert_least(&kitchen_oak(5_000), 7_680);
}

#[test]
fn kitchen_worktop_costs_210() {
    for trim in [0, 5_000] {
        assert_least(&millimetres(&[(3050, 21_000), (4000, 26_800)], &[(2920, 1)], trim), 21_000);
    }
}

/// How many pieces come out of one length: n of them do and n + 1 do not. Computed: floor((L - 2T + k) / (p + k)).
#[test]
fn one_length_gives_as_many_pieces_as_computed() {
    let in_ = INCH;
    let rows = [
        (96 * in_, 24 * in_, EIGHTH, 0, 3),
        (97 * in_, 24 * in_, EIGHTH, in_ / 4, 4),
        (96 * in_, 189 * EIGHTH, EIGHTH, 0, 4),
        (48 * in_, 12 * in_, EIGHTH, 0, 3),
        (49 * in_, 12 * in_, EIGHTH, in_ / 4, 4),
        (48 * in_, 95 * EIGHTH, EIGHTH, 0, 4),
        (48 * in_, 127 * EIGHTH, EIGHTH, 0, 3),
        (48 * in_, 16 * in_, EIGHTH, 0, 2),
        (96 * in_, 255 * EIGHTH, EIGHTH, 0, 3),
        (96 * in_, 32 * in_, EIGHTH, 0, 2),
        (2_440_000, 600_000, 3_200, 0, 4),
        (2_440_000, 600_000, 4_400, 10_000, 4),
        (2_800_000, 700_000, 4_400, 10_000, 3),
        (2_800_000, 690_000, 4_400, 10_000, 4),
        (1_220_000, 400_000, 3_200, 0, 3),
        (1_220_000, 590_000, 3_200, 10_000, 2),
    ];
    for (length, piece, kerf, trim, count) in rows {
        let boards = |qty| Boards::new().stock(length, 1).part(piece, qty).kerf(kerf).trim(trim);
        assert_least(&boards(count), 1);
        assert_least(&boards(count + 1), 2);
        // Of one length and no more, one piece is left over, and that is proven.
        let short = boards(count + 1).limited(1).solve(Effort::Normal);
        assert_eq!((short.status, &short.plan.unplaced[..]), (Status::Partial, &[(0, 1)][..]));
        assert!(short.groups[0].impossible);
    }
}
