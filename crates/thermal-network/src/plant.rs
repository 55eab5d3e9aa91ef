//! A whole plant and how it advances through time.
//!
//! A span of steady conditions is cut into steps as long as nothing is missed ([`crate::stride`]). Within a step the tank
//! is held still while the loop takes its substeps ([`crate::exchanger`]), then the tank takes its own. Order of a tank
//! step, as heat travels: coil, loss and conduction; draw and circulation; elements; buoyancy.

use std::ops::Range;

use crate::assemble::{Checks, Fault};
use crate::collector::{Drive, mean_share};
use crate::exchanger::circulation::Passing;
use crate::exchanger::{Affine, Exchanger};
use crate::flows::{Conditions, Flows, MAX_TANKS};
use crate::ledger::Contents;
use crate::pipe::PipeRun;
use crate::solar_loop::SolarLoop;
use crate::spec::{Numerics, PlantSpec};
use crate::state::{Scratch, State};
use crate::tank::flow::{
    Circulation, DrawPass, LONGEST_CIRCULATION, LONGEST_PASS, draw_and_circulate, draw_up, mean_outlet_c,
};
use crate::tank::mixing::settle;
use crate::tank::{Tank, mean_c};
use crate::valve;

/// An assembled plant: parameters only, shared between threads.
#[derive(Clone, Debug)]
pub struct Plant {
    solar: Option<SolarLoop>,
    pub(crate) tanks: Vec<Tank>,
    /// First node of each tank, and the end of the last.
    tank_starts: [usize; MAX_TANKS + 1],
    pub(crate) numerics: Numerics,
}

impl Plant {
    /// Checks a specification and prepares its coefficients.
    ///
    /// # Errors
    /// All reasons why the plant cannot be built, together.
    pub fn assemble(spec: &PlantSpec) -> Result<Self, Vec<Fault>> {
        let faults = Checks::all(spec);
        if !faults.is_empty() {
            return Err(faults);
        }
        let tanks: Vec<Tank> = spec.tanks.iter().map(Tank::new).collect();
        let solar =
            spec.solar_loop.as_ref().map(|solar| SolarLoop::new(solar, &tanks[0], spec.numerics.loop_step_s));
        let mut tank_starts = [solar.as_ref().map_or(0, |solar| solar.collector.cells); MAX_TANKS + 1];
        for (i, tank) in tanks.iter().enumerate() {
            tank_starts[i + 1..].iter_mut().for_each(|start| *start += tank.slices);
        }
        Ok(Self { solar, tanks, tank_starts, numerics: spec.numerics })
    }

    /// Number of tanks.
    pub fn tanks(&self) -> usize {
        self.tanks.len()
    }

    /// Slice of the first tank that the controller's sensor sits in; the bottom one without a loop.
    pub fn sensor_slice(&self) -> usize {
        self.solar.as_ref().map_or(0, |solar| solar.sensor_slice)
    }

    /// Heat content of every component.
    pub(crate) fn contents(&self, state: &State) -> Contents {
        let mut tank_j = [0.0; MAX_TANKS];
        for (i, tank) in self.tanks.iter().enumerate() {
            tank_j[i] = tank.content_j(&state.nodes_c[self.tank_nodes(i)]);
        }
        Contents {
            collector_j: self
                .solar
                .as_ref()
                .map_or(0.0, |solar| solar.collector.content_j(&state.nodes_c[self.collector_nodes()])),
            pipes_j: state.pipes.iter().map(|pipe| pipe.content_j()).sum(),
            tank_j,
        }
    }

    pub(crate) fn nodes(&self) -> usize {
        self.tank_starts[MAX_TANKS]
    }

    pub(crate) fn most_slices(&self) -> usize {
        self.tanks.iter().map(|tank| tank.slices).max().unwrap_or(0)
    }

    pub(crate) fn elements(&self) -> usize {
        self.tanks.iter().map(|tank| tank.elements.len()).sum()
    }

    pub(crate) fn collector_nodes(&self) -> Range<usize> {
        0..self.tank_starts[0]
    }

    pub(crate) fn tank_nodes(&self, tank: usize) -> Range<usize> {
        self.tank_starts[tank]..self.tank_starts[tank + 1]
    }

    pub(crate) fn pipe_runs(&self) -> impl Iterator<Item = &PipeRun> {
        self.solar.iter().flat_map(|solar| &solar.runs)
    }

