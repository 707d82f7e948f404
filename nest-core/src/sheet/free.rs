//! The most valuable cutting of one sheet with any number of stages and of copies of each item.
//!
//! The recursion over all rectangles between points and all cuts through them (Beasley 1985; Cintra, Miyazawa, Wakabayashi
//! and Xavier 2008). Runtime: points along times points across times half of their sum; memory: 16 bytes for
//! each pair of points.

use super::cutting::Cutting;
use super::offers::{Offer, Priced};
use super::points::Points;

/// What is best for a rectangle.
#[derive(Clone, Copy, Debug)]
enum Choice {
    Nothing,
    Item(u32),
    /// Cut along an axis at a point.
    Cut(u8, u32),
}

/// Work of the recursion on so many points.
pub(super) fn work(points: [&Points; 2]) -> u64 {
    let [x, y] = points.map(|p| p.len() as u64);
    x.saturating_mul(y).saturating_mul(x + y) / 4
}

/// The best cutting; `None` where nothing fits.
pub(super) fn best(offers: &[Offer], points: [&Points; 2]) -> Option<Priced> {
    let [nx, ny] = points.map(Points::len);
    // Twice the same table, so that cuts along either axis read what lies side by side.
    let mut rows = vec![0_i64; nx * ny];
    let mut columns = vec![0_i64; nx * ny];
    let mut choices = vec![Choice::Nothing; nx * ny];
    for (o, offer) in offers.iter().enumerate() {
        let Some((x, y)) = points[0].first(offer.size[0]).zip(points[1].first(offer.size[1])) else {
            continue;
        };
        if offer.price > rows[y * nx + x] {
            rows[y * nx + x] = offer.price;
            choices[y * nx + x] = Choice::Item(o as u32);
        }
    }
    let rests = |axis: usize| -> Vec<Vec<u32>> {
        (0..points[axis].len()).map(|p| points[axis].rests(p).map(|rest| rest as u32).collect()).collect()
    };
    let (rest_x, rest_y) = (rests(0), rests(1));
    for y in 0..ny {
        for x in 0..nx {
            let here = y * nx + x;
            let (mut value, mut choice) = (rows[here], choices[here]);
            // What fits into less fits here as well.
            if x > 0 && rows[here - 1] > value {
                (value, choice) = (rows[here - 1], choices[here - 1]);
            }
            if y > 0 && rows[here - nx] > value {
                (value, choice) = (rows[here - nx], choices[here - nx]);
            }
            let line = &rows[y * nx..=here];
            let mut cut = None;
            for (p, &rest) in rest_x[x].iter().enumerate().skip(1) {
                let rest = rest as usize;
                if rest < p {
                    break;
                }
                let sum = line[p] + line[rest];
                if sum > value {
                    (value, cut) = (sum, Some((0, p)));
                }
            }
            let line = &columns[x * ny..x * ny + y + 1];
            for (p, &rest) in rest_y[y].iter().enumerate().skip(1) {
                let rest = rest as usize;
                if rest < p {
                    break;
                }
                let sum = line[p] + line[rest];
                if sum > value {
                    (value, cut) = (sum, Some((1, p)));
                }
            }
            if let Some((axis, p)) = cut {
                choice = Choice::Cut(axis, p as u32);
            }
            (rows[here], columns[x * ny + y], choices[here]) = (value, value, choice);
        }
    }
    let trace = Trace { offers, choices: &choices, rest: [&rest_x, &rest_y], nx };
    let value = rows.last().copied()?;
    Some(Priced { value, cutting: trace.cutting(nx - 1, ny - 1)? })
}

struct Trace<'a> {
    offers: &'a [Offer],
    choices: &'a [Choice],
    rest: [&'a [Vec<u32>]; 2],
    nx: usize,
}

