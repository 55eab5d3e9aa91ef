//! How long a step of a plant may be: as far as nothing is missed.
//!
//! At rest no decision may change within a step; a draw moves no cold front past a thermostat or an outlet; a running loop
//! steps past a decision only where its effect on the tank's sensor can be foreseen.

use super::Plant;
use crate::collector::{Collector, Drive};
use crate::controller::{Closing, Controller, Rest};
use crate::exchanger::Exchanger;
use crate::flows::Conditions;
use crate::solar_loop::{LoopSpan, RETURN};
use crate::state::State;
use crate::tank::flow::LONGEST_PASS;

/// Slices below a thermostat or an outlet from which cold water can reach it within a pass.
const FRONT_SLICES: usize = 3;

/// Longest step of a run, in s, while the sensor is so near the high limit or the top of the tank so near crossing it, in K: when the
/// pump stops, and how much lies above the limit then, hangs on how warm water mixes within the step.
const NEAR_LIMIT_STEP_S: u32 = 120;
const NEAR_LIMIT_K: f64 = 4.0;
const NEAR_TOP_K: f64 = 1.5;

/// Most slice volumes drawn in a step.
const DRAW_STEP_SLICES: f64 = 1.0;

/// Longest step while cold water is near a thermostat or an outlet, in s; in a strong draw as long as a slice takes to pass, but not
/// shorter than the second: a thermostat that reads late lets a large draw run cold.
const NEAR_STEP_S: u32 = 120;
const LEAST_NEAR_STEP_S: u32 = 15;

/// A draw that moves less than this share of a slice in such a step is a trickle: what it brings is foreseen.
const TRICKLE_SLICES: f64 = 0.1;

/// Longest step while an element heats, in s: loss and heating take turns, which costs 0.01 K in half a day at 300 s.
const HEATING_STEP_S: u32 = 120;

/// Longest step while tank water circulates or overturns above a coil, in s.
const LIVELY_STEP_S: u32 = 30;

/// Longest step, in s, while the collector or the return pipe holds fluid that much hotter than the top of the tank, in K: a hot slug
/// on its way into circulated water.
const SLUG_STEP_S: u32 = 5;
const SLUG_K: f64 = 10.0;

impl Plant {
    /// Longest step with the pump on, in s. Past the next decision only a coil's effect on the sensor can be foreseen, and
    /// only in a steady run.
    pub(super) fn longest_run_s(&self, span: &LoopSpan<'_>, state: &State) -> u32 {
        let LoopSpan { solar, c, .. } = span;
        match &solar.exchanger {
            Exchanger::Coil(coil) if coil.overturns => self.shortest_run_s(span, state),
            Exchanger::Coil(coil) if state.warms_alike(c) => {
                let warming_s = coil
                    .longest_step_s(self.tanks[0].slice_j_k, self.coil_flow(coil, solar, state))
                    .min(state.longest_alike_s());
                let limit_c = solar.controller.spec.high_limit_c;
                let top_c = state.nodes_c[self.tank_nodes(0).end - 1];
                let near = state.controller.tank_reading_c > limit_c - NEAR_LIMIT_K
                    || (top_c - limit_c).abs() < NEAR_TOP_K;
                let longest_s = if near { NEAR_LIMIT_STEP_S } else { u32::MAX };
                let warming_s = (warming_s as u32).max(state.controller.decision_in_s);
                self.numerics.tank_step_s.min(longest_s).min(warming_s)
            }
            Exchanger::Coil(_) => state.controller.decision_in_s.min(self.numerics.tank_step_s),
            Exchanger::Circulated(_) => self.shortest_run_s(span, state),
        }
    }

    /// Step of a run in which the tank changes as fast as the loop.
    fn shortest_run_s(&self, span: &LoopSpan<'_>, state: &State) -> u32 {
        let mut longest_s = state.controller.decision_in_s.min(self.numerics.tank_step_s).min(LIVELY_STEP_S);
        if let Exchanger::Circulated(circulated) = &span.solar.exchanger {
            let slice_s = self.tanks[0].slice_j_k / circulated.tank_flow_w_k(state.flow_w_k);
            longest_s = longest_s.min((LONGEST_PASS * slice_s) as u32).max(1);
            let cells_c = &state.nodes_c[self.collector_nodes()];
            let top_c = state.nodes_c[self.tank_nodes(0).end - 1];
            let slug_c = cells_c[cells_c.len() - 1].max(state.pipes[RETURN].range_c().1);
            if slug_c > top_c + SLUG_K {
                longest_s = longest_s.min(SLUG_STEP_S);
            }
        }
        longest_s
    }

