//! Loop fluids: water and propylene glycol mixtures.
//!
//! Properties are polynomials of degree 4 in temperature, fitted by least squares of the relative error (of the logarithm
//! for viscosity) to tables at every 5 K:
//!
//! - water, 0 to 120 degC: IAPWS-IF97 (Wagner et al. 2000) at 0.5 MPa;
//! - propylene glycol, 20, 30, 40 and 50 % by volume, to 120 degC: ASHRAE Handbook data as fitted in an open property
//!   library, which ends at 100 degC; above that the tables are extrapolated. Between two strengths the values (the
//!   logarithm for viscosity) lie on a straight line.
//!
//! | largest relative error | density | specific heat | conductivity | viscosity |
//! | --- | --- | --- | --- | --- |
//! | water | 6e-5 | 5.3e-4 | 4.1e-4 | 2.9e-3 |
//! | glycol at a strength of the tables | 2.5e-4 | 2e-5 | 9e-4 | 3.4e-3 |
//! | half-way between two strengths, about | 2e-4 | 8e-4 | 1.3e-3 | 1.6e-2 |
//!
//! (The last row is a quarter of what is found on leaving out a strength and going over from its neighbours.)
//!
//! Temperatures beyond a fluid's range count as the end of the range: [`Fluid::lowest_c`] to 120 degC. Strengths beyond 20
//! to 50 % count as the nearer of the two.

/// A loop fluid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fluid {
    /// Constant properties.
    Constant {
        /// Density in kg/m3.
        density_kg_m3: f64,
        /// Specific heat in J/(kg K).
        specific_heat_j_kg_k: f64,
    },
    /// Water, properties with temperature.
    Water,
    /// Propylene glycol and water, properties with temperature.
    PropyleneGlycol {
        /// Share of glycol by volume, 0.2 to 0.5.
        volume_frac: f64,
    },
}

/// Upper end of all tables, in degC.
const HIGHEST_C: f64 = 120.0;

impl Fluid {
    /// Density in kg/m3 at `t_c` degC.
    pub fn density_kg_m3(&self, t_c: f64) -> f64 {
        match *self {
            Self::Constant { density_kg_m3, .. } => density_kg_m3,
            Self::Water | Self::PropyleneGlycol { .. } => self.fitted(t_c, |fit| fit.density_kg_m3),
        }
    }

    /// Specific heat at constant pressure in J/(kg K) at `t_c` degC.
    pub fn specific_heat_j_kg_k(&self, t_c: f64) -> f64 {
        match *self {
            Self::Constant { specific_heat_j_kg_k, .. } => specific_heat_j_kg_k,
            Self::Water | Self::PropyleneGlycol { .. } => self.fitted(t_c, |fit| fit.specific_heat_j_kg_k),
        }
    }

    /// Thermal conductivity in W/(m K) at `t_c` degC; `None` for [`Fluid::Constant`], which does not say what it is.
    pub fn conductivity_w_m_k(&self, t_c: f64) -> Option<f64> {
        match self {
            Self::Constant { .. } => None,
            Self::Water | Self::PropyleneGlycol { .. } => {
                Some(self.fitted(t_c, |fit| fit.conductivity_w_m_k))
            }
        }
    }

    /// Dynamic viscosity in Pa s at `t_c` degC; `None` for [`Fluid::Constant`], which does not say what it is.
    pub fn viscosity_pa_s(&self, t_c: f64) -> Option<f64> {
        match self {
            Self::Constant { .. } => None,
            Self::Water | Self::PropyleneGlycol { .. } => {
                Some(libm::exp(self.fitted(t_c, |fit| fit.ln_viscosity_pa_s)))
            }
        }
    }

    /// Temperature in degC at which ice begins to form; `None` for [`Fluid::Constant`].
    ///
    /// Mixtures: a cubic through -7.4, -13.1, -21.5 and -33.7 degC at 20, 30, 40 and 50 % by volume (the fit of ASHRAE data
    /// named above; the handbook itself is within about 0.5 K, from memory).
    pub fn freezing_c(&self) -> Option<f64> {
        match *self {
            Self::Constant { .. } => None,
            Self::Water => Some(0.0),
            Self::PropyleneGlycol { volume_frac } => {
                // Newton's form; `n` counts the table's strengths.
                let n = strength_index(volume_frac);
                Some(-7.4 - n * (5.7 + (n - 1.0) * (1.35 + (n - 2.0) * 1.1 / 6.0)))
            }
        }
    }

