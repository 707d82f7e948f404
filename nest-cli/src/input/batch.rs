//! All files of a run put together into one question, and problems of the question led back to their files.

use std::collections::BTreeSet;
use std::io::Read;
use std::path::{Path, PathBuf};

use nest_core::model::{Batch, CheckedBatch, LONGEST_NAME, Part, Problem, Shop, Stock, Table, fold};
use nest_core::units::{System, Unit};

use super::findings::{Unread, report};
use super::list::{Listing, Reading};
use super::shop::{Places, shop};
use super::source::{Source, load};
use super::toml::Settings;
use super::{parts, stock};
use crate::diagnose::{Desk, Failure, Spot};
use crate::papers::PaperSettings;
use crate::warn::Warning;

/// The files of a question. `-` is standard input, once.
#[derive(Clone, Debug, Default)]
pub struct Files {
    /// Lists of parts.
    pub parts: Vec<PathBuf>,
    /// Lists of stock.
    pub stock: Vec<PathBuf>,
    /// Lists of what is on hand.
    pub rack: Vec<PathBuf>,
    /// The shop.
    pub shop: Option<PathBuf>,
}

impl Files {
    /// Whether any of them is standard input.
    pub fn piped(&self) -> bool {
        let files = [&self.parts, &self.stock, &self.rack].into_iter().flatten().chain(&self.shop);
        files.into_iter().any(|path| path == Path::new("-"))
    }
}

/// Two of them are standard input; one of those is to be saved.
pub fn given_twice(one: &str) -> Failure {
    Failure::new("standard input can be read once, but `-` is given twice")
        .hint(format!("save {one} to a file"))
}

