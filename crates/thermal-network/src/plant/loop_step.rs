//! A step of the solar loop while the tank is held still, with the decisions that come in between.

use super::Plant;
use super::foresight::Foresight;
use crate::controller::Pace;
use crate::exchanger::circulation::Passing;
use crate::exchanger::coil::{Coil, CoilDue, CoilFlow, Warming};
use crate::exchanger::ua_table::{Asked, UaTable};
use crate::exchanger::{Affine, Exchanger};
use crate::flows::{Conditions, Flows};
use crate::solar_loop::{LoopSpan, RETURN, SUPPLY, SolarLoop};
use crate::spec::DumpSpec;
use crate::state::{Scratch, State};
use crate::tank::circulation::Circulation;
use crate::tank::mean_c;

/// Time after a start in which cool slugs still go round, in s (common practice: a few transits).
const SETTLED_S: u32 = 900;

/// A radiator's map at a flow: its surroundings stay as they are (one side isothermal).
fn radiator(dump: &DumpSpec, flow_w_k: f64, c: &Conditions) -> Affine {
    let slope = libm::exp(-dump.ua_w_k / flow_w_k);
    Affine { slope, base_c: (1.0 - slope) * c.surroundings_c(dump.surroundings) }
}

impl Plant {
    /// The running loop for up to `longest_s`; then the exchanger's heat into the first tank. Returns the time it ran: less
    /// than asked if a decision stopped the pump.
    pub(super) fn run_loop(
        &self,
        span: &LoopSpan<'_>,
        state: &mut State,
        scratch: &mut Scratch,
        longest_s: u32,
        flows: &mut Flows,
    ) -> u32 {
        let LoopSpan { solar, c, drive } = span;
        let tank = &self.tanks[0];
        let nodes = self.tank_nodes(0);
        let foresight = Foresight::new(self, span, state);
        let longest_s = longest_s.min(foresight.reach_s().max(state.controller.decision_in_s));
        let dump = solar.controller.dumping(&state.controller);
        let map = match dump {
            None => self.exchange(span, state, scratch, f64::from(longest_s)),
            Some(dump) => radiator(dump, state.flow_w_k, c),
        };
        let room_c = c.surroundings_c(tank.surroundings);
        solar.begin_run(state, scratch, drive);
        let flow_w_k = state.flow_w_k;
        let work = solar.work(state);
        let (cells_c, slices_c) = state.nodes_c.split_at_mut(nodes.start);
        let slices_c = &mut slices_c[..tank.slices];
        let touched = self.coil_slices();
        state.coil_before_c[touched.clone()].copy_from_slice(&slices_c[touched]);
        let mut walk = solar.walk(&mut state.pipes, cells_c, drive, flow_w_k, map, work);
        let mut left_s = longest_s;
        let began = state.controller.readings_c();
        let pace = scratch.pace.filter(|_| solar.plain);
        let mut keeps_on = pace
            .is_some_and(|pace| solar.controller.keeps_on(&state.controller, &pace, f64::from(longest_s)));
        let mut goes_on = state.controller.pump_on;
        loop {
            // Decisions that would keep the pump on are passed over.
            let stretch_s = if keeps_on { left_s } else { left_s.min(state.controller.decision_in_s) };
            walk.go(&mut scratch.loop_run, f64::from(stretch_s));
            solar.controller.pass(&mut state.controller, stretch_s);
            left_s -= stretch_s;
            scratch.unread_s = f64::from(stretch_s);
            if left_s == 0 {
                break;
            }
            let warmed_k = match &solar.exchanger {
                Exchanger::Coil(coil) if dump.is_none() => coil.foreseen_k(
                    &scratch.loop_run.coil,
                    solar.sensor_slice,
                    tank.slice_j_k,
                    walk.inlet_c(),
                    walk.seconds,
                ),
                Exchanger::Coil(_) | Exchanger::Circulated(_) => 0.0,
            };
            let sensed_c = foresight.sensed_c(slices_c, walk.seconds) + warmed_k;
            let readings = [(walk.outlet_c(), c.air_c), (sensed_c, room_c)];
            let before = state.controller.readings_c();
            solar.controller.read(&mut state.controller, readings, f64::from(stretch_s));
            if state.controller.decision_in_s == 0 {
                solar.controller.decide_now(&mut state.controller, flows);
                if !state.controller.pump_on || state.controller.changed {
                    goes_on = false;
                    scratch.unread_s = 0.0;
                    break;
                }
                // A pump that has settled goes on as it did since the last decision.
                if solar.plain && state.controller.since_change_s >= SETTLED_S {
                    let pace = Pace { began: before, seconds: f64::from(stretch_s) };
                    keeps_on = solar.controller.keeps_on(&state.controller, &pace, f64::from(left_s));
                }
            }
        }
        let seconds = walk.seconds;
        let inlet_c = walk.inlet_c();
        walk.book(flows);
        flows.absorbed_j += solar.absorbed_j(drive, seconds);
        scratch.circulation = None;
        if dump.is_some() {
            flows.dump_j += flow_w_k * (inlet_c - (map.slope * inlet_c + map.base_c)) * seconds;
            state.warming_draw_m3_s = None;
            return longest_s - left_s;
        }
        match &solar.exchanger {
            Exchanger::Coil(coil) => {
                // Half of the heat of a draw's step waits until the draw has passed: second order. What a cold loop takes does not
                // wait: it would be taken from the water that has come in.
                let heats = map.slope * inlet_c + map.base_c < inlet_c;
                let halves = heats && c.draw.flow_m3_s > 0.0 && solar.pumped();
                let now_s = if halves { 0.5 * seconds } else { seconds };
                let given_j = coil.give(&scratch.loop_run.coil, slices_c, tank.slice_j_k, inlet_c, now_s);
                scratch.coil_due = halves.then_some(CoilDue { inlet_c, seconds: now_s });
                let heat_j = if halves { 2.0 * given_j } else { given_j };
                flows.heat_into_tank_j += heat_j;
                state.remember_coil(c, heat_j / seconds, seconds);
            }
            Exchanger::Circulated(circulated) => {
                let heat_w = flow_w_k * (inlet_c - (map.slope * inlet_c + map.base_c));
                let tank_flow_w_k = circulated.tank_flow_w_k(flow_w_k);
                flows.heat_into_tank_j += heat_w * seconds;
                scratch.circulation = Some(Circulation {
                    from: circulated.from,
                    to: circulated.to,
                    moved: tank_flow_w_k * seconds / tank.slice_j_k,
                    rise_k: heat_w / tank_flow_w_k,
                });
            }
        }
        scratch.pace = Some(Pace { began, seconds });
        let coil = matches!(solar.exchanger, Exchanger::Coil(_));
        state.warming_draw_m3_s = (coil && goes_on).then_some(c.draw.flow_m3_s);
        longest_s - left_s
    }

