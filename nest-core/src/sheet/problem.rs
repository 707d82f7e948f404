//! Sheets as whole numbers: items of a size in sheets of a size, nothing else.
//!
//! The kerf trick of boards holds in both directions: adding one kerf to every piece and to the clean sheet turns the
//! kerfs between pieces into nothing, because a cut divides a rectangle of size `L + k` into pieces whose sizes,
//! kerf included, add up to at most that. Everything behind this file works on those numbers in units of a grid,
//! the common divisor of all of them.
//!
//! Parts of one size that may lie alike are one item. A grain match is one item too: a strip that is cut as a whole.

use std::collections::BTreeMap;

use super::strips::{self, Strip};
use crate::model::{CheckedBatch, FirstCut, MOST_RIPPED_OFF, Stages, UsableStock};
use crate::units::{Length, gcd};

/// Sizes on the grid stay below this, so that sums of two never leave a `u32`.
const MOST_SIZE: u64 = 1 << 30;

/// "Any number" of stages: more levels than this are refused by the check.
const MOST_STAGES: u8 = 60;

/// How an item may lie on a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Lay {
    /// Size along the sheet and across, kerf included, in grid units.
    pub size: [u32; 2],
    /// Its length lies across the length of the sheet (of a strip: its grain).
    pub turned: bool,
    /// For a strip, the axis along which its pieces follow each other.
    pub chain: Option<u8>,
}

/// Something that is asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Item {
    /// Indices of its parts with their quantities; of a strip, its pieces in order.
    pub parts: Vec<(usize, u32)>,
    /// How many are asked for.
    pub demand: u32,
    /// Made only if that costs nothing.
    pub optional: bool,
    /// Whether its parts are cut as one strip.
    pub strip: Option<Strip>,
    /// Area in square grid units, kerf included, where it is least.
    pub area: u64,
    /// Area of its pieces without kerf, as the score counts what is not made: in square grid units, rounded up.
    pub made: u64,
    /// Longer and shorter side where it lies first.
    pub sides: [u32; 2],
    /// Least size along the sheet and across of all its lays.
    pub least: [u32; 2],
}

/// What the saws allow on one kind of sheet, in grid units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Rules {
    /// How many times the direction may change, the first included.
    pub stages: u8,
    /// Whether one cut more may free a piece.
    pub trimming: bool,
    /// The axis that the first cuts divide, where it is fixed.
    pub first: Option<u8>,
    /// Least and most length of a cut that divides axis 0, and axis 1.
    pub cut: [[u32; 2]; 2],
    /// The most between fence and blade.
    pub reach: Option<u32>,
    /// How much may be left over beside a strip that is wider than that: it is ripped off strip by strip.
    pub spare: u32,
}

/// A kind of sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Kind {
    /// Index of the stock.
    pub stock: usize,
    /// Clean size along and across, kerf included, in grid units.
    pub size: [u32; 2],
    /// One kerf, rounded up.
    pub kerf: u32,
    /// Cost of one.
    pub cost: i128,
    /// How many there are; `None` for as many as wanted.
    pub supply: Option<u32>,
    /// Least size along and across of all that may come from it: what is smaller is no use.
    pub least: [u32; 2],
    /// What the saws allow.
    pub rules: Rules,
}

/// Which items in which sheets at the least cost.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Problem {
    /// Largest first; those that are optional last.
    pub items: Vec<Item>,
    /// In the order of the batch.
    pub kinds: Vec<Kind>,
    /// Ticks in a grid unit.
    pub grid: u64,
    /// One entry for each kind and item: `kind * items.len() + item`.
    lays: Vec<Vec<Lay>>,
}

impl Rules {
    /// The number of stages where it is small enough to tell floors anything.
    pub fn staged(&self) -> Option<u8> {
        Some(self.stages).filter(|stages| (2..=3).contains(stages))
    }

