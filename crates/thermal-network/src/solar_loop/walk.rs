//! A walk round the running loop.
//!
//! In each substep one parcel of fluid moves on everywhere; where two fields stand side by side, each takes its share of it and
//! the shares mix behind them.

use super::{RETURN, SUPPLY, SecondField, SolarLoop};
use crate::collector::{Collector, Drive, FlowStep, RunStep};
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
            lost_k: 0.0,
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
    /// Falls of its cells by loss, added up.
    lost_k: f64,
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
        run.pipes.iter_mut().for_each(|pipe| pipe.lost_k = 0.0);
        let Round { rise_k, inlet_c: inlet_k, lost_k } = match (self.solar.fuller, self.second.is_some()) {
            (SUPPLY, false) => self.rounds::<SUPPLY, false>(run, &stretch),
            (_, false) => self.rounds::<RETURN, false>(run, &stretch),
            (SUPPLY, true) => self.rounds::<SUPPLY, true>(run, &stretch),
            (_, true) => self.rounds::<RETURN, true>(run, &stretch),
        };
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
            flows.collector_loss_j += second.field.collector.lost_j(second.lost_k);
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
    fn rounds<const START: usize, const TWO: bool>(&mut self, run: &mut LoopRun, stretch: &Stretch) -> Round {
        let mut sum = Round { rise_k: 0.0, inlet_c: 0.0, lost_k: 0.0 };
        for _ in 0..stretch.substeps {
            let round = self.round::<START, TWO>(run, stretch);
            sum.rise_k += round.rise_k;
            sum.inlet_c += round.inlet_c;
            sum.lost_k += round.lost_k;
        }
        sum
    }

    /// One substep: every parcel moves on by one, beginning at the outlet of pipe `START`.
    #[inline(always)]
    fn round<const START: usize, const TWO: bool>(&mut self, run: &mut LoopRun, stretch: &Stretch) -> Round {
        let leaving_c = self.pipes[START].pop(stretch.parcel_j_k, stretch.per_j_k);
        let fluid_c = run.pipes[START].leave(leaving_c);
        let (entering_c, round) = if START == SUPPLY {
            let (outlet_c, lost_k) = self.collect::<TWO>(run, fluid_c);
            let inlet_c = self.through::<RETURN>(&mut run.pipes[RETURN], stretch, outlet_c);
            (self.exchanged_c(inlet_c), Round { rise_k: outlet_c - fluid_c, inlet_c, lost_k })
        } else {
            let supplied_c =
                self.through::<SUPPLY>(&mut run.pipes[SUPPLY], stretch, self.exchanged_c(fluid_c));
            let (outlet_c, lost_k) = self.collect::<TWO>(run, supplied_c);
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
    fn collect<const TWO: bool>(&mut self, run: &LoopRun, inlet_c: f64) -> (f64, f64) {
        let collected = self.solar.collector.run(self.cells_c, self.drive, &run.cells, inlet_c);
        self.sums.see(self.cells_c[self.cells_c.len() - 1]);
        match &mut self.second {
            Some(Beside { field, drive, cells_c, lost_k }) if TWO => {
                let (outlet_c, fall_k) = field.collector.run(cells_c, drive, &run.second, inlet_c);
                *lost_k += fall_k;
                self.sums.see(cells_c[cells_c.len() - 1]);
                (collected.0 + field.flow_frac * (outlet_c - collected.0), collected.1)
            }
            _ => collected,
        }
    }
}
