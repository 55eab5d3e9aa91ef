//! `suncask tune`.

use std::path::PathBuf;

use super::study::{Draws, Running, Shown};
use super::{Failure, input, out};
use crate::report::study::{StudyReport, unfinished_page};
use crate::report::tune::Told;
use crate::report::{self, WeatherFacts};
use crate::study::Row;
use crate::study::tune::Study;
use crate::year::Shared;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The job file; its [tune] section lists the steps that the dials offer.
    job: PathBuf,
    #[command(flatten)]
    shown: Shown,
    /// How water is drawn where the job only gives it by the hour.
    #[arg(long, value_enum, default_value_t)]
    draws: Draws,
}

pub(super) fn tune(arguments: &Arguments) -> Result<(), Failure> {
    let path = &arguments.job;
    let job = input::job(path)?;
    let weather = input::weather(&job, path)?;
    let draft = input::draft(path)?;
    let mut study = Study::new(&draft, arguments.draws == Draws::Single)?;
    let shared = Shared::new(&weather);
    let folder = arguments.shown.folder(path, "tune");
    let running = Running::begin(&shared, (&folder, &arguments.shown), 0)?;
    let done = study.run(|candidates| {
        running.expect_more(candidates.len());
        running.rows(candidates)
    })?;
    let rows: Vec<Row> = done.rows.into_iter().flatten().collect();
    let facts = WeatherFacts::from(&weather);
    let (version, date) = (env!("CARGO_PKG_VERSION"), report::today());
    let mut report = StudyReport {
        kind: "tune",
        name: &study.name,
        rows: &rows,
        candidates: study.trials.len(),
        weather: &facts,
        findings: serde_json::Value::Null,
        pictures: Vec::new(),
        page: String::new(),
        version,
        date: &date,
    };
    let Some(findings) = &done.findings else {
        let text = format!(
            "{}: broken off after {} of {} years, before anything could be said.\nEvery finished year is in study.csv.",
            study.name,
            rows.len(),
            study.trials.len()
        );
        report.page = unfinished_page(&study.name, &text);
        return running.finish(report, &text);
    };
    let told = Told {
        study: &study,
        rows: &rows,
        findings,
        units: arguments.shown.units.into(),
        currency: study.job().money.as_ref().map(|money| money.currency),
        weather: &facts,
        version,
        date: &date,
    };
    report.findings = told.json();
    report.pictures = told.pictures();
    report.page = told.page(&report.pictures);
    let mut text = format!("{}\n{}\n", study.name, input::weather_line(&weather));
    let paragraphs = |told: Vec<String>| told.iter().map(|one| out::bullet(one) + "\n").collect::<String>();
    text.push_str(&format!(
        "\n{}\n{}\n\n{}",
        paragraphs(told.before()),
        told.table(),
        paragraphs(told.after())
    ));
    text.push_str(&format!(
        "\nAn estimate, not a guarantee. {} years were run.\nReport: {}\n",
        rows.len(),
        folder.join("report.html").display()
    ));
    running.finish(report, &text)
}
