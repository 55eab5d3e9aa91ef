//! Months: their hours, a smooth course through twelve means, and rounding that keeps sums.

use std::ops::Range;

use super::super::calendar::{DAYS_BEFORE_MONTH, DAYS_IN_MONTH};

/// Days of the year in a month (0 = January).
pub(super) fn days(month: usize) -> Range<usize> {
    let first = DAYS_BEFORE_MONTH[month] as usize;
    first..first + DAYS_IN_MONTH[month] as usize
}

/// Hours of the year in a month (0 = January).
pub(super) fn hours(month: usize) -> Range<usize> {
    let days = days(month);
    days.start * 24..days.end * 24
}

/// Mean of some values.
pub(super) fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// A smooth daily course whose monthly means are exactly the ones given.
///
/// Starts from steps and lets each day become the mean of itself and its neighbours, then lifts each month back to its mean,
/// again and again. Idea: Rymes & Myers 2001, Solar Energy 71(4), 225-231 (from memory); here the year is a closed ring.
pub(super) fn smooth_course(monthly: &[f64; 12]) -> Vec<f64> {
    /// Passes: about the days of half a month squared, the time smoothing needs to cross from joint to middle.
    const PASSES: usize = 300;
    let mut course: Vec<f64> = (0..12).flat_map(|m| days(m).map(move |_| monthly[m])).collect();
    let count = course.len();
    let mut before = course.clone();
    for _ in 0..PASSES {
        before.copy_from_slice(&course);
        for day in 0..count {
            let (left, right) = (before[(day + count - 1) % count], before[(day + 1) % count]);
            course[day] = (left + before[day] + right) / 3.0;
        }
        for month in 0..12 {
            let lift = monthly[month] - mean(&course[days(month)]);
            course[days(month)].iter_mut().for_each(|x| *x += lift);
        }
    }
    course
}

/// Rounds to multiples of a step and hands what is lost on to the next value, so that the sum is kept to half a step.
/// Values of zero stay zero: night takes no part.
pub(super) fn round_keeping_sum(values: &mut [f64], step: f64) {
    let mut carried = 0.0;
    for value in values.iter_mut().filter(|v| **v != 0.0) {
        let wanted = *value + carried;
        *value = round_to(wanted, step);
        carried = wanted - *value;
    }
}

/// The nearest multiple of a step whose inverse is whole, as the decimal number a file would show.
pub(in crate::weather) fn round_to(value: f64, step: f64) -> f64 {
    let per_unit = libm::round(1.0 / step);
    libm::round(value * per_unit) / per_unit + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    const MEANS: [f64; 12] = [1.0, 3.0, 8.0, 13.0, 18.0, 23.0, 25.0, 24.0, 20.0, 14.0, 8.0, 3.0];

    #[test]
    fn smooth_course_keeps_means_and_has_no_jumps() {
        let course = smooth_course(&MEANS);
        for month in 0..12 {
            assert!((mean(&course[days(month)]) - MEANS[month]).abs() < 1e-9, "month {month}");
        }
        // Neighbouring means differ by up to 6 K in 30 days, 0.2 K a day; a step course would jump by 6 K at once.
        let largest = (0..365).map(|d| (course[(d + 1) % 365] - course[d]).abs()).fold(0.0, f64::max);
        assert!(largest < 0.4, "{largest}");
    }

    #[test]
    fn rounding_keeps_the_sum_and_leaves_the_night_dark() {
        let mut values: Vec<f64> =
            (0..500).map(|i| if i % 3 == 0 { 0.0 } else { 0.31 * f64::from(i) }).collect();
        let sum: f64 = values.iter().sum();
        round_keeping_sum(&mut values, 1.0);
        assert!((values.iter().sum::<f64>() - sum).abs() <= 0.5 + 1e-9);
        assert!(values.iter().all(|v| v.fract() == 0.0));
        assert!(values.iter().step_by(3).all(|&v| v == 0.0));
    }

    #[test]
    fn tenths_are_the_numbers_a_file_shows() {
        assert_eq!(round_to(21.249, 0.1), 21.2);
        assert_eq!(round_to(-0.04, 0.1).to_string(), "0");
    }
}
