//! `nest plan --after`: a plan that was followed in part, how far, and the question that is left.

use std::collections::{BTreeMap, BTreeSet};

use nest_core::model::{CheckedBatch, Fit, Part, Shop, fold};
use nest_core::plan::{Layout, Plan};
use nest_core::rest::{Before, Done, Followed, How, Made, Misfit, Rest, Wrong};

use super::saved::{self, Found, Judged};
use crate::args::PlanArgs;
use crate::diagnose::{Desk, Failure};
use crate::input::{self, Question};
use crate::report::words::count;
use crate::warn::Warning;
use crate::{Streams, options};

/// A plan that was judged, and how far it was followed by the account of whoever followed it.
pub struct Past {
    found: Found,
    spare: u32,
    before: Before,
    items: Vec<Item>,
    /// Whether all that was said of its layouts could be read.
    complete: bool,
}

/// One of the things listed behind a flag: `1-3`, `5x2`, `7:12`.
struct Item {
    flag: &'static str,
    text: String,
    first: usize,
    last: usize,
    copies: Option<u32>,
    how: How,
}

/// Reads and judges the plan that was followed, if any is given. Problems go on the desk.
///
/// # Errors
/// Everything that is wrong with an unsound plan, one sentence each.
pub fn read(
    args: &PlanArgs,
    streams: &mut Streams<'_>,
    desk: &mut Desk,
) -> Result<Option<Past>, Vec<String>> {
    let Some(path) = &args.after else { return Ok(None) };
    let start = desk.errors();
    let cut = items("--cut", &args.cut, How::Cut, desk);
    let spoiled = items("--spoiled", &args.spoiled, How::Spoiled, desk);
    let complete = desk.errors() == start;
    if input::is_stdin(path) && options::files(args).piped() {
        desk.fail(input::given_twice("the plan"));
        return Ok(None);
    }
    let Some(plan) = saved::read(path, streams, desk) else { return Ok(None) };
    let (spare, before) = (plan.spare, plan.before.clone());
    match saved::judge(plan, None) {
        Judged { found: Some(found), faults } if faults.is_empty() => {
            let items = cut.into_iter().chain(spoiled).collect();
            Ok(Some(Past { found, spare, before, items, complete }))
        }
        Judged { faults, .. } => Err(faults),
    }
}

impl Past {
    /// Makes of the question about the whole job the one that is left, and tells what was done before it, and which layouts
    /// of the plan still have a place in it. Problems go on the desk.
    pub fn carry_on(&self, question: &mut Question, desk: &mut Desk) -> (Before, Vec<Layout>) {
        let (batch, plan) = (&self.found.batch, &self.found.solution.plan);
        let named = self.named();
        let done: Vec<Done> = named.iter().map(|(_, done)| *done).collect();
        let followed = match Followed::new(batch, plan, self.spare, &self.before, &done) {
            Ok(followed) => followed,
            Err(misfits) => {
                let mut said = BTreeSet::new();
                for Misfit { entry, wrong } in misfits.into_vec() {
                    let (item, done) = named[entry];
                    if said.insert(item) {
                        desk.fail(misfit(&self.items[item], done.layout, wrong, batch, plan));
                    }
                }
                question.lack_stock();
                return Default::default();
            }
        };
        if !self.complete {
            question.lack_stock();
        }
        question.refuse_known(|list| followed.again(list), desk);
        let mut known = Default::default();
        question.carry_on(|job| {
            let settings = other_settings(batch, &job.shop);
            if !settings.is_empty() {
                desk.warn(None, Warning::OtherSaw { settings });
            }
            let rest = followed.rest(job);
            if !rest.unwanted.is_empty() {
                let pieces = rest.unwanted.iter().map(|made| (made.part.qty, made.piece.name.clone()));
                let jobs = other_job(&rest);
                let blank = |made: &Made| made.part.fit != Fit::No || made.part.oversize.is_positive();
                let blanks = rest.unwanted.iter().any(blank);
                desk.warn(None, Warning::Unwanted { pieces: pieces.collect(), jobs, blanks });
            }
            if !rest.parted.is_empty() {
                desk.warn(None, Warning::Parted { strips: rest.parted.clone() });
            }
            if !rest.other.is_empty() {
                let pieces = rest.other.iter().map(|(made, part)| (made.part.qty, part.name.clone()));
                desk.warn(None, Warning::Other { pieces: pieces.collect() });
            }
            if !rest.missed.is_empty() {
                let pieces = rest.missed.iter().map(|row| (row.qty.unwrap_or(1), row.name.clone()));
                desk.warn(None, Warning::Missed { pieces: pieces.collect() });
            }
            known = (rest.before, rest.layouts);
            rest.batch
        });
        known
    }

    /// What became of which layouts, each with the number of the item that says so.
    fn named(&self) -> Vec<(usize, Done)> {
        // One layout beyond the last is enough to be wrong.
        let beyond = self.found.solution.plan.layouts.len() + 1;
        let items = self.items.iter().enumerate();
        let layouts = items.flat_map(|(index, item)| {
            let last = item.last.min(item.first.max(beyond));
            (item.first..=last)
                .map(move |number| (index, Done { layout: number - 1, copies: item.copies, how: item.how }))
        });
        layouts.collect()
    }
}

