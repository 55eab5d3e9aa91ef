//! The collector loop: exchanger, supply pipe, collector, return pipe, and the pump that drives them.
//!
//! During a substep a pipe only passes on what it already holds, so collector, pipes and exchanger need no simultaneous
//! solution: a walk round the loop begins with what leaves the pipe that holds more, meets every other component once, and
//! ends by filling that pipe again.

use crate::collector::{Collector, Drive, FlowStep, RunStep};
use crate::controller::Controller;
use crate::exchanger::{Affine, Exchanger};
use crate::flows::{Conditions, Flows, share_above};
use crate::fluid::Fluid;
use crate::loop_kind::Kind;
use crate::loop_kind::drainback::Drainback;
use crate::loop_kind::natural::Natural;
use crate::pipe::{Pipe, PipeContent, PipeStep};
use crate::spec::{DrainbackSpec, LoopKind, LoopSpec, PipeRunSpec, PumpFlow, PumpSpec};
use crate::state::{Scratch, State};
use crate::tank::{Tank, slice_at};

/// Temperature at which the capacity of the pipes' content is taken, in degC.
pub(crate) const NOMINAL_LOOP_C: f64 = 50.0;

/// The loop's capacity flow is renewed when it has moved by this share.
const FLOW_RENEWAL_FRAC: f64 = 1e-3;

/// The fuller pipe holds at least what flows in this time, in s, so that a loop without pipes can be stepped.
const LEAST_TRANSIT_S: f64 = 2.0;

/// Longest step of a standing collector in sunshine, in s.
const STANDING_STEP_S: f64 = 900.0;

/// Time for which the loss coefficients of a collector in a run are held, in s.
const HOLD_LOSS_S: f64 = 150.0;

/// Plane irradiance and collector temperature from which a held pump counts as stagnation.
const STAGNATION_W_M2: f64 = 100.0;
const STAGNATION_C: f64 = 120.0;

/// An assembled loop.
#[derive(Clone, Debug)]
pub(crate) struct SolarLoop {
    pub(crate) collector: Collector,
    /// The collector while nothing flows: dry in a drainback loop.
    pub(crate) resting: Collector,
    pub(crate) exchanger: Exchanger,
    pub(crate) controller: Controller,
    pub(crate) sensor_slice: usize,
    /// Supply and return pipe.
    pub(crate) pipes: [Pipe; 2],
    /// The pipes while nothing flows: empty in a drainback loop.
    pub(crate) resting_pipes: [Pipe; 2],
    pub(crate) kind: Kind,
    /// The flow follows something else than the fluid's temperature.
    pub(crate) varies: bool,
    /// Neither kind nor speed asks for more than a plain step.
    pub(crate) plain: bool,
    /// Share of its running time that counts as the pump's: 0 where there is no pump.
    pump_frac: f64,
    /// The pipe that holds more: the walk begins at its outlet.
    fuller: usize,
    fluid: Fluid,
    pump: PumpSpec,
    loop_step_s: f64,
}

/// Place of the supply pipe among the two, and of the return pipe.
pub(crate) const SUPPLY: usize = 0;
pub(crate) const RETURN: usize = 1;

/// Coefficients of the running loop at a flow, step length and wind.
#[derive(Clone, Debug, Default)]
pub(crate) struct LoopRun {
    flow_w_k: f64,
    wind_m_s: f64,
    /// What only a running loop needs is prepared for the present span.
    pub(crate) ready: bool,
    stretch: Stretch,
    cells: RunStep,
    pipes: [PipeStep; 2],
}

/// How a stretch of steady flow is divided.
#[derive(Clone, Copy, Debug, Default)]
struct Stretch {
    seconds: f64,
    substeps: u32,
    step_s: f64,
    /// The parcel that moves on in a substep, and its reciprocal.
    parcel_j_k: f64,
    per_j_k: f64,
    collector: FlowStep,
}

