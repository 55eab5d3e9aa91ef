//! Clear and cloudy days: daily clearness indices of a month from its mean.
//!
//! A clearness index is the global horizontal irradiation divided by what would arrive without an atmosphere. Its values
//! within a month follow a distribution that the month's mean fixes; here the days take evenly spaced quantiles of it, so
//! that every made month has the full spread of days, and chance only decides their order.

use super::monthly;
use crate::chance::{Chance, Memory, Purpose};

/// Correlation of the clearness of neighbouring days.
///
/// Source: Graham, Hollands & Huget 1988, Solar Energy 40(2), 83-92: 0.29 for the normal deviate behind the index (from memory).
const PERSISTENCE: f64 = 0.29;

/// Days of a year with their clearness.
pub(super) struct Days {
    /// Clearness index of each day; 0 without sun.
    pub(super) clearness: Vec<f64>,
    /// The normal deviate behind each day's place in its month: above 0 is a clear day as months there go.
    pub(super) deviate: Vec<f64>,
}

/// Lowest clearness of a day in a month of this mean clearness.
fn darkest(mean: f64) -> f64 {
    0.1_f64.min(0.5 * mean)
}

/// Highest clearness of a day in a month of this mean clearness, at a height above the sea.
///
/// Hollands & Huget 1983 (Solar Energy 30(3), 195-209, from memory) let the limit rise with the mean, about 0.05 higher than
/// here; the rise of 0.02 per 1000 m is that of clear days in Allen et al. 1998, FAO Irrigation and Drainage Paper 56,
/// equation 37. The constants are our fit to the daily values of three typical years (Greensboro, Daggett, Truckee; TMY3).
pub(super) fn clearest(mean: f64, elevation_m: f64) -> f64 {
    (0.635 + 0.18 * mean + 2e-5 * elevation_m.max(0.0)).max(mean + 0.02)
}

/// Quantile of an exponential density `exp(slope k)` cut off at both ends.
///
/// Source: Bendt, Collares-Pereira & Rabl 1981, Solar Energy 27(1), 1-5 (from memory): the distribution of daily clearness
/// in a month. Written so that neither sign of a steep slope overflows.
fn quantile(share: f64, slope: f64, low: f64, high: f64) -> f64 {
    let span = high - low;
    if (slope * span).abs() < 1e-6 {
        low + share * span
    } else if slope > 0.0 {
        high + libm::log(share + (1.0 - share) * libm::exp(-slope * span)) / slope
    } else {
        low + libm::log(1.0 - share + share * libm::exp(slope * span)) / slope
    }
}

/// The clearness of every day, from monthly means of irradiation and the daily irradiation without atmosphere (same unit).
///
/// Each month's irradiation comes out as given. A month with mean 0 is dark.
pub(super) fn days(monthly_mean: &[f64; 12], without_air: &[f64], elevation_m: f64, seed: u64) -> Days {
    let mut chance = Chance::new(seed, Purpose::Days);
    let mut memory = Memory::new(PERSISTENCE, &mut chance);
    let deviate: Vec<f64> = without_air.iter().map(|_| memory.next(&mut chance)).collect();
    let mut clearness = vec![0.0; without_air.len()];
    for (month, &wanted) in monthly_mean.iter().enumerate() {
        let range = monthly::days(month);
        let possible = &without_air[range.clone()];
        let count = possible.len();
        let wanted_sum = wanted * count as f64;
        if wanted_sum <= 0.0 {
            continue;
        }
        let mean = wanted_sum / possible.iter().sum::<f64>();
        let mut by_deviate: Vec<usize> = (0..count).collect();
        by_deviate.sort_by(|&a, &b| deviate[range.start + a].total_cmp(&deviate[range.start + b]));
        let fill = |slope: f64, out: &mut [f64]| -> f64 {
            for (rank, &day) in by_deviate.iter().enumerate() {
                let share = (rank as f64 + 0.5) / count as f64;
                out[day] = quantile(share, slope, darkest(mean), clearest(mean, elevation_m));
            }
            out.iter().zip(possible).map(|(k, h)| k * h).sum()
        };
        // The sum rises with the slope, so halving finds the one that gives the month's irradiation.
        let out = &mut clearness[range.clone()];
        let (mut below, mut above) = (-2000.0, 2000.0);
        for _ in 0..80 {
            let middle = 0.5 * (below + above);
            if fill(middle, out) < wanted_sum { below = middle } else { above = middle }
        }
        let reached = fill(0.5 * (below + above), out);
        out.iter_mut().for_each(|k| *k *= wanted_sum / reached);
    }
    Days { clearness, deviate }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_meet_their_limits_and_a_flat_density_is_linear() {
        for slope in [-900.0, -3.0, 0.0, 3.0, 900.0] {
            assert!((quantile(0.0, slope, 0.1, 0.7) - 0.1).abs() < 1e-9, "{slope}");
            assert!((quantile(1.0, slope, 0.1, 0.7) - 0.7).abs() < 1e-9, "{slope}");
        }
        assert!((quantile(0.25, 1e-9, 0.1, 0.7) - 0.25).abs() < 1e-9);
        // By hand: density exp(2k) on 0..1, median = ln((1 + e^2)/2)/2 = 0.71689.
        assert!((quantile(0.5, 2.0, 0.0, 1.0) - 0.71689).abs() < 1e-5);
    }

    #[test]
    fn every_month_has_its_irradiation_and_a_spread_of_days() {
        let without_air: Vec<f64> = (0..365).map(|d| 6.0 + 3.0 * libm::sin(f64::from(d) / 58.0)).collect();
        let means: [f64; 12] = std::array::from_fn(|m| {
            let possible = monthly::mean(&without_air[monthly::days(m)]);
            possible * [0.12, 0.2, 0.3, 0.4, 0.5, 0.55, 0.6, 0.65, 0.7, 0.74, 0.77, 0.0][m]
        });
        let made = days(&means, &without_air, 0.0, 5);
        for (month, wanted) in means.iter().enumerate() {
            let range = monthly::days(month);
            let sum: f64 = range.clone().map(|d| made.clearness[d] * without_air[d]).sum();
            assert!((sum / range.len() as f64 - wanted).abs() < 1e-9, "month {month}");
        }
        let june = &made.clearness[monthly::days(5)];
        let (low, high) = june.iter().fold((1.0, 0.0), |(l, h): (f64, f64), &k| (l.min(k), h.max(k)));
        assert!(low < 0.25 && high > 0.70, "{low} {high}");
    }
}
