//! Air: temperature, dew point and wind of the hours, from monthly means and the days' clearness.

use std::f64::consts::PI;

use super::days::Days;
use super::monthly::{self, round_keeping_sum, round_to, smooth_course};
use crate::chance::{Chance, Memory, Purpose, normal_share};

/// Correlation of the temperature of neighbouring days, beyond the yearly course: 0.55 to 0.85 by month in three typical
/// years (Greensboro, Daggett, Truckee; TMY3).
const SPELL_PERSISTENCE: f64 = 0.65;

/// Correlation of the wind of neighbouring hours: about 0.8 in the same three years.
const WIND_PERSISTENCE: f64 = 0.8;

/// Place of each month between the coldest (-1) and the warmest (+1); 0 all year where there are no seasons.
fn season(air_c: &[f64; 12]) -> [f64; 12] {
    let coldest = air_c.iter().copied().fold(f64::INFINITY, f64::min);
    let warmest = air_c.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let half_range_k = 0.5 * (warmest - coldest);
    air_c.map(|t| if half_range_k > 1.0 { (t - 0.5 * (warmest + coldest)) / half_range_k } else { 0.0 })
}

/// Air temperature of the hours in degC, in tenths; each month's mean is kept to the rounding.
///
/// - Days differ from the smooth yearly course by 4.4 K in the coldest and 2.0 K in the warmest month (standard deviation; our
///   fit to the three years named above), with memory. In warm months warm days are clear ones, in cold months cloudy ones
///   (correlation up to 0.35; in those years it lies between -0.5 and 0.6).
/// - Within a day: [`swing`] and [`daily_shape`].
pub(super) fn temperature(monthly_c: &[f64; 12], days: &Days, solar_shift_h: f64, seed: u64) -> Vec<f64> {
    let season = smooth_course(&season(monthly_c));
    let mut chance = Chance::new(seed, Purpose::Air);
    let mut memory = Memory::new(SPELL_PERSISTENCE, &mut chance);
    let mut daily_c = smooth_course(monthly_c);
    for (day, value) in daily_c.iter_mut().enumerate() {
        let correlation = 0.35 * season[day].clamp(-1.0, 1.0);
        let own = (1.0 - correlation * correlation).sqrt() * memory.next(&mut chance);
        *value += (3.2 - 1.2 * season[day]) * (own + correlation * days.deviate[day]);
    }
    let swing_k: Vec<f64> = days.clearness.iter().map(|&k| swing(k)).collect();
    let mut air_c: Vec<f64> = (0..daily_c.len() * 24)
        .map(|hour| {
            let middle_h = hour as f64 + 0.5;
            let shape = daily_shape(middle_h + solar_shift_h);
            between_noons(&daily_c, middle_h) + between_noons(&swing_k, middle_h) * shape
        })
        .collect();
    let missing: [f64; 12] = std::array::from_fn(|m| monthly_c[m] - monthly::mean(&air_c[monthly::hours(m)]));
    let lift = smooth_course(&missing);
    air_c.iter_mut().enumerate().for_each(|(hour, t)| *t += lift[hour / 24]);
    for month in 0..12 {
        round_keeping_sum(&mut air_c[monthly::hours(month)], 0.1);
    }
    air_c
}

/// Difference between the warmest and the coldest hour of a day, in K.
///
/// Source: Erbs, Klein & Beckman 1983, ASHRAE Journal 25(6), 60-65: 25.8 K - 5.21 for the monthly clearness K (from memory).
/// We use it day by day, not below 2 K: cloudy days are even.
fn swing(clearness: f64) -> f64 {
    (25.8 * clearness - 5.21).max(2.0)
}

/// Course of temperature within a day about its mean, for a swing of 1, at a solar time.
///
/// Source: same as [`swing`]; four harmonics, lowest near 5 and highest near 15 o'clock.
fn daily_shape(solar_time_h: f64) -> f64 {
    let t = 2.0 * PI * (solar_time_h - 1.0) / 24.0;
    0.4632 * libm::cos(t - 3.805)
        + 0.0984 * libm::cos(2.0 * t - 0.360)
        + 0.0168 * libm::cos(3.0 * t - 0.822)
        + 0.0138 * libm::cos(4.0 * t - 3.513)
}

/// Value at an hour of the year, linear between the noons of the days; the year is a ring.
fn between_noons(daily: &[f64], hour: f64) -> f64 {
    let since_first_noon = (hour - 12.0).rem_euclid(daily.len() as f64 * 24.0) / 24.0;
    let day = since_first_noon as usize % daily.len();
    let share = since_first_noon - since_first_noon.floor();
    daily[day] + share * (daily[(day + 1) % daily.len()] - daily[day])
}

