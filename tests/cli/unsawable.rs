//! Sheets: what no saw can make is one clear error, and what it can just make is made.

use crate::harness::Nest;

/// Drawer fronts whose grain runs up and down, and a sheet of 8 x 4 ft for them.
fn fronts(rows: &str) -> Nest {
    Nest::new()
        .file(
            "parts.csv",
            format!("part,material,thickness,length,width,qty,grain,match,match_way,optional\n{rows}"),
        )
        .file("stock.csv", "material,thickness,length,width,price\nbirch,3/4,8',4',60\n")
        .args("plan parts.csv --stock stock.csv --units in --effort none")
}

#[test]
fn a_strip_of_matched_parts_longer_than_every_sheet() {
    fronts("top,birch,3/4,19,30,1,width,fronts,,\nlow,birch,3/4,19,33,2,width,fronts,,\n")
        .stderr(
            "\
error: the strip `fronts` (top to low, 3 pieces) is 96 1/4\" long with its kerfs, more than any stock of birch takes
 --> parts.csv:2:29
  |
2 | top,birch,3/4,19,30,1,width,fronts,,
  |                             ^^^^^^
  |
  = hint: the most that can be cut as one strip is 96\": give some of the parts another word in `match`
",
        )
        .exit(2);
}

#[test]
fn parts_of_one_strip_that_differ_across_it() {
    fronts("top,birch,3/4,19,6,1,width,fronts,,\nlow,birch,3/4,18 1/2,8,2,width,fronts,,\n")
        .complains(
            "error: the strip `fronts` is 19\" across at top, but 18 1/2\" here\n --> parts.csv:3:15\n",
        )
        .exit(2);
    fronts("left,birch,3/4,30,15,1,,pair,across,\nright,birch,3/4,29,16,1,,pair,across,\n")
        .complains("error: the strip `pair` is 30\" across at left, but 29\" here\n --> parts.csv:3:17\n")
        .exit(2);
    fronts("top,birch,3/4,19,6,1,width,fronts,along,\nlow,birch,3/4,19,8,2,width,fronts,across,yes\n")
        .complains("error: the strip `fronts` runs along the grain for top, but across the grain here\n")
        .exit(2);
}

#[test]
fn a_match_word_that_only_one_piece_has() {
    fronts("top,birch,3/4,19,6,1,width,front,,\nlow,birch,3/4,19,8,1,width,fronts,,\n")
        .any_stdout()
        .complains("warning: top is alone with its `match` word `front` (and 1 further part with theirs)")
        .complains(" --> parts.csv:2:")
        .exit(0);
}

/// Parts on one sheet of birch, 8 x 4 ft, in a shop with these settings.
fn sawn(rows: &str, shop: &str) -> Nest {
    Nest::new()
        .file("parts.csv", format!("part,material,thickness,length,width,grain\n{rows}"))
        .file("stock.csv", "material,thickness,length,width,price\nbirch,3/4,8',4',60\n")
        .file("shop.toml", format!("units = \"in\"\n{shop}"))
        .args("plan parts.csv --stock stock.csv --shop shop.toml --effort none -q")
}

#[test]
fn a_part_that_no_setting_of_the_saw_can_make() {
    sawn("door,birch,3/4,80,30,\n", "[sheets]\nlongest_rip = 60\nfirst_cut = \"rip\"\n")
        .stderr(
            "\
error: no cut that the saw can make frees 80\" x 30\" from any stock of birch
 --> parts.csv:2:16
  |
2 | door,birch,3/4,80,30,
  |                ^^
  |
  = hint: it could be cut with `longest_rip` 96\" instead of 60\"
",
        )
        .exit(2);
    // Either setting alone would do.
    sawn("door,birch,3/4,50,30,\n", "[sheets]\nlongest_rip = 60\nfirst_cut = \"rip\"\n")
        .complains(
            "it could be cut with `first_cut` either instead of rip, or with `longest_rip` 96\" instead of 60\"",
        )
        .exit(2);
    // More waste than anybody rips off in strips.
    sawn("rail,birch,3/4,40,3,\n", "[sheets]\nfence_reach = \"1/2\"\n")
        .complains("it could be cut with `fence_reach` 3\" instead of 1/2\"")
        .exit(2);
    // Neither alone.
    sawn("door,birch,3/4,80,30,\n", "[sheets]\nlongest_rip = 60\nlongest_crosscut = 24\n")
        .complains("`longest_rip` and `longest_crosscut` together forbid it")
        .exit(2);
    // What it can just make is made.
    for (part, rules) in [
        ("60,30", "longest_rip = 60\nlongest_crosscut = 48\n"),
        ("80,24", "longest_crosscut = 24\n"),
        ("40,47 3/4", "fence_reach = 30\n"),
        // 1/16 in is dust: that edge is squared off along a line.
        ("40,47 15/16", "fence_reach = 30\n"),
        ("40,20", "fence_reach = 6\n"),
        ("40,3", "fence_reach = 1\n"),
        // What is as wide as the sheet needs no rip first, what is as long no crosscut.
        ("40,48", "first_cut = \"rip\"\nstages = 2\ntrimming = false\n"),
        ("96,20", "first_cut = \"crosscut\"\nstages = 2\ntrimming = false\n"),
        // Without kerf, twice the part is the sheet: the reach is less than any size there is.
        ("40,24", "fence_reach = 6\nkerf = 0\n"),
        ("48,24", "fence_reach = 6\nkerf = 0\n"),
    ] {
        sawn(&format!("door,birch,3/4,{part},\n"), &format!("[sheets]\n{rules}"))
            .says("Cost 60.00; proven")
            .exit(0);
    }
}

