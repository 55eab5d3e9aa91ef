//! A loop that runs empty into a reservoir whenever its pump stops.
//!
//! Running, the reservoir is the last run of the return pipe, plug flow like the rest. When the pump stops, all fluid of pipes
//! and collector is at once in the reservoir, mixed; walls and absorber keep their temperature and go on without it. When the
//! pump starts, the collector stays dry for the time the pump needs to lift the fluid; then fluid and walls mix where they
//! meet. The heat of the loop is the same before and after either.

use std::f64::consts::PI;

use crate::collector::Collector;
use crate::controller::ControllerState;
use crate::flows::Flows;
use crate::fluid::Fluid;
use crate::pipe::{Pipe, PipeContent};
use crate::solar_loop::{LoopSpan, NOMINAL_LOOP_C, RETURN, SUPPLY, SolarLoop};
use crate::spec::{CollectorSpec, DrainbackSpec, LoopSpec, PumpFlow};
use crate::state::{Scratch, State};

/// A running reservoir holds what flows in this time at least, in s.
const LEAST_RESERVE_S: f64 = 2.0;

/// What a drainback loop has besides a filled one.
#[derive(Clone, Debug)]
pub(crate) struct Drainback {
    fill_s: u32,
    fill_w: f64,
    /// Heat capacity of the fluid in the running collectors, in J/(m2 K).
    fluid_j_m2_k: f64,
    /// The same in one cell of each field, in J/K.
    cell_fluid_j_k: [f64; 2],
}

/// Area of both fields in m2.
fn area_m2(solar: &LoopSpec) -> f64 {
    solar.collector.area_m2 + solar.second_field.map_or(0.0, |second| second.collector.area_m2)
}

/// What has to be lifted into a drained loop, for checking that it can be.
pub(crate) struct Lifted {
    /// Least fluid in the reservoir in m3: pipes, collector, and a little that keeps the pump under water.
    pub(crate) needed_m3: f64,
    /// Heat capacity of the dry collector in J/(m2 K).
    pub(crate) dry_j_m2_k: f64,
}

impl Lifted {
    pub(crate) fn of(solar: &LoopSpec, spec: &DrainbackSpec) -> Self {
        let runs = solar.supply.iter().chain(&solar.ret);
        let pipes_m3: f64 = runs.map(|run| PI / 4.0 * run.bore_m * run.bore_m * run.length_m).sum();
        let flow_m3_s = match solar.pump.flow {
            PumpFlow::MassKgS(kg_s) => kg_s / solar.fluid.density_kg_m3(NOMINAL_LOOP_C),
            PumpFlow::VolumeM3S(m3_s) => m3_s,
        };
        let collector_j_k = spec.collector_m3 * fluid_j_m3_k(&solar.fluid);
        Self {
            needed_m3: pipes_m3 + spec.collector_m3 + LEAST_RESERVE_S * flow_m3_s,
            dry_j_m2_k: solar.collector.a5_j_m2_k - collector_j_k / area_m2(solar),
        }
    }
}

fn fluid_j_m3_k(fluid: &Fluid) -> f64 {
    fluid.density_kg_m3(NOMINAL_LOOP_C) * fluid.specific_heat_j_kg_k(NOMINAL_LOOP_C)
}

impl Drainback {
    /// The kind with its drained pipes; puts the reservoir at the end of the return pipe.
    pub(crate) fn new(spec: &DrainbackSpec, solar: &LoopSpec, pipes: &mut [Pipe; 2]) -> (Self, [Pipe; 2]) {
        let fluid_j_m3_k = fluid_j_m3_k(&solar.fluid);
        let collector_j_k = spec.collector_m3 * fluid_j_m3_k;
        let fluid_j_m2_k = collector_j_k / area_m2(solar);
        let mut drained = pipes.each_ref().map(Pipe::drained);
        let lifted_j_k = collector_j_k + pipes.iter().map(|pipe| pipe.content_j_k).sum::<f64>()
            - drained.iter().map(|pipe| pipe.content_j_k).sum::<f64>();
        let reservoir_j_k = spec.reservoir_m3 * fluid_j_m3_k;
        let reservoir = |pipe: &mut Pipe, content_j_k| {
            pipe.end_in_vessel(content_j_k, spec.reservoir_w_k, spec.surroundings);
        };
        reservoir(&mut pipes[RETURN], reservoir_j_k - lifted_j_k);
        reservoir(&mut drained[RETURN], reservoir_j_k);
        let in_cell_j_k = |field: &CollectorSpec| fluid_j_m2_k * field.area_m2 / field.cells as f64;
        let second_j_k = solar.second_field.map_or(0.0, |second| in_cell_j_k(&second.collector));
        let cell_fluid_j_k = [in_cell_j_k(&solar.collector), second_j_k];
        (Self { fill_s: spec.fill_s, fill_w: spec.fill_w, fluid_j_m2_k, cell_fluid_j_k }, drained)
    }

    /// A field without its fluid.
    pub(crate) fn dry(&self, field: &CollectorSpec) -> Collector {
        Collector::new(CollectorSpec { a5_j_m2_k: field.a5_j_m2_k - self.fluid_j_m2_k, ..*field })
    }

    /// Heat in J of the fluid in full collectors, both fields.
    pub(crate) fn fluid_j(&self, fields_c: [&[f64]; 2]) -> f64 {
        let heat_j = |(cells_c, cell_j_k): (&[f64], f64)| cell_j_k * cells_c.iter().sum::<f64>();
        fields_c.into_iter().zip(self.cell_fluid_j_k).map(heat_j).sum()
    }

