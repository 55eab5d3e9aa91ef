//! Sun position, refraction, distance, extraterrestrial irradiance, sunrise and sunset.

mod day;
mod ephemeris;
mod horizontal;
mod terms;

pub use day::{SunDay, SunPoint, SunUp, UpParts};
pub use ephemeris::Geocentric;

use crate::time::Instant;
use core::f64::consts::TAU;
use ephemeris::parallax_rad;
use horizontal::{Site, Topocentric};
use libm::{cos, sin, tan};

/// Where the observer stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observer {
    /// Geographic latitude, north positive, -90 to 90 deg.
    pub latitude_deg: f64,
    /// Longitude, east positive, deg.
    pub longitude_deg: f64,
    /// Height above the reference ellipsoid (in practice: above the sea), m.
    pub elevation_m: f64,
}

/// The sun seen by an observer, without atmosphere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunPosition {
    /// Topocentric zenith angle without refraction, 0 to pi, rad.
    pub zenith_rad: f64,
    /// Topocentric azimuth, clockwise from true north, 0 to 2 pi, rad.
    pub azimuth_rad: f64,
    /// Topocentric hour angle, zero at solar noon, afternoon positive, -pi to pi, rad.
    pub hour_angle_rad: f64,
    /// Geocentric declination, rad.
    pub declination_rad: f64,
    /// Topocentric declination, rad.
    pub declination_topocentric_rad: f64,
    /// Geocentric right ascension, 0 to 2 pi, rad.
    pub right_ascension_rad: f64,
    /// Apparent minus mean solar time, min.
    pub equation_of_time_min: f64,
    /// Distance to the sun, AU.
    pub distance_au: f64,
}

/// Sun position by the full algorithm (Reda and Andreas 2004, NREL/TP-560-34302), within 0.0003 deg.
pub fn position(instant: Instant, observer: &Observer) -> SunPosition {
    let sun = Geocentric::at(instant);
    let site = Site::new(observer);
    let hour_angle_rad =
        sun.sidereal_time_rad + observer.longitude_deg.to_radians() - sun.right_ascension_rad;
    let seen = Topocentric::new(
        &site,
        hour_angle_rad,
        [sin(sun.declination_rad), cos(sun.declination_rad)],
        sin(parallax_rad(sun.distance_au)),
    );
    SunPosition {
        zenith_rad: seen.zenith_rad(),
        azimuth_rad: seen.azimuth_rad(),
        hour_angle_rad: seen.hour_angle_rad(),
        declination_rad: sun.declination_rad,
        declination_topocentric_rad: seen.declination_rad(),
        right_ascension_rad: sun.right_ascension_rad,
        equation_of_time_min: sun.equation_of_time_min,
        distance_au: sun.distance_au,
    }
}

/// Elevation below which refraction is not counted: half the sun's disc and 0.5667 deg of refraction under the
/// horizon, deg (the limit of the sun position algorithm, Reda and Andreas 2004).
const REFRACTION_LIMIT_DEG: f64 = -(0.26667 + 0.5667);

/// How much the atmosphere lifts the sun, rad, for the true elevation; zero when the sun is well below the horizon.
///
/// Formula of the sun position algorithm (Reda and Andreas 2004, after Saemundsson 1986). The real atmosphere
/// near the horizon varies by more than the formula's own error.
pub fn refraction_rad(true_elevation_rad: f64, pressure_pa: f64, temperature_c: f64) -> f64 {
    let elevation_deg = true_elevation_rad.to_degrees();
    if elevation_deg < REFRACTION_LIMIT_DEG {
        return 0.0;
    }
    let air = (pressure_pa / 101_000.0) * (283.0 / (273.0 + temperature_c));
    let lifted_deg = elevation_deg + 10.3 / (elevation_deg + 5.11);
    (air * 1.02 / (60.0 * tan(lifted_deg.to_radians()))).to_radians()
}

/// Solar constant, W/m2: G. Kopp and J. Lean, Geophysical Research Letters 38 (2011) L01706 (1360.8, rounded).
pub const SOLAR_CONSTANT_W_M2: f64 = 1361.0;

/// Square of mean over actual distance to the sun on a day of the year (1 = 1 January; fractions allowed).
///
/// J. W. Spencer, Fourier series representation of the position of the sun, Search 2(5) (1971) 172.
pub fn spencer_distance_factor(day_of_year: f64) -> f64 {
    let day_angle_rad = TAU * (day_of_year - 1.0) / 365.0;
    let (s1, c1) = libm::sincos(day_angle_rad);
    let (s2, c2) = libm::sincos(2.0 * day_angle_rad);
    1.000110 + 0.034221 * c1 + 0.001280 * s1 + 0.000719 * c2 + 0.000077 * s2
}

/// Irradiance of a plane that faces the sun outside the atmosphere, W/m2.
pub fn extraterrestrial_normal_w_m2(day_of_year: f64) -> f64 {
    SOLAR_CONSTANT_W_M2 * spencer_distance_factor(day_of_year)
}