#[test]
fn a_fence_that_reaches_no_farther_than_its_kerfs() {
    sawn("door,birch,3/4,40,30,\n", "[sheets]\nkerf = \"1/8\"\nfence_reach = \"1/4\"\n")
        .complains("expected a fence that reaches farther than two kerfs of 1/8\", but found 1/4\"")
        .complains("leave it out where there is no fence, as with a track saw")
        .exit(2);
}

#[test]
fn a_board_too_short_to_be_ripped() {
    Nest::new()
        .file("parts.csv", "part,material,thickness,length,width\nwedge,ash,3/4,4,1\n")
        .file("stock.csv", "material,thickness,length,width,price,on_hand\nash,3/4,10,3,1,yes\n")
        .args("plan parts.csv --stock stock.csv --units in --effort none -q")
        .stderr(
            "\
error: no cut that the saw can make frees 4\" x 1\" from any stock of ash
 --> parts.csv:2:15
  |
2 | wedge,ash,3/4,4,1
  |               ^
  |
  = hint: `shortest_rip` is 12\", and all stock is shorter: list longer stock
",
        )
        .exit(2);
}

#[test]
fn a_part_larger_than_every_sheet_after_edge_trim_and_band() {
    let trim =
        "[sheets]\ntrim = \"1/4\"\n[band.thick]\nthickness = \"1/8\"\ndeduct = 0\npre_mill = \"1/32\"\n";
    sawn("side,birch,3/4,96,20,\n", trim)
        .complains("error: 96\" is longer than all stock of birch 3/4\" after the edge trim\n --> parts.csv:2:16\n")
        .complains("the longest is 96\", of which 95 1/2\" remain after the edge trim, 1/2\" too little; trim 0 leaves its ends as they are")
        .exit(2);
    sawn("back,birch,3/4,60,48,\n", trim)
        .complains("error: 48\" is wider than all stock of birch 3/4\" after the edge trim\n --> parts.csv:2:19\n")
        .complains("the widest is 48\", of which 47 1/2\" remain after the edge trim, 1/2\" too little; trim 0 leaves its edges as they are")
        .exit(2);
    sawn("shelf,birch,3/4,97,20,\n", trim)
        .complains("the longest piece that can be cut is 95 1/2\" (of birch 3/4\", 96\" x 48\"), 1 1/2\" too short: list longer stock or make the part of two")
        .exit(2);
    // Finished it would fit; the machine mills 1/32 in off two edges before it glues.
    Nest::new()
        .file(
            "parts.csv",
            "part,material,thickness,length,width,length_edges,band\nback,birch,3/4,60,47 1/2,2,thick\n",
        )
        .file("stock.csv", "material,thickness,length,width,price\nbirch,3/4,8',4',60\n")
        .file("shop.toml", format!("units = \"in\"\n{trim}"))
        .args("plan parts.csv --stock stock.csv --shop shop.toml --effort none -q")
        .complains("error: the blank of 47 9/16\" is wider than all stock of birch 3/4\" after the edge trim, though its part of 47 1/2\" is not\n --> parts.csv:2:19\n")
        .exit(2);
}

