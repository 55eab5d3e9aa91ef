//! Everything a report says of a job's year: one place for whoever writes one.

use super::days::{Days, choose};
use super::{Report, WeatherFacts};
use crate::job::Job;
use crate::job::check::{self, Local};
use crate::picture::Units;
use crate::problem::Problem;
use crate::record::YearResult;
use crate::safety::{self, Finding};
use crate::weather::WeatherYear;
use crate::year::{RunOptions, Setting};

/// A year that ran, with what is told of it.
#[derive(Clone, Debug)]
pub struct ToldYear {
    /// The year, with its hours, three days and two outages.
    pub result: YearResult,
    /// Doubts about the job that did not stop the run.
    pub notes: Vec<Problem>,
    /// Hazards that the year raised.
    pub safety: Vec<Finding>,
    rules: Vec<check::Finding>,
    days: Days,
}

impl ToldYear {
    /// Lets `run` run the year of a job with all that a report shows.
    ///
    /// # Errors
    /// Those of `run`.
    pub fn run(
        job: &Job,
        weather: &WeatherYear,
        setting: &Setting,
        run: impl FnOnce(&RunOptions) -> Result<YearResult, Vec<Problem>>,
    ) -> Result<Self, Vec<Problem>> {
        let days = choose(&setting.plane.daily_j_m2());
        let mut trace_days = days.all().to_vec();
        trace_days.sort_unstable();
        // The pictures need the hours, whether or not they are written.
        let options = RunOptions { hourly: true, trace_days, outages: true, ..RunOptions::default() };
        let result = run(&options)?;
        Ok(Self {
            notes: job.notes.iter().chain(&setting.plane.notes).cloned().collect(),
            safety: safety::findings(job, weather, &result),
            rules: check::findings(job, Some(Local::of(weather))),
            result,
            days,
        })
    }

    /// The report of that year, without a range and without the table of hours.
    pub fn report<'a>(
        &'a self,
        job: &'a Job,
        weather: &WeatherYear,
        units: Units,
        date: &'a str,
    ) -> Report<'a> {
        Report {
            job,
            notes: &self.notes,
            safety: &self.safety,
            rules: &self.rules,
            weather: WeatherFacts::from(weather),
            result: &self.result,
            range: None,
            days: Some(self.days),
            hourly_table: false,
            units,
            version: env!("CARGO_PKG_VERSION"),
            date,
        }
    }
}
