//! Columns that must be there, values that cannot be, gaps.

use super::super::draft::{Quantity, Sorted};
use super::super::table::RESTORE;
use super::{counted, doubt, refuse};
use crate::problem::{Problem, Severity};

/// Longest gap that a straight line may bridge, in h, in radiation by day and in air temperature (a rule of this program).
const LONGEST_RADIATION_GAP_H: f64 = 3.0;
const LONGEST_AIR_GAP_H: f64 = 24.0;

/// Wind speed where a file has none, in m/s: the speed at which the wind terms of ISO 9806:2017 vanish.
const WIND_WITHOUT_DATA_M_S: f64 = 3.0;

/// Radiation and air temperature.
pub(super) fn require_columns(sorted: &Sorted, errors: &mut Vec<Problem>) {
    let has = |q: Quantity| sorted.has[q as usize];
    let radiation = has(Quantity::Ghi) || (has(Quantity::Dni) && has(Quantity::Dhi));
    for (there, quantity) in [(radiation, Quantity::Ghi), (has(Quantity::Air), Quantity::Air)] {
        if !there {
            let message = format!("There is no column of {}.", quantity.name());
            errors.push(refuse(
                &sorted.source,
                message,
                "every year needs it; get the file again with this column",
            ));
        }
    }
}

/// Values that cannot be, one message a quantity.
pub(super) fn check_ranges(sorted: &Sorted, errors: &mut Vec<Problem>) {
    for quantity in Quantity::ALL {
        let (low, high) = quantity.range();
        let outside = |v: &[f64; Quantity::COUNT]| v[quantity as usize] < low || v[quantity as usize] > high;
        let Some(first) = sorted.values.iter().position(outside) else { continue };
        let count = sorted.values.iter().filter(|v| outside(v)).count();
        let others = if count > 1 { format!("; there are {count} such values") } else { String::new() };
        let (name, unit, value) = (quantity.name(), quantity.unit(), sorted.values[first][quantity as usize]);
        let message =
            format!("The {name} is {value} {unit}, and must lie between {low} and {high} {unit}{others}.");
        let help = match quantity {
            Quantity::Air | Quantity::DewPoint if value > high => "is the column in degF?",
            _ => "check the unit and the column",
        };
        errors.push(sorted.error(first, &message, help));
    }
}

/// Night offsets of instruments.
pub(super) fn clear_negatives(sorted: &mut Sorted, doubts: &mut Vec<Problem>) {
    for quantity in [Quantity::Ghi, Quantity::Dni, Quantity::Dhi] {
        let mut count = 0;
        for value in sorted.values.iter_mut().map(|v| &mut v[quantity as usize]).filter(|v| **v < 0.0) {
            *value = 0.0;
            count += 1;
        }
        if count > 0 {
            let message = format!("{} below zero count as zero.", counted(count, quantity));
            doubts.push(doubt(Severity::Note, message, "instruments read a little below zero at night"));
        }
    }
}

/// Bridges gaps by straight lines: short ones in radiation and air temperature, any in wind and humidity.
pub(super) fn bridge_gaps(sorted: &mut Sorted, errors: &mut Vec<Problem>, doubts: &mut Vec<Problem>) {
    for quantity in Quantity::ALL.into_iter().filter(|&q| q != Quantity::Dni && q != Quantity::Dhi) {
        let index = quantity as usize;
        let count = sorted.values.len();
        let is_gap = |record: usize| sorted.values[record % count][index].is_nan();
        let missing = (0..count).filter(|&r| is_gap(r)).count();
        let longest_allowed_h = match quantity {
            Quantity::Ghi => LONGEST_RADIATION_GAP_H,
            Quantity::Air => LONGEST_AIR_GAP_H,
            _ => f64::INFINITY,
        };
        let needed = longest_allowed_h.is_finite();
        if missing == 0 || (!needed && !sorted.has[index]) {
            continue;
        }
        if missing == count {
            sorted.has[index] = false;
            if needed {
                errors.push(refuse(
                    &sorted.source,
                    format!("There is no {} in any row.", quantity.name()),
                    RESTORE,
                ));
            }
            continue;
        }
        // Runs of gaps, begun after a record that has a value, so that none is cut by the year's end.
        let begin = (0..count).find(|&r| !is_gap(r)).unwrap_or(0);
        let mut runs: Vec<(usize, usize)> = Vec::new();
        for record in begin..begin + count {
            if is_gap(record) {
                match runs.last_mut() {
                    Some((first, length)) if *first + *length == record => *length += 1,
                    _ => runs.push((record, 1)),
                }
            }
        }
        let (longest_at, longest) = runs.iter().copied().max_by_key(|&(_, length)| length).unwrap_or((0, 0));
        let longest_h = longest as f64 * f64::from(sorted.interval_s) / 3600.0;
        if longest_h > longest_allowed_h {
            let message =
                format!("{} are missing, up to {longest_h:.1} h in a row.", counted(missing, quantity));
            let help = format!(
                "gaps of at most {longest_allowed_h} h can be bridged; get the file again or another one"
            );
            errors.push(sorted.error(longest_at % count, &message, &help));
            continue;
        }
        for (first, length) in runs {
            let before = sorted.values[(first + count - 1) % count][index];
            let after = sorted.values[(first + length) % count][index];
            for step in 0..length {
                let share = (step + 1) as f64 / (length + 1) as f64;
                sorted.values[(first + step) % count][index] = before + share * (after - before);
            }
        }
        let message = format!("{} were missing and lie on straight lines now.", counted(missing, quantity));
        let place = sorted.lines[longest_at % count];
        let help = format!("the longest gap is {longest_h:.1} h");
        doubts.push(doubt(Severity::Warning, message, &help).at_line(sorted.source.as_str(), place));
    }
}

/// A wind speed for files that have none.
pub(super) fn still_wind(sorted: &mut Sorted, doubts: &mut Vec<Problem>) {
    if sorted.has[Quantity::Wind as usize] {
        return;
    }
    for values in &mut sorted.values {
        values[Quantity::Wind as usize] = WIND_WITHOUT_DATA_M_S;
    }
    let message = format!("There is no wind speed: {WIND_WITHOUT_DATA_M_S} m/s counts all year.");
    doubts.push(doubt(Severity::Warning, message, "wind matters to collectors without glass"));
}
