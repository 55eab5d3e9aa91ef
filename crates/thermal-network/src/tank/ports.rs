//! What happens at a tank's ports: streams that pass between two of them, and mixing where cold water enters.

use super::flow::{draw_up, mean_outlet_c};
use crate::fluid::Fluid;

/// Standard gravity in m/s2.
const GRAVITY_M_S2: f64 = 9.80665;

/// Height of a fountain of heavy fluid over `M^(3/4) F^(-1/2)`, `M` and `F` being its fluxes of momentum and buoyancy (Turner
/// 1966, Journal of Fluid Mechanics 26:779, from memory).
const FOUNTAIN: f64 = 1.85;

/// Moves `moved` slice volumes (half a slice at most) in at slice `enter` and out at slice `leave`, up or down. Returns the
/// mean temperature of what leaves. The slices must be settled afterwards.
pub(crate) fn pass_through(
    slices_c: &mut [f64],
    enter: usize,
    leave: usize,
    enter_c: f64,
    moved: f64,
) -> f64 {
    if enter <= leave {
        let out_c = mean_outlet_c(slices_c, enter, leave, enter_c, moved);
        draw_up(slices_c, enter, leave, enter_c, moved);
        return out_c;
    }
    // The tank stood on its head.
    let last = slices_c.len() - 1;
    slices_c.reverse();
    let out_c = pass_through(slices_c, last - enter, last - leave, enter_c, moved);
    slices_c.reverse();
    out_c
}

/// Mixing at a cold inlet by its height and the rate of the draw.
///
/// Cold water leaves the dip tube as a jet, strikes the bottom and rises as a fountain until its weight has used up its
/// momentum: `z = 1.85 M^(3/4) F^(-1/2) = 1.85 Q A^(-3/4) g'^(-1/2)`, with `Q` the flow, `A` the bore and `g'` gravity by the
/// relative difference of density between the incoming water and the water it mixes with. What lies below the fountain's top
/// or below the end of the tube mixes. That the bottom turns the jet without taking momentum from it is the most mixing there
/// can be.
#[derive(Clone, Copy, Debug)]
pub(crate) struct InletMixing {
    /// `1.85 A^(-3/4)` in m^(-3/2).
    per_flow: f64,
    slice_m: f64,
    /// Slice in which the dip tube ends.
    end: usize,
}

impl InletMixing {
    pub(crate) fn new(bore_m: f64, slice_m: f64, end: usize) -> Self {
        let bore_m2 = std::f64::consts::FRAC_PI_4 * bore_m * bore_m;
        Self { per_flow: FOUNTAIN / (bore_m2.sqrt() * bore_m2.sqrt().sqrt()), slice_m, end }
    }

    /// Mixes the slices (in order, bottom first) that water entering at `cold_c` with `flow_m3_s` stirs.
    pub(crate) fn mix(&self, slices_c: &mut [f64], cold_c: f64, flow_m3_s: f64) {
        let (stirred, mean_c) = self.stirred(slices_c, cold_c, flow_m3_s);
        slices_c[..stirred].fill(mean_c);
    }

    /// How many of the lowest slices such water stirs, and their mean temperature in degC.
    pub(crate) fn stirred(&self, slices_c: &[f64], cold_c: f64, flow_m3_s: f64) -> (usize, f64) {
        let cold_kg_m3 = Fluid::Water.density_kg_m3(cold_c);
        let (mut sum, mut stirred) = (0.0, (0, cold_c));
        for (i, slice_c) in slices_c.iter().enumerate() {
            sum += slice_c;
            let mixed_c = sum / (i + 1) as f64;
            let lighter = 1.0 - Fluid::Water.density_kg_m3(mixed_c) / cold_kg_m3;
            if mixed_c <= cold_c || lighter <= 0.0 {
                // Water as warm as what it meets rises or rests; buoyancy sees to it.
                return (0, cold_c);
            }
            let fountain_m = self.per_flow * flow_m3_s / (GRAVITY_M_S2 * lighter).sqrt();
            if i > self.end && fountain_m < i as f64 * self.slice_m {
                break;
            }
            stirred = (i + 1, mixed_c);
        }
        stirred
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Twenty slices of 5 cm.
    const SLICE_M: f64 = 0.05;
    const BORE_M: f64 = 0.02;

    fn stirred(end: usize, flow_m3_s: f64) -> usize {
        let mut slices_c = [50.0; 20];
        slices_c[0] = 30.0;
        let before: f64 = slices_c.iter().sum();
        InletMixing::new(BORE_M, SLICE_M, end).mix(&mut slices_c, 10.0, flow_m3_s);
        assert!((slices_c.iter().sum::<f64>() - before).abs() < 1e-9);
        slices_c.iter().filter(|c| **c < 50.0 - 1e-9).count()
    }

    #[test]
    fn a_trickle_stirs_up_to_the_end_of_the_dip_tube() {
        assert_eq!(stirred(0, 1e-9), 1);
        assert_eq!(stirred(3, 1e-9), 4);
        // A tube that has broken off at the top mixes the whole tank.
        assert_eq!(stirred(19, 1e-9), 20);
    }

    #[test]
    fn a_strong_draw_stirs_as_high_as_its_fountain() {
        // 12 L/min through 20 mm: Q 2e-4 m3/s, A 3.1416e-4 m2. Ten slices, one at 30 and nine at 50 degC, mix to 48 degC: 988.93
        // kg/m3 against 999.70 at 10 degC (Kell 1975, from memory), g' 0.1057 m/s2, z = 0.482 m, while the tenth begins at
        // 0.45 m. Eleven give 0.481 m, but the eleventh begins at 0.50 m.
        assert_eq!(stirred(0, 2e-4), 10);
        // Height goes with flow: a quarter of it. Three slices give 0.133 m, four 0.129 m, and the fourth begins at 0.15 m.
        assert_eq!(stirred(0, 5e-5), 3);
    }

    #[test]
    fn water_as_warm_as_the_tank_stirs_nothing() {
        let mut slices_c = [40.0, 45.0, 50.0, 55.0];
        InletMixing::new(BORE_M, SLICE_M, 0).mix(&mut slices_c, 40.0, 1e-3);
        assert_eq!(slices_c, [40.0, 45.0, 50.0, 55.0]);
    }

    #[test]
    fn a_stream_passes_down_as_it_passes_up() {
        let up_c = [20.0, 30.0, 40.0, 50.0, 60.0, 70.0];
        let (mut up, mut down) = (up_c, up_c);
        down.reverse();
        let (a, b) = (pass_through(&mut up, 1, 4, 15.0, 0.3), pass_through(&mut down, 4, 1, 15.0, 0.3));
        down.reverse();
        assert_eq!((a, up), (b, down));
        // What came in less what went out is the change, to rounding.
        let change: f64 = up.iter().sum::<f64>() - up_c.iter().sum::<f64>();
        assert!((change - 0.3 * (15.0 - a)).abs() < 1e-12, "{change}");
    }
}
