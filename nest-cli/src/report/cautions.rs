//! Where the work can hurt, and which pieces it is about.
//!
//! In our own words. What the rules rest on: guard, riving knife and push sticks 29 CFR 1910.213 and the OSHA guide
//! 3157; dust the NIOSH pocket guide (1 mg in a cubic metre of air over the day) and the IARC list for hardwood dust;
//! lifting the NIOSH equation (51 lb or 23 kg in the ideal case); anchoring 16 CFR part 1261 with ASTM F2057-23 for what
//! is sold, and the advice of consumer test bodies for what is built. Sizes below which a cut is called narrow or short are common practice.

use super::Source;
use super::labels::{Grain, grain};
use super::rounded::Rounded;
use super::words::{Words, ranges};
use crate::clean::{clean, isolated};
use crate::papers::{Limits, harmful_dust, weight};
use nest_core::plan::{Cut, Guide, Way};
use nest_core::units::{Length, System};
use std::collections::{BTreeMap, BTreeSet};

/// One caution.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caution {
    /// What it is about, in two or three words.
    pub title: &'static str,
    /// What to do.
    pub text: String,
    /// The pieces or sheets it is about; empty where it is about all.
    pub about: Vec<About>,
}

/// A piece or a sheet that a caution is about. In three texts, because a name may run the other way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct About {
    /// `no. 7` of a part; empty for what has no number.
    pub number: String,
    /// Its name.
    pub name: String,
    /// Size or weight, as far as it matters here.
    pub detail: String,
}

impl About {
    /// All of it in a line of its own.
    pub fn text(&self) -> String {
        let name = isolated(&self.name);
        let texts = [&self.number, &name, &self.detail].map(String::as_str);
        texts.into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>().join(" ")
    }
}

/// All cautions, those that name something first, the general ones last; none where nothing is cut.
pub(super) fn cautions(source: &Source<'_>, rounded: Option<&Rounded>, words: &Words) -> Vec<Caution> {
    if source.solution.plan.layouts.is_empty() {
        return Vec::new();
    }
    let mut found = Vec::new();
    found.extend(narrow(source, words));
    found.extend(short(source, words));
    found.extend(short_rips(source, words));
    found.extend(heavy(source, words));
    found.extend(transport(source, words));
    found.extend(tall(source, words));
    found.extend(edged(source));
    found.extend(as_large(source, words));
    found.extend(rounded.map(|rounded| Caution {
        title: "Rounded settings",
        text: format!("{}.", rounded.said),
        about: rounded.parts.clone(),
    }));
    found.extend(dust(source));
    found.push(Caution {
        title: "At the saw",
        text: "Keep guard and riving knife on for every cut that goes through, stand out of line with the blade, keep \
               hands well away from it, and support wide stock on both sides of the cut."
            .into(),
        about: Vec::new(),
    });
    found.push(Caution {
        title: "What comes first",
        text: "The manual of your saw, local codes and licensed trades come before these papers, which describe \
               sizes and an order of cuts and nothing else."
            .into(),
        about: Vec::new(),
    });
    found
}

/// Parts that some layout holds in such a place, in the order of the list, with a word on each.
fn parts(
    source: &Source<'_>,
    words: &Words,
    side: usize,
    applies: impl Fn([Length; 2], [Length; 2]) -> bool,
) -> Vec<About> {
    let batch = source.batch;
    let mut found: BTreeMap<usize, Length> = BTreeMap::new();
    for layout in &source.solution.plan.layouts {
        let whole = batch.stock()[layout.stock].size;
        for piece in layout.pieces.iter().filter(|piece| applies(piece.size, whole)) {
            let least = found.entry(piece.part).or_insert(piece.size[side]);
            *least = (*least).min(piece.size[side]);
        }
    }
    let say = |(part, size): (usize, Length)| About {
        number: format!("no. {}", part + 1),
        name: clean(&batch.batch().parts[part].name),
        detail: format!("({})", words.length(size)),
    };
    found.into_iter().map(say).collect()
}

fn narrow(source: &Source<'_>, words: &Words) -> Option<Caution> {
    let limit = source.papers.limits.narrow(words.system());
    // As wide as its stock means that nothing is ripped.
    let about = parts(source, words, 1, |size, whole| {
        size[1] < limit && size[1] != whole[1] && size[1].is_positive()
    });
    (!about.is_empty()).then(|| Caution {
        title: "Narrow strips",
        text: format!(
            "Ripped narrower than {}: use a push block and a push stick at least {} long, never a hand; or rip the \
             strip off the far side of a wide piece.",
            words.kerf(limit),
            match words.system() {
                System::Inch => "12 in",
                System::Metric => "300 mm",
            }
        ),
        about,
    })
}

fn short(source: &Source<'_>, words: &Words) -> Option<Caution> {
    let limit = source.papers.limits.short(words.system());
    let about = parts(source, words, 0, |size, _| size[0] < limit);
    (!about.is_empty()).then(|| Caution {
        title: "Short pieces",
        text: format!(
            "Cut off shorter than {}: hold them in a jig or with a clamp, use a stop that the piece cannot jam \
             against, and let the blade stand still before reaching for them.",
            words.kerf(limit)
        ),
        about,
    })
}

