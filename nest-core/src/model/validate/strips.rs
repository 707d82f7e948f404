//! Which parts are cut as one strip, and does any stock hold it?
//!
//! Only parts without a problem of their own are looked at; a strip that lost one says nothing more. What the saw would
//! have to cut apart, and with it the grain that somebody wanted to run on, is an error.
//!
//! Runtime: the number of parts times its logarithm, and for each strip its parts times the stock of the first.

use std::collections::BTreeMap;

use super::super::fold::fold;
use super::super::problem::{Findings, ProblemKind, part as place};
use super::super::{Batch, CutPart, MatchWay, PartGrain, Strip, StripPlacing, UsableStock};
use super::MOST_PIECES_A_STRIP;
use super::cut::CutSize;
use super::remedy::Remedy;
use super::resolve;
use super::sawing::{Blank, Limits};
use crate::units::{Length, Rounding};

/// What decides, beside its size, in which strip a part lies, and how.
const DECIDES: [&str; 8] = ["qty", "grain", "match", "match_way", "optional", "job", "material", "thickness"];

/// All strips in the order of their first parts.
pub fn form(
    batch: &Batch,
    cuts: &[CutSize],
    parts: &[CutPart],
    stock: &[Option<UsableStock>],
    found: &mut Findings,
) -> Vec<Strip> {
    let mut words: BTreeMap<(String, String, Option<Length>, String), Vec<usize>> = BTreeMap::new();
    for (row, part) in batch.parts.iter().enumerate() {
        if let Some(word) = part.match_word.as_ref().filter(|_| part.qty > 0) {
            let key = (fold(&part.job), fold(&part.material), part.thickness, fold(word));
            words.entry(key).or_default().push(row);
        }
    }
    let sure = |row: usize| cuts[row].sure == [true; 2] && found.sure_of(place(row, ""), &DECIDES);
    let mut members: Vec<Vec<usize>> =
        words.into_values().filter(|rows| rows.iter().all(|&row| sure(row))).collect();
    members.sort_unstable();
    let look = |members: Vec<usize>| Look { batch, parts, stock, members };
    members
        .into_iter()
        .map(look)
        .filter(|look| look.pieces() > 1)
        .filter_map(|look| look.strip(found))
        .collect()
}

/// The parts of one strip, being looked at.
struct Look<'a> {
    batch: &'a Batch,
    parts: &'a [CutPart],
    stock: &'a [Option<UsableStock>],
    members: Vec<usize>,
}

