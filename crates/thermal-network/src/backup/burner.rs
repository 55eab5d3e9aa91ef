//! What a gas burner does besides heating: its pilot burns on, and its flue cools the tank while it is off.

use crate::spec::BurnerSpec;

/// A burner ready to step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Burner {
    pub(crate) efficiency_frac: f64,
    pub(crate) pilot_w: f64,
    pilot_to_water_w: f64,
    flue_w_k: f64,
}

impl Burner {
    pub(crate) fn new(spec: &BurnerSpec) -> Self {
        Self {
            efficiency_frac: spec.efficiency_frac,
            pilot_w: spec.pilot_w,
            pilot_to_water_w: spec.pilot_w * spec.pilot_to_water_frac,
            flue_w_k: spec.flue_w_k,
        }
    }

    /// Fuel for some heat, in J.
    pub(crate) fn fuel_j(&self, heat_j: f64) -> f64 {
        heat_j / self.efficiency_frac
    }

    /// Loss of each of `slices` by the flue while the burner is off, in W/K.
    pub(crate) fn flue_slice_w_k(&self, slices: usize) -> f64 {
        self.flue_w_k / slices as f64
    }

    /// The pilot warms the slice above the burner; returns its heat in J. The slices must be settled afterwards.
    pub(crate) fn pilot(&self, slice_c: &mut f64, slice_j_k: f64, seconds: f64) -> f64 {
        let heat_j = self.pilot_to_water_w * seconds;
        *slice_c += heat_j / slice_j_k;
        heat_j
    }

    /// The flue cools all slices for `off_s`, exactly as steady surroundings do; returns the heat lost in J.
    ///
    /// Evenly over the height, this decay has the same rate in every slice, so it may be taken apart from the tank's own
    /// loss and conduction without an error.
    pub(crate) fn flue(&self, slices_c: &mut [f64], slice_j_k: f64, room_c: f64, off_s: f64) -> f64 {
        let share = -libm::expm1(-self.flue_slice_w_k(slices_c.len()) * off_s / slice_j_k);
        let mut lost_k = 0.0;
        for slice_c in slices_c {
            let fall_k = share * (*slice_c - room_c);
            *slice_c -= fall_k;
            lost_k += fall_k;
        }
        lost_k * slice_j_k
    }
}
