//! Collector field: fully mixed cells in series, each with its own mean temperature.
//!
//! Equation: ISO 9806:2017 quasi-dynamic collector (as in the project's collector reference, from memory), with the
//! optical terms already weighted by their angle modifiers:
//!
//! `q = eta0b G_eff - a6 u' G + (a4 - a7 u') L - u (Tm - Ta) - a5 dTm/dt`, `u = a1 + a3 u' + a2 |Tm - Ta| + a8 |Tm - Ta|^3`,
//! `u' = wind - 3 m/s`, `L` the net sky long-wave. Over a step the loss coefficient of a cell is held at its value at the
//! beginning (second order in a small term); the rest of the cell's equation is solved exactly for a steady inlet.

use crate::flows::Conditions;
use crate::spec::CollectorSpec;
use crate::tank::mean_c;

/// Wind at which the coefficients hold, in m/s (ISO 9806:2017, from memory).
const REFERENCE_WIND_M_S: f64 = 3.0;

/// A collector field ready to step.
#[derive(Clone, Debug)]
pub(crate) struct Collector {
    pub(crate) cells: usize,
    spec: CollectorSpec,
    cell_m2: f64,
    cell_j_k: f64,
}

/// What drives the cells while the conditions hold.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Drive {
    /// Heat taken up by one cell in W.
    pub(crate) gain_w: f64,
    /// Loss of one cell at no temperature difference, in W/K.
    loss_w_k: f64,
    air_c: f64,
    /// The same of the cells of a second field.
    second_gain_w: f64,
    second_loss_w_k: f64,
}

impl Drive {
    /// With what drives a second field.
    pub(crate) fn beside(self, second: &Drive) -> Self {
        Self { second_gain_w: second.gain_w, second_loss_w_k: second.loss_w_k, ..self }
    }

    /// What drives the second field.
    pub(crate) fn second(&self) -> Self {
        Self { gain_w: self.second_gain_w, loss_w_k: self.second_loss_w_k, ..*self }
    }
}

/// Numbers that depend on flow and step length only.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct FlowStep {
    step_s: f64,
    /// Cell volumes passed in a step.
    passed: f64,
    /// `exp(-passed)`.
    keep: f64,
}

/// Most time constants over which a slice behind glass keeps its loss coefficient: below a quarter it does not pass the temperature
/// at which gain and loss balance, though the coefficient rises with the third power of the difference.
const MOST_RELAXED: f64 = 0.2;

/// Most the night sky may cool a standing cell in one step.
const MOST_FALL_K: f64 = 1.0;

/// Most a standing cell may warm in one step: its loss coefficient is taken once.
const MOST_RISE_K: f64 = 10.0;

/// Cells most collectors are divided into.
const USUAL_CELLS: usize = 6;

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

impl Collector {
    pub(crate) fn new(spec: CollectorSpec) -> Self {
        let cells = spec.cells;
        let cell_m2 = spec.area_m2 / cells as f64;
        Self { cells, spec, cell_m2, cell_j_k: spec.a5_j_m2_k * cell_m2 }
    }

    pub(crate) fn drive(&self, c: &Conditions) -> Drive {
        let s = &self.spec;
        let wind = c.wind_m_s - REFERENCE_WIND_M_S;
        let taken_up_w_m2 = s.eta0b * c.effective_w_m2 - s.a6_s_m * wind * c.plane_w_m2
            + (s.a4_frac - s.a7_s_m * wind) * c.net_sky_w_m2;
        Drive {
            gain_w: taken_up_w_m2 * self.cell_m2,
            // A strong negative wind term must not turn a loss into a source.
            loss_w_k: (s.a1_w_m2_k + s.a3_j_m3_k * wind).max(0.0) * self.cell_m2,
            air_c: c.air_c,
            second_gain_w: 0.0,
            second_loss_w_k: 0.0,
        }
    }

    pub(crate) fn flow_step(&self, flow_w_k: f64, step_s: f64) -> FlowStep {
        let passed = flow_w_k * step_s / self.cell_j_k;
        FlowStep { step_s, passed, keep: decay(passed) }
    }

