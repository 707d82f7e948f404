//! Rows of another shape than the header: what is to be said of them, and which of their cells still stand where they
//! belong.

use std::ops::Range;

use nest_core::model::LONGEST_TEXT;
use nest_core::units::Unit;

use super::columns::Columns;
use super::csv::{Cell, QuoteFault, Records};
use super::misfits::Misfit;
use super::source::Source;
use crate::diagnose::{Desk, Spot};

/// How the rows of a list are cut into cells.
#[derive(Debug)]
pub struct Shape<'a> {
    /// Which source of the desk.
    pub source: usize,
    /// The list.
    pub text: &'a Source,
    /// What stands between cells.
    pub separator: u8,
    /// The header.
    pub columns: &'a Columns,
    /// How many empty cells more than the header every row ends with.
    pub surplus: usize,
    /// What bare numbers mean.
    pub unit: Option<Unit>,
}

/// Whole rows end with empty cells that the header does not have.
pub struct Habit {
    /// How many.
    pub surplus: usize,
    /// Two numbers that a decimal comma might have made of one, if there are such in every row.
    pub doubt: Option<Range<usize>>,
}

impl Shape<'_> {
    /// Whether every row from `start` on ends with as many empty cells more than the header, as spreadsheets write them, and
    /// fits the header otherwise, those aside that will be refused for another reason. As much could be said of rows that all
    /// lost a number to a decimal comma: in one of them at least that number would have to be odd. One row alone is no habit.
    pub fn habit(&self, start: usize) -> Option<Habit> {
        if self.separator != b',' {
            return None;
        }
        let width = self.columns.width;
        let all = Records::new(self.text.text.as_str(), start..self.text.text.len(), self.separator);
        let filled = all.filter(|cells| cells.iter().any(|cell| !cell.text.is_empty()));
        let mut rows = filled.filter(|cells| !self.surely_refused(cells)).peekable();
        let surplus = rows.peek()?.len().checked_sub(width).filter(|surplus| *surplus > 0)?;
        let (mut count, mut last, mut doubt, mut doubts, mut odd) = (0, 0, None, 0, false);
        // Rows whose last cell is no more empty, since a number became two.
        let mut split = 0;
        // Columns of words in which something else than a number was found.
        let mut worded = vec![false; width];
        for cells in rows {
            let (fitting, rest) = cells.split_at_checked(width)?;
            let empty = rest.iter().all(|cell| cell.text.is_empty());
            if !empty && rest.len() == surplus && self.split_number(&cells).is_some() {
                split += 1;
                continue;
            }
            if !empty || rest.len() != surplus || !self.belong(fitting, 0) {
                return None;
            }
            for (place, cell) in fitting.iter().enumerate().filter(|(_, cell)| !cell.text.is_empty()) {
                last = last.max(place);
                worded[place] |= !cell.text.starts_with(char::is_numeric);
            }
            count += 1;
            match self.split_number(&cells) {
                Some((_, span)) => {
                    doubts += 1;
                    odd |= !self.pairs(&cells).iter().any(|pair| self.is_usual(pair));
                    doubt.get_or_insert(span);
                }
                None => odd = true,
            }
        }
        let fits = worded.get(last).is_some_and(|worded| *worded) || self.columns.counts(last);
        (count > split.max(1) && fits && odd)
            .then(|| Habit { surplus, doubt: doubt.filter(|_| doubts == count) })
    }

    /// Whether a row has a slip of its own: in quotes, in how many cells it has, or a word where a number belongs. None that
    /// a decimal comma may have made.
    fn surely_refused(&self, cells: &[Cell]) -> bool {
        let surplus = cells.get(self.columns.width..);
        let torn = surplus.is_none_or(|rest| rest.iter().any(|cell| !cell.text.is_empty()));
        cells.iter().any(|cell| cell.fault.is_some())
            || torn && self.split_number(cells).is_none()
            || self.misplaced(cells)
    }

    /// Whether something stands where it cannot be read.
    fn misplaced(&self, cells: &[Cell]) -> bool {
        (0..self.columns.width).zip(cells).any(|(place, cell)| self.columns.refuses(place, &cell.text))
    }

    /// Where a comma without quotes made several cells of one, all behind it moved on, and none but empty ones stand where the
    /// header has no name any more: how many too many, and from the first cell that may be meant to the last.
    fn torn(&self, cells: &[Cell]) -> Option<(usize, Range<usize>)> {
        let named = self.columns.named();
        if named > MOST_JOINED || !self.misplaced(cells) {
            return None;
        }
        (1..=cells.len().checked_sub(named)?.min(MOST_COMMAS)).find_map(|more| {
            let beyond = cells.get(named + more..)?;
            let joins = |place: &usize| {
                let joined = cells.get(*place..=place + more).unwrap_or_default();
                let worded = |cell: &Cell| !cell.text.is_empty() && !cell.text.starts_with(char::is_numeric);
                let behind = cells.get(place + more + 1..named + more).unwrap_or_default();
                !self.columns.counts(*place)
                    && joined.iter().all(worded)
                    && self.belong(cells.get(..*place).unwrap_or_default(), 0)
                    && self.belong(behind, place + 1)
            };
            let places: Vec<usize> = (0..named).filter(joins).collect();
            let [from, to] = [cells.get(*places.first()?)?, cells.get(places.last()? + more)?];
            beyond.iter().all(|cell| cell.text.is_empty()).then_some((more, from.span.start..to.span.end))
        })
    }

    /// Whether numbers and sections stand wherever they belong, in cells from this place on.
    fn belong(&self, cells: &[Cell], first: usize) -> bool {
        (first..).zip(cells).all(|(place, cell)| self.columns.suits(place, &cell.text))
    }

    /// Reports what is wrong with cells whatever they say, and tells the columns that nobody can read in this row: cells
    /// with text behind a quote, or without an end, and, where there are not as many as in the header, all but the first
    /// ones, which have not moved.
    pub fn faulty(&self, cells: &[Cell], misfits: &mut Vec<Misfit>, desk: &mut Desk) -> Vec<&'static str> {
        let spot = |span: Range<usize>| Spot { source: self.source, span };
        let inside = "inside quotes an inch mark is written twice: \"23 1/4\"\"\"";
        let mut faulty = Vec::new();
        // Where a cell begins that may hold separators of its own.
        let mut torn = None;
        for (place, cell) in cells.iter().enumerate() {
            match cell.fault {
                Some(QuoteFault::Unclosed) => {
                    let open = cell.span.start..cell.span.start + 1;
                    desk.error(spot(open), "the quote that opens here is never closed").hint(inside);
                    return self.from(0);
                }
                Some(QuoteFault::TextBehind) => {
                    desk.error(
                        spot(cell.span.clone()),
                        "there is text behind the closing quote of this cell",
                    )
                    .hint(inside);
                    faulty.push(self.columns.name(place));
                    torn = Some(place);
                }
                None if cell.text.len() > LONGEST_TEXT * 4 => {
                    let (_, line) = self.text.line(cell.span.start);
                    let end = cell.span.end.min(line.end);
                    desk.error(
                        spot(cell.span.start..end),
                        format!("expected at most {LONGEST_TEXT} characters in a cell"),
                    );
                    faulty.push(self.columns.name(place));
                }
                None => {}
            }
        }
        let cells = self.without_habit(cells);
        let (found, expected) = (cells.len(), self.columns.width);
        let surplus = cells.get(expected..).unwrap_or_default();
        if surplus.iter().all(|cell| cell.text.is_empty())
            && faulty.is_empty()
            && let Some((more, span)) = self.torn(cells)
        {
            let expected = self.columns.named();
            let hint = self.quotes();
            misfits.push(Misfit { span, found: expected + more, expected, number: None, hint });
            return self.from(self.unmoved(cells));
        }
        let split = if surplus.is_empty() { None } else { self.split_number(cells) };
        // Empty cells at the end are harmless, unless they are there because a number became two.
        let odd = found < expected || split.is_some() || surplus.iter().any(|cell| !cell.text.is_empty());
        if !odd {
            return faulty;
        }
        // A quote that was closed too early lets separators through, up to the one that was to close it.
        let closes = |cell: &Cell| self.written(cell).contains('"');
        let let_through = torn.is_some_and(|torn| cells.iter().skip(torn + 1).any(closes));
        if found < expected || !let_through {
            misfits.push(self.misfit(cells, split.as_ref().map(|(_, span)| span.clone())));
        }
        let before = split.map(|(place, _)| place).filter(|place| self.belong(&cells[..*place], 0));
        let sure = before.unwrap_or_else(|| self.unmoved(cells));
        faulty.extend(self.from(torn.map_or(sure, |torn| torn.min(sure))));
        faulty
    }

    /// A row without the empty cells that every row ends with.
    fn without_habit<'c>(&self, cells: &'c [Cell]) -> &'c [Cell] {
        let beyond = cells.get(self.columns.width..).unwrap_or_default();
        let usual = beyond.iter().rev().take(self.surplus).take_while(|cell| cell.text.is_empty()).count();
        cells.get(..cells.len() - usual).unwrap_or(cells)
    }

    /// The columns from a place on.
    fn from(&self, place: usize) -> Vec<&'static str> {
        (place..self.columns.width).map(|place| self.columns.name(place)).collect()
    }

    /// How many cells at the head of a row with too many or too few still stand where they belong: those before the first
    /// column of numbers, if there is a number in it.
    fn unmoved(&self, cells: &[Cell]) -> usize {
        let first = (0..self.columns.width).find(|place| self.columns.counts(*place));
        let number =
            |place: &usize| cells.get(*place).is_some_and(|cell| cell.text.starts_with(char::is_numeric));
        first.filter(number).unwrap_or(0)
    }

    /// How the separator is written in messages.
    pub fn separator_name(&self) -> String {
        match self.separator {
            b'\t' => "tab".to_owned(),
            byte => format!("`{}`", char::from(byte)),
        }
    }

    fn quotes(&self) -> String {
        format!("put a cell that holds a {} in quotes", self.separator_name())
    }

    /// What is to be said of a row with too many or too few cells.
    fn misfit(&self, cells: &[Cell], split: Option<Range<usize>>) -> Misfit {
        let (found, expected) = (cells.len(), self.columns.width);
        let surplus = cells.get(expected..).unwrap_or_default();
        let first = surplus.iter().find(|cell| !cell.text.is_empty()).or(cells.last());
        let span = split.clone().or(first.map(|cell| cell.span.clone())).unwrap_or(0..0);
        let separator = self.separator_name();
        let number = split.and_then(|span| self.text.text.get(span)).map(str::to_owned);
        let alone = cells.first().filter(|_| found == 1).map_or("", |cell| cell.text.as_str());
        // A row that was put together by another hand than the header.
        let other = [',', ';', '\t'].into_iter().find(|other| alone.matches(*other).count() + 1 == expected);
        let hint = match &number {
            _ if found < expected && alone.starts_with('#') => {
                "comments stand above the header: delete this line".to_owned()
            }
            _ if found < expected && other.is_some() => {
                format!("the header separates cells by {separator}: do so here too")
            }
            _ if found < expected => format!("empty cells keep their {separator}"),
            None => self.quotes(),
            Some(number) => format!(
                "a decimal comma needs quotes, \"{number}\", or a point, {}; if those are two numbers, the row has a \
                 {separator} too many",
                number.replace(',', ".")
            ),
        };
        Misfit { span, found, expected, number, hint }
    }

    fn written(&self, cell: &Cell) -> &str {
        self.text.text.get(cell.span.clone()).unwrap_or_default()
    }

    /// Two neighbours that may be one number with a decimal comma, the first in a column of numbers: of several those with the
    /// fewest decimals, `12,5` rather than `18,12`. Only where such numbers explain all cells too many, and numbers stand where
    /// they belong once the two are one: else it is a comma in a note, or one too many at the end. Tells as well where the
    /// first pair of all begins.
    fn split_number(&self, cells: &[Cell]) -> Option<(usize, Range<usize>)> {
        let surplus = cells.len().saturating_sub(self.columns.width);
        let pairs = self.pairs(cells);
        let (mut apart, mut free) = (0, 0);
        for Pair { span, .. } in &pairs {
            if span.start >= free {
                (apart, free) = (apart + 1, span.end);
            }
        }
        let first = pairs.first()?.place;
        let likeliest = pairs.into_iter().min_by_key(|pair| pair.decimals.len());
        likeliest.filter(|_| apart >= surplus).map(|pair| (first, pair.span))
    }

    /// All neighbours that may be one number.
    fn pairs(&self, cells: &[Cell]) -> Vec<Pair<'_>> {
        if self.separator != b',' {
            return Vec::new();
        }
        let number = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
        let surplus = cells.len().saturating_sub(self.columns.width);
        let pairs = cells.windows(2).enumerate().filter_map(|(place, pair)| {
            let [whole, rest] = [self.written(&pair[0]), self.written(&pair[1])];
            let (decimals, behind) = rest.split_at_checked(number(rest)).unwrap_or_default();
            // A unit may follow, but no fraction.
            let likely = !behind.contains(|c: char| c.is_numeric() || c == '/')
                && match decimals.len() {
                    1 | 2 => true,
                    // Eighths of an inch; else thousands are more likely than thousandths.
                    3 => EIGHTHS.contains(&decimals),
                    _ => false,
                };
            let digits = !whole.is_empty() && number(whole) == whole.len();
            let touch = pair[0].span.end + 1 == pair[1].span.start;
            // Where several numbers were split, others are moved already.
            let [before, behind] =
                [cells.get(..place), cells.get(place + 2..)].map(Option::unwrap_or_default);
            let fits = || surplus > 1 || self.belong(before, 0) && self.belong(behind, place + 1);
            let one = self.columns.is_number(place) && digits && likely && touch && fits();
            one.then(|| Pair { place, whole, decimals, span: pair[0].span.start..pair[1].span.end })
        });
        pairs.collect()
    }

    /// Whether people measure so: sizes to half a millimetre, and to eighths and hundredths in fives of an inch.
    fn is_usual(&self, pair: &Pair<'_>) -> bool {
        let column = self.columns.name(pair.place);
        match self.columns.unit(column).or(self.unit) {
            _ if ["price", "thickness"].contains(&column) || pair.whole == "0" => true,
            Some(Unit::Millimetre) => pair.decimals == "5",
            Some(Unit::Inch) => pair.decimals.ends_with('5') || ["50", "00"].contains(&pair.decimals),
            _ => true,
        }
    }
}

/// Most columns of a list in which cells are joined to see where a comma too many stands.
const MOST_JOINED: usize = 100;
/// Most commas too many that are looked for.
const MOST_COMMAS: usize = 3;

/// Decimals of an eighth of an inch.
const EIGHTHS: [&str; 4] = ["125", "375", "625", "875"];

/// Two cells that may be one number.
struct Pair<'t> {
    place: usize,
    whole: &'t str,
    decimals: &'t str,
    span: Range<usize>,
}
