//! A whole plant and how it advances through time.
//!
//! A span of steady conditions is cut into steps as long as nothing is missed ([`stride`]). Within a step the tank is held
//! still while the loop takes its substeps and the controller its decisions ([`loop_step`]); then the tanks take their own
//! step ([`tank_step`]).

mod foresight;
mod loop_step;
mod plumbing_step;
mod special;
mod stride;
mod tank_step;

use std::ops::Range;

use crate::assemble::{Checks, Fault};
use crate::backup::element::Source;
use crate::backup::flow_through::FlowHeater;
use crate::exchanger::Exchanger;
use crate::flows::{Conditions, Flows, MAX_TANKS};
use crate::ledger::Contents;
use crate::loop_kind::Kind;
use crate::plumbing::Plumbing;
use crate::solar_loop::SolarLoop;
use crate::spec::{Numerics, PlantSpec};
use crate::state::{Scratch, State};
use crate::tank::{Tank, mean_c};

/// An assembled plant: parameters only, shared between threads.
#[derive(Clone, Debug)]
pub struct Plant {
    pub(crate) solar: Option<SolarLoop>,
    tanks: Vec<Tank>,
    /// Pipe work between tanks and taps, where there is any.
    plumbing: Option<Plumbing>,
    flow_heater: Option<FlowHeater>,
    /// True if the first tank has an element no higher than the coil's top: it heats the coil's slices.
    heats_coil: bool,
    /// True if a tank has a burner, which acts on its tank all the time.
    has_burner: bool,
    /// First node of each tank, and the end of the last.
    tank_starts: [usize; MAX_TANKS + 1],
    /// Cells of the first collector field.
    first_cells: usize,
    numerics: Numerics,
    /// Longest step of loss and conduction that every tank allows, in s.
    longest_stand_s: u32,
    /// Smallest slice of any tank, in m3.
    least_slice_m3: f64,
}

