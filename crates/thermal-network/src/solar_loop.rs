//! The collector loop: exchanger, supply pipe, collector, return pipe, and the pump that drives them.
//!
//! During a substep every pipe run only passes on what it already holds, so collector, pipes and exchanger need no
//! simultaneous solution: a walk round the loop begins with what leaves the run that holds most, meets every other
//! component once, and ends by filling that run again.

use std::ops::Range;

use crate::collector::{Collector, Drive, FlowStep};
use crate::controller::Controller;
use crate::exchanger::{Affine, Exchanger};
use crate::flows::{Conditions, Flows};
use crate::fluid::Fluid;
use crate::pipe::{PipeRun, keep_half_transit, keep_standing};
use crate::spec::{LoopSpec, PipeRunSpec, PumpFlow, PumpSpec};
use crate::state::{Scratch, State};
use crate::tank::{Tank, slice_at};

/// Temperature at which the capacity of the pipes' content is taken, in degC.
const NOMINAL_LOOP_C: f64 = 50.0;

/// The loop's capacity flow is renewed when it has moved by this share.
const FLOW_RENEWAL_FRAC: f64 = 1e-3;

/// The fullest run holds at least what flows in this time, in s, so that a loop without pipes can be stepped.
const LEAST_TRANSIT_S: f64 = 2.0;

/// Longest step of a standing collector in sunshine, in s.
const STANDING_STEP_S: f64 = 60.0;

/// Plane irradiance and collector temperature from which a held pump counts as stagnation.
const STAGNATION_W_M2: f64 = 100.0;
const STAGNATION_C: f64 = 120.0;

/// An assembled loop.
#[derive(Clone, Debug)]
pub(crate) struct SolarLoop {
    pub(crate) collector: Collector,
    pub(crate) exchanger: Exchanger,
    pub(crate) controller: Controller,
    pub(crate) sensor_slice: usize,
    /// Supply runs, then return runs.
    pub(crate) runs: Vec<PipeRun>,
    supply_runs: usize,
    /// The run that holds most: the walk begins at its outlet.
    fullest: usize,
    fluid: Fluid,
    pump: PumpSpec,
    loop_step_s: f64,
}

/// Coefficients of the running loop at a flow, step length and wind.
#[derive(Clone, Debug, Default)]
pub(crate) struct LoopRun {
    flow_w_k: f64,
    step_s: f64,
    wind_m_s: f64,
    collector: FlowStep,
    /// Loss of each run in W/K.
    loss_w_k: Vec<f64>,
    /// Share kept through half a transit of each run.
    keep: Vec<f64>,
}

impl LoopRun {
    pub(crate) fn new(runs: usize) -> Self {
        Self { wind_m_s: f64::NAN, loss_w_k: vec![0.0; runs], keep: vec![1.0; runs], ..Self::default() }
    }
}

/// Capacity flow of the pump in W/K with fluid at `fluid_c`.
fn flow_w_k(pump: &PumpSpec, fluid: &Fluid, fluid_c: f64) -> f64 {
    let kg_s = match pump.flow {
        PumpFlow::MassKgS(kg_s) => kg_s,
        PumpFlow::VolumeM3S(m3_s) => m3_s * fluid.density_kg_m3(fluid_c),
    };
    kg_s * fluid.specific_heat_j_kg_k(fluid_c)
}

impl SolarLoop {
    pub(crate) fn new(spec: &LoopSpec, tank: &Tank, loop_step_s: f64) -> Self {
        let flow_m3_s = match spec.pump.flow {
            PumpFlow::MassKgS(kg_s) => kg_s / spec.fluid.density_kg_m3(NOMINAL_LOOP_C),
            PumpFlow::VolumeM3S(m3_s) => m3_s,
        };
        let assembled = |runs: &[PipeRunSpec]| -> Vec<PipeRun> {
            runs.iter()
                .filter(|run| run.length_m > 0.0)
                .map(|run| PipeRun::new(run, &spec.fluid, NOMINAL_LOOP_C, flow_m3_s))
                .collect()
        };
        let mut runs = assembled(&spec.supply);
        let supply_runs = runs.len();
        runs.extend(assembled(&spec.ret));
        let least_j_k = flow_w_k(&spec.pump, &spec.fluid, NOMINAL_LOOP_C) * LEAST_TRANSIT_S;
        if runs.is_empty() {
            runs.push(PipeRun::lossless(least_j_k));
        }
        let mut fullest = 0;
        for i in 1..runs.len() {
            if runs[i].content_j_k > runs[fullest].content_j_k {
                fullest = i;
            }
        }
        runs[fullest].content_j_k = runs[fullest].content_j_k.max(least_j_k);
        Self {
            collector: Collector::new(spec.collector),
            exchanger: Exchanger::new(&spec.exchanger, tank),
            controller: Controller::new(&spec.controller),
            sensor_slice: slice_at(spec.controller.sensor_height_frac, tank.slices),
            runs,
            supply_runs,
            fullest,
            fluid: spec.fluid,
            pump: spec.pump,
            loop_step_s,
        }
    }

