//! Where a pump's curve and a circuit's resistance meet.

use super::curve::{Curve, CurveFault};
use super::device::Device;
use super::friction::TubeRun;
use crate::fluid::Fluid;

/// Halvings of the bracket: more than the digits of a number.
const HALVINGS: usize = 60;

/// Everything the loop's fluid passes one after the other.
#[derive(Clone, Debug, PartialEq)]
pub struct Circuit {
    /// What flows.
    pub fluid: Fluid,
    /// Tubes with their fittings.
    pub tubes: Vec<TubeRun>,
    /// Collector field, exchanger and the like.
    pub devices: Vec<Device>,
}

impl Circuit {
    /// Head in m that `flow_m3_s` of fluid at `t_c` degC needs, without any lift.
    pub fn head_m(&self, t_c: f64, flow_m3_s: f64) -> f64 {
        let tubes: f64 = self.tubes.iter().map(|tube| tube.head_m(&self.fluid, t_c, flow_m3_s)).sum();
        let devices: f64 = self.devices.iter().map(|device| device.head_m(flow_m3_s)).sum();
        tubes + devices
    }
}

/// Electric power of a pump.
#[derive(Clone, Debug, PartialEq)]
pub enum Power {
    /// The same at any flow, in W.
    Constant(f64),
    /// W over m3/s; beyond its ends as at them.
    OverFlow(Curve),
}

/// A pump as its sheet shows it. The curve is one of water; fluids up to ten times as thick change it little (common practice).
#[derive(Clone, Debug, PartialEq)]
pub struct Pump {
    head: Curve,
    power: Power,
}

impl Pump {
    /// From points of flow in m3/s and head in m.
    ///
    /// # Errors
    /// Points that make no curve, a head that does not fall as flow rises, or none at the first point.
    pub fn new(points: &[(f64, f64)], power: Power) -> Result<Self, CurveFault> {
        let head = Curve::new(points)?;
        if points[0].0 < 0.0 {
            return Err(CurveFault::new(0, "a pump's flow is not below zero"));
        }
        if points[0].1 <= 0.0 {
            return Err(CurveFault::new(0, "the pump makes no head"));
        }
        match points.windows(2).position(|pair| pair[0].1 <= pair[1].1) {
            Some(before) => Err(CurveFault::new(before + 1, "the head does not fall as the flow rises")),
            None => Ok(Self { head, power }),
        }
    }

    /// Head in m at a flow.
    pub fn head_m(&self, flow_m3_s: f64) -> f64 {
        self.head.at(flow_m3_s)
    }

    /// Electric power in W at a flow.
    pub fn electric_w(&self, flow_m3_s: f64) -> f64 {
        match &self.power {
            Power::Constant(power_w) => *power_w,
            Power::OverFlow(curve) => {
                let (least, most) = curve.range();
                curve.at(flow_m3_s.max(least).min(most))
            }
        }
    }
}

/// A pump at work in a circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OperatingPoint {
    /// Flow in m3/s.
    pub flow_m3_s: f64,
    /// Head in m.
    pub head_m: f64,
    /// Electric power in W.
    pub electric_w: f64,
}

/// Where the pump runs with fluid at `t_c` degC, lifting it by `lift_m` besides (0 for a closed and filled loop; the height to
/// be filled at the start of a drainback loop). `None` if the pump does not reach that height.
pub fn operating_point(circuit: &Circuit, pump: &Pump, t_c: f64, lift_m: f64) -> Option<OperatingPoint> {
    let surplus_m = |flow_m3_s: f64| pump.head_m(flow_m3_s) - lift_m - circuit.head_m(t_c, flow_m3_s);
    if surplus_m(0.0).is_nan() || surplus_m(0.0) <= 0.0 {
        return None;
    }
    // Beyond its last point the curve falls straight on, so that a flow too large is found.
    let (mut less, mut more) = (0.0, pump.head.range().1);
    while surplus_m(more) > 0.0 {
        more *= 2.0;
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (less + more);
        if surplus_m(middle) > 0.0 {
            less = middle;
        } else {
            more = middle;
        }
    }
    let flow_m3_s = 0.5 * (less + more);
    Some(OperatingPoint { flow_m3_s, head_m: pump.head_m(flow_m3_s), electric_w: pump.electric_w(flow_m3_s) })
}

#[cfg(test)]
mod tests {
    use super::super::{GRAVITY_M_S2, friction::DRAWN_TUBE_ROUGHNESS_M};
    use super::*;

    const GLYCOL: Fluid = Fluid::PropyleneGlycol { volume_frac: 0.5 };

