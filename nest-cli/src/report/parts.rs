//! Every part with what becomes of it: the list somebody goes through when all is cut.

use super::Source;
use super::labels::{band, grain, grain_words, told_apart};
use super::words::Words;
use crate::clean::{clean, isolated};
use nest_core::model::Fit;
use nest_core::units::Length;
use std::collections::{BTreeMap, BTreeSet};

/// The parts of one job.
#[derive(Clone, Debug)]
pub struct JobParts {
    /// Its name; empty for parts without one.
    pub job: String,
    /// Its parts, in the order of the list.
    pub parts: Vec<PartLine>,
}

/// One part.
#[derive(Clone, Debug)]
pub struct PartLine {
    /// Row in the list, from 1.
    pub number: usize,
    /// Its name.
    pub name: String,
    /// `4`, or `3 of 4` where some could not be made.
    pub qty: String,
    /// Material.
    pub material: String,
    /// Finished size.
    pub finished: String,
    /// Cut size, where it differs; else empty.
    pub cut: String,
    /// Which edges get band; empty for none.
    pub band: String,
    /// Which way the grain runs; empty where it does not matter.
    pub grain: &'static str,
    /// Numbers of the layouts it comes from.
    pub layouts: String,
    /// What is still to be done with the blank; empty for nothing.
    pub later: String,
    /// Some are made, and measured in place before their last cut.
    pub fit: bool,
    /// Free text of the list.
    pub note: String,
}

impl PartLine {
    /// Band, grain, what is still to be done, and the note, in one line.
    pub fn notes(&self) -> String {
        let note = isolated(&self.note);
        let all = [self.band.as_str(), self.grain, self.later.as_str(), note.as_str()];
        all.into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>().join("; ")
    }
}

/// All parts by job. Runtime: linear in the plan, but for a logarithm of the jobs.
pub(super) fn parts(source: &Source<'_>, words: &Words) -> Vec<JobParts> {
    let batch = source.batch;
    let mut made = vec![0_u64; batch.parts().len()];
    let mut from: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); batch.parts().len()];
    let mut on: Vec<Option<usize>> = vec![None; batch.parts().len()];
    for (index, layout) in source.solution.plan.layouts.iter().enumerate() {
        for piece in &layout.pieces {
            made[piece.part] += u64::from(layout.copies);
            from[piece.part].insert(index + 1);
            on[piece.part] = Some(layout.stock);
        }
    }
    let mut jobs: Vec<JobParts> = Vec::new();
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    for (index, part) in batch.batch().parts.iter().enumerate().filter(|(_, part)| part.qty > 0) {
        let cut = &batch.parts()[index];
        let stock = on[index].or_else(|| cut.from.first().map(|placing| placing.stock));
        let runs = stock.map_or(super::labels::Grain::Free, |stock| {
            grain(part, batch.batch().stock[stock].grain, batch.stock()[stock].board)
        });
        let said = |length: Length, width: Option<Length>| {
            let size = [length, width.unwrap_or_default()];
            stock.map_or(words.size(size), |stock| told_apart(source, index, stock, size, words))
        };
        let (finished, cut_size) = (said(part.length, part.width), said(cut.length, cut.width));
        let numbers: Vec<String> = from[index].iter().map(ToString::to_string).collect();
        let line = PartLine {
            number: index + 1,
            name: clean(&part.name),
            qty: match made[index] == u64::from(part.qty) {
                true => part.qty.to_string(),
                false => format!("{} of {}", made[index], part.qty),
            },
            material: super::names::of_material(source, cut.group),
            cut: if cut_size == finished { String::new() } else { cut_size },
            finished,
            band: band(part, cut.band.map(|band| batch.batch().shop.bands[band].name.as_str())),
            grain: grain_words(runs),
            layouts: super::words::list(&numbers, 8),
            later: super::board::later(part, words).map_or(String::new(), |later| later.text),
            fit: part.fit != Fit::No && made[index] > 0,
            note: clean(&part.note),
        };
        let job = clean(&part.job);
        let number = *known.entry(job.clone()).or_insert(jobs.len());
        match jobs.get_mut(number) {
            Some(entry) => entry.parts.push(line),
            None => jobs.push(JobParts { job, parts: vec![line] }),
        }
    }
    jobs
}
