//! Where the sun stands seen from the centre of the Earth.

use super::terms::{DISTANCE, LATITUDE, LONGITUDE, NUTATION, Series};
use crate::angle::{wrap_positive_rad, wrap_symmetric_rad};
use crate::time::Instant;
use libm::{asin, atan2, cos, sin, tan};

/// Geocentric sun and the orientation of the Earth at one moment, with the intermediate results of the algorithm.
///
/// Sun position algorithm of I. Reda and A. Andreas (Solar Energy 76(5), 2004, 577-589; NREL/TP-560-34302, 2008),
/// uncertainty 0.0003 deg for the years -2000 to 6000.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Geocentric {
    /// Heliocentric longitude of the Earth, 0 to 2 pi, rad.
    pub heliocentric_longitude_rad: f64,
    /// Heliocentric latitude of the Earth, rad.
    pub heliocentric_latitude_rad: f64,
    /// Distance from the Earth to the sun, AU.
    pub distance_au: f64,
    /// Nutation in longitude, rad.
    pub nutation_longitude_rad: f64,
    /// Nutation in obliquity, rad.
    pub nutation_obliquity_rad: f64,
    /// True obliquity of the ecliptic, rad.
    pub true_obliquity_rad: f64,
    /// Apparent longitude of the sun (with nutation and aberration), rad.
    pub apparent_longitude_rad: f64,
    /// Apparent sidereal time at Greenwich, 0 to 2 pi, rad.
    pub sidereal_time_rad: f64,
    /// Right ascension of the sun, 0 to 2 pi, rad.
    pub right_ascension_rad: f64,
    /// Declination of the sun, rad.
    pub declination_rad: f64,
    /// Apparent minus mean solar time, min: positive when the sundial is ahead of the clock.
    pub equation_of_time_min: f64,
}

/// Julian day of the epoch J2000.
const J2000: f64 = 2_451_545.0;
const DAYS_PER_CENTURY: f64 = 36_525.0;
const ARCSECONDS_PER_DEG: f64 = 3_600.0;

impl Geocentric {
    /// Geocentric sun at a moment.
    pub fn at(instant: Instant) -> Self {
        let century_ut = (instant.julian_day_ut - J2000) / DAYS_PER_CENTURY;
        let century = century_ut + instant.delta_t_s / 86_400.0 / DAYS_PER_CENTURY;
        let millennium = century / 10.0;

        let heliocentric_longitude_rad = wrap_positive_rad(series_sum(&LONGITUDE, millennium));
        let heliocentric_latitude_rad = series_sum(&LATITUDE, millennium);
        let distance_au = series_sum(&DISTANCE, millennium);
        let (nutation_longitude_rad, nutation_obliquity_rad) = nutation_rad(century);
        let true_obliquity_rad = mean_obliquity_rad(millennium) + nutation_obliquity_rad;

        // Seen from the Earth the sun stands opposite to the Earth seen from the sun.
        let latitude_rad = -heliocentric_latitude_rad;
        let aberration_rad = -(20.4898 / (ARCSECONDS_PER_DEG * distance_au)).to_radians();
        let apparent_longitude_rad = wrap_positive_rad(
            heliocentric_longitude_rad + core::f64::consts::PI + nutation_longitude_rad + aberration_rad,
        );

        let (sin_obliquity, cos_obliquity) = (sin(true_obliquity_rad), cos(true_obliquity_rad));
        let (sin_longitude, cos_longitude) = (sin(apparent_longitude_rad), cos(apparent_longitude_rad));
        let right_ascension_rad = wrap_positive_rad(atan2(
            sin_longitude * cos_obliquity - tan(latitude_rad) * sin_obliquity,
            cos_longitude,
        ));
        let declination_rad =
            asin(sin(latitude_rad) * cos_obliquity + cos(latitude_rad) * sin_obliquity * sin_longitude);

        // Equation of the equinoxes: what nutation adds to right ascensions along the equator.
        let equinoxes_rad = nutation_longitude_rad * cos_obliquity;
        let sidereal_time_rad =
            wrap_positive_rad(mean_sidereal_time_rad(instant.julian_day_ut, century_ut) + equinoxes_rad);
        let equation_of_time_rad = wrap_symmetric_rad(
            mean_longitude_rad(millennium) - 0.0057183_f64.to_radians() - right_ascension_rad + equinoxes_rad,
        );
        Self {
            heliocentric_longitude_rad,
            heliocentric_latitude_rad,
            distance_au,
            nutation_longitude_rad,
            nutation_obliquity_rad,
            true_obliquity_rad,
            apparent_longitude_rad,
            sidereal_time_rad,
            right_ascension_rad,
            declination_rad,
            equation_of_time_min: 4.0 * equation_of_time_rad.to_degrees(),
        }
    }
}

