//! Irradiance on a plane from beam and diffuse on the horizontal, one function a model.

use crate::surface::beam_ratio;
use libm::{cos, pow, sin};

/// How the diffuse light of the sky is spread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SkyModel {
    /// Equally bright everywhere (B. Liu and R. Jordan, Solar Energy 4(3) (1960) 1-19).
    Isotropic,
    /// A part around the sun, the rest even (J. Hay and J. Davies, Proc. First Canadian Solar Radiation Data
    /// Workshop (1980) 59-72).
    HayDavies,
    /// The same with a brighter horizon (D. Reindl, W. Beckman and J. Duffie, Solar Energy 45(1) (1990) 9-17, with
    /// the horizon term of T. Klucher 1979).
    Hdkr,
    /// Circumsolar and horizon parts by sky clearness and brightness, coefficients of all sites together (R. Perez,
    /// P. Ineichen, R. Seals, J. Michalsky and R. Stewart, Solar Energy 44(5) (1990) 271-289).
    Perez1990,
}

/// What a sky model needs to know.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkyInput {
    /// Beam irradiance on a plane facing the sun, W/m2.
    pub dni_w_m2: f64,
    /// Diffuse irradiance on the horizontal, W/m2.
    pub dhi_w_m2: f64,
    /// Extraterrestrial irradiance on a plane facing the sun, W/m2.
    pub extraterrestrial_normal_w_m2: f64,
    /// True zenith angle of the sun, rad.
    pub zenith_rad: f64,
    /// Cosine of the incidence angle of the beam on the plane.
    pub cos_incidence: f64,
    /// Tilt of the plane, rad.
    pub tilt_rad: f64,
}

/// Diffuse light of the sky on a plane by where it comes from, W/m2.
///
/// The horizon part may be negative (a dark horizon); the sum never is.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SkyDiffuse {
    /// Spread evenly over the sky, W/m2.
    pub isotropic_w_m2: f64,
    /// From around the sun, W/m2.
    pub circumsolar_w_m2: f64,
    /// From along the horizon, W/m2.
    pub horizon_w_m2: f64,
}

impl SkyDiffuse {
    /// All of it, W/m2.
    pub fn total_w_m2(&self) -> f64 {
        self.isotropic_w_m2 + self.circumsolar_w_m2 + self.horizon_w_m2
    }
}

impl SkyModel {
    /// Diffuse light of the sky on the plane.
    ///
    /// With the sun at or below the horizon every model falls back to the isotropic sky. No diffuse on the horizontal
    /// gives none on the plane, whatever the beam.
    pub fn diffuse(self, input: &SkyInput) -> SkyDiffuse {
        let cos_zenith = cos(input.zenith_rad);
        if input.dhi_w_m2 <= 0.0 {
            return SkyDiffuse::default();
        }
        match self {
            Self::HayDavies if cos_zenith > 0.0 => hay_davies(input, cos_zenith),
            Self::Hdkr if cos_zenith > 0.0 => hdkr(input, cos_zenith),
            Self::Perez1990 if cos_zenith > 0.0 => perez_1990(input, cos_zenith),
            _ => isotropic(input),
        }
    }
}

/// Share of the sky (flat horizon) that a tilted plane sees, weighted with the cosine: 1 for a horizontal plane.
pub fn sky_view_frac(tilt_rad: f64) -> f64 {
    0.5 * (1.0 + cos(tilt_rad))
}

/// Beam on a plane, W/m2; none when the sun is behind it.
pub fn beam_on_plane_w_m2(dni_w_m2: f64, cos_incidence: f64) -> f64 {
    dni_w_m2 * cos_incidence.max(0.0)
}

/// Light reflected by flat, evenly bright ground onto a plane, W/m2.
pub fn ground_reflected_w_m2(ghi_w_m2: f64, albedo_frac: f64, tilt_rad: f64) -> f64 {
    ghi_w_m2 * albedo_frac * (1.0 - sky_view_frac(tilt_rad))
}

/// Relative optical air mass, 1 at the zenith (F. Kasten and A. Young, Applied Optics 28 (1989) 4735-4738).
///
/// Below the horizon the value at the horizon (38) is kept.
pub fn air_mass_relative(zenith_rad: f64) -> f64 {
    let zenith_deg = zenith_rad.to_degrees().min(90.0);
    1.0 / (cos(zenith_deg.to_radians()) + 0.50572 * pow(96.07995 - zenith_deg, -1.6364))
}

