//! The small question of most tests of bad input: two rails of pine.

use crate::harness::Nest;

pub const STOCK: &str =
    "material,thickness,length,width,price\npine,3/4,8',1 1/2,2.60\npine,3/4,10',1 1/2,3.50\n";
pub const PARTS: &str = "part,material,thickness,length,width,qty\nrail,pine,3/4,36,1 1/2,2\n";

/// A run of `nest plan` on these parts and good stock.
pub fn plan(parts: impl AsRef<[u8]>) -> Nest {
    Nest::new()
        .file("parts.csv", parts)
        .file("stock.csv", STOCK)
        .args("plan parts.csv --stock stock.csv --units in -q")
}

/// One row below the usual header is refused with exactly this.
pub fn refuses(row: &str, message: &str) {
    plan(format!("part,material,thickness,length,width,qty\n{row}\n")).stderr(message).exit(2);
}
