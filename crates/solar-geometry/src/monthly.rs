//! Whole days and monthly means by the closed handbook formulas.
//!
//! They serve where only monthly means are known; the year itself uses [`crate::sun`].

use crate::time::SECONDS_PER_DAY;
use core::f64::consts::{PI, TAU};
use libm::{acos, cos, sin, sincos, tan};

/// Declination of a day of the year, rad: P. Cooper, Solar Energy 12(3) (1969) 333-346. Up to 1.2 deg off.
pub fn declination_cooper_rad(day_of_year: f64) -> f64 {
    23.45_f64.to_radians() * sin(TAU * (284.0 + day_of_year) / 365.0)
}

/// Equation of time of a day of the year, min: J. Spencer, Search 2(5) (1971) 172. Up to 0.9 min off.
pub fn equation_of_time_spencer_min(day_of_year: f64) -> f64 {
    let day_angle_rad = TAU * (day_of_year - 1.0) / 365.0;
    let (s1, c1) = sincos(day_angle_rad);
    let (s2, c2) = sincos(2.0 * day_angle_rad);
    229.2 * (0.000075 + 0.001868 * c1 - 0.032077 * s1 - 0.014615 * c2 - 0.04089 * s2)
}

/// Square of mean over actual distance to the sun, one cosine (Duffie and Beckman, Solar Engineering of Thermal
/// Processes, equation 1.4.1a; also FAO Irrigation and Drainage Paper 56, equation 23). Up to 0.3 % off.
pub fn distance_factor_cosine(day_of_year: f64) -> f64 {
    1.0 + 0.033 * cos(TAU * day_of_year / 365.0)
}

/// Hour angle of sunset on flat ground, rad: 0 in the polar night, pi on the polar day.
pub fn sunset_hour_angle_rad(latitude_rad: f64, declination_rad: f64) -> f64 {
    acos((-tan(latitude_rad) * tan(declination_rad)).clamp(-1.0, 1.0))
}

/// Extraterrestrial energy on the horizontal in one day, J/m2 (Duffie and Beckman, equation 1.10.3).
///
/// `normal_w_m2` is the extraterrestrial irradiance on a plane facing the sun.
pub fn extraterrestrial_day_j_m2(normal_w_m2: f64, latitude_rad: f64, declination_rad: f64) -> f64 {
    normal_w_m2 * SECONDS_PER_DAY / PI * day_integral(latitude_rad, declination_rad, PI)
}

/// Half-day integral over the hour angle of the height of the sun, up to sunset or to a limit if that comes earlier.
fn day_integral(latitude_rad: f64, declination_rad: f64, limit_rad: f64) -> f64 {
    let until_rad = sunset_hour_angle_rad(latitude_rad, declination_rad).min(limit_rad);
    let (sin_latitude, cos_latitude) = sincos(latitude_rad);
    let (sin_declination, cos_declination) = sincos(declination_rad);
    cos_latitude * cos_declination * sin(until_rad) + until_rad * sin_latitude * sin_declination
}

/// Diffuse share of the monthly mean daily global energy: Erbs, Klein and Duffie, Solar Energy 28(4) (1982) 293-302.
///
/// `clearness_frac` is the monthly mean clearness index, taken within 0.3 to 0.8, the range of the relation.
pub fn diffuse_frac_erbs_monthly(clearness_frac: f64, sunset_hour_angle_rad: f64) -> f64 {
    let kt = clearness_frac.clamp(0.3, 0.8);
    if sunset_hour_angle_rad <= 81.4_f64.to_radians() {
        1.391 + kt * (-3.560 + kt * (4.189 - 2.137 * kt))
    } else {
        1.311 + kt * (-3.022 + kt * (3.427 - 1.821 * kt))
    }
}

/// Monthly mean beam on a plane facing the equator over beam on the horizontal: S. Klein, Solar Energy 19 (1977)
/// 325-329. Zero in the polar night.
pub fn beam_ratio_klein(latitude_rad: f64, declination_rad: f64, tilt_rad: f64) -> f64 {
    // A plane tilted towards the equator sees the sun as the horizontal does at a latitude nearer to it.
    let seen_latitude_rad =
        if latitude_rad >= 0.0 { latitude_rad - tilt_rad } else { latitude_rad + tilt_rad };
    let sunset_rad = sunset_hour_angle_rad(latitude_rad, declination_rad);
    if sunset_rad <= 0.0 {
        return 0.0;
    }
    day_integral(seen_latitude_rad, declination_rad, sunset_rad)
        / day_integral(latitude_rad, declination_rad, PI)
}
