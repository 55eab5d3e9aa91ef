//! A whole plant and how it advances through time.
//!
//! A span of steady conditions is cut into steps as long as nothing is missed ([`stride`]). Within a step the tank is held
//! still while the loop takes its substeps and the controller its decisions ([`loop_step`]); then the tanks take their own
//! step ([`tank_step`]).

mod foresight;
mod loop_step;
mod stride;
mod tank_step;

use std::ops::Range;

use crate::assemble::{Checks, Fault};
use crate::backup::element::Source;
use crate::backup::flow_through::FlowHeater;
use crate::flows::{Conditions, Flows, MAX_TANKS};
use crate::ledger::Contents;
use crate::solar_loop::SolarLoop;
use crate::spec::{Numerics, PlantSpec};
use crate::state::{Scratch, State};
use crate::tank::Tank;

/// An assembled plant: parameters only, shared between threads.
#[derive(Clone, Debug)]
pub struct Plant {
    pub(crate) solar: Option<SolarLoop>,
    tanks: Vec<Tank>,
    flow_heater: Option<FlowHeater>,
    /// True if a tank has a burner, which acts on its tank all the time.
    has_burner: bool,
    /// First node of each tank, and the end of the last.
    tank_starts: [usize; MAX_TANKS + 1],
    numerics: Numerics,
    /// Longest step of loss and conduction that every tank allows, in s.
    longest_stand_s: u32,
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
        let mut tank_starts = [solar.as_ref().map_or(0, |solar| solar.collector.cells); MAX_TANKS + 1];
        for (i, tank) in tanks.iter().enumerate() {
            tank_starts[i + 1..].iter_mut().for_each(|start| *start += tank.slices);
        }
        let stable_s = tanks.iter().fold(f64::INFINITY, |least, tank| least.min(tank.longest_step_s));
        let longest_stand_s = (stable_s as u32).max(1);
        let numerics = spec.numerics;
        Ok(Self { solar, tanks, flow_heater, has_burner, tank_starts, numerics, longest_stand_s })
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

    /// Heat capacity of what supply and return pipe hold, in J/K.
    pub(crate) fn pipe_contents_j_k(&self) -> [f64; 2] {
        self.solar.as_ref().map_or([0.0; 2], |solar| solar.pipes.each_ref().map(|pipe| pipe.content_j_k))
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
            let drive = solar.collector.drive(c);
            solar.renew(state, scratch, c, &drive);
            drive
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
                    step_s = self.stand_loop(solar, state, scratch, c, drive, step_s, flows);
                }
            }
            self.step_tanks(state, scratch, c, step_s, flows);
            left_s -= step_s;
            listener(duration_s - left_s, state, flows);
        }
        flows.duration_s += f64::from(duration_s);
        if let Some(heater) = &self.flow_heater {
            flows.compressor_and_flow_j += heater.standby_w() * f64::from(duration_s);
        }
    }
}
