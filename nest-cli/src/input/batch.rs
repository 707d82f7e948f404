//! All files of a run put together into one question, and problems of the question led back to their files.

use std::collections::BTreeMap;
use std::io::Read;
use std::path::{Path, PathBuf};

use nest_core::model::{
    Batch, CheckedBatch, LONGEST_NAME, Part, Problem, Problems, Stock, Table, TableCell, Unread,
};
use nest_core::units::{System, Unit};

use super::columns::{is_of_parts, is_of_stock};
use super::csv::Cell;
use super::findings::report;
use super::jobs::jobs;
use super::kinds::{Kind, header};
use super::list::{Listed, Listing, Reading};
use super::same::{Identity, is_stdin};
use super::shop::{Placed, Places, shop};
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
        files.into_iter().any(|path| is_stdin(path))
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
    /// The units of its papers, if all is known about them.
    pub paper_system: Option<System>,
    batch: Batch,
    parts: Vec<Listing>,
    stock: Vec<Listing>,
    places: Places,
    /// What could not be read; a report says why.
    unread: Unread,
    /// What is made was taken off the quantities.
    carried_on: bool,
}

/// Reads all files. Problems go on the desk, and the question knows what it lacks.
pub fn read(files: &Files, overrides: &Overrides, stdin: &mut dyn Read, desk: &mut Desk) -> Question {
    let (files, mixed) = once(files, desk);
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
    let mut settings = Settings::default();
    if let Some(path) = &files.shop {
        match open(path, "shop settings", desk) {
            Some(source) => settings = Settings::read(source, desk),
            None => settings.lose_all(),
        }
    }
    let file_unit = settings.file_unit();
    for (flag, keys, value) in &overrides.0 {
        let source = desk.add(Source::new(*flag, value.clone()));
        for key in *keys {
            settings.set(key, value, Spot { source, span: 0..value.len() });
        }
    }
    let unit = settings.unit(desk);
    let units_lost = unit.is_none() && settings.units_lost();
    let mut reading = Reading::new(unit, units_lost);

    let parts_files: Vec<_> = files.parts.iter().map(|path| (path, open(path, "parts", desk))).collect();
    let stock_files: Vec<_> = files.stock.iter().map(|path| (path, open(path, "stock", desk))).collect();
    let (parts_files, stock_files) = unswapped(parts_files, stock_files, desk);
    let jobs = match &*parts_files {
        [_] => vec![String::new()],
        several => jobs(&several.iter().map(|(path, _)| path.as_path()).collect::<Vec<_>>()),
    };
    let mut all_parts = Rows::of(Table::Parts);
    for ((_, source), job) in parts_files.into_iter().zip(jobs) {
        // Of stock that is given as parts too, that is said already.
        let said = |source: &usize| mixed && is_of_stock(&header(&desk.source(*source).text));
        let source = source.filter(|source| !said(source)).filter(|source| is_list(*source, "parts", desk));
        all_parts.take(source.and_then(|source| parts::read(source, &job, &mut reading, desk)));
    }
    let mut all_stock = Rows::of(Table::Stock);
    all_stock.complete = !mixed;
    for (_, source) in stock_files {
        let source = source.filter(|source| is_list(*source, "stock", desk));
        all_stock.take(source.and_then(|source| stock::read(source, &mut reading, desk)));
    }
    for path in &files.rack {
        let source = open(path, "the rack", desk).filter(|source| is_list(*source, "what is on hand", desk));
        all_stock.take(source.and_then(|source| stock::read_rack(source, &mut reading, desk)));
    }
    let system = reading.unit.map_or_else(|| system_of(&all_parts, desk), Unit::system);
    let Placed { mut shop, papers, papers_lost, places, mut unread } =
        shop(&settings, file_unit, system, &mut reading, desk);
    if shop.currency.is_empty() {
        shop.currency = reading.currency.clone().unwrap_or_default();
    }
    reading.finish(desk);
    all_parts.lacks(&mut unread);
    all_stock.lacks(&mut unread);
    let paper_system = (!papers_lost && !units_lost).then(|| shop.style.parse_unit().system());
    Question {
        papers,
        paper_system,
        batch: Batch { parts: all_parts.rows, stock: all_stock.rows, shop },
        parts: all_parts.listings,
        stock: all_stock.listings,
        places,
        unread,
        carried_on: false,
    }
}