    /// The axis that the first cuts of a sheet divide, where it is fixed or the saws cannot cut all of the sheet the other
    /// way.
    pub fn first_on(&self, size: [u32; 2]) -> Option<usize> {
        let able = [0, 1].map(|axis| size[1 - axis] <= self.cut[axis][1]);
        match self.first {
            Some(first) => Some(first.into()),
            None if able[0] != able[1] => Some(usize::from(able[1])),
            None => None,
        }
    }
}

impl Item {
    /// Its parts as a certificate names them, with how many of each are asked for: a strip by its first part, once.
    pub fn named(&self) -> impl Iterator<Item = (usize, u32)> + '_ {
        let whole = self.strip.is_some();
        let parts = self.parts.iter().take(if whole { 1 } else { usize::MAX });
        parts.map(move |&(part, qty)| (part, if whole { 1 } else { qty }))
    }
}

impl Kind {
    /// Area in square grid units.
    pub fn area(&self) -> u64 {
        u64::from(self.size[0]) * u64::from(self.size[1])
    }

    /// The most between fence and blade.
    pub fn reach(&self) -> u32 {
        self.rules.reach.unwrap_or(u32::MAX)
    }
}

impl Problem {
    /// The question of one group, with its grain matches as strips.
    pub fn new(batch: &CheckedBatch, group: usize) -> Self {
        let Some(group) = batch.groups().get(group) else { return Self::default() };
        let stock: Vec<(usize, &UsableStock)> =
            group.stock.iter().filter_map(|&s| Some((s, batch.stock().get(s)?))).collect();
        let drafts = drafts(batch, &group.parts, &stock);
        let mut grid = 0;
        for (_, stock) in &stock {
            for axis in [0, 1] {
                grid = gcd(grid, folded(stock, stock.usable()[axis]));
            }
        }
        for (draft, k) in drafts.iter().flat_map(|draft| (0..stock.len()).map(move |k| (draft, k))) {
            for lay in &draft.lays[k] {
                grid = lay.size.iter().fold(grid, |grid, &side| gcd(grid, folded(stock[k].1, side)));
            }
        }
        let longest =
            stock.iter().flat_map(|(_, stock)| stock.usable().map(|side| folded(stock, side))).max();
        let grid = grid.max(1).max(longest.unwrap_or(1).div_ceil(MOST_SIZE));
        let mut kinds: Vec<Kind> = stock.iter().map(|&(s, stock)| kind(batch, s, stock, grid)).collect();
        let mut items: Vec<(Item, Vec<Vec<Lay>>)> = Vec::new();
        for draft in drafts {
            let lays: Vec<Vec<Lay>> = draft
                .lays
                .iter()
                .zip(&stock)
                .zip(&kinds)
                .map(|((lays, (_, stock)), kind)| lays.iter().map(|lay| lay.on(stock, kind, grid)).collect())
                .collect();
            items.push((draft.item(batch, grid, &lays), lays));
        }
        items.sort_by(|(a, _), (b, _)| {
            (a.optional, b.area, b.sides).cmp(&(b.optional, a.area, a.sides)).then(a.parts.cmp(&b.parts))
        });
        let mut lays = vec![Vec::new(); items.len() * kinds.len()];
        let count = items.len();
        let mut plain = Vec::new();
        for (i, (item, of)) in items.into_iter().enumerate() {
            plain.push(item);
            for (k, of) in of.into_iter().enumerate() {
                for axis in [0, 1] {
                    let least = of.iter().map(|lay: &Lay| lay.size[axis]).min();
                    kinds[k].least[axis] = kinds[k].least[axis].min(least.unwrap_or(u32::MAX));
                }
                lays[k * count + i] = of;
            }
        }
        Self { items: plain, kinds, grid, lays }
    }

    /// The same question for what is left, and rectangles of some kinds of sheets, one of each.
    pub fn rest(&self, of: &[(usize, [u32; 2])], left: &[u32]) -> Self {
        let mut rest =
            Self { items: self.items.clone(), kinds: Vec::new(), grid: self.grid, lays: Vec::new() };
        for (item, &left) in rest.items.iter_mut().zip(left) {
            item.demand = left;
        }
        for &(kind, size) in of {
            rest.kinds.push(Kind { size, supply: Some(1), ..self.kinds[kind].clone() });
            // All lays, whether there is room for them or not: cuttings know them by their numbers.
            rest.lays.extend((0..self.items.len()).map(|item| self.lays(kind, item).to_vec()));
        }
        rest
    }

