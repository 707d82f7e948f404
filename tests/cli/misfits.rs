//! Rows that do not fit the header: one error for one cause, whatever else ends in empty cells.

use crate::harness::Nest;

const STOCK: &str = "material,thickness,length,width,price\npine,3/4,96,,10\nply,3/4,96,48,50\n";

fn errors(parts: &str) -> String {
    let nest = Nest::new().file("parts.csv", parts).file("stock.csv", STOCK);
    nest.args("plan parts.csv --stock stock.csv --units in").any_stderr().exit(2).stderr
}

#[test]
fn a_comma_in_a_name_is_one_error_where_rows_end_in_empty_cells() {
    let header = "part,material,thickness,length,width,qty";
    let torn = "shelf, upper,pine,3/4,30,,2";
    let rows = |end: &str| format!("side,pine,3/4,36,,2{end}\n{torn}{end}\nback,ply,3/4,30,20,1{end}\n");
    // Rows that end with more than the header has: the last one holds no decimal comma.
    let beyond = "\
error: expected 6 cells as in the header, but found 7 cells
 --> parts.csv:3:27
  |
3 | shelf, upper,pine,3/4,30,,2,
  |                           ^
  |
  = hint: put a cell that holds a `,` in quotes
";
    assert_eq!(errors(&format!("{header}\n{}side,pine,3/4,24,,1,\n", rows(","))), beyond);
    // The header ends so as well: what moved on stands in a column without a name.
    let moved = "\
error: expected 6 cells as in the header, but found 7 cells
 --> parts.csv:3:1
  |
3 | shelf, upper,pine,3/4,30,,2,,
  | ^^^^^^^^^^^^^^^^^
  |
  = hint: put a cell that holds a `,` in quotes
";
    assert_eq!(errors(&format!("{header},,\n{}", rows(",,"))), moved);
    // A row that nobody ended so.
    let plain = moved.replace("2,,\n", "2\n");
    assert_eq!(errors(&format!("{header},\n{}", rows(",").replace("30,,2,", "30,,2"))), plain);
}

#[test]
fn a_comma_in_a_name_is_one_error_where_sections_stand_between() {
    let nest = |row: &str| {
        let rows = format!("part,material,section,length,width,qty,note\n{row}\nside,pine,1x12,20,3,6,\n");
        let stock = "material,section,length,price\npine,1x12,96,10\n";
        let nest = Nest::new().file("parts.csv", rows).file("stock.csv", stock);
        nest.args("plan parts.csv --stock stock.csv --units in").any_stderr().exit(2).stderr
    };
    for (row, at) in [
        ("shelf, upper,pine,1x12,14,3,6,", 1),
        ("shelf, upper,pine,1x12,14,3,6,x", 31),
        ("shelf,pine, red,1x12,14,3,6,", 1),
    ] {
        let said = nest(row);
        let start =
            format!("error: expected 7 cells as in the header, but found 8 cells\n --> parts.csv:2:{at}\n");
        assert!(
            said.starts_with(&start) && said.ends_with("hint: put a cell that holds a `,` in quotes\n"),
            "{said}"
        );
        assert_eq!(said.matches("error: ").count(), 1, "{said}");
    }
}

#[test]
fn a_slip_in_one_row_does_not_make_decimal_commas_of_others() {
    let list = |row: &str| {
        let rows = format!("back,ply,3/4,30,20,1,\nside,pine,3/4,36,,2,\n{row}\nback,ply,3/4,30,19,1,\n");
        errors(&format!("part,material,thickness,length,width,qty\n{rows}"))
    };
    for (row, said) in [
        ("side,pine,3/4,abc,,2,", "expected a number, but found `abc`"),
        ("side,\"pine\"x,3/4,36,,2,", "there is text behind the closing quote"),
        ("side,pine,3/4", "found 3 cells\n"),
        ("side,pine,3/4,30,,2,,,x", "found 9 cells\n"),
    ] {
        let said_all = list(row);
        assert!(said_all.contains(said), "{row}: {said_all}");
        assert_eq!(said_all.matches("error: ").count(), 1, "{row}: {said_all}");
    }
    // What was moved on from a name is no number.
    let word = errors("part,material,thickness,length,width,qty,,\nback,ply,3/4,abc,20,1,,\n");
    assert!(word.starts_with("error: expected a number, but found `abc`"), "{word}");
    // A decimal comma beside the empty cell at the end is seen as well.
    let comma = list("side,pine,3/4,36,12,5,2,");
    assert!(
        comma.starts_with(
            "error: expected 6 cells as in the header, but found 7 cells: is `12,5` one number?\n"
        )
    );
    assert_eq!(comma.matches("error: ").count(), 1, "{comma}");
}

