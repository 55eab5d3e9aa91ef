//! Printing: colour only on a terminal, a quiet end when the reader has gone.

use std::io::{ErrorKind, Write};

use super::Failure;
use crate::problem::{Problem, Severity};

/// Prints text and a line end; a closed pipe ends the program quietly.
pub(super) fn print(text: &str) -> Result<(), Failure> {
    let mut out = anstream::stdout().lock();
    let written = writeln!(out, "{}", text.trim_end()).and_then(|()| out.flush());
    match written {
        Err(error) if error.kind() == ErrorKind::BrokenPipe => std::process::exit(0),
        Err(error) => Err(Failure::Input(format!("cannot print: {error}"))),
        Ok(()) => Ok(()),
    }
}

/// Says what went wrong, on the error channel.
pub(super) fn complain(message: &str) {
    // Nobody is left to tell if this channel is closed too.
    let _ = writeln!(anstream::stderr().lock(), "{}", message.trim_end());
}

/// Problems as lines, errors first.
pub(super) fn lines(problems: &[Problem]) -> String {
    let mut sorted: Vec<&Problem> = problems.iter().collect();
    sorted.sort_by_key(|problem| std::cmp::Reverse(problem.severity));
    let word = |severity| match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    };
    let line = |problem: &&Problem| format!("{}: {problem}", word(problem.severity));
    sorted.iter().map(line).collect::<Vec<_>>().join("\n")
}
