//! Tuning: what the dials of a plant are worth, and what else would be worth more.
//!
//! ```text
//! job -> usual suspects, on x off, further dials, hours of the element -> rows
//!     -> the best pairs again with a sensor that reads wrong -> rows -> all changes together -> row -> Findings
//! ```
//!
//! Worth is the yearly saving at equal service: in money where the job has prices, else in kWh. What a proposal may never break
//! is checked in `floors`; frost protection, relief and mixing valve are no dials here.

mod floors;
mod grid;
mod judge;
mod schedule;
mod suspects;

pub use floors::{Floor, SLACK_MIN};
pub use grid::Dial;
pub use judge::{Findings, Pairs, Suspected, Tried, Worth};
pub use schedule::{price_by_clock_hour, spans};
pub(crate) use suspects::has_timed_heat;
pub use suspects::{LOOSE, Suspect, WRONG_TYPE};

use thermal_network::spec::{LoopKind, PumpDrive};

use super::draws::by_chance;
use super::{Candidate, Row};
use crate::job::Job;
use crate::job::file::Draft;
use crate::problem::Problem;

/// What a trial answers.
#[derive(Clone, Debug, PartialEq)]
pub enum Part {
    /// The job, with draws as the study has them.
    AsItIs,
    /// The job with thermostat and limit moved to the floors it breaks; only where it does.
    Start,
    /// One of the usual suspects. `in_job`: the job has the fault, and the trial is without it.
    Suspect {
        /// Which.
        suspect: Suspect,
        /// True if the job has it.
        in_job: bool,
    },
    /// An on and an off difference, by their positions in the job's lists.
    Pair {
        /// Position of the on difference.
        on: usize,
        /// Position of the off difference.
        off: usize,
    },
    /// One step of another dial.
    Step {
        /// Which dial.
        dial: Dial,
        /// Position in the job's list.
        at: usize,
    },
    /// Hours of the element, as a job writes them.
    Hours(String),
    /// Another trial with the collector's sensor reading high, or low.
    Misread {
        /// Position of that trial.
        of: usize,
        /// True: it reads high.
        high: bool,
    },
    /// All changes that matter at once; positions of their trials.
    Together(Vec<usize>),
}

/// A variant that runs.
#[derive(Clone, Debug)]
pub struct Trial {
    /// What it answers.
    pub part: Part,
    /// Its job file.
    pub draft: Draft,
    /// What runs.
    pub candidate: Candidate,
    /// The floor it breaks by its settings alone.
    pub floor: Option<Floor>,
}

/// A study of one job: grows by stages as rows come in.
#[derive(Clone, Debug)]
pub struct Study {
    /// The job's name.
    pub name: String,
    /// Every variant so far; rows go with them one to one.
    pub trials: Vec<Trial>,
    /// Position of the trial that changes start from.
    pub start: usize,
    /// True: an hourly profile of use was turned into single draws.
    pub single_draws: bool,
    /// Variants this plant cannot have, with why.
    pub impossible: Vec<String>,
}

/// A study that came to its end, or was broken off.
#[derive(Clone, Debug)]
pub struct Done {
    /// Rows of the study's trials; missing ones were not reached.
    pub rows: Vec<Option<Row>>,
    /// What they say; `None` where rows are missing.
    pub findings: Option<Findings>,
}

impl Study {
    /// Lays out the first trials of a job. `single_draws`: use that is only a profile of hours is drawn in single draws.
    ///
    /// # Errors
    /// What is wrong with the job.
    pub fn new(draft: &Draft, single_draws: bool) -> Result<Self, Vec<Problem>> {
        let mut draft = draft.clone();
        let mut job = draft.job()?;
        let drawn = if single_draws { by_chance(&draft, &job) } else { None };
        let single_draws = drawn.is_some();
        if let Some(drawn) = drawn {
            job = drawn.job()?;
            draft = drawn;
        }
        let mut study = Self {
            name: job.name.clone(),
            trials: Vec::new(),
            start: 0,
            single_draws,
            impossible: Vec::new(),
        };
        study.add(Part::AsItIs, "the job as it is", draft.clone());
        if let Some(raised) = floors::raised(&draft, &job) {
            study.start = 1;
            study.add(Part::Start, "the job within the floors", raised);
        }
        suspects::lay_out(&mut study);
        grid::lay_out(&mut study);
        schedule::lay_out(&mut study);
        Ok(study)
    }

    /// The house that changes start from.
    pub fn job(&self) -> &Job {
        &self.trials[self.start].candidate.job
    }

    /// What runs, in order.
    pub fn candidates(&self) -> Vec<Candidate> {
        self.trials.iter().map(|trial| trial.candidate.clone()).collect()
    }