/// Dew point of the hours in degC, in tenths: one value a day, below the day's coldest hour and never above the air.
///
/// Rule: 1 K below the coldest hour in months of clearness 0.55 and less, 0.6 K more for every 0.01 above. Common practice for
/// the humid side; the dry side is our fit (Daggett: 4 K at 0.60, 14 K at 0.73). Rough: good for sky radiation, not for comfort.
pub(super) fn dew_point(air_c: &[f64], monthly_clearness: &[f64; 12]) -> Vec<f64> {
    let below_k = smooth_course(&monthly_clearness.map(|k| 1.0 + 60.0 * (k - 0.55).max(0.0)));
    let coldest_c = air_c.chunks(24).map(|day| day.iter().copied().fold(f64::INFINITY, f64::min));
    coldest_c.zip(below_k).flat_map(|(cold_c, below_k)| [round_to(cold_c - below_k, 0.1); 24]).collect()
}

/// Wind speed of the hours in m/s, in tenths; each month's mean is kept to the rounding.
///
/// Speeds follow a Rayleigh distribution (Weibull of shape 2; Justus et al. 1978, J. Applied Meteorology 17, 350-353, from
/// memory) with memory from hour to hour. The mean at 14 o'clock is 1.25, at 2 o'clock 0.75 of the day's (common practice;
/// afternoon over night is 1.0 to 2 in the years named above).
pub(super) fn wind(monthly_m_s: &[f64; 12], seed: u64) -> Vec<f64> {
    let mut chance = Chance::new(seed, Purpose::Wind);
    let mut memory = Memory::new(WIND_PERSISTENCE, &mut chance);
    let mut wind_m_s = Vec::with_capacity(365 * 24);
    for (month, wanted) in monthly_m_s.iter().enumerate() {
        let range = monthly::hours(month);
        for hour in range.clone() {
            let course = 1.0 + 0.25 * libm::cos(2.0 * PI * ((hour % 24) as f64 + 0.5 - 14.0) / 24.0);
            // Share of calmer hours -> quantile of the Rayleigh distribution.
            let windier = normal_share(-memory.next(&mut chance));
            wind_m_s.push(course * (-libm::log(windier)).sqrt());
        }
        let factor = wanted / monthly::mean(&wind_m_s[range.clone()]);
        wind_m_s[range.clone()].iter_mut().for_each(|w| *w *= factor);
        round_keeping_sum(&mut wind_m_s[range], 0.1);
    }
    wind_m_s
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_coldest_before_sunrise_warmest_in_the_afternoon_and_spans_one_swing() {
        let hours: Vec<f64> = (0..240).map(|i| daily_shape(f64::from(i) / 10.0)).collect();
        let at = |best: fn(f64, f64) -> bool| {
            (0..240)
                .reduce(|a, b| if best(hours[b], hours[a]) { b } else { a })
                .map_or(0.0, |i| i as f64 / 10.0)
        };
        assert!((4.0..6.5).contains(&at(|x, y| x < y)), "{}", at(|x, y| x < y));
        assert!((14.0..16.0).contains(&at(|x, y| x > y)), "{}", at(|x, y| x > y));
        let span =
            hours.iter().copied().fold(f64::MIN, f64::max) - hours.iter().copied().fold(f64::MAX, f64::min);
        // The source scales the shape to a swing of 1; its rounded coefficients allow a few percent.
        assert!((span - 1.0).abs() < 0.03, "{span}");
    }

    #[test]
    fn values_between_noons_meet_the_days_and_close_the_year() {
        let daily: Vec<f64> = (0..365).map(f64::from).collect();
        assert_eq!(between_noons(&daily, 12.0), 0.0);
        assert_eq!(between_noons(&daily, 24.0), 0.5);
        // Midnight of 1 January lies between 31 December (364) and 1 January (0).
        assert_eq!(between_noons(&daily, 0.0), 182.0);
    }

    #[test]
    fn wind_keeps_its_means_and_has_calm_and_windy_hours() {
        let means: [f64; 12] = std::array::from_fn(|m| 2.0 + 0.3 * m as f64);
        let made = wind(&means, 3);
        for month in 0..12 {
            let speeds = &made[monthly::hours(month)];
            // Rounding to 0.1 m/s with carry leaves at most 0.05 m/s in 672 hours or more.
            assert!((monthly::mean(speeds) - means[month]).abs() < 1e-4);
            let variance =
                monthly::mean(&speeds.iter().map(|w| (w - means[month]).powi(2)).collect::<Vec<_>>());
            // Rayleigh: 0.52 of the mean, a little more with the daily course; a month of persistent hours scatters.
            let relative = variance.sqrt() / means[month];
            assert!((0.40..0.75).contains(&relative), "{relative}");
        }
    }
}
