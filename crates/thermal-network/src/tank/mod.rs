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
            longest_step_s: 0.4 * slice_j_k / (2.0 * conduction_w_k + most_w_k).max(f64::MIN_POSITIVE),
        }
    }

    /// Heat content above 0 degC in J.
    pub(crate) fn content_j(&self, slices_c: &[f64]) -> f64 {
        slices_c.iter().sum::<f64>() * self.slice_j_k
    }

    /// Loss and conduction over `step_s`, with `source_j` added to the slices; returns the heat lost in J.
    ///
    /// The loss of a slice is exact for steady surroundings; conduction is explicit (callers keep the step below
    /// [`Tank::longest_step_s`]). `old_c` is scratch of the tank's length.
    #[inline]
    pub(crate) fn stand(
        &self,
        slices_c: &mut [f64],
        old_c: &mut [f64],
        source_j: Option<&[f64]>,
        step_s: f64,
        room_c: f64,
    ) -> f64 {
        let n = self.slices;
        let per_capacity = step_s / self.slice_j_k;
        let conducted = self.conduction_w_k * per_capacity;
        let old_c = &mut old_c[..n];
        let slices_c = &mut slices_c[..n];
        let loss_w_k = &self.loss_w_k[..n];
        old_c.copy_from_slice(slices_c);
        let mut lost_k = 0.0;
        for ((slice_c, &before_c), &w_k) in slices_c.iter_mut().zip(old_c.iter()).zip(loss_w_k) {
            let x = w_k * per_capacity;
            let fall_k = x * (1.0 - x * (0.5 - x * (1.0 / 6.0))) * (before_c - room_c);
            *slice_c = before_c - fall_k;
            lost_k += fall_k;
        }
        if n > 1 {
            for i in 1..n - 1 {
                slices_c[i] += conducted * ((old_c[i + 1] - old_c[i]) + (old_c[i - 1] - old_c[i]));
            }
            slices_c[0] += conducted * (old_c[1] - old_c[0]);
            slices_c[n - 1] += conducted * (old_c[n - 2] - old_c[n - 1]);
        }
        if let Some(source_j) = source_j {
            let k_j = 1.0 / self.slice_j_k;
            for (slice_c, &j) in slices_c.iter_mut().zip(source_j) {
                *slice_c += j * k_j;
            }
        }
        lost_k * self.slice_j_k
    }
}
