//! Friction in tubes, straight or wound to a coil, with their fittings as lengths of the same tube.
//!
//! Head by Darcy and Weisbach, `f L/D v^2/(2 g)`. Straight tube: `f = 64/Re` up to Re 2300 (Hagen and Poiseuille), Colebrook
//! and White (Colebrook 1939) from Re 4000, a straight line in Re between, where flow is neither the one nor the other.
//! Coils: Mishra and Gupta (1979), Ind. Eng. Chem. Process Des. Dev. 18:137 (from memory).

use core::f64::consts::PI;

use super::GRAVITY_M_S2;
use crate::film::{LAMINAR_RE, TURBULENT_RE, coil_critical_reynolds};
use crate::fluid::Fluid;

/// Roughness of drawn copper tube in m (Moody 1944, as textbooks repeat it).
pub const DRAWN_TUBE_ROUGHNESS_M: f64 = 1.5e-6;

/// Steps of Colebrook's equation in `1/sqrt(f)`. Each shrinks the error to about a seventh or less; it begins within 1.5 %.
const COLEBROOK_STEPS: usize = 12;

/// What a fitting resists, as a length of its own tube in diameters, valves open (Crane, Technical Paper 410, as widely
/// reprinted; handbooks differ by a third).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fitting {
    /// Standard 90 degree elbow: 30 diameters, 2 ft of 3/4 in tube.
    Elbow,
    /// Standard 45 degree elbow: 16 diameters.
    Elbow45,
    /// Tee passed straight through: 20 diameters.
    TeeThrough,
    /// Tee into or out of its branch: 60 diameters.
    TeeBranch,
    /// Ball or gate valve: 8 diameters.
    Valve,
    /// Swing check valve: 135 diameters.
    CheckValve,
}

impl Fitting {
    /// Length of tube of the same bore that resists as much, in diameters.
    pub fn diameters(self) -> f64 {
        match self {
            Self::Elbow => 30.0,
            Self::Elbow45 => 16.0,
            Self::TeeThrough => 20.0,
            Self::TeeBranch => 60.0,
            Self::Valve => 8.0,
            Self::CheckValve => 135.0,
        }
    }
}

/// A length of tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TubeRun {
    /// Length in m.
    pub length_m: f64,
    /// Length in m of the same tube that resists as much as the fittings.
    pub fittings_m: f64,
    /// Inner diameter in m.
    pub bore_m: f64,
    /// Height of the wall's roughness in m.
    pub roughness_m: f64,
    /// Diameter in m of the coil it is wound to; `None` for straight tube.
    pub coil_m: Option<f64>,
}

impl TubeRun {
    /// Head in m that `flow_m3_s` needs at `t_c` degC. A fluid that does not know its viscosity ([`Fluid::Constant`]) flows
    /// like water.
    pub fn head_m(&self, fluid: &Fluid, t_c: f64, flow_m3_s: f64) -> f64 {
        if flow_m3_s <= 0.0 {
            return 0.0;
        }
        let (viscosity_pa_s, density_kg_m3) = match fluid.viscosity_pa_s(t_c) {
            Some(viscosity_pa_s) => (viscosity_pa_s, fluid.density_kg_m3(t_c)),
            None => {
                (Fluid::Water.viscosity_pa_s(t_c).unwrap_or(f64::INFINITY), Fluid::Water.density_kg_m3(t_c))
            }
        };
        let speed_m_s = flow_m3_s / (PI / 4.0 * self.bore_m * self.bore_m);
        let reynolds = density_kg_m3 * speed_m_s * self.bore_m / viscosity_pa_s;
        let rough = self.roughness_m / self.bore_m;
        let factor = match self.coil_m {
            None => friction_factor(reynolds, rough),
            Some(coil_m) => coil_friction_factor(reynolds, rough, self.bore_m / coil_m),
        };
        let diameters = (self.length_m + self.fittings_m) / self.bore_m;
        factor * diameters * speed_m_s * speed_m_s / (2.0 * GRAVITY_M_S2)
    }
}

/// Darcy's friction factor of straight tube with a roughness of `rough` bores.
pub fn friction_factor(reynolds: f64, rough: f64) -> f64 {
    if reynolds <= LAMINAR_RE {
        64.0 / reynolds
    } else if reynolds < TURBULENT_RE {
        let laminar = 64.0 / LAMINAR_RE;
        let part = (reynolds - LAMINAR_RE) / (TURBULENT_RE - LAMINAR_RE);
        laminar + part * (colebrook(TURBULENT_RE, rough) - laminar)
    } else {
        colebrook(reynolds, rough)
    }
}

/// Darcy's friction factor in a coil; `curvature` is the tube's bore as a share of the coil's diameter, up to about 0.15.
///
/// Laminar flow, which a coil keeps up to the Reynolds number of Schmidt (1967): `1 + 0.033 (log10 De)^4` times the straight
/// tube's, `De = Re sqrt(curvature)`. Turbulent: `0.03 sqrt(curvature)` more than the straight tube's.
pub fn coil_friction_factor(reynolds: f64, rough: f64, curvature: f64) -> f64 {
    if reynolds <= coil_critical_reynolds(curvature) {
        let dean = libm::log10((reynolds * curvature.sqrt()).max(1.0));
        64.0 / reynolds * (1.0 + 0.033 * dean * dean * dean * dean)
    } else {
        colebrook(reynolds, rough) + 0.03 * curvature.sqrt()
    }
}