    /// Longest step the tanks allow, in s.
    pub(super) fn longest_step_s(&self, state: &State, c: &Conditions) -> u32 {
        let mut wanted_s = self.numerics.quiet_step_s.min(self.longest_stand_s);
        // With the pump on, steps are short enough for any thermostat.
        if !state.controller.pump_on {
            wanted_s = wanted_s.min(self.thermostats_rest_s(state, c));
        }
        let heats = state.elements.iter().any(|element| element.calls);
        if heats {
            wanted_s = wanted_s.min(self.numerics.tank_step_s).min(HEATING_STEP_S);
        }
        if c.draw.flow_m3_s > 0.0 {
            // Draw and heating take turns within a step: neither may get far ahead.
            let near_s = self.near_step_s(c);
            wanted_s = wanted_s.min(if heats { near_s } else { self.longest_draw_step_s(state, c, near_s) });
        }
        if let Some(plumbing) = &self.plumbing {
            wanted_s = wanted_s.min(self.longest_plumbing_step_s(plumbing, state, c));
        }
        wanted_s
    }

    /// How long no thermostat can come to call by its tank's cooling alone, in s.
    fn thermostats_rest_s(&self, state: &State, c: &Conditions) -> u32 {
        let mut index = 0;
        let mut rest_s = f64::INFINITY;
        for (i, tank) in self.tanks.iter().enumerate() {
            let slices_c = &state.nodes_c[self.tank_nodes(i)];
            let room_c = c.surroundings_c(tank.surroundings);
            for element in &tank.elements {
                let at = element.thermostat_slice;
                let own_c = slices_c[at];
                let loss_w_k = tank.loss_w_k[at] + tank.flue_slice_w_k;
                let fall_w = loss_w_k * (own_c - room_c).max(0.0)
                    + tank.conduction_w_k * (own_c - slices_c[at.saturating_sub(1)]).max(0.0);
                let gap_k = own_c - element.calls_below_c(room_c);
                if !state.elements[index].calls && fall_w > 0.0 {
                    // Mixing with a cooler top can double what the slice loses by itself.
                    rest_s = rest_s.min(0.5 * gap_k.max(0.0) * tank.slice_j_k / fall_w);
                }
                index += 1;
            }
        }
        (rest_s.min(f64::from(u32::MAX)) as u32).max(NEAR_STEP_S)
    }

    /// Longest step of a draw while cold water is near something that matters, in s.
    fn near_step_s(&self, c: &Conditions) -> u32 {
        let slice_s = (self.least_slice_m3 / c.draw.flow_m3_s) as u32;
        slice_s.clamp(LEAST_NEAR_STEP_S, NEAR_STEP_S).min(self.numerics.tank_step_s)
    }

    /// Longest step of a draw, in s: a few passes through the slices, as long as the cold front stays away from thermostats
    /// that would call and from an outlet that would no longer be warm enough.
    fn longest_draw_step_s(&self, state: &State, c: &Conditions, near_s: u32) -> u32 {
        let mut index = 0;
        let mut pass_s = f64::INFINITY;
        for (i, tank) in self.tanks.iter().enumerate() {
            let slices_c = &state.nodes_c[self.tank_nodes(i)];
            let slice_s = tank.slice_j_k / (c.draw.flow_m3_s * tank.water_j_m3_k);
            pass_s = pass_s.min(DRAW_STEP_SLICES * slice_s);
            let trickles = f64::from(near_s) < TRICKLE_SLICES * slice_s;
            // How long until water from below can bring a slice down to a level that matters.
            let safe_s = |slice: usize, level_c: f64| {
                let (own_c, coming_c) = (slices_c[slice], slices_c[slice.saturating_sub(FRONT_SLICES)]);
                if coming_c > level_c {
                    f64::INFINITY
                } else if trickles {
                    let below_c = slices_c[slice.saturating_sub(1)];
                    0.5 * (own_c - level_c) * slice_s / (own_c - below_c).max(f64::MIN_POSITIVE)
                } else {
                    0.0
                }
            };
            if i == self.last_drawn(state) && slices_c[tank.hot_slice] > c.draw.use_c {
                pass_s = pass_s.min(safe_s(tank.hot_slice, c.draw.use_c));
            }
            for element in &tank.elements {
                if !state.elements[index].calls {
                    let calls_c = element.calls_below_c(c.surroundings_c(tank.surroundings));
                    pass_s = pass_s.min(safe_s(element.thermostat_slice, calls_c));
                }
                index += 1;
            }
        }
        (pass_s as u32).max(near_s)
    }

