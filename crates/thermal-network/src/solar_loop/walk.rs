//! A walk round the running loop.
//!
//! In each substep one parcel of fluid moves on everywhere; where two fields stand side by side, each takes its share of it and
//! the shares mix behind them.

use super::{RETURN, SUPPLY, SecondField, SolarLoop};
use crate::collector::{Collector, Drive, FieldRun, FlowStep, RunStep, sum_k};
use crate::exchanger::Affine;
use crate::exchanger::circulation::PlateStep;
use crate::exchanger::coil::CoilStep;
use crate::flows::Flows;
use crate::pipe::{Pipe, PipeContent, PipeStep};

/// Coefficients of the running loop at a flow, step length and wind.
#[derive(Clone, Debug, Default)]
pub(crate) struct LoopRun {
    pub(super) flow_w_k: f64,
    pub(super) wind_m_s: f64,
    /// What only a running loop needs is prepared for the present span.
    pub(crate) ready: bool,
    pub(super) stretch: Stretch,
    pub(super) cells: RunStep,
    /// The second field's, where there is one.
    pub(super) second: RunStep,
    pub(super) pipes: [PipeStep; 2],
    /// The coil's last map, where there is one.
    pub(crate) coil: CoilStep,
    /// The plates' last flow, where there are any.
    pub(crate) plate: PlateStep,
}

/// How a stretch of steady flow is divided.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Stretch {
    seconds: f64,
    substeps: u32,
    step_s: f64,
    /// The parcel that moves on in a substep, and its reciprocal.
    parcel_j_k: f64,
    per_j_k: f64,
    collector: FlowStep,
    second: FlowStep,
}

impl LoopRun {
    pub(crate) fn new(solar: Option<&SolarLoop>) -> Self {
        let pipes = solar.map(|solar| solar.pipes.each_ref().map(Pipe::step)).unwrap_or_default();
        Self { wind_m_s: f64::NAN, pipes, ..Self::default() }
    }
}

impl SolarLoop {
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
        let (cells_c, second_c) = cells_c.split_at_mut(self.collector.cells);
        let second = self.second.as_deref().map(|field| Beside {
            field,
            drive: drive.second(),
            cells_c: second_c,
            loss_j: 0.0,
        });
        Walk {
            solar: self,
            drive,
            second,
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
}

/// What the pumps of a running loop take and give.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Work {
    /// Electric power bought in W.
    pub(super) electric_w: f64,
    /// Heat that the fluid gets in W.
    pub(super) heat_w: f64,
}

/// A walk round the loop: in each substep one parcel of fluid moves on everywhere.
pub(crate) struct Walk<'a> {
    solar: &'a SolarLoop,
    drive: &'a Drive,
    pipes: &'a mut [PipeContent; 2],
    cells_c: &'a mut [f64],
    second: Option<Beside<'a>>,
    flow_w_k: f64,
    exchanged: Affine,
    work: Work,
    /// Time walked so far.
    pub(crate) seconds: f64,
    /// Until then the collectors' loss coefficients are held.
    hold_until_s: f64,
    /// Integral of the exchanger's inlet temperature.
    inlet_k_s: f64,
    substeps: u64,
    sums: Sums,
}

/// The second field in a walk.
struct Beside<'a> {
    field: &'a SecondField,
    drive: Drive,
    cells_c: &'a mut [f64],
    /// Its loss so far, in J.
    loss_j: f64,
}

