//! Cells while fluid runs through them.

use super::{Collector, Drive, USUAL_CELLS};
use crate::relaxation::decay;
use crate::tank::mean_c;

/// Numbers that depend on flow and step length only.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct FlowStep {
    step_s: f64,
    /// Cell volumes passed in a step.
    passed: f64,
    /// `exp(-passed)`.
    keep: f64,
}

/// A stretch of a run: what all cells share in its steps, and how each cell answers.
#[derive(Clone, Debug, Default)]
pub(crate) struct RunStep {
    /// Common loss coefficient in W/K; what a cell loses beyond it may be of either sign.
    common_w_k: f64,
    /// Step for which the numbers hold, in s; zero for none.
    pub(crate) step_s: f64,
    /// What the sun alone would warm a cell in a step, in K.
    gained_k: f64,
    /// Share of the difference to the air that the common loss takes.
    lost: f64,
    /// Weights of the cell's own difference and of what drives it in its mean.
    common_own: f64,
    driven: f64,
    /// Weight of a cell's inlet in its mean, and in what becomes of it.
    carried: f64,
    let_in: f64,
    /// Cell volumes passed.
    passed: f64,
    /// The usual number of cells in one block that the compiler can lay out flat, or any other number one by one.
    usual: Answers<USUAL_CELLS>,
    others: Vec<Answers<1>>,
}

/// How cells answer in a step: a cell's mean is `own T + carried T_in + offset_c`, and it becomes
/// `keeps T + let_in T_in + lift_c`.
#[derive(Clone, Copy, Debug)]
struct Answers<const N: usize> {
    own: [f64; N],
    offset_c: [f64; N],
    keeps: [f64; N],
    lift_c: [f64; N],
}

impl<const N: usize> Default for Answers<N> {
    fn default() -> Self {
        Self { own: [0.0; N], offset_c: [0.0; N], keeps: [0.0; N], lift_c: [0.0; N] }
    }
}

/// Temperatures of a field in a stretch, each added up.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct FieldRun {
    pub(crate) inlet_k: f64,
    pub(crate) outlet_k: f64,
    pub(crate) before_k: f64,
    pub(crate) after_k: f64,
}

impl Collector {
    pub(crate) fn flow_step(&self, flow_w_k: f64, step_s: f64) -> FlowStep {
        let passed = flow_w_k * step_s / self.cell_j_k;
        FlowStep { step_s, passed, keep: decay(passed) }
    }

    /// Begins the runs of a span: the cells as they are now set the common loss of their steps.
    pub(crate) fn begin_runs(&self, step: &mut RunStep, cells_c: &[f64], drive: &Drive) {
        step.common_w_k = self.loss_w_k(drive, mean_c(cells_c));
        step.step_s = 0.0;
    }

    /// Begins a stretch of a run: the loss coefficients are held as they are now.
    ///
    /// A cell is solved exactly for its mean outlet temperature `M = own (T - Ta) + driven gained + carried (T_in - Ta) + Ta`,
    /// with the common loss as a decay and a steady inlet; what it loses beyond that is small and held through the step:
    /// `T' = T + gained - lost (M - Ta) - beyond (T - Ta) + passed (T_in - M)`.
    pub(crate) fn begin_stretch(&self, step: &mut RunStep, cells_c: &[f64], drive: &Drive, flow: &FlowStep) {
        let per_capacity = flow.step_s / self.cell_j_k;
        if step.step_s != flow.step_s {
            step.step_s = flow.step_s;
            step.gained_k = drive.gain_w * per_capacity;
            step.lost = step.common_w_k * per_capacity;
            let rate = flow.passed + step.lost;
            let per_rate = 1.0 / rate;
            step.common_own = (1.0 - flow.keep * decay(step.lost)) * per_rate;
            step.driven = (1.0 - step.common_own) * per_rate;
            step.carried = step.driven * flow.passed;
            step.let_in = flow.passed - rate * step.carried;
            step.passed = flow.passed;
        }
        if let Ok(cells_c) = <&[f64; USUAL_CELLS]>::try_from(cells_c) {
            step.usual = self.answers(step, drive, per_capacity, cells_c);
        } else {
            step.others.resize(cells_c.len(), Answers::default());
            for (i, cell_c) in cells_c.iter().enumerate() {
                step.others[i] = self.answers(step, drive, per_capacity, &[*cell_c]);
            }
        }
    }

    #[inline(always)]
    fn answers<const N: usize>(
        &self,
        step: &RunStep,
        drive: &Drive,
        per_capacity: f64,
        cells_c: &[f64; N],
    ) -> Answers<N> {
        let rate = step.passed + step.lost;
        let from_air = 1.0 - step.carried;
        let beyond: [f64; N] = cells_c.map(|cell_c| self.loss_w_k(drive, cell_c) * per_capacity - step.lost);
        let own = beyond.map(|beyond| step.common_own - step.driven * beyond);
        let offset_c = own.map(|own| (from_air - own) * drive.air_c + step.driven * step.gained_k);
        Answers {
            own,
            offset_c,
            keeps: std::array::from_fn(|i| 1.0 - beyond[i] - rate * own[i]),
            lift_c: std::array::from_fn(|i| {
                step.gained_k + (beyond[i] + step.lost) * drive.air_c - rate * offset_c[i]
            }),
        }
    }

