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

/// What a step did, for the accounts.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct CollectorStep {
    pub(crate) loss_j: f64,
    /// Mean outlet temperature over the step.
    pub(crate) outlet_c: f64,
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
        }
    }

    pub(crate) fn flow_step(&self, flow_w_k: f64, step_s: f64) -> FlowStep {
        let passed = flow_w_k * step_s / self.cell_j_k;
        FlowStep { step_s, passed, keep: libm::exp(-passed) }
    }

    /// Loss coefficient of a cell in W/K.
    #[inline]
    fn loss_w_k(&self, drive: &Drive, cell_c: f64) -> f64 {
        let d = (cell_c - drive.air_c).abs();
        drive.loss_w_k + self.cell_m2 * d * (self.spec.a2_w_m2_k2 + self.spec.a8_w_m2_k4 * d * d)
    }

    /// One step with fluid entering at a steady `inlet_c`.
    ///
    /// Each cell is solved exactly for its mean outlet temperature, which is the next cell's inlet: second order in the
    /// step, and the heat that leaves a cell is the heat that enters the next, to the bit.
    #[inline]
    pub(crate) fn run(
        &self,
        cells_c: &mut [f64],
        drive: &Drive,
        flow: &FlowStep,
        inlet_c: f64,
    ) -> CollectorStep {
        let per_capacity = flow.step_s / self.cell_j_k;
        let gained_k = drive.gain_w * per_capacity;
        let mut inlet_c = inlet_c;
        let mut loss_k = 0.0;
        for cell_c in cells_c.iter_mut() {
            let before_c = *cell_c;
            let lost = self.loss_w_k(drive, before_c) * per_capacity;
            let rate = flow.passed + lost;
            let share = (1.0 - flow.keep * decay(lost)) / rate;
            let driven = (gained_k + lost * drive.air_c) / rate;
            let mean_c = (1.0 - share) * (flow.passed / rate * inlet_c + driven) + share * before_c;
            let cell_loss_k = lost * (mean_c - drive.air_c);
            *cell_c = before_c + gained_k - cell_loss_k + flow.passed * (inlet_c - mean_c);
            loss_k += cell_loss_k;
            inlet_c = mean_c;
        }
        CollectorStep { loss_j: loss_k * self.cell_j_k, outlet_c: inlet_c }
    }

    /// One step without flow; returns the heat lost in J.
    #[inline]
    pub(crate) fn stand(&self, cells_c: &mut [f64], drive: &Drive, step_s: f64) -> f64 {
        let per_capacity = step_s / self.cell_j_k;
        let gained_k = drive.gain_w * per_capacity;
        let mut loss_k = 0.0;
        for cell_c in cells_c.iter_mut() {
            let before_c = *cell_c;
            let d = before_c - drive.air_c;
            // Half a step ahead, so that the loss coefficient is the step's mean one.
            let first = self.loss_w_k(drive, before_c) * per_capacity;
            let middle_c = before_c + 0.5 * (gained_k - first * d);
            let lost = self.loss_w_k(drive, middle_c) * per_capacity;
            let share = mean_share(lost);
            let mean_over_air_k = share * d + (1.0 - share) * gained_k / lost.max(f64::MIN_POSITIVE);
            let cell_loss_k = lost * mean_over_air_k;
            *cell_c = before_c + gained_k - cell_loss_k;
            loss_k += cell_loss_k;
        }
        loss_k * self.cell_j_k
    }

    /// Fastest rise of a standing cell at `cell_c`, in K/s.
    pub(crate) fn rise_k_s(&self, drive: &Drive, cell_c: f64) -> f64 {
        let warmed_w = self.loss_w_k(drive, cell_c) * (drive.air_c - cell_c).max(0.0);
        (drive.gain_w.max(0.0) + warmed_w) / self.cell_j_k
    }

    /// Heat content above 0 degC in J.
    pub(crate) fn content_j(&self, cells_c: &[f64]) -> f64 {
        cells_c.iter().sum::<f64>() * self.cell_j_k
    }
}

/// `exp(-x)` for the small `x` of a loss over a step: four terms, error below 5e-6 at 0.1; larger ones exactly.
#[inline]
pub(crate) fn decay(x: f64) -> f64 {
    if x < 0.1 { 1.0 - x * (1.0 - x * (0.5 - x * (1.0 / 6.0 - x * (1.0 / 24.0)))) } else { libm::exp(-x) }
}

/// `(1 - exp(-x))/x`: the mean of a unit difference that relaxes through `x` time constants.
#[inline]
pub(crate) fn mean_share(x: f64) -> f64 {
    if x < 0.1 {
        1.0 - x * (0.5 - x * (1.0 / 6.0 - x * (1.0 / 24.0 - x * (1.0 / 120.0))))
    } else {
        (1.0 - libm::exp(-x)) / x
    }
}