impl LoopRun {
    pub(crate) fn new(solar: Option<&SolarLoop>) -> Self {
        let pipes = solar.map(|solar| solar.pipes.each_ref().map(Pipe::step)).unwrap_or_default();
        Self { wind_m_s: f64::NAN, pipes, ..Self::default() }
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

/// A pipe with the inside film of the pump's full flow.
fn pipe(runs: &[PipeRunSpec], fluid: &Fluid, pump: &PumpSpec) -> Pipe {
    let flow_m3_s = match pump.flow {
        PumpFlow::MassKgS(kg_s) => kg_s / fluid.density_kg_m3(NOMINAL_LOOP_C),
        PumpFlow::VolumeM3S(m3_s) => m3_s,
    };
    Pipe::new(runs, fluid, NOMINAL_LOOP_C, flow_m3_s)
}

impl SolarLoop {
    pub(crate) fn new(spec: &LoopSpec, tank: &Tank, loop_step_s: f64) -> Self {
        let mut pipes = [&spec.supply, &spec.ret].map(|runs| pipe(runs, &spec.fluid, &spec.pump));
        let fuller = if pipes[RETURN].content_j_k > pipes[SUPPLY].content_j_k { RETURN } else { SUPPLY };
        pipes[fuller].fill_to(flow_w_k(&spec.pump, &spec.fluid, NOMINAL_LOOP_C) * LEAST_TRANSIT_S);
        let exchanger = Exchanger::new(&spec.exchanger, tank);
        let controller = Controller::new(&spec.controller);
        let collector = Collector::new(spec.collector);
        let filled = Self {
            resting: collector.clone(),
            collector,
            resting_pipes: pipes.clone(),
            kind: Kind::Filled,
            varies: !controller.plain,
            plain: controller.plain && spec.kind == LoopKind::Filled,
            pump_frac: 1.0,
            controller,
            sensor_slice: slice_at(spec.controller.sensor_height_frac, tank.slices),
            pipes,
            fuller,
            fluid: spec.fluid,
            pump: spec.pump,
            // Circulated tank water answers at once and passes every swing on; a coil damps them.
            loop_step_s: match &exchanger {
                Exchanger::Coil(_) => loop_step_s,
                Exchanger::Circulated(_) => 0.25 * loop_step_s,
            },
            exchanger,
        };
        match &spec.kind {
            LoopKind::Filled => filled,
            LoopKind::Drainback(drainback) => filled.drained(drainback, spec),
            LoopKind::Leaking(natural) | LoopKind::Thermosiphon(natural) => {
                let natural = Natural::new(natural, spec, tank, &filled);
                let without_pump = natural.drives;
                let moved = Self { kind: Kind::Natural(Box::new(natural)), ..filled };
                if without_pump { moved.without_pump() } else { moved }
            }
        }
    }

    /// The same loop with a reservoir into which it drains.
    fn drained(mut self, drainback: &DrainbackSpec, spec: &LoopSpec) -> Self {
        let mut pipes = [&spec.supply, &spec.ret].map(|runs| pipe(runs, &spec.fluid, &spec.pump));
        let (drainback, dry, drained) = Drainback::new(drainback, &spec.collector, &spec.fluid, &mut pipes);
        self.fuller = if pipes[RETURN].content_j_k > pipes[SUPPLY].content_j_k { RETURN } else { SUPPLY };
        Self { resting: dry, pipes, resting_pipes: drained, kind: Kind::Drainback(drainback), ..self }
    }

    /// The same loop turned end to end, with its exchanger's ends changed over, and without its pump.
    pub(crate) fn turned(&self, exchanger: Exchanger) -> Self {
        let turned = |[supply, ret]: &[Pipe; 2]| [ret.reversed(), supply.reversed()];
        Self {
            pipes: turned(&self.pipes),
            resting_pipes: turned(&self.resting_pipes),
            fuller: 1 - self.fuller,
            exchanger,
            ..self.clone()
        }
        .without_pump()
    }

    fn without_pump(mut self) -> Self {
        self.pump.power_w = 0.0;
        self.pump_frac = 0.0;
        self.controller.spec.on_k = f64::INFINITY;
        self
    }

    /// The loop turned end to end, where it may run so.
    pub(crate) fn mirror(&self) -> Option<&Self> {
        match &self.kind {
            Kind::Natural(natural) => Some(&natural.mirror),
            Kind::Filled | Kind::Drainback(_) => None,
        }
    }

    /// Begins a span: flow and losses at the present temperature, surroundings and wind.
    pub(crate) fn begin_span(&self, state: &mut State, scratch: &mut Scratch, c: &Conditions) {
        if !self.controller.plain {
            self.controller.call(&mut state.controller, c);
        }
        self.renew_flow(state);
        if let Some(mirror) = self.mirror() {
            mirror.surround(&mut scratch.mirror_run, c);
        }
        self.surround(&mut scratch.loop_run, c);
        scratch.pace = None;
    }

    /// Brings the flow to the fluid's temperature and the pump's speed; true if it has changed.
    #[inline]
    pub(crate) fn renew_flow(&self, state: &mut State) -> bool {
        let full_w_k = flow_w_k(&self.pump, &self.fluid, state.pipes[self.fuller].oldest_c());
        let flow_w_k = full_w_k * state.controller.speed_frac;
        let renewed = (flow_w_k - state.flow_w_k).abs() > FLOW_RENEWAL_FRAC * flow_w_k;
        if renewed {
            state.flow_w_k = flow_w_k;
        }
        renewed
    }

    /// Brings a loop's working memory to its present surroundings.
    #[inline]
    fn surround(&self, run: &mut LoopRun, c: &Conditions) {
        let windy = run.wind_m_s != c.wind_m_s;
        for (pipe, step) in self.pipes.iter().zip(&mut run.pipes) {
            pipe.surround(step, c, windy);
        }
        run.wind_m_s = c.wind_m_s;
        run.ready = false;
    }

    /// Prepares what only a running loop needs, once a span.
    pub(crate) fn begin_run(&self, state: &State, scratch: &mut Scratch, drive: &Drive) {
        let run = &mut scratch.loop_run;
        if run.ready {
            return;
        }
        run.ready = true;
        for (pipe, step) in self.pipes.iter().zip(&mut run.pipes) {
            pipe.lead_through(step, state.flow_w_k);
        }
        self.collector.begin_runs(&mut run.cells, &state.nodes_c[..self.collector.cells], drive);
        if run.flow_w_k != state.flow_w_k {
            run.flow_w_k = state.flow_w_k;
            run.stretch = Stretch::default();
        }
    }

    /// What the pumps do in a run with the state as it is.
    #[inline]
    pub(crate) fn work(&self, state: &State) -> Work {
        let heat_w = self.pump.power_w * self.pump.heat_to_fluid_frac;
        let plain = Work { electric_w: self.pump.power_w + self.exchanger.pump_w(), heat_w };
        if !self.varies {
            return plain;
        }
        let (bought, felt) = self.controller.power_fracs(state.controller.speed_frac);
        // The tank's own water stands while the loop goes through the dump.
        let dumps = self.controller.dumping(&state.controller).is_some();
        let tank_w = if dumps { 0.0 } else { self.exchanger.pump_w() };
        Work { electric_w: bought * self.pump.power_w + tank_w, heat_w: felt * heat_w }
    }

    /// Begins a walk round the running loop, the tank held still behind the exchanger's map.
    pub(crate) fn walk<'a>(
        &'a self,
        pipes: &'a mut [PipeContent; 2],
        cells_c: &'a mut [f64],
        drive: &'a Drive,
        flow_w_k: f64,
        map: Affine,
        work: Work,
    ) -> Walk<'a> {
        Walk {
            solar: self,
            drive,
            pipes,
            cells_c,
            flow_w_k,
            exchanged: Affine { base_c: map.base_c + work.heat_w / flow_w_k, ..map },
            work,
            seconds: 0.0,
            hold_until_s: 0.0,
            inlet_k_s: 0.0,
            substeps: 0,
            sums: Sums { hottest_c: f64::NEG_INFINITY, ..Sums::default() },
        }
    }

