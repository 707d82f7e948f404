//! Edge trim of one stock, where it is not what the shop says.

use crate::units::Length;

/// Edge trim of one stock, kerf included; 0 leaves an edge as it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(try_from = "Vec<Length>", into = "Vec<Length>"))]
pub enum Trim {
    /// The same all round: at both ends, and of a sheet at both edges.
    All(Length),
    /// Of a board: near and far end.
    Ends([Length; 2]),
    /// Of a sheet: near and far end (along the length), near and far edge (across).
    Edges([Length; 4]),
}

impl Trim {
    /// As many values as one can have.
    pub const COUNTS: [usize; 3] = [1, 2, 4];

    /// One value, two or four; `None` of any other number.
    pub fn of(values: &[Length]) -> Option<Self> {
        match *values {
            [all] => Some(Self::All(all)),
            [near, far] => Some(Self::Ends([near, far])),
            [near, far, low, high] => Some(Self::Edges([near, far, low, high])),
            _ => None,
        }
    }

    /// What a board or a sheet may have, in words.
    pub fn expected(board: bool) -> &'static str {
        if board {
            "one value, or near and far end"
        } else {
            "one value, or near end, far end, near edge, far edge"
        }
    }

    /// The values as they were given.
    pub fn values(&self) -> &[Length] {
        match self {
            Self::All(all) => std::slice::from_ref(all),
            Self::Ends(ends) => ends,
            Self::Edges(edges) => edges,
        }
    }

    /// Near and far end, near and far edge of a board, whose long edges count as clean, or of a sheet; `None` where the
    /// values are those of the other.
    pub fn sides(&self, board: bool) -> Option<[Length; 4]> {
        match (*self, board) {
            (Self::All(all), false) => Some([all; 4]),
            (Self::All(end), true) => Some([end, end, Length::ZERO, Length::ZERO]),
            (Self::Ends([near, far]), true) => Some([near, far, Length::ZERO, Length::ZERO]),
            (Self::Edges(edges), false) => Some(edges),
            (Self::Ends(_), false) | (Self::Edges(_), true) => None,
        }
    }

    /// The same with one value where all are equal.
    #[must_use]
    pub fn brief(self) -> Self {
        match self.values() {
            [first, rest @ ..] if rest.iter().all(|value| value == first) => Self::All(*first),
            _ => self,
        }
    }
}

impl From<Trim> for Vec<Length> {
    fn from(trim: Trim) -> Self {
        trim.values().to_vec()
    }
}

impl TryFrom<Vec<Length>> for Trim {
    type Error = String;

    fn try_from(values: Vec<Length>) -> Result<Self, String> {
        Self::of(&values).ok_or_else(|| format!("expected 1, 2 or 4 edge trims, but found {}", values.len()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_those_of_a_board_or_a_sheet() {
        let mm = |values: &[i64]| Trim::of(&values.iter().map(|&mm| Length::mm(mm)).collect::<Vec<_>>());
        let sides = |values: &[i64]| {
            let trim = mm(values).unwrap();
            [true, false].map(|board| trim.sides(board).map(|sides| sides.map(Length::ticks)))
        };
        let ticks = |sides: [i64; 4]| Some(sides.map(|mm| Length::mm(mm).ticks()));
        assert_eq!(sides(&[5]), [ticks([5, 5, 0, 0]), ticks([5; 4])]);
        assert_eq!(sides(&[5, 6]), [ticks([5, 6, 0, 0]), None]);
        assert_eq!(sides(&[5, 6, 7, 8]), [None, ticks([5, 6, 7, 8])]);
        assert_eq!([mm(&[]), mm(&[5; 3]), mm(&[5; 5])], [None; 3]);
        assert_eq!(mm(&[5, 6, 7, 8]).unwrap().values(), [5, 6, 7, 8].map(Length::mm));
        let brief = |values: &[i64]| mm(values).unwrap().brief();
        assert_eq!(brief(&[5; 2]), brief(&[5]));
        assert_eq!(brief(&[5; 4]), Trim::All(Length::mm(5)));
        assert_ne!(brief(&[5, 6]), brief(&[5]));
    }
}
