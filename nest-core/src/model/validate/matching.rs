//! Which part may come from which stock, and how may it lie?
//!
//! Material, then section, then thickness, then size. Empty cells are read as a person would: what both sides leave
//! empty matches; what one side leaves empty matches where only one thing can be meant, and is an error otherwise.
//!
//! Grain: on a sheet the dimension of the part that runs with the grain lies along the grain of the stock; a part
//! that says `any`, or stock without grain, may lie either way. A board's grain runs along its length, and a part is
//! never turned on it (short grain snaps): `any` means along, `width` means that the part's width lies along.

use std::collections::BTreeMap;

use super::super::fold::{fold, nearest};
use super::super::problem::{Findings, ProblemKind, part as place, stock as stock_place};
use super::super::{Batch, CutPart, Part, PartGrain, Placing, StockGrain, Table, UsableStock};
use super::MOST_PAIRS;
use super::cut::CutSize;
use super::narrow::{Narrowed, infer_widths, narrow};
use super::resolve;
use super::unfit::{self, Blank};

/// All rows of one material.
#[derive(Default)]
struct Material {
    parts: Vec<usize>,
    stock: Vec<usize>,
}

/// One entry for each part; those with a problem, and those with quantity 0, may come from nothing, nor may those of a
/// material of which nobody knows all the stock.
///
/// Widths of boards that the stock leaves open are filled in where the parts leave one answer.
pub fn parts(
    batch: &Batch,
    cuts: &[CutSize],
    stock: &mut [Option<UsableStock>],
    found: &mut Findings,
) -> Vec<CutPart> {
    let mut parts: Vec<CutPart> = cuts
        .iter()
        .map(|cut| CutPart {
            length: cut.length,
            width: cut.width,
            band: cut.band,
            from: Vec::new(),
            group: None,
        })
        .collect();
    let materials = by_material(batch, stock, found);
    let pairs: usize =
        materials.values().map(|material| material.parts.len().saturating_mul(material.stock.len())).sum();
    if pairs > MOST_PAIRS {
        found
            .add(
                None,
                ProblemKind::Limit,
                format!("more than {MOST_PAIRS} combinations of a part with a stock of its material"),
            )
            .hint("put equal rows together with `qty`, or split the list");
        return parts;
    }
    for material in materials.values() {
        if material.parts.is_empty() {
            continue;
        }
        if material.stock.is_empty() {
            no_material(batch, &materials, &material.parts, found);
            continue;
        }
        let narrowed = narrow(batch, &material.parts, &material.stock, stock, found);
        infer_widths(cuts, &narrowed, stock, batch, found);
        place_all(batch, &narrowed, (cuts, stock), &mut parts, found);
    }
    parts
}

/// For each stock, whether any part may come from it.
pub fn used(parts: &[CutPart], stock: usize) -> Vec<bool> {
    let mut used = vec![false; stock];
    for placing in parts.iter().flat_map(|part| &part.from) {
        used[placing.stock] = true;
    }
    used
}

fn by_material(batch: &Batch, stock: &[Option<UsableStock>], found: &Findings) -> BTreeMap<String, Material> {
    let mut materials: BTreeMap<String, Material> = BTreeMap::new();
    let of_some_material = |&row: &usize| !found.sure(stock_place(row, "material"));
    if !found.sure_rows(Table::Stock) || (0..batch.stock.len()).any(|row| of_some_material(&row)) {
        return materials;
    }
    // Stock with a problem of its own still counts as there, so that its parts are not reported as well.
    for (index, s) in batch.stock.iter().enumerate() {
        let entry = materials.entry(fold(&s.material)).or_default();
        if stock[index].is_some() {
            entry.stock.push(index);
        }
    }
    let broken: Vec<String> = batch
        .stock
        .iter()
        .zip(stock)
        .filter(|(_, known)| known.is_none())
        .map(|(s, _)| fold(&s.material))
        .collect();
    for (index, p) in batch.parts.iter().enumerate() {
        // Whoever writes a quantity wants some.
        let wanted = p.qty > 0 || !found.sure(place(index, "qty"));
        if wanted && found.sure(place(index, "material")) {
            materials.entry(fold(&p.material)).or_default().parts.push(index);
        }
    }
    for name in broken {
        if let Some(material) = materials.get_mut(&name) {
            material.parts.clear();
        }
    }
    materials
}