    /// One step with fluid entering at a steady `inlet_c`; returns the mean outlet temperature.
    ///
    /// A cell's mean outlet temperature is the next one's inlet: second order in the step, and the heat that leaves a cell is the
    /// heat that enters the next.
    #[inline(always)]
    pub(crate) fn run(&self, cells_c: &mut [f64], step: &RunStep, inlet_c: f64) -> f64 {
        if let Ok(cells_c) = <&mut [f64; USUAL_CELLS]>::try_from(&mut *cells_c) {
            return run_block(cells_c, &step.usual, step, inlet_c);
        }
        cells_c.iter_mut().zip(&step.others).fold(inlet_c, |inlet_c, (cell_c, answers)| {
            run_block(std::array::from_mut(cell_c), answers, step, inlet_c)
        })
    }

    /// Heat lost in `steps` steps of a stretch, in J: what came in by sun and flow and is not there. The inlet and outlet
    /// temperatures are added up over the steps, the cells' over the field before and after.
    pub(crate) fn lost_in_run_j(&self, step: &RunStep, steps: u32, run: &FieldRun) -> f64 {
        let gained_k = f64::from(steps) * self.cells as f64 * step.gained_k;
        let carried_k = step.passed * (run.inlet_k - run.outlet_k);
        (gained_k + carried_k - (run.after_k - run.before_k)) * self.cell_j_k
    }
}

/// Cells in series: takes the inlet's mean temperature on to the outlet's.
#[inline(always)]
fn run_block<const N: usize>(
    cells_c: &mut [f64; N],
    answers: &Answers<N>,
    step: &RunStep,
    inlet_c: f64,
) -> f64 {
    // First all that needs no inlet, in lanes; then the chain from cell to cell.
    let mut mean_c: [f64; N] = std::array::from_fn(|i| answers.own[i] * cells_c[i] + answers.offset_c[i]);
    let mut inlets_c = [0.0; N];
    let mut next_c = inlet_c;
    for i in 0..N {
        inlets_c[i] = next_c;
        next_c = mean_c[i] + step.carried * next_c;
        mean_c[i] = next_c;
    }
    for i in 0..N {
        cells_c[i] = answers.keeps[i] * cells_c[i] + answers.lift_c[i] + step.let_in * inlets_c[i];
    }
    next_c
}

#[cfg(test)]
mod tests {
    use super::super::sum_k;
    use super::*;
    use crate::spec::CollectorSpec;

    /// The loss booked as what is missing is the loss of the equation, `sum of lost (M - Ta) + beyond (T - Ta)`, taken cell by cell;
    /// with as many cells as usual and with others.
    #[test]
    fn the_loss_of_a_run_is_that_of_its_cells() {
        for cells in [1, 4, USUAL_CELLS] {
            let spec = CollectorSpec {
                area_m2: 6.0,
                cells,
                eta0b: 0.72,
                a1_w_m2_k: 3.8,
                a2_w_m2_k2: 0.013,
                a5_j_m2_k: 8000.0,
                ..CollectorSpec::default()
            };
            let collector = Collector::new(spec);
            let drive = Drive {
                gain_w: 3000.0 / cells as f64,
                loss_w_k: 3.8 * collector.cell_m2,
                air_c: 10.0,
                second_gain_w: 0.0,
                second_loss_w_k: 0.0,
            };
            let mut cells_c: Vec<f64> = (0..cells).map(|i| 40.0 + 6.0 * i as f64).collect();
            let mut step = RunStep::default();
            let flow = collector.flow_step(260.0, 40.0);
            collector.begin_runs(&mut step, &cells_c, &drive);
            collector.begin_stretch(&mut step, &cells_c, &drive, &flow);
            let held_w_k: Vec<f64> = cells_c.iter().map(|&c| collector.loss_w_k(&drive, c)).collect();
            let mut run = FieldRun { before_k: sum_k(&cells_c), ..FieldRun::default() };
            let mut lost_j = 0.0;
            for inlet_c in [35.0, 36.0, 38.0] {
                let before_c = cells_c.clone();
                let outlet_c = collector.run(&mut cells_c, &step, inlet_c);
                let mut in_c = inlet_c;
                for (before_c, held_w_k) in before_c.iter().zip(&held_w_k) {
                    let beyond_w_k = held_w_k - step.common_w_k;
                    let over_air_k = before_c - drive.air_c;
                    // The mean of a cell with the common loss, and what it loses beyond as a steady heat.
                    let rate = step.passed + step.lost;
                    let driven_k = step.gained_k - beyond_w_k * flow.step_s / collector.cell_j_k * over_air_k
                        + step.passed * (in_c - drive.air_c);
                    let end_k = driven_k / rate;
                    let share = (1.0 - decay(step.passed) * decay(step.lost)) / rate;
                    let mean_k = end_k + share * (over_air_k - end_k);
                    lost_j += flow.step_s * (step.common_w_k * mean_k + beyond_w_k * over_air_k);
                    in_c = drive.air_c + mean_k;
                }
                approx::assert_abs_diff_eq!(outlet_c, in_c, epsilon = 1e-9);
                run.inlet_k += inlet_c;
                run.outlet_k += outlet_c;
            }
            run.after_k = sum_k(&cells_c);
            // Rounding of temperatures of some 50 degC, times the field's capacity of 48 kJ/K.
            approx::assert_abs_diff_eq!(collector.lost_in_run_j(&step, 3, &run), lost_j, epsilon = 1e-6);
        }
    }
}
