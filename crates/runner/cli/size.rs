//! `suncask size`.

use std::path::PathBuf;

use super::study::{Running, Shown};
use super::{Failure, input};
use crate::job::check::{self, Local};
use crate::report::size::{SizeReport, answer, page, picture, text};
use crate::report::study::StudyReport;
use crate::report::{self, WeatherFacts};
use crate::study::Row;
use crate::study::size::{Grid, findings};
use crate::year::Shared;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The job file.
    job: PathBuf,
    #[command(flatten)]
    shown: Shown,
}

pub(super) fn size(arguments: &Arguments) -> Result<(), Failure> {
    let path = &arguments.job;
    let job = input::job(path)?;
    let draft = input::draft(path)?;
    let weather = input::weather(&job, path)?;
    let grid = Grid::of(&draft, &job)?;
    let candidates = grid.candidates.len() + grid.turned_count();
    let folder = arguments.shown.folder(path, "size");
    let shared = Shared::new(&weather);
    let running = Running::begin(&shared, (&folder, &arguments.shown), grid.candidates.len())?;
    let rows = running.rows(&grid.candidates)?;
    let found = findings(&grid, &rows, job.sizing.next_saves_frac);
    let turned = match found.chosen {
        Some(chosen) => {
            running.expect_more(grid.turned_count());
            running.rows(&grid.turned(&draft, &job, chosen)?)?
        }
        None => Vec::new(),
    };
    let local = Local::of(&weather);
    let rules = found.chosen.map(|chosen| check::sizes(&grid.candidates[chosen].job, Some(local)));
    let facts = WeatherFacts::from(&weather);
    let date = report::today();
    let turned: Vec<Row> = turned.into_iter().flatten().collect();
    let report = SizeReport {
        name: &job.name,
        currency: job.money.as_ref().map(|money| money.currency),
        grid: &grid,
        found: &found,
        turned: &turned,
        rules: &rules.unwrap_or_default(),
        weather: &facts,
        version: env!("CARGO_PKG_VERSION"),
        date: &date,
    };
    let picture = picture(&report);
    let mut shown = format!("{}\n{}\n\n{}", job.name, input::weather_line(&weather), text(&report));
    shown.push_str(&format!(
        "\n\nReport:   {}\nPicture:  {}\nTables:   {}",
        folder.join("report.html").display(),
        folder.join("pictures").join("grid.svg").display(),
        folder.join("study.csv").display(),
    ));
    let page = page(&report, &picture);
    let answer = answer(&report);
    // A grid that no size follows from has no further planes to run.
    let whole = found.cells.iter().all(Option::is_some) && found.chosen.is_none();
    let candidates = if whole { grid.candidates.len() } else { candidates };
    let rows: Vec<Row> = rows.into_iter().flatten().chain(turned.iter().cloned()).collect();
    let study = StudyReport {
        kind: "size",
        name: &job.name,
        rows: &rows,
        candidates,
        weather: &facts,
        findings: answer,
        pictures: vec![("grid", picture)],
        page,
        version: report.version,
        date: &date,
    };
    running.finish(study, &shown)
}
