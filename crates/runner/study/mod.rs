//! Studies: many variants of a house through the same weather year, side by side.
//!
//! ```text
//! job file + changed keys -> Candidate -> engine (all cores, in any order) -> Row -> files, table, picture, sentence
//! ```
//!
//! A row is the same, to the bit, on any number of threads, and whether or not the study was interrupted and taken up again.

pub mod bills;
pub mod compare;
pub mod draws;
mod engine;
mod journal;
pub mod range;
mod row;
pub mod size;
pub mod tune;

pub use engine::{Outcome, Watch, run};
pub use journal::Journal;
pub use row::Row;

use crate::job::Job;

/// A variant of the house.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// What it is called in tables.
    pub name: String,
    /// What sets it apart from the others, as (what, how), in the order of the study's axes.
    pub settings: Vec<(String, String)>,
    /// The house.
    pub job: Job,
}
