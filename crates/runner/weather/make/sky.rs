//! The sun above each hour of a year: what would arrive without air, and through a cloudless sky.

use solar_geometry::clear::{ClearInput, ineichen_perez, standard_pressure_pa};

use super::super::Site;
use super::super::sun_year::{SunBlock, SunYear};

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
    /// Cosine of the hour angle, mean over the part with sun.
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
        let sun = SunYear::on_grid(site, 3600, 0.0);
        let (latitude_sine, latitude_cosine) = libm::sincos(site.latitude_deg.to_radians());
        let mut sky = Self {
            hours: Vec::with_capacity(365 * 24),
            sunset_rad: vec![0.0; 365],
            elevation_m: site.elevation_m,
        };
        for hour in 0..365 * 24 {
            let mut above = HourAbove::default();
            for block in sun.record(hour).iter().filter(|block| block.up_s > 0.0) {
                // The direction in the frame of the poles: its part along the axis is the sine of the declination.
                let declination_sine =
                    block.direction.up * latitude_sine + block.direction.north * latitude_cosine;
                let declination_cosine = (1.0 - declination_sine * declination_sine).sqrt();
                let towards_noon =
                    block.direction.up * latitude_cosine - block.direction.north * latitude_sine;
                add_block(&mut above, block, towards_noon / declination_cosine, site.elevation_m);
                let sunset_cosine =
                    -latitude_sine * declination_sine / (latitude_cosine * declination_cosine);
                sky.sunset_rad[hour / 24] = libm::acos(sunset_cosine.clamp(-1.0, 1.0));
            }
            if above.sun_frac > 0.0 {
                above.hour_angle_cos /= above.sun_frac;
            }
            sky.hours.push(above);
        }
        sky
    }

    /// Irradiation of a level surface without atmosphere, each day, Wh/m2.
    pub(super) fn daily_wh_m2(&self) -> Vec<f64> {
        self.hours.chunks(24).map(|day| day.iter().map(|h| h.horizontal_w_m2).sum()).collect()
    }
}

/// Adds a block with sun to its hour; `hour_angle_cos` counts by the time with sun until the hour is whole.
fn add_block(above: &mut HourAbove, block: &SunBlock, hour_angle_cos: f64, altitude_m: f64) {
    let share = block.up_s / 3600.0;
    above.sun_frac += share;
    above.hour_angle_cos += share * hour_angle_cos;
    above.elevation_sine += block.sine_up_s() / 3600.0;
    above.horizontal_w_m2 += block.extraterrestrial_normal_w_m2 * block.sine_up_s() / 3600.0;
    let clear = ineichen_perez(&ClearInput {
        zenith_apparent_rad: block.zenith_rad,
        altitude_m,
        pressure_pa: standard_pressure_pa(altitude_m),
        extraterrestrial_normal_w_m2: block.extraterrestrial_normal_w_m2,
        linke_turbidity: TURBIDITY,
    });
    above.clear_ghi_w_m2 += share * clear.ghi_w_m2;
    above.clear_dni_w_m2 += share * clear.dni_w_m2;
}

#[cfg(test)]
mod tests {
    use solar_geometry::sun::extraterrestrial_normal_w_m2;

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
            // Blocks of a quarter of an hour and the declination's march over the day: below 0.1 %.
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
