//! Bad input: each gives one clear error or a correct plan, never a panic, never a half-written folder.

use crate::harness::Nest;
use crate::rail::{PARTS, STOCK, plan, refuses};

#[test]
fn an_empty_file() {
    plan("")
        .stderr(
            "\
error: the list of parts is empty
 --> parts.csv:1:1
  |
1 |
  | ^
  |
  = hint: its first line names the columns: at least `part`, `material`, `length`; `nest plan --help` lists all
",
        )
        .exit(2);
}

#[test]
fn a_header_alone() {
    plan("part,material,length\n\n,,\n")
        .stderr(
            "\
error: the list of parts has a header but no rows
 --> parts.csv:1:1
  |
1 | part,material,length
  | ^
  |
  = hint: write one row for each of them below the header
",
        )
        .exit(2);
}

#[test]
fn a_missing_column() {
    plan("part,material,thickness\nrail,pine,3/4\n")
        .stderr(
            "\
error: the list of parts lacks the column `length`
 --> parts.csv:1:1
  |
1 | part,material,thickness
  | ^^^^^^^^^^^^^^^^^^^^^^^
  |
  = hint: its first line names the columns: at least `part`, `material`, `length`; `nest plan --help` lists all
",
        )
        .exit(2);
}

#[test]
fn a_point_that_may_be_a_thousands_mark_is_no_decimal_point_beside_semicolons() {
    Nest::new()
        .file("parts.csv", "part;material;thickness;length\nrail;pine;18;1.200\n")
        .file("stock.csv", "material;thickness;length;price\npine;18;2400;9,50\n")
        .args("plan parts.csv --stock stock.csv --units mm")
        .stderr(
            "\
error: the point in `1.200` is a decimal point or a thousands mark
 --> parts.csv:2:14
  |
2 | rail;pine;18;1.200
  |              ^^^^^
  |
  = hint: write `1200` or `1,2`
",
        )
        .exit(2);
}

#[test]
fn names_that_stand_twice_are_said() {
    let said = |rows: &str, more: &str| {
        let ran = Nest::new()
            .file("parts.csv", format!("part,material,length,qty\n{rows}"))
            .file("stock.csv", STOCK)
            .args("plan parts.csv --stock stock.csv --units in")
            .args(more);
        ran.any_stderr().any_stdout().exit(0).stderr
    };
    let twice = "rail stands in the list twice with the same size and job";
    assert!(said("rail,pine,36,2\nrail,pine,36,\n", "").contains(twice));
    let sizes = "rail stands in the list with several sizes (and 1 further row shares its name)";
    let rows = "rail,pine,36,2\nrail,pine,30,2\nrail,pine,24,1\n";
    assert!(!said(rows, "").contains("rail"), "{}", said(rows, ""));
    assert!(said(rows, "--verbose").contains(sizes), "{}", said(rows, "--verbose"));
}

#[test]
fn an_unknown_unit() {
    refuses(
        "rail,pine,3/4,36 furlongs,1 1/2,2",
        "\
error: expected a unit of length, but found `furlongs` in `36 furlongs`
 --> parts.csv:2:18
  |
2 | rail,pine,3/4,36 furlongs,1 1/2,2
  |                  ^^^^^^^^
  |
  = hint: units are in or \", ft or ', mm, cm, m
",
    );
}

#[test]
fn no_unit_anywhere_is_said_once() {
    Nest::new()
        .file("parts.csv", PARTS)
        .file("stock.csv", STOCK)
        .args("plan parts.csv --stock stock.csv")
        .stderr(
            "\
error: expected a unit after `3/4`, but found none
 --> parts.csv:2:11
  |
2 | rail,pine,3/4,36,1 1/2,2
  |           ^^^
  |
  = hint: say what numbers without a unit are: --units in, --units mm, or `units = \"in\"` in the shop file
",
        )
        .exit(2);
}

#[test]
fn negative_zero_and_no_number() {
    for (length, found) in [
        ("-36", "a length above zero, but found `-36`"),
        ("0", "a length above zero, but found `0`"),
        ("NaN", "a number, but found `NaN`"),
        ("inf", "a number, but found `inf`"),
    ] {
        plan(format!("part,material,length\nrail,pine,{length}\n"))
            .complains(&format!("error: expected {found}\n --> parts.csv:2:11\n"))
            .exit(2);
    }
}

#[test]
fn absurd_sizes() {
    refuses(
        "rail,pine,3/4,99999999999999999999,1 1/2,2",
        "\
error: expected a length up to 13.7 km, but found `99999999999999999999`
 --> parts.csv:2:15
  |
2 | rail,pine,3/4,99999999999999999999,1 1/2,2
  |               ^^^^^^^^^^^^^^^^^^^^
  |
  = hint: is the unit right? the longest length is 13.7 km
",
    );
}

