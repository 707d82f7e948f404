//! Typed text to library objects: flags to settings of the solver, of the shop and of the files.

use std::num::NonZeroU32;
use std::str::FromStr;
use std::time::Duration;

use clap::ValueEnum;
use nest_core::model::nearest;
use nest_core::search::{Effort, Options};
use nest_core::units::{LengthStyle, System, Unit};

use crate::args::{CheckArgs, EffortArg, PaperArgs, PlanArgs, ShopArgs};
use crate::diagnose::{Desk, Failure};
use crate::input::json::MOST_SPARE;
use crate::input::{Files, Overrides};
use crate::papers::{LabelSettings, Paper, PaperSettings, parse_grid};

/// Settings of the solver; problems go on the desk, all at once.
///
/// With a time limit and no effort the search goes on until the limit, or until nothing more can be gained: whoever
/// gives a time wants it used.
pub fn solver(args: &PlanArgs, desk: &mut Desk) -> Option<Options> {
    let mut told = |failure| desk.fail(failure);
    let time_limit = args.time_limit.as_deref().map(time_limit).transpose().map_err(&mut told);
    let effort = args.effort.as_deref().map(effort).transpose().map_err(&mut told);
    let seed = number(&args.seed, "--seed", "0 or more").map_err(&mut told);
    let threads = args.threads.as_deref().map(|text| number(text, "--threads", "1 or more"));
    let threads = threads.transpose().map_err(&mut told);
    let (Ok(time_limit), Ok(effort), Ok(seed), Ok(threads)) = (time_limit, effort, seed, threads) else {
        return None;
    };
    let effort = match (effort, time_limit) {
        (Some(EffortArg::None), _) => Effort::None,
        (Some(EffortArg::Quick), _) => Effort::Quick,
        (Some(EffortArg::Normal), _) | (None, None) => Effort::Normal,
        (Some(EffortArg::Deep), _) | (None, Some(_)) => Effort::Deep,
    };
    Some(Options { effort, time_limit, seed, threads })
}

fn effort(text: &str) -> Result<EffortArg, Failure> {
    EffortArg::from_str(text, false).map_err(|_| {
        let words: Vec<String> = EffortArg::value_variants()
            .iter()
            .filter_map(|word| Some(word.to_possible_value()?.get_name().to_owned()))
            .collect();
        let failure = Failure::new(format!("expected an effort for --effort, but found `{text}`"));
        match nearest(text, words.iter().map(String::as_str)) {
            Some(near) => failure.hint(format!("did you mean `{near}`?")),
            None => failure.hint(format!("efforts are {}", words.join(", "))),
        }
    })
}

/// A number that counts something.
fn number<N: FromStr>(text: &str, flag: &str, range: &str) -> Result<N, Failure> {
    text.trim().parse().map_err(|_| {
        Failure::new(format!("expected a whole number, {range}, for {flag}, but found `{text}`"))
    })
}

/// The files of a question.
pub fn files(args: &PlanArgs) -> Files {
    Files {
        parts: args.parts.clone(),
        stock: args.stock.clone(),
        rack: args.rack.clone(),
        shop: args.shop.shop.clone(),
    }
}

/// The files of a question that a plan is compared with. Where one list of parts stands behind the flag and others follow it,
/// as of `--parts *.csv`, that one is the first.
pub fn files_to_compare(args: &CheckArgs) -> Files {
    Files {
        parts: [&*args.parts, &*args.lists].concat(),
        stock: args.stock.clone(),
        rack: args.rack.clone(),
        shop: args.shop.shop.clone(),
    }
}

/// Flags that override the shop file. One kerf and one edge trim serve boards and sheets alike.
pub fn overrides(args: &ShopArgs) -> Overrides {
    let flags = [
        ("--units", &args.units, &["units"][..]),
        ("--kerf", &args.kerf, &["boards.kerf", "sheets.kerf"]),
        ("--trim", &args.trim, &["boards.trim", "sheets.trim"]),
        ("--stages", &args.stages, &["sheets.stages"]),
    ];
    let mut overrides = Vec::new();
    for (flag, value, keys) in flags {
        if let Some(value) = value {
            overrides.push((flag, keys, value.clone()));
        }
    }
    Overrides(overrides)
}

/// Spare boards in tenths of a percent.
///
/// # Errors
/// What is no percentage from 0 to 100.
pub fn spare(text: &str) -> Result<u32, Failure> {
    let number = text.trim().trim_end_matches('%').trim_end();
    let (whole, tenth) = number.split_once(['.', ',']).unwrap_or((number, "0"));
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let per_mille = match (digits(whole), digits(tenth) && tenth.len() == 1) {
        (true, true) => whole
            .parse::<u32>()
            .ok()
            .and_then(|whole| whole.checked_mul(10)?.checked_add(tenth.parse().ok()?)),
        _ => None,
    };
    per_mille.filter(|spare| *spare <= MOST_SPARE).ok_or_else(|| {
        Failure::new(format!("expected a percentage from 0 to 100 for --spare, but found `{text}`"))
            .hint("write --spare 10%")
    })
}