const AS_BOTH: &str = "what is to be made is one list, what can be bought or is on hand another: \
    `nest plan parts.csv --stock stock.csv`";

/// The files without lists that are given a second time, by whatever path: all in them would count twice. Tells as well
/// whether one of stock is left out because it is one of parts.
fn once(files: &Files, desk: &mut Desk) -> (Files, bool) {
    let mut seen: BTreeMap<Identity, (PathBuf, Table)> = BTreeMap::new();
    let mut mixed = false;
    let mut new = |list: &[PathBuf], table: Table| {
        let is_new = |path: &&PathBuf| {
            // What cannot be found is told where it is read.
            let Some(real) = Identity::of(path) else { return true };
            let Some((first, of)) = seen.get(&real) else {
                seen.insert(real, ((*path).clone(), table));
                return true;
            };
            // As is what can be read once.
            if [first, *path].into_iter().all(|path| path == Path::new("-")) {
                return true;
            }
            let also = if first == *path { String::new() } else { format!(", first as {}", first.display()) };
            let (how, hint) = match *of == table {
                true => ("", "leave one out: all that is in it would count twice"),
                false => (", as parts and as stock", AS_BOTH),
            };
            mixed |= *of != table;
            desk.fail(Failure::new(format!("{} is given twice{how}{also}", path.display())).hint(hint));
            false
        };
        list.iter().filter(is_new).cloned().collect()
    };
    let (parts, stock) = (new(&files.parts, Table::Parts), new(&files.stock, Table::Stock));
    let rack = new(&files.rack, Table::Stock);
    (Files { parts, stock, rack, shop: files.shop.clone() }, mixed)
}

/// Paths, and the sources that were read from them.
type Opened<'f> = Vec<(&'f PathBuf, Option<usize>)>;

/// Parts and stock, each read as what it is, where lists of both were given the other way round.
fn unswapped<'f>(parts: Opened<'f>, stock: Opened<'f>, desk: &mut Desk) -> (Opened<'f>, Opened<'f>) {
    let apart = |files: Opened<'f>, astray: fn(&[Cell]) -> bool| -> (Opened<'f>, Opened<'f>) {
        let is_astray = |source: usize| astray(&header(&desk.source(source).text));
        files.into_iter().partition(|(_, source)| source.is_some_and(is_astray))
    };
    let (of_stock, right_parts) = apart(parts.clone(), is_of_stock);
    let (of_parts, right_stock) = apart(stock.clone(), is_of_parts);
    let first = |files: &Opened<'_>| {
        let (_, source) = files.first()?;
        source.map(|source| desk.source(source).name.clone())
    };
    let (Some(a), Some(b)) = (first(&of_stock), first(&of_parts)) else { return (parts, stock) };
    let message = format!("the lists are swapped: {a} is one of stock, and {b} one of parts");
    desk.fail(Failure::new(message).hint("exchange the two on the command line"));
    ([right_parts, of_parts].concat(), [right_stock, of_stock].concat())
}

/// Whether a list may be read as what it was given as: what a plan wrote is told, and nothing else of it.
fn is_list(source: usize, what: &str, desk: &mut Desk) -> bool {
    let text = desk.source(source);
    let kind = Kind::of(&text.text).filter(|kind| kind.is_written());
    let at = text.text.find(|c: char| !c.is_whitespace()).unwrap_or(0);
    if let Some(kind) = kind {
        desk.error(
            Spot { source, span: at..at },
            format!("expected a list of {what}, but found {}", kind.name()),
        )
        .hint(kind.advice());
    }
    kind.is_none()
}

