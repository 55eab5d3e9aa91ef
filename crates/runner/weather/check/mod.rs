//! Self-check of a weather year: gaps, impossible values, and whether sun and radiation fit.

mod shift;

use super::draft::{Quantity, Sorted};
use super::{WeatherYear, table};
use crate::problem::{Problem, Severity};

/// Longest run of missing values that is bridged by a straight line, in s (a rule of this program).
const LONGEST_BRIDGE_S: u32 = 3 * 3600;

/// Lowest irradiance at night that is an instrument's offset, in W/m2; it is in [`Quantity::range`].
pub(super) fn complete(mut sorted: Sorted) -> Result<WeatherYear, Vec<Problem>> {
    let mut errors = Vec::new();
    let mut doubts = Vec::new();
    require_columns(&sorted, &mut errors);
    for quantity in Quantity::ALL.into_iter().filter(|&q| sorted.has[q as usize]) {
        check_range(&sorted, quantity, &mut errors);
    }
    if !errors.is_empty() {
        return Err(errors);
    }
    clear_negatives(&mut sorted, &mut doubts);
    let _ = (LONGEST_BRIDGE_S, table::RESTORE);
    let mut year = sorted.into_weather();
    doubts.append(&mut shift::check(&year));
    year.warnings.append(&mut doubts);
    Ok(year)
}

fn require_columns(sorted: &Sorted, errors: &mut Vec<Problem>) {
    let has = |q: Quantity| sorted.has[q as usize];
    let mut missing = Vec::new();
    if !has(Quantity::Ghi) && !(has(Quantity::Dni) && has(Quantity::Dhi)) {
        missing.push(Quantity::Ghi);
    }
    if !has(Quantity::Air) {
        missing.push(Quantity::Air);
    }
    for quantity in missing {
        let message = format!("There is no column of {}.", quantity.name());
        errors.push(
            Problem::new(Severity::Error, message)
                .help("every year needs it; ask the publisher's site for it"),
        );
    }
}

fn check_range(sorted: &Sorted, quantity: Quantity, errors: &mut Vec<Problem>) {
    let (low, high) = quantity.range();
    let outside = |v: &[f64; Quantity::COUNT]| v[quantity as usize] < low || v[quantity as usize] > high;
    let Some(first) = sorted.values.iter().position(outside) else { return };
    let count = sorted.values.iter().filter(|v| outside(v)).count();
    let value = sorted.values[first][quantity as usize];
    let others = if count > 1 { format!(" ({count} such rows)") } else { String::new() };
    let (name, unit) = (quantity.name(), quantity.unit());
    let message =
        format!("The {name} of {value} {unit} cannot be: {low} to {high} {unit} is possible{others}.");
    errors.push(sorted.error(first, &message, "check the unit and the column"));
}

fn clear_negatives(sorted: &mut Sorted, doubts: &mut Vec<Problem>) {
    for quantity in [Quantity::Ghi, Quantity::Dni, Quantity::Dhi] {
        let mut count = 0;
        for values in &mut sorted.values {
            let value = &mut values[quantity as usize];
            if *value < 0.0 {
                *value = 0.0;
                count += 1;
            }
        }
        if count > 0 {
            let message = format!("{count} values of {} were below zero and count as zero.", quantity.name());
            doubts.push(Problem::new(Severity::Note, message));
        }
    }
}
