//! A machine-readable code (QR, ISO/IEC 18004) as the path of a drawing.
//!
//! What it says is made by us from numbers: no name from a file ever enters it, and no address.

use fast_qr::{ECL, QRBuilder};
use std::fmt::Write;

/// White around the code that a reader needs, in modules: four, by the standard.
const QUIET: usize = 4;

/// A code, ready to be drawn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Code {
    /// Its side with the white around it, in modules.
    pub side: usize,
    /// Its dark modules as the data of a path, one unit a module.
    pub path: String,
}

/// The code of a text, with a quarter of it spare for dirt and scratches. `None` for a text that is too long.
pub fn code(text: &str) -> Option<Code> {
    let made = QRBuilder::new(text).ecl(ECL::M).build().ok()?;
    let mut path = String::new();
    for y in 0..made.size {
        let mut x = 0;
        while x < made.size {
            let run = (x..made.size).take_while(|&x| made[y][x].value()).count();
            if run > 0 {
                // Writing to a string cannot fail.
                let _ = write!(path, "M{} {}h{run}v1h-{run}z", x + QUIET, y + QUIET);
            }
            x += run + 1;
        }
    }
    Some(Code { side: made.size + 2 * QUIET, path })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Draws a path as pixels, as a viewer does, and lets an independent decoder read it.
    fn read(code: &Code) -> String {
        const SCALE: usize = 6;
        let side = code.side * SCALE;
        let mut pixels = vec![255_u8; side * side];
        for run in code.path.split('M').filter(|run| !run.is_empty()) {
            let (x, rest) = run.split_once(' ').unwrap();
            let (y, rest) = rest.split_once('h').unwrap();
            let (wide, _) = rest.split_once('v').unwrap();
            let [x, y, wide] = [x, y, wide].map(|n| n.parse::<usize>().unwrap());
            for row in y * SCALE..(y + 1) * SCALE {
                pixels[row * side + x * SCALE..row * side + (x + wide) * SCALE].fill(0);
            }
        }
        let mut image = rqrr::PreparedImage::prepare_from_greyscale(side, side, |x, y| pixels[y * side + x]);
        let grids = image.detect_grids();
        assert_eq!(grids.len(), 1);
        grids[0].decode().unwrap().1
    }

    #[test]
    fn what_is_encoded_is_read_back() {
        for text in ["NEST/0123ABCD/P1.1/L1.1.1", "NEST/FFFFFFFF/P100000.1000000/L99999.99999.999", "A"] {
            assert_eq!(read(&code(text).unwrap()), text);
        }
        assert_eq!(code(&"A".repeat(8000)), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]
        #[test]
        fn any_identity_is_read_back(plan in "[0-9A-F]{8}", part in 1..100_000_u32, copy in 1..1_000_000_u32, layout in 1..10_000_u32) {
            let text = format!("NEST/{plan}/P{part}.{copy}/L{layout}.1.{part}");
            prop_assert_eq!(read(&code(&text).unwrap()), text);
        }
    }
}
