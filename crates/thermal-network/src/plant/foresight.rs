//! What the controller's sensor in the tank will read while the tank itself is held still for a step.

use super::Plant;
use crate::solar_loop::LoopSpan;
use crate::state::State;
use crate::tank::flow::{LONGEST_CIRCULATION, drawn_c};

/// Slice volumes a draw may move while its effect is foreseen: the error is below 4 % of the step between two slices.
const FORESEEN_SLICES: f64 = 1.0;

/// How the sensor's slice changes through a step by draw, loss and conduction.
pub(super) struct Foresight {
    slice: usize,
    /// Fall by loss and conduction, in K/s.
    fall_k_s: f64,
    /// Slice volumes drawn a second.
    drawn_s: f64,
    /// They pass the sensor's slice.
    passed: bool,
    cold_slice: usize,
    cold_c: f64,
}

impl Foresight {
    pub(super) fn new(plant: &Plant, span: &LoopSpan<'_>, state: &State) -> Self {
        let LoopSpan { solar, c, .. } = span;
        let tank = &plant.tanks[0];
        let slices_c = &state.nodes_c[plant.tank_nodes(0)];
        let slice = solar.sensor_slice;
        let own_c = slices_c[slice];
        let room_c = c.surroundings_c(tank.surroundings);
        let fall_w = |j: usize| {
            let (own_c, below_c) = (slices_c[j], slices_c[j.saturating_sub(1)]);
            let above_c = slices_c[(j + 1).min(slices_c.len() - 1)];
            (tank.loss_w_k[j] + tank.flue_slice_w_k) * (own_c - room_c)
                + tank.conduction_w_k * (2.0 * own_c - below_c - above_c)
        };
        // Water that cools faster than what is as warm below sinks into it: they cool together.
        let (mut fall, mut sharing) = (fall_w(slice), 1.0);
        for j in (0..slice).rev() {
            let below_w = fall_w(j);
            if slices_c[j] < own_c || below_w * sharing >= fall {
                break;
            }
            fall += below_w;
            sharing += 1.0;
        }
        let passed = (tank.cold_slice..=tank.hot_slice).contains(&slice);
        let drawn_s = plant.drawn_w_k(state, c) / tank.slice_j_k;
        Self {
            slice,
            fall_k_s: fall / (sharing * tank.slice_j_k),
            drawn_s,
            passed: passed && drawn_s > 0.0,
            cold_slice: tank.cold_slice,
            cold_c: c.cold_water_c,
        }
    }

    /// How far ahead the draw can be foreseen, in s: one pass through the slices.
    pub(super) fn reach_s(&self) -> u32 {
        // Cold water let in above other slices sinks and mixes with them: that is not foreseen.
        let slices = if self.cold_slice == 0 { FORESEEN_SLICES } else { LONGEST_CIRCULATION };
        if self.drawn_s > 0.0 { (slices / self.drawn_s).min(f64::from(u32::MAX)) as u32 } else { u32::MAX }
    }

    /// Temperature of the sensor's slice after `seconds` of the step, the slices being as they were at its beginning.
    #[inline]
    pub(super) fn sensed_c(&self, slices_c: &[f64], seconds: f64) -> f64 {
        let drawn_c = if self.passed {
            drawn_c(&slices_c[self.cold_slice..=self.slice], self.cold_c, self.drawn_s * seconds)
        } else {
            slices_c[self.slice]
        };
        drawn_c - self.fall_k_s * seconds
    }
}
