//! `suncask run`.

use std::path::{Path, PathBuf};

use super::{Failure, ShownUnits, input, out};
use crate::job::{self, Job};
use crate::problem::Problem;
use crate::report::{self, Report, ToldYear};
use crate::safety;
use crate::study::range::{Range, Reach, range};
use crate::weather::{self, WeatherYear};
use crate::year::{self, Setting, Shared};

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The job file; without it the built-in demo runs (an invented house in an invented climate).
    job: Option<PathBuf>,
    /// Folder for the results; by default named after the job, beside it.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Give the saving as low, likely and high too: use, weather and workmanship vary within stated ranges.
    #[arg(long)]
    range: bool,
    /// Seed of the chance in --range.
    #[arg(long, value_name = "N", default_value_t = 1, requires = "range")]
    seed: u64,
    /// Write hourly.csv too.
    #[arg(long)]
    hourly: bool,
    /// Print the page to report.pdf too, with an installed browser.
    #[arg(long)]
    pdf: bool,
    /// Units of tables, pictures and page.
    #[arg(long, value_enum, default_value_t)]
    units: ShownUnits,
}

pub(super) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let (job, weather, folder) = match &arguments.job {
        Some(path) => {
            let job = input::job(path)?;
            let weather = input::weather(&job, path)?;
            (job, weather, beside(path))
        }
        None => {
            let job = job::file::read_text("starter job", job::starter())
                .map_err(|problems| Failure::internal(&problems))?;
            (job, weather::demo(), PathBuf::from("suncask-demo-results"))
        }
    };
    let folder = arguments.out.as_ref().unwrap_or(&folder);
    simulate(&job, &weather, folder, arguments)
}

/// The default results folder of a job file: beside it, named after it.
fn beside(job: &Path) -> PathBuf {
    let mut name = job.file_stem().unwrap_or_default().to_owned();
    name.push("-results");
    job.with_file_name(name)
}

fn simulate(job: &Job, weather: &WeatherYear, folder: &Path, arguments: &Arguments) -> Result<(), Failure> {
    let setting = Setting::new(job, weather);
    // The plant is known to be buildable: what fails now is the program's own check.
    let year = ToldYear::run(job, weather, &setting, |options| year::run(job, &setting, options))
        .map_err(|problems| Failure::internal(&problems))?;
    let ToldYear { result, notes, safety, .. } = &year;
    let range = arguments.range.then(|| ranged(job, weather, arguments)).transpose()?;
    let date = report::today();
    let units = arguments.units.into();
    let report = Report {
        range: range.as_ref(),
        hourly_table: arguments.hourly,
        ..year.report(job, weather, units, &date)
    };
    let printed = match arguments.pdf {
        true => report::write_and_print(folder, &report).map_err(Failure::input)?,
        false => report::write(folder, &report).map(Ok).map_err(Failure::input)?,
    };
    let mut text = format!("{}\n{}\n\n", job.name, input::weather_line(weather));
    text.push_str(&report::annual_table(result, units));
    text.push_str("\n\n");
    text.push_str(&report::monthly_table(result, units));
    if let Some(account) = &result.money {
        text.push_str(&format!("\n\n{}", report::money_table(account)));
        for note in report::money_notes(account, &job.echo) {
            text.push_str(&format!("\n{}", out::bullet(&note)));
        }
    }
    if let Some(range) = &range {
        text.push_str("\n\nSaving as a range");
        for line in report::range_text(range, result.money.as_ref().map(|account| account.currency)) {
            text.push_str(&format!("\n{}", out::bullet(&line)));
        }
    }
    let doubts: Vec<Problem> = notes.iter().chain(&weather.warnings).cloned().collect();
    if !doubts.is_empty() {
        text.push_str(&format!("\n\n{}", out::lines(&doubts)));
    }
    if !safety.is_empty() {
        text.push_str("\n\nSafety: readings of this year that raise a hazard");
        for finding in safety {
            let reading = format!("{}: {}", finding.hazard, finding.reading);
            text.push_str(&format!("\n{}", out::bullet(&reading)));
        }
        text.push_str(&format!("\nThe usual cautions are in the report.\nFor each: {}.", safety::CONFIRM));
    }
    text.push_str(&format!(
        "\n\nAn estimate, not a guarantee. What each line means: suncask columns\n\
         Report:   {}\nPictures: {}\nTables:   {}",
        folder.join("report.html").display(),
        folder.join("pictures").display(),
        folder.join("monthly.csv").display(),
    ));
    if arguments.hourly {
        text.push_str(&format!(", {}", folder.join("hourly.csv").display()));
    }
    if arguments.pdf && printed.is_ok() {
        text.push_str(&format!("\nPrinted:  {}", folder.join("report.pdf").display()));
    }
    out::print(&text)?;
    printed.map_err(Failure::input)
}

/// The saving as a range; with the job's year poor in sun, if it names one.
fn ranged(job: &Job, weather: &WeatherYear, arguments: &Arguments) -> Result<Range, Failure> {
    let poor = job.poor_weather.as_ref().map(|path| weather::read(path)).transpose()?;
    let (typical, poor) = (Shared::new(weather), poor.as_ref().map(Shared::new));
    Ok(range(job, &typical, poor.as_ref(), &Reach::default(), arguments.seed)?)
}