    /// Carries `state` through `duration_s` of steady conditions and adds what crossed to `flows`. After each step the
    /// listener hears the seconds gone by, the state and the flows so far; it cannot change anything.
    pub fn advance(
        &self,
        state: &mut State,
        scratch: &mut Scratch,
        c: &Conditions,
        duration_s: u32,
        flows: &mut Flows,
        mut listener: impl FnMut(u32, &State, &Flows),
    ) {
        let mut left_s = duration_s;
        let drive = self.solar.as_ref().map(|solar| {
            solar.renew(state, scratch, c);
            solar.collector.drive(c)
        });
        while left_s > 0 {
            let mut step_s = left_s.min(self.longest_step_s(state, c));
            if let (Some(solar), Some(drive)) = (&self.solar, &drive) {
                if state.controller.decision_in_s == 0 {
                    solar.controller.decide_now(&mut state.controller, flows);
                }
                if state.controller.pump_on {
                    let longest_s = self.longest_run_s(solar, state, c);
                    step_s = self.run_loop(solar, state, scratch, c, drive, step_s.min(longest_s), flows);
                } else {
                    step_s = step_s.min(self.quiet_s(solar, state, drive, c));
                    self.stand_loop(solar, state, scratch, c, drive, step_s, flows);
                }
            }
            self.step_tanks(state, scratch, c, step_s, flows);
            left_s -= step_s;
            listener(duration_s - left_s, state, flows);
        }
        flows.duration_s += f64::from(duration_s);
    }