/// That it might be turned does not make it shorter.
#[test]
fn a_part_without_grain_that_is_too_long_for_either_side() {
    Nest::new()
        .file("parts.csv", "part,material,thickness,length,width\nstrip,ply,3/4,100 3/8,2\n")
        .file(
            "stock.csv",
            "name,material,thickness,length,width,price,grain\nbig ply,ply,3/4,8',4',60,none\n",
        )
        .args("plan parts.csv --stock stock.csv --units in")
        .complains("error: 100 3/8\" is longer than all stock of ply 3/4\"\n --> parts.csv:2:15\n")
        .complains(
            "can be cut is 96\" (of big ply), 4 3/8\" too short: list longer stock or make the part of two\n",
        )
        .exit(2);
}

#[test]
fn grain_that_forbids_the_only_fit() {
    sawn("back,birch,3/4,40,80,\n", "")
        .stderr(
            "\
error: 40\" x 80\" does not fit any stock of birch 3/4\" with its grain
 --> parts.csv:2:19
  |
2 | back,birch,3/4,40,80,
  |                   ^^
  |
  = hint: it would fit the other way round: check its `grain`
",
        )
        .exit(2);
    sawn("back,birch,3/4,80,40,width\n", "").complains("with its grain").exit(2);
    sawn("back,birch,3/4,40,80,any\n", "").says("Cost 60.00").exit(0);
}

#[test]
fn two_stages_that_cannot_make_a_strip() {
    fronts("top,birch,3/4,19,6,1,width,fronts,,\nlow,birch,3/4,19,8,2,width,fronts,,\n")
        .file("shop.toml", "[sheets]\nfirst_cut = \"crosscut\"\n")
        .args("--shop shop.toml --stages 2")
        .stderr(
            "\
error: no cuts that the saw can make free the strip `fronts` from any stock of birch
 --> parts.csv:2:28
  |
2 | top,birch,3/4,19,6,1,width,fronts,,
  |                            ^^^^^^
  |
  = hint: it could be cut with `first_cut` either instead of crosscut, or with `stages` 3 instead of 2
",
        )
        .exit(2);
}

#[test]
fn a_kerf_wider_than_the_parts() {
    // Six strips of 8 mm and five kerfs of 10 mm take 98 mm of 100.
    let metric = |kerf: &str| {
        Nest::new()
            .file("parts.csv", "part,material,thickness,length,width,qty\nlath,oak,6,200,8,6\n")
            .file("stock.csv", "material,form,thickness,length,width,price\noak,sheet,6,200,100,5\n")
            .args("plan parts.csv --stock stock.csv --units mm -q --kerf")
            .args(kerf)
    };
    metric("10").says("Cost 5.00; proven").exit(0);
    metric("10.4").says("Cost 5.00; proven").exit(0);
    metric("10.5").says("Cost 10.00; proven").exit(0);
}

#[test]
fn parts_as_large_as_a_sheet_without_trim() {
    // Sheets are often cut a little under their nominal size; what counts on it to the last hair is flagged.
    sawn("a,birch,3/4,48,48,\nb,birch,3/4,47 7/8,48,\n", "").says("Cost 60.00; proven").exit(0);
}

#[test]
fn a_million_pieces() {
    Nest::new()
        .file("parts.csv", "part,material,thickness,length,width,qty\ntile,mdf,3/4,12,12,1000000\n")
        .file("stock.csv", "material,thickness,length,width,price\nmdf,3/4,97,49,30\n")
        .args("plan parts.csv --stock stock.csv --units in -q")
        // 8 x 4 tiles with a kerf of 1/8 in: 31250 sheets.
        .says("Cost 937500.00; proven")
        .exit(0);
}

#[test]
fn a_strip_whose_pieces_the_fence_does_not_reach() {
    // Three pieces side by side on the 8 ft of a sheet that is ripped across. Only the widest may be wider than the fence
    // reaches: it is what is left when the others have come off from both edges.
    let strip = |rows: &str, reach: &str| {
        Nest::new()
            .file("parts.csv", format!("part,material,thickness,length,width,qty,match\n{rows}"))
            .file(
                "stock.csv",
                "material,form,thickness,length,width,price,grain\nbirch,sheet,3/4,60,80,9,width\n",
            )
            .file("shop.toml", format!("units = \"in\"\n[sheets]\nfence_reach = {reach}\n"))
            .args("plan parts.csv --stock stock.csv --shop shop.toml --effort none -q")
    };
    let equal = "front,birch,3/4,20,12,3,f\n";
    strip(equal, "19").complains("it could be cut with `fence_reach` 20\" instead of 19\"").exit(2);
    strip(equal, "20").says("Cost 9.00; proven").exit(0);
    let two = "front,birch,3/4,15,12,2,f\n";
    for rows in [format!("wide,birch,3/4,30,12,1,f\n{two}"), format!("{two}wide,birch,3/4,30,12,1,f\n")] {
        strip(&rows, "14").complains("it could be cut with `fence_reach` 15\" instead of 14\"").exit(2);
        strip(&rows, "15").says("Cost 9.00; proven").exit(0);
    }
}

