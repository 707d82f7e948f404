//! Which setting keeps the saws from freeing something, and what would it have to be?

use super::super::{FirstCut, Shop, Stages, UsableStock};
use super::sawing::{Blank, Limits};
use crate::units::Length;

/// What would have to change, each change alone being enough.
#[derive(Clone, Debug)]
pub struct Remedy {
    /// All stock is boards, of which something is too short to be ripped.
    short: Option<Short>,
    changes: Vec<Change>,
    /// Settings that are in the way together.
    set: Vec<&'static str>,
}

/// What is too short to be ripped.
#[derive(Clone, Copy, Debug)]
enum Short {
    Stock,
    /// A strip of matched grain that runs across: all of it is as long as its pieces.
    Strip(Length),
}

#[derive(Clone, Debug)]
struct Change {
    setting: &'static str,
    to: To,
}

#[derive(Clone, Copy, Debug)]
enum To {
    /// A word instead of another.
    Word(&'static str, &'static str),
    /// At least so much instead of what it is.
    Least(Length, Length),
}

impl Remedy {
    /// What would free one of the blanks from its stock.
    pub fn of(shop: &Shop, ways: &[(&UsableStock, Blank)]) -> Self {
        let free = |change: &dyn Fn(&mut Limits)| {
            ways.iter().any(|(usable, blank)| {
                let mut limits = Limits::of(shop, usable);
                change(&mut limits);
                limits.free(usable, *blank)
            })
        };
        let mut remedy = Self { short: None, changes: Vec::new(), set: Vec::new() };
        if ways.iter().all(|(usable, _)| usable.board) {
            let shortest = shop.boards.shortest_rip;
            let strip = ways.iter().find(|(usable, blank)| {
                blank.chain == Some(1) && usable.usable()[0] >= shortest && blank.size[0] < shortest
            });
            let short = strip.map_or(Short::Stock, |(_, blank)| Short::Strip(blank.size[0]));
            return Self { short: Some(short), ..remedy };
        }
        let mut change = |setting, to| remedy.changes.push(Change { setting, to });
        let sheets = &shop.sheets;
        if sheets.first_cut != FirstCut::Either {
            remedy.set.push("`first_cut`");
            let word = if sheets.first_cut == FirstCut::Rip { "rip" } else { "crosscut" };
            if free(&|limits| limits.first = FirstCut::Either) {
                change("`first_cut`", To::Word("either", word));
            }
        }
        if !ways.iter().all(|(_, blank)| blank.chain.is_none()) && sheets.stages == Stages::Limited(2) {
            remedy.set.push("`stages`");
            if free(&|limits| limits.third_stage = true) {
                change("`stages`", To::Word("3", "2"));
            }
        }
        type Set = fn(&mut Limits, Length);
        let lengths: [(&str, Option<Length>, usize, Set); 3] = [
            ("`longest_rip`", sheets.longest_rip, 0, |limits, most| limits.longest[1] = Some(most)),
            ("`longest_crosscut`", sheets.longest_crosscut, 1, |limits, most| limits.longest[0] = Some(most)),
            ("`fence_reach`", sheets.fence_reach, 1, |limits, most| limits.reach = Some(most)),
        ];
        for (name, now, axis, set_to) in lengths {
            let Some(now) = now else { continue };
            remedy.set.push(name);
            let sizes =
                ways.iter().flat_map(|(usable, blank)| [blank.size[axis], usable.usable()[axis], blank.link]);
            let enough = sizes.filter(|&most| free(&|limits| set_to(limits, most))).min();
            if let Some(enough) = enough {
                change(name, To::Least(enough, now));
            }
        }
        remedy
    }

    /// The settings that it names.
    pub fn settings(&self) -> Vec<&'static str> {
        if self.changes.is_empty() {
            self.set.clone()
        } else {
            self.changes.iter().map(|c| c.setting).collect()
        }
    }

    /// Grows so that another one, which names the same settings, is held as well.
    pub fn suit(&mut self, other: &Self) {
        for (mine, theirs) in self.changes.iter_mut().zip(&other.changes) {
            if let (To::Least(mine, _), To::Least(theirs, _)) = (&mut mine.to, theirs.to) {
                *mine = (*mine).max(theirs);
            }
        }
    }

    /// The hint.
    pub fn text(&self, shop: &Shop) -> String {
        let show = |length| shop.style.exact(length);
        let shortest = show(shop.boards.shortest_rip);
        match self.short {
            Some(Short::Stock) => {
                return format!("`shortest_rip` is {shortest}, and all stock is shorter: list longer stock");
            }
            Some(Short::Strip(length)) => {
                return format!(
                    "a strip comes off as one and is ripped at its own length, {}, but `shortest_rip` is {shortest}: lay them one \
                     after the other, `match_way` along, or leave `match` empty",
                    show(length)
                );
            }
            None => {}
        }
        if self.changes.is_empty() {
            return match self.set.split_last() {
                Some((last, rest)) if !rest.is_empty() => {
                    format!("{} and {last} together forbid it", rest.join(", "))
                }
                _ => format!("{} forbids it", self.set.join("")),
            };
        }
        let said = |Change { setting, to }: &Change| match *to {
            To::Word(to, now) => format!("{setting} {to} instead of {now}"),
            To::Least(to, now) => format!("{setting} {} instead of {}", show(to), show(now)),
        };
        let changes: Vec<String> = self.changes.iter().map(said).collect();
        format!("it could be cut with {}", changes.join(", or with "))
    }
}
