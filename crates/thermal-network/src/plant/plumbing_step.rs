//! A step of the pipe work between tanks and taps. Draw, transfer and recirculation take turns within a step, which is kept
//! short while either pump runs.

use super::Plant;
use crate::flows::{Conditions, Flows};
use crate::plumbing::{Plumbing, Recirculation, Transfer};
use crate::state::State;
use crate::tank::flow::{LONGEST_PASS, mean_outlet_c};
use crate::tank::mixing::settle;
use crate::tank::ports::pass_through;

/// Longest step while a transfer or recirculation pump runs, in s.
const PUMPED_STEP_S: u32 = 60;

/// Longest step of a draw that passes the pipe between the tanks, stirs a tank or may turn the bypass, in s.
const PASSING_STEP_S: u32 = 120;

impl Plant {
    /// Longest step the pipe work allows, in s.
    pub(super) fn longest_plumbing_step_s(&self, plumbing: &Plumbing, state: &State, c: &Conditions) -> u32 {
        let recirculates = plumbing.recirculation.is_some() && c.orders.recirculates;
        if state.plumbing.transfer_on || recirculates {
            return PUMPED_STEP_S.min(self.numerics.tank_step_s);
        }
        match () {
            () if c.draw.flow_m3_s > 0.0 && plumbing.minds_draws() => {
                PASSING_STEP_S.min(self.numerics.tank_step_s)
            }
            () if plumbing.transfer.is_some() => self.numerics.tank_step_s,
            () => u32::MAX,
        }
    }

    /// Last tank that a draw passes.
    #[inline]
    pub(super) fn last_drawn(&self, state: &State) -> usize {
        if state.plumbing.bypassed { 0 } else { self.tanks.len() - 1 }
    }

    /// The bypass turns by what it finds now.
    pub(super) fn turn_bypass(&self, plumbing: &Plumbing, state: &mut State, c: &Conditions) {
        let outlet_c = state.nodes_c[self.tank_nodes(0).start + self.tanks[0].hot_slice];
        plumbing.turn_bypass(&mut state.plumbing, outlet_c, c);
    }

    /// Both pumps for `seconds`, and what they decide next.
    pub(super) fn pump_water(
        &self,
        plumbing: &Plumbing,
        state: &mut State,
        c: &Conditions,
        seconds: f64,
        flows: &mut Flows,
    ) {
        if let Some(transfer) = &plumbing.transfer {
            if state.plumbing.transfer_on {
                self.transfer(transfer, state, seconds, flows);
            }
            let first_c = state.nodes_c[self.tank_nodes(0).start + transfer.take];
            let second_c = state.nodes_c[self.tank_nodes(1).start + transfer.back_from];
            state.plumbing.transfer_on = transfer.decide(state.plumbing.transfer_on, first_c, second_c);
        }
        if let Some(line) = plumbing.recirculation.as_ref().filter(|_| c.orders.recirculates) {
            flows.plumbing.recirculation_pump_j += line.pump.power_w * seconds;
            // Where the bypass has cut the tank off to which the loop returns, the pump moves nothing.
            if line.return_tank <= self.last_drawn(state) {
                self.recirculate(plumbing, line, state, c, seconds, flows);
            }
        }
    }

    /// Water changes places between the tanks.
    fn transfer(&self, transfer: &Transfer, state: &mut State, seconds: f64, flows: &mut Flows) {
        let [first, second] = [&self.tanks[0], &self.tanks[1]];
        let pump = &transfer.pump;
        let least_j_k = first.slice_j_k.min(second.slice_j_k);
        let passes = (pump.flow_w_k * seconds / (least_j_k * LONGEST_PASS)).ceil();
        let pass_j_k = pump.flow_w_k * seconds / passes;
        let (below, above) = state.nodes_c.split_at_mut(self.tank_nodes(1).start);
        let first_c = &mut below[self.tank_nodes(0).start..];
        let second_c = &mut above[..second.slices];
        for _ in 0..passes as usize {
            let moved = pass_j_k / second.slice_j_k;
            // What comes back hangs on what goes there, and that on what comes back: the rest of the guess is made good below.
            let guess_c = if transfer.give <= transfer.back_from {
                let coming_c = first_c[transfer.take] + pump.rise_k;
                mean_outlet_c(second_c, transfer.give, transfer.back_from, coming_c, moved)
            } else {
                second_c[transfer.back_from]
            };
            let out_c =
                pass_through(first_c, transfer.back_to, transfer.take, guess_c, pass_j_k / first.slice_j_k);
            let given_c = out_c + pump.rise_k;
            let back_c = pass_through(second_c, transfer.give, transfer.back_from, given_c, moved);
            first_c[transfer.back_to] += (back_c - guess_c) * pass_j_k / first.slice_j_k;
            settle(first_c);
            settle(second_c);
            flows.plumbing.circulated_j[0] += pass_j_k * (out_c - back_c);
            flows.plumbing.circulated_j[1] += pass_j_k * (back_c - given_c);
            flows.plumbing.transferred_j += pass_j_k * (given_c - back_c);
        }
        flows.plumbing.transfer_pump_j += pump.power_w * seconds;
        flows.plumbing.pump_heat_j += pump.flow_w_k * pump.rise_k * seconds;
    }

    /// Water of the house's outlet, behind a flow-through heater if there is one, goes round the house and back.
    fn recirculate(
        &self,
        plumbing: &Plumbing,
        line: &Recirculation,
        state: &mut State,
        c: &Conditions,
        seconds: f64,
        flows: &mut Flows,
    ) {
        let last = self.last_drawn(state);
        let round = line.return_tank..=last;
        let least_j_k = self.tanks[round.clone()].iter().fold(f64::INFINITY, |l, tank| l.min(tank.slice_j_k));
        let pump = &line.pump;
        // No more at a time than the loop holds, so that what comes back does not hang on what goes out.
        let most_j_k = (least_j_k * LONGEST_PASS).min(state.plumbing.line.content_j_k);
        let passes = (pump.flow_w_k * seconds / most_j_k).ceil();
        let pass_j_k = pump.flow_w_k * seconds / passes;
        for _ in 0..passes as usize {
            let returned_c = state.plumbing.line.pop(pass_j_k);
            let mut water_c = returned_c;
            for i in round.clone() {
                let tank = &self.tanks[i];
                let enter = if i == line.return_tank { line.return_slice } else { tank.cold_slice };
                let slices_c = &mut state.nodes_c[self.tank_nodes(i)];
                let moved = pass_j_k / tank.slice_j_k;
                let out_c = pass_through(slices_c, enter, tank.hot_slice, water_c, moved);
                settle(slices_c);
                flows.plumbing.circulated_j[i] += pass_j_k * (out_c - water_c);
                water_c = out_c;
                if i < last {
                    water_c =
                        plumbing.pass_between(&mut state.plumbing, pass_j_k, out_c, &mut flows.plumbing);
                }
            }
            if self.flow_heater.is_some_and(|heater| heater.fires(pump.flow_w_k, water_c, c.elements_allowed))
            {
                water_c = self.fire(pump.flow_w_k, water_c, pass_j_k / pump.flow_w_k, flows);
            }
            state.plumbing.line.push(pass_j_k, water_c + pump.rise_k);
            flows.plumbing.recirculation_gain_j += pass_j_k * (water_c + pump.rise_k - returned_c);
        }
        flows.plumbing.pump_heat_j += pump.flow_w_k * pump.rise_k * seconds;
    }
}
