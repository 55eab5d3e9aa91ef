//! A step of all tanks, the loop's heat being in already (of a draw's step half of what a coil gives). Order, as heat travels: loss and
//! conduction; draw and circulation, half of the elements' heat on either side of a draw; buoyancy.

use super::Plant;
use crate::backup::flow_through::Wanted;
use crate::backup::source_step::SourceStep;
use crate::exchanger::Exchanger;
use crate::exchanger::coil::CoilDue;
use crate::flows::{Conditions, Flows, share_above};
use crate::relaxation::mean_share;
use crate::state::{Scratch, State};
use crate::tank::circulation::{Circulation, DrawPass};
use crate::tank::flow::{LONGEST_CIRCULATION, LONGEST_PASS, draw_up, mean_outlet_c};
use crate::tank::mean_c;
use crate::tank::mixing::settle;
use crate::valve;

/// Longest time by which loss and conduction go ahead of what else happens to a tank, in s. At 900 s there were 90 hours of a year
/// above a limit where an explicit program has 62, at 300 s 73.
const STAND_AHEAD_S: u32 = 120;

/// Behind a flow-through heater that just reaches the tap temperature, rounding must not count as a shortfall, in K.
const AT_TAP_K: f64 = 1e-9;

/// Nobody showers under less, in m3/s: 1 gal/min (common practice). A day's use spread over its hours is such a trickle.
const TRICKLE_M3_S: f64 = 0.003_785_411_784 / 60.0;

impl Plant {
    /// All tanks for `step_s` of the `left_s` of a span; then every sensor reads. Loss and conduction are slow: they are taken
    /// for some minutes at once, ahead.
    pub(super) fn step_tanks(
        &self,
        state: &mut State,
        scratch: &mut Scratch,
        c: &Conditions,
        step_s: u32,
        left_s: u32,
        flows: &mut Flows,
    ) {
        let seconds = f64::from(step_s);
        flows.tank_steps += 1;
        let top = self.tank_nodes(0).end - 1;
        let top_before_c = state.nodes_c[top];
        let heats = state.elements.iter().any(|element| element.calls);
        let stands = scratch.stood_ahead_s < step_s;
        if stands {
            let due_s = step_s - scratch.stood_ahead_s;
            // Loss and heating take turns more often.
            let wanted_s = if heats { due_s } else { self.numerics.tank_step_s.min(STAND_AHEAD_S) };
            let ahead_s = wanted_s.min(left_s - scratch.stood_ahead_s).min(self.longest_stand_s).max(due_s);
            for (i, tank) in self.tanks.iter().enumerate() {
                let room_c = c.surroundings_c(tank.surroundings);
                let slices_c = &mut state.nodes_c[self.tank_nodes(i)];
                flows.tank_loss_j[i] += tank.stand(slices_c, f64::from(ahead_s), room_c);
            }
            scratch.stood_ahead_s += ahead_s;
        }
        scratch.stood_ahead_s -= step_s;
        if let Some(plumbing) = &self.plumbing {
            plumbing.cool(&mut state.plumbing, 0.5 * seconds, c, &mut flows.plumbing);
        }
        // Afterwards the lowest slice may be as warm as what came in.
        let colder_comes_in = c.cold_water_c <= state.nodes_c[self.tank_nodes(0).start];
        // Half of the heat goes ahead of the draw: second order.
        let works = heats || self.has_burner;
        let halves = works && c.draw.flow_m3_s > 0.0;
        let heating_s = if halves { 0.5 * seconds } else { seconds };
        if halves {
            self.heat(state, c, heating_s, flows);
            self.settle_tanks(state);
        }
        self.draw(state, scratch, c, seconds, flows);
        if let Some(due) = scratch.coil_due.take() {
            self.give_what_is_due(due, state, scratch);
        }
        if let Some(plumbing) = &self.plumbing {
            // What stirs the first tank does not go on through the next step as it went in this one.
            if plumbing.stirs_first(&state.plumbing, c) {
                state.warming_draw_m3_s = None;
            }
            self.pump_water(plumbing, state, c, seconds, flows);
            plumbing.cool(&mut state.plumbing, 0.5 * seconds, c, &mut flows.plumbing);
        }
        if works {
            self.heat(state, c, heating_s, flows);
        }
        for (i, tank) in self.tanks.iter().enumerate() {
            let slices_c = &mut state.nodes_c[self.tank_nodes(i)];
            // Colder water let in at the bottom keeps them in order.
            let drawn_only = i == 0 && tank.cold_slice == 0 && colder_comes_in;
            if stands || works || scratch.ran || !drawn_only {
                settle(slices_c);
            }
        }
        if let Some(plumbing) = &self.plumbing {
            self.turn_bypass(plumbing, state, c);
        }
        self.read_thermostats(state, c, seconds, !heats, flows);
        // What an element gives the coil's slices does not go on as the coil's own warming does.
        if self.heats_coil && (heats || state.elements.iter().any(|element| element.calls)) {
            state.warming_draw_m3_s = None;
        }
        let slices_c = &state.nodes_c[self.tank_nodes(0)];
        let top_c = slices_c[slices_c.len() - 1];
        flows.hottest_tank_c = flows.hottest_tank_c.max(top_c);
        let began_c = std::mem::replace(&mut scratch.mean_c, mean_c(slices_c));
        flows.tank_mean_k_s += 0.5 * (began_c + scratch.mean_c) * seconds;
        if let Some(solar) = &self.solar {
            flows.above_limit_s +=
                seconds * share_above(top_before_c, top_c, solar.controller.spec.high_limit_c);
            let room_c = c.surroundings_c(self.tanks[0].surroundings);
            let readings = [(self.sensed_outlet_c(state), c.air_c), (slices_c[solar.sensor_slice], room_c)];
            solar.controller.read(&mut state.controller, readings, scratch.unread_s);
        }
    }

