//! What was wrong, where, and what to do about it: `error: ...`, file:line:column, the line, a caret, a hint.
//!
//! Everything that reads puts its problems on the [`Desk`], and goes on; the desk prints them sorted by place, what is wrong
//! alike in many rows of a column once. At most [`MOST_REPORTS`] are printed and the rest is counted. Every text is cleaned here, where it enters the display:
//! a name from a file must not act on the terminal. The printer is given one line, never a file: its time grows
//! with the text it is given.

use std::collections::BTreeMap;
use std::io::{self, Write};
use std::ops::Range;
use std::path::Path;
use std::rc::Rc;

use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};

use crate::clean::clean;
use crate::input::Source;
use crate::report::words::count;
use crate::warn::Warning;

/// Lines beyond this are named, but not shown.
const LONGEST_LINE: usize = 4096;

/// How many problems are printed.
pub const MOST_REPORTS: usize = 50;

/// A problem without a place in a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failure {
    /// What is wrong.
    pub message: String,
    /// What to do about it.
    pub hint: Option<String>,
}

impl Failure {
    /// A problem; `message` is lower case and has no full stop.
    pub fn new(message: impl Into<String>) -> Self {
        Self { message: message.into(), hint: None }
    }

    /// Adds what to do about it.
    pub fn hint(self, hint: impl Into<String>) -> Self {
        Self { hint: Some(hint.into()), ..self }
    }
}

/// The words of the system on why something could not be read or written, without its number.
pub fn plain(error: &io::Error) -> String {
    let text = error.to_string();
    let end = text.find(" (os error").unwrap_or(text.len());
    let mut chars = text[..end].chars();
    chars.next().map_or_else(String::new, |first| first.to_lowercase().chain(chars).collect())
}

/// Some bytes of a source.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spot {
    /// Which source of the desk.
    pub source: usize,
    /// Its bytes; empty ones are shown as the place between two characters.
    pub span: Range<usize>,
}

/// A problem in a text.
#[derive(Clone, Debug)]
pub struct Report {
    at: Option<Spot>,
    message: String,
    hint: Option<String>,
    /// The column of a list that it is about.
    column: Option<&'static str>,
}

impl Report {
    fn new(at: Option<Spot>, message: String) -> Self {
        Self { at, message, hint: None, column: None }
    }

    /// Says which column of a list it is about, so that several rows which say the same are told of once.
    pub fn column(&mut self, column: &'static str) -> &mut Self {
        self.column = Some(column);
        self
    }

    /// Adds what to do about it.
    pub fn hint(&mut self, hint: impl Into<String>) {
        self.hint = Some(hint.into());
    }
}

/// Where everything that was read lies, with all that is to be said about it.
#[derive(Debug, Default)]
pub struct Desk {
    sources: Vec<Rc<Source>>,
    errors: Vec<Report>,
    warnings: Vec<(Option<Spot>, Warning)>,
    silent: usize,
}

impl Desk {
    /// Keeps a source and tells its number.
    pub fn add(&mut self, source: Source) -> usize {
        self.sources.push(Rc::new(source));
        self.sources.len() - 1
    }

    /// A source that was kept.
    pub fn source(&self, index: usize) -> Rc<Source> {
        self.sources[index].clone()
    }

    /// Notes a problem.
    pub fn error(&mut self, at: impl Into<Option<Spot>>, message: impl Into<String>) -> &mut Report {
        self.errors.push(Report::new(at.into(), message.into()));
        let last = self.errors.len() - 1;
        &mut self.errors[last]
    }

    /// Notes a problem without a place.
    pub fn fail(&mut self, failure: Failure) {
        self.errors.push(Report { hint: failure.hint, ..Report::new(None, failure.message) });
    }

    /// Notes something odd.
    pub fn warn(&mut self, at: impl Into<Option<Spot>>, warning: Warning) {
        self.warnings.push((at.into(), warning));
    }

    /// Counts a problem that an earlier report stands for.
    pub fn count_silently(&mut self) {
        self.silent += 1;
    }