    /// Lower end of the range in degC: properties below it are those at it. Minus infinity for [`Fluid::Constant`].
    ///
    /// Mixtures: the tables begin at -5, -10, -20 and -20 degC at 20, 30, 40 and 50 %, above their freezing points.
    pub fn lowest_c(&self) -> f64 {
        match *self {
            Self::Constant { .. } => f64::NEG_INFINITY,
            Self::Water => WATER.lowest_c,
            Self::PropyleneGlycol { volume_frac } => {
                let (weak, strong, part) = neighbours(volume_frac);
                weak.lowest_c + part * (strong.lowest_c - weak.lowest_c)
            }
        }
    }

    /// The polynomial chosen by `property` at `t_c`; not for [`Fluid::Constant`].
    fn fitted(&self, t_c: f64, property: impl Fn(&Fit) -> [f64; 5]) -> f64 {
        let t_c = t_c.max(self.lowest_c()).min(HIGHEST_C);
        let at = |fit| polynomial(t_c / 100.0, property(fit));
        match *self {
            Self::PropyleneGlycol { volume_frac } => {
                let (weak, strong, part) = neighbours(volume_frac);
                let weak = at(weak);
                weak + part * (at(strong) - weak)
            }
            Self::Water | Self::Constant { .. } => at(&WATER),
        }
    }
}

/// Place of a strength in the table of mixtures: 0 at 20 %, 3 at 50 %.
fn strength_index(volume_frac: f64) -> f64 {
    ((volume_frac - 0.2) / 0.1).clamp(0.0, 3.0)
}

/// The weaker and the stronger neighbour of a mixture and how far it lies from the one to the other.
fn neighbours(volume_frac: f64) -> (&'static Fit, &'static Fit, f64) {
    let place = strength_index(volume_frac);
    let lower = (place as usize).min(GLYCOL.len() - 2);
    (&GLYCOL[lower], &GLYCOL[lower + 1], place - lower as f64)
}

/// Value at `x` of the polynomial with these coefficients, constant first.
fn polynomial(x: f64, coefficients: [f64; 5]) -> f64 {
    let [a, b, c, d, e] = coefficients;
    a + x * (b + x * (c + x * (d + x * e)))
}

/// Coefficients in t/100 degC.
struct Fit {
    lowest_c: f64,
    density_kg_m3: [f64; 5],
    specific_heat_j_kg_k: [f64; 5],
    conductivity_w_m_k: [f64; 5],
    ln_viscosity_pa_s: [f64; 5],
}

const WATER: Fit = Fit {
    lowest_c: 0.0,
    density_kg_m3: [1000.1059, 4.11417, -70.3499, 33.8901, -9.20036],
    specific_heat_j_kg_k: [4215.1733, -240.737, 495.417, -391.314, 136.533],
    conductivity_w_m_k: [0.55622433, 0.244094, -0.19007, 0.0947494, -0.0274524],
    ln_viscosity_pa_s: [-6.328241, -3.35659, 2.6529, -1.56617, 0.422354],
};