    /// Loss coefficient of a cell in W/K.
    #[inline]
    fn loss_w_k(&self, drive: &Drive, cell_c: f64) -> f64 {
        let d = (cell_c - drive.air_c).abs();
        drive.loss_w_k + self.cell_m2 * d * (self.spec.a2_w_m2_k2 + self.spec.a8_w_m2_k4 * d * d)
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

    /// Sun and loss of the whole field on the slices of a tank that stands in it, for `seconds`; returns the heat lost in J.
    ///
    /// Each slice takes an even share and relaxes exactly, with the loss coefficient it has at the beginning: of a tank that its
    /// glass can cool within the step, in several pieces.
    pub(crate) fn act_on_slices(
        &self,
        slices_c: &mut [f64],
        drive: &Drive,
        slice_j_k: f64,
        seconds: f64,
    ) -> f64 {
        let share = self.cells as f64 / slices_c.len() as f64;
        let most_w_k = slices_c.iter().fold(0.0_f64, |most, &c| most.max(self.loss_w_k(drive, c))) * share;
        let pieces = (most_w_k * seconds / (MOST_RELAXED * slice_j_k)).ceil().max(1.0);
        let piece_s = seconds / pieces;
        (0..pieces as u32).map(|_| self.act_for_a_piece(slices_c, drive, slice_j_k, piece_s)).sum()
    }

    fn act_for_a_piece(&self, slices_c: &mut [f64], drive: &Drive, slice_j_k: f64, seconds: f64) -> f64 {
        let share = self.cells as f64 / slices_c.len() as f64;
        let gain_w = drive.gain_w * share;
        let mut lost_j = 0.0;
        for slice_c in slices_c {
            let loss_w_k = self.loss_w_k(drive, *slice_c) * share;
            let net_w = gain_w - loss_w_k * (*slice_c - drive.air_c);
            let rise_k = net_w * seconds / slice_j_k * mean_share(loss_w_k * seconds / slice_j_k);
            *slice_c += rise_k;
            lost_j += gain_w * seconds - rise_k * slice_j_k;
        }
        lost_j
    }

    /// One step without flow; returns the heat lost in J.
    ///
    /// All cells share the decay of the mean cell's loss coefficient half a step ahead (second order); the difference of a
    /// cell's own coefficient acts on its mean, to first order. Keep steps below [`Collector::longest_stand_s`].
    #[inline(always)]
    pub(crate) fn stand(&self, cells_c: &mut [f64], drive: &Drive, step_s: f64) -> f64 {
        let per_capacity = step_s / self.cell_j_k;
        let gained_k = drive.gain_w * per_capacity;
        let mean_cell_c = sum_k(cells_c) / cells_c.len() as f64;
        let mean_lost = self.loss_w_k(drive, mean_cell_c) * per_capacity;
        let ahead_k = 0.5 * (gained_k - mean_lost * (mean_cell_c - drive.air_c));
        let lost = self.loss_w_k(drive, mean_cell_c + ahead_k) * per_capacity;
        let (share, ramp) = mean_weights(lost);
        let falls_k = |cell_c: f64| {
            let beyond = self.loss_w_k(drive, cell_c) * per_capacity - mean_lost;
            let mean_over_air_k = share * (cell_c - drive.air_c) + ramp * gained_k;
            (lost + beyond) * mean_over_air_k * (1.0 - ramp * beyond)
        };
        if let Ok(cells_c) = <&mut [f64; USUAL_CELLS]>::try_from(&mut *cells_c) {
            let loss_k: [f64; USUAL_CELLS] = std::array::from_fn(|i| falls_k(cells_c[i]));
            for i in 0..USUAL_CELLS {
                cells_c[i] += gained_k - loss_k[i];
            }
            return sum_k(&loss_k) * self.cell_j_k;
        }
        let mut loss_k = 0.0;
        for cell_c in cells_c.iter_mut() {
            let cell_loss_k = falls_k(*cell_c);
            *cell_c += gained_k - cell_loss_k;
            loss_k += cell_loss_k;
        }
        loss_k * self.cell_j_k
    }

    /// Longest step of cells standing at about `cell_c`, in s: a time constant, and no great rise in the sun or fall under the
    /// night sky.
    pub(crate) fn longest_stand_s(&self, drive: &Drive, cell_c: f64) -> f64 {
        let relaxing_s = self.time_constant_s(drive, cell_c);
        if drive.gain_w < 0.0 {
            // Near the air's temperature the loss coefficient says nothing of where such a cell ends.
            return relaxing_s.min(MOST_FALL_K * self.cell_j_k / -drive.gain_w);
        }
        relaxing_s.min(MOST_RISE_K / self.rise_k_s(drive, cell_c).max(f64::MIN_POSITIVE))
    }

    /// Heat taken up by the field over `seconds`, in J.
    pub(crate) fn absorbed_j(&self, drive: &Drive, seconds: f64) -> f64 {
        drive.gain_w * self.cells as f64 * seconds
    }

    /// Fastest rise of a standing cell at `cell_c` from now on, in K/s: it only slows as the cell warms.
    pub(crate) fn rise_k_s(&self, drive: &Drive, cell_c: f64) -> f64 {
        let lost_w = self.loss_w_k(drive, cell_c) * (cell_c - drive.air_c);
        (drive.gain_w - lost_w).max(0.0) / self.cell_j_k
    }

    /// Time constant in s with which a standing cell that warms from `cell_c` comes nearer to where it ends, at the longest. Below
    /// the air's temperature its loss coefficient falls as it warms: infinite.
    pub(crate) fn relaxing_s(&self, drive: &Drive, cell_c: f64) -> f64 {
        if cell_c < drive.air_c { f64::INFINITY } else { self.time_constant_s(drive, cell_c) }
    }

    /// Time constant in s of a standing cell at `cell_c`.
    fn time_constant_s(&self, drive: &Drive, cell_c: f64) -> f64 {
        self.cell_j_k / self.loss_w_k(drive, cell_c).max(f64::MIN_POSITIVE)
    }

    /// Fastest fall of a standing cell at `cell_c` from now on, in K/s: it only slows as the cell cools.
    pub(crate) fn fall_k_s(&self, drive: &Drive, cell_c: f64) -> f64 {
        let lost_w = self.loss_w_k(drive, cell_c) * (cell_c - drive.air_c);
        (lost_w - drive.gain_w).max(0.0) / self.cell_j_k
    }

    /// Rate of change of a standing cell at `cell_c` in K/s.
    pub(crate) fn standing_k_s(&self, drive: &Drive, cell_c: f64) -> f64 {
        (drive.gain_w - self.loss_w_k(drive, cell_c) * (cell_c - drive.air_c)) / self.cell_j_k
    }

    /// Time constant at 100 K over the air without wind, in s.
    pub(crate) fn answers_s(&self) -> f64 {
        let s = &self.spec;
        let loss_w_m2_k = s.a1_w_m2_k + s.a2_w_m2_k2 * 100.0 + s.a8_w_m2_k4 * 1e6;
        s.a5_j_m2_k / loss_w_m2_k.max(f64::MIN_POSITIVE)
    }

    /// Heat capacity of one cell in J/K.
    pub(crate) fn cell_j_k(&self) -> f64 {
        self.cell_j_k
    }

    /// Heat content above 0 degC in J.
    pub(crate) fn content_j(&self, cells_c: &[f64]) -> f64 {
        cells_c.iter().sum::<f64>() * self.cell_j_k
    }
}

/// Cells' temperatures added up.
#[inline(always)]
pub(crate) fn sum_k(cells_c: &[f64]) -> f64 {
    match <&[f64; USUAL_CELLS]>::try_from(cells_c) {
        Ok([a, b, c, d, e, f]) => (a + b) + (c + d) + (e + f),
        Err(_) => cells_c.iter().sum(),
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

/// `exp(-x)` of what relaxes in a step, `x` not negative: the series to the fourth order below 0.1, up to 3.2 its 32nd power, error
/// below 3e-7; beyond that exactly.
#[inline]
pub(crate) fn decay(x: f64) -> f64 {
    let series = |x: f64| 1.0 - x * (1.0 - x * (0.5 - x * (1.0 / 6.0 - x * (1.0 / 24.0))));
    if x < 0.1 {
        series(x)
    } else if x < 3.2 {
        let mut power = series(x * (1.0 / 32.0));
        for _ in 0..5 {
            power *= power;
        }
        power
    } else {
        libm::exp(-x)
    }
}

/// Weights of the beginning and of a steady source in the mean of something that relaxes through `x` time constants:
/// `(1 - exp(-x))/x` and one minus that over `x`.
#[inline]
fn mean_weights(x: f64) -> (f64, f64) {
    let share = mean_share(x);
    // The quotient loses its digits where x is small.
    let ramp = if x < 0.1 {
        0.5 - x * (1.0 / 6.0 - x * (1.0 / 24.0 - x * (1.0 / 120.0)))
    } else {
        (1.0 - share) / x
    };
    (share, ramp)
}

/// `(1 - exp(-x))/x`: the mean of a unit difference that relaxes through `x` time constants.
#[inline]
pub(crate) fn mean_share(x: f64) -> f64 {
    if x < 0.1 {
        1.0 - x * (0.5 - x * (1.0 / 6.0 - x * (1.0 / 24.0 - x * (1.0 / 120.0))))
    } else {
        (1.0 - decay(x)) / x
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decay_is_the_exponential() {
        for i in 0..5000 {
            let x = 1e-3 * f64::from(i);
            let (found, exact) = (decay(x), libm::exp(-x));
            assert!((found - exact).abs() < 3e-7, "at {x}: {found}, exactly {exact}");
        }
    }

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
