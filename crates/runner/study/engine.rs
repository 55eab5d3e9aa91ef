//! Runs the candidates of a study on all cores.

use rayon::prelude::*;

use super::{Candidate, Journal, Row};
use crate::problem::{Problem, Severity};
use crate::year::{RunOptions, Shared};

/// Sees a study through: shows how far it is, and may stop it.
pub trait Watch: Sync {
    /// A row is done; told from any thread.
    fn done(&self);

    /// True if no further candidate shall begin.
    fn stopped(&self) -> bool;
}

/// Nobody watches.
impl Watch for () {
    fn done(&self) {}

    fn stopped(&self) -> bool {
        false
    }
}

/// What became of a study.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// The row of each candidate, in their order; `None` for those that were not reached.
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
    if watch.stopped() {
        return Ok(None);
    }
    let options = RunOptions { morning: true, ..RunOptions::default() };
    let year = shared.run(&candidate.job, &options).map_err(|problems| {
        let named = |mut problem: Problem| {
            problem.message = format!("{}: {}", candidate.name, problem.message);
            problem
        };
        problems.into_iter().map(named).collect::<Vec<_>>()
    })?;
    let Some(row) = Row::of(&candidate.name, &candidate.settings, year) else { return Ok(None) };
    journal.keep(&key, &row).map_err(|error| {
        let message = format!("The rows done so far cannot be kept: {error}.");
        vec![Problem::new(Severity::Error, message).help("make room or name another folder with --out")]
    })?;
    watch.done();
    Ok(Some(row))
}