#[test]
fn a_part_longer_than_all_stock() {
    refuses(
        "rail,pine,3/4,121,1 1/2,2",
        "\
error: 121\" is longer than all stock of pine 3/4\"
 --> parts.csv:2:15
  |
2 | rail,pine,3/4,121,1 1/2,2
  |               ^^^
  |
  = hint: the longest piece that can be cut is 120\" (of pine, 10'), 1\" too short: list longer stock or make the part of two
",
    );
}

#[test]
fn a_material_that_is_not_in_stock() {
    refuses(
        "rail,pnie,3/4,36,1 1/2,2",
        "\
error: no stock is made of `pnie`
 --> parts.csv:2:6
  |
2 | rail,pnie,3/4,36,1 1/2,2
  |      ^^^^
  |
  = hint: did you mean `pine`?
",
    );
}

#[test]
fn a_quantity_of_a_billion() {
    refuses(
        "rail,pine,3/4,36,1 1/2,1000000000",
        "\
error: expected a quantity of at most 1000000, but found `1000000000`
 --> parts.csv:2:24
  |
2 | rail,pine,3/4,36,1 1/2,1000000000
  |                        ^^^^^^^^^^
  |
  = hint: check for a slip of the keys
",
    );
    for qty in ["-1", "1.5", "two", "1e3", "99999999999999999999999"] {
        plan(format!("part,material,length,qty\nrail,pine,36,{qty}\n"))
            .complains(" --> parts.csv:2:14\n")
            .exit(2);
    }
}

#[test]
fn more_pieces_in_all_than_are_accepted() {
    let rows = "rail,pine,3/4,36,1 1/2,1000000\n".repeat(11);
    plan(format!("part,material,thickness,length,width,qty\n{rows}"))
        .complains("error: expected at most 10000000 pieces in all")
        .complains(" --> parts.csv:12:24\n")
        .exit(2);
}

#[test]
fn more_rows_than_are_accepted() {
    let rows = "a,pine,9\n".repeat(100_001);
    plan(format!("part,material,length\n{rows}"))
        .complains("error: expected at most 100000 rows of parts, but there are more\n")
        .exit(2);
}

#[test]
fn a_file_of_200_megabytes() {
    Nest::new()
        .hole("parts.csv", 200 << 20)
        .file("stock.csv", STOCK)
        .args("plan parts.csv --stock stock.csv --units in")
        .complains("error: parts.csv is larger than 64 MiB\n")
        .exit(2);
}

#[test]
fn a_file_that_is_not_utf_8() {
    plan(b"part,material,length\nr\xE4il,pine,36\n")
        .stderr(
            "\
error: parts.csv is not UTF-8 text: byte 23 (line 2) is 0xe4
  = hint: save it as UTF-8 (in a spreadsheet: \"CSV UTF-8\")
",
        )
        .exit(2);
    let utf_16: Vec<u8> = "part,material,length\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
    plan(utf_16).complains("error: parts.csv is UTF-16 text, but UTF-8 was expected\n").exit(2);
    plan(b"PK\x03\x04\x14\x00").complains("error: parts.csv is a workbook or an archive").exit(2);
    plan(b"\0\0\0\0\0\0\0\0\0\0").any_stderr().exit(2);
}

#[test]
fn rows_that_repeat_are_made_twice_and_named() {
    Nest::new()
        .file(
            "parts.csv",
            "part,material,thickness,length,width,qty\nrail,pine,3/4,48,1 1/2,2\nrail,pine,3/4,48,1 1/2,2\n",
        )
        .file("stock.csv", STOCK)
        .args("plan parts.csv --stock stock.csv --units in --kerf 0")
        .says("4 pieces.\n\nBuy\n")
        .complains("warning: rail stands in the list twice with the same size and job; both are made")
        .complains(" --> parts.csv:3:1\n")
        .exit(0);
}

#[test]
fn a_folder_in_place_of_a_file() {
    Nest::new()
        .folder("parts.csv")
        .file("stock.csv", STOCK)
        .args("plan parts.csv --stock stock.csv --units in")
        .stderr(
            "\
error: parts.csv is a folder, but a file of parts was expected
  = hint: name the file inside it
",
        )
        .exit(2);
    Nest::new()
        .file("stock.csv", STOCK)
        .args("plan nowhere.csv --stock stock.csv --units in")
        .stderr("error: there is no file nowhere.csv to read parts from\n")
        .exit(2);
}
