//! Sheets of labels: how many on a page, how large, and where.
//!
//! What is not said follows from the paper: two columns of a size that many makers of labels sell (4 by 2 in on
//! Letter; 99.1 by 38.1 mm on A4). Common practice, no published source. With another grid and no size, the labels
//! share out the page inside its margins.

use super::Paper;
use nest_core::units::{Length, LengthStyle, Rounding, System};
use serde::{Deserialize, Serialize};

/// What a shop says about its labels.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct LabelSettings {
    /// Columns and rows on a page.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grid: Option<[u32; 2]>,
    /// Width and height of a label.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub size: Option<[Length; 2]>,
    /// From the left and the upper edge of the page to the first label.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin: Option<[Length; 2]>,
    /// Between columns and between rows.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gap: Option<[Length; 2]>,
    /// Whether a code for a reader is printed on each.
    #[serde(skip_serializing_if = "crate::plan_file::is_default")]
    pub code: bool,
}

/// A page of labels with everything worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LabelSheet {
    /// The paper.
    pub paper: Paper,
    /// Columns and rows.
    pub grid: [u32; 2],
    /// Width and height of a label.
    pub size: [Length; 2],
    /// From the left and the upper edge of the page to the first label.
    pub margin: [Length; 2],
    /// Between columns and between rows.
    pub gap: [Length; 2],
}

/// The smallest label that can be read, width and height: common practice.
const LEAST: [Length; 2] = [Length::mm(40), Length::mm(20)];
/// The most columns and rows.
const MOST: u32 = 50;

impl LabelSettings {
    /// Columns and rows, or what is usual on that paper.
    pub fn grid_on(&self, paper: Paper) -> [u32; 2] {
        self.grid.unwrap_or(usual(paper).grid)
    }

    /// The page that these settings describe.
    ///
    /// # Errors
    /// Labels that do not fit the page or are too small to be read, in these units.
    pub fn on(&self, paper: Paper, system: System) -> Result<LabelSheet, String> {
        let usual = usual(paper);
        // A plan file may say anything; shop files and flags were looked at before.
        let grid = printable(self.grid_on(paper))?;
        let as_usual = self.size.is_none() && grid == usual.grid;
        let gap =
            self.gap.unwrap_or(if as_usual || self.size.is_some() { usual.gap } else { [Length::ZERO; 2] });
        let mut sheet = LabelSheet { paper, grid, gap, ..usual };
        for axis in 0..2 {
            let page = paper.size()[axis];
            let count = grid[axis];
            let gaps = times(gap[axis], count - 1)?;
            let room = |margin: Length| page.ticks() - 2 * margin.ticks() - gaps.ticks();
            let (margin, size) = match (self.margin, self.size) {
                (Some(margin), Some(size)) => (margin[axis], size[axis]),
                (None, Some(size)) => {
                    let left = page.ticks() - gaps.ticks() - times(size[axis], count)?.ticks();
                    (Length::from_ticks(left / 2), size[axis])
                }
                (Some(margin), None) => (margin[axis], share(room(margin[axis]), count)),
                (None, None) if as_usual => (usual.margin[axis], usual.size[axis]),
                (None, None) => (EDGE, share(room(EDGE), count)),
            };
            let end = margin.ticks() + gaps.ticks() + times(size, count)?.ticks();
            if margin < Length::ZERO || end > page.ticks() {
                let what = ["columns", "rows"][axis];
                return Err(format!(
                    "{count} {what} of such labels do not fit on a page of {}",
                    paper.name()
                ));
            }
            if size < LEAST[axis] {
                let what = ["wide", "high"][axis];
                let [least, found] = told_apart([LEAST[axis], size], system);
                return Err(format!("expected labels at least {least} {what}, but found {found}"));
            }
            (sheet.margin[axis], sheet.size[axis]) = (margin, size);
        }
        Ok(sheet)
    }
}

/// A side of a label in the usual style of these units.
pub fn measured(side: Length, system: System) -> String {
    LengthStyle::default_for(system).format(side, Rounding::Nearest)
}

/// Two sides as texts that differ as they do: in the usual style, with decimals, or to the last digit.
fn told_apart(sides: [Length; 2], system: System) -> [String; 2] {
    let decimals = LengthStyle::DecimalInches { places: 3 };
    let finer = Some(decimals).filter(|_| system == System::Inch);
    let texts = |style: LengthStyle| sides.map(|side| style.format(side, Rounding::Nearest));
    (std::iter::once(LengthStyle::default_for(system)).chain(finer).map(texts))
        .find(|[a, b]| a.trim_start_matches('~') != b.trim_start_matches('~'))
        .unwrap_or_else(|| sides.map(|side| format!("{} mm", side.mm_decimal())))
}