fn isotropic(input: &SkyInput) -> SkyDiffuse {
    SkyDiffuse { isotropic_w_m2: input.dhi_w_m2 * sky_view_frac(input.tilt_rad), ..SkyDiffuse::default() }
}

fn hay_davies(input: &SkyInput, cos_zenith: f64) -> SkyDiffuse {
    // Share of the diffuse that comes from around the sun: the transmittance of the air for the beam.
    let anisotropy = (input.dni_w_m2 / input.extraterrestrial_normal_w_m2).clamp(0.0, 1.0);
    SkyDiffuse {
        isotropic_w_m2: input.dhi_w_m2 * (1.0 - anisotropy) * sky_view_frac(input.tilt_rad),
        circumsolar_w_m2: input.dhi_w_m2 * anisotropy * beam_ratio(input.cos_incidence, cos_zenith),
        horizon_w_m2: 0.0,
    }
}

fn hdkr(input: &SkyInput, cos_zenith: f64) -> SkyDiffuse {
    let without_horizon = hay_davies(input, cos_zenith);
    let beam_horizontal_w_m2 = input.dni_w_m2.max(0.0) * cos_zenith;
    let clear_frac = beam_horizontal_w_m2 / (beam_horizontal_w_m2 + input.dhi_w_m2);
    let sin_half_tilt = sin(0.5 * input.tilt_rad);
    SkyDiffuse {
        horizon_w_m2: without_horizon.isotropic_w_m2
            * clear_frac.sqrt()
            * (sin_half_tilt * sin_half_tilt * sin_half_tilt),
        ..without_horizon
    }
}

/// Upper edges of the sky clearness bins 1 to 7; bin 8 has none.
const PEREZ_EDGES: [f64; 7] = [1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2];

/// Coefficients F11 F12 F13 F21 F22 F23 of each clearness bin, all sites composite, Perez et al. 1990 table 6.
const PEREZ_COEFFICIENTS: [[f64; 6]; 8] = [
    [-0.008, 0.588, -0.062, -0.060, 0.072, -0.022],
    [0.130, 0.683, -0.151, -0.019, 0.066, -0.029],
    [0.330, 0.487, -0.221, 0.055, -0.064, -0.026],
    [0.568, 0.187, -0.295, 0.109, -0.152, -0.014],
    [0.873, -0.392, -0.362, 0.226, -0.462, 0.001],
    [1.132, -1.237, -0.412, 0.288, -0.823, 0.056],
    [1.060, -1.600, -0.359, 0.264, -1.127, 0.131],
    [0.678, -0.327, -0.250, 0.156, -1.377, 0.251],
];

/// Zenith dependence removed from the sky clearness, 1/rad3 (Perez et al. 1990).
const PEREZ_KAPPA: f64 = 1.041;

/// The circumsolar term takes the sun no lower than 5 deg (Perez et al. 1990): cosine of 85 deg.
const PEREZ_LEAST_COS_ZENITH: f64 = 0.087_155_742_747_658_17;

fn perez_1990(input: &SkyInput, cos_zenith: f64) -> SkyDiffuse {
    let zenith_rad = input.zenith_rad;
    let cubed = PEREZ_KAPPA * (zenith_rad * zenith_rad * zenith_rad);
    let clearness = ((input.dhi_w_m2 + input.dni_w_m2) / input.dhi_w_m2 + cubed) / (1.0 + cubed);
    let brightness = input.dhi_w_m2 * air_mass_relative(zenith_rad) / input.extraterrestrial_normal_w_m2;
    let bin = PEREZ_EDGES.iter().filter(|edge| clearness >= **edge).count();
    let [f11, f12, f13, f21, f22, f23] = PEREZ_COEFFICIENTS[bin];
    let around_sun = (f11 + f12 * brightness + f13 * zenith_rad).max(0.0);
    let along_horizon = f21 + f22 * brightness + f23 * zenith_rad;
    let parts = SkyDiffuse {
        isotropic_w_m2: input.dhi_w_m2 * (1.0 - around_sun) * sky_view_frac(input.tilt_rad),
        circumsolar_w_m2: input.dhi_w_m2 * around_sun * input.cos_incidence.max(0.0)
            / cos_zenith.max(PEREZ_LEAST_COS_ZENITH),
        horizon_w_m2: input.dhi_w_m2 * along_horizon * sin(input.tilt_rad),
    };
    // A very dark horizon would take more than the rest gives.
    if parts.total_w_m2() < 0.0 { SkyDiffuse::default() } else { parts }
}