impl Trace<'_> {
    /// What lies in a rectangle. Each cut leaves two smaller ones, so the depth is at most that of the points.
    fn cutting(&self, x: usize, y: usize) -> Option<Cutting> {
        match self.choices[y * self.nx + x] {
            Choice::Nothing => None,
            Choice::Item(o) => {
                let offer = &self.offers[o as usize];
                Some(Cutting::Item { item: offer.item, lay: offer.lay })
            }
            Choice::Cut(axis, at) => {
                let (mut children, axis) = (Vec::new(), usize::from(axis));
                let mut here = [x, y];
                // Cuts along one axis that follow each other are one row.
                let mut at = at as usize;
                loop {
                    let rest = self.rest[axis][here[axis]][at] as usize;
                    let mut part = here;
                    part[axis] = at;
                    children.extend(self.cutting(part[0], part[1]));
                    here[axis] = rest;
                    match self.choices[here[1] * self.nx + here[0]] {
                        Choice::Cut(same, next) if usize::from(same) == axis => at = next as usize,
                        _ => break,
                    }
                }
                children.extend(self.cutting(here[0], here[1]));
                Some(Cutting::Row { axis, children })
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::staged::{Best, Staged};
    use super::*;

    fn offers(parts: &[(u32, u32, i64)], turn: bool) -> Vec<Offer> {
        let mut offers = Vec::new();
        for (item, &(l, w, price)) in parts.iter().enumerate() {
            offers.push(Offer { item, lay: 0, size: [l, w], price, most: u64::MAX });
            if turn {
                offers.push(Offer { item, lay: 1, size: [w, l], price, most: u64::MAX });
            }
        }
        offers
    }

    fn points(size: [u32; 2], offers: &[Offer]) -> [Points; 2] {
        [0, 1].map(|axis| Points::new(size[axis], offers.iter().map(|offer| offer.size[axis])))
    }

    fn value(size: [u32; 2], parts: &[(u32, u32, i64)], turn: bool) -> i64 {
        let offers = offers(parts, turn);
        let [x, y] = points(size, &offers);
        let all = [[x.raster(), y.raster()], [x.clone(), y.clone()]].map(|[x, y]| {
            best(&offers, [&x, &y]).map_or(0, |priced| {
                assert_eq!(priced.value, worth(&priced.cutting, parts));
                assert!(fits(&priced.cutting, size, &offers));
                priced.value
            })
        });
        assert_eq!(all[0], all[1], "{size:?} {parts:?}");
        let best = all[0];
        // Three stages are never better than any number, two never better than three.
        for axis in [0, 1] {
            let staged = [2, 3].map(|stages| {
                let Best { value, priced } = Staged::new(&offers, axis, [&x, &y], true).best(stages, 8);
                assert!(priced.len() <= 8 && priced.is_sorted_by(|a, b| a.value > b.value));
                for priced in &priced {
                    assert_eq!(priced.value, worth(&priced.cutting, parts));
                    assert!(fits(&priced.cutting, size, &offers));
                }
                assert_eq!(value, priced.first().map_or(0, |priced| priced.value));
                value
            });
            assert!(staged[0] <= staged[1] && staged[1] <= best, "{staged:?} {best}");
        }
        best
    }

    fn fits(cutting: &Cutting, size: [u32; 2], offers: &[Offer]) -> bool {
        fn needs(cutting: &Cutting, offers: &[Offer]) -> [u32; 2] {
            match cutting {
                Cutting::Item { item, lay } => {
                    offers.iter().find(|offer| (offer.item, offer.lay) == (*item, *lay)).unwrap().size
                }
                Cutting::Row { axis, children } => children.iter().fold([0; 2], |mut all, child| {
                    let inner = needs(child, offers);
                    all[*axis] += inner[*axis];
                    all[1 - axis] = all[1 - axis].max(inner[1 - axis]);
                    all
                }),
            }
        }
        let needs = needs(cutting, offers);
        needs[0] <= size[0] && needs[1] <= size[1]
    }

    fn worth(cutting: &Cutting, parts: &[(u32, u32, i64)]) -> i64 {
        match cutting {
            Cutting::Item { item, .. } => parts[*item].2,
            Cutting::Row { children, .. } => children.iter().map(|child| worth(child, parts)).sum(),
        }
    }

    fn area(parts: &[(u32, u32)]) -> Vec<(u32, u32, i64)> {
        parts.iter().map(|&(l, w)| (l, w, i64::from(l) * i64::from(w))).collect()
    }

    /// M. Hifi, V. Zissimopoulos, Eur. J. Oper. Res. 91 (1996), problems HZ1 and HZ2; J. C. Herz, IBM J. Res. Dev. 16
    /// (1972). Values recomputed exactly elsewhere.
    #[test]
    fn published_problems_of_one_sheet() {
        let hz1 = area(&[(7, 10), (32, 54), (6, 13), (14, 54), (9, 5), (24, 13)]);
        assert_eq!(value([78, 67], &hz1, false), 5226);
        let hz2 = [(21, 13, 285), (54, 20, 1083), (24, 23, 556), (18, 35, 273), (36, 17, 729)];
        assert_eq!(value([99, 80], &hz2, false), 8046);
        let herz = area(&[(21, 13), (36, 17), (54, 20), (24, 27), (18, 65)]);
        assert_eq!(value([127, 98], &herz, false), 12348);
    }

    /// K. A. Dowsland, Eur. J. Oper. Res. 15 (1984): pallets with equal boxes that may turn, here with cuts from edge to
    /// edge. Values recomputed exactly elsewhere.
    #[test]
    fn equal_pieces_that_may_turn() {
        for (pallet, piece, most) in [
            ([22, 16], (5, 3), 22),
            ([30, 22], (7, 4), 22),
            ([46, 34], (11, 6), 22),
            ([50, 36], (11, 7), 22),
            ([53, 51], (9, 7), 41),
            ([63, 60], (11, 8), 41),
            ([76, 73], (13, 10), 41),
            ([86, 82], (15, 11), 41),
        ] {
            assert_eq!(value(pallet, &[(piece.0, piece.1, 1)], true), most, "{pallet:?} {piece:?}");
        }
    }

    /// J. E. Beasley, J. Oper. Res. Soc. 36 (1985): gcut2 to gcut12, any number of copies, where the files are at hand.
    #[test]
    fn problems_of_beasley() {
        let Some(folder) = std::env::var_os("NEST_INSTANCES") else {
            println!("skipped: NEST_INSTANCES does not name the instances");
            return;
        };
        let folder = std::path::Path::new(&folder).join("2d/gcut");
        let best = std::fs::read_to_string(folder.join("best.csv")).unwrap();
        let mut seen = 0;
        for row in best.lines().filter(|row| row.contains(";unconstrained;")) {
            let cells: Vec<&str> = row.split(',').collect();
            let number: u32 = cells[0].trim_start_matches("gcut").parse().unwrap();
            if number > 12 {
                continue;
            }
            let text = std::fs::read_to_string(folder.join(cells[0])).unwrap();
            let n: Vec<u32> = text.split_whitespace().map(|word| word.parse().unwrap()).collect();
            let parts: Vec<_> = n[3..].chunks(3).map(|c| (c[0], c[1], i64::from(c[2]))).collect();
            let found = value([n[1], n[2]], &parts, cells[1].contains(";R;"));
            assert_eq!(found, cells[2].parse::<i64>().unwrap(), "{row}");
            seen += 1;
        }
        assert!(seen > 10);
    }
}
