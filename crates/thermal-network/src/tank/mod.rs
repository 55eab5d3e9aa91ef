//! Stratified tank: a vertical cylinder of equal, fully mixed slices, numbered from the bottom.
//!
//! `m cp dTj/dt = UAj (Troom - Tj) + k A/dz [(Tj+1 - Tj) + (Tj-1 - Tj)] + sources + mdot cp (upstream - Tj)`, the flow
//! between slices being the net of all flows that pass (standard heat balance, Duffie & Beckman, Solar Engineering of
//! Thermal Processes, chapter 8, from memory). Slices are part of the model, not a grid to refine.

use std::f64::consts::PI;

pub(crate) mod circulation;
pub(crate) mod flow;
pub(crate) mod mixing;
pub(crate) mod ports;

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
    mean_loss_w_k: f64,
    /// Loss of each slice by flues while their burners are off, in W/K.
    pub(crate) flue_slice_w_k: f64,
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
        let elements: Vec<Element> = spec.elements.iter().map(|e| Element::new(e, slices)).collect();
        let most_w_k = loss_w_k.iter().fold(0.0_f64, |most, &w_k| most.max(w_k));
        Self {
            slices,
            slice_j_k,
            water_j_m3_k: spec.water_kg_m3 * spec.water_j_kg_k,
            water_j_kg_k: spec.water_j_kg_k,
            mean_loss_w_k: mean_c(&loss_w_k),
            loss_w_k,
            conduction_w_k,
            cold_slice: slice_at(spec.cold_inlet_frac, slices),
            hot_slice: slice_at(spec.hot_outlet_frac, slices),
            flue_slice_w_k: elements.iter().map(|element| element.flue_slice_w_k(slices)).sum(),
            elements,
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
    /// The loss of a slice is that of steady surroundings, `1 - exp(-x)` to second order (the second-order share is that of
    /// the tank's mean loss); conduction is explicit. Callers keep the step below [`Tank::longest_step_s`] as far as steps of
    /// whole seconds can; slices thinner than that take several here.
    pub(crate) fn stand(&self, slices_c: &mut [f64], step_s: f64, room_c: f64) -> f64 {
        if step_s <= self.longest_step_s {
            return self.stand_stable(slices_c, step_s, room_c);
        }
        let pieces = (step_s / self.longest_step_s).ceil();
        (0..pieces as u64).map(|_| self.stand_stable(slices_c, step_s / pieces, room_c)).sum()
    }

    fn stand_stable(&self, slices_c: &mut [f64], step_s: f64, room_c: f64) -> f64 {
        let per_capacity = step_s / self.slice_j_k;
        let still = Still {
            per_capacity: per_capacity * (1.0 - 0.5 * self.mean_loss_w_k * per_capacity),
            conducted: self.conduction_w_k * per_capacity,
            room_c,
        };
        let mut lost_k = 0.0;
        // Each block needs what its neighbours were before: the one below is remembered, the one above is still to come.
        let mut below_c = slices_c[0];
        let (blocks, rest) = slices_c.as_chunks_mut::<BLOCK>();
        let (loss_blocks, loss_rest) = self.loss_w_k.as_chunks::<BLOCK>();
        for (i, loss_w_k) in loss_blocks.iter().enumerate() {
            let above_c = blocks.get(i + 1).map_or(rest.first().copied(), |block| Some(block[0]));
            lost_k += still.block(&mut blocks[i], loss_w_k, &mut below_c, above_c);
        }
        let rest = rest.as_chunks_mut::<1>().0;
        for (i, loss_w_k) in loss_rest.as_chunks::<1>().0.iter().enumerate() {
            let above_c = rest.get(i + 1).map(|slice| slice[0]);
            lost_k += still.block(&mut rest[i], loss_w_k, &mut below_c, above_c);
        }
        lost_k * self.slice_j_k
    }
}

/// Slices the kernels take at a time: the compiler lays such a block out flat.
pub(crate) const BLOCK: usize = 10;

/// A tank at rest for a step.
struct Still {
    /// Step over slice capacity, K/W, less the decay within the step.
    per_capacity: f64,
    /// Share of a difference conducted between neighbours.
    conducted: f64,
    room_c: f64,
}

impl Still {
    /// Loss and conduction of neighbouring slices between one `below_c` and one above, if any (the tank's ends have no
    /// neighbour: their own temperature stands for it). Returns the fall by loss, added up, in K.
    #[inline]
    fn block<const N: usize>(
        &self,
        slices_c: &mut [f64; N],
        loss_w_k: &[f64; N],
        below_c: &mut f64,
        above_c: Option<f64>,
    ) -> f64 {
        let own_c = *slices_c;
        let above_c = above_c.unwrap_or(own_c[N - 1]);
        let mut fall_k = [0.0; N];
        for i in 0..N {
            fall_k[i] = loss_w_k[i] * self.per_capacity * (own_c[i] - self.room_c);
        }
        let mut flux_k = [0.0; N];
        for i in 0..N - 1 {
            flux_k[i] = own_c[i + 1] - own_c[i];
        }
        flux_k[N - 1] = above_c - own_c[N - 1];
        slices_c[0] = own_c[0] - fall_k[0] + self.conducted * (flux_k[0] - (own_c[0] - *below_c));
        for i in 1..N {
            slices_c[i] = own_c[i] - fall_k[i] + self.conducted * (flux_k[i] - flux_k[i - 1]);
        }
        *below_c = own_c[N - 1];
        fall_k.iter().sum()
    }
}

/// Mean of some temperatures.
#[inline]
pub(crate) fn mean_c(slices_c: &[f64]) -> f64 {
    // Several chains of additions overlap.
    let (fours, rest) = slices_c.as_chunks::<4>();
    let mut sums = [0.0; 4];
    for four in fours {
        for (sum, c) in sums.iter_mut().zip(four) {
            *sum += c;
        }
    }
    (sums.iter().sum::<f64>() + rest.iter().sum::<f64>()) / slices_c.len() as f64
}
