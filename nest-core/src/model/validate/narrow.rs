//! Which stock of the part's material could be meant, size apart: section, thickness, and width left open.
//!
//! Parts that ask for the same are looked at once, so the cost is different questions times stock.

use std::collections::{BTreeMap, BTreeSet};

use super::super::problem::{Findings, ProblemKind, part as place, stock as stock_place};
use super::super::{Batch, Part, PartGrain, UsableStock};
use super::cut::CutSize;
use crate::units::{Length, Nominal, actual_size};

/// What a part asks of its stock apart from material and size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Wanted {
    section: Option<Nominal>,
    thickness: Option<Length>,
    /// Whether nobody knows the thickness, though somebody wrote one.
    doubt: bool,
    whole_width: bool,
}

impl Wanted {
    /// `None` where nobody knows the section.
    fn of(row: usize, part: &Part, found: &Findings) -> Option<Self> {
        let sure = |field| found.sure(place(row, field));
        sure("section").then(|| Self {
            section: part.section,
            thickness: part.thickness.filter(|_| sure("thickness")),
            doubt: !sure("thickness"),
            whole_width: part.width.is_none() && sure("width"),
        })
    }
}

/// For each part the stock that is left.
#[derive(Default)]
pub struct Narrowed {
    lists: Vec<Vec<usize>>,
    parts: Vec<(usize, usize)>,
}

impl Narrowed {
    /// Rows of parts with the stock that is left for them.
    pub fn each(&self) -> impl Iterator<Item = (usize, &[usize])> {
        self.parts.iter().map(|&(row, list)| (row, self.lists[list].as_slice()))
    }
}

/// Why nothing is left.
struct Refusal {
    field: &'static str,
    kind: ProblemKind,
    message: String,
    hint: String,
}

/// Narrows the stock of one material down for each of its parts; those for which nothing is left are reported.
pub fn narrow(
    batch: &Batch,
    rows: &[usize],
    stock: &[usize],
    usable: &[Option<UsableStock>],
    found: &mut Findings,
) -> Narrowed {
    let sure = |row: usize| found.sure_of(stock_place(row, ""), &["on_hand", "ripped"]);
    let doubtful = stock.iter().copied().filter(|&row| !sure(row)).collect();
    let view = View { batch, usable, doubtful, called: called(batch, stock, usable) };
    let mut questions: BTreeMap<Wanted, Vec<usize>> = BTreeMap::new();
    for &row in rows {
        if let Some(wanted) = Wanted::of(row, &batch.parts[row], found) {
            questions.entry(wanted).or_default().push(row);
        }
    }
    let loose = view.thicknesses_without_stock(questions.keys(), stock);
    let mut narrowed = Narrowed::default();
    for (wanted, rows) in questions {
        let left = view.by_section(&wanted, stock).and_then(|left| match wanted.doubt {
            true => Ok(Vec::new()),
            false => view.by_thickness(&wanted, left, &loose).and_then(|left| view.by_width(&wanted, left)),
        });
        match left {
            Ok(left) if left.is_empty() => {}
            Ok(left) => {
                narrowed.parts.extend(rows.iter().map(|&row| (row, narrowed.lists.len())));
                narrowed.lists.push(left);
            }
            Err(refusal) => {
                for row in rows {
                    let place = place(row, refusal.field);
                    found.add(place, refusal.kind, refusal.message.clone()).hint(refusal.hint.clone());
                }
            }
        }
    }
    narrowed.parts.retain(|&(row, _)| {
        let across = batch.parts[row].grain == Some(PartGrain::Width)
            && batch.parts[row].width.is_none()
            && found.sure_of(place(row, ""), &["grain", "width"]);
        if across {
            found
                .add(
                    place(row, "width"),
                    ProblemKind::Missing,
                    "a part whose width runs with the grain needs a width",
                )
                .hint("or write `length` in the `grain` column");
        }
        !across
    });
    narrowed.parts.sort_unstable();
    narrowed
}

struct View<'a> {
    batch: &'a Batch,
    usable: &'a [Option<UsableStock>],
    /// Nobody knows whether these are on hand, or ripped.
    doubtful: Vec<usize>,
    /// What people call stock of the material that is so thick.
    called: BTreeMap<Length, BTreeSet<Length>>,
}

/// What stock of a material is called by its thickness: a piece of it on the rack need not say so again.
fn called(
    batch: &Batch,
    stock: &[usize],
    usable: &[Option<UsableStock>],
) -> BTreeMap<Length, BTreeSet<Length>> {
    let mut called: BTreeMap<Length, BTreeSet<Length>> = BTreeMap::new();
    for &index in stock.iter().filter(|&&index| !batch.stock[index].called.is_empty()) {
        if let Some(thickness) = usable[index].as_ref().and_then(|usable| usable.thickness) {
            called.entry(thickness).or_default().extend(&batch.stock[index].called);
        }
    }
    called
}

