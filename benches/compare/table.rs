//! The table: sums of sheets, and of how many cases that is proven to be the least.

/// Everybody's sheets in one case, and whether they are proven to be the fewest.
pub struct Line {
    pub packed: i64,
    /// Two stages; nothing where there is no solver.
    pub model: Option<(i64, bool)>,
    /// Ours in two stages.
    pub two: (i64, bool),
    /// Ours in any number of stages.
    pub any: (i64, bool),
    pub floor: i64,
    /// The published bound.
    pub bound: Option<i64>,
}

/// Sums of lines.
#[derive(Default)]
pub struct Sums {
    cases: i64,
    packed: i64,
    model: Sum,
    two: Sum,
    any: Sum,
    floor: i64,
    bound: Sum,
}

/// A sum over those cases that have a number, and how often something else is true of them.
#[derive(Default)]
struct Sum {
    cases: i64,
    sum: i64,
    proven: i64,
}

impl Sum {
    fn add(&mut self, (count, proven): (i64, bool)) {
        self.cases += 1;
        self.sum += count;
        self.proven += i64::from(proven);
    }

    /// The sum and how many are proven; no sum where it is of fewer cases than the others.
    fn cells(&self, cases: i64) -> [String; 2] {
        if self.cases < cases {
            return ["-".to_owned(), "-".to_owned()];
        }
        [self.sum.to_string(), self.proven.to_string()]
    }
}

impl Sums {
    /// Counts a case.
    pub fn add(&mut self, line: &Line) {
        self.cases += 1;
        self.packed += line.packed;
        self.floor += line.floor;
        self.two.add(line.two);
        self.any.add(line.any);
        if let Some(model) = line.model {
            self.model.add(model);
        }
        if let Some(bound) = line.bound {
            self.bound.add((bound, false));
        }
    }
}

/// What stands above the columns.
pub fn head() -> String {
    let two = format!(
        "{:18} {:>5} | {:>7} {:>7} {:>7} {:>7}",
        "set, or its class", "cases", "model", "proven", "ours 2", "proven"
    );
    format!("{two} | {:>7} {:>7} {:>7} {:>7} {:>7}", "packer", "ours", "proven", "floor", "bound")
}

/// The line of a set, a class or a case.
pub fn row(name: &str, sums: &Sums) -> String {
    let cases = sums.cases;
    let [model, modelled] = sums.model.cells(cases);
    let [two, in_two] = sums.two.cells(cases);
    let [any, in_any] = sums.any.cells(cases);
    let [bound, _] = sums.bound.cells(cases);
    let (packed, floor) = (sums.packed, sums.floor);
    format!(
        "{name:18} {cases:5} | {model:>7} {modelled:>7} {two:>7} {in_two:>7} | {packed:7} {any:>7} {in_any:>7} \
         {floor:7} {bound:>7}"
    )
}
