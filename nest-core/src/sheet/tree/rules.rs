//! What the saws allow: where a piece may go into a gap, and whether the fence reaches every rip.

use super::super::problem::{Kind, Lay, Rules};
use super::{Gap, NONE, Sheet};

impl Sheet {
    /// How a lay may go into a gap: `[near, far]` with the areas that stay free in two rectangles, and whether a
    /// later piece may use them.
    pub fn options(&self, gap: &Gap, lay: &Lay, kind: &Kind) -> [Option<[(u64, bool); 2]>; 2] {
        let rules = &kind.rules;
        let (a, b) = (usize::from(gap.axis), usize::from(1 - gap.axis));
        let [ga, gb] = [gap.size[a], gap.size[b]];
        let [sa, sb] = [lay.size[a], lay.size[b]];
        if sa > ga || sb > gb {
            return [None, None];
        }
        let at =
            |level: u8| (level <= rules.stages, level == rules.stages.saturating_add(1) && rules.trimming);
        let plain = lay.chain.is_none();
        // The level at which the strip is chained must be there as well.
        let chained = |parent: usize, level: u8| match lay.chain {
            Some(chain) if usize::from(chain) != parent => level < rules.stages,
            _ => true,
        };
        let area = |x: u32, y: u32| u64::from(x) * u64::from(y);
        let level = gap.level;
        if level > rules.stages {
            return [None, None];
        }
        // The node's own cut must be possible too: it was checked when the node was made, but the root's was not.
        // A piece that takes all of an empty sheet along the axis needs the other axis as the first.
        let empty = self.nodes[gap.node as usize].first == NONE;
        let other = empty && sa == ga && sb < gb && rules.first.is_none();
        if gap.node == 0 && (sa < ga && !may_cut(rules, a, gb) || other) {
            return [None, None];
        }
        let below = below(gap, sa, kind);
        // A strip that is all of the sheet where others come first takes cuts of one direction alone.
        let plain = plain && !self.alone(gap.node, kind);
        let beside = (area(ga - sa, gb), true);
        // The fence must reach every rip: of the node itself, and of the strip or row that is new.
        let strip = |axis: usize, taken: u32, whole: u32| {
            axis != 1 || within_reach(kind, usize::from(taken > kind.reach()), whole - taken)
        };
        let own = |taken: u32| {
            a != 1
                || kind.rules.reach.is_none()
                || within_reach(
                    kind,
                    self.wide(gap.node, kind) + usize::from(taken > kind.reach()),
                    ga - taken,
                )
        };
        if sb == gb {
            let near = (chained(a, level) && own(sa)).then_some([beside, (0, false)]);
            return [near, None];
        }
        let (inside, trims) = at(below);
        let near = (inside || (trims && plain))
            && chained(b, below)
            && may_cut(rules, b, sa)
            && own(sa)
            && strip(b, sb, gb);
        let near = near.then_some([beside, (area(sa, gb - sb), inside)]);
        // With nothing beside it both ways are the same; on an empty sheet the other axis is another root, if it may be.
        let whole = self.widest(gap, kind);
        if sa >= whole || empty && rules.first.is_none() {
            return [near, None];
        }
        let lower = below.saturating_add(1);
        let (deep, trims) = at(lower);
        let far = inside
            && (deep || (trims && plain))
            && chained(a, lower)
            && may_cut(rules, b, whole)
            && may_cut(rules, a, sb)
            && own(whole)
            && strip(b, sb, gb)
            && strip(a, sa, whole);
        let far = far.then_some([(area(whole, gb - sb), true), (area(whole - sa, sb), deep)]);
        [near, far]
    }

    /// Whether a node is a strip as wide as the sheet, of which the saws want the cuts first that would free it.
    pub(super) fn alone(&self, at: u32, kind: &Kind) -> bool {
        let node = &self.nodes[at as usize];
        let wide = |first: u8| node.size[usize::from(first)] == kind.size[usize::from(first)];
        at != 0 && node.parent == 0 && kind.rules.first.is_some_and(wide)
    }

    /// How wide one strip that fills a gap may be: all of it, but where the first cut is fixed it has to be one, so that a
    /// first strip leaves a step.
    pub(super) fn widest(&self, gap: &Gap, kind: &Kind) -> u32 {
        let all = gap.size[usize::from(gap.axis)];
        let first = gap.node == 0 && self.nodes[0].first == NONE && kind.rules.first.is_some();
        all - u32::from(first)
    }

    /// How many strips of a node are wider than the fence reaches.
    fn wide(&self, at: u32, kind: &Kind) -> usize {
        let mut wide = 0;
        let mut child = self.nodes[at as usize].first;
        while child != NONE {
            let node = &self.nodes[child as usize];
            wide += usize::from(node.size[1] > kind.reach());
            child = node.next;
        }
        wide
    }

    /// Whether every rip is within reach of the fence; what was taken out may leave too much room beside a wide strip.
    pub fn sawable(&self, kind: &Kind) -> bool {
        kind.rules.reach.is_none()
            || self.nodes.iter().enumerate().all(|(at, node)| {
                let divided = node.item == NONE && node.axis == 1 && node.first != NONE;
                within_reach(kind, if divided { self.wide(at as u32, kind) } else { 0 }, node.free)
            })
    }
}

/// The level of a strip that takes so much of a gap: where it is as wide as the sheet, and the cuts that would free it are
/// to come first, its own are the first and the last.
pub(super) fn below(gap: &Gap, taken: u32, kind: &Kind) -> u8 {
    let axis = usize::from(gap.axis);
    let alone = gap.node == 0 && kind.rules.first.is_some() && taken == kind.size[axis];
    let next = gap.level.saturating_add(1);
    if alone { next.max(kind.rules.stages) } else { next }
}

/// Whether the fence reaches all rips of a node with so many strips wider than it does, and so much left over. Strips come
/// off from both edges, so one of them may be: it is what is left. What is left over beside it is ripped off as strips
/// of waste.
fn within_reach(kind: &Kind, wide: usize, free: u32) -> bool {
    match (kind.rules.reach, wide) {
        (None, _) | (_, 0) => true,
        (_, 1) => free <= kind.rules.spare,
        _ => false,
    }
}

/// Whether the saws can divide `axis` of a rectangle that is `long` along the cut.
pub(in super::super) fn may_cut(rules: &Rules, axis: usize, long: u32) -> bool {
    let [least, most] = rules.cut[axis];
    (least..=most).contains(&long)
}