    /// Runs all stages. `years` gives the rows of candidates, `None` for those it did not reach.
    ///
    /// # Errors
    /// As `years`.
    pub fn run<E>(
        &mut self,
        mut years: impl FnMut(&[Candidate]) -> Result<Vec<Option<Row>>, E>,
    ) -> Result<Done, E> {
        let mut rows: Vec<Row> = Vec::new();
        for stage in [|_: &mut Self, _: &[Row]| (), grid::misread, judge::together] {
            stage(self, &rows);
            let fresh: Vec<Candidate> =
                self.trials[rows.len()..].iter().map(|trial| trial.candidate.clone()).collect();
            let found = years(&fresh)?;
            if found.iter().any(Option::is_none) {
                let rows = rows.into_iter().map(Some).chain(found).collect();
                return Ok(Done { rows, findings: None });
            }
            rows.extend(found.into_iter().flatten());
        }
        let findings = judge::findings(self, &rows);
        Ok(Done { rows: rows.into_iter().map(Some).collect(), findings: Some(findings) })
    }

    /// The draft that changes start from.
    fn draft(&self) -> &Draft {
        &self.trials[self.start].draft
    }

    /// Makes the change of a trial in another draft.
    fn change_of(&self, trial: usize, draft: Draft) -> Draft {
        let tune = &self.job().tune;
        match &self.trials[trial].part {
            Part::Pair { on, off } => draft
                .with("controller.on_difference", tune.on_differences[*on].written.clone())
                .with("controller.off_difference", tune.off_differences[*off].written.clone()),
            Part::Step { dial, at } => {
                let written = dial.steps(tune)[*at].written.clone();
                set_all(draft, &dial.keys(self.draft(), self.job()), &written)
            }
            Part::Hours(hours) => set_all(draft, &schedule::keys(self.draft(), self.job()), hours),
            _ => draft,
        }
    }

    /// Adds a trial, unless its job cannot be.
    fn add(&mut self, part: Part, name: impl Into<String>, draft: Draft) {
        let name = name.into();
        match draft.job() {
            Ok(job) => {
                let settings = settings(&part, &name, &job);
                let floor = floors::broken(&job);
                let candidate = Candidate { name, settings, job };
                self.trials.push(Trial { part, draft, candidate, floor });
            }
            Err(problems) => {
                let why = problems.first().map(|problem| problem.message.clone()).unwrap_or_default();
                self.impossible.push(format!("{name}: {why}"));
            }
        }
    }
}

/// What sets a trial apart, in the columns of `study.csv`.
fn settings(part: &Part, name: &str, job: &Job) -> Vec<(String, String)> {
    let kind = match part {
        Part::AsItIs | Part::Start => "start",
        Part::Suspect { .. } => "suspect",
        Part::Pair { .. } => "differences",
        Part::Step { .. } => "dial",
        Part::Hours(_) => "element hours",
        Part::Misread { .. } => "sensor error",
        Part::Together(_) => "together",
    };
    let controller = job.plant.solar_loop.as_ref().map(|solar| &solar.controller);
    let kelvin = |value: Option<f64>| value.map(|value_k| format!("{value_k:.4} K")).unwrap_or_default();
    vec![
        ("part".into(), kind.into()),
        ("on difference".into(), kelvin(controller.map(|controller| controller.on_k))),
        ("off difference".into(), kelvin(controller.map(|controller| controller.off_k))),
        ("change".into(), name.to_owned()),
    ]
}

/// True if differences start and stop the pump of this plant.
pub(crate) fn has_differences(job: &Job) -> bool {
    has_pump(job)
        && job.plant.solar_loop.as_ref().is_some_and(|solar| {
            matches!(solar.controller.duties.drive, PumpDrive::Differential | PumpDrive::Proportional { .. })
        })
}

/// True if the loop has a pump.
pub(crate) fn has_pump(job: &Job) -> bool {
    let kind = job.plant.solar_loop.as_ref().map(|solar| &solar.kind);
    matches!(kind, Some(LoopKind::Filled | LoopKind::Leaking(_) | LoopKind::Drainback(_)))
}

/// Sections of the job file that hold a heater the sun's tank has or feeds.
pub(crate) fn heaters(draft: &Draft, job: &Job) -> Vec<&'static str> {
    let plant = &job.plant;
    let own =
        plant.tanks.first().is_some_and(|tank| !tank.elements.is_empty()) || plant.flow_heater.is_some();
    let behind = match plant.tanks.len() {
        0 | 1 => None,
        _ if draft.has("backup_tank.element") => Some("backup_tank.element"),
        _ => Some("backup_tank"),
    };
    own.then_some("backup").into_iter().chain(behind).collect()
}

/// The same value under each key.
fn set_all(draft: Draft, keys: &[String], value: &str) -> Draft {
    keys.iter().fold(draft, |draft, key| draft.with(key, value))
}
