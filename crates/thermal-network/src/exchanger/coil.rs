//! Coil in the tank or wrapped round it.
//!
//! Over slice j the fluid goes `Tin -> Tj + (Tin - Tj) exp(-UAj/C)`: one side isothermal, `eps = 1 - exp(-NTU)` (Kays &
//! London, Compact Heat Exchangers, from memory). Over a step the slice warms while heat comes in: its share is the mean of
//! the exact relaxation of the slice alone, `e = e0 (1 - exp(-y))/y` with `y = C e0 h / C_slice`.

use super::Affine;
use crate::collector::mean_share;
use crate::spec::CoilInlet;
use crate::tank::Tank;

/// A coil's slices in the order the fluid meets them.
#[derive(Clone, Debug)]
pub(crate) struct Coil {
    slices: Vec<usize>,
    ua_w_k: Vec<f64>,
}

/// A coil at a flow and step length, with the last map made.
#[derive(Clone, Debug, Default)]
pub(crate) struct CoilStep {
    flow_w_k: f64,
    step_s: f64,
    /// Share of the difference given up over each slice.
    share: Vec<f64>,
    /// Part of the inlet temperature still in the fluid before each slice.
    reach: Vec<f64>,
    /// What the slices before have put into the fluid, before each slice.
    brought_c: Vec<f64>,
    slope: f64,
}

impl Coil {
    pub(crate) fn new(bottom_frac: f64, top_frac: f64, ua_w_k: f64, inlet: CoilInlet, tank: &Tank) -> Self {
        let n = tank.slices as f64;
        let mut parts: Vec<(usize, f64)> = (0..tank.slices)
            .filter_map(|j| {
                let overlap = ((j as f64 + 1.0) / n).min(top_frac) - (j as f64 / n).max(bottom_frac);
                // Rounding slivers are not slices of the coil.
                (overlap > 1e-9).then(|| (j, ua_w_k * overlap / (top_frac - bottom_frac)))
            })
            .collect();
        if inlet == CoilInlet::Top {
            parts.reverse();
        }
        let (slices, ua_w_k) = parts.into_iter().unzip();
        Self { slices, ua_w_k }
    }

    /// Brings `step` to this flow and step length.
    pub(crate) fn set_flow(&self, step: &mut CoilStep, slice_j_k: f64, flow_w_k: f64, step_s: f64) {
        if step.flow_w_k == flow_w_k && step.step_s == step_s {
            return;
        }
        step.flow_w_k = flow_w_k;
        step.step_s = step_s;
        step.share.clear();
        step.reach.clear();
        step.brought_c.resize(self.slices.len(), 0.0);
        let mut reach = 1.0;
        for &ua_w_k in &self.ua_w_k {
            let frozen = 1.0 - libm::exp(-ua_w_k / flow_w_k);
            let share = frozen * mean_share(flow_w_k * frozen * step_s / slice_j_k);
            step.share.push(share);
            step.reach.push(reach);
            reach *= 1.0 - share;
        }
        step.slope = reach;
    }

    /// The loop's map for the tank as it is.
    #[inline]
    pub(crate) fn map(&self, step: &mut CoilStep, slices_c: &[f64]) -> Affine {
        let mut brought_c = 0.0;
        for ((&j, &share), before_c) in self.slices.iter().zip(&step.share).zip(&mut step.brought_c) {
            *before_c = brought_c;
            brought_c += share * (slices_c[j] - brought_c);
        }
        Affine { slope: step.slope, base_c: brought_c }
    }

    /// Heat into each slice in J for a mean inlet temperature, added to `source_j`; returns the sum.
    #[inline]
    pub(crate) fn give(&self, step: &CoilStep, slices_c: &[f64], inlet_c: f64, source_j: &mut [f64]) -> f64 {
        let flow_j_k = step.flow_w_k * step.step_s;
        let mut sum_j = 0.0;
        for (i, &j) in self.slices.iter().enumerate() {
            let heat_j =
                flow_j_k * step.share[i] * (step.reach[i] * inlet_c + step.brought_c[i] - slices_c[j]);
            source_j[j] = heat_j;
            sum_j += heat_j;
        }
        sum_j
    }
}
