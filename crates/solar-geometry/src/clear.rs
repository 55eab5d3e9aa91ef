//! Clear-sky irradiance.

use crate::sky::air_mass_relative;
use core::f64::consts::FRAC_PI_2;
use libm::{cos, exp, pow};

/// What a clear-sky model starts from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClearInput {
    /// Apparent zenith angle (with refraction), rad.
    pub zenith_apparent_rad: f64,
    /// Height above the sea, m.
    pub altitude_m: f64,
    /// Air pressure, Pa.
    pub pressure_pa: f64,
    /// Extraterrestrial irradiance on a plane facing the sun, W/m2.
    pub extraterrestrial_normal_w_m2: f64,
    /// Linke turbidity at air mass 2: about 2 for very clear cold air, 3 for clean warm air, above 5 for hazy air.
    pub linke_turbidity: f64,
}

/// Irradiance under a cloudless sky, W/m2, with `GHI = DHI + DNI cos zenith`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ClearSky {
    /// Global on the horizontal, W/m2.
    pub ghi_w_m2: f64,
    /// Beam on a plane facing the sun, W/m2.
    pub dni_w_m2: f64,
    /// Diffuse on the horizontal, W/m2.
    pub dhi_w_m2: f64,
}

/// Pressure of the standard atmosphere at sea level, Pa.
pub const STANDARD_PRESSURE_PA: f64 = 101_325.0;

/// Pressure of the standard atmosphere at a height up to 11 km, Pa (US Standard Atmosphere 1976).
pub fn standard_pressure_pa(altitude_m: f64) -> f64 {
    STANDARD_PRESSURE_PA * pow(1.0 - 2.25577e-5 * altitude_m, 5.25588)
}

/// Clear-sky irradiance by P. Ineichen and R. Perez, Solar Energy 73(3) (2002) 151-157. None below the horizon.
pub fn ineichen_perez(input: &ClearInput) -> ClearSky {
    if input.zenith_apparent_rad >= FRAC_PI_2 {
        return ClearSky::default();
    }
    let cos_zenith = cos(input.zenith_apparent_rad);
    let air_mass = air_mass_relative(input.zenith_apparent_rad) * input.pressure_pa / STANDARD_PRESSURE_PA;
    let turbidity = input.linke_turbidity;
    let height_8000 = exp(-input.altitude_m / 8000.0);
    let height_1250 = exp(-input.altitude_m / 1250.0);
    let scale = 5.09e-5 * input.altitude_m + 0.868;
    let attenuation = 3.92e-5 * input.altitude_m + 0.0387;
    let ghi_w_m2 = scale
        * input.extraterrestrial_normal_w_m2
        * cos_zenith
        * exp(-attenuation * air_mass * (height_8000 + height_1250 * (turbidity - 1.0)));
    let beam_w_m2 = input.extraterrestrial_normal_w_m2
        * (0.664 + 0.163 / height_8000)
        * exp(-0.09 * air_mass * (turbidity - 1.0));
    // The paper's correction for very clear air: a least share of diffuse.
    let diffuse_frac = (0.1 - 0.2 * exp(-turbidity)) / (0.1 + 0.882 / height_8000);
    let most_beam_w_m2 = ghi_w_m2 * (1.0 - diffuse_frac).max(0.0) / cos_zenith;
    let dni_w_m2 = beam_w_m2.min(most_beam_w_m2);
    ClearSky { ghi_w_m2, dni_w_m2, dhi_w_m2: ghi_w_m2 - dni_w_m2 * cos_zenith }
}

/// Clear-sky global irradiance on the horizontal from the zenith angle alone, W/m2: B. Haurwitz, Journal of
/// Meteorology 2 (1945) 154-166. None below the horizon.
pub fn haurwitz_ghi_w_m2(zenith_apparent_rad: f64) -> f64 {
    if zenith_apparent_rad >= FRAC_PI_2 {
        return 0.0;
    }
    let cos_zenith = cos(zenith_apparent_rad);
    1098.0 * cos_zenith * exp(-0.059 / cos_zenith)
}
