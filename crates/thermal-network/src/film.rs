//! Heat transfer between a wall and what flows along it: inside a tube, and outdoors in the wind.

use crate::fluid::Fluid;

/// Reynolds number up to which flow in a tube stays laminar.
pub(crate) const LAMINAR_RE: f64 = 2300.0;

/// Reynolds number from which it is fully turbulent.
pub(crate) const TURBULENT_RE: f64 = 4000.0;

/// Nusselt number of laminar flow in a long tube with even heat flux (48/11, any textbook of heat transfer).
const LAMINAR_NU: f64 = 4.36;

/// Fluid flowing in a tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TubeFlow {
    /// What flows.
    pub fluid: Fluid,
    /// Its mean temperature in degC.
    pub mean_c: f64,
    /// How much of it, in kg/s; zero or more.
    pub mass_flow_kg_s: f64,
    /// Inner diameter of the tube in m.
    pub diameter_m: f64,
}

impl TubeFlow {
    /// Reynolds number; `None` if the fluid's viscosity is not known ([`Fluid::Constant`]).
    pub fn reynolds(&self) -> Option<f64> {
        let viscosity_pa_s = self.fluid.viscosity_pa_s(self.mean_c)?;
        Some(4.0 * self.mass_flow_kg_s / (core::f64::consts::PI * self.diameter_m * viscosity_pa_s))
    }

    /// Film coefficient on the tube's inner wall in W/(m2 K), see [`tube_nusselt`]; `None` if the fluid's conductivity and
    /// viscosity are not known ([`Fluid::Constant`]).
    pub fn film_w_m2_k(&self) -> Option<f64> {
        let viscosity_pa_s = self.fluid.viscosity_pa_s(self.mean_c)?;
        let conductivity_w_m_k = self.fluid.conductivity_w_m_k(self.mean_c)?;
        let prandtl = self.fluid.specific_heat_j_kg_k(self.mean_c) * viscosity_pa_s / conductivity_w_m_k;
        Some(tube_nusselt(self.reynolds()?, prandtl) * conductivity_w_m_k / self.diameter_m)
    }
}

/// Nusselt number in a long smooth straight tube.
///
/// For Prandtl numbers of 0.5 to 2000: 4.36 up to Re 2300 (even heat flux; the gain of an entrance is left out), Gnielinski (1976) from Re 4000 to 5e6 with
/// the friction factor of Petukhov (1970), and a straight line in Re between the two (Gnielinski 2013, from memory).
pub fn tube_nusselt(reynolds: f64, prandtl: f64) -> f64 {
    if reynolds <= LAMINAR_RE {
        LAMINAR_NU
    } else if reynolds < TURBULENT_RE {
        let part = (reynolds - LAMINAR_RE) / (TURBULENT_RE - LAMINAR_RE);
        LAMINAR_NU + part * (turbulent_nusselt(TURBULENT_RE, prandtl) - LAMINAR_NU)
    } else {
        turbulent_nusselt(reynolds, prandtl)
    }
}

/// Gnielinski (1976): `(f/8)(Re - 1000) Pr/[1 + 12.7 sqrt(f/8)(Pr^(2/3) - 1)]`, `f = (0.790 ln Re - 1.64)^-2`.
fn turbulent_nusselt(reynolds: f64, prandtl: f64) -> f64 {
    let root = 0.790 * libm::log(reynolds) - 1.64;
    let eighth = 1.0 / (8.0 * root * root);
    let slope = libm::cbrt(prandtl) * libm::cbrt(prandtl) - 1.0;
    eighth * (reynolds - 1000.0) * prandtl / (1.0 + 12.7 * eighth.sqrt() * slope)
}

/// Reynolds number up to which flow in a coil stays laminar, `2300 (1 + 8.6 c^0.45)`; `curvature` c is the tube's bore as a
/// share of the coil's diameter (Schmidt 1967, from memory).
pub(crate) fn coil_critical_reynolds(curvature: f64) -> f64 {
    LAMINAR_RE * (1.0 + 8.6 * libm::pow(curvature, 0.45))
}

/// Nusselt number in a coiled tube of this curvature (Schmidt 1967, from memory).
///
/// Laminar: `3.65 + 0.08 (1 + 0.8 c^0.9) Re^m Pr^(1/3)`, `m = 0.5 + 0.2903 c^0.194`. Beyond the critical number the straight
/// tube's value ([`tube_nusselt`]) times `1 + 3.6 (1 - c) c^0.8`.
pub(crate) fn coil_nusselt(reynolds: f64, prandtl: f64, curvature: f64) -> f64 {
    if reynolds <= coil_critical_reynolds(curvature) {
        let power = 0.5 + 0.2903 * libm::pow(curvature, 0.194);
        let rise = 0.08 * (1.0 + 0.8 * libm::pow(curvature, 0.9));
        3.65 + rise * libm::pow(reynolds, power) * libm::cbrt(prandtl)
    } else {
        tube_nusselt(reynolds, prandtl) * (1.0 + 3.6 * (1.0 - curvature) * libm::pow(curvature, 0.8))
    }
}

