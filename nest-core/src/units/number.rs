//! Which number stands between two units? A whole number, a decimal, a fraction, or a whole number and a fraction.
//!
//! The unit is known by then, because it decides: spaces group thousands in metric numbers (`1 220 mm`) and join whole
//! and fraction in inches (`23 5/8`), and only in millimetres is a comma before three digits a thousands mark for sure.

use std::ops::Range;

use super::fault::part;
use super::length_error::{LengthError, LengthErrorKind};
use super::notice::{Notice, NoticeKind};
use super::numeral::{Comma, Decimal, Fault, digits, joined, numeral};
use super::scan::{Kind, Token};
use super::{Length, System, Unit};

/// Numerators and denominators above this are no fractions of a tape.
const LARGEST_TERM: u128 = 10_000_000_000;

/// Ticks in 1/64 in.
const SIXTY_FOURTH: u64 = Length::TICKS_PER_INCH.unsigned_abs() / 64;

/// `numerator / denominator`, both small enough to multiply by a unit in 128 bits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Number {
    pub(super) numerator: u128,
    pub(super) denominator: u128,
    /// Whether it was written with a fraction.
    pub(super) fraction: bool,
    pub(super) notice: Option<Notice>,
}

/// The unit a number has, and whether it was written or is the batch's.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Measure {
    pub(super) unit: Unit,
    pub(super) written: bool,
}

/// Reads a number out of tokens that are numerals, one-character fractions, slashes and dashes.
pub(super) fn number(text: &str, tokens: &[Token], measure: Measure) -> Result<Number, LengthError> {
    let mut reader = Reader { text, tokens, measure };
    let whole = reader.whole()?;
    let dashed = whole.is_some() && reader.take(Kind::Dash).is_some();
    let fraction = reader.fraction()?;
    if let Some(token) = reader.tokens.first() {
        let nothing_read = reader.tokens.len() == tokens.len();
        let kind = if nothing_read { LengthErrorKind::NoNumber } else { LengthErrorKind::Unexpected };
        return Err(reader.error(kind, token.span.clone()));
    }
    let span = span_of(tokens);
    match (whole, fraction) {
        (Some(whole), None) if !dashed => Ok(whole),
        (Some(whole), Some(fraction)) if !part(text, &span).contains(['.', ',']) => {
            // A whole number without decimals is at most 10^10, and so are the terms of a fraction.
            let numerator = whole.numerator * fraction.denominator + fraction.numerator;
            let past_one = fraction.numerator >= fraction.denominator;
            let notice =
                past_one.then(|| Notice::new(NoticeKind::FractionPastOne, span, text, String::new()));
            Ok(Number { numerator, notice, ..fraction })
        }
        (None, Some(fraction)) => {
            let notice = space_forgotten(text, tokens, measure);
            Ok(Number { notice, ..fraction })
        }
        // `23.5 1/2`
        (Some(_), Some(_)) => Err(reader.error(LengthErrorKind::DecimalInFraction, span)),
        // `23-` or nothing at all
        (_, None) => Err(reader.error(LengthErrorKind::Unexpected, span.end..span.end)),
    }
}

/// Takes tokens off the front.
struct Reader<'a> {
    text: &'a str,
    tokens: &'a [Token],
    measure: Measure,
}

