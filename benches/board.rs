//! The board solver in criterion: time and quality.

mod batches;
mod measure;

use batches::boards;

fn main() {
    measure::run(
        "boards",
        vec![
            ("30 parts in 3 sections", boards::sections(3, 10, 3, 1)),
            ("120 sizes in 8 sections", boards::sections(8, 15, 32, 2)),
            ("scarce", boards::scarce(5)),
        ],
    );
}
