//! Collector field: fully mixed cells in series, each with its own mean temperature.
//!
//! Equation: ISO 9806:2017 quasi-dynamic collector (as in the project's collector reference, from memory), with the
//! optical terms already weighted by their angle modifiers:
//!
//! `q = eta0b G_eff - a6 u' G + (a4 - a7 u') L - u (Tm - Ta) - a5 dTm/dt`, `u = a1 + a3 u' + a2 |Tm - Ta| + a8 |Tm - Ta|^3`,
//! `u' = wind - 3 m/s`, `L` the net sky long-wave. Over a step the loss coefficient of a cell is held at its value at the
//! beginning (second order in a small term); the rest of the cell's equation is solved exactly for a steady inlet.

mod run;
mod stand;

pub(crate) use run::{FieldRun, FlowStep, RunStep};

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

/// Cells most collectors are divided into.
const USUAL_CELLS: usize = 6;

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

    /// Loss coefficient of a cell in W/K.
    #[inline]
    fn loss_w_k(&self, drive: &Drive, cell_c: f64) -> f64 {
        let d = (cell_c - drive.air_c).abs();
        drive.loss_w_k + self.cell_m2 * d * (self.spec.a2_w_m2_k2 + self.spec.a8_w_m2_k4 * d * d)
    }

    /// Heat taken up by the field over `seconds`, in J.
    pub(crate) fn absorbed_j(&self, drive: &Drive, seconds: f64) -> f64 {
        drive.gain_w * self.cells as f64 * seconds
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
