//! The command line: what was typed becomes ready objects; one function a command.
//!
//! Exit codes: 0 done, 1 the job, the weather or the writing failed, 2 wrong usage, 3 an internal check failed.

mod job;
mod out;
mod run;
mod weather;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand, ValueEnum};

use crate::picture::Units;

/// Hour-by-hour annual simulation of solar water heating.
#[derive(Debug, Parser)]
#[command(name = "suncask", version, about, max_term_width = 100)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Run a job through its year: tables, pictures and a report.
    Run(run::Arguments),
    /// Read a job without running it, with rules of thumb beside it.
    Check(job::CheckArguments),
    /// Write a commented starter job.
    New(job::NewArguments),
    /// Look at a weather file, find the nearest one, or make a typical-like year.
    Weather(Box<weather::Arguments>),
    /// Print every column of the results with its unit and definition.
    Columns,
}

/// Units people read.
#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum ShownUnits {
    /// Fahrenheit and gallons.
    #[default]
    Us,
    /// Celsius and liters.
    Si,
}

impl From<ShownUnits> for Units {
    fn from(units: ShownUnits) -> Self {
        match units {
            ShownUnits::Us => Units::Us,
            ShownUnits::Si => Units::Si,
        }
    }
}

/// Why a command ended early; its message has been or will be printed once.
#[derive(Debug)]
enum Failure {
    /// The job, the weather or the writing.
    Input(String),
    /// A check of the program on itself.
    Internal(String),
    /// What was typed.
    Usage(String),
}

impl Failure {
    fn of(error: impl std::fmt::Display) -> Self {
        Self::Input(error.to_string())
    }
}

/// Name of a file's folder or job for new files beside it.
fn beside(path: &std::path::Path, name: &str) -> PathBuf {
    path.parent().map_or_else(|| PathBuf::from(name), |folder| folder.join(name))
}

/// Runs the command that was typed.
pub fn main() -> ExitCode {
    let done = match Arguments::parse().command {
        Command::Run(arguments) => run::run(&arguments),
        Command::Check(arguments) => job::check(&arguments),
        Command::New(arguments) => job::new(&arguments),
        Command::Weather(arguments) => weather::weather(&arguments),
        Command::Columns => out::print(&crate::report::columns_text()),
    };
    let (message, code) = match done {
        Ok(()) => return ExitCode::SUCCESS,
        Err(Failure::Input(message)) => (message, 1),
        Err(Failure::Usage(message)) => (message, 2),
        Err(Failure::Internal(message)) => (message, 3),
    };
    out::complain(&message);
    ExitCode::from(code)
}