    /// The whole loop without flow for `seconds`.
    pub(crate) fn stand(
        &self,
        state: &mut State,
        scratch: &Scratch,
        c: &Conditions,
        drive: &Drive,
        seconds: f64,
        flows: &mut Flows,
    ) {
        flows.absorbed_j += self.collector.absorbed_j(drive, seconds);
        self.stand_collector(state, c, drive, seconds, flows);
        self.stand_pipes(state, &scratch.loop_run, seconds, flows);
        state.warming_draw_m3_s = None;
    }

    /// The collector without flow for `seconds`.
    pub(crate) fn stand_collector(
        &self,
        state: &mut State,
        c: &Conditions,
        drive: &Drive,
        seconds: f64,
        flows: &mut Flows,
    ) {
        let held = state.controller.held();
        let cells_c = &mut state.nodes_c[..self.collector.cells];
        // In the dark nothing happens fast, and no limit is near.
        let longest_s = if drive.gain_w > 0.0 { STANDING_STEP_S } else { f64::INFINITY };
        let relaxing_s = self.resting.longest_stand_s(drive, cells_c[cells_c.len() - 1]);
        let substeps = (seconds / longest_s.min(relaxing_s)).ceil();
        let step_s = seconds / substeps;
        for _ in 0..substeps as u32 {
            let before_c = cells_c[cells_c.len() - 1];
            flows.collector_loss_j += self.resting.stand(cells_c, drive, step_s);
            let outlet_c = cells_c[cells_c.len() - 1];
            flows.hottest_collector_c = flows.hottest_collector_c.max(outlet_c);
            if held && c.plane_w_m2 > STAGNATION_W_M2 {
                flows.stagnation_s += step_s * share_above(before_c, outlet_c, STAGNATION_C);
            }
        }
    }

