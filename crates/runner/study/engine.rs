//! Runs the candidates of a study on all cores.

use rayon::prelude::*;

use super::{Candidate, Journal, Row};
use crate::problem::{Problem, Severity};
use crate::year::{RunOptions, Shared, Stop};

/// Sees a study through: shows how far it is, and may stop it.
pub trait Watch: Sync {
    /// A row is done; told from any thread.
    fn done(&self);

    /// Once it is told, no further candidate begins, and the years that run end without a row.
    fn stop(&self) -> Stop;
}

/// Nobody watches.
impl Watch for () {
    fn done(&self) {}

    fn stop(&self) -> Stop {
        Stop::default()
    }
}

/// What became of a study.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// The row of each candidate, in their order; `None` for those that were not reached or cut short.
    pub rows: Vec<Option<Row>>,
}

impl Outcome {
    /// True if every candidate has its row.
    pub fn complete(&self) -> bool {
        self.rows.iter().all(Option::is_some)
    }
}

/// Runs every candidate through the year that `shared` lays out, but those whose row `journal` holds.
///
/// # Errors
/// Why a candidate cannot run, or the journal cannot be written. Rows done before are in the journal.
pub fn run(
    candidates: &[Candidate],
    shared: &Shared<'_>,
    journal: &Journal,
    watch: &dyn Watch,
) -> Result<Outcome, Vec<Problem>> {
    let rows = candidates.par_iter().map(|candidate| one(candidate, shared, journal, watch));
    Ok(Outcome { rows: rows.collect::<Result<_, _>>()? })
}

fn one(
    candidate: &Candidate,
    shared: &Shared<'_>,
    journal: &Journal,
    watch: &dyn Watch,
) -> Result<Option<Row>, Vec<Problem>> {
    let key = journal.key(candidate);
    if let Some(row) = journal.row(&key) {
        watch.done();
        return Ok(Some(row));
    }
    let options = RunOptions { morning: true, stop: watch.stop(), ..RunOptions::default() };
    if options.stop.told() {
        return Ok(None);
    }
    let year = match shared.run(&candidate.job, &options) {
        Ok(year) => year,
        Err(_) if options.stop.told() => return Ok(None),
        Err(mut problems) => {
            for problem in &mut problems {
                problem.message = format!("{}: {}", candidate.name, problem.message);
            }
            return Err(problems);
        }
    };
    let Some(row) = Row::of(&candidate.name, &candidate.settings, year) else { return Ok(None) };
    journal.keep(&key, &row).map_err(|error| {
        let message = format!("The rows done so far cannot be kept: {error}.");
        vec![Problem::new(Severity::Error, message).help("make room or name another folder with --out")]
    })?;
    watch.done();
    Ok(Some(row))
}
