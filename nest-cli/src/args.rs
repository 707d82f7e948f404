//! The command line as typed text. Nothing is opened, read or decided here; `options` turns it into objects.

use std::ffi::{OsStr, OsString};
use std::path::PathBuf;

use clap::builder::{PossibleValue, StringValueParser, TypedValueParser};
use clap::{ArgGroup, Args, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;

const ABOUT: &str = "Turns a part list into a buying list, cutting diagrams and a cut order";

const EXAMPLES: &str = "\
Examples:
  nest new demo
  nest plan demo/parts.csv --stock demo/stock.csv --shop demo/shop.toml
  nest plan parts.csv --stock stock.csv --units in --kerf 1/8 -o plan
  nest check plan/plan.json";

const EXIT_CODES: &str = "\
Exit codes:
  0    all parts are made, or the plan is sound
  1    an honest no: parts are left over, or the plan was refused
  2    bad input, bad usage, or a file that cannot be read or written
  70   a fault of ours
  130  interrupted; the best plan so far was still written, or, at a second
       Ctrl-C, nothing";

/// The program.
#[derive(Clone, Debug, Parser)]
#[command(name = "nest", version, max_term_width = 80, about = ABOUT, after_help = EXAMPLES, after_long_help = format!("{EXAMPLES}\n\n{EXIT_CODES}"))]
#[command(subcommand_required = true, arg_required_else_help = true)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Clone, Debug, Subcommand)]
pub enum Command {
    /// Plan what to buy and how to cut it
    Plan(Box<PlanArgs>),
    /// Judge a plan, whoever made it
    Check(Box<CheckArgs>),
    /// Make all papers of a plan again, in other units if you like
    Draw(Box<DrawArgs>),
    /// Write sample files to start from
    New(NewArgs),
    /// Print a completion script for a shell
    Completions(CompletionsArgs),
}

/// About, an example, then the rest: `-h` of a command fits a screen of 80 by 24.
const TEMPLATE: &str = "{about}\n\n{before-help}{usage-heading} {usage}\n\n{all-args}{after-help}\n";

const PLAN_EXAMPLE: &str = "Example: nest plan parts.csv --stock stock.csv --units in -o plan";

const PLAN_LONG: &str = "\
Examples:
  nest plan parts.csv --stock stock.csv --units in
  nest plan kitchen.csv hall.csv --stock stock.csv --shop shop.toml -o plan
  nest plan parts.csv --stock stock.csv --rack plan/offcuts.csv --units mm
  nest plan parts.csv --stock stock.csv --time-limit 30s --json > plan.json
  nest plan parts.csv --stock stock.csv --after plan/plan.json --cut 1-3,5x2

Lists are CSV with a header, columns in any order, separated by , or ; or tabs.
Lines before the header that begin with # are comments.
  parts  needed: part, material, length
         else: section, thickness, width, qty (1), grain (length),
         length_edges (0), width_edges (0), band, match, match_way (along),
         fit (no), optional (no), oversize (0), job, note
  stock  needed: material, length
         else: name, form, section, thickness, called, width, price,
         per (each), qty (as many as wanted; of what is on hand 1),
         grain (length), on_hand (no),
         factory_edges (no; of what is on hand: they are still to be trimmed),
         ripped (no; of a board: narrower than its section, for rips alone),
         trim (edge trim of that stock: 0 for clean; one length, or near and
         far end of a board, as in 5; 10, and near and far edge of a sheet),
         note
Also read: name for part, quantity, count, pieces or pcs for qty, and a unit
behind the name of a length, as in Width (mm), for its bare numbers.

Exit codes:
  0    all parts are made
  1    parts are left over
  2    bad input, bad usage, or a file that cannot be read or written
  130  interrupted; the best plan so far was still written, or, at a second
       Ctrl-C, nothing
";

/// Plan what to buy and how to cut it.
#[derive(Clone, Debug, Args)]
#[command(help_template = TEMPLATE, before_help = PLAN_EXAMPLE, after_long_help = PLAN_LONG, after_help = "")]
pub struct PlanArgs {
    /// Lists of parts, each a job; `-` is standard input
    #[arg(required = true, value_name = "PARTS.csv")]
    pub parts: Vec<PathBuf>,
    /// List of what can be bought
    #[arg(long, required = true, value_name = "STOCK.csv")]
    pub stock: Vec<PathBuf>,
    /// List of what is on hand: offcuts.csv of a plan
    #[arg(long, value_name = "RACK.csv")]
    pub rack: Vec<PathBuf>,
    /// What every solving command understands.
    #[command(flatten)]
    pub shop: ShopArgs,
    /// Carry a job on: the plan that was followed so far
    #[arg(long, value_name = "PLAN.json")]
    pub after: Option<PathBuf>,
    /// Its layouts that are cut: 1-3,5; 5x2 is two boards of 5, 7:4 up to cut 4
    #[arg(long, value_name = "LIST", requires = "after", hide_short_help = true, allow_hyphen_values = true)]
    pub cut: Vec<String>,
    /// Its layouts whose boards are gone, nothing made of them; 7:4 after cut 4
    #[arg(long, value_name = "LIST", requires = "after", hide_short_help = true, allow_hyphen_values = true)]
    pub spoiled: Vec<String>,
    /// Write all papers into this folder
    #[arg(short, long, value_name = "DIR")]
    pub output: Option<PathBuf>,
    /// Replace the papers in a folder that exists
    #[arg(long, requires = "output", hide_short_help = true)]
    pub force: bool,
    /// How the papers look.
    #[command(flatten)]
    pub papers: PaperArgs,
    /// Spare boards to buy, no spare sheets [default: 0%]
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub spare: Option<String>,
    /// none, quick, normal or deep [default: normal]
    #[arg(
        long,
        value_name = "EFFORT",
        value_parser = EffortWords,
        hide_possible_values = true,
        long_help = "How hard to look:\n  none    the first plan that works\n  quick   a tenth of normal\n  normal  \
                     a few seconds at most (default)\n  deep    as long as anything may be gained (default with \
                     --time-limit)"
    )]
    pub effort: Option<String>,
    /// Stop with the best plan so far: 10s, 2m
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    pub time_limit: Option<String>,
    /// Seed of everything drawn at random
    #[arg(
        long,
        value_name = "NUMBER",
        default_value = "0",
        hide_short_help = true,
        allow_hyphen_values = true
    )]
    pub seed: String,
    /// Threads to use [default: one for each core]; the plan does not depend on it
    #[arg(long, value_name = "NUMBER", hide_short_help = true, allow_hyphen_values = true)]
    pub threads: Option<String>,
    /// Print plan.json instead of the summary
    #[arg(long)]
    pub json: bool,
    /// How much is said.
    #[command(flatten)]
    pub talk: TalkArgs,
}

