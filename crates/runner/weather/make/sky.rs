//! The sun above each hour of a year: what would arrive without air, and through a cloudless sky.

use solar_geometry::clear::{ClearInput, ineichen_perez, standard_pressure_pa};
use solar_geometry::sun::{Observer, SunDay, extraterrestrial_normal_w_m2};
use solar_geometry::time::{DAYS_IN_MONTH, SECONDS_PER_DAY};

use super::super::Site;

/// Calendar year whose sun is used; between years of 365 days the sun differs by at most 0.4 deg of declination.
const SUN_YEAR: i32 = 2001;

/// Blocks an hour is divided into; the sun is taken at the middle of each.
const BLOCKS: usize = 12;

/// Linke turbidity of very clear air: what a cloudless sky can let through at most, everywhere and always.
const TURBIDITY: f64 = 2.0;

/// The sun above one hour.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct HourAbove {
    /// Irradiance of a level surface without atmosphere, mean over the hour, W/m2.
    pub(super) horizontal_w_m2: f64,
    /// Mean over the hour of the sine of the elevation, counted zero below the horizon.
    pub(super) elevation_sine: f64,
    /// Share of the hour with the sun up.
    pub(super) sun_frac: f64,
    /// Cosine of the hour angle, mean over the hour.
    pub(super) hour_angle_cos: f64,
    /// Global horizontal irradiance under a cloudless sky, W/m2.
    pub(super) clear_ghi_w_m2: f64,
    /// Direct normal irradiance under a cloudless sky, mean over the hour, W/m2.
    pub(super) clear_dni_w_m2: f64,
}

/// The sun above all hours of a year, on local standard time.
pub(super) struct Sky {
    pub(super) hours: Vec<HourAbove>,
    /// Hour angle of sunset each day, 0 (no sun) to pi (no night), rad.
    pub(super) sunset_rad: Vec<f64>,
    /// Height of the site above the sea, m.
    pub(super) elevation_m: f64,
}

impl Sky {
    /// The sun above a site.
    pub(super) fn new(site: &Site) -> Self {
        let observer = Observer {
            latitude_deg: site.latitude_deg,
            longitude_deg: site.longitude_deg,
            elevation_m: site.elevation_m,
        };
        let mut sky = Self {
            hours: Vec::with_capacity(365 * 24),
            sunset_rad: Vec::with_capacity(365),
            elevation_m: site.elevation_m,
        };
        let mut sun = SunDay::new(SUN_YEAR, 1, 1, site.utc_offset_h, &observer);
        let days: u32 = DAYS_IN_MONTH.iter().sum();
        for day in 1..=days {
            let normal_w_m2 = extraterrestrial_normal_w_m2(f64::from(day));
            sky.hours.extend((0..24).map(|hour| hour_above(&sun, hour, normal_w_m2, site.elevation_m)));
            let declination_rad = sun.declination_rad(0.5 * SECONDS_PER_DAY);
            let cosine = -libm::tan(site.latitude_deg.to_radians()) * libm::tan(declination_rad);
            sky.sunset_rad.push(libm::acos(cosine.clamp(-1.0, 1.0)));
            sun = sun.next_day();
        }
        sky
    }

    /// Irradiation of a level surface without atmosphere, each day, Wh/m2.
    pub(super) fn daily_wh_m2(&self) -> Vec<f64> {
        self.hours.chunks(24).map(|day| day.iter().map(|h| h.horizontal_w_m2).sum()).collect()
    }
}

/// The sun above one hour of a day.
fn hour_above(sun: &SunDay, hour: u32, normal_w_m2: f64, altitude_m: f64) -> HourAbove {
    let share = 1.0 / BLOCKS as f64;
    let mut above = HourAbove::default();
    for block in 0..BLOCKS {
        let point = sun.at(3600.0 * (f64::from(hour) + (block as f64 + 0.5) * share));
        above.hour_angle_cos += share * libm::cos(point.hour_angle_rad);
        if point.cos_zenith > 0.0 {
            above.sun_frac += share;
            above.elevation_sine += share * point.cos_zenith;
            let clear = ineichen_perez(&ClearInput {
                zenith_apparent_rad: point.zenith_rad,
                altitude_m,
                pressure_pa: standard_pressure_pa(altitude_m),
                extraterrestrial_normal_w_m2: normal_w_m2,
                linke_turbidity: TURBIDITY,
            });
            above.clear_ghi_w_m2 += share * clear.ghi_w_m2;
            above.clear_dni_w_m2 += share * clear.dni_w_m2;
        }
    }
    above.horizontal_w_m2 = above.elevation_sine * normal_w_m2;
    above
}

#[cfg(test)]
mod tests {
    use super::*;

    fn site(latitude_deg: f64) -> Site {
        Site { name: String::new(), latitude_deg, longitude_deg: -90.0, elevation_m: 0.0, utc_offset_h: -6.0 }
    }

    #[test]
    fn days_without_air_agree_with_the_closed_form() {
        // Closed form of a day's irradiation (any handbook): 24/pi G0 (cos phi cos delta sin w + w sin phi sin delta).
        for (latitude_deg, day) in [(0.0, 80), (40.0, 171), (40.0, 354), (-35.0, 354), (80.0, 171)] {
            let sky = Sky::new(&site(latitude_deg));
            let phi = f64::to_radians(latitude_deg);
            // The sun's declination at both solstices of these days is 23.43 deg, at the equinox within 0.4 deg of 0.
            let delta = f64::to_radians(match day {
                171 => 23.43,
                354 => -23.43,
                _ => 0.0,
            });
            let sunset = sky.sunset_rad[day];
            let g0 = extraterrestrial_normal_w_m2(day as f64 + 1.0);
            let expected = 24.0 / std::f64::consts::PI
                * g0
                * (libm::cos(phi) * libm::cos(delta) * libm::sin(sunset)
                    + sunset * libm::sin(phi) * libm::sin(delta));
            // Blocks of five minutes and the declination's march over the day: below 0.1 %.
            let got = sky.daily_wh_m2()[day];
            assert!((got / expected - 1.0).abs() < 1e-3, "{latitude_deg} {day}: {got} {expected}");
        }
    }

    #[test]
    fn polar_nights_are_dark_and_the_sun_is_highest_at_noon() {
        let sky = Sky::new(&site(75.0));
        assert_eq!(sky.daily_wh_m2()[355], 0.0);
        assert_eq!(sky.sunset_rad[355], 0.0);
        let june = &sky.hours[171 * 24..172 * 24];
        assert!(june.iter().all(|h| h.sun_frac == 1.0 || (h.sun_frac - 1.0).abs() < 1e-12));
        let noon = june.iter().map(|h| h.horizontal_w_m2).fold(0.0, f64::max);
        // Longitude -90 deg lies on the meridian of UTC-6: noon is the joint of the hours 11 and 12.
        assert!(june[11].horizontal_w_m2 == noon || june[12].horizontal_w_m2 == noon);
    }
}