    /// The pipes without flow for `seconds`.
    pub(crate) fn stand_pipes(&self, state: &mut State, run: &LoopRun, seconds: f64, flows: &mut Flows) {
        let [supply, ret] = &mut state.pipes;
        flows.supply_loss_j += self.resting_pipes[SUPPLY].stand(supply, &run.pipes[SUPPLY], seconds);
        flows.return_loss_j += self.resting_pipes[RETURN].stand(ret, &run.pipes[RETURN], seconds);
    }
}

/// What the pumps of a running loop take and give.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Work {
    /// Electric power bought in W.
    electric_w: f64,
    /// Heat that the fluid gets in W.
    heat_w: f64,
}

/// A walk round the loop: in each substep one parcel of fluid moves on everywhere.
pub(crate) struct Walk<'a> {
    solar: &'a SolarLoop,
    drive: &'a Drive,
    pipes: &'a mut [PipeContent; 2],
    cells_c: &'a mut [f64],
    flow_w_k: f64,
    exchanged: Affine,
    work: Work,
    /// Time walked so far.
    pub(crate) seconds: f64,
    /// Until then the collector's loss coefficients are held.
    hold_until_s: f64,
    /// Integral of the exchanger's inlet temperature.
    inlet_k_s: f64,
    substeps: u64,
    sums: Sums,
}

/// What a substep adds to the sums.
struct Round {
    /// Rise in the collector.
    rise_k: f64,
    /// Temperature at the exchanger's inlet.
    inlet_c: f64,
    /// Falls of the cells by loss, added up.
    lost_k: f64,
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

impl Walk<'_> {
    /// Walks on for `seconds`.
    pub(crate) fn go(&mut self, run: &mut LoopRun, seconds: f64) {
        if run.stretch.seconds != seconds {
            run.stretch = self.stretch(seconds, &run.stretch);
        }
        let stretch = run.stretch;
        if self.hold_until_s <= self.seconds || run.cells.step_s != stretch.step_s {
            let collector = &self.solar.collector;
            collector.begin_stretch(&mut run.cells, self.cells_c, self.drive, &stretch.collector);
            self.hold_until_s = self.seconds + HOLD_LOSS_S;
        }
        let (mut rise_k, mut inlet_k, mut lost_k) = (0.0, 0.0, 0.0);
        run.pipes.iter_mut().for_each(|pipe| pipe.lost_k = 0.0);
        for _ in 0..stretch.substeps {
            let round = if self.solar.fuller == SUPPLY {
                self.round::<SUPPLY>(run, &stretch)
            } else {
                self.round::<RETURN>(run, &stretch)
            };
            rise_k += round.rise_k;
            inlet_k += round.inlet_c;
            lost_k += round.lost_k;
        }
        self.inlet_k_s += inlet_k * stretch.step_s;
        self.sums.collector_heat_j += rise_k * stretch.parcel_j_k;
        self.sums.collector_loss_j += self.solar.collector.lost_j(lost_k);
        self.sums.supply_loss_j += run.pipes[SUPPLY].lost_k * stretch.parcel_j_k;
        self.sums.return_loss_j += run.pipes[RETURN].lost_k * stretch.parcel_j_k;
        self.substeps += u64::from(stretch.substeps);
        self.seconds += seconds;
    }

