//! What has to be solved together, and is it a problem of lengths or of areas?
//!
//! Groups are the connected components of "this part may come from that stock". A group is a problem of lengths
//! (boards) if on none of its stock two pieces lie side by side and none is turned. Two pieces lie side by side if
//! their widths and one kerf fit into the clean width; for the narrowest two of a stock that decides it for all, so
//! the test is linear in the placings. Parts without a width are as wide as their board and have no neighbour. A group
//! with parts that are cut as one strip, with sheets for whose cuts the shop has rules beyond kerf and stages, or with
//! boards and sheets whose kerfs differ, is a problem of areas, since only that one knows them.

use std::collections::{BTreeMap, BTreeSet};

use super::super::fold::fold;
use super::super::{Batch, CutPart, FirstCut, Group, GroupKind, SheetSettings, Strip, UsableStock};
use crate::units::Length;

/// Forms the groups in the order of their first parts and enters them into the parts.
pub fn form(batch: &Batch, parts: &mut [CutPart], stock: &[UsableStock], strips: &[Strip]) -> Vec<Group> {
    let mut sets = Sets::new(stock.len());
    for part in parts.iter() {
        for pair in part.from.windows(2) {
            sets.join(pair[0].stock, pair[1].stock);
        }
    }
    let mut numbers = BTreeMap::new();
    let mut groups: Vec<Group> = Vec::new();
    for (index, part) in parts.iter_mut().enumerate() {
        let Some(first) = part.from.first() else { continue };
        let number = *numbers.entry(sets.find(first.stock)).or_insert_with(|| {
            groups.push(Group {
                name: String::new(),
                kind: GroupKind::Boards,
                parts: Vec::new(),
                stock: Vec::new(),
            });
            groups.len() - 1
        });
        part.group = Some(number);
        groups[number].parts.push(index);
    }
    for index in 0..stock.len() {
        if let Some(&number) = numbers.get(&sets.find(index)) {
            groups[number].stock.push(index);
        }
    }
    for strip in strips {
        if let Some(group) = strip.parts.first().and_then(|&first| parts[first].group) {
            groups[group].kind = GroupKind::Sheets;
        }
    }
    let areas = areas(batch, parts, stock);
    let ruled = ruled(&batch.shop.sheets);
    for group in &mut groups {
        let kerfs = || group.stock.windows(2).any(|pair| stock[pair[0]].kerf != stock[pair[1]].kerf);
        if group.stock.iter().any(|&index| areas[index] || ruled && !stock[index].board) || kerfs() {
            group.kind = GroupKind::Sheets;
        }
        group.name = name(batch, group, stock);
    }
    tell_apart(batch, &mut groups, stock);
    groups
}

/// Whether a sheet is not to be crosscut as a whole, and the lengths then ripped, as boards are.
fn ruled(sheets: &SheetSettings) -> bool {
    sheets.first_cut == FirstCut::Rip
        || [sheets.longest_crosscut, sheets.longest_rip, sheets.fence_reach].iter().any(Option::is_some)
}

/// For each stock, whether two pieces may lie side by side on it, or one turned.
fn areas(batch: &Batch, parts: &[CutPart], stock: &[UsableStock]) -> Vec<bool> {
    let mut narrowest: Vec<[Option<Length>; 2]> = vec![[None; 2]; stock.len()];
    let mut areal = vec![false; stock.len()];
    for (part, asked) in parts.iter().zip(&batch.parts) {
        for placing in &part.from {
            areal[placing.stock] |= placing.turned;
            let Some(width) = part.width else { continue };
            let [least, second] = &mut narrowest[placing.stock];
            for _ in 0..asked.qty.min(2) {
                if least.is_none_or(|least| width < least) {
                    *second = least.replace(width);
                } else if second.is_none_or(|second| width < second) {
                    *second = Some(width);
                }
            }
        }
    }
    let beside = |(index, narrowest): (usize, [Option<Length>; 2])| match narrowest {
        [Some(least), Some(second)] => least + stock[index].kerf + second <= stock[index].usable()[1],
        _ => false,
    };
    narrowest
        .into_iter()
        .enumerate()
        .zip(areal)
        .map(|(narrowest, areal)| areal || beside(narrowest))
        .collect()
}