/// Lays flags over what the shop wants on its papers, and looks whether its labels fit their page, if anybody knows what
/// the shop says, and its `system`. Problems go on the desk: a paper or a grid that is none, and labels that do not fit.
/// Returns the first label that is free.
pub fn papers(
    args: &PaperArgs,
    system: Option<System>,
    papers: &mut PaperSettings,
    desk: &mut Desk,
) -> NonZeroU32 {
    let before = desk.errors();
    let mut flag = |name: &str, message: String| desk.fail(Failure::new(format!("{message} ({name})")));
    let usual = system.map(Paper::usual);
    // The grid that the shop means is that of its own paper.
    let meant = papers.paper.or(usual).map(|paper| papers.labels.grid_on(paper));
    if let Some(paper) = &args.paper {
        papers.paper = paper.parse().map_err(|message| flag("--paper", message)).ok();
    }
    let paper = papers.paper.or(usual);
    if let Some(grid) = &args.labels {
        let grid = parse_grid(grid).map_err(|message| flag("--labels", message)).ok();
        // Another grid is another sheet: what was said of the old one does not hold for it.
        if grid != meant {
            papers.labels = LabelSettings { code: papers.labels.code, ..LabelSettings::default() };
        }
        papers.labels.grid = grid;
    }
    papers.labels.code |= args.label_codes;
    let readable = desk.errors() == before;
    let start = args.label_start.as_deref().unwrap_or("1");
    let first = number(start, "--label-start", "1 or more").unwrap_or_else(|failure| {
        desk.fail(failure);
        NonZeroU32::MIN
    });
    let (Some(system), Some(paper), true) = (system, paper, readable) else { return first };
    match papers.labels.on(paper, system) {
        Err(message) => {
            desk.fail(Failure::new(message).hint("change [labels] in the shop file, --labels or --paper"))
        }
        Ok(sheet) if first.get() > sheet.each() => desk.fail(Failure::new(format!(
            "expected the number of a label from 1 to {}, but found {first} (--label-start)",
            sheet.each()
        ))),
        Ok(_) => {}
    }
    first
}

/// How lengths are to be printed: a unit, or a style such as `1/32 in`.
///
/// # Errors
/// What is neither.
pub fn style(text: &str) -> Result<LengthStyle, Failure> {
    let unit = text.parse::<Unit>().map(LengthStyle::of);
    unit.or_else(|_| text.parse::<LengthStyle>()).map_err(|error| {
        Failure::new(format!("{error} (--units)")).hint("write --units mm, cm, m, in, ft, or \"1/32 in\"")
    })
}

/// `10s`, `1.5 min`, `500ms`, `2h`; a bare number counts seconds.
///
/// # Errors
/// What is no time of more than nothing.
pub fn time_limit(text: &str) -> Result<Duration, Failure> {
    let refused = || {
        Failure::new(format!("expected a time for --time-limit, but found `{text}`"))
            .hint("write --time-limit 10s, 500ms or 1.5m")
    };
    let trimmed = text.trim();
    let end = trimmed.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(trimmed.len());
    let (number, unit) = trimmed.split_at_checked(end).ok_or_else(refused)?;
    let millis: u64 = match unit.trim().to_lowercase().as_str() {
        "ms" => 1,
        "" | "s" | "sec" | "second" | "seconds" => 1000,
        "m" | "min" | "minute" | "minutes" => 60_000,
        "h" | "hour" | "hours" => 3_600_000,
        _ => return Err(refused()),
    };
    let (whole, part) = number.split_once('.').unwrap_or((number, ""));
    if part.contains('.') {
        return Err(refused());
    }
    let thousandths: u64 =
        format!("{part:0<3}").get(..3).and_then(|part| part.parse().ok()).ok_or_else(refused)?;
    let whole: u64 = if whole.is_empty() { 0 } else { whole.parse().map_err(|_| refused())? };
    let total = whole
        .checked_mul(millis)
        .and_then(|ms| ms.checked_add(thousandths * millis / 1000))
        .ok_or_else(refused)?;
    let empty = number.is_empty() || total == 0;
    if empty { Err(refused()) } else { Ok(Duration::from_millis(total)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_as_people_write_them() {
        let millis = |text| time_limit(text).ok().map(|time| time.as_millis());
        for (text, expected) in [
            ("10s", Some(10_000)),
            ("10", Some(10_000)),
            ("1.5 min", Some(90_000)),
            (".5s", Some(500)),
            ("500ms", Some(500)),
            ("2h", Some(7_200_000)),
            ("0s", None),
            ("", None),
            ("s", None),
            ("-1s", None),
            ("ten", None),
            ("1.2.3s", None),
            ("1.200.5s", None),
            ("1.2005s", Some(1_200)),
            ("1,5s", None),
            ("99999999999999999999h", None),
            ("10s10s", None),
        ] {
            assert_eq!(millis(text), expected, "{text}");
        }
    }

    #[test]
    fn spare_is_a_percentage() {
        let read = |text| spare(text).ok();
        assert_eq!(
            [read("10%"), read("10"), read("12.5 %"), read("0"), read("100%")],
            [Some(100), Some(100), Some(125), Some(0), Some(1000)]
        );
        assert_eq!([read("101"), read("-5"), read("ten"), read(""), read("%"), read("1.25")], [None; 6]);
    }
}