impl View<'_> {
    fn thickness(&self, stock: usize) -> Option<Length> {
        self.usable[stock].as_ref().and_then(|usable| usable.thickness)
    }

    /// Width, or nothing where it is left open.
    fn width(&self, stock: usize) -> Option<Length> {
        self.usable[stock].as_ref().map(|usable| usable.size[1]).filter(|width| width.is_positive())
    }

    fn is(&self, stock: usize, thickness: Length) -> bool {
        let actual = self.thickness(stock);
        let called = actual.and_then(|actual| self.called.get(&actual));
        actual == Some(thickness)
            || called.is_some_and(|called| called.contains(&thickness))
            || self.batch.stock[stock].called.contains(&thickness)
    }

    /// Nobody says how thick it is.
    fn is_open(&self, stock: usize) -> bool {
        self.thickness(stock).is_none() && self.batch.stock[stock].called.is_empty()
    }

    fn show(&self, length: Length) -> String {
        self.batch.shop.style.exact(length)
    }

    fn by_section(&self, wanted: &Wanted, stock: &[usize]) -> Result<Vec<usize>, Refusal> {
        let Some(section) = wanted.section else { return Ok(stock.to_vec()) };
        let actual = actual_size(&section);
        // Stock without a name for its section is known by its actual size.
        let same = |&index: &usize| match (self.batch.stock[index].section, actual) {
            (Some(other), _) => other == section,
            (None, Some((thickness, width))) => self.is(index, thickness) && self.width(index) == Some(width),
            (None, None) => false,
        };
        let left: Vec<usize> = stock.iter().copied().filter(same).collect();
        if !left.is_empty() {
            return Ok(left);
        }
        let sections: BTreeSet<Nominal> =
            stock.iter().filter_map(|&index| self.batch.stock[index].section).collect();
        let hint = match (sections.len(), actual) {
            (0, Some((thickness, width))) => {
                format!(
                    "the stock names no section; a {section} is {} x {}",
                    self.show(thickness),
                    self.show(width)
                )
            }
            (0, None) => "fill in the `section` of the stock".into(),
            _ => format!("the stock has {}", list(sections.iter().map(Nominal::to_string))),
        };
        let message = format!("no stock of this material is a {section}");
        Err(Refusal { field: "section", kind: ProblemKind::Section, message, hint })
    }

    fn by_thickness(
        &self,
        wanted: &Wanted,
        left: Vec<usize>,
        loose: &BTreeSet<Length>,
    ) -> Result<Vec<usize>, Refusal> {
        let known: BTreeSet<Length> = left.iter().filter_map(|&index| self.thickness(index)).collect();
        match (wanted.section, wanted.thickness) {
            (Some(_), None) => Ok(left),
            (Some(section), Some(thickness)) => {
                let left: Vec<usize> = left.into_iter().filter(|&index| self.is(index, thickness)).collect();
                if !left.is_empty() {
                    return Ok(left);
                }
                Err(Refusal {
                    field: "thickness",
                    kind: ProblemKind::Contradiction,
                    message: format!(
                        "a {section} is {} thick, not {}",
                        list(known.iter().map(|&t| self.show(t))),
                        self.show(thickness)
                    ),
                    hint: "leave `thickness` empty: the section sets it".into(),
                })
            }
            (None, Some(thickness)) => {
                let same: Vec<usize> =
                    left.iter().copied().filter(|&index| self.is(index, thickness)).collect();
                if !same.is_empty() {
                    return Ok(same);
                }
                let open: Vec<usize> = left.into_iter().filter(|&index| self.is_open(index)).collect();
                match (open.is_empty(), loose.len()) {
                    (true, _) => Err(self.no_thickness(thickness, &known)),
                    (false, ..=1) => Ok(open),
                    (false, _) => Err(Refusal {
                        field: "thickness",
                        kind: ProblemKind::Ambiguous,
                        message: format!(
                            "no stock of this material says that it is {} thick",
                            self.show(thickness)
                        ),
                        hint: format!(
                            "parts ask for {}, and some stock leaves its thickness open: fill it in",
                            list(loose.iter().map(|&t| self.show(t)))
                        ),
                    }),
                }
            }
            (None, None) => {
                if left.iter().any(|&index| self.is_open(index)) {
                    return Ok(left.into_iter().filter(|&index| self.is_open(index)).collect());
                }
                if known.len() <= 1 {
                    return Ok(left);
                }
                Err(Refusal {
                    field: "thickness",
                    kind: ProblemKind::Ambiguous,
                    message:
                        "the part does not say how thick it is, and the stock has more than one thickness"
                            .into(),
                    hint: format!("fill in one of {}", list(known.iter().map(|&t| self.show(t)))),
                })
            }
        }
    }

    fn no_thickness(&self, thickness: Length, known: &BTreeSet<Length>) -> Refusal {
        let below = known.range(..thickness).next_back();
        let above = known.range(thickness..).next();
        let gap = |other: &&Length| (other.ticks() - thickness.ticks()).abs();
        let nearest = below.into_iter().chain(above).min_by_key(gap);
        let hint = match nearest {
            Some(&nearest) => format!(
                "the nearest is {0}; if people call that {1}, write {1} in its `called` column",
                self.show(nearest),
                self.show(thickness)
            ),
            None => "fill in the thickness of the stock".into(),
        };
        let message = format!("no stock of this material is {} thick", self.show(thickness));
        Refusal { field: "thickness", kind: ProblemKind::Thickness, message, hint }
    }

    /// Thicknesses asked for that no stock has.
    fn thicknesses_without_stock<'w>(
        &self,
        wanted: impl Iterator<Item = &'w Wanted>,
        stock: &[usize],
    ) -> BTreeSet<Length> {
        let asked: BTreeSet<Length> =
            wanted.filter(|wanted| wanted.section.is_none()).filter_map(|wanted| wanted.thickness).collect();
        asked.into_iter().filter(|&thickness| !stock.iter().any(|&index| self.is(index, thickness))).collect()
    }

    /// A part without a width is as wide as its board, so there must be one such width.
    fn by_width(&self, wanted: &Wanted, left: Vec<usize>) -> Result<Vec<usize>, Refusal> {
        if !wanted.whole_width {
            return Ok(left);
        }
        let is_board = |&index: &usize| self.usable[index].as_ref().is_some_and(|usable| usable.board);
        let mut boards: Vec<usize> = left.into_iter().filter(is_board).collect();
        if boards.is_empty() {
            return Err(Refusal {
                field: "width",
                kind: ProblemKind::Missing,
                message: "a part cut from a sheet needs a width".into(),
                hint: "only a part as wide as its board may leave it out".into(),
            });
        }
        if boards.iter().any(|index| self.doubtful.contains(index)) {
            return Ok(boards);
        }
        boards.retain(|&index| !self.batch.stock[index].ripped);
        if boards.is_empty() {
            return Err(Refusal {
                field: "width",
                kind: ProblemKind::Missing,
                message: "a part as wide as its board cannot come from boards that are ripped".into(),
                hint: "there are no others of this kind; fill in `width` if the part may be narrower".into(),
            });
        }
        let widths: BTreeSet<Length> = boards.iter().filter_map(|&index| self.width(index)).collect();
        if widths.len() > 1 && wanted.section.is_none() {
            // A board on hand that is narrower than all for sale is what a rip left of one, and none that is meant.
            let sold: BTreeSet<Length> = (boards.iter().copied())
                .filter(|&index| !self.batch.stock[index].on_hand)
                .filter_map(|index| self.width(index))
                .collect();
            let meant = sold.first().copied().filter(|_| sold.len() == 1);
            if meant.is_some() && meant == widths.last().copied() {
                let whole = |&index: &usize| self.width(index).is_none_or(|width| Some(width) == meant);
                return Ok(boards.into_iter().filter(whole).collect());
            }
            return Err(Refusal {
                field: "width",
                kind: ProblemKind::Ambiguous,
                message: "the part does not say how wide it is, and the boards have more than one width"
                    .into(),
                hint: format!(
                    "fill in `width` or `section`; the boards are {} wide",
                    list(widths.iter().map(|&w| self.show(w)))
                ),
            });
        }
        Ok(boards)
    }
}