/// Equatorial horizontal parallax of the sun, rad.
pub(super) fn parallax_rad(distance_au: f64) -> f64 {
    (8.794 / (ARCSECONDS_PER_DEG * distance_au)).to_radians()
}

/// Sum of the series of all powers of the time, in rad (or AU).
fn series_sum(powers: &[&Series], millennium: f64) -> f64 {
    let polynomial = powers.iter().rev().fold(0.0, |sum, series| {
        sum * millennium + series.iter().map(|[a, b, c]| a * cos(b + c * millennium)).sum::<f64>()
    });
    polynomial / 1e8
}

/// Nutation in longitude and in obliquity, rad.
fn nutation_rad(t: f64) -> (f64, f64) {
    // Elongation of the moon, anomalies of sun and moon, argument of latitude and ascending node of the moon.
    let arguments_rad = [
        [297.85036, 445_267.111480, -0.0019142, 1.0 / 189_474.0],
        [357.52772, 35_999.050340, -0.0001603, -1.0 / 300_000.0],
        [134.96298, 477_198.867398, 0.0086972, 1.0 / 56_250.0],
        [93.27191, 483_202.017538, -0.0036825, 1.0 / 327_270.0],
        [125.04452, -1_934.136261, 0.0020708, 1.0 / 450_000.0],
    ]
    .map(|c| polynomial(&c, t).to_radians());
    let (mut longitude, mut obliquity) = (0.0, 0.0);
    for term in &NUTATION {
        let argument_rad: f64 = term.multiples.iter().zip(arguments_rad).map(|(m, x)| m * x).sum();
        let (sine, cosine) = libm::sincos(argument_rad);
        let [a, b, c, d] = term.abcd;
        longitude += (a + b * t) * sine;
        obliquity += (c + d * t) * cosine;
    }
    let unit_rad = (1e-4 / ARCSECONDS_PER_DEG).to_radians();
    (longitude * unit_rad, obliquity * unit_rad)
}

fn mean_obliquity_rad(millennium: f64) -> f64 {
    let arcseconds = polynomial(
        &[84_381.448, -4_680.93, -1.55, 1_999.25, -51.38, -249.67, -39.05, 7.12, 27.87, 5.79, 2.45],
        millennium / 10.0,
    );
    (arcseconds / ARCSECONDS_PER_DEG).to_radians()
}

fn mean_sidereal_time_rad(julian_day_ut: f64, century_ut: f64) -> f64 {
    // The whole turns are taken off first: they would cost digits.
    let days = julian_day_ut - J2000;
    let turns_deg = 360.0 * (days - days.floor()) + 0.985_647_366_29 * days;
    let slow_deg = polynomial(&[280.460_618_37, 0.0, 0.000_387_933, -1.0 / 38_710_000.0], century_ut);
    (turns_deg + slow_deg).to_radians()
}

fn mean_longitude_rad(millennium: f64) -> f64 {
    polynomial(
        &[
            280.466_456_7,
            360_007.698_277_9,
            0.030_320_28,
            1.0 / 49_931.0,
            -1.0 / 15_300.0,
            -1.0 / 2_000_000.0,
        ],
        millennium,
    )
    .to_radians()
}

fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}
