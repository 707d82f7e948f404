//! Claims about sheets: the most that one layout of a sheet can collect, by area, by a pair of dual-feasible functions, by
//! the best set of parts, or by the best way to cut it.
//!
//! In all four, pieces enlarged by one kerf both ways lie side by side in the clean sheet enlarged the same way.

use super::asked::{Asked, Lie};
use super::bound::{Work, on_stock, size_with_kerf};
use super::dual::Function;
use super::guillotine::{self, Rule, Tile};
use super::sets::{self, Member, Sheet, Verdict};
use super::shares::Priced;
use super::{Refusal, Which};
use crate::model::{CheckedBatch, FirstCut, Group, Stages, UsableStock};
use crate::plan::Dual;
use crate::units::{Length, gcd};

/// One stock in one leaf, with the prices above 0 of the leaf.
pub(super) struct Panel<'a> {
    pub asked: &'a Asked<'a>,
    pub group: &'a Group,
    pub leaf: usize,
    pub s: usize,
    pub stock: &'a UsableStock,
    pub prices: &'a [Priced],
}

/// Products of the images of both sizes.
struct Images<'a> {
    panel: &'a Panel<'a>,
    functions: [Function; 2],
    /// That of the stock.
    whole: i128,
}

impl Images<'_> {
    fn of(&self, [along, across]: [i64; 2]) -> Result<i128, Refusal> {
        let [f, g] = &self.functions;
        let product = f.of(along.into()).zip(g.of(across.into())).and_then(|(f, g)| f.checked_mul(g));
        product.ok_or_else(|| self.panel.too_large())
    }

    /// The least of all ways to lie.
    fn least(&self, lies: &[Lie<i64>]) -> Result<Option<i128>, Refusal> {
        let all: Vec<i128> = lies.iter().map(|lie| self.of(lie.size)).collect::<Result<_, _>>()?;
        Ok(all.into_iter().min())
    }
}