/// What of kerf, edge trim and edge bands, as far as a plan went by them, is not so in a shop.
fn other_settings(batch: &CheckedBatch, now: &Shop) -> Vec<String> {
    let then = &batch.batch().shop;
    let cut = |board: bool| {
        batch.groups().iter().flat_map(|group| &group.stock).any(|&s| batch.stock()[s].board == board)
    };
    let deducts = |shop: &Shop, name: &str| {
        let band = shop.bands.iter().find(|band| fold(&band.name) == fold(name))?;
        Some((band.deduct, band.pre_mill))
    };
    let bands = batch.batch().parts.iter().filter_map(|part| part.band.as_deref());
    let differs = [
        (cut(true) && then.boards.kerf != now.boards.kerf, "the kerf of boards"),
        (cut(true) && then.boards.trim != now.boards.trim, "the edge trim of boards"),
        (cut(false) && then.sheets.kerf != now.sheets.kerf, "the kerf of sheets"),
        (cut(false) && then.sheets.trim != now.sheets.trim, "the edge trim of sheets"),
        (bands.into_iter().any(|name| deducts(then, name) != deducts(now, name)), "what edge bands take off"),
    ];
    differs.into_iter().filter(|(differs, _)| *differs).map(|(_, what)| what.to_owned()).collect()
}

/// The job of a piece that is not wanted, and another one that asks for a part of that name and size.
fn other_job(rest: &Rest) -> Option<(String, String)> {
    let sized = |part: &Part| (fold(&part.name), part.length, part.width);
    let unwanted: BTreeMap<_, &str> =
        rest.unwanted.iter().map(|made| (sized(&made.part), made.part.job.as_str())).collect();
    rest.batch.parts.iter().find_map(|part| {
        let job = unwanted.get(&sized(part)).filter(|job| fold(job) != fold(&part.job))?;
        (part.qty > 0).then(|| ((*job).to_owned(), part.job.clone()))
    })
}

fn items(flag: &'static str, lists: &[String], how: How, desk: &mut Desk) -> Vec<Item> {
    let texts = lists.iter().flat_map(|list| list.split(',')).map(str::trim);
    let read = |text: &str| {
        let item = item(text, how);
        if item.is_none() {
            desk.fail(
                Failure::new(format!("expected layouts for {flag}, but found `{text}`")).hint(match how {
                    How::Spoiled => {
                        "write their numbers on the papers, --spoiled 1-3,5; 5x2 for two boards of layout 5, 7:4 where \
                         all that cut 4 of layout 7 left to be cut is gone"
                    }
                    _ => {
                        "write their numbers on the papers, --cut 1-3,5; 5x2 for two boards of layout 5, 7:4 for \
                         layout 7 up to its cut 4"
                    }
                }),
            );
        }
        let (first, last, copies, how) = item?;
        Some(Item { flag, text: text.to_owned(), first, last, copies, how })
    };
    texts.filter_map(read).collect()
}

/// First and last layout, how many copies, and how far they are cut.
fn item(text: &str, how: How) -> Option<(usize, usize, Option<u32>, How)> {
    let number = |text: &str| {
        let text = text.trim();
        let digits = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
        // What is beyond all numbers of layouts is wrong as one.
        digits.then(|| text.parse::<u32>().unwrap_or(u32::MAX)).filter(|&number| number > 0)
    };
    let (which, cut) = text.split_once(':').map_or((text, None), |(which, cut)| (which, Some(cut)));
    let (which, copies) =
        which.split_once(['x', 'X', '×']).map_or((which, None), |(which, x)| (which, Some(x)));
    let (first, last) = which.split_once('-').unwrap_or((which, which));
    let (first, last) = (number(first)?, number(last)?);
    let copies = match copies {
        Some(copies) => Some(number(copies)?),
        None => None,
    };
    let how = match (cut, how) {
        (Some(cut), How::Spoiled) => How::Lost(usize::try_from(number(cut)?).ok()?),
        (Some(cut), _) => How::Begun(usize::try_from(number(cut)?).ok()?),
        (None, how) => how,
    };
    (first <= last).then_some((usize::try_from(first).ok()?, usize::try_from(last).ok()?, copies, how))
}

fn misfit(item: &Item, layout: usize, wrong: Wrong, batch: &CheckedBatch, plan: &Plan) -> Failure {
    let Item { flag, text, .. } = item;
    let number = layout + 1;
    let board =
        plan.layouts.get(layout).and_then(|layout| batch.stock().get(layout.stock)).is_none_or(|s| s.board);
    let word = if board { "board" } else { "sheet" };
    match wrong {
        Wrong::Layout { layouts: 0 } => {
            Failure::new(format!("the plan has no layout, but found `{text}` for {flag}"))
                .hint("leave it out")
        }
        Wrong::Layout { layouts } => {
            Failure::new(format!("expected a layout from 1 to {layouts} for {flag}, but found `{text}`"))
                .hint("the papers of the plan number its layouts")
        }
        Wrong::Copies { copies, named } => Failure::new(format!(
            "layout {number} is of {}, but {} named, with `{text}` for {flag}",
            count(copies.into(), word),
            if named == 1 { "1 is".to_owned() } else { format!("{named} are") }
        ))
        .hint(format!(
            "name each {word} once, in --cut or in --spoiled; `{number}x1` is one of layout {number}"
        )),
        Wrong::Cut { cuts: 0 } => {
            Failure::new(format!("layout {number} has no cuts, but found `{text}` for {flag}"))
                .hint(format!("write {number} where it is done"))
        }
        Wrong::Cut { cuts } => Failure::new(format!(
            "expected a cut from 1 to {cuts} of layout {number} for {flag}, but found `{text}`"
        ))
        .hint("the papers of the plan number its cuts"),
    }
}