    /// The standing loop for up to `longest_s`. Returns the time it stood: less than asked if a decision started the pump.
    pub(super) fn stand_loop(
        &self,
        span: &LoopSpan<'_>,
        state: &mut State,
        scratch: &mut Scratch,
        longest_s: u32,
        flows: &mut Flows,
    ) -> u32 {
        let LoopSpan { solar, c, drive } = span;
        let tank = &self.tanks[0];
        let room_c = c.surroundings_c(tank.surroundings);
        let foresight = Foresight::new(self, span, state);
        let mut longest_s = longest_s;
        let mut stood_s = 0;
        loop {
            let sensed_c = foresight.sensed_c(&state.nodes_c[self.tank_nodes(0)], f64::from(stood_s));
            let quiet_s = self.quiet_s(span, state, Some(sensed_c));
            // Only a decision that could start the pump needs foresight.
            longest_s = longest_s.min(foresight.reach_s().max(stood_s + quiet_s));
            let stretch_s = quiet_s.min(longest_s - stood_s);
            span.stand_collector(state, f64::from(stretch_s), flows);
            solar.controller.pass(&mut state.controller, stretch_s);
            stood_s += stretch_s;
            scratch.unread_s = f64::from(stretch_s);
            if stood_s == longest_s {
                break;
            }
            let outlet_c = self.sensed_outlet_c(state);
            let sensed_c = foresight.sensed_c(&state.nodes_c[self.tank_nodes(0)], f64::from(stood_s));
            let readings = [(outlet_c, c.air_c), (sensed_c, room_c)];
            solar.controller.read(&mut state.controller, readings, f64::from(stretch_s));
            if state.controller.decision_in_s == 0 {
                solar.controller.decide_now(&mut state.controller, flows);
                if state.controller.pump_on {
                    scratch.unread_s = 0.0;
                    break;
                }
            }
        }
        let seconds = f64::from(stood_s);
        flows.absorbed_j += solar.absorbed_j(drive, seconds);
        span.stand_pipes(state, &scratch.loop_run, seconds, flows);
        state.warming_draw_m3_s = None;
        stood_s
    }