    /// How many problems there are, those included that an earlier report stands for.
    pub fn errors(&self) -> usize {
        self.errors.len() + self.silent
    }

    /// Forgets what is only of interest to those who ask for more.
    pub fn drop_remarks(&mut self) {
        self.warnings.retain(|(_, warning)| !warning.is_remark());
    }

    /// All that is odd, each as one line with its place: for the papers, which go to others, so that a file is named
    /// without the folders above it.
    pub fn warning_lines(&self) -> Vec<String> {
        let line = |(at, warning): &(Option<Spot>, Warning)| match at {
            Some(spot) => {
                let (line, column) = self.line_and_column(spot);
                let path = &self.sources[spot.source].name;
                let name = Path::new(path).file_name().map_or(path.into(), |name| name.to_string_lossy());
                format!("{name}:{line}:{column}: {warning}")
            }
            None => warning.to_string(),
        };
        self.warnings.iter().map(line).collect()
    }

    /// Prints all problems.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn print_errors(&mut self, color: bool, to: &mut dyn Write) -> io::Result<()> {
        // What has no place concerns the whole and comes first.
        self.errors.sort_by_key(|report| report.at.as_ref().map(|spot| (spot.source, spot.span.start)));
        // A flag that sets two things is wrong once.
        self.errors.dedup_by(|b, a| a.at.is_some() && a.at == b.at && a.message == b.message);
        let told = self.told();
        for (report, lines) in told.iter().take(MOST_REPORTS) {
            let message = format!("{}{}", report.message, also(lines));
            self.print(Level::ERROR, &Report { message, ..(*report).clone() }, color, to)?;
        }
        let rest = told.len().saturating_sub(MOST_REPORTS);
        if rest > 0 {
            let more = count(rest as u128, "further problem");
            let more = Report::new(None, format!("{more} of this kind or another"));
            self.print(Level::ERROR, &more, color, to)?;
        }
        Ok(())
    }

    /// All problems in their order; those that say the same of a column once, with the other lines that they are in.
    fn told(&self) -> Vec<(&Report, Vec<usize>)> {
        let mut first = BTreeMap::new();
        let mut told: Vec<(&Report, Vec<usize>)> = Vec::new();
        for report in &self.errors {
            if let (Some(spot), Some(column)) = (&report.at, report.column) {
                let line = |spot: &Spot| self.sources[spot.source].line(spot.span.start).0;
                let same = (spot.source, column, &report.message, &report.hint);
                if let Some(&at) = first.get(&same) {
                    let (of, lines): &mut (&Report, Vec<usize>) = &mut told[at];
                    let before = lines.last().copied().or(of.at.as_ref().map(line));
                    lines.extend(Some(line(spot)).filter(|line| before != Some(*line)));
                    continue;
                }
                first.insert(same, told.len());
            }
            told.push((report, Vec::new()));
        }
        told
    }

    /// Prints all that is odd, once.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn print_warnings(&self, color: bool, to: &mut dyn Write) -> io::Result<()> {
        for (at, warning) in self.warnings.iter().take(MOST_REPORTS) {
            let report = Report::new(at.clone(), warning.to_string());
            self.print(Level::WARNING, &report, color, to)?;
        }
        let rest = self.warnings.len().saturating_sub(MOST_REPORTS);
        if rest > 0 {
            writeln!(to, "warning: {}", count(rest as u128, "further warning"))?;
        }
        Ok(())
    }

    /// Prints all problems, and then, unless little is to be said, what may be their cause: a column that nobody knows may
    /// be the one that is missing.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn print_errors_and_causes(
        &mut self,
        quiet: bool,
        color: bool,
        to: &mut dyn Write,
    ) -> io::Result<()> {
        self.print_errors(color, to)?;
        if !quiet && self.errors.iter().any(|report| report.at.is_some()) {
            self.warnings.retain(|(_, warning)| warning.may_be_a_cause());
            self.print_warnings(color, to)?;
        }
        Ok(())
    }

    fn print(&self, level: Level<'_>, report: &Report, color: bool, to: &mut dyn Write) -> io::Result<()> {
        let renderer = if color { Renderer::styled() } else { Renderer::plain() };
        let title = level.primary_title(clean(&report.message));
        let hint = report.hint.as_ref().map(|hint| Level::HELP.with_name("hint").message(clean(hint)));
        let Some(spot) = &report.at else {
            writeln!(to, "{}", renderer.render(&[Group::with_title(title)]))?;
            return report.hint.iter().try_for_each(|hint| writeln!(to, "  = hint: {}", clean(hint)));
        };
        let source = &self.sources[spot.source];
        let (number, line) = source.line(spot.span.start);
        let text = source.text.get(line.clone()).unwrap_or("");
        // What goes on behind the line is cut off with it.
        let from = spot.span.start.clamp(line.start, line.end) - line.start;
        let to_end = spot.span.end.clamp(line.start + from, line.end) - line.start;
        if text.len() > LONGEST_LINE {
            let (line, column) = self.line_and_column(spot);
            let origin = Origin::path(clean(&source.name)).line(line).char_column(column);
            let group = Group::with_title(title).element(origin).elements(hint);
            return writeln!(to, "{}", renderer.render(&[group]));
        }
        let (text, span) = visible(text, from..to_end);
        let snippet = Snippet::source(text)
            .line_start(number)
            .path(clean(&source.name))
            .annotation(AnnotationKind::Primary.span(span));
        let group = title.element(snippet).elements(hint);
        writeln!(to, "{}", renderer.render(&[group]))
    }

    fn line_and_column(&self, spot: &Spot) -> (usize, usize) {
        let source = &self.sources[spot.source];
        let (number, line) = source.line(spot.span.start);
        let before = source.text.get(line.start..spot.span.start).unwrap_or("");
        (number, before.chars().count() + 1)
    }
}