/// Columns and rows as people write them: `2x7`, `2 x 7`.
///
/// # Errors
/// What is none of that.
pub fn parse_grid(text: &str) -> Result<[u32; 2], String> {
    let parsed = text
        .split_once(['x', 'X', '×'])
        .and_then(|(columns, rows)| Some([columns.trim().parse().ok()?, rows.trim().parse().ok()?]));
    let grid = parsed
        .ok_or_else(|| format!("expected columns and rows of labels such as 2x7, but found `{text}`"))?;
    printable(grid)
}

/// A grid that a page could have.
fn printable(grid: [u32; 2]) -> Result<[u32; 2], String> {
    match grid.into_iter().find(|count| !(1..=MOST).contains(count)) {
        Some(count) => Err(format!("expected 1 to {MOST} columns and rows of labels, but found {count}")),
        None => Ok(grid),
    }
}

/// What no printer reaches, at the edge of a page.
const EDGE: Length = Length::mm(8);

fn usual(paper: Paper) -> LabelSheet {
    let tenths = |a: i64, b: i64| [a, b].map(|t| Length::from_ticks(t * (Length::TICKS_PER_MM / 10)));
    let sixteenths = |a: i64, b: i64| [a, b].map(|n| Length::from_ticks(n * (Length::TICKS_PER_INCH / 16)));
    match paper {
        Paper::Letter => LabelSheet {
            paper,
            grid: [2, 5],
            size: sixteenths(64, 32),
            margin: [Length::from_ticks(5 * (Length::TICKS_PER_INCH / 32)), sixteenths(0, 8)[1]],
            gap: sixteenths(3, 0),
        },
        Paper::A4 => LabelSheet {
            paper,
            grid: [2, 7],
            size: tenths(991, 381),
            margin: [
                Length::from_ticks(465 * (Length::TICKS_PER_MM / 100)),
                Length::from_ticks(1515 * (Length::TICKS_PER_MM / 100)),
            ],
            gap: tenths(25, 0),
        },
    }
}

fn share(room: i64, count: u32) -> Length {
    Length::from_ticks(room.max(0) / i64::from(count))
}

fn times(length: Length, count: u32) -> Result<Length, String> {
    length.checked_mul(count.into()).ok_or_else(|| "the labels are larger than any page".to_owned())
}

impl LabelSheet {
    /// Labels on a page.
    pub const fn each(&self) -> u32 {
        self.grid[0] * self.grid[1]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_grid_that_is_accepted_lies_on_the_page() {
        let mut accepted = 0;
        for paper in [Paper::Letter, Paper::A4] {
            for columns in 1..8 {
                for rows in 1..20 {
                    let settings = LabelSettings { grid: Some([columns, rows]), ..LabelSettings::default() };
                    let Ok(sheet) = settings.on(paper, System::Metric) else { continue };
                    accepted += 1;
                    for (axis, least) in LEAST.into_iter().enumerate() {
                        let count = i64::from(sheet.grid[axis]);
                        let end = sheet.margin[axis].ticks()
                            + count * sheet.size[axis].ticks()
                            + (count - 1) * sheet.gap[axis].ticks();
                        assert!(end <= paper.size()[axis].ticks(), "{sheet:?}");
                        assert!(sheet.size[axis] >= least, "{sheet:?}");
                    }
                }
            }
        }
        assert!(accepted > 50, "{accepted}");
    }

    #[test]
    fn a_label_that_is_hardly_too_small_is_told_from_the_smallest() {
        let refused = |wide: Length, system| {
            let settings = LabelSettings { size: Some([wide, Length::mm(30)]), ..LabelSettings::default() };
            settings.on(Paper::A4, system).expect_err("it is too small")
        };
        let inches = |nths: i64| Length::from_ticks(nths * (Length::TICKS_PER_INCH / 16));
        let told = |text: &str| format!("expected labels at least {text}");
        assert_eq!(refused(inches(24), System::Inch), told("~1 9/16\" wide, but found 1 1/2\""));
        assert_eq!(refused(inches(25), System::Inch), told("~1.575\" wide, but found ~1.563\""));
        let hardly = Length::from_ticks(Length::mm(40).ticks() - 1);
        for system in [System::Inch, System::Metric] {
            assert_eq!(refused(hardly, system), told("40 mm wide, but found 39.9999875 mm"));
        }
    }

    #[test]
    fn labels_beyond_the_page_are_refused() {
        let large = |width, height| LabelSettings {
            size: Some([Length::mm(width), Length::mm(height)]),
            ..LabelSettings::default()
        };
        assert!(large(99, 38).on(Paper::A4, System::Metric).is_ok());
        assert!(large(110, 38).on(Paper::A4, System::Metric).is_err());
        assert!(large(99, 50).on(Paper::A4, System::Metric).is_err());
        assert!(large(30, 38).on(Paper::A4, System::Metric).is_err(), "too small to read");
        assert!(large(1 << 30, 38).on(Paper::A4, System::Metric).is_err());
        let none = LabelSettings { grid: Some([0, 7]), ..LabelSettings::default() };
        assert!(none.on(Paper::A4, System::Metric).is_err());
    }
}