/// Flags that override the shop file: name of the flag, the settings it sets, and its value.
#[derive(Clone, Debug, Default)]
pub struct Overrides(pub Vec<(&'static str, &'static [&'static str], String)>);

/// A question that was read, with the place of everything in it.
#[derive(Debug)]
pub struct Question {
    /// What the shop wants on its papers.
    pub papers: PaperSettings,
    batch: Batch,
    parts: Vec<Listing>,
    stock: Vec<Listing>,
    places: Places,
    unread: Unread,
    /// Nothing was left out for its own problems.
    complete: bool,
    /// What is made was taken off the quantities.
    carried_on: bool,
}

/// Reads all files. Problems go on the desk; `None` where nothing can be said about the question as a whole.
pub fn read(files: &Files, overrides: &Overrides, stdin: &mut dyn Read, desk: &mut Desk) -> Option<Question> {
    let start = desk.errors();
    let mut stdin = Some(stdin);
    let mut open = |path: &Path, what: &str, desk: &mut Desk| {
        let loaded = match (path == Path::new("-"), stdin.take_if(|_| path == Path::new("-"))) {
            (true, None) => Err(given_twice("one of the lists")),
            (true, Some(stdin)) => load(path, what, stdin),
            (false, _) => load(path, what, &mut std::io::empty()),
        };
        match loaded {
            Ok(source) => Some(desk.add(source)),
            Err(failure) => {
                desk.fail(failure);
                None
            }
        }
    };
    let mut settings = match &files.shop {
        Some(path) => {
            open(path, "shop settings", desk).map(|source| Settings::read(source, desk)).unwrap_or_default()
        }
        None => Settings::default(),
    };
    let file_unit = settings.file_unit();
    for (flag, keys, value) in &overrides.0 {
        let source = desk.add(Source::new(*flag, value.clone()));
        for key in *keys {
            settings.set(key, value, Spot { source, span: 0..value.len() });
        }
    }
    let unit = settings.unit(desk);
    let before = desk.errors();
    let mut reading = Reading::new(unit, before > start);

    let several = files.parts.len() > 1;
    let mut all_parts = Rows::default();
    for path in &files.parts {
        let job = if several { job_of(path) } else { String::new() };
        let read = open(path, "parts", desk).and_then(|source| parts::read(source, &job, &mut reading, desk));
        all_parts.take(read);
    }
    let mut all_stock = Rows::default();
    for path in &files.stock {
        all_stock.take(open(path, "stock", desk).and_then(|source| stock::read(source, &mut reading, desk)));
    }
    for path in &files.rack {
        all_stock.take(
            open(path, "the rack", desk).and_then(|source| stock::read_rack(source, &mut reading, desk)),
        );
    }
    let system = reading.unit.map_or_else(|| system_of(&all_parts, desk), Unit::system);
    let of_lists = desk.errors() - before;
    let (mut shop, papers, places) = shop(&settings, file_unit, system, &mut reading, desk);
    if shop.currency.is_empty() {
        shop.currency = reading.currency.clone().unwrap_or_default();
    }
    reading.finish(desk);
    let unsound = shop.problems();
    if !unsound.is_empty() {
        let at = |problem: &Problem| places.get(&problem.place.map(|p| (p.field, p.row))?).cloned();
        report(unsound.into_iter().map(|problem| (at(&problem), problem)).collect(), desk);
        shop = Shop::defaults(system);
    }
    let of_shop = desk.errors() - start - of_lists;
    // Rows with problems leave the others to be looked at, unless nobody knows what they are about.
    let lost = all_stock.lost?;
    if all_stock.rows.is_empty() || all_parts.rows.is_empty() {
        return None;
    }
    ask_for_nothing(&mut all_parts.rows, &lost);
    let unread = Unread { shop: of_shop > 0, stock: !lost.is_empty() };
    let complete = desk.errors() == 0;
    Some(Question {
        papers,
        batch: Batch { parts: all_parts.rows, stock: all_stock.rows, shop },
        parts: all_parts.listings,
        stock: all_stock.listings,
        places,
        unread,
        complete,
        carried_on: false,
    })
}

/// Parts of materials of which some stock could not be read: nobody knows what they would be cut from.
fn ask_for_nothing(parts: &mut [Part], lost: &BTreeSet<String>) {
    for part in parts.iter_mut().filter(|part| lost.contains(&fold(&part.material))) {
        part.qty = 0;
    }
}

/// Rows of several lists, one after the other.
struct Rows<T> {
    rows: Vec<T>,
    listings: Vec<Listing>,
    /// Materials of rows with problems, folded; `None` where something could not be read at all.
    lost: Option<BTreeSet<String>>,
}

impl<T> Default for Rows<T> {
    fn default() -> Self {
        Self { rows: Vec::new(), listings: Vec::new(), lost: Some(BTreeSet::new()) }
    }
}

impl<T> Rows<T> {
    fn take(&mut self, read: Option<(Vec<T>, Listing)>) {
        let lost = read.and_then(|(rows, listing)| {
            self.rows.extend(rows);
            let lost = listing.lost().cloned();
            self.listings.push(listing);
            lost
        });
        self.lost = self.lost.take().zip(lost).map(|(mut all, lost)| {
            all.extend(lost);
            all
        });
    }
}

/// The name of a file without its folder and ending.
fn job_of(path: &Path) -> String {
    match path.file_stem() {
        _ if path == Path::new("-") => "standard input".into(),
        Some(stem) => stem.to_string_lossy().into_owned(),
        None => String::new(),
    }
}

/// Without units every length carries its own; defaults then follow the first length of the first part.
fn system_of(parts: &Rows<Part>, desk: &Desk) -> System {
    let first = parts.listings.first();
    if let Some(unit) = first.and_then(|listing| listing.unit("length")) {
        return unit.system();
    }
    let spot = first.and_then(|listing| listing.spot(0, "length", desk));
    let metric = spot.is_none_or(|spot| {
        desk.source(spot.source).text.get(spot.span).is_some_and(|text| text.to_lowercase().contains('m'))
    });
    if metric { System::Metric } else { System::Inch }
}

impl Question {
    /// Makes another question of this one; its rows stand in front of all others in the new one.
    pub fn carry_on(&mut self, make: impl FnOnce(Batch) -> Batch) {
        self.batch = make(std::mem::take(&mut self.batch));
        self.carried_on = true;
    }

    /// Refuses rows on hand that somebody knows already: who carries a plan on and gives its papers as a rack counts wood
    /// twice.
    pub fn refuse_known(&self, known: impl FnOnce(&[Stock]) -> Vec<usize>, desk: &mut Desk) {
        for row in known(&self.batch.stock) {
            let message =
                format!("`{}` is known from the plan that is carried on", self.batch.stock[row].name);
            desk.error(spot(&self.stock, row, "name", desk), message).hint(
                "give the rack as it was before the first plan of the job, if there was one: what is left of it is known",
            );
        }
    }

    /// Looks at the question as a whole. Problems and warnings go on the desk.
    pub fn check(self, desk: &mut Desk) -> Option<CheckedBatch> {
        let Self { batch, parts, stock, places, unread, complete, carried_on, .. } = self;
        let of_part = |row: usize, field: &str, desk: &Desk| spot(&parts, row, field, desk);
        // Rows that stand in no list are known by their names.
        let listed = stock.iter().map(Listing::len).sum();
        let unlisted: Vec<String> = batch.stock.iter().skip(listed).map(|row| row.name.clone()).collect();
        match batch.check() {
            Ok(checked) => {
                // What is made has quantity 0.
                let made = |warning: &nest_core::model::Warning| {
                    carried_on && matches!(warning, nest_core::model::Warning::NothingToMake { .. })
                };
                for warning in checked.warnings().iter().filter(|warning| !made(warning)) {
                    let at = match warning {
                        nest_core::model::Warning::RepeatedPart { part, .. }
                        | nest_core::model::Warning::SharedName { part, .. } => of_part(*part, "part", desk),
                        nest_core::model::Warning::MatchAlone { first, .. } => of_part(*first, "match", desk),
                        nest_core::model::Warning::NothingToMake { first, .. } => {
                            of_part(*first, "qty", desk)
                        }
                        nest_core::model::Warning::OwnedGrain { stock: row, .. } => {
                            spot(&stock, *row, "grain", desk)
                        }
                        nest_core::model::Warning::EdgesOfBought { stock: row, .. } => {
                            spot(&stock, *row, "factory_edges", desk)
                        }
                        nest_core::model::Warning::FreeWithoutLimit { stock: row, .. } => {
                            spot(&stock, *row, "price", desk)
                        }
                        nest_core::model::Warning::WideKerf { place } => {
                            places.get(&(place.field, place.row)).cloned()
                        }
                        nest_core::model::Warning::LooksLikeAnother { place, .. } => match place.table {
                            Table::Stock => spot(&stock, place.row, place.field, desk),
                            _ => of_part(place.row, place.field, desk),
                        },
                        _ => None,
                    };
                    desk.warn(at, Warning::Question(warning.clone()));
                }
                complete.then_some(checked)
            }
            Err(problems) => {
                let placed = problems.into_vec().into_iter().filter(|problem| unread.leaves(problem)).map(
                    |mut problem| {
                        if let Some(name) = unlisted_row(&problem, listed).and_then(|row| unlisted.get(row)) {
                            let name: String = name.chars().take(LONGEST_NAME).collect();
                            problem.message =
                                format!("`{name}`, left of the plan that is carried on: {}", problem.message);
                        }
                        let at = problem.place.and_then(|place| match place.table {
                            Table::Parts => of_part(place.row, place.field, desk),
                            Table::Stock => spot(&stock, place.row, place.field, desk),
                            Table::Shop => places.get(&(place.field, place.row)).cloned(),
                        });
                        (at, problem)
                    },
                );
                let placed = placed.collect();
                report(placed, desk);
                None
            }
        }
    }
}

/// Which of the rows of stock behind the lists a problem is about.
fn unlisted_row(problem: &Problem, listed: usize) -> Option<usize> {
    let place = problem.place.filter(|place| place.table == Table::Stock)?;
    place.row.checked_sub(listed)
}

/// The cell of a row of several lists.
fn spot(listings: &[Listing], mut row: usize, field: &str, desk: &Desk) -> Option<Spot> {
    for listing in listings {
        match row.checked_sub(listing.len()) {
            None => return listing.spot(row, field, desk),
            Some(rest) => row = rest,
        }
    }
    None
}