/// The shop: a file, and flags that override it.
#[derive(Clone, Debug, Default, Args)]
pub struct ShopArgs {
    /// Units, saws, edge bands; flags override it
    #[arg(long, value_name = "SHOP.toml")]
    pub shop: Option<PathBuf>,
    /// What bare numbers mean: in, ft, mm, cm or m
    ///
    /// The papers are in these units as well, unless the shop file says otherwise; `nest draw --units` prints them in others.
    #[arg(long, value_name = "UNIT")]
    pub units: Option<String>,
    /// Width of the cut [default: 1/8 in or 3.2 mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub kerf: Option<String>,
    /// Cut off factory edges, kerf included [default: 0]
    ///
    /// Stock that has a `trim` of its own in its list keeps that.
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub trim: Option<String>,
    /// How often cuts of a sheet may change direction: 2, 3, ... or any [default: 3]
    #[arg(long, value_name = "NUMBER", hide_short_help = true, allow_negative_numbers = true)]
    pub stages: Option<String>,
}

/// How the papers look; the shop file says the same for good.
#[derive(Clone, Debug, Default, Args)]
pub struct PaperArgs {
    /// Print on letter or a4 [default: letter for inches, else a4]
    #[arg(long, value_name = "PAPER", hide_short_help = true)]
    pub paper: Option<String>,
    /// Columns and rows of labels on a page [default: 2x5 on letter, 2x7 on a4]
    #[arg(long, value_name = "GRID", hide_short_help = true)]
    pub labels: Option<String>,
    /// First free label on a page that was used before [default: 1]
    #[arg(long, value_name = "NUMBER", hide_short_help = true, allow_hyphen_values = true)]
    pub label_start: Option<String>,
    /// Print a QR code with the piece's numbers on each label
    #[arg(long, hide_short_help = true)]
    pub label_codes: bool,
}

/// How much is said, and how.
#[derive(Clone, Debug, Default, Args)]
pub struct TalkArgs {
    /// Say one line, and errors
    #[arg(short, long, conflicts_with = "verbose")]
    pub quiet: bool,
    /// Say more: settings in force, and how the search went
    #[arg(short, long, hide_short_help = true)]
    pub verbose: bool,
    /// Colour: auto, always or never; auto respects NO_COLOR
    #[arg(
        long,
        value_name = "WHEN",
        default_value = "auto",
        hide_short_help = true,
        hide_possible_values = true
    )]
    pub color: ColorArg,
}

const CHECK_EXAMPLE: &str = "Example: nest check plan/plan.json parts.csv --stock stock.csv";

/// Made by itself, that of an error would have the lists first, but the first name is the plan.
const CHECK_USAGE: &str = "nest check [OPTIONS] <PLAN.json> [PARTS.csv]...";