#[test]
fn what_is_wrong_with_all_rows_is_one_error() {
    let list = |header: &str, rows: &str| errors(&format!("part{header}\n{rows}"));
    let wide = ";material;thickness;length;width;qty";
    let rows = "side,pine,3/4,36,,2\nshelf,pine,3/4,30,,2\nback,ply,3/4,30,20,1\n";
    let separator = "\
error: expected 6 cells as in the header, but found 1 cell (and in lines 3 and 4)
 --> parts.csv:2:1
  |
2 | side,pine,3/4,36,,2
  | ^^^^^^^^^^^^^^^^^^^
  |
  = hint: the header separates cells by `;`: do so here too
";
    assert_eq!(list(wide, rows), separator);
    let many = list(wide, &rows.repeat(100));
    assert!(many.contains("found 1 cell (and in lines 3, 4, 5, 6, 7 and 294 more)\n"), "{many}");
    assert_eq!(many.matches("error: ").count(), 1, "{many}");
    // No number in the last row, since all have a cell too many.
    let lacks = "\
error: expected 5 cells as in the header, but found 6 cells (and in lines 3 and 4)
 --> parts.csv:2:19
  |
2 | side,pine,3/4,36,,2
  |                   ^
  |
  = hint: does the header lack a column that every row has? put cells that hold a `,` in quotes
";
    assert_eq!(list(",material,thickness,length,width", rows), lacks);
    let more = list(",material,thickness,length,width,qty,note", rows);
    assert!(more.contains("found 6 cells (and in lines 3 and 4)\n"), "{more}");
    assert!(more.contains("hint: does the header name a column that no row has?"), "{more}");
    let ends = list(",material,thickness,length,width,qty,", rows);
    assert!(ends.contains("hint: the header ends with a `,` that no row has: delete it there\n"), "{ends}");
    // Decimal commas in all of them, of which the first is shown.
    let commas = list(",material,length,qty", "a,pine,30,5,1\nb,pine,20,5,1\nc,pine,12,25,1\n");
    assert!(commas.contains("is `30,5` one number? (and in lines 3 and 4)\n"), "{commas}");
    assert_eq!(commas.matches("error: ").count(), 1, "{commas}");
}

#[test]
fn what_is_wrong_with_some_rows_is_said_of_each() {
    let rows = "a,pine,30\nb, left,pine,30\nc,pine,30\nd, left,pine,20\n";
    let some = errors(&format!("part,material,length\n{rows}"));
    assert!(some.contains("--> parts.csv:3:14") && some.contains("--> parts.csv:5:14"), "{some}");
    // The others of most rows are told as well.
    let most = errors(&format!("part,material,length\n{rows}e, up,pine,7\nf,pine\ng, up,pine,9\n"));
    assert!(most.contains("found 4 cells (and in lines 5, 6 and 8)\n --> parts.csv:3:14\n"), "{most}");
    assert!(most.contains("found 2 cells\n --> parts.csv:7:3\n"), "{most}");
    assert_eq!(most.matches("error: ").count(), 2, "{most}");
}

#[test]
fn a_sum_or_a_heading_among_the_rows_is_one_error() {
    for (row, lacks, at) in [
        ("Total,,,,,12", "`material` and `length`", 1),
        (",,,,,12", "`part`, `material` and `length`", 6),
        ("Hall:,,,,,", "`material` and `length`", 1),
    ] {
        let said = errors(&format!("part,material,thickness,length,width,qty\nside,pine,3/4,36,,2\n{row}\n"));
        let start = format!("error: {lacks} are empty\n --> parts.csv:3:{at}\n");
        assert!(said.starts_with(&start), "{said}");
        assert!(
            said.ends_with("hint: every row needs them: delete this one if it is a sum or a heading\n"),
            "{said}"
        );
        assert_eq!(said.matches("error: ").count(), 1, "{said}");
    }
    // What lacks one thing is told what belongs there.
    let one = errors("part,material,thickness,length,width,qty\nside,,3/4,36,,2\n");
    assert!(one.starts_with("error: `material` is empty\n"), "{one}");
}
