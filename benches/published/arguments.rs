//! What is typed after `--`: which cases, and how long for each.

use super::Case;

/// The same for every bench over published instances.
pub struct Arguments {
    /// Sets by name; none where none are named.
    pub sets: Vec<String>,
    /// Seconds for a case.
    pub limit: f64,
    /// Each case in a line of its own too.
    pub each: bool,
    only: String,
    every: usize,
}

impl Arguments {
    /// Reads all words; those that begin with `--` and are none of ours go to `more`, with what gives their values, and are
    /// refused where that knows them neither.
    pub fn read(
        limit: f64,
        mut more: impl FnMut(&str, &mut dyn FnMut() -> Result<String, String>) -> Result<bool, String>,
    ) -> Result<Self, String> {
        let mut found = Self { sets: Vec::new(), limit, each: false, only: String::new(), every: 1 };
        let mut words = std::env::args().skip(1);
        while let Some(word) = words.next() {
            let mut value = || words.next().ok_or(format!("expected a value after {word}"));
            match word.as_str() {
                "--bench" => {}
                "--limit" => found.limit = number("--limit", &value()?)?,
                "--only" => found.only = value()?,
                "--every" => found.every = number("--every", &value()?)?,
                "--each" => found.each = true,
                flag if flag.starts_with("--") => {
                    if !more(flag, &mut value)? {
                        return Err(format!("this bench does not know {flag}"));
                    }
                }
                set => found.sets.push(set.to_owned()),
            }
        }
        Ok(found)
    }

    /// The cases of a set that are wanted.
    pub fn wanted(&self, cases: Vec<Case>) -> impl Iterator<Item = Case> {
        cases.into_iter().filter(|case| case.name.contains(&self.only)).step_by(self.every.max(1))
    }
}

/// The value of a flag.
pub fn number<T: std::str::FromStr<Err: std::fmt::Display>>(flag: &str, text: &str) -> Result<T, String> {
    text.parse().map_err(|e| format!("{flag}: {e}"))
}
