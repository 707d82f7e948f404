//! Lines of text under a drawing: items that stay together, as many a line as fit.

use super::board::LEADING;
use super::lettering::{bold_width, width, wrapped};
use super::{Anchor, Block, MARGIN, Run, Shape};

/// A word of a line, and the space after it.
pub(super) struct Word {
    pub text: String,
    pub bold: bool,
    pub gap: i64,
}

/// Items one after the other, a new line where one does not fit; an item that is too wide alone is wrapped.
pub(super) fn flow(items: Vec<Vec<Word>>, bold_size: i64, size: i64, room: i64) -> Vec<Block> {
    let leading = bold_size.max(size) * LEADING / 10 + 30;
    let baseline = bold_size.max(size);
    let wide = |word: &Word| match word.bold {
        true => bold_width(&word.text, bold_size) + word.gap,
        false => width(&word.text, size) + word.gap,
    };
    let fresh = || Block { height: leading, ..Block::default() };
    let mut lines: Vec<Block> = Vec::new();
    let mut x = i64::MAX / 2;
    for item in items {
        if item.iter().map(wide).sum::<i64>() > room {
            let text: Vec<String> = item.into_iter().map(|word| word.text).collect();
            for line in wrapped(&text.join(" "), size, room) {
                let mut block = fresh();
                block.text([MARGIN, baseline], size, Anchor::Start, false, line);
                lines.push(block);
            }
            x = i64::MAX / 2;
            continue;
        }
        if x + item.iter().map(wide).sum::<i64>() > MARGIN + room {
            lines.push(fresh());
            x = MARGIN;
        }
        let Some(line) = lines.last_mut() else { continue };
        let step: i64 = item.iter().map(wide).sum();
        let font = |bold: bool| if bold { bold_size } else { size };
        // The gap after a word stands before the next one.
        let mut gap = 0;
        let mut words = Vec::new();
        for word in item {
            words.push(Run { text: word.text, size: font(word.bold), bold: word.bold, gap });
            gap = word.gap;
        }
        line.shapes.push(Shape::Words { at: [x, baseline], words });
        x += step + 450;
    }
    lines
}
