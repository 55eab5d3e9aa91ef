//! Efficiency curves of a collector: over the temperature of the fluid's inlet, as US sheets had it, and over its mean,
//! as ISO 9806 has it and the model needs it.
//!
//! Both hold for light straight on the glass: `eta = c0 - c1 P/G - c2 P2/G` with `P` inlet minus air, and the same with
//! the mean instead of the inlet. The mean is half-way between inlet and outlet, so it lies `q/(2 g)` above the inlet, `q`
//! the heat per area and `g` the flow's heat capacity per area (J. Duffie and W. Beckman, Solar Engineering of Thermal
//! Processes, chapters 6 and 7, from memory, derived again here).

use thermal_network::spec::CollectorSpec;

/// Wind from which the 2017 edition counts, in m/s (ISO 9806:2017, from memory).
const REFERENCE_WIND_M_S: f64 = 3.0;

/// A curve over inlet temperature at one flow; losses count positive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InletCurve {
    /// Efficiency with the inlet at air temperature, FR(tau alpha).
    pub intercept_frac: f64,
    /// Fall with the difference, FR UL, in W/(m2 K).
    pub slope_w_m2_k: f64,
    /// Fall with its square in W/(m2 K2).
    pub second_w_m2_k2: f64,
}

/// A curve over mean temperature; losses count positive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeanCurve {
    /// Efficiency with the mean at air temperature.
    pub eta0_frac: f64,
    /// Linear loss in W/(m2 K).
    pub a1_w_m2_k: f64,
    /// Rise of the loss with temperature in W/(m2 K2).
    pub a2_w_m2_k2: f64,
}

/// Steady conditions of a collector.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Light on the plane in W/m2.
    pub sun_w_m2: f64,
    /// Fluid at the inlet in degC.
    pub inlet_c: f64,
    /// Outdoor air in degC.
    pub air_c: f64,
    /// Heat capacity of the flow per reference area in W/(m2 K).
    pub flow_w_m2_k: f64,
}

/// What a collector does at a [`Point`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Output {
    /// Heat per reference area in W/m2; negative where it loses.
    pub heat_w_m2: f64,
    /// Mean of inlet and outlet in degC.
    pub mean_c: f64,
    /// Outlet in degC.
    pub outlet_c: f64,
}

/// Light at which [`InletCurve::over_mean`] agrees, in W/m2: good sun.
const MATCHED_W_M2: f64 = 800.0;
/// Inlet above air at which it agrees, in K: from a cold tank to a hot one.
const MATCHED_K: [f64; 3] = [0.0, 30.0, 60.0];

impl InletCurve {
    /// Heat per area in W/m2 with the inlet `above_air_k` above the air.
    pub fn heat_w_m2(&self, sun_w_m2: f64, above_air_k: f64) -> f64 {
        self.intercept_frac * sun_w_m2 - (self.slope_w_m2_k + self.second_w_m2_k2 * above_air_k) * above_air_k
    }

    /// The curve over mean temperature of the same collector; `flow_w_m2_k` is the heat capacity of the test's flow per
    /// reference area.
    ///
    /// A straight line becomes `eta0 = c0/(1 - c1/(2g))`, `a1 = c1/(1 - c1/(2g))`, which is exact. A second-order curve has
    /// no exact partner: the two agree at 800 W/m2 with the inlet 0, 30 and 60 K above the air; for glazed collectors the
    /// rest of the range stays within 5 W/m2.
    pub fn over_mean(&self, flow_w_m2_k: f64) -> MeanCurve {
        let scale = 1.0 / (1.0 - self.slope_w_m2_k / (2.0 * flow_w_m2_k));
        if self.second_w_m2_k2 == 0.0 {
            return MeanCurve {
                eta0_frac: self.intercept_frac * scale,
                a1_w_m2_k: self.slope_w_m2_k * scale,
                a2_w_m2_k2: 0.0,
            };
        }
        // Heat over mean difference is a parabola through three points (Newton's divided differences).
        let [(x0, y0), (x1, y1), (x2, y2)] = MATCHED_K.map(|inlet_k| {
            let heat_w_m2 = self.heat_w_m2(MATCHED_W_M2, inlet_k);
            (inlet_k + heat_w_m2 / (2.0 * flow_w_m2_k), heat_w_m2)
        });
        let (first, second) = ((y1 - y0) / (x1 - x0), (y2 - y1) / (x2 - x1));
        let bend = (second - first) / (x2 - x0);
        MeanCurve {
            eta0_frac: (y0 - first * x0 + bend * x0 * x1) / MATCHED_W_M2,
            a1_w_m2_k: bend * (x0 + x1) - first,
            a2_w_m2_k2: -bend,
        }
    }
}

impl MeanCurve {
    /// The straight part over inlet temperature at a flow: `FR(ta) = eta0/(1 + a1/(2g))`, `FRUL = a1/(1 + a1/(2g))`.
    pub fn straight_over_inlet(&self, flow_w_m2_k: f64) -> InletCurve {
        let scale = 1.0 / (1.0 + self.a1_w_m2_k / (2.0 * flow_w_m2_k));
        InletCurve {
            intercept_frac: self.eta0_frac * scale,
            slope_w_m2_k: self.a1_w_m2_k * scale,
            second_w_m2_k2: 0.0,
        }
    }

