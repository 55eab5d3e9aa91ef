//! The same collector at another flow or fluid, and several of them in one field.
//!
//! Published relations: flow and series after J. Duffie and W. Beckman, Solar Engineering of Thermal Processes, chapters
//! 6 and 10; series first by R. Oonk, D. Jones and B. Cole-Appel, Solar Energy 23 (1979) 535-536 (both from memory,
//! derived again here).
//!
//! The year itself needs none of them: its collector loses from the temperature its own flow gives it, and a field is
//! computed as one collector of the whole area with the whole flow. That is exact for collectors side by side, each with its
//! share of the flow, and for collectors in a row, each with all of it; the tests hold the published factor against it.
//! The relations are for people, who compare a field with its sheet over inlet temperature.

use super::collector::InletCurve;

/// How collectors of a field are piped: rows side by side, each a few collectors one after the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Arrangement {
    /// Collectors in a row that the fluid passes one after the other.
    pub in_series: u32,
    /// Rows that share the flow.
    pub in_parallel: u32,
}

impl Arrangement {
    /// Collectors of the field.
    pub fn count(&self) -> u32 {
        self.in_series * self.in_parallel
    }
}

/// Loss from the absorber's fluid per area, F'UL in W/(m2 K), from FRUL at a flow: `-g ln(1 - FRUL/g)`.
///
/// Not a number if the flow could not carry such a loss (`FRUL >= g`).
pub fn fluid_loss_w_m2_k(slope_w_m2_k: f64, flow_w_m2_k: f64) -> f64 {
    -flow_w_m2_k * libm::log1p(-slope_w_m2_k / flow_w_m2_k)
}

/// FRUL in W/(m2 K) at a flow from F'UL: `g (1 - exp(-F'UL/g))`.
fn removed_w_m2_k(fluid_loss_w_m2_k: f64, flow_w_m2_k: f64) -> f64 {
    -flow_w_m2_k * libm::expm1(-fluid_loss_w_m2_k / flow_w_m2_k)
}

/// Factor on intercept and slope from the test's flow to the flow in use, each as heat capacity per area in W/(m2 K).
pub fn flow_factor(slope_w_m2_k: f64, test_w_m2_k: f64, use_w_m2_k: f64) -> f64 {
    let loss_w_m2_k = fluid_loss_w_m2_k(slope_w_m2_k, test_w_m2_k);
    removed_w_m2_k(loss_w_m2_k, use_w_m2_k) / slope_w_m2_k
}

/// Factor on intercept and slope of one collector for `in_series` equal ones one after the other:
/// `[1 - (1 - K)^N]/(N K)`, `K = FRUL/g`, where slope and `flow_w_m2_k` are those of one collector with the row's whole flow.
pub fn series_factor(slope_w_m2_k: f64, flow_w_m2_k: f64, in_series: u32) -> f64 {
    let share = slope_w_m2_k / flow_w_m2_k;
    let count = f64::from(in_series);
    -libm::expm1(count * libm::log1p(-share)) / (count * share)
}

/// Straight line of a whole field over its inlet temperature.
///
/// `one` is one collector's at the test's flow; `field_flow_w_m2_k` the field's flow per area of the whole field.
pub fn field(
    one: &InletCurve,
    test_w_m2_k: f64,
    field_flow_w_m2_k: f64,
    arrangement: Arrangement,
) -> InletCurve {
    let each_w_m2_k = field_flow_w_m2_k * f64::from(arrangement.in_series);
    let by_flow = flow_factor(one.slope_w_m2_k, test_w_m2_k, each_w_m2_k);
    let by_row = series_factor(one.slope_w_m2_k * by_flow, each_w_m2_k, arrangement.in_series);
    let factor = by_flow * by_row;
    InletCurve {
        intercept_frac: one.intercept_frac * factor,
        slope_w_m2_k: one.slope_w_m2_k * factor,
        second_w_m2_k2: 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rating::collector::{MeanCurve, Point};

    /// FR(ta) 0.6838 and FRUL 3.5167 at 0.02 kg/(s m2) of 3800 J/(kg K), worked apart from this code.
    const ONE: InletCurve = InletCurve { intercept_frac: 0.6838, slope_w_m2_k: 3.5167, second_w_m2_k2: 0.0 };
    const TEST_W_M2_K: f64 = 0.02 * 3800.0;

    #[test]
    fn worked_numbers() {
        // Each printed to four decimals.
        let near = |found: f64, printed: f64| assert!((found - printed).abs() < 6e-5, "{found} {printed}");
        near(fluid_loss_w_m2_k(3.5167, TEST_W_M2_K), 3.6007);
        let factor = flow_factor(3.5167, TEST_W_M2_K, 0.004 * 3800.0);
        near(factor, 0.9116);
        near(3.5167 * factor, 3.2060);
        near(0.6838 * factor, 0.6234);
        for (count, printed) in [(2, 0.9769), (3, 0.9544), (4, 0.9327)] {
            near(series_factor(0.0463, 1.0, count), printed);
        }
    }

    #[test]
    fn a_row_is_one_collector_of_its_whole_area() {
        for in_series in 1..=6 {
            let arrangement = Arrangement { in_series, in_parallel: 2 };
            let row = field(&ONE, TEST_W_M2_K, 30.0, arrangement);
            // One collector of the field's area with the field's flow: closed form without the series relation.
            let alone = field(&ONE, TEST_W_M2_K, 30.0, Arrangement { in_series: 1, in_parallel: 1 });
            // The same expression in another order.
            assert!((row.slope_w_m2_k / alone.slope_w_m2_k - 1.0).abs() < 1e-13);
            assert!((row.intercept_frac / alone.intercept_frac - 1.0).abs() < 1e-13);
        }
    }

    /// The model's way (mean temperature, then its own flow) against the published factor.
    #[test]
    fn mean_temperature_at_another_flow_agrees_with_the_factor() {
        let mean: MeanCurve = ONE.over_mean(TEST_W_M2_K);
        for use_w_m2_k in [30.0, 50.0, 120.0] {
            let factor = flow_factor(ONE.slope_w_m2_k, TEST_W_M2_K, use_w_m2_k);
            let point = Point { sun_w_m2: 800.0, inlet_c: 40.0, air_c: 20.0, flow_w_m2_k: use_w_m2_k };
            let published = factor * ONE.heat_w_m2(800.0, 20.0);
            // Arithmetic against logarithmic mean: (F'UL/g)^2/12, 0.12 % at the lowest flow.
            assert!((mean.at(&point).heat_w_m2 / published - 1.0).abs() < 1.3e-3);
        }
    }
}
