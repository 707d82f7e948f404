//! Words where a number belongs: the whole cell is named, and what to write in it.

use crate::harness::Nest;

const PARTS: &str = "part,material,thickness,length,width,qty,fit,oversize\n";
const STOCK: &str = "material,thickness,length,width,price,qty,trim\n";

/// The one error of these two rows, and its hint.
fn refused(part: &str, stock: &str, error: &str, hint: &str) {
    let ran = Nest::new()
        .file("parts.csv", format!("{PARTS}{part}\n"))
        .file("stock.csv", format!("{STOCK}{stock}\n"))
        .args("plan parts.csv --stock stock.csv --units in -q")
        .complains(&format!("error: expected {error}\n --> "))
        .complains(&format!("\n  = hint: {hint}\n"))
        .exit(2);
    assert_eq!(ran.stderr.matches("error: ").count(), 1, "{}", ran.stderr);
}

#[test]
fn a_quantity_is_a_number_alone() {
    let sound = "pine,3/4,96,1 1/2,2.60,,";
    for (qty, hint) in [
        ("2 pcs", "write the number alone: `2`"),
        ("x2", "write the number alone: `2`"),
        ("~12 ea.", "write the number alone: `12`"),
        // A length in the wrong column, and what nobody can count.
        ("30 in", "a quantity counts pieces: 1, 2, 3"),
        ("2.5", "a quantity counts pieces: 1, 2, 3"),
        ("two", "write the number alone: `2`"),
        ("a pair", "write the number alone: `2`"),
        ("a few", "a quantity counts pieces: 1, 2, 3"),
        ("TBD", "write how many; an empty cell is one piece"),
    ] {
        let row = format!("rail,pine,3/4,36,1 1/2,{qty},,");
        refused(&row, sound, &format!("a whole number, but found `{qty}`"), hint);
    }
    for qty in ["unlimited", "n/a"] {
        let row = format!("pine,3/4,96,1 1/2,2.60,{qty},");
        let hint = "an empty cell means as many as wanted";
        refused("rail,pine,3/4,36,1 1/2,2,,", &row, &format!("a whole number, but found `{qty}`"), hint);
    }
}

#[test]
fn a_length_that_is_not_there_is_named_whole() {
    let [part, stock] = ["rail,pine,3/4,36,1 1/2,2,,", "pine,3/4,96,1 1/2,2.60,,"];
    let measured = "every row needs one: leave out a row that is not measured yet";
    let empty = "write a length, or leave the cell empty where the list allows it";
    let fit = "write `yes`, how much longer to cut it, or leave the cell empty";
    for (row, found, hint) in [
        ("rail,pine,3/4,n/a,1 1/2,2,,", "n/a", measured),
        ("rail,pine,3/4,TBD,1 1/2,2,,", "TBD", measured),
        ("rail,pine,3/4,36,?,2,,", "?", empty),
        ("rail,pine,3/4,36,1 1/2,2,none,", "none", fit),
        ("rail,pine,3/4,36,1 1/2,2,,None", "None", "write 0, or leave the cell empty"),
    ] {
        refused(row, stock, &format!("a length, but found `{found}`"), hint);
    }
    let trim = "write 0 for clean edges; an empty cell leaves them to the `trim` of the shop";
    for cell in ["none", "5; none"] {
        refused(part, &format!("pine,3/4,96,1 1/2,2.60,,{cell}"), "a length, but found `none`", trim);
    }
    let price = "write a price, or leave the cells of all stock of this material empty";
    refused(part, "pine,3/4,96,1 1/2,n/a,,", "a price, but found `n/a`", price);
    // What you own may be worth nothing that anybody knows.
    Nest::new()
        .file("parts.csv", format!("{PARTS}{part}\n"))
        .file("stock.csv", format!("{STOCK}{stock}\n"))
        .file("rack.csv", format!("{STOCK}pine,3/4,60,1 1/2,n/a,,\n"))
        .args("plan parts.csv --stock stock.csv --rack rack.csv --units in -q")
        .complains("\n  = hint: write what it is worth, or leave the cell empty\n")
        .exit(2);
}

#[test]
fn none_in_a_shop_file_says_what_is_written_for_none() {
    let shop = |line: &str| {
        let nest = Nest::new().file("parts.csv", format!("{PARTS}rail,pine,3/4,36,1 1/2,2,,\n"));
        let nest = nest.file("stock.csv", format!("{STOCK}pine,3/4,96,1 1/2,2.60,,\n"));
        nest.file("shop.toml", format!("units = \"in\"\n{line}\n"))
            .args("plan parts.csv --stock stock.csv --shop shop.toml -q")
    };
    shop("[boards]\ntrim = \"none\"").complains("\n  = hint: write \"0\" for none\n").exit(2);
    let reach = shop("[sheets]\nfence_reach = \"n/a\"");
    reach.complains("\n  = hint: leave the line out for none\n").exit(2);
}
