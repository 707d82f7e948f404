//! The answer as plan.json.

use super::Source;
use crate::plan_file::{
    BuyFile, FORMAT, GroupFile, LayoutFile, OffcutFile, PlanFile, SearchFile, UnplacedFile, VERSION, amount,
};
use nest_core::cost::bill;
use nest_core::model::Measure;
use nest_core::units::Money;
use std::borrow::Cow;

/// plan.json of a checked plan. Names stay as they were typed.
pub fn plan_file<'a>(source: &Source<'a>) -> PlanFile<'a> {
    let Source { batch, solution, options, .. } = *source;
    let measure = batch.measure();
    let groups = batch.groups().iter().zip(&solution.groups).zip(&solution.plan.groups);
    let groups = groups.map(|((group, outcome), claim)| GroupFile {
        material: Cow::Borrowed(group.name.as_str()),
        kind: Some(group.kind),
        cost: amount(measure, outcome.cost),
        cost_floor: amount(measure, outcome.floor),
        status: outcome.status,
        impossible: outcome.impossible,
        work: outcome.work,
        certificate: claim.certificate.as_ref().map(Cow::Borrowed),
    });
    PlanFile {
        format: Cow::Borrowed(FORMAT),
        version: VERSION,
        status: solution.status,
        measure,
        currency: Cow::Borrowed(&batch.batch().shop.currency),
        cost: amount(measure, solution.cost),
        cost_floor: amount(measure, solution.floor),
        groups: groups.collect(),
        layouts: solution.plan.layouts.iter().map(LayoutFile::of).collect(),
        buy: Some(buy(source)),
        spare: source.spare,
        papers: Cow::Borrowed(source.papers),
        offcuts: Some(offcuts(source)),
        unplaced: (solution.plan.unplaced.iter()).map(|&(part, qty)| UnplacedFile { part, qty }).collect(),
        batch: Cow::Borrowed(batch.batch()),
        before: Cow::Borrowed(source.before),
        warnings: Cow::Borrowed(source.warnings),
        search: Some(SearchFile {
            effort: options.effort,
            seed: options.seed,
            // A file that was read says of each material what it likes.
            work: solution.groups.iter().map(|g| g.work).fold(0, u64::saturating_add),
            stopped: solution.stop,
        }),
    }
}

fn buy(source: &Source<'_>) -> Vec<BuyFile> {
    let priced = source.batch.measure() == Measure::Money;
    let money = |amount: Option<Money>| amount.filter(|_| priced).map(|m| m.to_string());
    let line = |b: nest_core::cost::Bought| BuyFile {
        stock: b.stock,
        qty: b.qty,
        spare: b.spare,
        each: money(b.each),
        total: money(b.total),
    };
    bill(source.batch, &source.solution.plan, source.spare).buy.into_iter().map(line).collect()
}

fn offcuts(source: &Source<'_>) -> Vec<OffcutFile> {
    let mut all = Vec::new();
    for (layout, l) in source.solution.plan.layouts.iter().enumerate() {
        let stock = &source.batch.stock()[l.stock];
        all.extend(l.offcuts(stock).map(|place| OffcutFile {
            layout,
            qty: l.copies,
            at: place.at,
            size: place.node.size,
        }));
    }
    all
}
