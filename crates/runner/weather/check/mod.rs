//! Self-check of a weather year. A wrong file is refused, the main fault first; a doubtful one comes with its warnings.

mod radiation;
mod shift;
mod site;
mod values;

use super::draft::{Quantity, Sorted};
use super::sun_year::SunYear;
use super::{WeatherYear, table};
use crate::problem::{Problem, Severity};

/// Checks the records, fills what can be filled, and hands on the year with its doubts.
pub(super) fn complete(mut sorted: Sorted) -> Result<WeatherYear, Vec<Problem>> {
    let mut errors = site::check(&sorted);
    values::require_columns(&sorted, &mut errors);
    values::check_ranges(&sorted, &mut errors);
    if !errors.is_empty() {
        return Err(errors);
    }
    let mut doubts = Vec::new();
    values::clear_negatives(&mut sorted, &mut doubts);
    let sun = SunYear::on_grid(&sorted.site, sorted.interval_s, sorted.first_start_s);
    radiation::fill_global(&mut sorted, &sun, &mut doubts);
    values::bridge_gaps(&mut sorted, &mut errors, &mut doubts);
    values::still_wind(&mut sorted, &mut doubts);
    let measured = radiation::fill_parts(&mut sorted, &sun, &mut doubts);
    radiation::check_excess_diffuse(&sorted, &mut doubts);
    if !errors.is_empty() {
        return Err(errors);
    }
    let lines = core::mem::take(&mut sorted.lines);
    let mut year = sorted.into_weather();
    errors.extend(radiation::check_day(&year, &sun, &mut doubts));
    errors.extend(radiation::check_season(&year));
    if !errors.is_empty() {
        return Err(errors);
    }
    // The gravest doubts first: place and time, then what was filled, then remarks.
    year.warnings.append(&mut site::doubts(&year.site));
    if measured {
        year.warnings.append(&mut shift::check(&year, &lines));
    }
    year.warnings.append(&mut doubts);
    year.warnings.sort_by_key(|p| core::cmp::Reverse(p.severity));
    Ok(year)
}

/// An error of the whole file.
fn refuse(source: &str, message: String, help: &str) -> Problem {
    table::error(source, 1, &message, help)
}

/// A doubt about the whole file.
fn doubt(severity: Severity, message: String, help: &str) -> Problem {
    Problem::new(severity, message).help(help)
}

/// "3 values" or "1 value", for messages.
fn counted(count: usize, quantity: Quantity) -> String {
    let plural = if count == 1 { "value" } else { "values" };
    format!("{count} {plural} of {}", quantity.name())
}
