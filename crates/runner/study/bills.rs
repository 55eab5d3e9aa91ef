//! Hot-water use from the bills: the one factor on the job's use with which the heater without sun buys what the bills say.

use serde::Serialize;

use crate::job::{Job, PastBills};
use crate::problem::Problem;
use crate::record::Column;
use crate::year::{RunOptions, Shared};

/// Factors looked at: beyond them the job does not describe the house of the bills.
const LOOKED_AT: (f64, f64) = (0.1, 5.0);

/// Use that fits the bills.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Fit {
    /// Use over the job's.
    pub factor: f64,
    /// Root mean square of what is left between bills and heater, over the mean of the bills.
    pub misfit_frac: f64,
}

/// Least squares over the months that count; `None` where no factor looked at fits.
///
/// The purchases are nearly a straight line over the factor (standing loss, and heat for the water): each pass takes the line
/// through the last two, month by month.
///
/// # Errors
/// As [`crate::year::run`].
pub fn fit(job: &Job, bills: &PastBills, shared: &Shared<'_>) -> Result<Option<Fit>, Vec<Problem>> {
    let bought = |factor: f64| {
        let mut job = job.clone();
        job.water_use.month_factor = job.water_use.month_factor.map(|month| month * factor);
        let year = shared.run(&job, &RunOptions::default())?;
        Ok::<Vec<f64>, Vec<Problem>>(
            year.monthly.iter().map(|month| month[Column::BaselinePurchased]).collect(),
        )
    };
    let (mut before, mut factor) = (1.0, 0.7);
    let (mut bought_before, mut bought_now) = (bought(before)?, bought(factor)?);
    for _ in 0..4 {
        let (mut top, mut bottom) = (0.0_f64, 0.0_f64);
        for &month in &bills.months {
            let slope = (bought_now[month] - bought_before[month]) / (factor - before);
            top += slope * (bills.water_kwh[month] - bought_now[month]);
            bottom += slope * slope;
        }
        let step = top / bottom;
        if !step.is_finite() {
            return Ok(None);
        }
        if step.abs() < 1e-4 {
            break;
        }
        (before, bought_before) = (factor, bought_now);
        factor = (factor + step).clamp(LOOKED_AT.0, LOOKED_AT.1);
        bought_now = bought(factor)?;
        if factor == before {
            return Ok(None);
        }
    }
    if factor <= LOOKED_AT.0 || factor >= LOOKED_AT.1 {
        return Ok(None);
    }
    let count = bills.months.len() as f64;
    let mean = bills.months.iter().map(|&month| bills.water_kwh[month]).sum::<f64>() / count;
    let left = |&month: &usize| {
        let gap = bought_now[month] - bills.water_kwh[month];
        gap * gap
    };
    let square = bills.months.iter().map(left).sum::<f64>() / count;
    Ok(Some(Fit { factor, misfit_frac: square.sqrt() / mean }))
}