    /// Brings flow and pipe losses to the present temperature and wind.
    pub(crate) fn renew(&self, state: &mut State, scratch: &mut Scratch, c: &Conditions) {
        let flow_w_k = flow_w_k(&self.pump, &self.fluid, state.pipes[self.fullest].oldest_c());
        if (flow_w_k - state.flow_w_k).abs() > FLOW_RENEWAL_FRAC * flow_w_k {
            state.flow_w_k = flow_w_k;
        }
        let run = &mut scratch.loop_run;
        let all = run.wind_m_s.is_nan() || run.flow_w_k != state.flow_w_k;
        if all || c.wind_m_s != run.wind_m_s {
            for (i, pipe) in self.runs.iter().enumerate() {
                if all || pipe.feels_wind() {
                    run.loss_w_k[i] = pipe.loss_w_k(c.wind_m_s);
                    run.keep[i] = keep_half_transit(run.loss_w_k[i], state.flow_w_k);
                }
            }
            run.wind_m_s = c.wind_m_s;
        }
        if run.flow_w_k != state.flow_w_k {
            run.flow_w_k = state.flow_w_k;
            run.step_s = 0.0;
        }
    }

    /// The running loop for `seconds`, the tank held still behind the exchanger's map. Returns the mean temperature at
    /// the exchanger's inlet.
    #[allow(
        clippy::too_many_arguments,
        reason = "state, scratch, inputs and accounts of one step, each its own kind"
    )]
    pub(crate) fn run(
        &self,
        state: &mut State,
        scratch: &mut Scratch,
        c: &Conditions,
        drive: &Drive,
        exchanged: Affine,
        seconds: f64,
        flows: &mut Flows,
    ) -> f64 {
        let flow_w_k = state.flow_w_k;
        let longest_s = self.loop_step_s.min(self.runs[self.fullest].content_j_k / flow_w_k);
        let substeps = (seconds / longest_s).ceil() as u32;
        let step_s = seconds / f64::from(substeps);
        if scratch.loop_run.step_s != step_s {
            scratch.loop_run.step_s = step_s;
            scratch.loop_run.collector = self.collector.flow_step(flow_w_k, step_s);
        }
        let pump_heat_w = self.pump.power_w * self.pump.heat_to_fluid_frac;
        let (cells_c, _) = state.nodes_c.split_at_mut(self.collector.cells);
        let mut walk = Walk {
            plant: self,
            run: &scratch.loop_run,
            c,
            parcel_j_k: flow_w_k * step_s,
            pipes: &mut state.pipes,
            cells_c,
            drive,
            exchanged: Affine { base_c: exchanged.base_c + pump_heat_w / flow_w_k, ..exchanged },
            supply_loss_j: 0.0,
            return_loss_j: 0.0,
            collector_loss_j: 0.0,
            collector_heat_k: 0.0,
            inlet_k: 0.0,
            hottest_c: flows.hottest_collector_c,
        };
        for _ in 0..substeps {
            walk.round();
        }
        flows.supply_loss_j += walk.supply_loss_j;
        flows.return_loss_j += walk.return_loss_j;
        flows.collector_loss_j += walk.collector_loss_j;
        flows.collector_heat_j += walk.collector_heat_k * walk.parcel_j_k;
        flows.hottest_collector_c = walk.hottest_c;
        flows.pump_j += (self.pump.power_w + self.exchanger.pump_w()) * seconds;
        flows.pump_heat_j += pump_heat_w * seconds;
        flows.pump_s += seconds;
        flows.loop_steps += u64::from(substeps);
        walk.inlet_k / f64::from(substeps)
    }

    /// The standing loop for `seconds`.
    pub(crate) fn stand(
        &self,
        state: &mut State,
        scratch: &Scratch,
        c: &Conditions,
        drive: &Drive,
        seconds: f64,
        flows: &mut Flows,
    ) {
        let held = state.controller.held();
        let cells_c = &mut state.nodes_c[..self.collector.cells];
        // In the dark nothing happens fast, and no limit is near.
        let substeps = if drive.gain_w > 0.0 { (seconds / STANDING_STEP_S).ceil() } else { 1.0 };
        let step_s = seconds / substeps;
        for _ in 0..substeps as u32 {
            flows.collector_loss_j += self.collector.stand(cells_c, drive, step_s);
            let outlet_c = cells_c[cells_c.len() - 1];
            flows.hottest_collector_c = flows.hottest_collector_c.max(outlet_c);
            if held && c.plane_w_m2 > STAGNATION_W_M2 && outlet_c > STAGNATION_C {
                flows.stagnation_s += step_s;
            }
        }
        for (i, (pipe, content)) in self.runs.iter().zip(&mut state.pipes).enumerate() {
            let keep = keep_standing(scratch.loop_run.loss_w_k[i], pipe.content_j_k, seconds);
            let lost_j = content.stand(keep, c.surroundings_c(pipe.surroundings));
            if i < self.supply_runs {
                flows.supply_loss_j += lost_j;
            } else {
                flows.return_loss_j += lost_j;
            }
        }
    }
}

