//! What loops of other kinds do before, or in place of, the step of a plain pumped one.

use super::Plant;
use crate::controller::Duty;
use crate::flows::Flows;
use crate::loop_kind::Kind;
use crate::loop_kind::natural::{NATURAL_STEP_S, Natural, turn};
use crate::solar_loop::{LoopSpan, SolarLoop};
use crate::state::{Scratch, State};

/// Longest step of a tank in its collector, in s: sun and draw take turns.
const BATCH_STEP_S: u32 = 300;

impl Plant {
    /// Does what a loop's kind or its pump's speed asks for at the beginning of a step. Returns the time it took of
    /// `longest_s`; `None` where the step goes on as that of a plain loop.
    #[inline]
    pub(super) fn special_step(
        &self,
        span: &LoopSpan<'_>,
        state: &mut State,
        scratch: &mut Scratch,
        longest_s: u32,
        flows: &mut Flows,
    ) -> Option<u32> {
        if span.solar.plain {
            return None;
        }
        self.other_step(span, state, scratch, longest_s, flows)
    }

    #[inline(never)]
    fn other_step(
        &self,
        span: &LoopSpan<'_>,
        state: &mut State,
        scratch: &mut Scratch,
        longest_s: u32,
        flows: &mut Flows,
    ) -> Option<u32> {
        let solar = span.solar;
        if solar.varies && state.controller.pump_on && solar.renew_flow(state) {
            scratch.loop_run.ready = false;
            state.warming_draw_m3_s = None;
        }
        let taken_s = match &solar.kind {
            Kind::Filled => None,
            Kind::Drainback(drainback) => drainback.step(span, state, scratch, longest_s, flows),
            Kind::Batch => return Some(self.batch_step(span, state, longest_s, flows)),
            Kind::Natural(natural) => self.natural_step(span, natural, state, scratch, longest_s, flows),
        };
        if taken_s.is_some() || !state.controller.pump_on {
            return taken_s;
        }
        let (wet_j, tank_j) = (self.fluid_j(solar, state), flows.heat_into_tank_j);
        let duty = state.controller.duty;
        let step_s = longest_s.min(self.longest_run_s(span, state));
        let ran_s = self.run_loop(span, state, scratch, step_s, flows);
        // The fluid that stands in a drainback loop's collector counts as the loop's: what it gains has left the collector.
        flows.collector_heat_j += self.fluid_j(solar, state) - wet_j;
        let taken_j = tank_j - flows.heat_into_tank_j;
        match duty {
            Duty::Freeze => flows.freeze_j += taken_j,
            Duty::Cool => flows.night_cooling_j += taken_j,
            Duty::Rest | Duty::Collect | Duty::Dump => {}
        }
        Some(ran_s)
    }

    /// Heat in J of the fluid in a drainback loop's full collector; 0 for other loops, whose fluid is part of the collector.
    fn fluid_j(&self, solar: &SolarLoop, state: &State) -> f64 {
        match &solar.kind {
            Kind::Drainback(drainback) => drainback.fluid_j(self.fields_c(state)),
            Kind::Filled | Kind::Natural(_) | Kind::Batch => 0.0,
        }
    }

    /// A step of a tank that stands in its collector.
    fn batch_step(&self, span: &LoopSpan<'_>, state: &mut State, longest_s: u32, flows: &mut Flows) -> u32 {
        let LoopSpan { solar, drive, .. } = span;
        let step_s = longest_s.min(BATCH_STEP_S);
        let seconds = f64::from(step_s);
        let (cells_c, slices_c) = state.nodes_c.split_at_mut(self.collector_nodes().end);
        let slices_c = &mut slices_c[..self.tanks[0].slices];
        let absorbed_j = solar.collector.absorbed_j(drive, seconds);
        let lost_j = solar.collector.act_on_slices(slices_c, drive, self.tanks[0].slice_j_k, seconds);
        flows.absorbed_j += absorbed_j;
        flows.collector_loss_j += lost_j;
        flows.collector_heat_j += absorbed_j - lost_j;
        flows.heat_into_tank_j += absorbed_j - lost_j;
        // What a sensor at the collector's outlet would see.
        let top_c = slices_c[slices_c.len() - 1];
        cells_c.fill(top_c);
        flows.hottest_collector_c = flows.hottest_collector_c.max(top_c);
        solar.controller.pass(&mut state.controller, step_s);
        step_s
    }

    /// A step in which buoyancy may move the loop; `None` while a pump does.
    fn natural_step(
        &self,
        span: &LoopSpan<'_>,
        natural: &Natural,
        state: &mut State,
        scratch: &mut Scratch,
        longest_s: u32,
        flows: &mut Flows,
    ) -> Option<u32> {
        if state.controller.pump_on {
            return None;
        }
        let slices_c = &state.nodes_c[self.tank_nodes(0)];
        let step_s = longest_s.min(NATURAL_STEP_S).min(state.controller.decision_in_s);
        let legs = natural.legs(span, state, (self.fields_c(state), slices_c));
        let flow_w_k = natural.next_w_k(&legs, f64::from(step_s));
        let backwards = flow_w_k < 0.0;
        if flow_w_k == 0.0 || !backwards && !natural.drives {
            return Some(self.stand_loop(span, state, scratch, step_s, flows));
        }
        let pumped_w_k = std::mem::replace(&mut state.flow_w_k, flow_w_k.abs());
        let step_s = step_s.min(self.longest_run_s(span, state));
        let ran_s = if backwards {
            self.run_backwards(&LoopSpan { solar: &natural.mirror, ..*span }, state, scratch, step_s, flows)
        } else {
            scratch.loop_run.ready = false;
            self.run_loop(span, state, scratch, step_s, flows)
        };
        state.flow_w_k = pumped_w_k;
        scratch.loop_run.ready = false;
        Some(ran_s)
    }

    /// A step of the loop run backwards, in which no decision falls.
    fn run_backwards(
        &self,
        mirror: &LoopSpan<'_>,
        state: &mut State,
        scratch: &mut Scratch,
        step_s: u32,
        flows: &mut Flows,
    ) -> u32 {
        let fields = [self.collector_nodes(), self.second_nodes()];
        let mut turned = Flows::new();
        turn(state, &fields);
        std::mem::swap(&mut scratch.loop_run, &mut scratch.mirror_run);
        scratch.loop_run.ready = false;
        let ran_s = self.run_loop(mirror, state, scratch, step_s, &mut turned);
        std::mem::swap(&mut scratch.loop_run, &mut scratch.mirror_run);
        turn(state, &fields);
        std::mem::swap(&mut turned.supply_loss_j, &mut turned.return_loss_j);
        turned.hottest_collector_c = self.sensed_outlet_c(state);
        turned.back_flow_j = -turned.heat_into_tank_j;
        flows.add(&turned);
        ran_s
    }
}
