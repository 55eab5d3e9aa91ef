//! How far apart two years are in their spread of clear and cloudy days.

use super::super::WeatherYear;
use super::sky::Sky;

/// Daily irradiation without atmosphere below which a day's clearness says nothing, Wh/m2.
const DARK_DAY_WH_M2: f64 = 200.0;

/// Clearness index of the days of a year: global horizontal irradiation over what would arrive without an atmosphere.
///
/// Days of polar night (under 0.2 kWh/m2 without atmosphere) are left out.
pub fn daily_clearness(year: &WeatherYear) -> Vec<f64> {
    let without_air = Sky::new(&year.site).daily_wh_m2();
    let interval_s = f64::from(year.interval_s);
    let mut daily_wh_m2 = vec![0.0; without_air.len()];
    for (record, ghi_w_m2) in year.ghi_w_m2.iter().enumerate() {
        let middle_s = year.first_start_s + (record as f64 + 0.5) * interval_s;
        let day = (middle_s / 86_400.0).rem_euclid(daily_wh_m2.len() as f64) as usize;
        daily_wh_m2[day] += ghi_w_m2 * interval_s / 3600.0;
    }
    let lit = daily_wh_m2.iter().zip(&without_air).filter(|(_, possible)| **possible >= DARK_DAY_WH_M2);
    lit.map(|(sun, possible)| sun / possible).collect()
}

/// Largest gap between the cumulative distributions of the daily clearness of two years, all months pooled; 0 (alike) to 1.
///
/// This is the two-sample statistic of Kolmogorov and Smirnov. Two samples of 365 days from the same climate differ by up to
/// 0.10 in 19 of 20 cases if their days are independent (1.36 sqrt(2/365), any statistics text).
pub fn clearness_distance(a: &WeatherYear, b: &WeatherYear) -> f64 {
    largest_gap(daily_clearness(a), daily_clearness(b))
}

/// Largest gap between the cumulative distributions of two samples.
fn largest_gap(mut a: Vec<f64>, mut b: Vec<f64>) -> f64 {
    a.sort_by(f64::total_cmp);
    b.sort_by(f64::total_cmp);
    let share_up_to =
        |sorted: &[f64], x: f64| sorted.partition_point(|&v| v <= x) as f64 / sorted.len() as f64;
    a.iter().chain(&b).map(|&x| (share_up_to(&a, x) - share_up_to(&b, x)).abs()).fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gaps_of_small_samples_by_hand() {
        assert_eq!(largest_gap(vec![1.0, 2.0, 3.0], vec![3.0, 1.0, 2.0]), 0.0);
        assert_eq!(largest_gap(vec![1.0, 2.0], vec![3.0, 4.0]), 1.0);
        // Up to 2: all of the first sample, one of four of the second.
        assert_eq!(largest_gap(vec![1.0, 2.0], vec![1.5, 3.0, 4.0, 5.0]), 0.75);
    }
}