/// Film coefficient of a surface outdoors in W/(m2 K): `5.7 + 3.8 u` (McAdams 1954) with the wind `wind_m_s` at the surface.
///
/// It is quoted for winds below 5 m/s and may include some radiation (Duffie and Beckman, chapter 3, from memory); above
/// that the same line is used as the plainest continuation.
pub fn wind_film_w_m2_k(wind_m_s: f64) -> f64 {
    5.7 + 3.8 * wind_m_s
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gnielinski_meets_its_check_value() {
        // Re 1e4, Pr 5: 69.91, computed independently and given to four figures.
        assert!((tube_nusselt(1e4, 5.0) - 69.91).abs() < 0.005);
    }

    #[test]
    fn nusselt_is_continuous_and_rises_with_flow() {
        assert_eq!(tube_nusselt(0.0, 5.0), 4.36);
        for prandtl in [2.0, 12.0, 400.0] {
            for edge in [LAMINAR_RE, TURBULENT_RE] {
                let (below, above) =
                    (tube_nusselt(edge * (1.0 - 1e-9), prandtl), tube_nusselt(edge * (1.0 + 1e-9), prandtl));
                // 1e-9 of Re moves Nu by less than 1e-7 on either side.
                assert!((below - above).abs() < 1e-6, "a step at Re {edge}, Pr {prandtl}: {below} {above}");
            }
            let values: Vec<f64> = (0..100).map(|i| tube_nusselt(f64::from(i) * 200.0, prandtl)).collect();
            assert!(values.windows(2).all(|pair| pair[0] <= pair[1]), "Pr {prandtl}");
        }
        // Half-way in Re is half-way in Nu.
        let middle = tube_nusselt(3150.0, 5.0);
        assert!((middle - (tube_nusselt(2300.0, 5.0) + tube_nusselt(4000.0, 5.0)) / 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_solar_loop_worked_by_hand() {
        // 4 L/min of water at 60 degC (983.38 kg/m3, 4181.9 J/kgK, 0.6512 W/mK, 0.4661 mPa s) in a tube of 19.94 mm:
        // 0.065559 kg/s, Re = 4 m/(pi d mu) = 8981.3, Pr = 2.9932, f = 0.032450, f/8 = 0.0040562 (root 0.063689);
        // Nu = 0.0040562 x 7981.3 x 2.9932/(1 + 12.7 x 0.063689 x 1.07695) = 96.902/1.87108 = 51.789; h = 1691.3 W/m2K.
        let loop_flow =
            TubeFlow { fluid: Fluid::Water, mean_c: 60.0, mass_flow_kg_s: 0.065559, diameter_m: 0.01994 };
        // The viscosity fit is good to 0.3 %, and the film follows it to a power below one.
        assert!((loop_flow.reynolds().unwrap() / 8981.3 - 1.0).abs() < 3e-3);
        assert!((loop_flow.film_w_m2_k().unwrap() / 1691.3 - 1.0).abs() < 3e-3);
        // The same volume of 40 % glycol at 20 degC (1036.24 kg/m3, 4.6225 mPa s) is laminar, Re 954.2: 4.36 x 0.4020/0.01994 = 87.9.
        let cold = TubeFlow {
            fluid: Fluid::PropyleneGlycol { volume_frac: 0.4 },
            mean_c: 20.0,
            mass_flow_kg_s: 0.06908,
            ..loop_flow
        };
        assert!((cold.reynolds().unwrap() / 954.0 - 1.0).abs() < 5e-3);
        assert!((cold.film_w_m2_k().unwrap() / 87.9 - 1.0).abs() < 2e-3);
    }

    #[test]
    fn an_unknown_fluid_has_no_film() {
        let fluid = Fluid::Constant { density_kg_m3: 990.0, specific_heat_j_kg_k: 4186.0 };
        let flow = TubeFlow { fluid, mean_c: 60.0, mass_flow_kg_s: 0.05, diameter_m: 0.02 };
        assert_eq!((flow.reynolds(), flow.film_w_m2_k()), (None, None));
    }

    #[test]
    fn wind_adds_to_the_still_air_film() {
        assert_eq!(wind_film_w_m2_k(0.0), 5.7);
        // 5.7 + 3.8 x 4.
        assert!((wind_film_w_m2_k(4.0) - 20.9).abs() < 1e-12);
    }
}