/// Boards that leave their width open are as wide as their parts, where all parts of them have one width.
pub fn infer_widths(
    cuts: &[CutSize],
    narrowed: &Narrowed,
    stock: &mut [Option<UsableStock>],
    batch: &Batch,
    found: &mut Findings,
) {
    let open = |usable: &Option<UsableStock>| {
        usable.as_ref().is_some_and(|usable| usable.board && usable.size[1].is_zero())
    };
    let mut widths: BTreeMap<usize, BTreeSet<Length>> = BTreeMap::new();
    for (row, candidates) in narrowed.each() {
        let Some(width) = cuts[row].width.filter(|_| cuts[row].sure[1]) else { continue };
        for &index in candidates.iter().filter(|&&index| open(&stock[index])) {
            let widths = widths.entry(index).or_default();
            if widths.len() < 6 {
                widths.insert(width);
            }
        }
    }
    for (index, widths) in widths {
        let show = |&width: &Length| batch.shop.style.exact(width);
        match (widths.len(), &mut stock[index]) {
            (1, Some(usable)) => usable.size[1] = widths.first().copied().unwrap_or_default(),
            _ => {
                found
                    .add(
                        stock_place(index, "width"),
                        ProblemKind::Ambiguous,
                        "the stock does not say how wide it is, and its parts have more than one width",
                    )
                    .hint(format!("fill it in; parts ask for {}", list(widths.iter().map(show))));
                stock[index] = None;
            }
        }
    }
}

/// `a, b and c`, cut short after five.
fn list(words: impl Iterator<Item = String>) -> String {
    let mut words: Vec<String> = words.take(6).collect();
    if words.len() == 6 {
        words[5] = "more".into();
    }
    match words.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => words.concat(),
    }
}