/// The material, and the section or thickness that all its stock shares, unless the material already says it.
fn name(batch: &Batch, group: &Group, stock: &[UsableStock]) -> String {
    let Some(&first) = group.stock.first() else { return String::new() };
    let material = material(batch, group);
    let shared = |same: &dyn Fn(usize) -> bool| group.stock.iter().all(|&index| same(index));
    let section = batch.stock[first]
        .section
        .filter(|_| shared(&|i| batch.stock[i].section == batch.stock[first].section));
    let thickness =
        stock[first].thickness.filter(|_| shared(&|i| stock[i].thickness == stock[first].thickness));
    let detail = match (section, thickness) {
        (Some(section), _) => section.to_string(),
        (None, Some(thickness)) => batch.shop.style.exact(thickness),
        (None, None) => return material,
    };
    if says_its_size(&material) { material } else { format!("{material} {detail}") }
}

/// `poplar 1x2` and `birch ply 18` say it themselves: a digit in the last word.
pub fn says_its_size(material: &str) -> bool {
    fold(material).rsplit(' ').next().is_some_and(|word| word.contains(|c: char| c.is_ascii_digit()))
}

/// Groups of one name are called by the sections or thicknesses of their stock; where those do not tell them apart, they get
/// numbers.
fn tell_apart(batch: &Batch, groups: &mut [Group], stock: &[UsableStock]) {
    for alike in alike(groups) {
        let told: Vec<String> =
            alike.iter().filter_map(|&index| told(batch, &groups[index], stock)).collect();
        let mut taken: BTreeSet<&str> = (groups.iter().enumerate())
            .filter(|(index, _)| !alike.contains(index))
            .map(|(_, group)| group.name.as_str())
            .collect();
        if told.len() == alike.len() && told.iter().all(|told| taken.insert(told)) {
            alike.into_iter().zip(told).for_each(|(index, told)| groups[index].name = told);
        }
    }
    for alike in alike(groups) {
        for (index, number) in alike.into_iter().zip(1..) {
            groups[index].name = format!("{} ({number})", groups[index].name);
        }
    }
}

/// Groups that are called alike, by their indices.
fn alike(groups: &[Group]) -> Vec<Vec<usize>> {
    let mut of: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, group) in groups.iter().enumerate() {
        of.entry(&group.name).or_default().push(index);
    }
    of.into_values().filter(|alike| alike.len() > 1).collect()
}

/// The material with each section or thickness of its stock: `birch 23/32" or 18 mm`. `None` where there are too many.
fn told(batch: &Batch, group: &Group, stock: &[UsableStock]) -> Option<String> {
    const MOST: usize = 3;
    let mut sizes: Vec<String> = Vec::new();
    for &index in &group.stock {
        let section = batch.stock[index].section.map(|section| section.to_string());
        let size = section.or_else(|| Some(batch.shop.style.exact(stock[index].thickness?)))?;
        if !sizes.contains(&size) {
            sizes.push(size);
        }
    }
    (sizes.len() <= MOST).then(|| format!("{} {}", material(batch, group), sizes.join(" or ")))
}

/// The material of a group, as its first stock has it.
fn material(batch: &Batch, group: &Group) -> String {
    let material = group.stock.first().map_or("", |&first| &batch.stock[first].material);
    material.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Disjoint sets of stock, joined by the parts that may come from either.
struct Sets(Vec<usize>);

impl Sets {
    fn new(count: usize) -> Self {
        Self((0..count).collect())
    }

    /// The least member of the set.
    fn find(&mut self, member: usize) -> usize {
        let mut root = member;
        while self.0[root] != root {
            // Halve the way for the next one who asks.
            self.0[root] = self.0[self.0[root]];
            root = self.0[root];
        }
        root
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.find(a), self.find(b));
        self.0[a.max(b)] = a.min(b);
    }
}