const CHECK_LONG: &str = "\
Everything is counted again from the plan alone: sizes, kerfs, edge trim, grain,
demand, supply, cost, and the proof of the least possible cost. With the lists
that `nest plan` was given, and those of its flags that are listed above, the
question inside the plan is compared with them as well; of a plan that carries a
job on, with what was made before it off the lists of the whole job. That it was
made is taken on the plan's word.

Exit codes: 0 the plan is sound, 1 it was refused, 2 it cannot be read.";

/// Judge a plan, whoever made it.
#[derive(Clone, Debug, Args)]
#[command(override_usage = CHECK_USAGE)]
#[command(help_template = TEMPLATE, before_help = CHECK_EXAMPLE, after_long_help = CHECK_LONG, after_help = "")]
#[command(group = ArgGroup::new("asked").multiple(true))]
pub struct CheckArgs {
    /// The plan; `-` reads standard input
    #[arg(value_name = "PLAN.json")]
    pub plan: PathBuf,
    /// Lists of parts that the plan must answer, all that were planned
    #[arg(value_name = "PARTS.csv", requires = "stock", group = "asked")]
    pub lists: Vec<PathBuf>,
    /// The same, behind a flag; further lists may follow
    #[arg(long, value_name = "PARTS.csv", requires = "stock", group = "asked")]
    pub parts: Vec<PathBuf>,
    /// Lists of stock that the plan must use
    #[arg(long, value_name = "STOCK.csv", requires = "asked")]
    pub stock: Vec<PathBuf>,
    /// Lists of what is on hand
    #[arg(long, value_name = "RACK.csv", requires = "asked")]
    pub rack: Vec<PathBuf>,
    /// The shop.
    #[command(flatten)]
    pub shop: ShopArgs,
    /// Write the verdict as JSON
    #[arg(long)]
    pub json: bool,
    /// How much is said.
    #[command(flatten)]
    pub talk: TalkArgs,
}

const DRAW_EXAMPLE: &str = "Example: nest draw plan/plan.json --units mm -o plan-in-mm";

const DRAW_LONG: &str = "\
The plan is checked first, like `nest check` does, and refused where it is unsound.
Nothing is planned anew: cuts, cost and proof stay as they are.

Exit codes: 0 the papers are written, 1 the plan was refused, 2 bad input or files.";

/// Make all papers of a plan again.
#[derive(Clone, Debug, Args)]
#[command(help_template = TEMPLATE, before_help = DRAW_EXAMPLE, after_long_help = DRAW_LONG, after_help = "")]
pub struct DrawArgs {
    /// The plan; `-` reads standard input
    #[arg(value_name = "PLAN.json")]
    pub plan: PathBuf,
    /// Write all papers into this folder
    #[arg(short, long, value_name = "DIR")]
    pub output: PathBuf,
    /// Replace the papers in a folder that exists
    #[arg(long)]
    pub force: bool,
    /// Print lengths in in, ft, mm, cm, m, or as "1/32 in" [default: as the plan]
    ///
    /// No length changes: what bare numbers in lists mean is for `nest plan --units`.
    #[arg(long, value_name = "UNIT")]
    pub units: Option<String>,
    /// How the papers look.
    #[command(flatten)]
    pub papers: PaperArgs,
    /// How much is said.
    #[command(flatten)]
    pub talk: TalkArgs,
}

/// Write sample files to start from.
#[derive(Clone, Debug, Args)]
#[command(after_help = "Example: nest new demo")]
pub struct NewArgs {
    /// Folder to make; it must not exist, or be empty
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// How much is said.
    #[command(flatten)]
    pub talk: TalkArgs,
}

/// Print a completion script for a shell.
#[derive(Clone, Debug, Args)]
#[command(after_help = "Example: nest completions bash > ~/.local/share/bash-completion/completions/nest")]
pub struct CompletionsArgs {
    /// Which shell
    pub shell: Shell,
}

/// Any text, but completed to how hard to look: a word that is none is told with all else that is wrong.
#[derive(Clone, Copy, Debug)]
struct EffortWords;

impl TypedValueParser for EffortWords {
    type Value = String;

    fn parse_ref(
        &self,
        command: &clap::Command,
        arg: Option<&clap::Arg>,
        value: &OsStr,
    ) -> Result<String, clap::Error> {
        StringValueParser::new().parse_ref(command, arg, value)
    }

    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        Some(Box::new(EffortArg::value_variants().iter().filter_map(EffortArg::to_possible_value)))
    }
}

/// How hard to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum EffortArg {
    /// The first plan that works
    None,
    /// A tenth of normal
    Quick,
    /// A few seconds at most
    Normal,
    /// As long as anything may be gained
    Deep,
}

/// When to use colour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum ColorArg {
    /// On a terminal that can show it
    #[default]
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

impl Cli {
    /// Reads a command line.
    ///
    /// # Errors
    /// What clap has to say, help and version included.
    pub fn read(args: impl IntoIterator<Item = OsString>) -> Result<Self, clap::Error> {
        Self::try_parse_from(args)
    }
}