    fn tube(length_m: f64, bore_m: f64) -> TubeRun {
        TubeRun { length_m, fittings_m: 0.0, bore_m, roughness_m: DRAWN_TUBE_ROUGHNESS_M, coil_m: None }
    }

    #[test]
    fn laminar_loop_and_linear_pump_in_closed_form() {
        // Hagen and Poiseuille: head = 128 mu L q/(pi rho g D^4) = c q; pump: h0 (1 - q/q0); q = h0/(c + h0/q0).
        let circuit = Circuit { fluid: GLYCOL, tubes: vec![tube(30.0, 0.0144)], devices: Vec::new() };
        let (h0, q0, t_c) = (5.0, 4e-4, 10.0);
        let pump = Pump::new(&[(0.0, h0), (q0, 0.0)], Power::Constant(40.0)).unwrap();
        let (mu, rho) = (GLYCOL.viscosity_pa_s(t_c).unwrap(), GLYCOL.density_kg_m3(t_c));
        let c = 128.0 * mu * 30.0 / (core::f64::consts::PI * rho * GRAVITY_M_S2 * 0.0144_f64.powi(4));
        for lift_m in [0.0, 2.0] {
            let flow = (h0 - lift_m) / (c + h0 / q0);
            assert!(4.0 * flow * rho / (core::f64::consts::PI * 0.0144 * mu) < 2300.0, "not laminar");
            let found = operating_point(&circuit, &pump, t_c, lift_m).unwrap();
            // Closed form against closed form: rounding only.
            assert!((found.flow_m3_s / flow - 1.0).abs() < 1e-12, "{found:?} {flow}");
            assert!((found.head_m / (lift_m + c * flow) - 1.0).abs() < 1e-12);
            assert_eq!(found.electric_w, 40.0);
        }
        assert_eq!(operating_point(&circuit, &pump, t_c, 5.0), None);
    }

    #[test]
    fn a_square_device_and_a_flat_pump_in_closed_form() {
        // Head falls by a millionth of 3 m over the range: q = q1 sqrt(3/0.5) to 1e-6.
        let circuit = Circuit {
            fluid: Fluid::Water,
            tubes: Vec::new(),
            devices: vec![Device::new(&[(1e-4, 0.5)]).unwrap()],
        };
        let pump = Pump::new(&[(0.0, 3.0), (1e-4, 3.0 - 3e-6)], Power::Constant(0.0)).unwrap();
        let found = operating_point(&circuit, &pump, 50.0, 0.0).unwrap();
        assert!((found.flow_m3_s / (1e-4 * 6.0_f64.sqrt()) - 1.0).abs() < 2e-6, "{found:?}");
    }

    #[test]
    fn warm_fluid_flows_faster_and_power_follows_its_own_curve() {
        let circuit = Circuit { fluid: GLYCOL, tubes: vec![tube(40.0, 0.0144)], devices: Vec::new() };
        let power = Curve::new(&[(1e-5, 30.0), (2e-4, 49.0)]).unwrap();
        let pump = Pump::new(&[(0.0, 5.0), (2e-4, 4.0), (4e-4, 1.0)], Power::OverFlow(power)).unwrap();
        let at = |t_c| operating_point(&circuit, &pump, t_c, 0.0).unwrap();
        let (cold, warm, hot) = (at(0.0), at(50.0), at(90.0));
        assert!(cold.flow_m3_s < warm.flow_m3_s && warm.flow_m3_s < hot.flow_m3_s);
        // 30 W at 1e-5 m3/s and 19 W more over 1.9e-4: 1e5 W/(m3/s).
        assert!((cold.electric_w - (30.0 + 1e5 * (cold.flow_m3_s - 1e-5))).abs() < 1e-9, "{cold:?}");
        // Beyond the ends of its curve power stays as it is there.
        assert_eq!((pump.electric_w(0.0), pump.electric_w(9e-4)), (30.0, 49.0));
        // Both sides agree at the point found.
        assert!((circuit.head_m(50.0, warm.flow_m3_s) / warm.head_m - 1.0).abs() < 1e-12);
    }

    #[test]
    fn points_that_make_no_pump() {
        let point = |points: &[(f64, f64)]| Pump::new(points, Power::Constant(1.0)).unwrap_err().point;
        assert_eq!(point(&[(0.0, 1.0)]), 0);
        assert_eq!(point(&[(-1e-4, 1.0), (1e-4, 0.5)]), 0);
        assert_eq!(point(&[(0.0, 0.0), (1e-4, -0.5)]), 0);
        assert_eq!(point(&[(0.0, 1.0), (1e-4, 1.0)]), 1);
    }
}
