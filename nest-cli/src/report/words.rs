//! Numbers to text, in the user's notation: the one place where a paper's number is made.

use nest_core::model::{Measure, Shop, Stock, Trim, UsableStock};
use nest_core::units::{Length, LengthStyle, Rounding, System};

/// How this user reads lengths and money.
#[derive(Clone, Debug)]
pub struct Words {
    style: LengthStyle,
    currency: String,
    measure: Measure,
}

impl Words {
    /// The notation of a shop, costs in the given measure.
    pub fn of(shop: &Shop, measure: Measure) -> Self {
        Self { style: shop.style, currency: crate::clean::clean(&shop.currency), measure }
    }

    /// The family of units the user reads.
    pub fn system(&self) -> System {
        self.style.parse_unit().system()
    }

    /// How lengths are written.
    pub(super) fn style(&self) -> LengthStyle {
        self.style
    }

    /// What costs are counted in.
    pub fn measure(&self) -> Measure {
        self.measure
    }

    /// The notation in words: `inches, to 1/16`.
    pub fn notation(&self) -> String {
        match self.style {
            LengthStyle::FractionalInches { denominator } => format!("inches, to 1/{denominator}"),
            LengthStyle::FeetInches { denominator } => format!("feet and inches, to 1/{denominator}"),
            LengthStyle::DecimalInches { places } => format!("inches, {places} decimals"),
            LengthStyle::Millimetres => "millimetres".into(),
            LengthStyle::Centimetres => "centimetres".into(),
            LengthStyle::Metres => "metres".into(),
        }
    }

    /// A part or a stock, rounded down: a part has to go into its opening, and nobody counts on wood that is not there.
    pub fn length(&self, length: Length) -> String {
        self.style.format(length, Rounding::Down)
    }

    /// What is to spare, which is not nothing where it is less than a mark: `1/16" or less`.
    pub fn spare(&self, left: Length) -> String {
        if !left.is_positive() || self.style.cut_off(left) < left {
            return self.length(left);
        }
        format!("{} or less", self.style.format(left, Rounding::Up).trim_start_matches('~'))
    }

    /// A kerf or an edge trim: never rounded, since a saw is set to it.
    pub fn kerf(&self, kerf: Length) -> String {
        self.exact(kerf)
    }

    /// Edge trim as a cell of a list of stock, which is read back as exactly the same.
    pub fn trim(&self, trim: Trim) -> String {
        trim.values().iter().map(|&value| self.exact(value)).collect::<Vec<_>>().join("; ")
    }

    /// A place on a tape, rounded to the nearest mark.
    pub fn place(&self, place: Length) -> String {
        self.style.format(place, Rounding::Nearest)
    }

    /// A length that is read back as exactly the same.
    pub fn exact(&self, length: Length) -> String {
        self.style.exact(length)
    }

    /// A size along and across: `96" x 3 1/2"`, or the length alone where the width does not matter.
    pub fn size(&self, size: [Length; 2]) -> String {
        match size[1] {
            Length::ZERO => self.length(size[0]),
            width => format!("{} x {}", self.length(size[0]), self.length(width)),
        }
    }

    /// The size of a stock: its length alone where its section tells the width.
    pub fn stock(&self, stock: &UsableStock, asked: &Stock) -> String {
        if asked.section.is_some() && !asked.ripped {
            self.length(stock.size[0])
        } else {
            self.size(stock.size)
        }
    }

    /// A cost with its unit: `$86.90`, `86.90 EUR`, `240'`, `96 sq ft`.
    pub fn cost(&self, cost: i128) -> String {
        let bare = self.bare(cost);
        if self.measure == Measure::Money { self.with_currency(bare) } else { bare }
    }

    /// A cost without the currency, for columns.
    pub fn bare(&self, cost: i128) -> String {
        self.measure.format(cost, self.style)
    }

    /// A length of something sold by the foot or the metre, rounded up to a tenth of a foot or a centimetre.
    pub fn run(&self, length: Length) -> String {
        let (step, unit, places) = match self.system() {
            System::Inch => (12 * Length::TICKS_PER_INCH / 10, "ft", 1),
            System::Metric => (10 * Length::TICKS_PER_MM, "m", 2),
        };
        let steps = (i128::from(length.ticks()) + i128::from(step) - 1).div_euclid(step.into());
        let whole = 10_i128.pow(places);
        format!("{}.{:0width$} {unit}", steps / whole, steps % whole, width = places as usize)
    }