impl Reader<'_> {
    fn error(&self, kind: LengthErrorKind, span: Range<usize>) -> LengthError {
        LengthError::new(kind, span, self.text)
    }

    fn take(&mut self, kind: Kind) -> Option<Range<usize>> {
        let (first, rest) = self.tokens.split_first()?;
        if first.kind != kind {
            return None;
        }
        self.tokens = rest;
        Some(first.span.clone())
    }

    fn slice(&self, span: &Range<usize>) -> &str {
        part(self.text, span)
    }

    /// How many of the numerals in front are no numerator.
    fn wholes(&self) -> usize {
        let numerals = self.tokens.iter().take_while(|token| token.kind == Kind::Numeral).count();
        let slash_follows = self.tokens.get(numerals).is_some_and(|token| token.kind == Kind::Slash);
        numerals.saturating_sub(usize::from(slash_follows))
    }

    /// The whole or decimal number in front, if there is one.
    fn whole(&mut self) -> Result<Option<Number>, LengthError> {
        let (wholes, rest) = self.tokens.split_at(self.wholes());
        let Some(first) = wholes.first() else { return Ok(None) };
        self.tokens = rest;
        if let [_, second, ..] = wholes {
            let groups: Vec<&str> = wholes.iter().map(|token| self.slice(&token.span)).collect();
            let metric = self.measure.unit.system() == System::Metric;
            let Some(joined) = joined(&groups).filter(|_| metric) else {
                return Err(self.error(LengthErrorKind::Unexpected, second.span.clone()));
            };
            return self.decimal(&joined, span_of(wholes)).map(Some);
        }
        self.decimal(self.slice(&first.span), first.span.clone()).map(Some)
    }

    /// A number that is written without a fraction.
    fn decimal(&self, digits: &str, span: Range<usize>) -> Result<Number, LengthError> {
        let numeral = numeral(digits).map_err(|fault| self.fault(fault, span.clone()))?;
        let millimetres = self.measure.unit == Unit::Millimetre;
        // One digit and three more: between one and ten metres, if it is thousands of millimetres.
        let metres = millimetres && numeral.lead == 1;
        let value = match numeral.comma {
            Comma::Clear => numeral.value,
            // No workshop writes a thousandth of a millimetre, and `18,256 mm` may be a German thickness.
            Comma::Unclear { thousands } if metres && self.measure.written => thousands,
            Comma::Unclear { .. } => return Err(self.error(LengthErrorKind::Ambiguous, span)),
        };
        // 3.175 is a kerf of 1/8 in, and nothing to doubt.
        let tape = value.digits * u128::from(Length::TICKS_PER_MM.unsigned_abs());
        let on_tape = tape.is_multiple_of(value.scale() * u128::from(SIXTY_FOURTH));
        let notice = (metres && numeral.point_before_three && !on_tape).then(|| {
            let without = digits.replace('.', "");
            Notice::new(NoticeKind::PointOrThousands, span, self.text, without)
        });
        let Decimal { digits, .. } = value;
        Ok(Number { numerator: digits, denominator: value.scale(), fraction: false, notice })
    }

    /// The fraction in front, if there is one.
    fn fraction(&mut self) -> Result<Option<Number>, LengthError> {
        let number = |numerator, denominator| {
            Ok(Some(Number { numerator, denominator, fraction: true, notice: None }))
        };
        if let Some(Token { kind: Kind::Vulgar(numerator, denominator), .. }) = self.tokens.first() {
            self.tokens = &self.tokens[1..];
            return number(u128::from(*numerator), u128::from(*denominator));
        }
        let Some(top) = self.take(Kind::Numeral) else { return Ok(None) };
        let end = self.tokens.first().map_or(top.end, |slash| slash.span.end);
        let bottom = self.take(Kind::Slash).and_then(|_| self.take(Kind::Numeral));
        let Some(bottom) = bottom else { return Err(self.error(LengthErrorKind::Unexpected, end..end)) };
        let numerator = self.term(top.clone())?;
        let denominator = self.term(bottom.clone())?;
        if denominator == 0 {
            return Err(self.error(LengthErrorKind::ZeroDenominator, top.start..bottom.end));
        }
        number(numerator, denominator)
    }

    /// A numerator or denominator: plain digits.
    fn term(&self, span: Range<usize>) -> Result<u128, LengthError> {
        let text = self.slice(&span);
        if text.contains(['.', ',']) {
            return Err(self.error(LengthErrorKind::DecimalInFraction, span));
        }
        match digits(text) {
            Ok(value) if value <= LARGEST_TERM => Ok(value),
            _ => Err(self.error(LengthErrorKind::TooManyDigits, span)),
        }
    }

    fn fault(&self, fault: Fault, span: Range<usize>) -> LengthError {
        let kind = match fault {
            Fault::Marks => LengthErrorKind::Marks,
            Fault::TooManyDigits => LengthErrorKind::TooManyDigits,
            Fault::TooLarge => LengthErrorKind::TooLarge,
        };
        self.error(kind, span)
    }
}

/// From the first byte of the tokens to the last.
pub(super) fn span_of(tokens: &[Token]) -> Range<usize> {
    match (tokens.first(), tokens.last()) {
        (Some(first), Some(last)) => first.span.start..last.span.end,
        _ => 0..0,
    }
}

/// `11/2` in inches: an improper fraction whose digits also spell a whole number and a proper, reduced fraction of a
/// tape. The longest such fraction is the likely one (`2315/16` is 23 15/16).
fn space_forgotten(text: &str, tokens: &[Token], measure: Measure) -> Option<Notice> {
    let [top, _, bottom] = tokens else { return None };
    let (top, bottom) = (text.get(top.span.clone())?, text.get(bottom.span.clone())?);
    let denominator: u32 = bottom.parse().ok()?;
    let tape = measure.unit.system() == System::Inch && [2, 4, 8, 16, 32, 64].contains(&denominator);
    let split = (1..top.len()).find(|&at| {
        let proper = top[at..].parse().is_ok_and(|rest: u32| rest % 2 == 1 && rest < denominator);
        proper && !top[at..].starts_with('0')
    })?;
    let improper = top.parse().map_or(true, |top: u32| top >= denominator);
    let (whole, rest) = top.split_at(split);
    let other = format!("{whole} {rest}/{bottom}");
    (tape && improper).then(|| Notice::new(NoticeKind::SpaceForgotten, span_of(tokens), text, other))
}