/// Temperatures of the substeps of a stretch, added up.
#[derive(Default)]
struct Rounds {
    /// At the collectors' inlet, behind them, and at the first and the second field's own outlet.
    collector_in_k: f64,
    collector_out_k: f64,
    field_out_k: [f64; 2],
    /// At the exchanger's inlet.
    inlet_k: f64,
    /// Of what left supply and return pipe, before the loss on its second half.
    left_k: [f64; 2],
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

impl Sums {
    /// A plain comparison: temperatures are numbers, and this is asked in every substep.
    #[inline(always)]
    fn see(&mut self, outlet_c: f64) {
        if outlet_c > self.hottest_c {
            self.hottest_c = outlet_c;
        }
    }
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
            if let Some(Beside { field, drive, cells_c, .. }) = &mut self.second {
                field.collector.begin_stretch(&mut run.second, cells_c, drive, &stretch.second);
            }
            self.hold_until_s = self.seconds + self.solar.hold_loss_s;
        }
        let before_k = sum_k(self.cells_c);
        let second_before_k = self.second.as_ref().map_or(0.0, |second| sum_k(second.cells_c));
        let rounds = match (self.solar.fuller, self.second.is_some()) {
            (SUPPLY, false) => self.rounds::<SUPPLY, false>(run, &stretch),
            (_, false) => self.rounds::<RETURN, false>(run, &stretch),
            (SUPPLY, true) => self.rounds::<SUPPLY, true>(run, &stretch),
            (_, true) => self.rounds::<RETURN, true>(run, &stretch),
        };
        let steps = f64::from(stretch.substeps);
        self.inlet_k_s += rounds.inlet_k * stretch.step_s;
        self.sums.collector_heat_j += (rounds.collector_out_k - rounds.collector_in_k) * stretch.parcel_j_k;
        let supplied_k = self.exchanged.slope * rounds.inlet_k + steps * self.exchanged.base_c;
        let [left_supply_k, left_return_k] = rounds.left_k;
        self.sums.supply_loss_j +=
            run.pipes[SUPPLY].lost_k(steps, supplied_k, left_supply_k) * stretch.parcel_j_k;
        self.sums.return_loss_j +=
            run.pipes[RETURN].lost_k(steps, rounds.collector_out_k, left_return_k) * stretch.parcel_j_k;
        let field = |field: usize, before_k: f64, cells_c: &[f64]| FieldRun {
            inlet_k: rounds.collector_in_k,
            outlet_k: rounds.field_out_k[field],
            before_k,
            after_k: sum_k(cells_c),
        };
        let first = field(0, before_k, self.cells_c);
        self.sums.collector_loss_j +=
            self.solar.collector.lost_in_run_j(&run.cells, stretch.substeps, &first);
        if let Some(second) = &mut self.second {
            let own = field(1, second_before_k, second.cells_c);
            second.loss_j += second.field.collector.lost_in_run_j(&run.second, stretch.substeps, &own);
        }
        self.substeps += u64::from(stretch.substeps);
        self.seconds += seconds;
    }

    /// Divides a stretch: a substep passes on no more than the fuller pipe holds.
    fn stretch(&self, seconds: f64, last: &Stretch) -> Stretch {
        let held_s = self.solar.pipes[self.solar.fuller].content_j_k / self.flow_w_k;
        let substeps = (seconds / self.solar.loop_step_s.min(held_s)).ceil() as u32;
        let step_s = seconds / f64::from(substeps);
        let parcel_j_k = self.flow_w_k * step_s;
        if step_s == last.step_s {
            return Stretch { seconds, substeps, ..*last };
        }
        let first_frac = self.second.as_ref().map_or(1.0, |second| 1.0 - second.field.flow_frac);
        Stretch {
            seconds,
            substeps,
            step_s,
            parcel_j_k,
            per_j_k: 1.0 / parcel_j_k,
            collector: self.flow_step(&self.solar.collector, first_frac, step_s),
            second: self.second.as_ref().map_or_else(FlowStep::default, |second| {
                self.flow_step(&second.field.collector, second.field.flow_frac, step_s)
            }),
        }
    }

    /// A field's step with its share of the flow.
    fn flow_step(&self, collector: &Collector, flow_frac: f64, step_s: f64) -> FlowStep {
        collector.flow_step(flow_frac * self.flow_w_k, step_s)
    }

    /// Mean temperature at the exchanger's inlet so far.
    pub(crate) fn inlet_c(&self) -> f64 {
        self.inlet_k_s / self.seconds
    }

    /// Temperature at the collector's outlet end, of two fields at the warmer one's.
    pub(crate) fn outlet_c(&self) -> f64 {
        let outlet_c = self.cells_c[self.cells_c.len() - 1];
        match &self.second {
            None => outlet_c,
            Some(second) => outlet_c.max(second.cells_c[second.cells_c.len() - 1]),
        }
    }

    /// Adds the walk to the accounts.
    pub(crate) fn book(&self, flows: &mut Flows) {
        let sums = &self.sums;
        flows.supply_loss_j += sums.supply_loss_j;
        flows.return_loss_j += sums.return_loss_j;
        flows.collector_loss_j += sums.collector_loss_j;
        if let Some(second) = &self.second {
            flows.collector_loss_j += second.loss_j;
        }
        flows.collector_heat_j += sums.collector_heat_j;
        flows.hottest_collector_c = flows.hottest_collector_c.max(sums.hottest_c);
        flows.pump_j += self.work.electric_w * self.seconds;
        flows.pump_heat_j += self.work.heat_w * self.seconds;
        flows.pump_s += self.solar.pump_frac * self.seconds;
        flows.loop_steps += self.substeps;
    }

    /// The substeps of a stretch, added up.
    #[inline]
    fn rounds<const START: usize, const TWO: bool>(&mut self, run: &LoopRun, stretch: &Stretch) -> Rounds {
        let mut rounds = Rounds::default();
        for _ in 0..stretch.substeps {
            self.round::<START, TWO>(run, stretch, &mut rounds);
        }
        rounds
    }

    /// One substep: every parcel moves on by one, beginning at the outlet of pipe `START`.
    #[inline(always)]
    fn round<const START: usize, const TWO: bool>(
        &mut self,
        run: &LoopRun,
        stretch: &Stretch,
        rounds: &mut Rounds,
    ) {
        let leaving_c = self.pipes[START].pop(stretch.parcel_j_k, stretch.per_j_k);
        rounds.left_k[START] += leaving_c;
        let fluid_c = run.pipes[START].leave(leaving_c);
        let entering_c = if START == SUPPLY {
            let outlet_c = self.collect::<TWO>(run, fluid_c, rounds);
            let inlet_c = self.through::<RETURN>(run, stretch, outlet_c, rounds);
            rounds.inlet_k += inlet_c;
            self.exchanged_c(inlet_c)
        } else {
            rounds.inlet_k += fluid_c;
            let supplied_c = self.through::<SUPPLY>(run, stretch, self.exchanged_c(fluid_c), rounds);
            self.collect::<TWO>(run, supplied_c, rounds)
        };
        self.pipes[START].push(stretch.parcel_j_k, run.pipes[START].enter(entering_c));
    }

    #[inline(always)]
    fn exchanged_c(&self, inlet_c: f64) -> f64 {
        self.exchanged.slope * inlet_c + self.exchanged.base_c
    }

    #[inline(always)]
    fn through<const PIPE: usize>(
        &mut self,
        run: &LoopRun,
        stretch: &Stretch,
        fluid_c: f64,
        rounds: &mut Rounds,
    ) -> f64 {
        if self.solar.pipes[PIPE].content_j_k == 0.0 {
            return fluid_c;
        }
        let content = &mut self.pipes[PIPE];
        content.push(stretch.parcel_j_k, run.pipes[PIPE].enter(fluid_c));
        let leaving_c = content.pop(stretch.parcel_j_k, stretch.per_j_k);
        rounds.left_k[PIPE] += leaving_c;
        run.pipes[PIPE].leave(leaving_c)
    }

    #[inline(always)]
    fn collect<const TWO: bool>(&mut self, run: &LoopRun, inlet_c: f64, rounds: &mut Rounds) -> f64 {
        let first_c = self.solar.collector.run(self.cells_c, &run.cells, inlet_c);
        self.sums.see(self.cells_c[self.cells_c.len() - 1]);
        rounds.collector_in_k += inlet_c;
        rounds.field_out_k[0] += first_c;
        let outlet_c = match &mut self.second {
            Some(Beside { field, cells_c, .. }) if TWO => {
                let second_c = field.collector.run(cells_c, &run.second, inlet_c);
                self.sums.see(cells_c[cells_c.len() - 1]);
                rounds.field_out_k[1] += second_c;
                first_c + field.flow_frac * (second_c - first_c)
            }
            _ => first_c,
        };
        rounds.collector_out_k += outlet_c;
        outlet_c
    }
}
