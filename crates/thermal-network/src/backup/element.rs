//! Electric element with its thermostat.

use crate::sensor::Sensor;
use crate::spec::ElementSpec;
use crate::tank::slice_at;

/// An element ready to step.
#[derive(Clone, Debug)]
pub(crate) struct Element {
    power_w: f64,
    slice: usize,
    pub(crate) thermostat_slice: usize,
    set_c: f64,
    on_c: f64,
    pub(crate) sensor: Sensor,
}

/// What an element remembers.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub(crate) struct ElementState {
    /// The thermostat calls for heat.
    pub(crate) calls: bool,
    /// What the thermostat reads, in degC.
    pub(crate) reading_c: f64,
}

impl Element {
    pub(crate) fn new(spec: &ElementSpec, slices: usize) -> Self {
        Self {
            power_w: spec.power_w,
            slice: slice_at(spec.height_frac, slices),
            thermostat_slice: slice_at(spec.thermostat_frac, slices),
            set_c: spec.set_c,
            on_c: spec.set_c - spec.band_k,
            sensor: Sensor::new(&spec.sensor),
        }
    }

    /// The thermostat's decision from what it reads.
    pub(crate) fn decide(&self, state: &mut ElementState) {
        if state.reading_c <= self.on_c {
            state.calls = true;
        } else if state.reading_c >= self.set_c {
            state.calls = false;
        }
    }

    /// Heats for up to `step_s`; returns the heat put in, in J. The slices must be settled afterwards.
    ///
    /// Warm water rises from the element and mixes the slices above that are cooler, so the thermostat's slice reaches the
    /// set point when every slice from the element up has been filled to it: that heat is the most the element gives, and
    /// the thermostat opens then. No search for the moment is needed.
    pub(crate) fn heat(
        &self,
        state: &mut ElementState,
        slices_c: &mut [f64],
        slice_j_k: f64,
        room_c: f64,
        step_s: f64,
    ) -> f64 {
        let most_j = self.power_w * step_s;
        let mut heat_j = most_j;
        if self.thermostat_slice >= self.slice && !self.sensor.lags() {
            let off_c = self.sensor.true_c(self.set_c, room_c);
            let missing_k: f64 = slices_c[self.slice..].iter().map(|&c| (off_c - c).max(0.0)).sum();
            if missing_k * slice_j_k <= most_j {
                heat_j = missing_k * slice_j_k;
                state.calls = false;
            }
        }
        slices_c[self.slice] += heat_j / slice_j_k;
        heat_j
    }
}