    /// Divides a stretch: a substep passes on no more than the fuller pipe holds.
    fn stretch(&self, seconds: f64, last: &Stretch) -> Stretch {
        let held_s = self.solar.pipes[self.solar.fuller].content_j_k / self.flow_w_k;
        let substeps = (seconds / self.solar.loop_step_s.min(held_s)).ceil() as u32;
        let step_s = seconds / f64::from(substeps);
        let parcel_j_k = self.flow_w_k * step_s;
        Stretch {
            seconds,
            substeps,
            step_s,
            parcel_j_k,
            per_j_k: 1.0 / parcel_j_k,
            collector: if step_s == last.step_s {
                last.collector
            } else {
                self.solar.collector.flow_step(self.flow_w_k, step_s)
            },
        }
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
        let sums = &self.sums;
        flows.supply_loss_j += sums.supply_loss_j;
        flows.return_loss_j += sums.return_loss_j;
        flows.collector_loss_j += sums.collector_loss_j;
        flows.collector_heat_j += sums.collector_heat_j;
        flows.hottest_collector_c = flows.hottest_collector_c.max(sums.hottest_c);
        flows.pump_j += self.work.electric_w * self.seconds;
        flows.pump_heat_j += self.work.heat_w * self.seconds;
        flows.pump_s += self.solar.pump_frac * self.seconds;
        flows.loop_steps += self.substeps;
    }

    /// One substep: every parcel moves on by one, beginning at the outlet of pipe `START`.
    #[inline(always)]
    fn round<const START: usize>(&mut self, run: &mut LoopRun, stretch: &Stretch) -> Round {
        let leaving_c = self.pipes[START].pop(stretch.parcel_j_k, stretch.per_j_k);
        let fluid_c = run.pipes[START].leave(leaving_c);
        let (entering_c, round) = if START == SUPPLY {
            let (outlet_c, lost_k) = self.collect(&run.cells, fluid_c);
            let inlet_c = self.through::<RETURN>(&mut run.pipes[RETURN], stretch, outlet_c);
            (self.exchanged_c(inlet_c), Round { rise_k: outlet_c - fluid_c, inlet_c, lost_k })
        } else {
            let supplied_c =
                self.through::<SUPPLY>(&mut run.pipes[SUPPLY], stretch, self.exchanged_c(fluid_c));
            let (outlet_c, lost_k) = self.collect(&run.cells, supplied_c);
            (outlet_c, Round { rise_k: outlet_c - supplied_c, inlet_c: fluid_c, lost_k })
        };
        self.pipes[START].push(stretch.parcel_j_k, run.pipes[START].enter(entering_c));
        round
    }

    #[inline(always)]
    fn exchanged_c(&self, inlet_c: f64) -> f64 {
        self.exchanged.slope * inlet_c + self.exchanged.base_c
    }

    #[inline(always)]
    fn through<const PIPE: usize>(&mut self, step: &mut PipeStep, stretch: &Stretch, fluid_c: f64) -> f64 {
        if self.solar.pipes[PIPE].content_j_k == 0.0 {
            return fluid_c;
        }
        let content = &mut self.pipes[PIPE];
        content.push(stretch.parcel_j_k, step.enter(fluid_c));
        step.leave(content.pop(stretch.parcel_j_k, stretch.per_j_k))
    }

    #[inline(always)]
    fn collect(&mut self, cells: &RunStep, inlet_c: f64) -> (f64, f64) {
        let collected = self.solar.collector.run(self.cells_c, self.drive, cells, inlet_c);
        self.sums.hottest_c = self.sums.hottest_c.max(self.outlet_c());
        collected
    }
}
