//! `suncask check` and `suncask new`.

use std::fs::OpenOptions;
use std::io::{ErrorKind, Write};
use std::path::PathBuf;

use super::{Failure, out};
use crate::job::{self, Job, check, file};
use crate::weather::{self, WeatherYear, summary};

#[derive(Debug, clap::Args)]
pub(super) struct CheckArguments {
    /// The job file.
    job: PathBuf,
}

#[derive(Debug, clap::Args)]
pub(super) struct NewArguments {
    /// File to write.
    file: PathBuf,
}

/// Reads a job file; faults come back with carets.
pub(super) fn read(path: &std::path::Path) -> Result<Job, Failure> {
    file::read(path).map_err(|faults| Failure::Input(file::render(&faults.problems, &faults.text)))
}

/// The weather a job names, or the built-in invented year.
pub(super) fn weather_of(job: &Job) -> Result<WeatherYear, Failure> {
    match &job.weather {
        Some(path) => weather::read(path).map_err(|problems| Failure::Input(out::lines(&problems))),
        None => Ok(weather::demo()),
    }
}

pub(super) fn check(arguments: &CheckArguments) -> Result<(), Failure> {
    let job = read(&arguments.job)?;
    let mut text = format!("{}\n\nWhat was understood:\n", job.name);
    for echo in &job.echo {
        let source =
            echo.default_source.as_ref().map_or(String::new(), |source| format!("   [default: {source}]"));
        text.push_str(&format!("  {:34} {}{source}\n", echo.key, echo.written));
    }
    let weather = weather_of(&job);
    let local = weather.as_ref().ok().map(|year| check::Local {
        latitude_deg: year.site.latitude_deg,
        coldest_air_c: summary::summarise(year).annual.air_min_c,
    });
    text.push_str("\nBeside rules of thumb (never a verdict):\n");
    for finding in check::findings(&job, local) {
        let mark = if finding.ok { "in line" } else { "look   " };
        text.push_str(&format!(
            "  {mark}  {}: {}; rule {} ({})\n",
            finding.what, finding.found, finding.rule, finding.source
        ));
        if !finding.comment.is_empty() {
            text.push_str(&format!("           {}\n", finding.comment));
        }
    }
    if !job.notes.is_empty() {
        text.push_str(&format!("\n{}\n", out::lines(&job.notes)));
    }
    out::print(&text)?;
    weather.map(drop)
}

pub(super) fn new(arguments: &NewArguments) -> Result<(), Failure> {
    let path = &arguments.file;
    let shown = path.display();
    let mut file = OpenOptions::new().write(true).create_new(true).open(path).map_err(|error| {
        Failure::Input(match error.kind() {
            ErrorKind::AlreadyExists => {
                format!("{shown} is there already and is not replaced; name another file")
            }
            _ => format!("cannot write {shown}: {error}"),
        })
    })?;
    file.write_all(job::starter().as_bytes())
        .map_err(|error| Failure::Input(format!("cannot write {shown}: {error}")))?;
    out::print(&format!("{shown} written. Next: `suncask check {shown}`, then `suncask run {shown}`."))
}
