//! The collector loop: exchanger, supply pipe, collector, return pipe, and the pump that drives them.
//!
//! During a substep a pipe only passes on what it already holds, so collector, pipes and exchanger need no simultaneous
//! solution: a walk round the loop begins with what leaves the pipe that holds more, meets every other component once, and
//! ends by filling that pipe again.

mod walk;

pub(crate) use walk::{LoopRun, Work};

use walk::Stretch;

use crate::collector::{Collector, Drive};
use crate::controller::Controller;
use crate::exchanger::{Exchanger, Stream};
use crate::flows::{Conditions, Flows, share_above};
use crate::fluid::Fluid;
use crate::loop_kind::Kind;
use crate::loop_kind::drainback::Drainback;
use crate::loop_kind::natural::Natural;
use crate::pipe::Pipe;
use crate::spec::{
    CollectorSpec, DrainbackSpec, LoopKind, LoopSpec, PipeRunSpec, PumpFlow, PumpSpec, SecondFieldSpec,
};
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

/// Plane irradiance from which a held pump counts as stagnation.
const STAGNATION_W_M2: f64 = 100.0;

/// Temperature of the collector's outlet above which a pump held off in the sun counts as stagnation, in degC (the
/// convention of the annual reference results).
pub const STAGNATION_C: f64 = 120.0;

/// An assembled loop.
#[derive(Clone, Debug)]
pub(crate) struct SolarLoop {
    pub(crate) collector: Collector,
    /// The collector while nothing flows: dry in a drainback loop.
    pub(crate) resting: Collector,
    /// A second field on another plane beside the first.
    pub(crate) second: Option<Box<SecondField>>,
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
    /// Time for which the loss coefficients of collectors in a run are held, in s.
    hold_loss_s: f64,
}

/// The longest of such times; a collector that answers faster than this has its coefficients renewed as often as it answers.
const HOLD_LOSS_S: f64 = 225.0;

/// A field of collectors beside the first.
#[derive(Clone, Debug)]
pub(crate) struct SecondField {
    pub(crate) collector: Collector,
    /// The same while nothing flows: dry in a drainback loop.
    pub(crate) resting: Collector,
    /// Its share of the loop's flow.
    pub(crate) flow_frac: f64,
}

impl SecondField {
    fn new(spec: &SecondFieldSpec) -> Self {
        let collector = Collector::new(spec.collector);
        Self { resting: collector.clone(), collector, flow_frac: spec.flow_frac }
    }
}

/// A loop and what acts on it through a span of steady conditions.
#[derive(Clone, Copy)]
pub(crate) struct LoopSpan<'a> {
    pub(crate) solar: &'a SolarLoop,
    pub(crate) c: &'a Conditions,
    pub(crate) drive: Drive,
}

/// Place of the supply pipe among the two, and of the return pipe.
pub(crate) const SUPPLY: usize = 0;
pub(crate) const RETURN: usize = 1;

