//! The collector loop: exchanger, supply pipe, collector, return pipe, and the pump that drives them.
//!
//! During a substep every pipe run only passes on what it already holds, so collector, pipes and exchanger need no
//! simultaneous solution: a walk round the loop begins with what leaves the run that holds most, meets every other
//! component once, and ends by filling that run again.

use std::ops::Range;

use crate::collector::{Collector, Drive, FlowStep, RunStep};
use crate::controller::Controller;
use crate::exchanger::{Affine, Exchanger};
use crate::flows::{Conditions, Flows};
use crate::fluid::Fluid;
use crate::pipe::{PipeContent, PipeRun, keep_half_transit, keep_standing};
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
const STANDING_STEP_S: f64 = 300.0;

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
    pipes: Vec<PipeStep>,
}

/// Coefficients of a pipe run, and what it lost in a stretch.
#[derive(Clone, Copy, Debug, Default)]
struct PipeStep {
    /// Surroundings in degC.
    around_c: f64,
    /// Loss in W/K.
    loss_w_k: f64,
    /// Share of a difference lost through half a transit.
    fall: f64,
    /// Falls of the parcels' temperature added up, in K.
    lost_k: f64,
}

impl PipeStep {
    /// Half the transit loss of a parcel.
    #[inline]
    fn lose_half(&mut self, fluid_c: f64) -> f64 {
        let fall_k = self.fall * (fluid_c - self.around_c);
        self.lost_k += fall_k;
        fluid_c - fall_k
    }
}

impl LoopRun {
    pub(crate) fn new(runs: usize) -> Self {
        Self { wind_m_s: f64::NAN, pipes: vec![PipeStep::default(); runs], ..Self::default() }
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
        let exchanger = Exchanger::new(&spec.exchanger, tank);
        Self {
            collector: Collector::new(spec.collector),
            controller: Controller::new(&spec.controller),
            sensor_slice: slice_at(spec.controller.sensor_height_frac, tank.slices),
            runs,
            supply_runs,
            fullest,
            fluid: spec.fluid,
            pump: spec.pump,
            // Circulated tank water answers at once and passes every swing on; a coil damps them.
            loop_step_s: match &exchanger {
                Exchanger::Coil(_) => loop_step_s,
                Exchanger::Circulated(_) => 0.5 * loop_step_s,
            },
            exchanger,
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
        for (step, pipe) in run.pipes.iter_mut().zip(&self.runs) {
            step.around_c = c.surroundings_c(pipe.surroundings);
            if all || (pipe.feels_wind() && c.wind_m_s != run.wind_m_s) {
                step.loss_w_k = pipe.loss_w_k(c.wind_m_s);
                step.fall = 1.0 - keep_half_transit(step.loss_w_k, state.flow_w_k);
            }
        }
        run.wind_m_s = c.wind_m_s;
        if run.flow_w_k != state.flow_w_k {
            run.flow_w_k = state.flow_w_k;
            run.step_s = 0.0;
        }
    }

    /// Begins a walk round the running loop, the tank held still behind the exchanger's map.
    pub(crate) fn walk<'a>(
        &'a self,
        pipes: &'a mut [PipeContent],
        cells_c: &'a mut [f64],
        drive: &'a Drive,
        flow_w_k: f64,
        map: Affine,
    ) -> Walk<'a> {
        let pump_heat_w = self.pump.power_w * self.pump.heat_to_fluid_frac;
        Walk {
            solar: self,
            drive,
            pipes,
            cells_c,
            flow_w_k,
            exchanged: Affine { base_c: map.base_c + pump_heat_w / flow_w_k, ..map },
            seconds: 0.0,
            inlet_k_s: 0.0,
            substeps: 0,
            sums: Sums { hottest_c: f64::NEG_INFINITY, ..Sums::default() },
        }
    }

    /// The standing loop for `seconds`.
    pub(crate) fn stand(
        &self,
        state: &mut State,
        run: &LoopRun,
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
            let keep = keep_standing(run.pipes[i].loss_w_k, pipe.content_j_k, seconds);
            let lost_j = content.stand(keep, run.pipes[i].around_c);
            if i < self.supply_runs {
                flows.supply_loss_j += lost_j;
            } else {
                flows.return_loss_j += lost_j;
            }
        }
    }
}

/// A walk round the loop: in each substep one parcel of fluid moves on everywhere.
pub(crate) struct Walk<'a> {
    solar: &'a SolarLoop,
    drive: &'a Drive,
    pipes: &'a mut [PipeContent],
    cells_c: &'a mut [f64],
    flow_w_k: f64,
    exchanged: Affine,
    /// Time walked so far.
    pub(crate) seconds: f64,
    /// Integral of the exchanger's inlet temperature.
    inlet_k_s: f64,
    substeps: u64,
    sums: Sums,
}

/// What a walk adds up, in J.
#[derive(Default)]
struct Sums {
    supply_loss_j: f64,
    return_loss_j: f64,
    collector_loss_j: f64,
    collector_heat_j: f64,
    hottest_c: f64,
}

/// The parcel of a stretch.
#[derive(Clone, Copy)]
struct Parcel {
    j_k: f64,
    per_j_k: f64,
}

