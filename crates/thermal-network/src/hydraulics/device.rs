//! What a device in the loop resists, from the figures of its sheet.

use super::GRAVITY_M_S2;
use super::curve::CurveFault;
use crate::fluid::Fluid;

/// Temperature in degC of the water sheets are measured with (common practice).
const SHEET_WATER_C: f64 = 20.0;

/// Exponent of the flow where a single point is known: fully turbulent resistance (common practice).
const SQUARE: f64 = 2.0;

/// Collector field, coil or plate exchanger with pressure drops measured in water: head follows a power of the flow between two
/// points, and runs on with the outermost powers. The head is taken to be the same for any fluid, which is right where the
/// flow is turbulent and too little for cold glycol.
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    /// (flow in m3/s, head in m), rising.
    points: Vec<(f64, f64)>,
}

impl Device {
    /// From points of flow in m3/s and head in m; one point is enough.
    ///
    /// # Errors
    /// No point, a value that is not finite or not above zero, or values that do not rise from point to point.
    pub fn new(points: &[(f64, f64)]) -> Result<Self, CurveFault> {
        if points.is_empty() {
            return Err(CurveFault::new(0, "one point at least is needed"));
        }
        let sound = |value: f64| value > 0.0 && value.is_finite();
        if let Some(bad) = points.iter().position(|&(flow, head)| !sound(flow) || !sound(head)) {
            return Err(CurveFault::new(bad, "flow and drop must be above zero"));
        }
        let rises = |pair: &[(f64, f64)]| pair[0].0 < pair[1].0 && pair[0].1 < pair[1].1;
        if let Some(before) = points.windows(2).position(|pair| !rises(pair)) {
            return Err(CurveFault::new(before + 1, "flow and drop do not rise from point to point"));
        }
        Ok(Self { points: points.to_vec() })
    }

    /// Head in m of water for a pressure drop in Pa measured with cold water.
    pub fn head_of_drop_m(drop_pa: f64) -> f64 {
        drop_pa / (GRAVITY_M_S2 * Fluid::Water.density_kg_m3(SHEET_WATER_C))
    }

    /// Head in m that `flow_m3_s` needs.
    pub fn head_m(&self, flow_m3_s: f64) -> f64 {
        if flow_m3_s <= 0.0 {
            return 0.0;
        }
        let power = |pair: &[(f64, f64)]| libm::log(pair[1].1 / pair[0].1) / libm::log(pair[1].0 / pair[0].0);
        let last_pair = self.points.len().saturating_sub(2);
        let pair = self.points.partition_point(|point| point.0 <= flow_m3_s).saturating_sub(1).min(last_pair);
        let exponent = self.points.get(pair..pair + 2).map_or(SQUARE, power);
        let (flow, head) = self.points[pair];
        head * libm::pow(flow_m3_s / flow, exponent)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_point_follows_the_square_and_two_their_own_power() {
        let one = Device::new(&[(1e-4, 0.5)]).unwrap();
        assert_eq!(one.head_m(2e-4), 2.0);
        assert_eq!(one.head_m(0.0), 0.0);
        // Twice the flow at three times the drop: 0.5 x 3 at 2e-4, 0.5 / 3 at half, x 9 at four times.
        let two = Device::new(&[(1e-4, 0.5), (2e-4, 1.5)]).unwrap();
        for (flow, head) in [(0.5e-4, 0.5 / 3.0), (1e-4, 0.5), (2e-4, 1.5), (4e-4, 4.5)] {
            // Rounding of a power.
            assert!((two.head_m(flow) / head - 1.0).abs() < 1e-14, "{flow}");
        }
        // A third point changes the power beyond the second only.
        let three = Device::new(&[(1e-4, 0.5), (2e-4, 1.5), (4e-4, 6.0)]).unwrap();
        assert!((three.head_m(1.5e-4) - two.head_m(1.5e-4)).abs() < 1e-15);
        assert!((three.head_m(8e-4) / 24.0 - 1.0).abs() < 1e-14);
    }

    #[test]
    fn a_drop_is_a_column_of_cold_water() {
        // 1 m of water at 20 degC, 998.4 kg/m3: 9791 Pa. The density fit is good to 6e-5.
        assert!((Device::head_of_drop_m(9791.0) - 1.0).abs() < 1e-4);
    }

    #[test]
    fn points_that_make_no_device() {
        let point = |points: &[(f64, f64)]| Device::new(points).unwrap_err().point;
        assert_eq!(point(&[]), 0);
        assert_eq!(point(&[(0.0, 0.1)]), 0);
        assert_eq!(point(&[(1e-4, 0.5), (2e-4, 0.5)]), 1);
    }
}
