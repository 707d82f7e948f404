//! plan.json as text: two spaces a level down to the rows of each list, each row then on one line.
//!
//! So a plan stays readable and comparable line by line without growing threefold. The bytes depend on nothing but
//! the plan.

use crate::plan_file::PlanFile;
use serde::Serialize;
use serde_json::ser::Formatter;
use std::io::{self, Write};

/// Levels of nesting that get lines of their own.
const OPEN: usize = 3;

/// plan.json.
pub fn render(plan: &PlanFile<'_>) -> Vec<u8> {
    let mut out = Vec::new();
    let mut writer = serde_json::Serializer::with_formatter(&mut out, Rows { depth: 0, empty: false });
    // Writing to memory cannot fail, and every key of the plan is text.
    let written = plan.serialize(&mut writer);
    debug_assert!(written.is_ok(), "{written:?}");
    out.push(b'\n');
    out
}

struct Rows {
    depth: usize,
    empty: bool,
}

impl Rows {
    fn begin(&mut self, out: &mut (impl Write + ?Sized), sign: &[u8]) -> io::Result<()> {
        self.depth += 1;
        self.empty = true;
        out.write_all(sign)
    }

    fn end(&mut self, out: &mut (impl Write + ?Sized), sign: &[u8]) -> io::Result<()> {
        let open = self.depth <= OPEN && !self.empty;
        self.depth -= 1;
        self.empty = false;
        if open {
            self.line(out)?;
        }
        out.write_all(sign)
    }

    fn entry(&mut self, out: &mut (impl Write + ?Sized), first: bool) -> io::Result<()> {
        self.empty = false;
        if !first {
            out.write_all(b",")?;
        }
        match self.depth <= OPEN {
            true => self.line(out),
            false if first => Ok(()),
            false => out.write_all(b" "),
        }
    }

    fn line(&self, out: &mut (impl Write + ?Sized)) -> io::Result<()> {
        out.write_all(b"\n")?;
        (0..self.depth).try_for_each(|_| out.write_all(b"  "))
    }
}

impl Formatter for Rows {
    fn begin_array<W: Write + ?Sized>(&mut self, out: &mut W) -> io::Result<()> {
        self.begin(out, b"[")
    }

    fn end_array<W: Write + ?Sized>(&mut self, out: &mut W) -> io::Result<()> {
        self.end(out, b"]")
    }

    fn begin_array_value<W: Write + ?Sized>(&mut self, out: &mut W, first: bool) -> io::Result<()> {
        self.entry(out, first)
    }

    fn begin_object<W: Write + ?Sized>(&mut self, out: &mut W) -> io::Result<()> {
        self.begin(out, b"{")
    }

    fn end_object<W: Write + ?Sized>(&mut self, out: &mut W) -> io::Result<()> {
        self.end(out, b"}")
    }

    fn begin_object_key<W: Write + ?Sized>(&mut self, out: &mut W, first: bool) -> io::Result<()> {
        self.entry(out, first)
    }

    fn begin_object_value<W: Write + ?Sized>(&mut self, out: &mut W) -> io::Result<()> {
        out.write_all(b": ")
    }
}
