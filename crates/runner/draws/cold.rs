//! Incoming cold water: one temperature for each day of the year.

use solar_geometry::time::DAYS_IN_MONTH;

use super::clock::{DAY_S, DAYS_PER_YEAR, YEAR_S, month_of};
use crate::job::ColdWater;
use crate::weather::WeatherYear;

/// What the ground, and the water in it, makes of a year of outdoor air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirClimate {
    /// Yearly mean in degC.
    pub mean_c: f64,
    /// Warmest minus coldest monthly mean, in K.
    pub monthly_swing_k: f64,
    /// True south of the equator.
    pub southern: bool,
}

impl AirClimate {
    /// Means of the records of a weather year; a record belongs to the month in which its middle lies.
    pub fn of(weather: &WeatherYear) -> Self {
        let interval_s = f64::from(weather.interval_s);
        let mut sums = [(0.0, 0.0); 12];
        for (record, air_c) in (0_u32..).zip(&weather.air_c) {
            let middle_s = weather.first_start_s + (f64::from(record) + 0.5) * interval_s;
            let day = (middle_s.rem_euclid(f64::from(YEAR_S)) / f64::from(DAY_S)) as u32 + 1;
            let (sum, count) = &mut sums[month_of(day.min(DAYS_PER_YEAR))];
            *sum += air_c;
            *count += 1.0;
        }
        let means = sums.map(|(sum, count)| sum / count);
        let coldest_c = means.into_iter().fold(f64::INFINITY, f64::min);
        let warmest_c = means.into_iter().fold(f64::NEG_INFINITY, f64::max);
        Self {
            mean_c: weather.air_c.iter().sum::<f64>() / weather.air_c.len() as f64,
            monthly_swing_k: warmest_c - coldest_c,
            southern: weather.site.latitude_deg < 0.0,
        }
    }
}

/// Incoming cold water in degC on each day, 1 January first; the same from one midnight of standard time to the next.
///
/// Monthly values stand in the middle of their month and are joined by straight lines, December to January too; a day
/// takes the value at its noon. So the mean of a month's days may differ a little from the value given for it.
pub fn cold_water_by_day(cold_water: &ColdWater, air: &AirClimate) -> [f64; DAYS_PER_YEAR as usize] {
    let by_day = |value: &dyn Fn(f64) -> f64| core::array::from_fn(|index| value(index as f64 + 1.0));
    match cold_water {
        ColdWater::Constant(level_c) => by_day(&|_| *level_c),
        ColdWater::Monthly(means_c) => by_day(&|day| between_months(means_c, day - 0.5)),
        ColdWater::Cosine { mean_c, amplitude_k, coldest_day } => by_day(&|day| {
            let turn = (day - coldest_day) / f64::from(DAYS_PER_YEAR);
            mean_c - amplitude_k * libm::cos(2.0 * core::f64::consts::PI * turn)
        }),
        ColdWater::FromWeather => by_day(&|day| burch_christensen_c(air, day)),
    }
}

/// Straight line between the middles of months, `days` after the year's beginning.
fn between_months(means_c: &[f64; 12], days: f64) -> f64 {
    let mut month_start = 0.0;
    let middles = DAYS_IN_MONTH.map(|length| {
        let middle = month_start + f64::from(length) / 2.0;
        month_start += f64::from(length);
        middle
    });
    let year = f64::from(DAYS_PER_YEAR);
    let after = middles.iter().position(|&middle| middle > days).unwrap_or(0);
    let before = (after + 11) % 12;
    let length = (middles[after] - middles[before]).rem_euclid(year);
    let part = (days - middles[before]).rem_euclid(year) / length;
    means_c[before] + part * (means_c[after] - means_c[before])
}