    /// A weight given in grams: whole pounds or kilograms, to the nearest.
    pub fn weight(&self, grams: u64) -> String {
        match self.system() {
            // A pound is 453.59237 g.
            System::Inch => {
                let pounds = (u128::from(grams) * 100_000 + 22_679_618) / 45_359_237;
                format!("{pounds} lb")
            }
            System::Metric => format!("{} kg", (u128::from(grams) + 500) / 1000),
        }
    }

    fn with_currency(&self, amount: String) -> String {
        match self.currency.as_str() {
            "" => amount,
            code if code.chars().all(char::is_alphabetic) => format!("{amount} {code}"),
            sign => format!("{sign}{amount}"),
        }
    }
}

/// A part of a whole, to the nearest tenth of a percent: `83.6 %`. Only the whole itself is `100.0 %`.
pub fn share((part, whole): (i128, i128)) -> String {
    let whole = whole.max(1);
    let nearest = part.saturating_mul(2000).saturating_add(whole) / whole.saturating_mul(2);
    let tenths = if part < whole { nearest.min(999) } else { nearest };
    format!("{}.{} %", tenths / 10, tenths % 10)
}

/// `1 board`, `2 boards`.
pub fn count(n: u128, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}

/// How many boards and sheets: `2 boards`, `1 board and 3 sheets`, `no stock`.
pub fn stock([boards, sheets]: [u64; 2]) -> String {
    let some = [(boards, "board"), (sheets, "sheet")].into_iter().filter(|(n, _)| *n > 0);
    let said: Vec<String> = some.map(|(n, word)| count(n.into(), word)).collect();
    if said.is_empty() { "no stock".to_owned() } else { said.join(" and ") }
}

/// Names in a row, the first few: `a, b and 3 more`.
pub fn list(names: &[String], most: usize) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        names if names.len() <= most => {
            let (last, rest) = names.split_at(names.len() - 1);
            format!("{} and {}", last.join(", "), rest[0])
        }
        names => format!("{} and {} more", names[..most].join(", "), names.len() - most),
    }
}

/// `1–4, 7`.
pub fn ranges(numbers: &[usize]) -> String {
    let mut parts: Vec<String> = Vec::new();
    let mut i = 0;
    while i < numbers.len() {
        let run = (i + 1..numbers.len()).take_while(|&j| numbers[j] == numbers[i] + (j - i)).count();
        parts.push(match run {
            0 => numbers[i].to_string(),
            1 => format!("{}, {}", numbers[i], numbers[i + 1]),
            _ => format!("{}–{}", numbers[i], numbers[i + run]),
        });
        i += run + 1;
    }
    parts.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_a_row_are_a_range() {
        assert_eq!(ranges(&[1, 2, 3, 4, 7]), "1–4, 7");
        assert_eq!(ranges(&[2, 3, 9]), "2, 3, 9");
        assert_eq!(ranges(&[5]), "5");
    }

    #[test]
    fn what_is_less_than_a_mark_is_not_nothing() {
        let words = Words::of(&Shop::defaults(System::Inch), Measure::Money);
        let spare = |ticks| words.spare(Length::from_ticks(ticks));
        let mark = Length::TICKS_PER_INCH / 16;
        assert_eq!([0, 1, mark - 1].map(spare), ["0\"", "1/16\" or less", "1/16\" or less"]);
        assert_eq!([mark, mark + 1].map(spare), ["1/16\"", "~1/16\""]);
    }

    #[test]
    fn boards_are_no_sheets() {
        let said = [[0, 0], [1, 0], [0, 2], [1, 1]].map(stock);
        assert_eq!(said, ["no stock", "1 board", "2 sheets", "1 board and 1 sheet"]);
    }

    #[test]
    fn shares_are_rounded_but_never_up_to_all() {
        let shares = [(8_354, 10_000), (8_355, 10_000), (8_357, 10_000), (1, 3), (2, 3), (0, 7), (7, 7)];
        assert_eq!(shares.map(share), ["83.5 %", "83.6 %", "83.6 %", "33.3 %", "66.7 %", "0.0 %", "100.0 %"]);
        assert_eq!(share((99_949, 100_000)), "99.9 %");
        assert_eq!(share((99_950, 100_000)), "99.9 %");
        assert_eq!(share((i128::MAX / 4_000 - 1, i128::MAX / 4_000)), "99.9 %");
    }
}