/// Slices of the first tank that a loop's coil touches.
fn coil_slices(solar: Option<&SolarLoop>) -> Range<usize> {
    match solar.map(|solar| &solar.exchanger) {
        Some(Exchanger::Coil(coil)) => coil.slices(),
        _ => 0..0,
    }
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
        let elements: usize = tanks.iter().map(|tank| tank.elements.len()).sum();
        let flow_heater = spec.flow_heater.as_ref().map(|heater| FlowHeater::new(heater, elements));
        let has_burner = tanks
            .iter()
            .flat_map(|tank| &tank.elements)
            .any(|element| matches!(element.source, Source::Burner(_)));
        let first_cells = solar.as_ref().map_or(0, |solar| solar.collector.cells);
        let second = solar.as_ref().and_then(|solar| solar.second.as_deref());
        let cells = first_cells + second.map_or(0, |second| second.collector.cells);
        let mut tank_starts = [cells; MAX_TANKS + 1];
        for (i, tank) in tanks.iter().enumerate() {
            tank_starts[i + 1..].iter_mut().for_each(|start| *start += tank.slices);
        }
        let stable_s = tanks.iter().fold(f64::INFINITY, |least, tank| least.min(tank.longest_step_s));
        let longest_stand_s = (stable_s as u32).max(1);
        let slices_m3 = tanks.iter().map(|tank| tank.slice_j_k / tank.water_j_m3_k);
        let least_slice_m3 = slices_m3.fold(f64::INFINITY, f64::min);
        let plumbing = Plumbing::new(spec, &tanks);
        let numerics = spec.numerics;
        let coil_end = coil_slices(solar.as_ref()).end;
        let heats_coil = tanks[0].elements.iter().any(|element| element.slice < coil_end);
        Ok(Self {
            solar,
            tanks,
            plumbing,
            flow_heater,
            heats_coil,
            has_burner,
            tank_starts,
            first_cells,
            numerics,
            longest_stand_s,
            least_slice_m3,
        })
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
        let cells_c = &state.nodes_c[self.collector_nodes()];
        let mut pipes_j: f64 = state.pipes.iter().map(|pipe| pipe.content_j()).sum();
        if let Some(SolarLoop { kind: Kind::Drainback(drainback), .. }) = &self.solar {
            pipes_j += if state.drained { 0.0 } else { drainback.fluid_j(self.fields_c(state)) };
        }
        let mut collector_j = self.solar.as_ref().map_or(0.0, |solar| solar.resting.content_j(cells_c));
        if let Some(second) = self.solar.as_ref().and_then(|solar| solar.second.as_deref()) {
            collector_j += second.resting.content_j(&state.nodes_c[self.second_nodes()]);
        }
        Contents { collector_j, pipes_j, tank_j, plumbing_j: state.plumbing.content_j() }
    }

    pub(crate) fn plumbing(&self) -> Option<&Plumbing> {
        self.plumbing.as_ref()
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

    /// The first collector field.
    pub(crate) fn collector_nodes(&self) -> Range<usize> {
        0..self.first_cells
    }

    /// The second collector field; empty where there is none.
    pub(crate) fn second_nodes(&self) -> Range<usize> {
        self.first_cells..self.tank_starts[0]
    }

    /// Cells of both fields.
    pub(crate) fn fields_c<'s>(&self, state: &'s State) -> [&'s [f64]; 2] {
        [self.collector_nodes(), self.second_nodes()].map(|nodes| &state.nodes_c[nodes])
    }

    /// Temperature at the outlet that the controller goes by: the warmer of two fields'.
    pub(crate) fn sensed_outlet_c(&self, state: &State) -> f64 {
        let outlet_c = state.nodes_c[self.first_cells - 1];
        state.nodes_c[self.second_nodes()].last().map_or(outlet_c, |&second_c| outlet_c.max(second_c))
    }

    pub(crate) fn tank_nodes(&self, tank: usize) -> Range<usize> {
        self.tank_starts[tank]..self.tank_starts[tank + 1]
    }

    /// Slices of the first tank that the coil touches.
    fn coil_slices(&self) -> Range<usize> {
        coil_slices(self.solar.as_ref())
    }

    /// Heat capacity of what supply and return pipe hold at rest, in J/K.
    pub(crate) fn pipe_contents_j_k(&self) -> [f64; 2] {
        self.solar
            .as_ref()
            .map_or([0.0; 2], |solar| solar.resting_pipes.each_ref().map(|pipe| pipe.content_j_k))
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
        let span = self.solar.as_ref().map(|solar| solar.begin_span(state, scratch, c));
        scratch.mean_c = mean_c(&state.nodes_c[self.tank_nodes(0)]);
        // Standing ahead of the tanks: nothing they can do starts the pump before.
        let mut ahead_s = 0;
        if let Some(plumbing) = &self.plumbing {
            self.turn_bypass(plumbing, state, c);
        }
        while left_s > 0 {
            let mut step_s = left_s.min(self.longest_step_s(state, c));
            if let Some(span) = &span {
                let controller = &span.solar.controller;
                scratch.ran = false;
                if ahead_s == 0 {
                    if state.controller.decision_in_s == 0 {
                        controller.decide_now(&mut state.controller, flows);
                    }
                    if let Some(taken_s) = self.special_step(span, state, scratch, step_s, flows) {
                        scratch.ran = true;
                        step_s = taken_s;
                    } else if state.controller.pump_on {
                        step_s = step_s.min(self.longest_run_s(span, state));
                        scratch.ran = true;
                        step_s = self.run_loop(span, state, scratch, step_s, flows);
                    } else if self.plumbing.is_none() && self.quiet_s(span, state, None) >= left_s {
                        span.stand(state, scratch, f64::from(left_s), flows);
                        ahead_s = left_s;
                    } else {
                        step_s = self.stand_loop(span, state, scratch, step_s, flows);
                    }
                }
                if ahead_s > 0 {
                    controller.pass(&mut state.controller, step_s);
                    scratch.unread_s = f64::from(step_s);
                    ahead_s -= step_s;
                }
            }
            self.step_tanks(state, scratch, c, step_s, left_s, flows);
            left_s -= step_s;
            listener(duration_s - left_s, state, flows);
        }
        flows.duration_s += f64::from(duration_s);
        if let Some(heater) = &self.flow_heater {
            flows.compressor_and_flow_j += heater.standby_w() * f64::from(duration_s);
        }
    }
}
