//! What can the other end of a stream show? Decided once, for each stream by itself.

use std::io::{self, IsTerminal};

use crate::args::ColorArg;

/// What the streams are connected to, and what the environment says about colour.
#[derive(Clone, Copy, Debug)]
pub struct Terminal {
    /// Standard input is a terminal: somebody types.
    pub stdin: bool,
    /// Standard output is a terminal.
    pub stdout: bool,
    /// Standard error is a terminal.
    pub stderr: bool,
    /// `NO_COLOR` is set to something.
    pub no_color: bool,
    /// `CLICOLOR_FORCE` or `FORCE_COLOR` ask for colour.
    pub force_color: bool,
    /// `TERM` is `dumb`.
    pub dumb: bool,
    /// Columns of the terminal; 80 where there is none.
    pub columns: u16,
}

impl Default for Terminal {
    /// No terminal anywhere.
    fn default() -> Self {
        Self {
            stdin: false,
            stdout: false,
            stderr: false,
            no_color: false,
            force_color: false,
            dumb: false,
            columns: 80,
        }
    }
}

impl Terminal {
    /// Asks the system.
    pub fn detect() -> Self {
        let says = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty() && value != "0");
        Self {
            stdin: io::stdin().is_terminal(),
            stdout: io::stdout().is_terminal(),
            stderr: io::stderr().is_terminal(),
            // Any value but none counts, as no-color.org asks.
            no_color: std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty()),
            force_color: says("CLICOLOR_FORCE") || says("FORCE_COLOR"),
            dumb: std::env::var_os("TERM").is_some_and(|value| value == "dumb"),
            columns: terminal_size::terminal_size().map_or(80, |(width, _)| width.0),
        }
    }

    /// Whether to use colour on a stream: the flag, then the environment, then what the stream is.
    pub fn color(&self, when: ColorArg, is_terminal: bool) -> bool {
        match when {
            ColorArg::Always => true,
            ColorArg::Never => false,
            ColorArg::Auto if self.no_color => false,
            ColorArg::Auto => self.force_color || (is_terminal && !self.dumb),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_flag_beats_the_environment_and_the_environment_beats_the_stream() {
        let plain = Terminal::default();
        assert!(plain.color(ColorArg::Always, false));
        assert!(!plain.color(ColorArg::Never, true));
        assert!(plain.color(ColorArg::Auto, true));
        assert!(!plain.color(ColorArg::Auto, false));
        let quiet = Terminal { no_color: true, force_color: true, ..plain };
        assert!(!quiet.color(ColorArg::Auto, true));
        assert!(quiet.color(ColorArg::Always, true));
        assert!(Terminal { force_color: true, ..plain }.color(ColorArg::Auto, false));
        assert!(!Terminal { dumb: true, ..plain }.color(ColorArg::Auto, true));
    }
}