#[test]
fn an_optional_board_does_not_take_what_a_blank_of_short_strips_needs() {
    // Two strips of 3 1/8 in need a blank of 12 in, so 25 in more are not there on 34.
    Nest::new()
        .file(
            "parts.csv",
            "part,material,length,width,qty,optional\nwedge,ash,3 1/8,1,2,\nrail,ash,25,,1,yes\n",
        )
        .file("stock.csv", "material,form,length,width,price\nash,board,34,2,60\n")
        .args("plan parts.csv --stock stock.csv --units in --kerf 3/32 --effort none -q")
        .says("Cost 60.00")
        .any_stderr()
        .exit(0);
}

#[test]
fn a_sheet_that_might_be_used_does_not_widen_the_kerf_of_boards() {
    // Two of 100 mm and a kerf of 3 mm come out of the board; the saw for sheets would take 6 mm.
    Nest::new()
        .file("parts.csv", "part,material,thickness,length,width,qty,grain\nrail,ash,19,100,89,2,length\n")
        .file(
            "stock.csv",
            "material,form,thickness,length,width,price,grain\nash,board,19,203,89,1,length\nash,sheet,19,150,89,9,length\n",
        )
        .file("shop.toml", "units = \"mm\"\n[boards]\nkerf = 3\n[sheets]\nkerf = 6\n")
        .args("plan parts.csv --stock stock.csv --shop shop.toml -q")
        .says("Cost 1.00; proven")
        .exit(0);
}

/// A block of 8 in x 2 in, too short to be ripped by itself, and stock for it.
fn block(section: bool, stock: &str) -> Nest {
    let by = if section { "section" } else { "thickness" };
    let size = if section { "1x4" } else { "3/4" };
    Nest::new()
        .file("parts.csv", format!("part,material,{by},length,width\nblock,ash,{size},8,2\n"))
        .file("stock.csv", format!("material,form,{by},length,width,price,qty,on_hand\n{stock}"))
        .args("plan parts.csv --stock stock.csv --units in -q")
}

#[test]
fn a_rack_board_just_long_enough_to_be_ripped() {
    // The block is crosscut from the first 12 in, which can be ripped.
    block(true, "ash,board,1x4,96,,5.85,,\nash,board,1x4,13,,0.5,1,yes\n").says("Cost 0.00; proven").exit(0);
    block(true, "ash,board,1x4,96,,5.85,,\nash,board,1x4,11 7/8,,0.5,1,yes\n").says("Cost 5.85;").exit(0);
}

#[test]
fn a_dear_wide_board_does_not_forbid_a_cheap_narrow_one() {
    block(false, "ash,board,3/4,10,2,1,,\n").says("Cost 1.00; proven").exit(0);
    block(false, "ash,board,3/4,10,2,1,,\nash,board,3/4,96,3 1/2,9,,\n").says("Cost 1.00; proven").exit(0);
}

#[test]
fn parts_that_one_setting_forbids_are_one_problem() {
    let ran = sawn(
        "door,birch,3/4,80,30,\nleaf,birch,3/4,70,30,\ntop,birch,3/4,90,20,\nside,birch,3/4,65,20,\nback,birch,3/4,50,20,\nplinth,birch,3/4,61,4,\n",
        "[sheets]\nlongest_rip = 60\nfirst_cut = \"rip\"\n",
    );
    // The back could also be crosscut first, so it is another problem.
    ran.stderr(
        "\
error: no cut that the saw can make frees 5 parts: door (80\" x 30\"), leaf (70\" x 30\"), top (90\" x 20\") and 2 more, from any stock of birch
 --> parts.csv:2:16
  |
2 | door,birch,3/4,80,30,
  |                ^^
  |
  = hint: it could be cut with `longest_rip` 96\" instead of 60\"
error: no cut that the saw can make frees 50\" x 20\" from any stock of birch
 --> parts.csv:6:16
  |
6 | back,birch,3/4,50,20,
  |                ^^
  |
  = hint: it could be cut with `first_cut` either instead of rip, or with `longest_rip` 96\" instead of 60\"
",
    )
    .exit(2);
}