    /// The rest of a coil's heat.
    fn give_what_is_due(&self, due: CoilDue, state: &mut State, scratch: &Scratch) {
        let Some(Exchanger::Coil(coil)) = self.solar.as_ref().map(|solar| &solar.exchanger) else { return };
        let tank = &self.tanks[0];
        let slices_c = &mut state.nodes_c[self.tank_nodes(0)];
        coil.give(&scratch.loop_run.coil, slices_c, tank.slice_j_k, due.inlet_c, due.seconds);
    }

    /// Buoyancy in all tanks.
    fn settle_tanks(&self, state: &mut State) {
        for i in 0..self.tanks.len() {
            settle(&mut state.nodes_c[self.tank_nodes(i)]);
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
        let last = self.last_drawn(state);
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
            let (share, lit) = if draws {
                let hot_c = self.foreseen_c(state, c, [tap_w_k, pass_s], stream.as_ref());
                self.hot_share(c, tap_w_k, hot_c)
            } else {
                (0.0, false)
            };
            let hot_w_k = tap_w_k * share;
            let outlet_before_c = self.outlet_c(state);
            let mut inlet_c = c.cold_water_c;
            for (i, tank) in self.tanks[..=last].iter().enumerate() {
                let slices_c = &mut state.nodes_c[self.tank_nodes(i)];
                let moved = hot_w_k * pass_s / tank.slice_j_k;
                let (cold, hot) = (tank.cold_slice, tank.hot_slice);
                let outlet_c = match stream {
                    Some(stream) if i == 0 => {
                        let pass = DrawPass { cold, hot, cold_c: inlet_c, moved };
                        let outlet_c = scratch.passage.draw_and_circulate(slices_c, &pass, &stream);
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
                let entered_c = inlet_c;
                inlet_c = outlet_c;
                if let Some(plumbing) = &self.plumbing {
                    if let Some(mixing) = &plumbing.inlet_mixing[i] {
                        settle(slices_c);
                        mixing.mix(slices_c, entered_c, hot_w_k / tank.water_j_m3_k);
                    }
                    if i < last {
                        let (j_k, flows) = (hot_w_k * pass_s, &mut flows.plumbing);
                        inlet_c = plumbing.pass_between(&mut state.plumbing, j_k, outlet_c, flows);
                    }
                }
            }
            if draws {
                let mut above = share_above(outlet_before_c, self.outlet_c(state), c.draw.use_c);
                if lit {
                    inlet_c = self.fire(hot_w_k, inlet_c, pass_s, flows);
                    above = f64::from(u8::from(inlet_c >= c.draw.use_c - AT_TAP_K));
                }
                self.deliver(c, hot_w_k, inlet_c, pass_s, flows);
                flows.shortfall_s += pass_s * (1.0 - above);
            }
        }
    }

    /// Temperature at the outlet of the last tank.
    pub(super) fn outlet_c(&self, state: &State) -> f64 {
        let last = self.last_drawn(state);
        state.nodes_c[self.tank_nodes(last).start + self.tanks[last].hot_slice]
    }

    /// Share of the tap's flow that the last tank must give while its outlet is at `hot_c`, and whether a flow-through heater
    /// lights. `tap_w_k`: capacity flow at the tap.
    #[inline]
    fn hot_share(&self, c: &Conditions, tap_w_k: f64, hot_c: f64) -> (f64, bool) {
        match &self.flow_heater {
            None => (valve::hot_share(c.draw.use_c, hot_c, c.cold_water_c), false),
            Some(heater) => {
                let wanted = Wanted { tap_w_k, use_c: c.draw.use_c, cold_c: c.cold_water_c };
                heater.answer(&wanted, hot_c, c.elements_allowed)
            }
        }
    }

    /// Capacity flow in W/K that the draw takes out of the tanks as they are.
    pub(super) fn drawn_w_k(&self, state: &State, c: &Conditions) -> f64 {
        let tap_w_k = c.draw.flow_m3_s * self.tanks[self.last_drawn(state)].water_j_m3_k;
        if tap_w_k > 0.0 { tap_w_k * self.hot_share(c, tap_w_k, self.outlet_c(state)).0 } else { 0.0 }
    }

    /// Heat of the flow-through heater into the hot flow that comes at `inlet_c`; returns the temperature behind it.
    #[inline(never)]
    pub(super) fn fire(&self, hot_w_k: f64, inlet_c: f64, pass_s: f64, flows: &mut Flows) -> f64 {
        let Some(heater) = &self.flow_heater else { return inlet_c };
        let heat_w = heater.heat_w(hot_w_k, inlet_c);
        let heat_j = heat_w * pass_s;
        let (fuel_j, electric_j) = heater.bought_j(heat_j);
        flows.flow_heater_j += heat_j;
        flows.fuel_j += fuel_j;
        flows.compressor_and_flow_j += electric_j;
        inlet_c + heat_w / hot_w_k
    }

    /// Mean temperature at the last tank's outlet in a pass; the flow through it depends on that temperature.
    /// `[tap_w_k, pass_s]`: capacity flow at the tap and length of the pass.
    fn foreseen_c(
        &self,
        state: &State,
        c: &Conditions,
        [tap_w_k, pass_s]: [f64; 2],
        stream: Option<&Circulation>,
    ) -> f64 {
        let last = self.last_drawn(state);
        let tank = &self.tanks[last];
        let slices_c = &state.nodes_c[self.tank_nodes(last)];
        let mut hot_c = slices_c[tank.hot_slice];
        // One slice cannot see what enters it from another tank; the cold water is the careful guess.
        for _ in 0..2 {
            let moved = tap_w_k * self.hot_share(c, tap_w_k, hot_c).0 * pass_s / tank.slice_j_k;
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
        hot_c
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
            let felt_frac = (c.draw.flow_m3_s / TRICKLE_M3_S).min(1.0);
            flows.cool_shower_s += felt_frac * pass_s;
            flows.cool_shower_m3 += c.draw.flow_m3_s * pass_s;
        }
    }

    /// Elements, burners and heat pumps whose thermostat calls, where they may run; pilots and flues of burners at any time.
    fn heat(&self, state: &mut State, c: &Conditions, seconds: f64, flows: &mut Flows) {
        let mut index = 0;
        for (i, tank) in self.tanks.iter().enumerate() {
            let nodes = self.tank_nodes(i);
            let room_c = c.surroundings_c(tank.surroundings);
            let mut waits = false;
            let mut heated = false;
            for element in &tank.elements {
                let memory = &mut state.elements[index];
                let called = memory.calls && c.elements_allowed >> index & 1 == 1;
                if heated && called {
                    // What one gave has risen before the next counts what is missing.
                    settle(&mut state.nodes_c[nodes.clone()]);
                }
                heated |= called;
                if element.is_electric() {
                    if called && !waits {
                        let slices_c = &mut state.nodes_c[nodes.clone()];
                        let most_j = element.power_w * seconds;
                        flows.element_j[i] += element.heat(memory, slices_c, tank.slice_j_k, room_c, most_j);
                    }
                    waits |= tank.interlock && called;
                } else {
                    let slices_c = &mut state.nodes_c[nodes.clone()];
                    let step = SourceStep { slice_j_k: tank.slice_j_k, room_c, seconds };
                    let given = element.give(memory, slices_c, &step, called, waits);
                    given.book(i, flows);
                    waits |= tank.interlock && given.claims;
                }
                index += 1;
            }
        }
    }

    /// Thermostats read the tanks at the end of a step and decide. Where all `rested` until then, an element heats from the
    /// moment at which its thermostat fell to calling: a strong draw takes much of a tank before the step is over.
    fn read_thermostats(
        &self,
        state: &mut State,
        c: &Conditions,
        seconds: f64,
        rested: bool,
        flows: &mut Flows,
    ) {
        let mut index = 0;
        for (i, tank) in self.tanks.iter().enumerate() {
            let slices_c = &mut state.nodes_c[self.tank_nodes(i)];
            let room_c = c.surroundings_c(tank.surroundings);
            let mut waits = false;
            for element in &tank.elements {
                let memory = &mut state.elements[index];
                let before = *memory;
                let true_c = slices_c[element.thermostat_slice];
                memory.reading_c = element.sensor.follow_c(memory.reading_c, true_c, room_c, seconds);
                element.decide(memory);
                let called = memory.calls && c.elements_allowed >> index & 1 == 1;
                if rested && called && !before.calls && !waits && element.is_electric() {
                    let most_j = element.power_w * element.called_for(&before, memory) * seconds;
                    flows.element_j[i] += element.heat(memory, slices_c, tank.slice_j_k, room_c, most_j);
                    settle(slices_c);
                }
                waits |= tank.interlock && called;
                index += 1;
            }
        }
    }
}