/// 20, 30, 40 and 50 % by volume.
static GLYCOL: [Fit; 4] = [
    Fit {
        lowest_c: -5.0,
        density_kg_m3: [1025.8412, -30.8132, -14.1165, -20.3699, 11.2114],
        specific_heat_j_kg_k: [3928.7699, 219.395, -1.85674, 1.61703, -0.501114],
        conductivity_w_m_k: [0.46417136, 0.150275, -0.0632942, -0.0146239, 0.00760201],
        ln_viscosity_pa_s: [-5.5022595, -4.10735, 2.88546, -1.15093, 0.135289],
    },
    Fit {
        lowest_c: -10.0,
        density_kg_m3: [1036.1724, -35.1234, -17.3621, -17.1037, 9.99158],
        specific_heat_j_kg_k: [3793.0032, 274.242, 1.15639, -0.825193, 0.192345],
        conductivity_w_m_k: [0.42262031, 0.121822, -0.0533013, -0.0136975, 0.0080483],
        ln_viscosity_pa_s: [-4.9299703, -4.92447, 3.46107, -1.28621, 0.113736],
    },
    Fit {
        lowest_c: -20.0,
        density_kg_m3: [1045.0321, -39.0522, -21.6954, -11.6787, 7.77238],
        specific_heat_j_kg_k: [3635.6011, 330.014, 1.26753, -1.56431, 0.619424],
        conductivity_w_m_k: [0.38474788, 0.0959249, -0.0455963, -0.0107658, 0.00761755],
        ln_viscosity_pa_s: [-4.4083089, -5.56328, 3.86855, -1.30642, 0.0627551],
    },
    Fit {
        lowest_c: -20.0,
        density_kg_m3: [1052.6106, -43.8226, -21.5777, -11.8053, 7.83732],
        specific_heat_j_kg_k: [3454.7564, 385.745, 0.217111, -0.260085, 0.0824644],
        conductivity_w_m_k: [0.34930838, 0.0713876, -0.0333452, -0.0153176, 0.0102027],
        ln_viscosity_pa_s: [-3.9752256, -6.00182, 4.13899, -1.32077, 0.0340133],
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    /// The tables the polynomials were fitted to; origin in the file.
    const TABLE: &str = include_str!("../tests/data/fluids.csv");

    fn glycol(volume_frac: f64) -> Fluid {
        Fluid::PropyleneGlycol { volume_frac }
    }

    #[test]
    fn every_row_of_the_tables_is_met_within_the_stated_errors() {
        // The largest errors that the head of this file states.
        const WATER_ERROR: [f64; 4] = [6e-5, 5.3e-4, 4.1e-4, 2.9e-3];
        const GLYCOL_ERROR: [f64; 4] = [2.5e-4, 2e-5, 9e-4, 3.4e-3];
        let mut rows = 0;
        for line in TABLE.lines().filter(|line| line.starts_with(|first: char| first.is_ascii_digit())) {
            let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
            let t_c = cells[1];
            let (fluid, allowed) = if cells[0] == 0.0 {
                (Fluid::Water, WATER_ERROR)
            } else {
                (glycol(cells[0] / 100.0), GLYCOL_ERROR)
            };
            let got = [
                fluid.density_kg_m3(t_c),
                fluid.specific_heat_j_kg_k(t_c),
                fluid.conductivity_w_m_k(t_c).unwrap(),
                fluid.viscosity_pa_s(t_c).unwrap() * 1e3,
            ];
            for (index, (got, wanted)) in got.into_iter().zip(&cells[2..]).enumerate() {
                assert!((got / wanted - 1.0).abs() <= allowed[index], "{line}: property {index} is {got}");
            }
            rows += 1;
        }
        assert_eq!(rows, 136);
    }

    #[test]
    fn a_strength_between_two_lies_half_way() {
        // Means of the rows at 30 and 40 %, 60 degC; geometric for viscosity. Tolerance: the fit's own error.
        let between = glycol(0.35);
        let close =
            |got: f64, wanted: f64, error: f64| assert!((got / wanted - 1.0).abs() < error, "{got} {wanted}");
        close(between.density_kg_m3(60.0), (1006.45 + 1012.30) / 2.0, 2.5e-4);
        close(between.specific_heat_j_kg_k(60.0), (3957.8 + 3833.8) / 2.0, 2e-5);
        close(between.conductivity_w_m_k(60.0).unwrap(), (0.4746 + 0.4246) / 2.0, 9e-4);
        close(between.viscosity_pa_s(60.0).unwrap(), (1.0059e-3_f64 * 1.3234e-3).sqrt(), 3.4e-3);
    }

    #[test]
    fn beyond_the_range_the_ends_hold() {
        for (fluid, lowest_c) in [
            (Fluid::Water, 0.0),
            (glycol(0.2), -5.0),
            (glycol(0.25), -7.5),
            (glycol(0.35), -15.0),
            (glycol(0.5), -20.0),
        ] {
            assert!((fluid.lowest_c() - lowest_c).abs() < 1e-9, "{fluid:?}");
            assert_eq!(fluid.density_kg_m3(lowest_c - 30.0), fluid.density_kg_m3(fluid.lowest_c()));
            assert_eq!(fluid.viscosity_pa_s(200.0), fluid.viscosity_pa_s(120.0));
        }
        assert_eq!(glycol(0.1).density_kg_m3(20.0), glycol(0.2).density_kg_m3(20.0));
        assert_eq!(glycol(0.7).density_kg_m3(20.0), glycol(0.5).density_kg_m3(20.0));
    }

    #[test]
    fn freezing_points_are_those_of_the_table() {
        for (volume_frac, freezing_c) in [(0.2, -7.4), (0.3, -13.1), (0.4, -21.5), (0.5, -33.7)] {
            let got = glycol(volume_frac).freezing_c().unwrap();
            // Exact but for rounding.
            assert!((got - freezing_c).abs() < 1e-9, "{volume_frac}: {got}");
        }
        assert_eq!(Fluid::Water.freezing_c(), Some(0.0));
    }

    #[test]
    fn a_constant_fluid_says_only_what_it_knows() {
        let fluid = Fluid::Constant { density_kg_m3: 990.0, specific_heat_j_kg_k: 4186.0 };
        assert_eq!((fluid.density_kg_m3(-40.0), fluid.specific_heat_j_kg_k(300.0)), (990.0, 4186.0));
        assert_eq!(
            (fluid.conductivity_w_m_k(20.0), fluid.viscosity_pa_s(20.0), fluid.freezing_c()),
            (None, None, None)
        );
    }
}
