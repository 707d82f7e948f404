//! Places on paper that are taken, as boxes: left, upper, right and lower end.
//!
//! Of thousands of boxes only those are looked at that lie in the same squares of the paper.

use std::collections::BTreeMap;

/// Side of a square.
const SIDE: i64 = 1000;

/// Boxes that nothing else may touch.
#[derive(Default)]
pub(super) struct Taken {
    squares: BTreeMap<[i64; 2], Vec<[i64; 4]>>,
}

impl Taken {
    pub fn push(&mut self, place: [i64; 4]) {
        for square in squares(&place) {
            self.squares.entry(square).or_default().push(place);
        }
    }

    /// All that a box overlaps, some of it several times.
    pub fn under<'a>(&'a self, place: &'a [i64; 4]) -> impl Iterator<Item = &'a [i64; 4]> {
        let near = squares(place).filter_map(|square| self.squares.get(&square)).flatten();
        near.filter(|other| !apart(place, other))
    }

    /// Whether a box overlaps nothing.
    pub fn is_free(&self, place: &[i64; 4]) -> bool {
        self.under(place).next().is_none()
    }
}

impl FromIterator<[i64; 4]> for Taken {
    fn from_iter<T: IntoIterator<Item = [i64; 4]>>(places: T) -> Self {
        let mut taken = Self::default();
        places.into_iter().for_each(|place| taken.push(place));
        taken
    }
}

/// The squares that a box lies in.
fn squares(&[left, upper, right, lower]: &[i64; 4]) -> impl Iterator<Item = [i64; 2]> + use<> {
    let along = left.div_euclid(SIDE)..=right.div_euclid(SIDE);
    along.flat_map(move |x| (upper.div_euclid(SIDE)..=lower.div_euclid(SIDE)).map(move |y| [x, y]))
}

pub(super) fn apart(a: &[i64; 4], b: &[i64; 4]) -> bool {
    a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn squares_leave_nothing_out() {
        let mut seed = 1_u64;
        let mut draw = |most: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            ((seed >> 33) % most) as i64 - 200
        };
        let mut boxes = Vec::new();
        for n in 0..300 {
            let ([x, y], [w, h]) = ([draw(6000), draw(6000)], [draw(1500) + 200, draw(900) + 200]);
            boxes.push(if n % 2 == 0 { [x, y, x + w, y + h] } else { [x, y, x + h, y + w] });
        }
        let taken: Taken = boxes[..150].iter().copied().collect();
        let free = boxes[150..].iter().filter(|place| {
            let free = boxes[..150].iter().all(|other| apart(place, other));
            assert_eq!(taken.is_free(place), free, "{place:?}");
            free
        });
        let free = free.count();
        assert!((10..140).contains(&free), "{free}");
    }
}