    /// How long the pump stays off before a decision could start it, in s, with the tank's sensor now at `sensed_c`,
    /// or where its slice is.
    pub(super) fn quiet_s(&self, span: &LoopSpan<'_>, state: &State, sensed_c: Option<f64>) -> u32 {
        let LoopSpan { solar, c, drive } = span;
        let Controller { spec, tank_sensor, collector_sensor, .. } = &solar.controller;
        let cells_c = &state.nodes_c[self.collector_nodes()];
        let slices_c = &state.nodes_c[self.tank_nodes(0)];
        let tank = &self.tanks[0];
        let outlet_c = cells_c[cells_c.len() - 1];
        let at = solar.sensor_slice;
        let room_c = c.surroundings_c(tank.surroundings);
        // Lagging readings move towards what they measure: count with whichever is nearer to a start.
        let outlet_read_c = collector_sensor.instant_c(outlet_c, c.air_c);
        let tank_read_c = tank_sensor.instant_c(sensed_c.unwrap_or(slices_c[at]), room_c);
        let hot_c = outlet_read_c.max(state.controller.collector_reading_c);
        let cool_c = tank_read_c.min(state.controller.tank_reading_c);
        let below_c = slices_c[at.saturating_sub(1)];
        let fall_w = tank.conduction_w_k * (slices_c[at] - below_c).max(0.0)
            + (tank.loss_w_k[at] + tank.flue_slice_w_k) * (slices_c[at] - room_c).max(0.0);
        let drawn_k_s = if c.draw.flow_m3_s > 0.0 {
            c.draw.flow_m3_s * tank.water_j_m3_k * (slices_c[at] - below_c.min(c.cold_water_c)).max(0.0)
                / tank.slice_j_k
        } else {
            0.0
        };
        let fall_k_s = fall_w / tank.slice_j_k + drawn_k_s;
        let longest_s = self.numerics.quiet_step_s;
        let starts_s = |resting: &Collector, drive: &Drive, outlet_c: f64, hot_c: f64| {
            let closing = Closing {
                gap_k: spec.on_k - (hot_c - cool_c),
                rise_k_s: resting.rise_k_s(drive, outlet_c),
                relaxing_s: resting.relaxing_s(drive, outlet_c),
                fall_k_s,
            };
            solar.controller.quiet_s(&state.controller, &closing, longest_s)
        };
        let mut quiet_s = starts_s(&solar.resting, drive, outlet_c, hot_c);
        if let Some(second) = solar.second.as_deref() {
            let outlet_c = state.nodes_c[self.second_nodes().end - 1];
            let hot_c = collector_sensor.instant_c(outlet_c, c.air_c);
            quiet_s = quiet_s.min(starts_s(&second.resting, &drive.second(), outlet_c, hot_c));
        }
        if state.controller.tank_hold {
            // Nothing starts before the tank has cooled from its limit.
            let held_k = cool_c - (spec.high_limit_c - spec.high_limit_reset_k);
            let closing = Closing::steady(held_k, fall_k_s);
            quiet_s = quiet_s.max(solar.controller.quiet_s(&state.controller, &closing, longest_s));
        }
        if solar.controller.plain {
            return quiet_s;
        }
        // What bears on the start of a duty is looked out for from either side.
        let rest = Rest {
            collector_c: (outlet_read_c.min(state.controller.collector_reading_c), hot_c),
            fall_k_s: solar.resting.fall_k_s(drive, outlet_c),
            rise_k_s: solar.resting.rise_k_s(drive, outlet_c),
            tank_c: tank_read_c.max(state.controller.tank_reading_c),
        };
        solar.controller.quiet_duties_s(&state.controller, quiet_s, longest_s, &rest)
    }
}