/// Rips of sheets along a short edge. Of boards none is shorter than `shortest_rip`.
fn short_rips(source: &Source<'_>, words: &Words) -> Option<Caution> {
    let limit = source.papers.limits.rip(words.system());
    let applies = |cut: &Cut<'_>| cut.way == Way::Rip && cut.guide != Guide::Line && cut.size[0] < limit;
    let mut about = Vec::new();
    for (index, layout) in source.solution.plan.layouts.iter().enumerate() {
        let stock = &source.batch.stock()[layout.stock];
        let cuts = layout.cuts(stock).enumerate().filter(|(_, cut)| !stock.board && applies(cut));
        let numbers: Vec<usize> = cuts.map(|(at, _)| at + 1).collect();
        if !numbers.is_empty() {
            let cuts = if numbers.len() == 1 { "cut" } else { "cuts" };
            let name = format!("layout {}", index + 1);
            let detail = format!("({cuts} {})", ranges(&numbers));
            about.push(About { number: String::new(), name, detail });
        }
    }
    (!about.is_empty()).then(|| Caution {
        title: "Short rips",
        text: format!(
            "Less than {} lies along the fence, where a piece turns and is thrown back: use a sled, a mitre gauge or a \
             guided saw, never a bare hand.",
            words.kerf(limit)
        ),
        about,
    })
}

fn heavy(source: &Source<'_>, words: &Words) -> Option<Caution> {
    let batch = source.batch;
    let limits = &source.papers.limits;
    let limit = limits.lift(words.system());
    let used: BTreeSet<usize> = source.solution.plan.layouts.iter().map(|layout| layout.stock).collect();
    let mut unknown = false;
    let mut about = Vec::new();
    for index in used {
        let (stock, asked) = (&batch.stock()[index], &batch.batch().stock[index]);
        let (false, Some(thickness)) = (stock.board, stock.thickness) else { continue };
        let density = limits.density(&asked.material);
        // Of what nobody knows, only what may be too heavy is named, and no weight is given.
        let most = weight([stock.size[0], stock.size[1], thickness], density.unwrap_or(Limits::heaviest()));
        if most <= limit {
            continue;
        }
        unknown |= density.is_none();
        let said =
            density.map_or("weight not known".to_string(), |_| format!("about {}", words.weight(most)));
        let (name, size) = (super::names::of_stock(asked), words.stock(stock, asked));
        let size = if name.contains(&size) { String::new() } else { format!("{size}, ") };
        about.push(About { number: String::new(), name, detail: format!("({size}{said})") });
    }
    let unknown = if unknown {
        " Where the weight is not known, weigh one first; [weight] in the shop file tells nest."
    } else {
        ""
    };
    (!about.is_empty()).then(|| Caution {
        title: "Heavy sheets",
        text: format!(
            "Heavier than {}, which is what one person should lift at the most: take a second person, a carrier or a \
             cart, and break the sheet down first where the saw is small.{unknown}",
            words.weight(limit)
        ),
        about,
    })
}

/// What is bought and does not go into the vehicle.
fn transport(source: &Source<'_>, words: &Words) -> Option<Caution> {
    let batch = source.batch;
    let vehicle = batch.batch().shop.vehicle.as_ref()?;
    let used: BTreeSet<usize> = source.solution.plan.layouts.iter().map(|layout| layout.stock).collect();
    let mut about = Vec::new();
    for index in used {
        let (stock, asked) = (&batch.stock()[index], &batch.batch().stock[index]);
        let [long, wide] = [stock.size[0].max(stock.size[1]), stock.size[0].min(stock.size[1])];
        let fits = long <= vehicle.length && vehicle.width.is_none_or(|most| wide <= most);
        if stock.on_hand || fits {
            continue;
        }
        let (name, size) = (super::names::of_stock(asked), words.stock(stock, asked));
        let detail = if name.contains(&size) { String::new() } else { format!("({size})") };
        about.push(About { number: String::new(), name, detail });
    }
    let width = vehicle.width.map_or(String::new(), |width| format!(" x {}", words.kerf(width)));
    (!about.is_empty()).then(|| Caution {
        title: "Too large for the vehicle",
        text: format!(
            "Larger than the {}{width} that the shop file says the vehicle takes: have it delivered or carry it on \
             another; what is cut at the yard to fit is no longer what this plan counts on.",
            words.kerf(vehicle.length)
        ),
        about,
    })
}

/// Owned pieces that are cut, each with its name.
fn owned(source: &Source<'_>, applies: impl Fn(usize, &str) -> Option<String>) -> Vec<About> {
    let batch = source.batch;
    let used: BTreeSet<usize> = source.solution.plan.layouts.iter().map(|layout| layout.stock).collect();
    let about = |index: usize| {
        let name = super::names::of_stock(&batch.batch().stock[index]);
        let detail = applies(index, &name).filter(|_| batch.stock()[index].on_hand)?;
        Some(About { number: String::new(), name, detail })
    };
    used.into_iter().filter_map(about).collect()
}