/// ` (and in lines 3, 4 and 12 more)`.
pub fn also(lines: &[usize]) -> String {
    const NAMED: usize = 5;
    let named = |lines: &[usize]| lines.iter().map(usize::to_string).collect::<Vec<_>>().join(", ");
    match lines {
        [] => String::new(),
        [line] => format!(" (and in line {line})"),
        [start @ .., last] if lines.len() <= NAMED => format!(" (and in lines {} and {last})", named(start)),
        _ => format!(" (and in lines {} and {} more)", named(&lines[..NAMED]), lines.len() - NAMED),
    }
}

/// Replaces the control characters that the printer lets through, and moves the span along.
fn visible(line: &str, span: Range<usize>) -> (String, Range<usize>) {
    let mut text = String::with_capacity(line.len());
    let (mut start, mut end) = (None, None);
    for (at, c) in line.char_indices() {
        if at >= span.start {
            start.get_or_insert(text.len());
        }
        if at >= span.end {
            end.get_or_insert(text.len());
        }
        text.push(if ('\u{80}'..='\u{9f}').contains(&c) { '\u{fffd}' } else { c });
    }
    let all = text.len();
    (text, start.unwrap_or(all)..end.unwrap_or(all))
}

/// Prints one problem that has no place.
///
/// # Errors
/// Those of the writer.
pub fn print_failure(failure: &Failure, color: bool, to: &mut dyn Write) -> io::Result<()> {
    let mut desk = Desk::default();
    desk.fail(failure.clone());
    desk.print_errors(color, to)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn printed(desk: &mut Desk) -> String {
        let mut out = Vec::new();
        desk.print_errors(false, &mut out).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn a_report_shows_place_line_caret_and_hint() {
        let mut desk = Desk::default();
        let source = desk.add(Source::new("parts.csv", "part,length\nside,84x\n"));
        desk.error(Spot { source, span: 17..20 }, "expected a unit of length, but found `x`")
            .hint("units are in, mm");
        let expected = "\
error: expected a unit of length, but found `x`
 --> parts.csv:2:6
  |
2 | side,84x
  |      ^^^
  |
  = hint: units are in, mm
";
        assert_eq!(printed(&mut desk), expected);
    }

    #[test]
    fn reports_are_sorted_by_place_and_counted_after_fifty() {
        let mut desk = Desk::default();
        let text = "x\n".repeat(60);
        let source = desk.add(Source::new("parts.csv", text));
        for row in (0..60).rev() {
            desk.error(Spot { source, span: 2 * row..2 * row + 1 }, format!("row {row}"));
        }
        let text = printed(&mut desk);
        let rows: Vec<&str> = text.lines().filter_map(|line| line.strip_prefix("error: row ")).collect();
        let expected: Vec<String> = (0..50).map(|row| row.to_string()).collect();
        assert_eq!(rows, expected);
        assert!(text.ends_with("error: 10 further problems of this kind or another\n"), "{text}");
        for warning in (0..=MOST_REPORTS).map(|_| Warning::MoreLengths(1)) {
            desk.warn(None, warning);
        }
        let mut out = Vec::new();
        desk.print_warnings(false, &mut out).unwrap();
        let text = String::from_utf8(out).unwrap();
        assert!(text.starts_with("warning: 1 further length may not be what was meant\n"), "{text}");
        assert!(text.ends_with("\nwarning: 1 further warning\n"), "{text}");
    }

    #[test]
    fn lines_are_named_while_they_are_few() {
        assert_eq!(also(&[]), "");
        assert_eq!(also(&[3]), " (and in line 3)");
        assert_eq!(also(&[3, 4]), " (and in lines 3 and 4)");
        assert_eq!(also(&[3, 4, 5, 6, 9]), " (and in lines 3, 4, 5, 6 and 9)");
        assert_eq!(also(&[3, 4, 5, 6, 9, 11, 12]), " (and in lines 3, 4, 5, 6, 9 and 2 more)");
    }

    #[test]
    fn what_is_wrong_alike_in_a_column_is_told_once() {
        let mut desk = Desk::default();
        let source = desk.add(Source::new("parts.csv", "x,x\n".repeat(200)));
        for row in (0..200).rev() {
            desk.error(Spot { source, span: 4 * row..4 * row + 1 }, "no").column("length").hint("yes");
            desk.error(Spot { source, span: 4 * row + 2..4 * row + 3 }, "no").column("width").hint("yes");
        }
        desk.error(Spot { source, span: 4..6 }, "no").column("length").hint("other");
        desk.error(Spot { source, span: 4..4 }, "no").column("length").hint("yes");
        let text = printed(&mut desk);
        let titles: Vec<&str> = text.lines().filter(|line| line.starts_with("error: ")).collect();
        let many = "error: no (and in lines 2, 3, 4, 5, 6 and 194 more)";
        assert_eq!(titles, [many, many, "error: no"], "{text}");
        assert!(text.contains("parts.csv:1:1\n") && text.contains("parts.csv:1:3\n"), "{text}");
    }

    #[test]
    fn nothing_from_a_file_acts_on_the_terminal() {
        let hostile = "\x1b]52;c;x\x07\u{202e}\u{9b}31m";
        let mut desk = Desk::default();
        let source = desk.add(Source::new(hostile, format!("{hostile}\n{hostile}")));
        desk.error(Spot { source, span: 0..hostile.len() }, hostile).hint(hostile);
        desk.error(None, hostile).hint(hostile);
        let text = printed(&mut desk);
        let acts = |c: char| (c.is_control() && c != '\n') || ('\u{202a}'..='\u{202e}').contains(&c);
        assert!(!text.contains(acts), "{text:?}");
    }

    #[test]
    fn a_spot_beyond_its_line_ends_with_it() {
        let mut desk = Desk::default();
        let source = desk.add(Source::new("x", "a\n\"open\nstill"));
        desk.error(Spot { source, span: 2..13 }, "never closed");
        desk.error(Spot { source, span: 90..99 }, "beyond");
        let text = printed(&mut desk);
        assert!(text.contains(" --> x:2:1\n") && text.contains("2 | \"open\n  | ^^^^^\n"), "{text}");
        assert!(text.contains(" --> x:3:"), "{text}");
    }
}
