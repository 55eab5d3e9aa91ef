//! Stratified tank: a vertical cylinder of equal, fully mixed slices, numbered from the bottom.
//!
//! `m cp dTj/dt = UAj (Troom - Tj) + k A/dz [(Tj+1 - Tj) + (Tj-1 - Tj)] + sources + mdot cp (upstream - Tj)`, the flow
//! between slices being the net of all flows that pass (standard heat balance, Duffie & Beckman, Solar Engineering of
//! Thermal Processes, chapter 8, from memory). Slices are part of the model, not a grid to refine.

use std::f64::consts::PI;

pub(crate) mod flow;
pub(crate) mod mixing;

use crate::backup::element::Element;
use crate::spec::TankSpec;

/// Slice that holds a height: on a border, the slice above.
pub fn slice_at(height_frac: f64, slices: usize) -> usize {
    ((height_frac * slices as f64 + 1e-9).floor() as usize).min(slices - 1)
}

/// A tank ready to step.
#[derive(Clone, Debug)]
pub(crate) struct Tank {
    pub(crate) slices: usize,
    /// Heat capacity of one slice in J/K.
    pub(crate) slice_j_k: f64,
    /// Heat capacity of the water per volume in J/(m3 K).
    pub(crate) water_j_m3_k: f64,
    pub(crate) water_j_kg_k: f64,
    /// Loss of each slice in W/K.
    pub(crate) loss_w_k: Vec<f64>,
    /// Conductance between neighbours in W/K.
    pub(crate) conduction_w_k: f64,
    pub(crate) cold_slice: usize,
    pub(crate) hot_slice: usize,
    pub(crate) elements: Vec<Element>,
    pub(crate) interlock: bool,
    pub(crate) surroundings: crate::spec::Surroundings,
    /// Longest step that keeps conduction and loss stable and accurate, in s.
    pub(crate) longest_step_s: f64,
}

impl Tank {
    pub(crate) fn new(spec: &TankSpec) -> Self {
        let slices = spec.slices;
        let n = slices as f64;
        let slice_j_k = spec.volume_m3 / n * spec.water_kg_m3 * spec.water_j_kg_k;
        let area_m2 = spec.volume_m3 / spec.height_m;
        let diameter_m = (4.0 * area_m2 / PI).sqrt();
        let slice_m = spec.height_m / n;
        let even_w_k = PI * diameter_m * slice_m * spec.side_w_m2_k + spec.fittings_even_w_k / n;
        let mut loss_w_k = vec![even_w_k; slices];
        loss_w_k[0] += area_m2 * spec.bottom_w_m2_k;
        loss_w_k[slices - 1] += area_m2 * spec.top_w_m2_k;
        for fitting in &spec.fittings {
            loss_w_k[slice_at(fitting.height_frac, slices)] += fitting.loss_w_k;
        }
        let conduction_w_k = if slices > 1 { spec.conduction_w_m_k * area_m2 / slice_m } else { 0.0 };
        let most_w_k = loss_w_k.iter().fold(0.0_f64, |most, &w_k| most.max(w_k));
        Self {
            slices,
            slice_j_k,
            water_j_m3_k: spec.water_kg_m3 * spec.water_j_kg_k,
            water_j_kg_k: spec.water_j_kg_k,
            loss_w_k,
            conduction_w_k,
            cold_slice: slice_at(spec.cold_inlet_frac, slices),
            hot_slice: slice_at(spec.hot_outlet_frac, slices),
            elements: spec.elements.iter().map(|e| Element::new(e, slices)).collect(),
            interlock: spec.interlock,
            surroundings: spec.surroundings,
            longest_step_s: (0.3 * slice_j_k / conduction_w_k).min(0.2 * slice_j_k / most_w_k),
        }
    }

    /// Heat content above 0 degC in J.
    pub(crate) fn content_j(&self, slices_c: &[f64]) -> f64 {
        slices_c.iter().sum::<f64>() * self.slice_j_k
    }

    /// Loss and conduction over `step_s`; returns the heat lost in J.
    ///
    /// The loss of a slice is exact for steady surroundings; conduction is explicit (callers keep the step below
    /// [`Tank::longest_step_s`]). `old_c` is scratch of at least the tank's length.
    #[inline]
    pub(crate) fn stand(&self, slices_c: &mut [f64], old_c: &mut [f64], step_s: f64, room_c: f64) -> f64 {
        let n = self.slices;
        let per_capacity = step_s / self.slice_j_k;
        let conducted = self.conduction_w_k * per_capacity;
        let old_c = &mut old_c[..n];
        let slices_c = &mut slices_c[..n];
        let loss_w_k = &self.loss_w_k[..n];
        old_c.copy_from_slice(slices_c);
        if n == 1 {
            let fall_k = relaxed(loss_w_k[0] * per_capacity) * (old_c[0] - room_c);
            slices_c[0] -= fall_k;
            return fall_k * self.slice_j_k;
        }
        let inner = slices_c[1..n - 1].iter_mut().zip(&loss_w_k[1..n - 1]);
        let around = old_c[..n - 2].iter().zip(&old_c[1..n - 1]).zip(&old_c[2..n]);
        for ((slice_c, w_k), ((below_c, own_c), above_c)) in inner.zip(around) {
            let conducted_k = conducted * ((above_c - own_c) + (below_c - own_c));
            *slice_c = own_c - relaxed(w_k * per_capacity) * (own_c - room_c) + conducted_k;
        }
        for (end, beside) in [(0, 1), (n - 1, n - 2)] {
            let fall_k = relaxed(loss_w_k[end] * per_capacity) * (old_c[end] - room_c);
            slices_c[end] = old_c[end] - fall_k + conducted * (old_c[beside] - old_c[end]);
        }
        // What conduction moves stays in the tank: the whole fall is the loss.
        let lost_k = sum_of_difference(old_c, slices_c);
        lost_k * self.slice_j_k
    }
}

/// `1 - exp(-x)` to second order: a step is kept so short ([`Tank::longest_step_s`]) that the third stays below 2e-3.
#[inline]
fn relaxed(x: f64) -> f64 {
    x - 0.5 * x * x
}

/// Sums in lanes: an order of addition that the processor can take four at a time, and always the same one.
const LANES: usize = 4;

/// `sum(a - b)` over two slices of one length.
#[inline]
fn sum_of_difference(a: &[f64], b: &[f64]) -> f64 {
    let mut lanes = [0.0; LANES];
    let (a_chunks, b_chunks) = (a.chunks_exact(LANES), b.chunks_exact(LANES));
    let rest: f64 = a_chunks.remainder().iter().zip(b_chunks.remainder()).map(|(a, b)| a - b).sum();
    for (a, b) in a_chunks.zip(b_chunks) {
        for lane in 0..LANES {
            lanes[lane] += a[lane] - b[lane];
        }
    }
    (lanes[0] + lanes[1]) + (lanes[2] + lanes[3]) + rest
}

/// Mean of some temperatures.
#[inline]
pub(crate) fn mean_c(slices_c: &[f64]) -> f64 {
    let mut lanes = [0.0; LANES];
    let chunks = slices_c.chunks_exact(LANES);
    let rest: f64 = chunks.remainder().iter().sum();
    for chunk in chunks {
        for lane in 0..LANES {
            lanes[lane] += chunk[lane];
        }
    }
    ((lanes[0] + lanes[1]) + (lanes[2] + lanes[3]) + rest) / slices_c.len() as f64
}
