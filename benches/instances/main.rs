//! Published instances through the public API: how many best known values are reached and proven, how fast.
//!
//! `NEST_INSTANCES=FOLDER cargo bench --bench instances -- [SET...] [--limit SECONDS] [--only TEXT] [--every N] [--each]
//! [--turn] [--stages N]`; the last two are for sheets: parts may turn, and so many stages (the first cut along the sheet)
//! instead of any number.
//!
//! The files themselves are not part of the project; without them this says so and ends well.

mod classes;
#[path = "../published/mod.rs"]
mod published;

use classes::Classes;
use nest_core::solution::Status;
use published::arguments::{Arguments, number};
use published::{Case, boards, sheets};
use std::path::Path;
use std::time::Instant;

/// How it came out.
struct Outcome {
    cost: f64,
    floor: f64,
    proven: bool,
    seconds: f64,
    work: u64,
}

/// How the sheets of all cases are cut.
#[derive(Default)]
struct Cutting {
    turn: bool,
    stages: Option<u8>,
}

fn main() -> Result<(), String> {
    let mut cutting = Cutting::default();
    let mut arguments = Arguments::read(20.0, |flag, value| {
        match flag {
            "--turn" => cutting.turn = true,
            "--stages" => cutting.stages = Some(number(flag, &value()?)?),
            _ => return Ok(false),
        }
        Ok(true)
    })?;
    if arguments.sets.is_empty() {
        arguments.sets = boards::sets().chain(sheets::sets()).map(ToOwned::to_owned).collect();
    }
    let Some(root) = published::root() else { return Ok(()) };
    println!(
        "{:18} {:>5} {:>9} {:>7} {:>8} {:>8} {:>8} {:>8}",
        "set", "cases", "best", "proven", "bound", "floor", "mean s", "worst s"
    );
    for set in &arguments.sets {
        run(&root, set, &arguments, &cutting)?;
    }
    Ok(())
}

/// Solves a set and prints its line: cases, best known values reached of those known, cases proven, cost over the
/// published bounds and over our floors.
fn run(root: &Path, set: &str, arguments: &Arguments, cutting: &Cutting) -> Result<(), String> {
    let cases = match boards::cases(root, set) {
        Some(cases) => cases?,
        None => sheets::cases(root, set, cutting.turn, cutting.stages)?,
    };
    let mut total = Total::default();
    let mut classes = Classes::default();
    for case in arguments.wanted(cases) {
        let outcome = solve(&case, arguments.limit)?;
        if arguments.each {
            println!(
                "  {}: cost {} floor {} best {:?} bound {:?}{} {:.2} s, {} M work",
                case.name,
                outcome.cost,
                outcome.floor,
                case.best,
                case.bound,
                if outcome.proven { " proven" } else { "" },
                outcome.seconds,
                outcome.work / 1_000_000
            );
        }
        if let Some(best) = case.best.filter(|best| outcome.floor > best + 1e-9) {
            return Err(format!("{}: floor {} above the best known {best}", case.name, outcome.floor));
        }
        total.add(&case, &outcome);
        classes.add(&case, &outcome);
    }
    total.print(set);
    classes.print();
    Ok(())
}

fn solve(case: &Case, limit: f64) -> Result<Outcome, String> {
    #[expect(clippy::disallowed_methods, reason = "a bench measures time")]
    let start = Instant::now();
    let solution = published::solve(&case.name, &case.batch, limit)?;
    let seconds = start.elapsed().as_secs_f64();
    Ok(Outcome {
        cost: solution.cost as f64 / 100.0,
        floor: solution.floor as f64 / 100.0,
        proven: solution.status == Status::Proven,
        seconds,
        work: solution.groups.iter().map(|group| group.work).sum(),
    })
}

/// Sums over a set.
#[derive(Default)]
struct Total {
    cases: u32,
    known: u32,
    reached: u32,
    proven: u32,
    cost: f64,
    floor: f64,
    /// Cost and bound of those with a bound.
    bound: [f64; 2],
    seconds: f64,
    worst: f64,
}

impl Total {
    fn add(&mut self, case: &Case, outcome: &Outcome) {
        self.cases += 1;
        self.proven += u32::from(outcome.proven);
        self.cost += outcome.cost;
        self.floor += outcome.floor;
        self.seconds += outcome.seconds;
        self.worst = self.worst.max(outcome.seconds);
        if let Some(best) = case.best {
            self.known += 1;
            self.reached += u32::from(outcome.cost <= best + 1e-9);
        }
        if let Some(bound) = case.bound {
            self.bound = [self.bound[0] + outcome.cost, self.bound[1] + bound];
        }
    }

    fn print(&self, set: &str) {
        let bound = if self.bound[1] > 0.0 {
            format!("{:.5}", self.bound[0] / self.bound[1])
        } else {
            "-".to_owned()
        };
        println!(
            "{set:18} {:5} {:>9} {:7} {bound:>8} {:8.5} {:8.3} {:8.3}",
            self.cases,
            format!("{}/{}", self.reached, self.known),
            self.proven,
            self.cost / self.floor,
            self.seconds / f64::from(self.cases.max(1)),
            self.worst
        );
    }
}