/// `1/sqrt(f) = -2 log10(rough/3.7 + 2.51/(Re sqrt(f)))`, begun with the explicit form of Haaland (1983).
fn colebrook(reynolds: f64, rough: f64) -> f64 {
    let mut root = -1.8 * libm::log10(libm::pow(rough / 3.7, 1.11) + 6.9 / reynolds);
    for _ in 0..COLEBROOK_STEPS {
        root = -2.0 * libm::log10(rough / 3.7 + 2.51 * root / reynolds);
    }
    1.0 / (root * root)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked independently with a public library of pipe flow: copper tube of 0.0015 mm roughness, water and 40 % glycol.
    const TABLE: &str = include_str!("../../tests/data/pipe_friction.csv");

    /// Inner diameter in m of a copper tube (ASTM B88, from memory).
    fn bore_m(kind: &str, nominal: &str) -> f64 {
        match (kind, nominal) {
            ("M", "1/2") => 0.569 * 0.0254,
            ("M", "3/4") => 0.811 * 0.0254,
            ("L", "3/4") => 0.785 * 0.0254,
            ("L", "1") => 1.025 * 0.0254,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn every_row_of_the_worked_table_is_met() {
        let (mut compared, mut between) = (0, 0);
        for line in TABLE.lines().filter(|line| line.starts_with(['L', 'M'])) {
            let cells: Vec<&str> = line.split(',').collect();
            let number = |i: usize| cells[i].parse::<f64>().unwrap();
            let fluid = match number(2) {
                0.0 => Fluid::Water,
                percent => Fluid::PropyleneGlycol { volume_frac: percent / 100.0 },
            };
            let (t_c, reynolds, factor, drop_pa_m) = (number(3), number(6), number(7), number(8));
            // Between the two kinds of flow the table takes the turbulent one from Re 2040 on, which is as good a guess.
            if (2040.0..4000.0).contains(&reynolds) {
                between += 1;
                continue;
            }
            let bore_m = bore_m(cells[0], cells[1]);
            let found = friction_factor(reynolds, DRAWN_TUBE_ROUGHNESS_M / bore_m);
            // The table gives Re to whole numbers, which laminar friction feels in full, and f to five decimals.
            assert!((found / factor - 1.0).abs() < 0.5 / reynolds + 5e-4, "{line}: f is {found}");
            let run = TubeRun {
                length_m: 1.0,
                fittings_m: 0.0,
                bore_m,
                roughness_m: DRAWN_TUBE_ROUGHNESS_M,
                coil_m: None,
            };
            let head_m = run.head_m(&fluid, t_c, number(4) / 60_000.0);
            let found_pa = head_m * GRAVITY_M_S2 * fluid.density_kg_m3(t_c);
            // Laminar friction follows viscosity, whose fit is good to 0.34 %; one decimal of 3 Pa/m is 1.7 %.
            let rounding_pa = 0.05;
            assert!((found_pa - drop_pa_m).abs() < 5e-3 * drop_pa_m + rounding_pa, "{line}: {found_pa} Pa/m");
            compared += 1;
        }
        assert_eq!((compared, between), (53, 11));
    }

    #[test]
    fn check_values_of_the_friction_factor() {
        assert_eq!(friction_factor(1000.0, 0.0), 0.064);
        // Colebrook at Re 5e4, roughness 1e-4: 0.02125, computed independently and given to four figures.
        assert!((friction_factor(5e4, 1e-4) - 0.02125).abs() < 5e-6);
    }

    #[test]
    fn head_rises_with_flow_through_every_change_of_regime() {
        for coil_m in [None, Some(0.1), Some(0.4), Some(0.6)] {
            let run = TubeRun {
                length_m: 20.0,
                fittings_m: 5.0,
                bore_m: 0.014,
                roughness_m: DRAWN_TUBE_ROUGHNESS_M,
                coil_m,
            };
            for fluid in [Fluid::Water, Fluid::PropyleneGlycol { volume_frac: 0.5 }] {
                let heads: Vec<f64> =
                    (0..2000).map(|i| run.head_m(&fluid, 40.0, f64::from(i) * 2e-7)).collect();
                assert!(heads.windows(2).all(|pair| pair[0] < pair[1]), "{coil_m:?} {fluid:?}");
            }
        }
    }

    #[test]
    fn a_coil_resists_more_than_straight_tube() {
        // Re 1000, curvature 0.05: De 223.6, log10 2.3495, to the fourth 30.47; 1 + 0.033 x 30.47 = 2.0055 times 0.064.
        assert!((coil_friction_factor(1000.0, 0.0, 0.05) - 0.12835).abs() < 1e-5);
        // Re 20,000, smooth: Colebrook 0.02589 (computed independently) and 0.03 sqrt(0.05) = 0.00671.
        assert!((coil_friction_factor(2e4, 0.0, 0.05) - 0.03260).abs() < 1e-5);
    }

    #[test]
    fn a_fluid_without_viscosity_flows_like_water() {
        let run =
            TubeRun { length_m: 1.0, fittings_m: 0.0, bore_m: 0.02, roughness_m: 0.0, coil_m: Some(0.5) };
        let constant = Fluid::Constant { density_kg_m3: 990.0, specific_heat_j_kg_k: 4186.0 };
        assert_eq!(run.head_m(&constant, 50.0, 1e-4), run.head_m(&Fluid::Water, 50.0, 1e-4));
        assert_eq!(run.head_m(&Fluid::Water, 50.0, 0.0), 0.0);
    }
}