/// Rows of several lists, one after the other.
struct Rows<T> {
    table: Table,
    rows: Vec<T>,
    listings: Vec<Listing>,
    /// Cells that could not be read.
    unread: Vec<TableCell>,
    /// Whether all lists could be read.
    complete: bool,
}

impl<T> Rows<T> {
    fn of(table: Table) -> Self {
        Self { table, rows: Vec::new(), listings: Vec::new(), unread: Vec::new(), complete: true }
    }

    fn take(&mut self, read: Option<Listed<T>>) {
        let Some(Listed { rows, listing, unread }) = read else {
            self.complete = false;
            return;
        };
        let (table, before) = (self.table, self.rows.len());
        self.unread.extend(unread.into_iter().map(|(row, field)| TableCell {
            table,
            row: before + row,
            field,
        }));
        self.rows.extend(rows);
        self.listings.push(listing);
    }

    /// Says what could not be read.
    fn lacks(&self, unread: &mut Unread) {
        self.unread.iter().for_each(|place| unread.cell(*place));
        if !self.complete {
            unread.rows(self.table);
        }
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

    /// Notes that there is stock which nobody could read.
    pub fn lack_stock(&mut self) {
        self.unread.rows(Table::Stock);
    }

    /// Refuses rows on hand that somebody knows already: who carries a plan on and gives its papers as a rack counts wood
    /// twice.
    pub fn refuse_known(&self, known: impl FnOnce(&[Stock]) -> Vec<usize>, desk: &mut Desk) {
        for row in known(&self.batch.stock) {
            let message =
                format!("`{}` is known from the plan that is carried on", self.batch.stock[row].name);
            let name = TableCell { table: Table::Stock, row, field: "name" };
            desk.error(of_lists(&self.stock, name, desk), message).hint(
                "give the rack as it was before the first plan of the job, if there was one: what is left of it is known; a piece from elsewhere needs a name of its own",
            );
        }
    }

    /// Looks at the question as a whole. Problems and warnings go on the desk.
    pub fn check(self, desk: &mut Desk) -> Option<CheckedBatch> {
        let Self { batch, parts, stock, places, unread, carried_on, .. } = self;
        let spot = |place: TableCell, desk: &Desk| match place.table {
            Table::Parts => of_lists(&parts, place, desk),
            Table::Stock => of_lists(&stock, place, desk),
            Table::Shop => places.get(&(place.field, place.row)).cloned(),
        };
        // Rows that stand in no list are known by their names.
        let listed = stock.iter().map(Listing::len).sum();
        let unlisted: Vec<String> = batch.stock.iter().skip(listed).map(|row| row.name.clone()).collect();
        let checked = match unread.is_empty() {
            true => batch.check().map_err(Problems::into_vec),
            false => Err(batch.problems(unread)),
        };
        match checked {
            Ok(checked) => {
                // What is made has quantity 0.
                let made = |warning: &nest_core::model::Warning| {
                    carried_on && matches!(warning, nest_core::model::Warning::NothingToMake { .. })
                };
                for warning in checked.warnings().iter().filter(|warning| !made(warning)) {
                    let at = warning.place().and_then(|place| spot(place, desk));
                    desk.warn(at, Warning::Question(warning.clone()));
                }
                Some(checked)
            }
            Err(problems) => {
                let placed = problems.into_iter().map(|mut problem| {
                    if let Some(name) = unlisted_row(&problem, listed).and_then(|row| unlisted.get(row)) {
                        let name: String = name.chars().take(LONGEST_NAME).collect();
                        problem.message =
                            format!("`{name}`, left of the plan that is carried on: {}", problem.message);
                    }
                    let at = problem.place.and_then(|place| spot(place, desk));
                    (at, problem)
                });
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
fn of_lists(listings: &[Listing], TableCell { mut row, field, .. }: TableCell, desk: &Desk) -> Option<Spot> {
    for listing in listings {
        match row.checked_sub(listing.len()) {
            None => return listing.spot(row, field, desk),
            Some(rest) => row = rest,
        }
    }
    None
}