    /// What the exchanger makes of the loop's temperature in the coming step.
    fn exchange(&self, span: &LoopSpan<'_>, state: &State, scratch: &mut Scratch, seconds: f64) -> Affine {
        let LoopSpan { solar, c, .. } = span;
        let tank = &self.tanks[0];
        let slices_c = &state.nodes_c[self.tank_nodes(0)];
        match &solar.exchanger {
            Exchanger::Coil(coil) => {
                let flow = self.coil_flow(coil, solar, state);
                // Carried on too far, the warming of a small slice would swing.
                let longest_s = coil.longest_step_s(tank.slice_j_k, flow).min(state.longest_alike_s());
                let steady = state.warms_alike(c) && seconds <= longest_s;
                // A front of cold water that has passed a slice does not pass it again: no draw cools further than what it brings.
                let least_c = match c.draw.flow_m3_s > 0.0 {
                    true => c.cold_water_c.min(slices_c[0]),
                    false => f64::NEG_INFINITY,
                };
                let warming = steady.then(|| Warming {
                    least_c,
                    before_c: &state.coil_before_c[coil.slices()],
                    ahead_frac: 0.5 * seconds * state.warming_goes_on(seconds) / state.coil_heat_s,
                });
                coil.map(&mut scratch.loop_run.coil, tank.slice_j_k, flow, seconds, slices_c, warming)
            }
            Exchanger::Circulated(circulated) => {
                let volumes = seconds / tank.slice_j_k;
                let drawn_w_k = self.drawn_w_k(state, c);
                let mixing = self.plumbing.as_ref().and_then(|plumbing| plumbing.inlet_mixing[0]);
                let stirred = mixing.filter(|_| drawn_w_k > 0.0).map_or(0, |mixing| {
                    mixing.stirred(slices_c, c.cold_water_c, drawn_w_k / tank.water_j_m3_k).0
                });
                let passing = Passing {
                    moved: circulated.tank_flow_w_k(state.flow_w_k) * volumes,
                    drawn: drawn_w_k * volumes,
                    stirred,
                    cold_slice: tank.cold_slice,
                    hot_slice: tank.hot_slice,
                    cold_c: c.cold_water_c,
                };
                let taken_c = circulated.taken_c(slices_c, &passing);
                circulated.map(&mut scratch.loop_run.plate, state.flow_w_k, taken_c)
            }
        }
    }

    /// What passes a coil in the coming step.
    #[inline(always)]
    pub(super) fn coil_flow(&self, coil: &Coil, solar: &SolarLoop, state: &State) -> CoilFlow {
        let ua_frac = match &coil.table {
            None => 1.0,
            Some(table) => self.tube_frac(coil, table, solar, state),
        };
        CoilFlow { flow_w_k: state.flow_w_k, ua_frac }
    }

    /// Conductance of a coil of tube as a share of that at its design point.
    #[inline(never)]
    fn tube_frac(&self, coil: &Coil, table: &UaTable, solar: &SolarLoop, state: &State) -> f64 {
        let cells_c = &state.nodes_c[self.collector_nodes()];
        let [supply, ret] = &state.pipes;
        // What comes in next and what left last; without a pipe the collector's own end stands there.
        let held = |way: usize| solar.pipes[way].content_j_k > 0.0;
        let in_c = if held(RETURN) { ret.oldest_c() } else { cells_c[cells_c.len() - 1] };
        let out_c = if held(SUPPLY) { supply.newest_c() } else { cells_c[0] };
        table.ua_frac(&Asked {
            flow_w_k: state.flow_w_k,
            loop_c: 0.5 * (in_c + out_c),
            tank_c: mean_c(&state.nodes_c[self.tank_nodes(0)][coil.slices()]),
        })
    }
}