    /// How an item may lie on a kind of sheet; empty where it may not come from it.
    pub fn lays(&self, kind: usize, item: usize) -> &[Lay] {
        &self.lays[kind * self.items.len() + item]
    }

    /// How many pieces are asked for, a strip as one.
    pub fn pieces(&self) -> u64 {
        self.items.iter().map(|item| u64::from(item.demand)).sum()
    }

    /// The same without those that may be left out.
    pub fn required_pieces(&self) -> u64 {
        let required = self.items.iter().filter(|item| !item.optional);
        required.map(|item| u64::from(item.demand)).sum()
    }

    /// What is asked for, item by item.
    pub fn demand(&self) -> Vec<u32> {
        self.items.iter().map(|item| item.demand).collect()
    }

    /// How many sheets there are, kind by kind.
    pub fn supply(&self) -> Vec<Option<u32>> {
        self.kinds.iter().map(|kind| kind.supply).collect()
    }

    /// Area of the largest sheet.
    pub fn largest(&self) -> u64 {
        self.kinds.iter().map(Kind::area).max().unwrap_or(1)
    }
}

/// An item before the grid is known.
struct Draft {
    parts: Vec<(usize, u32)>,
    demand: u32,
    optional: bool,
    strip: Option<Strip>,
    lays: Lays,
}

/// How something may lie on each stock.
type Lays = Vec<Vec<RawLay>>;

/// How something lies on a stock, in ticks without kerf.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct RawLay {
    pub size: [Length; 2],
    pub turned: bool,
    pub chain: Option<u8>,
}

impl RawLay {
    fn on(&self, stock: &UsableStock, kind: &Kind, grid: u64) -> Lay {
        // It fits, so a size that the coarse grid rounds above the sheet is the whole of it.
        let size = [0, 1].map(|axis| {
            let size = folded(stock, self.size[axis]).div_ceil(grid).max(1);
            u32::try_from(size).unwrap_or(u32::MAX).min(kind.size[axis])
        });
        Lay { size, turned: self.turned, chain: self.chain }
    }
}

impl Draft {
    fn item(self, batch: &CheckedBatch, grid: u64, lays: &[Vec<Lay>]) -> Item {
        let made: u128 = match &self.strip {
            Some(strip) => strip.pieces.iter().map(|&(p, count)| made(batch, p) * u128::from(count)).sum(),
            None => self.parts.first().map_or(0, |&(p, _)| made(batch, p)),
        };
        let made = made.div_ceil(u128::from(grid) * u128::from(grid)).max(1);
        let area = |lay: &Lay| u64::from(lay.size[0]) * u64::from(lay.size[1]);
        let first = lays.iter().flatten().next().map_or([0, 0], |lay| lay.size);
        Item {
            parts: self.parts,
            demand: self.demand,
            optional: self.optional,
            strip: self.strip,
            area: lays.iter().flatten().map(area).min().unwrap_or(0),
            made: u64::try_from(made).unwrap_or(u64::MAX),
            sides: [first[0].max(first[1]), first[0].min(first[1])],
            least: [0, 1]
                .map(|axis| lays.iter().flatten().map(|lay| lay.size[axis]).min().unwrap_or(u32::MAX)),
        }
    }
}

/// Area of one piece of a part, in square ticks.
fn made(batch: &CheckedBatch, part: usize) -> u128 {
    let Some(cut) = batch.parts().get(part) else { return 0 };
    let stock = cut.from.first().and_then(|placing| batch.stock().get(placing.stock));
    let width = cut.width.or(stock.map(|stock| stock.size[1])).unwrap_or(Length::ZERO);
    [cut.length, width].map(|side| u128::try_from(side.ticks()).unwrap_or(0)).iter().product()
}