impl Panel<'_> {
    fn batch(&self) -> &CheckedBatch {
        self.asked.batch
    }

    fn which(&self) -> Which {
        Which::stock(self.batch(), self.s)
    }

    /// The clean size, where there is a width.
    fn clean(&self) -> Result<[Length; 2], Refusal> {
        let clean = self.stock.usable();
        if clean[1].is_positive() {
            return Ok(clean);
        }
        Err(Refusal::NoWidth { leaf: self.leaf, stock: self.which() })
    }

    fn too_large(&self) -> Refusal {
        Refusal::TooLarge { leaf: Some(self.leaf), what: "a product of price and area" }
    }

    /// A value claimed, and one that was found.
    fn hold(&self, claimed: i64, found: i128) -> Result<(), Refusal> {
        if found <= claimed.into() {
            return Ok(());
        }
        Err(Refusal::ValueTooSmall { leaf: self.leaf, stock: self.which(), claimed, found })
    }

    /// The price of a whole sheet of what costs `price` and takes `size` of `whole`.
    fn rate(&self, price: i64, size: i128, whole: i128) -> Result<i128, Refusal> {
        let divisor = gcd(whole, size).max(1);
        let all = i128::from(price).checked_mul(whole / divisor).ok_or_else(|| self.too_large())?;
        Ok(all / (size / divisor).max(1))
    }

    /// By area: what does not overlap collects at most the whole area at the best price over area.
    pub fn area(&self, claimed: i64) -> Result<(), Refusal> {
        let clean = self.clean()?;
        let product = |size: [i64; 2]| i128::from(size[0]) * i128::from(size[1]);
        for part in on_stock(self.asked, self.s, self.prices) {
            let Some(area) = self.lies(part.part).iter().map(|lie| product(lie.size)).min() else {
                continue;
            };
            let whole = product(clean.map(|side| self.with_kerf(side)));
            self.hold(claimed, self.rate(part.price, area.max(1), whole)?)?;
        }
        Ok(())
    }

    /// By a pair of dual-feasible functions. If pieces fit beside each other as a layout has them, so do pieces with both
    /// sizes replaced, in stock with both sizes replaced (Fekete and Schepers 2004); the rest is as with the
    /// area.
    pub fn dual(&self, claimed: i64, duals: [Dual; 2], work: &mut Work) -> Result<(), Refusal> {
        let clean = self.clean()?;
        let images = self.images(duals, clean, work)?;
        for part in on_stock(self.asked, self.s, self.prices) {
            let Some(size) = images.least(&self.lies(part.part))? else { continue };
            if size == 0 {
                let part = Which::part(self.batch(), part.part);
                return Err(Refusal::Unbounded { leaf: self.leaf, stock: self.which(), part });
            }
            self.hold(claimed, self.rate(part.price, size, images.whole)?)?;
        }
        Ok(())
    }

    /// By the best set of parts, none more often than it is asked for.
    pub fn sets(
        &self,
        claimed: i64,
        duals: [Dual; 2],
        stages: Option<u8>,
        work: &mut Work,
    ) -> Result<(), Refusal> {
        let clean = self.clean()?;
        let rule = self.rule(stages)?;
        let images = self.images(duals, clean, work)?;
        let mut members = Vec::new();
        for part in on_stock(self.asked, self.s, self.prices) {
            let lies = self.lies(part.part);
            let Some(image) = images.least(&lies)? else { continue };
            members.push(Member { lies, image, price: part.price, most: part.qty });
        }
        let size = clean.map(|side| self.with_kerf(side));
        let sheet = Sheet { size, image: images.whole, rule, cuts: self.lengths() };
        match sets::judge(members, sheet, claimed, work) {
            Verdict::Holds => Ok(()),
            Verdict::Beaten(found) => self.hold(claimed, found),
            Verdict::TooLarge => {
                Err(Refusal::TooLarge { leaf: Some(self.leaf), what: "the sets of parts of a sheet" })
            }
        }
    }

    fn with_kerf(&self, side: Length) -> i64 {
        side.ticks().saturating_add(self.stock.kerf.ticks())
    }

    /// All ways a part may lie on this stock, kerf included.
    fn lies(&self, part: usize) -> Vec<Lie<i64>> {
        let lies = self.asked.lies(part, self.s).into_iter();
        lies.map(|lie| Lie { size: lie.size.map(|side| self.with_kerf(side)), run: lie.run }).collect()
    }

    /// A pair of functions for this stock.
    fn images(&self, duals: [Dual; 2], clean: [Length; 2], work: &mut Work) -> Result<Images<'_>, Refusal> {
        // Parts are counted whether they are priced or not: more of them never make a function larger than it may be. Only one
        // kind of function counts them.
        let counts = duals.iter().any(|dual| matches!(dual, Dual::Count(_)));
        let is_required =
            |part: usize| self.batch().batch().parts.get(part).is_some_and(|part| !part.optional);
        let required = self.group.parts.iter().filter(|&&part| counts && is_required(part));
        let required: Vec<Priced> =
            required.map(|&part| Priced { part, price: 0, qty: self.asked.quantity(part) }).collect();
        if !work.pairs(required.len() as u64) {
            return Err(self.too_large());
        }
        let counted = on_stock(self.asked, self.s, &required);
        let function = |axis: usize| {
            let capacity = size_with_kerf(self.stock, clean[axis].ticks());
            let smallest = counted.iter().map(|part| {
                let size = if axis == 0 { part.along } else { part.across };
                (size_with_kerf(self.stock, size), part.qty)
            });
            Function::new(duals[axis], capacity, smallest.collect()).ok_or_else(|| Refusal::NoDual {
                leaf: self.leaf,
                stock: self.which(),
                found: duals[axis],
            })
        };
        let mut images = Images { panel: self, functions: [function(0)?, function(1)?], whole: 0 };
        images.whole = images.of(clean.map(|side| self.with_kerf(side)))?;
        Ok(images)
    }

    /// By the best way to cut the sheet. Sizes that add up to at most a side still do so when all of them are rounded down.
    pub fn cuts(
        &self,
        claimed: i64,
        grid: Length,
        stages: Option<u8>,
        work: &mut Work,
    ) -> Result<(), Refusal> {
        let clean = self.clean()?;
        let rule = self.rule(stages)?;
        let steps = |size: Length| {
            let steps = size_with_kerf(self.stock, size.ticks()).checked_div(grid.ticks().into());
            steps.and_then(|steps| usize::try_from(steps).ok())
        };
        let no_grid = || Refusal::Grid { leaf: self.leaf, stock: self.which(), found: grid };
        let mut tiles: Vec<Tile> = Vec::new();
        for &Priced { part, price, qty } in self.prices {
            for Lie { size: [along, across], .. } in self.asked.lies(part, self.s) {
                let size = steps(along).zip(steps(across)).filter(|&(x, y)| x > 0 && y > 0);
                let (x, y) = size.ok_or_else(no_grid)?;
                tiles.push(Tile { part, size: [x, y], price, most: qty.into() });
            }
        }
        tiles.sort_unstable();
        tiles.dedup();
        let (x, y) = steps(clean[0]).zip(steps(clean[1])).ok_or_else(no_grid)?;
        let found = guillotine::most(&tiles, [x, y], rule, work);
        // Sums that end at the largest number there is may be larger.
        let found = found
            .filter(|&most| most < i64::MAX)
            .ok_or(Refusal::TooLarge { leaf: Some(self.leaf), what: "the cuts of a sheet" })?;
        self.hold(claimed, found.into())
    }

    /// The rules under which all layouts of the stock fall; not where they allow more than the stages claimed.
    fn rule(&self, stages: Option<u8>) -> Result<Rule, Refusal> {
        let sheets = &self.batch().batch().shop.sheets;
        let covered = stages.is_none_or(|most| {
            let few = matches!(sheets.stages, Stages::Limited(limit) if limit <= most);
            few && !self.stock.board && (2..=3).contains(&most)
        });
        if !covered {
            return Err(Refusal::Stages { leaf: self.leaf, stock: self.which() });
        }
        Ok(Rule { stages, trimming: stages.is_some() && sheets.trimming, first: self.first() })
    }

    /// The least and most length of a crosscut, and of a rip, kerf included.
    fn lengths(&self) -> [[i64; 2]; 2] {
        let shop = &self.batch().batch().shop;
        if self.stock.board {
            return [[0, i64::MAX], [self.with_kerf(shop.boards.shortest_rip), i64::MAX]];
        }
        let limits = [shop.sheets.longest_crosscut, shop.sheets.longest_rip];
        limits.map(|most| [0, most.map_or(i64::MAX, |most| self.with_kerf(most))])
    }

    /// The axis that the first cuts of a sheet divide, where the shop says so or no other cut is short enough. Boards are
    /// cut as they come.
    fn first(&self) -> Option<usize> {
        if self.stock.board {
            return None;
        }
        let sheets = &self.batch().batch().shop.sheets;
        let [length, width] = self.stock.usable();
        let too_long = |cut: Length, most: Option<Length>| most.is_some_and(|most| cut > most);
        match sheets.first_cut {
            FirstCut::Rip => Some(1),
            FirstCut::Crosscut => Some(0),
            FirstCut::Either => {
                let no_rip = too_long(length, sheets.longest_rip);
                let no_crosscut = too_long(width, sheets.longest_crosscut);
                (no_rip != no_crosscut).then_some(usize::from(no_crosscut))
            }
        }
    }
}
