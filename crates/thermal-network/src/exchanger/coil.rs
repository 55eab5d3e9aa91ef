//! Coil in the tank or wrapped round it.
//!
//! Over slice j the fluid goes `Tin -> Tj + (Tin - Tj) exp(-UAj/C)`: one side isothermal, `eps = 1 - exp(-NTU)` (Kays &
//! London, Compact Heat Exchangers, from memory). The slices warm while heat comes in. In a steady run their warming in the
//! step before tells where they will stand half-way through this one (second order); in the first step of a run each takes
//! the mean of its own relaxation, `e = e0 (1 - exp(-y))/y` with `y = C e0 h / C_slice`.

use super::Affine;
use crate::collector::mean_share;
use crate::spec::CoilInlet;
use crate::tank::Tank;

/// Most a slice may relax towards the fluid in a step whose warming is foreseen: what the extrapolation amplifies stays
/// well damped.
const LONGEST_WARMING: f64 = 0.25;

/// A coil's slices in the order the fluid meets them.
#[derive(Clone, Debug)]
pub(crate) struct Coil {
    slices: Vec<usize>,
    ua_w_k: Vec<f64>,
    /// Fluid that enters below heats the lowest slices most: they overturn all the time, and nothing can be foreseen.
    pub(crate) overturns: bool,
}

/// A coil at a flow and step length, with the last map made.
#[derive(Clone, Debug, Default)]
pub(crate) struct CoilStep {
    flow_w_k: f64,
    step_s: f64,
    relaxing: bool,
    /// Temperature of each slice half-way through the step, as foreseen.
    wall_c: Vec<f64>,
    /// Effectiveness over each slice, as if the tank stood still.
    frozen: Vec<f64>,
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
        Self { slices, ua_w_k, overturns: inlet == CoilInlet::Bottom }
    }

    /// Longest step over which the warming of the step before may be carried on, in s.
    pub(crate) fn longest_step_s(&self, slice_j_k: f64, flow_w_k: f64) -> f64 {
        let most_w_k = self.ua_w_k.iter().fold(0.0_f64, |most, &ua_w_k| most.max(ua_w_k)).min(flow_w_k);
        LONGEST_WARMING * slice_j_k / most_w_k.max(f64::MIN_POSITIVE)
    }

    /// The loop's map for a step from the tank as it is, with the warming of its slices where that is known.
    pub(crate) fn map(
        &self,
        step: &mut CoilStep,
        slice_j_k: f64,
        flow_w_k: f64,
        step_s: f64,
        slices_c: &[f64],
        warming_k_s: Option<&[f64]>,
    ) -> Affine {
        self.set_flow(step, slice_j_k, flow_w_k, step_s, warming_k_s.is_none());
        step.wall_c.clear();
        match warming_k_s {
            Some(k_s) => step.wall_c.extend(self.slices.iter().map(|&j| slices_c[j] + 0.5 * step_s * k_s[j])),
            None => step.wall_c.extend(self.slices.iter().map(|&j| slices_c[j])),
        }
        let mut brought_c = 0.0;
        for ((wall_c, &share), before_c) in step.wall_c.iter().zip(&step.share).zip(&mut step.brought_c) {
            *before_c = brought_c;
            brought_c += share * (wall_c - brought_c);
        }
        Affine { slope: step.slope, base_c: brought_c }
    }

    /// Brings `step` to this flow and step length.
    fn set_flow(&self, step: &mut CoilStep, slice_j_k: f64, flow_w_k: f64, step_s: f64, relaxing: bool) {
        let same_flow = step.flow_w_k == flow_w_k;
        if same_flow && step.relaxing == relaxing && (!relaxing || step.step_s == step_s) {
            return;
        }
        if !same_flow {
            step.flow_w_k = flow_w_k;
            step.frozen.clear();
            step.frozen.extend(self.ua_w_k.iter().map(|ua_w_k| 1.0 - libm::exp(-ua_w_k / flow_w_k)));
            step.brought_c.resize(self.slices.len(), 0.0);
        }
        step.step_s = step_s;
        step.relaxing = relaxing;
        step.share.clear();
        step.reach.clear();
        let mut reach = 1.0;
        for &frozen in &step.frozen {
            let relaxed = if relaxing { mean_share(flow_w_k * frozen * step_s / slice_j_k) } else { 1.0 };
            step.share.push(frozen * relaxed);
            step.reach.push(reach);
            reach *= 1.0 - frozen * relaxed;
        }
        step.slope = reach;
    }

    /// Puts the heat of `step_s` with a mean inlet temperature into the slices; returns it in J.
    #[inline]
    pub(crate) fn give(
        &self,
        step: &CoilStep,
        slices_c: &mut [f64],
        slice_j_k: f64,
        inlet_c: f64,
        step_s: f64,
    ) -> f64 {
        let flow_j_k = step.flow_w_k * step_s;
        let per_capacity = flow_j_k / slice_j_k;
        let mut sum_k = 0.0;
        let coefficients = step.share.iter().zip(&step.reach).zip(&step.brought_c).zip(&step.wall_c);
        for (&j, (((share, reach), brought_c), wall_c)) in self.slices.iter().zip(coefficients) {
            let given_k = share * (reach * inlet_c + brought_c - wall_c);
            slices_c[j] += per_capacity * given_k;
            sum_k += given_k;
        }
        flow_j_k * sum_k
    }

    /// Warming of slice `j` in K after `step_s` with a mean inlet temperature, as long as nothing else happens to it.
    pub(crate) fn foreseen_k(
        &self,
        step: &CoilStep,
        j: usize,
        slice_j_k: f64,
        inlet_c: f64,
        step_s: f64,
    ) -> f64 {
        // The slices follow each other, up or down.
        let i = j.abs_diff(self.slices[0]);
        if self.slices.get(i) != Some(&j) {
            return 0.0;
        }
        let given_k = step.share[i] * (step.reach[i] * inlet_c + step.brought_c[i] - step.wall_c[i]);
        step.flow_w_k * step_s / slice_j_k * given_k
    }
}