/// Burch and Christensen (2007), "Towards Development of an Algorithm for Mains Water Temperature", ASES:
/// `(mean + 6) + R (swing/2) sin(0.986 (day - 15 - L) - 90)` in degF and degrees, `R = 0.4 + 0.01 (mean - 44)`,
/// `L = 35 - (mean - 44)` days.
///
/// The fit is on cities of the United States. South of the equator the sine changes its sign (from memory). Never below
/// 32.5 degF: it must still flow.
fn burch_christensen_c(air: &AirClimate, day: f64) -> f64 {
    const COLDEST_F: f64 = 32.5;
    let mean_f = air.mean_c * 1.8 + 32.0;
    let swing_f = air.monthly_swing_k * 1.8;
    let ratio = 0.4 + 0.01 * (mean_f - 44.0);
    let lag_days = 35.0 - (mean_f - 44.0);
    let quarter_deg = if air.southern { 90.0 } else { -90.0 };
    let angle_deg: f64 = 0.986 * (day - 15.0 - lag_days) + quarter_deg;
    let level_f = mean_f + 6.0 + ratio * swing_f / 2.0 * libm::sin(angle_deg.to_radians());
    (level_f.max(COLDEST_F) - 32.0) / 1.8
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draws::weather_for_tests;

    /// Independent worked values; origin in the file.
    const WORKED: &str = include_str!("../../../tests/data/water/mains_worked.csv");

    fn air_f(mean_f: f64, swing_f: f64) -> AirClimate {
        AirClimate { mean_c: (mean_f - 32.0) / 1.8, monthly_swing_k: swing_f / 1.8, southern: false }
    }

    fn year_f(air: &AirClimate) -> [f64; 365] {
        cold_water_by_day(&ColdWater::FromWeather, air).map(|level_c| level_c * 1.8 + 32.0)
    }

    #[test]
    fn burch_christensen_meets_the_worked_values() {
        let mid_month_days = [15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349];
        // All numbers are printed to 0.01 F, the yearly mean of the last row among them, which shifts its levels once more.
        let tolerance_f = 0.01;
        let mut rows = 0;
        for line in WORKED.lines().filter(|line| line.starts_with(|first: char| first.is_ascii_digit())) {
            let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
            let levels_f = year_f(&air_f(cells[0], cells[1]));
            for (day, wanted_f) in mid_month_days.into_iter().zip(&cells[6..]) {
                let got_f = levels_f[day - 1];
                assert!((got_f - wanted_f).abs() < tolerance_f, "{line}: {got_f} on day {day}");
            }
            for (wanted_f, day) in [(cells[2], cells[3]), (cells[4], cells[5])] {
                assert!((levels_f[day as usize - 1] - wanted_f).abs() < tolerance_f, "{line}: day {day}");
            }
            rows += 1;
        }
        assert_eq!(rows, 7);
    }

    #[test]
    fn the_southern_year_swings_the_other_way_and_no_water_is_ice() {
        let north = air_f(60.0, 30.0);
        let south = AirClimate { southern: true, ..north };
        for (a, b) in year_f(&north).into_iter().zip(year_f(&south)) {
            // Both swing about 66 F.
            assert!((a + b - 132.0).abs() < 1e-9);
        }
        // 24 F mean, 80 F swing: R = 0.2, 30 - 8 = 22 F at its coldest without the limit.
        let coldest_f = year_f(&air_f(24.0, 80.0)).into_iter().fold(f64::INFINITY, f64::min);
        assert!((coldest_f - 32.5).abs() < 1e-9);
    }

    #[test]
    fn the_cosine_meets_its_closed_form() {
        let cosine = ColdWater::Cosine { mean_c: 16.0, amplitude_k: 5.5, coldest_day: 35.0 };
        let levels_c = cold_water_by_day(&cosine, &air_f(50.0, 30.0));
        // Closed form, eight figures; computed independently.
        for (day, wanted_c) in [(1, 11.415443), (35, 10.5), (100, 13.598418), (217, 21.499796)] {
            assert!((levels_c[day - 1] - wanted_c).abs() < 1e-6, "day {day}: {}", levels_c[day - 1]);
        }
        // The cosine sums to zero over a whole year.
        assert!((levels_c.iter().sum::<f64>() / 365.0 - 16.0).abs() < 1e-12);
    }

    #[test]
    fn monthly_values_stand_in_mid_month_and_are_joined_by_lines() {
        let mut means_c = [10.0; 12];
        means_c[0] = 4.0;
        means_c[11] = 8.0;
        let levels_c = cold_water_by_day(&ColdWater::Monthly(means_c), &air_f(50.0, 30.0));
        // January's middle is the noon of day 16, December's the noon of day 350 (334 + 16).
        assert!((levels_c[15] - 4.0).abs() < 1e-12);
        assert!((levels_c[349] - 8.0).abs() < 1e-12);
        // 31 days from the one to the other; the noon of 31 December is 15 days on.
        assert!((levels_c[364] - (8.0 - 4.0 * 15.0 / 31.0)).abs() < 1e-12);
        assert!((levels_c[0] - (8.0 - 4.0 * 16.0 / 31.0)).abs() < 1e-12);
        assert_eq!(levels_c[200], 10.0);
    }

    #[test]
    fn constant_is_constant() {
        assert_eq!(cold_water_by_day(&ColdWater::Constant(12.0), &air_f(50.0, 30.0)), [12.0; 365]);
    }

    #[test]
    fn the_climate_is_read_from_the_records() {
        // July at 25 degC, January at -5 degC, the rest at 10 degC: 31 days each above and below.
        let air = |day: u32| match month_of(day) {
            0 => -5.0,
            6 => 25.0,
            _ => 10.0,
        };
        let mut weather = weather_for_tests(|hour| air(hour / 24 + 1));
        let climate = AirClimate::of(&weather);
        assert!((climate.mean_c - 10.0).abs() < 1e-9);
        assert!((climate.monthly_swing_k - 30.0).abs() < 1e-9);
        assert!(!climate.southern);

        // Records centred on whole hours: the first one straddles the turn of the year, but its middle lies in January.
        weather.first_start_s = -1800.0;
        weather.site.latitude_deg = -35.0;
        let climate = AirClimate::of(&weather);
        assert!((climate.monthly_swing_k - 30.0).abs() < 1e-9);
        assert!(climate.southern);
    }
}