    /// The running loop for up to `longest_s`, with the decisions that come in between; then the exchanger's heat into the
    /// first tank. Returns the time it ran: less than asked if a decision stopped the pump.
    #[allow(
        clippy::too_many_arguments,
        reason = "state, scratch, inputs and accounts of one step, each its own kind"
    )]
    fn run_loop(
        &self,
        solar: &SolarLoop,
        state: &mut State,
        scratch: &mut Scratch,
        c: &Conditions,
        drive: &Drive,
        longest_s: u32,
        flows: &mut Flows,
    ) -> u32 {
        let tank = &self.tanks[0];
        let nodes = self.tank_nodes(0);
        let map = self.exchange(solar, state, scratch, c, f64::from(longest_s));
        let room_c = c.surroundings_c(tank.surroundings);
        let flow_w_k = state.flow_w_k;
        let (cells_c, slices_c) = state.nodes_c.split_at_mut(nodes.start);
        let slices_c = &mut slices_c[..tank.slices];
        scratch.before_c.copy_from_slice(slices_c);
        let mut walk = solar.walk(&mut state.pipes, cells_c, drive, flow_w_k, map);
        let mut left_s = longest_s;
        loop {
            let stretch_s = left_s.min(state.controller.decision_in_s);
            walk.go(&mut scratch.loop_run, f64::from(stretch_s));
            solar.controller.pass(&mut state.controller, stretch_s);
            left_s -= stretch_s;
            // The tank stands still until the step is over; what its sensor will read is foreseen.
            let sensed_c = slices_c[solar.sensor_slice];
            let foreseen_k = match &solar.exchanger {
                Exchanger::Coil(coil) => coil.foreseen_k(
                    &scratch.coil,
                    solar.sensor_slice,
                    tank.slice_j_k,
                    walk.inlet_c(),
                    walk.seconds,
                ),
                Exchanger::Circulated(_) => 0.0,
            };
            scratch.unread_s = f64::from(stretch_s);
            if left_s == 0 {
                break;
            }
            let readings = [(walk.outlet_c(), c.air_c), (sensed_c + foreseen_k, room_c)];
            solar.controller.read(&mut state.controller, readings, f64::from(stretch_s));
            scratch.unread_s = 0.0;
            if state.controller.decision_in_s == 0 {
                solar.controller.decide_now(&mut state.controller, flows);
                if !state.controller.pump_on {
                    break;
                }
            }
        }
        let seconds = walk.seconds;
        let inlet_c = walk.inlet_c();
        walk.book(flows);
        flows.absorbed_j += drive.gain_w * solar.collector.cells as f64 * seconds;
        scratch.circulation = None;
        match &solar.exchanger {
            Exchanger::Coil(coil) => {
                flows.heat_into_tank_j +=
                    coil.give(&scratch.coil, slices_c, tank.slice_j_k, inlet_c, seconds);
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
        let coil = matches!(solar.exchanger, Exchanger::Coil(_));
        state.warming_known = coil && state.controller.pump_on && c.draw.flow_m3_s == 0.0;
        longest_s - left_s
    }

    /// The standing loop for `step_s`.
    #[allow(
        clippy::too_many_arguments,
        reason = "state, scratch, inputs and accounts of one step, each its own kind"
    )]
    fn stand_loop(
        &self,
        solar: &SolarLoop,
        state: &mut State,
        scratch: &mut Scratch,
        c: &Conditions,
        drive: &Drive,
        step_s: u32,
        flows: &mut Flows,
    ) {
        let seconds = f64::from(step_s);
        flows.absorbed_j += drive.gain_w * solar.collector.cells as f64 * seconds;
        solar.stand(state, &scratch.loop_run, c, drive, seconds, flows);
        solar.controller.pass(&mut state.controller, step_s);
        scratch.unread_s = seconds;
        state.warming_known = false;
    }

    /// All tanks for `step_s`, the loop's heat being in already: loss and conduction, draw and circulation, elements,
    /// buoyancy; then every sensor reads.
    fn step_tanks(
        &self,
        state: &mut State,
        scratch: &mut Scratch,
        c: &Conditions,
        step_s: u32,
        flows: &mut Flows,
    ) {
        let seconds = f64::from(step_s);
        flows.tank_steps += 1;
        let top = self.tank_nodes(0).end - 1;
        let top_before_c = state.nodes_c[top];
        for (i, tank) in self.tanks.iter().enumerate() {
            let slices_c = &mut state.nodes_c[self.tank_nodes(i)];
            let room_c = c.surroundings_c(tank.surroundings);
            flows.tank_loss_j[i] += tank.stand(slices_c, seconds, room_c);
        }
        self.draw(state, scratch, c, seconds, flows);
        self.heat(state, c, seconds, flows);
        for i in 0..self.tanks.len() {
            settle(&mut state.nodes_c[self.tank_nodes(i)]);
        }
        self.read_thermostats(state, c, seconds);
        if state.warming_known {
            let now_c = &state.nodes_c[self.tank_nodes(0)];
            for ((k_s, now_c), before_c) in state.warming_k_s.iter_mut().zip(now_c).zip(&scratch.before_c) {
                *k_s = (now_c - before_c) / seconds;
            }
        }
        let slices_c = &state.nodes_c[self.tank_nodes(0)];
        let top_c = slices_c[slices_c.len() - 1];
        flows.hottest_tank_c = flows.hottest_tank_c.max(top_c);
        flows.tank_mean_k_s += mean_c(slices_c) * seconds;
        if let Some(solar) = &self.solar {
            flows.above_limit_s +=
                seconds * share_above(top_before_c, top_c, solar.controller.spec.high_limit_c);
            let outlet_c = state.nodes_c[self.collector_nodes().end - 1];
            let room_c = c.surroundings_c(self.tanks[0].surroundings);
            let readings = [(outlet_c, c.air_c), (slices_c[solar.sensor_slice], room_c)];
            solar.controller.read(&mut state.controller, readings, scratch.unread_s);
        }
    }

    /// What the exchanger makes of the loop's temperature in the coming step.
    fn exchange(
        &self,
        solar: &SolarLoop,
        state: &State,
        scratch: &mut Scratch,
        c: &Conditions,
        seconds: f64,
    ) -> Affine {
        let tank = &self.tanks[0];
        let slices_c = &state.nodes_c[self.tank_nodes(0)];
        match &solar.exchanger {
            Exchanger::Coil(coil) => {
                // Carried on too far, the warming of a small slice would swing.
                let steady =
                    state.warming_known && seconds <= coil.longest_step_s(tank.slice_j_k, state.flow_w_k);
                let warming_k_s = steady.then_some(&state.warming_k_s[..]);
                coil.map(&mut scratch.coil, tank.slice_j_k, state.flow_w_k, seconds, slices_c, warming_k_s)
            }
            Exchanger::Circulated(circulated) => {
                let volumes = seconds / tank.slice_j_k;
                let hot_share = valve::hot_share(c.draw.use_c, slices_c[tank.hot_slice], c.cold_water_c);
                let passing = Passing {
                    moved: circulated.tank_flow_w_k(state.flow_w_k) * volumes,
                    drawn: c.draw.flow_m3_s * tank.water_j_m3_k * hot_share * volumes,
                    cold_slice: tank.cold_slice,
                    cold_c: c.cold_water_c,
                };
                circulated.map(state.flow_w_k, circulated.taken_c(slices_c, &passing))
            }
        }
    }

    /// Draw through all tanks, and circulation through the first.
    fn draw(
        &self,
        state: &mut State,
        scratch: &mut Scratch,
        c: &Conditions,
        seconds: f64,
        flows: &mut Flows,
    ) {
        let circulation = scratch.circulation.take();
        let draws = c.draw.flow_m3_s > 0.0;
        if !draws && circulation.is_none() {
            return;
        }
        let last = self.tanks.len() - 1;
        let tap_w_k = c.draw.flow_m3_s * self.tanks[last].water_j_m3_k;
        let least_slice_j_k = self.tanks.iter().fold(f64::INFINITY, |least, tank| least.min(tank.slice_j_k));
        // Cold water let in above warmer slices sinks at once, as a warm return rises.
        let sinks = draws
            && self.tanks.iter().enumerate().any(|(i, tank)| {
                let below = state.nodes_c[self.tank_nodes(i)].get(..tank.cold_slice).and_then(<[f64]>::last);
                below.is_some_and(|&below_c| below_c > c.cold_water_c)
            });
        let longest_pass = if sinks { LONGEST_CIRCULATION } else { LONGEST_PASS };
        let drawn_passes = tap_w_k * seconds / least_slice_j_k / longest_pass;
        let circulated_passes = circulation.map_or(0.0, |stream| stream.moved / LONGEST_CIRCULATION);
        let passes = drawn_passes.max(circulated_passes).ceil().max(1.0);
        let pass_s = seconds / passes;
        let stream = circulation.map(|stream| Circulation { moved: stream.moved / passes, ..stream });
        for _ in 0..passes as usize {
            let hot_w_k = if draws {
                tap_w_k * self.hot_share(state, c, tap_w_k, pass_s, stream.as_ref())
            } else {
                0.0
            };
            let outlet_before_c = self.outlet_c(state);
            let mut inlet_c = c.cold_water_c;
            for (i, tank) in self.tanks.iter().enumerate() {
                let slices_c = &mut state.nodes_c[self.tank_nodes(i)];
                let moved = hot_w_k * pass_s / tank.slice_j_k;
                let (cold, hot) = (tank.cold_slice, tank.hot_slice);
                let outlet_c = match stream {
                    Some(stream) if i == 0 => {
                        let pass = DrawPass { cold, hot, cold_c: inlet_c, moved };
                        let outlet_c = draw_and_circulate(
                            slices_c,
                            &pass,
                            &stream,
                            &mut scratch.term,
                            &mut scratch.next,
                        );
                        settle(slices_c);
                        outlet_c
                    }
                    _ => {
                        let outlet_c = mean_outlet_c(slices_c, cold, hot, inlet_c, moved);
                        draw_up(slices_c, cold, hot, inlet_c, moved);
                        if sinks {
                            settle(slices_c);
                        }
                        outlet_c
                    }
                };
                flows.drawn_j[i] += hot_w_k * pass_s * (outlet_c - inlet_c);
                inlet_c = outlet_c;
            }
            if draws {
                let above = share_above(outlet_before_c, self.outlet_c(state), c.draw.use_c);
                self.deliver(c, hot_w_k, inlet_c, pass_s, flows);
                flows.shortfall_s += pass_s * (1.0 - above);
            }
        }
    }

    /// Temperature at the outlet of the last tank.
    fn outlet_c(&self, state: &State) -> f64 {
        let last = self.tanks.len() - 1;
        state.nodes_c[self.tank_nodes(last).start + self.tanks[last].hot_slice]
    }

    /// Share of the tap's flow that the last tank must give, its outlet cooling during the pass being foreseen.
    fn hot_share(
        &self,
        state: &State,
        c: &Conditions,
        tap_w_k: f64,
        pass_s: f64,
        stream: Option<&Circulation>,
    ) -> f64 {
        let last = self.tanks.len() - 1;
        let tank = &self.tanks[last];
        let slices_c = &state.nodes_c[self.tank_nodes(last)];
        let mut hot_c = slices_c[tank.hot_slice];
        // One slice cannot see what enters it from another tank; the cold water is the careful guess.
        for _ in 0..2 {
            let moved =
                tap_w_k * valve::hot_share(c.draw.use_c, hot_c, c.cold_water_c) * pass_s / tank.slice_j_k;
            let inlet_c = if last == 0 { c.cold_water_c } else { slices_c[tank.cold_slice] };
            hot_c = match stream {
                // Water that returns at the outlet is what the draw gets first.
                Some(stream) if last == 0 && stream.to == tank.hot_slice && stream.from < stream.to => {
                    let (own_c, below_c) = (slices_c[stream.to], slices_c[stream.to - 1]);
                    let below = (moved - stream.moved).max(0.0);
                    let returned_c = slices_c[stream.from] + stream.rise_k;
                    let entering_c = (below * below_c + stream.moved * returned_c) / (below + stream.moved);
                    own_c + (1.0 - mean_share(below + stream.moved)) * (entering_c - own_c)
                }
                _ => mean_outlet_c(slices_c, tank.cold_slice, tank.hot_slice, inlet_c, moved),
            };
        }
        valve::hot_share(c.draw.use_c, hot_c, c.cold_water_c)
    }

    /// Accounts of what reached the tap.
    fn deliver(&self, c: &Conditions, hot_w_k: f64, hot_c: f64, pass_s: f64, flows: &mut Flows) {
        let water_j_m3_k = self.tanks[self.tanks.len() - 1].water_j_m3_k;
        let load_j = valve::load_w(&c.draw, c.cold_water_c, water_j_m3_k) * pass_s;
        let delivered_j = hot_w_k * pass_s * (hot_c - c.cold_water_c);
        flows.load_j += load_j;
        flows.delivered_j += delivered_j;
        flows.tap_m3 += c.draw.flow_m3_s * pass_s;
        if hot_c <= c.draw.use_c && load_j > 0.0 {
            flows.shortfall_j += load_j - delivered_j;
        }
        // Who asks for less than the usual has what was asked for.
        let wanted_c = c.draw.usable_c.min(c.draw.use_c);
        if c.draw.comfort && hot_c.min(c.draw.use_c).max(c.cold_water_c) < wanted_c {
            flows.cool_shower_s += pass_s;
            flows.cool_shower_m3 += c.draw.flow_m3_s * pass_s;
        }
    }

    /// Elements whose thermostat calls, where they may run.
    fn heat(&self, state: &mut State, c: &Conditions, seconds: f64, flows: &mut Flows) {
        let mut index = 0;
        for (i, tank) in self.tanks.iter().enumerate() {
            let nodes = self.tank_nodes(i);
            let room_c = c.surroundings_c(tank.surroundings);
            let mut waits = false;
            for element in &tank.elements {
                let memory = &mut state.elements[index];
                if memory.calls {
                    let allowed = c.elements_allowed >> index & 1 == 1;
                    if allowed && !waits {
                        let slices_c = &mut state.nodes_c[nodes.clone()];
                        flows.element_j[i] += element.heat(memory, slices_c, tank.slice_j_k, room_c, seconds);
                    }
                    waits |= tank.interlock && allowed;
                }
                index += 1;
            }
        }
    }

    /// Thermostats read the tanks at the end of a step and decide.
    fn read_thermostats(&self, state: &mut State, c: &Conditions, seconds: f64) {
        let mut index = 0;
        for (i, tank) in self.tanks.iter().enumerate() {
            let slices_c = &state.nodes_c[self.tank_nodes(i)];
            let room_c = c.surroundings_c(tank.surroundings);
            for element in &tank.elements {
                let memory = &mut state.elements[index];
                let true_c = slices_c[element.thermostat_slice];
                memory.reading_c = element.sensor.follow_c(memory.reading_c, true_c, room_c, seconds);
                element.decide(memory);
                index += 1;
            }
        }
    }
}

/// Share of a step during which a temperature that goes straight from one value to another is at or above a limit.
fn share_above(before_c: f64, after_c: f64, limit_c: f64) -> f64 {
    match (before_c >= limit_c, after_c >= limit_c) {
        (true, true) => 1.0,
        (false, false) => 0.0,
        (true, false) => (before_c - limit_c) / (before_c - after_c),
        (false, true) => (after_c - limit_c) / (after_c - before_c),
    }
}