/// Capacity flow of the pump in W/K with fluid at `fluid_c`.
fn flow_w_k(pump: &PumpSpec, fluid: &Fluid, fluid_c: f64) -> f64 {
    let kg_s = match pump.flow {
        PumpFlow::MassKgS(kg_s) => kg_s,
        PumpFlow::VolumeM3S(m3_s) => m3_s * fluid.density_kg_m3(fluid_c),
    };
    let frac = pump.over_temperature.as_ref().map_or(1.0, |follows| follows.flow_frac(fluid_c));
    frac * kg_s * fluid.specific_heat_j_kg_k(fluid_c)
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
        let full_w_k = flow_w_k(&spec.pump, &spec.fluid, NOMINAL_LOOP_C);
        let mut pipes = [&spec.supply, &spec.ret].map(|runs| pipe(runs, &spec.fluid, &spec.pump));
        let fuller = if pipes[RETURN].content_j_k > pipes[SUPPLY].content_j_k { RETURN } else { SUPPLY };
        pipes[fuller].fill_to(full_w_k * LEAST_TRANSIT_S);
        let exchanger = Exchanger::new(&spec.exchanger, tank, &Stream { fluid: &spec.fluid, full_w_k });
        let controller = Controller::new(&spec.controller);
        let collector = Collector::new(spec.collector);
        let filled = Self {
            resting: collector.clone(),
            second: spec.second_field.map(|field| Box::new(SecondField::new(&field))),
            collector,
            resting_pipes: pipes.clone(),
            kind: Kind::Filled,
            varies: !controller.plain || spec.pump.over_temperature.is_some(),
            plain: controller.plain && spec.kind == LoopKind::Filled && spec.second_field.is_none(),
            pump_frac: 1.0,
            controller,
            sensor_slice: slice_at(spec.controller.sensor_height_frac, tank.slices),
            pipes,
            fuller,
            fluid: spec.fluid,
            pump: spec.pump,
            // Circulated tank water answers at once and passes every swing on, and so does a tank that overturns above its coil; a coil
            // that leaves the tank in order damps them.
            loop_step_s: match &exchanger {
                Exchanger::Coil(coil) if !coil.overturns => loop_step_s,
                Exchanger::Coil(_) | Exchanger::Circulated(_) => 0.25 * loop_step_s,
            },
            exchanger,
            hold_loss_s: HOLD_LOSS_S,
        };
        let second = filled.second.as_deref().map(|second| &second.collector);
        let answers_s = [Some(&filled.collector), second].into_iter().flatten().map(Collector::answers_s);
        let filled = Self { hold_loss_s: answers_s.fold(HOLD_LOSS_S, f64::min), ..filled };
        match &spec.kind {
            LoopKind::Filled => filled,
            LoopKind::Drainback(drainback) => filled.drained(drainback, spec),
            LoopKind::Batch => {
                let weightless = Collector::new(CollectorSpec { a5_j_m2_k: 0.0, ..spec.collector });
                Self { kind: Kind::Batch, resting: weightless, ..filled }.without_pump()
            }
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
        let (drainback, drained) = Drainback::new(drainback, spec, &mut pipes);
        let dry = drainback.dry(&spec.collector);
        if let (Some(second), Some(field)) = (self.second.as_deref_mut(), &spec.second_field) {
            second.resting = drainback.dry(&field.collector);
        }
        self.fuller = if pipes[RETURN].content_j_k > pipes[SUPPLY].content_j_k { RETURN } else { SUPPLY };
        Self { resting: dry, pipes, resting_pipes: drained, kind: Kind::Drainback(drainback), ..self }
    }

    /// The same loop turned end to end, with its exchanger's ends changed over, and without its pump.
    pub(crate) fn turned(&self) -> Self {
        let turned = |[supply, ret]: &[Pipe; 2]| [ret.reversed(), supply.reversed()];
        Self {
            pipes: turned(&self.pipes),
            resting_pipes: turned(&self.resting_pipes),
            fuller: 1 - self.fuller,
            exchanger: self.exchanger.turned(),
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

    /// A pump drives it.
    pub(crate) fn pumped(&self) -> bool {
        self.pump_frac > 0.0
    }

    /// The loop turned end to end, where it may run so.
    pub(crate) fn mirror(&self) -> Option<&Self> {
        match &self.kind {
            Kind::Natural(natural) => Some(&natural.mirror),
            Kind::Filled | Kind::Drainback(_) | Kind::Batch => None,
        }
    }

    /// Begins a span: flow and losses at the present temperature, surroundings and wind.
    pub(crate) fn begin_span<'a>(
        &'a self,
        state: &mut State,
        scratch: &mut Scratch,
        c: &'a Conditions,
    ) -> LoopSpan<'a> {
        if !self.controller.plain {
            self.controller.call(&mut state.controller, c);
        }
        self.renew_flow(state);
        if let Some(mirror) = self.mirror() {
            mirror.surround(&mut scratch.mirror_run, c);
        }
        self.surround(&mut scratch.loop_run, c);
        scratch.pace = None;
        LoopSpan { solar: self, c, drive: self.drive(c) }
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
        let (first_c, others_c) = state.nodes_c.split_at(self.collector.cells);
        self.collector.begin_runs(&mut run.cells, first_c, drive);
        if let Some(SecondField { collector, .. }) = self.second.as_deref() {
            collector.begin_runs(&mut run.second, &others_c[..collector.cells], &drive.second());
        }
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
        let fluid_c = state.pipes[self.fuller].oldest_c();
        let warm = self.pump.over_temperature.as_ref().map_or(1.0, |follows| follows.power_frac(fluid_c));
        let (bought, felt) = self.controller.power_fracs(state.controller.speed_frac);
        // The tank's own water stands while the loop goes through the dump.
        let dumps = self.controller.dumping(&state.controller).is_some();
        let tank_w = if dumps { 0.0 } else { self.exchanger.pump_w() };
        Work { electric_w: bought * warm * self.pump.power_w + tank_w, heat_w: felt * warm * heat_w }
    }

    /// What acts on the collectors while the conditions hold.
    fn drive(&self, c: &Conditions) -> Drive {
        let drive = self.collector.drive(c);
        match self.second.as_deref() {
            None => drive,
            Some(second) => drive.beside(&second.collector.drive(&c.at_second_field())),
        }
    }

    /// Heat taken up by all collectors over `seconds`, in J.
    pub(crate) fn absorbed_j(&self, drive: &Drive, seconds: f64) -> f64 {
        let first_j = self.collector.absorbed_j(drive, seconds);
        match self.second.as_deref() {
            None => first_j,
            Some(second) => first_j + second.collector.absorbed_j(&drive.second(), seconds),
        }
    }
}

