//! Lists as spreadsheets and their users leave them: what no list should hold is one fault each, with the way out.

use crate::harness::Nest;

const HEADER: &str = "part,material,thickness,length,width,qty";

/// Faults of a list of parts: the message, its place and the hint of each.
fn faults(parts: &str) -> Vec<[String; 3]> {
    let stock = "material,form,thickness,length,width\nply,sheet,18,2440,1220\n";
    let nest = Nest::new().file("parts.csv", parts).file("stock.csv", stock);
    let nest = nest.args("plan parts.csv --stock stock.csv --units mm");
    let stderr = nest.any_stdout().any_stderr().exit(2).stderr;
    let after = |text: &str, mark: &str| {
        let found = text.split_once(mark).map_or("", |(_, rest)| rest);
        found.lines().next().unwrap_or_default().to_owned()
    };
    let one = |text: &str| {
        [text.lines().next().unwrap().to_owned(), after(text, "--> parts.csv:"), after(text, "= hint: ")]
    };
    stderr.split("error: ").skip(1).map(one).collect()
}

fn only(parts: &str, fault: [&str; 3]) {
    assert_eq!(faults(parts), [fault.map(str::to_owned)]);
}

#[test]
fn a_title_above_the_header_is_told_and_the_list_is_read() {
    let told = ["the columns are not named here, but in line 3", "1:1"];
    let hint = "delete what stands above that line, or begin it with `#`";
    only(&format!("Kitchen;;\r\n\r\n{HEADER}\r\nside,ply,18,720,560,2\r\n"), [told[0], told[1], hint]);
    let found = faults("Kitchen,,\n,,\npart;material;thickness;length;width\nside;ply;18;x;560\n");
    assert_eq!([&found[0][0], &found[1][1]], [told[0], "4:13"], "{found:?}");
    // A name of a column alone is no header, nor is one far below.
    let found = faults("Kitchen,,\nlength,of,all\nside,ply,720\n");
    assert!(found[0][0].starts_with("the list of parts lacks the columns"), "{found:?}");
    let found = faults(&format!("{}{HEADER}\nside,ply,18,720,560,2\n", "title,\n".repeat(30)));
    assert!(found[0][0].starts_with("the list of parts lacks the columns"), "{found:?}");
}

#[test]
fn units_below_the_header_are_one_fault() {
    let hint = "delete it, and say what bare numbers are in the header: `length (mm)`";
    let fault = ["this row holds units, and no sizes", "2:1", hint];
    only(&format!("{HEADER}\n,,mm,mm,mm,pcs\nside,ply,18,720,560,2\n"), fault);
    only(&format!("{HEADER}\n,,(mm),[mm],,\nside,ply,18,720,560,2\n"), fault);
}

#[test]
fn a_sum_that_is_a_formula_is_one_fault() {
    let hint = "every row needs them: delete this one if it is a sum or a heading";
    let fault = ["`material` and `length` are empty", "3:1", hint];
    only(&format!("{HEADER}\nside,ply,18,720,560,2\nSum,,,,=,=SUM(F2:F3)\n"), fault);
}

#[test]
fn a_cell_without_a_value_says_what_left_it_so() {
    let row = |cell: &str| {
        let found = faults(&format!("{HEADER}\nside,ply,18,720,{cell},2\nback,ply,18,720,300,{cell}\n"));
        assert_eq!(found.len(), 2, "{found:?}");
        found.into_iter().map(|[.., hint]| hint).collect::<Vec<_>>()
    };
    assert_eq!(row("=B2*2"), ["this is a formula: a list holds what it comes to"; 2]);
    assert_eq!(row("#REF!"), ["the spreadsheet could not work this out: mend it there"; 2]);
    let empty = "write a length, or leave the cell empty where the list allows it";
    assert_eq!(row("–"), [empty, "write how many; an empty cell is one piece"]);
}

#[test]
fn merged_cells_are_named() {
    let hint = "write it in each row as the list of stock does: merged cells fill their first row alone";
    let fault = ["`material` is empty", "3:6", hint];
    only(&format!("{HEADER}\nside,ply,18,720,560,2\nback,,,720,300,1\n"), fault);
}

#[test]
fn a_list_without_its_columns_has_no_consequences() {
    let lacks = "the list of parts lacks the column `length`";
    let found = faults("part,material,thickness,size,qty\nside,ply,18,720 x 560,2\n");
    assert_eq!((found.len(), found[0][0].as_str()), (1, lacks), "{found:?}");
}

#[test]
fn lines_in_quotes_are_one_cell() {
    let found = faults(&format!("\"{HEADER}\"\n\"side,ply,18,720,560,2\"\n"));
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0][2], "each line stands in quotes, as one cell: save the list without them");
}
