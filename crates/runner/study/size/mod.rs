//! How many collectors with which tank: whole collectors and stock tanks in a grid, then the chosen size on other planes.
//!
//! What a job gives as a total for its own number of collectors is scaled with the number; what it leaves out scales by itself.

mod find;
mod grid;

pub use find::{Cell, Findings, NEAR_BEST_FRAC, Step, findings};
pub use grid::{Grid, resized};

/// A tank of the grid.
#[derive(Clone, Debug, PartialEq)]
pub struct SizedTank {
    /// Volume as the job writes it.
    pub volume: String,
    /// Volume in m3.
    pub volume_m3: f64,
    /// What it costs, where the job says so.
    pub cost: Option<f64>,
}