impl LoopSpan<'_> {
    /// The whole loop without flow for `seconds`.
    pub(crate) fn stand(&self, state: &mut State, scratch: &Scratch, seconds: f64, flows: &mut Flows) {
        flows.absorbed_j += self.solar.absorbed_j(&self.drive, seconds);
        self.stand_collector(state, seconds, flows);
        self.stand_pipes(state, &scratch.loop_run, seconds, flows);
        state.warming_draw_m3_s = None;
    }

    /// The collector without flow for `seconds`.
    pub(crate) fn stand_collector(&self, state: &mut State, seconds: f64, flows: &mut Flows) {
        let Self { solar, c, drive } = self;
        let held = state.controller.held();
        let (cells_c, others_c) = state.nodes_c.split_at_mut(solar.collector.cells);
        if let Some(SecondField { resting, .. }) = solar.second.as_deref() {
            let cells_c = &mut others_c[..resting.cells];
            stand_beside(resting, cells_c, &drive.second(), seconds, flows);
        }
        // In the dark nothing happens fast, and no limit is near.
        let longest_s = if drive.gain_w > 0.0 { STANDING_STEP_S } else { f64::INFINITY };
        let relaxing_s = solar.resting.longest_stand_s(drive, cells_c[cells_c.len() - 1]);
        // One at least: a collector that loses nothing has no time constant.
        let substeps = (seconds / longest_s.min(relaxing_s)).ceil().max(1.0);
        let step_s = seconds / substeps;
        for _ in 0..substeps as u32 {
            let before_c = cells_c[cells_c.len() - 1];
            flows.collector_loss_j += solar.resting.stand(cells_c, drive, step_s);
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
        flows.supply_loss_j += self.solar.resting_pipes[SUPPLY].stand(supply, &run.pipes[SUPPLY], seconds);
        flows.return_loss_j += self.solar.resting_pipes[RETURN].stand(ret, &run.pipes[RETURN], seconds);
    }
}

/// The second field without flow for `seconds`.
#[inline(never)]
fn stand_beside(collector: &Collector, cells_c: &mut [f64], drive: &Drive, seconds: f64, flows: &mut Flows) {
    let outlet = cells_c.len() - 1;
    let longest_s = collector.longest_stand_s(drive, cells_c[outlet]).min(STANDING_STEP_S);
    let substeps = (seconds / longest_s).ceil();
    for _ in 0..substeps as u32 {
        flows.collector_loss_j += collector.stand(cells_c, drive, seconds / substeps);
        flows.hottest_collector_c = flows.hottest_collector_c.max(cells_c[outlet]);
    }
}
