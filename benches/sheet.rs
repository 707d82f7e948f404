//! The sheet solver in criterion: time and quality.

mod batches;
mod measure;

use batches::sheets;

fn main() {
    measure::run(
        "sheets",
        vec![
            ("a closet", sheets::closets(1, 1)),
            ("several sheets and a rack", sheets::mixed(20, 4, 2)),
            ("2000 pieces in 40 sizes", sheets::panels(40, 2000, 3)),
        ],
    );
}
