//! Orders whose answer is known.

use super::{judged, part, sheet, shop, solved};
use crate::model::{Batch, FirstCut, PartGrain, Shop, Stages};

fn sheets_for(size: [i64; 2], parts: &[([i64; 2], u32)], grain: PartGrain, shop: Shop) -> i128 {
    let parts =
        parts.iter().enumerate().map(|(p, &(size, qty))| part(&format!("part {p}"), size, qty, grain));
    let batch = Batch { parts: parts.collect(), stock: vec![sheet("sheet", size, 1)], shop }.check().unwrap();
    let (_, cost, _, complete) = judged(&batch, solved(&batch, 0, 4_000_000));
    assert!(complete);
    cost
}

/// Orders of a furniture maker: R. Macedo, C. Alves, J. M. Valerio de Carvalho, Comput. Oper. Res. 37 (2010) 991-1001,
/// and E. Silva, F. Alvelos, J. M. Valerio de Carvalho, Eur. J. Oper. Res. 205 (2010) 699-708.
#[test]
fn orders_with_a_known_answer() {
    use PartGrain::{Any, Length as Along};
    let any = || shop(0, Stages::Any);
    let long = [2750, 1220];
    let a1 = [([1680, 420], 6), ([463, 386], 18)];
    assert_eq!(sheets_for(long, &a1, Along, any()), 3);
    assert_eq!(sheets_for(long, &a1, Any, any()), 3);
    let mut strips_along = shop(0, Stages::Limited(2));
    strips_along.sheets.first_cut = FirstCut::Rip;
    assert_eq!(sheets_for(long, &a1, Along, strips_along.clone()), 4);
    let a10 = [([481, 961], 16), ([1938, 81], 12), ([466, 80], 16)];
    assert_eq!(sheets_for([2550, 2100], &a10, Along, any()), 2);
    assert_eq!(sheets_for([2550, 2100], &a10, Along, strips_along), 3);
    let a3 = [([2117, 475], 16), ([463, 386], 1)];
    assert_eq!(sheets_for(long, &a3, Along, any()), 8);
    assert_eq!(sheets_for(long, &a3, Any, any()), 8);
    assert_eq!(sheets_for(long, &[([736, 310], 16), ([986, 310], 1)], Along, any()), 2);
    assert_eq!(sheets_for([2550, 2100], &[([431, 1001], 24)], Along, any()), 3);
    assert_eq!(sheets_for(long, &[([76, 386], 8), ([2357, 375], 8)], Along, any()), 3);
    let chl5 = [
        ([14, 2], 1),
        ([1, 5], 1),
        ([20, 4], 2),
        ([12, 3], 3),
        ([11, 8], 2),
        ([11, 6], 2),
        ([7, 9], 1),
        ([17, 5], 1),
        ([7, 14], 2),
        ([1, 7], 3),
    ];
    assert_eq!(sheets_for([20, 20], &chl5, Along, any()), 3);
}

/// Plain arithmetic: five of 200 fill 1000 exactly without a kerf, four with one, five again with four kerfs more.
#[test]
fn kerfs_stand_between_pieces_only() {
    let fits = |long: i64, kerf: i64| {
        sheets_for([long, 500], &[([200, 500], 5)], PartGrain::Length, shop(kerf, Stages::Any))
    };
    assert_eq!([fits(1000, 0), fits(1000, 1), fits(1003, 1), fits(1004, 1)], [1, 2, 2, 1]);
}

/// By hand: 2 x 3 and 2 x 2 stand on each other in a strip 6 wide, 1 x 5 beside them; its rip and kerf take all of 7.
#[test]
fn where_a_rip_comes_first_its_strip_may_be_wider_than_its_first_piece() {
    let parts = [([2, 3], 1), ([1, 5], 1), ([2, 2], 1)];
    let mut rip = shop(1, Stages::Any);
    rip.sheets.first_cut = FirstCut::Rip;
    assert_eq!(sheets_for([6, 7], &parts, PartGrain::Length, rip), 1);
}

/// Two pieces 2 x 1, two 1 x 2 and one 1 x 1 tile a square of 3 without a single through-cut.
#[test]
fn a_pinwheel_takes_two_sheets() {
    let parts = [([2, 1], 2), ([1, 2], 2), ([1, 1], 1)];
    assert_eq!(sheets_for([3, 3], &parts, PartGrain::Length, shop(0, Stages::Any)), 2);
}