/// A walk round the loop: one parcel of fluid moves on everywhere.
struct Walk<'a> {
    plant: &'a SolarLoop,
    run: &'a LoopRun,
    c: &'a Conditions,
    parcel_j_k: f64,
    pipes: &'a mut [crate::pipe::PipeContent],
    cells_c: &'a mut [f64],
    drive: &'a Drive,
    exchanged: Affine,
    supply_loss_j: f64,
    return_loss_j: f64,
    collector_loss_j: f64,
    /// Sums over the substeps of the collector's rise and of the exchanger's inlet temperature.
    collector_heat_k: f64,
    inlet_k: f64,
    hottest_c: f64,
}

impl Walk<'_> {
    #[inline]
    fn round(&mut self) {
        let (start, supply, all) = (self.plant.fullest, self.plant.supply_runs, self.plant.runs.len());
        let mut fluid_c = self.leave(start);
        if start < supply {
            fluid_c = self.through(start + 1..supply, fluid_c);
            fluid_c = self.collect(fluid_c);
            fluid_c = self.through(supply..all, fluid_c);
            fluid_c = self.exchange(fluid_c);
            fluid_c = self.through(0..start, fluid_c);
        } else {
            fluid_c = self.through(start + 1..all, fluid_c);
            fluid_c = self.exchange(fluid_c);
            fluid_c = self.through(0..supply, fluid_c);
            fluid_c = self.collect(fluid_c);
            fluid_c = self.through(supply..start, fluid_c);
        }
        self.enter(start, fluid_c);
    }

    #[inline]
    fn through(&mut self, runs: Range<usize>, mut fluid_c: f64) -> f64 {
        for i in runs {
            self.enter(i, fluid_c);
            fluid_c = self.leave(i);
        }
        fluid_c
    }

    #[inline]
    fn enter(&mut self, i: usize, fluid_c: f64) {
        let kept_c = self.lose_half(i, fluid_c);
        self.pipes[i].push(self.parcel_j_k, kept_c);
    }

    #[inline]
    fn leave(&mut self, i: usize) -> f64 {
        let fluid_c = self.pipes[i].pop(self.parcel_j_k);
        self.lose_half(i, fluid_c)
    }

    /// Half the transit loss of a run.
    #[inline]
    fn lose_half(&mut self, i: usize, fluid_c: f64) -> f64 {
        let surroundings_c = self.c.surroundings_c(self.plant.runs[i].surroundings);
        let fall_k = (1.0 - self.run.keep[i]) * (fluid_c - surroundings_c);
        if i < self.plant.supply_runs {
            self.supply_loss_j += fall_k * self.parcel_j_k;
        } else {
            self.return_loss_j += fall_k * self.parcel_j_k;
        }
        fluid_c - fall_k
    }

    #[inline]
    fn collect(&mut self, inlet_c: f64) -> f64 {
        let step = self.plant.collector.run(self.cells_c, self.drive, &self.run.collector, inlet_c);
        self.collector_loss_j += step.loss_j;
        self.collector_heat_k += step.outlet_c - inlet_c;
        self.hottest_c = self.hottest_c.max(self.cells_c[self.cells_c.len() - 1]);
        step.outlet_c
    }

    #[inline]
    fn exchange(&mut self, inlet_c: f64) -> f64 {
        self.inlet_k += inlet_c;
        self.exchanged.slope * inlet_c + self.exchanged.base_c
    }
}
