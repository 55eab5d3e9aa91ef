//! Sunrise, sunset and the sunlit parts of an interval, against the full algorithm.

use proptest::prelude::*;
use solar_geometry::sun::{Observer, SunDay, SunUp, position};
use solar_geometry::time::{Instant, month_and_day};
use std::f64::consts::FRAC_PI_2;

struct Day {
    fast: SunDay,
    midnight: Instant,
    observer: Observer,
}

impl Day {
    fn new(day_of_year: u32, utc_offset_h: f64, latitude_deg: f64, longitude_deg: f64) -> Self {
        let observer = Observer { latitude_deg, longitude_deg, elevation_m: 0.0 };
        let (month, day) = month_and_day(day_of_year);
        Self {
            fast: SunDay::new(2022, month, day, utc_offset_h, &observer),
            midnight: Instant::from_utc(2022, month, day, -utc_offset_h),
            observer,
        }
    }

    /// True elevation by the full algorithm, rad.
    fn elevation_rad(&self, seconds: f64) -> f64 {
        FRAC_PI_2 - position(self.midnight.plus_seconds(seconds), &self.observer).zenith_rad
    }
}

/// Half a second before and after, the full algorithm has the sun on either side of the horizon.
#[test]
fn sunrise_and_sunset_within_half_a_second() {
    for latitude_deg in [-64.0, -33.0, 0.0, 21.0, 40.0, 52.0, 65.0] {
        for day_of_year in (1..=365).step_by(14) {
            for elevation_deg in [0.0_f64, -0.8333] {
                let day = Day::new(day_of_year, 1.0, latitude_deg, 25.0);
                let limit_rad = elevation_deg.to_radians();
                let SunUp::Part { sunrise_s: Some(rise_s), sunset_s: Some(set_s) } =
                    day.fast.sun_up(limit_rad)
                else {
                    panic!("the sun rises and sets at {latitude_deg} on day {day_of_year}");
                };
                let above = |seconds: f64| day.elevation_rad(seconds) > limit_rad;
                assert!(!above(rise_s - 0.5) && above(rise_s + 0.5), "sunrise {latitude_deg} {day_of_year}");
                assert!(above(set_s - 0.5) && !above(set_s + 0.5), "sunset {latitude_deg} {day_of_year}");
                assert!(rise_s < day.fast.transit_s() && day.fast.transit_s() < set_s);
            }
        }
    }
}

/// An almanac's day: Greenwich (51.48 N, 0 E) on 21 June 2022, standard time. Upper limb with mean refraction 3:43 and
/// 20:21, transit 12:02 (from memory of printed almanacs, to the minute).
#[test]
fn greenwich_midsummer() {
    let observer = Observer { latitude_deg: 51.48, longitude_deg: 0.0, elevation_m: 0.0 };
    let day = SunDay::new(2022, 6, 21, 0.0, &observer);
    let SunUp::Part { sunrise_s: Some(rise_s), sunset_s: Some(set_s) } =
        day.sun_up((-0.8333_f64).to_radians())
    else {
        panic!("the sun rises and sets at Greenwich");
    };
    let minutes = |seconds: f64| seconds / 60.0;
    assert!((minutes(rise_s) - 223.0).abs() < 1.0, "{}", minutes(rise_s));
    assert!((minutes(set_s) - 1221.0).abs() < 1.0, "{}", minutes(set_s));
    assert!((minutes(day.transit_s()) - 722.0).abs() < 1.0, "{}", minutes(day.transit_s()));
}

/// Through a polar year: night, then days with sunrise, midnight sun, and back; and at the pole itself one sunrise
/// and one sunset a year.
#[test]
fn polar_year() {
    for (latitude_deg, fewest, most) in [(78.2, 80, 140), (90.0, 170, 200)] {
        let mut night = 0;
        let mut long_day = 0;
        for day_of_year in 1..=365 {
            let day = Day::new(day_of_year, 1.0, latitude_deg, 15.6);
            let noon_rad = day.elevation_rad(day.fast.transit_s());
            match day.fast.sun_up(0.0) {
                SunUp::PolarNight => {
                    night += 1;
                    assert!(noon_rad <= 0.0);
                }
                SunUp::PolarDay => {
                    long_day += 1;
                    let midnight_s = day.fast.transit_s() + 43_200.0;
                    assert!(noon_rad > 0.0 && day.elevation_rad(midnight_s) > -1e-5);
                }
                SunUp::Part { sunrise_s, sunset_s } => {
                    for crossing_s in sunrise_s.into_iter().chain(sunset_s) {
                        assert!(day.elevation_rad(crossing_s).abs() < 1e-6, "{day_of_year}");
                    }
                }
            }
        }
        assert!((fewest..=most).contains(&night), "{night} nights at {latitude_deg}");
        assert!((fewest..=200).contains(&long_day), "{long_day} long days at {latitude_deg}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    /// The sunlit time of any interval is what sampling the full algorithm at half minutes gives, each crossing
    /// (four at most) off by at most one sample; it is the same when the interval is cut.
    #[test]
    fn sunlit_part_of_an_interval(
        latitude_deg in -90.0..=90.0, longitude_deg in -180.0..=180.0, day_of_year in 1_u32..=365,
        from_h in 0.0..24.0, length_h in 0.1..24.0, cut_frac in 0.0..1.0,
    ) {
        let utc_offset_h = f64::round(longitude_deg / 15.0);
        let day = Day::new(day_of_year, utc_offset_h, latitude_deg, longitude_deg);
        let (from_s, until_s) = (3600.0 * from_h, 3600.0 * f64::min(from_h + length_h, 24.0));
        let up = day.fast.up_parts(from_s, until_s);
        const STEP_S: f64 = 30.0;
        let samples = ((until_s - from_s) / STEP_S) as u32;
        let sampled_s = STEP_S
            * (0..samples)
                .filter(|sample| day.fast.at(from_s + STEP_S * (f64::from(*sample) + 0.5)).cos_zenith > 0.0)
                .count() as f64;
        prop_assert!((up.total_s() - sampled_s).abs() < 5.0 * STEP_S, "{up:?} {sampled_s}");
        for (start_s, end_s) in up.as_slice() {
            prop_assert!(from_s <= *start_s && start_s < end_s && *end_s <= until_s);
            for edge_s in [start_s, end_s] {
                let at_end_of_interval = *edge_s == from_s || *edge_s == until_s;
                prop_assert!(at_end_of_interval || day.elevation_rad(*edge_s).abs() < 1e-6);
            }
        }
        let cut_s = from_s + cut_frac * (until_s - from_s);
        let in_two_s = day.fast.up_parts(from_s, cut_s).total_s() + day.fast.up_parts(cut_s, until_s).total_s();
        prop_assert!((in_two_s - up.total_s()).abs() < 2.0, "{in_two_s} {up:?}");
    }
}