fn drafts(batch: &CheckedBatch, parts: &[usize], stock: &[(usize, &UsableStock)]) -> Vec<Draft> {
    let (strips, loose) = strips::of(batch, parts, stock);
    let mut drafts: Vec<Draft> = Vec::new();
    for (strip, lays) in strips {
        let optional = strip.pieces.iter().all(|&(p, _)| batch.batch().parts[p].optional);
        drafts.push(Draft { parts: strip.pieces.clone(), demand: 1, optional, strip: Some(strip), lays });
    }
    // What is optional and how it lies, with the parts and quantities that are like that.
    let mut same: BTreeMap<(bool, Lays), Vec<(usize, u32)>> = BTreeMap::new();
    for part in loose {
        let Some((cut, asked)) = batch.parts().get(part).zip(batch.batch().parts.get(part)) else { continue };
        let mut lays = vec![Vec::new(); stock.len()];
        for placing in &cut.from {
            let Ok(k) = stock.binary_search_by_key(&placing.stock, |&(s, _)| s) else { continue };
            let size = [cut.length, cut.width.unwrap_or(stock[k].1.usable()[1])];
            if placing.straight {
                lays[k].push(RawLay { size, turned: false, chain: None });
            }
            if placing.turned && (size[0] != size[1] || !placing.straight) {
                lays[k].push(RawLay { size: [size[1], size[0]], turned: true, chain: None });
            }
        }
        if asked.qty > 0 {
            same.entry((asked.optional, lays)).or_default().push((part, asked.qty));
        }
    }
    for ((optional, lays), parts) in same {
        let demand = parts.iter().fold(0_u32, |sum, &(_, qty)| sum.saturating_add(qty));
        drafts.push(Draft { parts, demand, optional, strip: None, lays });
    }
    drafts
}

/// A size with its kerf, in ticks.
fn folded(stock: &UsableStock, side: Length) -> u64 {
    u64::try_from(side.ticks().saturating_add(stock.kerf.ticks())).unwrap_or(0)
}

fn kind(batch: &CheckedBatch, s: usize, stock: &UsableStock, grid: u64) -> Kind {
    let down = |ticks: u64| u32::try_from(ticks / grid).unwrap_or(u32::MAX);
    let up = |ticks: u64| u32::try_from(ticks.div_ceil(grid)).unwrap_or(u32::MAX);
    let shop = &batch.batch().shop;
    let any = [0, u32::MAX];
    let rules = if stock.board {
        // Cuts that divide axis 1 are rips, as long as the piece.
        let least = up(folded(stock, shop.boards.shortest_rip));
        Rules {
            stages: MOST_STAGES,
            trimming: false,
            first: None,
            cut: [any, [least, u32::MAX]],
            reach: None,
            spare: u32::MAX,
        }
    } else {
        let sheets = &shop.sheets;
        let most = |limit: Option<Length>| [0, limit.map_or(u32::MAX, |limit| down(folded(stock, limit)))];
        Rules {
            stages: match sheets.stages {
                Stages::Limited(most) => most.min(MOST_STAGES),
                Stages::Any => MOST_STAGES,
            },
            trimming: sheets.trimming && sheets.stages != Stages::Any,
            first: match sheets.first_cut {
                FirstCut::Rip => Some(1),
                FirstCut::Crosscut => Some(0),
                FirstCut::Either => None,
            },
            cut: [most(sheets.longest_crosscut), most(sheets.longest_rip)],
            reach: sheets.fence_reach.map(|reach| down(folded(stock, reach))),
            spare: sheets
                .fence_reach
                .map_or(u32::MAX, |reach| down(folded(stock, reach).saturating_mul(MOST_RIPPED_OFF.into()))),
        }
    };
    let size = stock.usable().map(|side| down(folded(stock, side)).max(1));
    let kerf = up(folded(stock, Length::ZERO));
    Kind { stock: s, size, kerf, cost: stock.cost, supply: stock.qty, least: [u32::MAX; 2], rules }
}
