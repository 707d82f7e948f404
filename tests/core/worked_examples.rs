//! Published examples of one-dimensional cutting: the optimum is found and proven. Sources beside each; optima were
//! re-derived by an integer program over all patterns, so a wrong memory of the source would not go unnoticed.

use super::build::{Boards, assert_least};

/// Paper mill, stock 5600 mm, 73 rolls. Data and answer: encyclopedia example "Cutting stock problem", also in a
/// public sample of an optimisation suite.
const MILL: [(i64, u32); 13] = [
    (1380, 22),
    (1520, 25),
    (1560, 12),
    (1710, 14),
    (1820, 18),
    (1880, 18),
    (1930, 20),
    (2000, 10),
    (2050, 12),
    (2100, 14),
    (2140, 16),
    (2150, 18),
    (2200, 20),
];
/// V. Chvatal, Linear Programming, 1983, chapter 13: stock 100 in, LP 452.25, optimum 453.
const HUNDRED: [(i64, u32); 4] = [(45, 97), (36, 610), (31, 395), (14, 211)];
/// Gilmore and Gomory, Operations Research 9 (1961) 849-859; data and answer 170 from memory.
const THREE: [(i64, u32); 3] = [(2, 20), (3, 10), (4, 20)];
/// Model library example with three raw widths (after L. Schrage, Optimization Modeling with LINGO).
const RAWS: [(i64, u32); 8] =
    [(60, 500), (56, 400), (42, 300), (38, 450), (34, 350), (24, 100), (15, 800), (10, 1000)];

/// Sizes in thousandths of their unit, so that fractions are exact.
fn scaled(list: &[(i64, u32)], scale: i64) -> Vec<(i64, u32)> {
    list.iter().map(|&(length, qty)| (length * scale, qty)).collect()
}

fn mill(kerf: i64) -> Boards {
    Boards::new().stock(5_600_000, 1).parts(&scaled(&MILL, 1000)).kerf(kerf)
}

fn hundred(kerf: i64) -> Boards {
    Boards::new().stock(100_000, 1).parts(&scaled(&HUNDRED, 1000)).kerf(kerf)
}

fn three(kerf: i64) -> Boards {
    Boards::new().stock(9_000, 10).stock(6_000, 7).stock(5_000, 6).parts(&scaled(&THREE, 1000)).kerf(kerf)
}

fn raws(kerf: i64) -> Boards {
    Boards::new().stock(72_000, 28).stock(48_000, 19).stock(36_000, 15).parts(&scaled(&RAWS, 1000)).kerf(kerf)
}

#[test]
fn paper_mill_needs_73_rolls() {
    assert_least(&mill(0), 73);
}

#[test]
fn paper_mill_with_3_mm_kerf_needs_74() {
    // Derived: equivalent to 5603 and each width + 3; LP 1023/14.
    assert_least(&mill(3_000), 74);
}

#[test]
fn hundred_inch_raws_need_453() {
    assert_least(&hundred(0), 453);
}

#[test]
fn hundred_inch_raws_with_1_in_kerf_still_need_453() {
    // Derived: equivalent to 101 and 46, 37, 32, 15.
    assert_least(&hundred(1_000), 453);
}

#[test]
fn ninety_one_inch_raws_need_44() {
    // Chvatal, same chapter; data from memory. Half inches.
    assert_least(
        &Boards::new().stock(91_000, 1).parts(&[(25_500, 78), (22_500, 40), (20_000, 30), (15_000, 30)]),
        44,
    );
}

#[test]
fn three_stock_lengths_cost_170() {
    assert_least(&three(0), 170);
}

#[test]
fn three_stock_lengths_with_an_eighth_kerf_cost_190() {
    assert_least(&three(125), 190);
}

#[test]
fn modelling_book_example_needs_47() {
    // Fourer, Gay, Kernighan, AMPL, chapters 14 and 15; answers from memory, re-derived.
    let parts = scaled(&[(20, 48), (45, 35), (50, 24), (55, 10), (75, 8)], 1000);
    assert_least(&Boards::new().stock(110_000, 1).parts(&parts), 47);
}

#[test]
fn two_decimal_sizes_need_18() {
    // Often used with the same book's example: LP 17.9412.
    assert_least(
        &Boards::new().stock(64_500, 1).parts(&[(6_770, 10), (7_560, 40), (17_460, 33), (18_760, 10)]),
        18,
    );
}

#[test]
fn seventeen_foot_boards_need_19() {
    // W. Winston, Operations Research; data from memory. LP 55/3.
    assert_least(&Boards::new().stock(17_000, 1).parts(&[(3_000, 25), (5_000, 20), (9_000, 15)]), 19);
}

#[test]
fn twenty_foot_rolls_need_263() {
    // H. Taha, Operations Research: An Introduction; data from memory. LP 262.5, area 242.5.
    assert_least(&Boards::new().stock(20_000, 1).parts(&[(5_000, 150), (7_000, 200), (9_000, 300)]), 263);
}

#[test]
fn logs_of_40_need_89() {
    // Documentation example of a numerical computing environment; from memory.
    assert_least(
        &Boards::new().stock(40_000, 1).parts(&[(8_000, 90), (12_000, 111), (16_000, 55), (20_000, 30)]),
        89,
    );
}

#[test]
fn column_generation_tutorial_needs_334() {
    // Tutorial of an algebraic modelling language: rounding up gives 341, restricted integer program 334 = LP.
    let tenths = [
        (750, 38),
        (750, 44),
        (750, 30),
        (750, 41),
        (750, 36),
        (538, 33),
        (530, 36),
        (510, 41),
        (502, 35),
        (322, 37),
        (308, 44),
        (298, 49),
        (201, 37),
        (162, 36),
        (145, 42),
        (110, 33),
        (86, 47),
        (82, 35),
        (66, 49),
        (51, 42),
    ];
    assert_least(&Boards::new().stock(100_000, 1).parts(&scaled(&tenths, 100)), 334);
}

#[test]
fn three_raw_widths_cost_46602_though_the_relaxation_says_46600() {
    // The integer cover proves the difference: no whole numbers of raws cost 46600 or 46601.
    assert_least(&raws(0), 46_602);
}

#[test]
fn three_raw_widths_with_an_eighth_kerf_cost_48553() {
    assert_least(&raws(125), 48_553);
}

#[test]
fn without_the_round_up_property_3_are_needed_and_proven() {
    // Standard in the literature on integer round-up (Marcotte; Fieldhouse; Scheithauer and Terno); from memory.
    assert_least(&Boards::new().stock(132_000, 1).parts(&[(44_000, 2), (33_000, 3), (12_000, 6)]), 3);
}

#[test]
fn limited_stock_at_three_prices_costs_725() {
    // A public teaching script, origin unknown; checked optimum 725.
    let boards = Boards::new()
        .stock(10_000, 19)
        .limited(360)
        .stock(6_000, 10)
        .limited(360)
        .stock(4_000, 6)
        .limited(360)
        .parts(&scaled(&[(2, 400), (3, 350), (5, 200), (8, 150)], 1000));
    // Costs of 1.9, 1.0 and 0.6 in tenths.
    assert_least(&boards, 7_250);
}
