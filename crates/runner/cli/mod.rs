//! The command line: what was typed becomes ready objects; one file a command.
//!
//! Exit codes: 0 done, 1 the job, the weather or the writing failed, 2 wrong usage, 3 an internal check failed, 130
//! interrupted. Ctrl-C ends the program at once: every file appears whole or not at all, so nothing needs tidying up first. A
//! study ends the years that run and writes what it has.

mod check;
mod collectors;
mod compare;
mod input;
mod new;
mod out;
mod page;
mod progress;
mod run;
mod size;
mod study;
mod tune;
mod water_use;
mod weather;

use std::process::ExitCode;

use clap::{Parser, Subcommand, ValueEnum};

use crate::picture::Units;
use crate::problem::Problem;

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
    /// Size collectors and tank: whole collectors by stock tanks, where more of them brings little.
    ///
    /// The job's [stock] lists them with their costs; [size] may list tilts and azimuths to try the chosen size on.
    Size(size::Arguments),
    /// Read a job without running it, with rules of thumb beside it.
    Check(check::Arguments),
    /// Try other settings of a job's controller, thermostat and element hours, beside the usual suspects.
    ///
    /// [tune] in the job lists the steps to try: on_differences, off_differences, high_limits, flows, thermostats,
    /// element_hours; and what no proposal may break: thermostat_floor, tank_rating, liner_rating, coil_rating.
    Tune(tune::Arguments),
    /// Show the hot-water use of a job as tables and a picture, without running it.
    ///
    /// A job says its use as a day's water over the hours, as random draws, as a pattern fixed by law, as listed draws, or
    /// by a file of logged draws (`file = "draws.csv"`): one row a draw under a line of column names. Columns: time (or date
    /// and time, day and time, second), volume, duration, flow (any two, or the volume alone), temperature, for; units
    /// behind the names, as in "volume gal".
    Use(water_use::Arguments),
    /// Set plants for the same house side by side: what each saves, why they differ, and what flips the verdict.
    Compare(compare::Arguments),
    /// Open a page on this machine alone, to move sizes, habits, settings and prices and see the year at once.
    Page(page::Arguments),
    /// Write a commented starter job.
    New(new::Arguments),
    /// Look at a weather file, find the nearest one, or make a typical-like year.
    Weather(Box<weather::Arguments>),
    /// Print every column of the results with its unit and definition.
    Columns,
}

/// Units people read. Energy is in kWh in both, as on the electric bill.
#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum ShownUnits {
    /// Fahrenheit, gallons, feet.
    #[default]
    Us,
    /// Celsius, liters, meters.
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

/// Why a command ended early: the text to show and the exit code.
#[derive(Debug)]
struct Failure {
    text: String,
    code: u8,
}

/// Code of a program that failed its own check.
const INTERNAL: u8 = 3;

impl Failure {
    /// The job, the weather or the writing.
    fn input(message: impl std::fmt::Display) -> Self {
        Self { text: format!("error: {message}"), code: 1 }
    }

    /// What was typed.
    fn usage(message: impl std::fmt::Display) -> Self {
        Self { text: format!("error: {message}"), code: 2 }
    }

    /// A check of the program on itself.
    fn internal(problems: &[Problem]) -> Self {
        Self { text: out::lines(problems), code: INTERNAL }
    }
}

impl From<Vec<Problem>> for Failure {
    fn from(problems: Vec<Problem>) -> Self {
        Self { text: out::lines(&problems), code: 1 }
    }
}

/// Runs the command that was typed.
pub fn main() -> ExitCode {
    let arguments = Arguments::parse();
    std::panic::set_hook(Box::new(|panic| {
        out::complain(&format!(
            "error: suncask met a fault of its own and stopped ({panic})\nhelp: please report it with the job file and \
             the weather file"
        ));
    }));
    match std::panic::catch_unwind(|| run(&arguments.command)) {
        Ok(Ok(())) => ExitCode::SUCCESS,
        Ok(Err(failure)) => {
            out::complain(&failure.text);
            ExitCode::from(failure.code)
        }
        // The hook has told it.
        Err(_) => ExitCode::from(INTERNAL),
    }
}

fn run(command: &Command) -> Result<(), Failure> {
    match command {
        Command::Run(arguments) => run::run(arguments),
        Command::Size(arguments) => size::size(arguments),
        Command::Check(arguments) => check::check(arguments),
        Command::Tune(arguments) => tune::tune(arguments),
        Command::Use(arguments) => water_use::water_use(arguments),
        Command::Compare(arguments) => compare::compare(arguments),
        Command::Page(arguments) => page::page(arguments),
        Command::New(arguments) => new::new(arguments),
        Command::Weather(arguments) => weather::weather(arguments),
        Command::Columns => out::print(&crate::report::columns_text()),
    }
}