impl Look<'_> {
    fn pieces(&self) -> u64 {
        self.members.iter().map(|&row| u64::from(self.batch.parts[row].qty)).sum()
    }

    fn strip(self, found: &mut Findings) -> Option<Strip> {
        let first = self.members[0];
        let (word, pieces) = (self.word(), self.pieces());
        if pieces > MOST_PIECES_A_STRIP {
            let message = format!(
                "expected at most {MOST_PIECES_A_STRIP} pieces in the strip {word}, but found {pieces}"
            );
            found
                .add(place(first, "match"), ProblemKind::Limit, message)
                .hint("give some of them another word");
            return None;
        }
        if !self.alike(found) {
            return None;
        }
        if self.members.iter().any(|&row| self.parts[row].from.is_empty()) {
            return None;
        }
        let mut stock = self.parts[first].from.iter().map(|placing| placing.stock);
        if !found.sure_of_saws() || stock.any(|row| !resolve::is_sure(row, found)) {
            return None;
        }
        let way = self.batch.parts[first].match_way;
        let lying = self.lying(way);
        let fitting: Vec<StripPlacing> =
            lying.iter().copied().filter(|placing| self.is_held(way, placing)).collect();
        if fitting.is_empty() {
            self.report(way, &lying, found);
            return None;
        }
        let ways = self.blanks(way, &fitting);
        let shop = &self.batch.shop;
        let from: Vec<StripPlacing> = ways
            .iter()
            .filter(|(_, usable, blank)| Limits::of(shop, usable).free(usable, *blank))
            .map(|(placing, ..)| *placing)
            .collect();
        if from.is_empty() {
            let ways: Vec<(&UsableStock, Blank)> =
                ways.iter().map(|&(_, usable, blank)| (usable, blank)).collect();
            let material = &self.batch.parts[first].material;
            let message =
                format!("no cuts that the saw can make free the strip {word} from any stock of {material}");
            found
                .add(place(first, "match"), ProblemKind::Saw, message)
                .hint(Remedy::of(shop, &ways).text(shop));
            return None;
        }
        Some(Strip { parts: self.members, way, from })
    }

    /// Whether the stock is large enough for the strip.
    fn is_held(&self, way: MatchWay, placing: &StripPlacing) -> bool {
        let axis = way.axis(placing.turned);
        self.room(way, placing).is_some_and(|room| placing.size[axis] <= room)
    }

    /// What the saw has to free for each of the places.
    fn blanks(&self, way: MatchWay, fitting: &[StripPlacing]) -> Vec<(StripPlacing, &UsableStock, Blank)> {
        let blank = |&placing: &StripPlacing| {
            let usable = self.stock.get(placing.stock)?.as_ref()?;
            let chain = way.axis(placing.turned);
            let [widest, link] = if chain == 1 {
                self.widest(usable, placing.turned)
            } else {
                [placing.size[1], Length::ZERO]
            };
            Some((placing, usable, Blank { size: placing.size, chain: Some(chain), link, widest }))
        };
        fitting.iter().filter_map(blank).collect()
    }

    /// Whether the strip could be cut if it ran this way.
    fn would_do(&self, way: MatchWay) -> bool {
        let sizes: Vec<Option<Length>> = self.members.iter().map(|&row| self.across(row, way).0).collect();
        let wide =
            way == MatchWay::Along || self.members.iter().all(|&row| self.batch.parts[row].width.is_some());
        let fitting: Vec<StripPlacing> =
            self.lying(way).into_iter().filter(|placing| self.is_held(way, placing)).collect();
        let shop = &self.batch.shop;
        let free =
            |(_, usable, blank): &(_, &UsableStock, Blank)| Limits::of(shop, usable).free(usable, *blank);
        wide && sizes.windows(2).all(|two| two[0] == two[1]) && self.blanks(way, &fitting).iter().any(free)
    }

    /// Whether all parts run the same way, are optional or not, and are equal across the strip.
    fn alike(&self, found: &mut Findings) -> bool {
        let before = found.len();
        let word = self.word();
        let first = &self.batch.parts[self.members[0]];
        let (size, _) = self.across(self.members[0], first.match_way);
        for &row in &self.members {
            let part = &self.batch.parts[row];
            if part.match_way != first.match_way {
                let [one, other] = [first.match_way, part.match_way].map(|way| match way {
                    MatchWay::Along => "along the grain",
                    MatchWay::Across => "across the grain",
                });
                let message = format!("the strip {word} runs {one} for {}, but {other} here", first.name);
                found
                    .add(place(row, "match_way"), ProblemKind::Contradiction, message)
                    .hint("a strip has one `match_way`; another strip needs another word in `match`");
                continue;
            }
            if part.optional != first.optional {
                let message = format!("of the strip {word} some parts are optional and some are not");
                found
                    .add(place(row, "optional"), ProblemKind::Contradiction, message)
                    .hint("a strip is made whole or not at all");
            }
            let (found_size, field) = self.across(row, part.match_way);
            if part.match_way == MatchWay::Across && part.width.is_none() {
                let message = format!("{} is as wide as its board, so nothing lies beside it", part.name);
                found
                    .add(place(row, "match_way"), ProblemKind::Contradiction, message)
                    .hint("give it a width");
            } else if found_size != size {
                let show = |size: Option<Length>| match size {
                    Some(size) => self.batch.shop.style.exact(size),
                    None => "the width of its board".into(),
                };
                let message = format!(
                    "the strip {word} is {} across at {}, but {} here",
                    show(size),
                    first.name,
                    show(found_size)
                );
                found.add(place(row, field), ProblemKind::Contradiction, message).hint(
                    "parts of one strip have one size across it, as cut; others need another word in `match`",
                );
            }
        }
        found.len() == before
    }

    /// The cut size across a strip that runs this way and the column that it comes from; nothing for the width of the board.
    fn across(&self, row: usize, way: MatchWay) -> (Option<Length>, &'static str) {
        let (part, cut) = (&self.batch.parts[row], &self.parts[row]);
        let by_length = PartGrain::length_runs_with_strip(part.grain) == (way == MatchWay::Across);
        if by_length { (Some(cut.length), "length") } else { (cut.width, "width") }
    }

    /// Every stock and direction in which all parts may lie alike, whether or not it is long enough for all of them.
    fn lying(&self, way: MatchWay) -> Vec<StripPlacing> {
        let stock = self.parts[self.members[0]].from.iter().map(|placing| placing.stock);
        let both = stock.flat_map(|stock| [(stock, false), (stock, true)]);
        both.filter_map(|(stock, turned)| {
            let size = self.size(way, stock, turned)?;
            Some(StripPlacing { stock, turned, size })
        })
        .collect()
    }

    /// The size of the strip on a stock, its grain along the length of the stock or across; `None` where a part of it
    /// may not lie like that.
    fn size(&self, way: MatchWay, index: usize, turned: bool) -> Option<[Length; 2]> {
        let usable = self.stock.get(index)?.as_ref()?;
        let axis = way.axis(turned);
        let (mut long, mut across) = (0_i64, Length::ZERO);
        for &row in &self.members {
            let (part, cut) = (&self.batch.parts[row], &self.parts[row]);
            let at = cut.from.binary_search_by_key(&index, |placing| placing.stock).ok()?;
            let across_stock = PartGrain::length_runs_with_strip(part.grain) == turned;
            if !(if across_stock { cut.from[at].turned } else { cut.from[at].straight }) {
                return None;
            }
            let mut size = [cut.length, cut.width.unwrap_or(usable.usable()[1])];
            if across_stock {
                size.reverse();
            }
            across = size[1 - axis];
            // A thousand pieces of at most 2^40 ticks, and as many kerfs.
            long += size[axis].ticks() * i64::from(part.qty);
        }
        long += usable.kerf.ticks() * (self.pieces() as i64 - 1);
        let mut size = [across; 2];
        size[axis] = Length::from_ticks(long);
        Some(size)
    }

    /// How far the fence has to reach to rip the pieces of the strip apart: they come off from both edges, and the widest is
    /// what is left.
    fn widest(&self, usable: &UsableStock, turned: bool) -> [Length; 2] {
        let mut widest = [Length::ZERO; 2];
        for &row in &self.members {
            let (part, cut) = (&self.batch.parts[row], &self.parts[row]);
            let length_across = PartGrain::length_runs_with_strip(part.grain) == turned;
            let wide = if length_across { Some(cut.length) } else { cut.width };
            let wide = wide.unwrap_or(usable.usable()[1]);
            for _ in 0..part.qty.min(2) {
                widest = [widest[0].max(wide), widest[1].max(wide.min(widest[0]))];
            }
        }
        widest
    }

    /// What the stock offers along the strip.
    fn room(&self, way: MatchWay, placing: &StripPlacing) -> Option<Length> {
        Some(self.stock.get(placing.stock)?.as_ref()?.usable()[way.axis(placing.turned)])
    }

    fn report(&self, way: MatchWay, lying: &[StripPlacing], found: &mut Findings) {
        let (first, last) = (self.members[0], self.members[self.members.len() - 1]);
        let names = match first == last {
            true => self.batch.parts[first].name.clone(),
            false => format!("{} to {}", self.batch.parts[first].name, self.batch.parts[last].name),
        };
        let (word, pieces) = (self.word(), self.pieces());
        let material = &self.batch.parts[first].material;
        let at = place(first, "match");
        let shortest = lying.iter().map(|placing| placing.size[way.axis(placing.turned)]).min();
        let longest = lying.iter().filter_map(|placing| self.room(way, placing)).max();
        let Some((shortest, longest)) = shortest.zip(longest) else {
            let message = format!(
                "no stock of {material} holds all parts of the strip {word} ({names}) with their grain alike"
            );
            found.add(at, ProblemKind::TooLong, message).hint("check their sections and `grain`");
            return;
        };
        let near = |length, rounding| self.batch.shop.style.near(length, rounding);
        let wide = if way == MatchWay::Along { "long" } else { "wide" };
        let message = format!(
            "the strip {word} ({names}, {pieces} pieces) is {} {wide} with its kerfs, more than any stock of {material} takes",
            near(shortest, Rounding::Up)
        );
        let other = match way {
            MatchWay::Along if self.would_do(MatchWay::Across) => {
                ", or lay them side by side, where they fit: `match_way` across"
            }
            MatchWay::Across if self.would_do(MatchWay::Along) => {
                ", or lay them one after the other, where they fit: `match_way` along"
            }
            _ => "",
        };
        found.add(at, ProblemKind::TooLong, message).hint(format!(
            "the most that can be cut as one strip is {}: give some of the parts another word in `match`{other}",
            near(longest, Rounding::Down)
        ));
    }

    fn word(&self) -> String {
        let word = self.batch.parts[self.members[0]].match_word.as_deref().unwrap_or_default();
        format!("`{word}`")
    }
}