    /// Steady output, by the quadratic for the mean's height above the inlet.
    pub fn at(&self, point: &Point) -> Output {
        let above_k = point.inlet_c - point.air_c;
        let a2 = self.a2_w_m2_k2;
        // Half the outlet's rise y: a2 y2 + b y = c.
        let c = self.eta0_frac * point.sun_w_m2 - (self.a1_w_m2_k + a2 * above_k) * above_k;
        let b = 2.0 * point.flow_w_m2_k + self.a1_w_m2_k + 2.0 * a2 * above_k;
        let half_rise_k = 2.0 * c / (b + libm::sqrt(b * b + 4.0 * a2 * c));
        Output {
            heat_w_m2: 2.0 * point.flow_w_m2_k * half_rise_k,
            mean_c: point.inlet_c + half_rise_k,
            outlet_c: point.inlet_c + 2.0 * half_rise_k,
        }
    }
}

/// Peak efficiency for beam from the one for a clear sky's mix, 85 % beam and 15 % diffuse: `eta0hem/(0.85 + 0.15 Kd)`
/// (reporting conditions of ISO 9806, from memory).
pub fn beam_peak_frac(hemispherical_frac: f64, diffuse_modifier: f64) -> f64 {
    hemispherical_frac / (0.85 + 0.15 * diffuse_modifier)
}

/// Coefficients of the 2013 edition of ISO 9806, whose wind terms count from calm air, as those of 2017, which count from
/// 3 m/s: `a1 = c1 + 3 c3` and `eta0 - 3 c6`; the others stay. Exact: the same equation with `u = u' + 3`.
pub fn from_2013(sheet: &CollectorSpec) -> CollectorSpec {
    CollectorSpec {
        eta0b: sheet.eta0b - REFERENCE_WIND_M_S * sheet.a6_s_m,
        a1_w_m2_k: sheet.a1_w_m2_k + REFERENCE_WIND_M_S * sheet.a3_j_m3_k,
        ..*sheet
    }
}

/// Coefficient b0 of `K = 1 - b0 (1/cos - 1)` from the modifier printed for 50 degrees.
pub fn b0_from_50_deg(modifier: f64) -> f64 {
    (1.0 - modifier) / (1.0 / libm::cos(50f64.to_radians()) - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked apart from this code: 0.70, 3.6 at 0.02 kg/(s m2) of 3800 J/(kg K).
    #[test]
    fn worked_inlet_form() {
        let curve = MeanCurve { eta0_frac: 0.70, a1_w_m2_k: 3.6, a2_w_m2_k2: 0.012 };
        let inlet = curve.straight_over_inlet(0.02 * 3800.0);
        // Printed to four decimals.
        assert!((inlet.intercept_frac - 0.6838).abs() < 5e-5);
        assert!((inlet.slope_w_m2_k - 3.5167).abs() < 5e-5);
    }

    #[test]
    fn second_order_inlet_form_agrees_over_the_range() {
        let flow_w_m2_k = 0.02 * 4186.0;
        for [intercept_frac, slope_w_m2_k, second_w_m2_k2] in
            [[0.69, 3.4, 0.0197], [0.75, 5.5, 0.02], [0.42, 0.9, 0.004]]
        {
            let inlet = InletCurve { intercept_frac, slope_w_m2_k, second_w_m2_k2 };
            let mean = inlet.over_mean(flow_w_m2_k);
            for sun_w_m2 in [300.0, 500.0, 800.0, 1000.0] {
                for above_k in (0..=80).step_by(5).map(f64::from) {
                    let by_inlet = inlet.heat_w_m2(sun_w_m2, above_k);
                    let point = Point { sun_w_m2, inlet_c: 20.0 + above_k, air_c: 20.0, flow_w_m2_k };
                    let by_mean = mean.at(&point).heat_w_m2;
                    // What the conversion promises; exact (to rounding) where it is matched.
                    let matched = sun_w_m2 == MATCHED_W_M2 && MATCHED_K.contains(&above_k);
                    let allowed = if matched { 1e-8 } else { 5.0 };
                    assert!(
                        by_inlet < 0.0 || (by_mean - by_inlet).abs() < allowed,
                        "{inlet:?} at {sun_w_m2}, {above_k}: {by_mean} for {by_inlet}"
                    );
                }
            }
        }
    }

    #[test]
    fn sheet_numbers_in_other_words() {
        // 0.78 with Kd 0.9: 0.78/0.985, by hand.
        assert!((beam_peak_frac(0.78, 0.9) - 0.791_878).abs() < 1e-6);
        // A bare absorber: 9 + 3 x 4 and 0.92 - 3 x 0.04, by hand.
        let calm = CollectorSpec {
            eta0b: 0.92,
            a1_w_m2_k: 9.0,
            a3_j_m3_k: 4.0,
            a6_s_m: 0.04,
            ..CollectorSpec::default()
        };
        let windy = from_2013(&calm);
        assert!((windy.a1_w_m2_k - 21.0).abs() < 1e-12 && (windy.eta0b - 0.80).abs() < 1e-12);
        // 1/cos 50 deg - 1 = 0.555724, by hand: 0.95 is b0 = 0.05/0.555724.
        assert!((b0_from_50_deg(0.95) - 0.089_973).abs() < 1e-6);
    }
}