impl Walk<'_> {
    /// Walks on for `seconds`.
    pub(crate) fn go(&mut self, run: &mut LoopRun, seconds: f64) {
        let longest_s =
            self.solar.loop_step_s.min(self.solar.runs[self.solar.fullest].content_j_k / self.flow_w_k);
        let substeps = (seconds / longest_s).ceil() as u32;
        let step_s = seconds / f64::from(substeps);
        if run.step_s != step_s {
            run.step_s = step_s;
            run.collector = self.solar.collector.flow_step(self.flow_w_k, step_s);
        }
        let parcel = Parcel { j_k: self.flow_w_k * step_s, per_j_k: 1.0 / (self.flow_w_k * step_s) };
        let (mut rise_k, mut inlet_k) = (0.0, 0.0);
        run.pipes.iter_mut().for_each(|pipe| pipe.lost_k = 0.0);
        let cells = self.solar.collector.stretch(self.cells_c, self.drive, &run.collector);
        for _ in 0..substeps {
            self.round(run, &cells, parcel, &mut rise_k, &mut inlet_k);
        }
        self.inlet_k_s += inlet_k * step_s;
        self.sums.collector_heat_j += rise_k * parcel.j_k;
        let (supply, ret) = run.pipes.split_at(self.solar.supply_runs);
        self.sums.supply_loss_j += supply.iter().map(|pipe| pipe.lost_k).sum::<f64>() * parcel.j_k;
        self.sums.return_loss_j += ret.iter().map(|pipe| pipe.lost_k).sum::<f64>() * parcel.j_k;
        self.substeps += u64::from(substeps);
        self.seconds += seconds;
    }

    /// Mean temperature at the exchanger's inlet so far.
    pub(crate) fn inlet_c(&self) -> f64 {
        self.inlet_k_s / self.seconds
    }

    /// Temperature at the collector's outlet end.
    pub(crate) fn outlet_c(&self) -> f64 {
        self.cells_c[self.cells_c.len() - 1]
    }

    /// Adds the walk to the accounts.
    pub(crate) fn book(&self, flows: &mut Flows) {
        let pump = &self.solar.pump;
        let sums = &self.sums;
        flows.supply_loss_j += sums.supply_loss_j;
        flows.return_loss_j += sums.return_loss_j;
        flows.collector_loss_j += sums.collector_loss_j;
        flows.collector_heat_j += sums.collector_heat_j;
        flows.hottest_collector_c = flows.hottest_collector_c.max(sums.hottest_c);
        flows.pump_j += (pump.power_w + self.solar.exchanger.pump_w()) * self.seconds;
        flows.pump_heat_j += pump.power_w * pump.heat_to_fluid_frac * self.seconds;
        flows.pump_s += self.seconds;
        flows.loop_steps += self.substeps;
    }

    #[inline]
    fn round(
        &mut self,
        run: &mut LoopRun,
        cells: &RunStep,
        parcel: Parcel,
        rise_k: &mut f64,
        inlet_k: &mut f64,
    ) {
        let (start, supply, all) = (self.solar.fullest, self.solar.supply_runs, self.solar.runs.len());
        let mut exchange = |fluid_c: f64, map: Affine| {
            *inlet_k += fluid_c;
            map.slope * fluid_c + map.base_c
        };
        let leaving_c = self.pipes[start].pop(parcel.j_k, parcel.per_j_k);
        let mut fluid_c = run.pipes[start].lose_half(leaving_c);
        if start < supply {
            fluid_c = self.through(run, start + 1..supply, fluid_c, parcel);
            fluid_c = self.collect(cells, fluid_c, rise_k);
            fluid_c = self.through(run, supply..all, fluid_c, parcel);
            fluid_c = exchange(fluid_c, self.exchanged);
            fluid_c = self.through(run, 0..start, fluid_c, parcel);
        } else {
            fluid_c = self.through(run, start + 1..all, fluid_c, parcel);
            fluid_c = exchange(fluid_c, self.exchanged);
            fluid_c = self.through(run, 0..supply, fluid_c, parcel);
            fluid_c = self.collect(cells, fluid_c, rise_k);
            fluid_c = self.through(run, supply..start, fluid_c, parcel);
        }
        let entering_c = run.pipes[start].lose_half(fluid_c);
        self.pipes[start].push(parcel.j_k, entering_c);
    }

    #[inline]
    fn through(&mut self, run: &mut LoopRun, pipes: Range<usize>, mut fluid_c: f64, parcel: Parcel) -> f64 {
        for (content, step) in self.pipes[pipes.clone()].iter_mut().zip(&mut run.pipes[pipes]) {
            content.push(parcel.j_k, step.lose_half(fluid_c));
            fluid_c = step.lose_half(content.pop(parcel.j_k, parcel.per_j_k));
        }
        fluid_c
    }

    #[inline]
    fn collect(&mut self, cells: &RunStep, inlet_c: f64, rise_k: &mut f64) -> f64 {
        let step = self.solar.collector.run(self.cells_c, self.drive, cells, inlet_c);
        self.sums.collector_loss_j += step.loss_j;
        *rise_k += step.outlet_c - inlet_c;
        self.sums.hottest_c = self.sums.hottest_c.max(self.outlet_c());
        step.outlet_c
    }
}