    /// Drains where the pump has stopped; fills where it runs. Returns the time this took of `longest_s`; `None` if the loop
    /// is as it should be.
    pub(crate) fn step(
        &self,
        span: &LoopSpan<'_>,
        state: &mut State,
        scratch: &mut Scratch,
        longest_s: u32,
        flows: &mut Flows,
    ) -> Option<u32> {
        let solar = span.solar;
        if !state.controller.pump_on {
            state.filled_s = 0;
            if !state.drained {
                self.drain(solar, state);
            }
            return None;
        }
        if !state.drained {
            return None;
        }
        let ControllerState { decision_in_s, .. } = state.controller;
        let step_s = longest_s.min(decision_in_s).min(self.fill_s - state.filled_s);
        if step_s > 0 {
            let seconds = f64::from(step_s);
            span.stand(state, scratch, seconds, flows);
            flows.pump_j += self.fill_w * seconds;
            flows.pump_s += seconds;
            state.filled_s += step_s;
            solar.controller.pass(&mut state.controller, step_s);
            scratch.unread_s = seconds;
        }
        if state.filled_s == self.fill_s {
            self.fill(solar, state, flows);
        }
        (step_s > 0).then_some(step_s)
    }

    /// Everything runs into the reservoir.
    fn drain(&self, solar: &SolarLoop, state: &mut State) {
        let (first_c, others_c) = state.nodes_c.split_at(solar.collector.cells);
        let second = solar.second.as_deref().map_or(0, |second| second.collector.cells);
        let mut fluid_j = self.fluid_j([first_c, &others_c[..second]]);
        for (pipe, (full, dry)) in
            state.pipes.iter_mut().zip(solar.pipes.iter().zip(&solar.resting_pipes)).rev()
        {
            fluid_j += run_off(full, dry, pipe);
        }
        let ret = &mut state.pipes[RETURN];
        // The reservoir's own share stands in its parcel; what has run off comes on top.
        let reservoir_j_k = solar.resting_pipes[RETURN].runs_j_k().next_back().unwrap_or(0.0);
        ret.set_oldest_c(ret.oldest_c() + fluid_j / reservoir_j_k);
        state.drained = true;
    }

    /// Fluid out of the reservoir stands in pipes and collector.
    fn fill(&self, solar: &SolarLoop, state: &mut State, flows: &mut Flows) {
        let reservoir_j_k = solar.resting_pipes[RETURN].runs_j_k().next_back().unwrap_or(0.0);
        let fluid_c = state.pipes[RETURN].pop(reservoir_j_k, 1.0 / reservoir_j_k);
        for way in [SUPPLY, RETURN] {
            let reservoir = (way == RETURN).then_some(fluid_c);
            let (full, dry) = (&solar.pipes[way], &solar.resting_pipes[way]);
            run_in(full, dry, &mut state.pipes[way], fluid_c, reservoir);
        }
        let (first_c, others_c) = state.nodes_c.split_at_mut(solar.collector.cells);
        let mut wet = |cells_c: &mut [f64], full: &Collector, dry: &Collector| {
            let (wet_j_k, dry_j_k) = (full.cell_j_k(), dry.cell_j_k());
            for cell_c in cells_c {
                let fall_k = (wet_j_k - dry_j_k) / wet_j_k * (*cell_c - fluid_c);
                *cell_c -= fall_k;
                flows.collector_heat_j += dry_j_k * fall_k;
            }
        };
        wet(first_c, &solar.collector, &solar.resting);
        if let Some(second) = solar.second.as_deref() {
            wet(&mut others_c[..second.collector.cells], &second.collector, &second.resting);
        }
        state.drained = false;
        state.filled_s = 0;
        flows.refills += 1;
    }
}

/// Leaves only the walls' heat in a pipe; returns that of the fluid that ran off, in J. A reservoir at its end, which holds
/// more when drained, keeps the heat it has, spread over all it then holds.
fn run_off(full: &Pipe, dry: &Pipe, content: &mut PipeContent) -> f64 {
    if full.content_j_k == 0.0 {
        return 0.0;
    }
    let mut left = PipeContent::empty();
    let mut fluid_j = 0.0;
    for (full_j_k, dry_j_k) in full.runs_j_k().zip(dry.runs_j_k()).rev() {
        let run_c = content.pop(full_j_k, 1.0 / full_j_k);
        if dry_j_k > full_j_k {
            left.push(dry_j_k, run_c * full_j_k / dry_j_k);
        } else {
            left.push(dry_j_k, run_c);
            fluid_j += (full_j_k - dry_j_k) * run_c;
        }
    }
    *content = left;
    fluid_j
}

/// Fills a drained pipe with fluid at `fluid_c`; `reservoir_c` is given where the last run is the reservoir, whose content has
/// been taken out already.
fn run_in(full: &Pipe, dry: &Pipe, content: &mut PipeContent, fluid_c: f64, reservoir_c: Option<f64>) {
    if full.content_j_k == 0.0 {
        return;
    }
    let mut filled = PipeContent::empty();
    let mut runs = full.runs_j_k().zip(dry.runs_j_k()).rev();
    if let (Some(reservoir_c), Some((full_j_k, _))) = (reservoir_c, reservoir_c.and_then(|_| runs.next())) {
        filled.push(full_j_k, reservoir_c);
    }
    for (full_j_k, dry_j_k) in runs {
        let wall_c = content.pop(dry_j_k, 1.0 / dry_j_k);
        filled.push(full_j_k, fluid_c + dry_j_k / full_j_k * (wall_c - fluid_c));
    }
    *content = filled;
}