/// Owned pieces whose names say that a factory edge is still on, as nest names offcuts.
fn edged(source: &Source<'_>) -> Option<Caution> {
    let about = owned(source, |_, name| is_edged(name).then(String::new));
    (!about.is_empty()).then(|| Caution {
        title: "Factory edges still on",
        text: "A factory edge is still on these, and they are larger than listed by it: cut them to the listed size \
               first, that edge off; all settings count on it."
            .into(),
        about,
    })
}

/// Owned pieces as large as stock that is bought and loses its edges.
fn as_large(source: &Source<'_>, words: &Words) -> Option<Caution> {
    let batch = source.batch;
    let stock = batch.stock();
    let whole = |index: usize, name: &str| {
        let group = batch.groups().iter().find(|group| group.stock.contains(&index))?;
        let size = stock[index].size;
        // Whoever states the edge trim of one knows of its edges.
        if stock[index].usable() != size || batch.batch().stock[index].trim.is_some() {
            return None;
        }
        let trimmed = group.stock.iter().map(|&other| &stock[other]).any(|other| {
            !other.on_hand
                && other.usable() != other.size
                && other.board == stock[index].board
                && size == other.size
        });
        let size = words.stock(&stock[index], &batch.batch().stock[index]);
        let detail = if name.contains(&size) { String::new() } else { format!("({size})") };
        (trimmed && !is_edged(name)).then_some(detail)
    };
    let about = owned(source, whole);
    (!about.is_empty()).then(|| Caution {
        title: "Owned, as large as new",
        text: "What you own is counted as clean all round, without edge trim. If the factory edges are still on these, \
               write `yes` in the column `factory_edges` of their list, and plan again."
            .into(),
        about,
    })
}

fn is_edged(name: &str) -> bool {
    // A number behind it tells it from others of its name.
    let name = name.trim_end_matches(|c: char| c.is_ascii_digit() || " ()".contains(c));
    name.contains(", factory ") && name.ends_with(" on")
}

/// What is narrower than this is a rail or an apron, not the side of a unit: 6 in or 150 mm, common practice.
fn side(words: &Words) -> Length {
    match words.system() {
        System::Inch => Length::from_ticks(6 * Length::TICKS_PER_INCH),
        System::Metric => Length::mm(150),
    }
}

fn tall(source: &Source<'_>, words: &Words) -> Option<Caution> {
    let batch = source.batch;
    let limit = source.papers.limits.tall(words.system());
    // Each part that is made, with a stock that it comes from.
    let made: BTreeMap<usize, usize> = (source.solution.plan.layouts.iter())
        .flat_map(|layout| layout.pieces.iter().map(|piece| (piece.part, layout.stock)))
        .collect();
    // The dimension that stands upright: the grain does; without one it may be either.
    let upright = |part: usize, stock: usize| {
        let (of, entry) = (&batch.batch().parts[part], &batch.stock()[stock]);
        let (length, width) = (of.length, of.width.unwrap_or(entry.size[1]));
        let (high, deep) = match grain(of, batch.batch().stock[stock].grain, entry.board) {
            Grain::Length => (length, width),
            Grain::Width => (width, length),
            Grain::Free => (length.max(width), length.min(width)),
        };
        (high >= limit && deep >= side(words)).then_some(high)
    };
    let say = |(part, stock): (usize, usize)| {
        let detail = format!("({})", words.length(upright(part, stock)?));
        let name = clean(&batch.batch().parts[part].name);
        Some(About { number: format!("no. {}", part + 1), name, detail })
    };
    let about: Vec<About> = made.into_iter().filter_map(say).collect();
    (!about.is_empty()).then(|| Caution {
        title: "Perhaps tall units",
        text: format!(
            "Nest cannot see what is built; it goes by parts of {} or more. What stands upright with these can tip: \
             fasten it to the studs or the masonry of the wall before anything is put in, and keep children away until \
             then.",
            words.kerf(limit)
        ),
        about,
    })
}

fn dust(source: &Source<'_>) -> Option<Caution> {
    let batch = source.batch;
    let mut seen: BTreeMap<String, String> = BTreeMap::new();
    for layout in &source.solution.plan.layouts {
        let material = &batch.batch().stock[layout.stock].material;
        if harmful_dust(material) {
            seen.entry(nest_core::model::fold(material)).or_insert_with(|| clean(material));
        }
    }
    Some(Caution {
        title: "Dust",
        text: "Wood dust harms lungs and nose, and some kinds cause cancer: collect it at the machine, air the room, \
               and wear a respirator for sanding and for what is named here. Fine dust burns: keep sparks away."
            .into(),
        about: (seen.into_values())
            .map(|name| About { number: String::new(), name, detail: String::new() })
            .collect(),
    })
}