fn no_material(batch: &Batch, materials: &BTreeMap<String, Material>, rows: &[usize], found: &mut Findings) {
    let Some(&first) = rows.first() else { return };
    let written = &batch.parts[first].material;
    let hint = found.may_search().then(|| likely_material(batch, materials, written)).flatten();
    for &row in rows {
        let written = &batch.parts[row].material;
        let problem = found.add(
            place(row, "material"),
            ProblemKind::Material,
            format!("no stock is made of `{written}`"),
        );
        if let Some(hint) = &hint {
            problem.hint(hint.clone());
        }
    }
}

fn likely_material(batch: &Batch, materials: &BTreeMap<String, Material>, written: &str) -> Option<String> {
    let stocked =
        || materials.values().filter_map(|material| material.stock.first()).map(|&index| &batch.stock[index]);
    let folded = fold(written);
    // `poplar 1x2` where the stock says `poplar` and, beside it, `1x2`.
    let beside = stocked().find_map(|s| {
        let section = folded.strip_prefix(&fold(&s.material))?.trim_start();
        (!section.is_empty() && section.parse().ok() == s.section && s.section.is_some())
            .then(|| (&s.material, section.to_owned()))
    });
    if let Some((material, section)) = beside {
        return Some(format!(
            "write `{material}` here and `{section}` in the `section` column, as the stock does"
        ));
    }
    if let Some(near) = nearest(written, stocked().map(|s| s.material.as_str())) {
        return Some(format!("did you mean `{near}`?"));
    }
    let names: Vec<String> = stocked().take(6).map(|s| format!("`{}`", s.material)).collect();
    let more = if names.len() > 5 { ", ..." } else { "" };
    let known = names.get(..5).unwrap_or(&names);
    (!known.is_empty()).then(|| format!("the stock has {}{more}", known.join(", ")))
}

/// Tries every stock that is left for each part.
fn place_all(
    batch: &Batch,
    narrowed: &Narrowed,
    (cuts, stock): (&[CutSize], &[Option<UsableStock>]),
    parts: &mut [CutPart],
    found: &mut Findings,
) {
    for (row, candidates) in narrowed.each() {
        if !found.sure(place(row, "grain")) {
            continue;
        }
        let (asked, cut) = (&batch.parts[row], &mut parts[row]);
        let mut from = Vec::new();
        for &index in candidates {
            let Some(usable) = &stock[index] else { continue };
            let [straight, turned] = lies(asked, batch.stock[index].grain, usable.board);
            let placing = Placing {
                stock: index,
                straight: straight && fits(cut, usable, false),
                turned: turned && fits(cut, usable, true),
            };
            if placing.straight || placing.turned {
                from.push(placing);
            }
        }
        // Stock that lost its width to a problem of its own may have held it.
        if from.is_empty() && candidates.iter().all(|&index| stock[index].is_some()) {
            let exact = candidates.iter().all(|&index| resolve::is_exact(index, found));
            let candidates =
                candidates.iter().filter_map(|&index| Some((&batch.stock[index], stock[index].as_ref()?)));
            let blank = Blank { row, asked, cut, sure: cuts[row].sure, exact };
            unfit::report(&blank, &candidates.collect::<Vec<_>>(), &batch.shop.style, found);
        }
        // What a part of unknown size may come from says nothing.
        cut.from = if cuts[row].sure == [true; 2] { from } else { Vec::new() };
    }
}

/// Whether the grain lets the part lie straight, and turned.
pub fn lies(part: &Part, stock: Option<StockGrain>, board: bool) -> [bool; 2] {
    let part = part.grain.unwrap_or(PartGrain::Length);
    if board {
        return [part != PartGrain::Width, part == PartGrain::Width];
    }
    match (part, stock.unwrap_or(StockGrain::Length)) {
        (PartGrain::Any, _) | (_, StockGrain::None) => [true, true],
        (PartGrain::Length, StockGrain::Length) | (PartGrain::Width, StockGrain::Width) => [true, false],
        (PartGrain::Length, StockGrain::Width) | (PartGrain::Width, StockGrain::Length) => [false, true],
    }
}

/// Whether the part fits into the clean area, its length along the length of the stock or across it.
pub fn fits(cut: &CutPart, stock: &UsableStock, turned: bool) -> bool {
    let [length, width] = stock.usable();
    match cut.width {
        None => !turned && cut.length <= length,
        // The width of the stock is unknown only where no part of it has a width.
        Some(cut_width) if turned => cut_width <= length && cut.length <= width,
        Some(cut_width) => cut.length <= length && cut_width <= width,
    }
}
