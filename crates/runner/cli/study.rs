//! What the studies have in common at the command line.

use std::path::{Path, PathBuf};

use clap::ValueEnum;

use super::progress::{INTERRUPTED, Progress};
use super::{Failure, out};
use crate::picture::Units;
use crate::report::study::{StudyReport, write};
use crate::study::{Candidate, Journal, Row, run};
use crate::year::Shared;

/// Arguments every study takes.
#[derive(Debug, clap::Args)]
pub(super) struct Shown {
    /// Folder for the results; by default named after the job, beside it.
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Units of tables, pictures and page.
    #[arg(long, value_enum, default_value_t)]
    pub units: super::ShownUnits,
    /// Print the page to report.pdf too, with an installed browser.
    #[arg(long)]
    pub pdf: bool,
}

impl Shown {
    /// The units of `report.pdf`, if it is asked for.
    fn pdf(&self) -> Option<Units> {
        self.pdf.then(|| self.units.into())
    }

    /// The results folder of a study of a job file: named, or beside the job as `house-size`.
    pub(super) fn folder(&self, job: &Path, kind: &str) -> PathBuf {
        self.out.clone().unwrap_or_else(|| {
            let mut name = job.file_stem().unwrap_or_default().to_owned();
            name.push(format!("-{kind}"));
            job.with_file_name(name)
        })
    }
}

/// How a study draws water that the job spreads over the hours.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(super) enum Draws {
    /// In single draws by chance, the same for every candidate.
    #[default]
    Single,
    /// As the job says.
    AsWritten,
}

/// A study that is running: its journal and its bar.
pub(super) struct Running<'a> {
    shared: &'a Shared<'a>,
    journal: Journal,
    progress: Progress,
    folder: PathBuf,
    pdf: Option<Units>,
}

impl<'a> Running<'a> {
    /// Opens the journal of a study beside its results folder. `years`: how many the bar shows at first.
    pub(super) fn begin(
        shared: &'a Shared<'a>,
        (folder, shown): (&Path, &Shown),
        years: usize,
    ) -> Result<Self, Failure> {
        let mut name = folder.file_name().unwrap_or_default().to_owned();
        name.push(".unfinished");
        let path = folder.with_file_name(name);
        let journal = Journal::open(&path, shared.weather()).map_err(|error| {
            Failure::input(format_args!("cannot keep finished years in {}: {error}", path.display()))
        })?;
        if journal.held() > 0 {
            out::complain(&format!("going on: {} finished years are kept from before", journal.held()));
        }
        Ok(Self {
            shared,
            journal,
            progress: Progress::new(years)?,
            folder: folder.to_owned(),
            pdf: shown.pdf(),
        })
    }

    /// Runs candidates; rows of those not reached are missing at the end.
    pub(super) fn rows(&self, candidates: &[Candidate]) -> Result<Vec<Option<Row>>, Failure> {
        Ok(run(candidates, self.shared, &self.journal, &self.progress)?.rows)
    }

    /// More years than the bar knew of.
    pub(super) fn expect_more(&self, years: usize) {
        self.progress.expect_more(years);
    }

    /// Writes the folder. A study that was broken off keeps its journal and ends with the code of an interrupted program.
    pub(super) fn finish(self, report: StudyReport<'_>, text: &str) -> Result<(), Failure> {
        self.progress.finish();
        let complete = report.rows.len() == report.candidates;
        let (done, of) = (report.rows.len(), report.candidates);
        let printed = write(&self.folder, report, self.pdf).map_err(Failure::input)?;
        let mut text = text.trim_end().to_owned();
        if self.pdf.is_some() && printed.is_ok() {
            text.push_str(&format!("\nPrinted:  {}", self.folder.join("report.pdf").display()));
        }
        if complete {
            self.journal.close().map_err(|error| {
                Failure::input(format_args!("cannot remove the list of finished years: {error}"))
            })?;
            out::print(&text)?;
            return printed.map_err(Failure::input);
        }
        out::print(&text)?;
        if let Err(error) = printed {
            out::complain(&format!("error: {error}"));
        }
        let message = format!(
            "interrupted: {done} of {of} years are in {}, which is marked as incomplete; run the same command again to go on",
            self.folder.display()
        );
        Err(Failure { text: message, code: INTERRUPTED })
    }
}
